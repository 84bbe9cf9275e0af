//! From scraps to findings: which rules speak of a scrap, whether their conditions hold, and what
//! they ask. No amounts here: caps are noted as memberships and settled in `conclude`.

use super::states::{States, states};
use super::{Finding, Ground, Limit, Measured, Missing, Origin, Setting, Verdict};
use crate::bag::{Mg, PartId};
use crate::knowledge::{Composition, Found, Identified, Identity, Item, ItemId, KindId, Known, Role, Rung, Scrap};
use crate::language::rows::{How, Inside, Membership, Thing, membership};
use crate::language::{Book, Demand, Fact, Layer, Relation, Rule, RuleId, Side, SubjectSet, When};
use std::cell::{OnceCell, RefCell};
use std::collections::HashMap;
use std::rc::Rc;

/// Places in rules by item and part.
type Rows = HashMap<Thing, Rc<[Membership]>>;

/// A book ready to judge scraps in a setting.
#[derive(Debug)]
pub struct Judge<'a> {
    pub(super) known: &'a Known,
    pub(super) book: &'a Book,
    pub(super) setting: &'a Setting,
    pub(super) stance: Side,
    /// Kinds that a state takes out of a whole, with the state's bit.
    gone: Vec<(u64, Vec<KindId>)>,
    /// Rules of which the ready-made rows do not speak, or not for good.
    loose: Vec<RuleId>,
    /// Where those rules come in, by item and part, as they are met.
    rows: Rc<RefCell<Rows>>,
}

/// A class of a cap that a scrap counts in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Capped {
    pub(super) rule: RuleId,
    /// Which of the rule's demands in this stance.
    pub(super) demand: usize,
    /// Share of the scrap's mass that counts, parts per million.
    pub(super) ppm: i64,
    /// False if the condition is not known to hold.
    pub(super) certain: bool,
}

/// What the rules say of one identity of a scrap.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Own {
    pub(super) verdict: Option<Verdict>,
    pub(super) findings: Vec<Finding>,
    pub(super) notes: Vec<Finding>,
    pub(super) cautions: Vec<RuleId>,
    pub(super) caps: Vec<Capped>,
    /// Rules whose `wait until` speaks of this scrap.
    pub(super) waits: Vec<RuleId>,
    pub(super) states: States,
}

impl Own {
    pub(super) fn verdict(&self) -> Verdict {
        self.verdict.unwrap_or(Verdict::Feed)
    }

    fn find(&mut self, finding: Finding) {
        self.verdict = self.verdict.max(finding.verdict);
        self.findings.push(finding);
    }
}

/// Everything a rule can ask about one identity.
pub(super) struct Facts<'s> {
    item: Option<ItemId>,
    part: Option<PartId>,
    states: States,
    composition: Composition,
    piece_cm: f64,
    found: Option<&'s Found>,
    /// What is in it, once it is asked for.
    inside: OnceCell<Inside>,
}

/// What a bin fact is taken to be.
#[derive(Clone, Copy)]
enum Bins<'b> {
    /// As it is known.
    Known,
    /// Unknown ones as these bits, in the order met; the count of those met is kept.
    Assumed(u32, &'b std::cell::Cell<u32>),
}

impl<'a> Judge<'a> {
    /// Prepares a book for judging.
    pub fn new(known: &'a Known, book: &'a Book, setting: &'a Setting) -> Self {
        let stance = setting.stance.unwrap_or(book.settings.stance.0);
        let gone = known
            .vocabulary()
            .states()
            .filter(|(_, s)| !s.takes_out.is_empty())
            .map(|(id, s)| (id.bit(), s.takes_out.iter().filter_map(|k| known.kind_named(k)).collect()))
            .collect();
        let fixed = book.rows.rules();
        let mut loose = book.unsettled.clone();
        loose.retain(|id| id.0 < fixed);
        loose.extend((fixed..book.count_u16()).map(RuleId));
        Judge { known, book, setting, stance, gone, loose, rows: Rc::default() }
    }

    /// The stance taken.
    pub fn stance(&self) -> Side {
        self.stance
    }

    /// The same book and setting in the other stance.
    pub(super) fn turned(&self) -> Judge<'a> {
        let stance = if self.stance == Side::Strict { Side::Lenient } else { Side::Strict };
        Judge {
            known: self.known,
            book: self.book,
            setting: self.setting,
            stance,
            gone: self.gone.clone(),
            loose: self.loose.clone(),
            rows: Rc::clone(&self.rows),
        }
    }

    /// The worms reckoned with and who said so; the starter bin's if nobody did.
    pub fn worms(&self) -> (Mg, Layer) {
        self.setting.bin.worms.map_or(self.book.settings.worms, |w| (w, Layer::Household))
    }

    /// The part that counts: the one said, else the item's usual one; a whole is no part.
    pub(super) fn part(&self, identity: &Identity) -> Option<PartId> {
        match identity.part {
            Some(part) => Some(part).filter(|p| Some(*p) != self.known.whole()),
            None => identity.item.and_then(|i| self.known.usual_part(i)),
        }
    }

    /// What is in a scrap, less what it comes without and what a state took out of the whole.
    fn inside(&self, found: Option<&Found>, item: Option<&Item>, part: Option<PartId>, yes: u64) -> Inside {
        let (additions, without) = found.map_or((&[][..], &[][..]), |f| (&f.additions, &f.without));
        let left_out = |id: ItemId| {
            without.iter().any(|w| {
                let kind = self.known.kind_named(self.known.item_name(*w));
                *w == id || kind.is_some_and(|k| self.known.kinds_of(id).contains(&k))
            })
        };
        let mut inside = Inside::of(item, part, additions, left_out, self.known);
        inside.included.retain(|((id, _), _)| !self.taken_out(*id, yes));
        inside
    }

    /// Whether a state that holds takes an item out of a whole.
    fn taken_out(&self, id: ItemId, yes: u64) -> bool {
        let takes = |(bit, kinds): &(u64, Vec<KindId>)| {
            yes & bit != 0 && kinds.iter().any(|k| self.known.kinds_of(id).contains(k))
        };
        self.gone.iter().any(takes)
    }

    /// Calls `each` with every place that an identity has in a rule that may concern it, in the
    /// book's order.
    fn places(&self, facts: &Facts<'_>, mut each: impl FnMut(Membership)) {
        let (found, entry) = (facts.found, facts.item.and_then(|i| self.known.item(i)));
        let plain = found.is_none_or(|f| f.additions.is_empty() && f.without.is_empty())
            && (facts.part.is_some()
                || entry.is_some_and(|e| e.includes.iter().all(|(id, _)| !self.taken_out(*id, facts.states.yes))));
        let thing = facts.item.map(|i| (i, facts.part));
        let rules = |ids: &mut dyn Iterator<Item = RuleId>| -> Vec<Membership> {
            let inside = self.inside_of(facts);
            ids.filter_map(|id| membership(id, self.book.rule(id)?, thing, inside, self.known)).collect()
        };
        let ready = thing.filter(|_| plain).and_then(|(i, p)| self.book.rows.of(i, p));
        let Some(ready) = ready else {
            let of_all = || rules(&mut (0..self.book.count_u16()).map(RuleId));
            match thing.filter(|_| plain) {
                Some(thing) => self.kept(thing, of_all).iter().for_each(|m| each(*m)),
                None => of_all().into_iter().for_each(each),
            }
            return;
        };
        let (Some(thing), false) = (thing, self.loose.is_empty()) else {
            ready.for_each(each);
            return;
        };
        let loose = self.kept(thing, || rules(&mut self.loose.iter().copied()));
        let mut loose = loose.iter().copied().peekable();
        for m in ready.filter(|m| self.loose.binary_search(&m.rule).is_err()) {
            while let Some(l) = loose.next_if(|l| l.rule < m.rule) {
                each(l);
            }
            each(m);
        }
        loose.for_each(each);
    }

    /// Places that were worked out before, or are now.
    fn kept(&self, thing: Thing, work: impl FnOnce() -> Vec<Membership>) -> Rc<[Membership]> {
        if let Some(row) = self.rows.borrow().get(&thing) {
            return Rc::clone(row);
        }
        let row: Rc<[Membership]> = work().into();
        self.rows.borrow_mut().insert(thing, Rc::clone(&row));
        row
    }

    fn inside_of<'f>(&self, facts: &'f Facts<'_>) -> &'f Inside {
        facts.inside.get_or_init(|| {
            let item = facts.item.and_then(|i| self.known.item(i));
            self.inside(facts.found, item, facts.part, facts.states.yes)
        })
    }

    /// What the rules say of one identity, names apart.
    pub(super) fn rules_of(&self, scrap: &Scrap, identity: &Identity, composition: Option<&Composition>) -> Own {
        let item = identity.item;
        let entry = item.and_then(|i| self.known.item(i));
        let states = states(identity.said, entry, self.known.vocabulary());
        let part = self.part(identity);
        let composition =
            composition.copied().or(entry.map(|e| e.composition.0)).unwrap_or(crate::knowledge::load::STAND_IN);
        let facts = Facts {
            item,
            part,
            states,
            composition,
            piece_cm: entry.map_or(3.0, |e| e.piece_cm),
            found: Some(&scrap.found),
            inside: OnceCell::new(),
        };
        let mut own = Own { states, ..Own::default() };
        self.places(&facts, |m| {
            let Some(rule) = self.book.rule(m.rule) else { return };
            let holds = rule.when.as_ref().map_or(Some(true), |w| self.eval(w, &facts, Bins::Known));
            if holds == Some(false) {
                return;
            }
            let in_force = m.now.is_some_and(|(how, _)| how != How::Trace);
            if rule.caution.is_some() && (m.originally || in_force) {
                own.cautions.push(m.rule);
            }
            if let Some((how, through)) = m.now {
                self.apply(&mut own, m.rule, rule, how, through, holds, &facts);
            }
        });
        own.findings.sort_by_key(|f| (std::cmp::Reverse(f.verdict), f.origin));
        own
    }

    #[allow(clippy::too_many_arguments, reason = "one call, all of them facts of one membership")]
    fn apply(
        &self,
        own: &mut Own,
        id: RuleId,
        rule: &Rule,
        how: How,
        through: Option<ItemId>,
        holds: Option<bool>,
        facts: &Facts<'_>,
    ) {
        let blank = Finding {
            origin: Origin::Rule(id),
            verdict: None,
            ground: Ground::Advice,
            certain: holds == Some(true),
            missing: Vec::new(),
            measured: None,
            limit: None,
            through,
            points: 0,
        };
        if how == How::Trace {
            let matters = rule.demands(self.stance).any(|d| !matches!(d, Demand::Better(_) | Demand::Welcome));
            if let (true, Some(item)) = (matters, through) {
                own.notes.push(Finding { ground: Ground::Trace(item), certain: true, ..blank });
            }
            return;
        }
        let bin_alone = holds.is_none() && rule.when.as_ref().is_some_and(|w| self.bin_alone(w, facts));
        let missing = |as_true: Option<Verdict>| {
            if holds.is_none() {
                rule.when.as_ref().map_or_else(Vec::new, |w| self.missing(w, facts, as_true))
            } else {
                Vec::new()
            }
        };
        let (measured, limit) = rule.when.as_ref().map_or((None, None), |w| self.measured(w, facts));
        let mut asked = false;
        for (n, demand) in rule.demands(self.stance).enumerate() {
            asked = true;
            let demand = match demand {
                Demand::Ask(_, answers) => self.answered(id, answers, facts).unwrap_or(demand),
                other => other,
            };
            let (verdict, ground) = match demand {
                Demand::KeepOut => match how {
                    How::Included(_) => (Verdict::Prepare, through.map_or(Ground::KeepOut, Ground::TakeOutPart)),
                    _ if holds.is_none() => (Verdict::Ask, Ground::KeepOut),
                    _ => (Verdict::KeepOut, Ground::KeepOut),
                },
                Demand::Needs(any) => {
                    if any.iter().any(|s| facts.states.holds(s.bit()) == Some(true)) {
                        continue;
                    }
                    (Verdict::Prepare, Ground::Needs(any.clone()))
                }
                Demand::Ask(question, answers) => match how {
                    How::Included(_) => (Verdict::Prepare, through.map_or(Ground::KeepOut, Ground::TakeOutPart)),
                    _ => {
                        (Verdict::Ask, Ground::Ask(question.clone(), answers.iter().map(|(w, _)| w.clone()).collect()))
                    }
                },
                Demand::Allow(allowance) => {
                    if bin_alone {
                        own.notes.push(Finding {
                            ground: Ground::Allow(allowance.clone()),
                            missing: missing(Some(Verdict::Limit)),
                            ..blank.clone()
                        });
                    } else {
                        let ppm = if let How::Included(ppm) = how { i64::from(ppm) } else { 1_000_000 };
                        own.caps.push(Capped { rule: id, demand: n, ppm, certain: holds == Some(true) });
                    }
                    continue;
                }
                Demand::Better(any) => {
                    if !any.iter().any(|s| facts.states.holds(s.bit()) == Some(true)) {
                        own.notes.push(Finding { ground: Ground::Better(any.clone()), ..blank.clone() });
                    }
                    continue;
                }
                Demand::Welcome => {
                    own.notes.push(Finding { ground: Ground::Welcome, ..blank.clone() });
                    continue;
                }
                Demand::Wait(_) => {
                    if holds == Some(true) {
                        own.waits.push(id);
                    } else {
                        own.notes.push(Finding { ground: Ground::Wait, missing: missing(None), ..blank.clone() });
                    }
                    continue;
                }
                Demand::Have(..) => continue,
            };
            let as_true =
                if verdict == Verdict::Ask && matches!(ground, Ground::KeepOut) { Verdict::KeepOut } else { verdict };
            let mut finding = Finding {
                verdict: Some(verdict),
                ground,
                missing: missing(Some(as_true)),
                measured: measured.clone(),
                limit: limit.clone(),
                ..blank.clone()
            };
            if let Ground::Ask(question, answers) = &finding.ground {
                if finding.missing.is_empty() {
                    finding.missing.push(Missing {
                        fact: question.clone(),
                        outcomes: answers.iter().map(|a| (a.clone(), self.answer_verdict(rule, a))).collect(),
                    });
                }
            }
            if bin_alone {
                finding.verdict = None;
                own.notes.push(finding);
            } else {
                own.find(finding);
            }
        }
        if !asked && rule.advice.is_some() && rule.strict.is_none() && rule.lenient.is_none() {
            own.notes.push(Finding { missing: missing(None), ..blank });
        }
    }

    /// The demand that the household's answer names, if it has answered.
    fn answered<'d>(&self, rule: RuleId, answers: &'d [(String, Demand)], facts: &Facts<'_>) -> Option<&'d Demand> {
        let item = facts.item?;
        let reply =
            self.book.answers.iter().rev().find(|a| a.rule == rule && a.subject.holds(item, facts.part, self.known))?;
        answers.iter().find(|(w, _)| *w == reply.reply).map(|(_, d)| d)
    }

    fn answer_verdict(&self, rule: &Rule, word: &str) -> Option<Verdict> {
        let demand = rule.demands(self.stance).find_map(|d| {
            if let Demand::Ask(_, a) = d { a.iter().find(|(w, _)| w == word).map(|(_, d)| d) } else { None }
        })?;
        Some(match demand {
            Demand::KeepOut => Verdict::KeepOut,
            Demand::Needs(_) => Verdict::Prepare,
            Demand::Allow(_) => Verdict::Limit,
            _ => Verdict::Feed,
        })
    }

    /// A condition read on the bin alone: no scrap is looked at.
    pub(super) fn bag_condition(&self, when: Option<&When>) -> Option<bool> {
        let facts = Facts {
            item: None,
            part: None,
            states: States::default(),
            composition: crate::knowledge::load::STAND_IN,
            piece_cm: 0.0,
            found: None,
            inside: OnceCell::new(),
        };
        when.map_or(Some(true), |w| self.eval(w, &facts, Bins::Known))
    }

    /// What is not known in a condition, and what would come of it either way.
    fn missing(&self, when: &When, facts: &Facts<'_>, as_true: Option<Verdict>) -> Vec<Missing> {
        let mut names = Vec::new();
        self.unknowns(when, facts, &mut names);
        names
            .into_iter()
            .map(|fact| Missing { fact, outcomes: vec![("yes".to_string(), as_true), ("no".to_string(), None)] })
            .collect()
    }

    fn unknowns(&self, when: &When, facts: &Facts<'_>, out: &mut Vec<String>) {
        match when {
            When::And(all) | When::Or(all) => all.iter().for_each(|w| self.unknowns(w, facts, out)),
            When::Not(one) => self.unknowns(one, facts, out),
            atom => {
                if self.eval(atom, facts, Bins::Known).is_none() {
                    let name = self.atom_words(atom);
                    if !out.contains(&name) {
                        out.push(name);
                    }
                }
            }
        }
    }

    /// An atom of a condition in words.
    pub(super) fn atom_words(&self, atom: &When) -> String {
        match atom {
            When::State(s) => self.known.vocabulary().state_name(*s).to_string(),
            When::Sign(s) => s.word().to_string(),
            When::Fact(fact, _, _) => fact.word().to_string(),
            When::Indoors(true) => "bin is indoors".to_string(),
            When::Indoors(false) => "bin is outdoors".to_string(),
            When::Fed(..) => "what was fed lately".to_string(),
            When::Is(_) => "what it is".to_string(),
            When::Date(..) => "the date".to_string(),
            When::And(_) | When::Or(_) | When::Not(_) => String::new(),
        }
    }

    /// The first comparison of the scrap's own composition that holds: what was measured, against what.
    fn measured(&self, when: &When, facts: &Facts<'_>) -> (Option<Measured>, Option<Limit>) {
        match when {
            When::And(all) | When::Or(all) => {
                all.iter().map(|w| self.measured(w, facts)).find(|(m, _)| m.is_some()).unwrap_or((None, None))
            }
            When::Fact(fact, relation, value) if self.eval(when, facts, Bins::Known) == Some(true) => {
                let unit = unit_of(*fact);
                let above = matches!(relation, Relation::Above | Relation::AtLeast);
                let limit = Limit { low: (!above).then_some(*value), high: above.then_some(*value), unit };
                (self.fact(*fact, facts).map(|value| Measured { value, unit }), Some(limit))
            }
            _ => (None, None),
        }
    }

    fn fact(&self, fact: Fact, facts: &Facts<'_>) -> Option<f64> {
        let c = &facts.composition;
        let (bin, set) = (&self.setting.bin, &self.book.settings);
        Some(match fact {
            Fact::Fat => c.fat.unwrap_or(0.0),
            Fact::Salt => c.salt.unwrap_or(0.0),
            Fact::Sugar => c.sugar.unwrap_or(0.0),
            Fact::Moisture => c.water,
            Fact::Nitrogen => {
                if c.water < 1.0 {
                    c.nitrogen / (1.0 - c.water)
                } else {
                    0.0
                }
            }
            Fact::PieceSize => facts.piece_cm,
            Fact::Temperature => return bin.temperature_c.or(set.temperature_c),
            Fact::BinMoisture => return bin.moisture,
            Fact::Area => return bin.area_m2.or(set.area_m2),
            Fact::Worms => self.worms().0.grams(),
            Fact::Age => return bin.age_days.or(set.age_days),
            Fact::DaysSinceFeeding => return bin.days_since_feeding,
        })
    }

    /// Three-valued truth of a condition (strong Kleene logic).
    fn eval(&self, when: &When, facts: &Facts<'_>, bins: Bins<'_>) -> Option<bool> {
        match when {
            When::And(all) => {
                let mut out = Some(true);
                for w in all {
                    out = match (out, self.eval(w, facts, bins)) {
                        (Some(false), _) | (_, Some(false)) => Some(false),
                        (Some(true), Some(true)) => Some(true),
                        _ => None,
                    };
                }
                out
            }
            When::Or(all) => {
                let mut out = Some(false);
                for w in all {
                    out = match (out, self.eval(w, facts, bins)) {
                        (Some(true), _) | (_, Some(true)) => Some(true),
                        (Some(false), Some(false)) => Some(false),
                        _ => None,
                    };
                }
                out
            }
            When::Not(one) => self.eval(one, facts, bins).map(|b| !b),
            When::State(s) => facts.states.holds(s.bit()),
            When::Is(set) => Some(self.is(set, facts)),
            When::Sign(sign) => Some(self.setting.bin.signs.contains(sign)),
            When::Date(after, day) => Some(if *after { self.setting.today > *day } else { self.setting.today < *day }),
            When::Indoors(wanted) => {
                assumed(self.setting.bin.indoors.or(self.book.settings.indoors).map(|is| is == *wanted), bins)
            }
            When::Fed(set, days) => assumed(self.fed(set, *days), bins),
            When::Fact(fact, relation, k) => {
                let holds = self.fact(*fact, facts).map(|v| match relation {
                    Relation::Above => v > *k,
                    Relation::UpTo => v <= *k,
                    Relation::Below => v < *k,
                    Relation::AtLeast => v >= *k,
                });
                if fact.of_bin() { assumed(holds, bins) } else { holds }
            }
        }
    }

    fn is(&self, set: &SubjectSet, facts: &Facts<'_>) -> bool {
        if let Some(item) = facts.item {
            if set.excepted(item, facts.part, self.known) {
                return false;
            }
            if set.named(item, facts.part, self.known) {
                return true;
            }
        }
        let inside = self.inside_of(facts);
        let within = inside.enough.iter().chain(inside.included.iter().map(|(t, _)| t));
        within.into_iter().any(|(i, p)| set.holds(*i, *p, self.known))
    }

    fn fed(&self, set: &SubjectSet, days: f64) -> Option<bool> {
        let record = self.setting.record.as_ref()?;
        Some(record.iter().any(|f| {
            self.days_ago(f.date).is_some_and(|d| f64::from(d) < days) && set.holds(f.item, f.part, self.known)
        }))
    }

    /// Whole days since a date, today being 0; `None` for days to come.
    pub(super) fn days_ago(&self, date: jiff::civil::Date) -> Option<i32> {
        let days = (self.setting.today - date).get_days();
        (days >= 0).then_some(days)
    }

    /// True if a condition that is unknown would be known, one way or the other, whatever the
    /// unknown facts of the bin turned out to be: then nothing about the scrap is missing.
    fn bin_alone(&self, when: &When, facts: &Facts<'_>) -> bool {
        let met = std::cell::Cell::new(0);
        self.eval(when, facts, Bins::Assumed(0, &met));
        let count = met.get();
        // More than ten unknown facts of the bin in one condition: the cautious reading.
        count <= 10
            && (0..1u32 << count).all(|bits| {
                met.set(0);
                self.eval(when, facts, Bins::Assumed(bits, &met)).is_some()
            })
    }

    /// What is found of a scrap before amounts: the worst of its alternatives, and what its name
    /// might have meant.
    pub(super) fn own(&self, scrap: &Scrap) -> OwnScrap {
        let mut best: Option<(usize, Own)> = None;
        let (mut caps, mut cautions, mut waits) = (Vec::new(), Vec::new(), Vec::new());
        let mut reach = Vec::new();
        for (n, identity) in scrap.found.identities.iter().enumerate() {
            let composition = scrap.compositions.get(n).and_then(|c| c.as_ref()).map(|c| &c.0);
            let mut own = self.rules_of(scrap, identity, composition);
            let others = self.reading(scrap, identity, &mut own);
            for cap in &own.caps {
                match caps.iter_mut().find(|c: &&mut Capped| c.rule == cap.rule && c.demand == cap.demand) {
                    Some(there) => {
                        there.ppm = there.ppm.max(cap.ppm);
                        there.certain |= cap.certain;
                    }
                    None => caps.push(*cap),
                }
            }
            cautions.extend(own.cautions.iter().copied());
            cautions.extend(others.iter().flat_map(|o| o.1.iter().copied()));
            waits.extend(own.waits.iter().copied());
            if best.as_ref().is_none_or(|(_, b)| own.verdict() > b.verdict()) {
                reach = others.iter().map(|o| o.0).collect();
                best = Some((n, own));
            }
        }
        let (identity, own) = best.unwrap_or_default();
        cautions.sort();
        cautions.dedup();
        waits.sort();
        waits.dedup();
        let item = scrap.found.identities.get(identity).and_then(|i| i.item).and_then(|i| self.known.item(i));
        OwnScrap {
            identity,
            role: item.map_or(Role::Food, |i| i.role),
            own,
            caps,
            cautions,
            waits,
            alternatives: reach,
        }
    }

    /// Adds what comes of the name itself; gives each alternative's own verdict and, for those
    /// within reach, their hazards.
    fn reading(&self, scrap: &Scrap, identity: &Identity, own: &mut Own) -> Vec<(Verdict, Vec<RuleId>)> {
        let mut others = Vec::new();
        let mut worse = Vec::new();
        let surely = matches!(identity.rung, Some(Rung::Exact | Rung::OtherName | Rung::Normalised))
            && identity.identified == Identified::Sure;
        for alternative in &identity.alternatives {
            let as_other = Identity { item: Some(alternative.item), ..identity.clone() };
            let other = self.rules_of(scrap, &as_other, None);
            let verdict = other.verdict();
            let turned = if alternative.within_reach && !surely { Some(self.turned()) } else { None };
            let strictly = turned.as_ref().map(|t| {
                let this = t.rules_of(scrap, identity, None).verdict();
                (t.rules_of(scrap, &as_other, None).verdict(), this)
            });
            if alternative.within_reach
                && !surely
                && (verdict > own.verdict() || strictly.is_some_and(|(o, this)| o > this))
            {
                worse.push((alternative, verdict.max(strictly.map_or(Verdict::Feed, |s| s.0))));
            }
            let hazards = if alternative.within_reach && !surely {
                other.cautions.into_iter().filter(|r| self.book.rule(*r).is_some_and(|r| r.hazard)).collect()
            } else {
                Vec::new()
            };
            others.push((verdict, hazards));
        }
        let unsure = matches!(identity.identified, Identified::Unsure | Identified::Unknown);
        if unsure || (identity.identified == Identified::Likely && !worse.is_empty()) {
            let mut outcomes: Vec<(String, Option<Verdict>)> = Vec::new();
            if let Some(item) = identity.item {
                outcomes.push((self.known.item_name(item).to_string(), Some(own.verdict())));
            }
            let named = if unsure {
                identity.alternatives.iter().zip(&others).map(|(a, o)| (a, o.0)).collect::<Vec<_>>()
            } else {
                worse
            };
            outcomes.extend(named.iter().take(3).map(|(a, v)| (self.known.item_name(a.item).to_string(), Some(*v))));
            own.find(Finding {
                origin: Origin::Reading,
                verdict: Some(Verdict::Ask),
                ground: Ground::Reading,
                certain: true,
                missing: vec![Missing { fact: "what this is".to_string(), outcomes }],
                measured: None,
                limit: None,
                through: None,
                points: 0,
            });
            own.findings.sort_by_key(|f| (std::cmp::Reverse(f.verdict), f.origin));
        }
        others
    }
}

/// What is found of a scrap before amounts.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct OwnScrap {
    pub(super) identity: usize,
    pub(super) role: Role,
    pub(super) own: Own,
    pub(super) caps: Vec<Capped>,
    pub(super) cautions: Vec<RuleId>,
    pub(super) waits: Vec<RuleId>,
    pub(super) alternatives: Vec<Verdict>,
}

fn assumed(value: Option<bool>, bins: Bins<'_>) -> Option<bool> {
    match (value, bins) {
        (None, Bins::Assumed(bits, met)) => {
            let n = met.get();
            met.set(n + 1);
            Some(bits.checked_shr(n).unwrap_or(0) & 1 == 1)
        }
        (value, _) => value,
    }
}

fn unit_of(fact: Fact) -> &'static str {
    match fact {
        Fact::Fat | Fact::Salt | Fact::Sugar | Fact::Moisture | Fact::Nitrogen | Fact::BinMoisture => "share",
        Fact::PieceSize => "cm",
        Fact::Temperature => "C",
        Fact::Area => "m2",
        Fact::Worms => "g",
        Fact::Age | Fact::DaysSinceFeeding => "days",
    }
}
