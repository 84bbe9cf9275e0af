//! The bag as a whole, by statements 20 to 24.

use super::amounts::{Cap, Mix, Need, Offer, greatest, need};
use super::data::{About, Demand};
use super::facts::truth;
use super::own::{Judge, Own};
use super::{Scrap, Verdict};
use std::collections::{BTreeMap, BTreeSet};

/// A judgement in plain words.
#[derive(Debug, Clone, Default)]
pub(crate) struct Answer {
    pub(crate) status: &'static str,
    pub(crate) readiness: Option<u32>,
    pub(crate) ledger: u32,
    pub(crate) scraps: Vec<ScrapAnswer>,
    pub(crate) findings: BTreeSet<String>,
    pub(crate) notes: BTreeSet<String>,
    pub(crate) cautions: BTreeMap<String, BTreeSet<u32>>,
    pub(crate) goes_in_mg: f64,
    /// Card and water, g; no card if a window is not met.
    pub(crate) card: Option<f64>,
    pub(crate) water: f64,
}

#[derive(Debug, Clone, Default)]
pub(crate) struct ScrapAnswer {
    pub(crate) verdict: &'static str,
    pub(crate) own: &'static str,
    pub(crate) allowed_mg: f64,
    /// Rule, verdict, whether it is certain.
    pub(crate) findings: BTreeSet<(String, &'static str, bool)>,
    pub(crate) notes: BTreeSet<String>,
}

impl Judge<'_> {
    pub(crate) fn judge(&self, scraps: &[Scrap]) -> Answer {
        let found: Vec<(usize, Own)> = scraps.iter().map(|s| self.own(s)).collect();
        let role = |n: usize| {
            let name = scraps[n].readings[found[n].0].item.as_deref();
            name.and_then(|i| self.world.item(i)).map_or("food", |i| i.role.as_str())
        };
        let goes = |n: usize| found[n].1.goes_in();
        let all = || 0..scraps.len();
        // The mass of a class, and the most that its scraps' guessed masses could make of it.
        let mass = |class: &(String, usize, Option<String>)| -> f64 {
            all()
                .filter(|n| goes(*n))
                .flat_map(|n| found[n].1.caps.iter().map(move |c| (n, c)))
                .filter(|(_, c)| c.class == *class)
                .map(|(n, c)| scraps[n].mg * c.share)
                .sum()
        };
        let mut answer = Answer::default();
        let mut offers = Vec::new();
        for n in all().filter(|n| goes(*n)) {
            let caps: Vec<(Cap, f64)> =
                found[n].1.caps.iter().filter_map(|c| Some((self.cap(c)?, mass(&c.class)))).collect();
            offers.push(Offer { mg: scraps[n].mg, food: role(n) == "food", caps });
        }
        let food = greatest(&offers);
        let mut offers = offers.iter();
        let mut mix = Mix::default();
        let (mut x, mut pace) = (Vec::new(), BTreeSet::new());
        for n in all() {
            let own = &found[n].1;
            let mut out = ScrapAnswer {
                own: own.verdict().word(),
                findings: own.findings.iter().map(|(r, v, c)| (r.clone(), v.word(), *c)).collect(),
                notes: own.notes.clone(),
                ..ScrapAnswer::default()
            };
            let mut verdict = own.verdict();
            for capped in &own.caps {
                let rule = &capped.class.0;
                let Some(cap) = self.cap(capped) else {
                    answer.notes.insert(rule.clone());
                    continue;
                };
                if !goes(n) {
                    continue;
                }
                let (offered, most) = (mass(&capped.class), cap.at(food));
                let is_pace =
                    matches!(&self.world.rule(rule).about, About::Scraps(s) if s.any()) && capped.class.2.is_none();
                if offered > most + 1.0 {
                    if is_pace {
                        pace.insert(rule.clone());
                    } else {
                        verdict = verdict.max(Verdict::Limit);
                        out.findings.insert((rule.clone(), "limit", capped.certain));
                    }
                } else if !is_pace && offered + (scraps[n].most_mg - scraps[n].mg) * capped.share > most + 1.0 {
                    out.notes.insert(rule.clone());
                }
            }
            out.verdict = verdict.word();
            let gives = if goes(n) { offers.next().unwrap().gives(food) } else { 0.0 };
            out.allowed_mg = gives;
            if let Some(c) = self
                .view(&scraps[n], &scraps[n].readings[found[n].0], scraps[n].readings[found[n].0].item.as_deref())
                .composition
            {
                mix = mix.with(gives / 1000.0, &c);
            }
            x.push(gives);
            for rule in &own.cautions {
                answer.cautions.entry(rule.clone()).or_default().insert(scraps[n].line);
            }
            answer.scraps.push(out);
        }
        answer.goes_in_mg = all().filter(|n| role(*n) == "food").map(|n| x[n]).sum();
        let with = if answer.goes_in_mg > 0.0 {
            let card = self.world.item("cardboard").unwrap().composition;
            need(mix, &self.windows(), &card, self.set.bin.bedding_g)
        } else {
            Need::default()
        };
        (answer.card, answer.water) = (with.unmet.is_empty().then_some(with.card), with.water);
        let waits = self.waits(&found, &mut answer);
        let dirty_bedding = all().any(|n| role(n) == "bedding" && goes(n) && answer.scraps[n].verdict != "feed");
        let factor = if !with.unmet.is_empty() || dirty_bedding { 0.9 } else { 1.0 };
        let clean = answer.scraps.iter().all(|s| s.verdict == "feed") && with.unmet.is_empty() && pace.is_empty();
        answer.findings.extend(with.unmet.into_iter().chain(pace));
        answer.status = match (scraps.is_empty(), waits, clean) {
            (true, _, _) => "empty",
            (_, true, _) => "wait",
            (_, _, true) => "ready",
            _ => "not_ready",
        };
        let counted: Vec<usize> = all().filter(|n| !(role(*n) == "bedding" && goes(*n))).collect();
        let total: f64 = counted.iter().map(|n| scraps[*n].mg).sum();
        let worth = |n: &usize| if found[*n].1.verdict() == Verdict::Prepare { x[*n] / 2.0 } else { x[*n] };
        if total > 0.0 {
            let points = (100.0 * factor * (counted.iter().map(worth).sum::<f64>() + 1.0) / total).floor().min(100.0);
            let points = if clean { points } else { points.min(99.0) };
            answer.readiness = Some(points as u32);
            answer.ledger = 100 - points as u32;
        }
        for rule in self.rules().iter().filter(|r| matches!(r.about, About::Bag(_)) && r.caution.is_some() && r.live) {
            let holds = rule.when.as_ref().is_none_or(|w| truth(self.world, self.set, None, w) == Some(true));
            if holds && !scraps.is_empty() {
                answer.cautions.entry(rule.rule.clone()).or_default();
            }
        }
        answer
    }

    /// Whether the bin must first be otherwise.
    fn waits(&self, found: &[(usize, Own)], answer: &mut Answer) -> bool {
        let mut waits = false;
        for rule in self.rules().iter().filter(|r| r.live) {
            let applies = match &rule.about {
                About::Bag(_) => rule.when.as_ref().map_or(Some(true), |w| truth(self.world, self.set, None, w)),
                About::Scraps(_) => Some(found.iter().any(|(_, o)| o.waits.contains(&rule.rule))),
            };
            for demand in self.demands(rule) {
                let Demand::Wait { until } = demand else { continue };
                match (applies, truth(self.world, self.set, None, until)) {
                    (Some(false), _) | (_, Some(true)) => {}
                    (Some(true), Some(false)) => {
                        waits = true;
                        answer.findings.insert(rule.rule.clone());
                    }
                    _ => {
                        answer.notes.insert(rule.rule.clone());
                    }
                }
            }
        }
        waits
    }
}
