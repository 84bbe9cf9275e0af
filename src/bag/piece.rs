//! The words of one piece: which of them name the thing, which say its part and states.
//!
//! Comes in: the words between two joints of a line. Goes out: a [`Piece`]. A state or part word
//! that belongs to a known name ("ground beef", "egg shell") stays in the name.

use super::amount::{Place, UnitWord};
use super::glossary::{
    ADVERB, AND, ANIMAL, APPROX, ARTICLE, CAME, COLOUR, COVERS, DETERMINER, DID, DONE, ETC, FOREIGN, FRACTION, FROM,
    GONE, MAKES, NOT, OF, PERSON, PLAIN, SIZE, STANCE, TURNS, VAGUE, WITH,
};
use super::measure::Source;
use super::tokens::Kind;
use super::words::{Meaning, PartId, Phrase, Said, Sort, State, StateId};
use crate::bag::Slip;
use smallvec::SmallVec;

/// Endings of words that speak of shape and size only.
const SHAPES: &[&str] = &["-shaped", "-size", "-sized", "-style", "-cut"];

/// No name has more words, and no longer run of them is looked up.
const LONGEST: usize = 16;

/// What a word of a piece is.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Label {
    yes: u64,
    no: u64,
    pub(super) part: Option<PartId>,
    noise: bool,
    /// It goes on a phrase that began before it.
    inside: bool,
}

/// The labels of a piece's words; nearly always few.
pub(super) type Labels = SmallVec<[Label; 12]>;

impl Label {
    pub(super) fn said(self) -> Said {
        Said { yes: self.yes, no: self.no }
    }
    pub(super) fn state(self) -> bool {
        (self.yes | self.no) != 0
    }
    fn plain(self) -> bool {
        !self.state() && self.part.is_none() && !self.noise
    }
}

/// What a piece turned out to hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Holds {
    Nothing,
    States,
    Parts,
    Name,
}

/// A piece, read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    pub(super) holds: Holds,
    /// The words of the name, as places in the list of words.
    pub(super) name: (usize, usize),
    /// The words of the name with state and part words.
    pub(super) full: (usize, usize),
    pub(super) part: Option<PartId>,
    pub(super) said: Said,
    /// The lexicon knows the name.
    pub(super) known: bool,
    /// A count word behind the name.
    pub(super) unit: Option<UnitWord>,
    /// A state word stands behind the name: in "lettuce and tomato leftovers" it speaks of both.
    pub(super) trailing: Said,
    /// Says what was done with a part ("stems removed").
    pub(super) remark: bool,
    /// Opens like something a cook did ("softened in ..."), which a plain list may not mean.
    pub(super) cooking: bool,
}

impl Piece {
    pub(super) const NOTHING: Piece = Piece {
        holds: Holds::Nothing,
        name: (0, 0),
        full: (0, 0),
        part: None,
        said: Said { yes: 0, no: 0 },
        known: false,
        unit: None,
        trailing: Said { yes: 0, no: 0 },
        remark: false,
        cooking: false,
    };
}

impl Source<'_> {
    /// How many tokens from `at` make up a phrase of the vocabulary, with what it says; 0 for none.
    pub(super) fn phrase_at(&self, at: usize, to: usize) -> (usize, Label) {
        let mut label = Label::default();
        if self.token(at).kind != Kind::Word {
            return (0, label);
        }
        let mut length = 0;
        for phrase in self.phrases.get(at).copied().unwrap_or(&[]) {
            let len = phrase.rest.len() + 1;
            if len < length || at + len > to || (length > 0 && len > length) {
                continue;
            }
            let fits = phrase.rest.iter().enumerate().all(|(k, w)| **w == *self.lower_word(at + 1 + k));
            if !fits || self.denies_a_name(at, len) || self.comes_off(at, len) || self.ends_a_name(at, len) {
                continue;
            }
            length = len;
            match phrase.meaning {
                Meaning::State(id, true) => label.yes |= id.bit(),
                Meaning::State(id, false) => label.no |= id.bit(),
                Meaning::Part(id) => label.part = label.part.or(Some(id)),
            }
        }
        (length, label)
    }

    /// "Sticker off the apple", "stones out of the cherries": what came off something is the thing, and no
    /// state of what it came off.
    fn comes_off(&self, at: usize, len: usize) -> bool {
        let behind = at + len;
        let off = len > 1 && matches!(self.lower_word(behind - 1), "off" | "out");
        off && self.is(behind, DETERMINER | ARTICLE | OF)
    }

    /// "lotus root ends": the first of several words belongs to what stands before it, which is no name alone.
    fn ends_a_name(&self, at: usize, len: usize) -> bool {
        let Some(before) = at.checked_sub(1).filter(|i| len > 1 && self.is_word(*i)) else { return false };
        !self.lexicon.names(self.word(before)) && self.lexicon.names(self.between(before, at + 1))
    }

    /// "no sugar cane": the words behind "no" go on to a name, and are not the state's.
    fn denies_a_name(&self, at: usize, len: usize) -> bool {
        let named = |to: usize| (at + 2..to).all(|i| self.is_word(i)) && self.lexicon.names(self.between(at + 1, to));
        len == 2 && matches!(self.lower_word(at), "no" | "without") && (named(at + 3) || named(at + 4))
    }

    /// "covered in", "mixed with": what follows comes with the thing, eaten or not.
    pub(super) fn covers(&self, at: usize) -> bool {
        let joins = |i: usize| {
            matches!(self.lower_word(i), "in" | "with" | "by") || self.is(i, FOREIGN) && self.is(i, OF | WITH)
        };
        self.is(at, COVERS) && joins(at + 1)
    }

    /// "not", "not even", "not too" before a state: how many tokens, and what is denied.
    pub(super) fn denial_at(&self, at: usize, to: usize) -> (usize, Label) {
        if !self.is(at, NOT) && self.lower_word(at) != "no" {
            return (0, Label::default());
        }
        let mut k = at + 1;
        while k < to && self.is(k, ADVERB | APPROX | ARTICLE | TURNS) && k < at + 4 {
            k += 1;
        }
        let (len, label) = self.phrase_at(k, to);
        // "no hot chocolate": a thing is denied, not a state.
        let thing = self.lower_word(at) == "no"
            && k == at + 1
            && k + len < to
            && self.is_word(k + len)
            && self.goes_on(k + len);
        if len == 0 || !label.state() || thing {
            return (0, Label::default());
        }
        (k + len - at, Label { yes: label.no, no: label.yes, ..Label::default() })
    }

    /// "the paper the butter came in": whether the words from here say what was in the thing before them.
    pub(super) fn came_in(&self, at: usize, to: usize) -> bool {
        let came = |i: &usize| self.is(*i, CAME);
        let stood = |i: usize| matches!(self.lower_word(i + 1), "in" | "on" | "with" | "from");
        self.lower_word(at) == "the" && (at + 2..(at + 5).min(to)).find(came).is_some_and(stood)
    }

    /// Marks every word of a piece.
    pub(super) fn label(&self, words: &[usize], labels: &mut Labels) {
        labels.clear();
        let mut i = 0;
        while let Some(&at) = words.get(i) {
            let run = words.iter().skip(i).zip(at..).take_while(|(w, k)| **w == *k).count();
            let to = at + run;
            let (mut len, mut label) = self.denial_at(at, to);
            if len == 0 {
                (len, label) = self.phrase_at(at, to);
            }
            if len == 1 && label.state() {
                let (word, glossary) = (self.lower_word(at), &self.vocabulary.glossary);
                let mut heads = words.iter().skip(i + 1).map(|w| glossary.is_state_of(word, self.lower_word(*w)));
                // "black bananas" go dark whatever stands between; a dry red wine is wet.
                let of = if word == "dry" { heads.all(|h| h) } else { heads.any(|h| h) };
                if !of && (word == "dry" || !glossary.is_state_of(word, "")) {
                    label = Label { part: label.part, ..Label::default() };
                }
                if words.len() == 1 && !glossary.is_state_of(word, "") {
                    label = Label::default();
                }
            }
            if len == 0 || label.plain() {
                len = 1;
                let small = SIZE | ADVERB | PLAIN | DETERMINER | ARTICLE | APPROX | VAGUE | ETC;
                label.noise = self.is(at, small)
                    || SHAPES.iter().any(|e| self.lower_word(at).ends_with(e))
                    || self.turned(at, to)
                    || self.is(at, DONE) && i + 1 == words.len() && i > 0;
            }
            labels.push(label);
            for _ in 1..len {
                labels.push(Label { inside: true, ..label });
            }
            i += len;
        }
        labels.truncate(words.len());
    }

    /// The words as one phrase: a slice of the line where they stand side by side.
    pub(super) fn with_phrase<R>(&self, words: &[usize], spare: &mut String, f: impl FnOnce(&str) -> R) -> R {
        let side_by_side = words.windows(2).all(|w| match w {
            [a, b] => {
                let gap = self.text.get(self.token(*a).end..self.token(*b).start);
                // "d'orange"
                let elided = gap == Some("") && self.word(*a).ends_with(['\'', '’']);
                (gap == Some(" ") || elided) && !matches!(self.token(*a).kind, Kind::Picture(_))
            }
            _ => false,
        });
        if let (true, Some(first), Some(last)) = (side_by_side, words.first(), words.last()) {
            if !matches!(self.token(*last).kind, Kind::Picture(_)) {
                return f(self.text.get(self.token(*first).start..self.token(*last).end).unwrap_or(""));
            }
        }
        spare.clear();
        for w in words {
            if !spare.is_empty() {
                spare.push(' ');
            }
            spare.push_str(self.word(*w));
        }
        f(spare)
    }

    pub(super) fn names(&self, words: &[usize], spare: &mut String) -> bool {
        (1..=LONGEST).contains(&words.len()) && self.with_phrase(words, spare, |p| self.lexicon.names(p))
    }

    pub(super) fn joined(&self, words: &[usize], spare: &mut String) -> String {
        self.with_phrase(words, spare, str::to_string)
    }

    /// Reads a piece. `numbered`: a number stands before it, so a count word may stand behind it.
    pub(super) fn piece(&self, words: &[usize], labels: &mut Labels, numbered: bool, spare: &mut String) -> Piece {
        self.label(words, labels);
        let n = words.len();
        if n == 0 {
            return Piece::NOTHING;
        }
        let at = |i: usize| labels.get(i).copied().unwrap_or_default();
        let whole = self.vocabulary.part("whole");
        let lead = (0..n)
            .take_while(|&i| !at(i).plain() && (at(i).part.is_none() || at(i).state() || at(i).part == whole))
            .count();
        let trail = (0..n).rev().take_while(|&i| !at(i).plain()).count();
        let mut unit = None;
        let mut end = n;
        let mut found = None;
        // "6 garlic cloves": a count word behind a known name.
        if let Some(&last) = words.get(n - 1).filter(|_| n > 1) {
            if let Some((word, _)) =
                self.unit_at(last, false).filter(|(w, _)| matches!(w.place, Place::Piece | Place::WeakPiece))
            {
                let part = at(n - 1).part;
                let strong = word.place == Place::Piece
                    || matches!((self.lower_word(last), n), ("sticks" | "stick", 2))
                        && self.lower_word(words.first().copied().unwrap_or(0)) == "cinnamon";
                let rest_known = |spare: &mut String| {
                    // A name, not a state that also is one ("ground cloves").
                    let noun = |i: usize| (i..n - 1).any(|k| at(k).plain());
                    (0..=lead.min(n - 2)).find(|&i| noun(i) && self.names(words.get(i..n - 1).unwrap_or(&[]), spare))
                };
                if (part.is_none() || (numbered && word.unit.name == "stalk"))
                    && (strong && numbered || !self.known_from(words, lead, n, spare))
                {
                    // "3 lasagna sheets" are no sheets of the dish.
                    let another = |i: usize, spare: &mut String| {
                        let of = |to: usize, spare: &mut String| self.joined(words.get(i..to).unwrap_or(&[]), spare);
                        let (rest, whole) = (of(n - 1, spare), of(n, spare));
                        self.lexicon.names(&whole) && !self.lexicon.same(&rest, &whole)
                    };
                    if let Some(i) = rest_known(spare).filter(|i| !another(*i, spare)) {
                        found = Some((i, n - 1));
                        unit = Some(word).filter(|w| numbered || w.place == Place::Piece);
                        end = n - 1;
                    }
                }
            }
        }
        if found.is_none() {
            found = self.longest(words, labels, lead, trail, spare);
        }
        let known = found.is_some();
        let (a, b) = found.unwrap_or_else(|| {
            let last = n - trail.min(n);
            if lead < last { (lead, last) } else { (n, n) }
        });
        let mut said = Said::default();
        let mut trailing = Said::default();
        let mut part = None;
        // In a name nobody knows the states are set aside with everything else by whoever finds it.
        for i in (0..n).filter(|i| !known || !(a..b).contains(i)) {
            let label = at(i);
            // `ground` before a name is a state, behind one the part (coffee ground).
            if label.state() && !(label.part.is_some() && i >= b && a < b) {
                said.yes |= label.yes;
                said.no |= label.no;
                if i >= b && a < b {
                    trailing.yes |= label.yes;
                    trailing.no |= label.no;
                }
            } else if let Some(p) = label.part.filter(|_| !(a..b).contains(&i)) {
                part = Some(self.better_part(part, p));
            }
        }
        let holds = if a < b {
            Holds::Name
        } else if part.is_some() {
            Holds::Parts
        } else if said != Said::default() {
            Holds::States
        } else if (0..n).any(|i| self.is(words.get(i).copied().unwrap_or(0), COLOUR)) {
            Holds::Name
        } else {
            Holds::Nothing
        };
        let (a, b) = if holds == Holds::Name && a == b { (0, n) } else { (a, b) };
        let full_from = (0..a.min(n)).find(|&i| !at(i).noise || words.get(i).is_some_and(|w| self.is(*w, SIZE)));
        // "Hot dog rice": a small word that opens a name is no small word.
        let opens = |i: &usize| (i + 2..=b).any(|to| self.names(words.get(*i..to).unwrap_or(&[]), spare));
        let full_from = (0..full_from.unwrap_or(a)).find(opens).or(full_from);
        // A part word belongs to the full name, a state behind it does not.
        let last_part = (b..end).rev().find(|&i| at(i).part.is_some() && !(at(i).state() && at(i).part.is_none()));
        let full = (full_from.unwrap_or(a).min(a), last_part.map_or(b, |i| i + 1).max(b));
        let first_part = (0..n).find(|&i| at(i).part.is_some()).unwrap_or(0);
        let full = if holds == Holds::Name { full } else { (first_part, n) };
        let first = words.iter().find(|w| !self.is(**w, ADVERB)).copied().unwrap_or(0);
        let last = words.last().copied().unwrap_or(0);
        let gone = self.is(last, GONE);
        let remark = (!known || gone) && self.is(last, DONE) && n > 1;
        let cooking = !known
            && (self.is(first, DID)
                || (self.past(first) && !self.lexicon.knows_word(self.word(first)) && at(0).plain()));
        Piece { holds, name: (a, b), full, part, said, known, unit, trailing, remark, cooking }
    }

    /// Whether a name ends in a part's word.
    pub(super) fn says_part(&self, name: &str, part: PartId) -> bool {
        let word = name.rsplit(' ').next().unwrap_or(name).to_lowercase();
        let says = |p: &Phrase| p.rest.is_empty() && matches!(p.meaning, Meaning::Part(id) if id == part);
        self.vocabulary.phrases(&word).iter().any(says)
    }

    /// A name without the part's word behind it, where what is left is a name: "mango" of "mango seed".
    pub(super) fn without_part<'n>(&self, name: &'n str) -> &'n str {
        self.whole_and_part(name).map_or(name, |(whole, _)| whole)
    }

    /// A name that ends in a part's word, parted: "mango" and the part of "mango seed".
    pub(super) fn whole_and_part<'n>(&self, name: &'n str) -> Option<(&'n str, PartId)> {
        let (whole, word) = name.rsplit_once(' ')?;
        let part = self.said_part(word)?;
        self.lexicon.names(whole).then_some((whole, part))
    }

    /// The part that a word by itself says.
    pub(super) fn said_part(&self, word: &str) -> Option<PartId> {
        let part = |p: &Phrase| match p.meaning {
            Meaning::Part(id) if p.rest.is_empty() => Some(id),
            _ => None,
        };
        self.vocabulary.phrases(&word.to_lowercase()).iter().find_map(part)
    }

    /// Of what is said, the states that a thing came to be in; no preparations.
    pub(super) fn conditions(&self, said: Said) -> Said {
        let condition = |(id, state): (StateId, &State)| (state.sort == Sort::Condition).then(|| id.bit());
        let all = self.vocabulary.states().filter_map(condition).fold(0, |all, bit| all | bit);
        Said { yes: said.yes & all, no: 0 }
    }

    /// Whether a word says nothing that is known, and stands in no name.
    pub(super) fn is_strange(&self, at: usize) -> bool {
        let says = self.token(at).gloss.roles != 0 || self.phrase_at(at, at + 1).0 > 0;
        self.is_word(at) && !says && !self.lexicon.knows_word(self.word(at))
    }

    /// The name that words with a strange one among them likely mean: "risotot", "baked bena".
    pub(super) fn slip(&self, from: usize, end: usize) -> Option<String> {
        let strange = (from..end).any(|i| self.is_strange(i));
        Some(self.between(from, end)).filter(|_| strange).and_then(|words| self.likely_slip(words))
    }

    /// The name that a phrase is likely a slip of.
    pub(super) fn likely_slip(&self, phrase: &str) -> Option<String> {
        self.lexicon.slip_of(phrase).filter(Slip::is_likely).map(|slip| slip.of)
    }

    /// "the risotot": where the last of these words begin to be a slip of what stays on a thing that lay in it.
    pub(super) fn slip_that_soaks_in(&self, at: usize, end: usize) -> Option<usize> {
        let soaks = |from: &usize| self.slip(*from, end).is_some_and(|name| self.lexicon.soaks_in(&name));
        (end.saturating_sub(3).max(at)..end).find(soaks)
    }

    /// The part that a single word says.
    pub(super) fn part_word(&self, words: &[usize]) -> Option<PartId> {
        let [word] = words else { return None };
        let (len, label) = self.phrase_at(*word, word + 1);
        label.part.filter(|_| len == 1)
    }

    /// Whether the words from here to the next joint name a thing that has a part.
    pub(super) fn whole_ahead(&self, at: usize, to: usize, part: PartId) -> bool {
        let counts = |i: usize| matches!(self.token(i).kind, Kind::Number { .. });
        let ends = |i: &usize| !self.is_word(*i) && !counts(*i) || self.is(*i, AND | WITH | FROM);
        let end = (at..to.min(at + 8)).find(ends).unwrap_or(to);
        let spans = (at..end).flat_map(|i| (i + 1..=end.min(i + 3)).map(move |j| (i, j)));
        spans.into_iter().any(|(i, j)| {
            let words: Vec<&str> = (i..j).map(|k| self.word(k)).collect();
            self.lexicon.has_part(&words.join(" "), part)
        })
    }

    /// "gone slimy", "turning yellow", "half eaten": the word says nothing but that it came to be so.
    fn turned(&self, at: usize, to: usize) -> bool {
        let word = self.lower_word(at);
        let turns = self.is(at, TURNS);
        let next = at + 1;
        // "half eaten", "slug eaten"
        let eater = self.is(at, FRACTION | PERSON | ANIMAL) && self.lower_word(next) == "eaten";
        let eaten = eater || word == "eaten";
        let before = at.checked_sub(1).map_or("", |k| self.lower_word(k));
        let lies = self.is(at, STANCE) && matches!(self.lower_word(next), "down" | "up");
        // "gone green" says what became of it, and names no greens.
        let coloured = self.is(at, COLOUR) && matches!(before, "gone" | "went" | "turned" | "going" | "turning");
        // "strained out", "dried up"
        let wholly = matches!(word, "out" | "off" | "up" | "away")
            && at.checked_sub(1).is_some_and(|k| self.phrase_at(k, at).1.state());
        eaten
            || lies
            || coloured
            || wholly
            || turns && next < to && (self.phrase_at(next, to).1.state() || self.is(next, COLOUR | PLAIN | ADVERB))
    }

    /// The names among words that are none as a whole, the longest first at each place.
    pub(super) fn names_within(&self, words: &[usize], spare: &mut String) -> Vec<String> {
        let mut out = Vec::new();
        let mut from = 0;
        while from < words.len() {
            let ends = (from + 1..=words.len().min(from + 3)).rev();
            let small = PLAIN | SIZE | ADVERB | ARTICLE | DETERMINER;
            let says = |span: &[usize]| span.iter().any(|w| !self.is(*w, small));
            let name = ends.filter_map(|to| words.get(from..to)).find(|span| says(span) && self.names(span, spare));
            match name {
                Some(span) => {
                    out.push(self.joined(span, spare));
                    from += span.len();
                }
                None => from += 1,
            }
        }
        out
    }

    /// Whether a word looks like what was done with a thing, or how.
    pub(super) fn past(&self, at: usize) -> bool {
        let word = self.lower_word(at);
        word.len() > 4 && (word.ends_with("ed") || word.ends_with("ly"))
    }

    fn known_from(&self, words: &[usize], lead: usize, end: usize, spare: &mut String) -> bool {
        (0..=lead.min(end.saturating_sub(2))).any(|i| self.names(words.get(i..end).unwrap_or(&[]), spare))
    }

    /// The longest run of words that is a name, only states, parts and small words left outside.
    fn longest(
        &self,
        words: &[usize],
        labels: &[Label],
        lead: usize,
        trail: usize,
        spare: &mut String,
    ) -> Option<(usize, usize)> {
        let n = words.len();
        let cut = |i: usize| labels.get(i).is_some_and(|l| l.inside);
        let small = |i: usize| words.get(i).is_some_and(|w| self.is(*w, DETERMINER | ARTICLE));
        let stated = |i: usize| labels.get(i).is_some_and(|l| l.state());
        let vague = |i: usize| labels.get(i).and_then(|l| l.part).is_some_and(|part| self.is_vague(part));
        let mut only_states = None;
        for len in (1..=n.min(LONGEST)).rev() {
            let from = (n - trail.min(n)).saturating_sub(len);
            // Of two as long, the one further behind: "leftover coffee husks" are husks of coffee.
            for i in (from..=lead.min(n - len)).rev() {
                let j = i + len;
                if j < n - trail.min(n) || cut(i) || cut(j) || small(i) {
                    continue;
                }
                if self.names(words.get(i..j).unwrap_or(&[]), spare) {
                    // "Leftover" names food too: not where a name stands beside it ("leftover leaves").
                    if (i..j).all(stated) {
                        only_states = only_states.or(Some((i, j)));
                        continue;
                    }
                    // "Roast scraps" and "chilli tops" are those of what the state also names.
                    if let Some(before) = i.checked_sub(1).filter(|b| len == 1 && stated(*b) && vague(i)) {
                        let word = words.get(before).map_or("", |w| self.word(*w));
                        if self.lexicon.names_food(word) && !self.lexicon.same(word, "leftovers") {
                            return Some((before, i));
                        }
                    }
                    return Some((i, j));
                }
            }
        }
        only_states
    }

    /// "making soup", "soup making": whether the words up to the next mark or joint tell of work in the kitchen.
    pub(super) fn making(&self, at: usize, to: usize) -> bool {
        let ends = |i: &usize| !self.is_word(*i) || self.is(*i, AND | WITH | FROM);
        let end = (at..to).find(ends).unwrap_or(to);
        end > at && (self.is(at, MAKES) || self.is(end - 1, MAKES))
    }

    /// Whether a part says little: bits, ends.
    pub(super) fn is_vague(&self, part: PartId) -> bool {
        matches!(self.vocabulary.part_name(part), "end" | "trimmings" | "whole" | "top")
    }

    /// Of two parts said of one thing, the one that says more: peel over trimmings.
    pub(super) fn better_part(&self, had: Option<PartId>, new: PartId) -> PartId {
        match had {
            Some(old) if self.is_vague(new) && !self.is_vague(old) => old,
            _ => new,
        }
    }
}
