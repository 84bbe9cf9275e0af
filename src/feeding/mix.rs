//! What a mix is (moisture, C:N) and what bedding and water it needs.
//!
//! Moisture of a mix `G = sum(Q M) / sum(Q)`, C:N `R = sum(Q C (1 - M)) / sum(Q N (1 - M))`, bedding to
//! reach a moisture `Q2 = (Q1 G - Q1 M1) / (M2 - G)`: Cornell Composting (Richard and Trautmann).

use super::Few;
use crate::knowledge::Composition;

/// A part of a mix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Mass, g.
    pub grams: f64,
    /// Water, 0..1 of its mass.
    pub water: f64,
    /// Carbon, 0..1 of its wet mass.
    pub carbon: f64,
    /// Nitrogen, 0..1 of its wet mass.
    pub nitrogen: f64,
}

impl Part {
    /// A mass of a composition.
    pub fn of(grams: f64, c: &Composition) -> Part {
        Part { grams, water: c.water, carbon: c.carbon, nitrogen: c.nitrogen }
    }

    /// A mass from moisture (0..1, wet basis) and carbon and nitrogen as shares of the dry mass.
    pub fn from_dry(grams: f64, water: f64, carbon: f64, nitrogen: f64) -> Part {
        Part { grams, water, carbon: carbon * (1.0 - water), nitrogen: nitrogen * (1.0 - water) }
    }
}

/// Totals of a mix.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Mixed {
    /// Mass, g.
    pub grams: f64,
    /// Water, g.
    pub water: f64,
    /// Carbon, g.
    pub carbon: f64,
    /// Nitrogen, g.
    pub nitrogen: f64,
}

impl Mixed {
    /// Adds a part.
    pub fn add(&mut self, part: Part) {
        self.grams += part.grams;
        self.water += part.grams * part.water;
        self.carbon += part.grams * part.carbon;
        self.nitrogen += part.grams * part.nitrogen;
    }

    /// The mix of some parts.
    pub fn of(parts: impl IntoIterator<Item = Part>) -> Mixed {
        let mut out = Mixed::default();
        for part in parts {
            out.add(part);
        }
        out
    }

    /// Water, 0..1 of the mass; `None` for nothing.
    pub fn moisture(&self) -> Option<f64> {
        (self.grams > 0.0).then(|| self.water / self.grams)
    }

    /// Carbon to nitrogen by mass; `None` where there is no nitrogen.
    pub fn cn(&self) -> Option<f64> {
        (self.nitrogen > 0.0).then(|| self.carbon / self.nitrogen)
    }
}

/// A window that the mix must be in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// True for moisture (0..1), false for C:N.
    pub moisture: bool,
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// What to aim at.
    pub aim: Option<f64>,
}

/// The bedding that may be added, per gram of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bedding {
    /// What a gram of it is.
    pub composition: Composition,
    /// The most there is, g; `None` for any amount.
    pub at_hand: Option<f64>,
}

/// What goes with the feeding.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Need {
    /// Bedding, g.
    pub bedding: f64,
    /// Water, g.
    pub water: f64,
    /// Windows that cannot be met, by their place in the list.
    pub unmet: Vec<usize>,
}

/// The least bedding that meets every window, more up to the aim where all windows allow it; water
/// up to a moisture window's low end first if the mix is drier than that.
pub fn need(mix: Mixed, windows: &[Window], bedding: &Bedding) -> Need {
    let mut mix = mix;
    let mut out = Need::default();
    let driest = windows.iter().filter(|w| w.moisture).map(|w| w.low).fold(0.0f64, f64::max);
    if driest > 0.0 && driest < 1.0 && mix.moisture().is_some_and(|m| m < driest) {
        // Water W with (water + W) / (grams + W) = low.
        out.water = ((driest * mix.grams - mix.water) / (1.0 - driest)).max(0.0);
        mix.grams += out.water;
        mix.water += out.water;
    }
    let most = bedding.at_hand.unwrap_or(f64::INFINITY);
    let ranges: Few<Option<(f64, f64)>> = windows.iter().map(|w| range(&mix, w, &bedding.composition, most)).collect();
    out.unmet = ranges.iter().enumerate().filter(|(_, r)| r.is_none()).map(|(i, _)| i).collect();
    let low = ranges.iter().flatten().map(|r| r.0).fold(0.0f64, f64::max);
    let high = ranges.iter().flatten().map(|r| r.1).fold(most, f64::min);
    if out.unmet.is_empty() && low > high + 1e-9 {
        // Each could be met, but not all together.
        out.unmet = ranges
            .iter()
            .enumerate()
            .filter(|(_, r)| r.is_some_and(|r| r.0 > high + 1e-9 || r.1 < low - 1e-9))
            .map(|(i, _)| i)
            .collect();
    }
    let aim = windows
        .iter()
        .filter_map(|w| {
            w.aim
                .and_then(|aim| range(&mix, &Window { low: aim, high: aim, ..*w }, &bedding.composition, f64::INFINITY))
        })
        .map(|r| r.0)
        .fold(0.0f64, f64::max);
    out.bedding = if out.unmet.is_empty() { aim.clamp(low, high.max(low)) } else { low.min(most) };
    out
}

/// From how much to how much bedding a window is met; `None` if never.
fn range(mix: &Mixed, w: &Window, b: &Composition, most: f64) -> Option<(f64, f64)> {
    let slack = 1e-9;
    let (top, bottom, b_top, b_bottom) = if w.moisture {
        (mix.water, mix.grams, b.water, 1.0)
    } else {
        (mix.carbon, mix.nitrogen, b.carbon, b.nitrogen)
    };
    // f(q) = (top + q b_top) / (bottom + q b_bottom). f <= k  <=>  top - k bottom <= q (k b_bottom - b_top).
    let (mut lo, mut hi) = (0.0f64, most);
    let mut at_most = |excess: f64, per_gram: f64| {
        if per_gram > 1e-12 {
            lo = lo.max(excess / per_gram);
        } else if per_gram < -1e-12 {
            hi = hi.min(excess / per_gram);
        } else if excess > slack {
            hi = -1.0;
        }
    };
    at_most(top - w.high * bottom, w.high * b_bottom - b_top);
    at_most(w.low * bottom - top, b_top - w.low * b_bottom);
    (lo <= hi + slack).then_some((lo, hi.max(lo)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Cornell Composting (Richard and Trautmann), moisture content page: 10 kg of grass at 77 %
    /// and leaves at 35 % to 60 % take 6.8 kg of leaves.
    #[test]
    fn the_published_amount_of_leaves_for_a_moisture() {
        let leaves =
            Composition { water: 0.35, carbon: 0.3, nitrogen: 0.005, fat: None, salt: None, sugar: None, ash: None };
        let mix = Mixed::of([Part::from_dry(10_000.0, 0.77, 0.45, 0.024)]);
        let w = Window { moisture: true, low: 0.6, high: 0.6, aim: None };
        let n = need(mix, &[w], &Bedding { composition: leaves, at_hand: None });
        assert_eq!(format!("{:.1}", n.bedding / 1000.0), "6.8");
        assert_eq!(
            format!(
                "{:.2}",
                100.0
                    * Mixed::of([Part::from_dry(10.0, 0.77, 0.0, 0.0), Part::from_dry(6.8, 0.35, 0.0, 0.0)])
                        .moisture()
                        .unwrap()
            ),
            "60.00"
        );
    }

    #[test]
    fn a_window_out_of_reach_is_said() {
        let card =
            Composition { water: 0.08, carbon: 0.42, nitrogen: 0.001, fat: None, salt: None, sugar: None, ash: None };
        let mix = Mixed::of([Part { grams: 1000.0, water: 0.95, carbon: 0.02, nitrogen: 0.001 }]);
        let w = Window { moisture: true, low: 0.7, high: 0.8, aim: Some(0.75) };
        let n = need(mix, &[w], &Bedding { composition: card, at_hand: Some(50.0) });
        assert_eq!(n.unmet, [0]);
        let n = need(mix, &[w], &Bedding { composition: card, at_hand: None });
        assert!(n.unmet.is_empty() && (n.bedding - 298.5).abs() < 0.1, "{n:?}");
    }
}
