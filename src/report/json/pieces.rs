//! JSON put together piece by piece, for what is written for every line of a stream: keys that are
//! ours go out as they stand, and serde_json writes whatever has to be looked at.

use super::append;
use serde::Serialize;
use std::io;

/// Appends a key of an object that has others before it, with its colon.
macro_rules! key {
    ($text:expr, $key:literal) => {
        $text.extend_from_slice(concat!(",\"", $key, "\":").as_bytes())
    };
}
pub(super) use key;

/// Appends a string.
pub(super) fn string(text: &mut Vec<u8>, value: &str) -> io::Result<()> {
    let plain = |all, b: &u8| all & (*b >= b' ') & (*b < 0x7f) & (*b != b'"') & (*b != b'\\');
    if !value.as_bytes().iter().fold(true, plain) {
        return append(text, &value);
    }
    text.push(b'"');
    text.extend_from_slice(value.as_bytes());
    text.push(b'"');
    Ok(())
}

/// Appends a value that is there or not.
pub(super) fn or_null<T>(
    text: &mut Vec<u8>,
    value: Option<T>,
    put: impl FnOnce(&mut Vec<u8>, T) -> io::Result<()>,
) -> io::Result<()> {
    match value {
        Some(value) => put(text, value),
        None => {
            text.extend_from_slice(b"null");
            Ok(())
        }
    }
}

/// Appends a string that is there or not.
pub(super) fn maybe(text: &mut Vec<u8>, value: Option<&str>) -> io::Result<()> {
    or_null(text, value, string)
}

/// Appends a number, or anything else that holds no text.
pub(super) fn number(text: &mut Vec<u8>, value: impl Serialize) -> io::Result<()> {
    Ok(serde_json::to_writer(text, &value)?)
}

/// Appends a number with a point; null if it is not finite.
pub(super) fn decimal(text: &mut Vec<u8>, value: f64) -> io::Result<()> {
    // Most masses are whole grams, and a whole number is written far sooner.
    #[allow(clippy::cast_possible_truncation, reason = "held against what it came from")]
    let whole = value as i32;
    if f64::from(whole).to_bits() != value.to_bits() {
        return number(text, value);
    }
    number(text, whole)?;
    text.extend_from_slice(b".0");
    Ok(())
}

/// Appends an array.
pub(super) fn list<T>(
    text: &mut Vec<u8>,
    values: impl IntoIterator<Item = T>,
    mut put: impl FnMut(&mut Vec<u8>, T) -> io::Result<()>,
) -> io::Result<()> {
    text.push(b'[');
    for (n, value) in values.into_iter().enumerate() {
        if n > 0 {
            text.push(b',');
        }
        put(text, value)?;
    }
    text.push(b']');
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_numbers_come_out_as_any_other() {
        for value in [0.0, -0.0, 1.0, -7.0, 100.0, 0.86, 1e9, 2_147_483_647.0, 2_147_483_648.0, 1e17, f64::NAN] {
            let mut text = Vec::new();
            decimal(&mut text, value).unwrap();
            assert_eq!(text, serde_json::to_vec(&value).unwrap());
        }
    }

    #[test]
    fn strings_come_out_as_serde_json_reads_them() {
        for value in ["", "plain", "a \"b\" \\ c", "é", "\u{7f}", "\n", "~ }"] {
            let mut text = Vec::new();
            string(&mut text, value).unwrap();
            assert_eq!(serde_json::from_slice::<String>(&text).unwrap(), value);
        }
    }
}
