//! Finding the item that a name means: a ladder that says on which rung it stood.
//!
//! Comes in: the names of a bag's things. Goes out: items, with rung, confidence, language and
//! every other item that a slip of the hand could have meant. The rungs: the preferred name,
//! another name, the same after folding case, accents, plural, word order and spelling; the head
//! noun with modifiers set aside; then likeness. A name within reach is never hidden: the judge
//! asks when it would be judged worse. The index is flat numbers.

mod build;
mod find;
mod head;
mod keys;
mod ladder;
mod phrase;
mod query;
mod settle;
mod similar;
#[cfg(test)]
mod tests;
mod words;

use super::normal::canonical;
use super::slips::Slips;
use super::{ItemId, Known, Language, Role, Rung};
use crate::bag::{Lexicon, Named, PartId, Slip, Vocabulary};
use crate::flat::{Bundle, Filter, Fixed, Flat, Keys, Late, hash};
pub use find::{Finder, find, identify, identify_in};
use keys::{LANGUAGES, Sort, bit, key, pair};
use query::{Info, Query, WordTable};
use regex::Regex;
pub use words::Words;

/// One name of one item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Row {
    item: u16,
    /// Which of the item's names.
    which: u16,
    language: Language,
}

/// The index of names.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Names {
    rows: Flat<Row>,
    keys: Keys<u32>,
    words: WordTable,
    /// Every two words that stand in one name, as written and in the canonical form of its language.
    pairs: Filter,
    /// What a misspelt word is looked for in.
    spellings: Late<Spellings>,
    /// Item and part that are an item of their own, sorted.
    own: Flat<(u16, u8, u16)>,
    /// What a part is where its item has none: part, shell of which kind's items.
    loose: Loose,
    /// The lists it was built with.
    pub(super) lists: Late<Words>,
    #[serde(skip)]
    patterns: Vec<(u16, Regex)>,
}

/// The index of misspellings; nothing of it is read before something is misspelt.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
#[serde(into = "Bundle", try_from = "Bundle", bound(deserialize = "'de: 'static"))]
pub(super) struct Spellings {
    /// Single words of English names, their plurals, and English names that are one word.
    slips: Slips,
    /// Names of several words, written as one.
    joined: Slips,
    /// Names of one word in other languages.
    abroad: Slips,
    /// The outlines of how the words of `slips` sound, each under its word's number.
    heard: Slips,
    /// For each word of `slips`, then `joined`, then `abroad`: where its rows start in `spelled`.
    spelled_at: Flat<u32>,
    spelled: Flat<u32>,
    /// For each word of `slips` its hash as it is and in its canonical English form.
    slip_hashes: Flat<(u64, u64)>,
    /// For each word of `slips` how unlikely it is to be meant, and whether it says a state or a part.
    rarities: Flat<u8>,
}

impl From<Spellings> for Bundle {
    fn from(all: Spellings) -> Bundle {
        let Spellings { slips, joined, abroad, heard, spelled_at, spelled, slip_hashes, rarities } = all;
        let mut out = Bundle::default();
        [slips, joined, abroad, heard].iter().for_each(|index| index.put(&mut out));
        out.put(&spelled_at);
        out.put(&spelled);
        out.put(&slip_hashes);
        out.put(&rarities);
        out
    }
}

impl TryFrom<Bundle> for Spellings {
    type Error = &'static str;

    fn try_from(bundle: Bundle) -> Result<Spellings, &'static str> {
        let mut rows = bundle.open();
        let mut all = || {
            Some(Spellings {
                slips: Slips::take(&mut rows)?,
                joined: Slips::take(&mut rows)?,
                abroad: Slips::take(&mut rows)?,
                heard: Slips::take(&mut rows)?,
                spelled_at: rows.take()?,
                spelled: rows.take()?,
                slip_hashes: rows.take()?,
                rarities: rows.take()?,
            })
        };
        all().ok_or("an index of misspellings with rows missing")
    }
}

/// Items of parts that belong to no food in particular.
#[derive(Debug, Clone, Copy, Default, serde::Serialize, serde::Deserialize)]
pub(super) struct Loose {
    bone: Option<u16>,
    pit: Option<u16>,
    cob: Option<u16>,
    husk: Option<u16>,
    eggshell: Option<u16>,
    nut_shell: Option<u16>,
    sea_shell: Option<u16>,
}

impl Fixed for Row {
    const SIZE: usize = 5;
    fn put(self, out: &mut Vec<u8>) {
        (self.item, self.which, bit(self.language)).put(out);
    }
    fn get(bytes: &[u8]) -> Row {
        let (item, which, language) = <(u16, u16, u8)>::get(bytes);
        let language = LANGUAGES.into_iter().find(|l| bit(*l) == language).unwrap_or(Language::En);
        Row { item, which, language }
    }
}

/// How a whole phrase was found.
#[derive(Clone, Copy)]
pub(super) struct Hit {
    row: u32,
    /// Another item with the same name in the same language, if the data has one.
    rival: Option<u32>,
}

impl Names {
    /// An index of nothing yet, with the lists of words that it is to be built with.
    pub fn knowing(lists: Words) -> Names {
        Names { lists: lists.into(), ..Names::default() }
    }

    fn row(&self, row: u32) -> Row {
        self.rows.get(row as usize).unwrap_or(Row { item: u16::MAX, which: 0, language: Language::En })
    }

    /// The first row of a language on a key, and the first of another item after it.
    fn pick(&self, key: u64, language: Language) -> Option<Hit> {
        let mut found: Option<Hit> = None;
        for row in self.keys.get(key) {
            let r = self.row(row);
            if r.language != language {
                continue;
            }
            match &mut found {
                None => found = Some(Hit { row, rival: None }),
                Some(hit) if self.row(hit.row).item != r.item => {
                    // A preferred name wins over another item's other name.
                    let first = self.row(hit.row);
                    if first.which != 0 && r.which == 0 {
                        hit.rival = Some(hit.row);
                        hit.row = row;
                    } else if hit.rival.is_none() {
                        hit.rival = Some(row);
                    }
                }
                Some(_) => {}
            }
        }
        found
    }

    /// Words `from` up to `to` as a whole name of a language, without guessing. `joins` is the
    /// most words that are also tried as one; `asked` looks for foreign plurals of English words too.
    fn span(&self, q: &Query, from: usize, to: usize, language: Language, joins: usize, asked: bool) -> Option<Hit> {
        if from >= to {
            return None;
        }
        let known = q.all(from, to, |i| i.languages & bit(language) != 0);
        if known {
            if let Some(hit) = self.pick(key(Sort::Folded, language, q.raw(from, to)), language) {
                return Some(hit);
            }
        }
        if to - from == 1 && language == Language::En && q.says_how(from) {
            return None;
        }
        // Of a single word, the hash of its form in the language.
        let single;
        if language == Language::En {
            single = q.english.get(from).copied().unwrap_or(0);
            if known {
                if let Some(hit) = self.pick(key(Sort::Canonical, language, q.english(from, to)), language) {
                    return Some(hit);
                }
            }
        } else if asked || !q.all(from, to, |i| i.as_written || i.free() || i.ordinary) {
            let words = q.canonical(from, to, language);
            single = words.first().copied().unwrap_or(0);
            let hit = self.pick(key(Sort::Canonical, language, words.get(..to - from).unwrap_or(&[])), language);
            if hit.is_some() {
                return hit;
            }
        } else {
            return None;
        }
        if to - from > joins {
            return None;
        }
        let joined = match (to - from, language) {
            (1, Language::En) => single,
            (1, _) if q.f.word(from).len() < 5 => return None,
            (1, _) => single,
            _ => {
                let joined = q.joined(from, to);
                if joined.bytes().len() < 5 {
                    return None;
                }
                hash(canonical(joined.bytes(), language).bytes())
            }
        };
        self.pick(key(Sort::Joined, language, &[joined]), language)
    }

    /// A whole phrase as a name, in the order of languages asked for. `strict` keeps to one.
    fn whole(&self, q: &Query, prefer: Option<Language>, strict: bool) -> Option<Hit> {
        let n = q.count();
        if n == 0 || q.f.cut {
            return None;
        }
        if let Some(language) = prefer {
            if let Some(hit) = self.span(q, 0, n, language, 4, true).or_else(|| self.turned(q, language)) {
                return Some(hit);
            }
            if strict {
                return None;
            }
        }
        LANGUAGES
            .iter()
            .filter(|l| Some(**l) != prefer)
            .find_map(|l| self.span(q, 0, n, *l, 4, false).or_else(|| self.turned(q, *l)))
    }

    /// "beans, green": the same words in another order. Without a comma only where the last word
    /// is no name by itself: "milk chocolate" is no chocolate milk.
    fn turned(&self, q: &Query, language: Language) -> Option<Hit> {
        let n = q.count();
        if language != Language::En || n < 2 || !q.all(0, n, Info::english) {
            return None;
        }
        let hit = self.pick(key(Sort::Unordered, language, q.english(0, n)), language)?;
        if q.f.comma.is_some() || self.span(q, n - 1, n, language, 1, false).is_none() {
            return Some(hit);
        }
        None
    }

    /// Whether a plain word stands in a name just as it is written; most words of most lines do.
    fn holds(&self, word: &str) -> bool {
        let plain = || word.bytes().all(|b| b.is_ascii_lowercase());
        plain() && self.words.get(hash(word.as_bytes())).languages != 0
    }

    /// Whether a name may hold each word of a phrase beside the next, or them all as one word.
    fn opens(&self, q: &Query) -> bool {
        let beside = |words: &[u64]| words.windows(2).all(|w| matches!(w, [a, b] if self.pairs.may_hold(pair(*a, *b))));
        let n = q.count();
        let abroad = |l: &Language| q.canonical(0, n, *l);
        beside(q.raw(0, n))
            || beside(q.english(0, n))
            || self.words.get(hash(q.joined(0, n).bytes())).languages != 0
            || LANGUAGES.iter().skip(1).any(|l| beside(abroad(l).get(..n).unwrap_or(&[])))
    }

    fn own_part(&self, item: u16, part: PartId) -> Option<u16> {
        let at = self.own.partition_point(|(i, p, _)| (i, p) < (item, part.0));
        self.own.get(at).filter(|(i, p, _)| (*i, *p) == (item, part.0)).map(|o| o.2)
    }

    fn singles(&self) -> usize {
        self.spellings.slips.count()
    }

    /// The rows whose whole name is a spelling.
    fn rows_of(&self, spelling: usize) -> impl ExactSizeIterator<Item = u32> + Clone + '_ {
        let Spellings { spelled_at, spelled, .. } = &*self.spellings;
        match (spelled_at.get(spelling), spelled_at.get(spelling + 1)) {
            (Some(a), Some(b)) => spelled.run(a as usize, b as usize),
            _ => spelled.run(0, 0),
        }
    }
}

/// Words of a name at most.
pub(super) const LONGEST_NAME: usize = 6;

impl Known {
    /// The item that a phrase names by itself.
    fn named_by(&self, phrase: &str) -> Option<ItemId> {
        let hit = self.names.whole(&Query::of(&self.names, phrase), None, false)?;
        Some(ItemId(self.names.row(hit.row).item))
    }
}

impl Lexicon for Known {
    fn names(&self, phrase: &str) -> bool {
        self.names.whole(&Query::of(&self.names, phrase), None, false).is_some()
    }
    fn opens(&self, phrase: &str) -> bool {
        self.names.opens(&Query::of(&self.names, phrase))
    }
    fn names_food(&self, phrase: &str) -> bool {
        self.named_by(phrase).and_then(|id| self.item(id)).is_some_and(|item| item.role == Role::Food)
    }
    fn soaks_in(&self, phrase: &str) -> bool {
        let wets = |id: ItemId| ["chemical", "animal waste"].iter().any(|kind| settle::in_kind(self, id, kind));
        self.names_food(phrase) || self.named_by(phrase).is_some_and(wets)
    }
    fn wraps(&self, phrase: &str) -> bool {
        self.named_by(phrase).is_some_and(|id| settle::in_kind(self, id, "packaging"))
    }
    fn has_part(&self, phrase: &str, part: PartId) -> bool {
        self.named_by(phrase).is_some_and(|id| settle::has_part(id, part, self))
    }
    fn is_part_of(&self, one: &str, whole: &str) -> bool {
        let (Some(one), Some(whole)) = (self.named_by(one), self.named_by(whole)) else { return false };
        self.vocabulary.parts().any(|(part, _)| self.names.own_part(whole.0, part) == Some(one.0))
    }
    fn same(&self, one: &str, other: &str) -> bool {
        self.named_by(one) == self.named_by(other)
    }
    fn akin(&self, one: &str, other: &str) -> bool {
        let (Some(one), Some(other)) = (self.named_by(one), self.named_by(other)) else { return true };
        let others = self.kinds_of(other);
        one == other || self.kinds_of(one).iter().any(|kind| others.contains(kind))
    }
    fn belongs(&self, one: &str, kind: &str) -> bool {
        let item = || self.named_by(kind).map_or("", |id| self.item_name(id));
        let kind = if self.kind_named(kind).is_some() { kind } else { item() };
        self.named_by(one).is_some_and(|one| settle::in_kind(self, one, kind))
    }
    fn slip_of(&self, phrase: &str) -> Option<Slip> {
        let named = Named { name: phrase.to_string(), full: phrase.to_string(), ..Named::default() };
        let slip = |language: Language| {
            let found = identify_in(&named, self, language);
            let item = found.item.filter(|_| found.rung == Some(Rung::Similar))?;
            Some(Slip { of: self.item_name(item).to_string(), likeness: found.confidence })
        };
        // Any short word is near some name of four languages: of another than English only what likely is one.
        let english = slip(Language::En);
        let abroad = || LANGUAGES.into_iter().skip(1).filter_map(slip).find(Slip::is_likely);
        if english.as_ref().is_some_and(Slip::is_likely) { english } else { abroad().or(english) }
    }
    fn knows_word(&self, word: &str) -> bool {
        if self.names.holds(word) {
            return true;
        }
        let q = Query::of(&self.names, word);
        q.count() > 0 && q.all(0, q.count(), |i| i.languages != 0)
    }
    fn vocabulary(&self) -> &Vocabulary {
        &self.vocabulary
    }
}
