//! Parts of so much of a whole: "potato peels from 2 kg potatoes", "peel and core of 4 apples".

use super::Splitter;
use super::draft::DraftName;
use crate::bag::glossary::{ARTICLE, DETERMINER, FROM, OF};
use crate::bag::measure::{Measured, Source};
use crate::bag::piece::Piece;
use crate::bag::{Named, PartId};

/// Words of a whole at most.
const LONGEST: usize = 3;
/// Bytes of a word that joins a whole and its part, at most: longer ones are no names.
const LONGEST_JOINED: usize = 64;

/// The amount of a whole as that of its part, or of what is a thing of its own: how much of that a measure of the
/// whole holds nobody says.
pub(super) fn of_whole(m: Measured, is_part: bool) -> Option<Measured> {
    (is_part || m.unit.is_none()).then_some(Measured { of_whole: is_part, ..m })
}

impl Source<'_> {
    /// Whether a thing comes from a whole, and if so, whether it is a part of it or a thing of its own.
    pub(super) fn comes_from(&self, thing: &Named, whole: &str) -> Option<bool> {
        if !self.lexicon.names(whole) {
            return None;
        }
        let name = self.without_part(&thing.name);
        // "carott peelings from 1 kg carrots"
        let slip = || self.lexicon.slip_of(name).is_some_and(|slip| self.lexicon.same(&slip.of, whole));
        let same = || if self.lexicon.names(name) { self.lexicon.same(name, whole) } else { slip() };
        if thing.part.is_some() && same() {
            return Some(true);
        }
        let own = self.lexicon.is_part_of(&thing.full, whole);
        (own || self.joins_part(&thing.full, whole)).then_some(!own)
    }

    /// "Kartoffelschalen": whether a word is the whole's name and a part's in one.
    fn joins_part(&self, word: &str, whole: &str) -> bool {
        if word.len() > LONGEST_JOINED || word.contains(' ') {
            return false;
        }
        let word = word.to_lowercase();
        let joined = |(stem, part): (&str, &str)| {
            self.said_part(part).is_some() && self.lexicon.names(stem) && self.lexicon.same(stem, whole)
        };
        (1..word.len()).filter_map(|at| word.split_at_checked(at)).any(joined)
    }
}

impl Splitter<'_> {
    /// Behind a thing that is part of a whole, "from" and so many of that whole ("eggshells from 6 eggs"): the amount,
    /// if it says one of the thing, and where to go on.
    pub(super) fn of_so_many(
        &self,
        piece: &Piece,
        words: &[usize],
        at: usize,
        to: usize,
        part: Option<PartId>,
    ) -> Option<(Option<Measured>, usize)> {
        let s = self.source;
        if !s.is(at, FROM | OF) {
            return None;
        }
        let text = |words: &[usize]| words.iter().map(|w| s.word(*w)).collect::<Vec<_>>().join(" ");
        let name = text(words.get(piece.name.0..piece.name.1)?);
        self.so_many(&Named { name, full: text(words), part: piece.part.or(part), ..Named::default() }, at + 1, to)
    }

    /// "2 satsumas' worth of peel": where to go on behind the part, which is added to the words.
    pub(super) fn worth_of_part(&mut self, at: usize) -> Option<usize> {
        let s = self.source;
        let [name @ .., worth] = self.words.as_slice() else { return None };
        if s.lower_word(*worth) != "worth" || !s.is(at, OF) {
            return None;
        }
        let part = s.part_word(&[at + 1])?;
        let whole = s.between(*name.first()?, *worth).trim_end_matches(['\'', '\u{2019}']);
        if !s.lexicon.has_part(whole, part) {
            return None;
        }
        self.words.pop();
        self.words.push(at + 1);
        Some(at + 2)
    }

    /// "Potato peelings (from 6 potatoes)", "eggshells, from 6 eggs": where to go on.
    pub(super) fn last_of_so_many(&mut self, at: usize, to: usize) -> Option<usize> {
        let last = self.drafts.last()?;
        let [only] = last.names.as_slice() else { return None };
        let (m, next) = self.so_many(&only.named, at, to)?;
        let last = self.drafts.last_mut().filter(|d| d.measured.amount.is_none() && d.measured.unit.is_none())?;
        last.measured = m.unwrap_or(last.measured);
        Some(next)
    }

    /// How many wholes are told from here on that a thing is part of.
    fn so_many(&self, thing: &Named, at: usize, to: usize) -> Option<(Option<Measured>, usize)> {
        let s = self.source;
        let (of, mut next) = s.measured(at);
        of.amount?;
        while s.is(next, OF | ARTICLE | DETERMINER) {
            next += 1;
        }
        let (is_part, end) = (next + 1..=to.min(next + LONGEST))
            .rev()
            .find_map(|end| s.comes_from(thing, s.between(next, end)).map(|is_part| (is_part, end)))?;
        Some((of_whole(of, is_part), end))
    }

    /// "Peels and tops from 5 carrots": the peels are of five, too.
    pub(super) fn share_whole(&mut self, name: &DraftName, m: &Measured) {
        let Some(last) = self.drafts.last_mut().filter(|_| m.of_whole) else { return };
        let same = |n: &DraftName| {
            n.named.part.is_some()
                && self.source.lexicon.same(self.source.without_part(&n.named.name), &name.named.name)
        };
        if last.measured.amount.is_none() && last.measured.unit.is_none() && last.names.iter().all(same) {
            last.measured = *m;
        }
    }
}
