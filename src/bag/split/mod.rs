//! Where one thing ends and the next begins, and to which of them a word belongs.
//!
//! Comes in: the tokens of a line. Goes out: its things. Commas, `and`, `&` and `/` part things
//! unless a known name lies across them; `or` gives one thing several names; `with` and `without`
//! say what comes or does not come with it; brackets and `for ...` are remarks.

mod company;
mod draft;
mod joints;
mod named;
mod opening;
mod place;
mod share;
mod take;
mod which;
mod whole;

use crate::bag::glossary::{
    ADVERB, AND, ARTICLE, COLOUR, DETERMINER, FRACTION, FROM, GONE, INCLUDING, LIES, NOT, OFF, OR, PLAIN, PLUS, SHARE,
    SIZE, STAYS, SUCH, TAIL, TURNS, WITH, WITHOUT,
};
use crate::bag::measure::Source;
use crate::bag::piece::Labels;
use crate::bag::tokens::Kind;
use crate::bag::{Named, Thing};
use draft::{Draft, finish};
use joints::{At, Joint};
use std::sync::Arc;

/// Reads the things of one line; the buffers are kept from line to line.
pub(super) struct Splitter<'a> {
    source: Source<'a>,
    drafts: Vec<Draft>,
    /// An amount, states or a part that wait for a name.
    waiting: Option<Draft>,
    words: Vec<usize>,
    labels: Labels,
    spare: String,
    denied: bool,
    /// What comes with the last thing was said by `with`, and by nothing that tells where it lay.
    by_with: bool,
    /// A remark stands between the last thing and what comes.
    parted: bool,
    /// "such as ..." began behind a thing with an amount: what follows are examples.
    examples: bool,
    /// "peels: ..." began: the part is that of everything in the list that follows.
    parts_of: bool,
}

impl<'a> Splitter<'a> {
    pub(super) fn new(source: Source<'a>) -> Self {
        let (words, labels) = (Vec::with_capacity(16), Labels::new());
        Splitter {
            source,
            drafts: Vec::with_capacity(1),
            waiting: None,
            words,
            labels,
            spare: String::new(),
            denied: false,
            by_with: false,
            parted: false,
            examples: false,
            parts_of: false,
        }
    }

    /// All things of the line; none where it says only that something is not there.
    pub(super) fn things(mut self) -> Vec<Arc<Thing>> {
        let to = self.source.tokens.len();
        let begins = opening::opening(&self.source, to);
        // "Weds - nothing"
        let nothing = begins > 0 && (begins..to).all(|i| self.source.is(i, WITHOUT));
        if to > 0 && nothing {
            return Vec::new();
        }
        self.run(begins, to, false);
        self.settle_waiting();
        let said = opening::heading_says(&self.source, begins);
        for name in self.drafts.iter_mut().flat_map(|d| &mut d.names) {
            name.named.said = draft::join(name.named.said, said);
        }
        let denied = self.denied;
        let text = self.source.text;
        let mut out: Vec<Arc<Thing>> = Vec::with_capacity(self.drafts.len());
        let drafts = std::mem::take(&mut self.drafts);
        let nothing = drafts.is_empty();
        for draft in drafts {
            if draft.measured.amount.is_some_and(|a| a.low <= 0.0 && a.high.is_none()) {
                continue;
            }
            out.push(finish(draft, text).into());
        }
        // "none"
        let denied = denied || to > 0 && (0..to).all(|i| self.source.is(i, WITHOUT));
        if out.is_empty() && nothing && !denied {
            let name = text.split_whitespace().collect::<Vec<_>>().join(" ");
            let named = Named { name: name.clone(), full: name, ..Named::default() };
            out.push(Arc::new(Thing {
                text: text.trim().to_string(),
                amount: None,
                unit: None,
                each: None,
                about: None,
                of_whole: false,
                names: [named].into(),
                additions: Vec::new(),
                without: Vec::new(),
            }));
        }
        out
    }

    fn run(&mut self, from: usize, to: usize, bracket: bool) {
        let s = self.source;
        let mut joint = if bracket { Joint::Bracket } else { Joint::Start };
        let mut comma = false;
        // What came last is what is not there: "or" and a slash go on with that.
        let mut denied = false;
        let mut i = if bracket { self.past_what_went(from, to) } else { from };
        let listed = bracket && self.is_list(from, to);
        while i < to {
            let t = s.token(i);
            if let Some(end) = self.told_in_parts(i, to) {
                i = end;
                joint = Joint::Beside;
                comma = false;
                continue;
            }
            // "carrots, 28 Nov", "peels 28/11": when, and not how many.
            if let Some(end) = opening::date_ends(&s, i, to).filter(|_| !self.drafts.is_empty()) {
                i = end;
                continue;
            }
            match t.kind {
                Kind::Comma if self.denial_goes_on(i, to) => {
                    denied = true;
                    joint = Joint::Without;
                    i += 1;
                    continue;
                }
                Kind::Comma | Kind::Stop | Kind::Colon => {
                    if !matches!(joint, Joint::Or | Joint::And) || !bracket {
                        joint = if bracket && joint == Joint::Bracket { joint } else { Joint::Comma };
                    }
                    comma = true;
                    denied = false;
                    self.opens_list(t.kind);
                    i = self.past_what_went(i + 1, to);
                    continue;
                }
                Kind::Dash => {
                    self.opens_list(t.kind);
                    joint = Joint::Comma;
                    comma = true;
                    denied = false;
                    i = self.past_what_went(i + 1, to);
                    continue;
                }
                Kind::Slash | Kind::Amp => {
                    joint = if denied && t.kind == Kind::Slash { Joint::Without } else { Joint::And };
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
                        let had = self.drafts.last().map_or(0, |d| d.additions.len());
                        self.run(i + 1, close, true);
                        // A bracket that names what is on a thing is shown with it.
                        if let Some(draft) = self.drafts.last_mut().filter(|d| d.additions.len() > had && close < to) {
                            draft.end = draft.end.max(s.token(close).end);
                        }
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
            if denied && t.is(OR) && s.is_word(i + 1) {
                joint = Joint::Without;
                i += 1;
                continue;
            }
            let words = s.phrase_at(i, to).0 >= 2 || s.denial_at(i, to).0 > 0 || s.name_of_words(i).is_some();
            if t.kind == Kind::Word && !words {
                if let Some((next_joint, next)) = self.joint_word(At { at: i, to, joint, comma }) {
                    match next_joint {
                        Some(j) => joint = j,
                        None => joint = Joint::Comma,
                    }
                    i = next;
                    continue;
                }
            }
            denied = joint == Joint::Without || t.is(WITHOUT);
            let next = self.take(i, to, joint, comma, bracket, listed);
            i = if next > i { next } else { i + 1 };
            joint = Joint::Beside;
            comma = false;
        }
    }

    /// "peels: potato, carrot", "peels - carrot, beet": a mark behind a part alone opens the list of what
    /// it is of; a semicolon closes it.
    fn opens_list(&mut self, mark: Kind) {
        match mark {
            Kind::Colon | Kind::Dash => {
                self.parts_of |= match self.drafts.as_slice() {
                    [] => self.waiting.as_ref().is_some_and(|w| w.part.is_some()),
                    [one] => self.kind_and_part(one).is_some(),
                    _ => false,
                };
            }
            Kind::Stop => self.parts_of = false,
            _ => {}
        }
    }

    /// "no meat, fish or dairy": a list of bare names that `or` closes is denied to its end, if a
    /// thing is denied before the comma at `at`, and not a state ("not peeled").
    fn denial_goes_on(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let listed = |i: &usize| s.is_word(*i) || s.token(*i).kind == Kind::Comma;
        let denied = (0..at).rev().take_while(listed).find(|i| s.is(*i, WITHOUT | AND | OR | WITH | TAIL | FROM));
        let named = |i: usize| s.lexicon.names(s.between(i + 1, at));
        if !denied.is_some_and(|i| s.is(i, WITHOUT) && (!s.is(i, NOT) || named(i))) {
            return false;
        }
        let end = (at + 1..to).find(|i| !listed(i)).unwrap_or(to);
        let mut from = at + 1;
        loop {
            let upto = (from..end).find(|i| !s.is_word(*i) || s.is(*i, OR)).unwrap_or(end);
            let joins = |i| s.is(i, AND | WITH | WITHOUT | INCLUDING | SUCH | TAIL | FROM);
            // "macaroni and cheese" is one.
            if (from..upto).any(joins) && !s.lexicon.names(s.between(from, upto)) {
                return false;
            }
            if upto + 1 >= end || s.is(upto, OR) {
                return upto + 1 < end;
            }
            from = upto + 1;
        }
    }

    /// Behind "core and peel removed" or "peels and all", if that stands here and says what is gone or
    /// still there of the thing before it.
    fn past_what_went(&self, from: usize, to: usize) -> usize {
        let s = self.source;
        let joins = |i: usize| s.is(i, AND) || matches!(s.token(i).kind, Kind::Amp | Kind::Slash);
        let end = (from..to).find(|i| s.token(*i).kind != Kind::Word && !joins(*i)).unwrap_or(to);
        let last = end.saturating_sub(1);
        // "peels and all", "tops included", "rind on", "skin off", "greasy half torn off": no more than the
        // thing itself.
        let whole = match s.lower_word(last) {
            _ if s.is(last, OFF) && last > from && s.taken_off(last - 1) => last - 1,
            "all" if joins(last.saturating_sub(1)) => last.saturating_sub(1),
            _ if s.is(last, STAYS | OFF) && s.phrase_at(from, end).0 < 2 => last,
            _ => from,
        };
        // "slimy end off", "outer leaves still on"
        let off = s.is(last, OFF);
        let part = |i: usize| s.part_word(&[i]).is_some() || off && s.is(i, FRACTION | SHARE);
        let small = |i: usize| s.is(i, PLAIN | ADVERB | SIZE | COLOUR) || off && s.phrase_at(i, i + 1).1.state();
        let said = |i: usize| part(i) || joins(i) || small(i);
        if (from..whole).any(part) && (from..whole).all(said) && !self.drafts.is_empty() {
            return end;
        }
        if self.went(from, end) {
            return end;
        }
        let went = s.is(last, GONE);
        let several = (from..end).any(joins);
        // "bananas, carrots and stems removed": only a part can be gone of what came before.
        let (len, label) = s.phrase_at(from, end);
        let of_it = label.part.is_some() && joins(from + len);
        if went && several && of_it && !self.drafts.is_empty() { end } else { from }
    }

    /// "(string & staple removed)", "tape and labels torn off": whether nothing but what is no longer there stands
    /// here, in brackets whatever it is, behind a comma what fastens or sticks.
    fn went(&self, from: usize, end: usize) -> bool {
        let s = self.source;
        let last = end.saturating_sub(1);
        let before = last.saturating_sub(1);
        let gone = if s.taken_off(before) { before } else { last };
        let all = s.is(gone, GONE | OFF) || s.taken_off(gone);
        // What has gone off is still there.
        let (len, label) = s.phrase_at(before, end);
        let state = s.is(last, OFF) && (len > 1 && label.state() || s.is(before, TURNS));
        let partly = (from..gone).any(|i| s.is_partly(i) || s.is(i, NOT | WITHOUT | WITH | FROM | LIES | TAIL));
        if self.drafts.is_empty() || gone <= from || !all || partly || state {
            return false;
        }
        let bracket = from.checked_sub(1).is_some_and(|i| s.token(i).kind == Kind::Open);
        let small = |i: usize| s.is(i, ARTICLE | DETERMINER | ADVERB | AND) || s.token(i).kind != Kind::Word;
        let known = |i: usize| s.lexicon.names(s.word(i)) && !small(i);
        let sticks = |i: usize| small(i) || !s.lexicon.names_food(s.word(i));
        bracket || (from..gone).any(known) && (from..gone).all(sticks)
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
}
