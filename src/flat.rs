//! What stands ready-made in the binary and is read only where it is asked for.
//!
//! Holders over bytes that the build left behind: [`Flat`], a row of numbers read one by one where
//! it stands; [`Keys`], such rows as a table; [`Stock`], entries each read when it is first asked for; [`Late`], one thing
//! read as a whole when it is first asked for. So opening the base costs nothing, whatever it holds.
//! What a household adds is kept beside, in memory.

use serde::de::{Deserializer, Error, Visitor};
use serde::{Deserialize, Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;
use std::ops::Deref;
use std::sync::OnceLock;

/// A number, or a few, with a fixed place in a row of bytes.
pub(crate) trait Fixed: Copy {
    /// Bytes that it takes.
    const SIZE: usize;
    /// Appends its bytes.
    fn put(self, out: &mut Vec<u8>);
    /// Reads it from as many bytes.
    fn get(bytes: &[u8]) -> Self;
}

macro_rules! number {
    ($($t:ty),*) => {$(
        impl Fixed for $t {
            const SIZE: usize = size_of::<$t>();
            fn put(self, out: &mut Vec<u8>) {
                out.extend_from_slice(&self.to_le_bytes());
            }
            #[inline]
            fn get(bytes: &[u8]) -> Self {
                bytes.try_into().map_or(0, <$t>::from_le_bytes)
            }
        }
    )*};
}
number!(u8, u16, u32, u64, u128);

impl Fixed for f64 {
    const SIZE: usize = size_of::<f64>();
    fn put(self, out: &mut Vec<u8>) {
        self.to_bits().put(out);
    }
    #[inline]
    fn get(bytes: &[u8]) -> Self {
        f64::from_bits(u64::get(bytes))
    }
}

impl<A: Fixed, B: Fixed> Fixed for (A, B) {
    const SIZE: usize = A::SIZE + B::SIZE;
    fn put(self, out: &mut Vec<u8>) {
        self.0.put(out);
        self.1.put(out);
    }
    #[inline]
    fn get(bytes: &[u8]) -> Self {
        let (a, b) = bytes.split_at_checked(A::SIZE).unwrap_or_default();
        (A::get(a), B::get(b))
    }
}

impl<A: Fixed, B: Fixed, C: Fixed> Fixed for (A, B, C) {
    const SIZE: usize = A::SIZE + B::SIZE + C::SIZE;
    fn put(self, out: &mut Vec<u8>) {
        ((self.0, self.1), self.2).put(out);
    }
    #[inline]
    fn get(bytes: &[u8]) -> Self {
        let ((a, b), c) = <((A, B), C)>::get(bytes);
        (a, b, c)
    }
}

/// A row of numbers, kept as little-endian bytes.
#[derive(Clone)]
pub(crate) struct Flat<T> {
    bytes: Cow<'static, [u8]>,
    of: PhantomData<fn() -> T>,
}

impl<T: Fixed> Flat<T> {
    /// How many.
    #[inline]
    pub(crate) fn len(&self) -> usize {
        self.bytes.len() / T::SIZE
    }

    /// The number at a place.
    #[inline]
    pub(crate) fn get(&self, at: usize) -> Option<T> {
        let from = at.checked_mul(T::SIZE)?;
        self.bytes.get(from..from.checked_add(T::SIZE)?).map(T::get)
    }

    /// The numbers from one place up to another; none if the row has no such places.
    #[inline]
    pub(crate) fn run(&self, from: usize, to: usize) -> impl ExactSizeIterator<Item = T> + Clone + '_ {
        let cut = |at: usize| at.saturating_mul(T::SIZE);
        self.bytes.get(cut(from)..cut(to)).unwrap_or_default().chunks_exact(T::SIZE).map(T::get)
    }

    /// All numbers.
    pub(crate) fn iter(&self) -> impl ExactSizeIterator<Item = T> + Clone + '_ {
        self.bytes.chunks_exact(T::SIZE).map(T::get)
    }

    /// Appends a number; a row of the base is copied first.
    pub(crate) fn push(&mut self, number: T) {
        number.put(self.bytes.to_mut());
    }

    /// The place of the first number for which `before` is false, in a row sorted by it.
    pub(crate) fn partition_point(&self, before: impl Fn(T) -> bool) -> usize {
        let (mut low, mut high) = (0, self.len());
        while low < high {
            let middle = low + (high - low) / 2;
            if self.get(middle).is_some_and(&before) {
                low = middle + 1;
            } else {
                high = middle;
            }
        }
        low
    }
}

impl Flat<u8> {
    /// The bytes as the build left them; none of a row that was made since.
    fn ready(&self) -> &'static [u8] {
        match &self.bytes {
            Cow::Borrowed(bytes) => bytes,
            Cow::Owned(_) => &[],
        }
    }

    /// The bytes from one place up to another; none if the row has no such places.
    #[inline]
    pub(crate) fn bytes(&self, from: usize, to: usize) -> &[u8] {
        self.bytes.get(from..to).unwrap_or_default()
    }
}

impl<T> Default for Flat<T> {
    fn default() -> Self {
        Flat { bytes: Cow::Borrowed(&[]), of: PhantomData }
    }
}

impl<T> fmt::Debug for Flat<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Flat({} bytes)", self.bytes.len())
    }
}

impl<T: Fixed> FromIterator<T> for Flat<T> {
    fn from_iter<I: IntoIterator<Item = T>>(all: I) -> Self {
        let mut bytes = Vec::new();
        all.into_iter().for_each(|t| t.put(&mut bytes));
        Flat { bytes: bytes.into(), of: PhantomData }
    }
}

impl<T: Fixed> From<Vec<T>> for Flat<T> {
    fn from(all: Vec<T>) -> Self {
        all.into_iter().collect()
    }
}

impl<T> Serialize for Flat<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_bytes(&self.bytes)
    }
}

// The bytes stay where they are, so only what lives as long as the program can be read.
impl<'de: 'static, T: Fixed> Deserialize<'de> for Flat<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Run<T>(PhantomData<T>);
        impl<'de: 'static, T: Fixed> Visitor<'de> for Run<T> {
            type Value = Flat<T>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a run of bytes")
            }
            fn visit_borrowed_bytes<E: Error>(self, bytes: &'de [u8]) -> Result<Flat<T>, E> {
                if !bytes.len().is_multiple_of(T::SIZE) {
                    return Err(E::invalid_length(bytes.len(), &self));
                }
                Ok(Flat { bytes: Cow::Borrowed(bytes), of: PhantomData })
            }
        }
        deserializer.deserialize_bytes(Run(PhantomData))
    }
}

/// Several rows as one: where each ends stands before them all, so that opening them reads one place.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub(crate) struct Bundle {
    ends: Flat<u32>,
    bytes: Flat<u8>,
}

impl Bundle {
    /// Appends a row.
    pub(crate) fn put<T>(&mut self, row: &Flat<T>) {
        self.bytes.bytes.to_mut().extend_from_slice(&row.bytes);
        self.ends.push(u32::try_from(self.bytes.len()).unwrap_or(u32::MAX));
    }

    /// Takes the rows out, from the first on.
    pub(crate) fn open(self) -> Rows {
        Rows { of: self, taken: 0, from: 0 }
    }
}

/// The rows of a bundle, one after another.
pub(crate) struct Rows {
    of: Bundle,
    taken: usize,
    from: usize,
}

impl Rows {
    /// The next row; none if there is no more, or none of such numbers.
    pub(crate) fn take<T: Fixed>(&mut self) -> Option<Flat<T>> {
        let to = self.of.ends.get(self.taken)? as usize;
        let bytes = match &self.of.bytes.bytes {
            Cow::Borrowed(all) => Cow::Borrowed(all.get(self.from..to)?),
            Cow::Owned(all) => Cow::Owned(all.get(self.from..to)?.to_vec()),
        };
        (self.taken, self.from) = (self.taken + 1, to);
        bytes.len().is_multiple_of(T::SIZE).then_some(Flat { bytes, of: PhantomData })
    }
}

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

/// A word's hash.
pub(crate) fn hash(word: &[u8]) -> u64 {
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

/// Entries, those of the base each read when it is first asked for.
#[derive(Clone)]
pub(crate) struct Stock<T> {
    /// Where each entry of the base begins in `bytes`, and where the last one ends.
    starts: Flat<u32>,
    bytes: Flat<u8>,
    read: Vec<OnceLock<Option<Box<T>>>>,
    more: Vec<T>,
}

impl<T: Deserialize<'static>> Stock<T> {
    /// How many.
    pub(crate) fn len(&self) -> usize {
        self.read.len() + self.more.len()
    }

    /// The entry at a place.
    #[inline]
    pub(crate) fn get(&self, at: usize) -> Option<&T> {
        match self.read.get(at) {
            Some(cell) => cell.get_or_init(|| self.decode(at)).as_deref(),
            None => self.more.get(at - self.read.len()),
        }
    }

    fn decode(&self, at: usize) -> Option<Box<T>> {
        let (from, to) = (self.starts.get(at)?, self.starts.get(at + 1)?);
        postcard::from_bytes(self.bytes.ready().get(from as usize..to as usize)?).ok().map(Box::new)
    }

    /// The entry at a place, to be changed.
    pub(crate) fn get_mut(&mut self, at: usize) -> Option<&mut T> {
        self.get(at)?;
        let read = self.read.len();
        match self.read.get_mut(at) {
            Some(cell) => cell.get_mut()?.as_deref_mut(),
            None => self.more.get_mut(at - read),
        }
    }

    /// All entries in order.
    pub(crate) fn iter(&self) -> impl Iterator<Item = &T> {
        (0..self.len()).filter_map(|at| self.get(at))
    }

    /// Appends an entry.
    pub(crate) fn push(&mut self, entry: T) {
        self.more.push(entry);
    }
}

impl<T> Default for Stock<T> {
    fn default() -> Self {
        Stock { starts: Flat::default(), bytes: Flat::default(), read: Vec::new(), more: Vec::new() }
    }
}

impl<T> fmt::Debug for Stock<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Stock({} ready, {} more)", self.read.len(), self.more.len())
    }
}

impl<T: Deserialize<'static> + Serialize> Serialize for Stock<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let (mut starts, mut bytes) = (Flat::<u32>::default(), Vec::new());
        for entry in self.iter() {
            starts.push(u32::try_from(bytes.len()).map_err(serde::ser::Error::custom)?);
            bytes.extend(postcard::to_stdvec(entry).map_err(serde::ser::Error::custom)?);
        }
        starts.push(u32::try_from(bytes.len()).map_err(serde::ser::Error::custom)?);
        (starts, Flat::<u8>::from(bytes)).serialize(serializer)
    }
}

impl<'de: 'static, T> Deserialize<'de> for Stock<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let (starts, bytes) = <(Flat<u32>, Flat<u8>)>::deserialize(deserializer)?;
        let mut read = Vec::new();
        read.resize_with(starts.len().saturating_sub(1), OnceLock::new);
        Ok(Stock { starts, bytes, read, more: Vec::new() })
    }
}

/// One thing that is read as a whole when it is first asked for.
#[derive(Clone)]
pub(crate) struct Late<T> {
    bytes: Flat<u8>,
    read: OnceLock<T>,
}

impl<T: Deserialize<'static> + Default> Late<T> {
    /// The thing.
    pub(crate) fn get(&self) -> &T {
        self.read.get_or_init(|| postcard::from_bytes(self.bytes.ready()).unwrap_or_default())
    }

    /// The thing, to be changed.
    pub(crate) fn get_mut(&mut self) -> Option<&mut T> {
        self.get();
        self.read.get_mut()
    }
}

impl<T: Deserialize<'static> + Default> Deref for Late<T> {
    type Target = T;
    fn deref(&self) -> &T {
        self.get()
    }
}

impl<T: Deserialize<'static> + Default + PartialEq> PartialEq for Late<T> {
    fn eq(&self, other: &Late<T>) -> bool {
        self.get() == other.get()
    }
}

impl<T> Default for Late<T> {
    fn default() -> Self {
        Late { bytes: Flat::default(), read: OnceLock::new() }
    }
}

impl<T> From<T> for Late<T> {
    fn from(thing: T) -> Self {
        Late { bytes: Flat::default(), read: OnceLock::from(thing) }
    }
}

impl<T> fmt::Debug for Late<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Late({:?})", self.bytes)
    }
}

impl<T: Deserialize<'static> + Default + Serialize> Serialize for Late<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        // What people and programs read holds the thing itself.
        if serializer.is_human_readable() {
            return self.get().serialize(serializer);
        }
        let bytes = postcard::to_stdvec(self.get()).map_err(serde::ser::Error::custom)?;
        Flat::<u8>::from(bytes).serialize(serializer)
    }
}

impl<'de: 'static, T> Deserialize<'de> for Late<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Ok(Late { bytes: Flat::deserialize(deserializer)?, read: OnceLock::new() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ready(bytes: Vec<u8>) -> &'static [u8] {
        Box::leak(bytes.into_boxed_slice())
    }

    #[test]
    fn a_row_reads_back_where_it_stands() {
        let row: Flat<(u16, u8, u64)> = (0..100u16).map(|n| (n * 3, 7, u64::MAX - u64::from(n))).collect();
        let mut back: Flat<(u16, u8, u64)> = postcard::from_bytes(ready(postcard::to_stdvec(&row).unwrap())).unwrap();
        assert_eq!(back.iter().collect::<Vec<_>>(), row.iter().collect::<Vec<_>>());
        assert_eq!(back.get(99), Some((297, 7, u64::MAX - 99)));
        assert_eq!((back.get(100), back.run(98, 101).len(), back.run(98, 100).len()), (None, 0, 2));
        assert_eq!(back.partition_point(|(n, _, _)| n < 30), 10);
        back.push((1, 2, 3));
        assert_eq!((back.len(), row.len()), (101, 100));
    }

    #[test]
    fn a_bundle_gives_its_rows_back_in_order() {
        let (small, large): (Flat<u8>, Flat<(u16, u64)>) =
            ((0..7u8).collect(), (0..9u16).map(|n| (n, 1 << n)).collect());
        let mut bundle = Bundle::default();
        bundle.put(&small);
        bundle.put(&large);
        let back: Bundle = postcard::from_bytes(ready(postcard::to_stdvec(&bundle).unwrap())).unwrap();
        for mut rows in [bundle.open(), back.clone().open()] {
            assert!(rows.take::<u8>().unwrap().iter().eq(small.iter()));
            assert!(rows.take::<(u16, u64)>().unwrap().iter().eq(large.iter()));
            assert!(rows.take::<u8>().is_none());
        }
        // Seven bytes are no row of larger numbers.
        assert!(back.open().take::<u16>().is_none());
    }

    #[test]
    fn entries_read_back_and_take_more() {
        let mut stock = Stock::default();
        (0..5).for_each(|n| stock.push(format!("entry {n}")));
        let mut back: Stock<String> = postcard::from_bytes(ready(postcard::to_stdvec(&stock).unwrap())).unwrap();
        back.push("one more".into());
        back.get_mut(1).unwrap().push_str(", changed");
        back.get_mut(5).unwrap().push('!');
        assert_eq!(
            back.iter().map(String::as_str).collect::<Vec<_>>(),
            ["entry 0", "entry 1, changed", "entry 2", "entry 3", "entry 4", "one more!"]
        );
        assert_eq!((back.get(6), back.len()), (None, 6));
    }

    #[test]
    fn a_thing_is_read_when_it_is_asked_for() {
        let late = Late::from(vec![1u32, 2, 3]);
        let mut back: Late<Vec<u32>> = postcard::from_bytes(ready(postcard::to_stdvec(&late).unwrap())).unwrap();
        assert_eq!(back.get(), &[1, 2, 3]);
        back.get_mut().unwrap().push(4);
        assert_eq!(back.get(), &[1, 2, 3, 4]);
    }
}
