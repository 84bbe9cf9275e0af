//! What joined things share, and what comes with them or without.

use super::Splitter;
use super::draft::{Draft, DraftName, Made, join};
use super::joints::Joint;
use crate::bag::glossary::COLOUR;
use crate::bag::piece::{Holds, Piece};
use crate::bag::tokens::Kind;
use crate::bag::words::{Meaning, PartId, Said, is_plural};

impl Splitter<'_> {
    /// "leaves and stalks from vegetables": the first is a part of the same thing as the second.
    pub(super) fn share_of(&mut self, name: &DraftName, joint: Joint) {
        let s = self.source;
        let Some(draft) = self.drafts.last_mut() else { return };
        for other in &mut draft.names {
            let lower = other.named.name.to_ascii_lowercase();
            let part = s.vocabulary.phrases(&lower).iter().find_map(|p| match p.meaning {
                Meaning::Part(id) if p.rest.is_empty() => Some(id),
                _ => None,
            });
            if other.named.part.is_none()
                && ((part.is_some() && joint == Joint::And) || !other.known)
                && !lower.contains(' ')
            {
                other.named.full = format!("{} {}", name.named.name, other.named.name);
                other.named.name.clone_from(&name.named.name);
                other.named.part = part;
                other.known = name.known;
            }
        }
    }

    /// What two joined names have in common: the part or the head behind the second, the first
    /// word of the first.
    pub(super) fn share_head(&mut self, name: &mut DraftName, piece: &Piece, words: &[usize], joint: Joint) {
        let s = self.source;
        let name_words = words.get(piece.name.0..piece.name.1).unwrap_or(&[]);
        let own_amount = self.drafts.last().is_some_and(|d| d.measured.amount.is_some());
        let Some(draft) = self.drafts.last_mut() else { return };
        // "coffee grinds and filters": the second borrows the first word of the first. "Corn husks and
        // silk", "paper napkins or towels": what by itself is no food is one with the word before it.
        let joined = matches!(joint, Joint::And | Joint::Or);
        if name_words.len() == 1 && (!name.known || joined && !s.lexicon.names_food(&name.named.name)) {
            let first = draft.names.last().map(|n| n.named.full.clone()).unwrap_or_default();
            if let Some((word, _)) = first.split_once(' ') {
                let whole = format!("{word} {}", name.named.name);
                let akin = || s.lexicon.akin(&whole, &first) && !s.lexicon.akin(&name.named.name, &first);
                let named = s.lexicon.names(&whole) && (!name.known || s.lexicon.names_food(&whole) || akin());
                if named {
                    name.named.full.clone_from(&whole);
                    name.named.name = whole;
                    name.known = true;
                }
            }
        }
        let part_words: String = match (piece.part, words.get(piece.name.1..piece.full.1)) {
            (Some(_), Some(behind)) if !behind.is_empty() => s.joined(behind, &mut self.spare),
            _ => String::new(),
        };
        let heads: Vec<String> = (1..=2)
            .filter(|k| name_words.len() > *k)
            .map(|k| s.joined(name_words.get(name_words.len() - k..).unwrap_or(&[]), &mut self.spare))
            .collect();
        let last = name_words.last().filter(|_| name_words.len() > 1 && piece.part.is_none());
        let named_part = last.and_then(|w| s.part_word(&[*w])).filter(|_| name.known);
        let modified = name_words.len() > 1 || piece.full.0 < piece.name.0;
        let mut shared = None;
        for other in &mut draft.names {
            let single = !other.named.name.contains(' ');
            let plural = is_plural(&other.named.name);
            if other.named.part.is_none() && !plural {
                // "chicken and spicy food": no chicken feed.
                let vague = other.known && name.named.name.to_lowercase().ends_with("food");
                let own = vague
                    || name.named.name.split(' ').next().is_some_and(|w| w.eq_ignore_ascii_case(&other.named.name));
                // "milk and paper towel roll": what stands by itself takes no head of another kind.
                let lent = |h: &&String| {
                    let whole = format!("{} {h}", other.named.name);
                    s.lexicon.names(&whole) && (!other.known || s.lexicon.akin(&whole, &name.named.name))
                };
                let head = heads.iter().filter(|_| single && !own).find(lent);
                let colour = s.vocabulary.glossary.gloss(&other.named.name.to_ascii_lowercase()).is(COLOUR);
                if let Some(head) = head.filter(|_| !own_amount || joint == Joint::Or || !other.known) {
                    other.named.name = format!("{} {head}", other.named.name);
                    other.named.full.clone_from(&other.named.name);
                    other.known = true;
                } else if !other.known && (colour || (joint == Joint::Or && modified)) {
                    let head = heads.first().cloned().unwrap_or_else(|| name.named.name.clone());
                    let ends = other.named.name.rsplit(' ').next().is_some_and(|w| w.eq_ignore_ascii_case(&head));
                    if !ends && (name.known || s.lexicon.names(&head)) {
                        other.named.name = format!("{} {head}", other.named.name);
                        other.named.full.clone_from(&other.named.name);
                    }
                }
            }
            // "apple & pear cores": a core is a part, though "pear core" is a name.
            if let Some(part) = named_part.filter(|_| !plural && !own_amount && joint == Joint::And) {
                let word = name_words.last().map_or("", |w| s.word(*w));
                let bare = other.known && other.named.part.is_none() && single;
                if bare && !other.named.name.contains(' ') && s.lexicon.has_part(&other.named.name, part) {
                    other.named.full = format!("{} {word}", other.named.full);
                    other.named.part = Some(part);
                }
            }
            // "orange & lemon peel": the part goes to both, unless the first is plural or counted by itself.
            let has = other.named.name.rsplit(' ').next().is_some_and(|w| w.eq_ignore_ascii_case(&part_words));
            if let (Some(part), None, false) = (piece.part, other.named.part, part_words.is_empty() || has) {
                // "Newspaper and banana peel": paper has none.
                let of_a_kind = s.lexicon.akin(&other.named.name, &name.named.name);
                let may = !other.known || of_a_kind || s.lexicon.has_part(&other.named.name, part);
                if may && !plural && (!own_amount || joint == Joint::Or) {
                    other.named.full = format!("{} {part_words}", other.named.full);
                    let bare = format!("{} {part_words}", other.named.name);
                    if s.lexicon.names(&bare) {
                        other.named.name = bare;
                        other.known = true;
                    } else {
                        other.named.part = Some(part);
                    }
                }
            }
            shared = shared.or(other.named.part.filter(|p| Some(*p) == piece.part && !own_amount && !plural));
            let noun = words.last().is_some_and(|w| matches!(s.lower_word(*w), "leftovers" | "left-overs" | "remains"));
            if noun || other.named.said == Said::default() {
                other.named.said = join(other.named.said, piece.trailing);
            }
        }
        if let Some(part) = shared.filter(|_| joint == Joint::And) {
            self.share_part(part, &part_words);
        }
    }

    /// "Potato, carrot and parsnip peel": the bare names before the second last have that part too.
    fn share_part(&mut self, part: PartId, word: &str) {
        let s = self.source;
        let whole = |d: &Draft| d.measured.amount.is_none() && d.measured.unit.is_none() && d.additions.is_empty();
        for draft in self.drafts.iter_mut().rev().skip(1) {
            let bare = whole(draft);
            let [only] = draft.names.as_mut_slice() else { return };
            let named = &mut only.named;
            let single = only.known && named.part.is_none() && named.said == Said::default() && !is_plural(&named.name);
            if !bare || !single || !s.lexicon.has_part(&named.name, part) {
                return;
            }
            named.full = format!("{} {word}", named.full);
            named.part = Some(part);
        }
    }

    pub(super) fn add_with(&mut self, made: Made, words: &[usize]) {
        let s = self.source;
        // "peels with oil": something comes with a part that no name follows.
        if self.drafts.is_empty() {
            self.settle_waiting_part();
        }
        if self.own_part(&made, words) {
            // "Bread with a mouldy crust" is mouldy; "carrots with chopped tops" are not chopped.
            self.say_of_the_last(s.conditions(made.piece.said));
            if let Some(draft) = self.drafts.last_mut() {
                draft.end = made.end.max(draft.end);
            }
            return;
        }
        let name = match made.piece.holds {
            Holds::Name => self.named_alone(&made, words),
            Holds::Parts if !words.is_empty() => {
                s.joined(words.get(made.piece.full.0..made.piece.full.1).unwrap_or(&[]), &mut self.spare)
            }
            Holds::States => return self.states_only(made, Joint::Comma),
            _ => return,
        };
        let both = self.also_had();
        for draft in self.drafts.iter_mut().rev().take(1 + both) {
            draft.additions.push(name.clone());
        }
        if let Some(draft) = self.drafts.last_mut() {
            draft.end = made.end.max(draft.end);
        }
    }

    /// "lettuce and tomato from a burger": how many things joined with the last one have what comes with it. What
    /// they lay in was on all; what is said by `with`, on the food that is served with it ("carrots and peas with
    /// cheese"), which peels and cores are not.
    fn also_had(&self) -> usize {
        let lexicon = self.source.lexicon;
        let name = |d: &Draft| d.names.first().map(|n| n.named.name.clone()).unwrap_or_default();
        let last = self.drafts.last().map(name).unwrap_or_default();
        let joined = self.drafts.windows(2).rev().take_while(|two| matches!(two, [_, after] if after.paired));
        let whole = |d: &Draft| d.names.iter().all(|n| n.named.part.is_none());
        let served = |before: &Draft| whole(before) && lexicon.akin(&name(before), &last);
        let like = |before: &Draft| !self.by_with || served(before);
        let both = joined.take_while(|two| matches!(two, [before, _] if like(before))).count();
        if self.by_with || both == 0 {
            return both;
        }
        // "carrots, parsnips and sprouts in goose fat": a list that "and" closes lay in it from its start.
        let marks = |from: usize, to: usize| self.source.tokens.iter().filter(move |t| (from..to).contains(&t.start));
        let comma = |before: &Draft, after: &Draft| {
            before.end < after.start && marks(before.end, after.start).all(|t| t.kind == Kind::Comma)
        };
        let listed = self.drafts.get(..self.drafts.len() - both).unwrap_or(&[]).windows(2).rev();
        let listed = listed.take_while(|two| matches!(two, [a, b] if served(a) && comma(a, b)));
        both + listed.count()
    }

    /// "carrots with their tops", "cherries with stones": what comes with a food is a part that it has.
    /// Bones and grounds are other things as often ("soup with bones").
    fn own_part(&self, made: &Made, words: &[usize]) -> bool {
        let s = self.source;
        let (from, to) = made.piece.name;
        let said = made.piece.part.filter(|_| made.piece.holds == Holds::Parts);
        let part = said.or_else(|| s.part_word(words.get(from..to).unwrap_or(&[])));
        let apart = |part: PartId| matches!(s.vocabulary.part_name(part), "bone" | "grounds" | "juice");
        let general = |part: PartId| matches!(s.vocabulary.part_name(part), "end" | "trimmings");
        let Some(last) = self.drafts.last().and_then(|d| d.names.last()) else { return false };
        let meant = if last.known { None } else { s.likely_slip(&last.named.name) };
        let of = meant.as_deref().unwrap_or(&last.named.name);
        // The crust of bread is bread.
        let named = words.get(from..to).filter(|_| made.piece.holds == Holds::Name);
        let same = || matches!(named, Some([one]) if s.lexicon.same(s.word(*one), of));
        let own = |part: PartId| !apart(part) && (s.lexicon.has_part(of, part) || general(part) || same());
        let one = made.m.amount.is_none_or(|a| a.low == 1.0 && a.high.is_none());
        one && s.lexicon.names_food(of) && part.is_some_and(own)
    }

    /// The name of what comes with a thing or not; a part behind it only where that makes a name.
    fn named_alone(&mut self, made: &Made, words: &[usize]) -> String {
        let s = self.source;
        let (from, to) = made.piece.name;
        let whole = s.joined(words.get(from..made.piece.full.1).unwrap_or(&[]), &mut self.spare);
        let alone = s.joined(words.get(from..to).unwrap_or(&[]), &mut self.spare);
        if made.piece.part.is_some() && !s.lexicon.names(&whole) && s.lexicon.names(&alone) { alone } else { whole }
    }

    pub(super) fn add_without(&mut self, made: Made, words: &[usize]) {
        self.denied = true;
        let name = match made.piece.holds {
            Holds::Nothing => return,
            Holds::States => {
                let said = Said { yes: made.piece.said.no, no: made.piece.said.yes };
                let piece = Piece { said, ..made.piece };
                if !self.drafts.is_empty() || self.waiting.is_some() {
                    self.states_only(Made { piece, ..made }, Joint::Comma);
                }
                return;
            }
            _ => self.named_alone(&made, words),
        };
        // "peels, no onions": the peels stay.
        if self.waiting.as_ref().is_some_and(|w| w.part.is_some() && !w.opens && !w.taken) {
            self.settle_waiting_part();
        }
        match self.drafts.last_mut() {
            Some(draft) => {
                draft.without.push(name);
                draft.end = made.end.max(draft.end);
            }
            None => {
                self.waiting = None;
            }
        }
    }
}
