//! From YAML to entries, and from the built-in files to the base.
//!
//! Comes in: the texts of `rules/*.yaml`, or a household's kinds and items. Goes out: entries with
//! their places, or faults with place and suggestion. Unknown and doubled keys are refused.

use super::Known;
use super::entries::{Entries, ItemEntry};
use super::names::{Names, Words};
use super::weigh::Measures;
use crate::bag::{Glossary, Vocabulary};
use crate::fault::{Fault, Faults, FileId, Sources, Span, nearest};

/// Reads one YAML text as a list of entries; a fault has the place that serde_yaml gives and, for
/// an unknown key, a suggestion.
pub fn list<T: serde::de::DeserializeOwned>(file: FileId, sources: &Sources, faults: &mut Faults) -> Vec<T> {
    let Some(source) = sources.get(file) else { return Vec::new() };
    match serde_yaml::from_str::<Option<Vec<T>>>(&source.text) {
        Ok(entries) => entries.unwrap_or_default(),
        Err(error) => {
            let message = error.to_string();
            let at = error.location().map_or(0, |l| l.index());
            let span = word_at(file, &source.text, at);
            let short = message.split(" at line ").next().unwrap_or(&message).to_string();
            // serde_yaml says first where it is, as a path: `.[0].weighs: `.
            let (key, what) = short
                .split_once(": ")
                .filter(|(p, _)| p.starts_with('.'))
                .map_or(("", short.as_str()), |(p, w)| (p.rsplit('.').next().unwrap_or(""), w));
            let named = !key.is_empty() && !key.starts_with('[');
            let mut fault =
                Fault::error("broken-entry", if named { format!("`{key}`: {what}") } else { what.to_string() }, span);
            if named && what.ends_with("expected a sequence") {
                fault = Fault::error("broken-entry", format!("`{key}` takes a list"), span)
                    .help("write it in brackets, with commas between: [one, other]");
            }
            if let Some((bad, rest)) = what.strip_prefix("unknown field `").and_then(|m| m.split_once('`')) {
                let known: Vec<&str> = rest.split('`').skip(1).step_by(2).collect();
                let at = source.text.get(at..).and_then(|t| t.find(bad)).map_or(at, |i| at + i);
                fault = Fault::error(
                    "unknown-key",
                    format!("I do not know the key `{bad}`"),
                    Span::new(file, at, at + bad.len()),
                );
                fault = fault.maybe_help(Some(match nearest(bad, known.iter().copied()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("keys are {}", known.join(", ")),
                }));
            }
            faults.push(fault);
            Vec::new()
        }
    }
}

/// Reads one YAML text as items, each with the place of its name.
pub fn items(file: FileId, sources: &Sources, faults: &mut Faults) -> Vec<ItemEntry> {
    let mut entries: Vec<ItemEntry> = list(file, sources, faults);
    let text = sources.get(file).map_or("", |s| &*s.text);
    let mut from = 0;
    for e in &mut entries {
        let rest = text.get(from..).unwrap_or("");
        if let Some(at) =
            rest.find("item:").and_then(|i| rest.get(i..).and_then(|r| r.find(&e.item)).map(|j| from + i + j))
        {
            e.place = Some(Span::new(file, at, at + e.item.len()));
            from = at + e.item.len();
        }
    }
    entries
}

fn word_at(file: FileId, text: &str, at: usize) -> Span {
    let at = (0..=at.min(text.len())).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
    let len = text.get(at..).map_or(0, |t| t.find(|c: char| c.is_whitespace()).unwrap_or(t.len()).min(40));
    Span::new(file, at, at + len.max(1))
}

/// The texts of the built-in knowledge base.
#[derive(Debug, Clone, Copy)]
pub struct BaseTexts<'a> {
    /// `states.yaml`.
    pub states: FileId,
    /// `parts.yaml`.
    pub parts: FileId,
    /// `glossary.yaml`.
    pub glossary: FileId,
    /// `words.yaml`.
    pub words: FileId,
    /// `kinds.yaml`.
    pub kinds: FileId,
    /// The item files.
    pub items: &'a [FileId],
    /// `composition.yaml`.
    pub foods: FileId,
    /// `sources.yaml`.
    pub publications: FileId,
    /// `evidence.yaml`.
    pub statements: FileId,
    /// `measures.yaml`.
    pub measures: FileId,
}

/// The built-in base from its texts; every fault of every file is noted.
pub fn base(texts: &BaseTexts<'_>, sources: &Sources, faults: &mut Faults) -> Known {
    let text = |file| sources.get(file).map_or("", |s| &*s.text);
    let glossary = or_fault(Glossary::load(text(texts.glossary)), texts.glossary, sources, faults);
    let vocabulary = Vocabulary::load(text(texts.states), text(texts.parts), glossary);
    let vocabulary = or_fault(vocabulary, texts.states, sources, faults);
    let measures = or_fault(Measures::load(text(texts.measures)), texts.measures, sources, faults);
    let words = or_fault(Words::load(text(texts.words)), texts.words, sources, faults);
    let entries = Entries {
        kinds: list(texts.kinds, sources, faults),
        items: texts.items.iter().flat_map(|file| items(*file, sources, faults)).collect(),
        foods: list(texts.foods, sources, faults),
        publications: list(texts.publications, sources, faults),
        statements: list(texts.statements, sources, faults),
    };
    let blank = Known { vocabulary, measures, names: Names::knowing(words), ..Known::default() };
    blank.with(entries, faults)
}

/// What was read, or its default and the fault, at the first word of the file that the fault names.
fn or_fault<T: Default>(read: Result<T, String>, file: FileId, sources: &Sources, faults: &mut Faults) -> T {
    read.unwrap_or_else(|message| {
        let text = sources.get(file).map_or("", |s| &*s.text);
        let named = message.split(['`', '"']).skip(1).step_by(2).find_map(|word| text.find(word));
        faults.push(Fault::error("broken-entry", message, word_at(file, text, named.unwrap_or(0))));
        T::default()
    })
}
