//! Publications, what they say, and how far they agree.
//!
//! Owns `rules/sources.yaml` and `rules/evidence.yaml`. Publishers are counted, not pages: every
//! publication has a voice, and two pages of one voice are one.

use serde::{Deserialize, Serialize};

/// One publication that a rule can cite.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Publication {
    /// The id that rules cite.
    pub id: String,
    /// Title.
    pub title: String,
    /// Who published it.
    pub publisher: String,
    /// Authors, for papers.
    #[serde(default)]
    pub authors: Option<String>,
    /// Year, if known.
    #[serde(default)]
    pub year: Option<i32>,
    /// Publication number, if any.
    #[serde(default)]
    pub number: Option<String>,
    /// Where to read it.
    #[serde(default)]
    pub url: Option<String>,
    /// extension, government, paper, handbook, database, teaching ...
    pub kind: String,
    /// guidance, science or reference.
    pub group: String,
    /// The publisher it counts as.
    pub voice: String,
    /// The voice it restates, if it is not its own witness.
    #[serde(default)]
    pub restates: Option<String>,
    /// How much of its list was read: full, partial, none.
    #[serde(default, rename = "list read")]
    pub list_read: Option<String>,
    /// `no` if the publisher was not printed in the text that was read.
    #[serde(default, rename = "publisher shown")]
    pub publisher_shown: Option<String>,
    /// A remark.
    #[serde(default)]
    pub note: Option<String>,
}

/// What a publication does with a thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Stance {
    /// Feeds it.
    Accept,
    /// Only a little.
    Limit,
    /// Never.
    Avoid,
}

/// A limit that a publication states.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dose {
    /// The number, if one is given.
    #[serde(default)]
    pub value: Option<f64>,
    /// Its unit.
    #[serde(default)]
    pub unit: Option<String>,
    /// Of what.
    #[serde(default)]
    pub basis: Option<String>,
}

/// What one publication says of one subject.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Statement {
    /// The publication's id.
    pub source: String,
    /// What it speaks of, in its own terms.
    pub subject: String,
    /// The kind or item of ours that this is, where one fits.
    #[serde(default)]
    pub about: Option<String>,
    /// States of the thing that it speaks of alone (mouldy bread): any of them.
    #[serde(default)]
    pub states: Vec<String>,
    /// Accept, limit or avoid.
    pub stance: Stance,
    /// What must be done first.
    #[serde(default)]
    pub prepare: Vec<String>,
    /// How much.
    #[serde(default)]
    pub limit: Option<Dose>,
    /// Why, in a few words.
    #[serde(default)]
    pub reason: Option<String>,
    /// True if it follows from what is said, but is not said.
    #[serde(default)]
    pub implied: Option<String>,
    /// True if it is about a mechanism, not about bins.
    #[serde(default, rename = "not about bins")]
    pub not_about_bins: Option<String>,
}
