//! From findings to the judgement: amounts, verdicts, windows, cautions.
//!
//! The numbers are `feeding`'s; what they mean is said here. Order of scraps never matters: every
//! sum is of whole milligrams or in a canonical order.

use super::readiness::{ledger, readiness};
use super::scraps::{Capped, Judge, OwnScrap, Read};
use super::{
    BagFigures, Caution, Finding, Ground, Judged, Judgement, Limit, Measured, Missing, Origin, Status, Verdict,
};
use crate::bag::{Bag, Mg};
use crate::feeding::{self, Bedding, Cap, Few, Member, Mixed, Offered, Part, Shares, Window};
use crate::knowledge::composed::STAND_IN;
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
    pub(super) list: Vec<Window>,
    waits: Vec<MayWait>,
    pub(super) bedding: Bedding,
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
                    (other, _) => (other, matches!(rule.subject(), Who::Scraps(set) if set.is_any())),
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
        for (id, rule) in self.book.of_bag().filter(|(_, r)| *r.subject() == Who::Bag) {
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
            let of_bag = match r.subject() {
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
    pub(super) fn composition(&self, scrap: &Scrap, own: &OwnScrap) -> Composition {
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
        for (id, rule) in self.book.of_bag().filter(|(_, r)| *r.subject() == Who::Bag && r.cautions) {
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
pub(super) fn floor_mg(x: f64, most: Mg) -> Mg {
    let whole = (x + 1e-3).floor();
    Mg(if whole.is_finite() && whole > 0.0 { (whole as i64).min(most.0) } else { 0 })
}

/// The identity that decided.
pub(super) fn deciding<'s>(scrap: &'s Scrap, own: &OwnScrap) -> Option<&'s Identity> {
    scrap.found.identities.get(own.identity).map(Arc::as_ref)
}
