//! A person's text becomes lines, and lines become things with amount, unit, name, part, states.
//!
//! Comes in: the text of a list. Goes out: a [`Bag`] with one [`Line`] for every line of input.
//! This stage knows no rules and no items; a [`Lexicon`] tells it whether some words name a thing,
//! which decides where `and`, `with`, `/` and commas part two things ("mac and cheese" is one).

pub mod amount;
mod glossary;
mod holder;
mod measure;
mod numbers;
mod piece;
pub mod read;
mod reader;
mod remark;
mod split;
pub(crate) mod table;
mod tokens;
pub mod words;

use std::sync::Arc;

pub(crate) use amount::unit_words;
pub use amount::{Amount, Each, Measure, Mg, Unit};
pub use glossary::Glossary;
pub use read::{read, read_bytes, read_line};
pub use reader::Reader;
pub use words::{Meaning, PartId, Phrase, Said, StateId, Vocabulary};

/// Lines over this many bytes are not read (64 KiB).
pub const LONGEST_LINE: usize = 64 * 1024;

/// What the reader asks of whoever knows names.
pub trait Lexicon {
    /// Whether these words, as written (any case, singular or plural), name a thing by themselves
    /// without any guessing.
    fn names(&self, phrase: &str) -> bool;
    /// Whether a name may open with these words, or hold them in another order; where none does,
    /// longer phrases need not be asked for.
    fn opens(&self, _phrase: &str) -> bool {
        true
    }
    /// Whether these words name a food by themselves.
    fn names_food(&self, phrase: &str) -> bool {
        self.names(phrase)
    }
    /// Whether these words name what stays on a thing that lay in it: a food, a chemical, droppings; no bag.
    fn soaks_in(&self, phrase: &str) -> bool {
        self.names_food(phrase)
    }
    /// Whether these words name what things are wrapped in.
    fn wraps(&self, _phrase: &str) -> bool {
        false
    }
    /// Whether the thing that these words name by themselves has such a part: a carrot has tops.
    fn has_part(&self, _phrase: &str, _part: PartId) -> bool {
        false
    }
    /// Whether what one phrase names is a part of what the other does: eggshells of eggs.
    fn is_part_of(&self, _one: &str, _whole: &str) -> bool {
        false
    }
    /// Whether two phrases name the same thing; asked only where both name one.
    fn same(&self, _one: &str, _other: &str) -> bool {
        true
    }
    /// Whether the things that two phrases name are of one kind in some way: two soups, two papers;
    /// true where either is no name.
    fn akin(&self, _one: &str, _other: &str) -> bool {
        true
    }
    /// Whether one phrase names a thing of the kind that the other is the name of: a walnut is a nut.
    fn belongs(&self, _one: &str, _kind: &str) -> bool {
        false
    }
    /// What these words, which name nothing, would name but for a slip.
    fn slip_of(&self, _phrase: &str) -> Option<Slip> {
        None
    }
    /// Whether this one word occurs in some name.
    fn knows_word(&self, word: &str) -> bool;
    /// The words of states and parts.
    fn vocabulary(&self) -> &Vocabulary;
}

/// A name that a slip hides.
#[derive(Debug, Clone, PartialEq)]
pub struct Slip {
    /// The thing that is likely meant.
    pub of: String,
    /// How likely, 0..1.
    pub likeness: f64,
}

impl Slip {
    /// Likeness from which a strange word of a remark, which is as often a person or a shop, is taken for a slip.
    const LIKELY: f64 = 0.9;

    /// Whether that is likely enough where the word may as well name somebody.
    pub fn is_likely(&self) -> bool {
        self.likeness >= Self::LIKELY
    }
}

/// A list as a person wrote it: lines in their order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bag {
    /// One for every line of input, blank and unreadable ones included.
    pub lines: Vec<Line>,
}

/// One line of input.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Counted from 1.
    pub number: u32,
    /// As written, without its line end; over-long and unreadable lines keep what can be shown.
    pub text: String,
    /// What was read from it.
    pub reading: Reading,
}

/// What a line turned out to be.
#[derive(Debug, Clone, PartialEq)]
pub enum Reading {
    /// Nothing but space (or a bullet).
    Blank,
    /// Starts with `#`.
    Comment,
    /// Could not be read at all.
    Unreadable(BadLine),
    /// The things it names; none for `0 g sugar` or `no meat`.
    Things(Vec<Arc<Thing>>),
}

/// Why a line could not be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BadLine {
    /// Bytes that are not UTF-8.
    NotUtf8,
    /// Longer than [`LONGEST_LINE`].
    TooLong,
}

/// One thing of a line, before anyone looked up what it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Thing {
    /// Its part of the line, as written.
    pub text: String,
    /// The number written; `None` if none was.
    pub amount: Option<Amount>,
    /// The unit written; `None` for a bare count or no amount.
    pub unit: Option<Unit>,
    /// The size of each, as in "1 28-ounce can".
    pub each: Option<Each>,
    /// How many a word without a number is taken for, from 3 on ("a few", "several", "lots of"); ours.
    pub about: Option<f64>,
    /// True if the amount is of the whole that the part comes from ("peels from 2 kg potatoes").
    pub of_whole: bool,
    /// What it is called: one, or several joined by `or` in the order written. Never empty.
    pub names: Arc<[Named]>,
    /// Names of what it comes with ("crust with cheese").
    pub additions: Vec<String>,
    /// Names of what it comes without ("salad, no dressing").
    pub without: Vec<String>,
}

/// One name of a thing with the part and states said of it.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Named {
    /// The words that name it, amounts, units, parts and states set aside.
    pub name: String,
    /// The same words with state, part and size words left in, as written: where a state or part
    /// word belongs to the name ("ground beef", "corn cob", "dried apricots") this one finds it.
    pub full: String,
    /// The part said ("peel").
    pub part: Option<PartId>,
    /// The states said or denied.
    pub said: Said,
}
