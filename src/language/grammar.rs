//! The only file that sees pest: logical lines become syntax, with places.
//!
//! Every line is parsed by itself, so that a broken one is one fault. Names of grammar rules never
//! reach a person: [`words_for`] turns them into words.

use super::lines::{HEADS, Logical, cut, first_word};
use super::syntax::*;
use crate::fault::{Fault, Faults, FileId, Sources, Span, nearest};
use crate::knowledge::Usual;
use pest::Parser;
use pest::iterators::Pair;
use std::cell::RefCell;

#[derive(pest_derive::Parser)]
#[grammar = "../grammar/rules.pest"]
struct Grammar;

/// Rule files over this many bytes are refused (4 MiB): a person did not write them.
const LARGEST_FILE: usize = 4 << 20;
/// Brackets and `not` nested deeper than this are refused.
const DEEPEST: usize = 64;

const CLAUSES: [&str; 26] = [
    "about",
    "when",
    "strict",
    "lenient",
    "keep out",
    "needs",
    "allow",
    "have",
    "wait until",
    "ask",
    "better",
    "welcome",
    "because",
    "advise",
    "hazard",
    "caution",
    "source",
    "common practice",
    "disputed by",
    "example",
    "from",
    "until",
    "replaces",
    "lifts",
    "overrules",
    "advice",
];
const ITEM_CLAUSES: [&str; 9] = ["is", "also", "one weighs", "like", "role", "usually", "main", "some", "trace"];

/// Reads every file of a table of sources, from `first` on.
pub(crate) fn read_file(id: FileId, sources: &Sources, faults: &mut Faults) -> File {
    let text = sources.get(id).map_or("", |s| &*s.text);
    let mut file = File { id, layer: None, blocks: Vec::new(), comments: Vec::new() };
    if text.len() > LARGEST_FILE {
        let what = format!("this file is {} MiB long; rule files end at 4", text.len() >> 20);
        faults.push(Fault::error("file-too-long", what, Span::new(id, 0, 1)));
        return file;
    }
    let (lines, comments) = cut(id, text);
    file.comments = comments;
    let reader = Reader { id, faults: RefCell::new(Faults::default()) };
    let mut at = 0;
    while let Some(head) = lines.get(at).copied() {
        at += 1;
        let word = first_word(slice(text, head));
        let body_end = lines.iter().skip(at).take_while(|l| !HEADS.contains(&first_word(slice(text, **l)))).count();
        let body: Vec<Logical> = lines.iter().skip(at).take(body_end).copied().collect();
        at += body_end;
        reader.block(&mut file, text, word, head, &body);
    }
    faults.extend(reader.faults.into_inner());
    file
}

fn slice(text: &str, line: Logical) -> &str {
    text.get(line.start..line.end).unwrap_or("")
}

struct Reader {
    id: FileId,
    faults: RefCell<Faults>,
}

impl Reader {
    fn fault(&self, fault: Fault) {
        self.faults.borrow_mut().push(fault);
    }

    fn block(&self, file: &mut File, text: &str, word: &str, head: Logical, body: &[Logical]) {
        if !HEADS.contains(&word) {
            for line in std::iter::once(&head).chain(body) {
                self.stray(text, *line);
            }
            return;
        }
        let line = slice(text, head);
        let parsed = self.parse(Rule::head, line, head, &HEADS).and_then(|pair| inner(pair).next());
        let end = body.last().map_or(head.end, |l| l.end);
        let whole = Span::new(self.id, head.start, end);
        match word {
            "rule" => {
                let clauses = body.iter().filter_map(|l| self.clause(text, *l)).collect();
                let name = parsed
                    .and_then(|p| inner(p).find(|p| p.as_rule() == Rule::ident))
                    .map(|p| self.at(&p, head, p.as_str().to_string()));
                if let Some(name) = name {
                    file.blocks.push(Block::Rule(Box::new(RuleBlock { name, span: whole, clauses })));
                }
            }
            "item" => {
                let clauses = body.iter().filter_map(|l| self.item_clause(text, *l)).collect();
                let name =
                    parsed.and_then(|p| inner(p).find(|p| p.as_rule() == Rule::phrase)).map(|p| self.phrase(p, head));
                if let Some(name) = name {
                    file.blocks.push(Block::Item(Box::new(ItemBlock { name, clauses })));
                }
            }
            _ => {
                for line in body {
                    self.stray(text, *line);
                }
                if let Some(pair) = parsed {
                    self.short_block(file, pair, head);
                }
            }
        }
    }

    fn short_block(&self, file: &mut File, pair: Pair<'_, Rule>, line: Logical) {
        match pair.as_rule() {
            Rule::layer_head => {
                let Some(name) = inner(pair).find(|p| p.as_rule() == Rule::layer_name) else { return };
                let layer = match name.as_str() {
                    "base" => Layer::Base,
                    "area" => Layer::Area,
                    _ => Layer::Household,
                };
                let at = self.at(&name, line, layer);
                if file.layer.is_some() || !file.blocks.is_empty() {
                    self.fault(Fault::error("layer-not-first", "`layer` stands once, before everything else", at.span));
                }
                file.layer.get_or_insert(at);
            }
            Rule::kind_head => {
                let (mut name, mut subject) = (None, None);
                for p in inner(pair) {
                    match p.as_rule() {
                        Rule::kind_name => name = Some(self.at(&p, line, unquoted(&p))),
                        Rule::subject => subject = Some(self.subject(p, line)),
                        _ => {}
                    }
                }
                if let (Some(name), Some(subject)) = (name, subject) {
                    file.blocks.push(Block::Kind(KindBlock { name, subject }));
                }
            }
            Rule::setting_head => {
                let (mut name, mut value) = (None, None);
                for p in inner(pair) {
                    match p.as_rule() {
                        Rule::setting_name => name = Some(self.at(&p, line, tidy(p.as_str()))),
                        Rule::setting_value => {
                            let span = self.span(&p, line);
                            value = inner(p)
                                .next()
                                .map(|v| match v.as_rule() {
                                    Rule::amount => SettingValue::Amount(amount(v)),
                                    _ => SettingValue::Word(tidy(v.as_str())),
                                })
                                .map(|value| At { value, span });
                        }
                        _ => {}
                    }
                }
                if let (Some(name), Some(value)) = (name, value) {
                    file.blocks.push(Block::Setting(SettingBlock { name, value }));
                }
            }
            Rule::answer_head => {
                let (mut rule, mut subject, mut reply) = (None, None, None);
                for p in inner(pair) {
                    match p.as_rule() {
                        Rule::ident => rule = Some(self.at(&p, line, p.as_str().to_string())),
                        Rule::subject => subject = Some(self.subject(p, line)),
                        Rule::reply => reply = Some(self.at(&p, line, unquoted(&p))),
                        _ => {}
                    }
                }
                if let (Some(rule), Some(subject), Some(reply)) = (rule, subject, reply) {
                    file.blocks.push(Block::Answer(AnswerBlock { rule, subject, reply }));
                }
            }
            _ => {}
        }
    }

    /// A line outside any block.
    fn stray(&self, text: &str, line: Logical) {
        let body = slice(text, line);
        let word = first_word(body);
        let lead = body.len() - body.trim_start_matches(|c: char| c.is_whitespace() || c == '\u{feff}').len();
        let span = Span::new(self.id, line.start + lead, line.start + lead + word.len().max(1));
        let help = match nearest(word, HEADS) {
            Some(near) => format!("did you mean `{near}`?"),
            None if CLAUSES.iter().any(|c| c.split(' ').next() == Some(word)) => {
                format!("`{word}` belongs under a line that begins with `rule`")
            }
            None => format!("a block begins with {}", list_or(&HEADS)),
        };
        self.fault(Fault::error("not-a-block", "this line stands in no rule, kind, item or setting", span).help(help));
    }

    fn parse<'t>(&self, rule: Rule, text: &'t str, line: Logical, first_words: &[&str]) -> Option<Pair<'t, Rule>> {
        if deep(text) {
            self.fault(Fault::error(
                "nested-too-deep",
                format!("more than {DEEPEST} brackets or `not` inside each other"),
                self.trimmed(text, line),
            ));
            return None;
        }
        match Grammar::parse(rule, text) {
            Ok(mut pairs) => pairs.next(),
            Err(error) => {
                self.fault(self.syntax(&error, text, line, first_words));
                None
            }
        }
    }

    fn trimmed(&self, text: &str, line: Logical) -> Span {
        let lead = text.len() - text.trim_start().len();
        Span::new(self.id, line.start + lead, line.start + lead + text.trim().len().max(1))
    }

    /// The fault of a line that pest could not read, in a person's words.
    fn syntax(&self, error: &pest::error::Error<Rule>, text: &str, line: Logical, first_words: &[&str]) -> Fault {
        let at = match error.location {
            pest::error::InputLocation::Pos(p) | pest::error::InputLocation::Span((p, _)) => p,
        };
        let at = (0..=at.min(text.len())).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
        let lead = text.len() - text.trim_start().len();
        let rest = text.get(at..).unwrap_or("");
        let skipped = rest.len() - rest.trim_start_matches([' ', '\t']).len();
        let here = at + skipped;
        let found = text.get(here..).unwrap_or("");
        let found = found.split(|c: char| c.is_whitespace() || c == ',').next().unwrap_or("");
        let end_of_line = found.is_empty() || found.starts_with('#');
        if let Some(quote) = unclosed(text) {
            let span = Span::new(self.id, line.start + quote, line.start + text.trim_end().len());
            return Fault::error("open-quote", "this quote is never closed", span)
                .help("write a `\"` at its end, on the same line");
        }
        if let Some((i, c)) = text.char_indices().find(|(i, c)| *i >= lead && matches!(c, '“' | '”' | '„' | '‘'))
        {
            let span = Span::new(self.id, line.start + i, line.start + i + c.len_utf8());
            return Fault::error("curly-quote", "this is a curly quote", span).help("write a straight one: \"");
        }
        if here <= lead {
            let word = first_word(text);
            let span = Span::new(self.id, line.start + lead, line.start + lead + word.len().max(1));
            // "keepp out": the first word alone may be near to nothing.
            let two: Vec<&str> = text.split_whitespace().take(2).collect();
            let near = nearest(word, first_words.iter().copied())
                .or_else(|| nearest(&two.join(" "), first_words.iter().copied()));
            let help = near.map_or_else(
                || format!("a line here begins with {}", list_or(first_words)),
                |near| format!("did you mean `{near}`?"),
            );
            return Fault::error("not-a-clause", format!("I do not know `{}` here", shown(word, text)), span)
                .help(help);
        }
        let wanted = match &error.variant {
            pest::error::ErrorVariant::ParsingError { positives, .. } => {
                let mut words: Vec<&str> = positives.iter().filter_map(|r| words_for(*r)).collect();
                words.dedup();
                words.truncate(5);
                words
            }
            pest::error::ErrorVariant::CustomError { .. } => Vec::new(),
        };
        let start = if end_of_line { at.min(text.trim_end().len()) } else { here };
        let span = Span::new(self.id, line.start + start, line.start + start + found.len().max(1));
        let message = if end_of_line {
            "something is missing at the end of this line".to_string()
        } else {
            format!("I cannot read `{}` here", shown(found, found))
        };
        let help = if wanted.is_empty() { None } else { Some(format!("here I can read {}", list_or(&wanted))) };
        Fault::error("syntax", message, span).maybe_help(help)
    }

    fn span(&self, pair: &Pair<'_, Rule>, line: Logical) -> Span {
        let s = pair.as_span();
        let trimmed = s.as_str().trim_end().len();
        Span::new(self.id, line.start + s.start(), line.start + s.start() + trimmed)
    }

    fn at<T>(&self, pair: &Pair<'_, Rule>, line: Logical, value: T) -> At<T> {
        At { value, span: self.span(pair, line) }
    }

    fn phrase(&self, pair: Pair<'_, Rule>, line: Logical) -> Phrase {
        let span = self.span(&pair, line);
        At { value: unquoted(&pair), span }
    }

    fn clause(&self, text: &str, line: Logical) -> Option<At<Clause>> {
        let body = slice(text, line);
        let pair = inner(self.parse(Rule::clause, body, line, &CLAUSES)?).next()?;
        let span = self.span(&pair, line);
        let one = |p: Pair<'_, Rule>| inner(p).find(|p| p.as_rule() == Rule::texts).map(texts).unwrap_or_default();
        let value = match pair.as_rule() {
            Rule::about => {
                Clause::About(inner(pair).find(|p| p.as_rule() == Rule::subject).map(|p| self.subject(p, line))?)
            }
            Rule::when => {
                Clause::When(inner(pair).find(|p| p.as_rule() == Rule::condition).map(|p| self.condition(p, line))?)
            }
            Rule::stanced => {
                let (mut side, mut demand) = (None, None);
                for p in inner(pair) {
                    match p.as_rule() {
                        Rule::stance => {
                            side = Some(self.at(
                                &p,
                                line,
                                if p.as_str().starts_with('s') { Side::Strict } else { Side::Lenient },
                            ))
                        }
                        _ => demand = self.demand(p, line),
                    }
                }
                Clause::Demand(side, demand?)
            }
            Rule::demand => Clause::Demand(None, self.demand(pair, line)?),
            Rule::because => Clause::Because(one(pair)),
            Rule::advise => Clause::Advise(one(pair)),
            Rule::hazard => Clause::Hazard(one(pair)),
            Rule::caution => Clause::Caution(one(pair)),
            Rule::source => Clause::Source(self.idents(pair, line)),
            Rule::common_practice => Clause::CommonPractice,
            Rule::disputed => Clause::Disputed(self.idents(pair, line)),
            Rule::from => Clause::From(inner(pair).find_map(|p| self.date(&p, line))?),
            Rule::until => Clause::Until(inner(pair).find_map(|p| self.date(&p, line))?),
            Rule::replaces => Clause::Replaces(self.idents(pair, line)),
            Rule::lifts => {
                let (mut name, mut subject) = (None, None);
                for p in inner(pair) {
                    match p.as_rule() {
                        Rule::ident => name = Some(self.at(&p, line, p.as_str().to_string())),
                        Rule::subject => subject = Some(self.subject(p, line)),
                        _ => {}
                    }
                }
                Clause::Lifts(name?, subject)
            }
            Rule::example => Clause::Example(self.example(pair, line)?),
            _ => return None,
        };
        Some(At { value, span })
    }

    fn idents(&self, pair: Pair<'_, Rule>, line: Logical) -> Vec<At<String>> {
        inner(pair).filter(|p| p.as_rule() == Rule::ident).map(|p| self.at(&p, line, p.as_str().to_string())).collect()
    }

    fn date(&self, pair: &Pair<'_, Rule>, line: Logical) -> Option<At<jiff::civil::Date>> {
        if pair.as_rule() != Rule::date {
            return None;
        }
        let span = self.span(pair, line);
        match pair.as_str().parse() {
            Ok(value) => Some(At { value, span }),
            Err(_) => {
                self.fault(
                    Fault::error("no-such-day", "the calendar has no such day", span)
                        .help("write year-month-day, such as 2027-06-01"),
                );
                None
            }
        }
    }

    fn example(&self, pair: Pair<'_, Rule>, line: Logical) -> Option<Example> {
        let mut example = Example {
            line: At { value: String::new(), span: self.span(&pair, line) },
            bag_grams: None,
            indoors: None,
            strict: false,
            date: None,
            gives: String::new(),
            with_caution: false,
        };
        for p in inner(pair) {
            match p.as_rule() {
                Rule::text => example.line = self.at(&p, line, unquoted(&p)),
                Rule::in_bag => {
                    let mut parts = inner(p).filter(|q| q.as_rule() != Rule::kw_in_bag);
                    let number = parts.next().map_or(0.0, |n| number(&n));
                    let unit = parts.next()?;
                    match super::units::mass(unit.as_str()) {
                        Some(factor) => example.bag_grams = Some(number * factor),
                        None => self.fault(
                            Fault::error(
                                "unknown-unit",
                                format!("`{}` is no unit of mass", unit.as_str()),
                                self.span(&unit, line),
                            )
                            .help("write g, kg, oz or lb"),
                        ),
                    }
                }
                Rule::on_place => example.indoors = Some(p.as_str().starts_with('i')),
                Rule::on_stance => example.strict = true,
                Rule::on_date => example.date = inner(p).find_map(|d| self.date(&d, line)).map(|d| d.value),
                Rule::verdict => example.gives = tidy(p.as_str()),
                Rule::with_caution => example.with_caution = true,
                _ => {}
            }
        }
        Some(example)
    }

    fn subject(&self, pair: Pair<'_, Rule>, line: Logical) -> Subject {
        let span = self.span(&pair, line);
        let mut subject = Subject { terms: Vec::new(), except: Vec::new(), span };
        let mut excepting = false;
        for p in inner(pair) {
            match p.as_rule() {
                Rule::kw_except => excepting = true,
                Rule::term => {
                    let span = self.span(&p, line);
                    let term = match inner(p.clone()).next().map(|t| t.as_rule()) {
                        Some(Rule::the_bag) => Term::TheBag(span),
                        Some(Rule::any_food) => Term::AnyFood(span),
                        Some(Rule::any_scrap) => Term::AnyScrap(span),
                        _ => Term::Named(self.phrase(p, line)),
                    };
                    if excepting { subject.except.push(term) } else { subject.terms.push(term) }
                }
                _ => {}
            }
        }
        subject
    }

    fn states(&self, pair: Pair<'_, Rule>, line: Logical) -> Vec<Phrase> {
        inner(pair).filter(|p| p.as_rule() == Rule::state).map(|p| self.phrase(p, line)).collect()
    }

    fn demand(&self, pair: Pair<'_, Rule>, line: Logical) -> Option<Demand> {
        let pair = if pair.as_rule() == Rule::demand { inner(pair).next()? } else { pair };
        Some(match pair.as_rule() {
            Rule::keep_out => Demand::KeepOut,
            Rule::welcome => Demand::Welcome,
            Rule::needs => Demand::Needs(self.states(pair, line)),
            Rule::better => Demand::Better(self.states(pair, line)),
            Rule::allow => {
                let p = inner(pair).find(|p| matches!(p.as_rule(), Rule::amount | Rule::allow_named))?;
                let span = self.span(&p, line);
                if p.as_rule() == Rule::amount {
                    Demand::Allow(At { value: amount(p), span })
                } else {
                    Demand::AllowNamed(At { value: tidy(p.as_str()), span })
                }
            }
            Rule::have => {
                let p = inner(pair).find(|p| matches!(p.as_rule(), Rule::have_moisture | Rule::have_cn))?;
                let (span, moisture) = (self.span(&p, line), p.as_rule() == Rule::have_moisture);
                let mut ends = Vec::new();
                let mut aim = None;
                for q in inner(p) {
                    match q.as_rule() {
                        Rule::number => ends.push(number(&q)),
                        Rule::aim => aim = inner(q).find(|n| n.as_rule() == Rule::number).map(|n| number(&n)),
                        _ => {}
                    }
                }
                let window =
                    At { value: Window { low: ends.first().copied()?, high: ends.get(1).copied()?, aim }, span };
                if moisture { Demand::Moisture(window) } else { Demand::CarbonToNitrogen(window) }
            }
            Rule::wait => {
                Demand::Wait(inner(pair).find(|p| p.as_rule() == Rule::condition).map(|p| self.condition(p, line))?)
            }
            Rule::ask => {
                let (mut question, mut answers) = (String::new(), Vec::new());
                for p in inner(pair) {
                    match p.as_rule() {
                        Rule::text => question = unquoted(&p),
                        Rule::answer => {
                            let (mut word, mut demand) = (None, None);
                            for q in inner(p) {
                                match q.as_rule() {
                                    Rule::answer_word => word = Some(self.at(&q, line, unquoted(&q))),
                                    Rule::demand => demand = self.demand(q, line),
                                    _ => {}
                                }
                            }
                            if let (Some(word), Some(demand)) = (word, demand) {
                                answers.push((word, demand));
                            }
                        }
                        _ => {}
                    }
                }
                Demand::Ask(question, answers)
            }
            _ => return None,
        })
    }

    fn condition(&self, pair: Pair<'_, Rule>, line: Logical) -> Condition {
        let span = self.span(&pair, line);
        let many = |p: Pair<'_, Rule>, keep: Rule| {
            inner(p).filter(move |q| q.as_rule() == keep).map(|q| self.condition(q, line)).collect::<Vec<_>>()
        };
        let single = |mut all: Vec<Condition>, join: fn(Vec<Condition>) -> Condition| {
            if all.len() == 1 { all.swap_remove(0) } else { join(all) }
        };
        match pair.as_rule() {
            Rule::condition => single(many(pair, Rule::both), Condition::Or),
            Rule::both => single(many(pair, Rule::one), Condition::And),
            Rule::negated => Condition::Not(Box::new(single(many(pair, Rule::one), Condition::And))),
            Rule::bracketed => single(many(pair, Rule::condition), Condition::And),
            Rule::one | Rule::atom => match inner(pair).next() {
                Some(p) => self.condition(p, line),
                None => Condition::And(Vec::new()),
            },
            Rule::place => Condition::Place(pair.as_str().trim_end().ends_with("indoors"), span),
            Rule::kind_is => match inner(pair).find(|p| p.as_rule() == Rule::cond_name) {
                Some(p) => Condition::Is(self.phrase(p, line)),
                None => Condition::And(Vec::new()),
            },
            Rule::dated => {
                let after = pair.as_str().contains("after");
                match inner(pair).find_map(|p| self.date(&p, line)) {
                    Some(day) => Condition::Dated(after, day),
                    None => Condition::And(Vec::new()),
                }
            }
            Rule::fed => {
                let (mut name, mut days) = (None, 0.0);
                for p in inner(pair) {
                    match p.as_rule() {
                        Rule::phrase_in => name = Some(self.phrase(p, line)),
                        Rule::number => days = number(&p),
                        _ => {}
                    }
                }
                Condition::Fed(name.unwrap_or(At { value: String::new(), span }), days)
            }
            Rule::comparison => {
                let none = At { value: String::new(), span };
                let mut c = Comparison { fact: none.clone(), relation: Relation::Above, number: 0.0, unit: none, span };
                for p in inner(pair) {
                    match p.as_rule() {
                        Rule::fact => c.fact = self.at(&p, line, tidy(p.as_str())),
                        Rule::relation => c.relation = relation(p.as_str()),
                        Rule::number => c.number = number(&p),
                        Rule::percent => c.unit = self.at(&p, line, "%".to_string()),
                        Rule::unit => c.unit = self.at(&p, line, p.as_str().to_string()),
                        _ => {}
                    }
                }
                Condition::Compare(c)
            }
            _ => Condition::Named(self.phrase(pair, line)),
        }
    }

    fn item_clause(&self, text: &str, line: Logical) -> Option<At<ItemClause>> {
        let body = slice(text, line);
        let pair = inner(self.parse(Rule::item_clause, body, line, &ITEM_CLAUSES)?).next()?;
        let span = self.span(&pair, line);
        let phrases = |p: Pair<'_, Rule>| {
            inner(p).filter(|q| q.as_rule() == Rule::phrase).map(|q| self.phrase(q, line)).collect::<Vec<_>>()
        };
        let value = match pair.as_rule() {
            Rule::item_is => ItemClause::Is(phrases(pair)),
            Rule::item_also => ItemClause::Also(phrases(pair)),
            Rule::item_like => ItemClause::Like(phrases(pair).into_iter().next()?),
            Rule::item_role => ItemClause::Role(pair.as_str().split_whitespace().nth(1)?.to_string()),
            Rule::item_made => {
                let word = pair.as_str().split_whitespace().next()?.to_string();
                ItemClause::Made(word, phrases(pair))
            }
            Rule::item_weighs => {
                let (mut measure, mut grams) = (String::new(), 0.0);
                for p in inner(pair) {
                    match p.as_rule() {
                        Rule::measure => measure = p.as_str().to_string(),
                        Rule::number => grams = number(&p),
                        Rule::unit => match super::units::mass(p.as_str()) {
                            Some(factor) => grams *= factor,
                            None => self.fault(
                                Fault::error(
                                    "unknown-unit",
                                    format!("`{}` is no unit of mass", p.as_str()),
                                    self.span(&p, line),
                                )
                                .help("write g, kg, oz or lb"),
                            ),
                        },
                        _ => {}
                    }
                }
                ItemClause::Weighs(measure, grams)
            }
            Rule::item_usually => ItemClause::Usually(
                inner(pair)
                    .filter(|p| p.as_rule() == Rule::usual)
                    .filter_map(|p| {
                        let usual = match p.as_str().split_whitespace().next() {
                            Some("not") => Usual::No,
                            Some("perhaps") => Usual::Unknown,
                            _ => Usual::Yes,
                        };
                        inner(p).find(|q| q.as_rule() == Rule::state).map(|q| (self.phrase(q, line), usual))
                    })
                    .collect(),
            ),
            Rule::item_line => {
                let p = inner(pair).find(|p| p.as_rule() == Rule::pattern)?;
                let p = inner(p).next()?;
                ItemClause::Line(self.at(&p, line, p.as_str().replace("\\/", "/")))
            }
            _ => return None,
        };
        Some(At { value, span })
    }
}

fn inner(pair: Pair<'_, Rule>) -> impl Iterator<Item = Pair<'_, Rule>> {
    pair.into_inner()
}

fn tidy(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The words of a phrase; what stood in quotes without them and without escapes.
fn unquoted(pair: &Pair<'_, Rule>) -> String {
    let quoted =
        pair.clone().into_inner().flatten().chain(std::iter::once(pair.clone())).find(|p| p.as_rule() == Rule::inner);
    match quoted {
        Some(p) => unescape(p.as_str()),
        None => tidy(pair.as_str()),
    }
}

fn unescape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut chars = text.chars();
    while let Some(c) = chars.next() {
        out.push(if c == '\\' { chars.next().unwrap_or('\\') } else { c });
    }
    out
}

fn texts(pair: Pair<'_, Rule>) -> String {
    let parts: Vec<String> = inner(pair).map(|p| unquoted(&p)).collect();
    tidy(&parts.join(" "))
}

fn number(pair: &Pair<'_, Rule>) -> f64 {
    pair.as_str().parse().unwrap_or(f64::INFINITY)
}

fn relation(words: &str) -> Relation {
    match tidy(words).as_str() {
        "above" | "over" | "more than" => Relation::Above,
        "below" | "under" | "less than" => Relation::Below,
        "at least" => Relation::AtLeast,
        _ => Relation::UpTo,
    }
}

fn amount(pair: Pair<'_, Rule>) -> Amount {
    let mut out = Amount { number: 0.0, unit: String::new(), basis: Basis::Feeding };
    for p in inner(pair) {
        match p.as_rule() {
            Rule::number => out.number = number(&p),
            Rule::percent => out.unit = "%".to_string(),
            Rule::unit => out.unit = p.as_str().to_string(),
            Rule::basis => {
                out.basis = match inner(p).map(|b| b.as_rule()).find(|r| *r != Rule::kw_per) {
                    Some(Rule::per_worms) => Basis::Worms,
                    Some(Rule::per_area) => Basis::Area,
                    Some(Rule::per_week) => Basis::Week,
                    _ => Basis::Feeding,
                }
            }
            _ => {}
        }
    }
    out
}

/// Whether brackets and `not` stand deeper in each other than a person would write.
fn deep(text: &str) -> bool {
    let (mut depth, mut deepest) = (0usize, 0usize);
    for c in text.chars() {
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            _ => {}
        }
        deepest = deepest.max(depth);
    }
    let nots = text.split_whitespace().fold((0usize, 0usize), |(run, most), w| {
        let run = if w == "not" || w == "(not" { run + 1 } else { 0 };
        (run, most.max(run))
    });
    deepest > DEEPEST || nots.1 > DEEPEST
}

/// The quote that is not closed on its line, if one is.
fn unclosed(text: &str) -> Option<usize> {
    let (mut open, mut escaped) = (None, false);
    for (i, c) in text.char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' if open.is_some() => escaped = true,
            '"' => open = if open.is_some() { None } else { Some(i) },
            '#' if open.is_none() => return None,
            '\n' if open.is_some() => return open,
            _ => {}
        }
    }
    open
}

fn shown(word: &str, otherwise: &str) -> String {
    let text = if word.is_empty() { otherwise.trim() } else { word };
    text.chars().take(30).collect()
}

fn list_or(words: &[&str]) -> String {
    let quoted: Vec<String> = words
        .iter()
        .map(|w| {
            if w.starts_with(|c: char| c.is_ascii_lowercase())
                && !w.starts_with("a ")
                && !w.starts_with("an ")
                && !w.starts_with("the ")
            {
                format!("`{w}`")
            } else {
                (*w).to_string()
            }
        })
        .collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        Some((last, _)) => last.clone(),
        None => String::new(),
    }
}

/// What a grammar rule is called when a person is told that it was expected; `None` for rules that
/// say nothing to a person.
fn words_for(rule: Rule) -> Option<&'static str> {
    Some(match rule {
        Rule::text | Rule::texts | Rule::quote => "a text in quotes",
        Rule::phrase
        | Rule::bare
        | Rule::term
        | Rule::subject
        | Rule::cond_name
        | Rule::cond_words
        | Rule::phrase_in => "a name",
        Rule::word | Rule::ident | Rule::kind_name | Rule::setting_name | Rule::answer_word | Rule::reply => "a name",
        Rule::equals => "=",
        Rule::comma => "a comma",
        Rule::colon => "a colon",
        Rule::close => ")",
        Rule::open => "(",
        Rule::kw_or => "or",
        Rule::kw_and => "and",
        Rule::kw_except => "except",
        Rule::kw_for => "for",
        Rule::kw_gives => "gives",
        Rule::kw_until => "until",
        Rule::kw_by => "by",
        Rule::number => "a number",
        Rule::percent => "%",
        Rule::unit => "a unit",
        Rule::date => "a date such as 2027-06-01",
        Rule::state | Rule::to_be => "a state such as `frozen`",
        Rule::layer_name => "area",
        Rule::verdict => "a verdict: feed, prepare, limit, ask, keep out",
        Rule::demand | Rule::keep_out | Rule::welcome => "a demand such as `keep out`",
        Rule::amount | Rule::allow_named => "an amount such as `10 % of the food` or `a little`",
        Rule::basis | Rule::of_food => "of the food",
        Rule::have_moisture | Rule::have_cn => "moisture or C:N with a range",
        Rule::pattern | Rule::pattern_text => "a pattern such as /take.?away box/",
        Rule::relation => "above, below, at least or up to",
        Rule::condition | Rule::atom | Rule::one | Rule::both | Rule::fact_state | Rule::fact => "a condition",
        Rule::EOI => "the end of the line",
        _ => return None,
    })
}

/// Sets the library's guard against inputs that would take pest too long; called once.
pub(crate) fn guard() {
    use std::sync::Once;
    static ONCE: Once = Once::new();
    ONCE.call_once(|| pest::set_call_limit(std::num::NonZeroUsize::new(2_000_000)));
}
