//! A checked book: rules whose names, units, layers and days are known to be right.
//!
//! Only `check` builds one, so what was merely parsed cannot reach the judge.

use super::rows::Rows;
use super::syntax::{Basis, Layer, Relation, Side};
use crate::bag::{Mg, PartId, StateId};
use crate::fault::{Sources, Span};
use crate::flat::{Late, Stock};
use crate::knowledge::{ItemId, KindId, Known, Role};
use jiff::civil::Date;

/// A rule by its place in the book: layers in order, then files, then lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub struct RuleId(pub u16);

/// The rules and settings in force.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Book {
    /// All rules, those out of date or replaced among them.
    pub(crate) rules: Stock<Rule>,
    /// Rules that may be out of force on some day, or for some of their subject: those of later
    /// layers, what they replace or lift, and those with days. All others are always in force.
    pub(crate) unsettled: Vec<RuleId>,
    /// Rules that speak of the bag as a whole, or wait for the bin.
    pub(crate) of_bag: Vec<RuleId>,
    /// The rules of the base by the things they speak of.
    pub(crate) rows: Rows,
    /// Settings, a later layer's over an earlier one's.
    pub settings: Settings,
    /// Answers to questions.
    pub answers: Vec<Answer>,
    /// Which files were read, with the number of their rules.
    pub files: Vec<BookFile>,
    /// Named subjects of the household's own.
    pub groups: Vec<(String, SubjectSet)>,
    /// The day on which `live` was settled.
    pub today: Date,
    /// The texts that places point into.
    #[serde(skip)]
    pub sources: Sources,
}

/// One file of a book.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct BookFile {
    /// Its layer.
    pub layer: Layer,
    /// Its name.
    pub name: String,
    /// How many rules it holds.
    pub rules: usize,
}

/// The answer to a rule's question.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
pub struct Answer {
    /// The rule that asks.
    pub rule: RuleId,
    /// For which things.
    pub subject: SubjectSet,
    /// The answer's word.
    pub reply: String,
}

/// Named values of the household, each with the layer that set it.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Settings {
    /// `a little`: how much of a limited thing goes in.
    pub a_little: (Allowance, Layer),
    /// Mass of the worms; the starter bin's until a later layer says.
    pub worms: (Mg, Layer),
    /// Which side to take where publications disagree.
    pub stance: (Side, Layer),
    /// Mineral grit that goes with a feeding, as a share of the food, parts per million.
    pub grit_ppm: (i64, Layer),
    /// Where the bin stands: `true` indoors.
    pub indoors: Option<bool>,
    /// Temperature in the bin, degrees Celsius.
    pub temperature_c: Option<f64>,
    /// Feeding area of the bin, square metres.
    pub area_m2: Option<f64>,
    /// Age of the bin, days.
    pub age_days: Option<f64>,
}

/// A rule. What only an explanation needs is read when it is asked for; so is whom it speaks of, which
/// stands ready-made in the book's rows.
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Rule {
    /// Its name, unique in the book.
    pub name: String,
    /// Who speaks.
    pub layer: Layer,
    /// Where its name stands.
    pub place: Span,
    /// The line, from 1.
    pub at_line: u32,
    /// First day in force.
    pub from: Option<Date>,
    /// Last day in force.
    pub until: Option<Date>,
    /// True if today is within its days.
    pub dated: bool,
    /// True if it is in force: within its days and not replaced.
    pub live: bool,
    /// Subjects that live rules of later layers take out of it.
    pub lifted: Vec<(RuleId, SubjectSet)>,
    /// The rule in force that replaces it.
    pub replaced_by: Option<RuleId>,
    /// When it applies; always, if absent.
    pub when: Option<When>,
    /// What it asks in either stance.
    pub demands: Vec<Demand>,
    /// What it asks in the strict stance only.
    pub strict: Option<Demand>,
    /// What it asks in the lenient stance only.
    pub lenient: Option<Demand>,
    /// True if it advises something.
    pub advises: bool,
    /// True if it has a caution.
    pub cautions: bool,
    /// True if the caution is a hazard's.
    pub hazard: bool,
    /// True if the trade does it and no publication is cited for it.
    pub common_practice: bool,
    /// Rules it replaces.
    pub replaces: Vec<RuleId>,
    /// Rules it lifts, and for whom (everybody if absent).
    pub lifts: Vec<(RuleId, Option<SubjectSet>)>,
    pub(super) subject: Late<Who>,
    pub(super) texts: Late<Box<Texts>>,
}

/// What of a rule is told and not judged by.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
pub(super) struct Texts {
    /// The file's name.
    pub(super) file: String,
    pub(super) because: Option<String>,
    pub(super) advice: Option<String>,
    pub(super) caution: Option<String>,
    pub(super) sources: Vec<String>,
    pub(super) disputed_by: Vec<String>,
    pub(super) examples: Vec<super::syntax::Example>,
}

impl Rule {
    /// Whom it speaks of.
    pub fn subject(&self) -> &Who {
        &self.subject
    }

    /// Its reason.
    pub fn because(&self) -> Option<&str> {
        self.texts.because.as_deref()
    }

    /// What it advises.
    pub fn advice(&self) -> Option<&str> {
        self.texts.advice.as_deref()
    }

    /// Its caution; a hazard's prints whatever lifts the rule.
    pub fn caution(&self) -> Option<&str> {
        self.texts.caution.as_deref()
    }

    /// Ids of the publications it cites.
    pub fn sources(&self) -> &[String] {
        &self.texts.sources
    }

    /// Ids of publications that say otherwise.
    pub fn disputed_by(&self) -> &[String] {
        &self.texts.disputed_by
    }

    /// Its examples.
    pub fn examples(&self) -> &[super::syntax::Example] {
        &self.texts.examples
    }

    /// The name of its file.
    pub fn file(&self) -> &str {
        &self.texts.file
    }

    /// What it asks in a stance.
    pub fn demands(&self, stance: Side) -> impl Iterator<Item = &Demand> {
        let own = match stance {
            Side::Strict => &self.strict,
            Side::Lenient => &self.lenient,
        };
        self.demands.iter().chain(own)
    }

    /// True if publications disagree about it.
    pub fn disputed(&self) -> bool {
        self.strict.is_some() || self.lenient.is_some() || !self.disputed_by().is_empty()
    }
}

/// Whom a rule speaks of.
#[derive(Debug, Clone, PartialEq, Default, serde::Serialize, serde::Deserialize)]
pub enum Who {
    /// The bag as a whole.
    #[default]
    Bag,
    /// Scraps.
    Scraps(SubjectSet),
}

/// A set of (item, part): a union less another.
#[derive(Debug, Clone, PartialEq, Default, serde::Serialize, serde::Deserialize)]
pub struct SubjectSet {
    /// The union of these.
    pub terms: Vec<SubjectTerm>,
    /// Less these.
    pub except: Vec<SubjectTerm>,
}

/// One part of a subject.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum SubjectTerm {
    /// Every item of role food.
    AnyFood,
    /// Every item.
    AnyScrap,
    /// An item, perhaps one part of it.
    Item(ItemId, Option<PartId>),
    /// A kind, perhaps one part of its items.
    Kind(KindId, Option<PartId>),
    /// A named subject of the household's, by its name.
    Group(String, Box<SubjectSet>),
}

impl SubjectTerm {
    /// Whether an item with an effective part is in this term.
    pub fn holds(&self, item: ItemId, part: Option<PartId>, known: &Known) -> bool {
        let part_fits = |wanted: &Option<PartId>| wanted.is_none() || *wanted == part;
        match self {
            SubjectTerm::AnyScrap => true,
            SubjectTerm::AnyFood => known.item(item).is_some_and(|i| i.role == Role::Food),
            SubjectTerm::Item(id, wanted) => *id == item && part_fits(wanted),
            SubjectTerm::Kind(kind, wanted) => part_fits(wanted) && known.kinds_of(item).binary_search(kind).is_ok(),
            SubjectTerm::Group(_, set) => set.holds(item, part, known),
        }
    }

    /// True for `any food` and `any scrap`.
    pub fn is_any(&self) -> bool {
        matches!(self, SubjectTerm::AnyFood | SubjectTerm::AnyScrap)
    }
}

impl SubjectSet {
    /// Whether an item with an effective part is in the set by itself, ingredients apart.
    pub fn holds(&self, item: ItemId, part: Option<PartId>, known: &Known) -> bool {
        self.named(item, part, known) && !self.excepted(item, part, known)
    }

    /// Whether the union names it, exceptions apart.
    pub fn named(&self, item: ItemId, part: Option<PartId>, known: &Known) -> bool {
        self.terms.iter().any(|t| t.holds(item, part, known))
    }

    /// Whether the exceptions name it.
    pub fn excepted(&self, item: ItemId, part: Option<PartId>, known: &Known) -> bool {
        self.except.iter().any(|t| t.holds(item, part, known))
    }

    /// True if it is `any food` or `any scrap` and nothing narrower.
    pub fn is_any(&self) -> bool {
        self.terms.iter().all(SubjectTerm::is_any)
    }
}

/// A condition over the scrap and the setting.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum When {
    /// Any of these.
    Or(Vec<When>),
    /// All of these.
    And(Vec<When>),
    /// The opposite.
    Not(Box<When>),
    /// A state of the scrap.
    State(StateId),
    /// The scrap is in a class.
    Is(SubjectSet),
    /// A fact against a number in the fact's own unit.
    Fact(Fact, Relation, f64),
    /// A sign of the bin.
    Sign(Sign),
    /// The bin stands indoors (`true`) or outdoors.
    Indoors(bool),
    /// Today is after (`true`) or before a day.
    Date(bool, Date),
    /// Something of a class was fed in the last so many days.
    Fed(SubjectSet, f64),
}

/// A fact that conditions compare.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub enum Fact {
    /// Fat, share of the scrap's wet mass.
    Fat,
    /// Salt, share of the scrap's wet mass.
    Salt,
    /// Sugar, share of the scrap's wet mass.
    Sugar,
    /// Water, share of the scrap's wet mass.
    Moisture,
    /// Nitrogen, share of the scrap's dry mass.
    Nitrogen,
    /// Usual piece size, cm.
    PieceSize,
    /// Temperature in the bin, degrees C.
    Temperature,
    /// Moisture in the bin, share.
    BinMoisture,
    /// Feeding area, square metres.
    Area,
    /// Mass of worms, grams.
    Worms,
    /// Age of the bin, days.
    Age,
    /// Days since the last feeding.
    DaysSinceFeeding,
}

impl Fact {
    /// All facts with the words that the rule language names them by, and what they measure.
    pub const ALL: [(Fact, &'static str, super::units::Dimension); 12] = {
        use super::units::Dimension as D;
        [
            (Fact::Fat, "fat", D::Share),
            (Fact::Salt, "salt", D::Share),
            (Fact::Sugar, "sugar", D::Share),
            (Fact::Moisture, "moisture", D::Share),
            (Fact::Nitrogen, "nitrogen", D::Share),
            (Fact::PieceSize, "piece size", D::Length),
            (Fact::Temperature, "temperature", D::Temperature),
            (Fact::BinMoisture, "bin moisture", D::Share),
            (Fact::Area, "area", D::Area),
            (Fact::Worms, "worms", D::Mass),
            (Fact::Age, "age", D::Time),
            (Fact::DaysSinceFeeding, "days since feeding", D::Time),
        ]
    };

    /// Its words.
    pub fn word(self) -> &'static str {
        Fact::ALL.iter().find(|(f, _, _)| *f == self).map_or("", |(_, w, _)| w)
    }

    /// True if it is of the bin, not of the scrap.
    pub fn of_bin(self) -> bool {
        !matches!(self, Fact::Fat | Fact::Salt | Fact::Sugar | Fact::Moisture | Fact::Nitrogen | Fact::PieceSize)
    }
}

/// A sign of the bin that anyone can observe; one that nobody reported is absent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub struct Sign(pub u8);

impl Sign {
    /// The words of all signs.
    pub const ALL: [&'static str; 13] = [
        "smells sour",
        "smells rotten",
        "flies",
        "gnats",
        "mites",
        "too wet",
        "too dry",
        "warm",
        "worms climbing",
        "worms pale",
        "worms thin",
        "mould on top",
        "food left",
    ];

    /// The sign's words.
    pub fn word(self) -> &'static str {
        Sign::ALL.get(usize::from(self.0)).copied().unwrap_or("")
    }

    /// A sign by its words.
    pub fn named(words: &str) -> Option<Sign> {
        Sign::ALL.iter().position(|s| *s == words).and_then(|i| u8::try_from(i).ok()).map(Sign)
    }
}

/// What a rule asks.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum Demand {
    /// Never.
    KeepOut,
    /// One of these preparations.
    Needs(Vec<StateId>),
    /// No more than this of its class.
    Allow(Allowance),
    /// What the mix must have.
    Have(Mix, MixWindow),
    /// The bin must first be so.
    Wait(When),
    /// A question, and the demand that each answer means.
    Ask(String, Vec<(String, Demand)>),
    /// Better in one of these preparations.
    Better(Vec<StateId>),
    /// Liked.
    Welcome,
}

/// How much of a class may go in.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum Allowance {
    /// A share of the food that goes in, parts per million.
    Share(i64),
    /// A mass per feeding, per kilogram of worms, per square metre or per week.
    Mass(Mg, Basis),
    /// What the setting `a little` says.
    ALittle,
}

/// A figure of the mix.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub enum Mix {
    /// Water, share of the wet mass.
    Moisture,
    /// Carbon to nitrogen, by mass.
    CarbonToNitrogen,
}

/// A window that the mix must be in; moisture as a share.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct MixWindow {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// What to aim at.
    pub aim: Option<f64>,
}

impl Book {
    /// A rule; `None` for an id of another book.
    pub fn rule(&self, id: RuleId) -> Option<&Rule> {
        self.rules.get(usize::from(id.0))
    }

    /// All rules with their ids.
    pub fn iter(&self) -> impl Iterator<Item = (RuleId, &Rule)> {
        self.rules.iter().enumerate().map(|(i, r)| (RuleId(u16::try_from(i).unwrap_or(u16::MAX)), r))
    }

    /// The rules in force that speak of the bag as a whole, or wait for the bin.
    pub(crate) fn of_bag(&self) -> impl Iterator<Item = (RuleId, &Rule)> {
        self.of_bag.iter().filter_map(|id| Some((*id, self.rule(*id).filter(|r| r.live)?)))
    }

    /// How many rules there are.
    pub fn count(&self) -> usize {
        self.rules.len()
    }

    /// Notes for every item of `known` which of the rules speak of it, so that a judge need not ask
    /// each of them. Rules and items that come later are asked.
    pub fn index(&mut self, known: &Known) {
        self.rows = Rows::build(self, known);
    }

    /// How many rules there are; a book holds no more.
    pub(crate) fn count_u16(&self) -> u16 {
        u16::try_from(self.rules.len()).unwrap_or(u16::MAX)
    }

    /// Appends a rule; what it says of others counts once the book is settled.
    pub(super) fn push(&mut self, rule: Rule) {
        let id = RuleId(u16::try_from(self.rules.len()).unwrap_or(u16::MAX));
        let others = rule.replaces.iter().chain(rule.lifts.iter().map(|(of, _)| of));
        self.unsettled.extend(others);
        if rule.layer > Layer::Base || rule.from.is_some() || rule.until.is_some() {
            self.unsettled.push(id);
        }
        if *rule.subject() == Who::Bag
            || Side::ALL.iter().any(|s| rule.demands(*s).any(|d| matches!(d, Demand::Wait(_))))
        {
            self.of_bag.push(id);
        }
        self.unsettled.sort();
        self.unsettled.dedup();
        self.rules.push(rule);
    }

    /// A rule by its name.
    pub fn named(&self, name: &str) -> Option<RuleId> {
        self.iter().find(|(_, r)| r.name == name).map(|(id, _)| id)
    }

    /// The same book on another day, with the layers up to `highest` only.
    #[must_use]
    pub fn as_of(&self, today: Date, highest: Layer) -> Book {
        let mut book = self.clone();
        book.today = today;
        if highest < Layer::Household {
            book.answers.clear();
        }
        book.settle(highest);
        book
    }

    /// Says of every rule whether it is in force: within its days, of a layer that counts, not
    /// replaced by such a rule of a later layer; and what live rules lift.
    pub(super) fn settle(&mut self, highest: Layer) {
        let today = self.today;
        let unsettled = self.unsettled.clone();
        for id in &unsettled {
            let Some(rule) = self.rule_mut(*id) else { continue };
            rule.dated =
                rule.layer <= highest && rule.from.is_none_or(|d| d <= today) && rule.until.is_none_or(|d| today <= d);
            rule.replaced_by = None;
            rule.lifted.clear();
        }
        let dated = |id: &&RuleId| self.rule(**id).is_some_and(|r| r.dated);
        let replaced: Vec<(RuleId, RuleId)> = unsettled
            .iter()
            .filter(dated)
            .flat_map(|by| self.rule(*by).map_or(&[][..], |r| &r.replaces).iter().map(|of| (*by, *of)))
            .collect();
        for (by, of) in replaced {
            if let Some(rule) = self.rule_mut(of) {
                rule.replaced_by.get_or_insert(by);
            }
        }
        for id in &unsettled {
            if let Some(rule) = self.rule_mut(*id) {
                rule.live = rule.dated && rule.replaced_by.is_none();
            }
        }
        let everybody = SubjectSet { terms: vec![SubjectTerm::AnyScrap], except: Vec::new() };
        let live = |id: &&RuleId| self.rule(**id).is_some_and(|r| r.live);
        let lifted: Vec<(RuleId, RuleId, SubjectSet)> = unsettled
            .iter()
            .filter(live)
            .flat_map(|by| self.rule(*by).map_or(&[][..], |r| &r.lifts).iter().map(|(of, set)| (*by, *of, set)))
            .map(|(by, of, set)| (by, of, set.as_ref().unwrap_or(&everybody).clone()))
            .collect();
        for (by, of, set) in lifted {
            if let Some(rule) = self.rule_mut(of) {
                rule.lifted.push((by, set));
            }
        }
    }

    fn rule_mut(&mut self, id: RuleId) -> Option<&mut Rule> {
        self.rules.get_mut(usize::from(id.0))
    }

    /// An allowance with `a little` put in place.
    pub fn amount<'a>(&'a self, allowance: &'a Allowance) -> &'a Allowance {
        if *allowance == Allowance::ALittle { &self.settings.a_little.0 } else { allowance }
    }
}
