//! A phrase with what is known of each of its words.

use super::Names;
use crate::bag::PartId;
use crate::flat::{Fixed, Keys, hash};
use crate::knowledge::Language;
use crate::knowledge::normal::{Folded, MOST_WORDS, Word, canonical};

/// How often kitchens write a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) enum Frequent {
    #[default]
    Seldom,
    Common,
    /// In nearly every kitchen.
    Staple,
    /// In nearly every bag.
    Daily,
}

/// What is known of one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Info {
    /// Languages in whose names it stands: a bit each in the order of [`Language`].
    pub(super) languages: u8,
    /// In how many items' names it stands, at most 255.
    pub(super) items: u8,
    pub(super) part: Option<PartId>,
    pub(super) state: bool,
    pub(super) light: bool,
    /// A word of every day that names nothing here: never taken for a slip.
    pub(super) ordinary: bool,
    /// How often kitchens write it.
    pub(super) frequent: Frequent,
    /// What food comes in: behind a food's name it may mean the wrapping alone.
    pub(super) packing: bool,
    /// Behind a name it makes a tool of it: a coffee maker.
    pub(super) tool: bool,
    /// The hash of its canonical English form.
    pub(super) canonical: u64,
    /// Whether it stands in English names just as it was written.
    pub(super) as_written: bool,
}

impl Fixed for Info {
    const SIZE: usize = 12;
    fn put(self, out: &mut Vec<u8>) {
        let common = matches!(self.frequent, Frequent::Common | Frequent::Daily);
        let staple = self.frequent >= Frequent::Staple;
        let flags = [self.state, self.light, self.ordinary, common, self.as_written, staple, self.packing, self.tool];
        let flags = flags.iter().enumerate().fold(0u8, |all, (i, on)| all | u8::from(*on) << i);
        (((self.languages, self.items), (self.part.map_or(u8::MAX, |p| p.0), flags)), self.canonical).put(out);
    }
    fn get(bytes: &[u8]) -> Info {
        let (((languages, items), (part, flags)), canonical) = <(((u8, u8), (u8, u8)), u64)>::get(bytes);
        let on = |i: u8| flags >> i & 1 == 1;
        Info {
            languages,
            items,
            part: Some(PartId(part)).filter(|p| p.0 != u8::MAX),
            state: on(0),
            light: on(1),
            ordinary: on(2),
            frequent: match (on(5), on(3)) {
                (true, true) => Frequent::Daily,
                (true, _) => Frequent::Staple,
                (_, true) => Frequent::Common,
                _ => Frequent::Seldom,
            },
            packing: on(6),
            tool: on(7),
            canonical,
            as_written: on(4),
        }
    }
}

/// In how many items' names a word may stand and still mean one of them.
const GENERAL: u8 = 3;

impl Info {
    pub(super) fn english(self) -> bool {
        self.languages & 1 != 0
    }

    /// Set aside without loss: a state, a part, or a word that changes nothing.
    pub(super) fn free(self) -> bool {
        self.part.is_some() || self.state || self.light
    }

    /// Stands in the names of several things ("onion", "noix", "huile"), and says little by itself.
    pub(super) fn general(self) -> bool {
        self.items > GENERAL
    }

    /// Stands in many lines: in the names of several things, or beside any of them.
    fn usual(self) -> bool {
        self.english() && self.general() || self.free() || self.frequent > Frequent::Seldom
    }

    pub(super) fn known(self) -> bool {
        self.languages != 0 || self.free() || self.ordinary
    }
}

/// What is known of words, by their hash. Those that most lines are made of stand together: a bag
/// asks for few others.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub(super) struct WordTable {
    usual: Keys<Info>,
    others: Keys<Info>,
}

impl WordTable {
    /// Makes a table of words that are sorted by hash.
    pub(super) fn of_sorted(infos: Vec<(u64, Info)>) -> WordTable {
        let (usual, others): (Vec<_>, Vec<_>) = infos.into_iter().partition(|(_, info)| info.usual());
        WordTable { usual: Keys::of_sorted(&usual), others: Keys::of_sorted(&others) }
    }

    pub(super) fn get(&self, hash: u64) -> Info {
        self.usual.get(hash).next().or_else(|| self.others.get(hash).next()).unwrap_or_default()
    }
}

/// A phrase with the hashes of its words.
pub(super) struct Query {
    pub(super) f: Folded,
    pub(super) raw: [u64; MOST_WORDS],
    pub(super) english: [u64; MOST_WORDS],
    pub(super) infos: [Info; MOST_WORDS],
}

impl Query {
    pub(super) fn of(names: &Names, text: &str) -> Query {
        Query::folded(names, Folded::of(text))
    }

    pub(super) fn folded(names: &Names, f: Folded) -> Query {
        let mut q = Query { f, raw: [0; MOST_WORDS], english: [0; MOST_WORDS], infos: [Info::default(); MOST_WORDS] };
        for i in 0..q.f.count() {
            let w = q.f.word(i);
            let raw = hash(w);
            let mut info = names.words.get(raw);
            info.as_written = info.english();
            if info.canonical == 0 {
                info.canonical = hash(canonical(w, Language::En).bytes());
            }
            if !info.english() && info.canonical != raw {
                let one = names.words.get(info.canonical);
                info = Info {
                    languages: info.languages | one.languages & 1,
                    items: info.items.max(one.items),
                    part: info.part.or(one.part),
                    state: info.state || one.state,
                    light: info.light || one.light,
                    // "beens" is no plural of "been": the list holds its own plurals.
                    ordinary: info.ordinary,
                    frequent: info.frequent.max(one.frequent),
                    packing: info.packing || one.packing,
                    tool: info.tool || one.tool,
                    canonical: info.canonical,
                    as_written: false,
                };
            }
            if let (Some(r), Some(e), Some(slot)) = (q.raw.get_mut(i), q.english.get_mut(i), q.infos.get_mut(i)) {
                (*r, *e, *slot) = (raw, info.canonical, info);
            }
        }
        q
    }

    pub(super) fn info(&self, i: usize) -> Info {
        self.infos.get(i).copied().unwrap_or_default()
    }

    /// "Something green" is no greens, and a "compostable counter" no compostables: what only says how a thing
    /// is names nothing in another form.
    pub(super) fn says_how(&self, i: usize) -> bool {
        (self.info(i).light || self.info(i).state) && !self.f.word(i).ends_with(b"s")
    }

    pub(super) fn all(&self, from: usize, to: usize, test: impl Fn(Info) -> bool) -> bool {
        self.infos.get(from..to).is_some_and(|all| all.iter().all(|i| test(*i)))
    }

    pub(super) fn count(&self) -> usize {
        self.f.count()
    }

    pub(super) fn raw(&self, from: usize, to: usize) -> &[u64] {
        self.raw.get(from..to).unwrap_or(&[])
    }

    pub(super) fn english(&self, from: usize, to: usize) -> &[u64] {
        self.english.get(from..to).unwrap_or(&[])
    }

    pub(super) fn canonical(&self, from: usize, to: usize, language: Language) -> [u64; MOST_WORDS] {
        let mut out = [0; MOST_WORDS];
        for (slot, i) in out.iter_mut().zip(from..to) {
            *slot = hash(canonical(self.f.word(i), language).bytes());
        }
        out
    }

    pub(super) fn joined(&self, from: usize, to: usize) -> Word {
        let mut w = Word::new();
        for i in from..to {
            w.add(self.f.word(i));
        }
        w
    }
}
