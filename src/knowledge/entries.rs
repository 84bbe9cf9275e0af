//! The entries of `rules/*.yaml` as they are written, before anything of them is checked.

use super::Composition;
use super::items::{Pace, Role, Usual};
use super::sources::{Publication, Statement};
use crate::fault::Span;
use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use std::fmt;
use std::marker::PhantomData;

/// A mapping read in its written order; a doubled key is an error, not a silent loss.
#[derive(Debug, Clone, PartialEq)]
pub struct Pairs<T>(pub Vec<(String, T)>);

impl<T> Default for Pairs<T> {
    fn default() -> Self {
        Pairs(Vec::new())
    }
}

impl<T: serde::Serialize> serde::Serialize for Pairs<T> {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(k, v)| (k, v)))
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Pairs<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Each<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Each<T> {
            type Value = Pairs<T>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a mapping such as {one: 120, cup: 150}")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Pairs<T>, A::Error> {
                let mut out: Vec<(String, T)> = Vec::new();
                while let Some((key, value)) = map.next_entry::<String, T>()? {
                    if out.iter().any(|(k, _)| *k == key) {
                        return Err(serde::de::Error::custom(format!("`{key}` is written twice here")));
                    }
                    out.push((key, value));
                }
                Ok(Pairs(out))
            }
        }
        deserializer.deserialize_map(Each(PhantomData))
    }
}

/// A kind as written.
#[derive(Debug, Clone, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KindEntry {
    /// Its name.
    pub kind: String,
    /// Names of broader kinds.
    #[serde(default)]
    pub broader: Vec<String>,
    /// What belongs in it.
    #[serde(default)]
    pub means: String,
    /// The role of its items; the first broader kind's if absent.
    #[serde(default)]
    pub role: Option<Role>,
    /// Whether nobody writes its name.
    #[serde(default, rename = "abstract")]
    pub is_abstract: YesNo,
    /// Where it was written.
    #[serde(skip)]
    pub place: Option<Span>,
}

/// `yes` or `no`, as a person writes it; YAML 1.2 reads the words as text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct YesNo(pub bool);

impl<'de> Deserialize<'de> for YesNo {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        #[derive(serde::Deserialize)]
        #[serde(rename_all = "lowercase")]
        enum Word {
            #[serde(alias = "true")]
            Yes,
            #[serde(alias = "false")]
            No,
        }
        Word::deserialize(deserializer).map(|w| YesNo(matches!(w, Word::Yes)))
    }
}

/// Figures that are not of the food database.
#[derive(Debug, Clone, Default, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Figures {
    /// Water, percent of the wet mass.
    pub water: f64,
    /// Nitrogen, percent of the dry mass.
    #[serde(default)]
    pub nitrogen: Option<f64>,
    /// Carbon, percent of the dry mass.
    #[serde(default)]
    pub carbon: Option<f64>,
    /// Carbon to nitrogen, by mass; gives whichever of the two is absent.
    #[serde(default)]
    pub cn: Option<f64>,
    /// Ash, percent of the dry mass; gives carbon if that is absent (volatile solids / 1.8).
    #[serde(default)]
    pub ash: Option<f64>,
    /// Fat, percent of the wet mass.
    #[serde(default)]
    pub fat: Option<f64>,
    /// Salt, percent of the wet mass.
    #[serde(default)]
    pub salt: Option<f64>,
    /// Sugars, percent of the wet mass.
    #[serde(default)]
    pub sugar: Option<f64>,
    /// Source id, or `estimate`.
    pub source: String,
}

/// A part as written.
#[derive(Debug, Clone, Default, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartEntry {
    /// Share of the whole's mass, 0..1.
    #[serde(default)]
    pub share: Option<f64>,
    /// Food database number.
    #[serde(default)]
    pub ndb: Option<String>,
    /// An item, or "item part".
    #[serde(default)]
    pub like: Option<String>,
    /// Figures of a table.
    #[serde(default)]
    pub figures: Option<Figures>,
}

/// An item as written.
#[derive(Debug, Clone, Default, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ItemEntry {
    /// Preferred name.
    pub item: String,
    /// Direct kinds.
    #[serde(rename = "is", default)]
    pub is: Vec<String>,
    /// Other English names.
    #[serde(default)]
    pub also: Vec<String>,
    /// Spanish names.
    #[serde(default)]
    pub es: Vec<String>,
    /// German names.
    #[serde(default)]
    pub de: Vec<String>,
    /// French names.
    #[serde(default)]
    pub fr: Vec<String>,
    /// Its role, if not its first kind's.
    #[serde(default)]
    pub role: Option<Role>,
    /// The part a bare name means.
    #[serde(default)]
    pub usual: Option<String>,
    /// Parts people throw away.
    #[serde(default)]
    pub parts: Pairs<PartEntry>,
    /// Usual states.
    #[serde(default)]
    pub states: Pairs<Usual>,
    /// Own items in the whole, with share of mass.
    #[serde(default)]
    pub includes: Pairs<f64>,
    /// Main ingredients.
    #[serde(default)]
    pub main: Vec<String>,
    /// Ingredients that matter.
    #[serde(default)]
    pub some: Vec<String>,
    /// Ingredients hardly there.
    #[serde(default)]
    pub trace: Vec<String>,
    /// Grams of one, of a cup, of a slice ...
    #[serde(default)]
    pub weighs: Pairs<f64>,
    /// `ndb` or `estimate`.
    #[serde(default, rename = "weighed by")]
    pub weighed_by: Option<String>,
    /// Food database number.
    #[serde(default)]
    pub ndb: Option<String>,
    /// A neighbour whose figures are taken.
    #[serde(default)]
    pub like: Option<String>,
    /// Figures of a table.
    #[serde(default)]
    pub figures: Option<Figures>,
    /// How long it lasts.
    #[serde(default)]
    pub pace: Option<Pace>,
    /// What it tends to do.
    #[serde(default)]
    pub tends: Vec<String>,
    /// Usual piece size, cm.
    #[serde(default)]
    pub piece: Option<f64>,
    /// A remark for people who edit the file.
    #[serde(default)]
    pub note: Option<String>,
    /// A pattern that names it (household only).
    #[serde(skip)]
    pub pattern: Option<String>,
    /// Where it was written.
    #[serde(skip)]
    pub place: Option<Span>,
}

/// One food of the composition table: grams in 100 g of edible portion.
#[derive(Debug, Clone, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FoodRow {
    /// Database number.
    pub ndb: String,
    /// The database's name for it.
    pub food: String,
    /// Water, g.
    pub water: f64,
    /// Protein, g.
    pub protein: f64,
    /// Fat, g.
    pub fat: f64,
    /// Carbohydrate by difference, g; fibre and sugars are inside it.
    pub carbohydrate: f64,
    /// Fibre, g, if determined.
    #[serde(default)]
    pub fibre: Option<f64>,
    /// Sugars, g, if determined.
    #[serde(default)]
    pub sugars: Option<f64>,
    /// Ash, g.
    pub ash: f64,
    /// Sodium, mg, if determined.
    #[serde(default)]
    pub sodium: Option<f64>,
    /// Protein over nitrogen; 6.25 if absent.
    #[serde(default)]
    pub factor: Option<f64>,
}

impl FoodRow {
    /// Composition by the proximate method: C = 0.53 protein + 0.77 fat + 0.44 carbohydrate,
    /// N = protein / factor (6.25 where the food has none of its own: general factor of USDA SR28
    /// and FAO Food and Nutrition Paper 77), salt = 2.542 x sodium (atomic weights).
    pub fn composition(&self) -> Composition {
        Composition {
            water: self.water / 100.0,
            carbon: (0.53 * self.protein + 0.77 * self.fat + 0.44 * self.carbohydrate) / 100.0,
            nitrogen: self.protein / self.factor.unwrap_or(6.25) / 100.0,
            fat: Some(self.fat / 100.0),
            salt: self.sodium.map(|mg| mg * 2.542 / 100_000.0),
            sugar: self.sugars.map(|g| g / 100.0),
            ash: Some(self.ash / 100.0),
        }
    }
}

/// All entries of the built-in base, or of a household, before they are checked.
#[derive(Debug, Clone, Default)]
pub struct Entries {
    /// Kinds.
    pub kinds: Vec<KindEntry>,
    /// Items.
    pub items: Vec<ItemEntry>,
    /// Composition rows.
    pub foods: Vec<FoodRow>,
    /// Publications.
    pub publications: Vec<Publication>,
    /// Statements.
    pub statements: Vec<Statement>,
}

impl Entries {
    pub(super) fn is_empty(&self) -> bool {
        self.kinds.is_empty() && self.items.is_empty() && self.publications.is_empty() && self.statements.is_empty()
    }
}
