//! Reading one piece: its amount, its words, what `of` and `from` make of them.

use super::Splitter;
use super::draft::{Made, join};
use super::joints::Joint;
use crate::bag::amount::{Each, UnitWord};
use crate::bag::glossary::{
    AND, ETC, FOREIGN, FROM, INCLUDING, NUMBER, OF, OR, PLUS, SUCH, TAIL, TIMES, WITH, WITHOUT,
};
use crate::bag::measure::Measured;
use crate::bag::piece::{Holds, Label, Piece};
use crate::bag::tokens::Kind;
use crate::bag::words::{PartId, Said};

impl Splitter<'_> {
    /// Reads one piece from `at`; gives where it ended.
    pub(super) fn take(
        &mut self,
        at: usize,
        to: usize,
        joint: Joint,
        comma: bool,
        bracket: bool,
        listed: bool,
    ) -> usize {
        let s = self.source;
        let (mut m, mut i) = s.measured(at);
        let i0 = i.min(to);
        i = i0;
        self.words.clear();
        let mut part: Option<PartId> = None;
        let mut part_words: Vec<usize> = Vec::new();
        let mut said = Said::default();
        let mut left: Option<Vec<usize>> = None;
        let mut of_part = false;
        let mut lacking: Vec<String> = Vec::new();
        while i < to {
            let t = s.token(i);
            if m.skip == Some(i) {
                i += 1;
                continue;
            }
            match t.kind {
                Kind::Word => {
                    let (phrase, _) = s.phrase_at(i, to);
                    let (denial, _) = if phrase < 2 { s.denial_at(i, to) } else { (0, Label::default()) };
                    let len = if phrase >= 2 { phrase } else { denial };
                    if len > 1 {
                        self.words.extend(i..i + len);
                        i += len;
                        continue;
                    }
                    if t.is(TIMES) && matches!(s.token(i + 1).kind, Kind::Number { .. }) {
                        if let Some(next) = self.amount_behind(i, to, &mut m) {
                            i = next;
                            break;
                        }
                    }
                    if let Some(len) = s.name_of_words(i) {
                        self.words.extend(i..i + len);
                        i += len;
                        continue;
                    }
                    // "plastic-free teabags", "dairy free ice cream"
                    if let Some((lacked, next)) = self.lacked(i, to) {
                        lacking.push(lacked);
                        i = next;
                        continue;
                    }
                    let joins = t.is(AND | OR | WITH | WITHOUT | INCLUDING | SUCH | TAIL | FROM | PLUS | OF | ETC)
                        && !t.is(NUMBER)
                        || s.excepts(i)
                        || (!self.words.is_empty() || !self.drafts.is_empty()) && self.comes_with(i, to);
                    if !joins || (s.lower_word(i) == "out" && !s.is(i + 1, OF)) {
                        self.words.push(i);
                        i += 1;
                        continue;
                    }
                    if matches!(s.lower_word(i), "but" | "yet") && !self.words.is_empty() {
                        // "ripe but firm pears"
                        let (words, labels) = (std::mem::take(&mut self.words), &mut self.labels);
                        let holds = s.piece(&words, labels, false, &mut self.spare).holds;
                        self.words = words;
                        if matches!(holds, Holds::Nothing | Holds::States) {
                            i += 1;
                            continue;
                        }
                    }
                    if !self.words.is_empty() {
                        if let Some(last) = self.spans(i, to) {
                            self.words.extend(i..=last);
                            i = last + 1;
                            continue;
                        }
                    }
                    if t.is(FOREIGN) && !t.is(OF) {
                        if self.foreign_joint(i, to) {
                            break;
                        }
                        self.words.push(i);
                        i += 1;
                        continue;
                    }
                    if t.is(OF) || (t.is(FROM) && matches!(s.lower_word(i), "from" | "off")) {
                        let taken = std::mem::take(&mut self.words);
                        let piece = s.piece(&taken, &mut self.labels, false, &mut self.spare);
                        let name = taken.get(piece.name.0..piece.name.1).unwrap_or(&[]);
                        let part_ahead = s.part_word(name).filter(|part| s.whole_ahead(i + 1, to, *part));
                        // "restes de pommes de terre": in other languages the part leads, whatever it is by itself.
                        let leads = t.is(FOREIGN) && s.part_word(name).is_some() && self.opens_thing(i + 1, to);
                        let part_ahead = part_ahead.or_else(|| s.part_word(name).filter(|_| leads));
                        // "grape skins and stems from wine making": the stems are the grapes'.
                        let has = |name: &str, part| s.lexicon.has_part(s.without_part(name), part);
                        let another = piece.part.filter(|part| t.is(FROM) && !s.whole_ahead(i + 1, to, *part));
                        let before = self.drafts.last().and_then(|d| d.names.last());
                        let before = another.is_some_and(|part| before.is_some_and(|n| has(&n.named.name, part)));
                        // "restes de gratin", "leftovers of soup": a state's word, though it names food by itself.
                        let state = name.first().filter(|_| name.len() == 1).map(|w| s.phrase_at(*w, *w + 1));
                        let state = state.map(|(_, label)| label.said()).filter(|said| *said != Said::default());
                        let state = state.filter(|_| t.is(OF) && self.opens_thing(i + 1, to));
                        match piece.holds {
                            Holds::Name if state.is_some() => {
                                said = join(said, state.unwrap_or_default());
                                i = self.past_of(i + 1, &mut m);
                                continue;
                            }
                            Holds::Parts if before => {
                                self.words = taken;
                                break;
                            }
                            Holds::Parts => {
                                part = piece.part;
                                said.yes |= piece.said.yes;
                                said.no |= piece.said.no;
                                part_words = taken.get(piece.full.0..piece.full.1).unwrap_or(&[]).to_vec();
                                of_part = true;
                                i = self.past_of(i + 1, &mut m);
                                continue;
                            }
                            Holds::Nothing | Holds::States if t.is(OF) => {
                                said.yes |= piece.said.yes;
                                said.no |= piece.said.no;
                                i = self.past_of(i + 1, &mut m);
                                continue;
                            }
                            // "stones from two avocados": the word names a thing by itself, and not here.
                            Holds::Name if part_ahead.is_some() => {
                                part = part_ahead;
                                said = join(said, piece.said);
                                part_words = name.to_vec();
                                of_part = true;
                                i = self.past_of(i + 1, &mut m);
                                continue;
                            }
                            // "pieces from carrots"
                            Holds::Name
                                if !piece.known
                                    && taken.len() == 1
                                    && taken.first().is_some_and(|w| s.unit_at(*w, false).is_some()) =>
                            {
                                of_part = true;
                                i = self.past_of(i + 1, &mut m);
                                continue;
                            }
                            Holds::Name if t.is(OF) && !t.is(FOREIGN) => {
                                left = Some(taken);
                                i = self.past_of(i + 1, &mut m);
                                continue;
                            }
                            _ => {
                                self.words = taken;
                                if t.is(FOREIGN) {
                                    self.words.push(i);
                                    i += 1;
                                    continue;
                                }
                                break;
                            }
                        }
                    }
                    break;
                }
                // "mac & cheese"
                Kind::Amp if !self.words.is_empty() => match self.spans(i, to) {
                    Some(last) => {
                        self.words.extend(i..=last);
                        i = last + 1;
                    }
                    None => break,
                },
                Kind::Picture(_) => {
                    let same = self.words.last().is_some_and(|w| s.token(*w).kind == t.kind);
                    let decoration = !self.words.is_empty();
                    let first_is_picture =
                        self.words.first().is_some_and(|w| matches!(s.token(*w).kind, Kind::Picture(_)));
                    if same || (decoration && !first_is_picture) {
                        i += 1;
                        continue;
                    }
                    if decoration {
                        break;
                    }
                    self.words.push(i);
                    i += 1;
                }
                Kind::Number { .. } | Kind::Times => {
                    let chain = s.chain_end(i);
                    if chain > i + 1 && s.is_word(chain - 1) {
                        // "2 cooked 1-pound lobsters"
                        let size =
                            s.size_unit(i + 2).filter(|_| m.each.is_none() && m.amount.is_some() && m.unit.is_none());
                        if let (Some((unit, _)), Kind::Number { value, .. }) = (size, t.kind) {
                            m.each = Some(Each { amount: value * unit.times, unit: unit.unit });
                        }
                        i = chain;
                        continue;
                    }
                    if s.token(i + 1).kind == Kind::Percent {
                        i += 2;
                        continue;
                    }
                    if self.words.is_empty() {
                        i += 1;
                        continue;
                    }
                    if let Some(next) = self.amount_behind(i, to, &mut m) {
                        i = next;
                    }
                    break;
                }
                Kind::Dash
                    if t.glued
                        && s.token(i + 1).glued
                        && s.is_word(i + 1)
                        && !self.words.is_empty()
                        && s.token(i).end == s.token(i).start + 1 =>
                {
                    i += 1;
                }
                _ => break,
            }
        }
        // A picture beside its own word is an ornament.
        if self.words.len() > 1 && self.words.first().is_some_and(|w| matches!(s.token(*w).kind, Kind::Picture(_))) {
            let rest: Vec<usize> = self.words.iter().skip(1).copied().collect();
            if s.piece(&rest, &mut self.labels, false, &mut self.spare).holds == Holds::Name {
                self.words = rest;
            }
        }
        let words = std::mem::take(&mut self.words);
        // "bread, 2 slices", "lettuce, 3 leaves"
        if let (Joint::Comma | Joint::Bracket, Some(unit)) = (joint, self.unit_of_the_last(&m, &words)) {
            m.unit = Some(unit);
            let end = s.token(i.saturating_sub(1).max(at)).end;
            let piece = Piece::NOTHING;
            let made = Made { m, piece, start: s.token(at).start, end, of_part: None, comma, bracket, listed };
            self.amount_only(made, joint);
            self.words = words;
            return i.max(i0);
        }
        let numbered = m.amount.is_some() && m.unit.is_none();
        let mut piece = s.piece(&words, &mut self.labels, numbered, &mut self.spare);
        let mut words = words;
        if let Some(left) = left {
            let (right_known, right_named) = (piece.known, piece.holds == Holds::Name);
            let was = s.piece(&left, &mut self.labels, numbered, &mut self.spare);
            if right_known {
                // "edge flesh of the melon", "leaves of quince"
                let name = left.get(was.name.0..was.name.1).unwrap_or(&[]);
                // The heel of a loaf is bread, as the loaf is.
                let text = |words: &[usize]| words.iter().map(|w| s.word(*w)).collect::<Vec<_>>().join(" ");
                let right = words.get(piece.name.0..piece.name.1).unwrap_or(&[]);
                let another = || !s.lexicon.same(&text(name), &text(right));
                let was_part = was.part.or_else(|| s.part_word(name).filter(|_| another()));
                piece.part = piece.part.or(was_part.filter(|p| s.vocabulary.part_name(*p) != "whole"));
                piece.said = join(piece.said, was.said);
            } else {
                if was.known || !right_named {
                    piece = Piece { said: join(was.said, piece.said), ..was };
                    words = left;
                }
            }
        }
        if m.unit.is_none() {
            m.unit = piece.unit;
        }
        piece.said = join(piece.said, said);
        if let Some(p) = part {
            if piece.holds == Holds::Name {
                piece.part = piece.part.or(Some(p));
            } else if matches!(piece.holds, Holds::Nothing | Holds::States) {
                piece = Piece { holds: Holds::Parts, part: Some(p), full: (0, part_words.len()), ..piece };
                words = part_words.clone();
            }
        }
        let end = s.token(i.saturating_sub(1).max(at)).end;
        let made = Made {
            m,
            piece,
            start: s.token(at).start,
            end,
            of_part: of_part.then_some(part_words),
            comma,
            bracket,
            listed,
        };
        let names = made.piece.holds == Holds::Name;
        self.place(made, &words, joint);
        if let Some(draft) = self.drafts.last_mut().filter(|_| names) {
            draft.without.append(&mut lacking);
        }
        self.words = words;
        i.max(i0)
    }

    /// A known thing that a word here says is not in what follows, and where to go on.
    fn lacked(&self, at: usize, to: usize) -> Option<(String, usize)> {
        let s = self.source;
        let word = s.lower_word(at);
        let (lacked, next) = match word.strip_suffix("-free") {
            Some(lacked) => (lacked, at + 1),
            None if s.lower_word(at + 1) == "free" => (word, at + 2),
            None => return None,
        };
        // "Oil-free" is a state's word; "drug free" says nothing about a scrap.
        let state = s.phrase_at(at, to).0 > 0;
        (!state && s.lexicon.names(lacked) && s.is_word(next) && next < to).then(|| (lacked.to_string(), next))
    }

    /// The count word that stands alone behind a number, and counts what came before.
    fn unit_of_the_last(&self, m: &Measured, words: &[usize]) -> Option<UnitWord> {
        let s = self.source;
        let [word] = *words else { return None };
        let last = self.drafts.last().filter(|d| d.measured.amount.is_none())?.names.last()?;
        let (unit, _) = s.unit_at(word, true).filter(|_| m.amount.is_some() && m.unit.is_none())?;
        let of_it = || s.part_word(words).is_some_and(|part| s.lexicon.has_part(&last.named.name, part));
        // "garlic, 3 cloves"
        let whole = format!("{} {}", last.named.name, s.word(word));
        let counted = || s.lexicon.names(&whole) && s.lexicon.same(&whole, &last.named.name);
        (last.known && (!s.lexicon.names(s.word(word)) || of_it() || counted())).then_some(unit)
    }

    /// An amount behind the name, up to the end of the piece: "tea bags 3", "eggshells x6".
    pub(super) fn amount_behind(&self, at: usize, to: usize, m: &mut Measured) -> Option<usize> {
        let s = self.source;
        let (behind, end) = s.measured(at);
        if end <= at || behind.amount.is_none() || end > to {
            return None;
        }
        let t = s.token(end);
        let times = t.kind == Kind::Times || (t.is(TIMES) && t.glued);
        let end = if times { end + 1 } else { end };
        let t = s.token(end);
        let over = end >= to
            || matches!(
                t.kind,
                Kind::Comma
                    | Kind::Stop
                    | Kind::Close
                    | Kind::Open
                    | Kind::Slash
                    | Kind::Amp
                    | Kind::Plus
                    | Kind::End
                    | Kind::Dash
            )
            || t.is(AND | OR | WITH | WITHOUT | TAIL | FROM);
        // "500 g" at the end: the unit has nothing behind it, and needs nothing.
        let (behind, end, over) = match s.unit_at(end, true) {
            Some((unit, next)) if behind.unit.is_none() && !over && (next >= to || !s.is_word(next)) => {
                (Measured { unit: Some(unit), ..behind }, next, true)
            }
            _ => (behind, end, over),
        };
        if !over {
            return None;
        }
        if m.amount.is_none() {
            *m = Measured { unit: behind.unit.or(m.unit), each: behind.each.or(m.each), ..behind };
        }
        Some(end)
    }

    pub(super) fn past_of(&self, at: usize, m: &mut Measured) -> usize {
        let s = self.source;
        let (inner, next) = s.measured(at);
        if m.amount.is_none() && inner.amount.is_some() {
            *m = Measured { unit: inner.unit.or(m.unit), skip: inner.skip, ..inner };
        }
        if next > at { next } else { at }
    }
}
