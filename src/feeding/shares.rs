//! How much of each scrap may go in: caps on classes, as shares of the food that goes in.
//!
//! T is the food that goes in, never the food listed. A scrap of class c gives
//! `x(T) = m * min(1, min over its classes of cap_c(T) / A_c)`, pro rata inside a class, and T* is
//! the greatest T with `sum of x(T) over food = T`. The sum is concave and piecewise linear in T,
//! so one pass over sorted breakpoints finds it.

use crate::bag::Mg;
use crate::feeding::Few;
use smallvec::smallvec;

/// A million: masses of classes are summed in milligrams times parts per million, exactly.
const MILLION: i128 = 1_000_000;

/// What a class may give.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cap {
    /// A share of the food that goes in, parts per million.
    Share(i64),
    /// A mass.
    Mass(Mg),
}

/// A scrap's membership in a capped class.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Member {
    /// The class, by its place in the list of caps.
    pub class: usize,
    /// The share of the scrap's mass that counts in it, parts per million.
    pub ppm: i64,
}

/// A scrap that is to go in.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Offered {
    /// Its mass.
    pub mass: Mg,
    /// Whether it adds up to the food that goes in.
    pub food: bool,
    /// Its classes.
    pub classes: Few<Member>,
}

/// What goes in.
#[derive(Debug, Clone, PartialEq)]
pub struct Shares {
    /// T*, the food that goes in, mg.
    pub food_mg: f64,
    /// For each scrap what it may give, mg, in the order offered.
    pub each_mg: Few<f64>,
    /// For each class whether more is offered than it may give.
    pub over: Few<bool>,
    /// For each class the most it may give, mg.
    pub cap_mg: Few<f64>,
    /// For each class what is offered of it, mg.
    pub offered_mg: Few<f64>,
}

/// A scrap's line: `min(flat, slope * T)`, as fractions of its mass.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Ramp {
    flat: f64,
    slope: f64,
}

/// Shares out what is offered under the caps.
pub fn share_out(offered: &[Offered], caps: &[Cap]) -> Shares {
    let mut sums: Few<i128> = smallvec![0; caps.len()];
    for scrap in offered {
        for member in &scrap.classes {
            if let Some(sum) = sums.get_mut(member.class) {
                *sum += i128::from(scrap.mass.0) * i128::from(member.ppm);
            }
        }
    }
    #[allow(clippy::cast_precision_loss, reason = "a bag weighs far less than 2^53 mg")]
    let offered_mg: Few<f64> = sums.iter().map(|s| *s as f64 / MILLION as f64).collect();
    let ramps: Few<Ramp> = offered.iter().map(|o| ramp(o, caps, &offered_mg)).collect();
    let food_mg = greatest(offered, &ramps);
    let cap_mg: Few<f64> = caps.iter().map(|c| cap_at(*c, food_mg)).collect();
    let each_mg = offered.iter().zip(&ramps).map(|(o, r)| mg(o.mass) * r.at(food_mg)).collect();
    // A milligram of slack, so that a cap that is met exactly is not called exceeded.
    let over = offered_mg.iter().zip(&cap_mg).map(|(a, cap)| *a > cap + 1.0).collect();
    Shares { food_mg, each_mg, over, cap_mg, offered_mg }
}

#[allow(clippy::cast_precision_loss, reason = "a bag weighs far less than 2^53 mg")]
fn mg(mass: Mg) -> f64 {
    mass.0 as f64
}

#[allow(clippy::cast_precision_loss, reason = "a share is at most a million")]
fn cap_at(cap: Cap, food_mg: f64) -> f64 {
    match cap {
        Cap::Share(ppm) => food_mg * (ppm as f64 / 1e6),
        Cap::Mass(mass) => mg(mass),
    }
}

impl Ramp {
    fn at(self, food_mg: f64) -> f64 {
        if self.slope.is_infinite() { self.flat } else { self.flat.min(self.slope * food_mg).max(0.0) }
    }

    fn bend(self) -> f64 {
        if self.slope.is_infinite() {
            0.0
        } else if self.slope > 0.0 {
            self.flat / self.slope
        } else {
            f64::INFINITY
        }
    }
}

fn ramp(offered: &Offered, caps: &[Cap], sums: &[f64]) -> Ramp {
    let mut out = Ramp { flat: 1.0, slope: f64::INFINITY };
    for member in &offered.classes {
        let (Some(cap), Some(sum)) = (caps.get(member.class), sums.get(member.class)) else { continue };
        if *sum <= 0.0 {
            continue;
        }
        #[allow(clippy::cast_precision_loss, reason = "a share is at most a million")]
        match cap {
            Cap::Share(ppm) => out.slope = out.slope.min(*ppm as f64 / 1e6 / sum),
            Cap::Mass(mass) => out.flat = out.flat.min(mg(*mass) / sum),
        }
    }
    out
}

/// The greatest T with `sum of x(T) = T`.
fn greatest(offered: &[Offered], ramps: &[Ramp]) -> f64 {
    // Scraps of the same ramp are summed in whole milligrams first: splitting a line, or another
    // order of lines, cannot change a bit of what follows.
    let mut groups: Few<(Ramp, i64)> = Few::new();
    for (o, r) in offered.iter().zip(ramps).filter(|(o, _)| o.food) {
        match groups.iter_mut().find(|(g, _)| g == r) {
            Some((_, sum)) => *sum = sum.saturating_add(o.mass.0),
            None => groups.push((*r, o.mass.0)),
        }
    }
    groups.sort_by(|(a, ma), (b, mb)| {
        a.bend().total_cmp(&b.bend()).then(a.slope.total_cmp(&b.slope)).then(a.flat.total_cmp(&b.flat)).then(ma.cmp(mb))
    });
    let at = |t: f64| groups.iter().map(|(r, m)| mg(Mg(*m)) * r.at(t)).sum::<f64>();
    let all = at(f64::INFINITY.min(1e300));
    if all <= 0.0 {
        return 0.0;
    }
    // From the right: right of the last bend the sum is flat; the greatest root lies on the last
    // piece [lo, hi] with sum(lo) >= lo.
    let mut bends: Few<f64> = groups.iter().map(|(r, _)| r.bend()).filter(|b| b.is_finite()).collect();
    bends.push(0.0);
    bends.sort_by(|a, b| b.total_cmp(a));
    bends.dedup();
    for lo in bends {
        let here = at(lo);
        let slope: f64 = groups.iter().filter(|(r, _)| r.bend() > lo).map(|(r, m)| mg(Mg(*m)) * r.slope).sum();
        // Rounding of a sum of a few terms: a relative 1e-12.
        if lo > 0.0 && here < lo * (1.0 - 1e-12) {
            continue;
        }
        if slope >= 1.0 - 1e-12 {
            // The sum runs along or above the diagonal up to the next bend, which was tried before
            // and failed only by rounding; the bend itself is then the root.
            return lo.max(here);
        }
        let flat = here - slope * lo;
        return (flat / (1.0 - slope)).max(0.0);
    }
    0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn food(grams: i64, classes: &[usize]) -> Offered {
        Offered {
            mass: Mg(grams * 1000),
            food: true,
            classes: classes.iter().map(|c| Member { class: *c, ppm: 1_000_000 }).collect(),
        }
    }

    fn close(a: f64, b: f64) -> bool {
        (a - b).abs() <= 1.0
    }

    #[test]
    fn a_tenth_is_of_what_goes_in_not_of_what_is_listed() {
        // 900 g free and 500 g of a class that may be a tenth: T = 900 + T/10, so T = 1000.
        let s = share_out(&[food(900, &[]), food(500, &[0])], &[Cap::Share(100_000)]);
        assert!(close(s.food_mg, 1_000_000.0), "{s:?}");
        assert!(close(s.each_mg[1], 100_000.0) && s.over[0]);
    }

    #[test]
    fn alone_in_the_bag_a_share_gives_nothing() {
        let s = share_out(&[food(500, &[0])], &[Cap::Share(100_000)]);
        assert_eq!(s.food_mg, 0.0);
        assert!(s.over[0]);
    }

    #[test]
    fn caps_that_add_up_to_all_let_everything_in() {
        let s = share_out(&[food(500, &[0]), food(500, &[1])], &[Cap::Share(500_000), Cap::Share(500_000)]);
        assert!(close(s.food_mg, 1_000_000.0), "{s:?}");
        assert_eq!(s.over[..], [false, false]);
    }

    #[test]
    fn every_cap_binds_on_its_own() {
        // In both classes: the mass cap of 30 g on 60 g gives half, the share more.
        let s = share_out(&[food(940, &[]), food(60, &[0, 1])], &[Cap::Share(500_000), Cap::Mass(Mg(30_000))]);
        assert!(close(s.each_mg[1], 30_000.0), "{s:?}");
        assert!(close(s.food_mg, 970_000.0));
    }

    #[test]
    fn a_met_cap_is_not_exceeded() {
        let s = share_out(&[food(900, &[]), food(100, &[0])], &[Cap::Share(100_000)]);
        assert_eq!(s.over[..], [false]);
        assert!(close(s.each_mg[1], 100_000.0));
    }
}
