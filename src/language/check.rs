//! From syntax to a book: names, units, ranges, layers, days, overrides.
//!
//! Every fault has its place and a way out, and all are found in one run.

use super::book::*;
use super::rows::Rows;
use super::syntax::{self as syn, At, Block, Clause, ItemClause, Layer, Phrase, Side, Written};
use super::units::{Dimension, convert};
use crate::bag::words::Sort;
use crate::bag::{Mg, Named, PartId, StateId};
use crate::fault::{Fault, Faults, Sources, Span, nearest};
use crate::flat::Stock;
use crate::knowledge::load::{Entries, ItemEntry};
use crate::knowledge::{Identified, ItemId, KindId, Known, Rung, names};
use jiff::civil::Date;
use std::collections::HashMap;

/// The starter bin's worms where nobody said: 1 lb (USDA and twelve other publishers name 1 lb for
/// a new bin).
pub(super) const STARTER_WORMS: Mg = Mg(453_592);

/// The household's kinds and items, to be added to what is known.
pub fn own_things(written: &Written, known: &Known, faults: &mut Faults) -> Entries {
    let mut entries = Entries::default();
    let own = own_names(written);
    for file in &written.files {
        for block in &file.blocks {
            let Block::Item(item) = block else { continue };
            let mut e =
                ItemEntry { item: item.name.value.clone(), place: Some(item.name.span), ..ItemEntry::default() };
            for clause in &item.clauses {
                own_clause(&mut e, clause, &own, known, faults);
            }
            if names_it(&e.item, known).is_some() {
                faults.push(
                    Fault::error("hides-built-in", format!("`{}` is known already", e.item), item.name.span)
                        .help("give it a name of its own"),
                );
                continue;
            }
            entries.items.push(e);
        }
    }
    entries
}

/// The household's own items by every name it gives them, in lower case.
fn own_names(written: &Written) -> HashMap<String, String> {
    let mut out = HashMap::new();
    for block in written.files.iter().flat_map(|f| &f.blocks) {
        let Block::Item(item) = block else { continue };
        let name = &item.name.value;
        out.insert(name.to_lowercase(), name.clone());
        for clause in &item.clauses {
            if let ItemClause::Also(list) = &clause.value {
                out.extend(list.iter().map(|p| (p.value.to_lowercase(), name.clone())));
            }
        }
    }
    out
}

fn own_clause(
    e: &mut ItemEntry,
    clause: &At<ItemClause>,
    own: &HashMap<String, String>,
    known: &Known,
    faults: &mut Faults,
) {
    let thing = |p: &Phrase| {
        let built_in = names_it(&p.value, known).map(|id| known.item_name(id).to_string());
        built_in.or_else(|| own.get(&p.value.to_lowercase()).cloned())
    };
    let texts = |list: &[Phrase]| list.iter().map(|p| p.value.clone()).collect::<Vec<_>>();
    match &clause.value {
        ItemClause::Is(kinds) => {
            for k in kinds {
                if known.kind_named(&k.value).is_some() {
                    e.is.push(k.value.clone());
                } else {
                    let near = nearest(&k.value, known.kinds().map(|(_, k)| k.name.as_str()))
                        .map(|n| format!("did you mean `{n}`?"));
                    faults.push(
                        Fault::error("unknown-kind", format!("I know no kind `{}`", k.value), k.span).maybe_help(near),
                    );
                }
            }
        }
        ItemClause::Also(list) => e.also.extend(texts(list)),
        ItemClause::Weighs(measure, grams) => e.weighs.0.push((measure.clone(), *grams)),
        ItemClause::Like(p) => match thing(p) {
            Some(name) => e.like = Some(name),
            None => faults.push(unknown_name(p, known)),
        },
        ItemClause::Role(role) => {
            e.role = Some(match role.as_str() {
                "bedding" => crate::knowledge::Role::Bedding,
                "grit" => crate::knowledge::Role::Grit,
                "other" => crate::knowledge::Role::Other,
                _ => crate::knowledge::Role::Food,
            });
        }
        ItemClause::Usually(states) => {
            for (p, usual) in states {
                if known.vocabulary().state(&p.value).is_some() {
                    e.states.0.push((p.value.clone(), *usual));
                } else {
                    faults.push(unknown_state(p, known));
                }
            }
        }
        ItemClause::Made(word, list) => {
            let found: Vec<String> = list
                .iter()
                .filter_map(|p| {
                    let name = thing(p);
                    if name.is_none() {
                        faults.push(unknown_name(p, known));
                    }
                    name
                })
                .collect();
            match word.as_str() {
                "main" => e.main.extend(found),
                "some" => e.some.extend(found),
                _ => e.trace.extend(found),
            }
        }
        ItemClause::Line(pattern) => {
            let built = if pattern.value.chars().count() > 200 {
                Err("it is longer than 200 characters".to_string())
            } else {
                regex::RegexBuilder::new(&pattern.value).size_limit(1 << 20).build().map(|_| ()).map_err(|e| short(&e))
            };
            match built {
                Ok(()) => e.pattern = Some(pattern.value.clone()),
                Err(why) => faults.push(
                    Fault::error("bad-pattern", format!("this pattern cannot be used: {why}"), pattern.span)
                        .help("write a short one, such as /take.?away box/"),
                ),
            }
        }
    }
}

fn short(error: &regex::Error) -> String {
    let text = error.to_string();
    text.lines().last().unwrap_or("").trim().trim_start_matches("error: ").to_string()
}

/// The item that a phrase names without any guessing.
fn names_it(phrase: &str, known: &Known) -> Option<ItemId> {
    if let Some(id) = known.item_named(phrase) {
        return Some(id);
    }
    let named = Named { name: phrase.to_string(), full: phrase.to_string(), ..Named::default() };
    let identity = names::identify(&named, known);
    let surely = identity.identified == Identified::Sure
        && matches!(identity.rung, Some(Rung::Exact | Rung::OtherName | Rung::Normalised));
    identity.item.filter(|_| surely && identity.part.is_none())
}

fn unknown_name(p: &Phrase, known: &Known) -> Fault {
    let all = known.kinds().map(|(_, k)| k.name.as_str()).chain(known.items().map(|(_, i)| i.name.as_str()));
    let near = nearest(&p.value, all).map(|n| format!("did you mean `{n}`?"));
    let otherwise = format!("`forefeed items` lists what I know; `item {}` on a line of its own adds it", p.value);
    Fault::error("unknown-name", format!("I do not know `{}`", p.value), p.span).help(near.unwrap_or(otherwise))
}

fn unknown_state(p: &Phrase, known: &Known) -> Fault {
    let near = nearest(&p.value, known.vocabulary().states().map(|(_, s)| s.name.as_str()))
        .map(|n| format!("did you mean `{n}`?"));
    Fault::error("unknown-state", format!("I do not know `{}`", p.value), p.span)
        .maybe_help(near.or_else(|| Some("a state is a word such as frozen, chopped, crushed, rinsed".into())))
}

/// Checks what was written and puts it on top of a book that was checked before (the base), as of
/// `today`. `sources` holds the texts of both.
pub fn check(
    written: &Written,
    known: &Known,
    below: Option<Book>,
    today: Date,
    sources: Sources,
    faults: &mut Faults,
) -> Book {
    let below = match below {
        Some(mut book) if written.files.is_empty() => {
            (book.today, book.sources) = (today, sources);
            book.settle(Layer::Household);
            return book;
        }
        below => below,
    };
    let mut check = Check { known, faults, groups: Vec::new(), aliases: HashMap::new() };
    let mut files: Vec<&syn::File> = written.files.iter().collect();
    files.sort_by_key(|f| (layer_of(f, &sources), f.id));
    check.groups(&files);
    let mut book = below.unwrap_or_else(|| Book {
        rules: Stock::default(),
        unsettled: Vec::new(),
        of_bag: Vec::new(),
        rows: Rows::default(),
        settings: defaults(),
        answers: Vec::new(),
        files: Vec::new(),
        groups: Vec::new(),
        today,
        sources: Sources::default(),
    });
    book.today = today;
    let first = book.count();
    let mut blocks: Vec<(&syn::RuleBlock, Layer)> = Vec::new();
    let mut at: HashMap<String, (RuleId, Span, Layer)> =
        book.iter().map(|(id, r)| (r.name.clone(), (id, r.place, r.layer))).collect();
    for file in &files {
        let layer = layer_of(file, &sources);
        let mut count = 0;
        for block in &file.blocks {
            match block {
                Block::Rule(rule) => {
                    count += 1;
                    let id = RuleId(u16::try_from(first + blocks.len()).unwrap_or(u16::MAX));
                    if let Some((_, other, _)) = at.get(&rule.name.value) {
                        check.faults.push(
                            Fault::error(
                                "doubled-rule",
                                format!("two rules are called `{}`", rule.name.value),
                                rule.name.span,
                            )
                            .also(*other, "the first one")
                            .help("give this one another name; to take the other's place write `replaces` under it"),
                        );
                        continue;
                    }
                    at.insert(rule.name.value.clone(), (id, rule.name.span, layer));
                    blocks.push((rule, layer));
                }
                Block::Setting(setting) => check.setting(setting, layer, &mut book.settings),
                _ => {}
            }
        }
        book.files.push(BookFile { layer, name: sources.name(file.id).to_string(), rules: count });
    }
    if first + blocks.len() > usize::from(u16::MAX) {
        check.faults.push(Fault::error("too-many-rules", "a book holds at most 65,535 rules", Span::default()));
        blocks.truncate(usize::from(u16::MAX).saturating_sub(first));
    }
    for (block, layer) in &blocks {
        let rule = check.rule(block, *layer, &sources, &at);
        book.push(rule);
    }
    book.settle(Layer::Household);
    let mut answers = Vec::new();
    for file in &files {
        for block in &file.blocks {
            if let Block::Answer(answer) = block {
                answers.extend(check.answer(answer, &at, &book));
            }
        }
    }
    book.answers.extend(answers);
    book.groups = check.groups.iter().map(|(n, s, _)| (n.clone(), s.clone())).collect();
    two_overrides(&book, known, check.faults);
    book.sources = sources;
    book
}

fn layer_of(file: &syn::File, sources: &Sources) -> Layer {
    match &file.layer {
        Some(layer) => layer.value,
        None if sources.name(file.id).starts_with("rules/base/") => Layer::Base,
        None => Layer::Household,
    }
}

fn defaults() -> Settings {
    Settings {
        a_little: (Allowance::Share(100_000), Layer::Base),
        worms: (STARTER_WORMS, Layer::Base),
        stance: (Side::Lenient, Layer::Base),
        grit_ppm: (10_000, Layer::Base),
        indoors: None,
        temperature_c: None,
        area_m2: None,
        age_days: None,
    }
}

/// Parts per million of a percentage, rounded.
#[allow(clippy::cast_possible_truncation, reason = "a percentage of at most 100 gives at most a million")]
fn ppm(percent: f64) -> i64 {
    (percent.clamp(0.0, 100.0) * 10_000.0).round() as i64
}

struct Check<'a> {
    known: &'a Known,
    faults: &'a mut Faults,
    groups: Vec<(String, SubjectSet, Span)>,
    aliases: HashMap<String, syn::Subject>,
}

impl Check<'_> {
    fn groups(&mut self, files: &[&syn::File]) {
        let mut blocks: Vec<&syn::KindBlock> = Vec::new();
        for block in files.iter().flat_map(|f| &f.blocks) {
            if let Block::Kind(kind) = block {
                let name = &kind.name.value;
                if let Some(first) = blocks.iter().find(|b| b.name.value == *name) {
                    self.faults.push(
                        Fault::error("doubled-kind", format!("two kinds are called `{name}`"), kind.name.span)
                            .also(first.name.span, "the first one")
                            .help("give one another name"),
                    );
                    continue;
                }
                if self.known.kind_named(name).is_some() || names_it(name, self.known).is_some() {
                    self.faults.push(
                        Fault::error("hides-built-in", format!("`{name}` is known already"), kind.name.span)
                            .help("give it a name of its own"),
                    );
                    continue;
                }
                self.aliases.insert(name.clone(), kind.subject.clone());
                blocks.push(kind);
            }
        }
        for kind in blocks {
            let set = self.subject_within(&kind.subject, &mut vec![kind.name.value.clone()]);
            self.groups.push((kind.name.value.clone(), set, kind.name.span));
        }
    }

    fn subject(&mut self, subject: &syn::Subject) -> SubjectSet {
        self.subject_within(subject, &mut Vec::new())
    }

    fn subject_within(&mut self, subject: &syn::Subject, path: &mut Vec<String>) -> SubjectSet {
        let terms = subject.terms.iter().filter_map(|t| self.term(t, path)).collect();
        let except = subject.except.iter().filter_map(|t| self.term(t, path)).collect();
        SubjectSet { terms, except }
    }

    fn term(&mut self, term: &syn::Term, path: &mut Vec<String>) -> Option<SubjectTerm> {
        match term {
            syn::Term::AnyFood(_) => Some(SubjectTerm::AnyFood),
            syn::Term::AnyScrap(_) => Some(SubjectTerm::AnyScrap),
            syn::Term::TheBag(span) => {
                self.faults.push(
                    Fault::error("bag-among-scraps", "`the bag` stands alone", *span)
                        .help("a rule is about scraps or about the bag, not both"),
                );
                None
            }
            syn::Term::Named(phrase) => self.named(phrase, path),
        }
    }

    /// A name as a subject: a group, a kind, an item, "part of X" or "X part".
    fn named(&mut self, phrase: &Phrase, path: &mut Vec<String>) -> Option<SubjectTerm> {
        let name = phrase.value.as_str();
        if let Some(alias) = self.aliases.get(name).cloned() {
            if path.iter().any(|p| p == name) {
                self.faults.push(
                    Fault::error("kind-in-itself", format!("the kind `{name}` contains itself"), phrase.span)
                        .help("take it out of its own list"),
                );
                return None;
            }
            path.push(name.to_string());
            let set = self.subject_within(&alias, path);
            path.pop();
            return Some(SubjectTerm::Group(name.to_string(), Box::new(set)));
        }
        if let Some(term) = self.thing(name, None) {
            return Some(term);
        }
        let vocabulary = self.known.vocabulary();
        let part_of = |word: &str| -> Option<PartId> {
            vocabulary.parts().find(|(_, p)| p.name == word || p.words.iter().any(|w| w == word)).map(|(id, _)| id)
        };
        let split = name.split_once(" of ").map(|(p, n)| (n, p)).or_else(|| name.rsplit_once(' '));
        if let Some((rest, part)) = split {
            if let Some(part) = part_of(part) {
                if let Some(term) = self.thing(rest, Some(part)) {
                    return Some(term);
                }
            }
        }
        let mut fault = unknown_name(phrase, self.known);
        if let Some(near) = nearest(name, self.aliases.keys().map(String::as_str)) {
            fault = fault.help(format!("did you mean `{near}`?"));
        }
        self.faults.push(fault);
        None
    }

    /// A kind or an item by name; an item that is a kind's own namesake stands for the kind.
    fn thing(&self, name: &str, part: Option<PartId>) -> Option<SubjectTerm> {
        let kind = |id: KindId| SubjectTerm::Kind(id, part);
        if let Some(id) = self.known.kind_named(name) {
            return Some(kind(id));
        }
        let item = names_it(name, self.known)?;
        match self.known.kind_named(self.known.item_name(item)) {
            Some(id) if self.known.kinds_of(item).contains(&id) => Some(kind(id)),
            _ => Some(SubjectTerm::Item(item, part)),
        }
    }

    fn state(&mut self, phrase: &Phrase) -> Option<StateId> {
        let vocabulary = self.known.vocabulary();
        let found = vocabulary
            .state(&phrase.value)
            .or_else(|| vocabulary.states().find(|(_, s)| s.words.contains(&phrase.value)).map(|(id, _)| id));
        if found.is_none() {
            self.faults.push(unknown_state(phrase, self.known));
        }
        found
    }

    fn preparations(&mut self, phrases: &[Phrase], verb: &str) -> Vec<StateId> {
        let mut out = Vec::new();
        for phrase in phrases {
            let Some(state) = self.state(phrase) else { continue };
            let sort = self.known.vocabulary().state_of(state).map(|s| s.sort);
            if sort == Some(Sort::Condition) {
                self.faults.push(
                    Fault::error(
                        "not-a-preparation",
                        format!("`{}` is nothing a person can bring about", phrase.value),
                        phrase.span,
                    )
                    .help(format!("`{verb}` takes things to do, such as frozen, chopped, crushed, rinsed")),
                );
            } else {
                out.push(state);
            }
        }
        out
    }

    fn when(&mut self, condition: &syn::Condition) -> When {
        match condition {
            syn::Condition::Or(all) => When::Or(all.iter().map(|c| self.when(c)).collect()),
            syn::Condition::And(all) => When::And(all.iter().map(|c| self.when(c)).collect()),
            syn::Condition::Not(one) => When::Not(Box::new(self.when(one))),
            syn::Condition::Place(indoors, _) => When::Indoors(*indoors),
            syn::Condition::Dated(after, day) => When::Date(*after, day.value),
            syn::Condition::Is(phrase) => When::Is(
                self.named(phrase, &mut Vec::new())
                    .map_or_else(SubjectSet::default, |t| SubjectSet { terms: vec![t], except: Vec::new() }),
            ),
            syn::Condition::Fed(phrase, days) => {
                let set = self
                    .named(phrase, &mut Vec::new())
                    .map_or_else(SubjectSet::default, |t| SubjectSet { terms: vec![t], except: Vec::new() });
                When::Fed(set, *days)
            }
            syn::Condition::Named(phrase) => self.state_or_sign(phrase),
            syn::Condition::Compare(c) => self.compare(c),
        }
    }

    fn state_or_sign(&mut self, phrase: &Phrase) -> When {
        let words = phrase.value.strip_prefix("it ").unwrap_or(&phrase.value);
        if let Some(sign) = Sign::named(words) {
            return When::Sign(sign);
        }
        let vocabulary = self.known.vocabulary();
        if let Some(id) = vocabulary
            .state(words)
            .or_else(|| vocabulary.states().find(|(_, s)| s.words.iter().any(|w| w == words)).map(|(id, _)| id))
        {
            return When::State(id);
        }
        let all = vocabulary.states().map(|(_, s)| s.name.as_str()).chain(Sign::ALL);
        let help = nearest(words, all).map_or_else(
            || {
                if self.known.kind_named(words).is_some() || names_it(words, self.known).is_some() {
                    format!("to ask what the scrap is, write `it is {words}`")
                } else {
                    "a condition is a state such as frozen, a sign such as smells sour, or a fact such as fat above 5 %"
                        .to_string()
                }
            },
            |n| format!("did you mean `{n}`?"),
        );
        self.faults.push(Fault::error("unknown-state", format!("I do not know `{words}`"), phrase.span).help(help));
        When::And(Vec::new())
    }

    fn compare(&mut self, c: &syn::Comparison) -> When {
        let name = c.fact.value.as_str();
        let nothing = When::And(Vec::new());
        if matches!(name, "mass" | "weight" | "share") {
            self.faults.push(
                Fault::error(
                    "bag-fact-in-when",
                    format!("`{name}` is a fact of the bag; a `when` cannot read it"),
                    c.fact.span,
                )
                .help("say how much with `allow up to`"),
            );
            return nothing;
        }
        let Some((fact, _, dimension)) = Fact::ALL.iter().find(|(_, w, _)| *w == name).copied() else {
            let near = nearest(name, Fact::ALL.iter().map(|(_, w, _)| *w)).map(|n| format!("did you mean `{n}`?"));
            self.faults.push(
                Fault::error("unknown-fact", format!("I do not know the fact `{name}`"), c.fact.span).maybe_help(near),
            );
            return nothing;
        };
        let unit = c.unit.value.as_str();
        if unit.is_empty() {
            self.faults.push(
                Fault::error("no-unit", format!("`{name}` needs a unit"), c.span)
                    .help(format!("write {}", dimension.example())),
            );
            return nothing;
        }
        match convert(c.number, unit) {
            Some((value, found)) if found == dimension => {
                if let Some(why) = out_of_range(fact, value) {
                    self.faults.push(Fault::error("out-of-range", why, c.span));
                }
                When::Fact(fact, c.relation, value)
            }
            Some((_, found)) => {
                self.faults.push(
                    Fault::error(
                        "units-differ",
                        format!("`{name}` is {}, but this is {}", dimension.word(), found.word()),
                        c.unit.span,
                    )
                    .also(c.fact.span, dimension.word())
                    .help(format!("write {}", dimension.example())),
                );
                nothing
            }
            None => {
                let all = [
                    "g", "kg", "oz", "lb", "C", "F", "cm", "mm", "in", "m2", "sqft", "days", "weeks", "months",
                    "permille", "ppm",
                ];
                let near = nearest(unit, all)
                    .map(|n| format!("did you mean `{n}`?"))
                    .unwrap_or(format!("write {}", dimension.example()));
                self.faults.push(
                    Fault::error("unknown-unit", format!("I do not know the unit `{unit}`"), c.unit.span).help(near),
                );
                nothing
            }
        }
    }

    fn allowance(&mut self, amount: &At<syn::Amount>) -> Option<Allowance> {
        let a = &amount.value;
        if a.unit == "%" {
            if !(0.0..=100.0).contains(&a.number) {
                self.faults.push(Fault::error(
                    "share-out-of-range",
                    format!("{} % is no share: it is 0 to 100 %", a.number),
                    amount.span,
                ));
                return None;
            }
            return Some(Allowance::Share(ppm(a.number)));
        }
        match convert(a.number, &a.unit) {
            Some((grams, Dimension::Mass)) => Some(Allowance::Mass(Mg::from_grams(grams), a.basis)),
            _ => {
                let near = nearest(&a.unit, ["g", "kg", "oz", "lb", "%"]).map(|n| format!("did you mean `{n}`?"));
                self.faults.push(
                    Fault::error("unknown-unit", format!("`{}` is no unit of mass", a.unit), amount.span)
                        .help(near.unwrap_or_else(|| "write g, kg, oz, lb, or % of the food".into())),
                );
                None
            }
        }
    }

    fn window(&mut self, window: &At<syn::Window>, moisture: bool) -> Option<MixWindow> {
        let w = window.value;
        let scale = if moisture { 100.0 } else { 1.0 };
        if w.low > w.high {
            self.faults.push(
                Fault::error(
                    "range-backwards",
                    format!("this range goes from {} down to {}", w.low, w.high),
                    window.span,
                )
                .help(format!("write {} to {}", w.high, w.low)),
            );
            return None;
        }
        if (moisture && w.high > 100.0) || !w.high.is_finite() {
            self.faults.push(Fault::error("share-out-of-range", "moisture is 0 to 100 %", window.span));
            return None;
        }
        if w.aim.is_some_and(|a| a < w.low || a > w.high) {
            self.faults.push(Fault::error("aim-outside", "the aim lies outside the range", window.span));
            return None;
        }
        Some(MixWindow { low: w.low / scale, high: w.high / scale, aim: w.aim.map(|a| a / scale) })
    }

    fn demand(&mut self, demand: &syn::Demand, span: Span, bag: bool) -> Option<Demand> {
        let of_bag =
            matches!(demand, syn::Demand::Moisture(_) | syn::Demand::CarbonToNitrogen(_) | syn::Demand::Wait(_));
        if of_bag != bag && !matches!(demand, syn::Demand::Wait(_)) {
            let (what, help) = if of_bag {
                ("this asks something of the whole bag", "write `about the bag`")
            } else {
                ("this asks something of a scrap, but the rule is about the bag", "say what it is about")
            };
            self.faults.push(Fault::error("demand-does-not-fit", what, span).help(help));
            return None;
        }
        Some(match demand {
            syn::Demand::KeepOut => Demand::KeepOut,
            syn::Demand::Welcome => Demand::Welcome,
            syn::Demand::Needs(states) => Demand::Needs(self.preparations(states, "needs")),
            syn::Demand::Better(states) => Demand::Better(self.preparations(states, "better")),
            syn::Demand::Allow(amount) => Demand::Allow(self.allowance(amount)?),
            syn::Demand::AllowNamed(name) => {
                if name.value != "a little" {
                    let help = nearest(&name.value, ["a little"])
                        .map_or("write `a little`, or `up to 10 % of the food`", |_| "did you mean `a little`?");
                    self.faults.push(
                        Fault::error(
                            "unknown-setting",
                            format!("I do not know the amount `{}`", name.value),
                            name.span,
                        )
                        .help(help),
                    );
                    return None;
                }
                Demand::Allow(Allowance::ALittle)
            }
            syn::Demand::Moisture(w) => Demand::Have(Mix::Moisture, self.window(w, true)?),
            syn::Demand::CarbonToNitrogen(w) => Demand::Have(Mix::CarbonToNitrogen, self.window(w, false)?),
            syn::Demand::Wait(condition) => Demand::Wait(self.when(condition)),
            syn::Demand::Ask(question, answers) => {
                let mut out = Vec::new();
                for (word, demand) in answers {
                    if matches!(demand, syn::Demand::Ask(..)) {
                        self.faults.push(Fault::error("question-in-answer", "an answer cannot ask again", word.span));
                        continue;
                    }
                    out.extend(self.demand(demand, word.span, bag).map(|d| (word.value.clone(), d)));
                }
                Demand::Ask(question.clone(), out)
            }
        })
    }

    fn rule(
        &mut self,
        block: &syn::RuleBlock,
        layer: Layer,
        sources: &Sources,
        at: &HashMap<String, (RuleId, Span, Layer)>,
    ) -> Rule {
        let name = block.name.value.clone();
        let mut rule = Rule {
            name: name.clone(),
            layer,
            place: block.name.span,
            at_line: sources.place(block.name.span).0,
            from: None,
            until: None,
            dated: true,
            live: true,
            subject: Who::Scraps(SubjectSet::default()),
            lifted: Vec::new(),
            replaced_by: None,
            when: None,
            demands: Vec::new(),
            strict: None,
            lenient: None,
            advises: false,
            cautions: false,
            hazard: false,
            common_practice: false,
            replaces: Vec::new(),
            lifts: Vec::new(),
            texts: Default::default(),
        };
        let mut texts = Texts { file: sources.name(block.name.span.file).to_string(), ..Texts::default() };
        let mut about: Option<Span> = None;
        let bag = block
            .clauses
            .iter()
            .any(|c| matches!(&c.value, Clause::About(s) if matches!(s.terms.as_slice(), [syn::Term::TheBag(_)])));
        let mut seen: Vec<(&'static str, Span)> = Vec::new();
        for clause in &block.clauses {
            let once = once_name(&clause.value);
            if let Some(word) = once {
                if let Some((_, first)) = seen.iter().find(|(w, _)| *w == word) {
                    self.faults.push(
                        Fault::error("doubled-clause", format!("`{word}` stands twice in `{name}`"), clause.span)
                            .also(*first, "the first one")
                            .help("put both in one line, or take one out"),
                    );
                    continue;
                }
                seen.push((word, clause.span));
            }
            match &clause.value {
                Clause::About(subject) => {
                    about = Some(clause.span);
                    rule.subject = if bag { Who::Bag } else { Who::Scraps(self.subject(subject)) };
                }
                Clause::When(condition) => rule.when = Some(self.when(condition)),
                Clause::Demand(side, demand) => {
                    let checked = self.demand(demand, clause.span, bag);
                    match side.as_ref().map(|s| s.value) {
                        None => rule.demands.extend(checked),
                        Some(Side::Strict) => rule.strict = checked,
                        Some(Side::Lenient) => rule.lenient = checked,
                    }
                }
                Clause::Because(text) => texts.because = Some(text.clone()),
                Clause::Advise(text) => texts.advice = Some(text.clone()),
                Clause::Caution(text) => texts.caution = Some(text.clone()),
                Clause::Hazard(text) => {
                    rule.hazard = true;
                    texts.caution = Some(text.clone());
                }
                Clause::Source(ids) => texts.sources.extend(self.publications(ids)),
                Clause::Disputed(ids) => texts.disputed_by.extend(self.publications(ids)),
                Clause::CommonPractice => rule.common_practice = true,
                Clause::Example(example) => texts.examples.push(example.clone()),
                Clause::From(day) => rule.from = Some(day.value),
                Clause::Until(day) => rule.until = Some(day.value),
                Clause::Replaces(names) => {
                    let ids: Vec<RuleId> = names.iter().filter_map(|n| self.earlier(n, layer, at)).collect();
                    rule.replaces.extend(ids);
                }
                Clause::Lifts(name, subject) => {
                    let id = self.earlier(name, layer, at);
                    let set = subject.as_ref().map(|s| self.subject(s));
                    rule.lifts.extend(id.map(|id| (id, set)));
                }
            }
        }
        (rule.advises, rule.cautions) = (texts.advice.is_some(), texts.caution.is_some());
        rule.texts = texts.into();
        self.finish(&mut rule, block, about);
        rule
    }

    /// What must be true of a whole rule.
    fn finish(&mut self, rule: &mut Rule, block: &syn::RuleBlock, about: Option<Span>) {
        let place = block.name.span;
        if rule.from.zip(rule.until).is_some_and(|(from, until)| from > until) {
            self.faults.push(Fault::error("range-backwards", format!("`{}` ends before it begins", rule.name), place));
        }
        let asks = !rule.demands.is_empty() || rule.strict.is_some() || rule.lenient.is_some();
        let overrides = !rule.lifts.is_empty() || !rule.replaces.is_empty();
        // A line that could not be read may have said it: one mistake, one message.
        let unread = self.faults.any_error_within(block.span);
        if about.is_none() && !unread && (asks || rule.when.is_some() || !overrides) {
            self.faults.push(
                Fault::error("no-subject", format!("`{}` does not say what it is about", rule.name), place)
                    .help("add a line such as `about citrus`"),
            );
        }
        if !asks && !unread && !rule.advises && !overrides && !rule.cautions && about.is_some() {
            self.faults.push(
                Fault::error("no-demand", format!("`{}` asks nothing", rule.name), place)
                    .help("add a line such as `keep out` or `needs frozen`"),
            );
        }
        if rule.hazard && (rule.strict.is_some() || rule.lenient.is_some()) {
            self.faults.push(Fault::error(
                "hazard-disputed",
                format!("`{}` is a hazard: it has one demand, whatever the stance", rule.name),
                place,
            ));
        }
        if let Some((strict, lenient)) = rule.strict.as_ref().zip(rule.lenient.as_ref()) {
            if !never_milder(strict, lenient) {
                self.faults.push(
                    Fault::error("strict-is-milder", format!("the strict demand of `{}` may be milder than the lenient one", rule.name), place)
                        .help("strict may be: keep out; the same `needs` with fewer choices; the same `allow` with less; anything where lenient asks nothing"),
                );
            }
        }
        if rule.strict.is_none() && rule.lenient.as_ref().is_some_and(|d| !is_note(d)) {
            self.faults.push(
                Fault::error(
                    "strict-is-milder",
                    format!("`{}` asks something in the lenient stance only", rule.name),
                    place,
                )
                .help("add a `strict` line that asks as much"),
            );
        }
        if rule.layer == Layer::Base {
            if rule.sources().is_empty() && !rule.common_practice {
                self.faults.push(
                    Fault::error("no-source", format!("`{}` names no source", rule.name), place)
                        .help("add `source ...`, or `common practice`"),
                );
            }
            if rule.examples().is_empty() {
                self.faults.push(
                    Fault::error("no-example", format!("`{}` has no example", rule.name), place)
                        .help("add a line such as `example \"orange peel\" gives limit`"),
                );
            }
        }
    }

    fn publications(&mut self, ids: &[At<String>]) -> Vec<String> {
        for id in ids {
            if self.known.publication(&id.value).is_none() {
                let near = nearest(&id.value, self.known.publications().iter().map(|p| p.id.as_str()))
                    .map(|n| format!("did you mean `{n}`?"));
                self.faults.push(
                    Fault::error("unknown-source", format!("I know no publication `{}`", id.value), id.span)
                        .maybe_help(
                            near.or_else(|| Some("`forefeed sources` lists them; or write `common practice`".into())),
                        ),
                );
            }
        }
        ids.iter().map(|i| i.value.clone()).collect()
    }

    fn earlier(
        &mut self,
        name: &At<String>,
        layer: Layer,
        at: &HashMap<String, (RuleId, Span, Layer)>,
    ) -> Option<RuleId> {
        match at.get(name.value.as_str()) {
            Some((id, _, other)) if *other < layer => Some(*id),
            Some((_, span, other)) => {
                self.faults.push(
                    Fault::error(
                        "overrides-own-layer",
                        format!("only a later layer can overrule `{}`", name.value),
                        name.span,
                    )
                    .also(
                        *span,
                        format!("this is {}", if *other == layer { "the same layer" } else { "a later layer" }),
                    )
                    .help("change that rule itself"),
                );
                None
            }
            None => {
                let near = nearest(&name.value, at.keys().map(String::as_str)).map(|n| format!("did you mean `{n}`?"));
                self.faults.push(
                    Fault::error("unknown-rule", format!("there is no rule `{}`", name.value), name.span)
                        .maybe_help(near.or_else(|| Some("`forefeed rules list` names them all".into()))),
                );
                None
            }
        }
    }

    fn answer(
        &mut self,
        answer: &syn::AnswerBlock,
        at: &HashMap<String, (RuleId, Span, Layer)>,
        book: &Book,
    ) -> Option<Answer> {
        let Some((id, _, _)) = at.get(answer.rule.value.as_str()) else {
            let near =
                nearest(&answer.rule.value, at.keys().map(String::as_str)).map(|n| format!("did you mean `{n}`?"));
            self.faults.push(
                Fault::error("unknown-rule", format!("there is no rule `{}`", answer.rule.value), answer.rule.span)
                    .maybe_help(near),
            );
            return None;
        };
        let subject = self.subject(&answer.subject);
        let rule = book.rule(*id)?;
        let words: Vec<&str> = rule
            .demands
            .iter()
            .chain(&rule.strict)
            .chain(&rule.lenient)
            .filter_map(|d| if let Demand::Ask(_, answers) = d { Some(answers) } else { None })
            .flatten()
            .map(|(w, _)| w.as_str())
            .collect();
        if !words.contains(&answer.reply.value.as_str()) {
            let help = if words.is_empty() {
                format!("`{}` asks no question", rule.name)
            } else {
                format!("its answers are {}", words.join(", "))
            };
            self.faults.push(
                Fault::error(
                    "unknown-answer",
                    format!("`{}` is no answer to `{}`", answer.reply.value, rule.name),
                    answer.reply.span,
                )
                .help(help),
            );
            return None;
        }
        Some(Answer { rule: *id, subject, reply: answer.reply.value.clone() })
    }

    fn setting(&mut self, setting: &syn::SettingBlock, layer: Layer, out: &mut Settings) {
        let name = setting.name.value.as_str();
        let value = &setting.value;
        let quantity = |dimension: Dimension| match &value.value {
            syn::SettingValue::Amount(a) => convert(a.number, &a.unit).filter(|(_, d)| *d == dimension).map(|(v, _)| v),
            syn::SettingValue::Word(_) => None,
        };
        let word = match &value.value {
            syn::SettingValue::Word(w) => w.as_str(),
            syn::SettingValue::Amount(_) => "",
        };
        let wants = match name {
            "a little" => {
                if let syn::SettingValue::Amount(a) = &value.value {
                    if let Some(allowance) = self.allowance(&At { value: a.clone(), span: value.span }) {
                        out.a_little = (allowance, layer);
                    }
                    return;
                }
                "an amount such as `8 % of the food`"
            }
            "worms" => match quantity(Dimension::Mass).filter(|g| *g > 0.0 && *g <= 1e6) {
                Some(g) => {
                    out.worms = (Mg::from_grams(g), layer);
                    return;
                }
                None => "a mass such as 900 g",
            },
            "stance" => match word {
                "strict" => {
                    out.stance = (Side::Strict, layer);
                    return;
                }
                "lenient" => {
                    out.stance = (Side::Lenient, layer);
                    return;
                }
                _ => "`lenient` or `strict`",
            },
            "grit" => match quantity(Dimension::Share).filter(|s| (0.0..=1.0).contains(s)) {
                Some(s) => {
                    out.grit_ppm = (ppm(s * 100.0), layer);
                    return;
                }
                None => "a share such as `1 % of the food`",
            },
            "bin" => match word {
                "indoors" | "outdoors" => {
                    out.indoors = Some(word == "indoors");
                    return;
                }
                _ => "`indoors` or `outdoors`",
            },
            "temperature" => match quantity(Dimension::Temperature).filter(|t| (-50.0..=80.0).contains(t)) {
                Some(t) => {
                    out.temperature_c = Some(t);
                    return;
                }
                None => "a temperature such as 20 C or 68 F",
            },
            "area" => match quantity(Dimension::Area).filter(|a| *a > 0.0 && *a < 1e4) {
                Some(a) => {
                    out.area_m2 = Some(a);
                    return;
                }
                None => "an area such as 0.25 m2 or 2 sqft",
            },
            "age" => match quantity(Dimension::Time) {
                Some(d) => {
                    out.age_days = Some(d);
                    return;
                }
                None => "a time such as 6 weeks",
            },
            _ => {
                let all = ["a little", "worms", "stance", "grit", "bin", "temperature", "area", "age"];
                let help = nearest(name, all)
                    .map_or_else(|| format!("settings are {}", all.join(", ")), |n| format!("did you mean `{n}`?"));
                self.faults.push(
                    Fault::error("unknown-setting", format!("I do not know the setting `{name}`"), setting.name.span)
                        .help(help),
                );
                return;
            }
        };
        self.faults.push(
            Fault::error("bad-setting", format!("`{name}` cannot be this"), value.span).help(format!("write {wants}")),
        );
    }
}

fn once_name(clause: &Clause) -> Option<&'static str> {
    Some(match clause {
        Clause::About(_) => "about",
        Clause::When(_) => "when",
        Clause::Because(_) => "because",
        Clause::Advise(_) => "advise",
        Clause::Hazard(_) | Clause::Caution(_) => "caution",
        Clause::From(_) => "from",
        Clause::Until(_) => "until",
        Clause::Demand(Some(side), _) => side.value.word(),
        _ => return None,
    })
}

fn out_of_range(fact: Fact, value: f64) -> Option<String> {
    match fact {
        Fact::Temperature if !(-50.0..=80.0).contains(&value) => Some(format!("no worm bin has {value:.0} degrees C")),
        Fact::Fat | Fact::Salt | Fact::Sugar | Fact::Moisture | Fact::Nitrogen | Fact::BinMoisture if value > 1.0 => {
            Some(format!("{:.0} % is no share: it is 0 to 100 %", value * 100.0))
        }
        _ => None,
    }
}

/// A demand that leads to a note and no verdict.
pub(crate) fn is_note(demand: &Demand) -> bool {
    matches!(demand, Demand::Better(_) | Demand::Welcome)
}

/// Whether a strict demand is never milder than a lenient one.
fn never_milder(strict: &Demand, lenient: &Demand) -> bool {
    match (strict, lenient) {
        (Demand::KeepOut, _) => true,
        (_, l) if is_note(l) => true,
        (Demand::Needs(s), Demand::Needs(l)) => s.iter().all(|q| l.contains(q)) && !s.is_empty(),
        (Demand::Allow(Allowance::Share(s)), Demand::Allow(Allowance::Share(l))) => s <= l,
        (Demand::Allow(Allowance::Mass(s, a)), Demand::Allow(Allowance::Mass(l, b))) => a == b && s <= l,
        _ => false,
    }
}

/// Two overrides of one rule on one (item, part) in one layer are an error.
fn two_overrides(book: &Book, known: &Known, faults: &mut Faults) {
    let unsettled = || book.unsettled.iter().filter_map(|id| Some((*id, book.rule(*id)?)));
    for (id, rule) in unsettled() {
        let Who::Scraps(subject) = &rule.subject else { continue };
        let mut by: Vec<(&Rule, Option<&SubjectSet>)> = Vec::new();
        for (_, other) in unsettled().filter(|(_, r)| r.dated) {
            by.extend(other.replaces.iter().filter(|r| **r == id).map(|_| (other, None)));
            if other.live {
                by.extend(other.lifts.iter().filter(|(r, _)| *r == id).map(|(_, s)| (other, s.as_ref())));
            }
        }
        for (i, (a, sa)) in by.iter().enumerate() {
            for (b, sb) in by.iter().skip(i + 1).filter(|(b, _)| b.layer == a.layer) {
                let witness = known.items().find(|(item, _)| {
                    let mut parts = std::iter::once(None).chain(known.vocabulary().parts().map(|(p, _)| Some(p)));
                    parts.any(|p| {
                        subject.holds(*item, p, known)
                            && sa.is_none_or(|s| s.holds(*item, p, known))
                            && sb.is_none_or(|s| s.holds(*item, p, known))
                    })
                });
                if let Some((_, item)) = witness {
                    faults.push(
                        Fault::error(
                            "two-overrides",
                            format!("`{}` and `{}` both overrule `{}` for {}", a.name, b.name, rule.name, item.name),
                            b.place,
                        )
                        .also(a.place, "the other one")
                        .help("keep one of the two, or make their subjects differ"),
                    );
                }
            }
        }
    }
}
