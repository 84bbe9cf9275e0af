//! Keys of 64 bits for words and phrases, and a multimap over them.

use crate::knowledge::Language;
use crate::knowledge::flat::Flat;

/// What a key was made from; keys of different sorts never meet.
#[derive(Clone, Copy)]
pub(super) enum Sort {
    Folded = 1,
    Canonical = 2,
    Joined = 3,
    Unordered = 4,
}

/// A sorted multimap from 64-bit keys to numbers, with a first level by the keys' high bits.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
pub(super) struct Keys {
    pub(super) buckets: Flat<u32>,
    pub(super) keys: Flat<u64>,
    pub(super) values: Flat<u32>,
    pub(super) shift: u32,
}

impl Keys {
    pub(super) fn build(mut pairs: Vec<(u64, u32)>) -> Keys {
        pairs.sort_unstable();
        pairs.dedup();
        let bits = (usize::BITS - pairs.len().leading_zeros()).clamp(4, 24);
        let mut out = Keys { shift: 64 - bits, ..Keys::default() };
        let mut at = 0usize;
        for bucket in 0..(1u64 << bits) {
            out.buckets.0.push(u32::try_from(at).unwrap_or(u32::MAX));
            while pairs.get(at).is_some_and(|(h, _)| h >> out.shift == bucket) {
                at += 1;
            }
        }
        out.buckets.0.push(u32::try_from(at).unwrap_or(u32::MAX));
        out.keys = pairs.iter().map(|p| p.0).collect();
        out.values = pairs.iter().map(|p| p.1).collect();
        out
    }

    pub(super) fn get(&self, key: u64) -> &[u32] {
        let bucket = usize::try_from(key >> self.shift.min(63)).unwrap_or(usize::MAX);
        let (Some(a), Some(b)) = (self.buckets.get(bucket), self.buckets.get(bucket + 1)) else { return &[] };
        let (a, b) = (*a as usize, *b as usize);
        let Some(slice) = self.keys.get(a..b) else { return &[] };
        let Some(first) = slice.iter().position(|k| *k == key) else { return &[] };
        let count = slice.iter().skip(first).take_while(|k| **k == key).count();
        self.values.get(a + first..a + first + count).unwrap_or(&[])
    }
}

pub(super) const LANGUAGES: [Language; 4] = [Language::En, Language::Es, Language::De, Language::Fr];

pub(super) fn bit(language: Language) -> u8 {
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

/// A word's hash.
pub(super) fn hash(word: &[u8]) -> u64 {
    let mut h = word.len() as u64 ^ 0x51_7c_c1_b7_27_22_0a_95;
    for chunk in word.chunks(8) {
        let mut v = 0u64;
        for b in chunk {
            v = v << 8 | u64::from(*b);
        }
        h = (h.rotate_left(5) ^ v).wrapping_mul(0x51_7c_c1_b7_27_22_0a_95);
        h ^= h >> 31;
    }
    h
}

/// The key of a sequence of words.
pub(super) fn key(sort: Sort, language: Language, words: &[u64]) -> u64 {
    let seed = (sort as u64) << 8 | u64::from(bit(language));
    let h = match sort {
        Sort::Unordered => words.iter().fold(seed, |h, w| h.wrapping_add(scatter(*w))),
        _ => words.iter().fold(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15), |h, w| {
            (h.rotate_left(7) ^ w).wrapping_mul(0x9e37_79b9_7f4a_7c15)
        }),
    };
    scatter(h)
}
