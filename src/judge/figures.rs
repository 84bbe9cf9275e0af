//! What a bag comes to: masses, moisture and C:N with their ranges, bedding, water, grit.

use super::conclude::{Settled, floor_mg};
use super::scraps::Judge;
use super::{BagFigures, Figure};
use crate::bag::Mg;
use crate::feeding::{self, Mixed, Part};
use crate::knowledge::{Composition, MassBasis, Role, Scrap};

impl Judge<'_> {
    pub(super) fn figures(&self, scraps: &[Scrap], settled: &Settled) -> BagFigures {
        let mass: Mg = scraps.iter().map(|s| s.mass.typical).sum();
        let assumed: Mg = scraps.iter().filter(|s| s.mass.basis == MassBasis::Assumed).map(|s| s.mass.typical).sum();
        let food: f64 =
            settled.owns.iter().zip(&settled.x_mg).filter(|(o, _)| o.role == Role::Food).map(|(_, x)| x).sum();
        let grit_there: f64 =
            settled.owns.iter().zip(&settled.x_mg).filter(|(o, _)| o.role == Role::Grit).map(|(_, x)| x / 1000.0).sum();
        #[allow(clippy::cast_precision_loss, reason = "a share of at most a million")]
        let grit = (food / 1000.0 * self.book.settings.grit_ppm.0 as f64 / 1e6 - grit_there).max(0.0);
        let same = |v: f64| Figure { value: v, low: v, high: v };
        let spread = self.spread(scraps, settled);
        let (value, cn) = (settled.mix.moisture(), settled.mix.cn());
        let goes = food > 0.0;
        let bedding = self.standing().bedding.composition;
        let mut with = settled.mix;
        with.add(Part::of(settled.need.bedding, &bedding));
        with.add(Part { grams: settled.need.water, water: 1.0, carbon: 0.0, nitrogen: 0.0 });
        let (bedding_low, bedding_high) = self.bedding_range(scraps, settled);
        BagFigures {
            mass,
            assumed_share: if mass.0 > 0 { assumed.grams() / mass.grams() } else { 0.0 },
            goes_in: floor_mg(food, Mg(i64::MAX)),
            moisture: value
                .filter(|_| goes)
                .map(|v| spread.map_or(same(v), |(m, _)| Figure { value: v, low: m.0.min(v), high: m.1.max(v) })),
            cn: cn
                .filter(|_| goes)
                .map(|v| spread.map_or(same(v), |(_, c)| Figure { value: v, low: c.0.min(v), high: c.1.max(v) })),
            bedding_g: goes.then_some(Figure { value: settled.need.bedding, low: bedding_low, high: bedding_high }),
            water_g: goes.then(|| same(settled.need.water)),
            grit_g: goes.then(|| same(grit)),
            moisture_with: with.moisture().filter(|_| goes),
            cn_with: with.cn().filter(|_| goes),
        }
    }

    /// Bedding for the low and the high masses of what goes in.
    pub(super) fn bedding_range(&self, scraps: &[Scrap], settled: &Settled) -> (f64, f64) {
        let standing = self.standing();
        let at = |pick: &dyn Fn(&Scrap) -> Mg| {
            let mix = Mixed::of(scraps.iter().zip(&settled.x_mg).zip(&settled.owns).map(|((s, x), o)| {
                let ratio = if s.mass.typical.0 > 0 { pick(s).grams() / s.mass.typical.grams() } else { 1.0 };
                Part::of(x / 1000.0 * ratio, &self.composition(s, o))
            }));
            feeding::mix::need(mix, &standing.list, &standing.bedding).bedding
        };
        let (a, b) = (at(&|s| s.mass.low), at(&|s| s.mass.high));
        (a.min(settled.need.bedding), b.max(settled.need.bedding))
    }

    /// Moisture and C:N of the mix over the corners that single scraps' mass ranges give.
    pub(super) fn spread(&self, scraps: &[Scrap], settled: &Settled) -> Option<((f64, f64), (f64, f64))> {
        let parts: Vec<(Composition, f64, f64, f64)> = scraps
            .iter()
            .zip(&settled.x_mg)
            .zip(&settled.owns)
            .filter(|((s, x), _)| **x > 0.0 && s.mass.typical.0 > 0)
            .map(|((s, x), o)| {
                let scale = x / 1000.0 / s.mass.typical.grams();
                (self.composition(s, o), s.mass.low.grams() * scale, x / 1000.0, s.mass.high.grams() * scale)
            })
            .collect();
        let base = settled.mix;
        let (m, c) = (base.moisture()?, base.cn()?);
        let (mut moisture, mut cn) = ((m, m), (c, c));
        // Each corner takes the wet (or rich) ones high and the others low, and the other way round.
        for high_wet in [true, false] {
            let corner = |key: &dyn Fn(&Composition) -> f64, pivot: f64| {
                Mixed::of(parts.iter().map(|(comp, low, _, high)| {
                    Part::of(if (key(comp) > pivot) == high_wet { *high } else { *low }, comp)
                }))
            };
            if let Some(v) = corner(&|k| k.water, m).moisture() {
                moisture = (moisture.0.min(v), moisture.1.max(v));
            }
            if let Some(v) = corner(&|k| if k.nitrogen > 0.0 { k.carbon / k.nitrogen } else { f64::INFINITY }, c).cn() {
                cn = (cn.0.min(v), cn.1.max(v));
            }
        }
        Some((moisture, cn))
    }
}
