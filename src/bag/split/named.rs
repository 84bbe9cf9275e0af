//! Making a thing of its own out of a piece that holds a name.

use super::Splitter;
use super::draft::{Draft, DraftName, Made, either, join, without};
use super::joints::Joint;
use crate::bag::Named;
use crate::bag::glossary::{ADVERB, AND, ARTICLE, COLOUR, LABEL, PLAIN, SHARE, SIZE, VAGUE};
use crate::bag::measure::Measured;
use crate::bag::piece::{Holds, Piece};
use crate::bag::tokens::Kind;
use crate::bag::words::{PartId, Said};

/// What is never by itself on a plate.
const SPREADS: &[&str] = &["dairy", "oil", "sauce"];

impl Splitter<'_> {
    /// "Broccoli, yellow", "bananas, black", "peppers, red and yellow": a colour alone behind a known
    /// thing speaks of it, and may say how old it is.
    pub(super) fn colour_of_the_last(&mut self, made: &Made, words: &[usize], joint: Joint) -> bool {
        let s = self.source;
        let [at] = *words else { return false };
        let joins = |i: usize| s.is(i, AND) || s.token(i).kind == Kind::Amp;
        // "apples, green and red peppers"
        let shared = joins(at + 1) && s.is(at + 2, COLOUR) && s.is_word(at + 3) && !joins(at + 3);
        let word = s.lower_word(at);
        // "Pineapple, orange" are two things; who writes of greens writes the plural.
        let thing = word != "green" && s.lexicon.names(word);
        let colour = s.is(at, COLOUR) && !thing;
        if !colour || made.m.amount.is_some() || shared {
            return false;
        }
        // The white of an egg is a part of it, that of a newspaper is none.
        let of = self.drafts.last().and_then(|d| d.names.last()).map_or("", |n| n.named.name.as_str());
        if made.piece.part.is_some_and(|part| s.lexicon.has_part(of, part)) {
            return false;
        }
        let Some(draft) = self.drafts.last_mut().filter(|d| d.names.iter().all(|n| n.known)) else { return false };
        let before = at.saturating_sub(2);
        let goes_on = joint == Joint::And && s.is(before, COLOUR) && draft.end <= s.token(before).start;
        if !(goes_on || joint == Joint::Comma && made.comma) {
            return false;
        }
        let (_, label) = s.phrase_at(at, at + 1);
        for name in &mut draft.names {
            let head = name.named.name.rsplit(' ').next().unwrap_or_default().to_lowercase();
            if s.vocabulary.glossary.is_state_of(word, &head) {
                name.named.said = join(name.named.said, label.said());
            }
        }
        true
    }

    pub(super) fn named(&mut self, made: Made, words: &[usize], joint: Joint) {
        let s = self.source;
        let mut piece = made.piece;
        let mut m = made.m;
        // In a recipe "softened in hot water" follows the thing; in a plain list it could be a thing.
        let recipe = self.drafts.last().is_some_and(|d| d.measured.amount.is_some() || d.measured.unit.is_some());
        if self.colour_of_the_last(&made, words, joint) {
            return;
        }
        // "; Bin B: apples", "-> bin 2": where it goes.
        let one = made.m.amount.is_some() && made.m.unit.is_none() && words.len() == 1;
        let lettered = matches!(words, [_, letter] if s.word(*letter).len() == 1);
        let holder = words.first().is_some_and(|w| s.is(*w, LABEL));
        if !piece.known && holder && (one || lettered) && !self.drafts.is_empty() {
            return;
        }
        // "coffee; evening: salad": when or for whom.
        let behind = s.tokens.iter().find(|t| t.start >= made.end).map(|t| t.kind);
        if !piece.known
            && m.amount.is_none()
            && words.len() < 3
            && behind == Some(Kind::Colon)
            && !self.drafts.is_empty()
        {
            return;
        }
        // "orange peel, a lot", "- big batch": how much there is of the thing before it.
        let share = |w: &usize| s.is(*w, SHARE | ARTICLE | VAGUE | ADVERB | PLAIN | COLOUR | SIZE);
        if !piece.known && joint != Joint::Or && !self.drafts.is_empty() && words.iter().all(share) {
            return;
        }
        // "squeezed", "squeezed out"
        let alone = match words {
            [_] => true,
            [_, how] => matches!(s.lower_word(*how), "out" | "off" | "up" | "down" | "dry"),
            _ => false,
        };
        let remark = piece.remark || (piece.cooking && (recipe || alone));
        // "split and scraped"
        let behind = made.comma || joint == Joint::And && piece.cooking && alone;
        if remark && behind && !self.drafts.is_empty() && m.amount.is_none() {
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
                && s.vocabulary.glossary.gloss(&word).is(COLOUR)
        };
        if made.comma && self.drafts.len() == 1 && self.drafts.first().is_some_and(coloured) {
            self.drafts.clear();
        }
        if made.comma && self.drafts.is_empty() && self.waiting.as_ref().is_some_and(coloured) {
            self.waiting = None;
        }
        let listed = made.bracket || self.parts_of;
        let settles = made.of_part.is_none() && !listed && joint != Joint::Beside;
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
                    if listed {
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
        let mut of = None;
        if let Some(part_words) = made.of_part.as_ref().filter(|p| !p.is_empty()) {
            let part_text = s.joined(part_words, &mut self.spare);
            full = format!("{full} {part_text}");
            of = piece.part.map(|part| (part, part_text));
        }
        // "skins of onions and garlic"
        // and "skins from 2 mangoes and 3 avocados"
        let last = self.drafts.last();
        let counted = m.unit.is_none() && last.is_some_and(|d| d.measured.amount.is_some());
        if paired && (m.amount.is_none() || counted) && of.is_none() && piece.part.is_none() {
            let before = last.and_then(|d| d.of.clone());
            let whole = s.without_part(&name).len() == name.len();
            of = before.filter(|(part, _)| whole && s.lexicon.has_part(&name, *part));
            if let Some((part, word)) = &of {
                piece.part = Some(*part);
                full = format!("{name} {word}");
            }
        }
        // "skins - onion, bread": bread has none.
        let may = |part: PartId| !self.parts_of || !piece.known || s.lexicon.has_part(&name, part);
        if let Some((part, word)) = fallback_part.filter(|(part, _)| piece.part.is_none() && may(*part)) {
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
            if let Some(draft) = self.drafts.last_mut().filter(|_| name.known) {
                draft.additions.push(name.named.name);
            }
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
        if joint == Joint::And && !made.comma && m.amount.is_none() {
            self.spreads(&name, made.start);
        }
        let mut names = vec![name];
        if let Some(also) = also {
            let named = Named { name: also.clone(), full: also, ..Named::default() };
            names.insert(0, DraftName { named, known: true });
        }
        self.drafts.push(Draft { names, measured: m, leading, paired, of, start, end: made.end, ..Draft::default() });
    }
    /// "Peas with mint & butter": what spreads is on the peas as well.
    fn spreads(&mut self, name: &DraftName, start: usize) {
        let s = self.source;
        let Some(draft) = self.drafts.last_mut().filter(|d| !d.additions.is_empty()) else { return };
        let beside = s.tokens.iter().filter(|t| (draft.end..start).contains(&t.start)).count() < 2;
        if beside && name.known && SPREADS.iter().any(|kind| s.lexicon.akin(&name.named.name, kind)) {
            draft.additions.push(name.named.name.clone());
        }
    }
}
