//! What an item is: kinds, parts, usual states, ingredients, masses, composition.
//!
//! These are the checked entries; `load` makes them from YAML, a household's rule file adds its
//! own. Nothing here guesses.

use crate::bag::{PartId, StateId};
use crate::fault::Span;
use crate::flat::Late;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// An item by its place in [`super::Known`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub struct ItemId(pub u16);

/// A kind by its place in [`super::Known`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub struct KindId(pub u16);

/// What a thing is in a bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, Default)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// What the worms eat.
    #[default]
    Food,
    /// Dry carbon they live in.
    Bedding,
    /// Mineral grit for their gizzards.
    Grit,
    /// Anything else.
    Other,
}

impl Role {
    /// The word of the YAML and the JSON.
    pub fn word(self) -> &'static str {
        match self {
            Role::Food => "food",
            Role::Bedding => "bedding",
            Role::Grit => "grit",
            Role::Other => "other",
        }
    }
}

/// How long a thing takes to vanish in a worm bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Pace {
    /// Weeks.
    Fast,
    /// Months.
    Slow,
    /// Years.
    Lasts,
}

/// A language names are written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Language {
    /// English.
    En,
    /// Spanish.
    Es,
    /// German.
    De,
    /// French.
    Fr,
}

impl Language {
    /// All of them; the first wins a tie.
    pub const ALL: [Language; 4] = [Language::En, Language::Es, Language::De, Language::Fr];

    /// The two-letter code (ISO 639-1).
    pub fn code(self) -> &'static str {
        match self {
            Language::En => "en",
            Language::Es => "es",
            Language::De => "de",
            Language::Fr => "fr",
        }
    }
}

/// A kind: a class of items, with its broader kinds.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Kind {
    /// Its name.
    pub name: String,
    /// Directly broader kinds.
    pub broader: Vec<KindId>,
    /// All kinds it is in, itself among them (sorted).
    pub within: Vec<KindId>,
    /// One sentence: what belongs in it. Empty for a household's own.
    pub means: String,
    /// What its items are unless they say otherwise.
    pub role: Role,
    /// True if nobody writes its name on a list.
    pub is_abstract: bool,
    /// Where it was defined, if not in the built-in base.
    pub place: Option<Span>,
}

/// A name of an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Name<'a> {
    /// As people write it.
    pub text: &'a str,
    /// In which language.
    pub language: Language,
}

/// The names of an item, kept as one text: an item is read whenever it is met, its names seldom.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct ItemNames(Late<Text>);

/// A text that stays where it stands until something is added.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
struct Text(#[serde(borrow = "'static")] Cow<'static, str>);

impl ItemNames {
    /// Between two names; a name that holds it loses it.
    const BETWEEN: char = '\n';

    /// Appends a name.
    pub fn push(&mut self, language: Language, name: &str) {
        let Some(Text(all)) = self.0.get_mut() else { return };
        let all = all.to_mut();
        if !all.is_empty() {
            all.push(Self::BETWEEN);
        }
        all.push_str(language.code());
        all.extend(name.chars().filter(|c| *c != Self::BETWEEN));
    }

    /// The names in order.
    pub fn iter(&self) -> impl Iterator<Item = Name<'_>> {
        self.0.0.split(Self::BETWEEN).filter_map(|entry| {
            let (code, text) = entry.split_at_checked(2)?;
            let language = Language::ALL.into_iter().find(|l| l.code() == code)?;
            Some(Name { text, language })
        })
    }

    /// The name at a place.
    pub fn get(&self, at: usize) -> Option<Name<'_>> {
        self.iter().nth(at)
    }
}

/// Where a figure comes from.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Basis {
    /// The food database, by its number there.
    Database(String),
    /// The figures of a stated neighbour: an estimate.
    Like(ItemId),
    /// A table or paper, by source id.
    Source(String),
    /// Averaged from the ingredients: main ones three parts, some one part (ours).
    Ingredients,
    /// Ours, without a source.
    Estimate,
}

/// What 100 g as it is consists of. Shares are fractions of the wet mass.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Composition {
    /// Water, 0..1.
    pub water: f64,
    /// Carbon, 0..1 of the wet mass.
    pub carbon: f64,
    /// Nitrogen, 0..1 of the wet mass.
    pub nitrogen: f64,
    /// Fat, 0..1, if known.
    pub fat: Option<f64>,
    /// Salt (sodium chloride), 0..1, if known.
    pub salt: Option<f64>,
    /// Sugars, 0..1, if known.
    pub sugar: Option<f64>,
    /// Ash, 0..1, if known.
    pub ash: Option<f64>,
}

/// A part that people throw away.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct ItemPart {
    /// Which part.
    pub part: PartId,
    /// Its share of the whole's mass, 0..1, if known.
    pub share: Option<f64>,
    /// Its own composition, if it differs from the whole's.
    pub composition: Option<(Composition, Basis)>,
}

/// What one of something weighs.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Portion {
    /// `one` for a bare count, else a count word or household measure, singular.
    pub measure: String,
    /// Grams.
    pub grams: f64,
    /// True if read from the food database's portion table, false if estimated.
    pub from_database: bool,
}

/// What is in a dish.
#[derive(Debug, Clone, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
pub struct Ingredients {
    /// What it mostly is.
    pub main: Vec<ItemId>,
    /// Enough to matter.
    pub some: Vec<ItemId>,
    /// Hardly there: a note, never a verdict.
    pub trace: Vec<ItemId>,
}

/// Whether a state usually holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Usual {
    /// It does.
    Yes,
    /// It does not, whatever the state's own default.
    No,
    /// One must ask.
    Unknown,
}

/// One entry of the knowledge base.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Item {
    /// Preferred English name.
    pub name: String,
    /// All names, the preferred one first.
    pub names: ItemNames,
    /// Direct kinds.
    pub is: Vec<KindId>,
    /// All kinds it is in (sorted).
    pub within: Vec<KindId>,
    /// What it is in a bin.
    pub role: Role,
    /// The part that a bare name means, if not the whole.
    pub usual: Option<PartId>,
    /// Parts people throw away.
    pub parts: Vec<ItemPart>,
    /// Usual states where they differ from the states' own defaults.
    pub states: Vec<(StateId, Usual)>,
    /// Own items that a whole contains, with their share of its mass (0..1).
    pub includes: Vec<(ItemId, f64)>,
    /// What is in it, for a dish.
    pub made_of: Ingredients,
    pub(super) weighs: Late<Vec<Portion>>,
    /// What it consists of, and how that is known.
    pub composition: (Composition, Basis),
    /// How long it takes to vanish.
    pub pace: Option<Pace>,
    pub(super) tends: Late<Vec<String>>,
    /// Usual piece size in centimetres as it goes in.
    pub piece_cm: f64,
    /// A pattern that names it (household items only).
    pub pattern: Option<String>,
    /// Where it was defined, if not in the built-in base.
    pub place: Option<Span>,
}

impl Item {
    /// What one weighs.
    pub fn weighs(&self) -> &[Portion] {
        &self.weighs
    }

    /// What it is likely to do: flies, smell, heat, wet.
    pub fn tends(&self) -> &[String] {
        &self.tends
    }
}
