//! What things come in, behind the words that say what else it held: tubs, bags, liners.

use super::amount::{Place, UnitWord, unit_word};
use super::glossary::{ADVERB, AND, ARTICLE, DETERMINER, FOREIGN, FROM, OF, OR, PLAIN, SIZE, TAIL, WITH};
use super::measure::Source;
use super::tokens::Kind;

impl Source<'_> {
    /// "tub", "bag", "pan": a word for what holds things, and is counted by.
    pub(super) fn is_holder(&self, at: usize) -> bool {
        unit_word(self.lower_word(at)).is_some_and(|unit| unit.place.holds())
    }

    /// Behind "full" or "worth" where what holds a thing stands before it: "a carrier bag full", "two tubs' worth",
    /// "a bin liner, full of peelings".
    pub(super) fn past_full(&self, at: usize) -> usize {
        let comma = usize::from(self.token(at).kind == Kind::Comma && self.is(at + 2, OF));
        let full = matches!(
            self.lower_word(at + comma),
            "full"
                | "worth"
                | "voll"
                | "lleno"
                | "llena"
                | "llenos"
                | "llenas"
                | "plein"
                | "pleine"
                | "pleins"
                | "pleines"
        );
        if full { at + comma + 1 } else { at }
    }

    /// "two ice cream tubs of", "bin liner full of", "(a carrier bag full)", "2 carrier bags leaves": what holds
    /// a thing, behind the words that say what else it held, and where to go on.
    pub(super) fn holder_of(&self, at: usize, numbered: bool) -> Option<(UnitWord, usize)> {
        let words = |i: &usize| (at..=*i).all(|k| self.is_word(k) && !self.is(k, OF | AND | OR));
        let held = |i: usize| {
            let (word, next) =
                self.unit_at(i, true).filter(|(word, _)| word.place.holds() || word.unit.name == "cup")?;
            let of = self.past_full(next);
            let full = of > next;
            let food = |to: usize| self.lexicon.names_food(self.between(at, to));
            let joined = self.is(of, OF) && !self.is(of, FOREIGN) && !food(i + 1);
            // "2 juice boxes apple" are the boxes.
            let carries = || self.lower_word(i).ends_with('s') && !food(i) && !food(i + 1);
            let fits = match (full, numbered) {
                (true, true) => joined || !self.is_word(of),
                (true, false) => joined,
                (false, true) => joined || carries() && self.is_named(at, next),
                (false, false) => false,
            };
            fits.then_some((word, of))
        };
        (at + 1..at + 3).take_while(words).find_map(held)
    }

    /// "a bowl with salad", "eine Tüte mit Schalen": whether "with" and what is eaten, or a part of it, stand here.
    pub(super) fn holds_food(&self, unit: UnitWord, at: usize) -> bool {
        // A cake or a roll is a measure too, and what it is with is on it; an envelope is a thing.
        let holder = unit.place == Place::Packaging || matches!(unit.unit.name, "bowl" | "bucket" | "caddy");
        if !holder || self.lexicon.names(unit.unit.name) || !self.is(at, WITH) {
            return false;
        }
        let small = |i: &usize| {
            self.is(*i, ARTICLE | DETERMINER | PLAIN | SIZE | ADVERB) || self.phrase_at(*i, i + 1).1.state()
        };
        let from = (at + 1..at + 5).find(|i| !small(i)).unwrap_or(at + 1);
        let food = || (from + 1..from + 4).any(|to| self.lexicon.names_food(self.between(from, to)));
        self.part_word(&[from]).is_some() || food()
    }

    /// Whether the words from `next` on name what such a thing holds, and do not begin before them.
    fn is_named(&self, at: usize, next: usize) -> bool {
        let ends = |i: &usize| !self.is_word(*i) || self.is(*i, AND | OR | FROM | TAIL);
        let end = (next..next + 4).find(ends).unwrap_or(next + 4);
        let name = self.between(next, end.max(next + 1));
        // Two pizza boxes cardboard are boxes.
        let held = || !["paper", "packaging"].iter().any(|kind| self.lexicon.akin(name, kind));
        end > next && self.lexicon.names(name) && !self.lexicon.names(self.between(at, end)) && held()
    }
}
