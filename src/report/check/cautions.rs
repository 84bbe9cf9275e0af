//! The cautions of a bag or of one scrap, each said once.

use super::View;
use crate::bag::PartId;
use crate::judge::Caution;
use crate::knowledge::ItemId;
use crate::language::Who;
use crate::report::{Ink, Page, words};

impl View<'_> {
    /// Cautions, always, or those of one scrap alone; the last word is the town's.
    pub(in crate::report) fn care(&self, only: Option<usize>, indent: usize, page: &mut Page) {
        let one = only.and_then(|at| self.j.judged.get(at));
        let of_one = |c: &&Caution| one.is_none_or(|j| j.cautions.contains(&c.rule));
        // Of what a word may have meant, only what the question tells: five warnings of a slip help nobody.
        let shown: Vec<(&Caution, Option<ItemId>)> = self
            .j
            .cautions
            .iter()
            .filter(of_one)
            .map(|caution| (caution, self.meant(caution)))
            .filter(|(_, meant)| meant.is_none_or(|item| self.is_told(item)))
            .collect();
        let count = shown.len();
        let mut before = String::new();
        for (i, (caution, meant)) in shown.into_iter().enumerate() {
            let mut names: Vec<String> = Vec::new();
            for (_, s, _) in self
                .pairs()
                .filter(|(_, s, j)| caution.lines.contains(&s.found.line) && j.cautions.contains(&caution.rule))
            {
                names.push(words::clipped(&words::closed(&s.found.thing.text), 30));
            }
            names.dedup();
            let about = if let Some(other) = meant {
                format!("If you meant {}: ", self.home.known.item_name(other))
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

    /// Whether some question tells an item as what its words may mean.
    fn is_told(&self, item: ItemId) -> bool {
        self.pairs().any(|(_, scrap, judged)| {
            let identity = View::identity(scrap, judged);
            identity.is_some_and(|i| self.others(i, judged).iter().any(|(_, other)| other.item == item))
        })
    }

    /// The name within reach that a caution is about, where it is about nothing that was read.
    fn meant(&self, caution: &Caution) -> Option<ItemId> {
        let Who::Scraps(set) = self.home.book.rule(caution.rule)?.subject() else { return None };
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
        other
    }
}
