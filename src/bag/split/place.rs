//! Putting a piece where it belongs: a thing of its own, or an amount, states, a part of another.

use super::Splitter;
use super::draft::{Draft, DraftName, Made, either, join, without};
use super::joints::Joint;
use crate::bag::Named;
use crate::bag::amount::{Each, Measure};
use crate::bag::glossary::{self, ARTICLE, COLOUR, DETERMINER, NUMBER, TIMES};
use crate::bag::measure::Measured;
use crate::bag::piece::{Holds, Piece};
use crate::bag::words::{PartId, Said};

impl Splitter<'_> {
    /// Puts a piece where it belongs.
    pub(super) fn place(&mut self, made: Made, words: &[usize], joint: Joint) {
        let joint = match joint {
            Joint::Beside if self.drafts.is_empty() && self.waiting.is_none() => Joint::Start,
            j => j,
        };
        match joint {
            Joint::With => return self.add_with(made, words),
            Joint::Without => return self.add_without(made, words),
            _ => {}
        }
        if made.bracket && self.bracketed(&made, words, joint) {
            return;
        }
        match made.piece.holds {
            Holds::Nothing => self.amount_only(made, joint),
            Holds::States => self.states_only(made, joint),
            Holds::Parts => self.parts_only(made, words, joint),
            Holds::Name => self.named(made, words, joint),
        }
    }

    /// What a bracket may add; true if the piece has been dealt with.
    pub(super) fn bracketed(&mut self, made: &Made, words: &[usize], joint: Joint) -> bool {
        if made.piece.holds != Holds::Name {
            return false;
        }
        let waiting_part = self.waiting.as_ref().is_some_and(|w| w.part.is_some());
        if self.drafts.is_empty() && !waiting_part {
            return !made.piece.known;
        }
        if !made.piece.known {
            return true;
        }
        let measured = self.drafts.last().is_some_and(|d| d.measured.amount.is_some());
        if waiting_part || (made.listed && !measured) {
            return false;
        }
        if joint == Joint::Or && !measured {
            return false;
        }
        if !measured {
            let name =
                self.source.joined(words.get(made.piece.name.0..made.piece.full.1).unwrap_or(&[]), &mut self.spare);
            if let Some(draft) = self.drafts.last_mut() {
                draft.additions.push(name);
            }
        }
        true
    }

    pub(super) fn amount_only(&mut self, made: Made, joint: Joint) {
        if let Some(waiting) = &mut self.waiting {
            if waiting.measured.amount.is_none() {
                waiting.measured = made.m;
            }
            waiting.end = made.end.max(waiting.end);
            return;
        }
        let Some(draft) = self.drafts.last_mut() else {
            if made.m.amount.is_some() || made.m.unit.is_some() {
                self.waiting = Some(Draft { measured: made.m, start: made.start, end: made.end, ..Draft::default() });
            }
            return;
        };
        draft.end = made.end.max(draft.end);
        let (had, new) = (&mut draft.measured, made.m);
        match (had.amount.as_mut(), new.amount) {
            (None, Some(_)) => {
                *had = Measured { unit: new.unit.or(had.unit), each: new.each.or(had.each), ..new };
            }
            // "an egg shell or two"
            (Some(a), Some(b)) if joint == Joint::Or && new.unit.is_none() && b.low > a.low => a.high = Some(b.low),
            (Some(a), Some(b)) if had.each.is_none() && !had.unit.is_some_and(|u| u.unit.is_measured()) => {
                if let Some(unit) = new.measured_unit().filter(|_| a.low > 0.0 && joint != Joint::Or) {
                    let whole = if new.of_each { b.low } else { b.low / a.low };
                    // A volume of chopped food is no size of the pieces; a mass is.
                    if matches!(unit.measure, Measure::Mass(_)) || new.of_each {
                        had.each = Some(Each { amount: whole, unit });
                    }
                }
            }
            _ => {}
        }
    }

    pub(super) fn states_only(&mut self, made: Made, joint: Joint) {
        let said = made.piece.said;
        let vocabulary = self.source.vocabulary;
        if let Some(waiting) = &mut self.waiting {
            waiting.said =
                if joint == Joint::Or { either(vocabulary, waiting.said, said) } else { join(waiting.said, said) };
            waiting.end = made.end.max(waiting.end);
            if waiting.measured.amount.is_none() {
                waiting.measured = made.m;
            }
            return;
        }
        if self.drafts.is_empty() {
            let draft = Draft { measured: made.m, said, start: made.start, end: made.end, ..Draft::default() };
            self.waiting = Some(draft);
            return;
        }
        if made.m.amount.is_some() && made.m.unit.is_some() && joint != Joint::Bracket {
            return;
        }
        let newest = self.drafts.len().saturating_sub(1);
        for (at, draft) in self.drafts.iter_mut().enumerate().rev() {
            if at == newest {
                draft.end = made.end.max(draft.end);
            }
            for name in &mut draft.names {
                let had = name.named.said;
                name.named.said = if joint == Joint::Or { either(vocabulary, had, said) } else { join(had, said) };
            }
            if !draft.paired {
                break;
            }
        }
    }

    pub(super) fn parts_only(&mut self, made: Made, words: &[usize], joint: Joint) {
        let s = self.source;
        let text = s.joined(words.get(made.piece.full.0..made.piece.full.1).unwrap_or(&[]), &mut self.spare);
        let part = made.piece.part;
        // "rind removed", "left whole": a remark on the thing before it.
        let whole = part.is_some_and(|p| s.vocabulary.part_name(p) == "whole");
        if (made.piece.remark || whole) && !self.drafts.is_empty() {
            return;
        }
        if joint == Joint::Beside || joint == Joint::Bracket {
            if let Some(draft) = self.drafts.last_mut() {
                draft.end = made.end.max(draft.end);
                for name in &mut draft.names {
                    if name.named.part.is_none() {
                        name.named.part = part;
                        name.named.full = format!("{} {text}", name.named.name);
                    }
                    name.named.said = join(name.named.said, made.piece.said);
                }
                return;
            }
        }
        let model = self.drafts.iter().rev().find(|d| d.names.iter().any(|n| n.known)).cloned();
        if let Some(model) = model.filter(|_| !matches!(joint, Joint::Start)) {
            let mut names = model.names;
            for name in &mut names {
                name.named.full = format!("{} {text}", name.named.name);
                name.named.part = part;
                if made.piece.said != Said::default() {
                    name.named.said = made.piece.said;
                }
            }
            if joint == Joint::Or && !made.comma {
                if let Some(draft) = self.drafts.last_mut() {
                    draft.names.extend(names);
                    draft.end = made.end;
                    return;
                }
            }
            self.drafts.push(Draft {
                names,
                measured: made.m,
                paired: !made.comma,
                start: made.start,
                end: made.end,
                ..Draft::default()
            });
            return;
        }
        self.settle_waiting_part();
        let mut draft = self.waiting.take().unwrap_or_default();
        if draft.measured.amount.is_none() {
            draft.measured = made.m;
        }
        if draft.names.is_empty() && draft.part.is_none() && draft.end == 0 {
            draft.start = made.start;
        }
        draft.part = part;
        draft.opens = made.of_part.is_some();
        draft.said = join(draft.said, made.piece.said);
        draft.end = made.end;
        // Kept as its name, should none follow.
        draft.names =
            vec![DraftName { named: Named { name: text.clone(), full: text, part, said: draft.said }, known: false }];
        self.waiting = Some(draft);
    }

    /// A waiting part that no name followed is a thing by itself.
    pub(super) fn settle_waiting_part(&mut self) {
        if self.waiting.as_ref().is_some_and(|w| w.part.is_some()) {
            if let Some(mut draft) = self.waiting.take().filter(|w| !w.taken) {
                for name in &mut draft.names {
                    name.named.said = join(name.named.said, draft.said);
                }
                self.drafts.push(draft);
            }
        }
    }

    pub(super) fn settle_waiting(&mut self) {
        let Some(mut draft) = self.waiting.take().filter(|w| !w.taken) else { return };
        for name in &mut draft.names {
            name.named.said = join(name.named.said, draft.said);
        }
        if !draft.names.is_empty() {
            self.drafts.push(draft);
            return;
        }
        if !self.drafts.is_empty() || self.denied {
            return;
        }
        // "2 cups", "leftovers", "2 x 400 g": the words that are there are all there is to go by.
        let words: Vec<usize> = (0..self.source.tokens.len())
            .filter(|i| self.source.token(*i).start >= draft.start && self.source.token(*i).end <= draft.end)
            .filter(|i| self.source.is_word(*i) && !self.source.is(*i, ARTICLE | DETERMINER | NUMBER | TIMES))
            .collect();
        if words.is_empty() {
            return;
        }
        let name = self.source.joined(&words, &mut self.spare);
        if draft.measured.unit.is_some_and(|u| !u.unit.is_measured()) {
            draft.measured.unit = None;
        }
        draft.names.push(DraftName {
            named: Named { name: name.clone(), full: name, part: None, said: draft.said },
            known: false,
        });
        self.drafts.push(draft);
    }

    pub(super) fn named(&mut self, made: Made, words: &[usize], joint: Joint) {
        let s = self.source;
        let mut piece = made.piece;
        let mut m = made.m;
        // In a recipe "softened in hot water" follows the thing; in a plain list it could be a thing.
        let recipe = self.drafts.last().is_some_and(|d| d.measured.amount.is_some() || d.measured.unit.is_some());
        let remark = piece.remark || (piece.cooking && (recipe || words.len() == 1));
        if remark && made.comma && !self.drafts.is_empty() && m.amount.is_none() {
            if piece.said != Said::default() {
                let states = Made { piece: Piece { holds: Holds::States, ..piece }, m: Measured::default(), ..made };
                self.states_only(states, Joint::Comma);
            }
            return;
        }
        let mut leading = without(piece.said, piece.trailing);
        let mut start = made.start;
        let mut paired = matches!(joint, Joint::And | Joint::Or) && !made.comma && !std::mem::take(&mut self.parted);
        let mut also = None;
        let mut fallback_part: Option<(PartId, String)> = None;
        // "White, bleached coffee filters": a colour before a comma speaks of what follows.
        let coloured = |d: &Draft| {
            let word = d.names.first().map_or("", |n| n.named.name.as_str()).to_ascii_lowercase();
            !d.names.iter().any(|n| n.known)
                && d.measured.amount.is_none()
                && glossary::gloss(&word).roles & COLOUR != 0
        };
        if made.comma && self.drafts.len() == 1 && self.drafts.first().is_some_and(coloured) {
            self.drafts.clear();
        }
        if made.comma && self.drafts.is_empty() && self.waiting.as_ref().is_some_and(coloured) {
            self.waiting = None;
        }
        let settles = made.of_part.is_none() && !made.bracket && joint != Joint::Beside;
        if settles && self.waiting.as_ref().is_some_and(|w| w.part.is_some() && !w.opens) {
            self.settle_waiting_part();
        }
        if let Some(waiting) = self.waiting.take() {
            match waiting.part {
                // "ends and pieces from carrots"
                Some(part) if made.of_part.as_ref().is_some_and(Vec::is_empty) => {
                    fallback_part =
                        Some((part, waiting.names.first().map(|n| n.named.name.clone()).unwrap_or_default()));
                    start = waiting.start;
                }
                // "stems and cores of peppers": the waiting part takes this name.
                Some(part) if made.of_part.is_some() => {
                    let mut d = waiting;
                    let name = s.joined(words.get(piece.name.0..piece.name.1).unwrap_or(&[]), &mut self.spare);
                    let full = format!("{name} {}", d.names.first().map_or("", |n| n.named.name.as_str()));
                    d.names = vec![DraftName {
                        named: Named { name, full, part: Some(part), said: join(d.said, piece.said) },
                        known: piece.known,
                    }];
                    self.drafts.push(d);
                    paired = true;
                }
                Some(part) => {
                    let word = waiting.names.first().map(|n| n.named.name.clone()).unwrap_or_default();
                    fallback_part = Some((part, word));
                    piece.said = join(piece.said, waiting.said);
                    if made.bracket {
                        // More names may follow: "peels (potato, carrot)".
                        self.waiting = Some(Draft { taken: true, ..waiting });
                    } else {
                        start = waiting.start;
                    }
                }
                None => {
                    if m.amount.is_none() {
                        m = Measured {
                            unit: waiting.measured.unit.or(m.unit),
                            each: waiting.measured.each.or(m.each),
                            ..waiting.measured
                        };
                    }
                    // "greasy or spicy foods": a state before a name that has one names another kind.
                    if joint == Joint::Or && piece.known {
                        let state = s.text.get(waiting.start..waiting.end).unwrap_or("").trim();
                        let noun = words.get(piece.name.1.saturating_sub(1)).map_or("", |w| s.word(*w));
                        also = Some(format!("{state} {noun}")).filter(|n| s.lexicon.names(n));
                    }
                    piece.said = match joint {
                        _ if also.is_some() => piece.said,
                        Joint::Or => join(either(s.vocabulary, waiting.said, leading), piece.trailing),
                        _ => join(piece.said, waiting.said),
                    };
                    leading = without(piece.said, piece.trailing);
                    start = waiting.start;
                    paired = false;
                }
            }
        }
        let name = s.joined(words.get(piece.name.0..piece.name.1).unwrap_or(&[]), &mut self.spare);
        let mut full = s.joined(words.get(piece.full.0..piece.full.1).unwrap_or(&[]), &mut self.spare);
        if let Some(part_words) = made.of_part.as_ref().filter(|p| !p.is_empty()) {
            let part_text = s.joined(part_words, &mut self.spare);
            full = format!("{full} {part_text}");
        }
        if let Some((part, word)) = fallback_part.filter(|_| piece.part.is_none()) {
            piece.part = Some(part);
            full = format!("{name} {word}");
        }
        let mut name =
            DraftName { named: Named { name, full, part: piece.part, said: piece.said }, known: piece.known };
        if paired && made.of_part.as_ref().is_some_and(|p| !p.is_empty()) {
            self.share_of(&name, joint);
        }
        if paired || joint == Joint::Or {
            self.share_head(&mut name, &piece, words, joint);
        }
        if let Some(draft) = self.drafts.last().filter(|_| paired) {
            // States before the first of a pair speak of both.
            let alike = draft.names.first().is_some_and(|n| n.named.part.is_some() == name.named.part.is_some());
            if name.named.said == Said::default() && m.amount.is_none() && alike {
                name.named.said = draft.leading;
                leading = draft.leading;
            }
        }
        // Examples of what has an amount are part of it.
        if joint == Joint::Such && self.drafts.last().is_some_and(|d| d.measured.amount.is_some()) {
            self.examples = true;
        }
        if self.examples && m.amount.is_none() {
            return;
        }
        if joint == Joint::Or {
            if let Some(draft) = self.drafts.last_mut() {
                draft.names.push(name);
                draft.end = made.end.max(draft.end);
                return;
            }
        }
        if joint == Joint::Such && !piece.known && !words.last().is_some_and(|w| s.lexicon.knows_word(s.word(*w))) {
            return;
        }
        let mut names = vec![name];
        if let Some(also) = also {
            let named = Named { name: also.clone(), full: also, ..Named::default() };
            names.insert(0, DraftName { named, known: true });
        }
        self.drafts.push(Draft { names, measured: m, leading, paired, start, end: made.end, ..Draft::default() });
    }
}
