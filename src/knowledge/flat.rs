//! Long rows of numbers that are kept as bytes.
//!
//! The index of names stands ready-made in the binary. Read number by number it would cost more
//! than everything else at start; as little-endian bytes it is one copy.

use serde::de::{Deserialize, Deserializer, Error, Visitor};
use serde::{Serialize, Serializer};
use std::marker::PhantomData;
use std::ops::Deref;

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
            fn get(bytes: &[u8]) -> Self {
                bytes.try_into().map_or(0, <$t>::from_le_bytes)
            }
        }
    )*};
}
number!(u8, u16, u32, u64);

impl<A: Fixed, B: Fixed> Fixed for (A, B) {
    const SIZE: usize = A::SIZE + B::SIZE;
    fn put(self, out: &mut Vec<u8>) {
        self.0.put(out);
        self.1.put(out);
    }
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
    fn get(bytes: &[u8]) -> Self {
        let ((a, b), c) = <((A, B), C)>::get(bytes);
        (a, b, c)
    }
}

/// A row of numbers, written and read as one run of bytes.
#[derive(Debug, Clone)]
pub(crate) struct Flat<T>(pub(crate) Vec<T>);

impl<T> Default for Flat<T> {
    fn default() -> Self {
        Flat(Vec::new())
    }
}

impl<T> Deref for Flat<T> {
    type Target = [T];
    fn deref(&self) -> &[T] {
        &self.0
    }
}

impl<T> From<Vec<T>> for Flat<T> {
    fn from(all: Vec<T>) -> Self {
        Flat(all)
    }
}

impl<T> FromIterator<T> for Flat<T> {
    fn from_iter<I: IntoIterator<Item = T>>(all: I) -> Self {
        Flat(all.into_iter().collect())
    }
}

impl<T: Fixed> Serialize for Flat<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut bytes = Vec::with_capacity(self.0.len() * T::SIZE);
        for t in &self.0 {
            t.put(&mut bytes);
        }
        serializer.serialize_bytes(&bytes)
    }
}

impl<'de, T: Fixed> Deserialize<'de> for Flat<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Run<T>(PhantomData<T>);
        impl<T: Fixed> Visitor<'_> for Run<T> {
            type Value = Flat<T>;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a run of bytes")
            }
            fn visit_bytes<E: Error>(self, bytes: &[u8]) -> Result<Flat<T>, E> {
                if !bytes.len().is_multiple_of(T::SIZE) {
                    return Err(E::invalid_length(bytes.len(), &self));
                }
                Ok(Flat(bytes.chunks_exact(T::SIZE).map(T::get).collect()))
            }
        }
        deserializer.deserialize_bytes(Run(PhantomData))
    }
}
