//! From syntax to a book: names, units, ranges, layers, days, overrides.
//!
//! Comes in: what was written. Goes out: a book on top of the one below it. Every fault has its place
//! and a way out, and all are found in one run.

mod conditions;
mod demands;
mod own;
mod rules;
mod settings;
mod subjects;

pub use own::own_things;
use settings::defaults;

use super::book::*;
use super::rows::Rows;
use super::syntax::{self as syn, Block, Layer, Written};
use crate::bag::Mg;
use crate::fault::{Fault, Faults, Sources, Span};
use crate::flat::Stock;
use crate::knowledge::Known;
use jiff::civil::Date;
use std::collections::HashMap;

/// The starter bin's worms where nobody said: 1 lb (USDA and twelve other publishers name 1 lb for
/// a new bin).
pub(super) const STARTER_WORMS: Mg = Mg(453_592);

/// Checks what was written and puts it on top of a book that was checked before (the base), as of
/// `today`. `sources` holds the texts of both.
pub fn check(
    written: &Written,
    known: &Known,
    below: Option<Book>,
    today: Date,
    sources: Sources,
    faults: &mut Faults,
) -> Book {
    let below = match below {
        Some(mut book) if written.files.is_empty() => {
            (book.today, book.sources) = (today, sources);
            book.settle(Layer::Household);
            return book;
        }
        below => below,
    };
    let mut check = Check { known, faults, groups: Vec::new(), aliases: HashMap::new() };
    let mut files: Vec<&syn::File> = written.files.iter().collect();
    files.sort_by_key(|f| (layer_of(f, &sources), f.id));
    check.groups(&files);
    let mut book = below.unwrap_or_else(|| Book {
        rules: Stock::default(),
        unsettled: Vec::new(),
        of_bag: Vec::new(),
        rows: Rows::default(),
        settings: defaults(),
        answers: Vec::new(),
        files: Vec::new(),
        groups: Vec::new(),
        today,
        sources: Sources::default(),
    });
    book.today = today;
    let first = book.count();
    let mut blocks: Vec<(&syn::RuleBlock, Layer)> = Vec::new();
    let mut at: HashMap<String, (RuleId, Span, Layer)> =
        book.iter().map(|(id, r)| (r.name.clone(), (id, r.place, r.layer))).collect();
    for file in &files {
        let layer = layer_of(file, &sources);
        let mut count = 0;
        for block in &file.blocks {
            match block {
                Block::Rule(rule) => {
                    count += 1;
                    let id = RuleId(u16::try_from(first + blocks.len()).unwrap_or(u16::MAX));
                    if let Some((_, other, _)) = at.get(&rule.name.value) {
                        check.faults.push(
                            Fault::error(
                                "doubled-rule",
                                format!("two rules are called `{}`", rule.name.value),
                                rule.name.span,
                            )
                            .also(*other, "the first one")
                            .help("give this one another name; to take the other's place write `replaces` under it"),
                        );
                        continue;
                    }
                    at.insert(rule.name.value.clone(), (id, rule.name.span, layer));
                    blocks.push((rule, layer));
                }
                Block::Setting(setting) => check.setting(setting, layer, &mut book.settings),
                _ => {}
            }
        }
        book.files.push(BookFile { layer, name: sources.name(file.id).to_string(), rules: count });
    }
    if first + blocks.len() > usize::from(u16::MAX) {
        check.faults.push(Fault::error("too-many-rules", "a book holds at most 65,535 rules", Span::default()));
        blocks.truncate(usize::from(u16::MAX).saturating_sub(first));
    }
    for (block, layer) in &blocks {
        let rule = check.rule(block, *layer, &sources, &at);
        book.push(rule);
    }
    book.settle(Layer::Household);
    let mut answers = Vec::new();
    for file in &files {
        for block in &file.blocks {
            if let Block::Answer(answer) = block {
                answers.extend(check.answer(answer, &at, &book));
            }
        }
    }
    book.answers.extend(answers);
    book.groups = check.groups.iter().map(|(n, s, _)| (n.clone(), s.clone())).collect();
    two_overrides(&book, known, check.faults);
    book.sources = sources;
    book
}

fn layer_of(file: &syn::File, sources: &Sources) -> Layer {
    match &file.layer {
        Some(layer) => layer.value,
        None if sources.name(file.id).starts_with("rules/base/") => Layer::Base,
        None => Layer::Household,
    }
}

struct Check<'a> {
    known: &'a Known,
    faults: &'a mut Faults,
    groups: Vec<(String, SubjectSet, Span)>,
    aliases: HashMap<String, syn::Subject>,
}

/// Two overrides of one rule on one (item, part) in one layer are an error.
fn two_overrides(book: &Book, known: &Known, faults: &mut Faults) {
    let unsettled = || book.unsettled.iter().filter_map(|id| Some((*id, book.rule(*id)?)));
    for (id, rule) in unsettled() {
        let Who::Scraps(subject) = rule.subject() else { continue };
        let mut by: Vec<(&Rule, Option<&SubjectSet>)> = Vec::new();
        for (_, other) in unsettled().filter(|(_, r)| r.dated) {
            by.extend(other.replaces.iter().filter(|r| **r == id).map(|_| (other, None)));
            if other.live {
                by.extend(other.lifts.iter().filter(|(r, _)| *r == id).map(|(_, s)| (other, s.as_ref())));
            }
        }
        for (i, (a, sa)) in by.iter().enumerate() {
            for (b, sb) in by.iter().skip(i + 1).filter(|(b, _)| b.layer == a.layer) {
                let witness = known.items().find(|(item, _)| {
                    let mut parts = std::iter::once(None).chain(known.vocabulary().parts().map(|(p, _)| Some(p)));
                    parts.any(|p| {
                        subject.holds(*item, p, known)
                            && sa.is_none_or(|s| s.holds(*item, p, known))
                            && sb.is_none_or(|s| s.holds(*item, p, known))
                    })
                });
                if let Some((_, item)) = witness {
                    faults.push(
                        Fault::error(
                            "two-overrides",
                            format!("`{}` and `{}` both overrule `{}` for {}", a.name, b.name, rule.name, item.name),
                            b.place,
                        )
                        .also(a.place, "the other one")
                        .help("keep one of the two, or make their subjects differ"),
                    );
                }
            }
        }
    }
}
