//! Faults drawn for people: the line as it was written, a caret, and a way out.
//!
//! All wording of the fault itself stands where the fault is made; here is only the drawing, and
//! what is said when nothing could be checked because of it.

use super::{Width, words};
use crate::fault::{Fault, Faults, Severity, Sources};
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use std::ops::Range;

/// Draws every fault, in the order of their places.
pub fn draw(faults: &Faults, sources: &Sources, width: impl Into<Width>, colour: bool) -> String {
    let width = width.into();
    let mut out = String::new();
    for fault in faults.sorted() {
        if !out.is_empty() {
            out.push('\n');
        }
        out.push_str(&drawn(fault, sources, width, colour));
    }
    out
}

/// What is said when errors stopped everything: how many, and the way round them if there is one.
pub fn nothing_was_checked(faults: &Faults, again: Option<&[&str]>, width: impl Into<Width>) -> String {
    let errors = faults.sorted().iter().filter(|f| f.severity == Severity::Error).count();
    let mend = if errors == 1 { "Mend the line".to_string() } else { format!("Mend the {errors} places") };
    let mut page = super::Page::new(width.into());
    match again {
        Some(command) => {
            page.headline(&format!("NOTHING WAS CHECKED. {mend},"), super::Ink::Stop);
            page.under(13, &format!("or this once:  {}", words::command(command)));
        }
        None => page.headline(&format!("NOTHING WAS CHECKED. {mend}."), super::Ink::Stop),
    }
    page.to_string()
}

fn drawn(fault: &Fault, sources: &Sources, width: Width, colour: bool) -> String {
    let level = match fault.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let mut group = Group::with_title(level.primary_title(words::clean(&fault.message)));
    let mut files: Vec<crate::fault::FileId> = Vec::new();
    for label in &fault.labels {
        if !files.contains(&label.span.file) {
            files.push(label.span.file);
        }
    }
    for (n, file) in files.iter().enumerate() {
        let Some(source) = sources.get(*file) else { continue };
        let spans: Vec<(bool, Range<usize>, String)> = fault
            .labels
            .iter()
            .enumerate()
            .filter(|(_, l)| l.span.file == *file)
            .map(|(i, l)| {
                (
                    i == 0 && n == 0,
                    within(&source.text, l.span.start as usize..l.span.end as usize),
                    words::clean(&l.text),
                )
            })
            .collect();
        // Only the lines pointed at are handed on: a file may be large.
        let first = spans.iter().map(|s| s.1.start).min().unwrap_or(0);
        let last = spans.iter().map(|s| s.1.end).max().unwrap_or(0);
        let from = source.text.get(..first).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
        let to = source.text.get(last..).and_then(|t| t.find('\n')).map_or(source.text.len(), |i| last + i);
        let text = source.text.get(from..to).unwrap_or("").trim_end_matches('\r');
        let line = source.text.get(..from).map_or(1, |t| t.matches('\n').count() + 1);
        let mut snippet = Snippet::source(text.to_string()).line_start(line).path(words::clean(&source.name));
        for (primary, span, label) in spans {
            let kind = if primary { AnnotationKind::Primary } else { AnnotationKind::Context };
            let span = span.start.saturating_sub(from).min(text.len())..span.end.saturating_sub(from).min(text.len());
            let mut annotation = kind.span(span);
            if !label.is_empty() {
                annotation = annotation.label(label);
            }
            snippet = snippet.annotation(annotation);
        }
        group = group.element(snippet);
    }
    if let Some(help) = &fault.help {
        // The renderer wraps nothing: `   = help: ` stands before the text.
        let lines = super::wrap(help, width.columns().saturating_sub(12));
        let lines: Vec<String> = lines.iter().map(|l| words::clean(l)).collect();
        group = group.element(Level::HELP.message(lines.join("\n")));
    }
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let text = renderer.term_width(width.columns()).render(&[group]);
    // Escapes in the rendered text are the renderer's own: it replaces those of the source.
    let safe = |c: char| if c == '\n' || (colour && c == '\u{1b}') { c } else { words::safe(c) };
    text.chars().map(safe).collect::<String>() + "\n"
}

/// A range cut to what the text holds, at whole characters.
fn within(text: &str, range: Range<usize>) -> Range<usize> {
    let floor = |mut at: usize| {
        at = at.min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let start = floor(range.start);
    start..floor(range.end).max(start)
}
