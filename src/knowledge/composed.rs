//! What a thing is made of: figures of a table or a publication as shares of mass, dishes from their
//! ingredients.

use super::entries::Figures;
use super::items::{Basis, Composition, Ingredients, ItemId};

/// A stand-in food for what nobody described: 75 % water, plain plant matter (ours).
pub(crate) const STAND_IN: Composition =
    Composition { water: 0.75, carbon: 0.11, nitrogen: 0.005, fat: None, salt: None, sugar: None, ash: None };

pub(super) fn figures_basis(f: &Figures) -> Basis {
    if f.source == "estimate" { Basis::Estimate } else { Basis::Source(f.source.clone()) }
}

/// Composition from a table's percentages. Carbon is the stated one, else C:N times nitrogen, else
/// volatile solids / 1.8 (Cornell Composting, after Adams et al. 1951); nitrogen likewise.
pub(super) fn from_figures(f: &Figures) -> Composition {
    let dry = 1.0 - f.water / 100.0;
    let volatile = f.ash.map(|a| (100.0 - a) / 1.8);
    let carbon = f.carbon.or_else(|| f.cn.zip(f.nitrogen).map(|(r, n)| r * n)).or(volatile).unwrap_or(45.0);
    let nitrogen = f.nitrogen.or_else(|| f.cn.filter(|r| *r > 0.0).map(|r| carbon / r)).unwrap_or(0.0);
    Composition {
        water: f.water / 100.0,
        carbon: carbon / 100.0 * dry,
        nitrogen: nitrogen / 100.0 * dry,
        fat: f.fat.map(|x| x / 100.0),
        salt: f.salt.map(|x| x / 100.0),
        sugar: f.sugar.map(|x| x / 100.0),
        ash: f.ash.map(|a| a / 100.0 * dry),
    }
}

/// A dish averaged from its ingredients: a main one counts three parts, a `some` one one part (ours).
pub(super) fn mix(made: &Ingredients, of: impl Fn(ItemId) -> Option<Composition>) -> Option<Composition> {
    let weighted = made.main.iter().map(|i| (3.0, *i)).chain(made.some.iter().map(|i| (1.0, *i)));
    let rows: Vec<(f64, Composition)> = weighted.filter_map(|(w, i)| of(i).map(|c| (w, c))).collect();
    let total: f64 = rows.iter().map(|(w, _)| w).sum();
    if total <= 0.0 {
        return None;
    }
    let mean = |f: &dyn Fn(&Composition) -> f64| rows.iter().map(|(w, c)| w * f(c)).sum::<f64>() / total;
    let some = |f: &dyn Fn(&Composition) -> Option<f64>| {
        rows.iter().map(|(w, c)| f(c).map(|v| w * v)).sum::<Option<f64>>().map(|s| s / total)
    };
    Some(Composition {
        water: mean(&|c| c.water),
        carbon: mean(&|c| c.carbon),
        nitrogen: mean(&|c| c.nitrogen),
        fat: some(&|c| c.fat),
        salt: some(&|c| c.salt),
        sugar: some(&|c| c.sugar),
        ash: some(&|c| c.ash),
    })
}
