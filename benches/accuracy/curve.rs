//! How often a confidence is right, in two halves of the rows side by side: a threshold that fits
//! only one of them shows.

use super::Run;
use super::table::Share;
use forefeed::knowledge::Rung;
use std::collections::BTreeMap;

/// One identification and whether it was right.
pub(crate) struct Taken {
    pub(crate) from: &'static str,
    pub(crate) rung: Rung,
    pub(crate) confidence: f64,
    pub(crate) right: bool,
    pub(crate) half: bool,
}

/// Confidence-weighted and plain counts of a band, in the one half and in the other.
type Halves = [(f64, f64); 2];

const BANDS: [f64; 7] = [0.95, 0.9, 0.8, 0.7, 0.6, 0.4, 0.0];

impl Run<'_> {
    pub(crate) fn curve(&self) {
        let all = self.taken.borrow();
        println!("confidence: share right in one half of the rows | in the other half");
        let mut bands: BTreeMap<(&str, &str, usize), Halves> = BTreeMap::new();
        for t in all.iter() {
            let band = BANDS.iter().position(|b| t.confidence >= *b).unwrap_or(BANDS.len() - 1);
            let rung = if t.rung <= Rung::Normalised { "by name" } else { t.rung.word() };
            let cell = &mut bands.entry((t.from, rung, band)).or_default()[usize::from(!t.half)];
            cell.0 += f64::from(u8::from(t.right));
            cell.1 += 1.0;
        }
        for ((from, rung, band), [chosen, other]) in bands {
            let from_to = format!("{:.2}..", BANDS[band]);
            println!("  {from:9} {rung:9} {from_to:6} {} | {}", Share(chosen.0, chosen.1), Share(other.0, other.1));
        }
    }
}
