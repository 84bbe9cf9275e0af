//! Putting an answer into words.

use super::ladder::Answer;
use super::query::Query;
use crate::bag::{Named, PartId, Said, StateId};
use crate::knowledge::normal::Folded;
use crate::knowledge::{Alternative, Identified, Identity, ItemId, Known, Language};

/// Puts an answer into words: part and states that belong to the name are no longer said of it,
/// a part that is an item of its own becomes that item, and what is within reach is listed.
pub(super) fn settle(answer: Answer, named: &Named, full: &Query, known: &Known) -> (Identity, Vec<ItemId>) {
    let names = &known.names;
    let Some(row) = answer.row else {
        let name = if named.name.is_empty() { named.full.clone() } else { named.name.clone() };
        let identity = Identity {
            name,
            item: None,
            part: named.part.or(answer.part),
            said: together(named.said, answer.said),
            identified: Identified::Unknown,
            rung: None,
            confidence: 0.0,
            language: Language::En,
            alternatives: Vec::new(),
        };
        return (identity, Vec::new());
    };
    let found = names.row(row);
    let mut item = ItemId(found.item);
    let mut part = named.part.or(answer.part).or_else(|| named_part(item, found.language, full, known));
    let mut said = together(named.said, answer.said);
    let mut name = if named.name.is_empty() { named.full.clone() } else { named.name.clone() };
    if let Some((from, to)) = answer.taken {
        name = full.f.phrase(from, to).to_string();
        (part, said) = unsaid(part, said, full, from, to, item, known);
    }
    if let Some(p) = part {
        // The crust of a sandwich is bread, but not of one that is said to have ham in it.
        let filled = |own: u16| {
            let bread = in_kind(known, ItemId(own), "bread");
            bread && (0..full.count()).any(|i| names_one_of(full, i, "animal product", known))
        };
        if let Some(own) = names.own_part(item.0, p).or_else(|| loose_part(item, p, known)).filter(|own| !filled(*own))
        {
            item = ItemId(own);
            part = None;
        }
    }
    let mut alternatives: Vec<Alternative> = Vec::new();
    let mut near = answer.near;
    near.sort_by_key(|(row, edits, c)| (*c, *edits, *row));
    for (row, edits, c) in near {
        let near = names.row(row);
        let other = ItemId(near.item);
        if other == item || other.0 == found.item || alternatives.iter().any(|a| a.item == other) {
            continue;
        }
        alternatives.push(Alternative {
            item: other,
            which: near.which,
            confidence: confidence_of(c),
            within_reach: edits < 2 || edits == 2 && may_have(other, named.part.or(answer.part), known),
        });
    }
    let identity = Identity {
        name,
        item: Some(item),
        part,
        said,
        identified: answer.identified,
        rung: answer.rung,
        confidence: answer.confidence,
        language: found.language,
        alternatives,
    };
    (identity, answer.asides)
}

/// The part that a name of the item says, where the item is not itself that part: "lettuce leaves",
/// "peau de banane", "Bananenschale".
fn named_part(item: ItemId, language: Language, full: &Query, known: &Known) -> Option<PartId> {
    let entry = known.item(item).filter(|entry| !entry.parts.is_empty())?;
    let has = |part: PartId| entry.parts.iter().any(|own| own.part == part);
    let words = full.count();
    if language == Language::De {
        let ends = |word: &[u8], way: &str| {
            let f = Folded::of(way);
            f.count() == 1 && f.word(0).len() > 3 && word.len() > f.word(0).len() + 2 && word.ends_with(f.word(0))
        };
        let says = |way: &str| (0..words).any(|i| ends(full.f.word(i), way));
        let joined = known.vocabulary.parts().find(|(id, p)| has(*id) && p.ways().any(says)).map(|(id, _)| id);
        if joined.is_some() || words == 1 {
            return joined;
        }
    }
    let place = if matches!(language, Language::Es | Language::Fr) { 0 } else { words.checked_sub(1)? };
    let part = full.info(place).part.filter(|part| words > 1 && has(*part))?;
    let own = Query::of(&known.names, &entry.name);
    (0..own.count()).all(|i| own.info(i).part != Some(part)).then_some(part)
}

/// Whether an item may have the part that was said: "cofee grounds" is two slips from "coley", but
/// nobody writes of a fish's grounds, and with them it is many slips away.
fn may_have(item: ItemId, part: Option<PartId>, known: &Known) -> bool {
    // Everything has flesh, ends and trimmings.
    let general = |part| matches!(known.vocabulary().part_name(part), "whole" | "flesh" | "end" | "trimmings");
    part.is_none_or(|part| general(part) || has_part(item, part, known))
}

/// Whether an item says that it has a part, or a thing of its own is that part of it.
pub(super) fn has_part(item: ItemId, part: PartId, known: &Known) -> bool {
    known.item(item).is_some_and(|i| i.parts.iter().any(|p| p.part == part))
        || known.names.own_part(item.0, part).is_some()
        || loose_part(item, part, known).is_some()
}

/// How sure an alternative is by what the slips to it cost.
pub(super) fn confidence_of(cost: u32) -> f64 {
    (0.5 - f64::from(cost) / 500.0).clamp(0.05, 0.5)
}

fn together(a: Said, b: Said) -> Said {
    Said { yes: a.yes | b.yes, no: a.no | b.no }
}

/// Takes back the part and the states whose words belong to the name. A state stays said where
/// only another name of a wider item holds its word ("salted nuts" are salted).
fn unsaid(
    part: Option<PartId>,
    said: Said,
    full: &Query,
    from: usize,
    to: usize,
    item: ItemId,
    known: &Known,
) -> (Option<PartId>, Said) {
    let Some(entry) = known.item(item) else { return (part, said) };
    let own_name = Folded::of(&entry.name);
    let in_name = |f: &Folded| has(&own_name, 0, own_name.count(), f);
    let mut out = said;
    for (id, state) in known.vocabulary.states() {
        if said.yes & id.bit() == 0 {
            continue;
        }
        let mut held = false;
        let mut elsewhere = false;
        for word in state.ways() {
            let f = Folded::of(word);
            if has(&full.f, from, to, &f) && (in_name(&f) || entry.states.iter().any(|(s, _)| *s == id)) {
                held = true;
            }
            elsewhere |= has(&full.f, 0, from, &f) || has(&full.f, to, full.count(), &f);
        }
        if held && !elsewhere {
            out.yes &= !StateId::bit(id);
        }
    }
    let part = part.filter(|p| {
        let words = known.vocabulary.parts().find(|(id, _)| id == p).map(|(_, x)| x);
        let held = words.is_some_and(|x| x.ways().any(|w| ends_with(&full.f, from, to, &Folded::of(w))));
        let names_it = words.is_some_and(|x| x.ways().any(|w| in_name(&Folded::of(w))));
        !held || (entry.parts.iter().any(|own| own.part == *p) && !names_it)
    });
    (part, out)
}

fn ends_with(f: &Folded, from: usize, to: usize, w: &Folded) -> bool {
    has(f, from, to, w)
        || (from..to).any(|i| w.count() == 1 && f.word(i).len() > w.word(0).len() && f.word(i).ends_with(w.word(0)))
}

/// Whether the words of `w` stand in `f` between two places.
pub(super) fn has(f: &Folded, from: usize, to: usize, w: &Folded) -> bool {
    let n = w.count();
    n > 0 && from + n <= to && (from..=to - n).any(|i| (0..n).all(|k| f.word(i + k) == w.word(k)))
}

/// A part that is a thing of its own whatever it came from.
fn loose_part(item: ItemId, part: PartId, known: &Known) -> Option<u16> {
    let loose = &known.names.loose;
    let own = known.item(item)?;
    if own.parts.iter().any(|p| p.part == part) {
        return None;
    }
    let is = |kind: &str| in_kind(known, item, kind);
    match known.vocabulary.part_name(part) {
        "bone" if is("animal product") => loose.bone,
        "pit" if is("fruit") => loose.pit,
        "cob" => loose.cob.filter(|_| is("plant food")),
        // What is called the husk of a fruit is its skin.
        "husk" => loose.husk.filter(|_| is("plant food") && !is("fruit")),
        // The crust of a sandwich is bread; of one with fish in it nobody cuts it clean.
        "crust" if own.made_of.main.iter().any(|m| in_kind(known, *m, "animal product")) => None,
        "crust" => own.made_of.main.iter().copied().find(|m| in_kind(known, *m, "bread")).map(|m| m.0),
        "shell" if is("egg") => loose.eggshell,
        "shell" if is("nut") => loose.nut_shell,
        "shell" if is("shellfish") => loose.sea_shell,
        _ => None,
    }
}

/// Whether a word of a phrase by itself names something of a kind.
fn names_one_of(q: &Query, i: usize, kind: &str, known: &Known) -> bool {
    let names = &known.names;
    let hit = names.span(q, i, i + 1, Language::En, 1, false);
    hit.is_some_and(|hit| in_kind(known, ItemId(names.row(hit.row).item), kind))
}

/// Whether an item is of a kind.
pub(super) fn in_kind(known: &Known, item: ItemId, kind: &str) -> bool {
    known.kind_named(kind).is_some_and(|k| known.kinds_of(item).binary_search(&k).is_ok())
}
