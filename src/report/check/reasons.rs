//! Why a scrap is judged as it is, and what to ask where that cannot be told.

use super::View;
use crate::judge::{Finding, Ground, Judged, Verdict};
use crate::knowledge::{Alternative, Identified, Identity, Scrap};
use crate::language::{Demand, Layer, Rule, Side};
use crate::report::words;

impl View<'_> {
    /// Why, in one sentence, and that other guides say otherwise.
    pub(in crate::report) fn why(&self, f: &Finding) -> String {
        let mut parts = Vec::new();
        if let Ground::Allow(a) | Ground::Pace(a) = &f.ground {
            parts.push(words::sentence(&words::capital(&words::allowance(a, &self.home.book))));
        }
        if let Some(rule) = self.rule(f) {
            match rule.because() {
                Some(text) => parts.push(words::first_sentence(text)),
                None => parts.push(self.backing(rule)),
            }
            if let Some(text) = self.disagreement(rule) {
                parts.push(text);
            }
        }
        parts.join(" ")
    }

    /// Who stands behind a rule that gives no reason.
    pub(super) fn backing(&self, rule: &Rule) -> String {
        if rule.layer == Layer::Household {
            return "Your own rule.".to_string();
        }
        let voices = crate::report::said::voices(rule, &self.home.known);
        match voices {
            0 => "Common practice.".to_string(),
            1 => "One publisher says so.".to_string(),
            n => format!("{n} publishers say so."),
        }
    }

    /// In a word, what stricter or milder guides say.
    pub(in crate::report) fn disagreement(&self, rule: &Rule) -> Option<String> {
        let text = match (self.j.stance, &rule.strict, &rule.lenient) {
            (Side::Lenient, Some(Demand::KeepOut), _) => "Some guides say never.",
            (Side::Lenient, Some(_), _) => "Some guides are stricter.",
            (Side::Strict, Some(_), Some(_)) => "Other guides are milder.",
            _ if rule.disputed() => "Guides differ.",
            _ => return None,
        };
        Some(text.to_string())
    }

    /// The names beside the likeliest that a question tells, each with its place among the alternatives:
    /// what the question is about comes before what is merely as near.
    pub(super) fn others<'i>(&self, identity: &'i Identity, judged: &Judged) -> Vec<(usize, &'i Alternative)> {
        let reading = judged.findings.iter().filter(|f| f.ground == Ground::Reading);
        let named: Vec<&str> =
            reading.flat_map(|f| &f.missing).flat_map(|m| &m.outcomes).map(|(value, _)| value.as_str()).collect();
        let mut others: Vec<_> = identity.alternatives.iter().enumerate().collect();
        others.sort_by_key(|(_, a)| !named.contains(&self.home.known.item_name(a.item)));
        others.truncate(3);
        others
    }

    /// What else the words may have meant.
    pub(in crate::report) fn did_you_mean(&self, scrap: &Scrap, judged: &Judged) -> Option<String> {
        let identity = View::identity(scrap, judged)?;
        let likely = identity
            .item
            .filter(|_| identity.identified != Identified::Unknown)
            .map(|id| self.home.known.item_name(id).to_string());
        // What the likeliest would be kept out for stands behind the question.
        let harmful = judged.findings.iter().any(|f| f.verdict == Some(Verdict::KeepOut));
        let told =
            |name: &String| if harmful { format!("{name} ({})", words::label(Verdict::KeepOut)) } else { name.clone() };
        let mut near: Vec<String> = likely.iter().map(told).collect();
        for (i, other) in self.others(identity, judged) {
            let (item, name) = (self.home.known.item_name(other.item), other.name(&self.home.known));
            if likely.as_deref() == Some(item) || near.iter().any(|n| n == item) {
                continue;
            }
            // What was nearly written, then what it is.
            let verdict = judged.alternatives.get(i).map(|v| words::label(*v));
            let what = Some(item).filter(|item| !item.eq_ignore_ascii_case(name));
            let says: Vec<&str> = what.into_iter().chain(verdict).collect();
            near.push(if says.is_empty() { name.to_string() } else { format!("{name} ({})", says.join(", ")) });
        }
        near.truncate(3);
        (!near.is_empty()).then(|| words::list(&near, "or"))
    }

    /// Question and answers of a finding that asks.
    pub(super) fn question(&self, scrap: &Scrap, judged: &Judged, f: &Finding) -> (String, String) {
        let name = words::thing(&scrap.found.thing);
        let outcomes: Vec<String> = f
            .missing
            .iter()
            .flat_map(|m| m.outcomes.iter())
            .map(|(value, v)| format!("{value}: {}", words::outcome(*v)))
            .collect();
        let outcomes = words::sentence(&words::capital(&outcomes.join("; ")));
        match &f.ground {
            Ground::Reading => {
                let identity = View::identity(scrap, judged);
                let near = self.did_you_mean(scrap, judged);
                let known = identity.is_some_and(|i| i.identified != Identified::Unknown);
                match near {
                    Some(near) if known => (format!("{name}: which is it?"), format!("It could be {near}.")),
                    Some(near) => (format!("{name}: I do not know this"), format!("Did you mean {near}?")),
                    None => (
                        format!("{name}: I do not know this"),
                        "Nothing is guessed: say what it is, or leave it out.".to_string(),
                    ),
                }
            }
            Ground::With(what) => (
                format!("{name}: I do not know {what}"),
                "Nothing is guessed: say what that is, or leave it out.".into(),
            ),
            Ground::Ask(question, answers) => {
                let demands = self.rule(f).into_iter().flat_map(|r| r.demands(self.j.stance));
                let meant: Vec<String> = demands
                    .filter_map(
                        |d| if let Demand::Ask(q, all) = d { Some(all).filter(|_| q == question) } else { None },
                    )
                    .flatten()
                    .map(|(reply, d)| format!("{reply}: {}", words::demand(d, &self.home.known, &self.home.book)))
                    .collect();
                let why = if meant.is_empty() {
                    format!("Answers: {}.", words::list(answers, "or"))
                } else {
                    words::sentence(&words::capital(&meant.join("; ")))
                };
                (format!("{name}: {question}"), why)
            }
            _ => {
                let facts: Vec<&str> = f.missing.iter().map(|m| m.fact.as_str()).collect();
                let asked = if facts.is_empty() { "how is it?".to_string() } else { format!("{}?", facts.join(", ")) };
                let because = self.rule(f).and_then(|r| r.because()).map(words::first_sentence).unwrap_or_default();
                (
                    format!("{name}: {asked}"),
                    [outcomes, because].iter().filter(|s| !s.is_empty()).cloned().collect::<Vec<_>>().join(" "),
                )
            }
        }
    }

    /// A reason without the amount, which the first line has said.
    pub(in crate::report) fn reason_alone(&self, f: &Finding) -> String {
        let Some(rule) = self.rule(f) else { return self.why(f) };
        let because = rule.because().map_or_else(|| self.backing(rule), words::sentence);
        [Some(because), self.disagreement(rule)].into_iter().flatten().collect::<Vec<_>>().join(" ")
    }

    pub(in crate::report) fn how_to_answer(&self, scrap: &Scrap, judged: &Judged, f: Option<&Finding>) -> String {
        let Some(f) = f else { return "leave it out until you know.".into() };
        let name = View::identity(scrap, judged).map_or("", |i| i.name.as_str());
        match (&f.ground, self.rule(f)) {
            (Ground::Reading, _) if self.did_you_mean(scrap, judged).is_some() => {
                "say which; until then leave it out.".into()
            }
            (Ground::Reading, _) => {
                format!("leave it out, or say what it is in your rules: item {}", words::clipped(name, 30))
            }
            (Ground::With(what), _) => format!("leave it out until you know what {} is.", words::clipped(what, 30)),
            (Ground::Ask(_, answers), Some(rule)) => {
                let item =
                    View::identity(scrap, judged).and_then(|i| i.item).map_or("", |i| self.home.known.item_name(i));
                let reply = answers.first().map_or("yes", String::as_str);
                format!(
                    "leave it out until you know. To answer for good, write in your rules: {}",
                    words::tied(&format!("answer {} for {item} = {reply}", rule.name))
                )
            }
            _ => {
                let fact = f.missing.first().map_or("how it is", |m| m.fact.as_str());
                format!(
                    "write it on the line: \"{}\" or \"not {}\". Until then leave it out.",
                    words::clipped(fact, 30),
                    words::clipped(fact, 30)
                )
            }
        }
    }
}
