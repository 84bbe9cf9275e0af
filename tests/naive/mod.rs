//! Another judge, written from the meaning of a book alone: no index, no early exit, nothing shared
//! with the built-in one but the words of the JSON and the bin's facts.
//!
//! Comes in: `rules list` and `items` as JSON, a setting, scraps as they were read. Goes out: an
//! [`Answer`] in plain words, to be compared.

#![allow(dead_code, reason = "each test file uses some of it")]
#![allow(clippy::manual_try_fold, reason = "unknown is a truth of its own, not a way out")]
#![allow(clippy::collapsible_match, reason = "one arm for each way of being in a class")]

mod amounts;
mod bag;
mod data;
mod facts;
mod own;
mod reading;

pub(crate) use data::{Items, World, items};
pub(crate) use own::Judge;
pub(crate) use reading::{answer_of, differences, record_of, scraps_of};

use std::collections::BTreeSet;

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Verdict {
    Feed,
    Prepare,
    Limit,
    Ask,
    KeepOut,
}

impl Verdict {
    pub(crate) fn word(self) -> &'static str {
        ["feed", "prepare", "limit", "ask", "keep_out"][self as usize]
    }
}

/// A scrap as it was read and weighed.
#[derive(Debug, Clone)]
pub(crate) struct Scrap {
    pub(crate) line: u32,
    pub(crate) readings: Vec<Reading>,
    pub(crate) additions: Vec<String>,
    pub(crate) without: Vec<String>,
    /// Something that nobody knows is said to come with it.
    pub(crate) strange: bool,
    pub(crate) mg: f64,
    pub(crate) most_mg: f64,
}

/// One of the things that a scrap may be (several on an `or` line).
#[derive(Debug, Clone)]
pub(crate) struct Reading {
    pub(crate) item: Option<String>,
    pub(crate) part: Option<String>,
    pub(crate) said: BTreeSet<String>,
    pub(crate) denied: BTreeSet<String>,
    pub(crate) identified: String,
    /// Named for sure, without a slip.
    pub(crate) exact: bool,
    /// Look-alikes, and whether each is within reach.
    pub(crate) others: Vec<(String, bool)>,
}
