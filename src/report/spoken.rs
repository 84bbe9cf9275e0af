//! What publications say of a thing, for people.
//!
//! Publishers are counted, not pages; science stands apart; what only follows from a text, or is
//! not about bins, is shown and not counted.

use super::things::{list, list_by, one, rules_row};
use super::{Ink, Page, Width, book, said, words};
use crate::Household;
use crate::judge::Verdict;
use crate::knowledge::{KindId, Known, Publication, Stance, Statement};
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
    /// What they say of a thing: its name, and the names that statements may speak of it by.
    Thing {
        /// As the knowledge base calls it.
        name: String,
        /// Its own name and those of its nearest kinds of which anything is said.
        names: Vec<String>,
        /// The rules in force that speak of it.
        rules: Vec<RuleId>,
        /// Its own verdict as a bare name, if it is an item.
        verdict: Option<Verdict>,
    },
    /// What they say of something that is no thing of ours ("mouldy").
    Words(String),
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
    if let Some(thing) = thing(home, &asked) {
        return Some(thing);
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

fn thing(home: &Household, asked: &str) -> Option<Asked> {
    let known = &home.known;
    let item =
        known.item_named(asked).or_else(|| if known.kind_named(asked).is_some() { None } else { one(home, asked) });
    if let Some(item) = item {
        let name = known.item_name(item).to_string();
        let bag = crate::check(name.as_bytes(), home);
        let verdict = bag.judged.first().filter(|_| bag.judged.len() == 1).map(|j| j.verdict);
        return Some(Asked::Thing {
            names: spoken_by(&name, known.item(item)?.is.clone(), known),
            name,
            rules: book::speaking_of(home, item),
            verdict,
        });
    }
    let kind = known.kind_named(asked)?;
    let broader = known.kind(kind)?.broader.clone();
    Some(Asked::Thing {
        name: asked.to_string(),
        names: spoken_by(asked, broader, known),
        rules: book::speaking_of_kind(home, kind),
        verdict: None,
    })
}

/// The names that statements may speak of a thing by: its own, and those of the nearest kinds of it
/// of which anything is said.
fn spoken_by(own: &str, mut level: Vec<KindId>, known: &Known) -> Vec<String> {
    let speaks = |name: &str| known.statements().iter().any(|s| s.about.as_deref() == Some(name));
    let mut names = vec![own.to_string()];
    let mut depth = 0;
    while !level.is_empty() && depth < 8 {
        let here: Vec<&str> =
            level.iter().filter_map(|k| known.kind(*k)).map(|k| k.name.as_str()).filter(|n| speaks(n)).collect();
        if !here.is_empty() {
            names.extend(here.into_iter().filter(|n| *n != own).map(String::from));
            break;
        }
        level = level.iter().filter_map(|k| known.kind(*k)).flat_map(|k| k.broader.clone()).collect();
        depth += 1;
    }
    names
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
            Asked::Thing { names, .. } => s.about.as_ref().is_some_and(|a| names.contains(a)),
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
            Asked::Thing { .. } | Asked::Words(_) => statements.iter().any(|s| s.source == p.id),
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
            opinions(&words::clipped(words, 40), home, &statements, &mut page);
            page.blank();
            let rules: Vec<RuleId> = book::matching(home, words)
                .into_iter()
                .filter(|id| home.book.rule(*id).is_some_and(|r| r.live))
                .collect();
            rules_row(&rules, home, &mut page);
        }
        Asked::Thing { name, names, rules, verdict } => {
            opinions(name, home, &statements, &mut page);
            if let [_, kinds @ ..] = names.as_slice() {
                if !kinds.is_empty() && !statements.is_empty() {
                    page.row(
                        "COUNTED",
                        Ink::Quiet,
                        INDENT,
                        &format!("what they say of {name} and of {}", words::list(kinds, "and")),
                    );
                }
            }
            page.blank();
            if let Some(verdict) = verdict {
                page.row(
                    "BOOK",
                    Ink::Strong,
                    INDENT,
                    &format!("{} (judged by itself, on the side you take)", words::outcome(Some(*verdict))),
                );
            }
            rules_row(rules, home, &mut page);
        }
    }
    page
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

fn opinions(name: &str, home: &Household, statements: &[&Statement], page: &mut Page) {
    let known = &home.known;
    let advice = voices(statements, known, false);
    page.headline(&format!("{}: {}", name.to_uppercase(), agreement(&advice)), Ink::Strong);
    rows(&advice, known, page);
    let science = voices(statements, known, true);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::Setting;

    #[test]
    fn publishers_are_counted_as_an_explanation_counts_them() {
        let (home, _) = crate::open(&[], Setting::on(jiff::civil::date(2026, 7, 1))).unwrap();
        for (id, item) in home.known.items().step_by(7) {
            let Some(Asked::Thing { names, .. }) = thing(&home, &item.name) else { panic!("{}", item.name) };
            let statements: Vec<&Statement> = home
                .known
                .statements()
                .iter()
                .filter(|s| s.about.as_ref().is_some_and(|a| names.contains(a)))
                .collect();
            let said = said::said_of(id, &home.known);
            for (science, tally) in [(false, said.guidance), (true, said.science)] {
                let mine = voices(&statements, &home.known, science);
                let count = |stance| mine.values().filter(|v| v.counted && v.stance == stance).count();
                assert_eq!(
                    (count(Stance::Accept), count(Stance::Limit), count(Stance::Avoid)),
                    (tally.accept, tally.limit, tally.avoid),
                    "{}",
                    item.name
                );
            }
        }
    }
}
