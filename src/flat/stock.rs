//! Things that are read when they are first asked for: one of many, or one as a whole.

use super::Flat;
use serde::de::Deserializer;
use serde::{Deserialize, Serialize, Serializer};
use std::fmt;
use std::ops::Deref;
use std::sync::OnceLock;

/// Entries that are made room for together: most of a base is never asked for.
const TOGETHER: usize = 16;

/// Room for entries; what was read and could not be is `None`.
type Shelf<T> = [OnceLock<Option<Box<T>>>; TOGETHER];

/// Entries, those of the base each read when it is first asked for.
#[derive(Clone)]
pub(crate) struct Stock<T> {
    /// Where each entry of the base begins in `bytes`, and where the last one ends.
    starts: Flat<u32>,
    bytes: Flat<u8>,
    read: Vec<OnceLock<Box<Shelf<T>>>>,
    more: Vec<T>,
}

impl<T: Deserialize<'static>> Stock<T> {
    /// How many.
    pub(crate) fn len(&self) -> usize {
        self.ready() + self.more.len()
    }

    /// How many of them the base holds.
    #[inline]
    fn ready(&self) -> usize {
        self.starts.len().saturating_sub(1)
    }

    /// The entry at a place.
    #[inline]
    pub(crate) fn get(&self, at: usize) -> Option<&T> {
        match at.checked_sub(self.ready()) {
            None => {
                let shelf = self.read.get(at / TOGETHER)?.get_or_init(Box::default);
                shelf.get(at % TOGETHER)?.get_or_init(|| self.decode(at)).as_deref()
            }
            Some(beyond) => self.more.get(beyond),
        }
    }

    fn decode(&self, at: usize) -> Option<Box<T>> {
        let (from, to) = (self.starts.get(at)?, self.starts.get(at + 1)?);
        postcard::from_bytes(self.bytes.ready().get(from as usize..to as usize)?).ok().map(Box::new)
    }

    /// The entry at a place, to be changed.
    pub(crate) fn get_mut(&mut self, at: usize) -> Option<&mut T> {
        self.get(at)?;
        match at.checked_sub(self.ready()) {
            None => self.read.get_mut(at / TOGETHER)?.get_mut()?.get_mut(at % TOGETHER)?.get_mut()?.as_deref_mut(),
            Some(beyond) => self.more.get_mut(beyond),
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
        write!(f, "Stock({:?} ready, {} more)", self.starts, self.more.len())
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
        let shelves = starts.len().saturating_sub(1).div_ceil(TOGETHER);
        let read = std::iter::repeat_with(OnceLock::new).take(shelves).collect();
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
