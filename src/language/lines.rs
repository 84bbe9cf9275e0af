//! Cutting a rule file into logical lines, so that one broken line is one fault and the rest is
//! still read.

use crate::fault::{FileId, Span};

/// Words that begin a block.
pub(crate) const HEADS: [&str; 6] = ["rule", "kind", "item", "setting", "answer", "layer"];

/// One logical line: a physical one and those it goes on with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Logical {
    /// First byte.
    pub(crate) start: usize,
    /// One past its last byte, comments at its end included.
    pub(crate) end: usize,
}

/// The logical lines of a text that hold something, and where its comments stand.
pub(crate) fn cut(file: FileId, text: &str) -> (Vec<Logical>, Vec<Span>) {
    let mut lines: Vec<Logical> = Vec::new();
    let mut comments = Vec::new();
    let mut at = 0;
    let mut open = false;
    for physical in text.split_inclusive('\n') {
        let (start, end) = (at, at + physical.len());
        at = end;
        let body_len = comment_at(physical).unwrap_or(physical.len());
        if body_len < physical.len() {
            comments.push(Span::new(file, start + body_len, start + physical.trim_end().len()));
        }
        let body = physical.get(..body_len).unwrap_or("").trim_matches(|c: char| c.is_whitespace() || c == '\u{feff}');
        if body.is_empty() {
            continue;
        }
        let goes_on = open || body.starts_with('"') || labelled(body);
        let last_word = body.rsplit(|c: char| c.is_whitespace() || c == ',').next().unwrap_or("");
        open = body.ends_with([',', ':', '=']) || matches!(last_word, "or" | "and" | "except" | "not");
        match lines.last_mut() {
            Some(line) if goes_on && !HEADS.contains(&first_word(body)) => line.end = end,
            _ => lines.push(Logical { start, end }),
        }
    }
    (lines, comments)
}

/// Whether a line begins with the word of an answer: `yes: needs torn`.
fn labelled(body: &str) -> bool {
    let word = first_word(body);
    !word.is_empty() && body.get(word.len()..).is_some_and(|rest| rest.trim_start().starts_with(':'))
}

/// The first word of a line.
pub(crate) fn first_word(line: &str) -> &str {
    let line = line.trim_start_matches(|c: char| c.is_whitespace() || c == '\u{feff}');
    line.split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).next().unwrap_or("")
}

/// Where a comment begins on a physical line: a `#` outside quotes.
fn comment_at(line: &str) -> Option<usize> {
    let (mut quoted, mut escaped) = (false, false);
    for (i, c) in line.char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' if quoted => escaped = true,
            '"' => quoted = !quoted,
            '#' if !quoted => return Some(i),
            _ => {}
        }
    }
    // A quote that is never closed hides no comment: look again without quotes.
    if quoted { line.find(" #").map(|i| i + 1) } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_goes_on_after_a_comma_and_before_a_quote() {
        let text = "rule a # x\n about b,\n   c\n because \"one\"\n   \"two # no comment\"\nrule b\n";
        let (lines, comments) = cut(FileId(0), text);
        let shown: Vec<&str> = lines.iter().map(|l| text[l.start..l.end].trim()).collect();
        assert_eq!(shown, ["rule a # x", "about b,\n   c", "because \"one\"\n   \"two # no comment\"", "rule b"]);
        assert_eq!(comments.len(), 1);
    }
}
