//! The setting a bag is judged in: the day, the stance, the bin, what was fed.

use crate::bag::{Mg, PartId};
use crate::knowledge::ItemId;
use crate::language::{Side, Sign};
use jiff::civil::Date;

/// The setting of a judgement; what the book's settings say holds where this is silent.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// Today, local.
    pub today: Date,
    /// The stance asked for; the book's setting if absent.
    pub stance: Option<Side>,
    /// What is known of the bin.
    pub bin: Bin,
    /// What was fed before, if a record is kept.
    pub record: Option<Vec<Fed>>,
}

impl Setting {
    /// A setting of which only the day is known.
    pub fn on(today: Date) -> Self {
        Setting { today, stance: None, bin: Bin::default(), record: None }
    }
}

/// What is known of the bin; absent facts are unknown, absent signs are absent.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bin {
    /// Its name.
    pub name: Option<String>,
    /// `true` indoors.
    pub indoors: Option<bool>,
    /// Mass of worms.
    pub worms: Option<Mg>,
    /// Temperature, degrees C.
    pub temperature_c: Option<f64>,
    /// Moisture, 0..1.
    pub moisture: Option<f64>,
    /// Feeding area, square metres.
    pub area_m2: Option<f64>,
    /// Age, days.
    pub age_days: Option<f64>,
    /// Days since the last feeding.
    pub days_since_feeding: Option<f64>,
    /// Signs that were reported.
    pub signs: Vec<Sign>,
    /// Bedding at hand, g; any amount if absent.
    pub bedding_g: Option<f64>,
}

/// Something that was fed.
#[derive(Debug, Clone, PartialEq)]
pub struct Fed {
    /// When.
    pub date: Date,
    /// What.
    pub item: ItemId,
    /// Which part.
    pub part: Option<PartId>,
    /// How much.
    pub mass: Mg,
}
