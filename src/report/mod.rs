//! What people and programs read: the bag's screen, explanations, drawn faults, JSON.
//!
//! Comes in: a judgement, or faults. Goes out: text of a stated width, as lines of styled pieces.
//! Nothing here knows a terminal: `cli` asks for the width and whether colour is wanted. No meaning
//! hangs on colour. Every piece is cleaned as it is made, so that no control character of a bag or a
//! rule file reaches a screen.

pub mod book;
pub mod check;
pub mod data;
pub mod explain;
pub mod faults;
pub mod json;
pub mod said;
pub mod spoken;
pub mod things;
pub mod words;

use anstyle::{AnsiColor, Style};
use std::fmt;
use unicode_width::UnicodeWidthStr;

/// How many columns a screen has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Width(pub usize);

impl Default for Width {
    fn default() -> Self {
        Width(80)
    }
}

impl From<usize> for Width {
    fn from(columns: usize) -> Self {
        Width(columns)
    }
}

impl Width {
    /// The columns used: at least 24, and at most 100, for longer lines are hard to read.
    pub fn columns(self) -> usize {
        self.0.clamp(24, 100)
    }

    /// True if labels stand on lines of their own.
    fn narrow(self) -> bool {
        self.columns() < 48
    }
}

/// What a piece of text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Ink {
    /// Text.
    #[default]
    Plain,
    /// It goes in.
    Good,
    /// Something is to be done.
    Do,
    /// It stays out, or a caution.
    Stop,
    /// Not to be missed.
    Strong,
    /// Labels of what is only to be looked up.
    Quiet,
}

impl Ink {
    fn style(self) -> Style {
        match self {
            Ink::Plain => Style::new(),
            Ink::Good => AnsiColor::Green.on_default().bold(),
            Ink::Do => AnsiColor::Yellow.on_default().bold(),
            Ink::Stop => AnsiColor::Red.on_default().bold(),
            Ink::Strong => Style::new().bold(),
            Ink::Quiet => Style::new().dimmed(),
        }
    }
}

/// Some text of one style, cleaned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    text: String,
    ink: Ink,
}

impl Piece {
    /// Text of any origin, made safe to print.
    pub fn new(text: &str, ink: Ink) -> Self {
        Piece { text: words::clean(text), ink }
    }
}

/// A screen: lines of pieces, none wider than its width unless a single word is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Page {
    width: Width,
    lines: Vec<Vec<Piece>>,
}

impl Page {
    /// An empty screen.
    pub fn new(width: Width) -> Self {
        Page { width, lines: Vec::new() }
    }

    /// Its width.
    pub fn width(&self) -> Width {
        self.width
    }

    /// An empty line, but never two, nor one at the top.
    pub fn blank(&mut self) {
        if self.lines.last().is_some_and(|l| !l.is_empty()) {
            self.lines.push(Vec::new());
        }
    }

    /// A line across the whole width, wrapped.
    pub fn headline(&mut self, text: &str, ink: Ink) {
        for line in wrap(text, self.width.columns()) {
            self.lines.push(vec![Piece::new(&line, ink)]);
        }
    }

    /// A label, and text from column `indent` on, wrapped under itself.
    pub fn row(&mut self, label: &str, ink: Ink, indent: usize, text: &str) {
        self.pair(label, ink, indent, text, None);
    }

    /// Text from column `indent` on, without a label.
    pub fn under(&mut self, indent: usize, text: &str) {
        let indent = if self.width.narrow() { indent.min(2) } else { indent };
        for line in wrap(text, self.width.columns().saturating_sub(indent)) {
            self.lines.push(vec![Piece::new(&" ".repeat(indent), Ink::Plain), Piece::new(&line, Ink::Plain)]);
        }
    }

    /// A label, text, and at column `indent + across` more text if it is given and fits there.
    fn pair(&mut self, label: &str, ink: Ink, indent: usize, text: &str, more: Option<(usize, &str)>) {
        if self.width.narrow() {
            self.lines.push(vec![Piece::new(label.trim_start(), ink)]);
            self.under(2, text);
            if let Some((_, more)) = more {
                self.under(2, more);
            }
            return;
        }
        let pad = indent.saturating_sub(words::wide(label)).max(1);
        let first = indent.max(words::wide(label) + pad);
        let mut lines = wrap(text, self.width.columns().saturating_sub(first)).into_iter();
        let mut pieces = vec![
            Piece::new(label, ink),
            Piece::new(&" ".repeat(pad), Ink::Plain),
            Piece::new(&lines.next().unwrap_or_default(), Ink::Plain),
        ];
        if let (Some((across, more)), Some(last)) = (more, pieces.last()) {
            let gap = across.saturating_sub(last.text.width()).max(2);
            pieces.push(Piece::new(&" ".repeat(gap), Ink::Plain));
            pieces.push(Piece::new(more, Ink::Plain));
        }
        self.lines.push(pieces);
        for line in lines {
            self.lines.push(vec![Piece::new(&" ".repeat(first), Ink::Plain), Piece::new(&line, Ink::Plain)]);
        }
    }

    /// Adds another screen's lines.
    pub fn extend(&mut self, other: Page) {
        self.lines.extend(other.lines);
    }

    /// The screen with ANSI colour, for a terminal that wants it.
    pub fn coloured(&self) -> String {
        let mut out = String::new();
        for line in &self.lines {
            for piece in line {
                if piece.ink == Ink::Plain || piece.text.trim().is_empty() {
                    out.push_str(&piece.text);
                } else {
                    let style = piece.ink.style();
                    out.push_str(&format!("{style}{}{style:#}", piece.text));
                }
            }
            out.truncate(out.trim_end_matches(' ').len());
            out.push('\n');
        }
        out
    }

    /// The screen, with colour if that is wanted.
    pub fn text(&self, colour: bool) -> String {
        if colour { self.coloured() } else { self.to_string() }
    }
}

impl fmt::Display for Page {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for line in &self.lines {
            let text: String = line.iter().map(|p| p.text.as_str()).collect();
            writeln!(f, "{}", text.trim_end())?;
        }
        Ok(())
    }
}

/// Wraps cleaned text; words longer than the width are broken, hyphens are not.
fn wrap(text: &str, width: usize) -> Vec<String> {
    if text.len() <= width && words::is_plain(text) {
        return vec![text.trim_end_matches(' ').to_string()];
    }
    let options = textwrap::Options::new(width.max(8))
        .break_words(!text.contains("://"))
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    let text = words::clean_for_wrapping(text);
    // Words tied together that no line can hold are parted between words, not within one.
    let held = text.split(' ').all(|w| w.len() <= width || w.width() <= width);
    let text = if held { text } else { words::clean(&text) };
    let lines = textwrap::wrap(&text, options).into_iter().map(|l| l.into_owned()).collect::<Vec<_>>();
    if lines.is_empty() { vec![String::new()] } else { lines }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_the_page_and_nothing_raw_gets_through() {
        let nasty = "peel\u{1b}[31m red\u{202e}evil\u{9b}2J\u{0} tab\there \u{2028} end ".repeat(9);
        for width in [24, 40, 47, 48, 60, 80, 100] {
            let mut page = Page::new(Width(width));
            page.headline(&nasty, Ink::Stop);
            page.row(" 1 KEEP OUT", Ink::Stop, 13, &nasty);
            page.under(13, &nasty);
            let text = page.to_string();
            assert!(text.lines().all(|l| l.width() <= width), "{width}:\n{text}");
            assert!(
                !text.chars().any(|c| c != '\n' && (c.is_control() || c == '\u{202e}' || c == '\u{2028}')),
                "{text:?}"
            );
        }
    }

    #[test]
    fn colour_adds_nothing_but_colour() {
        let mut page = Page::new(Width(40));
        page.row("KEEP OUT", Ink::Stop, 12, "chicken bones");
        let bare = anstream::adapter::strip_str(&page.coloured()).to_string();
        assert_eq!(bare, page.to_string());
    }
}
