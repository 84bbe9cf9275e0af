//! The knowledge base as data: items, publications, statements.

use crate::knowledge::{Basis, Composition, ItemId, Known, Pace, Publication, Stance, Statement, Usual};
use serde_json::{Value, json};

/// All items, or those given.
pub fn items(known: &Known, only: Option<&[ItemId]>) -> Value {
    let wanted = |id: ItemId| only.is_none_or(|o| o.contains(&id));
    json!({
        "schema": "forefeed/items/1",
        "items": known.items().filter(|(id, _)| wanted(*id)).map(|(id, _)| item(known, id)).collect::<Vec<_>>(),
    })
}

fn item(known: &Known, id: ItemId) -> Value {
    let Some(i) = known.item(id) else { return Value::Null };
    let v = known.vocabulary();
    // No publication gives these by item.
    let practice = [i.pace.map(|_| "pace"), (!i.tends().is_empty()).then_some("tends")];
    let practice: Vec<&str> = practice.into_iter().flatten().collect();
    let named = |list: &[ItemId]| list.iter().map(|i| known.item_name(*i)).collect::<Vec<_>>();
    json!({
        "item": i.name,
        "names": i.names.iter().map(|n| json!({"name": n.text, "language": n.language.code()})).collect::<Vec<_>>(),
        "is": i.is.iter().filter_map(|k| known.kind(*k)).map(|k| k.name.as_str()).collect::<Vec<_>>(),
        "role": i.role.word(),
        "usual_part": i.usual.map(|p| v.part_name(p)),
        "parts": i.parts.iter().map(|p| json!({
            "part": v.part_name(p.part),
            "share": p.share,
            "composition": p.composition.as_ref().map(|(c, b)| composition(c, b, known)),
        })).collect::<Vec<_>>(),
        "usual_states": i.states.iter().map(|(s, u)| json!({"state": v.state_name(*s), "usual": match u {
            Usual::Yes => "yes",
            Usual::No => "no",
            Usual::Unknown => "unknown",
        }})).collect::<Vec<_>>(),
        "includes": i.includes.iter().map(|(i, share)| json!({"item": known.item_name(*i), "share": share})).collect::<Vec<_>>(),
        "ingredients": {"main": named(&i.made_of.main), "some": named(&i.made_of.some), "trace": named(&i.made_of.trace)},
        "weighs": i.weighs().iter().map(|p| json!({"measure": p.measure, "grams": p.grams, "from": if p.from_database { "sr28" } else { "estimate" }})).collect::<Vec<_>>(),
        "composition": composition(&i.composition.0, &i.composition.1, known),
        "piece_cm": i.piece_cm,
        "pace": i.pace.map(|p| match p { Pace::Fast => "fast", Pace::Slow => "slow", Pace::Lasts => "lasts" }),
        "tends": i.tends(),
        "common_practice": practice,
        "pattern": i.pattern,
    })
}

fn composition(c: &Composition, basis: &Basis, known: &Known) -> Value {
    let (from, of) = match basis {
        Basis::Database(ndb) => ("sr28", json!(ndb)),
        Basis::Like(id) => ("estimate", json!(format!("like {}", known.item_name(*id)))),
        Basis::Source(id) => ("source", json!(id)),
        Basis::Ingredients => ("ingredients", Value::Null),
        Basis::Estimate => ("estimate", Value::Null),
    };
    json!({
        "water": c.water, "carbon": c.carbon, "nitrogen": c.nitrogen,
        "fat": c.fat, "salt": c.salt, "sugar": c.sugar, "ash": c.ash,
        "from": from, "of": of,
    })
}

/// Publications and what they say.
pub fn sources(publications: &[&Publication], statements: &[&Statement]) -> Value {
    json!({
        "schema": "forefeed/sources/1",
        "publications": publications.iter().map(|p| json!({
            "id": p.id,
            "title": p.title,
            "publisher": p.publisher,
            "authors": p.authors,
            "year": p.year,
            "number": p.number,
            "url": p.url,
            "kind": p.kind,
            "group": p.group,
            "voice": p.voice,
            "restates": p.restates,
            "list_read": p.list_read,
            "publisher_shown": p.publisher_shown.as_deref().map(|shown| shown != "no"),
            "note": p.note,
        })).collect::<Vec<_>>(),
        "statements": statements.iter().map(|s| json!({
            "source": s.source,
            "subject": s.subject,
            "about": s.about,
            "states": s.states,
            "stance": match s.stance { Stance::Accept => "accept", Stance::Limit => "limit", Stance::Avoid => "avoid" },
            "prepare": s.prepare,
            "limit": s.limit.as_ref().map(|l| json!({"value": l.value, "unit": l.unit, "basis": l.basis})),
            "reason": s.reason,
            "implied": s.implied.is_some(),
            "not_about_bins": s.not_about_bins.is_some(),
        })).collect::<Vec<_>>(),
    })
}
