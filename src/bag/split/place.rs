//! Putting a piece where it belongs: a thing of its own, or an amount, states, a part of another.

use super::draft::{Draft, DraftName, Made, either, join, without};
use super::joints::Joint;
use super::{LABELS, Splitter};
use crate::bag::Named;
use crate::bag::amount::{Each, Measure};
use crate::bag::glossary::{
    self, ADVERB, AND, ARTICLE, COLOUR, DETERMINER, NOT, NUMBER, OR, PLAIN, SHARE, SIZE, TIMES, VAGUE,
};
use crate::bag::measure::Measured;
use crate::bag::piece::{Holds, Piece};
use crate::bag::tokens::Kind;
use crate::bag::words::{PartId, Said, Sort, State, StateId};

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
            Holds::Parts if self.colour_of_the_last(&made, words, joint) => {}
            Holds::Parts => {
                let model = self.drafts.iter().rposition(|d| d.names.iter().any(|n| n.known));
                self.parts_only(made, words, joint, model);
            }
            Holds::Name if self.prepared(&made, words, joint) || self.told_apart(&made, words, joint) => {}
            Holds::Name => match self.part_of_another(&made, words, joint) {
                Some((part, model)) => {
                    let piece = Piece { holds: Holds::Parts, part: Some(part), full: made.piece.name, ..made.piece };
                    self.parts_only(Made { piece, ..made }, words, joint, Some(model));
                }
                None => self.named(made, words, joint),
            },
        }
    }

    /// "Eggshells, rinsed, ground": a preparation by itself behind a thing, though its word names one too.
    fn prepared(&mut self, made: &Made, words: &[usize], joint: Joint) -> bool {
        let s = self.source;
        let [word] = *words else { return false };
        let states = || self.drafts.last().is_some_and(|d| d.names.iter().any(|n| n.named.said.yes != 0));
        let behind = match joint {
            Joint::Comma | Joint::Bracket => !self.drafts.is_empty(),
            // "rinsed and ground", but "coffee filters and ground".
            Joint::And => states(),
            _ => false,
        };
        let (_, label) = s.phrase_at(word, word + 1);
        let preparation =
            |(id, state): (StateId, &State)| label.said().yes & id.bit() != 0 && state.sort == Sort::Preparation;
        if !behind || made.m.amount.is_some() || !s.vocabulary.states().any(preparation) {
            return false;
        }
        let piece = Piece { holds: Holds::States, said: label.said(), ..Piece::NOTHING };
        self.states_only(Made { piece, of_part: None, ..*made }, joint);
        true
    }

    /// "Cauliflower - leaves and stem", "apple (core only)": behind a dash, a colon or in brackets
    /// nothing but parts of the thing before it, which is made into those parts; the end of them.
    pub(super) fn told_in_parts(&mut self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let end = match s.token(at).kind {
            Kind::Open => self.closing(at, to),
            Kind::Dash | Kind::Colon if !s.token(at + 1).glued => to,
            _ => return None,
        };
        let draft = self.drafts.last()?;
        let [only] = draft.names.as_slice() else { return None };
        // "onion ends (root and top)": which ends they are.
        let ends = only.named.part.is_some_and(|p| matches!(s.vocabulary.part_name(p), "end" | "trimmings"));
        if ends && s.token(at).kind == Kind::Open {
            let said = |i: usize| s.part_word(&[i]).is_some() || s.is(i, AND | ARTICLE | PLAIN | DETERMINER);
            return (at + 1..end).all(said).then_some(end + usize::from(end < to));
        }
        if !only.known || only.named.part.is_some() {
            return None;
        }
        let mut parts: Vec<(PartId, usize)> = Vec::new();
        for i in at + 1..end {
            let names = s.lexicon.names(s.word(i));
            let said = s.part_word(&[i]).filter(|part| !names || s.lexicon.has_part(&only.named.name, *part));
            match said {
                Some(part) => parts.push((part, i)),
                None if s.is(i, AND | ARTICLE | PLAIN | DETERMINER) => {}
                None if matches!(s.token(i).kind, Kind::Comma | Kind::Amp | Kind::Slash) => {}
                None => return None,
            }
        }
        let whole = draft.clone();
        let over = s.token(end.saturating_sub(1)).end;
        for (nth, (part, word)) in parts.iter().enumerate() {
            let mut draft = whole.clone();
            for name in &mut draft.names {
                name.named.part = Some(*part);
                name.named.full = format!("{} {}", name.named.name, s.word(*word));
            }
            draft.end = over;
            if nth == 0 {
                self.drafts.pop();
            }
            self.drafts.push(draft);
        }
        (!parts.is_empty()).then_some(end + usize::from(end < to))
    }

    /// "Avocado skins and stones", "carrot peel and tops": a part's word that is a thing's name too
    /// is a part where a thing before it has such a part and some part of that was said; the part and
    /// the place of that thing.
    fn part_of_another(&self, made: &Made, words: &[usize], joint: Joint) -> Option<(PartId, usize)> {
        let s = self.source;
        let piece = &made.piece;
        let joined = matches!(joint, Joint::And | Joint::Plus) || joint == Joint::Comma && made.comma;
        let apart = made.of_part.is_some() || made.bracket;
        let last = self.drafts.last()?.names.last()?;
        // Who writes of a juice writes of no stones beside it.
        let juice = s.vocabulary.part("juice").is_some_and(|juice| s.says_part(&last.named.name, juice));
        let named_part = !juice && s.without_part(&last.named.name).len() < last.named.name.len();
        let of_part = last.named.part.is_some() || named_part;
        if !piece.known || piece.part.is_some() || !joined || apart || !of_part {
            return None;
        }
        let part = s.part_word(words.get(piece.name.0..piece.name.1)?)?;
        // In a list, leaves and flowers are gathered by themselves.
        if joint == Joint::Comma && matches!(s.vocabulary.part_name(part), "leaf" | "flower") {
            return None;
        }
        // A mistyped name of which a part was said may have any: "avacado skins + stones".
        let mistyped = |n: &DraftName| !n.known && n.named.part.is_some();
        let of = |n: &DraftName| mistyped(n) || s.lexicon.has_part(s.without_part(&n.named.name), part);
        let has = |d: &Draft| d.names.iter().any(of);
        let model = self.drafts.iter().rposition(has)?;
        Some((part, model))
    }

    /// "Potatoes (sweet)", "dead leaves, oak": behind the thing the word that says which of its kind.
    /// A comma parts two things rather, unless the word is none by itself.
    fn told_apart(&mut self, made: &Made, words: &[usize], joint: Joint) -> bool {
        let s = self.source;
        // "apples, green and red peppers": the colours are the peppers'.
        let behind = s.tokens.iter().find(|t| t.start >= made.end);
        let goes_on = behind.is_some_and(|t| t.is(AND | OR) || matches!(t.kind, Kind::Amp | Kind::Slash));
        let none = !goes_on && (!made.piece.known || words.iter().all(|w| s.is(*w, COLOUR)));
        let (from, to) = made.piece.full;
        let of_it = made.bracket && joint == Joint::Bracket || joint == Joint::Comma && none && !made.bracket;
        if !of_it || made.m.amount.is_some() || made.piece.part.is_some() || to - from > 2 {
            return false;
        }
        let which = s.joined(words.get(from..to).unwrap_or(&[]), &mut self.spare);
        let Some(draft) = self.drafts.last_mut() else { return false };
        let [only] = draft.names.as_mut_slice() else { return false };
        let said = only.named.name.as_str();
        let heads = [Some(said), said.rsplit_once(' ').map(|(_, last)| last)];
        let wholes = heads.into_iter().flatten().map(|head| format!("{which} {head}"));
        let kept = only.known && only.named.part.is_none();
        let named = |whole: &String| s.lexicon.names(whole) && s.lexicon.akin(whole, said);
        let Some(whole) = wholes.filter(|_| kept).find(named) else { return false };
        only.named.full.clone_from(&whole);
        only.named.name = whole;
        only.named.said = join(only.named.said, made.piece.said);
        draft.end = made.end.max(draft.end);
        true
    }

    /// What a bracket may add; true if the piece has been dealt with.
    pub(super) fn bracketed(&mut self, made: &Made, words: &[usize], joint: Joint) -> bool {
        if made.piece.holds != Holds::Name {
            return false;
        }
        if self.told_apart(made, words, joint) {
            return true;
        }
        // "(organic)" names waste in a list of its own, and here says how the thing was grown.
        if !self.drafts.is_empty() && words.iter().all(|w| self.source.is(*w, PLAIN)) {
            return true;
        }
        let waiting_part = self.waiting.as_ref().is_some_and(|w| w.part.is_some());
        if self.drafts.is_empty() && !waiting_part {
            return !made.piece.known;
        }
        if !made.piece.known {
            // "tea bags (nylon mesh)", "lettuce (has dressing on it)": what a remark names may be on it.
            let denied = words.iter().any(|w| self.source.is(*w, NOT));
            let named = if denied { Vec::new() } else { self.source.names_within(words, &mut self.spare) };
            if let Some(draft) = self.drafts.last_mut() {
                draft.additions.extend(named);
            }
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
            (None, None) => had.unit = had.unit.or(new.unit),
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

    /// A part without a name: of the thing before it, of the one at `model`, or of one that follows.
    fn parts_only(&mut self, made: Made, words: &[usize], joint: Joint, model: Option<usize>) {
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
        let model = model.and_then(|at| self.drafts.get(at)).cloned();
        if let Some(model) = model.filter(|_| !matches!(joint, Joint::Start)) {
            let mut names = model.names;
            for name in &mut names {
                // "mango seed and skin": the skin is the mango's.
                let whole = s.without_part(&name.named.name).to_string();
                name.named.full = format!("{whole} {text}");
                name.named.name = whole;
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

    /// "Broccoli, yellow", "bananas, black", "peppers, red and yellow": a colour alone behind a known
    /// thing speaks of it, and may say how old it is.
    fn colour_of_the_last(&mut self, made: &Made, words: &[usize], joint: Joint) -> bool {
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
            if glossary::is_state_of(word, &head) {
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
        let holder = words.first().is_some_and(|w| LABELS.contains(&s.lower_word(*w)));
        if !piece.known && holder && (one || lettered) && !self.drafts.is_empty() {
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
        self.drafts.push(Draft { names, measured: m, leading, paired, of, start, end: made.end, ..Draft::default() });
    }
}
