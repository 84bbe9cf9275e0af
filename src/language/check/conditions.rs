//! When a rule holds: states, signs, and facts compared with figures.

use super::Check;
use super::subjects::names_it;
use crate::bag::StateId;
use crate::bag::words::Sort;
use crate::fault::{Fault, nearest};
use crate::knowledge::Known;
use crate::language::book::*;
use crate::language::syntax::{self as syn, Phrase};
use crate::language::units::convert;

pub(super) fn unknown_state(p: &Phrase, known: &Known) -> Fault {
    let near = nearest(&p.value, known.vocabulary().states().map(|(_, s)| s.name.as_str()))
        .map(|n| format!("did you mean `{n}`?"));
    Fault::error("unknown-state", format!("I do not know `{}`", p.value), p.span)
        .maybe_help(near.or_else(|| Some("a state is a word such as frozen, chopped, crushed, rinsed".into())))
}

/// Parts per million of a percentage, rounded.
#[allow(clippy::cast_possible_truncation, reason = "a percentage of at most 100 gives at most a million")]
pub(super) fn ppm(percent: f64) -> i64 {
    (percent.clamp(0.0, 100.0) * 10_000.0).round() as i64
}

impl Check<'_> {
    pub(super) fn state(&mut self, phrase: &Phrase) -> Option<StateId> {
        let vocabulary = self.known.vocabulary();
        let found = vocabulary
            .state(&phrase.value)
            .or_else(|| vocabulary.states().find(|(_, s)| s.words.contains(&phrase.value)).map(|(id, _)| id));
        if found.is_none() {
            self.faults.push(unknown_state(phrase, self.known));
        }
        found
    }

    pub(super) fn preparations(&mut self, phrases: &[Phrase], verb: &str) -> Vec<StateId> {
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

    pub(super) fn when(&mut self, condition: &syn::Condition) -> When {
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
