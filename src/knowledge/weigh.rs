//! What a scrap weighs and is made of.

use super::{Found, Known, Mass, MassBasis, Scrap};
use crate::bag::Mg;

/// Weighs every found thing.
pub fn weigh(found: Vec<Found>, _known: &Known) -> Vec<Scrap> {
    found
        .into_iter()
        .map(|f| {
            let mg = Mg(100_000);
            let compositions = f.identities.iter().map(|_| None).collect();
            Scrap { found: f, mass: Mass { typical: mg, low: mg, high: mg, basis: MassBasis::Assumed }, compositions }
        })
        .collect()
}
