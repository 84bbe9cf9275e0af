//! Everything: what readiness lost, every finding and every note.

use super::{BAG, View};
use crate::judge::{Finding, Ground, Limit, Verdict};
use crate::knowledge::MassBasis;
use crate::language::Layer;
use crate::report::{Ink, Page, words};

impl View<'_> {
    pub(super) fn full(&self, page: &mut Page) {
        page.blank();
        let share = self.share();
        match self.j.readiness {
            Some(r) => page.row(
                "NOW",
                Ink::Strong,
                BAG,
                &format!("{r} of 100 can go in today as it lies here ({} once all is done)", words::about(share)),
            ),
            None => page.row("NOW", Ink::Strong, BAG, "nothing to weigh"),
        }
        for loss in self.j.ledger.iter().filter(|l| l.points > 0) {
            page.row(
                &format!("{:>6}", format!("-{}", loss.points)),
                Ink::Quiet,
                BAG,
                &words::clipped(&words::closed(&loss.what), 60),
            );
        }
        for (i, scrap, judged) in self.pairs() {
            page.blank();
            let label = words::label(judged.verdict);
            let ink = match judged.verdict {
                Verdict::Feed => Ink::Good,
                Verdict::KeepOut => Ink::Stop,
                _ => Ink::Do,
            };
            let mass = words::grams(scrap.mass.typical.grams());
            let basis = match scrap.mass.basis {
                MassBasis::Stated => "as you wrote",
                MassBasis::Counted => "counted",
                MassBasis::Assumed => "guessed",
            };
            let into = if judged.allowed.0 > 0 && judged.allowed < scrap.mass.typical {
                format!(", {} now", words::grams_at_most(judged.allowed.grams()))
            } else {
                String::new()
            };
            page.row(label, ink, BAG, &format!("{} ({mass} {basis}{into})", self.name(scrap, judged)));
            if judged.own == Verdict::Prepare {
                page.under(BAG, &format!("{}.", self.first(i, judged)));
            }
            for f in judged.findings.iter().chain(&judged.notes) {
                page.under(BAG, &self.in_full(f));
            }
        }
        if !self.j.findings.is_empty() || !self.j.notes.is_empty() {
            page.blank();
            for (i, f) in self.j.findings.iter().chain(&self.j.notes).enumerate() {
                page.row(if i == 0 { "THE BAG" } else { "" }, Ink::Strong, BAG, &self.in_full(f));
            }
        }
        page.blank();
        page.row("THE BIN", Ink::Quiet, BAG, &self.bin());
        let files: Vec<String> = self
            .home
            .book
            .files
            .iter()
            .filter(|f| f.layer != Layer::Base)
            .map(|f| format!("{} ({}, {})", f.name, words::whose(f.layer), words::count(f.rules, "rule")))
            .collect();
        let base: usize = self.home.book.files.iter().filter(|f| f.layer == Layer::Base).map(|f| f.rules).sum();
        let mut all = vec![format!("{} of the trade", words::count(base, "rule"))];
        all.extend(files);
        page.row("THE RULES", Ink::Quiet, BAG, &words::list(&all, "and"));
    }

    /// A finding or note with its rule and reason.
    pub(in crate::report) fn in_full(&self, f: &Finding) -> String {
        let v = self.home.known.vocabulary();
        let what = match &f.ground {
            Ground::KeepOut => "keep it out".to_string(),
            Ground::Needs(s) => format!("needs to be {}", words::states(s, "or", v)),
            Ground::TakeOutPart(id) => format!("take the {} out", self.home.known.item_name(*id)),
            Ground::Allow(a) => words::allowance(a, &self.home.book),
            Ground::Ask(q, _) => q.clone(),
            Ground::Reading => "not read surely".to_string(),
            Ground::With(what) => format!("{what} is not known"),
            Ground::Window(mix, w) => words::mix_window(*mix, w),
            Ground::Pace(a) => format!("all food {}", words::allowance(a, &self.home.book)),
            Ground::Wait => {
                self.until(f).map_or_else(|| "feed nothing yet".to_string(), |u| format!("feed nothing until {u}"))
            }
            Ground::Better(s) => format!("better {}", words::states(s, "or", v)),
            Ground::Welcome => "welcome".to_string(),
            Ground::Advice => "to know".to_string(),
            Ground::Trace(id) => format!("a trace of {} in it", self.home.known.item_name(*id)),
            Ground::WeighIt => "near a limit: weigh it".to_string(),
        };
        let mut text = what;
        if let Some(through) = f.through {
            text.push_str(&format!(" (for the {} in it)", self.home.known.item_name(through)));
        }
        if !f.certain && !f.missing.is_empty() {
            let facts: Vec<&str> = f.missing.iter().map(|m| m.fact.as_str()).collect();
            text.push_str(&format!(", if {}", facts.join(" or ")));
        }
        // Nothing else goes in: "at most 0 g" would read as never.
        let alone = f.limit.as_ref().is_some_and(|l| l.unit == "g" && l.high.is_some_and(|h| h < 0.5));
        if let (Some(m), Some(l), false) = (&f.measured, &f.limit, alone) {
            text.push_str(&format!(": {} against {}", measure(m.value, m.unit), limit(l)));
        }
        if let Some(rule) = self.rule(f) {
            let because = rule.because().map_or_else(|| self.backing(rule), words::sentence);
            text = format!(
                "{} {because} [{}, {}]",
                words::sentence(&words::capital(&text)),
                rule.name,
                words::whose(rule.layer)
            );
            if let Some(other) = self.disagreement(rule) {
                text.push_str(&format!(" {other}"));
            }
        }
        text
    }
}

/// A measured number with its unit.
pub(in crate::report) fn measure(value: f64, unit: &str) -> String {
    match unit {
        "g" => words::grams(value),
        "share" => words::percent(value),
        "cn" => format!("C:N {}", words::number(value)),
        "C" => words::tied(&format!("{} degrees C", words::number(value))),
        "m2" => words::tied(&format!("{} square metres", words::number(value))),
        unit => words::tied(&format!("{} {unit}", words::number(value))),
    }
}

fn limit(l: &Limit) -> String {
    match (l.low, l.high) {
        (Some(low), Some(high)) => format!("{} to {}", measure(low, l.unit), measure(high, l.unit)),
        (Some(low), None) => format!("at least {}", measure(low, l.unit)),
        (None, Some(high)) => format!("at most {}", measure(high, l.unit)),
        (None, None) => "no limit".to_string(),
    }
}
