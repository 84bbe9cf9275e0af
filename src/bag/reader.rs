//! A reader for streams of lines, which keeps what it read.
//!
//! Owns what two lines share: words that name a thing, and whole lines that differ in their number
//! alone. "120 g onion skins" and "85 g onion skins" are read once. Only what follows from a line
//! itself is kept, so that nothing but time depends on the lines before it.

use super::read::{Numbers, line_of, reading};
use super::{Amount, Lexicon, Line, PartId, Reading, Slip, Thing, Vocabulary};
use crate::kept::Kept;
use std::cell::RefCell;
use std::ops::Range;
use std::sync::Arc;

/// Phrases and lines over this many bytes are not worth keeping an answer for.
const LONGEST_KEPT: usize = 96;
/// Lines kept: more than a kitchen writes, in a few megabytes.
const MOST_LINES: usize = 8192;
/// Phrases kept: what a few thousand names become with states and measures beside them.
const MOST_PHRASES: usize = 32768;
/// Numbers up to this one may mean more than themselves ("three quarters", "1 egg or two").
const SMALL: f64 = 10.0;
/// Digits of a number that is kept apart from its line.
const DIGITS: Range<usize> = 2..7;

/// Reads lines, one after another.
pub struct Reader<'a> {
    lexicon: Remembering<'a>,
    lines: Kept<Box<str>, Box<[Pattern]>>,
    /// The line at hand without its number.
    around: String,
}

/// A thing of a line with room for another number.
struct Pattern {
    thing: Arc<Thing>,
    /// Where the number stands in the thing's text, if it stands there.
    digits: Option<Range<usize>>,
    /// Whether its amount is the number.
    counts: bool,
}

impl<'a> Reader<'a> {
    /// Nothing read yet.
    pub fn new(lexicon: &'a dyn Lexicon) -> Self {
        let answers = || RefCell::new(Kept::at_most(MOST_PHRASES));
        let slips = RefCell::new(Kept::at_most(MOST_LINES));
        let lexicon = Remembering { of: lexicon, names: answers(), opens: answers(), slips };
        Reader { lexicon, lines: Kept::at_most(MOST_LINES), around: String::new() }
    }

    /// Reads one line of bytes, without its line feed; a carriage return at its end is dropped.
    pub fn line(&mut self, number: u32, bytes: &[u8]) -> Line {
        line_of(number, bytes, |text| self.reading(text))
    }

    fn reading(&mut self, text: &str) -> Reading {
        let Some(digits) = number_of(text) else { return reading(text, &self.lexicon).0 };
        let (before, rest) = text.split_at(digits.start);
        let (digits, behind) = rest.split_at(digits.len());
        // How long a number is says whether it may number a line of a list; behind the line stands
        // whether it may be a day or a year. Where it stood are line feeds, which no line has, so no
        // line can pass for another.
        self.around.clear();
        self.around.push_str(before);
        self.around.extend(digits.bytes().map(|_| '\n'));
        self.around.push_str(behind);
        self.around.push_str(in_a_date(digits));
        if let Some(patterns) = self.lines.get(self.around.as_str()) {
            return Reading::Things(patterns.iter().map(|p| p.with(digits)).collect());
        }
        let (reading, numbers) = reading(text, &self.lexicon);
        if let (Reading::Things(things), Numbers::One(number)) = (&reading, numbers) {
            let patterns: Option<Box<[Pattern]>> = things.iter().map(|t| Pattern::of(t, digits, number)).collect();
            if let Some(patterns) = patterns.filter(|all| all.iter().any(|p| p.counts)) {
                self.lines.keep(self.around.as_str().into(), patterns);
            }
        }
        reading
    }
}

impl Pattern {
    /// The pattern of a thing of a line that has one number and no word for one; `None` where the
    /// thing hangs on the number in other ways than by its amount.
    fn of(thing: &Arc<Thing>, digits: &str, number: f64) -> Option<Pattern> {
        if parsed(digits) != Some(number) || number <= SMALL || thing.each.is_some() {
            return None;
        }
        let is_number = |a: Amount| a == Amount { low: number, high: None };
        if thing.amount.is_some_and(|a| !is_number(a)) {
            return None;
        }
        let names = thing.names.iter().flat_map(|n| [&n.name, &n.full]);
        let mut others = names.chain(&thing.additions).chain(&thing.without);
        if others.any(|text| text.bytes().any(|b| b.is_ascii_digit())) {
            return None;
        }
        let digits = thing.text.find(digits).map(|from| from..from + digits.len());
        Some(Pattern { thing: Arc::clone(thing), digits, counts: thing.amount.is_some_and(is_number) })
    }

    /// The thing with another number.
    fn with(&self, digits: &str) -> Arc<Thing> {
        let thing = &self.thing;
        if !self.counts && self.digits.is_none() {
            return Arc::clone(thing);
        }
        let mut text = String::with_capacity(thing.text.len() + digits.len());
        match &self.digits {
            Some(at) => {
                text.push_str(thing.text.get(..at.start).unwrap_or_default());
                text.push_str(digits);
                text.push_str(thing.text.get(at.end..).unwrap_or_default());
            }
            None => text.push_str(&thing.text),
        }
        let number = || parsed(digits).map(|low| Amount { low, high: None });
        Arc::new(Thing {
            text,
            amount: if self.counts { number() } else { thing.amount },
            unit: thing.unit,
            each: thing.each,
            about: thing.about,
            of_whole: thing.of_whole,
            names: Arc::clone(&thing.names),
            additions: thing.additions.clone(),
            without: thing.without.clone(),
        })
    }
}

/// The one run of digits of a line, if it is one that may be kept apart.
fn number_of(text: &str) -> Option<Range<usize>> {
    if text.len() > LONGEST_KEPT || text.contains('\n') {
        return None;
    }
    let digit = |b: &u8| b.is_ascii_digit();
    let from = text.as_bytes().iter().position(digit)?;
    let rest = text.as_bytes().get(from..)?;
    let length = rest.iter().position(|b| !digit(b)).unwrap_or(rest.len());
    let alone = rest.get(length..)?.iter().all(|b| !digit(b));
    (alone && DIGITS.contains(&length)).then_some(from..from + length)
}

/// What a number would be in a date, after a line feed.
fn in_a_date(digits: &str) -> &'static str {
    match digits.parse::<u32>() {
        Ok(1..=31) => "\nday",
        Ok(1900..2200) => "\nyear",
        _ => "\n",
    }
}

/// What digits say.
fn parsed(digits: &str) -> Option<f64> {
    digits.parse::<u32>().ok().map(f64::from)
}

/// A lexicon that keeps its last answers, for a stream of lines in which the same words come again.
struct Remembering<'a> {
    of: &'a dyn Lexicon,
    names: RefCell<Kept<Box<str>, bool>>,
    opens: RefCell<Kept<Box<str>, bool>>,
    slips: RefCell<Kept<Box<str>, Option<Slip>>>,
}

/// The answer to a question about a phrase, kept where it is worth it.
fn kept<A: Clone>(answers: &RefCell<Kept<Box<str>, A>>, phrase: &str, ask: impl FnOnce(&str) -> A) -> A {
    if let Some(answer) = answers.borrow().get(phrase) {
        return answer.clone();
    }
    let answer = ask(phrase);
    if phrase.len() <= LONGEST_KEPT {
        answers.borrow_mut().keep(phrase.into(), answer.clone());
    }
    answer
}

impl Lexicon for Remembering<'_> {
    fn names(&self, phrase: &str) -> bool {
        kept(&self.names, phrase, |phrase| self.of.names(phrase))
    }
    fn opens(&self, phrase: &str) -> bool {
        kept(&self.opens, phrase, |phrase| self.of.opens(phrase))
    }
    fn names_food(&self, phrase: &str) -> bool {
        self.of.names_food(phrase)
    }
    fn soaks_in(&self, phrase: &str) -> bool {
        self.of.soaks_in(phrase)
    }
    fn wraps(&self, phrase: &str) -> bool {
        self.of.wraps(phrase)
    }
    fn has_part(&self, phrase: &str, part: PartId) -> bool {
        self.of.has_part(phrase, part)
    }
    fn is_part_of(&self, one: &str, whole: &str) -> bool {
        self.of.is_part_of(one, whole)
    }
    fn same(&self, one: &str, other: &str) -> bool {
        self.of.same(one, other)
    }
    fn akin(&self, one: &str, other: &str) -> bool {
        self.of.akin(one, other)
    }
    fn belongs(&self, one: &str, kind: &str) -> bool {
        self.of.belongs(one, kind)
    }
    fn slip_of(&self, phrase: &str) -> Option<Slip> {
        kept(&self.slips, phrase, |phrase| self.of.slip_of(phrase))
    }
    fn knows_word(&self, word: &str) -> bool {
        self.of.knows_word(word)
    }
    fn vocabulary(&self) -> &Vocabulary {
        self.of.vocabulary()
    }
}
