//! A found thing as one plain line: amount, unit, name, part, states.
//!
//! Comes in: what was read and found. Goes out: the line in its canonical English form, which reads
//! back to the same scrap.

use super::{Found, Identity, Known};
use crate::bag::words::State;
use crate::bag::{Amount, Lexicon, Meaning, PartId, Said, unit_words};
use std::fmt::Write;

/// The canonical line of a thing: "3 banana peel, frozen, not cooked".
///
/// Items are written by their preferred names, so a list in any language comes out in English. Of
/// names joined by `or` only the states that all of them share are written.
pub fn written(found: &Found, known: &Known) -> String {
    let thing = &found.thing;
    let mut out = String::new();
    let part = found.identities.first().and_then(|i| i.part).map(|p| known.vocabulary().part_name(p));
    // "peel from 2 kg of potato"; "stalk from 3 kale", which stalks would measure.
    let unit = |part: &str| unit_words().any(|w| w == part) && !known.names(part);
    let measures = |part: &str| thing.amount.is_some() && thing.unit.is_none() && unit(part);
    let of_whole = part.is_some_and(|part| thing.of_whole || measures(part));
    if let Some(part) = part.filter(|_| of_whole) {
        let _ = write!(out, "{part} from ");
    }
    if let Some(amount) = thing.amount {
        number(amount, &mut out);
        out.push(' ');
    }
    out += match thing.about {
        None => "",
        Some(n) if n < 4.0 => "a few ",
        Some(n) if n < 6.0 => "several ",
        Some(_) => "lots of ",
    };
    // Beside a measure the size goes before it ("1 28-oz cup"), else behind the name.
    let sized = thing.each.filter(|_| thing.unit.is_some_and(|u| u.is_measured()));
    if let Some(each) = sized {
        number(Amount { low: each.amount, high: None }, &mut out);
        let _ = write!(out, "-{} ", each.unit.name.replace('_', "-"));
    }
    // "half a parsley stalk": the part behind the name is the unit.
    if let Some(unit) = thing.unit.filter(|u| Some(u.name) != part) {
        // Short forms need a number before them.
        let long = match (thing.amount, unit.name) {
            (None, "g") => "gram",
            (None, "kg") => "kilogram",
            (None, "oz") => "ounce",
            (None, "lb") => "pound",
            (None, "l") => "litre",
            (None, "pt") => "pint",
            (None, "qt") => "quart",
            (None, "gal") => "gallon",
            (_, name) => name,
        };
        out += &long.replace('_', " ");
        out += " of ";
    }
    for (i, identity) in found.identities.iter().enumerate() {
        if i > 0 {
            out += " or ";
        }
        name(identity, if of_whole { None } else { identity.part }, known, &mut out);
    }
    if let Some(each) = thing.each.filter(|_| sized.is_none()) {
        out += ", ";
        number(Amount { low: each.amount, high: None }, &mut out);
        let _ = write!(out, " {} each", each.unit.name.replace('_', " "));
    }
    let all = Said { yes: u64::MAX, no: u64::MAX };
    let said = found.identities.iter().fold(all, |s, i| Said { yes: s.yes & i.said.yes, no: s.no & i.said.no });
    for (id, state) in known.vocabulary().states() {
        if said.yes & id.bit() != 0 {
            let _ = write!(out, ", {}", word(state, known));
        } else if said.no & id.bit() != 0 {
            let _ = write!(out, ", not {}", word(state, known));
        }
    }
    let names = found.additions.iter().map(|a| known.item_name(*a));
    for addition in names.chain(found.unknown_additions.iter().map(String::as_str)) {
        let _ = write!(out, " with {addition}");
    }
    for without in &found.without {
        let _ = write!(out, " without {}", known.item_name(*without));
    }
    out
}

fn name(identity: &Identity, part: Option<PartId>, known: &Known, out: &mut String) {
    let part = part.map(|p| known.vocabulary().part_name(p));
    // "whole banana"; every other part stands behind its thing.
    if part == Some("whole") {
        out.push_str("whole ");
    }
    out.push_str(identity.item.map_or(&*identity.name, |i| known.item_name(i)));
    if let Some(part) = part.filter(|p| *p != "whole") {
        out.push(' ');
        out.push_str(part);
    }
}

/// The first word of a state that says nothing else: "ground" is a part as well.
fn word<'a>(state: &'a State, known: &Known) -> &'a str {
    let only = |w: &str| {
        let part =
            known.vocabulary().phrases(w).iter().any(|p| p.rest.is_empty() && matches!(p.meaning, Meaning::Part(_)));
        !part && !known.names(w)
    };
    state.ways().find(|w| only(w)).unwrap_or(&state.name)
}

fn number(amount: Amount, out: &mut String) {
    let short = |x: f64| (x * 1e6).round() / 1e6;
    let _ = write!(out, "{}", short(amount.low));
    if let Some(high) = amount.high {
        let _ = write!(out, "-{}", short(high));
    }
}
