//! A rule as a whole: its demands on either side, sources, days, examples and what it overrides; and
//! answers to a rule's question.

use super::Check;
use super::demands::{is_note, never_milder};
use crate::fault::{Fault, Sources, Span, nearest, nearest_in_words};
use crate::language::book::*;
use crate::language::syntax::{self as syn, At, Clause, Layer, Side};
use std::collections::HashMap;

impl Check<'_> {
    pub(super) fn rule(
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
            subject: Who::Scraps(SubjectSet::default()).into(),
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
                    rule.subject = if bag { Who::Bag } else { Who::Scraps(self.subject(subject)) }.into();
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
        rule.texts = Box::new(texts).into();
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
                let near = nearest_in_words(&name.value, at.keys().map(String::as_str));
                let near = near.map(|n| format!("did you mean `{n}`?"));
                self.faults.push(
                    Fault::error("unknown-rule", format!("there is no rule `{}`", name.value), name.span)
                        .maybe_help(near.or_else(|| Some("`forefeed rules list` names them all".into()))),
                );
                None
            }
        }
    }

    pub(super) fn answer(
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
