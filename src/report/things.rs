//! What is known of things, and what publications say of them, for people.
//!
//! Publishers are counted, not pages; science stands apart; what only follows from a text, or is
//! not about bins, is shown and not counted.

use super::{Ink, Page, Width, book, said, words};
use crate::Household;
use crate::bag::{Named, PartId};
use crate::fault::nearest;
use crate::judge::Verdict;
use crate::knowledge::{
    self, Basis, Composition, Identified, Item, ItemId, KindId, Known, Language, Pace, Publication, Rung, Stance,
    Statement, Usual,
};
use crate::language::{Demand, Rule, RuleId};
use std::collections::BTreeMap;

/// Where the text of a screen begins.
const INDENT: usize = 13;

/// Items that some words name: all of a kind, one by any of its names, else those with a name that
/// holds the words. None for no words.
pub fn named(home: &Household, asked: &str) -> Vec<ItemId> {
    let asked = asked.trim().to_lowercase();
    if asked.is_empty() {
        return Vec::new();
    }
    let found = exactly(home, &asked);
    if !found.is_empty() {
        return found;
    }
    let holds = |item: &Item| item.names.iter().any(|n| n.text.to_lowercase().contains(&asked));
    home.known.items().filter(|(_, i)| holds(i)).map(|(id, _)| id).collect()
}

/// Items that some words name without guessing: all of a kind, or one.
pub(super) fn exactly(home: &Household, asked: &str) -> Vec<ItemId> {
    let known = &home.known;
    if let Some(kind) = known.kind_named(asked) {
        let all: Vec<ItemId> =
            known.items().filter(|(id, _)| known.kinds_of(*id).contains(&kind)).map(|(id, _)| id).collect();
        if !all.is_empty() {
            return all;
        }
    }
    if let Some((_, set)) = home.book.groups.iter().find(|(name, _)| name.to_lowercase() == asked) {
        let parts: Vec<Option<PartId>> =
            std::iter::once(None).chain(known.vocabulary().parts().map(|(p, _)| Some(p))).collect();
        return known
            .items()
            .filter(|(id, _)| parts.iter().any(|p| set.holds(*id, *p, known)))
            .map(|(id, _)| id)
            .collect();
    }
    one(home, asked).into_iter().collect()
}

/// The item that some words name without guessing.
fn one(home: &Household, asked: &str) -> Option<ItemId> {
    let known = &home.known;
    if let Some(id) = known.item_named(asked) {
        return Some(id);
    }
    let named = Named { name: asked.to_string(), full: asked.to_string(), ..Named::default() };
    let identity = match home.language {
        Some(language) => knowledge::identify_in(&named, known, language),
        None => knowledge::identify(&named, known),
    };
    let written = identity.rung.is_some_and(|r| r <= Rung::Normalised);
    identity.item.filter(|_| written && identity.identified <= Identified::Likely)
}

/// The name of a thing, a kind or a publication that a mistyped word is nearest to.
pub fn nearest_name<'a>(home: &'a Household, asked: &str) -> Option<&'a str> {
    let known = &home.known;
    let kinds = known.kinds().map(|(_, k)| k.name.as_str());
    let names = known.items().flat_map(|(_, i)| i.names.iter().map(|n| n.text));
    nearest(asked, kinds.chain(names).chain(known.publications().iter().map(|p| p.id.as_str())))
}

/// All things, or some that were asked for: a list by kinds, or everything about a single one.
pub fn items(home: &Household, asked: &str, only: &[ItemId], width: Width) -> Page {
    let mut page = Page::new(width);
    let known = &home.known;
    let asked = asked.trim().to_lowercase();
    if let [id] = only {
        details(home, *id, &mut page);
        return page;
    }
    let all: Vec<ItemId> = if only.is_empty() { known.items().map(|(id, _)| id).collect() } else { only.to_vec() };
    let kind = known.kind_named(&asked).and_then(|id| known.kind(id));
    match kind {
        Some(kind) => {
            page.headline(&format!("{}: {}", kind.name.to_uppercase(), words::count(all.len(), "thing")), Ink::Strong);
            if !kind.means.is_empty() {
                page.headline(&kind.means, Ink::Plain);
            }
        }
        None => {
            let about = if asked.is_empty() { String::new() } else { format!(": {}", words::clipped(&asked, 40)) };
            page.headline(&format!("{} known{about}", words::count(all.len(), "thing")), Ink::Strong);
        }
    }
    let mut by_kind: BTreeMap<Option<KindId>, Vec<&str>> = BTreeMap::new();
    for id in &all {
        let Some(item) = known.item(*id) else { continue };
        by_kind.entry(item.is.first().copied()).or_default().push(&item.name);
    }
    page.blank();
    for (kind, names) in by_kind {
        let label = kind.and_then(|k| known.kind(k)).map_or("other things", |k| k.name.as_str());
        page.row(label, Ink::Quiet, 22, &names.join(", "));
    }
    page.blank();
    page.row("ONE OF THEM", Ink::Quiet, INDENT, "forefeed items NAME");
    page
}

/// Everything about one item.
fn details(home: &Household, id: ItemId, page: &mut Page) {
    let known = &home.known;
    let Some(item) = known.item(id) else { return };
    let v = known.vocabulary();
    let names = |language: Language| -> Vec<&str> {
        item.names.iter().filter(|n| n.language == language && n.text != item.name).map(|n| n.text).collect()
    };
    page.headline(&item.name.to_uppercase(), Ink::Strong);
    for (language, label) in
        [(Language::En, "ALSO"), (Language::Es, "SPANISH"), (Language::De, "GERMAN"), (Language::Fr, "FRENCH")]
    {
        if !names(language).is_empty() {
            page.row(label, Ink::Quiet, INDENT, &names(language).join(", "));
        }
    }
    page.row("IS", Ink::Quiet, INDENT, &format!("{}; in a bin it is {}", kinds(item, known), role(item)));
    if let Some(part) = item.usual {
        page.row("MEANS", Ink::Quiet, INDENT, &format!("the {}, where no part is written", v.part_name(part)));
    }
    let parts: Vec<String> = item
        .parts
        .iter()
        .map(|p| {
            v.part_name(p.part).to_string()
                + &p.share.map_or_else(String::new, |s| format!(" ({} of it)", words::percent(s)))
        })
        .collect();
    list("PARTS", &parts, page);
    let states: Vec<String> = item
        .states
        .iter()
        .map(|(s, usual)| match usual {
            Usual::Yes => v.state_name(*s).to_string(),
            Usual::No => format!("not {}", v.state_name(*s)),
            Usual::Unknown => format!("perhaps {}", v.state_name(*s)),
        })
        .collect();
    list("USUALLY", &states, page);
    let includes: Vec<String> =
        item.includes.iter().map(|(i, s)| format!("{} ({} of it)", known.item_name(*i), words::percent(*s))).collect();
    list("HOLDS", &includes, page);
    let made = &item.made_of;
    let of = |ids: &[ItemId]| ids.iter().map(|i| known.item_name(*i)).collect::<Vec<_>>().join(", ");
    let made: Vec<String> = [("mostly", &made.main), ("some", &made.some), ("a trace of", &made.trace)]
        .into_iter()
        .filter(|(_, ids)| !ids.is_empty())
        .map(|(how, ids)| format!("{how} {}", of(ids)))
        .collect();
    list_by("MADE OF", &made, "; ", page);
    let weighs: Vec<String> = item
        .weighs()
        .iter()
        .map(|p| {
            format!("{} {}{}", p.measure, words::grams(p.grams), if p.from_database { "" } else { " (our estimate)" })
        })
        .collect();
    list("WEIGHS", &weighs, page);
    let (composition, basis) = &item.composition;
    page.row("HOLDS IN IT", Ink::Quiet, INDENT, &figures(composition));
    page.row("FROM", Ink::Quiet, INDENT, &from(basis, known));
    for part in &item.parts {
        if let Some((composition, basis)) = &part.composition {
            page.row(
                &format!("ITS {}", v.part_name(part.part).to_uppercase()),
                Ink::Quiet,
                INDENT,
                &format!("{}; {}", figures(composition), from(basis, known)),
            );
        }
    }
    if let Some(pace) = item.pace {
        let pace = match pace {
            Pace::Fast => "in weeks (common practice)",
            Pace::Slow => "in months (common practice)",
            Pace::Lasts => "very slowly, if at all (common practice)",
        };
        page.row("VANISHES", Ink::Quiet, INDENT, pace);
    }
    list("MAY BRING", item.tends(), page);
    if let Some(pattern) = &item.pattern {
        page.row("LINE LIKE", Ink::Quiet, INDENT, &format!("/{pattern}/"));
    }
    let rules = book::speaking_of(home, id);
    rules_row(&rules, home, page);
    if let Some(place) = item.place {
        let sources = &home.book.sources;
        let built_in = crate::base::texts().get(place.file).is_some_and(|t| t.name == sources.name(place.file));
        let (label, ink) = if built_in { ("FILE", Ink::Quiet) } else { ("YOURS", Ink::Strong) };
        page.row(label, ink, INDENT, &format!("{}, line {}", sources.name(place.file), sources.place(place).0));
    }
}

fn list(label: &str, parts: &[String], page: &mut Page) {
    list_by(label, parts, ", ", page);
}

fn list_by(label: &str, parts: &[String], joined: &str, page: &mut Page) {
    if !parts.is_empty() {
        page.row(label, Ink::Quiet, INDENT, &parts.join(joined));
    }
}

fn role(item: &Item) -> &'static str {
    match item.role {
        knowledge::Role::Food => "food",
        knowledge::Role::Bedding => "bedding",
        knowledge::Role::Grit => "grit",
        knowledge::Role::Other => "neither food, bedding nor grit",
    }
}

/// The kinds of an item, nearest first.
fn kinds(item: &Item, known: &Known) -> String {
    let (mut all, mut level): (Vec<KindId>, Vec<KindId>) = (Vec::new(), item.is.clone());
    while !level.is_empty() {
        level.retain(|k| !all.contains(k));
        level.dedup();
        all.extend(&level);
        level = level.iter().filter_map(|k| known.kind(*k)).flat_map(|k| k.broader.clone()).collect();
    }
    let names: Vec<&str> = all.iter().filter_map(|k| known.kind(*k)).map(|k| k.name.as_str()).collect();
    if names.is_empty() { "of no kind".to_string() } else { names.join(", ") }
}

fn figures(c: &Composition) -> String {
    let mut all = vec![
        format!("water {}", words::percent(c.water)),
        format!("carbon {}", words::percent(c.carbon)),
        format!("nitrogen {}", words::percent(c.nitrogen)),
    ];
    if c.nitrogen > 0.0 {
        all.push(format!("C:N {}", words::number(c.carbon / c.nitrogen)));
    }
    for (name, share) in [("fat", c.fat), ("salt", c.salt), ("sugar", c.sugar), ("ash", c.ash)] {
        all.extend(share.map(|s| format!("{name} {}", words::percent(s))));
    }
    all.join(", ")
}

fn from(basis: &Basis, known: &Known) -> String {
    match basis {
        Basis::Database(number) => format!("food composition database SR28, number {number}"),
        Basis::Like(id) => format!("an estimate: the figures of {}", known.item_name(*id)),
        Basis::Source(id) => known.publication(id).map_or_else(|| id.clone(), said::cited),
        Basis::Ingredients => "an estimate from what it is made of".to_string(),
        Basis::Estimate => "our estimate, without a source".to_string(),
    }
}

/// What the book decided: the rules that always apply in full, the others by what they wait for.
fn rules_row(rules: &[RuleId], home: &Household, page: &mut Page) {
    let (book, known) = (&home.book, &home.known);
    let rules: Vec<&Rule> = rules.iter().filter_map(|id| book.rule(*id)).collect();
    let notes = |r: &Rule| {
        r.demands.iter().chain(&r.strict).chain(&r.lenient).all(|d| matches!(d, Demand::Better(_) | Demand::Welcome))
    };
    let mut label = "RULES";
    for r in rules.iter().filter(|r| r.when.is_none() && !notes(r)) {
        let place = format!("[{}, {}]", words::whose(r.layer), words::place(r));
        page.row(
            label,
            Ink::Quiet,
            INDENT,
            &format!("{}: {}: {} {place}", r.name, words::who(&r.subject, known), book::asks(r, home)),
        );
        label = "";
    }
    let mut when: Vec<(String, String)> = Vec::new();
    for (condition, r) in rules.iter().filter(|r| !notes(r)).filter_map(|r| r.when.as_ref().map(|w| (w, r))) {
        let condition = words::when(condition, known);
        match when.iter_mut().find(|(c, _)| *c == condition) {
            Some((_, names)) => *names += &format!(", {}", r.name),
            None => when.push((condition, r.name.clone())),
        }
    }
    let when: Vec<String> = when.into_iter().map(|(condition, names)| format!("{condition}: {names}")).collect();
    list_by("WHEN", &when, "; ", page);
    let notes: Vec<String> = rules.iter().filter(|r| notes(r)).map(|r| r.name.clone()).collect();
    list("NOTES", &notes, page);
    if rules.is_empty() {
        page.row("RULES", Ink::Quiet, INDENT, "none in force speaks of it by name or kind");
    }
}

/// What is asked of the publications.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Asked {
    /// All of them.
    All,
    /// One, by its id.
    Publication(String),
    /// All of some publishers.
    Publishers(Vec<String>),
    /// What they say of a thing: its name, and the names that statements may speak of it by.
    Thing {
        /// As the knowledge base calls it.
        name: String,
        /// Its own name and those of its nearest kinds of which anything is said.
        names: Vec<String>,
        /// The rules in force that speak of it.
        rules: Vec<RuleId>,
        /// Its own verdict as a bare name, if it is an item.
        verdict: Option<Verdict>,
    },
    /// What they say of something that is no thing of ours ("mouldy").
    Words(String),
}

/// What some words ask of the publications; `None` if they name nothing known.
pub fn asked(home: &Household, asked: &str) -> Option<Asked> {
    let known = &home.known;
    let asked = asked.trim().to_lowercase();
    if asked.is_empty() {
        return Some(Asked::All);
    }
    if known.publication(&asked).is_some() {
        return Some(Asked::Publication(asked));
    }
    if let Some(thing) = thing(home, &asked) {
        return Some(thing);
    }
    let holds = |p: &&Publication| p.voice == asked || (asked.len() > 2 && p.publisher.to_lowercase().contains(&asked));
    let mut voices: Vec<String> = known.publications().iter().filter(holds).map(|p| p.voice.clone()).collect();
    voices.sort();
    voices.dedup();
    if !voices.is_empty() {
        return Some(Asked::Publishers(voices));
    }
    known.statements().iter().any(|s| s.subject.to_lowercase().contains(&asked)).then_some(Asked::Words(asked))
}

fn thing(home: &Household, asked: &str) -> Option<Asked> {
    let known = &home.known;
    let item =
        known.item_named(asked).or_else(|| if known.kind_named(asked).is_some() { None } else { one(home, asked) });
    if let Some(item) = item {
        let name = known.item_name(item).to_string();
        let bag = crate::check(name.as_bytes(), home);
        let verdict = bag.judged.first().filter(|_| bag.judged.len() == 1).map(|j| j.verdict);
        return Some(Asked::Thing {
            names: spoken_by(&name, known.item(item)?.is.clone(), known),
            name,
            rules: book::speaking_of(home, item),
            verdict,
        });
    }
    let kind = known.kind_named(asked)?;
    let broader = known.kind(kind)?.broader.clone();
    Some(Asked::Thing {
        name: asked.to_string(),
        names: spoken_by(asked, broader, known),
        rules: book::speaking_of_kind(home, kind),
        verdict: None,
    })
}

/// The names that statements may speak of a thing by: its own, and those of the nearest kinds of it
/// of which anything is said.
fn spoken_by(own: &str, mut level: Vec<KindId>, known: &Known) -> Vec<String> {
    let speaks = |name: &str| known.statements().iter().any(|s| s.about.as_deref() == Some(name));
    let mut names = vec![own.to_string()];
    let mut depth = 0;
    while !level.is_empty() && depth < 8 {
        let here: Vec<&str> =
            level.iter().filter_map(|k| known.kind(*k)).map(|k| k.name.as_str()).filter(|n| speaks(n)).collect();
        if !here.is_empty() {
            names.extend(here.into_iter().filter(|n| *n != own).map(String::from));
            break;
        }
        level = level.iter().filter_map(|k| known.kind(*k)).flat_map(|k| k.broader.clone()).collect();
        depth += 1;
    }
    names
}

/// The publications and statements that were asked for.
pub fn spoken<'a>(home: &'a Household, asked: &Asked) -> (Vec<&'a Publication>, Vec<&'a Statement>) {
    let known = &home.known;
    let of = |s: &Statement, fits: &dyn Fn(&Publication) -> bool| known.publication(&s.source).is_some_and(fits);
    let statements: Vec<&Statement> = known
        .statements()
        .iter()
        .filter(|s| match asked {
            Asked::All => true,
            Asked::Publication(id) => s.source == *id,
            Asked::Publishers(voices) => of(s, &|p| voices.contains(&p.voice)),
            Asked::Thing { names, .. } => s.about.as_ref().is_some_and(|a| names.contains(a)),
            Asked::Words(words) => s.subject.to_lowercase().contains(words.as_str()),
        })
        .collect();
    let publications = known
        .publications()
        .iter()
        .filter(|p| match asked {
            Asked::All => true,
            Asked::Publication(id) => p.id == *id,
            Asked::Publishers(voices) => voices.contains(&p.voice),
            Asked::Thing { .. } | Asked::Words(_) => statements.iter().any(|s| s.source == p.id),
        })
        .collect();
    (publications, statements)
}

/// The publications: all, some, or what they say of a thing and what the book made of it.
pub fn sources(home: &Household, asked: &Asked, width: Width) -> Page {
    let mut page = Page::new(width);
    let (publications, statements) = spoken(home, asked);
    match asked {
        Asked::All => all(&publications, &mut page),
        Asked::Publication(_) | Asked::Publishers(_) => some(home, &publications, &statements, &mut page),
        Asked::Words(words) => {
            opinions(&words::clipped(words, 40), home, &statements, &mut page);
            page.blank();
            let rules: Vec<RuleId> = book::matching(home, words)
                .into_iter()
                .filter(|id| home.book.rule(*id).is_some_and(|r| r.live))
                .collect();
            rules_row(&rules, home, &mut page);
        }
        Asked::Thing { name, names, rules, verdict } => {
            opinions(name, home, &statements, &mut page);
            if let [_, kinds @ ..] = names.as_slice() {
                if !kinds.is_empty() && !statements.is_empty() {
                    page.row(
                        "COUNTED",
                        Ink::Quiet,
                        INDENT,
                        &format!("what they say of {name} and of {}", words::list(kinds, "and")),
                    );
                }
            }
            page.blank();
            if let Some(verdict) = verdict {
                page.row(
                    "BOOK",
                    Ink::Strong,
                    INDENT,
                    &format!("{} (judged by itself, on the side you take)", words::outcome(Some(*verdict))),
                );
            }
            rules_row(rules, home, &mut page);
        }
    }
    page
}

fn all(publications: &[&Publication], page: &mut Page) {
    let mut voices: Vec<&str> = publications.iter().map(|p| p.voice.as_str()).collect();
    voices.sort_unstable();
    voices.dedup();
    page.headline(
        &format!("{} of {}.", words::count(publications.len(), "publication"), words::count(voices.len(), "publisher")),
        Ink::Strong,
    );
    for (group, label) in
        [("guidance", "ADVICE FOR HOUSEHOLDS"), ("science", "SCIENCE"), ("reference", "FIGURES AND REFERENCE")]
    {
        page.blank();
        page.headline(label, Ink::Quiet);
        for p in publications.iter().filter(|p| p.group == group) {
            let year = p.year.map_or_else(String::new, |y| format!(", {y}"));
            page.row(&p.id, Ink::Plain, 30, &format!("{}. {}{year}", p.title, p.publisher));
        }
    }
    page.blank();
    page.row("ONE OF THEM", Ink::Quiet, INDENT, "forefeed sources ID");
    page.row("OF A THING", Ink::Quiet, INDENT, "forefeed sources orange");
}

fn some(home: &Household, publications: &[&Publication], statements: &[&Statement], page: &mut Page) {
    for p in publications {
        page.blank();
        page.headline(&p.id, Ink::Strong);
        page.row("TITLE", Ink::Quiet, INDENT, &said::cited(p));
        let counts = p.restates.as_deref().map_or_else(|| p.voice.clone(), |r| format!("{r}, which it restates"));
        page.row("COUNTS AS", Ink::Quiet, INDENT, &format!("{counts} ({}, {})", p.group, p.kind));
        if let Some(note) = &p.note {
            page.row("NOTE", Ink::Quiet, INDENT, note);
        }
        for stance in [Stance::Avoid, Stance::Limit, Stance::Accept] {
            let said: Vec<String> = statements
                .iter()
                .filter(|s| s.source == p.id && s.stance == stance)
                .map(|s| s.subject.clone() + &grounds(s))
                .collect();
            list_by(word(stance), &said, "; ", page);
        }
        let cite = |r: &crate::language::Rule| r.sources().contains(&p.id) || r.disputed_by().contains(&p.id);
        let rules: Vec<String> = home.book.rules.iter().filter(|r| r.live && cite(r)).map(|r| r.name.clone()).collect();
        list("CITED BY", &rules, page);
    }
}

fn word(stance: Stance) -> &'static str {
    match stance {
        Stance::Avoid => "NEVER",
        Stance::Limit => "A LITTLE",
        Stance::Accept => "FEED IT",
    }
}

/// On what grounds, how much, and what must be done first; in brackets, or nothing.
fn grounds(s: &Statement) -> String {
    let mut parts: Vec<String> = s.reason.iter().cloned().collect();
    if let Some(dose) = &s.limit {
        let number = dose.value.map(words::number);
        let words: Vec<String> = [number, dose.unit.clone(), dose.basis.clone()].into_iter().flatten().collect();
        parts.push(words.join(" "));
    }
    if !s.prepare.is_empty() {
        parts.push(format!("first {}", s.prepare.join(", ")));
    }
    if parts.is_empty() { String::new() } else { format!(" ({})", parts.join("; ")) }
}

/// What one publisher says.
struct Voice<'a> {
    stance: Stance,
    counted: bool,
    statements: Vec<&'a Statement>,
}

/// Publishers by the strictest that each says outright.
fn voices<'a>(statements: &[&'a Statement], known: &Known, science: bool) -> BTreeMap<String, Voice<'a>> {
    let mut all: BTreeMap<String, Voice<'a>> = BTreeMap::new();
    for s in statements {
        let Some(p) = known.publication(&s.source).filter(|p| (p.group == "science") == science) else { continue };
        let outright = s.implied.is_none() && s.not_about_bins.is_none();
        let name = p.restates.as_deref().unwrap_or(&p.voice).to_string();
        let voice =
            all.entry(name).or_insert_with(|| Voice { stance: s.stance, counted: outright, statements: Vec::new() });
        if outright && !voice.counted {
            (voice.stance, voice.counted) = (s.stance, true);
        } else if outright == voice.counted {
            voice.stance = voice.stance.max(s.stance);
        }
        voice.statements.push(s);
    }
    all
}

fn opinions(name: &str, home: &Household, statements: &[&Statement], page: &mut Page) {
    let known = &home.known;
    let advice = voices(statements, known, false);
    page.headline(&format!("{}: {}", name.to_uppercase(), agreement(&advice)), Ink::Strong);
    rows(&advice, known, page);
    let science = voices(statements, known, true);
    if !science.is_empty() {
        page.blank();
        page.headline("Trials and papers, counted apart:", Ink::Quiet);
        rows(&science, known, page);
    }
}

/// How far publishers agree, in words.
fn agreement(voices: &BTreeMap<String, Voice<'_>>) -> String {
    let count = |stance: Stance| voices.values().filter(|v| v.counted && v.stance == stance).count();
    let each =
        [(count(Stance::Avoid), "never"), (count(Stance::Limit), "a little"), (count(Stance::Accept), "feed it")];
    let total: usize = each.iter().map(|(n, _)| n).sum();
    let most = each.iter().map(|(n, _)| *n).max().unwrap_or(0);
    let counts: Vec<String> =
        each.iter().filter(|(n, _)| *n > 0).map(|(n, what)| words::tied(&format!("{n} {what}"))).collect();
    let counts = counts.join(", ");
    match (total, most) {
        (0, _) => "no publisher of advice speaks of it outright.".to_string(),
        (1, _) => format!("one publisher alone: {counts}."),
        (n, m) if n == m => format!("all {n} publishers agree: {counts}."),
        (n, m) if m * 5 >= n * 4 => format!("nearly all of {n} publishers agree: {counts}."),
        (n, _) => format!("{n} publishers are divided: {counts}."),
    }
}

fn rows(voices: &BTreeMap<String, Voice<'_>>, known: &Known, page: &mut Page) {
    for stance in [Stance::Avoid, Stance::Limit, Stance::Accept] {
        let mut label = word(stance);
        for (name, voice) in voices.iter().filter(|(_, v)| v.counted && v.stance == stance) {
            page.row(label, Ink::Quiet, INDENT, &line(name, voice, known));
            label = "";
        }
    }
    let mut label = "NOT COUNTED";
    for (name, voice) in voices.iter().filter(|(_, v)| !v.counted) {
        page.row(
            label,
            Ink::Quiet,
            INDENT,
            &format!("{}: {}", line(name, voice, known), word(voice.stance).to_lowercase()),
        );
        label = "";
    }
}

/// A publisher, what it says of what, with marks and page ids.
fn line<'a>(name: &'a str, voice: &Voice<'_>, known: &'a Known) -> String {
    let short = |p: &'a Publication| p.publisher.split_once(" (").map_or(p.publisher.as_str(), |(short, _)| short);
    let publisher =
        known.publications().iter().filter(|p| p.voice == name).map(short).min_by_key(|n| n.len()).unwrap_or(name);
    let mut said: Vec<String> = Vec::new();
    for s in &voice.statements {
        let milder = if s.stance < voice.stance {
            format!(", elsewhere {}", word(s.stance).to_lowercase())
        } else {
            String::new()
        };
        let implied = if s.implied.is_some() { ", implied only" } else { "" };
        let bins = if s.not_about_bins.is_some() { ", not about bins" } else { "" };
        said.push(format!("{}{}{milder}{implied}{bins} [{}]", s.subject, grounds(s), s.source));
    }
    format!("{publisher}: {}", said.join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::Setting;

    #[test]
    fn publishers_are_counted_as_an_explanation_counts_them() {
        let (home, _) = crate::open(&[], Setting::on(jiff::civil::date(2026, 7, 1))).unwrap();
        for (id, item) in home.known.items().step_by(7) {
            let Some(Asked::Thing { names, .. }) = thing(&home, &item.name) else { panic!("{}", item.name) };
            let statements: Vec<&Statement> = home
                .known
                .statements()
                .iter()
                .filter(|s| s.about.as_ref().is_some_and(|a| names.contains(a)))
                .collect();
            let said = said::said_of(id, &home.known);
            for (science, tally) in [(false, said.guidance), (true, said.science)] {
                let mine = voices(&statements, &home.known, science);
                let count = |stance| mine.values().filter(|v| v.counted && v.stance == stance).count();
                assert_eq!(
                    (count(Stance::Accept), count(Stance::Limit), count(Stance::Avoid)),
                    (tally.accept, tally.limit, tally.avoid),
                    "{}",
                    item.name
                );
            }
        }
    }
}
