//! Finding the item that a name means: a ladder that says on which rung it stood.
//!
//! Comes in: the names of a bag's things. Goes out: items, with rung, confidence, language and
//! every other item that a slip of the hand could have meant. The rungs: the preferred name,
//! another name, the same after folding case, accents, plural, word order and spelling; the head
//! noun with modifiers set aside; then likeness. A name within reach is never hidden: the judge
//! asks when it would be judged worse. The index is flat numbers.

use super::normal::{Folded, MOST_WORDS, Word, canonical, plural};
use super::slips::{Near, PLAIN, Slips, cost, sound};
use super::{Alternative, Found, Identified, Identity, Item, ItemId, Known, Language, Rung};
use crate::bag::{Bag, Lexicon, Named, PartId, Reading, Said, StateId, Thing, Vocabulary};
use crate::flat::{Fixed, Flat, Keys, Stock, hash};
use regex::{Regex, RegexBuilder};
use std::collections::BTreeMap;

/// One name of one item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Row {
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
    keys: Keys,
    words: WordTable,
    /// Single words of English names, their plurals, and English names that are one word.
    slips: Slips,
    /// Names of several words, written as one.
    joined: Slips,
    /// Names of one word in other languages.
    abroad: Slips,
    /// For each word of `slips`, then `joined`, then `abroad`: where its rows start in `spelled`.
    spelled_at: Flat<u32>,
    spelled: Flat<u32>,
    /// For each word of `slips` its hash as it is and in its canonical English form.
    slip_hashes: Flat<(u64, u64)>,
    /// For each word of `slips` how unlikely it is to be meant.
    rarities: Flat<u8>,
    /// Words of `slips` by how they sound, sorted.
    sounds: Flat<(u64, u16)>,
    /// Item and part that are an item of their own, sorted.
    own: Flat<(u16, u8, u16)>,
    /// What a part is where its item has none: part, shell of which kind's items.
    loose: Loose,
    #[serde(skip)]
    patterns: Vec<(u16, Regex)>,
}

/// Items of parts that belong to no food in particular.
#[derive(Debug, Clone, Copy, Default, serde::Serialize, serde::Deserialize)]
struct Loose {
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

/// What a key was made from; keys of different sorts never meet.
#[derive(Clone, Copy)]
enum Sort {
    Folded = 1,
    Canonical = 2,
    Joined = 3,
    Unordered = 4,
}

/// What is known of one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Info {
    /// Languages in whose names it stands: a bit each in the order of [`Language`].
    languages: u8,
    /// In how many items' names it stands, at most 255.
    items: u8,
    part: Option<PartId>,
    state: bool,
    light: bool,
    /// A word of every day that names nothing here: never taken for a slip.
    ordinary: bool,
    /// A word that kitchens write often.
    common: bool,
    /// The hash of its canonical English form.
    canonical: u64,
    /// Whether it stands in English names just as it was written.
    as_written: bool,
}

impl Fixed for Info {
    const SIZE: usize = 12;
    fn put(self, out: &mut Vec<u8>) {
        let flags = [self.state, self.light, self.ordinary, self.common, self.as_written];
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
            common: on(3),
            canonical,
            as_written: on(4),
        }
    }
}

impl Info {
    fn english(self) -> bool {
        self.languages & 1 != 0
    }

    /// Set aside without loss: a state, a part, or a word that changes nothing.
    fn free(self) -> bool {
        self.part.is_some() || self.state || self.light
    }

    fn known(self) -> bool {
        self.languages != 0 || self.free() || self.ordinary
    }
}

#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
struct WordTable {
    keys: Keys,
    infos: Flat<Info>,
}

impl WordTable {
    fn get(&self, hash: u64) -> Info {
        self.keys.get(hash).next().and_then(|i| self.infos.get(i as usize)).unwrap_or_default()
    }
}

const LANGUAGES: [Language; 4] = [Language::En, Language::Es, Language::De, Language::Fr];

fn bit(language: Language) -> u8 {
    match language {
        Language::En => 1,
        Language::Es => 2,
        Language::De => 4,
        Language::Fr => 8,
    }
}

fn scatter(h: u64) -> u64 {
    let h = (h ^ (h >> 32)).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let h = (h ^ (h >> 29)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    h ^ (h >> 32)
}

/// The key of a sequence of words.
fn key(sort: Sort, language: Language, words: &[u64]) -> u64 {
    let seed = (sort as u64) << 8 | u64::from(bit(language));
    let h = match sort {
        Sort::Unordered => words.iter().fold(seed, |h, w| h.wrapping_add(scatter(*w))),
        _ => words.iter().fold(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15), |h, w| {
            (h.rotate_left(7) ^ w).wrapping_mul(0x9e37_79b9_7f4a_7c15)
        }),
    };
    scatter(h)
}

/// A phrase with the hashes of its words.
struct Query {
    f: Folded,
    raw: [u64; MOST_WORDS],
    english: [u64; MOST_WORDS],
    infos: [Info; MOST_WORDS],
}

impl Query {
    fn of(names: &Names, text: &str) -> Query {
        Query::folded(names, Folded::of(text))
    }

    fn folded(names: &Names, f: Folded) -> Query {
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
                    ordinary: info.ordinary || one.ordinary,
                    common: info.common || one.common,
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

    fn info(&self, i: usize) -> Info {
        self.infos.get(i).copied().unwrap_or_default()
    }

    fn all(&self, from: usize, to: usize, test: impl Fn(Info) -> bool) -> bool {
        self.infos.get(from..to).is_some_and(|all| all.iter().all(|i| test(*i)))
    }

    fn count(&self) -> usize {
        self.f.count()
    }

    fn raw(&self, from: usize, to: usize) -> &[u64] {
        self.raw.get(from..to).unwrap_or(&[])
    }

    fn english(&self, from: usize, to: usize) -> &[u64] {
        self.english.get(from..to).unwrap_or(&[])
    }

    fn canonical(&self, from: usize, to: usize, language: Language) -> [u64; MOST_WORDS] {
        let mut out = [0; MOST_WORDS];
        for (slot, i) in out.iter_mut().zip(from..to) {
            *slot = hash(canonical(self.f.word(i), language).bytes());
        }
        out
    }

    fn joined(&self, from: usize, to: usize) -> Word {
        let mut w = Word::new();
        for i in from..to {
            w.add(self.f.word(i));
        }
        w
    }
}

/// How a whole phrase was found.
#[derive(Clone, Copy)]
struct Hit {
    row: u32,
    /// Another item with the same name in the same language, if the data has one.
    rival: Option<u32>,
}

/// A head noun and what was set aside for it.
struct Head {
    hit: Hit,
    from: usize,
    to: usize,
    asides: Vec<ItemId>,
    /// Those of them that stand beside the head or after "of", where a narrower thing may stand.
    beside: Vec<ItemId>,
    part: Option<PartId>,
    confidence: f64,
}

impl Names {
    /// Builds the index over all names of all items.
    pub(super) fn build(items: &Stock<Item>, vocabulary: &Vocabulary) -> Names {
        let mut names = Names::default();
        let mut pairs: Vec<(u64, u32)> = Vec::new();
        let mut infos: BTreeMap<u64, Info> = BTreeMap::new();
        let mut counted: BTreeMap<u64, u16> = BTreeMap::new();
        let mut canonicals: BTreeMap<u64, u64> = BTreeMap::new();
        let mut single: BTreeMap<String, Vec<u32>> = BTreeMap::new();
        let mut several: BTreeMap<String, Vec<u32>> = BTreeMap::new();
        let mut abroad: BTreeMap<String, Vec<u32>> = BTreeMap::new();
        for (i, item) in items.iter().enumerate() {
            let id = u16::try_from(i).unwrap_or(u16::MAX);
            if let Some(pattern) = item.pattern.as_deref().filter(|p| p.len() <= LONGEST_PATTERN) {
                if let Ok(regex) = RegexBuilder::new(pattern)
                    .case_insensitive(true)
                    .size_limit(1 << 18)
                    .dfa_size_limit(1 << 18)
                    .build()
                {
                    names.patterns.push((id, regex));
                }
            }
            for (w, name) in item.names.iter().enumerate() {
                let row = u32::try_from(names.rows.len()).unwrap_or(u32::MAX);
                names.rows.push(Row { item: id, which: u16::try_from(w).unwrap_or(u16::MAX), language: name.language });
                let mut forms = vec![Folded::of(name.text)];
                if name.language == Language::De {
                    let spelled_out = name
                        .text
                        .replace('ä', "ae")
                        .replace('ö', "oe")
                        .replace('ü', "ue")
                        .replace('Ä', "ae")
                        .replace('Ö', "oe")
                        .replace('Ü', "ue");
                    if spelled_out != name.text {
                        forms.push(Folded::of(&spelled_out));
                    }
                }
                for f in forms {
                    if f.count() == 0 {
                        continue;
                    }
                    add_keys(&f, name.language, row, &mut pairs);
                    for k in 0..f.count() {
                        for h in [hash(f.word(k)), hash(canonical(f.word(k), name.language).bytes())] {
                            let info = infos.entry(h).or_default();
                            info.languages |= bit(name.language);
                            if counted.insert(h, id) != Some(id) {
                                info.items = info.items.saturating_add(1);
                            }
                        }
                        if name.language == Language::En {
                            single.entry(String::from_utf8_lossy(f.word(k)).into_owned()).or_default();
                        }
                        canonicals.insert(hash(f.word(k)), hash(canonical(f.word(k), Language::En).bytes()));
                    }
                    let one = if name.language == Language::En { &mut single } else { &mut abroad };
                    spell(&f, name.language, row, one, &mut several);
                }
            }
        }
        for (part, p) in vocabulary.parts() {
            for word in p.ways() {
                let f = Folded::of(word);
                if f.count() == 1 {
                    infos.entry(hash(f.word(0))).or_default().part = Some(part);
                }
            }
        }
        for (_, s) in vocabulary.states() {
            for word in s.ways().chain(s.not_words.iter().map(String::as_str)) {
                let f = Folded::of(word);
                if f.count() == 1 {
                    infos.entry(hash(f.word(0))).or_default().state = true;
                }
            }
        }
        for word in LIGHT.iter().flat_map(|l| l.split(' ')) {
            infos.entry(hash(word.as_bytes())).or_default().light = true;
        }
        for word in ORDINARY.iter().flat_map(|l| l.split(' ')) {
            infos.entry(hash(word.as_bytes())).or_default().ordinary = true;
        }
        for word in COMMON.iter().flat_map(|l| l.split(' ')) {
            for h in [hash(word.as_bytes()), hash(canonical(word.as_bytes(), Language::En).bytes())] {
                infos.entry(h).or_default().common = true;
            }
        }
        for (h, english) in &canonicals {
            infos.entry(*h).or_default().canonical = *english;
        }
        names.keys = Keys::build(pairs);
        let (hashes, infos): (Vec<u64>, Vec<Info>) = infos.into_iter().unzip();
        let numbered = hashes.into_iter().enumerate().map(|(i, h)| (h, u32::try_from(i).unwrap_or(u32::MAX))).collect();
        names.words = WordTable { keys: Keys::build(numbered), infos: infos.into() };
        names.spell_out(&single, &several, &abroad);
        names.own_parts(items, vocabulary);
        names
    }

    /// Fills the index of misspellings.
    fn spell_out(
        &mut self,
        single: &BTreeMap<String, Vec<u32>>,
        several: &BTreeMap<String, Vec<u32>>,
        abroad: &BTreeMap<String, Vec<u32>>,
    ) {
        let mut put = |map: &BTreeMap<String, Vec<u32>>, least: usize| {
            let mut words = Vec::new();
            for (word, rows) in
                map.iter().filter(|(w, _)| w.len() >= least && w.len() <= 48).take(usize::from(u16::MAX))
            {
                self.spelled_at.push(u32::try_from(self.spelled.len()).unwrap_or(u32::MAX));
                rows.iter().for_each(|r| self.spelled.push(*r));
                words.push(word.clone());
            }
            words
        };
        let words = put(single, 2);
        let joined = put(several, 4);
        let abroad = put(abroad, 4);
        self.spelled_at.push(u32::try_from(self.spelled.len()).unwrap_or(u32::MAX));
        self.slips = Slips::build(&words, 2);
        self.slip_hashes =
            words.iter().map(|w| (hash(w.as_bytes()), hash(canonical(w.as_bytes(), Language::En).bytes()))).collect();
        self.joined = Slips::build(&joined, 1);
        self.abroad = Slips::build(&abroad, 2);
        let rarity = |(raw, english): (u64, u64)| {
            let (info, one) = (self.words.get(raw), self.words.get(english));
            match (info.common || one.common, info.items.max(one.items)) {
                (true, _) => 0,
                (false, 5..) => 10,
                (false, 2..) => 20,
                _ => u8::try_from(RARE).unwrap_or(u8::MAX),
            }
        };
        self.rarities = self.slip_hashes.iter().map(rarity).collect();
        let mut sounds: Vec<(u64, u16)> = words
            .iter()
            .enumerate()
            .filter(|(_, w)| w.len() > 3)
            .map(|(i, w)| (sound(w.as_bytes()), u16::try_from(i).unwrap_or(u16::MAX)))
            .collect();
        sounds.sort_unstable();
        self.sounds = sounds.into();
    }

    /// Notes which item and part are an item of their own ("avocado" and "pit").
    fn own_parts(&mut self, items: &Stock<Item>, vocabulary: &Vocabulary) {
        let words: Vec<(PartId, Vec<u8>)> = vocabulary
            .parts()
            .flat_map(|(id, p)| p.ways().map(move |w| (id, Folded::of(w).text().as_bytes().to_vec())))
            .collect();
        let mut own: Vec<(u16, u8, u16)> = Vec::new();
        let last_part = |f: &Folded| {
            words.iter().filter(|(_, w)| f.count() > 1 && f.word(f.count() - 1) == w.as_slice()).map(|(p, _)| *p).next()
        };
        for (i, item) in items.iter().enumerate() {
            let id = u16::try_from(i).unwrap_or(u16::MAX);
            for name in item.names.iter().filter(|n| n.language == Language::En) {
                let f = Folded::of(name.text);
                let wholes: Vec<(PartId, Folded)> = if let Some(part) = last_part(&f) {
                    vec![(part, Folded::of(f.phrase(0, f.count() - 1)))]
                } else if f.count() == 1 {
                    let word = f.text();
                    let ending = |w: &[u8]| {
                        std::str::from_utf8(w).ok().and_then(|w| word.strip_suffix(w)).filter(|stem| stem.len() >= 3)
                    };
                    words.iter().filter_map(|(p, w)| ending(w).map(|stem| (*p, Folded::of(stem)))).collect()
                } else {
                    Vec::new()
                };
                for (part, whole) in wholes {
                    if let Some(hit) = self.whole(&Query::folded(self, whole), Some(Language::En), true) {
                        let of = self.row(hit.row).item;
                        if of != id {
                            own.push((of, part.0, id));
                        }
                    }
                }
            }
            for (inner, _) in &item.includes {
                let Some(inside) = items.get(usize::from(inner.0)) else { continue };
                let part = inside
                    .names
                    .iter()
                    .filter(|n| n.language == Language::En)
                    .find_map(|n| last_part(&Folded::of(n.text)));
                if let Some(part) = part {
                    own.push((id, part.0, inner.0));
                }
            }
        }
        // A stable sort keeps what a name says before what an item includes.
        own.sort_by_key(|(item, part, _)| (*item, *part));
        own.dedup_by_key(|(item, part, _)| (*item, *part));
        self.own = own.into();
        let named = |n: &str| items.iter().position(|i| i.name == n).and_then(|i| u16::try_from(i).ok());
        self.loose = Loose {
            bone: named("bone"),
            pit: named("pit"),
            cob: named("cob"),
            husk: named("husk"),
            eggshell: named("eggshell"),
            nut_shell: named("nut shell"),
            sea_shell: named("sea shell"),
        };
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
        if language == Language::En {
            if known {
                if let Some(hit) = self.pick(key(Sort::Canonical, language, q.english(from, to)), language) {
                    return Some(hit);
                }
            }
        } else if asked || !q.all(from, to, |i| i.as_written || i.free() || i.ordinary) {
            let words = q.canonical(from, to, language);
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
            (1, Language::En) => q.english.get(from).copied().unwrap_or(0),
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
}

/// Words for what food comes in; behind a food's name they may mean the wrapping alone.
const PACKED: [&[u8]; 34] = [
    b"packet",
    b"packets",
    b"bottle",
    b"bottles",
    b"wrapper",
    b"wrappers",
    b"sachet",
    b"sachets",
    b"tub",
    b"tubs",
    b"lid",
    b"lids",
    b"box",
    b"boxes",
    b"cup",
    b"cups",
    b"carton",
    b"cartons",
    b"container",
    b"containers",
    b"pot",
    b"pots",
    b"tin",
    b"tins",
    b"can",
    b"cans",
    b"jar",
    b"jars",
    b"packaging",
    b"pack",
    b"packs",
    b"wrap",
    b"liner",
    b"liners",
];

/// What a part or a state means that nothing stands beside: the item, and whether that is likely
/// enough to go by. Skins, rinds and shells may be an animal's.
const BARE: &[(&str, &str, bool)] = &[
    ("peel", "vegetable", true),
    ("core", "vegetable", true),
    ("stalk", "vegetable", true),
    ("leaf", "vegetable", true),
    ("top", "vegetable", true),
    ("root", "vegetable", true),
    ("end", "vegetable", true),
    ("pod", "vegetable", true),
    ("seed", "mixed seeds", true),
    ("grounds", "coffee grounds", true),
    ("flower", "flowers", true),
    ("crust", "bread", true),
    ("skin", "vegetable", false),
    ("rind", "fruit", false),
    ("trimmings", "vegetable", false),
    ("shell", "eggshell", false),
    ("bone", "bone", true),
    ("pit", "pit", true),
    ("cob", "cob", true),
    ("husk", "husk", true),
    ("greasy", "greasy food", true),
    ("salted", "salty food", true),
    ("spiced", "spicy food", true),
    ("pickled", "pickled food", true),
    ("sugared", "sweet", true),
    ("fermented", "fermented food", true),
    ("leftover", "cooked leftovers", true),
];

/// Bytes of a household's pattern at most.
const LONGEST_PATTERN: usize = 200;

/// Adds the keys under which a name is found.
fn add_keys(f: &Folded, language: Language, row: u32, pairs: &mut Vec<(u64, u32)>) {
    let n = f.count();
    let raw: Vec<u64> = (0..n).map(|k| hash(f.word(k))).collect();
    let plain: Vec<u64> = (0..n).map(|k| hash(canonical(f.word(k), language).bytes())).collect();
    pairs.push((key(Sort::Folded, language, &raw), row));
    pairs.push((key(Sort::Canonical, language, &plain), row));
    let mut joined = Word::new();
    for k in 0..n {
        joined.add(f.word(k));
    }
    pairs.push((key(Sort::Joined, language, &[hash(canonical(joined.bytes(), language).bytes())]), row));
    if n > 1 && language == Language::En {
        pairs.push((key(Sort::Unordered, language, &plain), row));
    }
}

/// Adds the spellings under which a name is found by likeness.
fn spell(
    f: &Folded,
    language: Language,
    row: u32,
    single: &mut BTreeMap<String, Vec<u32>>,
    several: &mut BTreeMap<String, Vec<u32>>,
) {
    let n = f.count();
    let text = |w: &[u8]| String::from_utf8_lossy(w).into_owned();
    let mut joined = Word::new();
    for k in 0..n - 1 {
        joined.add(f.word(k));
    }
    let mut many = joined;
    joined.add(f.word(n - 1));
    let is_plural = canonical(f.word(n - 1), Language::En).bytes() != f.word(n - 1) && f.word(n - 1).ends_with(b"s");
    let last = plural(f.word(n - 1));
    many.add(last.bytes());
    let with_plural = language == Language::En && !is_plural && f.word(n - 1).len() > 2;
    if n == 1 {
        single.entry(text(joined.bytes())).or_default().push(row);
        if with_plural {
            single.entry(text(many.bytes())).or_default().push(row);
        }
    } else {
        several.entry(text(joined.bytes())).or_default().push(row);
        if with_plural {
            several.entry(text(many.bytes())).or_default().push(row);
            single.entry(text(last.bytes())).or_default();
        }
    }
}

/// Words that can stand beside a name and change nothing about what it is.
const LIGHT: &[&str] = &[
    "a an the some any few little bit bits lot lots of my our your this that these those other various assorted mixed",
    "small large big medium mini tiny huge giant jumbo baby young old new mature long short thick thin fat skinny heavy light",
    "organic bio free range farmed wild local homegrown home grown garden fresh freshly good quality best great nice perfect",
    "extra virgin pure real natural plain regular normal ordinary standard traditional classic original authentic",
    "red green yellow purple white black brown blue pink golden dark pale bright orange coloured colored",
    "ripe unripe firm soft tender tough crisp crunchy juicy sweet sour tart bitter mild strong sharp",
    "whole half quarter piece pieces chunk chunks slice slices strip strips wedge wedges cube cubes ring rings round rounds",
    "bunch bunches handful handfuls pile piles heap bag bags box boxes packet packets pack packs can cans tin tins jar jars",
    "leftover leftovers remaining remains spare extra surplus excess kitchen household home food foods stuff things items",
    "shape shapes type types kind kinds sort sorts style variety mix mixture blend assortment selection",
    "seasonal summer winter spring autumn early late",
    "premium luxury finest value basic own brand favourite favorite",
    "italian french spanish english american mexican chinese japanese thai indian greek asian european irish german",
    "boneless skinless lean fatty thickly thinly finely coarsely roughly lightly well very quite so really too just",
    "packed loosely tightly heaping level rounded generous scant about around approximately roughly nearly almost",
    "room temperature warm cold chilled cool hot lukewarm boiling",
    "plus more taste needed optional garnish serving preferably such like as also only",
    "inedible edible unwanted discarded thrown out away up off down",
];

/// Words of every day that name nothing a bag holds, and so are no slips of names that do.
const ORDINARY: &[&str] = &[
    "mold mould clump clumps floor stuff residue substance substances counter counters fridge freezer drawer shelf sink drain",
    "house yard street week weeks month months year years day days night morning today yesterday tomorrow last next time times",
    "people person human humans dog dogs cat cats pet pets kid kids child children man men woman women baby babies friend",
    "part parts rest inside outside bottom middle side sides front back edge edges corner corners center centre",
    "amount amounts quantity quantities number portion portions serving servings batch load loads mass weight size",
    "new nice real sure same bad poor rich full broken lost found used worn torn cut dead alive live",
    "wash clean cook eat feed give take make put add use keep throw leave left right open close start stop",
    "work home shop store market farm field woods forest park school office bar cafe restaurant canteen",
    "color colour shade form forms example sample rate grade level line row page book books sheet note notes",
    "when where what who how why then than very too much many more most less least each every both all none no not",
    "be is are was were been has have had do does did can could will would shall should may might must",
    "our your their its his her him them they she he it us me one two three four five six seven eight nine ten dozen",
    "brand label name word words hand hands foot head face hole holes lump lumps bump spot spots mark marks",
    "water hot cold sun rain snow wind air fire light dark smell taste moist mush mess gunk goop sludge",
    "low high fast slow near far deep loose tight flat wide narrow rough smooth shiny dull",
    "total main major minor double single triple couple pair set group bunch cluster",
];

/// What kitchens write most, by general knowledge: between two words as near, the commoner was meant.
const COMMON: &[&str] = &[
    "apple banana orange lemon lime grape pear peach plum cherry strawberry raspberry blueberry blackberry cranberry mango melon",
    "watermelon pineapple kiwi avocado grapefruit apricot fig date raisin prune coconut papaya pomegranate clementine mandarin",
    "fruit vegetable potato tomato onion garlic carrot celery lettuce cabbage spinach kale broccoli cauliflower cucumber pepper",
    "bean pea corn mushroom pumpkin squash zucchini courgette aubergine eggplant beet beetroot radish turnip parsnip leek",
    "asparagus artichoke sprout brussels chard ginger parsley basil mint cilantro coriander thyme rosemary sage oregano dill chive",
    "salad herb spice nut almond walnut peanut cashew pecan hazelnut pistachio seed sesame sunflower",
    "bread toast roll bagel muffin cake cookie biscuit cracker pastry pie pancake waffle doughnut brownie tortilla pizza pasta",
    "spaghetti macaroni lasagna noodle rice oat oatmeal cereal flour cornmeal quinoa barley wheat granola popcorn chip crisp",
    "pretzel sandwich burger hamburger cheeseburger burrito taco soup stew curry chili sauce salsa gravy ketchup mustard mayonnaise dressing",
    "vinegar oil butter margarine lard fat cheese milk cream yogurt custard egg meat beef pork lamb chicken turkey duck bacon ham",
    "sausage steak fish salmon tuna cod shrimp prawn crab lobster mussel oyster clam sardine anchovy mackerel bone gelatin",
    "sugar salt honey syrup jam jelly chocolate candy sweet marshmallow dessert pudding custard soda juice coffee tea beer wine water",
    "cider brandy vodka rum whiskey vermouth cognac bourbon tequila starch yeast cinnamon vanilla nutmeg clove cumin paprika",
    "paper cardboard newspaper tissue towel napkin carton box bag foil plastic wood leaf grass straw flower soil compost",
    "peel skin shell core pit rind crust stem stalk husk cob ground leftover scrap crumb tofu lentil chickpea hummus pickle olive",
    "cantaloupe pancake espresso barbecue mozzarella parmesan cheddar feta preserve shortening vinaigrette ratatouille quiche gratin",
];

impl Lexicon for Known {
    fn names(&self, phrase: &str) -> bool {
        self.names.whole(&Query::of(&self.names, phrase), None, false).is_some()
    }
    fn knows_word(&self, word: &str) -> bool {
        let q = Query::of(&self.names, word);
        q.count() > 0 && q.all(0, q.count(), |i| i.languages != 0)
    }
    fn vocabulary(&self) -> &Vocabulary {
        &self.vocabulary
    }
}

/// Words that part a phrase into regions.
fn parting(word: &[u8]) -> Option<Parting> {
    Some(match word {
        b"of" | b"de" | b"du" | b"des" | b"del" | b"d" | b"von" | b"vom" => Parting::Of,
        b"from" | b"off" => Parting::From,
        b"with" | b"in" | b"on" | b"and" | b"plus" | b"inside" | b"mit" | b"con" | b"avec" | b"et" | b"und" | b"y"
        | b"w" | b"or" => Parting::With,
        b"for" | b"to" | b"at" | b"by" | b"per" | b"as" | b"after" | b"before" | b"that" | b"which" | b"you" | b"i"
        | b"we" => Parting::Aside,
        _ => return None,
    })
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Parting {
    Of,
    From,
    With,
    Aside,
}

/// A named stretch of a phrase.
#[derive(Clone, Copy)]
struct Stretch {
    hit: Hit,
    from: usize,
    to: usize,
}

impl Names {
    /// The last named stretch of a region, the longest that ends there; for Spanish and French the
    /// first, since their head nouns lead.
    fn stretch(&self, q: &Query, from: usize, to: usize, language: Language) -> Option<Stretch> {
        if matches!(language, Language::Es | Language::Fr) {
            for i in from..to {
                for j in (i + 1..=to.min(i + LONGEST_NAME)).rev() {
                    if let Some(hit) = self.span(q, i, j, language, 2, false) {
                        return Some(Stretch { hit, from: i, to: j });
                    }
                }
            }
            return None;
        }
        for j in (from + 1..=to).rev() {
            for i in j.saturating_sub(LONGEST_NAME).max(from)..j {
                if let Some(hit) = self.span(q, i, j, language, 2, false) {
                    return Some(Stretch { hit, from: i, to: j });
                }
            }
        }
        None
    }

    /// True if a stretch says only how much, which part or how it is, and so is no head.
    fn weak(&self, q: &Query, s: Stretch) -> bool {
        (s.from..s.to).all(|i| q.info(i).free())
    }

    /// Things named among the words that were set aside.
    fn asides(&self, q: &Query, (from, to): (usize, usize), head: u16, language: Language, out: &mut Vec<ItemId>) {
        let mut i = from;
        while i < to {
            let named = |j: usize| {
                let hit = self.span(q, i, j, language, 2, false);
                hit.or_else(|| if language == Language::En { None } else { self.span(q, i, j, Language::En, 2, false) })
                    .map(|hit| (j, hit))
            };
            let longest = (i + 1..=to.min(i + LONGEST_NAME)).rev().find_map(named);
            match longest {
                Some((j, hit)) => {
                    let s = Stretch { hit, from: i, to: j };
                    let id = ItemId(self.row(hit.row).item);
                    if !self.weak(q, s) && id.0 != head && !out.contains(&id) {
                        out.push(id);
                    }
                    i = j;
                }
                None => i += 1,
            }
        }
    }

    /// The head noun of a phrase, its modifiers set aside.
    fn head(&self, q: &Query, language: Language) -> Option<Head> {
        let n = q.count();
        let mut regions: Vec<(Option<Parting>, usize, usize)> = Vec::with_capacity(4);
        let (mut start, mut by) = (0usize, None);
        for i in 0..=n {
            let cut = if i == n { Some(Parting::Aside) } else { parting(q.f.word(i)) };
            if let Some(next) = cut {
                if start < i {
                    regions.push((by, start, i));
                    by = None;
                }
                // Of two parting words in a row the first says how.
                by = by.or(Some(next));
                start = i + 1;
            }
        }
        let mut chosen: Option<(usize, Stretch)> = None;
        for (r, (by, from, to)) in regions.iter().enumerate() {
            let Some(s) = self.stretch(q, *from, *to, language) else { continue };
            match chosen {
                None => chosen = Some((r, s)),
                Some((_, before))
                    if self.weak(q, before) && !self.weak(q, s) && matches!(by, Some(Parting::Of | Parting::From)) =>
                {
                    chosen = Some((r, s));
                }
                Some(_) => {}
            }
        }
        let (r, s) = chosen?;
        let head = self.row(s.hit.row).item;
        let mut asides = Vec::new();
        let mut beside = Vec::new();
        let mut part = None;
        let (mut loose, mut trailing) = (0usize, 0usize);
        for (k, (by, from, to)) in regions.iter().enumerate() {
            let (by, from, to) = (*by, *from, *to);
            if k == r {
                self.asides(q, (from, s.from), head, language, &mut asides);
                self.asides(q, (s.to, to), head, language, &mut asides);
                beside = asides.clone();
                loose += (from..s.from).filter(|i| !q.info(*i).known()).count();
                trailing += (s.to..to).filter(|i| !q.info(*i).free()).count();
            } else if k < r {
                part = part.or_else(|| (from..to).find_map(|i| q.info(i).part));
                self.asides(q, (from, to), head, language, &mut asides);
                loose += (from..to).filter(|i| !q.info(*i).known()).count();
            } else if by != Some(Parting::Aside) {
                let before = asides.len();
                self.asides(q, (from, to), head, language, &mut asides);
                if by == Some(Parting::Of) {
                    beside.extend(asides.iter().skip(before));
                }
            }
        }
        let mut confidence: f64 = 0.96 - 0.03 * f64::from(u32::try_from(loose.min(6)).unwrap_or(6));
        if trailing > 0 {
            confidence -= 0.3;
        }
        if q.f.cut {
            confidence = confidence.min(0.4);
        }
        if language != Language::En {
            let others = (0..n).filter(|i| !(s.from..s.to).contains(i));
            let strange =
                others.filter(|i| q.info(*i).languages & bit(language) == 0 && parting(q.f.word(*i)).is_none()).count();
            confidence -= 0.15 * f64::from(u32::try_from(strange.min(4)).unwrap_or(4));
        }
        Some(Head { hit: s.hit, from: s.from, to: s.to, asides, beside, part, confidence: confidence.max(0.1) })
    }

    /// The longest name in `full` that holds the words of `q` between `from` and `to` and more:
    /// where "beef" was found in "ground beef".
    fn longer(&self, full: &Query, q: &Query, from: usize, to: usize, language: Language) -> Option<Stretch> {
        let wanted = q.raw(from, to);
        let n = full.count();
        let len = wanted.len();
        let at = (0..=n.checked_sub(len)?).find(|i| full.raw(*i, i + len) == wanted)?;
        let mut best: Option<Stretch> = None;
        for i in (at + len).saturating_sub(LONGEST_NAME)..=at {
            for j in at + len..=n.min(i + LONGEST_NAME) {
                if j - i > best.map_or(len, |b| b.to - b.from) {
                    if let Some(hit) = self.span(full, i, j, language, 2, false) {
                        best = Some(Stretch { hit, from: i, to: j });
                    }
                }
            }
        }
        best
    }

    fn own_part(&self, item: u16, part: PartId) -> Option<u16> {
        let at = self.own.partition_point(|(i, p, _)| (i, p) < (item, part.0));
        self.own.get(at).filter(|(i, p, _)| (*i, *p) == (item, part.0)).map(|o| o.2)
    }
}

/// Words of a name at most.
const LONGEST_NAME: usize = 6;

/// What was found for one name, before it is put into words.
struct Answer {
    row: Option<u32>,
    rung: Option<Rung>,
    confidence: f64,
    identified: Identified,
    part: Option<PartId>,
    /// Words of `full` that the name took up, if it was found there.
    taken: Option<(usize, usize)>,
    asides: Vec<ItemId>,
    /// Rows within reach, with the edits and the cost.
    near: Vec<Rated>,
}

impl Answer {
    fn unknown() -> Answer {
        Answer {
            row: None,
            rung: None,
            confidence: 0.0,
            identified: Identified::Unknown,
            part: None,
            taken: None,
            asides: Vec::new(),
            near: Vec::new(),
        }
    }

    fn named(hit: Hit, rung: Rung, confidence: f64) -> Answer {
        let mut a = Answer {
            row: Some(hit.row),
            rung: Some(rung),
            confidence,
            identified: Identified::Sure,
            ..Answer::unknown()
        };
        if let Some(rival) = hit.rival {
            a.near.push((rival, 0, 0));
            a.identified = Identified::Likely;
            a.confidence = confidence.min(0.7);
        }
        a
    }
}

/// Finds what every thing of a bag is; `language` is the language to prefer, if one was asked for.
pub fn find(bag: &Bag, known: &Known, language: Option<Language>) -> Vec<Found> {
    let mut out = Vec::new();
    for line in &bag.lines {
        let Reading::Things(things) = &line.reading else { continue };
        for thing in things {
            let mut additions: Vec<ItemId> = Vec::new();
            let mut unknown_additions = Vec::new();
            let mut identities = Vec::with_capacity(thing.names.len());
            for named in &thing.names {
                let (mut identity, mut asides) = look(named, known, language);
                if let Some(container) = emptied(thing, named, known, language) {
                    (identity, asides) = container;
                }
                for a in asides {
                    if !additions.contains(&a) {
                        additions.push(a);
                    }
                }
                identities.push(identity);
            }
            for text in &thing.additions {
                match item_of(text, known, language) {
                    Some(items) => additions.extend(items),
                    None => unknown_additions.push(text.clone()),
                }
            }
            let without = thing
                .without
                .iter()
                .filter_map(|t| item_of(t, known, language))
                .flat_map(|i| i.into_iter().take(1))
                .collect();
            additions.dedup();
            out.push(Found {
                line: line.number,
                thing: thing.clone(),
                identities,
                additions,
                unknown_additions,
                without,
            });
        }
    }
    if language.is_none() && out.len() > 1 {
        ask_about_languages(&mut out, known);
    }
    out
}

/// "two empty cartons of soya milk": the carton is meant.
fn emptied(thing: &Thing, named: &Named, known: &Known, language: Option<Language>) -> Option<(Identity, Vec<ItemId>)> {
    let unit = thing.unit.filter(|u| {
        matches!(u.name, "carton" | "bottle" | "jar" | "can" | "tin" | "box" | "bag" | "packet" | "tub" | "cup")
    })?;
    let state = known.vocabulary().state("emptied")?;
    if named.said.yes & state.bit() == 0 {
        return None;
    }
    let name = format!("{} {}", named.name, unit.name);
    let container = Named { name: name.clone(), full: name, ..named.clone() };
    let (identity, asides) = look(&container, known, language);
    (identity.rung <= Some(Rung::Normalised) && identity.item.is_some()).then_some((identity, asides))
}

/// The items that an addition names, the first its own.
fn item_of(text: &str, known: &Known, language: Option<Language>) -> Option<Vec<ItemId>> {
    let named = Named { name: text.to_string(), full: text.to_string(), ..Named::default() };
    let (identity, asides) = look(&named, known, language);
    let sure = matches!(identity.identified, Identified::Sure | Identified::Likely);
    identity.item.filter(|_| sure).map(|i| std::iter::once(i).chain(asides).collect())
}

/// Where other lines read as another language, an English name that means something else there
/// gets that as an alternative.
fn ask_about_languages(found: &mut [Found], known: &Known) {
    let lines: Vec<(u32, Language)> = found
        .iter()
        .flat_map(|f| f.identities.iter().map(move |i| (f.line, i)))
        .filter(|(_, i)| i.language != Language::En && i.rung.is_some_and(|r| r <= Rung::Normalised))
        .map(|(line, i)| (line, i.language))
        .collect();
    if lines.is_empty() {
        return;
    }
    for f in found {
        for identity in &mut f.identities {
            if identity.language != Language::En || identity.rung.is_none_or(|r| r > Rung::Normalised) {
                continue;
            }
            let q = Query::of(&known.names, &identity.name);
            for language in [Language::Es, Language::De, Language::Fr] {
                if !lines.iter().any(|(line, l)| *l == language && *line != f.line) {
                    continue;
                }
                let Some(hit) = known.names.whole(&q, Some(language), true) else { continue };
                let row = known.names.row(hit.row);
                let item = ItemId(row.item);
                if Some(item) != identity.item && !identity.alternatives.iter().any(|a| a.item == item) {
                    identity.identified = identity.identified.max(Identified::Likely);
                    identity.confidence = identity.confidence.min(0.8);
                    identity.alternatives.push(Alternative {
                        item,
                        name: name_of(known, hit.row),
                        confidence: 0.2,
                        within_reach: true,
                    });
                }
            }
        }
    }
}

fn name_of(known: &Known, row: u32) -> String {
    let r = known.names.row(row);
    known
        .item(ItemId(r.item))
        .and_then(|i| i.names.get(usize::from(r.which)))
        .map_or_else(String::new, |n| n.text.to_string())
}

/// What one name is taken for, English first.
pub fn identify(named: &Named, known: &Known) -> Identity {
    look(named, known, None).0
}

/// What one name is taken for, names of `language` first.
pub fn identify_in(named: &Named, known: &Known, language: Language) -> Identity {
    look(named, known, Some(language)).0
}

/// What one name is taken for, and the things named among the words set aside.
fn look(named: &Named, known: &Known, language: Option<Language>) -> (Identity, Vec<ItemId>) {
    let names = &known.names;
    let written = if named.name.is_empty() { &named.full } else { &named.name };
    let name = Query::of(names, written);
    let other = named.full != *written;
    let full_query = if other { Some(Query::of(names, &named.full)) } else { None };
    let full = full_query.as_ref().unwrap_or(&name);
    let answer = names.climb(written, &name, full, named.part, named.said, known, language);
    settle(answer, named, full, known)
}

impl Names {
    /// The ladder.
    #[allow(clippy::too_many_arguments, reason = "the two readings of a name and what was said of it")]
    fn climb(
        &self,
        written: &str,
        name: &Query,
        full: &Query,
        part: Option<PartId>,
        said: Said,
        known: &Known,
        language: Option<Language>,
    ) -> Answer {
        if name.count() == 0 {
            return Answer::unknown();
        }
        let other = full.count() != name.count() || full.raw(0, full.count()) != name.raw(0, name.count());
        if other {
            if let Some(hit) = self.whole(full, language, false) {
                let mut a = Answer::named(hit, self.rung(hit, full.f.text(), known), 1.0);
                a.taken = Some((0, full.count()));
                return a;
            }
        }
        if let Some(hit) = self.whole(name, language, false) {
            let read = self.row(hit.row).language;
            if other {
                if let Some(s) = self.longer(full, name, 0, name.count(), read) {
                    let mut a = Answer::named(s.hit, Rung::Normalised, 0.98);
                    a.taken = Some((s.from, s.to));
                    return a;
                }
            }
            return Answer::named(hit, self.rung(hit, written, known), 1.0);
        }
        for (id, pattern) in &self.patterns {
            if pattern.is_match(written) {
                let row =
                    self.rows.iter().position(|r| r.item == *id && r.which == 0).and_then(|r| u32::try_from(r).ok());
                if let Some(row) = row {
                    return Answer::named(Hit { row, rival: None }, Rung::OtherName, 0.95);
                }
            }
        }
        if name.count() == 1 {
            if let Some(mut a) = self.similar_word(name, language) {
                if other {
                    self.reach_joined(full, &mut a);
                }
                return a;
            }
        }
        let strange = name.count() > 1 && (0..name.count()).any(|i| self.strange(name, i));
        // Without a strange word a slip made another word of it ("garden wine"); a food in its packing did not.
        if name.count() > 1 && (strange || !PACKED.contains(&name.f.word(name.count() - 1))) {
            if let Some(mut a) =
                self.similar_whole(name, language).filter(|a| strange || a.identified == Identified::Likely)
            {
                if let Some(h) = self.head(name, language.unwrap_or(Language::En)) {
                    a.near.push((h.hit.row, 0, PLAIN));
                }
                if other {
                    self.reach_joined(full, &mut a);
                }
                return a;
            }
        }
        if strange {
            if let Some(mut a) = self.similar_phrase(name, language, known) {
                if other {
                    self.reach_joined(full, &mut a);
                }
                return a;
            }
        }
        let head = self.head(name, language.unwrap_or(Language::En)).map(|h| (h, language.unwrap_or(Language::En)));
        let head = head.or_else(|| {
            LANGUAGES.iter().filter(|l| Some(**l) != language).find_map(|l| self.head(name, *l).map(|h| (h, *l)))
        });
        if let Some((h, read)) = head {
            return self.headed(h, name, full, other, read, part, known);
        }
        if other {
            if let Some(h) = self.head(full, language.unwrap_or(Language::En)) {
                let taken = (h.from, h.to);
                let mut a = self.headed(h, full, full, false, language.unwrap_or(Language::En), part, known);
                a.taken = Some(taken);
                return a;
            }
        }
        self.bare(full, part, said, known).unwrap_or_else(Answer::unknown)
    }

    /// Nothing but a part or a state was said: "peelings", "salted things".
    fn bare(&self, full: &Query, part: Option<PartId>, said: Said, known: &Known) -> Option<Answer> {
        if !full.all(0, full.count(), Info::free) {
            return None;
        }
        let part = part.or_else(|| (0..full.count()).find_map(|i| full.info(i).part));
        let word = match part {
            Some(p) => known.vocabulary().part_name(p),
            None => known.vocabulary().names_of(said.yes).into_iter().find(|s| BARE.iter().any(|(w, _, _)| w == s))?,
        };
        let (_, name, sure) = BARE.iter().find(|(w, _, _)| *w == word)?;
        let hit = self.whole(&Query::of(self, name), Some(Language::En), true)?;
        let confidence = if *sure { 0.7 } else { 0.4 };
        let identified = if *sure { Identified::Likely } else { Identified::Unsure };
        Some(Answer { identified, part, ..Answer::named(hit, Rung::HeadNoun, confidence) })
    }

    #[allow(clippy::too_many_arguments, reason = "the two readings of a name and what was said of it")]
    fn headed(
        &self,
        h: Head,
        name: &Query,
        full: &Query,
        other: bool,
        read: Language,
        part: Option<PartId>,
        known: &Known,
    ) -> Answer {
        // "tomato paste packet": the packet is meant, or what is in it; nobody can tell which.
        let packed = h.to < name.count() && PACKED.contains(&name.f.word(name.count() - 1));
        let identified = if h.confidence < 0.6 || packed { Identified::Unsure } else { Identified::Likely };
        let mut a =
            Answer { identified, confidence: h.confidence, ..Answer::named(h.hit, Rung::HeadNoun, h.confidence) };
        a.asides = h.asides;
        a.part = part.or(h.part);
        // "mozzarella soft cheese", "edamame beans": the head is a kind, and one of its own stands beside it.
        let head = ItemId(self.row(h.hit.row).item);
        let kind =
            known.kinds_of(head).iter().find(|k| known.kind(**k).is_some_and(|k| k.name == known.item_name(head)));
        let narrower = kind.and_then(|k| h.beside.iter().find(|i| known.kinds_of(**i).binary_search(k).is_ok()));
        if let Some(narrow) = narrower.copied() {
            a.asides.retain(|i| *i != narrow);
            a.row = u32::try_from(self.rows.partition_point(|r| r.item < narrow.0)).ok();
        }
        if other {
            if let Some(s) = self.longer(full, name, h.from, h.to, read) {
                a.row = Some(s.hit.row);
                a.taken = Some((s.from, s.to));
            }
        }
        self.reach_joined(name, &mut a);
        a
    }

    /// Every name within one letter of the whole phrase written as one word.
    fn reach_joined(&self, q: &Query, a: &mut Answer) {
        let joined = q.joined(0, q.count());
        let mut near = Vec::new();
        self.joined.near(joined.bytes(), 1, &mut near);
        for n in &near {
            let c = cost(joined.bytes(), self.joined.word(n.word));
            for row in self.rows_of(usize::from(n.word) + self.singles()) {
                a.near.push((row, n.edits, c));
            }
        }
    }

    fn singles(&self) -> usize {
        self.slips.count()
    }

    /// The rows whose whole name is a spelling.
    fn rows_of(&self, spelling: usize) -> impl ExactSizeIterator<Item = u32> + Clone + '_ {
        match (self.spelled_at.get(spelling), self.spelled_at.get(spelling + 1)) {
            (Some(a), Some(b)) => self.spelled.run(a as usize, b as usize),
            _ => self.spelled.run(0, 0),
        }
    }

    fn rung(&self, hit: Hit, written: &str, known: &Known) -> Rung {
        let row = self.row(hit.row);
        let text =
            known.item(ItemId(row.item)).and_then(|i| i.names.get(usize::from(row.which))).map_or("", |n| n.text);
        if text != written.trim() {
            Rung::Normalised
        } else if row.which == 0 {
            Rung::Exact
        } else {
            Rung::OtherName
        }
    }
}

/// What a foreign name costs more than an English one, when nobody asked for its language.
const FOREIGN: u32 = 60;
/// What a word that kitchens seldom write costs more than a common one.
const RARE: u32 = 30;
/// What a second edit costs beyond the letters it changes.
const FURTHER: u32 = 15;
/// What joining or parting words costs.
const SPACE: u32 = 30;
/// By how much the best must be cheaper than the next item as many edits away.
const MARGIN: u32 = 30;
/// Likely readings of one strange word that are tried in a phrase.
const TRIED: usize = 6;
/// Strange words of a phrase that are mended together.
const MENDED: usize = 2;

/// A row within reach: edits, and what the slip costs.
type Rated = (u32, u8, u32);

impl Names {
    fn foreign(&self, row: u32, language: Option<Language>) -> u32 {
        let read = self.row(row).language;
        if read == language.unwrap_or(Language::En) { 0 } else { FOREIGN }
    }

    /// How unlikely a word is to be meant at all, as a cost.
    fn rarity(&self, word: u16) -> u32 {
        self.rarities.get(usize::from(word)).map_or(RARE, u32::from)
    }

    /// Whether a word of a phrase is known to nobody.
    fn strange(&self, q: &Query, i: usize) -> bool {
        let word = q.f.word(i);
        // A participle or an adverb beside a name is a word of its own more often than a slip.
        let verbal = word.len() > 4 && (word.ends_with(b"ed") || word.ends_with(b"ing") || word.ends_with(b"ly"));
        !q.info(i).known() && parting(word).is_none() && word.len() > 1 && !verbal
    }

    /// One word by likeness: every spelling within two edits, then what sounds alike.
    fn similar_word(&self, q: &Query, language: Option<Language>) -> Option<Answer> {
        let word = q.f.word(0);
        let len = word.len();
        let info = q.info(0);
        // A word that people use for something else is no slip of a name.
        if len < 3 || info.ordinary || info.free() {
            return None;
        }
        let mut rated: Vec<Rated> = Vec::new();
        let mut near: Vec<Near> = Vec::new();
        self.slips.near(word, 2, &mut near);
        for n in &near {
            let rows = self.rows_of(usize::from(n.word));
            if rows.len() == 0 {
                continue;
            }
            let c = cost(word, self.slips.word(n.word))
                + self.rarity(n.word)
                + FURTHER * u32::from(n.edits.saturating_sub(1));
            rated.extend(rows.map(|row| (row, n.edits, c + self.foreign(row, language))));
        }
        near.clear();
        self.joined.near(word, 1, &mut near);
        self.rate_joined(word, &near, language, &mut rated);
        near.clear();
        let asked = language.is_some_and(|l| l != Language::En);
        self.abroad.near(word, if asked { 2 } else { 1 }, &mut near);
        for n in &near {
            let c = cost(word, self.abroad.word(n.word)) + FURTHER * u32::from(n.edits.saturating_sub(1));
            let rows = self.rows_of(usize::from(n.word) + self.singles() + self.joined.count());
            rated.extend(rows.map(|row| (row, n.edits, c + self.foreign(row, language))));
        }
        if rated.iter().all(|r| r.1 > 1) {
            let code = sound(word);
            let from = self.sounds.partition_point(|(s, _)| s < code);
            for (_, id) in self.sounds.run(from, self.sounds.len()).take_while(|(s, _)| *s == code) {
                let c = cost(word, self.slips.word(id)) + self.rarity(id);
                if c <= 45 * u32::try_from(len).unwrap_or(45) {
                    for row in self.rows_of(usize::from(id)) {
                        let c = c.saturating_sub(40) + self.foreign(row, language);
                        match rated.iter_mut().find(|r| r.0 == row) {
                            Some(r) => r.2 = r.2.min(c),
                            None => rated.push((row, 3, c)),
                        }
                    }
                }
            }
        }
        self.choose(rated, len)
    }

    fn rate_joined(&self, joined: &[u8], near: &[Near], language: Option<Language>, rated: &mut Vec<Rated>) {
        for n in near {
            let c = cost(joined, self.joined.word(n.word)) + SPACE;
            for row in self.rows_of(usize::from(n.word) + self.singles()) {
                rated.push((row, n.edits, c + self.foreign(row, language)));
            }
        }
    }

    /// A phrase that is a name but for one letter or a space.
    fn similar_whole(&self, q: &Query, language: Option<Language>) -> Option<Answer> {
        let joined = q.joined(0, q.count());
        let len = joined.bytes().len();
        if len < 5 || q.f.cut {
            return None;
        }
        let mut near: Vec<Near> = Vec::new();
        let mut rated: Vec<Rated> = Vec::new();
        self.joined.near(joined.bytes(), 1, &mut near);
        self.rate_joined(joined.bytes(), &near, language, &mut rated);
        if q.count() <= 3 {
            near.clear();
            self.slips.near(joined.bytes(), 1, &mut near);
            for n in &near {
                let c = cost(joined.bytes(), self.slips.word(n.word)) + SPACE;
                let rows = self.rows_of(usize::from(n.word));
                rated.extend(rows.map(|row| (row, n.edits, c + self.foreign(row, language))));
            }
        }
        if rated.is_empty() { None } else { self.choose(rated, len) }
    }

    /// The cheapest item, and how surely.
    fn choose(&self, mut rated: Vec<Rated>, len: usize) -> Option<Answer> {
        rated.sort_unstable_by_key(|(row, edits, c)| (*c, *edits, *row));
        let (best, edits, c) = *rated.first()?;
        let item = self.row(best).item;
        let next = rated.iter().find(|r| self.row(r.0).item != item).copied();
        let margin = next.map_or(200, |n| n.2.saturating_sub(c));
        let wanted = if next.is_some_and(|n| n.1 > edits) { MARGIN - 10 } else { MARGIN };
        let length = u32::try_from(len.min(40)).unwrap_or(40);
        // A short word leaves less to recognise it by.
        let limit = match length {
            0..=3 => 0,
            4 => 75,
            5 => 160,
            6 => 185,
            _ => 215,
        };
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
            confidence: confidence.max(0.1),
            identified: if likely { Identified::Likely } else { Identified::Unsure },
            near: rated,
            ..Answer::unknown()
        })
    }

    /// A phrase with strange words in it: as a name with slips in those words, else the strange
    /// words that are plain slips are mended and the head noun sought.
    fn similar_phrase(&self, q: &Query, language: Option<Language>, known: &Known) -> Option<Answer> {
        let n = q.count();
        let strange: Vec<usize> = (0..n).filter(|i| self.strange(q, *i) && q.f.word(*i).len() > 2).collect();
        let mut reach: Vec<Rated> = Vec::new();
        if strange.is_empty() || strange.len() > MENDED {
            return self.beside_strange(q, language, reach, known);
        }
        // For every strange word, what it may have meant, the likeliest first.
        let mut meant: Vec<Vec<(u16, u8, u32)>> = Vec::with_capacity(strange.len());
        let mut near: Vec<Near> = Vec::new();
        for i in &strange {
            let word = q.f.word(*i);
            near.clear();
            self.slips.near(word, 2, &mut near);
            let mut list: Vec<(u16, u8, u32)> = Vec::with_capacity(near.len());
            for m in &near {
                let c = cost(word, self.slips.word(m.word))
                    + self.rarity(m.word)
                    + FURTHER * u32::from(m.edits.saturating_sub(1));
                list.push((m.word, m.edits, c));
                reach.extend(self.rows_of(usize::from(m.word)).map(|row| (row, m.edits, c)));
            }
            list.sort_unstable_by_key(|(id, _, c)| (*c, *id));
            meant.push(list);
        }
        let mut rated: Vec<Rated> = Vec::new();
        let mut raw = q.raw;
        let mut english = q.english;
        self.mend(q, &strange, &meant, (0, 0, 0), (&mut raw, &mut english), language, &mut rated);
        if !rated.is_empty() {
            if let Some(mut a) = self.choose(rated, q.f.text().len()) {
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
                    text.push_str(&String::from_utf8_lossy(self.slips.word(id)));
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
        // A head that was right all along needs no mending of the words beside it.
        if !mended.iter().any(|i| (h.from..h.to).contains(i)) {
            return self.beside_strange(q, language, reach, known);
        }
        let mut a = self.headed(h, &better, &better, false, read, None, known);
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
            let Some((r, s)) = self.slip_hashes.get(usize::from(*word)) else { continue };
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
        let english = |w: u16| self.slip_hashes.get(usize::from(w)).map(|h| h.1);
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
        let mut a = self.headed(h, q, q, false, read, None, known);
        a.near.extend(reach.into_iter().filter(|r| r.1 <= 1));
        Some(a)
    }
}

/// Puts an answer into words: part and states that belong to the name are no longer said of it,
/// a part that is an item of its own becomes that item, and what is within reach is listed.
fn settle(answer: Answer, named: &Named, full: &Query, known: &Known) -> (Identity, Vec<ItemId>) {
    let names = &known.names;
    let Some(row) = answer.row else {
        let name = if named.name.is_empty() { named.full.clone() } else { named.name.clone() };
        let identity = Identity {
            name,
            item: None,
            part: named.part,
            said: named.said,
            identified: Identified::Unknown,
            rung: None,
            confidence: 0.0,
            language: Language::En,
            alternatives: Vec::new(),
        };
        return (identity, Vec::new());
    };
    let found = names.row(row);
    let mut item = ItemId(found.item);
    let mut part = named.part.or(answer.part);
    let mut said = named.said;
    let mut name = if named.name.is_empty() { named.full.clone() } else { named.name.clone() };
    if let Some((from, to)) = answer.taken {
        name = full.f.phrase(from, to).to_string();
        (part, said) = unsaid(part, said, full, from, to, item, known);
    }
    if let Some(p) = part {
        if let Some(own) = names.own_part(item.0, p).or_else(|| loose_part(item, p, known)) {
            item = ItemId(own);
            part = None;
        }
    }
    let mut alternatives: Vec<Alternative> = Vec::new();
    let mut near = answer.near;
    near.sort_by_key(|(row, edits, c)| (*c, *edits, *row));
    for (row, edits, c) in near {
        let other = ItemId(names.row(row).item);
        if other == item || other.0 == found.item || alternatives.iter().any(|a| a.item == other) {
            continue;
        }
        let confidence = (0.5 - f64::from(c) / 500.0).clamp(0.05, 0.5);
        alternatives.push(Alternative { item: other, name: name_of(known, row), confidence, within_reach: edits <= 2 });
    }
    let identity = Identity {
        name,
        item: Some(item),
        part,
        said,
        identified: answer.identified,
        rung: answer.rung,
        confidence: answer.confidence,
        language: found.language,
        alternatives,
    };
    (identity, answer.asides)
}

/// Takes back the part and the states whose words belong to the name. A state stays said where
/// only another name of a wider item holds its word ("salted nuts" are salted).
fn unsaid(
    part: Option<PartId>,
    said: Said,
    full: &Query,
    from: usize,
    to: usize,
    item: ItemId,
    known: &Known,
) -> (Option<PartId>, Said) {
    let Some(entry) = known.item(item) else { return (part, said) };
    let own_name = Folded::of(&entry.name);
    let in_name = |f: &Folded| has(&own_name, 0, own_name.count(), f);
    let mut out = said;
    for (id, state) in known.vocabulary.states() {
        if said.yes & id.bit() == 0 {
            continue;
        }
        let mut held = false;
        let mut elsewhere = false;
        for word in state.ways() {
            let f = Folded::of(word);
            if has(&full.f, from, to, &f) && (in_name(&f) || entry.states.iter().any(|(s, _)| *s == id)) {
                held = true;
            }
            elsewhere |= has(&full.f, 0, from, &f) || has(&full.f, to, full.count(), &f);
        }
        if held && !elsewhere {
            out.yes &= !StateId::bit(id);
        }
    }
    let part = part.filter(|p| {
        let words = known.vocabulary.parts().find(|(id, _)| id == p).map(|(_, x)| x);
        let held = words.is_some_and(|x| x.ways().any(|w| has_part(&full.f, from, to, &Folded::of(w))));
        let names_it = words.is_some_and(|x| x.ways().any(|w| in_name(&Folded::of(w))));
        !held || (entry.parts.iter().any(|own| own.part == *p) && !names_it)
    });
    (part, out)
}

fn has_part(f: &Folded, from: usize, to: usize, w: &Folded) -> bool {
    has(f, from, to, w)
        || (from..to).any(|i| w.count() == 1 && f.word(i).len() > w.word(0).len() && f.word(i).ends_with(w.word(0)))
}

/// Whether the words of `w` stand in `f` between two places.
fn has(f: &Folded, from: usize, to: usize, w: &Folded) -> bool {
    let n = w.count();
    n > 0 && from + n <= to && (from..=to - n).any(|i| (0..n).all(|k| f.word(i + k) == w.word(k)))
}

/// A part that is a thing of its own whatever it came from.
fn loose_part(item: ItemId, part: PartId, known: &Known) -> Option<u16> {
    let loose = &known.names.loose;
    let own = known.item(item)?;
    if own.parts.iter().any(|p| p.part == part) {
        return None;
    }
    let is = |kind: &str| known.kind_named(kind).is_some_and(|k| known.kinds_of(item).binary_search(&k).is_ok());
    match known.vocabulary.part_name(part) {
        "bone" if is("animal product") => loose.bone,
        "pit" if is("fruit") => loose.pit,
        "cob" => loose.cob.filter(|_| is("plant food")),
        "husk" => loose.husk.filter(|_| is("plant food")),
        "shell" if is("egg") => loose.eggshell,
        "shell" if is("nut") => loose.nut_shell,
        "shell" if is("shellfish") => loose.sea_shell,
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::Faults;
    use crate::knowledge::load::{Entries, ItemEntry, KindEntry};

    const ITEMS: &str = "
- {item: banana, is: [tropical fruit], also: [plantain banana], es: [plátano], de: [Banane], fr: [banane]}
- {item: orange, is: [citrus], es: [naranja], de: [Orange, Apfelsine], fr: [orange]}
- {item: apple, is: [pome fruit], es: [manzana], de: [Apfel, Äpfel], fr: [pomme]}
- {item: tomato, is: [tomato], es: [tomate], de: [Tomate], fr: [tomate]}
- {item: potato, is: [potato], fr: [pomme de terre]}
- {item: avocado, is: [avocado], also: [avo], includes: {avocado pit: 0.16}}
- {item: avocado pit, is: [pit], also: [avocado stone]}
- {item: pit, is: [pit], also: [fruit stone]}
- {item: peach, is: [stone fruit]}
- {item: corn on the cob, is: [vegetable]}
- {item: sweetcorn, is: [vegetable], also: [corn, maize]}
- {item: corn husk, is: [husk]}
- {item: egg, is: [egg], es: [huevo]}
- {item: eggshell, is: [eggshell]}
- {item: ground beef, is: [meat], also: [beef mince]}
- {item: beef, is: [meat]}
- {item: chicken, is: [poultry]}
- {item: bone, is: [bone]}
- {item: bacon, is: [meat]}
- {item: green bean, is: [pod vegetable], also: [french bean, haricot vert], fr: [haricot vert]}
- {item: coffee, is: [coffee], also: [coffee grounds], parts: {grounds: {share: 0.9}}}
- {item: dried apricot, is: [dried fruit], states: {dried: yes}}
- {item: apricot, is: [stone fruit]}
- {item: olive oil, is: [oil or fat], also: [extra virgin olive oil]}
- {item: pasta, is: [pasta]}
- {item: carrot, is: [root vegetable]}
- {item: yogurt, is: [dairy]}
- {item: chilli, is: [hot pepper]}
- {item: custard, is: [dairy], also: [custard sauce]}
- {item: mustard, is: [sauce]}
- {item: salad, is: [salad]}
- {item: beet, is: [root vegetable], also: [beetroot]}
- {item: prune, is: [dried fruit]}
- {item: plum, is: [stone fruit], fr: [prune]}
- {item: lemon, is: [citrus], de: [Zitrone], fr: [citron]}
- {item: milk, is: [dairy], de: [Milch], fr: [lait]}
- {item: milk chocolate, is: [sweet]}
- {item: chocolate, is: [sweet]}
- {item: leaves, is: [leaves]}
- {item: cabbage, is: [brassica]}
";

    fn known() -> Known {
        let vocabulary =
            Vocabulary::load(include_str!("../../rules/states.yaml"), include_str!("../../rules/parts.yaml")).unwrap();
        let kinds: Vec<KindEntry> = serde_yaml::from_str(include_str!("../../rules/kinds.yaml")).unwrap();
        let items: Vec<ItemEntry> = serde_yaml::from_str(ITEMS).unwrap();
        let mut faults = Faults::default();
        Known::build(vocabulary, Entries { kinds, items, ..Entries::default() }, &mut faults)
    }

    fn named(known: &Known, name: &str, full: &str, part: &str, states: &[&str]) -> Named {
        let v = known.vocabulary();
        let mut said = Said::default();
        for s in states {
            said.say(v.state(s).unwrap(), true);
        }
        Named { name: name.into(), full: full.into(), part: v.part(part), said }
    }

    fn item(known: &Known, text: &str) -> String {
        let i = identify(&named(known, text, text, "", &[]), known);
        format!(
            "{} {} {}",
            i.item.map_or("-", |i| known.item_name(i)),
            i.rung.map_or("-", Rung::word),
            i.identified.word()
        )
    }

    #[test]
    fn the_ladder_says_its_rung() {
        let k = known();
        for (text, want) in [
            ("banana", "banana exact sure"),
            ("avo", "avocado other_name sure"),
            ("Bananas", "banana normalised sure"),
            ("egg shells", "eggshell normalised sure"),
            ("Egg-Shell", "eggshell normalised sure"),
            ("beans, green", "green bean normalised sure"),
            ("beans green", "green bean normalised sure"),
            ("yoghurts", "yogurt normalised sure"),
            ("Chile", "chilli normalised sure"),
            ("tomatoes", "tomato normalised sure"),
            ("granny smith apples", "apple head_noun likely"),
            ("organic baby carrots", "carrot head_noun likely"),
            ("pasta shapes", "pasta head_noun likely"),
            ("really good extra virgin olive oil", "olive oil head_noun likely"),
            ("peel of orange", "orange head_noun likely"),
            ("bananna", "banana similar likely"),
            ("tomatos", "tomato normalised sure"),
            ("bacin", "bacon similar likely"),
            ("mustrad", "mustard similar likely"),
            ("xylophone", "- - unknown"),
            ("plátanos", "banana normalised sure"),
            ("pommes de terre", "potato normalised sure"),
            ("Tomaten", "tomato normalised sure"),
            ("Aepfel", "apple normalised sure"),
            ("prune", "prune exact sure"),
            ("chocolate milk", "milk head_noun likely"),
        ] {
            assert_eq!(item(&k, text), want, "{text}");
        }
    }

    #[test]
    fn parts_and_states_that_belong_to_the_name_are_not_said() {
        let k = known();
        for (name, full, part, states, want) in [
            ("egg", "egg shells", "shell", &[][..], "eggshell - []"),
            ("avocado", "avocado stones", "pit", &[], "avocado pit - []"),
            ("peach", "peach pit", "pit", &[], "pit - []"),
            ("corn", "corn husks", "husk", &[], "corn husk - []"),
            ("beef", "ground beef", "", &["ground"], "ground beef - []"),
            ("lean beef", "lean ground beef", "", &["ground"], "ground beef - []"),
            ("beef", "chopped beef", "", &["chopped"], "beef - [chopped]"),
            ("coffee", "coffee grounds", "grounds", &[], "coffee grounds []"),
            ("apricots", "dried apricots", "", &["dried"], "dried apricot - []"),
            ("chicken", "chicken bones", "bone", &[], "bone - []"),
            ("orange", "orange peel", "peel", &[], "orange peel []"),
        ] {
            let i = identify(&named(&k, name, full, part, states), &k);
            let got = format!(
                "{} {} {:?}",
                i.item.map_or("-", |i| k.item_name(i)),
                i.part.map_or("-", |p| k.vocabulary().part_name(p)),
                k.vocabulary().names_of(i.said.yes)
            );
            assert_eq!(got.replace('"', ""), want, "{full}");
        }
    }

    #[test]
    fn what_a_slip_could_have_meant_is_within_reach() {
        let k = known();
        for (text, other) in [("bacin", "bacon"), ("mustrd", "custard"), ("cusard", "mustard"), ("bacin peel", "bacon")]
        {
            let i = identify(&named(&k, text, text, "", &[]), &k);
            let reach = i.item.map(|i| k.item_name(i)) == Some(other)
                || i.alternatives.iter().any(|a| a.within_reach && k.item_name(a.item) == other);
            assert!(reach, "{text}: {i:?}");
        }
    }

    #[test]
    fn what_is_set_aside_does_not_hide_a_thing() {
        let k = known();
        let bag = crate::bag::Bag {
            lines: vec![crate::bag::Line {
                number: 1,
                text: String::new(),
                reading: Reading::Things(vec![crate::bag::Thing {
                    text: String::new(),
                    amount: None,
                    unit: None,
                    each: None,
                    names: vec![named(&k, "chicken salad", "chicken salad", "", &[])],
                    additions: vec!["yoghurt".into(), "unobtainium".into()],
                    without: vec!["milk".into()],
                }]),
            }],
        };
        let found = find(&bag, &k, None);
        let names: Vec<&str> = found[0].additions.iter().map(|a| k.item_name(*a)).collect();
        assert_eq!(names, ["chicken", "yogurt"]);
        assert_eq!(found[0].unknown_additions, ["unobtainium"]);
        assert_eq!(k.item_name(found[0].without[0]), "milk");
        assert_eq!(k.item_name(found[0].identities[0].item.unwrap()), "salad");
    }

    #[test]
    fn another_language_is_asked_about_only_in_its_company() {
        let k = known();
        let line = |number, name: &str| crate::bag::Line {
            number,
            text: name.into(),
            reading: Reading::Things(vec![crate::bag::Thing {
                text: name.into(),
                amount: None,
                unit: None,
                each: None,
                names: vec![named(&k, name, name, "", &[])],
                additions: Vec::new(),
                without: Vec::new(),
            }]),
        };
        let alone = find(&crate::bag::Bag { lines: vec![line(1, "prune"), line(2, "banana")] }, &k, None);
        assert_eq!(alone[0].identities[0].identified, Identified::Sure);
        let french = find(&crate::bag::Bag { lines: vec![line(1, "prune"), line(2, "citron")] }, &k, None);
        assert_eq!(french[0].identities[0].identified, Identified::Likely);
        assert!(french[0].identities[0].alternatives.iter().any(|a| a.within_reach && k.item_name(a.item) == "plum"));
        let asked = find(&crate::bag::Bag { lines: vec![line(1, "prune")] }, &k, Some(Language::Fr));
        assert_eq!(k.item_name(asked[0].identities[0].item.unwrap()), "plum");
        assert_eq!(asked[0].identities[0].language, Language::Fr);
    }
}
