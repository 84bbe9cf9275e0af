//! What is known of things, for people.

use super::{Ink, Page, Width, book, said, words};
use crate::Household;
use crate::bag::{Named, PartId};
use crate::fault::nearest;
use crate::knowledge::{
    self, Basis, Composition, Identified, Item, ItemId, KindId, Known, Language, Pace, Rung, Usual,
};
use crate::language::{Demand, Rule, RuleId};
use std::collections::BTreeMap;

/// Where the text of a screen begins.
const INDENT: usize = 13;

/// Items that some words name: all of a kind, one by any of its names, else those with a name that
/// holds the words. None for no words.
pub fn named(home: &Household, asked: &str) -> Vec<ItemId> {
    let asked = asked.trim().to_lowercase();
    if asked.is_empty() {
        return Vec::new();
    }
    let found = exactly(home, &asked);
    if !found.is_empty() {
        return found;
    }
    let holds = |item: &Item| item.names.iter().any(|n| n.text.to_lowercase().contains(&asked));
    home.known.items().filter(|(_, i)| holds(i)).map(|(id, _)| id).collect()
}

/// Items that some words name without guessing: all of a kind, or one.
pub(super) fn exactly(home: &Household, asked: &str) -> Vec<ItemId> {
    let known = &home.known;
    if let Some(kind) = known.kind_named(asked) {
        let all: Vec<ItemId> =
            known.items().filter(|(id, _)| known.kinds_of(*id).contains(&kind)).map(|(id, _)| id).collect();
        if !all.is_empty() {
            return all;
        }
    }
    if let Some((_, set)) = home.book.groups.iter().find(|(name, _)| name.to_lowercase() == asked) {
        let parts: Vec<Option<PartId>> =
            std::iter::once(None).chain(known.vocabulary().parts().map(|(p, _)| Some(p))).collect();
        return known
            .items()
            .filter(|(id, _)| parts.iter().any(|p| set.holds(*id, *p, known)))
            .map(|(id, _)| id)
            .collect();
    }
    one(home, asked).into_iter().collect()
}

/// The item that some words name without guessing.
pub(super) fn one(home: &Household, asked: &str) -> Option<ItemId> {
    let known = &home.known;
    if let Some(id) = known.item_named(asked) {
        return Some(id);
    }
    let named = Named { name: asked.to_string(), full: asked.to_string(), ..Named::default() };
    let identity = match home.language {
        Some(language) => knowledge::identify_in(&named, known, language),
        None => knowledge::identify(&named, known),
    };
    let written = identity.rung.is_some_and(|r| r <= Rung::Normalised);
    identity.item.filter(|_| written && identity.identified <= Identified::Likely)
}

/// The name of a thing, a kind or a publication that a mistyped word is nearest to.
pub fn nearest_name<'a>(home: &'a Household, asked: &str) -> Option<&'a str> {
    let known = &home.known;
    let kinds = known.kinds().map(|(_, k)| k.name.as_str());
    let names = known.items().flat_map(|(_, i)| i.names.iter().map(|n| n.text));
    nearest(asked, kinds.chain(names).chain(known.publications().iter().map(|p| p.id.as_str())))
}

/// All things, or some that were asked for: a list by kinds, or everything about a single one.
pub fn items(home: &Household, asked: &str, only: &[ItemId], width: Width) -> Page {
    let mut page = Page::new(width);
    let known = &home.known;
    let asked = asked.trim().to_lowercase();
    if let [id] = only {
        details(home, *id, &mut page);
        return page;
    }
    let all: Vec<ItemId> = if only.is_empty() { known.items().map(|(id, _)| id).collect() } else { only.to_vec() };
    let kind = known.kind_named(&asked).and_then(|id| known.kind(id));
    match kind {
        Some(kind) => {
            page.headline(&format!("{}: {}", kind.name.to_uppercase(), words::count(all.len(), "thing")), Ink::Strong);
            if !kind.means.is_empty() {
                page.headline(&kind.means, Ink::Plain);
            }
        }
        None => {
            let about = if asked.is_empty() { String::new() } else { format!(": {}", words::clipped(&asked, 40)) };
            page.headline(&format!("{} known{about}", words::count(all.len(), "thing")), Ink::Strong);
        }
    }
    let mut by_kind: BTreeMap<Option<KindId>, Vec<&str>> = BTreeMap::new();
    for id in &all {
        let Some(item) = known.item(*id) else { continue };
        by_kind.entry(item.is.first().copied()).or_default().push(&item.name);
    }
    page.blank();
    for (kind, names) in by_kind {
        let label = kind.and_then(|k| known.kind(k)).map_or("other things", |k| k.name.as_str());
        page.row(label, Ink::Quiet, 22, &names.join(", "));
    }
    page.blank();
    page.row("ONE OF THEM", Ink::Quiet, INDENT, "forefeed items NAME");
    page
}

/// Everything about one item.
fn details(home: &Household, id: ItemId, page: &mut Page) {
    let known = &home.known;
    let Some(item) = known.item(id) else { return };
    let v = known.vocabulary();
    let names = |language: Language| -> Vec<&str> {
        item.names.iter().filter(|n| n.language == language && n.text != item.name).map(|n| n.text).collect()
    };
    page.headline(&item.name.to_uppercase(), Ink::Strong);
    for (language, label) in
        [(Language::En, "ALSO"), (Language::Es, "SPANISH"), (Language::De, "GERMAN"), (Language::Fr, "FRENCH")]
    {
        if !names(language).is_empty() {
            page.row(label, Ink::Quiet, INDENT, &names(language).join(", "));
        }
    }
    page.row("IS", Ink::Quiet, INDENT, &format!("{}; in a bin it is {}", kinds(item, known), role(item)));
    if let Some(part) = item.usual {
        page.row("MEANS", Ink::Quiet, INDENT, &format!("the {}, where no part is written", v.part_name(part)));
    }
    let parts: Vec<String> = item
        .parts
        .iter()
        .map(|p| {
            v.part_name(p.part).to_string()
                + &p.share.map_or_else(String::new, |s| format!(" ({} of it)", words::percent(s)))
        })
        .collect();
    list("PARTS", &parts, page);
    let states: Vec<String> = item
        .states
        .iter()
        .map(|(s, usual)| match usual {
            Usual::Yes => v.state_name(*s).to_string(),
            Usual::No => format!("not {}", v.state_name(*s)),
            Usual::Unknown => format!("perhaps {}", v.state_name(*s)),
        })
        .collect();
    list("USUALLY", &states, page);
    let includes: Vec<String> =
        item.includes.iter().map(|(i, s)| format!("{} ({} of it)", known.item_name(*i), words::percent(*s))).collect();
    list("HOLDS", &includes, page);
    let made = &item.made_of;
    let of = |ids: &[ItemId]| ids.iter().map(|i| known.item_name(*i)).collect::<Vec<_>>().join(", ");
    let made: Vec<String> = [("mostly", &made.main), ("some", &made.some), ("a trace of", &made.trace)]
        .into_iter()
        .filter(|(_, ids)| !ids.is_empty())
        .map(|(how, ids)| format!("{how} {}", of(ids)))
        .collect();
    list_by("MADE OF", &made, "; ", page);
    let weighs: Vec<String> = item
        .weighs()
        .iter()
        .map(|p| {
            format!("{} {}{}", p.measure, words::grams(p.grams), if p.from_database { "" } else { " (our estimate)" })
        })
        .collect();
    list("WEIGHS", &weighs, page);
    let (composition, basis) = &item.composition;
    page.row("HOLDS IN IT", Ink::Quiet, INDENT, &figures(composition));
    page.row("FROM", Ink::Quiet, INDENT, &from(basis, known));
    for part in &item.parts {
        if let Some((composition, basis)) = &part.composition {
            page.row(
                &format!("ITS {}", v.part_name(part.part).to_uppercase()),
                Ink::Quiet,
                INDENT,
                &format!("{}; {}", figures(composition), from(basis, known)),
            );
        }
    }
    if let Some(pace) = item.pace {
        let pace = match pace {
            Pace::Fast => "in weeks (common practice)",
            Pace::Slow => "in months (common practice)",
            Pace::Lasts => "very slowly, if at all (common practice)",
        };
        page.row("VANISHES", Ink::Quiet, INDENT, pace);
    }
    list("MAY BRING", item.tends(), page);
    if let Some(pattern) = &item.pattern {
        page.row("LINE LIKE", Ink::Quiet, INDENT, &format!("/{pattern}/"));
    }
    let rules = book::speaking_of(home, id);
    rules_row(&rules, home, page);
    if let Some(place) = item.place {
        let sources = &home.book.sources;
        let built_in = crate::base::texts().get(place.file).is_some_and(|t| t.name == sources.name(place.file));
        let (label, ink) = if built_in { ("FILE", Ink::Quiet) } else { ("YOURS", Ink::Strong) };
        page.row(label, ink, INDENT, &format!("{}, line {}", sources.name(place.file), sources.place(place).0));
    }
}

pub(super) fn list(label: &str, parts: &[String], page: &mut Page) {
    list_by(label, parts, ", ", page);
}

pub(super) fn list_by(label: &str, parts: &[String], joined: &str, page: &mut Page) {
    if !parts.is_empty() {
        page.row(label, Ink::Quiet, INDENT, &parts.join(joined));
    }
}

fn role(item: &Item) -> &'static str {
    match item.role {
        knowledge::Role::Food => "food",
        knowledge::Role::Bedding => "bedding",
        knowledge::Role::Grit => "grit",
        knowledge::Role::Other => "neither food, bedding nor grit",
    }
}

/// The kinds of an item, nearest first.
fn kinds(item: &Item, known: &Known) -> String {
    let (mut all, mut level): (Vec<KindId>, Vec<KindId>) = (Vec::new(), item.is.clone());
    while !level.is_empty() {
        level.retain(|k| !all.contains(k));
        level.dedup();
        all.extend(&level);
        level = level.iter().filter_map(|k| known.kind(*k)).flat_map(|k| k.broader.clone()).collect();
    }
    let names: Vec<&str> = all.iter().filter_map(|k| known.kind(*k)).map(|k| k.name.as_str()).collect();
    if names.is_empty() { "of no kind".to_string() } else { names.join(", ") }
}

fn figures(c: &Composition) -> String {
    let mut all = vec![
        format!("water {}", words::percent(c.water)),
        format!("carbon {}", words::percent(c.carbon)),
        format!("nitrogen {}", words::percent(c.nitrogen)),
    ];
    if c.nitrogen > 0.0 {
        all.push(format!("C:N {}", words::number(c.carbon / c.nitrogen)));
    }
    for (name, share) in [("fat", c.fat), ("salt", c.salt), ("sugar", c.sugar), ("ash", c.ash)] {
        all.extend(share.map(|s| format!("{name} {}", words::percent(s))));
    }
    all.join(", ")
}

fn from(basis: &Basis, known: &Known) -> String {
    match basis {
        Basis::Database(number) => format!("food composition database SR28, number {number}"),
        Basis::Like(id) => format!("an estimate: the figures of {}", known.item_name(*id)),
        Basis::Source(id) => known.publication(id).map_or_else(|| id.clone(), said::cited),
        Basis::Ingredients => "an estimate from what it is made of".to_string(),
        Basis::Estimate => "our estimate, without a source".to_string(),
    }
}

/// What the book decided: the rules that always apply in full, the others by what they wait for.
pub(super) fn rules_row(rules: &[RuleId], home: &Household, page: &mut Page) {
    let (book, known) = (&home.book, &home.known);
    let rules: Vec<&Rule> = rules.iter().filter_map(|id| book.rule(*id)).collect();
    let notes = |r: &Rule| {
        r.demands.iter().chain(&r.strict).chain(&r.lenient).all(|d| matches!(d, Demand::Better(_) | Demand::Welcome))
    };
    let mut label = "RULES";
    for r in rules.iter().filter(|r| r.when.is_none() && !notes(r)) {
        let place = format!("[{}, {}]", words::whose(r.layer), words::place(r));
        page.row(
            label,
            Ink::Quiet,
            INDENT,
            &format!("{}: {}: {} {place}", r.name, words::who(r.subject(), known), book::asks(r, home)),
        );
        label = "";
    }
    let mut when: Vec<(String, String)> = Vec::new();
    for (condition, r) in rules.iter().filter(|r| !notes(r)).filter_map(|r| r.when.as_ref().map(|w| (w, r))) {
        let condition = words::when(condition, known);
        match when.iter_mut().find(|(c, _)| *c == condition) {
            Some((_, names)) => *names += &format!(", {}", r.name),
            None => when.push((condition, r.name.clone())),
        }
    }
    let when: Vec<String> = when.into_iter().map(|(condition, names)| format!("{condition}: {names}")).collect();
    list_by("WHEN", &when, "; ", page);
    let notes: Vec<String> = rules.iter().filter(|r| notes(r)).map(|r| r.name.clone()).collect();
    list("NOTES", &notes, page);
    if rules.is_empty() {
        page.row("RULES", Ink::Quiet, INDENT, "none in force speaks of it by name or kind");
    }
}
