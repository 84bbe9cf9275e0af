//! The items of a bag's things and of single names.

use super::ladder::Asked;
use super::query::Query;
use super::settle::{confidence_of, in_kind, settle};
use crate::bag::{Bag, Named, Reading, Thing};
use crate::kept::Kept;
use crate::knowledge::{Alternative, Found, Identified, Identity, ItemId, Known, Language, Rung};
use std::cell::RefCell;
use std::sync::Arc;

/// Finds what every thing of a bag is; `language` is the language to prefer, if one was asked for.
pub fn find(bag: &Bag, known: &Known, language: Option<Language>) -> Vec<Found> {
    Finder::new(known, language).find(bag)
}

/// Finds what things are, and keeps what it found of a name for the next time it is written.
#[derive(Debug)]
pub struct Finder<'a> {
    known: &'a Known,
    language: Option<Language>,
    kept: RefCell<Kept<Named, Meant>>,
    /// The names of several words that the end of a line is one letter from.
    near: RefCell<Kept<Box<str>, Near>>,
}

/// Rows of names with what the slip to each costs.
type Near = Arc<[(u32, u32)]>;

/// What a name is taken for, and the things named among the words set aside.
type Meant = (Arc<Identity>, Vec<ItemId>);

/// Names kept: what a few thousand become with parts and states beside them, in a few megabytes.
const MOST_NAMES: usize = 32768;
/// Longer names, in bytes, are not worth keeping.
const LONGEST_KEPT: usize = 64;

impl<'a> Finder<'a> {
    /// Nothing found yet; names of `language` are preferred, if one was asked for.
    pub fn new(known: &'a Known, language: Option<Language>) -> Self {
        Finder {
            known,
            language,
            kept: RefCell::new(Kept::at_most(MOST_NAMES)),
            near: RefCell::new(Kept::at_most(MOST_NAMES)),
        }
    }

    /// Finds what every thing of a bag is.
    pub fn find(&self, bag: &Bag) -> Vec<Found> {
        let mut out = Vec::new();
        for line in &bag.lines {
            let Reading::Things(things) = &line.reading else { continue };
            let first = out.len();
            out.reserve_exact(things.len());
            out.extend(things.iter().map(|thing| self.found(line.number, thing, things)));
            self.look_over_the_whole(&line.text, out.get_mut(first..).unwrap_or_default());
        }
        if self.language.is_none() && out.len() > 1 {
            ask_about_languages(&mut out, self.known);
        }
        out
    }

    /// What one of the things of a line is.
    fn found(&self, line: u32, thing: &Arc<Thing>, things: &[Arc<Thing>]) -> Found {
        let mut additions: Vec<ItemId> = Vec::new();
        let mut unknown_additions = Vec::new();
        let mut identities = Vec::with_capacity(thing.names.len());
        for named in thing.names.iter() {
            let beside = meant_beside(named, things, self.known);
            let (mut identity, mut asides) = self.look(beside.as_ref().unwrap_or(named));
            if beside.is_some() {
                Arc::make_mut(&mut identity).name.clone_from(&named.name);
            }
            if let Some(container) = self.emptied(thing, named) {
                (identity, asides) = container;
            }
            for a in asides {
                if !additions.contains(&a) {
                    additions.push(a);
                }
            }
            identities.push(identity);
        }
        for text in &thing.additions {
            match self.item_of(text) {
                Some(items) => additions.extend(items),
                None => unknown_additions.push(text.clone()),
            }
        }
        let without =
            thing.without.iter().filter_map(|t| self.item_of(t)).flat_map(|i| i.into_iter().take(1)).collect();
        additions.dedup();
        self.take_for_fastened(&mut identities, &mut additions);
        Found { line, thing: Arc::clone(thing), identities, additions, unknown_additions, without }
    }

    /// What one name is taken for, and the things named among the words set aside.
    fn look(&self, named: &Named) -> Meant {
        if let Some(answer) = self.kept.borrow().get(named) {
            return answer.clone();
        }
        let (identity, asides) = look(named, self.known, self.language);
        let answer = (Arc::new(identity), asides);
        if named.name.len() + named.full.len() <= LONGEST_KEPT {
            self.kept.borrow_mut().keep(named.clone(), answer.clone());
        }
        answer
    }

    /// "cardboard w/ tape", "celery (elastic band)": what only fastens a thing can be pulled off it, which
    /// a state says.
    fn take_for_fastened(&self, identities: &mut [Arc<Identity>], additions: &mut Vec<ItemId>) {
        let fastens = |id: ItemId| in_kind(self.known, id, "fastener");
        let Some(state) = self.known.vocabulary().state("stickered").filter(|_| additions.iter().any(|a| fastens(*a)))
        else {
            return;
        };
        if identities.iter().all(|i| i.item.is_some_and(|own| !fastens(own))) {
            additions.retain(|a| !fastens(*a));
            identities.iter_mut().for_each(|i| Arc::make_mut(i).said.yes |= state.bit());
        }
    }

    /// "two empty cartons of soya milk": the carton is meant.
    fn emptied(&self, thing: &Thing, named: &Named) -> Option<Meant> {
        let unit = thing.unit.filter(|u| {
            matches!(u.name, "carton" | "bottle" | "jar" | "can" | "tin" | "box" | "bag" | "packet" | "tub" | "cup")
        })?;
        let state = self.known.vocabulary().state("emptied")?;
        if named.said.yes & state.bit() == 0 {
            return None;
        }
        // "soya milk carton", else "milk carton", else "carton".
        let words: Vec<&str> = named.name.split(' ').collect();
        (0..=words.len()).find_map(|from| {
            let mut name = words.get(from..).unwrap_or(&[]).join(" ");
            if !name.is_empty() {
                name.push(' ');
            }
            name.push_str(unit.name);
            let container = Named { name: name.clone(), full: name, ..named.clone() };
            let (identity, asides) = self.look(&container);
            (identity.rung <= Some(Rung::Normalised) && identity.item.is_some()).then_some((identity, asides))
        })
    }

    /// Adds every name that the words of a line as they were written are one slip away from, where
    /// some of them were guessed at: "vegetable stir dry" reads as dry vegetables and hides a dish.
    fn look_over_the_whole(&self, line: &str, found: &mut [Found]) {
        let guessed = |i: &Arc<Identity>| i.rung > Some(Rung::Normalised);
        if !found.iter().any(|f| f.identities.iter().any(guessed)) {
            return;
        }
        let q = Query::of(&self.known.names, line);
        // An amount and a unit may stand first.
        for from in 0..q.count().saturating_sub(1).min(4) {
            for (row, cost) in self.near(&q, from).iter() {
                let near = self.known.names.row(*row);
                let item = ItemId(near.item);
                for identity in found.iter_mut().flat_map(|f| &mut f.identities).filter(|i| guessed(i)) {
                    if Some(item) != identity.item && !identity.alternatives.iter().any(|a| a.item == item) {
                        let confidence = confidence_of(*cost);
                        let other = Alternative { item, which: near.which, confidence, within_reach: true };
                        Arc::make_mut(identity).alternatives.push(other);
                    }
                }
            }
        }
    }

    fn near(&self, q: &Query, from: usize) -> Near {
        let words = q.f.phrase(from, q.count());
        if let Some(near) = self.near.borrow().get(words) {
            return Arc::clone(near);
        }
        let near: Near = self.known.names.joined_near(q, from).into();
        // An amount seldom comes again.
        if words.len() <= LONGEST_KEPT && !words.starts_with(|c: char| c.is_ascii_digit()) {
            self.near.borrow_mut().keep(words.into(), Arc::clone(&near));
        }
        near
    }

    /// The items that an addition names, the first its own.
    fn item_of(&self, text: &str) -> Option<Vec<ItemId>> {
        let named = Named { name: text.to_string(), full: text.to_string(), ..Named::default() };
        let (identity, asides) = self.look(&named);
        let sure = matches!(identity.identified, Identified::Sure | Identified::Likely);
        identity.item.filter(|_| sure).map(|i| std::iter::once(i).chain(asides).collect())
    }
}

/// What a name stands for beside another thing of its line, if that changes it: "salt and pepper".
fn meant_beside(named: &Named, things: &[Arc<Thing>], known: &Known) -> Option<Named> {
    if things.len() < 2 {
        return None;
    }
    let other = |with: &str| things.iter().flat_map(|t| &*t.names).any(|n| n.name.eq_ignore_ascii_case(with));
    let beside = known.names.lists.beside.iter();
    let meant = beside.filter(|b| b.name.eq_ignore_ascii_case(&named.name)).find(|b| other(&b.with))?;
    Some(Named { name: meant.means.clone(), full: meant.means.clone(), ..named.clone() })
}

/// Where other lines read as another language, an English name that means something else there
/// gets that as an alternative.
fn ask_about_languages(found: &mut [Found], known: &Known) {
    let lines: Vec<(u32, Language)> = found
        .iter()
        .flat_map(|f| f.identities.iter().map(move |i| (f.line, i)))
        .filter(|(_, i)| i.language != Language::En && i.rung.is_some_and(|r| r <= Rung::Normalised))
        .map(|(line, i)| (line, i.language))
        .collect();
    if lines.is_empty() {
        return;
    }
    for f in found {
        for identity in &mut f.identities {
            if identity.language != Language::En || identity.rung.is_none_or(|r| r > Rung::Normalised) {
                continue;
            }
            let q = Query::of(&known.names, &identity.name);
            for language in [Language::Es, Language::De, Language::Fr] {
                if !lines.iter().any(|(line, l)| *l == language && *line != f.line) {
                    continue;
                }
                let Some(hit) = known.names.whole(&q, Some(language), true) else { continue };
                let row = known.names.row(hit.row);
                let item = ItemId(row.item);
                if Some(item) != identity.item && !identity.alternatives.iter().any(|a| a.item == item) {
                    let identity = Arc::make_mut(identity);
                    identity.identified = identity.identified.max(Identified::Likely);
                    identity.confidence = identity.confidence.min(0.8);
                    identity.alternatives.push(Alternative {
                        item,
                        which: row.which,
                        confidence: 0.2,
                        within_reach: true,
                    });
                }
            }
        }
    }
}

/// What one name is taken for, English first.
pub fn identify(named: &Named, known: &Known) -> Identity {
    look(named, known, None).0
}

/// What one name is taken for, names of `language` first.
pub fn identify_in(named: &Named, known: &Known, language: Language) -> Identity {
    look(named, known, Some(language)).0
}

/// What one name is taken for, and the things named among the words set aside.
fn look(named: &Named, known: &Known, language: Option<Language>) -> (Identity, Vec<ItemId>) {
    let names = &known.names;
    let written = if named.name.is_empty() { &named.full } else { &named.name };
    let name = Query::of(names, written);
    let other = named.full != *written;
    let full_query = if other { Some(Query::of(names, &named.full)) } else { None };
    let full = full_query.as_ref().unwrap_or(&name);
    let different = full.count() != name.count() || full.raw(0, full.count()) != name.raw(0, name.count());
    let asked =
        Asked { written, name: &name, full, other: different, part: named.part, said: named.said, language, known };
    let answer = names.climb(&asked);
    settle(answer, named, full, known)
}
