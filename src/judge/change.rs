//! What would turn a verdict: each change is tried by judging again.

use super::Verdict;
use super::scraps::Judge;
use super::steps::{Preparation, prepared};
use crate::bag::words::Sort;
use crate::bag::{Mg, StateId};
use crate::knowledge::{MassBasis, Scrap};
use crate::language::RuleId;
use std::sync::Arc;

/// A change to a scrap of a bag, or to what is known.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Bring these states about, and take these items out of it.
    Prepare(Vec<StateId>, Vec<crate::knowledge::ItemId>),
    /// Feed at most this much of it with what else is in the bag.
    AtMost(Mg),
    /// Put at least this much other plain food with it.
    WithOther(Mg),
    /// The other stance.
    OtherStance,
    /// A state that is not known turns out so (`true`) or not.
    Turns(StateId, bool),
    /// A rule overruled by the household.
    Overrule(RuleId),
}

/// A change with the verdict it leads to.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The change.
    pub change: Change,
    /// The verdict after it, by judging again.
    pub verdict: Verdict,
}

impl Judge<'_> {
    /// What would turn the verdict of one scrap of a bag, and preparations that would not.
    pub fn changes(&self, scraps: &[Scrap], at: usize) -> (Vec<Outcome>, Vec<Outcome>) {
        let Some(scrap) = scraps.get(at) else { return (Vec::new(), Vec::new()) };
        let before = self.settle(scraps);
        let Some(now) = before.verdicts.get(at).copied() else { return (Vec::new(), Vec::new()) };
        let again = |changed: Scrap, judge: &Judge<'_>| {
            let mut bag = scraps.to_vec();
            if let Some(slot) = bag.get_mut(at) {
                *slot = changed;
            }
            judge.settle(&bag).verdicts.get(at).copied().unwrap_or(now)
        };
        let (mut helps, mut useless) = (Vec::new(), Vec::new());
        if now == Verdict::Prepare {
            if let Some(p) = self.preparation(scrap) {
                let verdict = again(prepared(scrap, &p), self);
                helps.push(Outcome { change: Change::Prepare(p.states, p.take_out), verdict });
            }
        }
        if now == Verdict::Limit {
            let x = before.x_mg.get(at).copied().unwrap_or(0.0);
            #[allow(clippy::cast_possible_truncation, reason = "at most the scrap's own mass")]
            let keep = Mg((x / 1000.0).floor() as i64 * 1000);
            if keep.0 > 0 {
                let mut less = scrap.clone();
                less.mass.typical = keep;
                less.mass.basis = MassBasis::Stated;
                let verdict = again(less, self);
                helps.push(Outcome { change: Change::AtMost(keep), verdict });
            }
            if let Some(other) = self.other_food(scraps, at) {
                helps.push(Outcome { change: Change::WithOther(other), verdict: Verdict::Feed });
            }
        }
        let turned = self.turned();
        let other = again(scrap.clone(), &turned);
        if other != now {
            helps.push(Outcome { change: Change::OtherStance, verdict: other });
        }
        let vocabulary = self.known.vocabulary();
        let unknown = before.owns.get(at).map_or(0, |o| o.own.states.unknown);
        for (id, _) in vocabulary.states().filter(|(id, _)| unknown & id.bit() != 0) {
            for holds in [false, true] {
                let mut told = scrap.clone();
                for identity in &mut told.found.identities {
                    Arc::make_mut(identity).said.say(id, holds);
                }
                let verdict = again(told, self);
                if verdict != now {
                    helps.push(Outcome { change: Change::Turns(id, holds), verdict });
                }
            }
        }
        let already = before.owns.get(at).map_or(0, |o| o.own.states.yes);
        for (id, state) in vocabulary.states().filter(|(id, s)| s.sort == Sort::Preparation && already & id.bit() == 0)
        {
            let tried = prepared(scrap, &Preparation { states: vec![id], take_out: Vec::new() });
            let verdict = again(tried, self);
            let helps_alone = verdict < now
                && !helps.iter().any(|h| matches!(&h.change, Change::Prepare(states, _) if *states == [id]));
            if helps_alone {
                helps.push(Outcome { change: Change::Prepare(vec![id], Vec::new()), verdict });
            } else if verdict >= now && matches!(state.name.as_str(), "frozen" | "chopped" | "rinsed" | "crushed") {
                useless.push(Outcome { change: Change::Prepare(vec![id], Vec::new()), verdict });
            }
        }
        (helps, useless)
    }

    /// How much other plain food would let all of a limited scrap in, in whole 10 g; `None` if no
    /// amount does.
    pub fn other_food(&self, scraps: &[Scrap], at: usize) -> Option<Mg> {
        let fits = |grams: i64| {
            let mut bag = scraps.to_vec();
            bag.push(super::examples::stand_in(Mg(grams * 1000)));
            self.settle(&bag).verdicts.get(at) == Some(&Verdict::Feed)
        };
        let mut high = 10i64;
        while !fits(high) {
            high *= 2;
            if high > 200_000 {
                return None;
            }
        }
        let mut low = high / 2;
        while high - low > 10 {
            let middle = (low + high) / 2;
            if fits(middle) { high = middle } else { low = middle }
        }
        Some(Mg((high + 9) / 10 * 10 * 1000))
    }
}
