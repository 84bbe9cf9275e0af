//! The screen of a checked bag: what to do first, what goes in, what goes with it, and why.
//!
//! Only what needs hands is numbered. One scrap alone is answered in three lines. Weights that were
//! guessed are said to be; a starter bin that was taken is named where it matters.

mod bag;
mod cautions;
mod full;
mod lone;
mod reasons;
mod rows;

use super::{Ink, Page, Width, words};
use crate::Household;
use crate::bag::{BadLine, Mg, Reading, Said};
use crate::judge::{Deed, Finding, Ground, Judged, Judgement, Origin, Step, Verdict};
use crate::knowledge::{Composition, Identified, Identity, Role, Scrap};
use crate::language::Rule;
use std::borrow::Cow;
use std::sync::Arc;

/// Where a label's text begins on the screen of a bag.
const BAG: usize = 13;

/// Where it begins on that of a lone scrap.
const LONE: usize = 11;

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
    let j = &*asked_first(j);
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

/// A judgement as it is told to a person: what is kept out only for what it may perhaps be is asked
/// about. Nobody warns of quorkle, which may be a cockle.
pub(in crate::report) fn asked_first(j: &Judgement) -> Cow<'_, Judgement> {
    let mut told = Cow::Borrowed(j);
    for (at, (scrap, judged)) in j.scraps.iter().zip(&j.judged).enumerate() {
        let reading = judged.findings.iter().position(|f| f.ground == Ground::Reading);
        if let Some(reading) = reading.filter(|_| judged.own == Verdict::KeepOut && View::by_name_alone(scrap, judged))
        {
            if let Some(judged) = told.to_mut().judged.get_mut(at) {
                judged.findings.swap(0, reading);
                (judged.own, judged.verdict) = (Verdict::Ask, Verdict::Ask);
            }
        }
    }
    told
}

/// A judgement with what is needed to put it in words.
#[derive(Clone, Copy)]
pub(in crate::report) struct View<'a> {
    pub(in crate::report) j: &'a Judgement,
    pub(in crate::report) home: &'a Household,
}

impl<'a> View<'a> {
    pub(in crate::report) fn rule(&self, f: &Finding) -> Option<&'a Rule> {
        match f.origin {
            Origin::Rule(id) => self.home.book.rule(id),
            Origin::Reading => None,
        }
    }

    pub(in crate::report) fn identity(scrap: &'a Scrap, judged: &Judged) -> Option<&'a Identity> {
        scrap.found.identities.get(judged.identity).or_else(|| scrap.found.identities.first()).map(Arc::as_ref)
    }

    /// Whether all that is held against a scrap is a name that it may not have.
    fn by_name_alone(scrap: &Scrap, judged: &Judged) -> bool {
        let unsure = View::identity(scrap, judged).filter(|i| i.identified == Identified::Unsure);
        unsure.is_some_and(|i| i.said == Said::default()) && scrap.found.additions.is_empty()
    }

    pub(in crate::report) fn composition(&self, scrap: &Scrap, judged: &Judged) -> Option<Composition> {
        View::identity(scrap, judged).and_then(|i| self.home.known.made_of(i)).map(|c| c.0)
    }

    /// A scrap as its writer wrote it, and what it was taken for if that is not plain.
    pub(in crate::report) fn name(&self, scrap: &Scrap, judged: &Judged) -> String {
        let text = words::thing(&scrap.found.thing);
        let Some(identity) = View::identity(scrap, judged) else { return text };
        match (identity.identified, identity.item) {
            (Identified::Likely, Some(item)) if judged.verdict != Verdict::Ask => {
                let v = self.home.known.vocabulary();
                let part = identity.part.map(|part| v.part_name(part)).filter(|part| *part != "whole");
                let part = part.map_or_else(String::new, |part| format!(" {part}"));
                format!("{text} (read as {}{part})", self.home.known.item_name(item))
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
}
