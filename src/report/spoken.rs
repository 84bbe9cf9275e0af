//! What publications say of a thing, for people.
//!
//! Publishers are counted, not pages; science stands apart; what only follows from a text, or is
//! not about bins, is shown and not counted.

use super::said::{about, levels, statements};
use super::things::{list, list_by, one, rules_row};
use super::{Ink, Page, Width, book, said, words};
use crate::Household;
use crate::judge::Verdict;
use crate::knowledge::{Identified, Identity, Known, Publication, Rung, Stance, Statement};
use crate::language::RuleId;
use std::collections::BTreeMap;

/// Where the text of a screen begins.
const INDENT: usize = 13;

/// What is asked of the publications.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Asked {
    /// All of them.
    All,
    /// One, by its id.
    Publication(String),
    /// All of some publishers.
    Publishers(Vec<String>),
    /// What they say of a thing.
    Thing(Thing),
    /// What they say of something that is no thing of ours ("mouldy").
    Words(String),
}

/// A thing that publications are asked about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thing {
    /// As it was asked for.
    name: String,
    /// The names that statements may speak of it by: its own, then those of its kinds, the nearest first.
    levels: Vec<Vec<String>>,
    /// States it was asked for in and that some statement speaks of.
    states: Vec<String>,
    /// The rules in force that speak of it.
    rules: Vec<RuleId>,
    /// Its own verdict as a bare name, if it is an item.
    verdict: Option<Verdict>,
}

/// What some words ask of the publications; `None` if they name nothing known.
pub fn asked(home: &Household, asked: &str) -> Option<Asked> {
    let known = &home.known;
    let asked = asked.trim().to_lowercase();
    if asked.is_empty() {
        return Some(Asked::All);
    }
    if known.publication(&asked).is_some() {
        return Some(Asked::Publication(asked));
    }
    if known.statements().iter().any(|s| s.about.is_none() && s.subject.to_lowercase() == asked) {
        return Some(Asked::Words(asked));
    }
    if let Some(thing) = thing(home, &asked) {
        return Some(Asked::Thing(thing));
    }
    let holds = |p: &&Publication| p.voice == asked || (asked.len() > 2 && p.publisher.to_lowercase().contains(&asked));
    let mut voices: Vec<String> = known.publications().iter().filter(holds).map(|p| p.voice.clone()).collect();
    voices.sort();
    voices.dedup();
    if !voices.is_empty() {
        return Some(Asked::Publishers(voices));
    }
    known.statements().iter().any(|s| s.subject.to_lowercase().contains(&asked)).then_some(Asked::Words(asked))
}

fn thing(home: &Household, asked: &str) -> Option<Thing> {
    let known = &home.known;
    let (item, kind) = (known.item_named(asked), known.kind_named(asked));
    if let (None, Some(kind)) = (item, kind) {
        return Some(Thing {
            name: asked.to_string(),
            levels: levels(asked, known.kind(kind)?.broader.clone(), &[], known),
            states: Vec::new(),
            rules: book::speaking_of_kind(home, kind),
            verdict: None,
        });
    }
    let bag = crate::check(asked.as_bytes(), home);
    let read = match (bag.scraps.as_slice(), bag.judged.as_slice()) {
        ([scrap], [judged]) => scrap.found.identities.first().map(|i| (&**i, judged.verdict)),
        _ => None,
    };
    let written = |i: &Identity| {
        i.identified <= Identified::Likely && i.rung.is_some_and(|r| r <= Rung::Normalised) && i.item.is_some()
    };
    let (item, said, verdict) = match (item.or_else(|| one(home, asked)), read) {
        (Some(item), Some((i, verdict))) if i.item == Some(item) => (item, i.said.yes, Some(verdict)),
        (Some(item), _) => (item, 0, None),
        (None, Some((i, verdict))) if written(i) => (i.item?, i.said.yes, Some(verdict)),
        (None, _) => return None,
    };
    let spoken_of = |state: &String| known.statements().iter().any(|s| s.states.contains(state));
    let states: Vec<String> =
        known.vocabulary().names_of(said).into_iter().map(String::from).filter(spoken_of).collect();
    Some(Thing {
        name: asked.to_string(),
        levels: levels(known.item_name(item), known.item(item)?.is.clone(), &states, known),
        states,
        rules: book::speaking_of(home, item),
        verdict,
    })
}

impl Thing {
    /// What is said of it by some names, in the states it was asked for in, or in none.
    fn by<'a>(&'a self, names: &'a [String], known: &'a Known) -> Vec<&'a Statement> {
        statements(names, &self.states, known).collect()
    }

    /// How many levels it takes until a publisher speaks of the thing outright: all, if none does.
    fn reach(&self, science: bool, known: &Known) -> usize {
        let speaks = |names: &Vec<String>| voices(&self.by(names, known), known, science).values().any(|v| v.counted);
        self.levels.iter().position(speaks).map_or(self.levels.len(), |at| at + 1)
    }

    /// The levels up to some, and what is said of the thing by their names.
    fn within<'a>(&'a self, reach: usize, known: &'a Known) -> Vec<&'a Statement> {
        self.levels.iter().take(reach).flat_map(|names| self.by(names, known)).collect()
    }
}

/// The publications and statements that were asked for.
pub fn spoken<'a>(home: &'a Household, asked: &Asked) -> (Vec<&'a Publication>, Vec<&'a Statement>) {
    let known = &home.known;
    let of = |s: &Statement, fits: &dyn Fn(&Publication) -> bool| known.publication(&s.source).is_some_and(fits);
    let statements: Vec<&Statement> = known
        .statements()
        .iter()
        .filter(|s| match asked {
            Asked::All => true,
            Asked::Publication(id) => s.source == *id,
            Asked::Publishers(voices) => of(s, &|p| voices.contains(&p.voice)),
            Asked::Thing(thing) => thing.levels.iter().any(|names| thing.by(names, known).contains(s)),
            Asked::Words(words) => s.subject.to_lowercase().contains(words.as_str()),
        })
        .collect();
    let publications = known
        .publications()
        .iter()
        .filter(|p| match asked {
            Asked::All => true,
            Asked::Publication(id) => p.id == *id,
            Asked::Publishers(voices) => voices.contains(&p.voice),
            Asked::Thing(_) | Asked::Words(_) => statements.iter().any(|s| s.source == p.id),
        })
        .collect();
    (publications, statements)
}

/// The publications: all, some, or what they say of a thing and what the book made of it.
pub fn sources(home: &Household, asked: &Asked, width: Width) -> Page {
    let mut page = Page::new(width);
    let (publications, statements) = spoken(home, asked);
    match asked {
        Asked::All => all(&publications, &mut page),
        Asked::Publication(_) | Asked::Publishers(_) => some(home, &publications, &statements, &mut page),
        Asked::Words(words) => {
            opinions(&words::clipped(words, 40), home, &statements, &statements, &mut page);
            page.blank();
            let states = statements.iter().flat_map(|s| &s.states);
            let mut rules: Vec<RuleId> =
                std::iter::once(words).chain(states).flat_map(|words| book::matching(home, words)).collect();
            rules.sort_unstable();
            rules.dedup();
            rules.retain(|id| home.book.rule(*id).is_some_and(|r| r.live));
            rules_row(&rules, home, &mut page);
        }
        Asked::Thing(thing) => of_thing(thing, home, &mut page),
    }
    page
}

/// What they say of a thing: by the nearest of its names that any of them speaks of outright; by
/// broader ones in a row each.
fn of_thing(thing: &Thing, home: &Household, page: &mut Page) {
    let known = &home.known;
    let reach = thing.reach(false, known);
    let advice = thing.within(reach, known);
    opinions(&words::clipped(&thing.name, 40), home, &advice, &thing.within(thing.reach(true, known), known), page);
    let nearest = thing.levels.get(reach.saturating_sub(1)).filter(|_| reach > 1 && reach <= thing.levels.len());
    if let Some(names) = nearest {
        let spoken: Vec<&String> = names.iter().filter(|n| advice.iter().any(|s| about(s) == n.as_str())).collect();
        if !spoken.is_empty() {
            page.row("COUNTED", Ink::Quiet, INDENT, &format!("what they say of {}", words::list(&spoken, "and")));
        }
    }
    let mut label = "AT LARGE";
    for name in thing.levels.iter().skip(reach).flatten() {
        let wider = voices(&thing.by(std::slice::from_ref(name), known), known, false);
        if wider.values().any(|v| v.counted) {
            page.row(label, Ink::Quiet, INDENT, &format!("{name}: {}", agreement(&wider)));
            label = "";
        }
    }
    page.blank();
    if let Some(verdict) = thing.verdict {
        let outcome = words::outcome(Some(verdict));
        page.row("BOOK", Ink::Strong, INDENT, &format!("{outcome} (judged by itself, on the side you take)"));
    }
    rules_row(&thing.rules, home, page);
}

fn all(publications: &[&Publication], page: &mut Page) {
    let mut voices: Vec<&str> = publications.iter().map(|p| p.voice.as_str()).collect();
    voices.sort_unstable();
    voices.dedup();
    page.headline(
        &format!("{} of {}.", words::count(publications.len(), "publication"), words::count(voices.len(), "publisher")),
        Ink::Strong,
    );
    for (group, label) in
        [("guidance", "ADVICE FOR HOUSEHOLDS"), ("science", "SCIENCE"), ("reference", "FIGURES AND REFERENCE")]
    {
        page.blank();
        page.headline(label, Ink::Quiet);
        for p in publications.iter().filter(|p| p.group == group) {
            let year = p.year.map_or_else(String::new, |y| format!(", {y}"));
            page.row(&p.id, Ink::Plain, 30, &format!("{}. {}{year}", p.title, p.publisher));
        }
    }
    page.blank();
    page.row("ONE OF THEM", Ink::Quiet, INDENT, "forefeed sources ID");
    page.row("OF A THING", Ink::Quiet, INDENT, "forefeed sources orange");
}

fn some(home: &Household, publications: &[&Publication], statements: &[&Statement], page: &mut Page) {
    for p in publications {
        page.blank();
        page.headline(&p.id, Ink::Strong);
        page.row("TITLE", Ink::Quiet, INDENT, &said::cited(p));
        let counts = p.restates.as_deref().map_or_else(|| p.voice.clone(), |r| format!("{r}, which it restates"));
        page.row("COUNTS AS", Ink::Quiet, INDENT, &format!("{counts} ({}, {})", p.group, p.kind));
        if let Some(note) = &p.note {
            page.row("NOTE", Ink::Quiet, INDENT, note);
        }
        for stance in [Stance::Avoid, Stance::Limit, Stance::Accept] {
            let said: Vec<String> = statements
                .iter()
                .filter(|s| s.source == p.id && s.stance == stance)
                .map(|s| s.subject.clone() + &grounds(s))
                .collect();
            list_by(word(stance), &said, "; ", page);
        }
        let cite = |r: &crate::language::Rule| r.sources().contains(&p.id) || r.disputed_by().contains(&p.id);
        let rules: Vec<String> = home.book.rules.iter().filter(|r| r.live && cite(r)).map(|r| r.name.clone()).collect();
        list("CITED BY", &rules, page);
    }
}

fn word(stance: Stance) -> &'static str {
    match stance {
        Stance::Avoid => "NEVER",
        Stance::Limit => "A LITTLE",
        Stance::Accept => "FEED IT",
    }
}

/// On what grounds, how much, and what must be done first; in brackets, or nothing.
fn grounds(s: &Statement) -> String {
    let mut parts: Vec<String> = s.reason.iter().cloned().collect();
    if let Some(dose) = &s.limit {
        let number = dose.value.map(words::number);
        let words: Vec<String> = [number, dose.unit.clone(), dose.basis.clone()].into_iter().flatten().collect();
        parts.push(words.join(" "));
    }
    if !s.prepare.is_empty() {
        parts.push(format!("first {}", s.prepare.join(", ")));
    }
    if parts.is_empty() { String::new() } else { format!(" ({})", parts.join("; ")) }
}

/// What one publisher says.
struct Voice<'a> {
    stance: Stance,
    counted: bool,
    statements: Vec<&'a Statement>,
}

/// Publishers by the strictest that each says outright.
fn voices<'a>(statements: &[&'a Statement], known: &Known, science: bool) -> BTreeMap<String, Voice<'a>> {
    let mut all: BTreeMap<String, Voice<'a>> = BTreeMap::new();
    for s in statements {
        let Some(p) = known.publication(&s.source).filter(|p| (p.group == "science") == science) else { continue };
        let outright = s.implied.is_none() && s.not_about_bins.is_none();
        let name = p.restates.as_deref().unwrap_or(&p.voice).to_string();
        let voice =
            all.entry(name).or_insert_with(|| Voice { stance: s.stance, counted: outright, statements: Vec::new() });
        if outright && !voice.counted {
            (voice.stance, voice.counted) = (s.stance, true);
        } else if outright == voice.counted {
            voice.stance = voice.stance.max(s.stance);
        }
        voice.statements.push(s);
    }
    all
}

fn opinions(name: &str, home: &Household, advice: &[&Statement], trials: &[&Statement], page: &mut Page) {
    let known = &home.known;
    let advice = voices(advice, known, false);
    page.headline(&format!("{}: {}", name.to_uppercase(), agreement(&advice)), Ink::Strong);
    rows(&advice, known, page);
    let science = voices(trials, known, true);
    if !science.is_empty() {
        page.blank();
        page.headline("Trials and papers, counted apart:", Ink::Quiet);
        rows(&science, known, page);
    }
}

/// How far publishers agree, in words.
fn agreement(voices: &BTreeMap<String, Voice<'_>>) -> String {
    let count = |stance: Stance| voices.values().filter(|v| v.counted && v.stance == stance).count();
    let each =
        [(count(Stance::Avoid), "never"), (count(Stance::Limit), "a little"), (count(Stance::Accept), "feed it")];
    let total: usize = each.iter().map(|(n, _)| n).sum();
    let most = each.iter().map(|(n, _)| *n).max().unwrap_or(0);
    let counts: Vec<String> =
        each.iter().filter(|(n, _)| *n > 0).map(|(n, what)| words::tied(&format!("{n} {what}"))).collect();
    let counts = counts.join(", ");
    match (total, most) {
        (0, _) => "no publisher of advice speaks of it outright.".to_string(),
        (1, _) => format!("one publisher alone: {counts}."),
        (2, 2) => format!("both publishers agree: {counts}."),
        (n, m) if n == m => format!("all {n} publishers agree: {counts}."),
        (n, m) if m * 5 >= n * 4 => format!("nearly all of {n} publishers agree: {counts}."),
        (n, _) => format!("{n} publishers are divided: {counts}."),
    }
}

fn rows(voices: &BTreeMap<String, Voice<'_>>, known: &Known, page: &mut Page) {
    for stance in [Stance::Avoid, Stance::Limit, Stance::Accept] {
        let mut label = word(stance);
        for (name, voice) in voices.iter().filter(|(_, v)| v.counted && v.stance == stance) {
            page.row(label, Ink::Quiet, INDENT, &line(name, voice, known));
            label = "";
        }
    }
    let mut label = "NOT COUNTED";
    for (name, voice) in voices.iter().filter(|(_, v)| !v.counted) {
        page.row(
            label,
            Ink::Quiet,
            INDENT,
            &format!("{}: {}", line(name, voice, known), word(voice.stance).to_lowercase()),
        );
        label = "";
    }
}

/// A publisher, what it says of what, with marks and page ids.
fn line<'a>(name: &'a str, voice: &Voice<'_>, known: &'a Known) -> String {
    let short = |p: &'a Publication| p.publisher.split_once(" (").map_or(p.publisher.as_str(), |(short, _)| short);
    let publisher =
        known.publications().iter().filter(|p| p.voice == name).map(short).min_by_key(|n| n.len()).unwrap_or(name);
    let mut said: Vec<String> = Vec::new();
    for s in &voice.statements {
        let milder = if s.stance < voice.stance {
            format!(", elsewhere {}", word(s.stance).to_lowercase())
        } else {
            String::new()
        };
        let implied = if s.implied.is_some() { ", implied only" } else { "" };
        let bins = if s.not_about_bins.is_some() { ", not about bins" } else { "" };
        said.push(format!("{}{}{milder}{implied}{bins} [{}]", s.subject, grounds(s), s.source));
    }
    format!("{publisher}: {}", said.join("; "))
}
