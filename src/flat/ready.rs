//! The bytes that the build leaves behind, and how they are opened.
//!
//! Long runs of bytes stand apart from what is told of them, so that opening reads one place, however
//! much there is: what lies between two pages that are read is never fetched.

use postcard::{Deserializer, Error, Result, de_flavors, ser_flavors};
use serde::{Deserialize, Serialize};

/// Runs of so many bytes stand apart.
const LONG: usize = 256;

/// Writes a thing: how many bytes tell of it, those, and then its long runs.
///
/// # Errors
/// None but what a value cannot be written for.
#[allow(dead_code, reason = "the build writes, the program opens")]
pub(crate) fn write<T: Serialize>(thing: &T) -> Result<Vec<u8>> {
    postcard::serialize_with_flavor(thing, Writer::default())
}

/// Opens what [`write`] wrote.
///
/// # Errors
/// If the bytes are others, or hold another thing.
pub(crate) fn open<T: Deserialize<'static>>(bytes: &'static [u8]) -> Result<T> {
    let (told, rest) = bytes.split_first_chunk().ok_or(Error::DeserializeUnexpectedEnd)?;
    let told = usize::try_from(u32::from_le_bytes(*told)).map_err(|_| Error::DeserializeBadVarint)?;
    let (told, runs) = rest.split_at_checked(told).ok_or(Error::DeserializeUnexpectedEnd)?;
    T::deserialize(&mut Deserializer::from_flavor(Reader { told, runs }))
}

#[allow(dead_code, reason = "the build writes, the program opens")]
#[derive(Default)]
struct Writer {
    told: Vec<u8>,
    runs: Vec<u8>,
}

impl ser_flavors::Flavor for Writer {
    type Output = Vec<u8>;

    fn try_push(&mut self, byte: u8) -> Result<()> {
        self.told.push(byte);
        Ok(())
    }

    fn try_extend(&mut self, bytes: &[u8]) -> Result<()> {
        let place = if bytes.len() < LONG { &mut self.told } else { &mut self.runs };
        place.extend_from_slice(bytes);
        Ok(())
    }

    fn finalize(self) -> Result<Vec<u8>> {
        let told = u32::try_from(self.told.len()).map_err(|_| Error::SerializeBufferFull)?;
        Ok([&told.to_le_bytes()[..], &self.told, &self.runs].concat())
    }
}

struct Reader {
    told: &'static [u8],
    runs: &'static [u8],
}

impl de_flavors::Flavor<'static> for Reader {
    type Remainder = ();
    type Source = ();

    fn pop(&mut self) -> Result<u8> {
        let (first, rest) = self.told.split_first().ok_or(Error::DeserializeUnexpectedEnd)?;
        self.told = rest;
        Ok(*first)
    }

    fn try_take_n(&mut self, count: usize) -> Result<&'static [u8]> {
        let place = if count < LONG { &mut self.told } else { &mut self.runs };
        let (taken, rest) = place.split_at_checked(count).ok_or(Error::DeserializeUnexpectedEnd)?;
        *place = rest;
        Ok(taken)
    }

    fn finalize(self) -> Result<()> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flat::Flat;

    type Thing = (u8, Flat<u32>, String, Flat<u16>, Vec<u64>);

    fn thing() -> Thing {
        (7, (0..1000u32).collect(), "short".into(), (0..3u16).collect(), vec![u64::MAX; 100])
    }

    #[test]
    fn what_was_written_opens_again_and_its_long_runs_stand_behind_all_that_is_told() {
        let bytes: &'static [u8] = write(&thing()).unwrap().leak();
        let back: Thing = open(bytes).unwrap();
        assert!(back.1.iter().eq(0..1000) && back.3.iter().eq(0..3));
        assert_eq!((back.0, back.2.as_str(), back.4), (7, "short", vec![u64::MAX; 100]));
        let run: Vec<u8> = (0..1000u32).flat_map(u32::to_le_bytes).collect();
        assert!(bytes.ends_with(&run));
    }

    #[test]
    fn bytes_that_were_cut_are_refused() {
        let bytes: &'static [u8] = write(&thing()).unwrap().leak();
        for to in (0..bytes.len()).step_by(7) {
            assert!(open::<Thing>(&bytes[..to]).is_err(), "{to} bytes");
        }
    }
}
