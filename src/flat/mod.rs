//! What stands ready-made in the binary and is read only where it is asked for.
//!
//! Holders over bytes that the build left behind: [`Flat`], a row of numbers read one by one where
//! it stands; [`Keys`], such rows as a table; [`Stock`], entries each read when it is first asked for; [`Late`], one thing
//! read as a whole when it is first asked for. So opening the base costs nothing, whatever it holds.
//! What a household adds is kept beside, in memory. [`ready`] writes and opens the whole.

mod keys;
pub(crate) mod ready;
mod stock;

pub(crate) use keys::{Filter, Keys, place};
use serde::de::{Deserializer, Error, Visitor};
use serde::{Deserialize, Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;
pub(crate) use stock::{Late, Stock};

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
