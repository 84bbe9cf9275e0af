//! Lines answered one after another, each a bag of its own, in room that does not grow.
//!
//! The stages are those of [`check`](crate::check); each keeps what it worked out of words that come
//! again, so an answer never hangs on the lines before it, only the time it takes.

use crate::Household;
use crate::bag::{Bag, Reader};
use crate::judge::Judge;
use crate::knowledge::{self, Finder};
use crate::report::json::{Detail, Lines};

/// Answers lines.
pub struct Stream<'a> {
    home: &'a Household,
    reader: Reader<'a>,
    finder: Finder<'a>,
    judge: Judge<'a>,
    lines: Lines<'a>,
}

impl<'a> Stream<'a> {
    /// Nothing asked yet.
    pub fn new(home: &'a Household, detail: Detail) -> Self {
        Stream {
            home,
            reader: Reader::new(&home.known),
            finder: Finder::new(&home.known, home.language),
            judge: Judge::new(&home.known, &home.book, &home.setting),
            lines: Lines::new(home, detail),
        }
    }

    /// Appends the object that answers a line, without a line end. The line comes without its line
    /// feed, too; it is counted from 1.
    ///
    /// # Errors
    /// None but what a value cannot be written for, which no value of ours is.
    pub fn answer(&mut self, number: u32, line: &[u8], answer: &mut Vec<u8>) -> std::io::Result<()> {
        let bag = Bag { lines: vec![self.reader.line(number, line)] };
        let scraps = knowledge::weigh(self.finder.find(&bag), &self.home.known);
        let judgement = self.judge.conclude_line(bag, scraps);
        self.lines.line(answer, &judgement)
    }
}
