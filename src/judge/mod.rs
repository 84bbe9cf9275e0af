//! A book over weighed scraps in a setting: findings, verdicts, readiness, steps.
//!
//! Comes in: scraps, a book, a setting. Goes out: a [`Judgement`], which text, JSON and tests all
//! read. Nothing here prints, and no order of lines, rules or files can matter.

pub mod change;
pub mod conclude;
pub mod examples;
mod facts;
mod figures;
pub mod proofs;
mod readiness;
pub mod scraps;
pub mod setting;
pub mod states;
pub mod steps;
mod told;

use crate::bag::{Bag, Mg, StateId};
use crate::knowledge::{ItemId, Scrap};
use crate::language::{Allowance, Layer, Mix, MixWindow, RuleId, Side};
pub use scraps::Judge;
pub use setting::{Bin, Fed, Setting};
use std::sync::Arc;

/// What becomes of a scrap, mildest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// As it is.
    Feed,
    /// After doing something.
    Prepare,
    /// Only so much of it now.
    Limit,
    /// Cannot tell without an answer.
    Ask,
    /// Never.
    KeepOut,
}

impl Verdict {
    /// All verdicts, mildest first.
    pub const ALL: [Verdict; 5] = [Verdict::Feed, Verdict::Prepare, Verdict::Limit, Verdict::Ask, Verdict::KeepOut];

    /// The word of the rule language.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Feed => "feed",
            Verdict::Prepare => "prepare",
            Verdict::Limit => "limit",
            Verdict::Ask => "ask",
            Verdict::KeepOut => "keep out",
        }
    }

    /// The word of the JSON.
    pub fn key(self) -> &'static str {
        if self == Verdict::KeepOut { "keep_out" } else { self.word() }
    }
}

/// What the bag is, as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// Everything could go in today.
    Ready,
    /// Something must be done first.
    NotReady,
    /// The bin must first be otherwise.
    Wait,
    /// There is no scrap.
    Empty,
}

impl Status {
    /// The word of the JSON.
    pub fn key(self) -> &'static str {
        match self {
            Status::Ready => "ready",
            Status::NotReady => "not_ready",
            Status::Wait => "wait",
            Status::Empty => "empty",
        }
    }
}

/// Where a finding comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Origin {
    /// Not a rule: the line was not read surely.
    Reading,
    /// A rule of the book.
    Rule(RuleId),
}

/// Something not known that a finding hangs on, and how it would turn out either way.
#[derive(Debug, Clone, PartialEq)]
pub struct Missing {
    /// What: a state of the scrap, a fact of the bin, "what this is".
    pub fact: String,
    /// For each value, the verdict that the finding would have; `None` for none.
    pub outcomes: Vec<(String, Option<Verdict>)>,
}

/// A number that a finding measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The number.
    pub value: f64,
    /// Its unit: `g`, `share`, `cn`, `C`, `cm`, `m2`, `days`.
    pub unit: &'static str,
}

/// The limit that a number was held against.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Low end, if any.
    pub low: Option<f64>,
    /// High end, if any.
    pub high: Option<f64>,
    /// Unit as in [`Measured`].
    pub unit: &'static str,
}

/// What sort of demand a finding or note comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Ground {
    /// `keep out`.
    KeepOut,
    /// `needs`: any one of these states would do.
    Needs(Vec<StateId>),
    /// An item that the whole includes is kept out or asked about: take it out.
    TakeOutPart(ItemId),
    /// `allow`.
    Allow(Allowance),
    /// `ask`, with the question and the words of its answers.
    Ask(String, Vec<String>),
    /// The name could mean something that is judged worse, or is unknown or unsure.
    Reading,
    /// Something is said to come with it that nobody knows, as it was written.
    With(String),
    /// A window of the mix.
    Window(Mix, MixWindow),
    /// The bin's pace: a cap on `any food`.
    Pace(Allowance),
    /// The bin must first be otherwise.
    Wait,
    /// `better`.
    Better(Vec<StateId>),
    /// `welcome`.
    Welcome,
    /// `advise` alone.
    Advice,
    /// An ingredient hardly there.
    Trace(ItemId),
    /// The weight is guessed and the guess straddles a limit: weigh it.
    WeighIt,
}

/// A rule that applies to a scrap or the bag and whose demand is unmet, or a note.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Where it comes from.
    pub origin: Origin,
    /// The verdict it leads to; `None` for notes and findings of the bag.
    pub verdict: Option<Verdict>,
    /// What sort of demand.
    pub ground: Ground,
    /// False if its condition is not known to hold.
    pub certain: bool,
    /// What is not known.
    pub missing: Vec<Missing>,
    /// What was measured.
    pub measured: Option<Measured>,
    /// Against what.
    pub limit: Option<Limit>,
    /// The ingredient or included item through which the scrap is in the rule's subject.
    pub through: Option<ItemId>,
}

/// What became of one scrap.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Which of the identities decided (the worst of an `or`), by its place.
    pub identity: usize,
    /// States known to hold: said, implied and usual.
    pub states_yes: u64,
    /// States not known either way.
    pub states_unknown: u64,
    /// The worst of the findings, before caps.
    pub own: Verdict,
    /// The verdict.
    pub verdict: Verdict,
    /// What may go in now: x(T*), at most the mass.
    pub allowed: Mg,
    /// Findings, worst first, then in the book's order.
    pub findings: Vec<Arc<Finding>>,
    /// Notes, in the book's order.
    pub notes: Vec<Arc<Finding>>,
    /// Rules whose caution applies, in the book's order.
    pub cautions: Vec<RuleId>,
    /// For each alternative of the deciding identity, its own verdict.
    pub alternatives: Vec<Verdict>,
    /// Points of readiness that the scrap lost, all of them to the finding that decides.
    pub points: u32,
    /// Its own verdict in the other stance, if that differs.
    pub other_stance: Option<Verdict>,
}

impl Judged {
    /// The finding that decides: the first one, if it led to the verdict.
    pub fn decides(&self) -> Option<&Finding> {
        self.findings.first().map(|f| &**f).filter(|f| f.verdict == Some(self.verdict))
    }
}

/// A value with its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// What is reckoned with.
    pub value: f64,
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

/// The figures of the whole bag.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BagFigures {
    /// All scraps.
    pub mass: Mg,
    /// Share of the mass that was assumed, 0..1.
    pub assumed_share: f64,
    /// Food that goes in, x(T*).
    pub goes_in: Mg,
    /// Moisture of the food and bedding that go in, before anything is added, 0..1.
    pub moisture: Option<Figure>,
    /// C:N of the same.
    pub cn: Option<Figure>,
    /// Bedding that goes with it, g.
    pub bedding_g: Option<Figure>,
    /// Water that goes with it, g.
    pub water_g: Option<Figure>,
    /// Grit that goes with it, g.
    pub grit_g: Option<Figure>,
    /// Moisture with the added bedding and water.
    pub moisture_with: Option<f64>,
    /// C:N with the added bedding.
    pub cn_with: Option<f64>,
}

/// One line of the ledger: what readiness lost where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loss {
    /// What: the scrap's text, or `the bag`.
    pub what: String,
    /// Its line, if it is a line's.
    pub line: Option<u32>,
    /// Whole points.
    pub points: u32,
}

/// What a step does, in the order in which steps are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Deed {
    /// Take a kept-out scrap out.
    TakeOut,
    /// Set a scrap aside that is asked about, or answer.
    SetAside,
    /// Do something to it.
    Prepare,
    /// Put some of it back in the freezer.
    HoldBack,
    /// Add bedding or water.
    Add,
    /// Wait for the bin.
    Wait,
}

impl Deed {
    /// The word of the JSON.
    pub fn key(self) -> &'static str {
        match self {
            Deed::TakeOut => "take_out",
            Deed::SetAside => "set_aside",
            Deed::Prepare => "prepare",
            Deed::HoldBack => "hold_back",
            Deed::Add => "add",
            Deed::Wait => "wait",
        }
    }
}

/// One step towards a ready bag.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What to do.
    pub deed: Deed,
    /// The scraps it concerns, by their place in the judgement, with the mass of each that is
    /// taken out, set aside, prepared or held back.
    pub scraps: Vec<(usize, Mg)>,
    /// Preparations to bring about.
    pub states: Vec<StateId>,
    /// Items to take out of a whole (a pit), for `Prepare`.
    pub take_out: Vec<ItemId>,
    /// For `Add`: true if it is water, false if it is bedding.
    pub water: bool,
    /// Mass in all.
    pub grams: Mg,
    /// Points of readiness gained when the steps before it are done.
    pub points: i64,
}

/// A caution that must be seen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// The rule whose caution it is.
    pub rule: RuleId,
    /// Its text.
    pub text: String,
    /// The lines it concerns.
    pub lines: Vec<u32>,
}

/// Everything that was found out about a bag.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// The bag as read: one line for every line of input.
    pub bag: Bag,
    /// The scraps in the order of their lines.
    pub scraps: Vec<Scrap>,
    /// What became of each, in the same order.
    pub judged: Vec<Judged>,
    /// The stance taken.
    pub stance: Side,
    /// The worms reckoned with, and the layer that said so (base: a starter bin is taken).
    pub worms: (Mg, Layer),
    /// What the bag is.
    pub status: Status,
    /// 0..100, or `None` without any mass.
    pub readiness: Option<u32>,
    /// What readiness lost where; adds up to 100 less readiness.
    pub ledger: Vec<Loss>,
    /// Figures of the whole.
    pub figures: BagFigures,
    /// Findings of the bag: windows, pace, waiting.
    pub findings: Vec<Finding>,
    /// Notes of the bag.
    pub notes: Vec<Finding>,
    /// What to do, in order.
    pub steps: Vec<Step>,
    /// Cautions, in the book's order.
    pub cautions: Vec<Caution>,
}
