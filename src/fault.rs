//! How any stage says what is wrong and where: spans, faults, and the texts they point into.
//!
//! Every stage makes faults; only `report::faults` draws them. A fault's message says what is
//! wrong, its labels say where, its help says what to write instead.

use std::borrow::Cow;
use std::fmt;

/// Which text of a [`Sources`] table a span points into.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, serde::Serialize, serde::Deserialize)]
pub struct FileId(pub u32);

/// A half-open range of bytes `start..end` in one text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, serde::Serialize, serde::Deserialize)]
pub struct Span {
    /// The text.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// A span over `start..end` of `file`; offsets beyond 4 GiB are cut there.
    pub fn new(file: FileId, start: usize, end: usize) -> Self {
        let cut = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Span { file, start: cut(start), end: cut(end.max(start)) }
    }

    /// The smallest span over both; `self`'s file wins.
    pub fn to(self, other: Span) -> Span {
        Span { file: self.file, start: self.start.min(other.start), end: self.end.max(other.end) }
    }
}

/// One text a person wrote: a rule file, an item file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// The name to print: a path as the person gave it, or a name inside the built-in base.
    pub name: Cow<'static, str>,
    /// The whole text.
    pub text: Cow<'static, str>,
}

/// The table of all texts that spans point into.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    all: Vec<Source>,
}

impl Sources {
    /// Adds a text and returns its id.
    pub fn add(&mut self, name: impl Into<Cow<'static, str>>, text: impl Into<Cow<'static, str>>) -> FileId {
        let id = FileId(u32::try_from(self.all.len()).unwrap_or(u32::MAX));
        self.all.push(Source { name: name.into(), text: text.into() });
        id
    }

    /// The text behind an id.
    pub fn get(&self, id: FileId) -> Option<&Source> {
        self.all.get(id.0 as usize)
    }

    /// The name to print for an id; empty if the id is of another table.
    pub fn name(&self, id: FileId) -> &str {
        self.get(id).map_or("", |s| &*s.name)
    }

    /// Line and column (both from 1, the column in characters) where a span starts.
    pub fn place(&self, span: Span) -> (u32, u32) {
        let Some(source) = self.get(span.file) else { return (1, 1) };
        let upto = (span.start as usize).min(source.text.len());
        let before = source.text.get(..upto).unwrap_or(&source.text);
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1;
        (u32::try_from(line).unwrap_or(u32::MAX), u32::try_from(column).unwrap_or(u32::MAX))
    }

    /// The written text under a span.
    pub fn slice(&self, span: Span) -> &str {
        self.get(span.file).and_then(|s| s.text.get(span.start as usize..span.end as usize)).unwrap_or("")
    }
}

/// How bad a fault is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Nothing can be checked until it is mended.
    Error,
    /// The book works; a person should look.
    Warning,
}

/// A place with words about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// Where.
    pub span: Span,
    /// What is to be seen there; may be empty.
    pub text: String,
}

/// One fault: what is wrong, where, and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// A stable name such as `unknown-state`.
    pub code: &'static str,
    /// Error or warning.
    pub severity: Severity,
    /// What is wrong: lower case, no full stop.
    pub message: String,
    /// Where; the first label is the place of the fault.
    pub labels: Vec<Label>,
    /// What to do next.
    pub help: Option<String>,
}

impl Fault {
    /// An error at a place.
    pub fn error(code: &'static str, message: impl Into<String>, span: Span) -> Self {
        Fault {
            code,
            severity: Severity::Error,
            message: message.into(),
            labels: vec![Label { span, text: String::new() }],
            help: None,
        }
    }

    /// A warning at a place.
    pub fn warning(code: &'static str, message: impl Into<String>, span: Span) -> Self {
        Fault { severity: Severity::Warning, ..Fault::error(code, message, span) }
    }

    /// Words under the first label.
    #[must_use]
    pub fn saying(mut self, text: impl Into<String>) -> Self {
        if let Some(first) = self.labels.first_mut() {
            first.text = text.into();
        }
        self
    }

    /// A second place.
    #[must_use]
    pub fn also(mut self, span: Span, text: impl Into<String>) -> Self {
        self.labels.push(Label { span, text: text.into() });
        self
    }

    /// What to do next.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Self {
        self.help = Some(text.into());
        self
    }

    /// What to do next, if there is something to say.
    #[must_use]
    pub fn maybe_help(mut self, text: Option<String>) -> Self {
        if text.is_some() {
            self.help = text;
        }
        self
    }

    /// The first label's place.
    pub fn span(&self) -> Span {
        self.labels.first().map(|l| l.span).unwrap_or_default()
    }
}

/// All faults of a run, in the order of their places.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Faults {
    all: Vec<Fault>,
}

impl Faults {
    /// Whether an error begins inside a stretch of text.
    pub fn any_error_within(&self, place: Span) -> bool {
        let within = |s: Span| s.file == place.file && (place.start..place.end).contains(&s.start);
        self.all.iter().any(|f| f.severity == Severity::Error && within(f.span()))
    }

    /// Notes a fault; the same fault at the same place is kept once.
    pub fn push(&mut self, fault: Fault) {
        if !self.all.contains(&fault) {
            self.all.push(fault);
        }
    }

    /// True if some fault is an error.
    pub fn any_error(&self) -> bool {
        self.all.iter().any(|f| f.severity == Severity::Error)
    }

    /// True if there is nothing to say.
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// All faults, sorted by place.
    pub fn sorted(&self) -> Vec<&Fault> {
        let mut all: Vec<&Fault> = self.all.iter().collect();
        all.sort_by_key(|f| (f.span(), f.code));
        all
    }

    /// Takes over the faults of another list.
    pub fn extend(&mut self, other: Faults) {
        for fault in other.all {
            self.push(fault);
        }
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for fault in self.sorted() {
            writeln!(f, "{}: {}", fault.code, fault.message)?;
        }
        Ok(())
    }
}

/// The best of `among` for a mistyped `word`, within a third of its length and three edits; the
/// first in order wins a tie.
pub fn nearest<'a>(word: &str, among: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let lower = word.to_lowercase();
    let limit = (word.chars().count() / 3).clamp(1, 3);
    among
        .into_iter()
        .map(|name| (strsim::osa_distance(&lower, &name.to_lowercase()), name))
        .filter(|(d, _)| *d <= limit)
        .min()
        .map(|(_, name)| name)
}

/// As [`nearest`], and where that finds nothing by the same words in another order:
/// `tea-bags-plastc` for `plastic-tea-bags`.
pub fn nearest_in_words<'a>(word: &str, among: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let among: Vec<&str> = among.into_iter().collect();
    let sorted = |name: &str| {
        let mut words: Vec<&str> = name.split('-').collect();
        words.sort_unstable();
        words.join("-")
    };
    nearest(word, among.iter().copied()).or_else(|| {
        let all: Vec<(String, &str)> = among.into_iter().map(|name| (sorted(name), name)).collect();
        let near = nearest(&sorted(word), all.iter().map(|(words, _)| words.as_str()))?;
        all.iter().find(|(words, _)| words == near).map(|(_, name)| *name)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_counts_lines_and_characters() {
        let mut sources = Sources::default();
        let id = sources.add("a", "eins\r\nzwö drei\n");
        assert_eq!(sources.place(Span::new(id, 11, 15)), (2, 5));
        assert_eq!(sources.slice(Span::new(id, 11, 15)), "drei");
    }

    #[test]
    fn a_suggestion_has_a_limit_and_a_steady_order() {
        assert_eq!(nearest("frozzen", ["frozen", "thawed"]), Some("frozen"));
        assert_eq!(nearest("xyz", ["frozen", "thawed"]), None);
        assert_eq!(nearest("bat", ["cat", "bar"]), Some("bar"));
    }
}
