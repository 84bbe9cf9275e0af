//! Where one thing ends and the next begins, and to which of them a word belongs.
//!
//! Comes in: the tokens of a line. Goes out: its things. Commas, `and`, `&` and `/` part things
//! unless a known name lies across them; `or` gives one thing several names; `with` and `without`
//! say what comes or does not come with it; brackets and `for ...` are remarks.

use super::amount::{Amount, Each};
use super::glossary::{
    AND, ARTICLE, DETERMINER, ETC, FOREIGN, FROM, INCLUDING, NUMBER, OF, OR, PLUS, RELATIVE, SUCH, TAIL, TIMES, VERB,
    WITH, WITHOUT,
};
use super::measure::{Measured, Source};
use super::piece::{Holds, Label, Piece};
use super::tokens::Kind;
use super::words::{Meaning, PartId, Said, Sort};
use super::{Named, Thing, Vocabulary};

/// How a piece joins what stands before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Joint {
    Start,
    Comma,
    And,
    Or,
    Plus,
    With,
    Without,
    Including,
    Such,
    /// In brackets.
    Bracket,
    /// Nothing stands between.
    Beside,
}

/// One name of a draft.
#[derive(Debug, Clone, Default)]
struct DraftName {
    named: Named,
    known: bool,
}

/// A thing in the making.
#[derive(Debug, Clone, Default)]
struct Draft {
    names: Vec<DraftName>,
    measured: Measured,
    said: Said,
    part: Option<PartId>,
    additions: Vec<String>,
    without: Vec<String>,
    /// Joined to the thing before it by `and`, `or`, `/` without a comma.
    paired: bool,
    /// States said by words before the name: in "mouldy bread and cake" they speak of both.
    leading: Said,
    start: usize,
    end: usize,
    /// A part that `of` or a bracket joins to the names behind it.
    opens: bool,
    /// A waiting part that some name has taken.
    taken: bool,
}

/// Reads the things of one line; the buffers are kept from line to line.
pub(super) struct Splitter<'a> {
    source: Source<'a>,
    drafts: Vec<Draft>,
    /// An amount, states or a part that wait for a name.
    waiting: Option<Draft>,
    words: Vec<usize>,
    labels: Vec<Label>,
    spare: String,
    denied: bool,
    /// A remark stands between the last thing and what comes.
    parted: bool,
    /// "such as ..." began behind a thing with an amount: what follows are examples.
    examples: bool,
}

impl<'a> Splitter<'a> {
    pub(super) fn new(source: Source<'a>) -> Self {
        let (words, labels) = (Vec::with_capacity(16), Vec::with_capacity(16));
        Splitter {
            source,
            drafts: Vec::new(),
            waiting: None,
            words,
            labels,
            spare: String::new(),
            denied: false,
            parted: false,
            examples: false,
        }
    }

    /// All things of the line; none where it says only that something is not there.
    pub(super) fn things(mut self) -> Vec<Thing> {
        let to = self.source.tokens.len();
        self.run(self.opening(to), to, false);
        self.settle_waiting();
        let denied = self.denied;
        let text = self.source.text;
        let mut out: Vec<Thing> = Vec::with_capacity(self.drafts.len());
        let drafts = std::mem::take(&mut self.drafts);
        let nothing = drafts.is_empty();
        for draft in drafts {
            if draft.measured.amount.is_some_and(|a| a.low <= 0.0 && a.high.is_none()) {
                continue;
            }
            out.push(finish(draft, text));
        }
        if out.is_empty() && nothing && !denied {
            let name = text.split_whitespace().collect::<Vec<_>>().join(" ");
            let named = Named { name: name.clone(), full: name, ..Named::default() };
            out.push(Thing {
                text: text.trim().to_string(),
                amount: None,
                unit: None,
                each: None,
                names: vec![named],
                additions: Vec::new(),
                without: Vec::new(),
            });
        }
        out
    }

    /// Where the list itself begins: behind "added" or "fed today:".
    fn opening(&self, to: usize) -> usize {
        let s = &self.source;
        let colon = (0..to.min(5)).find(|i| s.token(*i).kind == Kind::Colon && !s.token(*i + 1).glued);
        if let Some(colon) = colon.filter(|c| *c + 1 < to && *c > 0) {
            let words: Vec<usize> = (0..colon).collect();
            let header = words.iter().all(|w| s.is_word(*w)) && !s.names(&words, &mut String::new());
            let heading = s.is_word(0) && header && !words.iter().any(|w| s.lexicon.names(s.word(*w)));
            if heading {
                return colon + 1;
            }
        }
        // Pictures before a number are ornaments.
        let pictures = (0..to).take_while(|i| matches!(s.token(*i).kind, Kind::Picture(_))).count();
        if pictures > 0
            && matches!(s.token(pictures).kind, Kind::Number { .. })
            && (pictures..to).any(|i| s.token(i).kind == Kind::Word)
        {
            return pictures;
        }
        let mut i = 0;
        if s.is(0, VERB) && to > 1 {
            i = 1;
            while matches!(s.lower_word(i), "in" | "them" | "today" | "worms" | "the" | "up" | "with") && i + 1 < to {
                i += 1;
            }
        }
        i
    }

    fn run(&mut self, from: usize, to: usize, bracket: bool) {
        let s = self.source;
        let mut joint = if bracket { Joint::Bracket } else { Joint::Start };
        let mut comma = false;
        let mut i = from;
        let listed = bracket && self.is_list(from, to);
        while i < to {
            let t = s.token(i);
            match t.kind {
                Kind::Comma | Kind::Stop | Kind::Colon => {
                    if !matches!(joint, Joint::Or | Joint::And) || !bracket {
                        joint = if bracket && joint == Joint::Bracket { joint } else { Joint::Comma };
                    }
                    comma = true;
                    i += 1;
                    continue;
                }
                Kind::Dash => {
                    joint = Joint::Comma;
                    comma = true;
                    i += 1;
                    continue;
                }
                Kind::Slash | Kind::Amp => {
                    joint = Joint::And;
                    i += 1;
                    continue;
                }
                Kind::Plus => {
                    joint = Joint::Plus;
                    i += 1;
                    continue;
                }
                Kind::Open => {
                    // A bracket with a number before the first name belongs to the amount.
                    let counted = self.drafts.is_empty()
                        && self.waiting.is_none()
                        && matches!(s.token(i + 1).kind, Kind::Number { .. });
                    if !counted || s.measured(i).1 == i {
                        let close = self.closing(i, to);
                        self.run(i + 1, close, true);
                        i = close + 1;
                        joint = Joint::Beside;
                        comma = false;
                        continue;
                    }
                }
                Kind::Close | Kind::Percent | Kind::End => {
                    i += 1;
                    continue;
                }
                Kind::Word | Kind::Number { .. } | Kind::Times | Kind::Picture(_) => {}
            }
            if t.kind == Kind::Word && s.phrase_at(i, to).0 < 2 && s.denial_at(i, to).0 == 0 {
                if let Some((next_joint, next)) = self.joint_word(i, to, joint, comma) {
                    match next_joint {
                        Some(j) => joint = j,
                        None => joint = Joint::Comma,
                    }
                    i = next;
                    continue;
                }
            }
            let next = self.take(i, to, joint, comma, bracket, listed);
            i = if next > i { next } else { i + 1 };
            joint = Joint::Beside;
            comma = false;
        }
    }

    /// A word that joins or opens a remark: the joint it makes and where to go on.
    fn joint_word(&mut self, at: usize, to: usize, joint: Joint, comma: bool) -> Option<(Option<Joint>, usize)> {
        let s = self.source;
        let t = s.token(at);
        let nothing_before = self.drafts.is_empty() && self.waiting.is_none();
        if t.is(FOREIGN) && nothing_before {
            return None;
        }
        if s.lower_word(at) == "as" && s.lower_word(at + 1) == "well" {
            let skip = if s.lower_word(at + 2) == "as" { 3 } else { 2 };
            return Some((Some(Joint::And), at + skip));
        }
        if s.lower_word(at) == "along" && s.is(at + 1, WITH) {
            return Some((Some(Joint::And), at + 2));
        }
        if t.is(AND) && !nothing_before {
            // "and stuff", "and so on"
            let rest = matches!(s.lower_word(at + 1), "stuff" | "things" | "such" | "so" | "more" | "others");
            let end = if s.lower_word(at + 1) == "so" { at + 3 } else { at + 2 };
            if rest && !s.is_word(end) {
                return Some((None, end));
            }
            return Some((Some(if matches!(joint, Joint::Or) { Joint::Or } else { Joint::And }), at + 1));
        }
        if t.is(OR) && !nothing_before {
            // "or to taste", "or more": no second name.
            let more =
                matches!(s.lower_word(at + 1), "more" | "less" | "so" | "as" | "to" | "whatever" | "both" | "even");
            if more && s.lower_word(at + 1) != "even" {
                return Some((None, self.tail_end(at + 1, to, false)));
            }
            return Some((Some(Joint::Or), at + 1));
        }
        if t.is(PLUS) && !nothing_before {
            let remark = matches!(s.lower_word(at + 1), "more" | "extra" | "additional" | "some" | "enough" | "a");
            let amount = s.lower_word(at + 1) == "a" && s.unit_at(at + 2, true).is_some();
            if remark && !amount {
                return Some((None, self.tail_end(at + 1, to, false)));
            }
            return Some((Some(Joint::Plus), at + 1));
        }
        if t.is(WITH) && !nothing_before {
            return Some((Some(Joint::With), at + 1));
        }
        if t.is(WITHOUT) && !t.is(NUMBER) && !(s.lower_word(at) == "no" && s.token(at + 1).kind == Kind::Stop) {
            return Some((Some(Joint::Without), at + 1));
        }
        if t.is(INCLUDING) && !nothing_before {
            return Some((Some(Joint::Including), at + 1));
        }
        if (t.is(SUCH) || (s.lower_word(at) == "such" && s.lower_word(at + 1) == "as")) && !nothing_before {
            let skip = if s.lower_word(at) == "such" { 2 } else { 1 };
            return Some((Some(Joint::Such), at + skip));
        }
        if s.lower_word(at) == "out" && !s.is(at + 1, OF) {
            return None;
        }
        if t.is(ETC) || (t.is(OF) && !t.is(FOREIGN)) {
            return Some((Some(joint), at + 1));
        }
        if t.is(TAIL | FROM) {
            // "but not the bones"
            if matches!(s.lower_word(at), "but" | "though") && s.is(at + 1, WITHOUT) {
                return Some((Some(joint), at + 1));
            }
            // "that soup", "some": at the start of a thing these point, they do not tell.
            let points = t.is(RELATIVE) && (nothing_before || comma || joint == Joint::And);
            if points || nothing_before {
                return Some((Some(joint), at + 1));
            }
            if matches!(joint, Joint::And | Joint::Or) && s.lower_word(at) == "from" {
                return Some((Some(joint), at + 1));
            }
            if s.lower_word(at) == "from" {
                self.compose(at + 1, to);
            }
            self.parted = true;
            let relative = t.is(RELATIVE) || (s.lower_word(at) == "as" && s.lower_word(at + 1) == "long");
            return Some((None, self.tail_end(at, to, relative)));
        }
        None
    }

    /// "chaff from roasted coffee beans": where the two together are a name, that is meant.
    fn compose(&mut self, at: usize, to: usize) {
        let s = self.source;
        let end = (at..to).find(|i| !s.is_word(*i) || s.is(*i, AND | OR | WITH | TAIL | FROM)).unwrap_or(to);
        let Some(draft) = self.drafts.last_mut().filter(|d| d.names.len() == 1) else { return };
        let Some(name) = draft.names.first_mut().filter(|n| n.named.part.is_none()) else { return };
        let of = (at..end).filter(|i| !s.is(*i, ARTICLE | DETERMINER)).take(4);
        let whole = of.map(|i| format!("{} {}", s.word(i), name.named.name)).find(|w| s.lexicon.names(w));
        if let Some(whole) = whole {
            name.named.full.clone_from(&whole);
            name.named.name = whole;
            name.known = true;
            draft.end = s.token(end.saturating_sub(1).max(at)).end;
        }
    }

    /// The end of a remark; the states of a relative clause go to the thing before it.
    fn tail_end(&mut self, at: usize, to: usize, relative: bool) -> usize {
        let s = self.source;
        let mut i = at;
        let mut said = Said::default();
        while i < to {
            let t = s.token(i);
            match t.kind {
                Kind::Comma | Kind::Stop | Kind::Open | Kind::Close | Kind::Colon | Kind::End => break,
                Kind::Dash if !t.glued => break,
                _ => {}
            }
            if i > at
                && (t.is((AND | OR) & !FOREIGN) || t.kind == Kind::Amp)
                && !t.is(FOREIGN)
                && self.opens_thing(i + 1, to)
            {
                break;
            }
            if relative {
                let (len, label) = s.denial_at(i, to);
                let (len, label) = if len > 0 { (len, label) } else { s.phrase_at(i, to) };
                if len > 0 {
                    let l = label_said(&s, i, len, &mut self.labels);
                    said.yes |= l.yes;
                    said.no |= l.no;
                    let _ = label;
                    i += len;
                    continue;
                }
            }
            i += 1;
        }
        if relative {
            if let Some(draft) = self.drafts.last_mut() {
                draft.said.yes |= said.yes;
                draft.said.no |= said.no;
                for name in &mut draft.names {
                    name.named.said.yes |= said.yes;
                    name.named.said.no |= said.no;
                }
            }
        }
        i.max(at + 1)
    }

    /// Whether the words here are a known name or a state: an `and` before them ends a remark.
    fn opens_thing(&mut self, at: usize, to: usize) -> bool {
        let s = self.source;
        let mut from = at;
        while from < to && (s.is(from, DETERMINER | ARTICLE | super::glossary::ADVERB | super::glossary::PLAIN)) {
            from += 1;
        }
        if s.phrase_at(from, to).0 > 0 {
            return true;
        }
        (1..=3).any(|len| {
            let words: Vec<usize> = (from..from + len).filter(|w| *w < to && s.is_word(*w)).collect();
            words.len() == len && s.names(&words, &mut self.spare)
        })
    }

    fn closing(&self, open: usize, to: usize) -> usize {
        let mut depth = 0usize;
        for i in open..to {
            match self.source.token(i).kind {
                Kind::Open => depth += 1,
                Kind::Close => {
                    depth = depth.saturating_sub(1);
                    if depth == 0 {
                        return i;
                    }
                }
                _ => {}
            }
        }
        to
    }

    /// A bracket that lists things: "(cheese, yogurts, butter)", "(including sprouts)".
    fn is_list(&self, from: usize, to: usize) -> bool {
        let s = &self.source;
        s.is(from, AND | INCLUDING | PLUS)
            || (from..to)
                .any(|i| matches!(s.token(i).kind, Kind::Comma | Kind::Slash | Kind::Amp) || (i > from && s.is(i, AND)))
            || s.lower_word(to.saturating_sub(1)) == "included"
    }

    /// Whether a known name lies across the joining word at `at`; the end of that name.
    fn spans(&mut self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let before = self.words.len();
        for back in (1..=before.min(3)).rev() {
            for ahead in (1..=3).rev() {
                let last = at + ahead;
                if last >= to || !(at + 1..=last).all(|i| s.is_word(i)) {
                    continue;
                }
                let mut span: Vec<usize> = self.words.iter().skip(before - back).copied().collect();
                span.extend(at..=last);
                if s.names(&span, &mut self.spare) {
                    return Some(last);
                }
            }
        }
        None
    }

    /// Reads one piece from `at`; gives where it ended.
    fn take(&mut self, at: usize, to: usize, joint: Joint, comma: bool, bracket: bool, listed: bool) -> usize {
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
                    let joins = t.is(AND | OR | WITH | WITHOUT | INCLUDING | SUCH | TAIL | FROM | PLUS | OF | ETC)
                        && !t.is(NUMBER);
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
                    if t.is(OF) || (t.is(FROM) && s.lower_word(i) == "from") {
                        let taken = std::mem::take(&mut self.words);
                        let piece = s.piece(&taken, &mut self.labels, false, &mut self.spare);
                        match piece.holds {
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
        let numbered = m.amount.is_some() && m.unit.is_none();
        let mut piece = s.piece(&words, &mut self.labels, numbered, &mut self.spare);
        let mut words = words;
        if let Some(left) = left {
            let (right_known, right_named) = (piece.known, piece.holds == Holds::Name);
            let was = s.piece(&left, &mut self.labels, numbered, &mut self.spare);
            if right_known {
                // "edge flesh of the melon"
                piece.part = piece.part.or(was.part.filter(|p| s.vocabulary.part_name(*p) != "whole"));
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
        self.place(made, &words, joint);
        self.words = words;
        i.max(i0)
    }

    /// An amount behind the name, up to the end of the piece: "tea bags 3", "eggshells x6".
    fn amount_behind(&self, at: usize, to: usize, m: &mut Measured) -> Option<usize> {
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

    fn past_of(&self, at: usize, m: &mut Measured) -> usize {
        let s = self.source;
        let (inner, next) = s.measured(at);
        if m.amount.is_none() && inner.amount.is_some() {
            *m = Measured { unit: inner.unit.or(m.unit), skip: inner.skip, ..inner };
        }
        if next > at { next } else { at }
    }

    fn foreign_joint(&mut self, at: usize, to: usize) -> bool {
        let s = self.source;
        let left = s.names(&self.words.clone(), &mut self.spare)
            || self.words.last().is_some_and(|w| s.lexicon.names(s.word(*w)));
        left && self.opens_thing(at + 1, to)
    }

    /// Puts a piece where it belongs.
    fn place(&mut self, made: Made, words: &[usize], joint: Joint) {
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
    fn bracketed(&mut self, made: &Made, words: &[usize], joint: Joint) -> bool {
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

    fn amount_only(&mut self, made: Made, joint: Joint) {
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
                    if matches!(unit.measure, super::Measure::Mass(_)) || new.of_each {
                        had.each = Some(Each { amount: whole, unit });
                    }
                }
            }
            _ => {}
        }
    }

    fn states_only(&mut self, made: Made, joint: Joint) {
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

    fn parts_only(&mut self, made: Made, words: &[usize], joint: Joint) {
        let s = self.source;
        let text = s.joined(words.get(made.piece.full.0..made.piece.full.1).unwrap_or(&[]), &mut self.spare);
        let part = made.piece.part;
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
    fn settle_waiting_part(&mut self) {
        if self.waiting.as_ref().is_some_and(|w| w.part.is_some()) {
            if let Some(mut draft) = self.waiting.take().filter(|w| !w.taken) {
                for name in &mut draft.names {
                    name.named.said = join(name.named.said, draft.said);
                }
                self.drafts.push(draft);
            }
        }
    }

    fn settle_waiting(&mut self) {
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

    fn named(&mut self, made: Made, words: &[usize], joint: Joint) {
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

    /// "leaves and stalks from vegetables": the first is a part of the same thing as the second.
    fn share_of(&mut self, name: &DraftName, joint: Joint) {
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
    fn share_head(&mut self, name: &mut DraftName, piece: &Piece, words: &[usize], joint: Joint) {
        let s = self.source;
        let name_words = words.get(piece.name.0..piece.name.1).unwrap_or(&[]);
        let own_amount = self.drafts.last().is_some_and(|d| d.measured.amount.is_some());
        let Some(draft) = self.drafts.last_mut() else { return };
        // "coffee grinds and filters": the second borrows the first word of the first.
        if !name.known && name_words.len() == 1 {
            let first = draft.names.last().map(|n| n.named.full.clone()).unwrap_or_default();
            if let Some((word, _)) = first.split_once(' ') {
                let whole = format!("{word} {}", name.named.name);
                if s.lexicon.names(&whole) {
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
        let modified = name_words.len() > 1 || piece.full.0 < piece.name.0;
        for other in &mut draft.names {
            let single = !other.named.name.contains(' ');
            let plural = is_plural(&other.named.name);
            if other.named.part.is_none() && !plural {
                let own = name.named.name.split(' ').next().is_some_and(|w| w.eq_ignore_ascii_case(&other.named.name));
                let head =
                    heads.iter().find(|h| single && !own && s.lexicon.names(&format!("{} {h}", other.named.name)));
                let colour =
                    super::glossary::gloss(&other.named.name.to_ascii_lowercase()).roles & super::glossary::COLOUR != 0;
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
            // "orange & lemon peel": the part goes to both, unless the first is plural or counted by itself.
            let has = other.named.name.rsplit(' ').next().is_some_and(|w| w.eq_ignore_ascii_case(&part_words));
            if let (Some(part), None, false) = (piece.part, other.named.part, part_words.is_empty() || has) {
                if !plural && (!own_amount || joint == Joint::Or) {
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
            let noun = words.last().is_some_and(|w| matches!(s.lower_word(*w), "leftovers" | "left-overs" | "remains"));
            if noun || other.named.said == Said::default() {
                other.named.said = join(other.named.said, piece.trailing);
            }
        }
    }

    fn add_with(&mut self, made: Made, words: &[usize]) {
        let s = self.source;
        let name = match made.piece.holds {
            Holds::Name => s.joined(words.get(made.piece.name.0..made.piece.full.1).unwrap_or(&[]), &mut self.spare),
            Holds::Parts if !words.is_empty() => {
                s.joined(words.get(made.piece.full.0..made.piece.full.1).unwrap_or(&[]), &mut self.spare)
            }
            Holds::States => return self.states_only(made, Joint::Comma),
            _ => return,
        };
        if let Some(draft) = self.drafts.last_mut() {
            draft.additions.push(name);
            draft.end = made.end.max(draft.end);
        }
    }

    fn add_without(&mut self, made: Made, words: &[usize]) {
        let s = self.source;
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
            _ => s.joined(words.get(made.piece.full.0..made.piece.full.1).unwrap_or(&[]), &mut self.spare),
        };
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

/// A piece on its way to a draft.
struct Made {
    m: Measured,
    piece: Piece,
    start: usize,
    end: usize,
    /// The words of a part that `of` joined to the name.
    of_part: Option<Vec<usize>>,
    comma: bool,
    bracket: bool,
    listed: bool,
}

fn join(a: Said, b: Said) -> Said {
    Said { yes: a.yes | b.yes, no: a.no | b.no }
}

fn without(a: Said, b: Said) -> Said {
    Said { yes: a.yes & !b.yes, no: a.no & !b.no }
}

/// "Fresh or frozen", "greasy or spicy": a preparation is not said to have been made; a condition
/// may hold, so it counts; two that exclude each other stay said, and so unknown.
fn either(vocabulary: &Vocabulary, a: Said, b: Said) -> Said {
    if vocabulary.excluded_by(a.yes) & b.yes != 0 {
        return join(a, b);
    }
    let conditions =
        vocabulary.states().filter(|(_, s)| s.sort == Sort::Condition).fold(0, |acc, (id, _)| acc | id.bit());
    Said { yes: (a.yes | b.yes) & (conditions | (a.yes & b.yes)), no: a.no & b.no }
}

fn is_plural(name: &str) -> bool {
    let mut last = name.bytes().rev().map(|b| b.to_ascii_lowercase());
    name.len() > 3 && last.next() == Some(b's') && !matches!(last.next(), Some(b's' | b'u' | b'i'))
}

fn label_said(s: &Source<'_>, at: usize, len: usize, labels: &mut Vec<Label>) -> Said {
    let words: Vec<usize> = (at..at + len).collect();
    let piece = s.piece(&words, labels, false, &mut String::new());
    piece.said
}

fn finish(draft: Draft, text: &str) -> Thing {
    let m = draft.measured;
    // The bracket that closes belongs to the one that opened.
    let piece = text.get(draft.start..draft.end).unwrap_or(text);
    let open = piece.matches('(').count() > piece.matches(')').count();
    let closed = open && text.get(draft.end..).is_some_and(|t| t.starts_with(')'));
    let piece = if closed { text.get(draft.start..=draft.end).unwrap_or(piece) } else { piece };
    Thing {
        text: piece.trim().to_string(),
        amount: m.amount.map(tidy),
        unit: m.unit.map(|u| u.unit),
        each: m.each,
        names: draft.names.into_iter().map(|n| n.named).collect(),
        additions: draft.additions,
        without: draft.without,
    }
}

/// Sums of thirds and spoons leave dust behind the point.
fn tidy(amount: Amount) -> Amount {
    let tidy = |x: f64| (x * 1e6).round() / 1e6;
    Amount { low: tidy(amount.low), high: amount.high.map(tidy) }
}
