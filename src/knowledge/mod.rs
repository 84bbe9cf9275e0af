//! What things are: items, kinds, names, masses, composition, and the publications behind them.
//!
//! Comes in: a bag of lines. Goes out: scraps, each with the item it was taken for, how surely,
//! and what it weighs and is made of. It knows no rules.

pub(crate) mod aligned;
mod build;
pub(crate) mod composed;
pub mod entries;
mod hand;
pub(crate) mod heard;
pub mod items;
pub mod load;
pub mod names;
pub(crate) mod normal;
pub mod slips;
pub mod sources;
pub mod weigh;
pub mod written;

use crate::bag::{self, Said, Vocabulary};
use crate::flat::{Flat, Late, Stock, hash};
pub use items::{
    Basis, Composition, Ingredients, Item, ItemId, ItemNames, ItemPart, Kind, KindId, Language, Name, Pace, Portion,
    Role, Usual,
};
pub use names::{Finder, find, identify, identify_in};
pub use sources::{Publication, Stance, Statement};
use std::sync::Arc;
pub use weigh::{Measures, weigh};
pub use written::written;

/// Everything known: the built-in base and what a household added.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Known {
    pub(crate) vocabulary: Vocabulary,
    pub(crate) measures: Measures,
    kinds: Stock<Kind>,
    kind_at: ByName,
    items: Stock<Item>,
    item_at: ByName,
    publications: Late<Vec<Publication>>,
    statements: Late<Vec<Statement>>,
    pub(crate) names: names::Names,
}

/// Places of entries by the hash of their names, sorted.
type ByName = Flat<(u64, u16)>;

/// The place of a name, if what stands there really has it.
fn placed(by_name: &ByName, name: &str, is_at: impl Fn(u16) -> bool) -> Option<u16> {
    let hash = hash(name.as_bytes());
    let from = by_name.partition_point(|(h, _)| h < hash);
    by_name.run(from, by_name.len()).take_while(|(h, _)| *h == hash).map(|(_, at)| at).find(|at| is_at(*at))
}

/// The index of names by place.
fn by_name<'a>(names: impl Iterator<Item = &'a str>) -> ByName {
    let mut all: Vec<(u64, u16)> = names.map(|n| hash(n.as_bytes())).zip(0..=u16::MAX).collect();
    all.sort_unstable();
    all.into()
}

fn place_of(at: usize) -> u16 {
    u16::try_from(at).unwrap_or(u16::MAX)
}

impl Known {
    /// States and parts.
    pub fn vocabulary(&self) -> &Vocabulary {
        &self.vocabulary
    }

    /// All items in order.
    pub fn items(&self) -> impl Iterator<Item = (ItemId, &Item)> {
        self.items.iter().enumerate().map(|(i, item)| (ItemId(place_of(i)), item))
    }

    /// All kinds in order.
    pub fn kinds(&self) -> impl Iterator<Item = (KindId, &Kind)> {
        self.kinds.iter().enumerate().map(|(i, kind)| (KindId(place_of(i)), kind))
    }

    /// An item; `None` for an id of another base.
    pub fn item(&self, id: ItemId) -> Option<&Item> {
        self.items.get(usize::from(id.0))
    }

    /// An item's preferred name; empty for an id of another base.
    pub fn item_name(&self, id: ItemId) -> &str {
        self.item(id).map_or("", |i| i.name.as_str())
    }

    /// An item by its preferred name, exactly.
    pub fn item_named(&self, name: &str) -> Option<ItemId> {
        placed(&self.item_at, name, |at| self.item_name(ItemId(at)) == name).map(ItemId)
    }

    /// A kind; `None` for an id of another base.
    pub fn kind(&self, id: KindId) -> Option<&Kind> {
        self.kinds.get(usize::from(id.0))
    }

    /// A kind by its name, exactly.
    pub fn kind_named(&self, name: &str) -> Option<KindId> {
        placed(&self.kind_at, name, |at| self.kind(KindId(at)).is_some_and(|k| k.name == name)).map(KindId)
    }

    /// All kinds an item is in, its direct kinds' broader ones among them.
    pub fn kinds_of(&self, item: ItemId) -> &[KindId] {
        self.item(item).map_or(&[], |i| &i.within)
    }

    /// A kind and all its broader kinds.
    pub fn broader_of(&self, kind: KindId) -> &[KindId] {
        self.kind(kind).map_or(&[], |k| &k.within)
    }

    /// The part that a bare name of an item means, if that is not the whole.
    pub fn usual_part(&self, item: ItemId) -> Option<bag::PartId> {
        self.item(item).and_then(|i| i.usual).filter(|p| Some(*p) != self.whole())
    }

    /// What an identity is made of: its part's own figures, or the item's; `None` for an unknown item.
    pub fn made_of(&self, identity: &Identity) -> Option<&(Composition, Basis)> {
        self.composition(identity.item?, identity.part)
    }

    /// What an item's part, or the part that its bare name means, is made of.
    pub(crate) fn composition(&self, item: ItemId, part: Option<bag::PartId>) -> Option<&(Composition, Basis)> {
        let item = self.item(item)?;
        let part = part.or(item.usual);
        let own = part.and_then(|p| item.parts.iter().find(|x| x.part == p)).and_then(|x| x.composition.as_ref());
        Some(own.unwrap_or(&item.composition))
    }

    /// The part that is no part.
    pub fn whole(&self) -> Option<bag::PartId> {
        self.vocabulary.whole
    }

    /// The publications that rules cite.
    pub fn publications(&self) -> &[Publication] {
        self.publications.get()
    }

    /// A publication by its id.
    pub fn publication(&self, id: &str) -> Option<&Publication> {
        self.publications().iter().find(|p| p.id == id)
    }

    /// What publications say.
    pub fn statements(&self) -> &[Statement] {
        self.statements.get()
    }
}

/// How surely a name was taken for an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Identified {
    /// The words name it.
    Sure,
    /// Almost surely: one slip, or words set aside.
    Likely,
    /// Two things are equally near, or it is a guess: asked about.
    Unsure,
    /// Nothing near.
    Unknown,
}

impl Identified {
    /// The word of the JSON.
    pub fn word(self) -> &'static str {
        match self {
            Identified::Sure => "sure",
            Identified::Likely => "likely",
            Identified::Unsure => "unsure",
            Identified::Unknown => "unknown",
        }
    }
}

/// On which rung of the ladder a name was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rung {
    /// The preferred name as written.
    Exact,
    /// Another name as written.
    OtherName,
    /// After case, accents, plural, word order, spelling variants.
    Normalised,
    /// The head noun, modifiers set aside.
    HeadNoun,
    /// By likeness.
    Similar,
}

impl Rung {
    /// The word of the JSON.
    pub fn word(self) -> &'static str {
        match self {
            Rung::Exact => "exact",
            Rung::OtherName => "other_name",
            Rung::Normalised => "normalised",
            Rung::HeadNoun => "head_noun",
            Rung::Similar => "similar",
        }
    }
}

/// Another item that a name might have meant.
#[derive(Debug, Clone, PartialEq)]
pub struct Alternative {
    /// The item.
    pub item: ItemId,
    /// Which of its names is near, by its place among them.
    pub which: u16,
    /// 0..1.
    pub confidence: f64,
    /// True if the name is within two edits of what was written: an `ask` if it would be judged worse.
    pub within_reach: bool,
}

impl Alternative {
    /// The name of the item that is near.
    pub fn name<'k>(&self, known: &'k Known) -> &'k str {
        known.item(self.item).and_then(|i| i.names.get(usize::from(self.which))).map_or("", |n| n.text)
    }
}

/// What one name was taken for.
#[derive(Debug, Clone, PartialEq)]
pub struct Identity {
    /// The name as read.
    pub name: String,
    /// The item; `None` if unknown. On `Unsure` the likeliest, if any.
    pub item: Option<ItemId>,
    /// The part said (kept only where the item has such a thing to say, see `names`).
    pub part: Option<bag::PartId>,
    /// States said or denied that are not part of the name.
    pub said: Said,
    /// How surely.
    pub identified: Identified,
    /// How found; `None` if unknown.
    pub rung: Option<Rung>,
    /// 0..1.
    pub confidence: f64,
    /// In which language it was read.
    pub language: Language,
    /// At most three others, likeliest first.
    pub alternatives: Vec<Alternative>,
}

/// A thing of a line with what it was taken for.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The line's number, from 1.
    pub line: u32,
    /// As read.
    pub thing: Arc<bag::Thing>,
    /// One identity for each name joined by `or`, in the order written. Never empty.
    pub identities: Vec<Arc<Identity>>,
    /// What it comes with, as items; additions nobody knows are left out.
    pub additions: Vec<ItemId>,
    /// Additions that were written and are not known.
    pub unknown_additions: Vec<String>,
    /// What it comes without, as items.
    pub without: Vec<ItemId>,
}

/// How a mass was come by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MassBasis {
    /// A mass was written.
    Stated,
    /// A count or measure was written, and what one weighs is known.
    Counted,
    /// A typical mass was taken.
    Assumed,
}

impl MassBasis {
    /// The word of the JSON.
    pub fn word(self) -> &'static str {
        match self {
            MassBasis::Stated => "stated",
            MassBasis::Counted => "counted",
            MassBasis::Assumed => "assumed",
        }
    }
}

/// A mass with its range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mass {
    /// The mass that is reckoned with.
    pub typical: bag::Mg,
    /// Low end.
    pub low: bag::Mg,
    /// High end.
    pub high: bag::Mg,
    /// How it was come by.
    pub basis: MassBasis,
}

/// A scrap: found and weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Scrap {
    /// What was read and found.
    pub found: Found,
    /// Its mass; on an `or` line the heaviest alternative's.
    pub mass: Mass,
}
