//! What was written: rules, kinds, items and settings as a tree with places, before anyone checked
//! that the names in it exist.

use crate::fault::{FileId, Span};

/// A value with the place it was written at.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct At<T> {
    /// The value.
    pub value: T,
    /// Where.
    pub span: Span,
}

/// Several words that name something.
pub type Phrase = At<String>;

/// Everything written in all files.
#[derive(Debug, Clone, Default)]
pub struct Written {
    /// One for every file, in the order given.
    pub files: Vec<File>,
}

/// One rule file.
#[derive(Debug, Clone)]
pub struct File {
    /// Its text in the sources table.
    pub id: FileId,
    /// The layer that its first line names.
    pub layer: Option<At<Layer>>,
    /// Its blocks in order.
    pub blocks: Vec<Block>,
    /// Where its comments stand, `#` included, in order.
    pub comments: Vec<Span>,
}

/// Who speaks: later layers may override earlier ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Layer {
    /// The trade's.
    Base,
    /// Your town's.
    Area,
    /// Yours.
    Household,
}

impl Layer {
    /// The word of the rule language and the JSON.
    pub fn word(self) -> &'static str {
        match self {
            Layer::Base => "base",
            Layer::Area => "area",
            Layer::Household => "household",
        }
    }
}

/// One block of a file.
#[derive(Debug, Clone)]
pub enum Block {
    /// `rule NAME` and its clauses.
    Rule(Box<RuleBlock>),
    /// `kind NAME = SUBJECT`.
    Kind(KindBlock),
    /// `item NAME` and its clauses.
    Item(Box<ItemBlock>),
    /// `setting NAME = VALUE`.
    Setting(SettingBlock),
    /// `answer RULE for SUBJECT = WORD`.
    Answer(AnswerBlock),
}

/// A rule as written.
#[derive(Debug, Clone)]
pub struct RuleBlock {
    /// Its name.
    pub name: At<String>,
    /// The whole block.
    pub span: Span,
    /// Its clauses in order.
    pub clauses: Vec<At<Clause>>,
}

/// One clause of a rule.
#[derive(Debug, Clone)]
pub enum Clause {
    /// Whom it speaks of.
    About(Subject),
    /// When it applies.
    When(Condition),
    /// What it asks, in one stance only if one is written.
    Demand(Option<At<Side>>, Demand),
    /// Its reason.
    Because(String),
    /// What to do.
    Advise(String),
    /// A caution that nothing lifts.
    Hazard(String),
    /// A caution.
    Caution(String),
    /// Ids of publications.
    Source(Vec<At<String>>),
    /// No publication, the trade does it.
    CommonPractice,
    /// Ids of publications that say otherwise.
    Disputed(Vec<At<String>>),
    /// An example that is run as a test.
    Example(Example),
    /// First day.
    From(At<jiff::civil::Date>),
    /// Last day.
    Until(At<jiff::civil::Date>),
    /// Rules of earlier layers that this one takes the place of.
    Replaces(Vec<At<String>>),
    /// A rule of an earlier layer, and for whom it no longer speaks.
    Lifts(At<String>, Option<Subject>),
}

/// Which side to take where publications disagree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// The milder.
    Lenient,
    /// The stricter.
    Strict,
}

impl Side {
    /// Both of them.
    pub const ALL: [Side; 2] = [Side::Lenient, Side::Strict];

    /// The one that this is not.
    #[must_use]
    pub fn other(self) -> Side {
        match self {
            Side::Lenient => Side::Strict,
            Side::Strict => Side::Lenient,
        }
    }

    /// The word of the rule language and the JSON.
    pub fn word(self) -> &'static str {
        match self {
            Side::Lenient => "lenient",
            Side::Strict => "strict",
        }
    }
}

/// Whom a rule speaks of.
#[derive(Debug, Clone, PartialEq)]
pub struct Subject {
    /// The union of these.
    pub terms: Vec<Term>,
    /// Less these.
    pub except: Vec<Term>,
    /// Where it stands.
    pub span: Span,
}

/// One part of a subject.
#[derive(Debug, Clone, PartialEq)]
pub enum Term {
    /// The bag as a whole.
    TheBag(Span),
    /// Everything of role food.
    AnyFood(Span),
    /// Everything.
    AnyScrap(Span),
    /// A name: an item, a kind, a part of one.
    Named(Phrase),
}

/// What a rule asks.
#[derive(Debug, Clone)]
pub enum Demand {
    /// Never.
    KeepOut,
    /// One of these states.
    Needs(Vec<Phrase>),
    /// No more than this.
    Allow(At<Amount>),
    /// No more than a named setting.
    AllowNamed(Phrase),
    /// The mix must have this moisture, percent.
    Moisture(At<Window>),
    /// The mix must have this C:N.
    CarbonToNitrogen(At<Window>),
    /// The bin must first be so.
    Wait(Condition),
    /// A question, and what each answer means.
    Ask(String, Vec<(At<String>, Demand)>),
    /// Better in one of these states.
    Better(Vec<Phrase>),
    /// Liked.
    Welcome,
}

/// A range with an aim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// What to aim at.
    pub aim: Option<f64>,
}

/// A number with its unit and basis.
#[derive(Debug, Clone, PartialEq)]
pub struct Amount {
    /// The number.
    pub number: f64,
    /// `%`, or a unit as written.
    pub unit: String,
    /// Of or per what.
    pub basis: Basis,
}

/// Of or per what an amount is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Basis {
    /// A share of the food that goes in, or mass per feeding.
    Feeding,
    /// Per kilogram of worms.
    Worms,
    /// Per square metre of bin.
    Area,
    /// In a week.
    Week,
}

/// When a rule applies.
#[derive(Debug, Clone)]
pub enum Condition {
    /// Any of these.
    Or(Vec<Condition>),
    /// All of these.
    And(Vec<Condition>),
    /// The opposite.
    Not(Box<Condition>),
    /// A state of the scrap or a sign of the bin.
    Named(Phrase),
    /// The scrap is of a kind.
    Is(Phrase),
    /// A fact against a number.
    Compare(Comparison),
    /// The bin stands indoors (`true`) or outdoors.
    Place(bool, Span),
    /// Today is after (`true`) or before a day.
    Dated(bool, At<jiff::civil::Date>),
    /// It was fed in the last days.
    Fed(Phrase, f64),
}

/// A fact against a number.
#[derive(Debug, Clone)]
pub struct Comparison {
    /// Which fact, as written.
    pub fact: Phrase,
    /// How.
    pub relation: Relation,
    /// The number.
    pub number: f64,
    /// The unit, as written; empty for none.
    pub unit: At<String>,
    /// The whole.
    pub span: Span,
}

/// How a fact is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Relation {
    /// Greater.
    Above,
    /// Greater or equal.
    AtLeast,
    /// Less.
    Below,
    /// Less or equal.
    UpTo,
}

impl Relation {
    /// Whether a number stands in this relation to another.
    pub(crate) fn holds(self, number: f64, to: f64) -> bool {
        match self {
            Relation::Above => number > to,
            Relation::AtLeast => number >= to,
            Relation::Below => number < to,
            Relation::UpTo => number <= to,
        }
    }
}

/// An example that is run as a test.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
pub struct Example {
    /// The line of a bag.
    pub line: At<String>,
    /// The bag is filled up to this many grams with plain food.
    pub bag_grams: Option<f64>,
    /// Indoors (`true`) or outdoors, if said.
    pub indoors: Option<bool>,
    /// In the strict stance.
    pub strict: bool,
    /// On this day.
    pub date: Option<jiff::civil::Date>,
    /// The verdict expected, by its word.
    pub gives: String,
    /// A caution must print.
    pub with_caution: bool,
}

/// A household's kind.
#[derive(Debug, Clone)]
pub struct KindBlock {
    /// Its name.
    pub name: At<String>,
    /// What belongs in it.
    pub subject: Subject,
}

/// A household's item.
#[derive(Debug, Clone)]
pub struct ItemBlock {
    /// Its name.
    pub name: At<String>,
    /// Its clauses in order.
    pub clauses: Vec<At<ItemClause>>,
}

/// One clause of an item.
#[derive(Debug, Clone)]
pub enum ItemClause {
    /// Its kinds.
    Is(Vec<Phrase>),
    /// Other names.
    Also(Vec<Phrase>),
    /// What one weighs, grams.
    Weighs(String, f64),
    /// Composition of a neighbour.
    Like(Phrase),
    /// food, bedding, grit, other.
    Role(String),
    /// Usual states: yes, no, or `perhaps`.
    Usually(Vec<(Phrase, crate::knowledge::Usual)>),
    /// Ingredients: `main`, `some` or `trace`.
    Made(String, Vec<Phrase>),
    /// A pattern that names it.
    Line(At<String>),
}

/// A household's setting.
#[derive(Debug, Clone)]
pub struct SettingBlock {
    /// Its name.
    pub name: At<String>,
    /// Its value.
    pub value: At<SettingValue>,
}

/// The value of a setting as written.
#[derive(Debug, Clone)]
pub enum SettingValue {
    /// A quantity.
    Amount(Amount),
    /// A word.
    Word(String),
}

/// The answer to a rule's question.
#[derive(Debug, Clone)]
pub struct AnswerBlock {
    /// The rule that asks.
    pub rule: At<String>,
    /// For which things.
    pub subject: Subject,
    /// The answer's word.
    pub reply: At<String>,
}
