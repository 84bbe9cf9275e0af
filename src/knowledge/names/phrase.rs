//! Finding a name of several words by its likeness: which of them are strange, and what those may have meant.

use super::head::parting;
use super::keys::{Sort, key};
use super::ladder::{Answer, Asked};
use super::query::Query;
use super::similar::{BY_LETTERS, MARGIN, Rated, Written, meaning};
use super::{Names, Spellings};
use crate::bag::Said;
use crate::knowledge::normal::MOST_WORDS;
use crate::knowledge::slips::Near;
use crate::knowledge::{Known, Language, Rung};

/// Likely readings of one strange word that are tried in a phrase.
const TRIED: usize = 6;
/// Letters that a state or a part has at least to be seen through a slip beside a name.
const LABEL: usize = 5;
/// Strange words of a phrase that are mended together.
const MENDED: usize = 2;

impl Names {
    /// Whether a word of a phrase is known to nobody.
    pub(super) fn strange(&self, q: &Query, i: usize) -> bool {
        let word = q.f.word(i);
        // A participle or an adverb beside a name is a word of its own more often than a slip.
        let verbal = word.len() > 4 && (word.ends_with(b"ed") || word.ends_with(b"ing") || word.ends_with(b"ly"));
        !q.info(i).known() && parting(word).is_none() && word.len() > 1 && (!verbal || self.near_a_label(word, 0))
    }

    /// Whether a word is one slip from one of so many letters that says a state or a part ("coocked").
    fn near_a_label(&self, word: &[u8], least: usize) -> bool {
        let Spellings { slips, .. } = &*self.spellings;
        let mut near: Vec<Near> = Vec::new();
        slips.near(word, 1, &mut near);
        near.iter().any(|n| self.says(n.word) && slips.word(n.word).len() >= least)
    }

    /// "Wiltd", "chopt", "rhinds": a slip away from a word that says how a thing is or which part of
    /// it, by letters or by sound.
    pub(super) fn like_a_label(&self, word: &[u8]) -> bool {
        let sounded = word.strip_suffix(b"t").map(|stem| [stem, b"ed"].concat());
        [Some(word), sounded.as_deref()].into_iter().flatten().any(|w| self.near_a_label(w, LABEL))
    }

    /// What a strange word of a phrase may have meant, the likeliest first.
    fn meant_by(&self, word: &[u8]) -> Vec<(u16, u8, u32)> {
        let written = Written::of(word);
        let mut near: Vec<Near> = Vec::new();
        self.spellings.slips.near(word, BY_LETTERS.into(), &mut near);
        let by_ear = near.iter().all(|n| n.edits > 1);
        let mut list: Vec<(u16, u8, u32)> =
            near.iter().map(|m| (m.word, m.edits, self.cost_of(&written, m.word, m.edits, by_ear))).collect();
        if by_ear {
            for (word, c) in self.heard_words(&written, true) {
                match list.iter_mut().find(|l| l.0 == word) {
                    Some(l) => l.2 = l.2.min(c),
                    None => list.push((word, BY_LETTERS + 1, c)),
                }
            }
        }
        list.sort_unstable_by_key(|(id, _, c)| (*c, *id));
        list
    }

    /// A phrase with strange words in it: as a name with slips in those words, else the strange
    /// words that are plain slips are mended and the head noun sought.
    pub(super) fn similar_phrase(&self, q: &Query, language: Option<Language>, known: &Known) -> Option<Answer> {
        let n = q.count();
        let strange: Vec<usize> = (0..n).filter(|i| self.strange(q, *i) && q.f.word(*i).len() > 2).collect();
        let mut reach: Vec<Rated> = Vec::new();
        if strange.is_empty() || strange.len() > MENDED {
            return self.beside_strange(q, language, reach, known);
        }
        // For every strange word, what it may have meant, the likeliest first.
        let mut meant: Vec<Vec<(u16, u8, u32)>> = Vec::with_capacity(strange.len());
        for i in &strange {
            let word = q.f.word(*i);
            let list = self.meant_by(word);
            // What plainly says a part or a state of the thing before it ("pepper seads") names nothing else.
            // "bananna peals" are of a banana, too.
            let before = strange.first().filter(|first| (**first, *i) == (0, 1)).and(meant.first());
            let mended = before.and_then(|list| self.plain_slip(list, q.f.word(0).len()));
            let of_a_thing = self.span(q, 0, *i, Language::En, 1, false).is_some()
                || mended.is_some_and(|id| self.rows_of(usize::from(id)).len() > 0);
            if !(of_a_thing && self.plain_slip(&list, word.len()).is_some_and(|id| self.says(id))) {
                reach.extend(
                    list.iter()
                        .flat_map(|(id, edits, c)| self.rows_of(usize::from(*id)).map(move |row| (row, *edits, *c))),
                );
            }
            meant.push(list);
        }
        let mut rated: Vec<Rated> = Vec::new();
        let mut raw = q.raw;
        let mut english = q.english;
        self.mend(q, &strange, &meant, (0, 0, 0), (&mut raw, &mut english), language, &mut rated);
        // "rice coked": what plainly says a state of the thing before it makes no rice cake of it.
        let says = |(i, list): (&usize, &Vec<(u16, u8, u32)>)| {
            let word = self.plain_slip(list, q.f.word(*i).len()).filter(|id| self.says(*id));
            word.and(list.first()).map(|(_, _, c)| *c)
        };
        let said = strange.iter().zip(&meant).map(says).sum::<Option<u32>>();
        let cheapest = rated.iter().map(|r| r.2).min().unwrap_or(u32::MAX);
        if !rated.is_empty() && said.is_none_or(|c| c.saturating_add(MARGIN) > cheapest) {
            if let Some(mut a) = self.choose(rated, &[], q.f.text().len()) {
                a.near.extend(reach);
                return Some(a);
            }
        }
        let mut text = String::new();
        let mut mended: Vec<usize> = Vec::new();
        for i in 0..n {
            if i > 0 {
                text.push(' ');
            }
            let list = strange.iter().position(|s| *s == i).and_then(|k| meant.get(k));
            match list.and_then(|l| self.plain_slip(l, q.f.word(i).len())) {
                Some(id) => {
                    text.push_str(&String::from_utf8_lossy(self.spellings.slips.word(id)));
                    mended.push(i);
                }
                None => text.push_str(q.f.phrase(i, i + 1)),
            }
        }
        if mended.is_empty() {
            return self.beside_strange(q, language, reach, known);
        }
        let better = Query::of(self, &text);
        let read = language.unwrap_or(Language::En);
        let h = self.head(&better, read)?;
        let mut said = Said::default();
        let mut part = None;
        for i in mended.iter().filter(|i| !(h.from..h.to).contains(i)) {
            let (meant, other) = meaning(better.f.phrase(*i, *i + 1), known);
            said = Said { yes: said.yes | meant.yes, no: said.no | meant.no };
            part = part.or(other);
        }
        // A head that was right all along needs no mending of the words beside it; what they say counts.
        if !mended.iter().any(|i| (h.from..h.to).contains(i)) {
            let mut a = self.beside_strange(q, language, reach, known)?;
            a.said = said;
            a.part = a.part.or(part);
            return Some(a);
        }
        let mut a = self.headed(h, &Asked { part, ..Asked::of(&better, language, known) }, read);
        a.said = said;
        a.rung = Some(Rung::Similar);
        a.confidence = (a.confidence - 0.1).max(0.1);
        a.near.extend(reach);
        Some(a)
    }

    /// Tries the likeliest readings of the strange words as parts of one name.
    #[allow(
        clippy::too_many_arguments,
        reason = "a recursion over the strange words carries its place, its sums and its scratch"
    )]
    fn mend(
        &self,
        q: &Query,
        strange: &[usize],
        meant: &[Vec<(u16, u8, u32)>],
        (at, edits, c): (usize, u8, u32),
        (raw, english): (&mut [u64; MOST_WORDS], &mut [u64; MOST_WORDS]),
        language: Option<Language>,
        rated: &mut Vec<Rated>,
    ) {
        let (Some(place), Some(list)) = (strange.get(at).copied(), meant.get(at)) else {
            let n = q.count();
            let hit = self.pick(key(Sort::Canonical, Language::En, english.get(..n).unwrap_or(&[])), Language::En);
            let abroad = |l: Language| self.pick(key(Sort::Folded, l, raw.get(..n).unwrap_or(&[])), l);
            if let Some(hit) = hit.or_else(|| language.filter(|l| *l != Language::En).and_then(abroad)) {
                rated.push((hit.row, edits, c + self.foreign(hit.row, language)));
            }
            return;
        };
        for (word, e, more) in list.iter().take(TRIED) {
            let Some((r, s)) = self.spellings.slip_hashes.get(usize::from(*word)) else { continue };
            if let (Some(a), Some(b)) = (raw.get_mut(place), english.get_mut(place)) {
                (*a, *b) = (r, s);
            }
            self.mend(q, strange, meant, (at + 1, edits.saturating_add(*e), c + more), (raw, english), language, rated);
        }
    }

    /// The word that a strange one plainly is, if it is one.
    fn plain_slip(&self, list: &[(u16, u8, u32)], len: usize) -> Option<u16> {
        let (id, _, c) = *list.first()?;
        let next = list.iter().find(|(other, _, _)| !self.same_word(*other, id)).map_or(u32::MAX, |l| l.2);
        let limit = match len {
            0..=3 => 0,
            4 | 5 => 110,
            _ => 150,
        };
        (c <= limit && next.saturating_sub(c) >= MARGIN).then_some(id)
    }

    fn same_word(&self, a: u16, b: u16) -> bool {
        let english = |w: u16| self.spellings.slip_hashes.get(usize::from(w)).map(|h| h.1);
        english(a) == english(b)
    }

    /// A head noun beside words that nobody knows: what those may have meant stays within reach
    /// where one letter would do.
    fn beside_strange(
        &self,
        q: &Query,
        language: Option<Language>,
        reach: Vec<Rated>,
        known: &Known,
    ) -> Option<Answer> {
        let read = language.unwrap_or(Language::En);
        let h = self.head(q, read)?;
        let mut a = self.headed(h, &Asked::of(q, language, known), read);
        a.near.extend(reach.into_iter().filter(|r| r.1 <= 1));
        Some(a)
    }
}
