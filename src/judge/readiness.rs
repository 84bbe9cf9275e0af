//! Readiness and where it was lost, in whole points.

use super::conclude::{Settled, mg};
use super::scraps::{Judge, OwnScrap};
use super::{Loss, Verdict};
use crate::bag::Mg;
use crate::feeding::Few;
use crate::knowledge::{Role, Scrap};
use std::rc::Rc;

impl Judge<'_> {
    /// Where readiness was lost.
    pub(super) fn losses(&self, scraps: &[Scrap], settled: &Settled) -> Losses {
        let mut losses = Losses::default();
        let (Some(readiness), total) = (settled.readiness, weighed(scraps, &settled.owns)) else { return losses };
        if readiness == 100 {
            return losses;
        }
        let m = mg(total);
        let mut kept = 0.0;
        let (mut of, mut shares): (Few<Option<usize>>, Few<f64>) = (Few::new(), Few::new());
        for (n, (scrap, own)) in scraps.iter().zip(&settled.owns).enumerate() {
            if is_bedding_in(own) {
                continue;
            }
            let part = half(own) * settled.x_mg.get(n).copied().unwrap_or(0.0);
            kept += part;
            of.push(Some(n));
            shares.push(100.0 * (mg(scrap.mass.typical) - part) / m);
        }
        of.push(None);
        shares.push(100.0 * (1.0 - settled.factor) * kept / m);
        let grams = |at: &Option<usize>| at.and_then(|n| scraps.get(n)).map_or(Mg(0), |s| s.mass.typical);
        let points = largest_remainder(&shares, 100 - readiness, |a, b| {
            let (a, b) = (of.get(a).copied().flatten(), of.get(b).copied().flatten());
            grams(&b).cmp(&grams(&a)).then_with(|| text_of(scraps, a).cmp(text_of(scraps, b)))
        });
        losses.each.resize(scraps.len(), 0);
        for (of, points) in of.into_iter().zip(points) {
            match of {
                Some(n) => losses.each.get_mut(n).into_iter().for_each(|each| *each = points),
                None => losses.bag = points,
            }
        }
        losses
    }
}

/// Half while something must be done first, whole else.
pub(super) fn half(own: &OwnScrap) -> f64 {
    if own.own.verdict() == Verdict::Prepare { 0.5 } else { 1.0 }
}

/// Bedding that goes in stands outside readiness.
pub(super) fn is_bedding_in(own: &OwnScrap) -> bool {
    own.role == Role::Bedding && matches!(own.own.verdict(), Verdict::Feed | Verdict::Prepare)
}

pub(super) fn weighed(scraps: &[Scrap], owns: &[Rc<OwnScrap>]) -> Mg {
    scraps.iter().zip(owns).filter(|(_, o)| !is_bedding_in(o)).map(|(s, _)| s.mass.typical).sum()
}

/// `floor(100 b sum(v x) / sum(m))`, with a milligram of slack; at most 99 while something stands.
pub(super) fn readiness(
    scraps: &[Scrap],
    owns: &[Rc<OwnScrap>],
    x_mg: &[f64],
    factor: f64,
    clean: bool,
) -> Option<u32> {
    let total = weighed(scraps, owns);
    if total.0 <= 0 {
        return None;
    }
    let mut parts: Few<f64> =
        owns.iter().zip(x_mg).filter(|(o, _)| !is_bedding_in(o)).map(|(o, x)| half(o) * x).collect();
    parts.sort_by(f64::total_cmp);
    let share = 100.0 * factor * (parts.iter().sum::<f64>() + 1.0) / mg(total);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 0 and 101")]
    let points = share.floor().clamp(0.0, 100.0) as u32;
    Some(if clean { points } else { points.min(99) })
}

pub(super) fn text_of(scraps: &[Scrap], at: Option<usize>) -> &str {
    at.and_then(|n| scraps.get(n)).map_or("", |s| s.found.thing.text.as_str())
}

/// Points of readiness lost.
#[derive(Debug, Clone, Default)]
pub(super) struct Losses {
    /// To each scrap; empty where nothing is lost.
    pub(super) each: Few<u32>,
    /// To what stands against the bag as a whole.
    pub(super) bag: u32,
}

/// The points that were lost, the most first.
pub(super) fn ledger(scraps: &[Scrap], losses: &Losses) -> Vec<Loss> {
    let each =
        scraps.iter().zip(&losses.each).map(|(s, points)| (s.found.thing.text.as_str(), Some(s.found.line), *points));
    let lost = each.chain([("the bag", None, losses.bag)]).filter(|(_, _, points)| *points > 0);
    let mut ledger: Vec<Loss> =
        lost.map(|(what, line, points)| Loss { what: what.to_string(), line, points }).collect();
    ledger.sort_by(|a, b| b.points.cmp(&a.points).then_with(|| a.line.cmp(&b.line)).then_with(|| a.what.cmp(&b.what)));
    ledger
}

/// Whole points that add up to `total`, by largest remainder; ties in the order of `before`.
pub(super) fn largest_remainder(
    shares: &[f64],
    total: u32,
    before: impl Fn(usize, usize) -> std::cmp::Ordering,
) -> Few<u32> {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "points are 0 to 100")]
    let mut out: Few<u32> = shares.iter().map(|s| (s + 1e-9).floor().clamp(0.0, 100.0) as u32).collect();
    let mut order: Few<usize> = (0..shares.len()).collect();
    let remainder = |n: usize| shares.get(n).map_or(0.0, |s| s - (s + 1e-9).floor());
    order.sort_by(|a, b| {
        let (ra, rb) = (remainder(*a), remainder(*b));
        if (ra - rb).abs() < 1e-9 { before(*a, *b) } else { rb.total_cmp(&ra) }
    });
    let mut left = i64::from(total) - out.iter().map(|p| i64::from(*p)).sum::<i64>();
    for n in order.iter().cycle().take(order.len() * 101) {
        let Some(slot) = out.get_mut(*n) else { continue };
        if left > 0 {
            *slot += 1;
            left -= 1;
        } else if left < 0 && *slot > 0 {
            *slot -= 1;
            left += 1;
        } else if left == 0 {
            break;
        }
    }
    out
}
