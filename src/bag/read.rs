//! Reading lines: amount, unit, names, parts, states, and where one thing ends and the next begins.

use super::measure::Source;
use super::split::Splitter;
use super::tokens::{self, Kind, Token};
use super::{BadLine, Bag, LONGEST_LINE, Lexicon, Line, Reading};

/// Reads a whole list. Line ends may be LF or CRLF; a byte order mark is skipped.
pub fn read(text: &str, lexicon: &dyn Lexicon) -> Bag {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let lines = text.lines().zip(1u32..).map(|(line, number)| read_line(number, line, lexicon)).collect();
    Bag { lines }
}

/// Reads a whole list of bytes; a line that is not UTF-8 does not spoil the others.
pub fn read_bytes(bytes: &[u8], lexicon: &dyn Lexicon) -> Bag {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut lines = Vec::new();
    let mut rest = bytes;
    let mut number = 1u32;
    while !rest.is_empty() {
        let end = rest.iter().position(|b| *b == b'\n').unwrap_or(rest.len());
        let (line, after) = rest.split_at(end);
        lines.push(read_line_bytes(number, line, lexicon));
        number = number.saturating_add(1);
        rest = after.get(1..).unwrap_or(&[]);
    }
    Bag { lines }
}

/// Reads one line of bytes, without its line feed; a carriage return at its end is dropped.
pub fn read_line_bytes(number: u32, bytes: &[u8], lexicon: &dyn Lexicon) -> Line {
    let bytes = bytes.strip_suffix(b"\r").unwrap_or(bytes);
    if bytes.len() > LONGEST_LINE {
        let shown = bytes.get(..SHOWN).unwrap_or(bytes);
        return bad(number, String::from_utf8_lossy(shown).into_owned(), BadLine::TooLong);
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => read_line(number, text, lexicon),
        Err(_) => bad(number, String::from_utf8_lossy(bytes).into_owned(), BadLine::NotUtf8),
    }
}

/// How much of an over-long line is kept to be shown, in bytes.
const SHOWN: usize = 80;

fn bad(number: u32, text: String, why: BadLine) -> Line {
    Line { number, text, reading: Reading::Unreadable(why) }
}

/// Reads one line.
pub fn read_line(number: u32, text: &str, lexicon: &dyn Lexicon) -> Line {
    let text = text.strip_suffix('\n').unwrap_or(text);
    let text = text.strip_suffix('\r').unwrap_or(text);
    if text.len() > LONGEST_LINE {
        let shown = text.char_indices().take_while(|(i, _)| *i < SHOWN).map(|(_, c)| c).collect();
        return bad(number, shown, BadLine::TooLong);
    }
    Line { number, text: text.to_string(), reading: reading(text, lexicon) }
}

fn reading(text: &str, lexicon: &dyn Lexicon) -> Reading {
    let line = text.trim();
    if line.is_empty() {
        return Reading::Blank;
    }
    if line.starts_with('#') {
        return Reading::Comment;
    }
    let line = tokens::comment_at(line).and_then(|at| line.get(..at)).unwrap_or(line);
    let line = line.get(tokens::bullet(line)..).unwrap_or("").trim();
    if line.is_empty() {
        return Reading::Blank;
    }
    let mut lower = String::with_capacity(line.len());
    tokens::lower(line, &mut lower);
    let mut list: Vec<Token> = Vec::with_capacity(16);
    tokens::cut(line, &lower, &mut list);
    let says = list.iter().any(|t| matches!(t.kind, Kind::Word | Kind::Number { .. } | Kind::Picture(_)));
    if !says && line.is_ascii() {
        return Reading::Blank;
    }
    let source = Source { text: line, lower: &lower, tokens: &list, lexicon, vocabulary: lexicon.vocabulary() };
    Reading::Things(Splitter::new(source).things())
}
