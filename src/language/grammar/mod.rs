//! The only module that sees pest: logical lines become syntax, with places.
//!
//! Every line is parsed by itself, so that a broken one is one fault. Names of grammar rules never
//! reach a person: [`expected`] turns them into words.

mod clauses;
mod expected;
mod pairs;

use super::lines::{HEADS, Logical, cut, first_word};
use super::syntax::*;
use crate::fault::{Fault, Faults, FileId, Sources, Span, nearest};
use clauses::CLAUSES;
use expected::list_or;
use pairs::{amount, inner, tidy, unquoted};
use pest::Parser;
use pest::iterators::Pair;
use std::cell::RefCell;

#[derive(pest_derive::Parser)]
#[grammar = "../grammar/rules.pest"]
struct Grammar;

/// Rule files over this many bytes are refused (4 MiB): a person did not write them.
const LARGEST_FILE: usize = 4 << 20;
/// Brackets and `not` nested deeper than this are refused.
const DEEPEST: usize = 64;

/// Reads every file of a table of sources, from `first` on.
pub(crate) fn read_file(id: FileId, sources: &Sources, faults: &mut Faults) -> File {
    let text = sources.get(id).map_or("", |s| &*s.text);
    let mut file = File { id, layer: None, blocks: Vec::new(), comments: Vec::new() };
    if text.len() > LARGEST_FILE {
        let what = format!("this file is {} MiB long; rule files end at 4", text.len() >> 20);
        faults.push(Fault::error("file-too-long", what, Span::new(id, 0, 1)));
        return file;
    }
    let (lines, comments) = cut(id, text);
    file.comments = comments;
    let reader = Reader { id, faults: RefCell::new(Faults::default()) };
    let mut at = 0;
    while let Some(head) = lines.get(at).copied() {
        at += 1;
        let word = first_word(slice(text, head));
        let body_end = lines.iter().skip(at).take_while(|l| !HEADS.contains(&first_word(slice(text, **l)))).count();
        let body: Vec<Logical> = lines.iter().skip(at).take(body_end).copied().collect();
        at += body_end;
        reader.block(&mut file, text, word, head, &body);
    }
    faults.extend(reader.faults.into_inner());
    file
}

fn slice(text: &str, line: Logical) -> &str {
    text.get(line.start..line.end).unwrap_or("")
}

struct Reader {
    id: FileId,
    faults: RefCell<Faults>,
}

impl Reader {
    fn fault(&self, fault: Fault) {
        self.faults.borrow_mut().push(fault);
    }

    fn block(&self, file: &mut File, text: &str, word: &str, head: Logical, body: &[Logical]) {
        if !HEADS.contains(&word) {
            for line in std::iter::once(&head).chain(body) {
                self.stray(text, *line);
            }
            return;
        }
        let line = slice(text, head);
        let parsed = self.parse(Rule::head, line, head, &HEADS).and_then(|pair| inner(pair).next());
        let end = body.last().map_or(head.end, |l| l.end);
        let whole = Span::new(self.id, head.start, end);
        match word {
            "rule" => {
                let clauses = body.iter().filter_map(|l| self.clause(text, *l)).collect();
                let name = parsed
                    .and_then(|p| inner(p).find(|p| p.as_rule() == Rule::ident))
                    .map(|p| self.at(&p, head, p.as_str().to_string()));
                if let Some(name) = name {
                    file.blocks.push(Block::Rule(Box::new(RuleBlock { name, span: whole, clauses })));
                }
            }
            "item" => {
                let clauses = body.iter().filter_map(|l| self.item_clause(text, *l)).collect();
                let name =
                    parsed.and_then(|p| inner(p).find(|p| p.as_rule() == Rule::phrase)).map(|p| self.phrase(p, head));
                if let Some(name) = name {
                    file.blocks.push(Block::Item(Box::new(ItemBlock { name, clauses })));
                }
            }
            _ => {
                for line in body {
                    self.stray(text, *line);
                }
                if let Some(pair) = parsed {
                    self.short_block(file, pair, head);
                }
            }
        }
    }

    fn short_block(&self, file: &mut File, pair: Pair<'_, Rule>, line: Logical) {
        match pair.as_rule() {
            Rule::layer_head => {
                let Some(name) = inner(pair).find(|p| p.as_rule() == Rule::layer_name) else { return };
                let layer = match name.as_str() {
                    "base" => Layer::Base,
                    "area" => Layer::Area,
                    _ => Layer::Household,
                };
                let at = self.at(&name, line, layer);
                if file.layer.is_some() || !file.blocks.is_empty() {
                    self.fault(Fault::error("layer-not-first", "`layer` stands once, before everything else", at.span));
                }
                file.layer.get_or_insert(at);
            }
            Rule::kind_head => {
                let (mut name, mut subject) = (None, None);
                for p in inner(pair) {
                    match p.as_rule() {
                        Rule::kind_name => name = Some(self.at(&p, line, unquoted(&p))),
                        Rule::subject => subject = Some(self.subject(p, line)),
                        _ => {}
                    }
                }
                if let (Some(name), Some(subject)) = (name, subject) {
                    file.blocks.push(Block::Kind(KindBlock { name, subject }));
                }
            }
            Rule::setting_head => {
                let (mut name, mut value) = (None, None);
                for p in inner(pair) {
                    match p.as_rule() {
                        Rule::setting_name => name = Some(self.at(&p, line, tidy(p.as_str()))),
                        Rule::setting_value => {
                            let span = self.span(&p, line);
                            value = inner(p)
                                .next()
                                .map(|v| match v.as_rule() {
                                    Rule::amount => SettingValue::Amount(amount(v)),
                                    _ => SettingValue::Word(tidy(v.as_str())),
                                })
                                .map(|value| At { value, span });
                        }
                        _ => {}
                    }
                }
                if let (Some(name), Some(value)) = (name, value) {
                    file.blocks.push(Block::Setting(SettingBlock { name, value }));
                }
            }
            Rule::answer_head => {
                let (mut rule, mut subject, mut reply) = (None, None, None);
                for p in inner(pair) {
                    match p.as_rule() {
                        Rule::ident => rule = Some(self.at(&p, line, p.as_str().to_string())),
                        Rule::subject => subject = Some(self.subject(p, line)),
                        Rule::reply => reply = Some(self.at(&p, line, unquoted(&p))),
                        _ => {}
                    }
                }
                if let (Some(rule), Some(subject), Some(reply)) = (rule, subject, reply) {
                    file.blocks.push(Block::Answer(AnswerBlock { rule, subject, reply }));
                }
            }
            _ => {}
        }
    }

    /// A line outside any block.
    fn stray(&self, text: &str, line: Logical) {
        let body = slice(text, line);
        let word = first_word(body);
        let lead = body.len() - body.trim_start_matches(|c: char| c.is_whitespace() || c == '\u{feff}').len();
        let span = Span::new(self.id, line.start + lead, line.start + lead + word.len().max(1));
        let help = match nearest(word, HEADS) {
            Some(near) => format!("did you mean `{near}`?"),
            None if CLAUSES.iter().any(|c| c.split(' ').next() == Some(word)) => {
                format!("`{word}` belongs under a line that begins with `rule`")
            }
            None => format!("a block begins with {}", list_or(&HEADS)),
        };
        self.fault(Fault::error("not-a-block", "this line stands in no rule, kind, item or setting", span).help(help));
    }

    fn parse<'t>(&self, rule: Rule, text: &'t str, line: Logical, first_words: &[&str]) -> Option<Pair<'t, Rule>> {
        if deep(text) {
            self.fault(Fault::error(
                "nested-too-deep",
                format!("more than {DEEPEST} brackets or `not` inside each other"),
                self.trimmed(text, line),
            ));
            return None;
        }
        match Grammar::parse(rule, text) {
            Ok(mut pairs) => pairs.next(),
            Err(error) => {
                self.fault(self.syntax(&error, text, line, first_words));
                None
            }
        }
    }

    fn trimmed(&self, text: &str, line: Logical) -> Span {
        let lead = text.len() - text.trim_start().len();
        Span::new(self.id, line.start + lead, line.start + lead + text.trim().len().max(1))
    }

    fn span(&self, pair: &Pair<'_, Rule>, line: Logical) -> Span {
        let s = pair.as_span();
        let trimmed = s.as_str().trim_end().len();
        Span::new(self.id, line.start + s.start(), line.start + s.start() + trimmed)
    }

    fn at<T>(&self, pair: &Pair<'_, Rule>, line: Logical, value: T) -> At<T> {
        At { value, span: self.span(pair, line) }
    }

    fn phrase(&self, pair: Pair<'_, Rule>, line: Logical) -> Phrase {
        let span = self.span(&pair, line);
        At { value: unquoted(&pair), span }
    }
}

/// Whether brackets and `not` stand deeper in each other than a person would write.
fn deep(text: &str) -> bool {
    let (mut depth, mut deepest) = (0usize, 0usize);
    for c in text.chars() {
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            _ => {}
        }
        deepest = deepest.max(depth);
    }
    let nots = text.split_whitespace().fold((0usize, 0usize), |(run, most), w| {
        let run = if w == "not" || w == "(not" { run + 1 } else { 0 };
        (run, most.max(run))
    });
    deepest > DEEPEST || nots.1 > DEEPEST
}

/// Sets the library's guard against inputs that would take pest too long; called once.
pub(crate) fn guard() {
    use std::sync::Once;
    static ONCE: Once = Once::new();
    ONCE.call_once(|| pest::set_call_limit(std::num::NonZeroUsize::new(2_000_000)));
}
