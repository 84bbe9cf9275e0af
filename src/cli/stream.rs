//! Every line of input a bag of its own, in constant memory: one object a line, in order.

use super::Stop;
use crate::bag::{self, LONGEST_LINE};
use crate::judge::Judge;
use crate::report::json::{self, Detail};
use crate::{Household, knowledge};
use std::io::{BufRead, Write};

/// A stream of lines, numbered through all of its inputs.
pub(super) struct Stream<'a> {
    home: &'a Household,
    judge: Judge<'a>,
    detail: Detail,
    number: u32,
}

impl<'a> Stream<'a> {
    pub(super) fn new(home: &'a Household, detail: Detail) -> Self {
        Stream { home, judge: Judge::new(&home.known, &home.book, &home.setting), detail, number: 0 }
    }

    /// Answers every line of one input.
    pub(super) fn run(&mut self, mut input: impl BufRead, out: &mut impl Write) -> Result<(), Stop> {
        let mut line: Vec<u8> = Vec::new();
        while next_line(&mut input, &mut line)? {
            self.number = self.number.saturating_add(1);
            self.answer(&line, out)?;
        }
        Ok(())
    }

    fn answer(&self, line: &[u8], out: &mut impl Write) -> Result<(), Stop> {
        let known = &self.home.known;
        let read = bag::read_line_bytes(self.number, line, known);
        let bag = bag::Bag { lines: vec![read] };
        let found = knowledge::find(&bag, known, self.home.language);
        let scraps = knowledge::weigh(found, known);
        let judgement = self.judge.conclude_plain(bag, scraps);
        json::line(out, &judgement, self.home, self.detail)?;
        out.write_all(b"\n")?;
        Ok(())
    }
}

/// Reads the next line without its end into `line`; of an over-long one only as much as shows that
/// it is over-long. False at the end of the input.
fn next_line(input: &mut impl BufRead, line: &mut Vec<u8>) -> Result<bool, Stop> {
    line.clear();
    let mut any = false;
    loop {
        let buffer = input.fill_buf()?;
        if buffer.is_empty() {
            break;
        }
        any = true;
        let end = buffer.iter().position(|b| *b == b'\n');
        let body = buffer.get(..end.unwrap_or(buffer.len())).unwrap_or_default();
        let room = (LONGEST_LINE + 2).saturating_sub(line.len());
        line.extend_from_slice(body.get(..body.len().min(room)).unwrap_or_default());
        let used = end.map_or(buffer.len(), |e| e + 1);
        input.consume(used);
        if end.is_some() {
            break;
        }
    }
    if line.last() == Some(&b'\r') {
        line.pop();
    }
    Ok(any)
}
