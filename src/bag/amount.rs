//! Numbers, and the one table of units.
//!
//! Owns: [`Mg`], the integer milligrams all masses are kept in; [`Unit`], the units a list can
//! name; conversions (grams, millilitres).

use serde::{Deserialize, Serialize};

/// A mass in whole milligrams, so that equality at a cap cannot depend on the order of a sum.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub struct Mg(pub i64);

impl Mg {
    /// The nearest milligram; not-a-number and negative masses become zero, and a mass is at most
    /// a million tonnes.
    pub fn from_grams(grams: f64) -> Self {
        let mg = (grams * 1000.0).round();
        // NaN fails both comparisons and lands on zero.
        if mg >= 1e15 {
            Mg(1_000_000_000_000_000)
        } else if mg > 0.0 {
            #[allow(clippy::cast_possible_truncation, reason = "bounded by the comparison above")]
            Mg(mg as i64)
        } else {
            Mg(0)
        }
    }

    /// In grams.
    #[allow(clippy::cast_precision_loss, reason = "masses stay below 2^53 milligrams")]
    pub fn grams(self) -> f64 {
        self.0 as f64 / 1000.0
    }
}

impl std::iter::Sum for Mg {
    fn sum<I: Iterator<Item = Mg>>(iter: I) -> Mg {
        iter.fold(Mg(0), |a, b| Mg(a.0.saturating_add(b.0)))
    }
}

/// A number, or a range of numbers, as written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// The number, or the range's low end.
    pub low: f64,
    /// The range's high end.
    pub high: Option<f64>,
}

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measure {
    /// Mass; grams in one.
    Mass(f64),
    /// Volume; millilitres in one.
    Volume(f64),
    /// A count word: clove, head, slice, handful, bag.
    Count,
}

/// A unit as read, in its printed singular form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// `g kg mg oz lb ml l tsp tbsp cup fl_oz pt qt gal`, or a singular English count word.
    pub name: &'static str,
    /// What it measures.
    pub measure: Measure,
}

/// The size of each of several, as in "2 x 400 g" or "1 28-ounce can".
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Each {
    /// How much in one.
    pub amount: f64,
    /// Of which unit: mass or volume.
    pub unit: Unit,
}
