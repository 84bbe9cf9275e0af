//! What to do, in order: take out, set aside, prepare, hold back, add, wait.
//!
//! Every step is tried: the bag is judged again with it done, and its points are what readiness
//! gained. Nothing is computed by formula that judging again can tell.

use super::conclude::{Settled, deciding, mg};
use super::scraps::Judge;
use super::{Deed, Ground, Status, Step, Verdict};
use crate::bag::{Mg, StateId};
use crate::knowledge::{ItemId, MassBasis, Scrap};
use std::sync::Arc;

/// At most this many preparations are tried together for one scrap.
const MOST_PREPARATIONS: usize = 4;

/// What is done to prepare a scrap.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Preparation {
    pub(super) states: Vec<StateId>,
    pub(super) take_out: Vec<ItemId>,
}

impl Judge<'_> {
    /// The steps that make the bag ready, as far as steps can.
    pub(super) fn steps(&self, scraps: &[Scrap], settled: &Settled) -> Vec<Step> {
        let mut steps: Vec<Step> = Vec::new();
        if settled.status == Status::Ready || scraps.is_empty() {
            steps.extend(self.add(settled, 0));
            return steps;
        }
        // The bag as it becomes, with each scrap's place in the bag as listed.
        let mut now: Vec<(usize, Scrap)> = scraps.iter().cloned().enumerate().collect();
        let mut ready = settled.readiness.map_or(100, i64::from);
        for deed in [Deed::TakeOut, Deed::SetAside] {
            let wanted = if deed == Deed::TakeOut { Verdict::KeepOut } else { Verdict::Ask };
            let mut gone: Vec<(usize, Mg)> = settled
                .owns
                .iter()
                .zip(scraps)
                .enumerate()
                .filter(|(_, (o, _))| o.own.verdict() == wanted)
                .map(|(n, (_, s))| (n, s.mass.typical))
                .collect();
            gone.sort_by_key(|(n, m)| (std::cmp::Reverse(*m), *n));
            for (n, mass) in gone {
                now.retain(|(k, _)| *k != n);
                let after = self.readiness_of(&now);
                steps.push(step(deed, vec![(n, mass)], mass, after - ready));
                ready = after;
            }
        }
        let mut todo: Vec<(usize, Mg, Preparation)> = now
            .iter()
            .filter(|(n, _)| settled.owns.get(*n).is_some_and(|o| o.own.verdict() == Verdict::Prepare))
            .filter_map(|(n, s)| self.preparation(s).map(|p| (*n, s.mass.typical, p)))
            .collect();
        todo.sort_by_key(|(n, m, _)| (std::cmp::Reverse(*m), *n));
        for (n, mass, preparation) in todo {
            if let Some((_, scrap)) = now.iter_mut().find(|(k, _)| *k == n) {
                *scrap = prepared(scrap, &preparation);
            }
            let after = self.readiness_of(&now);
            let Preparation { states, take_out } = preparation;
            steps.push(Step { states, take_out, ..step(Deed::Prepare, vec![(n, mass)], mass, after - ready) });
            ready = after;
        }
        if let Some((held, after)) = self.hold_back(&mut now) {
            let total = held.iter().map(|(_, m)| *m).sum();
            steps.push(step(Deed::HoldBack, held, total, after - ready));
            ready = after;
        }
        let list: Vec<Scrap> = now.into_iter().map(|(_, s)| s).collect();
        let last = self.settle(&list);
        let gained = last.readiness.map_or(100, i64::from) - ready;
        steps.extend(self.add(&last, gained));
        if last.waits {
            steps.push(step(Deed::Wait, Vec::new(), Mg(0), 0));
        }
        steps
    }

    fn readiness_of(&self, now: &[(usize, Scrap)]) -> i64 {
        let list: Vec<Scrap> = now.iter().map(|(_, s)| s.clone()).collect();
        self.settle(&list).readiness.map_or(100, i64::from)
    }

    /// Bedding and water that go with what goes in.
    fn add(&self, settled: &Settled, points: i64) -> Vec<Step> {
        let mut out = Vec::new();
        for (water, grams) in [(true, settled.need.water), (false, settled.need.bedding)] {
            if grams >= 0.5 {
                let mass = Mg::from_grams(grams.ceil());
                let points = if out.is_empty() { points } else { 0 };
                out.push(Step { water, ..step(Deed::Add, Vec::new(), mass, points) });
            }
        }
        out
    }

    /// The fewest states that end in feed, found by judging again; `None` for a dead end.
    pub(super) fn preparation(&self, scrap: &Scrap) -> Option<Preparation> {
        let mut take_out = Vec::new();
        let mut scrap = scrap.clone();
        // Pits and the like first: there is one way to take them out.
        for _ in 0..8 {
            let own = self.own(&scrap);
            let parts: Vec<ItemId> = own.own.hits.iter().filter_map(|hit| self.to_take_out(hit)).collect();
            if parts.is_empty() {
                break;
            }
            take_out.extend(parts.iter().copied());
            scrap = prepared(&scrap, &Preparation { states: Vec::new(), take_out: parts });
        }
        take_out.dedup();
        if self.own(&scrap).own.verdict() < Verdict::Prepare {
            return Some(Preparation { states: Vec::new(), take_out });
        }
        let mut open: Vec<Vec<StateId>> = vec![Vec::new()];
        for _ in 0..MOST_PREPARATIONS {
            let mut next = Vec::new();
            for tried in &open {
                // Only what a finding of the scrap as it then is asks for leads further.
                let so_far = prepared(&scrap, &Preparation { states: tried.clone(), take_out: Vec::new() });
                let own = self.own(&so_far);
                let wanted: Vec<StateId> = own
                    .own
                    .hits
                    .iter()
                    .flat_map(|hit| self.needs(hit))
                    .filter(|s| !tried.contains(s))
                    .copied()
                    .collect();
                for state in wanted {
                    let mut more = tried.clone();
                    more.push(state);
                    more.sort();
                    if next.contains(&more) {
                        continue;
                    }
                    let done = prepared(&scrap, &Preparation { states: more.clone(), take_out: Vec::new() });
                    if self.own(&done).own.verdict() == Verdict::Feed {
                        return Some(Preparation { states: more, take_out });
                    }
                    next.push(more);
                }
            }
            open = next;
        }
        None
    }

    /// Holds back what is over a limit, in whole grams, until the bag judges clean of limits.
    fn hold_back(&self, now: &mut Vec<(usize, Scrap)>) -> Option<(Vec<(usize, Mg)>, i64)> {
        let mut held: Vec<(usize, Mg)> = Vec::new();
        for round in 0..24 {
            let list: Vec<Scrap> = now.iter().map(|(_, s)| s.clone()).collect();
            let settled = self.settle(&list);
            let over = settled.verdicts.contains(&Verdict::Limit)
                || settled.findings.iter().any(|f| matches!(f.ground, Ground::Pace(_)));
            if !over {
                return (!held.is_empty()).then(|| (held, settled.readiness.map_or(100, i64::from)));
            }
            let mut changed = false;
            for (at, (n, scrap)) in now.iter_mut().enumerate() {
                let Some(own) = settled.owns.get(at) else { continue };
                let own = own.own.verdict();
                if !matches!(own, Verdict::Feed | Verdict::Prepare) {
                    continue;
                }
                let x = settled.x_mg.get(at).copied().unwrap_or(0.0);
                let mass = scrap.mass.typical;
                if x >= mg(mass) - 1.0 {
                    continue;
                }
                // Down to whole grams; a further gram each round where rounding left it over.
                #[allow(clippy::cast_possible_truncation, reason = "at most the scrap's own mass")]
                let keep = Mg((((x / 1000.0).floor() as i64) - if round == 0 { 0 } else { 1 }).max(0) * 1000);
                let back = Mg(mass.0 - keep.0);
                if back.0 <= 0 {
                    continue;
                }
                changed = true;
                match held.iter_mut().find(|(k, _)| k == n) {
                    Some((_, sum)) => sum.0 += back.0,
                    None => held.push((*n, back)),
                }
                scrap.mass.typical = keep;
                scrap.mass.low = scrap.mass.low.min(keep);
                scrap.mass.high = keep;
                scrap.mass.basis = MassBasis::Stated;
            }
            now.retain(|(_, s)| s.mass.typical.0 > 0);
            if !changed {
                break;
            }
        }
        let list: Vec<Scrap> = now.iter().map(|(_, s)| s.clone()).collect();
        (!held.is_empty()).then(|| (held, self.settle(&list).readiness.map_or(100, i64::from)))
    }

    /// What preparing a scrap would take, for an explanation.
    pub fn how_to_prepare(&self, scrap: &Scrap) -> Option<(Vec<StateId>, Vec<ItemId>)> {
        let own = self.own(scrap);
        deciding(scrap, &own)?;
        self.preparation(scrap).map(|p| (p.states, p.take_out))
    }
}

/// The scrap with something done to it.
pub(super) fn prepared(scrap: &Scrap, preparation: &Preparation) -> Scrap {
    let mut out = scrap.clone();
    for identity in out.found.identities.iter_mut().map(Arc::make_mut) {
        for state in &preparation.states {
            identity.said.yes |= state.bit();
            identity.said.no &= !state.bit();
        }
    }
    out.found.without.extend(preparation.take_out.iter().copied());
    out
}

fn step(deed: Deed, scraps: Vec<(usize, Mg)>, grams: Mg, points: i64) -> Step {
    Step { deed, scraps, states: Vec::new(), take_out: Vec::new(), water: false, grams, points }
}
