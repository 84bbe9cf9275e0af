//! Where one thing ends and the next begins, and to which of them a word belongs.
//!
//! Comes in: the tokens of a line. Goes out: its things. Commas, `and`, `&` and `/` part things
//! unless a known name lies across them; `or` gives one thing several names; `with` and `without`
//! say what comes or does not come with it; brackets and `for ...` are remarks.

mod draft;
mod joints;
mod named;
mod place;
mod share;
mod take;

use crate::bag::glossary::{
    AND, ARTICLE, DETERMINER, DOING, FROM, INCLUDING, NOT, OF, OR, PLUS, SUCH, TAIL, VERB, WITH, WITHOUT,
};
use crate::bag::measure::Source;
use crate::bag::piece::Labels;
use crate::bag::tokens::Kind;
use crate::bag::{Named, Thing};
use draft::{Draft, finish};
use joints::Joint;
use std::sync::Arc;

/// Words between the first of a question and what it asks about.
const ASKING: &[&str] = &[
    "i", "we", "you", "they", "my", "the", "your", "our", "worms", "worm", "wigglers", "it", "there", "ok", "okay",
    "alright", "safe", "fine", "good", "bad", "wrong", "to", "eat", "like", "love", "feed", "add", "put", "give",
    "compost", "use", "have", "throw", "toss", "them", "in", "into", "bin", "about", "ever",
];

/// Months; a short form is the first three letters, or "sept".
const MONTHS: &[&str] = &[
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// Days of the week; a short form is the first three letters, "tues", "weds", "thur" or "thurs".
const DAYS: &[&str] = &["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];

/// Whether a word is one of these or its usual short form: "apr" is April, "apricot" is none.
fn calendar(word: &str, names: &[&str]) -> bool {
    let word = if word == "weds" { "wed" } else { word };
    let short = word.len() == 3 || matches!(word, "sept" | "tues" | "thur" | "thurs");
    names.iter().any(|name| *name == word || short && name.starts_with(word))
}

/// What people number, and write before what is in it.
const LABELS: &[&str] =
    &["week", "day", "bag", "bin", "batch", "tray", "feeding", "box", "bucket", "jar", "tub", "container", "caddy"];

/// The length of a date of three numbers that a text begins with.
fn date(text: &str) -> Option<usize> {
    let length = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '/' | '.' | '-'))).unwrap_or(text.len());
    let date = text.get(..length)?.trim_end_matches(['/', '.', '-']);
    let mark = date.chars().find(|c| !c.is_ascii_digit())?;
    let lengths: Vec<usize> = date.split(mark).map(str::len).collect();
    let digits = date.split(mark).all(|part| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit()));
    matches!(lengths[..], [1 | 2, 1 | 2, 2 | 4] | [4, 1 | 2, 1 | 2]).then_some(date.len()).filter(|_| digits)
}

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
            parted: false,
            examples: false,
            parts_of: false,
        }
    }

    /// All things of the line; none where it says only that something is not there.
    pub(super) fn things(mut self) -> Vec<Arc<Thing>> {
        let to = self.source.tokens.len();
        let begins = self.opening(to);
        // "Weds - nothing"
        let nothing = begins > 0 && (begins..to).all(|i| self.source.is(i, WITHOUT));
        if to > 0 && nothing {
            return Vec::new();
        }
        self.run(begins, to, false);
        self.settle_waiting();
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
                names: [named].into(),
                additions: Vec::new(),
                without: Vec::new(),
            }));
        }
        out
    }

    /// Where the list itself begins: behind "added" or "fed today:".
    fn opening(&self, to: usize) -> usize {
        let s = &self.source;
        if let Some(begins) = self.headed(to) {
            return begins;
        }
        // Pictures before a number are ornaments.
        let pictures = (0..to).take_while(|i| matches!(s.token(*i).kind, Kind::Picture(_))).count();
        if pictures > 0
            && matches!(s.token(pictures).kind, Kind::Number { .. })
            && (pictures..to).any(|i| s.token(i).kind == Kind::Word)
        {
            return pictures;
        }
        if let Some(begins) = self.dated(to).or_else(|| self.labelled(to)).or_else(|| self.asked(to)) {
            return begins;
        }
        if let Some(begins) = self.told_of_worms(to) {
            return begins;
        }
        let mut i = 0;
        let me = usize::from(matches!(s.lower_word(0), "i" | "we" | "i've" | "we've" | "just"));
        if s.is(me, VERB) && to > me + 1 && s.name_of_words(me).is_none() {
            i = me + 1;
            while matches!(s.lower_word(i), "in" | "them" | "today" | "worms" | "the" | "up" | "with") && i + 1 < to {
                i += 1;
            }
        }
        i
    }

    /// Behind "my worms won't eat", "they love", "the worms are all over": what they were given.
    fn told_of_worms(&self, to: usize) -> Option<usize> {
        let s = &self.source;
        let of = usize::from(s.is(0, DETERMINER));
        let worms = of + usize::from(matches!(s.lower_word(of), "red" | "compost"));
        let opens = matches!(s.lower_word(worms), "worms" | "wigglers" | "they");
        let end = (worms + 1..to).find(|i| !s.is(*i, DOING)).filter(|_| opens)?;
        let begins = s.is_word(end) || matches!(s.token(end).kind, Kind::Number { .. });
        (end > worms + 1 && begins).then_some(end)
    }

    /// Behind "fed today:", "from the allotment:", "veg scraps: carrot, leek".
    fn headed(&self, to: usize) -> Option<usize> {
        let s = &self.source;
        let colon = (1..to.min(8)).find(|i| s.token(*i).kind == Kind::Colon && !s.token(*i + 1).glued)?;
        let words: Vec<usize> = (0..colon).collect();
        if colon + 1 >= to || !words.iter().all(|w| s.is_word(*w)) {
            return None;
        }
        // "peels: potato, carrot"
        let last = words.iter().rev().find(|w| !s.is(**w, OF)).and_then(|w| s.part_word(&[*w]));
        if last.is_some_and(|p| !matches!(s.vocabulary.part_name(p), "trimmings" | "whole")) {
            return None;
        }
        // "From the allotment:": `the` is no French tea.
        let small = |w: usize| s.is(w, ARTICLE | DETERMINER | FROM | TAIL);
        let name: Vec<&str> = words.iter().filter(|w| !small(**w)).map(|w| s.word(*w)).collect();
        let known = s.lexicon.names(&name.join(" ")) || name.iter().any(|word| s.lexicon.names(word));
        (!known || s.is(0, FROM) || self.listed_under(&name.join(" "), colon + 1, to)).then_some(colon + 1)
    }

    /// Whether what follows lists things of the kind that a name before a colon says.
    fn listed_under(&self, name: &str, from: usize, to: usize) -> bool {
        let s = &self.source;
        let words: Vec<usize> = (from..to).filter(|i| s.is_word(*i)).collect();
        let names = s.names_within(&words, &mut String::new());
        let under = |one: &String| !s.lexicon.same(name, one) && s.lexicon.akin(name, one);
        s.lexicon.names(name) && names.len() > 1 && names.iter().all(under)
    }

    /// Behind "Nov 3 -", "3 November:", "12/4/25" or "2025-12-04": what was fed that day.
    fn dated(&self, to: usize) -> Option<usize> {
        let s = &self.source;
        let number = |i: usize| matches!(s.token(i).kind, Kind::Number { value, .. } if (1.0..=31.0).contains(&value));
        let month = |i: usize| calendar(s.lower_word(i), MONTHS);
        let mark = |i: usize| matches!(s.token(i).kind, Kind::Colon | Kind::Comma | Kind::Dash);
        // "Fri 27 Nov -", "Friday, Nov 27 -"
        let weekday = calendar(s.lower_word(0), DAYS);
        let day = if weekday { 1 + usize::from(s.token(1).kind == Kind::Comma) } else { 0 };
        if month(day) && number(day + 1) || number(day) && month(day + 1) {
            let mut end = day + 2 + usize::from(matches!(s.lower_word(day + 2), "st" | "nd" | "rd" | "th"));
            let year = end + usize::from(s.token(end).kind == Kind::Comma);
            if matches!(s.token(year).kind, Kind::Number { value, .. } if (1900.0..2200.0).contains(&value)) {
                end = year + 1;
            }
            // A date alone is a heading of its own.
            return (mark(end) || end == to).then(|| to.min(end + 1));
        }
        // "Weds - coffee grounds"
        if weekday && (mark(1) && !s.token(2).glued || to == 1) {
            return Some(to.min(2));
        }
        let length = date(s.text)?;
        let behind = (0..to).find(|i| s.token(*i).start >= length).unwrap_or(to);
        Some(to.min(behind + usize::from(mark(behind))))
    }

    /// Behind "week 2:", "bag 1 -", "Bin A:", "freezer bag #3:".
    fn labelled(&self, to: usize) -> Option<usize> {
        let s = &self.source;
        let mark = |i: &usize| s.token(*i).kind == Kind::Colon || s.token(*i).kind == Kind::Dash && !s.token(*i).glued;
        let end = (2..to.min(6)).find(mark).filter(|end| end + 1 < to)?;
        let counted = |i: usize| matches!(s.token(i).kind, Kind::Number { .. }) || s.word(i).len() == 1;
        let words = (0..end - 1).all(|i| s.is_word(i));
        let holder = (0..end - 1).any(|i| LABELS.contains(&s.lower_word(i)));
        // "Kitchen caddy this week - "
        let lasts = matches!(s.lower_word(end - 1), "week" | "today" | "weekend" | "month" | "morning" | "tonight");
        (words && holder && (counted(end - 1) || lasts)).then_some(end + 1)
    }

    /// Behind "can worms eat", "is it ok to add", "what about": what is asked about.
    fn asked(&self, to: usize) -> Option<usize> {
        let s = &self.source;
        let opens = match (s.lower_word(0), s.lower_word(1)) {
            ("can" | "could" | "may" | "should" | "do" | "does" | "will" | "would", whom) => {
                matches!(whom, "i" | "we" | "you" | "they" | "my" | "the" | "worms" | "red" | "your" | "our")
            }
            ("is" | "are", it) => matches!(it, "it" | "there"),
            ("what" | "how", about) => about == "about",
            _ => false,
        };
        // Red worms, but a red cabbage.
        let red_worms = |i: usize| s.lower_word(i) == "red" && matches!(s.lower_word(i + 1), "worms" | "wigglers");
        let filler = |i: usize| ASKING.contains(&s.lower_word(i)) || red_worms(i);
        let end = (1..to).find(|i| !filler(*i)).filter(|_| opens)?;
        (s.is_word(end) || matches!(s.token(end).kind, Kind::Number { .. })).then_some(end)
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
                    i += 1;
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
                if let Some((next_joint, next)) = self.joint_word(i, to, joint, comma) {
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
                self.parts_of |= self.drafts.is_empty() && self.waiting.as_ref().is_some_and(|w| w.part.is_some());
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
        // "peels and all", "tops included": no more than the thing itself.
        let whole = match s.lower_word(last) {
            "all" if joins(last.saturating_sub(1)) => last.saturating_sub(1),
            "included" => last,
            _ => from,
        };
        let said = |i: usize| s.part_word(&[i]).is_some() || joins(i);
        if whole > from && (from..whole).all(said) && !self.drafts.is_empty() {
            return end;
        }
        let went = matches!(s.lower_word(last), "removed" | "discarded");
        let several = (from..end).any(joins);
        // "bananas, carrots and stems removed": only a part can be gone of what came before.
        let (len, label) = s.phrase_at(from, end);
        let of_it = label.part.is_some() && joins(from + len);
        if went && several && of_it && !self.drafts.is_empty() { end } else { from }
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
