//! From findings to the judgement: amounts, verdicts, windows, readiness, the ledger.
//!
//! The numbers are `feeding`'s; what they mean is said here. Order of scraps never matters: every
//! sum is of whole milligrams or in a canonical order.

use super::scraps::{Capped, Judge, OwnScrap, Read};
use super::{
    BagFigures, Caution, Figure, Finding, Ground, Judged, Judgement, Limit, Loss, Measured, Missing, Origin, Status,
    Verdict,
};
use crate::bag::{Bag, Mg};
use crate::feeding::{self, Bedding, Cap, Few, Member, Mixed, Offered, Part, Shares, Window};
use crate::knowledge::load::STAND_IN;
use crate::knowledge::{Composition, Identity, MassBasis, Role, Scrap};
use crate::language::rows::{How, Inside, member};
use crate::language::{Allowance, Basis, Demand, Mix, RuleId, Who};
use std::rc::Rc;
use std::sync::Arc;

/// Points kept while a window finding stands, or bedding is not clean.
const BAG_FACTOR: f64 = 0.9;

/// Dry card where the base names none: corrugated cardboard, 8 % water, C:N 563 (On-Farm Composting
/// Handbook, NRAES-54, appendix A; carbon share from its volatile solids).
pub const DRY_CARD: Composition =
    Composition { water: 0.08, carbon: 0.41, nitrogen: 0.000_92, fat: None, salt: None, sugar: None, ash: None };

/// A capped class.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Class {
    pub(super) rule: RuleId,
    pub(super) id: (RuleId, usize, Option<u8>),
    pub(super) allowance: Allowance,
    /// A cap on `any food`: the bin's pace.
    pub(super) pace: bool,
}

/// Everything settled about a bag, before it is told.
#[derive(Debug, Clone)]
pub(super) struct Settled {
    pub(super) owns: Few<Rc<OwnScrap>>,
    pub(super) verdicts: Few<Verdict>,
    /// x(T*) of each scrap, mg.
    pub(super) x_mg: Few<f64>,
    pub(super) classes: Few<Class>,
    pub(super) shares: Shares,
    pub(super) findings: Vec<Finding>,
    pub(super) notes: Vec<Finding>,
    pub(super) need: feeding::Need,
    pub(super) waits: bool,
    pub(super) status: Status,
    pub(super) readiness: Option<u32>,
    /// The bag's factor b.
    pub(super) factor: f64,
    pub(super) mix: Mixed,
}

/// What the book says of the bin whatever is in the bag.
#[derive(Debug, Clone)]
pub(super) struct Standing {
    windows: Vec<(RuleId, Window)>,
    /// The windows alone, in the same order.
    list: Vec<Window>,
    waits: Vec<MayWait>,
    bedding: Bedding,
}

/// A wait that the bin does not rule out.
#[derive(Debug, Clone)]
struct MayWait {
    rule: RuleId,
    /// For a rule of the bag, whether its condition holds; `None` for a rule of scraps.
    of_bag: Option<Option<bool>>,
    /// Whether the wait is over.
    over: Option<bool>,
}

/// The place of a class among classes in the book's order.
fn place_of(classes: &[Class], capped: &Capped) -> Option<usize> {
    classes.binary_search_by_key(&capped.class(), |c| c.id).ok()
}

/// How much of a judgement is worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Depth {
    Verdicts,
    Figures,
    Steps,
}

impl Judge<'_> {
    /// Judges a bag.
    pub fn conclude(&self, bag: Bag, scraps: Vec<Scrap>) -> Judgement {
        self.judgement(bag, scraps, Depth::Steps)
    }

    /// Judges a bag without working out steps.
    pub fn conclude_plain(&self, bag: Bag, scraps: Vec<Scrap>) -> Judgement {
        self.judgement(bag, scraps, Depth::Figures)
    }

    /// Judges a line of a stream as a bag of its own: without steps, figures of the bag and texts of
    /// cautions, for which its answer has no room.
    pub fn conclude_line(&self, bag: Bag, scraps: Vec<Scrap>) -> Judgement {
        self.judgement(bag, scraps, Depth::Verdicts)
    }

    fn judgement(&self, bag: Bag, scraps: Vec<Scrap>, depth: Depth) -> Judgement {
        let settled = self.settle(&scraps);
        let losses = self.losses(&scraps, &settled);
        let points = |n: usize| losses.each.get(n).copied().unwrap_or(0);
        let turned = (depth == Depth::Steps).then(|| self.turned());
        let judged = scraps
            .iter()
            .enumerate()
            .map(|(n, scrap)| self.judged(n, scrap, &settled, points(n), turned.as_ref()))
            .collect();
        let steps = if depth == Depth::Steps { self.steps(&scraps, &settled) } else { Vec::new() };
        let (ledger, figures, cautions) = match depth {
            Depth::Verdicts => (Vec::new(), BagFigures::default(), Vec::new()),
            _ => (ledger(&scraps, &losses), self.figures(&scraps, &settled), self.cautions(&scraps, &settled)),
        };
        Judgement {
            figures,
            cautions,
            bag,
            judged,
            stance: self.stance,
            worms: self.worms(),
            status: settled.status,
            readiness: settled.readiness,
            ledger,
            findings: settled.findings,
            notes: settled.notes,
            steps,
            scraps,
        }
    }

    /// Everything that follows from scraps, book and setting.
    pub(super) fn settle(&self, scraps: &[Scrap]) -> Settled {
        let owns: Few<Rc<OwnScrap>> = scraps.iter().map(|s| self.own(s)).collect();
        let classes = self.classes(&owns);
        let (caps, mut notes) = self.caps(&classes);
        let goes = |o: &OwnScrap| matches!(o.own.verdict(), Verdict::Feed | Verdict::Prepare);
        let members = |o: &OwnScrap| -> Few<Member> {
            o.caps
                .iter()
                .filter_map(|c| {
                    let class = place_of(&classes, c)?;
                    let at = caps.binary_search_by_key(&class, |(k, _)| *k).ok()?;
                    Some(Member { class: at, ppm: c.ppm })
                })
                .collect()
        };
        let offered: Few<Offered> = owns
            .iter()
            .zip(scraps)
            .map(|(o, s)| {
                if goes(o) {
                    Offered { mass: s.mass.typical, food: o.role == Role::Food, classes: members(o) }
                } else {
                    Offered::default()
                }
            })
            .collect();
        let amounts: Few<Cap> = caps.iter().map(|(_, c)| *c).collect();
        let shares = feeding::share_out(&offered, &amounts);
        let classes: Few<Class> = caps.iter().filter_map(|(k, _)| classes.get(*k).cloned()).collect();
        let over = |o: &Offered| {
            o.classes
                .iter()
                .any(|m| shares.over.get(m.class) == Some(&true) && classes.get(m.class).is_some_and(|c| !c.pace))
        };
        let verdicts: Few<Verdict> = owns
            .iter()
            .zip(&offered)
            .map(|(o, off)| {
                let own = o.own.verdict();
                if own < Verdict::Limit && over(off) { Verdict::Limit } else { own }
            })
            .collect();
        let x_mg: Few<f64> = owns.iter().zip(&shares.each_mg).map(|(o, x)| if goes(o) { *x } else { 0.0 }).collect();
        let mut findings = Vec::new();
        for (at, class) in classes.iter().enumerate().filter(|(_, c)| c.pace) {
            if shares.over.get(at) == Some(&true) {
                findings.push(self.pace_finding(class, at, &shares));
            }
        }
        let mix = Mixed::of(
            scraps.iter().zip(&x_mg).zip(&owns).map(|((s, x), o)| Part::of(x / 1000.0, &self.composition(s, o))),
        );
        let food_in: f64 = owns.iter().zip(&x_mg).filter(|(o, _)| o.role == Role::Food).map(|(_, x)| x).sum();
        let mut need = feeding::Need::default();
        let mut window_stands = false;
        if food_in > 0.0 {
            let standing = self.standing();
            need = feeding::mix::need(mix, &standing.list, &standing.bedding);
            for unmet in &need.unmet {
                if let Some((rule, window)) = standing.windows.get(*unmet) {
                    window_stands = true;
                    findings.push(self.window_finding(*rule, window, &mix));
                }
            }
        }
        let waits = self.waits(&owns, &mut notes, &mut findings);
        let bedding_unclean =
            owns.iter().any(|o| o.role == Role::Bedding && goes(o) && o.own.verdict() != Verdict::Feed)
                || owns.iter().zip(&verdicts).any(|(o, v)| o.role == Role::Bedding && goes(o) && *v != Verdict::Feed);
        let factor = if window_stands || bedding_unclean { BAG_FACTOR } else { 1.0 };
        let clean = verdicts.iter().all(|v| *v == Verdict::Feed) && !findings.iter().any(|f| f.ground != Ground::Wait);
        let status = match (scraps.is_empty(), waits, clean) {
            (true, _, _) => Status::Empty,
            (_, true, _) => Status::Wait,
            (_, _, true) => Status::Ready,
            _ => Status::NotReady,
        };
        let readiness = readiness(scraps, &owns, &x_mg, factor, clean);
        Settled { owns, verdicts, x_mg, classes, shares, findings, notes, need, waits, status, readiness, factor, mix }
    }

    /// All capped classes, in the book's order.
    fn classes(&self, owns: &[Rc<OwnScrap>]) -> Few<Class> {
        let mut all: Few<&Capped> = owns.iter().flat_map(|o| &o.caps).collect();
        all.sort_by_key(|c| c.class());
        all.dedup_by_key(|c| c.class());
        all.into_iter()
            .filter_map(|c| {
                let rule = self.book.rule(c.rule)?;
                let (demand, pace) = match (rule.demands(self.stance).nth(c.demand)?, c.answer) {
                    (Demand::Ask(_, answers), Some(a)) => (&answers.get(usize::from(a))?.1, false),
                    (other, _) => (other, matches!(&rule.subject, Who::Scraps(set) if set.is_any())),
                };
                let Demand::Allow(allowance) = demand else { return None };
                Some(Class { rule: c.rule, id: c.class(), allowance: allowance.clone(), pace })
            })
            .collect()
    }

    /// The caps that bind, by class; what cannot be reckoned becomes a note.
    fn caps(&self, classes: &[Class]) -> (Few<(usize, Cap)>, Vec<Finding>) {
        let (mut caps, mut notes) = (Few::new(), Vec::new());
        let worms_kg = self.worms().0.grams() / 1000.0;
        let area = self.setting.bin.area_m2.or(self.book.settings.area_m2);
        for (at, class) in classes.iter().enumerate() {
            match self.book.amount(&class.allowance) {
                Allowance::Share(ppm) => caps.push((at, Cap::Share(*ppm))),
                Allowance::Mass(mg, Basis::Feeding) => caps.push((at, Cap::Mass(*mg))),
                Allowance::Mass(mg, Basis::Worms) => caps.push((at, Cap::Mass(Mg::from_grams(mg.grams() * worms_kg)))),
                Allowance::Mass(mg, Basis::Week) => {
                    caps.push((at, Cap::Mass(Mg((mg.0 - self.fed_this_week(class)).max(0)))))
                }
                Allowance::Mass(mg, Basis::Area) => match area {
                    Some(m2) => caps.push((at, Cap::Mass(Mg::from_grams(mg.grams() * m2)))),
                    None => notes.push(Finding {
                        missing: vec![Missing { fact: "area".to_string(), outcomes: Vec::new() }],
                        ..bag_finding(class.rule, Ground::Allow(class.allowance.clone()), false)
                    }),
                },
                Allowance::ALittle => {}
            }
        }
        (caps, notes)
    }

    /// What the record holds of a class in its last seven days, as the class counts a scrap.
    fn fed_this_week(&self, class: &Class) -> i64 {
        let Some(rule) = self.book.rule(class.rule) else { return 0 };
        let record = self.setting.record.as_deref().unwrap_or_default();
        let fed = record.iter().filter(|f| self.days_ago(f.date).is_some_and(|d| d < 7));
        fed.map(|f| {
            let inside = Inside::of(self.known.item(f.item), f.part, &[], |_| false, self.known);
            match member(rule, true, Some((f.item, f.part)), &inside, self.known) {
                Some((How::Whole, _)) => f.mass.0,
                Some((How::Included(ppm), _)) => Mg::from_grams(f.mass.grams() * f64::from(ppm) / 1e6).0,
                Some((How::Trace, _)) | None => 0,
            }
        })
        .sum()
    }

    fn pace_finding(&self, class: &Class, at: usize, shares: &Shares) -> Finding {
        let cap = shares.cap_mg.get(at).copied().unwrap_or(0.0) / 1000.0;
        let offered = shares.offered_mg.get(at).copied().unwrap_or(0.0) / 1000.0;
        Finding {
            measured: Some(Measured { value: offered, unit: "g" }),
            limit: Some(Limit { low: None, high: Some(cap), unit: "g" }),
            ..bag_finding(class.rule, Ground::Pace(class.allowance.clone()), true)
        }
    }

    /// What the book says of the bin whatever is in the bag.
    pub(super) fn standing(&self) -> &Standing {
        self.standing.get_or_init(|| {
            let windows = self.windows();
            let list = windows.iter().map(|w| w.1).collect();
            Standing { windows, list, waits: self.may_wait(), bedding: self.bedding() }
        })
    }

    /// Live windows of the mix; one whose condition is unknown counts as if it held.
    fn windows(&self) -> Vec<(RuleId, Window)> {
        let mut out = Vec::new();
        for (id, rule) in self.book.of_bag().filter(|(_, r)| r.subject == Who::Bag) {
            if self.bag_condition(rule.when.as_ref()) == Some(false) {
                continue;
            }
            for demand in rule.demands(self.stance) {
                if let Demand::Have(mix, w) = demand {
                    out.push((id, Window { moisture: *mix == Mix::Moisture, low: w.low, high: w.high, aim: w.aim }));
                }
            }
        }
        out
    }

    fn window_finding(&self, rule: RuleId, window: &Window, mix: &Mixed) -> Finding {
        let value = if window.moisture { mix.moisture() } else { mix.cn() };
        let unit = if window.moisture { "share" } else { "cn" };
        let kind = if window.moisture { Mix::Moisture } else { Mix::CarbonToNitrogen };
        let w = crate::language::MixWindow { low: window.low, high: window.high, aim: window.aim };
        Finding {
            measured: value.map(|value| Measured { value, unit }),
            limit: Some(Limit { low: Some(window.low), high: Some(window.high), unit }),
            ..bag_finding(rule, Ground::Window(kind, w), true)
        }
    }

    /// Every wait that the bin does not rule out.
    fn may_wait(&self) -> Vec<MayWait> {
        let mut out = Vec::new();
        for (rule, r) in self.book.of_bag() {
            let of_bag = match r.subject {
                Who::Bag => Some(self.bag_condition(r.when.as_ref())),
                Who::Scraps(_) => None,
            };
            for demand in r.demands(self.stance) {
                let Demand::Wait(until) = demand else { continue };
                let over = self.bag_condition(Some(until));
                if of_bag != Some(Some(false)) && over != Some(true) {
                    out.push(MayWait { rule, of_bag, over });
                }
            }
        }
        out
    }

    /// Whether the bin must first be otherwise; what is not known of it is a note.
    fn waits(&self, owns: &[Rc<OwnScrap>], notes: &mut Vec<Finding>, findings: &mut Vec<Finding>) -> bool {
        let mut waits = false;
        for may in &self.standing().waits {
            let applies = may.of_bag.unwrap_or_else(|| Some(owns.iter().any(|o| o.waits.contains(&may.rule))));
            match (applies, may.over) {
                (Some(false), _) => {}
                (Some(true), Some(false)) => {
                    waits = true;
                    findings.push(bag_finding(may.rule, Ground::Wait, true));
                }
                _ => notes.push(bag_finding(may.rule, Ground::Wait, false)),
            }
        }
        waits
    }

    /// What the deciding identity of a scrap is made of.
    fn composition(&self, scrap: &Scrap, own: &OwnScrap) -> Composition {
        scrap.found.identities.get(own.identity).map_or(STAND_IN, |i| self.made_of(Read::of(i)))
    }

    /// Bedding that may be added: dry card.
    pub(super) fn bedding(&self) -> Bedding {
        let card = self.known.item_named("cardboard").and_then(|i| self.known.item(i)).map(|i| i.composition.0);
        let card = card.filter(|c| c.water < 0.5).unwrap_or(DRY_CARD);
        Bedding { composition: card, at_hand: self.setting.bin.bedding_g }
    }

    fn judged(&self, n: usize, scrap: &Scrap, settled: &Settled, points: u32, turned: Option<&Judge<'_>>) -> Judged {
        let Some(own) = settled.owns.get(n) else { return blank_judged() };
        let verdict = settled.verdicts.get(n).copied().unwrap_or(Verdict::Ask);
        let x = settled.x_mg.get(n).copied().unwrap_or(0.0);
        let (mut findings, mut notes) = self.told(scrap, own).clone();
        for capped in &own.caps {
            self.cap_findings(capped, scrap, own, settled, &mut findings, &mut notes);
        }
        findings.sort_by_key(|f| (std::cmp::Reverse(f.verdict), f.origin));
        notes.sort_by_key(|f| f.origin);
        let other_stance = turned.map(|t| t.own(scrap).own.verdict()).filter(|v| *v != own.own.verdict());
        let other_stance = other_stance.filter(|v| *v != verdict);
        Judged {
            identity: own.identity,
            states_yes: own.own.states.yes,
            states_unknown: own.own.states.unknown,
            own: own.own.verdict(),
            verdict,
            allowed: floor_mg(x, scrap.mass.typical),
            findings,
            notes,
            cautions: own.cautions.clone(),
            alternatives: own.alternatives.clone(),
            points,
            other_stance,
        }
    }

    fn cap_findings(
        &self,
        capped: &Capped,
        scrap: &Scrap,
        own: &OwnScrap,
        settled: &Settled,
        findings: &mut Vec<Arc<Finding>>,
        notes: &mut Vec<Arc<Finding>>,
    ) {
        let Some(at) = place_of(&settled.classes, capped) else { return };
        let Some(class) = settled.classes.get(at).filter(|c| !c.pace) else { return };
        let (cap, offered) = (
            settled.shares.cap_mg.get(at).copied().unwrap_or(0.0),
            settled.shares.offered_mg.get(at).copied().unwrap_or(0.0),
        );
        let goes = matches!(own.own.verdict(), Verdict::Feed | Verdict::Prepare);
        let base = Finding {
            measured: Some(Measured { value: offered / 1000.0, unit: "g" }),
            limit: Some(Limit { low: None, high: Some(cap / 1000.0), unit: "g" }),
            certain: capped.certain,
            ..bag_finding(capped.rule, Ground::Allow(class.allowance.clone()), capped.certain)
        };
        if goes && settled.shares.over.get(at) == Some(&true) {
            findings.push(Finding { verdict: Some(Verdict::Limit), ..base }.into());
        } else if goes && scrap.mass.basis != MassBasis::Stated {
            #[allow(clippy::cast_precision_loss, reason = "a bag weighs far less than 2^53 mg")]
            let more = (scrap.mass.high.0 - scrap.mass.typical.0) as f64 * (capped.ppm as f64 / 1e6);
            if offered + more > cap + 1.0 {
                notes.push(Finding { ground: Ground::WeighIt, ..base }.into());
            }
        }
    }

    /// Where readiness was lost.
    fn losses(&self, scraps: &[Scrap], settled: &Settled) -> Losses {
        let mut losses = Losses::default();
        let (Some(readiness), total) = (settled.readiness, weighed(scraps, &settled.owns)) else { return losses };
        if readiness == 100 {
            return losses;
        }
        let m = mg(total);
        let mut kept = 0.0;
        let (mut of, mut shares): (Few<Option<usize>>, Few<f64>) = (Few::new(), Few::new());
        for (n, (scrap, own)) in scraps.iter().zip(&settled.owns).enumerate() {
            if is_bedding_in(own) {
                continue;
            }
            let part = half(own) * settled.x_mg.get(n).copied().unwrap_or(0.0);
            kept += part;
            of.push(Some(n));
            shares.push(100.0 * (mg(scrap.mass.typical) - part) / m);
        }
        of.push(None);
        shares.push(100.0 * (1.0 - settled.factor) * kept / m);
        let grams = |at: &Option<usize>| at.and_then(|n| scraps.get(n)).map_or(Mg(0), |s| s.mass.typical);
        let points = largest_remainder(&shares, 100 - readiness, |a, b| {
            let (a, b) = (of.get(a).copied().flatten(), of.get(b).copied().flatten());
            grams(&b).cmp(&grams(&a)).then_with(|| text_of(scraps, a).cmp(text_of(scraps, b)))
        });
        losses.each.resize(scraps.len(), 0);
        for (of, points) in of.into_iter().zip(points) {
            match of {
                Some(n) => losses.each.get_mut(n).into_iter().for_each(|each| *each = points),
                None => losses.bag = points,
            }
        }
        losses
    }

    fn figures(&self, scraps: &[Scrap], settled: &Settled) -> BagFigures {
        let mass: Mg = scraps.iter().map(|s| s.mass.typical).sum();
        let assumed: Mg = scraps.iter().filter(|s| s.mass.basis == MassBasis::Assumed).map(|s| s.mass.typical).sum();
        let food: f64 =
            settled.owns.iter().zip(&settled.x_mg).filter(|(o, _)| o.role == Role::Food).map(|(_, x)| x).sum();
        let grit_there: f64 =
            settled.owns.iter().zip(&settled.x_mg).filter(|(o, _)| o.role == Role::Grit).map(|(_, x)| x / 1000.0).sum();
        #[allow(clippy::cast_precision_loss, reason = "a share of at most a million")]
        let grit = (food / 1000.0 * self.book.settings.grit_ppm.0 as f64 / 1e6 - grit_there).max(0.0);
        let same = |v: f64| Figure { value: v, low: v, high: v };
        let spread = self.spread(scraps, settled);
        let (value, cn) = (settled.mix.moisture(), settled.mix.cn());
        let goes = food > 0.0;
        let bedding = self.standing().bedding.composition;
        let mut with = settled.mix;
        with.add(Part::of(settled.need.bedding, &bedding));
        with.add(Part { grams: settled.need.water, water: 1.0, carbon: 0.0, nitrogen: 0.0 });
        let (bedding_low, bedding_high) = self.bedding_range(scraps, settled);
        BagFigures {
            mass,
            assumed_share: if mass.0 > 0 { assumed.grams() / mass.grams() } else { 0.0 },
            goes_in: floor_mg(food, Mg(i64::MAX)),
            moisture: value
                .filter(|_| goes)
                .map(|v| spread.map_or(same(v), |(m, _)| Figure { value: v, low: m.0.min(v), high: m.1.max(v) })),
            cn: cn
                .filter(|_| goes)
                .map(|v| spread.map_or(same(v), |(_, c)| Figure { value: v, low: c.0.min(v), high: c.1.max(v) })),
            bedding_g: goes.then_some(Figure { value: settled.need.bedding, low: bedding_low, high: bedding_high }),
            water_g: goes.then(|| same(settled.need.water)),
            grit_g: goes.then(|| same(grit)),
            moisture_with: with.moisture().filter(|_| goes),
            cn_with: with.cn().filter(|_| goes),
        }
    }

    /// Bedding for the low and the high masses of what goes in.
    fn bedding_range(&self, scraps: &[Scrap], settled: &Settled) -> (f64, f64) {
        let standing = self.standing();
        let at = |pick: &dyn Fn(&Scrap) -> Mg| {
            let mix = Mixed::of(scraps.iter().zip(&settled.x_mg).zip(&settled.owns).map(|((s, x), o)| {
                let ratio = if s.mass.typical.0 > 0 { pick(s).grams() / s.mass.typical.grams() } else { 1.0 };
                Part::of(x / 1000.0 * ratio, &self.composition(s, o))
            }));
            feeding::mix::need(mix, &standing.list, &standing.bedding).bedding
        };
        let (a, b) = (at(&|s| s.mass.low), at(&|s| s.mass.high));
        (a.min(settled.need.bedding), b.max(settled.need.bedding))
    }

    /// Moisture and C:N of the mix over the corners that single scraps' mass ranges give.
    fn spread(&self, scraps: &[Scrap], settled: &Settled) -> Option<((f64, f64), (f64, f64))> {
        let parts: Vec<(Composition, f64, f64, f64)> = scraps
            .iter()
            .zip(&settled.x_mg)
            .zip(&settled.owns)
            .filter(|((s, x), _)| **x > 0.0 && s.mass.typical.0 > 0)
            .map(|((s, x), o)| {
                let scale = x / 1000.0 / s.mass.typical.grams();
                (self.composition(s, o), s.mass.low.grams() * scale, x / 1000.0, s.mass.high.grams() * scale)
            })
            .collect();
        let base = settled.mix;
        let (m, c) = (base.moisture()?, base.cn()?);
        let (mut moisture, mut cn) = ((m, m), (c, c));
        // Each corner takes the wet (or rich) ones high and the others low, and the other way round.
        for high_wet in [true, false] {
            let corner = |key: &dyn Fn(&Composition) -> f64, pivot: f64| {
                Mixed::of(parts.iter().map(|(comp, low, _, high)| {
                    Part::of(if (key(comp) > pivot) == high_wet { *high } else { *low }, comp)
                }))
            };
            if let Some(v) = corner(&|k| k.water, m).moisture() {
                moisture = (moisture.0.min(v), moisture.1.max(v));
            }
            if let Some(v) = corner(&|k| if k.nitrogen > 0.0 { k.carbon / k.nitrogen } else { f64::INFINITY }, c).cn() {
                cn = (cn.0.min(v), cn.1.max(v));
            }
        }
        Some((moisture, cn))
    }

    fn cautions(&self, scraps: &[Scrap], settled: &Settled) -> Vec<Caution> {
        let mut out: Vec<Caution> = Vec::new();
        for (scrap, own) in scraps.iter().zip(&settled.owns) {
            for rule in &own.cautions {
                let line = scrap.found.line;
                match out.iter_mut().find(|c| c.rule == *rule) {
                    Some(c) if c.lines.contains(&line) => {}
                    Some(c) => c.lines.push(line),
                    None => {
                        let text =
                            self.book.rule(*rule).and_then(|r| r.caution().map(str::to_string)).unwrap_or_default();
                        out.push(Caution { rule: *rule, text, lines: vec![line] });
                    }
                }
            }
        }
        for (id, rule) in self.book.of_bag().filter(|(_, r)| r.subject == Who::Bag && r.cautions) {
            if !scraps.is_empty() && self.bag_condition(rule.when.as_ref()) == Some(true) {
                out.push(Caution { rule: id, text: rule.caution().unwrap_or_default().to_string(), lines: Vec::new() });
            }
        }
        out.iter_mut().for_each(|c| c.lines.sort_unstable());
        out.sort_by_key(|c| c.rule);
        out
    }
}

fn bag_finding(rule: RuleId, ground: Ground, certain: bool) -> Finding {
    Finding {
        origin: Origin::Rule(rule),
        verdict: None,
        ground,
        certain,
        missing: Vec::new(),
        measured: None,
        limit: None,
        through: None,
    }
}

fn blank_judged() -> Judged {
    Judged {
        identity: 0,
        states_yes: 0,
        states_unknown: 0,
        own: Verdict::Ask,
        verdict: Verdict::Ask,
        allowed: Mg(0),
        findings: Vec::new(),
        notes: Vec::new(),
        cautions: Vec::new(),
        alternatives: Vec::new(),
        points: 0,
        other_stance: None,
    }
}

#[allow(clippy::cast_precision_loss, reason = "a bag weighs far less than 2^53 mg")]
pub(super) fn mg(mass: Mg) -> f64 {
    mass.0 as f64
}

/// Whole milligrams of an allowance, with the slack of one that every comparison of grams has.
#[allow(clippy::cast_possible_truncation, reason = "bounded by the scrap's own mass")]
fn floor_mg(x: f64, most: Mg) -> Mg {
    let whole = (x + 1e-3).floor();
    Mg(if whole.is_finite() && whole > 0.0 { (whole as i64).min(most.0) } else { 0 })
}

/// Half while something must be done first, whole else.
fn half(own: &OwnScrap) -> f64 {
    if own.own.verdict() == Verdict::Prepare { 0.5 } else { 1.0 }
}

/// Bedding that goes in stands outside readiness.
fn is_bedding_in(own: &OwnScrap) -> bool {
    own.role == Role::Bedding && matches!(own.own.verdict(), Verdict::Feed | Verdict::Prepare)
}

fn weighed(scraps: &[Scrap], owns: &[Rc<OwnScrap>]) -> Mg {
    scraps.iter().zip(owns).filter(|(_, o)| !is_bedding_in(o)).map(|(s, _)| s.mass.typical).sum()
}

/// `floor(100 b sum(v x) / sum(m))`, with a milligram of slack; at most 99 while something stands.
fn readiness(scraps: &[Scrap], owns: &[Rc<OwnScrap>], x_mg: &[f64], factor: f64, clean: bool) -> Option<u32> {
    let total = weighed(scraps, owns);
    if total.0 <= 0 {
        return None;
    }
    let mut parts: Few<f64> =
        owns.iter().zip(x_mg).filter(|(o, _)| !is_bedding_in(o)).map(|(o, x)| half(o) * x).collect();
    parts.sort_by(f64::total_cmp);
    let share = 100.0 * factor * (parts.iter().sum::<f64>() + 1.0) / mg(total);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 0 and 101")]
    let points = share.floor().clamp(0.0, 100.0) as u32;
    Some(if clean { points } else { points.min(99) })
}

fn text_of(scraps: &[Scrap], at: Option<usize>) -> &str {
    at.and_then(|n| scraps.get(n)).map_or("", |s| s.found.thing.text.as_str())
}

/// Points of readiness lost.
#[derive(Debug, Clone, Default)]
struct Losses {
    /// To each scrap; empty where nothing is lost.
    each: Few<u32>,
    /// To what stands against the bag as a whole.
    bag: u32,
}

/// The points that were lost, the most first.
fn ledger(scraps: &[Scrap], losses: &Losses) -> Vec<Loss> {
    let each =
        scraps.iter().zip(&losses.each).map(|(s, points)| (s.found.thing.text.as_str(), Some(s.found.line), *points));
    let lost = each.chain([("the bag", None, losses.bag)]).filter(|(_, _, points)| *points > 0);
    let mut ledger: Vec<Loss> =
        lost.map(|(what, line, points)| Loss { what: what.to_string(), line, points }).collect();
    ledger.sort_by(|a, b| b.points.cmp(&a.points).then_with(|| a.line.cmp(&b.line)).then_with(|| a.what.cmp(&b.what)));
    ledger
}

/// Whole points that add up to `total`, by largest remainder; ties in the order of `before`.
fn largest_remainder(shares: &[f64], total: u32, before: impl Fn(usize, usize) -> std::cmp::Ordering) -> Few<u32> {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "points are 0 to 100")]
    let mut out: Few<u32> = shares.iter().map(|s| (s + 1e-9).floor().clamp(0.0, 100.0) as u32).collect();
    let mut order: Few<usize> = (0..shares.len()).collect();
    let remainder = |n: usize| shares.get(n).map_or(0.0, |s| s - (s + 1e-9).floor());
    order.sort_by(|a, b| {
        let (ra, rb) = (remainder(*a), remainder(*b));
        if (ra - rb).abs() < 1e-9 { before(*a, *b) } else { rb.total_cmp(&ra) }
    });
    let mut left = i64::from(total) - out.iter().map(|p| i64::from(*p)).sum::<i64>();
    for n in order.iter().cycle().take(order.len() * 101) {
        let Some(slot) = out.get_mut(*n) else { continue };
        if left > 0 {
            *slot += 1;
            left -= 1;
        } else if left < 0 && *slot > 0 {
            *slot -= 1;
            left += 1;
        } else if left == 0 {
            break;
        }
    }
    out
}

/// The identity that decided.
pub(super) fn deciding<'s>(scrap: &'s Scrap, own: &OwnScrap) -> Option<&'s Identity> {
    scrap.found.identities.get(own.identity).map(Arc::as_ref)
}
