//! What things come in, behind the words that say what else it held: tubs, bags, liners.

use super::amount::UnitWord;
use super::glossary::{AND, FOREIGN, FROM, OF, OR, TAIL};
use super::measure::Source;
use super::tokens::Kind;

impl Source<'_> {
    /// Behind "full" or "worth" where what holds a thing stands before it: "a carrier bag full", "two tubs' worth",
    /// "a bin liner, full of peelings".
    pub(super) fn past_full(&self, at: usize) -> usize {
        let comma = usize::from(self.token(at).kind == Kind::Comma && self.is(at + 2, OF));
        if matches!(self.lower_word(at + comma), "full" | "worth") { at + comma + 1 } else { at }
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
