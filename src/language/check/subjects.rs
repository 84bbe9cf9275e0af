//! What a rule speaks of: kinds, items, parts, and kinds of the household's own.

use super::Check;
use crate::bag::{self, Named, PartId};
use crate::fault::{Fault, nearest};
use crate::knowledge::{self, Identified, ItemId, KindId, Known, Rung, names};
use crate::language::book::*;
use crate::language::syntax::{self as syn, Block, Phrase};

/// The item that a phrase names without any guessing.
pub(super) fn names_it(phrase: &str, known: &Known) -> Option<ItemId> {
    if let Some(id) = known.item_named(phrase) {
        return Some(id);
    }
    let named = Named { name: phrase.to_string(), full: phrase.to_string(), ..Named::default() };
    let identity = names::identify(&named, known);
    let surely = identity.identified == Identified::Sure
        && matches!(identity.rung, Some(Rung::Exact | Rung::OtherName | Rung::Normalised));
    identity.item.filter(|_| surely && identity.part.is_none())
}

pub(super) fn unknown_name(p: &Phrase, known: &Known) -> Fault {
    let all = known.kinds().map(|(_, k)| k.name.as_str()).chain(known.items().map(|(_, i)| i.name.as_str()));
    let near = nearest(&p.value, all).map(|n| format!("did you mean `{n}`?")).or_else(|| as_in_a_bag(&p.value, known));
    let otherwise = format!("`forefeed items` lists what I know; `item {}` on a line of its own adds it", p.value);
    Fault::error("unknown-name", format!("I do not know `{}`", p.value), p.span).help(near.unwrap_or(otherwise))
}

/// What a phrase that names nothing by itself would be read as in a bag, as a rule says it: the thing
/// with its part under its own name, the states in a `when`.
fn as_in_a_bag(phrase: &str, known: &Known) -> Option<String> {
    let found = knowledge::find(&bag::read(phrase, known), known, None);
    let [one] = found.as_slice() else { return None };
    let identity = one.identities.first().filter(|i| i.identified <= Identified::Likely && i.confidence > 0.9)?;
    let vocabulary = known.vocabulary();
    let part = identity.part.map(|part| format!(" {}", vocabulary.part_name(part)));
    let subject = format!("{}{}", known.item_name(identity.item?), part.unwrap_or_default());
    let said = vocabulary.names_of(identity.said.yes).into_iter().map(str::to_string);
    let denied = vocabulary.names_of(identity.said.no).into_iter().map(|state| format!("not {state}"));
    let states: Vec<String> = said.chain(denied).collect();
    match states.is_empty() {
        true if subject == phrase => None,
        true => Some(format!("did you mean `{subject}`?")),
        false => Some(format!("write `about {subject}`, and below it `when {}`", states.join(" and "))),
    }
}

impl Check<'_> {
    pub(super) fn groups(&mut self, files: &[&syn::File]) {
        let mut blocks: Vec<&syn::KindBlock> = Vec::new();
        for block in files.iter().flat_map(|f| &f.blocks) {
            if let Block::Kind(kind) = block {
                let name = &kind.name.value;
                if let Some(first) = blocks.iter().find(|b| b.name.value == *name) {
                    self.faults.push(
                        Fault::error("doubled-kind", format!("two kinds are called `{name}`"), kind.name.span)
                            .also(first.name.span, "the first one")
                            .help("give one another name"),
                    );
                    continue;
                }
                if self.known.kind_named(name).is_some() || names_it(name, self.known).is_some() {
                    self.faults.push(
                        Fault::error("hides-built-in", format!("`{name}` is known already"), kind.name.span)
                            .help("give it a name of its own"),
                    );
                    continue;
                }
                self.aliases.insert(name.clone(), kind.subject.clone());
                blocks.push(kind);
            }
        }
        for kind in blocks {
            let set = self.subject_within(&kind.subject, &mut vec![kind.name.value.clone()]);
            self.groups.push((kind.name.value.clone(), set, kind.name.span));
        }
    }

    pub(super) fn subject(&mut self, subject: &syn::Subject) -> SubjectSet {
        self.subject_within(subject, &mut Vec::new())
    }

    fn subject_within(&mut self, subject: &syn::Subject, path: &mut Vec<String>) -> SubjectSet {
        let terms = subject.terms.iter().filter_map(|t| self.term(t, path)).collect();
        let except = subject.except.iter().filter_map(|t| self.term(t, path)).collect();
        SubjectSet { terms, except }
    }

    fn term(&mut self, term: &syn::Term, path: &mut Vec<String>) -> Option<SubjectTerm> {
        match term {
            syn::Term::AnyFood(_) => Some(SubjectTerm::AnyFood),
            syn::Term::AnyScrap(_) => Some(SubjectTerm::AnyScrap),
            syn::Term::TheBag(span) => {
                self.faults.push(
                    Fault::error("bag-among-scraps", "`the bag` stands alone", *span)
                        .help("a rule is about scraps or about the bag, not both"),
                );
                None
            }
            syn::Term::Named(phrase) => self.named(phrase, path),
        }
    }

    /// A name as a subject: a group, a kind, an item, "part of X" or "X part".
    pub(super) fn named(&mut self, phrase: &Phrase, path: &mut Vec<String>) -> Option<SubjectTerm> {
        let name = phrase.value.as_str();
        if let Some(alias) = self.aliases.get(name).cloned() {
            if path.iter().any(|p| p == name) {
                self.faults.push(
                    Fault::error("kind-in-itself", format!("the kind `{name}` contains itself"), phrase.span)
                        .help("take it out of its own list"),
                );
                return None;
            }
            path.push(name.to_string());
            let set = self.subject_within(&alias, path);
            path.pop();
            return Some(SubjectTerm::Group(name.to_string(), Box::new(set)));
        }
        if let Some(term) = self.thing(name, None) {
            return Some(term);
        }
        let vocabulary = self.known.vocabulary();
        let part_of = |word: &str| -> Option<PartId> {
            vocabulary.parts().find(|(_, p)| p.name == word || p.words.iter().any(|w| w == word)).map(|(id, _)| id)
        };
        let split = name.split_once(" of ").map(|(p, n)| (n, p)).or_else(|| name.rsplit_once(' '));
        if let Some((rest, part)) = split {
            if let Some(part) = part_of(part) {
                if let Some(term) = self.thing(rest, Some(part)) {
                    return Some(term);
                }
            }
        }
        let mut fault = unknown_name(phrase, self.known);
        if let Some(near) = nearest(name, self.aliases.keys().map(String::as_str)) {
            fault = fault.help(format!("did you mean `{near}`?"));
        }
        self.faults.push(fault);
        None
    }

    /// A kind or an item by name; an item that is a kind's own namesake stands for the kind.
    pub(super) fn thing(&self, name: &str, part: Option<PartId>) -> Option<SubjectTerm> {
        let kind = |id: KindId| SubjectTerm::Kind(id, part);
        if let Some(id) = self.known.kind_named(name) {
            return Some(kind(id));
        }
        let item = names_it(name, self.known)?;
        match self.known.kind_named(self.known.item_name(item)) {
            Some(id) if self.known.kinds_of(item).contains(&id) => Some(kind(id)),
            _ => Some(SubjectTerm::Item(item, part)),
        }
    }
}
