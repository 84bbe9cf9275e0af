//! Finding a name by its likeness: what a slip costs, one word, and a whole that is a name but for a letter.

use super::Names;
use super::ladder::Answer;
use super::query::{Frequent, Query};
use crate::bag::{Meaning, PartId, Said};
use crate::knowledge::hand::{PLAIN, cost};
use crate::knowledge::heard::{self, Sounds};
use crate::knowledge::slips::Near;
use crate::knowledge::{Identified, Known, Language, Rung};
use std::cell::OnceCell;
use std::cmp::Ordering;

/// What a foreign name costs more than an English one, when nobody asked for its language.
const FOREIGN: u32 = 80;
/// What a slip for a common word costs more than for a staple; limits reckon from common words.
const COMMON: u32 = 20;
/// How much cheaper a slip of several letters is that sounds like the word.
const SOUNDS: u32 = 25;
/// What words may cost in sounds and still be said the same.
const SAME_SOUND: u32 = 20;
/// What a state or a part written by ear costs beyond that: it seldom stands by itself.
const SAID_BY_EAR: u32 = 40;
/// What the sounds may cost where nothing is one slip away, for each of the outline's.
const EACH_SOUND: u32 = 16;
/// What a word may cost that is known by its sounds alone.
const HEARD_SO: u32 = 120;
/// Edits that a word is looked for by its letters; what is farther was found by its sounds.
pub(super) const BY_LETTERS: u8 = 2;
/// What a slip may cost and still be that, whatever else sounds like it.
const PLAINLY: u32 = 95;
/// What it costs beyond the sounds to have written a c that English softens for a hard one.
const HARD: u32 = 20;
/// What it costs to have written by ear, beyond the sounds that differ.
const BY_EAR: u32 = 35;
/// What a second edit costs beyond the letters it changes.
const FURTHER: u32 = 10;
/// What the second item of one spelling costs more than the first.
const SECOND: u32 = 60;
/// By how much a letter left out of a word of five is likelier than other slips of four letters.
const LEFT_OUT: u32 = 70;
/// What joining or parting words costs.
const SPACE: u32 = 30;
/// By how much one reading of a word must be cheaper than another to be plainly meant.
pub(super) const MARGIN: u32 = 15;
/// By how much the best item must be cheaper than the next if that is more edits away.
const AHEAD: u32 = 5;
/// How much more if that is as many edits away, and once more if it is fewer.
const NO_NEARER: u32 = 30;
/// How much less if a staple is the best: it is meant far more often than its neighbours.
const STAPLE: u32 = 25;
/// The place of common words in the tables of rarity; staples stand before it.
const IS_COMMON: u8 = 2;

/// How seldom a word is meant, as a place in the tables of what that costs: by how often kitchens
/// write it, else by whether it stands in several items' names.
pub(super) fn rarity(frequent: Frequent, items: u8) -> u8 {
    match (frequent, items) {
        (Frequent::Daily, _) => 0,
        (Frequent::Staple, _) => 1,
        (Frequent::Common, _) => IS_COMMON,
        (Frequent::Seldom, 2..) => 3,
        (Frequent::Seldom, _) => 4,
    }
}

/// Added to the place of a word that says a state or a part.
pub(super) const SAYS: u8 = 8;

/// What a slip of the hand costs more by how seldom the word is meant.
const BY_HAND: [u32; 5] = [0, 0, COMMON, 45, 50];
/// What a word written by ear costs more: who writes so writes of plain things.
const FROM_EAR: [u32; 5] = [0, 30, COMMON_FROM_EAR, 95, 110];
/// And a common one; limits reckon from those.
const COMMON_FROM_EAR: u32 = 50;

/// A word as it was written, and how it sounds once that is asked.
pub(super) struct Written<'a> {
    word: &'a [u8],
    heard: OnceCell<(Sounds, Sounds)>,
}

impl Written<'_> {
    pub(super) fn of(word: &[u8]) -> Written<'_> {
        Written { word, heard: OnceCell::new() }
    }

    fn heard(&self) -> &(Sounds, Sounds) {
        self.heard.get_or_init(|| {
            let sounds = Sounds::of(self.word);
            (sounds, sounds.outline())
        })
    }

    fn sounds(&self) -> &Sounds {
        &self.heard().0
    }

    fn outline(&self) -> &[u8] {
        self.heard().1.bytes()
    }
}

/// A row within reach: edits, and what the slip costs.
pub(super) type Rated = (u32, u8, u32);

impl Names {
    pub(super) fn foreign(&self, row: u32, language: Option<Language>) -> u32 {
        let read = self.row(row).language;
        if read == language.unwrap_or(Language::En) { 0 } else { FOREIGN }
    }

    /// What a slip for a word of `slips` costs: by the letters, or by ear if that is allowed and less.
    fn slip_cost(&self, written: &Written, word: u16, edits: u8, by_ear: bool) -> u32 {
        let meant = self.spellings.slips.word(word);
        let seen = cost(written.word, meant) + FURTHER * u32::from(edits.saturating_sub(1));
        if by_ear { seen.min(heard::cost(written.sounds(), &Sounds::of(meant)) + BY_EAR) } else { seen }
    }

    /// What it costs to have meant a word of `slips`: the slip itself, and how seldom the word is meant.
    pub(super) fn cost_of(&self, written: &Written, word: u16, edits: u8, by_ear: bool) -> u32 {
        if edits > 1 && by_ear {
            let slip = self.slip_cost(written, word, edits, true);
            return (slip + self.rarity_of(word, FROM_EAR)).saturating_sub(COMMON_FROM_EAR);
        }
        let slip = self.slip_cost(written, word, edits, false) + self.rarity_of(word, BY_HAND);
        let sounds_so = || self.spellings.heard.word(word) == written.outline();
        slip.saturating_sub(COMMON + if edits > 1 && sounds_so() { SOUNDS } else { 0 })
    }

    /// The place of a word of `slips` in the tables of rarity.
    fn place_of(&self, word: u16) -> u8 {
        self.spellings.rarities.get(usize::from(word)).map_or(IS_COMMON, |r| r & !SAYS)
    }

    fn rarity_of(&self, word: u16, costs: [u32; 5]) -> u32 {
        costs.get(usize::from(self.place_of(word))).copied().unwrap_or(COMMON)
    }

    /// The rows of one spelling. Where two items share it, the first is what the word itself is
    /// taken for, and the other stays within reach.
    fn rate(
        &self,
        rows: impl Iterator<Item = u32>,
        edits: u8,
        c: u32,
        language: Option<Language>,
        rated: &mut Vec<Rated>,
    ) {
        let mut first = None;
        for row in rows {
            let item = self.row(row).item;
            let second = if item == *first.get_or_insert(item) { 0 } else { SECOND };
            rated.push((row, edits, c + second + self.foreign(row, language)));
        }
    }

    /// One word by likeness: every spelling within two edits, then what sounds alike.
    pub(super) fn similar_word(&self, q: &Query, language: Option<Language>, known: &Known) -> Option<Answer> {
        let word = q.f.word(0);
        let len = word.len();
        let info = q.info(0);
        // A word that people use for something else is no slip of a name.
        if len < 3 || info.ordinary || info.packing || info.free() {
            return None;
        }
        let written = Written::of(word);
        let mut rated: Vec<Rated> = Vec::new();
        let mut near: Vec<Near> = Vec::new();
        let mut staples: Vec<u32> = Vec::new();
        // The nearest word that says a state or a part.
        let mut spoken: Option<(u16, u32)> = None;
        self.spellings.slips.near(word, 2, &mut near);
        let by_ear = !near.iter().any(|n| n.edits < 2 && self.rows_of(usize::from(n.word)).len() > 0);
        for n in &near {
            let rows = self.rows_of(usize::from(n.word));
            if rows.len() == 0 {
                if self.says(n.word) {
                    let seen = self.slip_cost(&written, n.word, n.edits, false);
                    let heard = self.slip_cost(&written, n.word, n.edits, n.edits > 1);
                    let c = seen.min(heard + SAID_BY_EAR);
                    if spoken.is_none_or(|(_, best)| c < best) {
                        spoken = Some((n.word, c));
                    }
                }
                continue;
            }
            let c = self.cost_of(&written, n.word, n.edits, by_ear);
            // Of four letters, one left out of five is likelier than another short word.
            let c = if len == 4 && self.spellings.slips.word(n.word).len() == 5 && n.edits == 1 {
                c.saturating_sub(LEFT_OUT)
            } else {
                c
            };
            if self.place_of(n.word) < IS_COMMON {
                staples.extend(rows.clone());
            }
            self.rate(rows, n.edits, c, language, &mut rated);
        }
        near.clear();
        self.spellings.joined.near(word, 1, &mut near);
        self.rate_joined(word, &near, language, &mut rated);
        near.clear();
        let asked = language.is_some_and(|l| l != Language::En);
        self.spellings.abroad.near(word, if asked { 2 } else { 1 }, &mut near);
        for n in &near {
            let c = cost(word, self.spellings.abroad.word(n.word)) + FURTHER * u32::from(n.edits.saturating_sub(1));
            let rows = self.rows_of(usize::from(n.word) + self.singles() + self.spellings.joined.count());
            self.rate(rows, n.edits, c, language, &mut rated);
        }
        let by_ear = by_ear && rated.iter().all(|r| r.1 > 1);
        if by_ear || rated.iter().all(|r| r.2 > PLAINLY) {
            self.rate_heard(&written, by_ear, language, &mut rated, &mut staples);
        }
        let named = self.choose(rated, &staples, len);
        let Some((id, c)) = spoken else { return named };
        let best = named.as_ref().and_then(|a| a.near.first()).map_or(u32::MAX, |r| r.2);
        let clear = if len > 4 { MARGIN } else { 4 * MARGIN };
        if c.saturating_add(clear) <= best && c <= PLAIN {
            // "froozen": nothing is named, and a state is said.
            let text = String::from_utf8_lossy(self.spellings.slips.word(id));
            let (meant, other) = meaning(&text, known);
            return Some(Answer { said: meant, part: other, ..Answer::unknown() });
        }
        named.map(|mut a| {
            if c < best {
                a.identified = Identified::Unsure;
                a.confidence = a.confidence.min(0.5);
            }
            a
        })
    }

    /// The words that sound like the written one, and what that costs: all of them where nothing is
    /// one slip away, else those that kitchens write often and that sound the same.
    pub(super) fn heard_words(&self, written: &Written, by_ear: bool) -> Vec<(u16, u32)> {
        let said = |sounds: &Sounds, outline: &[u8], more: u32| {
            let mut near: Vec<Near> = Vec::new();
            if outline.len() > 2 && written.word.len() > 4 {
                self.spellings.heard.near(outline, usize::from(by_ear), &mut near);
            }
            let most = if by_ear { EACH_SOUND * u32::try_from(outline.len()).unwrap_or(0) } else { SAME_SOUND };
            let known = near.iter().map(|n| n.word).filter(|w| by_ear || self.place_of(*w) <= IS_COMMON);
            known
                .filter_map(|word| {
                    let heard = more + heard::cost(sounds, &Sounds::of(self.spellings.slips.word(word)));
                    let c = heard + BY_EAR + self.rarity_of(word, FROM_EAR);
                    (heard <= most).then(|| (word, c.saturating_sub(COMMON_FROM_EAR)))
                })
                .collect::<Vec<_>>()
        };
        let mut all = said(written.sounds(), written.outline(), 0);
        if let Some(hard) = Sounds::hard(written.word).filter(|_| by_ear) {
            all.extend(said(&hard, hard.outline().bytes(), HARD));
        }
        all
    }

    /// Adds the names that sound like the written word.
    fn rate_heard(
        &self,
        written: &Written,
        by_ear: bool,
        language: Option<Language>,
        rated: &mut Vec<Rated>,
        staples: &mut Vec<u32>,
    ) {
        for (word, c) in self.heard_words(written, by_ear) {
            let rows = self.rows_of(usize::from(word));
            if self.place_of(word) < IS_COMMON {
                staples.extend(rows.clone());
            }
            for row in rows {
                let c = c + self.foreign(row, language);
                match rated.iter_mut().find(|r| r.0 == row) {
                    Some(r) => r.2 = r.2.min(c),
                    None => rated.push((row, BY_LETTERS + 1, c)),
                }
            }
        }
    }

    /// Whether a word is a state or a part.
    pub(super) fn says(&self, word: u16) -> bool {
        self.spellings.rarities.get(usize::from(word)).is_some_and(|r| r & SAYS != 0)
    }

    fn rate_joined(&self, joined: &[u8], near: &[Near], language: Option<Language>, rated: &mut Vec<Rated>) {
        for n in near {
            let c = cost(joined, self.spellings.joined.word(n.word)) + SPACE;
            self.rate(self.rows_of(usize::from(n.word) + self.singles()), n.edits, c, language, rated);
        }
    }

    /// A phrase that is a name but for one letter or a space.
    pub(super) fn similar_whole(&self, q: &Query, language: Option<Language>) -> Option<Answer> {
        let joined = q.joined(0, q.count());
        let len = joined.bytes().len();
        if len < 5 || q.f.cut {
            return None;
        }
        let mut near: Vec<Near> = Vec::new();
        let mut rated: Vec<Rated> = Vec::new();
        self.spellings.joined.near(joined.bytes(), 1, &mut near);
        self.rate_joined(joined.bytes(), &near, language, &mut rated);
        if q.count() <= 3 {
            near.clear();
            self.spellings.slips.near(joined.bytes(), 1, &mut near);
            for n in &near {
                let c = cost(joined.bytes(), self.spellings.slips.word(n.word)) + SPACE;
                self.rate(self.rows_of(usize::from(n.word)), n.edits, c, language, &mut rated);
            }
        }
        if rated.is_empty() { None } else { self.choose(rated, &[], len) }
    }

    /// The cheapest item, and how surely; `staples` are the rows of names in nearly every kitchen.
    pub(super) fn choose(&self, mut rated: Vec<Rated>, staples: &[u32], len: usize) -> Option<Answer> {
        rated.sort_unstable_by_key(|(row, edits, c)| (*c, *edits, *row));
        let (best, edits, c) = *rated.first()?;
        let item = self.row(best).item;
        let next = rated.iter().find(|r| self.row(r.0).item != item).copied();
        let margin = next.map_or(200, |n| n.2.saturating_sub(c));
        let wanted = match next.map_or(Ordering::Greater, |n| n.1.cmp(&edits)) {
            Ordering::Greater => AHEAD,
            Ordering::Equal => AHEAD + NO_NEARER,
            Ordering::Less => AHEAD + 2 * NO_NEARER,
        };
        let wanted = if staples.contains(&best) { wanted.saturating_sub(STAPLE) } else { wanted };
        let length = u32::try_from(len.min(40)).unwrap_or(40);
        // A short word leaves less to recognise it by.
        let limit = match length {
            0..=3 => 0,
            4 => 75,
            5 => 160,
            6 => 185,
            _ => 235,
        };
        // Nor do sounds alone tell a word as letters do.
        let limit = if edits > BY_LETTERS { limit.min(HEARD_SO) } else { limit };
        let likely = c <= limit && margin >= wanted;
        if !likely && c > limit + 60 && edits > 1 {
            return None;
        }
        let ease = f64::from(c) / f64::from(length * 25);
        let confidence = (0.97 - 0.4 * ease).clamp(0.2, 0.97)
            - if margin < wanted {
                0.4
            } else if margin < 2 * wanted {
                0.1
            } else {
                0.0
            };
        Some(Answer {
            row: Some(best),
            rung: Some(Rung::Similar),
            confidence: measured(confidence),
            identified: if likely { Identified::Likely } else { Identified::Unsure },
            near: rated,
            ..Answer::unknown()
        })
    }
}

/// How often a likeness of a kind was right among slips made on purpose and real misspellings, at
/// a few points; `cargo bench --bench accuracy` shows the whole curve.
const CURVE: [(f64, f64); 6] = [(0.0, 0.4), (0.4, 0.6), (0.6, 0.9), (0.7, 0.97), (0.97, 0.99), (1.0, 0.99)];

/// A likeness as the share that is right.
fn measured(likeness: f64) -> f64 {
    let between = |w: &[(f64, f64)]| match w {
        [(a, low), (b, high)] if likeness <= *b => Some(low + (high - low) * (likeness - a).max(0.0) / (b - a)),
        _ => None,
    };
    CURVE.windows(2).find_map(between).unwrap_or(0.99)
}

/// What a word of the vocabulary says.
pub(super) fn meaning(word: &str, known: &Known) -> (Said, Option<PartId>) {
    let (mut said, mut part) = (Said::default(), None);
    for phrase in known.vocabulary().phrases(word).iter().filter(|p| p.rest.is_empty()) {
        match phrase.meaning {
            Meaning::State(id, holds) => said.say(id, holds),
            Meaning::Part(id) => part = part.or(Some(id)),
        }
    }
    // "ground" is a state and a part: by itself it says neither.
    if said != Said::default() && part.is_some() { (Said::default(), None) } else { (said, part) }
}
