//! Tables over rows of numbers: a set that answers no, and keys with their values.

use super::{Fixed, Flat};
use serde::{Deserialize, Serialize};

/// A bit for every key of a set, shared by some that are not in it: says at once of most other
/// keys that they are not.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub(crate) struct Filter {
    bits: Flat<u64>,
}

impl Filter {
    /// Marks keys, with at least eight bits to each.
    pub(crate) fn of(keys: impl ExactSizeIterator<Item = u64>) -> Filter {
        let mut bits = vec![0u64; (keys.len() / 8).next_power_of_two().max(1)];
        for key in keys {
            let (word, bit) = place(key, bits.len());
            if let Some(slot) = bits.get_mut(word) {
                *slot |= bit;
            }
        }
        Filter { bits: bits.into() }
    }

    /// False only of keys that are not in the set.
    #[inline]
    pub(crate) fn may_hold(&self, key: u64) -> bool {
        let (word, bit) = place(key, self.bits.len());
        self.bits.get(word).is_some_and(|bits| bits & bit != 0)
    }
}

/// Where a key's bit stands in so many words, a power of two.
#[inline]
pub(crate) fn place(key: u64, words: usize) -> (usize, u64) {
    let at = usize::try_from(key >> 22).unwrap_or(0);
    (at & words.wrapping_sub(1), 1 << (key >> 16 & 63))
}

/// A sorted multimap from 64-bit keys to values, with a first level by the keys' high bits. A key
/// stands beside its value, so that a look-up reads three places, and one where there is nothing.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(bound(serialize = "", deserialize = "'de: 'static, V: Fixed"))]
pub(crate) struct Keys<V> {
    /// Most of what is asked for is not there.
    there: Filter,
    buckets: Flat<u32>,
    rows: Flat<(u64, V)>,
    shift: u32,
}

impl<V> Default for Keys<V> {
    fn default() -> Self {
        Keys { there: Filter::default(), buckets: Flat::default(), rows: Flat::default(), shift: 0 }
    }
}

impl<V: Fixed> Keys<V> {
    /// Makes a table of pairs that are sorted by key.
    pub(crate) fn of_sorted(pairs: &[(u64, V)]) -> Keys<V> {
        // Between two and four to a bucket.
        let bits = (usize::BITS - pairs.len().leading_zeros()).saturating_sub(2).clamp(4, 24);
        let there = Filter::of(pairs.iter().map(|(key, _)| *key));
        let mut out = Keys { there, shift: 64 - bits, ..Keys::default() };
        let mut at = 0usize;
        for bucket in 0..(1u64 << bits) {
            out.buckets.push(u32::try_from(at).unwrap_or(u32::MAX));
            while pairs.get(at).is_some_and(|(h, _)| h >> out.shift == bucket) {
                at += 1;
            }
        }
        out.buckets.push(u32::try_from(at).unwrap_or(u32::MAX));
        out.rows = pairs.iter().copied().collect();
        out
    }

    /// The values of a key.
    pub(crate) fn get(&self, key: u64) -> impl Iterator<Item = V> + Clone + '_ {
        let bucket = usize::try_from(key >> self.shift.min(63)).unwrap_or(usize::MAX);
        let (a, b) = match (self.buckets.get(bucket), self.buckets.get(bucket.saturating_add(1))) {
            (Some(a), Some(b)) if self.there.may_hold(key) => (a as usize, b as usize),
            _ => (0, 0),
        };
        let same = self.rows.run(a, b);
        same.skip_while(move |(k, _)| *k != key).take_while(move |(k, _)| *k == key).map(|(_, v)| v)
    }
}

impl Keys<u32> {
    /// Sorts pairs into a table.
    pub(crate) fn build(mut pairs: Vec<(u64, u32)>) -> Keys<u32> {
        pairs.sort_unstable();
        pairs.dedup();
        Keys::of_sorted(&pairs)
    }
}
