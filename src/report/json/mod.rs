//! What programs read: the shapes of `grammar/*.schema.json`, to the key.
//!
//! Absent is `null`, never a missing key; numbers are finite; shares are 0..1; masses are grams.
//! Characters that a terminal would obey, and those that hide or reorder text, are written escaped.

mod bag;
mod book;
mod pieces;
mod things;

pub use bag::{Detail, Lines, check};
pub use book::{rule_object as rule, rules};
pub use things::{items, sources};

use crate::judge::{Figure, Finding, Ground, Origin, Verdict};
use crate::knowledge::Known;
use crate::language::{Book, Layer};
use crate::report::words;
use pieces::{decimal, key, list, maybe, number, or_null, string};
use serde::Serialize;
use std::borrow::Cow;
use std::io::{self, Write};

/// Writes a value on one line, without a line end.
///
/// # Errors
/// What the writer says.
pub fn write(out: &mut dyn Write, value: &impl Serialize) -> io::Result<()> {
    // Written in many small pieces: into memory first, where a piece costs next to nothing.
    let mut text = Vec::new();
    append(&mut text, value)?;
    out.write_all(&text)
}

/// Appends a value on one line, without a line end.
fn append(text: &mut Vec<u8>, value: &impl Serialize) -> io::Result<()> {
    let from = text.len();
    serde_json::to_writer(&mut *text, value)?;
    // Nearly always there is nothing to hide, and one look over the whole says so.
    if text.get(from..).is_some_and(|written| written.iter().fold(true, |plain, b| plain & (*b < 0x7f))) {
        return Ok(());
    }
    text.truncate(from);
    value.serialize(&mut serde_json::Serializer::with_formatter(text, Escaped)).map_err(io::Error::from)
}

/// Compact JSON; serde_json itself escapes the control characters below U+0020 only.
struct Escaped;

impl serde_json::ser::Formatter for Escaped {
    fn write_string_fragment<W: ?Sized + Write>(&mut self, out: &mut W, fragment: &str) -> io::Result<()> {
        let mut from = 0;
        for (at, c) in fragment.char_indices().filter(|(_, c)| words::safe(*c) != *c) {
            out.write_all(fragment.get(from..at).unwrap_or("").as_bytes())?;
            for unit in c.encode_utf16(&mut [0; 2]) {
                write!(out, "\\u{unit:04x}")?;
            }
            from = at + c.len_utf8();
        }
        out.write_all(fragment.get(from..).unwrap_or("").as_bytes())
    }
}

/// A finite number, or null.
fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

#[derive(Serialize)]
struct FigureJson {
    value: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
}

fn figure(f: Option<Figure>) -> FigureJson {
    FigureJson {
        value: f.and_then(|f| finite(f.value)),
        low: f.and_then(|f| finite(f.low)),
        high: f.and_then(|f| finite(f.high)),
    }
}

/// What the JSON of a finding begins with: all that follows from its rule, its verdict, its
/// certainty, and the part to take out.
#[derive(Serialize)]
struct HeadJson<'a> {
    rule: &'a str,
    layer: &'static str,
    file: Option<&'a str>,
    at_line: Option<u32>,
    verdict: Option<&'static str>,
    // The texts are left out of a stream unless asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    because: Option<Option<&'a str>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    advice: Option<Option<Cow<'a, str>>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    caution: Option<Option<&'a str>>,
    sources: &'a [String],
    common_practice: bool,
    disputed: bool,
    hazard: bool,
    certain: bool,
}

/// Appends what the JSON of a finding begins with.
fn head(text: &mut Vec<u8>, f: &Finding, known: &Known, book: &Book, full: bool) -> io::Result<()> {
    let rule = match f.origin {
        Origin::Rule(id) => book.rule(id),
        Origin::Reading => None,
    };
    let advice = || match &f.ground {
        Ground::Reading => Some("say what it is, in other words, or leave it out".into()),
        Ground::With(what) => Some(format!("say what {what} is, in other words, or leave it out").into()),
        Ground::TakeOutPart(item) => Some(format!("take the {} out", known.item_name(*item)).into()),
        _ => rule.and_then(|r| r.advice()).map(Cow::Borrowed),
    };
    let head = HeadJson {
        rule: rule.map_or("reading", |r| r.name.as_str()),
        layer: rule.map_or("reading", |r| r.layer.word()),
        file: rule.map(|r| r.file()),
        at_line: rule.map(|r| r.at_line),
        verdict: f.verdict.map(Verdict::key),
        because: full.then(|| rule.map_or(Some("the line is not read surely"), |r| r.because())),
        advice: full.then(advice),
        caution: full.then(|| rule.and_then(|r| r.caution())),
        sources: rule.map_or(&[], |r| r.sources()),
        common_practice: rule.is_some_and(|r| r.common_practice),
        disputed: rule.is_some_and(crate::language::Rule::disputed),
        hazard: rule.is_some_and(|r| r.hazard),
        certain: f.certain,
    };
    append(text, &head)?;
    // What is left of the finding goes on in the same object.
    text.pop();
    Ok(())
}

/// Appends the object of a finding; `head` appends what it begins with.
fn finding(
    text: &mut Vec<u8>,
    f: &Finding,
    points: u32,
    known: &Known,
    head: impl FnOnce(&mut Vec<u8>) -> io::Result<()>,
) -> io::Result<()> {
    head(text)?;
    key!(text, "missing");
    list(text, &f.missing, |text, missing| {
        text.extend_from_slice(b"{\"fact\":");
        string(text, &missing.fact)?;
        key!(text, "outcomes");
        list(text, &missing.outcomes, |text, (value, verdict)| {
            text.extend_from_slice(b"{\"value\":");
            string(text, value)?;
            key!(text, "verdict");
            maybe(text, verdict.map(Verdict::key))?;
            text.push(b'}');
            Ok(())
        })?;
        text.push(b'}');
        Ok(())
    })?;
    key!(text, "measured");
    or_null(text, f.measured.as_ref(), |text, measured| {
        text.extend_from_slice(b"{\"value\":");
        decimal(text, measured.value)?;
        key!(text, "unit");
        string(text, measured.unit)?;
        text.push(b'}');
        Ok(())
    })?;
    key!(text, "limit");
    or_null(text, f.limit.as_ref(), |text, limit| {
        text.extend_from_slice(b"{\"low\":");
        or_null(text, limit.low, decimal)?;
        key!(text, "high");
        or_null(text, limit.high, decimal)?;
        key!(text, "unit");
        string(text, limit.unit)?;
        text.push(b'}');
        Ok(())
    })?;
    key!(text, "through");
    maybe(text, f.through.map(|i| known.item_name(i)))?;
    key!(text, "points");
    number(text, points)?;
    text.push(b'}');
    Ok(())
}

fn layer_word(layer: Layer) -> &'static str {
    layer.word()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_a_terminal_obeys_stands_raw_and_everything_comes_back() {
        let nasty = "a\u{1b}[2J\u{7f}\u{9b}31m\u{202e}b\u{e0041}\u{feff}é🍌\t\n\"\\";
        let mut out = Vec::new();
        write(&mut out, &nasty).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert_eq!(text, "\"a\\u001b[2J\\u007f\\u009b31m\\u202eb\\udb40\\udc41\\ufeffé🍌\\t\\n\\\"\\\\\"");
        assert_eq!(serde_json::from_str::<String>(&text).unwrap(), nasty);
    }
}
