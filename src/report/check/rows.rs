//! The things to do, in the order in which hands do them.

use super::View;
use crate::bag::{BadLine, Mg};
use crate::judge::{Deed, Finding, Ground, Judged, Origin, Verdict};
use crate::knowledge::{Role, Scrap};
use crate::language::{Allowance, Demand, Layer, Mix};
use crate::report::{Ink, words};
use std::sync::Arc;

/// A thing to do.
pub(super) struct Row {
    pub(super) label: &'static str,
    pub(super) ink: Ink,
    pub(super) what: String,
    pub(super) why: String,
    /// The first scrap it concerns.
    pub(super) scrap: Option<usize>,
}

impl View<'_> {
    /// What has to be done to a scrap before it goes in.
    pub(in crate::report) fn first(&self, at: usize, judged: &Judged) -> String {
        let v = self.home.known.vocabulary();
        let mut parts = Vec::new();
        if let Some((step, _)) = self.step(at, Deed::Prepare) {
            parts.extend(step.take_out.iter().map(|id| format!("take the {} out", self.home.known.item_name(*id))));
            if !step.states.is_empty() {
                parts.push(words::verbs(&step.states, "and", v));
            }
        }
        if parts.is_empty() {
            for f in &judged.findings {
                match &f.ground {
                    Ground::Needs(states) => parts.push(words::verbs(states, "or", v)),
                    Ground::TakeOutPart(id) => parts.push(format!("take the {} out", self.home.known.item_name(*id))),
                    _ => {}
                }
            }
        }
        let unsure = judged.findings.iter().any(|f| matches!(f.ground, Ground::Needs(_)) && !f.certain);
        let facts: Vec<&str> = judged
            .findings
            .iter()
            .filter(|f| !f.certain)
            .flat_map(|f| f.missing.iter())
            .map(|m| m.fact.as_str())
            .collect();
        let text = words::list(&parts, "and");
        if !unsure {
            text
        } else if facts.is_empty() {
            format!("{text}, to be safe")
        } else {
            format!("{text}, if {}", facts.join(" or "))
        }
    }

    fn prepares(judged: &Judged) -> Option<&Finding> {
        judged.findings.iter().find(|f| matches!(f.ground, Ground::Needs(_) | Ground::TakeOutPart(_))).map(Arc::as_ref)
    }

    pub(super) fn limits(judged: &Judged) -> Option<&Finding> {
        judged.findings.iter().find(|f| matches!(f.ground, Ground::Allow(_))).map(Arc::as_ref)
    }

    /// What is held back of a limited scrap, in the unit of its line.
    pub(super) fn later(&self, at: usize, scrap: &Scrap, judged: &Judged) -> String {
        let mass = scrap.mass.typical;
        if judged.allowed.0 <= 0 {
            let needed = View::limits(judged).and_then(|f| self.company(f, mass));
            let name = self.name(scrap, judged);
            return match needed {
                Some(g) => {
                    format!("{name}: needs about {} of other food with it ({})", words::bowls(g), words::grams(g))
                }
                None => format!("{name}, back in the freezer"),
            };
        }
        let held = self.step(at, Deed::HoldBack).map_or(Mg(mass.0 - judged.allowed.0), |(_, mg)| mg);
        let share = if mass.0 > 0 { held.grams() / mass.grams() } else { 1.0 };
        let part = words::part_of(&scrap.found.thing, share.clamp(0.0, 1.0), mass);
        let weighed = scrap.found.thing.unit.is_some_and(|u| matches!(u.measure, crate::bag::Measure::Mass(_)));
        let grams = words::grams(held.grams().max(1.0));
        let beside = if weighed || part.contains(&grams) { String::new() } else { format!(" ({grams})") };
        format!("{part}{beside}, back in the freezer")
    }

    /// How much other food a limited scrap needs beside it, g.
    pub(in crate::report) fn company(&self, f: &Finding, mass: Mg) -> Option<f64> {
        let Ground::Allow(a) = &f.ground else { return None };
        let Allowance::Share(ppm) = self.home.book.amount(a) else { return None };
        let class = f.measured.as_ref().filter(|m| m.unit == "g").map_or(mass.grams(), |m| m.value.max(mass.grams()));
        #[allow(clippy::cast_precision_loss, reason = "a share is at most a million")]
        let share = *ppm as f64 / 1e6;
        (share > 0.0 && share < 1.0).then(|| class * (1.0 - share) / share)
    }

    pub(super) fn rows(&self, bad: &[(u32, BadLine)]) -> Vec<Row> {
        let mut rows: Vec<(Option<(Origin, String)>, Row)> = Vec::new();
        for (i, scrap, judged) in self.pairs().filter(|p| p.2.own == Verdict::KeepOut) {
            let Some(f) = judged.findings.first() else { continue };
            let row = Row {
                label: "KEEP OUT",
                ink: Ink::Stop,
                what: self.name(scrap, judged),
                why: self.why(f),
                scrap: Some(i),
            };
            rows.push((Some((f.origin, String::new())), row));
        }
        for (line, why) in bad {
            let why = match why {
                BadLine::NotUtf8 => "It is not text (UTF-8). Nothing of it was judged.",
                BadLine::TooLong => "It is longer than 64 KiB. Nothing of it was judged.",
            };
            let row = Row {
                label: "ASK",
                ink: Ink::Do,
                what: format!("line {line} cannot be read"),
                why: why.to_string(),
                scrap: None,
            };
            rows.push((None, row));
        }
        for (i, scrap, judged) in self.pairs().filter(|p| p.2.own == Verdict::Ask) {
            let Some(f) = judged.findings.first() else { continue };
            let (what, why) = self.question(scrap, judged, f);
            rows.push((None, Row { label: "ASK", ink: Ink::Do, what, why, scrap: Some(i) }));
        }
        for (i, scrap, judged) in self.pairs().filter(|p| p.2.own == Verdict::Prepare) {
            let Some(f) = View::prepares(judged).or_else(|| judged.findings.first().map(Arc::as_ref)) else { continue };
            let key = (f.origin, self.first(i, judged));
            let row =
                Row { label: "FIRST", ink: Ink::Do, what: self.name(scrap, judged), why: self.why(f), scrap: Some(i) };
            rows.push((Some(key), row));
        }
        for (i, scrap, judged) in self.pairs().filter(|p| p.2.verdict == Verdict::Limit) {
            let Some(f) = View::limits(judged).or_else(|| judged.findings.first().map(Arc::as_ref)) else { continue };
            let key = (judged.allowed.0 > 0).then(|| (f.origin, "LATER".to_string()));
            let row = Row {
                label: "LATER",
                ink: Ink::Do,
                what: self.later(i, scrap, judged),
                why: self.why(f),
                scrap: Some(i),
            };
            rows.push((key, row));
        }
        let mut out: Vec<(Option<(Origin, String)>, Row)> = Vec::new();
        for (key, row) in rows {
            match out.iter_mut().find(|(k, r)| k.is_some() && *k == key && r.label == row.label) {
                Some((_, r)) => {
                    let joined =
                        if row.label == "LATER" { r.what.replace(", back in the freezer", "") } else { r.what.clone() };
                    r.what = format!("{joined}, {}", row.what);
                }
                None => out.push((key, row)),
            }
        }
        let doing = |(key, mut row): (Option<(Origin, String)>, Row)| {
            if let Some((_, deed)) = key.filter(|_| row.label == "FIRST") {
                row.what = format!("{}: {deed}", row.what);
            }
            row
        };
        let mut rows: Vec<Row> = out.into_iter().map(doing).collect();
        rows.extend(self.of_the_bag());
        rows
    }

    /// The findings of the whole bag as things to do.
    pub(super) fn of_the_bag(&self) -> Vec<Row> {
        let mut rows = Vec::new();
        for f in &self.j.findings {
            let because = self.rule(f).and_then(|r| r.because()).map(words::first_sentence);
            let advice = self.rule(f).and_then(|r| r.advice()).map(words::first_sentence);
            let measured = f.measured.as_ref().map(|m| m.value);
            let (label, what, why) = match &f.ground {
                Ground::Pace(_) => {
                    let held = self.j.figures.mass.grams() - self.shown_in().grams();
                    let what = match words::about(1.0 - self.share()) {
                        "hardly any" => format!("about {} of it all", words::grams(held)),
                        share => format!("{share} of it all ({})", words::grams(held)),
                    };
                    let what = format!("{what}, back in the freezer");
                    ("LATER", what, format!("More than {} eats at once.", self.bin()))
                }
                Ground::Window(Mix::Moisture, w) => {
                    let wet = measured.is_none_or(|m| m > w.high);
                    let state = if wet { "too wet" } else { "too dry" };
                    let at = measured.map(|m| format!(" at {} water", words::whole_percent(m))).unwrap_or_default();
                    (
                        "FIRST",
                        format!(
                            "the mix is {state}{at}: {}",
                            advice.unwrap_or_else(|| if wet {
                                "add drier things".into()
                            } else {
                                "add wetter things".into()
                            })
                        ),
                        because.unwrap_or_default(),
                    )
                }
                Ground::Window(Mix::CarbonToNitrogen, w) => {
                    let rich = measured.is_none_or(|m| m < w.low);
                    let at = measured.map(|m| format!(" (C:N {})", words::number(m.round()))).unwrap_or_default();
                    let what = if rich { "add dry card or leaves" } else { "add greener things" };
                    let state = if rich { "too rich" } else { "too lean" };
                    (
                        "FIRST",
                        format!("the mix is {state}{at}: {}", advice.unwrap_or_else(|| what.into())),
                        because.unwrap_or_default(),
                    )
                }
                Ground::Wait => {
                    let what = self
                        .until(f)
                        .map_or_else(|| "feed nothing yet".to_string(), |u| format!("feed nothing until {u}"));
                    ("WAIT", what, because.or(advice).unwrap_or_default())
                }
                _ => continue,
            };
            rows.push(Row { label, ink: Ink::Do, what, why, scrap: None });
        }
        rows
    }

    /// What a waiting finding waits for.
    pub(super) fn until(&self, f: &Finding) -> Option<String> {
        self.rule(f)?.demands(self.j.stance).find_map(|d| match d {
            Demand::Wait(w) => Some(words::when(w, &self.home.known)),
            _ => None,
        })
    }

    /// The bin that was reckoned with.
    pub(super) fn bin(&self) -> String {
        let (mass, layer) = self.j.worms;
        let name = self.home.setting.bin.name.as_deref();
        match (layer, name) {
            (Layer::Base, _) => "a starter bin (1 lb of worms; tell me yours)".to_string(),
            (_, Some(name)) => format!("{name} ({} of worms)", words::grams(mass.grams())),
            _ => format!("your bin ({} of worms)", words::grams(mass.grams())),
        }
    }

    /// What goes in of everything but bedding.
    pub(super) fn shown_in(&self) -> Mg {
        self.pairs().filter(|(_, s, j)| self.role(s, j) != Role::Bedding).map(|(_, _, j)| j.allowed).sum()
    }

    pub(super) fn share(&self) -> f64 {
        let all: Mg =
            self.pairs().filter(|(_, s, j)| self.role(s, j) != Role::Bedding).map(|(_, s, _)| s.mass.typical).sum();
        if all.0 > 0 { self.shown_in().grams() / all.grams() } else { 1.0 }
    }
}
