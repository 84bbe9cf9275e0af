//! From scraps to findings: which rules speak of a scrap, whether their conditions hold, and what
//! they ask. No amounts here: caps are noted as memberships and settled in `conclude`.

use super::conclude::Standing;
use super::facts::{self, Bins, Facts};
use super::states::{States, states};
use super::{Finding, Ground, Missing, Origin, Setting, Verdict};
use crate::bag::{Mg, PartId, Said, StateId};
use crate::kept::Kept;
use crate::knowledge::composed::STAND_IN;
use crate::knowledge::{Composition, Identified, Identity, ItemId, KindId, Known, Role, Rung, Scrap};
use crate::language::rows::{How, Inside, Membership, Thing, membership};
use crate::language::{Book, Demand, Layer, Rule, RuleId, Side};
use std::cell::{OnceCell, RefCell};
use std::rc::Rc;
use std::sync::Arc;

/// Places in rules by item and part.
type Rows = Kept<Thing, Rc<[Membership]>>;

/// A book ready to judge scraps in a setting.
#[derive(Debug)]
pub struct Judge<'a> {
    pub(super) known: &'a Known,
    pub(super) book: &'a Book,
    pub(super) setting: &'a Setting,
    pub(super) stance: Side,
    /// Kinds that a state takes out of a whole, with the state's bit.
    pub(super) gone: Vec<(u64, Vec<KindId>)>,
    /// Rules of which the ready-made rows do not speak, or not for good.
    loose: Rc<[RuleId]>,
    /// Whether a rule is one of them, by its place in the book.
    is_loose: Rc<[bool]>,
    /// Where those rules come in, by item and part, as they are met.
    rows: Rc<RefCell<Rows>>,
    /// What the book says of the bin, once it is asked for.
    pub(super) standing: OnceCell<Standing>,
    /// What was found of scraps that were judged before.
    seen: RefCell<Kept<Seen, Rc<OwnScrap>>>,
}

/// All that anyone can ask about a scrap before amounts, if it has one name, nothing is with it or
/// left out, and it might have meant few other things.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
struct Seen {
    read: Read,
    identified: Identified,
    rung: Option<Rung>,
    others: [Option<(ItemId, bool)>; 4],
}

/// Scraps of which the findings are kept: more than a kitchen's words make, in a few megabytes.
const MOST_SEEN: usize = 8192;

impl Seen {
    fn of(scrap: &Scrap) -> Option<Seen> {
        let found = &scrap.found;
        let [identity] = found.identities.as_slice() else { return None };
        let mut others = [None; 4];
        let alone = found.additions.is_empty() && found.unknown_additions.is_empty() && found.without.is_empty();
        if !(alone && identity.alternatives.len() <= others.len()) {
            return None;
        }
        others.iter_mut().zip(&identity.alternatives).for_each(|(o, a)| *o = Some((a.item, a.within_reach)));
        Some(Seen { read: Read::of(identity), identified: identity.identified, rung: identity.rung, others })
    }
}

/// A class of a cap that a scrap counts in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Capped {
    pub(super) rule: RuleId,
    /// Which of the rule's demands in this stance.
    pub(super) demand: usize,
    /// Which answer to a question it stands in, if in one.
    pub(super) answer: Option<u8>,
    /// Share of the scrap's mass that counts, parts per million.
    pub(super) ppm: i64,
    /// False if the condition is not known to hold.
    pub(super) certain: bool,
}

impl Capped {
    /// The class: every cap is one of its own, and so is every answer that names one.
    pub(super) fn class(&self) -> (RuleId, usize, Option<u8>) {
        (self.rule, self.demand, self.answer)
    }
}

/// Room for the hits that a scrap usually has.
const USUAL_HITS: usize = 8;

/// What was read of a scrap that rules can speak of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct Read {
    pub(super) item: Option<ItemId>,
    pub(super) part: Option<PartId>,
    pub(super) said: Said,
}

impl Read {
    pub(super) fn of(identity: &Identity) -> Read {
        Read { item: identity.item, part: identity.part, said: identity.said }
    }
}

/// A rule's demand that a scrap does not meet, or a note: all that is needed to tell it, and no more.
/// Most of what is found is never told, so texts and numbers are put together by `told`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Hit {
    pub(super) rule: RuleId,
    pub(super) what: What,
    pub(super) how: How,
    /// The ingredient or included item through which the scrap is in the rule's subject.
    pub(super) through: Option<ItemId>,
    /// Whether the condition holds; `None` if that is not known.
    pub(super) holds: Option<bool>,
    /// The verdict it leads to; `None` for a note.
    pub(super) verdict: Option<Verdict>,
}

/// What of a rule was hit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum What {
    /// A demand, by its place among those of the stance.
    Demand(u8),
    /// What an answer to a question names: the question's place, and the answer's.
    Answer(u8, u8),
    /// An ingredient hardly there.
    Trace,
    /// Its advice: it asks nothing.
    Advice,
}

/// What the rules say of one identity of a scrap.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Own {
    verdict: Option<Verdict>,
    /// In the book's order.
    pub(super) hits: Vec<Hit>,
    /// What comes of the name itself.
    pub(super) reading: Option<Arc<Finding>>,
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
        let mut is_loose = vec![false; usize::from(book.count_u16())];
        for id in &loose {
            is_loose.get_mut(usize::from(id.0)).into_iter().for_each(|is| *is = true);
        }
        Judge {
            known,
            book,
            setting,
            stance,
            gone,
            loose: loose.into(),
            is_loose: is_loose.into(),
            rows: Rc::new(RefCell::new(Kept::at_most(MOST_SEEN))),
            standing: OnceCell::new(),
            seen: RefCell::new(Kept::at_most(MOST_SEEN)),
        }
    }

    /// The stance taken.
    pub fn stance(&self) -> Side {
        self.stance
    }

    /// The same book and setting in the other stance.
    pub(super) fn turned(&self) -> Judge<'a> {
        Judge {
            stance: self.stance.other(),
            gone: self.gone.clone(),
            loose: Rc::clone(&self.loose),
            is_loose: Rc::clone(&self.is_loose),
            rows: Rc::clone(&self.rows),
            standing: OnceCell::new(),
            seen: RefCell::new(Kept::at_most(MOST_SEEN)),
            ..*self
        }
    }

    /// The worms reckoned with and who said so; the starter bin's if nobody did.
    pub fn worms(&self) -> (Mg, Layer) {
        self.setting.bin.worms.map_or(self.book.settings.worms, |w| (w, Layer::Household))
    }

    /// The part that counts: the one said, else the item's usual one; a whole is no part.
    pub(super) fn part(&self, read: Read) -> Option<PartId> {
        match read.part {
            Some(part) => Some(part).filter(|p| Some(*p) != self.known.whole()),
            None => read.item.and_then(|i| self.known.usual_part(i)),
        }
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
            let some = || match self.candidates(thing, self.inside_of(facts)) {
                Some(ids) => rules(&mut ids.into_iter()),
                None => rules(&mut (0..self.book.count_u16()).map(RuleId)),
            };
            match thing.filter(|_| plain) {
                Some(thing) => self.kept(thing, some).iter().for_each(|m| each(*m)),
                None => some().into_iter().for_each(each),
            }
            return;
        };
        let (Some(thing), false) = (thing, self.loose.is_empty()) else {
            ready.for_each(each);
            return;
        };
        let loose = self.kept(thing, || rules(&mut self.loose.iter().copied()));
        let mut loose = loose.iter().copied().peekable();
        for m in ready.filter(|m| self.is_loose.get(usize::from(m.rule.0)) == Some(&false)) {
            while let Some(l) = loose.next_if(|l| l.rule < m.rule) {
                each(l);
            }
            each(m);
        }
        loose.for_each(each);
    }

    /// Rules that may speak of a thing with all that is in it; `None` if the ready-made rows do not
    /// know of all of that.
    fn candidates(&self, thing: Option<Thing>, inside: &Inside) -> Option<Vec<RuleId>> {
        let included = inside.included.iter().map(|(t, _)| t);
        let within = inside.enough.iter().chain(included).chain(&inside.traces).copied();
        let mut ids = self.loose.to_vec();
        for (item, part) in thing.into_iter().chain(within) {
            ids.extend(self.book.rows.of(item, part)?.map(|m| m.rule));
        }
        ids.sort_unstable();
        ids.dedup();
        Some(ids)
    }

    /// Places that were worked out before, or are now.
    fn kept(&self, thing: Thing, work: impl FnOnce() -> Vec<Membership>) -> Rc<[Membership]> {
        if let Some(row) = self.rows.borrow().get(&thing) {
            return Rc::clone(row);
        }
        let row: Rc<[Membership]> = work().into();
        self.rows.borrow_mut().keep(thing, Rc::clone(&row));
        row
    }

    /// What an identity is reckoned to be made of.
    pub(super) fn made_of(&self, read: Read) -> Composition {
        read.item.and_then(|i| self.known.composition(i, read.part)).map_or(STAND_IN, |c| c.0)
    }

    /// What the rules may ask about one identity.
    pub(super) fn facts<'s>(&self, scrap: &'s Scrap, read: Read) -> Facts<'s> {
        let entry = read.item.and_then(|i| self.known.item(i));
        Facts {
            item: read.item,
            part: self.part(read),
            states: states(read.said, entry, self.known.vocabulary()),
            own: facts::own(&self.made_of(read), entry.map_or(3.0, |e| e.piece_cm)),
            found: Some(&scrap.found),
            inside: OnceCell::new(),
        }
    }

    /// What the rules say of one identity, names apart.
    pub(super) fn rules_of(&self, scrap: &Scrap, read: Read, stance: Side) -> Own {
        let facts = self.facts(scrap, read);
        let mut own = Own { states: facts.states, ..Own::default() };
        self.places(&facts, |m| {
            let Some(rule) = self.book.rule(m.rule) else { return };
            let holds = rule.when.as_ref().map_or(Some(true), |w| self.eval(w, &facts, Bins::Known));
            if holds == Some(false) {
                return;
            }
            let in_force = m.now.is_some_and(|(how, _)| how != How::Trace);
            if (m.originally || in_force) && rule.cautions {
                own.cautions.push(m.rule);
            }
            if let Some((how, through)) = m.now {
                let hit = Hit { rule: m.rule, what: What::Trace, how, through, holds, verdict: None };
                self.apply(&mut own, rule, hit, &facts, stance);
            }
        });
        own
    }

    /// Notes which demands of a rule a scrap in its subject does not meet.
    fn apply(&self, own: &mut Own, rule: &Rule, hit: Hit, facts: &Facts<'_>, stance: Side) {
        if own.hits.capacity() == 0 {
            own.hits.reserve(USUAL_HITS);
        }
        if hit.how == How::Trace {
            if hit.through.is_some() && rule.demands(stance).any(|d| !matches!(d, Demand::Better(_) | Demand::Welcome))
            {
                own.hits.push(hit);
            }
            return;
        }
        let bin_alone = hit.holds.is_none() && rule.when.as_ref().is_some_and(|w| self.bin_alone(w, facts));
        let met = |any: &[StateId]| any.iter().any(|s| facts.states.holds(s.bit()) == Some(true));
        let mut asked = false;
        for (n, demand) in (0u8..).zip(rule.demands(stance)) {
            asked = true;
            let (what, demand) = match demand {
                Demand::Ask(_, answers) => match self.answered(hit.rule, answers, facts) {
                    Some((a, answer)) => (What::Answer(n, a), answer),
                    None => (What::Demand(n), demand),
                },
                other => (What::Demand(n), other),
            };
            let verdict = match demand {
                Demand::KeepOut | Demand::Ask(..) if matches!(hit.how, How::Included(_)) => Verdict::Prepare,
                Demand::KeepOut if hit.holds.is_none() => Verdict::Ask,
                Demand::KeepOut => Verdict::KeepOut,
                Demand::Needs(any) if met(any) => continue,
                Demand::Needs(_) => Verdict::Prepare,
                Demand::Ask(..) => Verdict::Ask,
                Demand::Allow(_) if bin_alone => {
                    own.hits.push(Hit { what, ..hit });
                    continue;
                }
                Demand::Allow(_) => {
                    let ppm = if let How::Included(ppm) = hit.how { i64::from(ppm) } else { 1_000_000 };
                    own.caps.push(Capped {
                        rule: hit.rule,
                        demand: usize::from(n),
                        answer: if let What::Answer(_, a) = what { Some(a) } else { None },
                        ppm,
                        certain: hit.holds == Some(true),
                    });
                    continue;
                }
                Demand::Wait(_) if hit.holds == Some(true) => {
                    own.waits.push(hit.rule);
                    continue;
                }
                Demand::Better(any) if met(any) => continue,
                Demand::Better(_) | Demand::Welcome | Demand::Wait(_) => {
                    own.hits.push(Hit { what, ..hit });
                    continue;
                }
                Demand::Have(..) => continue,
            };
            let verdict = (!bin_alone).then_some(verdict);
            own.verdict = own.verdict.max(verdict);
            own.hits.push(Hit { what, verdict, ..hit });
        }
        if !asked && rule.strict.is_none() && rule.lenient.is_none() && rule.advises {
            own.hits.push(Hit { what: What::Advice, ..hit });
        }
    }

    /// The demand that the household's answer names, if it has answered.
    fn answered<'d>(
        &self,
        rule: RuleId,
        answers: &'d [(String, Demand)],
        facts: &Facts<'_>,
    ) -> Option<(u8, &'d Demand)> {
        let item = facts.item?;
        let reply =
            self.book.answers.iter().rev().find(|a| a.rule == rule && a.subject.holds(item, facts.part, self.known))?;
        (0u8..).zip(answers).find(|(_, (w, _))| *w == reply.reply).map(|(n, (_, d))| (n, d))
    }

    /// How many findings, notes and capped classes the rules make of a scrap before amounts.
    pub fn found(&self, scrap: &Scrap) -> usize {
        let own = self.find_out(scrap);
        own.own.hits.len() + own.caps.len() + usize::from(own.own.reading.is_some())
    }

    /// What is found of a scrap before amounts: the worst of its alternatives, and what its name
    /// might have meant.
    pub(super) fn own(&self, scrap: &Scrap) -> Rc<OwnScrap> {
        let seen = Seen::of(scrap);
        if let Some(own) = seen.as_ref().and_then(|s| self.seen.borrow().get(s).map(Rc::clone)) {
            return own;
        }
        let own = Rc::new(self.find_out(scrap));
        if let Some(seen) = seen {
            self.seen.borrow_mut().keep(seen, Rc::clone(&own));
        }
        own
    }

    fn find_out(&self, scrap: &Scrap) -> OwnScrap {
        let mut best: Option<(usize, Own)> = None;
        let (mut caps, mut cautions, mut waits) = (Vec::new(), Vec::new(), Vec::new());
        let mut reach = Vec::new();
        for (n, identity) in scrap.found.identities.iter().enumerate() {
            let mut own = self.rules_of(scrap, Read::of(identity), self.stance);
            let others = self.reading(scrap, identity, &mut own);
            join(&mut caps, std::mem::take(&mut own.caps));
            cautions.append(&mut own.cautions);
            cautions.extend(others.iter().flat_map(|o| o.1.iter().copied()));
            waits.append(&mut own.waits);
            if best.as_ref().is_none_or(|(_, b)| own.verdict() > b.verdict()) {
                reach = others.into_iter().map(|o| o.0).collect();
                best = Some((n, own));
            }
        }
        let (identity, mut own) = best.unwrap_or_default();
        Self::come_with(scrap, &mut own);
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
            told: OnceCell::new(),
        }
    }

    /// Adds what comes of the name itself; gives each alternative's own verdict and, for those
    /// within reach, their hazards.
    fn reading(&self, scrap: &Scrap, identity: &Identity, own: &mut Own) -> Vec<(Verdict, Vec<RuleId>)> {
        let mut others = Vec::with_capacity(identity.alternatives.len());
        let mut worse = Vec::new();
        let surely = matches!(identity.rung, Some(Rung::Exact | Rung::OtherName | Rung::Normalised))
            && identity.identified == Identified::Sure;
        let turned = |read: Read| self.rules_of(scrap, read, self.stance.other()).verdict();
        for alternative in &identity.alternatives {
            let as_other = Read { item: Some(alternative.item), ..Read::of(identity) };
            let other = self.rules_of(scrap, as_other, self.stance);
            let verdict = other.verdict();
            if !alternative.within_reach || surely {
                others.push((verdict, Vec::new()));
                continue;
            }
            let strictly = turned(as_other);
            if verdict > own.verdict() || strictly > turned(Read::of(identity)) {
                worse.push((alternative, verdict.max(strictly)));
            }
            let hazard = |r: &RuleId| self.book.rule(*r).is_some_and(|r| r.hazard);
            others.push((verdict, other.cautions.into_iter().filter(hazard).collect()));
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
            own.ask(Ground::Reading, Missing { fact: "what this is".to_string(), outcomes });
        }
        others
    }

    /// Asks about what comes with a scrap if nobody knows what that is: "rice with oxydol".
    fn come_with(scrap: &Scrap, own: &mut Own) {
        let unknown = scrap.found.unknown_additions.first().filter(|_| own.reading.is_none());
        if let Some(what) = unknown {
            let missing = Missing { fact: format!("what \"{what}\" is"), outcomes: Vec::new() };
            own.ask(Ground::With(what.clone()), missing);
        }
    }
}

impl Own {
    /// Adds a question that comes of how the line was read.
    fn ask(&mut self, ground: Ground, missing: Missing) {
        self.verdict = self.verdict.max(Some(Verdict::Ask));
        self.reading = Some(Arc::new(Finding {
            origin: Origin::Reading,
            verdict: Some(Verdict::Ask),
            ground,
            certain: true,
            missing: vec![missing],
            measured: None,
            limit: None,
            through: None,
        }));
    }
}

/// Findings, worst first, then in the book's order; and notes, in the book's order.
pub(super) type Told = (Vec<Arc<Finding>>, Vec<Arc<Finding>>);

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
    /// Its findings and notes, once they were told.
    pub(super) told: OnceCell<Told>,
}

/// Adds classes to classes: the same one counts once, by its greater share.
fn join(caps: &mut Vec<Capped>, more: Vec<Capped>) {
    if caps.is_empty() {
        *caps = more;
        return;
    }
    for cap in more {
        match caps.iter_mut().find(|c| c.class() == cap.class()) {
            Some(there) => {
                there.ppm = there.ppm.max(cap.ppm);
                there.certain |= cap.certain;
            }
            None => caps.push(cap),
        }
    }
}
