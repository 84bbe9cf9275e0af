//! The clauses of a block: what each says, read from the pairs of its line.

use super::pairs::{amount, inner, number, relation, texts, tidy, unquoted};
use super::{Logical, Reader, Rule, slice};
use crate::fault::Fault;
use crate::knowledge::Usual;
use crate::language::syntax::*;
use crate::language::units;
use pest::iterators::Pair;

pub(super) const CLAUSES: [&str; 26] = [
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
pub(super) const ITEM_CLAUSES: [&str; 9] =
    ["is", "also", "one weighs", "like", "role", "usually", "main", "some", "trace"];

impl Reader {
    pub(super) fn clause(&self, text: &str, line: Logical) -> Option<At<Clause>> {
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

    pub(super) fn idents(&self, pair: Pair<'_, Rule>, line: Logical) -> Vec<At<String>> {
        inner(pair).filter(|p| p.as_rule() == Rule::ident).map(|p| self.at(&p, line, p.as_str().to_string())).collect()
    }

    pub(super) fn date(&self, pair: &Pair<'_, Rule>, line: Logical) -> Option<At<jiff::civil::Date>> {
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

    pub(super) fn example(&self, pair: Pair<'_, Rule>, line: Logical) -> Option<Example> {
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
                    match units::mass(unit.as_str()) {
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

    pub(super) fn subject(&self, pair: Pair<'_, Rule>, line: Logical) -> Subject {
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

    pub(super) fn states(&self, pair: Pair<'_, Rule>, line: Logical) -> Vec<Phrase> {
        inner(pair).filter(|p| p.as_rule() == Rule::state).map(|p| self.phrase(p, line)).collect()
    }

    pub(super) fn demand(&self, pair: Pair<'_, Rule>, line: Logical) -> Option<Demand> {
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

    pub(super) fn condition(&self, pair: Pair<'_, Rule>, line: Logical) -> Condition {
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

    pub(super) fn item_clause(&self, text: &str, line: Logical) -> Option<At<ItemClause>> {
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
                        Rule::unit => match units::mass(p.as_str()) {
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
