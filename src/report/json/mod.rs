//! What programs read: the shapes of `grammar/*.schema.json`, to the key.
//!
//! Absent is `null`, never a missing key; numbers are finite; shares are 0..1; masses are grams.

mod bag;
mod book;
mod things;

pub use bag::{Detail, check, line};
pub use book::{rules, rule_object as rule};
pub use things::{items, sources};

use crate::judge::{Figure, Finding, Ground, Missing, Origin, Verdict};
use crate::knowledge::Known;
use crate::language::{Book, Layer};
use serde::Serialize;

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

#[derive(Serialize)]
struct OutcomeJson<'a> {
    value: &'a str,
    verdict: Option<&'static str>,
}

#[derive(Serialize)]
struct MissingJson<'a> {
    fact: &'a str,
    outcomes: Vec<OutcomeJson<'a>>,
}

#[derive(Serialize)]
struct MeasuredJson {
    value: Option<f64>,
    unit: &'static str,
}

#[derive(Serialize)]
struct LimitJson {
    low: Option<f64>,
    high: Option<f64>,
    unit: &'static str,
}

/// The texts of a finding; left out of a stream unless asked for.
#[derive(Serialize)]
struct TextsJson<'a> {
    because: Option<&'a str>,
    advice: Option<String>,
    caution: Option<&'a str>,
}

#[derive(Serialize)]
struct FindingJson<'a> {
    rule: &'a str,
    layer: &'static str,
    file: Option<&'a str>,
    at_line: Option<u32>,
    verdict: Option<&'static str>,
    #[serde(flatten)]
    texts: Option<TextsJson<'a>>,
    sources: &'a [String],
    common_practice: bool,
    disputed: bool,
    hazard: bool,
    certain: bool,
    missing: Vec<MissingJson<'a>>,
    measured: Option<MeasuredJson>,
    limit: Option<LimitJson>,
    through: Option<&'a str>,
    points: u32,
}

fn missing(m: &Missing) -> MissingJson<'_> {
    let outcomes = m.outcomes.iter().map(|(value, v)| OutcomeJson { value, verdict: v.map(Verdict::key) }).collect();
    MissingJson { fact: &m.fact, outcomes }
}

fn finding<'a>(f: &'a Finding, known: &'a Known, book: &'a Book, full: bool) -> FindingJson<'a> {
    let rule = match f.origin {
        Origin::Rule(id) => book.rule(id),
        Origin::Reading => None,
    };
    let reading = match &f.ground {
        Ground::Reading => Some("say what it is, in other words, or leave it out".to_string()),
        Ground::TakeOutPart(item) => Some(format!("take the {} out", known.item_name(*item))),
        _ => None,
    };
    let texts = full.then(|| TextsJson {
        because: rule.map_or(Some("the line is not read surely"), |r| r.because.as_deref()),
        advice: reading.or_else(|| rule.and_then(|r| r.advice.clone())),
        caution: rule.and_then(|r| r.caution.as_deref()),
    });
    FindingJson {
        rule: rule.map_or("reading", |r| r.name.as_str()),
        layer: rule.map_or("reading", |r| r.layer.word()),
        file: rule.map(|r| r.file.as_str()),
        at_line: rule.map(|r| r.at_line),
        verdict: f.verdict.map(Verdict::key),
        texts,
        sources: rule.map_or(&[], |r| r.sources.as_slice()),
        common_practice: rule.is_some_and(|r| r.common_practice),
        disputed: rule.is_some_and(crate::language::Rule::disputed),
        hazard: rule.is_some_and(|r| r.hazard),
        certain: f.certain,
        missing: f.missing.iter().map(missing).collect(),
        measured: f.measured.as_ref().map(|m| MeasuredJson { value: finite(m.value), unit: m.unit }),
        limit: f.limit.as_ref().map(|l| LimitJson { low: l.low.and_then(finite), high: l.high.and_then(finite), unit: l.unit }),
        through: f.through.map(|i| known.item_name(i)),
        points: f.points,
    }
}

fn layer_word(layer: Layer) -> &'static str {
    layer.word()
}
