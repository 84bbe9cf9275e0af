//! The index of misspellings.
//!
//! Comes in: a word nobody knows. Goes out: every known word within one or two edits (insertion,
//! deletion, substitution, swap of neighbours), found through the words' beginnings with letters
//! left out, then a bit-parallel distance. What a slip costs is said elsewhere (`hand`, `heard`). The
//! index is flat numbers and one text, so that it can stand ready-made in a binary.

use crate::flat::{Bundle, Flat, Rows, place};

/// Letters of a word's beginning that the index looks at.
const BEGINNING: usize = 7;

/// Words by what is left of their beginnings when letters are left out.
#[derive(Debug, Clone, Default)]
pub(crate) struct Slips {
    letters: Flat<u8>,
    starts: Flat<u32>,
    masks: Flat<u32>,
    /// By the first letter of what is left, so that nearly all that is asked of one word lies
    /// together: the first bucket, and by how many bits of a hash the buckets are told apart.
    shelves: Flat<(u32, u8)>,
    /// A bit for every hash that has an entry, shared by some that have none: most of what is
    /// looked for is not there. As many words as buckets.
    filter: Flat<u64>,
    buckets: Flat<u32>,
    entries: Flat<(u16, u16)>,
    edits: usize,
    beginning: usize,
}

/// A known word near a written one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Near {
    /// The word's number in its index.
    pub(crate) word: u16,
    /// Edits between the two.
    pub(crate) edits: u8,
}

impl Slips {
    /// Indexes words for being found at up to `edits` (1 or 2) edits. At most 65,535 words are kept.
    pub(crate) fn build(words: &[String], edits: usize) -> Slips {
        let words = words.get(..words.len().min(usize::from(u16::MAX))).unwrap_or(words);
        let beginning = if edits > 1 { BEGINNING } else { BEGINNING + 5 };
        let (mut letters, mut starts, mut masks) = (Vec::new(), vec![0u32], Vec::with_capacity(words.len()));
        let mut shelves: [Vec<(u64, u16)>; SHELVES] = Default::default();
        for (i, w) in words.iter().enumerate() {
            let id = u16::try_from(i).unwrap_or(u16::MAX);
            letters.extend_from_slice(w.as_bytes());
            starts.push(u32::try_from(letters.len()).unwrap_or(u32::MAX));
            masks.push(mask(w.as_bytes()));
            for (h, gone) in Shortened::of(w.as_bytes(), beginning, edits).forms() {
                if let Some(shelf) = shelves.get_mut(shelf(w.as_bytes(), gone)) {
                    shelf.push((h, id));
                }
            }
        }
        let mut index = Slips {
            letters: letters.into(),
            starts: starts.into(),
            masks: masks.into(),
            edits,
            beginning,
            ..Slips::default()
        };
        for mut shelf in shelves {
            shelf.sort_unstable();
            shelf.dedup();
            index.shelve(&shelf);
        }
        index.buckets.push(u32::try_from(index.entries.len()).unwrap_or(u32::MAX));
        index
    }

    /// Appends a shelf of hashes that are sorted, each with its word.
    fn shelve(&mut self, sorted: &[(u64, u16)]) {
        let bits = (usize::BITS - (sorted.len() / 3).leading_zeros()).clamp(1, 20);
        let (before, first) = (self.entries.len(), self.buckets.len());
        self.shelves.push((u32::try_from(first).unwrap_or(u32::MAX), u8::try_from(bits).unwrap_or(20)));
        let mut at = 0;
        for bucket in 0..1u64 << bits {
            while sorted.get(at).is_some_and(|(h, _)| h >> (64 - bits) < bucket) {
                at += 1;
            }
            self.buckets.push(u32::try_from(before + at).unwrap_or(u32::MAX));
        }
        let mut filter = vec![0u64; 1 << bits];
        for (h, id) in sorted {
            let (word, bit) = place(*h, filter.len());
            if let Some(slot) = filter.get_mut(word) {
                *slot |= bit;
            }
            self.entries.push((print(*h), *id));
        }
        filter.into_iter().for_each(|word| self.filter.push(word));
    }

    /// From where to where entries may be of a hash on a shelf.
    #[inline]
    fn bucket(&self, h: u64, (first, bits): (u32, u8)) -> Option<(u32, u32)> {
        let (word, bit) = place(h, 1 << bits);
        if self.filter.get(first as usize + word)? & bit == 0 {
            return None;
        }
        let bucket = first as usize + usize::try_from(h >> (64 - bits)).ok()?;
        self.buckets.get(bucket).zip(self.buckets.get(bucket + 1))
    }

    /// Appends the index to a bundle.
    pub(crate) fn put(&self, out: &mut Bundle) {
        let Slips { letters, starts, masks, shelves, filter, buckets, entries, edits, beginning } = self;
        let sizes = [*edits, *beginning].map(|n| u8::try_from(n).unwrap_or(u8::MAX));
        out.put(&sizes.into_iter().collect::<Flat<u8>>());
        out.put(letters);
        out.put(starts);
        out.put(masks);
        out.put(shelves);
        out.put(filter);
        out.put(buckets);
        out.put(entries);
    }

    /// Takes an index out of a bundle.
    pub(crate) fn take(rows: &mut Rows) -> Option<Slips> {
        let sizes = rows.take::<u8>()?;
        Some(Slips {
            letters: rows.take()?,
            starts: rows.take()?,
            masks: rows.take()?,
            shelves: rows.take()?,
            filter: rows.take()?,
            buckets: rows.take()?,
            entries: rows.take()?,
            edits: sizes.get(0)?.into(),
            beginning: sizes.get(1)?.into(),
        })
    }

    /// How many words.
    pub(crate) fn count(&self) -> usize {
        self.masks.len()
    }

    /// A word of the index.
    pub(crate) fn word(&self, id: u16) -> &[u8] {
        let i = usize::from(id);
        match (self.starts.get(i), self.starts.get(i + 1)) {
            (Some(a), Some(b)) => self.letters.bytes(a as usize, b as usize),
            _ => &[],
        }
    }

    /// Adds to `out` every word within `most` edits of the written one, in no order.
    pub(crate) fn near(&self, written: &[u8], most: usize, out: &mut Vec<Near>) {
        let most = most.min(self.edits);
        let forms = Shortened::of(written, self.beginning, most);
        // First what is there at all, then where, then what: the far accesses do not wait for each other.
        let mut runs = [(0u32, 0u32, 0u16); MOST_FORMS];
        let mut count = 0;
        let shelves = [0, 1, 2].map(|gone| self.shelves.get(shelf(written, gone)).unwrap_or_default());
        for (h, gone) in forms.forms() {
            let bucket = shelves.get(gone).and_then(|shelf| self.bucket(h, *shelf));
            if let (Some((a, b)), Some(run)) = (bucket, runs.get_mut(count)) {
                *run = (a, b, print(h));
                count += 1;
            }
        }
        if count == 0 {
            return;
        }
        let Some(pattern) = Pattern::of(written) else { return };
        let letters = mask(written);
        let from = out.len();
        // The same word comes up under many shortened forms: the last ones looked at are not looked at again.
        let mut seen = [u16::MAX; 64];
        // A bit for every word that was found, shared by others: most have not been, and this says so.
        let mut found = [0u64; 64];
        for (a, b, fingerprint) in runs.iter().take(count) {
            for (p, id) in self.entries.run(*a as usize, *b as usize) {
                if p != *fingerprint {
                    continue;
                }
                match seen.get_mut(usize::from(id & 63)) {
                    Some(slot) if *slot == id => continue,
                    Some(slot) => *slot = id,
                    None => {}
                }
                let known = self.masks.get(usize::from(id)).unwrap_or(0);
                if more_than(letters & !known, most) || more_than(known & !letters, most) {
                    continue;
                }
                let word = self.word(id);
                if word.len().abs_diff(written.len()) > most {
                    continue;
                }
                let edits = pattern.distance(word);
                if edits <= most {
                    let Some(bits) = found.get_mut(usize::from(id >> 6 & 63)) else { continue };
                    if *bits & 1 << (id & 63) != 0 && out.get(from..).is_some_and(|o| o.iter().any(|n| n.word == id)) {
                        continue;
                    }
                    *bits |= 1 << (id & 63);
                    out.push(Near { word: id, edits: u8::try_from(edits).unwrap_or(u8::MAX) });
                }
            }
        }
    }
}

fn print(h: u64) -> u16 {
    u16::try_from(h & 0xffff).unwrap_or(0)
}

/// Whether more than so many bits are set.
const fn more_than(mut bits: u32, most: usize) -> bool {
    let mut left = most;
    while left > 0 {
        bits &= bits.wrapping_sub(1);
        left -= 1;
    }
    bits != 0
}

/// Which letters occur, folded into 32 bits.
fn mask(word: &[u8]) -> u32 {
    word.iter().fold(0, |m, b| m | 1 << (b & 31))
}

/// Shortened forms of a word at most: itself, each of 12 letters left out, or each two of 7.
const MOST_FORMS: usize = 32;

/// First letters that are told apart, those beyond a to z by chance.
const SHELVES: usize = 32;

/// The shelf of what is left of a word when so many of its first letters are gone.
fn shelf(word: &[u8], gone: usize) -> usize {
    usize::from(word.get(gone).copied().unwrap_or(0)) % SHELVES
}

/// The hashes of a word's beginning and of everything left of it when letters are left out, each
/// with how many of the first letters in a row are gone.
struct Shortened {
    hashes: [(u64, u8); MOST_FORMS],
    count: usize,
}

impl Shortened {
    fn of(word: &[u8], beginning: usize, edits: usize) -> Shortened {
        let head = word.get(..word.len().min(beginning)).unwrap_or(word);
        let n = head.len();
        let mut out = Shortened { hashes: [(0, 0); MOST_FORMS], count: 0 };
        // A form's hash is the sum of its letters' shares, each by letter and place; leaving a
        // letter out moves the later ones one place down. So sums over the rest of the word, for
        // none, one and two places down, give every form in a few steps.
        let mut rest = [[0u64; LONGEST_HEAD + 1]; 3];
        for (down, row) in rest.iter_mut().enumerate() {
            let mut sum = 0u64;
            for i in (0..n).rev() {
                sum = sum.wrapping_add(share(head.get(i).copied().unwrap_or(0), i.wrapping_sub(down)));
                if let Some(slot) = row.get_mut(i) {
                    *slot = sum;
                }
            }
        }
        let rest = |down: usize, i: usize| rest.get(down).and_then(|r| r.get(i)).copied().unwrap_or(0);
        let start = |i: usize| rest(0, 0).wrapping_sub(rest(0, i));
        out.push(rest(0, 0), 0);
        if edits > 0 {
            for i in 0..n {
                out.push(start(i).wrapping_add(rest(1, i + 1)), u8::from(i == 0));
            }
        }
        if edits > 1 {
            for i in 0..n {
                for j in i + 1..n {
                    let middle = rest(1, i + 1).wrapping_sub(rest(1, j));
                    let gone = if i > 0 { 0 } else { 1 + u8::from(j == 1) };
                    out.push(start(i).wrapping_add(middle).wrapping_add(rest(2, j + 1)), gone);
                }
            }
        }
        out
    }

    fn push(&mut self, sum: u64, gone: u8) {
        let h = (sum ^ (sum >> 32)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        if let Some(slot) = self.hashes.get_mut(self.count) {
            *slot = (h ^ (h >> 29), gone);
            self.count += 1;
        }
    }

    fn forms(&self) -> impl Iterator<Item = (u64, usize)> + '_ {
        self.hashes.iter().take(self.count).map(|(h, gone)| (*h, usize::from(*gone)))
    }
}

/// Letters of the longest beginning.
const LONGEST_HEAD: usize = BEGINNING + 5;

/// A letter's share of a form's hash.
fn share(letter: u8, place: usize) -> u64 {
    let x = (u64::from(letter) << 8 | (place as u64 & 0xff)).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    (x ^ (x >> 29)).wrapping_mul(0x94d0_49bb_1331_11eb)
}

/// A written word laid out for a bit-parallel distance.
pub(crate) struct Pattern {
    at: [u64; 128],
    len: u32,
}

impl Pattern {
    /// Lays out a word of 1 to 64 bytes; bytes beyond ASCII share places, which can only make a
    /// distance too small by letters that look alike to nobody's cost.
    pub(crate) fn of(word: &[u8]) -> Option<Pattern> {
        if word.is_empty() || word.len() > 64 {
            return None;
        }
        let mut at = [0u64; 128];
        for (i, b) in word.iter().enumerate() {
            if let Some(slot) = at.get_mut(usize::from(b & 127)) {
                *slot |= 1 << i;
            }
        }
        Some(Pattern { at, len: u32::try_from(word.len()).unwrap_or(64) })
    }

    /// Edits to another word: insertions, deletions, substitutions, swaps of neighbours, none of
    /// them inside a swap (after Hyyro 2003, bit vectors for the restricted distance).
    pub(crate) fn distance(&self, other: &[u8]) -> usize {
        let last = 1u64 << (self.len - 1);
        let (mut vp, mut vn, mut d0, mut before) = (u64::MAX, 0u64, 0u64, 0u64);
        let mut distance = self.len as usize;
        for b in other {
            let here = self.at.get(usize::from(b & 127)).copied().unwrap_or(0);
            let swap = ((!d0 & here) << 1) & before;
            d0 = ((here & vp).wrapping_add(vp) ^ vp) | here | vn | swap;
            let hp = vn | !(d0 | vp);
            let hn = d0 & vp;
            if hp & last != 0 {
                distance += 1;
            }
            if hn & last != 0 {
                distance = distance.saturating_sub(1);
            }
            let hp = (hp << 1) | 1;
            let hn = hn << 1;
            vp = hn | !(d0 | hp);
            vn = hp & d0;
            before = here;
        }
        distance
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slow(a: &[u8], b: &[u8]) -> usize {
        let mut d = vec![vec![0usize; b.len() + 1]; a.len() + 1];
        for i in 0..=a.len() {
            for j in 0..=b.len() {
                d[i][j] = match (i, j) {
                    (0, _) => j,
                    (_, 0) => i,
                    _ => {
                        let same = usize::from(a[i - 1] != b[j - 1]);
                        let mut v = (d[i - 1][j] + 1).min(d[i][j - 1] + 1).min(d[i - 1][j - 1] + same);
                        if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                            v = v.min(d[i - 2][j - 2] + 1);
                        }
                        v
                    }
                };
            }
        }
        d[a.len()][b.len()]
    }

    fn words(count: u64, seed: u64) -> Vec<String> {
        let mut x = seed;
        let mut next = move || {
            x ^= x << 13;
            x ^= x >> 7;
            x ^= x << 17;
            x
        };
        let mut all: Vec<String> = (0..count)
            .map(|_| (0..2 + next() % 9).map(|_| (b'a' + u8::try_from(next() % 4).unwrap()) as char).collect())
            .collect();
        all.sort();
        all.dedup();
        all
    }

    #[test]
    fn the_fast_distance_is_the_slow_one() {
        let all = words(150, 7);
        for a in &all {
            let p = Pattern::of(a.as_bytes()).unwrap();
            for b in &all {
                assert_eq!(p.distance(b.as_bytes()), slow(a.as_bytes(), b.as_bytes()), "{a} {b}");
            }
        }
    }

    #[test]
    fn the_index_misses_nothing_within_its_edits() {
        let known = words(400, 11);
        for edits in [1usize, 2] {
            let index = Slips::build(&known, edits);
            for w in words(300, 5) {
                let mut got = Vec::new();
                index.near(w.as_bytes(), edits, &mut got);
                let mut got: Vec<(u16, u8)> = got.iter().map(|n| (n.word, n.edits)).collect();
                got.sort_unstable();
                let want: Vec<(u16, u8)> = known
                    .iter()
                    .enumerate()
                    .map(|(i, k)| (u16::try_from(i).unwrap(), slow(w.as_bytes(), k.as_bytes())))
                    .filter(|(_, d)| *d <= edits)
                    .map(|(i, d)| (i, u8::try_from(d).unwrap()))
                    .collect();
                assert_eq!(got, want, "{w} at {edits}");
            }
        }
    }
}
