//! Reading one piece: its amount, its words, what `of` and `from` make of them.

use super::Splitter;
use super::company::CLAUSE;
use super::draft::{Made, join};
use super::joints::Joint;
use super::opening::date_ends;
use crate::bag::amount::{Each, Place, UnitWord};
use crate::bag::glossary::{
    ACROSS, ADVERB, AND, ARTICLE, COLOUR, DETERMINER, ETC, FOREIGN, FRACTION, FROM, GONE, INCLUDING, LIES, MOULD,
    NUMBER, OF, OR, PLAIN, PLUS, SHARE, SIZE, STANCE, SUCH, TAIL, TIMES, VAGUE, WITH, WITHOUT,
};
use crate::bag::measure::Measured;
use crate::bag::piece::{Holds, Label, Piece};
use crate::bag::tokens::Kind;
use crate::bag::words::{Meaning, PartId, Said};

/// What a piece has told before and beside the words of its name.
#[derive(Default)]
struct Told {
    m: Measured,
    said: Said,
    /// The part that `of` or `from` joined to what follows.
    part: Option<PartId>,
    /// The words of that part; none of "pieces from".
    of_part: Option<Vec<usize>>,
    /// The words before an `of` that may be the name, or its part.
    left: Option<Vec<usize>>,
    /// The words of what is made of what follows.
    made: Vec<usize>,
    /// It was taken off or out.
    gone: bool,
    /// Things that are said not to be in it: "plastic-free".
    lacking: Vec<String>,
}

/// Where reading a piece goes on, or that it ends there.
enum Step {
    On(usize),
    Over(usize),
}

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
        let (m, behind) = s.measured(at);
        let mut told = Told { m, ..Told::default() };
        let begins = behind.min(to);
        let mut i = begins;
        self.words.clear();
        while i < to {
            match self.step(i, to, &mut told) {
                Step::On(next) => i = next,
                Step::Over(end) => {
                    i = end;
                    break;
                }
            }
        }
        self.words.append(&mut told.made);
        // A picture beside its own word is an ornament.
        if self.words.len() > 1 && self.words.first().is_some_and(|w| matches!(s.token(*w).kind, Kind::Picture(_))) {
            let rest: Vec<usize> = self.words.iter().skip(1).copied().collect();
            // "🥕 tops" are a carrot's.
            let part = s.part_word(&rest).is_some();
            if !part && s.piece(&rest, &mut self.labels, false, &mut self.spare).holds == Holds::Name {
                self.words = rest;
            }
        }
        self.out_of_its_holder(at);
        let ones = self.the_ones();
        let mut words = std::mem::take(&mut self.words);
        let (start, end) = (s.token(at).start, s.token(i.saturating_sub(1).max(at)).end);
        let mut m = told.m;
        // "bread, 2 slices", "lettuce, 3 leaves"
        let behind = matches!(joint, Joint::Comma | Joint::Bracket | Joint::Beside);
        if let Some(unit) = Some(()).filter(|()| behind).and_then(|()| self.unit_of_the_last(&m, &words, joint)) {
            m.unit = Some(unit);
            let made = Made { m, piece: Piece::NOTHING, start, end, of_part: None, comma, bracket, listed };
            self.amount_only(made, joint);
            self.words = words;
            return i.max(begins);
        }
        let numbered = m.amount.is_some() && m.unit.is_none();
        let mut piece = s.piece(&words, &mut self.labels, numbered, &mut self.spare);
        if let Some(left) = told.left {
            (piece, words) = self.beside(left, piece, words, numbered);
        }
        if m.unit.is_none() {
            m.unit = piece.unit;
        }
        piece.said = join(piece.said, told.said);
        if let Some(part) = told.part {
            if piece.holds == Holds::Name {
                piece.part = piece.part.or(Some(part));
            } else if matches!(piece.holds, Holds::Nothing | Holds::States) {
                words = told.of_part.clone().unwrap_or_default();
                piece = Piece { holds: Holds::Parts, part: Some(part), full: (0, words.len()), ..piece };
            }
        }
        // "with the stone taken out": without it; ", tops cut off": not there.
        piece.remark |= told.gone;
        let gone = told.gone || piece.remark && words.last().is_some_and(|w| s.is(*w, GONE));
        // "tea bag, string removed"
        let behind = joint == Joint::With || joint == Joint::Comma && !self.opens() && piece.part.is_none();
        let joint = if behind && gone { Joint::Without } else { joint };
        let made = Made { m, piece, start, end, of_part: told.of_part, comma, bracket, listed };
        let names = made.piece.holds == Holds::Name;
        self.place(made, &words, joint);
        let named = ones.map(|of| s.names_within(&[of], &mut self.spare)).unwrap_or_default();
        if let Some(draft) = self.drafts.last_mut().filter(|_| names) {
            draft.without.append(&mut told.lacking);
            draft.additions.extend(named);
        }
        self.words = words;
        i.max(begins)
    }

    /// "Cotton buds cardboard ones": what the ones before it are made of, taken out of the piece.
    fn the_ones(&mut self) -> Option<usize> {
        let s = self.source;
        let [before @ .., of, ones] = self.words.as_slice() else { return None };
        let small = |w: &usize| s.is(*w, ARTICLE | DETERMINER | ADVERB | PLAIN | COLOUR | SIZE);
        let says = |w: &usize| s.phrase_at(*w, *w + 1).1.state();
        let which = |w: &usize| small(w) || says(w);
        // "Potato peelings - green ones" names no greens; "cuke, the bendy one".
        let ones_of_it = matches!(s.lower_word(*ones), "one" | "ones") && !self.drafts.is_empty();
        if ones_of_it && which(of) && before.iter().all(which) {
            self.words.retain(says);
            return None;
        }
        let known = s.lower_word(*ones) == "ones" && s.lexicon.names(s.word(*of));
        if !known || before.iter().all(small) {
            return None;
        }
        let of = *of;
        self.words.truncate(before.len());
        Some(of)
    }

    /// Reads on by one token, or by the words that belong together there.
    fn step(&mut self, i: usize, to: usize, told: &mut Told) -> Step {
        let s = self.source;
        let t = s.token(i);
        if told.m.skip == Some(i) {
            return Step::On(i + 1);
        }
        match t.kind {
            Kind::Word => self.word(i, to, told),
            // "mac & cheese"
            Kind::Amp if !self.words.is_empty() => match self.spans(i, to) {
                Some(last) => self.with_words(i, last + 1),
                None => Step::Over(i),
            },
            Kind::Picture(_) => {
                let same = self.words.last().is_some_and(|w| s.token(*w).kind == t.kind);
                let decoration = !self.words.is_empty();
                let first_is_picture = self.words.first().is_some_and(|w| matches!(s.token(*w).kind, Kind::Picture(_)));
                if same || (decoration && !first_is_picture) {
                    return Step::On(i + 1);
                }
                if decoration { Step::Over(i) } else { self.with_words(i, i + 1) }
            }
            Kind::Number { .. } | Kind::Times => {
                let m = &mut told.m;
                let chain = s.chain_end(i);
                if chain > i + 1 && s.is_word(chain - 1) {
                    // "2 cooked 1-pound lobsters"
                    let size =
                        s.size_unit(i + 2).filter(|_| m.each.is_none() && m.amount.is_some() && m.unit.is_none());
                    if let (Some((unit, _)), Kind::Number { value, .. }) = (size, t.kind) {
                        m.each = Some(Each { amount: value * unit.times, unit: unit.unit });
                    }
                    return Step::On(chain);
                }
                if s.token(i + 1).kind == Kind::Percent {
                    return Step::On(i + 2);
                }
                if self.words.is_empty() {
                    return Step::On(i + 1);
                }
                // "peels 28/11"
                if date_ends(&s, i, to).is_some() {
                    return Step::Over(i);
                }
                Step::Over(self.amount_behind(i, to, m).unwrap_or(i))
            }
            Kind::Dash
                if t.glued
                    && s.token(i + 1).glued
                    && s.is_word(i + 1)
                    && !self.words.is_empty()
                    && s.token(i).end == s.token(i).start + 1 =>
            {
                Step::On(i + 1)
            }
            _ => Step::Over(i),
        }
    }

    /// Takes words up to `next` into the piece.
    fn with_words(&mut self, i: usize, next: usize) -> Step {
        self.words.extend(i..next);
        Step::On(next)
    }

    /// A word: one of the piece, or one that joins, measures or denies.
    fn word(&mut self, i: usize, to: usize, told: &mut Told) -> Step {
        let s = self.source;
        let t = s.token(i);
        let (phrase, _) = s.phrase_at(i, to);
        let (denial, _) = if phrase < 2 { s.denial_at(i, to) } else { (0, Label::default()) };
        let len = if phrase >= 2 { phrase } else { denial };
        if len > 1 {
            return self.with_words(i, i + len);
        }
        if t.is(TIMES) && matches!(s.token(i + 1).kind, Kind::Number { .. }) {
            if let Some(next) = self.amount_behind(i, to, &mut told.m) {
                return Step::Over(next);
            }
        }
        if let Some(len) = s.name_of_words(i) {
            return self.with_words(i, i + len);
        }
        // "coffee, cold half cup"
        if t.is(FRACTION) && !self.words.is_empty() && s.measured(i).0.measured_unit().is_some() {
            if let Some(next) = self.amount_behind(i, to, &mut told.m) {
                return Step::Over(next);
            }
        }
        if !self.words.is_empty() && s.taken_off(i) {
            // "with cheese mostly picked off"
            told.gone = !i.checked_sub(1).is_some_and(|i| s.is_partly(i));
            return Step::On(i + 2);
        }
        // "apple some ginger", "leeks a few carrots"
        let vague = i + usize::from(s.is(i, ARTICLE));
        if s.is(vague, VAGUE | DETERMINER) && s.is(vague, SHARE | VAGUE) {
            let next = vague + 1 + usize::from(s.is(vague + 1, OF));
            if self.opens_thing(next, to) && s.names(&self.words, &mut self.spare) {
                return Step::Over(i);
            }
        }
        // "cut side down"
        if !self.words.is_empty() && matches!(s.lower_word(i), "down" | "up") && i > 0 && s.is(i - 1, STANCE) {
            return Step::On(i + 1);
        }
        // "plastic-free teabags", "dairy free ice cream"
        if let Some((lacked, next)) = self.lacked(i, to) {
            told.lacking.push(lacked);
            return Step::On(next);
        }
        if let Some(next) = self.denied_by_prefix(i, to, told) {
            return Step::On(next);
        }
        let grows = self.state_on(i, to);
        // "bread, mould on one side"
        if let Some(end) = Some(i + 1).filter(|_| grows && !self.drafts.is_empty()).and_then(|at| s.back_on_it(at, to))
        {
            return Step::Over(end);
        }
        let such = s.lower_word(i) == "such" && s.lower_word(i + 1) == "as";
        let joins = such
            || !self.words.is_empty() && s.of_no_thing(i)
            || t.is(AND | OR | WITH | WITHOUT | INCLUDING | SUCH | TAIL | FROM | PLUS | OF | ETC) && !t.is(NUMBER)
            || s.excepts(i)
            || (!self.words.is_empty() || !self.drafts.is_empty())
                && (s.down_the(i) || s.somebody(i) || self.comes_with(i, to).is_some());
        if !joins || (s.lower_word(i) == "out" && !s.is(i + 1, OF)) {
            return self.with_words(i, i + 1);
        }
        if matches!(s.lower_word(i), "but" | "yet") && !self.words.is_empty() {
            // "ripe but firm pears"
            let (words, labels) = (std::mem::take(&mut self.words), &mut self.labels);
            let holds = s.piece(&words, labels, false, &mut self.spare).holds;
            self.words = words;
            if matches!(holds, Holds::Nothing | Holds::States) {
                return Step::On(i + 1);
            }
        }
        if !self.words.is_empty() {
            if let Some(last) = self.spans(i, to) {
                return self.with_words(i, last + 1);
            }
        }
        if (s.of_no_thing(i) || s.of_somebody(i)) && !self.words.is_empty() {
            return Step::Over(i);
        }
        if t.is(FOREIGN) && !t.is(OF) {
            return if self.foreign_joint(i, to) { Step::Over(i) } else { self.with_words(i, i + 1) };
        }
        if let Some(next) = self.worth_of_part(i) {
            return Step::On(next);
        }
        if t.is(OF) || t.is(FROM) || grows {
            return self.of(i, to, told);
        }
        Step::Over(i)
    }

    /// `of` or `from`: what stands before it may be a part, a state or an amount of what follows.
    fn of(&mut self, i: usize, to: usize, told: &mut Told) -> Step {
        let s = self.source;
        let t = s.token(i);
        let mut taken = std::mem::take(&mut self.words);
        if taken.len() > CLAUSE {
            return self.no_part(taken, i);
        }
        if told.made.is_empty() && self.is_made(i, &mut taken, &mut told.m) {
            told.made = taken;
            return Step::On(i + 1 + usize::from(s.lower_word(i) == "out"));
        }
        let mut piece = s.piece(&taken, &mut self.labels, false, &mut self.spare);
        // "the green bits off 6 leeks" are no greens.
        if let Some(part) = self.coloured_part(&taken) {
            piece = Piece { holds: Holds::Parts, part: Some(part), full: (0, taken.len()), ..piece };
        }
        let name = taken.get(piece.name.0..piece.name.1).unwrap_or(&[]);
        match piece.holds {
            // "grape skins and stems from wine making": the stems are the grapes'.
            Holds::Parts if self.part_of_the_last(piece.part, i, to) => {
                self.words = taken;
                return Step::Over(i);
            }
            // "bits from making soup (carrot, leek)": no bits of soup.
            Holds::Parts if t.is(FROM) && s.making(i + 1, to) && piece.part.is_some_and(|p| s.is_vague(p)) => {
                self.words = taken;
                return Step::Over(i);
            }
            // "peelings from the potato peeler" are no part of it.
            Holds::Parts if t.is(FROM) && self.off_a_tool(i + 1, to) => {
                self.words = taken;
                return Step::Over(i);
            }
            // "white fuzz on the strawberries": no white of theirs.
            Holds::Parts if s.lower_word(i) == "on" => told.said = join(told.said, piece.said),
            Holds::Parts => {
                told.part = piece.part;
                told.said = join(told.said, piece.said);
                told.of_part = Some(taken.get(piece.full.0..piece.full.1).unwrap_or(&[]).to_vec());
            }
            Holds::Nothing | Holds::States if !t.is(FROM) => told.said = join(told.said, piece.said),
            Holds::Name => {
                // A net from oranges is a net.
                let counts = |(unit, _): (UnitWord, usize)| unit.place != Place::Packaging || t.is(OF);
                let unit = || taken.first().and_then(|w| s.unit_at(*w, false)).is_some_and(counts);
                if let Some(said) = self.state_before(name, i, to) {
                    told.said = join(told.said, said);
                } else if let Some(part) = self.part_before(name, i, to) {
                    told.part = Some(part);
                    told.said = join(told.said, piece.said);
                    told.of_part = Some(name.to_vec());
                } else if let Some((m, next)) =
                    self.of_so_many(&piece, &taken, i, to, told.part).filter(|_| told.m.amount.is_none())
                {
                    told.m = m.unwrap_or(told.m);
                    self.words = taken;
                    return Step::On(next);
                } else if !piece.known && taken.len() == 1 && unit() {
                    // "pieces from carrots"
                    told.of_part = told.of_part.take().or_else(|| Some(Vec::new()));
                } else if t.is(OF) && !t.is(FOREIGN) {
                    told.left = Some(taken);
                } else if piece.known && self.of_a_roast(i, to) {
                    self.words = taken;
                    return Step::Over(i);
                } else {
                    return self.no_part(taken, i);
                }
            }
            _ => return self.no_part(taken, i),
        }
        let next = i + 1 + usize::from(s.lower_word(i) == "out");
        let counted = told.m.amount.is_some();
        let next = self.past_of(next, &mut told.m);
        told.m.of_whole |= told.part.is_some() && !counted && told.m.amount.is_some();
        Step::On(next)
    }

    /// The part that words say which else tell no more than its colour and size.
    pub(super) fn coloured_part(&self, words: &[usize]) -> Option<PartId> {
        let (last, before) = words.split_last()?;
        let small = |w: &usize| self.source.is(*w, COLOUR | SIZE | ARTICLE | DETERMINER | ADVERB);
        let coloured = before.iter().any(|w| self.source.is(*w, COLOUR)) && before.iter().all(small);
        self.source.part_word(&[*last]).filter(|_| coloured)
    }

    /// "spoon made of bamboo": whether the words before an `of` or `from` are made of what follows,
    /// as a bamboo spoon is. The bag of a "bag made of starch" is no measure.
    fn is_made(&self, i: usize, taken: &mut Vec<usize>, m: &mut Measured) -> bool {
        let s = self.source;
        let Some(made) = taken.pop_if(|w| s.lower_word(*w) == "made") else { return false };
        if taken.is_empty() && m.unit.is_some() {
            m.unit = None;
            taken.extend(made.checked_sub(1));
        }
        if taken.is_empty() || s.is(i, FOREIGN) {
            taken.push(made);
            return false;
        }
        true
    }

    /// "mould on half a loaf": the state of what follows.
    fn state_on(&self, i: usize, to: usize) -> bool {
        let s = self.source;
        let said = || self.words.iter().all(|w| s.phrase_at(*w, w + 1).1.state() || s.is(*w, COLOUR | ADVERB | SIZE));
        let mould = |w: &usize| s.is(*w, MOULD);
        s.is(i, LIES) && i + 1 < to && self.words.last().is_some_and(mould) && said()
    }

    /// Behind an `of` or `from` that joins no part: a word of a foreign name, or the end of the piece.
    fn no_part(&mut self, taken: Vec<usize>, i: usize) -> Step {
        self.words = taken;
        if self.source.is(i, FOREIGN) { self.with_words(i, i + 1) } else { Step::Over(i) }
    }

    /// Whether a part before `from` is one of the thing before it, and not of what follows.
    fn part_of_the_last(&self, part: Option<PartId>, i: usize, to: usize) -> bool {
        let s = self.source;
        let Some(part) = part.filter(|part| s.is(i, FROM) && !s.whole_ahead(i + 1, to, *part)) else { return false };
        let last = self.drafts.last().and_then(|d| d.names.last());
        last.is_some_and(|n| s.lexicon.has_part(s.without_part(&n.named.name), part))
    }

    /// "restes de gratin", "leftovers of soup": what a state's word says, though it names food by itself.
    fn state_before(&mut self, name: &[usize], i: usize, to: usize) -> Option<Said> {
        let s = self.source;
        let [word] = name else { return None };
        let said = s.phrase_at(*word, word + 1).1.said();
        (said != Said::default() && s.is(i, OF) && self.opens_thing(i + 1, to)).then_some(said)
    }

    /// "stones from two avocados": the part that a word says, though it names a thing by itself; in
    /// other languages whatever follows ("restes de pommes de terre").
    fn part_before(&mut self, name: &[usize], i: usize, to: usize) -> Option<PartId> {
        let s = self.source;
        let part = s.part_word(name)?;
        (s.whole_ahead(i + 1, to, part) || s.is(i, FOREIGN) && self.opens_thing(i + 1, to)).then_some(part)
    }

    /// What stands on both sides of an `of`: "edge flesh of the melon", "leaves of quince", or a name
    /// and a remark.
    fn beside(&mut self, left: Vec<usize>, piece: Piece, words: Vec<usize>, numbered: bool) -> (Piece, Vec<usize>) {
        let s = self.source;
        let was = s.piece(&left, &mut self.labels, numbered, &mut self.spare);
        if piece.known {
            // The heel of a loaf is bread, as the loaf is.
            let name = left.get(was.name.0..was.name.1).unwrap_or(&[]);
            let text = |words: &[usize]| words.iter().map(|w| s.word(*w)).collect::<Vec<_>>().join(" ");
            let right = words.get(piece.name.0..piece.name.1).unwrap_or(&[]);
            let another = || !s.lexicon.same(&text(name), &text(right));
            let part = was.part.or_else(|| s.part_word(name).filter(|_| another()));
            let part = part.filter(|p| s.vocabulary.part_name(*p) != "whole");
            return (Piece { part: piece.part.or(part), said: join(piece.said, was.said), ..piece }, words);
        }
        if was.known || piece.holds != Holds::Name {
            return (Piece { said: join(was.said, piece.said), ..was }, left);
        }
        (piece, words)
    }

    /// A known thing that a word here says is not in what follows, and where to go on.
    fn lacked(&self, at: usize, to: usize) -> Option<(String, usize)> {
        let s = self.source;
        let word = s.lower_word(at);
        let (lacked, next) = match word.strip_suffix("-free") {
            Some(lacked) => (lacked, at + 1),
            None if s.lower_word(at + 1) == "free" && !s.is(at + 2, OF) => (word, at + 2),
            None => return None,
        };
        // "Oil-free" is a state's word; "drug free" says nothing about a scrap; "dairy-free cheese" is another cheese.
        let state = s.phrase_at(at, to).0 > 0;
        let named = (next + 1..=to.min(next + 2)).any(|end| s.lexicon.names(s.between(at, end)));
        (!state && !named && s.lexicon.names(lacked) && s.is_word(next) && next < to)
            .then(|| (lacked.to_string(), next))
    }

    /// "non-greasy leftovers", "non-citrus fruit": the state or the thing that a word denies, where more
    /// follows.
    fn denied_by_prefix(&self, at: usize, to: usize, told: &mut Told) -> Option<usize> {
        let s = self.source;
        let word = s.lower_word(at);
        let apart = word == "non";
        let denied = if apart { s.lower_word(at + 1) } else { word.strip_prefix("non-")? };
        let behind = at + 1 + usize::from(apart);
        let followed = behind < to && s.is_word(behind);
        let named = || (behind + 1..=to.min(behind + 2)).any(|end| s.lexicon.names(s.between(at, end)));
        if !followed || s.phrase_at(at, to).0 > 0 || s.lexicon.names(word) || named() {
            return None;
        }
        let states = s.vocabulary.phrases(denied).iter().filter(|p| p.rest.is_empty());
        let mut said = Said::default();
        let state = states.clone().next().is_some();
        for phrase in states {
            // Not organic is not yet sprayed.
            if let Meaning::State(id, true) = phrase.meaning {
                said.say(id, false);
            }
        }
        if state {
            told.said = join(told.said, said);
        } else if s.lexicon.names(denied) {
            told.lacking.push(denied.to_string());
        } else {
            return None;
        }
        Some(behind)
    }

    /// An amount behind the name, up to the end of the piece: "tea bags 3", "eggshells x6".
    pub(super) fn amount_behind(&self, at: usize, to: usize, m: &mut Measured) -> Option<usize> {
        let s = self.source;
        // "newspaper strips 2 in wide": how the pieces are cut.
        if let Some((_, next)) = s.range(at) {
            let inch = usize::from(s.is_length(next) || s.lower_word(next) == "in");
            if s.is(next + inch, ACROSS) {
                return Some(next + inch + 1);
            }
        }
        if let Some(next) = s.so_long(at) {
            return Some(next);
        }
        let (behind, end) = s.measured(at);
        if end <= at || behind.amount.is_none() || end > to {
            return None;
        }
        // "tea bags x3 torn"
        let multiplied = s.token(at).kind == Kind::Times || s.is(at, TIMES);
        let t = s.token(end);
        let times = t.kind == Kind::Times || (t.is(TIMES) && t.glued);
        let end = if times { end + 1 } else { end };
        let t = s.token(end);
        let over = end >= to
            || matches!(
                t.kind,
                Kind::Comma
                    | Kind::Colon
                    | Kind::Stop
                    | Kind::Close
                    | Kind::Open
                    | Kind::Slash
                    | Kind::Amp
                    | Kind::Plus
                    | Kind::End
                    | Kind::Dash
            )
            || t.is(AND | OR | WITH | WITHOUT | TAIL | FROM)
            || multiplied && s.phrase_at(end, to).1.state();
        // "500 g" at the end: the unit has nothing behind it, and needs nothing.
        let (behind, end, over) = match s.unit_at(end, true) {
            Some((unit, next)) if behind.unit.is_none() && !over && (next >= to || !s.is_word(next)) => {
                (Measured { unit: Some(unit), ..behind }, next, true)
            }
            _ => (behind, end, over),
        };
        // "carrots 2 lb bag"
        let holder = s.unit_at(end, true).filter(|(unit, next)| unit.place.holds() && *next >= to);
        let (end, over) = match holder.filter(|_| behind.measured_unit().is_some()) {
            Some((_, next)) if !over => (next, true),
            _ => (end, over),
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
