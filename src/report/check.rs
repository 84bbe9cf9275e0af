//! The screen of a checked bag: what to do first, what goes in, what goes with it, and why.
//!
//! Only what needs hands is numbered. One scrap alone is answered in three lines. Weights that were
//! guessed are said to be; a starter bin that was taken is named where it matters.

use super::{Ink, Page, Width, words};
use crate::Household;
use crate::bag::{BadLine, Mg, PartId, Reading};
use crate::judge::{Deed, Finding, Ground, Judged, Judgement, Origin, Status, Step, Verdict};
use crate::knowledge::{Composition, Identified, Identity, ItemId, MassBasis, Pace, Role, Scrap};
use crate::language::{Allowance, Basis, Demand, Layer, Mix, Rule, Side, Who};
use std::sync::Arc;

/// Where a label's text begins on the screen of a bag, and on that of a lone scrap.
const BAG: usize = 13;
const LONE: usize = 11;
/// The widest a thing may be for its reason to stand beside it.
const BESIDE: usize = 36;

/// What is asked of the screen.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Asked {
    /// Its width.
    pub width: Width,
    /// Also what readiness lost, every finding and every note.
    pub full: bool,
    /// The bag's file, as the person named it; none if the things were typed.
    pub bag: Option<String>,
}

/// The screen of a bag, without colour.
pub fn screen(j: &Judgement, home: &Household, width: impl Into<Width>, full: bool) -> String {
    page(j, home, &Asked { width: width.into(), full, bag: None }).to_string()
}

/// The screen of a bag.
pub fn page(j: &Judgement, home: &Household, asked: &Asked) -> Page {
    let view = View { j, home };
    let mut page = Page::new(asked.width);
    let bad = view.unreadable();
    if j.scraps.is_empty() && bad.is_empty() {
        let written = j.bag.lines.iter().any(|l| matches!(l.reading, Reading::Things(_)));
        let text =
            if written { "NOTHING IN IT: every line says there is none." } else { "NOTHING IN IT: the list is empty." };
        page.headline(text, Ink::Strong);
        return page;
    }
    match (j.scraps.as_slice(), j.judged.as_slice()) {
        ([scrap], [judged]) if bad.is_empty() => view.lone(scrap, judged, &mut page),
        _ => view.bag(asked, bad, &mut page),
    }
    if asked.full {
        view.full(&mut page);
    }
    page
}

/// A thing to do.
struct Row {
    label: &'static str,
    ink: Ink,
    what: String,
    why: String,
    /// The first scrap it concerns.
    scrap: Option<usize>,
}

/// A judgement with what is needed to put it in words.
#[derive(Clone, Copy)]
pub(super) struct View<'a> {
    pub(super) j: &'a Judgement,
    pub(super) home: &'a Household,
}

impl<'a> View<'a> {
    pub(super) fn rule(&self, f: &Finding) -> Option<&'a Rule> {
        match f.origin {
            Origin::Rule(id) => self.home.book.rule(id),
            Origin::Reading => None,
        }
    }

    pub(super) fn identity(scrap: &'a Scrap, judged: &Judged) -> Option<&'a Identity> {
        scrap.found.identities.get(judged.identity).or_else(|| scrap.found.identities.first()).map(Arc::as_ref)
    }

    pub(super) fn composition(&self, scrap: &Scrap, judged: &Judged) -> Option<Composition> {
        View::identity(scrap, judged).and_then(|i| self.home.known.made_of(i)).map(|c| c.0)
    }

    /// A scrap as its writer wrote it, and what it was taken for if that is not plain.
    pub(super) fn name(&self, scrap: &Scrap, judged: &Judged) -> String {
        let text = words::thing(&scrap.found.thing);
        let Some(identity) = View::identity(scrap, judged) else { return text };
        match (identity.identified, identity.item) {
            (Identified::Likely, Some(item)) if judged.verdict != Verdict::Ask => {
                format!("{text} (read as {})", self.home.known.item_name(item))
            }
            _ => text,
        }
    }

    fn pairs(&self) -> impl Iterator<Item = (usize, &'a Scrap, &'a Judged)> {
        self.j.scraps.iter().zip(&self.j.judged).enumerate().map(|(i, (s, j))| (i, s, j))
    }

    fn step(&self, scrap: usize, deed: Deed) -> Option<(&'a Step, Mg)> {
        self.j
            .steps
            .iter()
            .filter(|s| s.deed == deed)
            .find_map(|s| s.scraps.iter().find(|(i, _)| *i == scrap).map(|(_, mg)| (s, *mg)))
    }

    fn role(&self, scrap: &Scrap, judged: &Judged) -> Role {
        View::identity(scrap, judged)
            .and_then(|i| i.item)
            .and_then(|i| self.home.known.item(i))
            .map_or(Role::Food, |i| i.role)
    }

    /// Lines that could not be read at all.
    fn unreadable(&self) -> Vec<(u32, BadLine)> {
        let bad =
            |l: &crate::bag::Line| if let Reading::Unreadable(b) = l.reading { Some((l.number, b)) } else { None };
        self.j.bag.lines.iter().filter_map(bad).collect()
    }

    // ---- reasons

    /// Why, in one sentence, and that other guides say otherwise.
    pub(super) fn why(&self, f: &Finding) -> String {
        let mut parts = Vec::new();
        if let Ground::Allow(a) | Ground::Pace(a) = &f.ground {
            parts.push(words::sentence(&words::capital(&words::allowance(a, &self.home.book))));
        }
        if let Some(rule) = self.rule(f) {
            match rule.because() {
                Some(text) => parts.push(words::first_sentence(text)),
                None => parts.push(self.backing(rule)),
            }
            if let Some(text) = self.disagreement(rule) {
                parts.push(text);
            }
        }
        parts.join(" ")
    }

    /// Who stands behind a rule that gives no reason.
    fn backing(&self, rule: &Rule) -> String {
        if rule.layer == Layer::Household {
            return "Your own rule.".to_string();
        }
        let voices = super::explain::voices(rule, &self.home.known);
        match voices {
            0 => "Common practice.".to_string(),
            1 => "One publisher says so.".to_string(),
            n => format!("{n} publishers say so."),
        }
    }

    /// In a word, what stricter or milder guides say.
    pub(super) fn disagreement(&self, rule: &Rule) -> Option<String> {
        let text = match (self.j.stance, &rule.strict, &rule.lenient) {
            (Side::Lenient, Some(Demand::KeepOut), _) => "Some guides say never.",
            (Side::Lenient, Some(_), _) => "Some guides are stricter.",
            (Side::Strict, Some(_), Some(_)) => "Other guides are milder.",
            _ if rule.disputed() => "Guides differ.",
            _ => return None,
        };
        Some(text.to_string())
    }

    /// What else the words may have meant.
    pub(super) fn did_you_mean(&self, scrap: &Scrap, judged: &Judged) -> Option<String> {
        let identity = View::identity(scrap, judged)?;
        let verdict_of =
            |i: usize| judged.alternatives.get(i).map(|v| format!(" ({})", words::label(*v))).unwrap_or_default();
        let likely = identity
            .item
            .filter(|_| identity.identified != Identified::Unknown)
            .map(|id| self.home.known.item_name(id).to_string());
        let mut near: Vec<String> = likely.into_iter().collect();
        // What the question is about comes before what is merely as near.
        let reading = judged.findings.iter().filter(|f| f.ground == Ground::Reading);
        let named: Vec<&str> =
            reading.flat_map(|f| &f.missing).flat_map(|m| &m.outcomes).map(|(value, _)| value.as_str()).collect();
        let names = identity.alternatives.iter().map(|a| self.home.known.item_name(a.item));
        let mut others: Vec<(usize, &str)> = names.enumerate().collect();
        others.sort_by_key(|(_, name)| !named.contains(name));
        for (i, name) in others.into_iter().take(3) {
            if !near.iter().any(|n| n == name) {
                near.push(format!("{name}{}", verdict_of(i)));
            }
        }
        near.truncate(3);
        (!near.is_empty()).then(|| words::list(&near, "or"))
    }

    /// Question and answers of a finding that asks.
    fn question(&self, scrap: &Scrap, judged: &Judged, f: &Finding) -> (String, String) {
        let name = words::thing(&scrap.found.thing);
        let outcomes: Vec<String> = f
            .missing
            .iter()
            .flat_map(|m| m.outcomes.iter())
            .map(|(value, v)| format!("{value}: {}", words::outcome(*v)))
            .collect();
        let outcomes = words::sentence(&words::capital(&outcomes.join("; ")));
        match &f.ground {
            Ground::Reading => {
                let identity = View::identity(scrap, judged);
                let near = self.did_you_mean(scrap, judged);
                let known = identity.is_some_and(|i| i.identified != Identified::Unknown);
                match near {
                    Some(near) if known => (format!("{name}: which is it?"), format!("It could be {near}.")),
                    Some(near) => (format!("{name}: I do not know this"), format!("Did you mean {near}?")),
                    None => (
                        format!("{name}: I do not know this"),
                        "Nothing is guessed: say what it is, or leave it out.".to_string(),
                    ),
                }
            }
            Ground::Ask(question, answers) => {
                let demands = self.rule(f).into_iter().flat_map(|r| r.demands(self.j.stance));
                let meant: Vec<String> = demands
                    .filter_map(
                        |d| if let Demand::Ask(q, all) = d { Some(all).filter(|_| q == question) } else { None },
                    )
                    .flatten()
                    .map(|(reply, d)| format!("{reply}: {}", words::demand(d, &self.home.known, &self.home.book)))
                    .collect();
                let why = if meant.is_empty() {
                    format!("Answers: {}.", words::list(answers, "or"))
                } else {
                    words::sentence(&words::capital(&meant.join("; ")))
                };
                (format!("{name}: {question}"), why)
            }
            _ => {
                let facts: Vec<&str> = f.missing.iter().map(|m| m.fact.as_str()).collect();
                let asked = if facts.is_empty() { "how is it?".to_string() } else { format!("{}?", facts.join(", ")) };
                let because = self.rule(f).and_then(|r| r.because()).map(words::first_sentence).unwrap_or_default();
                (
                    format!("{name}: {asked}"),
                    [outcomes, because].iter().filter(|s| !s.is_empty()).cloned().collect::<Vec<_>>().join(" "),
                )
            }
        }
    }

    // ---- things to do

    /// What has to be done to a scrap before it goes in.
    pub(super) fn first(&self, at: usize, judged: &Judged) -> String {
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

    fn limits(judged: &Judged) -> Option<&Finding> {
        judged.findings.iter().find(|f| matches!(f.ground, Ground::Allow(_))).map(Arc::as_ref)
    }

    /// What is held back of a limited scrap, in the unit of its line.
    fn later(&self, at: usize, scrap: &Scrap, judged: &Judged) -> String {
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
        let beside = if weighed || part.contains(" g of ") {
            String::new()
        } else {
            format!(" ({})", words::grams(held.grams()))
        };
        format!("{part}{beside}, back in the freezer")
    }

    /// How much other food a limited scrap needs beside it, g.
    pub(super) fn company(&self, f: &Finding, mass: Mg) -> Option<f64> {
        let Ground::Allow(a) = &f.ground else { return None };
        let Allowance::Share(ppm) = self.home.book.amount(a) else { return None };
        let class = f.measured.as_ref().filter(|m| m.unit == "g").map_or(mass.grams(), |m| m.value.max(mass.grams()));
        #[allow(clippy::cast_precision_loss, reason = "a share is at most a million")]
        let share = *ppm as f64 / 1e6;
        (share > 0.0 && share < 1.0).then(|| class * (1.0 - share) / share)
    }

    fn rows(&self, bad: &[(u32, BadLine)]) -> Vec<Row> {
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
    fn of_the_bag(&self) -> Vec<Row> {
        let mut rows = Vec::new();
        for f in &self.j.findings {
            let because = self.rule(f).and_then(|r| r.because()).map(words::first_sentence);
            let advice = self.rule(f).and_then(|r| r.advice()).map(words::first_sentence);
            let measured = f.measured.as_ref().map(|m| m.value);
            let (label, what, why) = match &f.ground {
                Ground::Pace(_) => {
                    let held = self.j.figures.mass.grams() - self.shown_in().grams();
                    let what = format!(
                        "{} of it all ({}), back in the freezer",
                        words::about(1.0 - self.share()),
                        words::grams(held)
                    );
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
    fn until(&self, f: &Finding) -> Option<String> {
        self.rule(f)?.demands(self.j.stance).find_map(|d| match d {
            Demand::Wait(w) => Some(words::when(w, &self.home.known)),
            _ => None,
        })
    }

    /// The bin that was reckoned with.
    fn bin(&self) -> String {
        let (mass, layer) = self.j.worms;
        let name = self.home.setting.bin.name.as_deref();
        match (layer, name) {
            (Layer::Base, _) => "a starter bin (1 lb of worms; tell me yours)".to_string(),
            (_, Some(name)) => format!("{name} ({} of worms)", words::grams(mass.grams())),
            _ => format!("your bin ({} of worms)", words::grams(mass.grams())),
        }
    }

    /// What goes in of everything but bedding.
    fn shown_in(&self) -> Mg {
        self.pairs().filter(|(_, s, j)| self.role(s, j) != Role::Bedding).map(|(_, _, j)| j.allowed).sum()
    }

    fn share(&self) -> f64 {
        let all: Mg =
            self.pairs().filter(|(_, s, j)| self.role(s, j) != Role::Bedding).map(|(_, s, _)| s.mass.typical).sum();
        if all.0 > 0 { self.shown_in().grams() / all.grams() } else { 1.0 }
    }

    // ---- a bag

    fn bag(&self, asked: &Asked, bad: Vec<(u32, BadLine)>, page: &mut Page) {
        let rows = self.rows(&bad);
        let ink = if rows.is_empty() { Ink::Good } else { Ink::Strong };
        page.headline(&self.headline(&rows), ink);
        page.blank();
        self.numbered(&rows, page);
        self.going_in(page);
        self.with_it(page);
        page.blank();
        if self.shown_in().0 > 0 || rows.iter().any(|r| r.label != "KEEP OUT") {
            self.guessed(page);
        }
        self.figures(page);
        if self.j.stance == Side::Strict {
            page.row("CAREFUL", Ink::Quiet, BAG, "where guides disagree, the careful side was taken");
        }
        if let Some((scrap, judged)) =
            rows.iter().find_map(|r| r.scrap).and_then(|i| Some((self.j.scraps.get(i)?, self.j.judged.get(i)?)))
        {
            let name = View::identity(scrap, judged).map_or("", |i| i.name.as_str());
            let name = words::clipped(name, 40);
            let name = if name.is_empty() { words::thing(&scrap.found.thing) } else { name };
            let mut parts = vec!["forefeed", "explain", &name];
            if let Some(bag) = &asked.bag {
                parts.extend(["--bag", bag]);
            }
            page.row("WHY", Ink::Quiet, BAG, &words::command(&parts));
        }
        self.care(None, BAG, page);
    }

    fn headline(&self, rows: &[Row]) -> String {
        let n = rows.len();
        let bedding = self.j.figures.bedding_g.map_or(0.0, |b| b.value);
        if n == 0 {
            return match self.j.status {
                Status::Wait => "WAIT: the bin is not ready for food.".to_string(),
                _ if bedding >= words::HANDFUL_G / 4.0 => {
                    format!("READY, with {} of dry card under it.", words::handfuls(bedding))
                }
                _ => "READY: all of it can go in.".to_string(),
            };
        }
        if rows.iter().all(|r| r.label == "WAIT") {
            return "WAIT: the bin is not ready for food.".to_string();
        }
        let share = self.share();
        let to_do = words::count(n, "thing");
        if rows.iter().all(|r| r.label == "KEEP OUT") && share <= 0.0 {
            return "NONE OF IT: all of this stays out of the bin.".to_string();
        }
        match words::about(share) {
            "none" => format!("NOT YET: {to_do} to do; nothing can go in before that."),
            "all" => format!("NOT YET: {to_do} to do, then all of it goes in."),
            "hardly any" => format!("NOT YET: {to_do} to do, and hardly any of it goes in."),
            words => format!("NOT YET: {to_do} to do, then {words} goes in."),
        }
    }

    fn numbered(&self, rows: &[Row], page: &mut Page) {
        let columns = page.width().columns();
        let across = rows.iter().map(|r| words::wide(&r.what)).max().unwrap_or(0);
        let fits = |r: &Row| BAG + across + 2 + words::wide(&r.why) <= columns;
        let beside = across <= BESIDE && rows.iter().all(fits);
        let digits = rows.len().to_string().len();
        for (i, row) in rows.iter().enumerate() {
            let label = format!("{:>digits$} {}", i + 1, row.label);
            if row.why.is_empty() {
                page.row(&label, row.ink, BAG, &row.what);
            } else if beside {
                page.pair(&label, row.ink, BAG, &row.what, Some((across + 2, &row.why)));
            } else {
                page.row(&label, row.ink, BAG, &row.what);
                page.under(BAG, &row.why);
            }
        }
    }

    fn going_in(&self, page: &mut Page) {
        let feed: Vec<String> =
            self.pairs().filter(|p| p.2.verdict == Verdict::Feed).map(|(_, s, j)| self.going(s, j)).collect();
        if !feed.is_empty() {
            page.row("GOES IN", Ink::Good, BAG, &words::list_clear(&feed));
        }
    }

    /// A scrap that goes in, with a word on what it is like.
    fn going(&self, scrap: &Scrap, judged: &Judged) -> String {
        let mut words_: Vec<String> = Vec::new();
        if judged.other_stance == Some(Verdict::KeepOut) {
            words_.push("some guides say never".into());
        } else if judged.other_stance.is_some_and(|o| o > judged.verdict) {
            words_.push("some guides are stricter".into());
        }
        let item = View::identity(scrap, judged).and_then(|i| i.item).and_then(|i| self.home.known.item(i));
        match item.filter(|i| i.role == Role::Food).and_then(|i| i.pace) {
            Some(Pace::Slow) => words_.push("slow".into()),
            Some(Pace::Lasts) => words_.push("very slow".into()),
            _ => {}
        }
        for note in &judged.notes {
            match &note.ground {
                Ground::Trace(id) => words_.push(format!("a trace of {} in it", self.home.known.item_name(*id))),
                Ground::WeighIt => words_.push("weigh it: it is near a limit".into()),
                _ => {}
            }
        }
        if !scrap.found.unknown_additions.is_empty() {
            let unknown: Vec<String> = scrap.found.unknown_additions.iter().map(|u| words::clipped(u, 20)).collect();
            words_.push(format!("not known: {}", unknown.join(", ")));
        }
        let name = self.name(scrap, judged);
        if words_.is_empty() { name } else { format!("{name} ({})", words_.join("; ")) }
    }

    /// The wettest things that go in, for the bedding to lie under.
    fn wettest(&self) -> Vec<String> {
        let mut wet: Vec<(f64, String)> = self
            .pairs()
            .filter(|(_, _, j)| j.allowed.0 > 0)
            .filter_map(|(_, s, j)| {
                self.composition(s, j)
                    .zip(View::identity(s, j).and_then(|i| i.item))
                    .map(|(c, item)| (c.water, self.home.known.item_name(item).to_string()))
            })
            .filter(|(water, _)| *water >= 0.9)
            .collect();
        wet.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
        wet.dedup_by(|a, b| a.1 == b.1);
        wet.into_iter().map(|(_, name)| name).take(2).collect()
    }

    fn with_it(&self, page: &mut Page) {
        let figures = &self.j.figures;
        let mut with = Vec::new();
        let over = |f: Option<crate::judge::Figure>, least: f64| f.map(|f| f.value).filter(|g| *g >= least);
        if let Some(g) = over(figures.bedding_g, words::HANDFUL_G / 4.0) {
            let under = self.wettest();
            let under = if under.is_empty() || self.pairs().count() < 3 {
                String::new()
            } else {
                format!(", under the {}", words::list(&under, "and"))
            };
            with.push(format!("{} of dry shredded card ({}){under}", words::handfuls(g), words::grams(g)));
        }
        if let Some(g) = over(figures.water_g, 5.0) {
            let cups = g / 240.0;
            let amount = if cups < 0.4 {
                "a splash".to_string()
            } else if cups < 1.5 {
                "a cup".to_string()
            } else {
                format!("{cups:.0} cups")
            };
            with.push(format!("{amount} of water ({})", words::grams(g)));
        }
        if let Some(g) = over(figures.grit_g, 1.0) {
            with.push(format!("{} of grit: crushed egg shell or sand ({})", words::spoons(g), words::grams(g)));
        }
        if !with.is_empty() {
            page.row("WITH IT", Ink::Good, BAG, &with.join("; "));
        }
    }

    fn guessed(&self, page: &mut Page) {
        let share = self.j.figures.assumed_share;
        let near: Vec<String> = self
            .pairs()
            .filter(|(_, s, j)| {
                s.mass.basis != MassBasis::Stated && j.notes.iter().any(|n| n.ground == Ground::WeighIt)
            })
            .map(|(_, s, _)| words::thing(&s.found.thing))
            .collect();
        let rough = if near.is_empty() {
            "rough is fine for this bag".to_string()
        } else {
            format!("weigh the {}: it is near a limit", words::list(&near, "and"))
        };
        let guessed: Vec<String> = self
            .pairs()
            .filter(|(_, s, _)| s.mass.basis == MassBasis::Assumed)
            .map(|(_, s, _)| words::thing(&s.found.thing))
            .collect();
        if share >= 0.995 {
            page.row("ALL GUESSED", Ink::Quiet, BAG, &format!("you gave no weights; {rough}"));
        } else if share >= 0.005 {
            let names =
                if guessed.len() <= 4 { words::list_clear(&guessed) } else { format!("{} things", guessed.len()) };
            page.row(
                "PART GUESSED",
                Ink::Quiet,
                BAG,
                &format!("{} of the weight: {names}; {rough}", words::about(share)),
            );
        } else if !near.is_empty() {
            page.row("WEIGH", Ink::Quiet, BAG, &rough);
        }
    }

    fn figures(&self, page: &mut Page) {
        let f = &self.j.figures;
        let mut parts = vec![words::grams(f.mass.grams())];
        let bedding = f.bedding_g.map_or(0.0, |b| b.value) >= words::HANDFUL_G / 4.0;
        let water = f.water_g.map_or(0.0, |w| w.value) >= 5.0;
        let what = match (bedding, water) {
            (true, true) => "with the card and water",
            (false, true) => "with the water",
            _ => "with the card",
        };
        if let Some(m) = f.moisture {
            let text = format!("{} water", words::whole_percent(m.value));
            match f.moisture_with.filter(|_| bedding || water) {
                Some(with) => {
                    parts.push(format!("{text} ({} {what}: {})", words::whole_percent(with), words::feel(with)))
                }
                None => parts.push(format!("{text} ({})", words::feel(m.value))),
            }
        }
        if let Some(cn) = f.cn {
            match f.cn_with.filter(|_| bedding) {
                Some(with) if (with - cn.value).abs() >= 1.0 => {
                    parts.push(format!("C:N about {:.0} ({with:.0} {what})", cn.value))
                }
                _ => parts.push(format!("C:N about {:.0}", cn.value)),
            }
        }
        page.row("FIGURES", Ink::Quiet, BAG, &parts.join(", "));
    }

    /// Cautions, always, or those of one scrap alone; the last word is the town's.
    pub(super) fn care(&self, only: Option<usize>, indent: usize, page: &mut Page) {
        let one = only.and_then(|at| self.j.judged.get(at));
        let shown: Vec<_> =
            self.j.cautions.iter().filter(|c| one.is_none_or(|j| j.cautions.contains(&c.rule))).collect();
        let count = shown.len();
        let mut before = String::new();
        for (i, caution) in shown.into_iter().enumerate() {
            let mut names: Vec<String> = Vec::new();
            for (_, s, _) in self
                .pairs()
                .filter(|(_, s, j)| caution.lines.contains(&s.found.line) && j.cautions.contains(&caution.rule))
            {
                names.push(words::clipped(&words::closed(&s.found.thing.text), 30));
            }
            names.dedup();
            let meant = self.meant(caution);
            let about = if let Some(other) = meant {
                format!("If you meant {other}: ")
            } else if names.is_empty() || self.j.scraps.len() == 1 || one.is_some() {
                String::new()
            } else if names.len() > 3 {
                format!(
                    "{} and {} more: ",
                    names.iter().take(2).cloned().collect::<Vec<_>>().join(", "),
                    names.len() - 2
                )
            } else {
                format!("{}: ", words::list(&names, "and"))
            };
            // Several cautions about the same things name them once.
            let about = if about == before {
                String::new()
            } else {
                before.clone_from(&about);
                about
            };
            let end = if i + 1 == count { " Local rules come first." } else { "" };
            let label = if i == 0 { "CARE" } else { "" };
            page.row(label, Ink::Stop, indent, &format!("{about}{}{end}", words::sentence(&caution.text)));
        }
    }

    /// The name within reach that a caution is about, where it is about nothing that was read.
    fn meant(&self, caution: &crate::judge::Caution) -> Option<&'a str> {
        let Who::Scraps(set) = &self.home.book.rule(caution.rule)?.subject else { return None };
        let known = &self.home.known;
        let mut other = None;
        for (_, scrap, judged) in self.pairs().filter(|(_, _, j)| j.cautions.contains(&caution.rule)) {
            let read = scrap.found.identities.iter().filter_map(|i| i.item.map(|item| (item, i.part)));
            let mut all: Vec<(ItemId, Option<PartId>)> = read.collect();
            let mut at = 0;
            all.extend(scrap.found.additions.iter().map(|i| (*i, None)));
            while let Some((id, _)) = all.get(at).copied() {
                let inside = known.item(id).into_iter().flat_map(|i| {
                    i.made_of.main.iter().chain(&i.made_of.some).copied().chain(i.includes.iter().map(|(i, _)| *i))
                });
                let new: Vec<_> =
                    inside.filter(|i| !all.iter().any(|(there, _)| there == i)).map(|i| (i, None)).collect();
                all.extend(new);
                at += 1;
            }
            let holds =
                |id: ItemId, part: Option<PartId>| set.named(id, part.or(known.item(id).and_then(|i| i.usual)), known);
            if all.iter().any(|(id, part)| holds(*id, *part)) {
                return None;
            }
            let near = View::identity(scrap, judged).into_iter().flat_map(|i| &i.alternatives);
            other = other.or(near.map(|a| a.item).find(|id| holds(*id, None)));
        }
        other.map(|id| known.item_name(id))
    }

    // ---- a lone scrap

    fn lone(&self, scrap: &Scrap, judged: &Judged, page: &mut Page) {
        let pace = self.j.findings.iter().find(|f| matches!(f.ground, Ground::Pace(_)));
        let waits = self.j.findings.iter().any(|f| f.ground == Ground::Wait);
        if let (Some(f), Verdict::Feed | Verdict::Prepare) = (pace, judged.own) {
            self.too_much(scrap, judged, f, page);
        } else {
            self.three_lines(scrap, judged, page);
        }
        if waits {
            for row in self.of_the_bag().into_iter().filter(|r| r.label == "WAIT") {
                page.row(row.label, row.ink, LONE, &format!("{}. {}", row.what, row.why));
            }
        }
        if self.j.stance == Side::Strict && judged.other_stance.is_some() {
            page.row("CAREFUL", Ink::Quiet, LONE, "where guides disagree, the careful side was taken");
        }
        self.care(None, LONE, page);
    }

    fn three_lines(&self, scrap: &Scrap, judged: &Judged, page: &mut Page) {
        let name = self.name(scrap, judged);
        let decides = judged.decides().or_else(|| judged.findings.first().map(Arc::as_ref));
        let why = decides.map(|f| self.reason_alone(f)).unwrap_or_default();
        let advice = decides.and_then(|f| self.rule(f)).and_then(|r| r.advice()).map(words::sentence);
        let (label, ink, said, why, deed) = match judged.verdict {
            Verdict::KeepOut => (
                "KEEP OUT",
                Ink::Stop,
                format!("{name}: not in the worm bin."),
                why,
                advice.unwrap_or_else(|| "leave it out of the bin.".into()),
            ),
            Verdict::Ask => {
                let (what, why) =
                    decides.map(|f| self.question(scrap, judged, f)).unwrap_or_else(|| (name.clone(), String::new()));
                ("ASK", Ink::Do, words::sentence(&what), why, self.how_to_answer(scrap, judged, decides))
            }
            Verdict::Limit => {
                let a = View::limits(judged);
                let cap = a.and_then(|f| {
                    if let Ground::Allow(a) = &f.ground { Some(words::allowance(a, &self.home.book)) } else { None }
                });
                let mut deed: Vec<String> = Vec::new();
                if judged.own == Verdict::Prepare {
                    deed.push(format!("{}.", self.first(0, judged)));
                }
                deed.extend(advice);
                if let Some(g) = a.and_then(|f| self.company(f, scrap.mass.typical)) {
                    deed.push(words::capital(&format!("give it about {} of other food.", words::bowls(g))));
                } else if judged.allowed.0 > 0 {
                    deed.push(words::capital(&format!("{}.", self.later(0, scrap, judged))));
                }
                (
                    "A LITTLE",
                    Ink::Do,
                    format!("{name}: {}.", cap.unwrap_or_else(|| "only a little".into())),
                    why,
                    deed.join(" "),
                )
            }
            Verdict::Prepare => {
                let first = self.first(0, judged);
                let deed = advice.unwrap_or_else(|| format!("{first}."));
                ("FIRST", Ink::Do, format!("{name}: {first}, then feed."), why, deed)
            }
            Verdict::Feed => {
                let role = self.role(scrap, judged);
                let said = match role {
                    Role::Bedding => format!("{name}: yes, as bedding."),
                    Role::Grit => format!("{name}: yes, as grit."),
                    _ => format!("{}: yes, as it is.", self.going(scrap, judged)),
                };
                ("GOES IN", Ink::Good, said, self.liked(scrap, judged), self.best(judged))
            }
        };
        page.row(label, ink, LONE, &said);
        if !why.is_empty() {
            page.row("WHY", Ink::Quiet, LONE, &words::capital(&why));
        }
        page.row("DO", Ink::Quiet, LONE, &words::capital(&deed));
    }

    /// A reason without the amount, which the first line has said.
    pub(super) fn reason_alone(&self, f: &Finding) -> String {
        let Some(rule) = self.rule(f) else { return self.why(f) };
        let because = rule.because().map_or_else(|| self.backing(rule), words::sentence);
        [Some(because), self.disagreement(rule)].into_iter().flatten().collect::<Vec<_>>().join(" ")
    }

    pub(super) fn how_to_answer(&self, scrap: &Scrap, judged: &Judged, f: Option<&Finding>) -> String {
        let Some(f) = f else { return "leave it out until you know.".into() };
        let name = View::identity(scrap, judged).map_or("", |i| i.name.as_str());
        match (&f.ground, self.rule(f)) {
            (Ground::Reading, _) if self.did_you_mean(scrap, judged).is_some() => {
                "say which; until then leave it out.".into()
            }
            (Ground::Reading, _) => {
                format!("leave it out, or say what it is in your rules: item {}", words::clipped(name, 30))
            }
            (Ground::Ask(_, answers), Some(rule)) => {
                let item =
                    View::identity(scrap, judged).and_then(|i| i.item).map_or("", |i| self.home.known.item_name(i));
                let reply = answers.first().map_or("yes", String::as_str);
                format!(
                    "leave it out until you know. To answer for good, write in your rules: {}",
                    words::tied(&format!("answer {} for {item} = {reply}", rule.name))
                )
            }
            _ => {
                let fact = f.missing.first().map_or("how it is", |m| m.fact.as_str());
                format!(
                    "write it on the line: \"{}\" or \"not {}\". Until then leave it out.",
                    words::clipped(fact, 30),
                    words::clipped(fact, 30)
                )
            }
        }
    }

    /// Why something goes in.
    pub(super) fn liked(&self, scrap: &Scrap, judged: &Judged) -> String {
        let welcome = judged
            .notes
            .iter()
            .filter(|n| n.ground == Ground::Welcome)
            .find_map(|n| self.rule(n))
            .and_then(|r| r.because());
        if let Some(text) = welcome {
            return words::sentence(text);
        }
        let said =
            View::identity(scrap, judged).and_then(|i| i.item).map(|i| super::explain::said_of(i, &self.home.known));
        match said.map(|s| s.guidance.accept) {
            Some(n) if n > 1 => format!("{n} publishers feed it; no rule is against it."),
            _ => "no rule is against it.".to_string(),
        }
    }

    /// What makes it better still.
    pub(super) fn best(&self, judged: &Judged) -> String {
        let v = self.home.known.vocabulary();
        let frozen = v.names_of(judged.states_yes).contains(&"frozen");
        let mut better: Vec<String> = Vec::new();
        let mut advice: Vec<String> = Vec::new();
        for note in &judged.notes {
            match &note.ground {
                Ground::Better(states) => {
                    let doing = words::verbs(states, "or", v);
                    let doing = if frozen { doing.replace("freeze and thaw", "thaw") } else { doing };
                    if !better.contains(&doing) {
                        better.push(doing);
                    }
                }
                Ground::Advice | Ground::Welcome => {
                    advice.extend(self.rule(note).and_then(|r| r.advice()).map(words::sentence))
                }
                _ => {}
            }
        }
        let mut parts: Vec<String> = advice.into_iter().take(1).collect();
        if !better.is_empty() {
            parts.push(format!("Better still: {}.", better.join("; ")));
        }
        if parts.is_empty() { "Put it in, under the bedding.".to_string() } else { parts.join(" ") }
    }

    /// More than the bin eats: how much now, and what becomes of the rest.
    fn too_much(&self, scrap: &Scrap, judged: &Judged, f: &Finding, page: &mut Page) {
        page.headline(&format!("TOO MUCH AT ONCE for {}.", self.bin()), Ink::Do);
        let weekly =
            matches!(&f.ground, Ground::Pace(a) if matches!(self.home.book.amount(a), Allowance::Mass(_, Basis::Week)));
        let when = if weekly { " in a week, a bowlful at a time" } else { ", a bowlful at a time" };
        let some = words::grams_at_most(judged.allowed.grams());
        page.row("NOW", Ink::Do, LONE, &format!("about {some}{when}"));
        if judged.own == Verdict::Prepare {
            page.row("FIRST", Ink::Do, LONE, &self.first(0, judged));
        }
        let water = self.composition(scrap, judged).map_or(0.0, |c| c.water);
        let bedding = self.j.figures.bedding_g.map_or(0.0, |b| b.value);
        let mut rest = "the rest in bags".to_string();
        if bedding >= words::HANDFUL_G / 2.0 && judged.allowed.0 > 0 {
            // What the bedding is to a soup bowl of this food.
            let each = words::handfuls(bedding * words::BOWL_G / judged.allowed.grams());
            let runs = if water >= 0.85 { "it will run: " } else { "" };
            rest = format!("{rest}; {runs}{each} of card under each bowlful");
        }
        page.row("FREEZE", Ink::Do, LONE, &rest);
        if let Some(text) = self.rule(f).and_then(|r| r.because()) {
            page.row("WHY", Ink::Quiet, LONE, &words::first_sentence(text));
        }
    }

    // ---- everything

    fn full(&self, page: &mut Page) {
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
    pub(super) fn in_full(&self, f: &Finding) -> String {
        let v = self.home.known.vocabulary();
        let what = match &f.ground {
            Ground::KeepOut => "keep it out".to_string(),
            Ground::Needs(s) => format!("needs to be {}", words::states(s, "or", v)),
            Ground::TakeOutPart(id) => format!("take the {} out", self.home.known.item_name(*id)),
            Ground::Allow(a) => words::allowance(a, &self.home.book),
            Ground::Ask(q, _) => q.clone(),
            Ground::Reading => "not read surely".to_string(),
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
pub(super) fn measure(value: f64, unit: &str) -> String {
    match unit {
        "g" => words::grams(value),
        "share" => words::percent(value),
        "cn" => format!("C:N {}", words::number(value)),
        "C" => words::tied(&format!("{} degrees C", words::number(value))),
        "m2" => words::tied(&format!("{} square metres", words::number(value))),
        unit => words::tied(&format!("{} {unit}", words::number(value))),
    }
}

fn limit(l: &crate::judge::Limit) -> String {
    match (l.low, l.high) {
        (Some(low), Some(high)) => format!("{} to {}", measure(low, l.unit), measure(high, l.unit)),
        (Some(low), None) => format!("at least {}", measure(low, l.unit)),
        (None, Some(high)) => format!("at most {}", measure(high, l.unit)),
        (None, None) => "no limit".to_string(),
    }
}
