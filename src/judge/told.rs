//! From hits to findings: what was found of a scrap, with all that is needed to explain it.

use super::facts::Facts;
use super::scraps::{Hit, Judge, OwnScrap, Read, Told, What};
use super::{Finding, Ground, Limit, Measured, Missing, Origin, Verdict};
use crate::bag::StateId;
use crate::knowledge::{ItemId, Scrap};
use crate::language::rows::How;
use crate::language::{Demand, Rule};
use std::sync::Arc;

impl<'a> Judge<'a> {
    /// What a hit's rule asks, an answer put in the question's place; `None` for a trace or advice.
    fn demand(&self, hit: &Hit) -> Option<&'a Demand> {
        let rule = self.book.rule(hit.rule)?;
        match hit.what {
            What::Demand(n) => rule.demands(self.stance).nth(n.into()),
            What::Answer(n, a) => match rule.demands(self.stance).nth(n.into())? {
                Demand::Ask(_, answers) => answers.get(usize::from(a)).map(|(_, d)| d),
                _ => None,
            },
            What::Trace | What::Advice => None,
        }
    }

    /// The states that a hit asks for, any one of which would do; none if it asks for something else.
    pub(super) fn needs(&self, hit: &Hit) -> &'a [StateId] {
        match self.demand(hit) {
            Some(Demand::Needs(any)) if hit.verdict.is_some() => any,
            _ => &[],
        }
    }

    /// What must be taken out of a whole.
    pub(super) fn to_take_out(&self, hit: &Hit) -> Option<ItemId> {
        let out = matches!(self.demand(hit), Some(Demand::KeepOut | Demand::Ask(..)));
        hit.through.filter(|_| out && hit.verdict.is_some() && matches!(hit.how, How::Included(_)))
    }

    /// Findings, worst first, then in the book's order; and notes, in the book's order.
    pub(super) fn told<'o>(&self, scrap: &Scrap, own: &'o OwnScrap) -> &'o Told {
        own.told.get_or_init(|| self.tell_all(scrap, own))
    }

    fn tell_all(&self, scrap: &Scrap, own: &OwnScrap) -> Told {
        let mut findings: Vec<Arc<Finding>> = own.own.reading.iter().map(Arc::clone).collect();
        let mut notes = Vec::new();
        let Some(identity) = scrap.found.identities.get(own.identity) else { return (findings, notes) };
        let facts = self.facts(scrap, Read::of(identity));
        for hit in &own.own.hits {
            let list = if hit.verdict.is_some() { &mut findings } else { &mut notes };
            list.extend(self.book.rule(hit.rule).and_then(|rule| self.tell(hit, rule, &facts)).map(Arc::new));
        }
        findings.sort_by_key(|f| (std::cmp::Reverse(f.verdict), f.origin));
        (findings, notes)
    }

    fn tell(&self, hit: &Hit, rule: &Rule, facts: &Facts<'_>) -> Option<Finding> {
        let missing = |as_true: Option<Verdict>| match &rule.when {
            Some(when) if hit.holds.is_none() => self.missing(when, facts, as_true),
            _ => Vec::new(),
        };
        let blank = Finding {
            origin: Origin::Rule(hit.rule),
            verdict: hit.verdict,
            ground: Ground::Advice,
            certain: hit.holds == Some(true),
            missing: Vec::new(),
            measured: None,
            limit: None,
            through: hit.through,
        };
        let demand = match hit.what {
            What::Trace => return Some(Finding { ground: Ground::Trace(hit.through?), certain: true, ..blank }),
            What::Advice => return Some(Finding { missing: missing(None), ..blank }),
            What::Demand(_) | What::Answer(..) => self.demand(hit)?,
        };
        let taken_out = hit.through.filter(|_| matches!(hit.how, How::Included(_)));
        // What a condition that is not known would lead to if it held.
        let (ground, as_true) = match demand {
            Demand::KeepOut => match taken_out {
                Some(item) => (Ground::TakeOutPart(item), Verdict::Prepare),
                None => (Ground::KeepOut, Verdict::KeepOut),
            },
            Demand::Ask(question, answers) => match taken_out {
                Some(item) => (Ground::TakeOutPart(item), Verdict::Prepare),
                None => (Ground::Ask(question.clone(), answers.iter().map(|(w, _)| w.clone()).collect()), Verdict::Ask),
            },
            Demand::Needs(any) => (Ground::Needs(any.clone()), Verdict::Prepare),
            Demand::Allow(allowance) => {
                let ground = Ground::Allow(allowance.clone());
                return Some(Finding { ground, missing: missing(Some(Verdict::Limit)), ..blank });
            }
            Demand::Better(any) => return Some(Finding { ground: Ground::Better(any.clone()), ..blank }),
            Demand::Welcome => return Some(Finding { ground: Ground::Welcome, ..blank }),
            Demand::Wait(_) => return Some(Finding { ground: Ground::Wait, missing: missing(None), ..blank }),
            Demand::Have(..) => return None,
        };
        let (measured, limit): (Option<Measured>, Option<Limit>) =
            rule.when.as_ref().map_or((None, None), |w| self.measured(w, facts));
        let mut missing = missing(Some(as_true));
        if let (Demand::Ask(question, answers), true, None) = (demand, missing.is_empty(), taken_out) {
            missing.push(Missing {
                fact: question.clone(),
                outcomes: answers.iter().map(|(word, d)| (word.clone(), Some(verdict_of(d)))).collect(),
            });
        }
        Some(Finding { ground, missing, measured, limit, ..blank })
    }
}

/// The verdict that an answer leads to.
fn verdict_of(demand: &Demand) -> Verdict {
    match demand {
        Demand::KeepOut => Verdict::KeepOut,
        Demand::Needs(_) => Verdict::Prepare,
        Demand::Allow(_) => Verdict::Limit,
        _ => Verdict::Feed,
    }
}
