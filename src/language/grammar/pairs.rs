//! What single pairs hold: texts without their quotes, numbers, relations, amounts.

use super::Rule;
use crate::language::syntax::*;
use pest::iterators::Pair;

pub(super) fn inner(pair: Pair<'_, Rule>) -> impl Iterator<Item = Pair<'_, Rule>> {
    pair.into_inner()
}

pub(super) fn tidy(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The words of a phrase; what stood in quotes without them and without escapes.
pub(super) fn unquoted(pair: &Pair<'_, Rule>) -> String {
    let quoted =
        pair.clone().into_inner().flatten().chain(std::iter::once(pair.clone())).find(|p| p.as_rule() == Rule::inner);
    match quoted {
        Some(p) => unescape(p.as_str()),
        None => tidy(pair.as_str()),
    }
}

pub(super) fn unescape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut chars = text.chars();
    while let Some(c) = chars.next() {
        out.push(if c == '\\' { chars.next().unwrap_or('\\') } else { c });
    }
    out
}

pub(super) fn texts(pair: Pair<'_, Rule>) -> String {
    let parts: Vec<String> = inner(pair).map(|p| unquoted(&p)).collect();
    tidy(&parts.join(" "))
}

pub(super) fn number(pair: &Pair<'_, Rule>) -> f64 {
    pair.as_str().parse().unwrap_or(f64::INFINITY)
}

pub(super) fn relation(words: &str) -> Relation {
    match tidy(words).as_str() {
        "above" | "over" | "more than" => Relation::Above,
        "below" | "under" | "less than" => Relation::Below,
        "at least" => Relation::AtLeast,
        _ => Relation::UpTo,
    }
}

pub(super) fn amount(pair: Pair<'_, Rule>) -> Amount {
    let mut out = Amount { number: 0.0, unit: String::new(), basis: Basis::Feeding };
    for p in inner(pair) {
        match p.as_rule() {
            Rule::number => out.number = number(&p),
            Rule::percent => out.unit = "%".to_string(),
            Rule::unit => out.unit = p.as_str().to_string(),
            Rule::basis => {
                out.basis = match inner(p).map(|b| b.as_rule()).find(|r| *r != Rule::kw_per) {
                    Some(Rule::per_worms) => Basis::Worms,
                    Some(Rule::per_area) => Basis::Area,
                    Some(Rule::per_week) => Basis::Week,
                    _ => Basis::Feeding,
                }
            }
            _ => {}
        }
    }
    out
}
