//! The words of states and parts: what each is called, implies and excludes.
//!
//! Read from `rules/states.yaml` and `rules/parts.yaml`, so that the reader, the judge and the
//! rule language speak of the same states. The glossary goes with them, for whoever reads lines.

use super::glossary::Glossary;
use crate::flat::{Keys, Late, Stock, hash};
use serde::Deserialize;
use std::collections::BTreeMap;

/// What a word or phrase of the vocabulary says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Meaning {
    /// A state, said (`true`) or denied.
    State(StateId, bool),
    /// A part.
    Part(PartId),
}

/// A phrase of the vocabulary behind its first word.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Phrase {
    /// Its other words, lower case.
    pub rest: Vec<Box<str>>,
    /// What it says.
    pub meaning: Meaning,
}

/// A state by its place in the vocabulary; below 64.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub struct StateId(pub u8);

impl StateId {
    /// The state's bit in a set of states.
    pub fn bit(self) -> u64 {
        1u64.checked_shl(u32::from(self.0)).unwrap_or(0)
    }
}

/// A part by its place in the vocabulary; below 32.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub struct PartId(pub u8);

/// States that were said and states that were denied, as sets of bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, serde::Serialize, serde::Deserialize)]
pub struct Said {
    /// States said to hold.
    pub yes: u64,
    /// States said not to hold.
    pub no: u64,
}

impl Said {
    /// Notes a state as said (`true`) or denied.
    pub fn say(&mut self, state: StateId, holds: bool) {
        if holds {
            self.yes |= state.bit();
        } else {
            self.no |= state.bit();
        }
    }
}

/// Whether a person can bring a state about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Sort {
    /// A person can do it: chop, freeze, rinse.
    Preparation,
    /// It is so or not: mouldy, sprayed.
    Condition,
}

/// One state.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct State {
    /// Its name.
    pub name: String,
    /// Preparation or condition.
    pub sort: Sort,
    /// All states it brings with it, itself among them, as bits (transitive).
    pub implies: u64,
    /// States that cannot hold beside it, as bits (symmetric).
    pub excludes: u64,
    /// Other ways to write it.
    pub(crate) words: Late<Vec<String>>,
    /// Ways to write that it does not hold.
    pub(crate) not_words: Late<Vec<String>>,
    /// Items and kinds that a whole no longer includes once it holds (pitted: the pit), by name.
    pub takes_out: Vec<String>,
}

/// One part.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Part {
    /// Its name.
    pub name: String,
    /// Other ways to write it.
    pub(crate) words: Late<Vec<String>>,
}

impl State {
    /// Its name and every other way to write it.
    pub fn ways(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.name.as_str()).chain(self.words.iter().map(String::as_str))
    }
}

impl Part {
    /// Its name and every other way to write it.
    pub fn ways(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.name.as_str()).chain(self.words.iter().map(String::as_str))
    }
}

/// All states and parts.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Vocabulary {
    states: Vec<State>,
    parts: Vec<Part>,
    /// By the hash of their first word, the places of phrases.
    index: Keys<u32>,
    /// The part that is no part.
    pub(crate) whole: Option<PartId>,
    /// The states of what is raw and what is cooked.
    pub(crate) raw_cooked: Option<(StateId, StateId)>,
    phrases: Stock<Vec<Phrase>>,
    /// What all other words do in a line.
    pub(crate) glossary: Glossary,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StateEntry {
    state: String,
    sort: Sort,
    #[serde(default)]
    implies: Vec<String>,
    #[serde(default)]
    excludes: Vec<String>,
    #[serde(default)]
    words: Vec<String>,
    #[serde(default, rename = "not words")]
    not_words: Vec<String>,
    #[serde(default, rename = "takes out")]
    takes_out: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PartEntry {
    part: String,
    #[serde(default)]
    words: Vec<String>,
}

impl Vocabulary {
    /// Reads the two YAML texts; the glossary goes with them.
    ///
    /// # Errors
    /// A sentence naming the fault: broken YAML, a key nobody knows, a state that implies or
    /// excludes one that does not exist, more than 64 states or 32 parts, a doubled name.
    pub fn load(states_yaml: &str, parts_yaml: &str, glossary: Glossary) -> Result<Self, String> {
        let states: Vec<StateEntry> = serde_yaml::from_str(states_yaml).map_err(|e| format!("states.yaml: {e}"))?;
        let parts: Vec<PartEntry> = serde_yaml::from_str(parts_yaml).map_err(|e| format!("parts.yaml: {e}"))?;
        if states.len() > 64 || parts.len() > 32 {
            return Err(format!("{} states (64 at most), {} parts (32 at most)", states.len(), parts.len()));
        }
        let find = |name: &str| {
            let at = states.iter().position(|s| s.state == name);
            at.and_then(|i| u8::try_from(i).ok())
                .map(StateId)
                .ok_or_else(|| format!("states.yaml: no state \"{name}\""))
        };
        let bits = |names: &[String]| names.iter().try_fold(0u64, |acc, n| find(n).map(|s| acc | s.bit()));
        let mut out = Vec::with_capacity(states.len());
        for s in &states {
            out.push(State {
                name: s.state.clone(),
                sort: s.sort,
                implies: find(&s.state)?.bit() | bits(&s.implies)?,
                excludes: bits(&s.excludes)?,
                words: s.words.clone().into(),
                not_words: s.not_words.clone().into(),
                takes_out: s.takes_out.clone(),
            });
        }
        close(&mut out);
        let parts: Vec<Part> = parts.into_iter().map(|p| Part { name: p.part, words: p.words.into() }).collect();
        let (mut keys, mut phrases) = (Vec::new(), Stock::default());
        for (at, (first, all)) in index(&out, &parts).into_iter().enumerate() {
            keys.push((hash(first.as_bytes()), u32::try_from(at).unwrap_or(u32::MAX)));
            phrases.push(all);
        }
        let index = Keys::build(keys);
        let mut all = Vocabulary { states: out, parts, index, phrases, glossary, ..Vocabulary::default() };
        all.whole = all.part("whole");
        all.raw_cooked = all.state("raw").zip(all.state("cooked"));
        Ok(all)
    }

    /// The phrases that begin with this lower-case word, longest first; a state stands before a
    /// part of the same length.
    pub fn phrases(&self, first: &str) -> &[Phrase] {
        let at = self.index.get(hash(first.as_bytes())).next();
        at.and_then(|at| self.phrases.get(at as usize)).map_or(&[], Vec::as_slice)
    }

    /// All states in order.
    pub fn states(&self) -> impl Iterator<Item = (StateId, &State)> {
        self.states.iter().enumerate().map(|(i, s)| (StateId(u8::try_from(i).unwrap_or(u8::MAX)), s))
    }

    /// All parts in order.
    pub fn parts(&self) -> impl Iterator<Item = (PartId, &Part)> {
        self.parts.iter().enumerate().map(|(i, p)| (PartId(u8::try_from(i).unwrap_or(u8::MAX)), p))
    }

    /// A state by its name.
    pub fn state(&self, name: &str) -> Option<StateId> {
        self.states().find(|(_, s)| s.name == name).map(|(id, _)| id)
    }

    /// A part by its name.
    pub fn part(&self, name: &str) -> Option<PartId> {
        self.parts().find(|(_, p)| p.name == name).map(|(id, _)| id)
    }

    /// What stands behind a state id.
    pub fn state_of(&self, id: StateId) -> Option<&State> {
        self.states.get(usize::from(id.0))
    }

    /// A state's name; empty for an id of another vocabulary.
    pub fn state_name(&self, id: StateId) -> &str {
        self.state_of(id).map_or("", |s| s.name.as_str())
    }

    /// A part's name; empty for an id of another vocabulary.
    pub fn part_name(&self, id: PartId) -> &str {
        self.parts.get(usize::from(id.0)).map_or("", |p| p.name.as_str())
    }

    /// The names of the states in a set of bits, in the vocabulary's order.
    pub fn names_of(&self, bits: u64) -> Vec<&str> {
        self.members(bits).map(|(_, s)| s.name.as_str()).collect()
    }

    /// The states of a set of bits.
    pub(crate) fn members(&self, bits: u64) -> impl Iterator<Item = (StateId, &State)> {
        let next = |left: &u64| Some(left & left.wrapping_sub(1)).filter(|left| *left != 0);
        let ends = std::iter::successors(Some(bits).filter(|b| *b != 0), next);
        ends.filter_map(|left| {
            let at = left.trailing_zeros();
            Some((StateId(u8::try_from(at).ok()?), self.states.get(at as usize)?))
        })
    }

    /// The set with everything its members imply.
    pub fn implied_by(&self, bits: u64) -> u64 {
        self.members(bits).fold(bits, |acc, (_, s)| acc | s.implies)
    }

    /// Everything that some member of the set excludes.
    pub fn excluded_by(&self, bits: u64) -> u64 {
        self.members(bits).fold(0, |acc, (_, s)| acc | s.excludes)
    }

    /// The states that imply some member of the set: not frozen, so not thawed.
    pub fn implying(&self, bits: u64) -> u64 {
        if bits == 0 {
            return 0;
        }
        self.states().filter(|(_, s)| s.implies & bits != 0).fold(0, |acc, (id, _)| acc | id.bit())
    }
}

/// Every way of writing every state and part by its first word; hyphens may be written as spaces
/// and spaces as hyphens.
fn index(states: &[State], parts: &[Part]) -> BTreeMap<Box<str>, Vec<Phrase>> {
    let mut map: BTreeMap<Box<str>, Vec<Phrase>> = BTreeMap::new();
    let mut add = |text: &str, meaning: Meaning| {
        let lower = text.to_lowercase();
        for form in [lower.clone(), lower.replace('-', " "), lower.replace(' ', "-")] {
            let mut words = form.split_whitespace();
            let Some(first) = words.next() else { continue };
            let phrase = Phrase { rest: words.map(Into::into).collect(), meaning };
            let entry = map.entry(first.into()).or_default();
            if !entry.contains(&phrase) {
                entry.push(phrase);
            }
        }
    };
    for (i, s) in states.iter().enumerate() {
        let id = StateId(u8::try_from(i).unwrap_or(u8::MAX));
        s.words.iter().chain([&s.name]).for_each(|w| add(w, Meaning::State(id, true)));
        s.not_words.iter().for_each(|w| add(w, Meaning::State(id, false)));
    }
    for (i, p) in parts.iter().enumerate() {
        let id = PartId(u8::try_from(i).unwrap_or(u8::MAX));
        p.words.iter().chain([&p.name]).for_each(|w| add(w, Meaning::Part(id)));
    }
    for phrases in map.values_mut() {
        phrases.sort_by_key(|p| (std::cmp::Reverse(p.rest.len()), matches!(p.meaning, Meaning::Part(_))));
    }
    map
}

/// Makes `implies` transitive and `excludes` symmetric and inherited: what implies a state is
/// excluded by whatever excludes that state.
fn close(states: &mut [State]) {
    for _ in 0..states.len() {
        let before: Vec<u64> = states.iter().map(|s| s.implies).collect();
        for s in states.iter_mut() {
            s.implies = before
                .iter()
                .enumerate()
                .filter(|(i, _)| s.implies >> i & 1 == 1)
                .fold(s.implies, |acc, (_, b)| acc | b);
        }
    }
    let implies: Vec<u64> = states.iter().map(|s| s.implies).collect();
    let direct: Vec<u64> = states.iter().map(|s| s.excludes).collect();
    let excludes = |a: usize, b: usize| {
        let has = |set: u64, i: usize| set >> i & 1 == 1;
        (0..implies.len()).any(|x| {
            has(implies.get(a).copied().unwrap_or(0), x)
                && (0..implies.len()).any(|y| {
                    has(implies.get(b).copied().unwrap_or(0), y)
                        && (has(direct.get(x).copied().unwrap_or(0), y) || has(direct.get(y).copied().unwrap_or(0), x))
                })
        })
    };
    let n = states.len();
    for (a, s) in states.iter_mut().enumerate() {
        s.excludes = (0..n).filter(|b| excludes(a, *b)).fold(0, |acc, b| acc | 1 << b);
    }
}

/// Whether a name is written in the plural, as far as an "s" tells.
pub(crate) fn is_plural(name: &str) -> bool {
    let mut last = name.bytes().rev().map(|b| b.to_ascii_lowercase());
    name.len() > 3 && last.next() == Some(b's') && !matches!(last.next(), Some(b's' | b'u' | b'i'))
}

#[cfg(test)]
mod tests {
    use super::*;

    const STATES: &str = include_str!("../../rules/states.yaml");
    const PARTS: &str = include_str!("../../rules/parts.yaml");

    #[test]
    fn thawed_is_frozen_and_ground_is_broken() {
        let v = Vocabulary::load(STATES, PARTS, Glossary::default()).unwrap();
        let bit = |n: &str| v.state(n).unwrap().bit();
        assert_ne!(v.implied_by(bit("thawed")) & bit("frozen"), 0);
        assert_ne!(v.implied_by(bit("ground")) & bit("broken"), 0);
        assert_ne!(v.implying(bit("frozen")) & bit("thawed"), 0);
        assert_ne!(v.excluded_by(bit("raw")) & bit("fried"), 0, "fried is cooked, which raw excludes");
    }

    #[test]
    fn a_state_nobody_knows_is_refused() {
        let err =
            Vocabulary::load("- {state: a, sort: condition, implies: [b]}", "[]", Glossary::default()).unwrap_err();
        assert!(err.contains("no state \"b\""), "{err}");
    }
}
