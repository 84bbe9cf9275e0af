//! What a rule asks: caps, windows, preparations, keeping out.

use super::Check;
use super::conditions::ppm;
use crate::bag::Mg;
use crate::fault::{Fault, Span, nearest};
use crate::language::book::*;
use crate::language::syntax::{self as syn, At};
use crate::language::units::{Dimension, convert};

impl Check<'_> {
    pub(super) fn allowance(&mut self, amount: &At<syn::Amount>) -> Option<Allowance> {
        let a = &amount.value;
        if a.unit == "%" {
            if !(0.0..=100.0).contains(&a.number) {
                self.faults.push(Fault::error(
                    "share-out-of-range",
                    format!("{} % is no share: it is 0 to 100 %", a.number),
                    amount.span,
                ));
                return None;
            }
            return Some(Allowance::Share(ppm(a.number)));
        }
        match convert(a.number, &a.unit) {
            Some((grams, Dimension::Mass)) => Some(Allowance::Mass(Mg::from_grams(grams), a.basis)),
            _ => {
                let near = nearest(&a.unit, ["g", "kg", "oz", "lb", "%"]).map(|n| format!("did you mean `{n}`?"));
                self.faults.push(
                    Fault::error("unknown-unit", format!("`{}` is no unit of mass", a.unit), amount.span)
                        .help(near.unwrap_or_else(|| "write g, kg, oz, lb, or % of the food".into())),
                );
                None
            }
        }
    }

    fn window(&mut self, window: &At<syn::Window>, moisture: bool) -> Option<MixWindow> {
        let w = window.value;
        let scale = if moisture { 100.0 } else { 1.0 };
        if w.low > w.high {
            self.faults.push(
                Fault::error(
                    "range-backwards",
                    format!("this range goes from {} down to {}", w.low, w.high),
                    window.span,
                )
                .help(format!("write {} to {}", w.high, w.low)),
            );
            return None;
        }
        if (moisture && w.high > 100.0) || !w.high.is_finite() {
            self.faults.push(Fault::error("share-out-of-range", "moisture is 0 to 100 %", window.span));
            return None;
        }
        if w.aim.is_some_and(|a| a < w.low || a > w.high) {
            self.faults.push(Fault::error("aim-outside", "the aim lies outside the range", window.span));
            return None;
        }
        Some(MixWindow { low: w.low / scale, high: w.high / scale, aim: w.aim.map(|a| a / scale) })
    }

    pub(super) fn demand(&mut self, demand: &syn::Demand, span: Span, bag: bool) -> Option<Demand> {
        let of_bag =
            matches!(demand, syn::Demand::Moisture(_) | syn::Demand::CarbonToNitrogen(_) | syn::Demand::Wait(_));
        if of_bag != bag && !matches!(demand, syn::Demand::Wait(_)) {
            let (what, help) = if of_bag {
                ("this asks something of the whole bag", "write `about the bag`")
            } else {
                ("this asks something of a scrap, but the rule is about the bag", "say what it is about")
            };
            self.faults.push(Fault::error("demand-does-not-fit", what, span).help(help));
            return None;
        }
        Some(match demand {
            syn::Demand::KeepOut => Demand::KeepOut,
            syn::Demand::Welcome => Demand::Welcome,
            syn::Demand::Needs(states) => Demand::Needs(self.preparations(states, "needs")),
            syn::Demand::Better(states) => Demand::Better(self.preparations(states, "better")),
            syn::Demand::Allow(amount) => Demand::Allow(self.allowance(amount)?),
            syn::Demand::AllowNamed(name) => {
                if name.value != "a little" {
                    let help = nearest(&name.value, ["a little"])
                        .map_or("write `a little`, or `up to 10 % of the food`", |_| "did you mean `a little`?");
                    self.faults.push(
                        Fault::error(
                            "unknown-setting",
                            format!("I do not know the amount `{}`", name.value),
                            name.span,
                        )
                        .help(help),
                    );
                    return None;
                }
                Demand::Allow(Allowance::ALittle)
            }
            syn::Demand::Moisture(w) => Demand::Have(Mix::Moisture, self.window(w, true)?),
            syn::Demand::CarbonToNitrogen(w) => Demand::Have(Mix::CarbonToNitrogen, self.window(w, false)?),
            syn::Demand::Wait(condition) => Demand::Wait(self.when(condition)),
            syn::Demand::Ask(question, answers) => {
                let mut out = Vec::new();
                for (word, demand) in answers {
                    if matches!(demand, syn::Demand::Ask(..)) {
                        self.faults.push(Fault::error("question-in-answer", "an answer cannot ask again", word.span));
                        continue;
                    }
                    out.extend(self.demand(demand, word.span, bag).map(|d| (word.value.clone(), d)));
                }
                Demand::Ask(question.clone(), out)
            }
        })
    }
}

/// A demand that leads to a note and no verdict.
pub(super) fn is_note(demand: &Demand) -> bool {
    matches!(demand, Demand::Better(_) | Demand::Welcome)
}

/// Whether a strict demand is never milder than a lenient one.
pub(super) fn never_milder(strict: &Demand, lenient: &Demand) -> bool {
    match (strict, lenient) {
        (Demand::KeepOut, _) => true,
        (_, l) if is_note(l) => true,
        (Demand::Needs(s), Demand::Needs(l)) => s.iter().all(|q| l.contains(q)) && !s.is_empty(),
        (Demand::Allow(Allowance::Share(s)), Demand::Allow(Allowance::Share(l))) => s <= l,
        (Demand::Allow(Allowance::Mass(s, a)), Demand::Allow(Allowance::Mass(l, b))) => a == b && s <= l,
        _ => false,
    }
}
