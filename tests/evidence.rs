//! The base book against the publications it rests on: whoever avoids a thing by name.

#![allow(clippy::panic, clippy::unwrap_used, missing_docs, reason = "tests")]

use forefeed::judge::{Setting, Verdict};
use forefeed::knowledge::{Known, Stance, Statement};
use forefeed::language::{Demand, Rule, Side, SubjectSet, When, Who};
use forefeed::{Household, check};
use std::collections::{BTreeMap, BTreeSet};

fn home(stance: Side) -> Household {
    let setting = Setting { stance: Some(stance), ..Setting::on(forefeed::judge::examples::DAY) };
    match forefeed::open(&[], setting) {
        Ok((home, _)) => home,
        Err(unopened) => panic!("{}", unopened.faults),
    }
}

fn verdict(home: &Household, line: &str) -> Verdict {
    check(line.as_bytes(), home).judged.iter().map(|j| j.verdict).max().unwrap_or(Verdict::Feed)
}

/// Classes with the publishers of guidance that avoid and accept them, strictest stance of each, as
/// counted over 64 guidance publications; and a line of the class.
const CLASSES: &[(&str, usize, usize, &[&str])] = &[
    ("meat, fish and bones", 26, 0, &["meat", "raw fish", "bones", "chicken skin", "poultry", "animal fat"]),
    ("dairy", 23, 0, &["dairy", "milk", "butter", "cheese"]),
    (
        "oil, fat and greasy food",
        21,
        0,
        &["oil", "cooking fat", "butter", "mayonnaise", "salad dressing", "greasy food"],
    ),
    ("pet waste", 8, 0, &["pet waste", "dog poo", "cat litter"]),
    ("glossy paper", 10, 0, &["glossy paper", "glossy magazine"]),
];

#[test]
fn what_three_publishers_avoid_and_none_accepts_is_kept_out() {
    let home = home(Side::Strict);
    let mut mild = Vec::new();
    for (class, avoid, accept, lines) in CLASSES {
        assert!(*avoid >= 3 && *accept == 0, "{class}");
        mild.extend(lines.iter().filter(|l| verdict(&home, l) != Verdict::KeepOut).map(|l| format!("{class}: {l}")));
    }
    assert!(mild.is_empty(), "{}", mild.join("\n"));
}

/// For every kind or item that statements of guidance speak of: the voices that accept, limit and avoid it.
fn voices(home: &Household) -> BTreeMap<String, [BTreeSet<String>; 3]> {
    let mut out: BTreeMap<String, [BTreeSet<String>; 3]> = BTreeMap::new();
    for s in home.known.statements() {
        let Some(about) = &s.about else { continue };
        let Some(publication) = home.known.publication(&s.source) else { continue };
        let aside = s.implied.is_some() || s.not_about_bins.is_some() || !s.states.is_empty();
        if publication.group != "guidance" || aside {
            continue;
        }
        let slot = match s.stance {
            Stance::Accept => 0,
            Stance::Limit => 1,
            Stance::Avoid => 2,
        };
        if let Some(set) = out.entry(about.clone()).or_default().get_mut(slot) {
            set.insert(publication.voice.clone());
        }
    }
    out
}

#[test]
fn the_same_follows_from_the_statements_themselves() {
    let home = home(Side::Strict);
    let mut mild = Vec::new();
    let mut tried = 0;
    for (about, [accept, limit, avoid]) in voices(&home) {
        if avoid.len() < 3 || !accept.is_empty() || !limit.is_empty() {
            continue;
        }
        tried += 1;
        let got = verdict(&home, &about);
        if got != Verdict::KeepOut {
            mild.push(format!("{about}: {got:?}, avoided by {avoid:?}"));
        }
    }
    assert!(tried >= 4, "{tried}");
    assert!(mild.is_empty(), "{}", mild.join("\n"));
}

#[test]
fn citrus_onion_and_garlic_are_a_little_and_print_is_stricter() {
    let (lenient, strict) = (home(Side::Lenient), home(Side::Strict));
    for line in ["orange peel", "lemon halves", "onion skins", "garlic cloves"] {
        assert_eq!(verdict(&lenient, line), Verdict::Limit, "{line}");
        assert_eq!(verdict(&strict, line), Verdict::KeepOut, "{line}");
        let screen = forefeed::report::check::screen(&check(line.as_bytes(), &lenient), &lenient, 80, false);
        assert!(screen.to_lowercase().contains("never"), "a word that print is stricter is missing:\n{screen}");
    }
}

/// Subjects where the book differs from the majority of three or more voices, each with its reason.
const DIFFERS: &[(&str, &str)] =
    &[("grass clippings", "asked first whether the lawn was sprayed; unsprayed ones go in")];

#[test]
fn the_easy_side_follows_the_majority() {
    let home = home(Side::Lenient);
    let mut against = Vec::new();
    let mut tried = 0;
    for (about, [accept, limit, avoid]) in voices(&home) {
        let all = accept.len() + limit.len() + avoid.len();
        if all < 3 || DIFFERS.iter().any(|(d, _)| *d == about) {
            continue;
        }
        tried += 1;
        let got = verdict(&home, &about);
        let fed = matches!(got, Verdict::Feed | Verdict::Prepare | Verdict::Limit);
        if avoid.len() * 4 >= all * 3 && got == Verdict::Feed {
            against.push(format!("{about}: feed, {} of {all} avoid it", avoid.len()));
        }
        if accept.len() * 2 > all && !fed {
            against.push(format!("{about}: {got:?}, {} of {all} accept it", accept.len()));
        }
    }
    assert!(tried >= 12, "{tried}");
    assert!(against.is_empty(), "{}", against.join("\n"));
}

/// How strong a rule must be, by what the publications it cites say of its subject.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord, Clone, Copy)]
enum Strength {
    Open,
    Little,
    Out,
}

/// The method (DEVELOPERS.md, "How strong a rule is"), from how many voices accept, limit and avoid:
/// lenient and strict.
fn by_method([accept, limit, avoid]: [usize; 3]) -> Option<(Strength, Strength)> {
    use Strength::{Little, Open, Out};
    let milder = accept + limit;
    match (accept, limit, avoid) {
        (0, 0, 0) => None,
        (_, 0, 0) => Some((Open, Open)),
        (_, _, 0) => Some((if accept > limit { Open } else { Little }, Little)),
        _ if milder == 0 => Some((Out, Out)),
        _ => Some((
            if accept >= 2 * avoid { Open } else { Little },
            if avoid == 1 && milder >= 3 { Little } else { Out },
        )),
    }
}

fn strength(rule: &Rule, side: Side) -> Strength {
    rule.demands(side)
        .map(|d| match d {
            Demand::KeepOut => Strength::Out,
            Demand::Allow(_) => Strength::Little,
            _ => Strength::Open,
        })
        .max()
        .unwrap_or(Strength::Open)
}

/// Whether a rule says that a sort of thing may go in, a little of it or none; not how to prepare or pace it.
fn says_whether(rule: &Rule) -> bool {
    let mut demands = rule.demands(Side::Strict).chain(rule.demands(Side::Lenient));
    let narrow = matches!(rule.subject(), Who::Scraps(set) if !set.is_any());
    narrow && demands.any(|d| matches!(d, Demand::KeepOut | Demand::Allow(_) | Demand::Welcome))
}

/// Whether a rule's subject holds what a statement is about: the item, or all of a kind that is no item.
fn speaks_of(subject: &SubjectSet, about: &str, known: &Known) -> bool {
    match (known.item_named(about), known.kind_named(about)) {
        (Some(item), _) => subject.holds(item, None, known),
        (None, Some(kind)) => {
            let mut of_kind = known.items().filter(|(i, _)| known.kinds_of(*i).contains(&kind));
            of_kind.all(|(i, _)| subject.holds(i, None, known))
        }
        (None, None) => false,
    }
}

/// The states that a condition is about, if it is about nothing else: any one of them.
fn states(when: &When, known: &Known) -> Option<Vec<String>> {
    match when {
        When::State(state) => Some(vec![known.vocabulary().state_name(*state).to_string()]),
        When::Or(all) => all.iter().map(|w| states(w, known)).collect::<Option<Vec<_>>>().map(|all| all.concat()),
        _ => None,
    }
}

/// Rules that say something else than the method, each with its reason.
const OWN_MIND: &[(&str, &str)] = &[
    ("peat", "the one voice that limits it wants it mixed, which the rule advises; bedding has no cap of its own"),
    ("snack-food", "its one voice speaks of potato chips, which their fat and salt keep out in either stance"),
];

#[test]
fn a_rule_is_as_strong_as_its_sources_say() {
    let home = home(Side::Lenient);
    let known = &home.known;
    let mut other = Vec::new();
    let mut tried = 0;
    for (_, rule) in home.book.iter().filter(|(_, r)| says_whether(r)) {
        let Who::Scraps(subject) = rule.subject() else { continue };
        let Some(states) = rule.when.as_ref().map_or(Some(Vec::new()), |when| states(when, known)) else { continue };
        let cited = |s: &&Statement| {
            let cited = rule.sources().iter().chain(rule.disputed_by()).any(|c| *c == s.source);
            let of_it =
                if states.is_empty() { s.states.is_empty() } else { s.states.iter().any(|s| states.contains(s)) };
            cited && of_it && s.implied.is_none() && s.not_about_bins.is_none()
        };
        let nearest = |s: &&Statement| s.about.as_ref().is_some_and(|about| speaks_of(subject, about, known));
        let all: Vec<&Statement> = known.statements().iter().filter(cited).collect();
        let mut spoken: Vec<&Statement> = all.iter().copied().filter(nearest).collect();
        if spoken.is_empty() && !states.is_empty() {
            spoken = all.into_iter().filter(|s| s.about.is_none()).collect();
        }
        let mut said: BTreeMap<&str, usize> = BTreeMap::new();
        for s in spoken {
            let Some(publication) = known.publication(&s.source).filter(|p| p.group == "guidance") else { continue };
            let level = match s.stance {
                Stance::Accept => 0,
                Stance::Limit => 1,
                Stance::Avoid => 2,
            };
            let slot = said.entry(publication.voice.as_str()).or_default();
            *slot = level.max(*slot);
        }
        let count = |l: usize| said.values().filter(|v| **v == l).count();
        let voices = [count(0), count(1), count(2)];
        let Some((lenient, strict)) = by_method(voices) else { continue };
        tried += 1;
        let got = (strength(rule, Side::Lenient), strength(rule, Side::Strict));
        let milder = got.0 < lenient || got.1 < strict;
        let otherwise = if rule.common_practice { milder } else { got != (lenient, strict) };
        if otherwise != OWN_MIND.iter().any(|(name, _)| *name == rule.name) {
            other.push(format!("{}: {got:?}, the method says {:?} of {voices:?}", rule.name, (lenient, strict)));
        }
    }
    assert!(tried >= 30, "{tried}");
    assert!(other.is_empty(), "{}", other.join("\n"));
}

#[test]
fn every_statement_is_about_something_that_there_is() {
    let (known, _, _) = Known::base();
    let kinds: BTreeSet<&str> = known.kinds().map(|(_, k)| k.name.as_str()).collect();
    let lost: BTreeSet<&str> = known
        .statements()
        .iter()
        .filter_map(|s| s.about.as_deref())
        .filter(|a| !kinds.contains(a) && known.item_named(a).is_none())
        .collect();
    assert!(lost.is_empty(), "{lost:?}");
    let v = known.vocabulary();
    let said: BTreeSet<&str> = known.statements().iter().flat_map(|s| &s.states).map(String::as_str).collect();
    assert!(said.len() >= 3 && said.iter().all(|s| v.state(s).is_some()), "{said:?}");
}
