//! Which rules speak of which thing: by name or kind, through an ingredient, through something that
//! a whole includes, or through a trace.
//!
//! Owns the answer to "is this scrap in that rule's subject", and the table that the build makes of
//! it for every item and part of the base, so that a judge looks a row up and asks nobody.

use super::book::{Book, Rule, RuleId, SubjectSet, SubjectTerm, Who};
use crate::bag::PartId;
use crate::flat::{Fixed, Flat};
use crate::knowledge::{Ingredients, Item, ItemId, Known};
use serde::{Deserialize, Serialize};

/// How a scrap comes to be in a rule's subject.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// It is named, or a main or some ingredient of it is.
    Whole,
    /// Something that the whole includes is: so many parts per million of its mass.
    Included(u32),
    /// A trace of it is.
    Trace,
}

/// A scrap's place in one rule's subject.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Membership {
    /// The rule.
    pub rule: RuleId,
    /// In the subject as it stands, with the ingredient or included item through which.
    pub now: Option<(How, Option<ItemId>)>,
    /// In the subject of a hazard as written, whatever replaces or lifts it.
    pub originally: bool,
}

/// An item with the part that its bare name means.
pub type Thing = (ItemId, Option<PartId>);

/// What is in a thing.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Inside {
    /// Main and some ingredients, all the way down, and what comes with it.
    pub enough: Vec<Thing>,
    /// Items that the whole includes, with their share of its mass in parts per million.
    pub included: Vec<(Thing, u32)>,
    /// Ingredients hardly there.
    pub traces: Vec<Thing>,
}

impl Inside {
    /// What is in an item (nothing, if it is unknown) of which `part` was named, that comes with
    /// `additions`, less whatever is `gone`.
    pub fn of(
        item: Option<&Item>,
        part: Option<PartId>,
        additions: &[ItemId],
        gone: impl Fn(ItemId) -> bool,
        known: &Known,
    ) -> Inside {
        let (mut enough, mut traces) = (Vec::new(), Vec::new());
        let mut open: Vec<(ItemId, bool)> = Vec::new();
        let push = |open: &mut Vec<(ItemId, bool)>, made: &Ingredients, trace: bool| {
            open.extend(made.main.iter().chain(&made.some).map(|i| (*i, trace)));
            open.extend(made.trace.iter().map(|i| (*i, true)));
        };
        if let Some(item) = item {
            push(&mut open, &item.made_of, false);
        }
        open.extend(additions.iter().map(|i| (*i, false)));
        while let Some((id, trace)) = open.pop() {
            let list = if trace { &mut traces } else { &mut enough };
            if gone(id) || list.contains(&id) {
                continue;
            }
            list.push(id);
            if let Some(inner) = known.item(id) {
                push(&mut open, &inner.made_of, trace);
            }
        }
        traces.retain(|t| !enough.contains(t));
        let things = |mut list: Vec<ItemId>| {
            list.sort();
            list.into_iter().map(|id| (id, known.usual_part(id))).collect()
        };
        let included = item.filter(|_| part.is_none()).map_or(&[][..], |i| &i.includes);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share is 0 to 1")]
        let ppm = |share: f64| (share * 1e6).round() as u32;
        Inside {
            included: included
                .iter()
                .filter(|(id, _)| !gone(*id))
                .map(|(id, share)| ((*id, known.usual_part(*id)), ppm(*share)))
                .collect(),
            enough: things(enough),
            traces: things(traces),
        }
    }
}

/// A thing's place in a rule's subject, if it has one. `lifts`: what live rules lift out of the
/// subject is out.
pub fn member(
    rule: &Rule,
    lifts: bool,
    thing: Option<Thing>,
    inside: &Inside,
    known: &Known,
) -> Option<(How, Option<ItemId>)> {
    let Who::Scraps(set) = rule.subject() else { return None };
    let out = |i: ItemId, p: Option<PartId>| {
        set.excepted(i, p, known) || (lifts && rule.lifted.iter().any(|(_, s)| s.holds(i, p, known)))
    };
    if let Some((i, p)) = thing {
        if out(i, p) {
            return None;
        }
        if set.named(i, p, known) {
            return Some((How::Whole, None));
        }
    }
    let held = |(i, p): &Thing| !out(*i, *p) && set.named(*i, *p, known);
    if let Some((i, _)) = inside.enough.iter().find(|t| held(t)) {
        return Some((How::Whole, Some(*i)));
    }
    let mut included = inside.included.iter().filter(|(t, _)| held(t)).peekable();
    if let Some(((first, _), _)) = included.peek().copied() {
        let ppm = included.map(|(_, ppm)| *ppm).sum::<u32>().min(1_000_000);
        return Some((How::Included(ppm), Some(*first)));
    }
    inside.traces.iter().find(|t| held(t)).map(|(i, _)| (How::Trace, Some(*i)))
}

/// A thing's place in a rule, if the rule or a hazard's caution may concern it.
pub fn membership(id: RuleId, rule: &Rule, thing: Option<Thing>, inside: &Inside, known: &Known) -> Option<Membership> {
    if !rule.dated || !(rule.live || rule.hazard) {
        return None;
    }
    let now = if rule.live { member(rule, true, thing, inside, known) } else { None };
    let originally = rule.hazard && member(rule, false, thing, inside, known).is_some_and(|(how, _)| how != How::Trace);
    (now.is_some() || originally).then_some(Membership { rule: id, now, originally })
}

impl Fixed for Membership {
    const SIZE: usize = 9;
    fn put(self, out: &mut Vec<u8>) {
        let (how, ppm) = match self.now {
            None => (0u8, 0),
            Some((How::Whole, _)) => (1, 0),
            Some((How::Included(ppm), _)) => (2, ppm),
            Some((How::Trace, _)) => (3, 0),
        };
        let through = self.now.and_then(|(_, through)| through).map_or(u16::MAX, |i| i.0);
        (self.rule.0, how | u8::from(self.originally) << 4, through).put(out);
        ppm.put(out);
    }
    #[inline]
    fn get(bytes: &[u8]) -> Membership {
        let ((rule, bits, through), ppm) = <((u16, u8, u16), u32)>::get(bytes);
        let through = Some(ItemId(through)).filter(|i| i.0 != u16::MAX);
        let now = match bits & 3 {
            1 => Some((How::Whole, through)),
            2 => Some((How::Included(ppm), through)),
            3 => Some((How::Trace, through)),
            _ => None,
        };
        Membership { rule: RuleId(rule), now, originally: bits & 16 != 0 }
    }
}

/// For every item and part of the base, the rules of the base that speak of it.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub(crate) struct Rows {
    /// How many rules the table was made of, from the first.
    rules: u16,
    /// How many items, from the first.
    items: u16,
    /// The parts that some rule names, a bit each: all others are alike.
    parts: u64,
    /// For each item: no part, a part that no rule names, each part that one names: where its row
    /// begins and how long it is. Equal rows are kept once.
    at: Flat<(u32, u16)>,
    rows: Flat<Membership>,
}

impl Rows {
    /// The table over all rules of a book.
    pub(crate) fn build(book: &Book, known: &Known) -> Rows {
        let mut parts = 0u64;
        for (_, rule) in book.iter() {
            if let Who::Scraps(set) = rule.subject() {
                named_parts(set, &mut parts);
            }
        }
        let mut out = Rows { rules: book.count_u16(), parts, ..Rows::default() };
        let other = known.vocabulary().parts().map(|(p, _)| p).find(|p| parts >> p.0 & 1 == 0);
        let variants: Vec<Option<PartId>> =
            [None, other].into_iter().chain((0..64).filter(|p| parts >> p & 1 == 1).map(|p| Some(PartId(p)))).collect();
        let mut there: std::collections::BTreeMap<Vec<u8>, (u32, u16)> = std::collections::BTreeMap::new();
        for (id, item) in known.items() {
            out.items = id.0.saturating_add(1);
            for part in &variants {
                let inside = Inside::of(Some(item), *part, &[], |_| false, known);
                let row: Vec<Membership> = book
                    .iter()
                    .filter_map(|(r, rule)| membership(r, rule, Some((id, *part)), &inside, known))
                    .collect();
                let mut bytes = Vec::new();
                row.iter().for_each(|m| m.put(&mut bytes));
                let at = *there.entry(bytes).or_insert_with(|| {
                    let from = u32::try_from(out.rows.len()).unwrap_or(u32::MAX);
                    row.iter().for_each(|m| out.rows.push(*m));
                    (from, u16::try_from(row.len()).unwrap_or(u16::MAX))
                });
                out.at.push(at);
            }
        }
        out
    }

    /// How many rules the table speaks of, from the first.
    pub(crate) fn rules(&self) -> u16 {
        self.rules
    }

    /// The rules that speak of an item and part; `None` for an item that is not of the base.
    #[inline]
    pub(crate) fn of(&self, item: ItemId, part: Option<PartId>) -> Option<impl Iterator<Item = Membership> + '_> {
        if item.0 >= self.items {
            return None;
        }
        let variant = match part {
            None => 0,
            Some(p) if p.0 < 64 && self.parts >> p.0 & 1 == 1 => {
                2 + (self.parts & ((1u64 << p.0) - 1)).count_ones() as usize
            }
            Some(_) => 1,
        };
        let variants = 2 + self.parts.count_ones() as usize;
        let (from, count) = self.at.get(usize::from(item.0) * variants + variant)?;
        Some(self.rows.run(from as usize, from as usize + usize::from(count)))
    }
}

fn named_parts(set: &SubjectSet, parts: &mut u64) {
    for term in set.terms.iter().chain(&set.except) {
        match term {
            SubjectTerm::Item(_, Some(p)) | SubjectTerm::Kind(_, Some(p)) => {
                *parts |= 1u64.checked_shl(p.0.into()).unwrap_or(0)
            }
            SubjectTerm::Group(_, inner) => named_parts(inner, parts),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ready_rows_are_what_asking_every_rule_gives() {
        let (known, book) = crate::base::base().unwrap();
        let parts: Vec<Option<PartId>> =
            std::iter::once(None).chain(known.vocabulary().parts().map(|(p, _)| Some(p))).collect();
        for (id, item) in known.items() {
            for part in &parts {
                let inside = Inside::of(Some(item), *part, &[], |_| false, &known);
                let asked: Vec<Membership> = book
                    .iter()
                    .filter_map(|(r, rule)| membership(r, rule, Some((id, *part)), &inside, &known))
                    .collect();
                let ready: Vec<Membership> = book.rows.of(id, *part).unwrap().collect();
                assert_eq!(ready, asked, "{} {part:?}", item.name);
            }
        }
        assert!(book.rows.of(ItemId(u16::MAX), None).is_none());
    }
}
