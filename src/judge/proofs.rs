//! What plain enumeration finds wrong with a book: dead rules, contradictions, gaps, dead ends.
//!
//! Each warning shows a witness. Conditions are looked at only so far as enumeration over items
//! and parts reaches: two rules contradict here if both apply to an item whatever its state.

use super::Judge;
use crate::fault::{Fault, Faults};
use crate::knowledge::{ItemId, Known};
use crate::language::{Book, Demand, Layer, Rule, Who};

/// Warns of dead rules, contradictions within a layer, and things nobody speaks of.
pub fn run(known: &Known, book: &Book, judge: &Judge<'_>) -> Faults {
    let mut faults = Faults::default();
    let _ = judge;
    for (_, rule) in book.iter() {
        dead(known, book, rule, &mut faults);
    }
    contradictions(known, book, &mut faults);
    faults
}

fn dead(known: &Known, book: &Book, rule: &Rule, faults: &mut Faults) {
    if let Who::Scraps(set) = rule.subject() {
        let speaks = !rule.demands.is_empty() || rule.strict.is_some() || rule.lenient.is_some();
        if speaks && !set.terms.is_empty() && witness(known, |i| reaches(known, rule, i)).is_none() {
            faults.push(
                Fault::warning("dead-rule", format!("`{}` speaks of nothing that I know", rule.name), rule.place)
                    .help("look at its `except`, or take the rule out"),
            );
        }
    }
    if let Some(by) = rule.replaced_by.and_then(|r| book.rule(r)) {
        let always = by.from.is_none_or(|d| rule.from.is_some_and(|r| d <= r))
            && by.until.is_none_or(|d| rule.until.is_some_and(|r| d >= r));
        if always && by.layer == rule.layer {
            faults.push(
                Fault::warning(
                    "dead-rule",
                    format!("`{}` is replaced on every day it is in force", rule.name),
                    rule.place,
                )
                .also(by.place, "by this one"),
            );
        }
    }
}

/// Whether an item, or some part of it, is in a rule's subject by itself.
fn reaches(known: &Known, rule: &Rule, item: ItemId) -> bool {
    let Who::Scraps(set) = rule.subject() else { return false };
    let parts = std::iter::once(None).chain(known.vocabulary().parts().map(|(p, _)| Some(p)));
    parts.into_iter().any(|p| set.holds(item, p, known))
}

fn witness(known: &Known, mut holds: impl FnMut(ItemId) -> bool) -> Option<ItemId> {
    known.items().map(|(id, _)| id).find(|id| holds(*id))
}

fn contradictions(known: &Known, book: &Book, faults: &mut Faults) {
    let plain = |r: &&Rule| r.live && r.when.is_none();
    for layer in [Layer::Base, Layer::Area, Layer::Household] {
        let welcome: Vec<&Rule> = book
            .rules
            .iter()
            .filter(plain)
            .filter(|r| r.layer == layer && r.demands.contains(&Demand::Welcome))
            .collect();
        let out: Vec<&Rule> = book
            .rules
            .iter()
            .filter(plain)
            .filter(|r| r.layer == layer && r.demands.contains(&Demand::KeepOut))
            .collect();
        for a in &out {
            for b in &welcome {
                let both = witness(known, |i| match (a.subject(), b.subject()) {
                    (Who::Scraps(x), Who::Scraps(y)) => {
                        let lifted = |r: &Rule| r.lifted.iter().any(|(_, s)| s.holds(i, None, known));
                        x.holds(i, None, known) && y.holds(i, None, known) && !lifted(a) && !lifted(b)
                    }
                    _ => false,
                });
                if let Some(item) = both {
                    faults.push(
                        Fault::warning(
                            "contradiction",
                            format!("`{}` welcomes what `{}` keeps out: {}", b.name, a.name, known.item_name(item)),
                            b.place,
                        )
                        .also(a.place, "kept out here")
                        .help(format!("write `except {}` in one of them", known.item_name(item))),
                    );
                }
            }
        }
    }
}

/// Items of which no rule with a subject narrower than `any food` or `any scrap` says anything, by
/// themselves or through an ingredient.
pub fn gaps(known: &Known, book: &Book) -> Vec<ItemId> {
    let narrow: Vec<&Rule> =
        book.rules.iter().filter(|r| r.live && matches!(r.subject(), Who::Scraps(s) if !s.is_any())).collect();
    let spoken = |item: ItemId| narrow.iter().any(|r| reaches(known, r, item));
    known
        .items()
        .filter(|(id, item)| {
            let inside = item.made_of.main.iter().chain(&item.made_of.some);
            !spoken(*id) && !inside.clone().any(|i| spoken(*i))
        })
        .map(|(id, _)| id)
        .collect()
}
