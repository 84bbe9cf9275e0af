//! Building the index of names from the items and the vocabulary.

use super::keys::{Sort, bit, key, pair};
use super::query::{Frequent, Info, Query, WordTable};
use super::similar::{SAYS, rarity};
use super::words::{Lists, Words};
use super::{Loose, Names, Row, Spellings};
use crate::bag::{Glossary, PartId, Vocabulary, unit_words};
use crate::flat::{Filter, Keys, Late, Stock, hash};
use crate::kept::Table;
use crate::knowledge::heard::Sounds;
use crate::knowledge::normal::{Folded, Word, canonical, inflected, plural};
use crate::knowledge::slips::Slips;
use crate::knowledge::{Item, Language};
use regex::RegexBuilder;
use std::thread;

/// Spellings with their rows; a row is marked if the spelling is a plural made from its name.
type Spelled = Table<String, Vec<(bool, u32)>>;

/// What is gathered from names and words before it is indexed.
#[derive(Default)]
struct Gathered {
    pairs: Vec<(u64, u32)>,
    beside: Vec<u64>,
    infos: Table<u64, Info>,
    /// The item that a word was counted for last.
    counted: Table<u64, u16>,
    canonicals: Table<u64, u64>,
    single: Spelled,
    several: Spelled,
    abroad: Spelled,
}

impl Gathered {
    /// Takes in one name of an item.
    fn name(&mut self, f: &Folded, language: Language, row: u32, item: u16) {
        if f.count() == 0 {
            return;
        }
        add_keys(f, language, row, &mut self.pairs);
        add_pairs(f, language, &mut self.beside);
        for k in 0..f.count() {
            for h in [hash(f.word(k)), hash(canonical(f.word(k), language).bytes())] {
                let info = self.infos.entry(h).or_default();
                info.languages |= bit(language);
                if self.counted.insert(h, item) != Some(item) {
                    info.items = info.items.saturating_add(1);
                }
            }
            if language == Language::En {
                self.single.entry(String::from_utf8_lossy(f.word(k)).into_owned()).or_default();
            }
            self.canonicals.insert(hash(f.word(k)), hash(canonical(f.word(k), Language::En).bytes()));
        }
        let one = if language == Language::En { &mut self.single } else { &mut self.abroad };
        spell(f, language, row, one, &mut self.several);
    }

    /// What is known of a word, if a text is one.
    fn word(&mut self, text: &str) -> Option<&mut Info> {
        let f = Folded::of(text);
        (f.count() == 1).then(|| self.infos.entry(hash(f.word(0))).or_default())
    }

    /// Takes in the words that say a part or a state.
    fn vocabulary(&mut self, vocabulary: &Vocabulary) {
        let parts = vocabulary.parts().flat_map(|(part, p)| p.ways().map(move |w| (w, Some(part))));
        let states = vocabulary.states().flat_map(|(_, s)| s.ways().chain(s.not_words.iter().map(String::as_str)));
        for (word, part) in parts.chain(states.map(|w| (w, None))) {
            let Some(info) = self.word(word) else { continue };
            match part {
                Some(part) => info.part = Some(part),
                None => info.state = true,
            }
            self.single.entry(Folded::of(word).text().to_string()).or_default();
        }
    }

    /// Marks the words of the lists and of the glossary.
    fn lists(&mut self, lists: &Lists, glossary: &Glossary) {
        let mut mark = |list: &str, set: fn(&mut Info)| {
            for word in list.split_whitespace() {
                set(self.infos.entry(hash(word.as_bytes())).or_default());
            }
        };
        mark(&lists.light, |i| i.light = true);
        mark(&lists.cultivar, |i| i.light = true);
        mark(&lists.ordinary, |i| i.ordinary = true);
        mark(&lists.packing, |i| i.packing = true);
        mark(&lists.tools, |i| i.tool = true);
        for plain in lists.everyday.split_whitespace() {
            for word in inflected(plain) {
                // "Pains" may be loaves.
                let own = |info: &Info| word == plain || info.languages == 0;
                if let Some(info) = self.word(&word) {
                    info.ordinary |= own(info) && !info.free();
                }
            }
        }
        // What holds a line together, or measures, is no slip of what stands in it; of two letters it may be ("eg box").
        for (word, light) in glossary.words() {
            if let Some(info) = self.word(word) {
                info.light |= light;
                info.ordinary |= word.chars().count() > 2;
            }
        }
        for word in unit_words().filter(|word| word.chars().count() > 2) {
            if let Some(info) = self.word(word) {
                info.ordinary = true;
            }
        }
        let frequent =
            [(&lists.common, Frequent::Common), (&lists.staple, Frequent::Staple), (&lists.daily, Frequent::Daily)];
        for (list, how) in frequent {
            for word in list.split_whitespace().map(str::as_bytes) {
                for h in [hash(word), hash(canonical(word, Language::En).bytes())] {
                    let info = self.infos.entry(h).or_default();
                    info.frequent = info.frequent.max(how);
                }
            }
        }
        for (h, english) in &self.canonicals {
            self.infos.entry(*h).or_default().canonical = *english;
        }
    }
}

/// How a name is folded, and for a German one also as it is spelled without dots: "Aepfel".
fn forms(text: &str, language: Language) -> Vec<Folded> {
    let mut forms = vec![Folded::of(text)];
    if language == Language::De {
        let dotted = [('ä', "ae"), ('ö', "oe"), ('ü', "ue"), ('Ä', "ae"), ('Ö', "oe"), ('Ü', "ue")];
        let spelled_out = dotted.iter().fold(text.to_string(), |text, (letter, two)| text.replace(*letter, two));
        if spelled_out != text {
            forms.push(Folded::of(&spelled_out));
        }
    }
    forms
}

impl Names {
    /// Builds the index over all names of all items.
    pub(in crate::knowledge) fn build(items: &Stock<Item>, vocabulary: &Vocabulary, lists: Late<Words>) -> Names {
        let mut names = Names { lists, ..Names::default() };
        let mut gathered = Gathered::default();
        for (i, item) in items.iter().enumerate() {
            let id = u16::try_from(i).unwrap_or(u16::MAX);
            if let Some(pattern) = item.pattern.as_deref().filter(|p| p.len() <= LONGEST_PATTERN) {
                let (mut regex, most) = (RegexBuilder::new(pattern), 1 << 18);
                let regex = regex.case_insensitive(true).size_limit(most).dfa_size_limit(most).build();
                names.patterns.extend(regex.ok().map(|regex| (id, regex)));
            }
            for (w, name) in item.names.iter().enumerate() {
                let row = u32::try_from(names.rows.len()).unwrap_or(u32::MAX);
                names.rows.push(Row { item: id, which: u16::try_from(w).unwrap_or(u16::MAX), language: name.language });
                for form in forms(name.text, name.language) {
                    gathered.name(&form, name.language, row, id);
                }
            }
        }
        gathered.vocabulary(vocabulary);
        gathered.lists(&names.lists.index, &vocabulary.glossary);
        let Gathered { pairs, mut beside, infos, single, several, abroad, .. } = gathered;
        names.keys = Keys::build(pairs);
        beside.sort_unstable();
        beside.dedup();
        names.pairs = Filter::of(beside.into_iter());
        let mut infos: Vec<(u64, Info)> = infos.into_iter().collect();
        infos.sort_unstable_by_key(|(hash, _)| *hash);
        names.words = WordTable::of_sorted(infos);
        names.spellings = names.spell_out(&single, &several, &abroad).into();
        names.own_parts(items, vocabulary);
        names
    }

    /// Fills the index of misspellings.
    fn spell_out(&self, single: &Spelled, several: &Spelled, abroad: &Spelled) -> Spellings {
        let mut out = Spellings::default();
        let mut put = |map: &Spelled, least: usize| {
            let mut all: Vec<_> = map.iter().filter(|(w, _)| w.len() >= least && w.len() <= 48).collect();
            all.sort_unstable_by_key(|(word, _)| word.as_str());
            let mut words = Vec::with_capacity(all.len());
            for (word, rows) in all.into_iter().take(usize::from(u16::MAX)) {
                out.spelled_at.push(u32::try_from(out.spelled.len()).unwrap_or(u32::MAX));
                // First what the spelling itself is taken for: as written before a plural that nobody
                // wrote, English before other languages, a preferred name before others.
                let mut rows = rows.clone();
                rows.sort_by_key(|(made, row)| {
                    let r = self.row(*row);
                    (*made, bit(r.language), r.which != 0, *row)
                });
                rows.iter().for_each(|r| out.spelled.push(r.1));
                words.push(word.clone());
            }
            words
        };
        let words = put(single, 2);
        let joined = put(several, 4);
        let abroad = put(abroad, 4);
        out.spelled_at.push(u32::try_from(out.spelled.len()).unwrap_or(u32::MAX));
        out.slip_hashes =
            words.iter().map(|w| (hash(w.as_bytes()), hash(canonical(w.as_bytes(), Language::En).bytes()))).collect();
        let rare = |(raw, english): (u64, u64)| {
            let (info, one) = (self.words.get(raw), self.words.get(english));
            let says = if info.state || info.part.is_some() { SAYS } else { 0 };
            rarity(info.frequent.max(one.frequent), info.items.max(one.items)) | says
        };
        out.rarities = out.slip_hashes.iter().map(rare).collect();
        let outline = |w: &String| String::from_utf8_lossy(Sounds::of(w.as_bytes()).outline().bytes()).into_owned();
        let outlines: Vec<String> =
            words.iter().map(|w| if w.len() > SHORTEST_HEARD { outline(w) } else { String::new() }).collect();
        // The two large ones side by side: a household that adds a thing waits for them.
        (out.slips, out.abroad) = thread::scope(|beside| {
            let abroad = beside.spawn(|| Slips::build(&abroad, 2));
            (Slips::build(&words, 2), abroad.join().unwrap_or_default())
        });
        out.joined = Slips::build(&joined, 1);
        out.heard = Slips::build(&outlines, 1);
        out
    }

    /// Notes which item and part are an item of their own ("avocado" and "pit").
    fn own_parts(&mut self, items: &Stock<Item>, vocabulary: &Vocabulary) {
        // By the part's own word alone: purée is no flesh of apples, nor is gum's leaf one of chewing gum.
        let one = |word: &str| canonical(Folded::of(word).text().as_bytes(), Language::En).bytes().to_vec();
        let words: Vec<(PartId, Vec<u8>)> = vocabulary
            .parts()
            .flat_map(|(id, p)| p.ways().filter(|w| one(w) == one(&p.name)).map(move |w| (id, w)))
            .map(|(id, w)| (id, Folded::of(w).text().as_bytes().to_vec()))
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
            cob: named("corn cob"),
            husk: named("husk"),
            eggshell: named("eggshell"),
            nut_shell: named("nut shell"),
            sea_shell: named("sea shell"),
        };
    }
}

/// Letters of a word that nobody knows by its sound, at most.
const SHORTEST_HEARD: usize = 3;

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

/// Adds every two words of a name.
fn add_pairs(f: &Folded, language: Language, beside: &mut Vec<u64>) {
    let n = f.count();
    let plain: Vec<u64> = (0..n).map(|k| hash(canonical(f.word(k), language).bytes())).collect();
    let raw: Vec<u64> = (0..n).map(|k| hash(f.word(k))).collect();
    for words in [raw, plain] {
        for (i, one) in words.iter().enumerate() {
            beside.extend(words.iter().skip(i + 1).map(|other| pair(*one, *other)));
        }
    }
}

/// Adds the spellings under which a name is found by likeness.
fn spell(f: &Folded, language: Language, row: u32, single: &mut Spelled, several: &mut Spelled) {
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
        single.entry(text(joined.bytes())).or_default().push((false, row));
        if with_plural {
            single.entry(text(many.bytes())).or_default().push((true, row));
        }
    } else {
        several.entry(text(joined.bytes())).or_default().push((false, row));
        if with_plural {
            several.entry(text(many.bytes())).or_default().push((true, row));
            single.entry(text(last.bytes())).or_default();
        }
    }
}
