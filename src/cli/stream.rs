//! Every line of input a bag of its own, in constant memory: one object a line, in order.

use super::Stop;
use crate::Household;
use crate::bag::LONGEST_LINE;
use crate::report::json::Detail;
use crate::stream;
use std::io::{self, BufRead, Write};

/// A stream of lines, numbered through all of its inputs.
pub(super) struct Stream<'a> {
    answers: stream::Stream<'a>,
    number: u32,
    /// The answer being written, kept for its room.
    text: Vec<u8>,
}

impl<'a> Stream<'a> {
    pub(super) fn new(home: &'a Household, detail: Detail) -> Self {
        Stream { answers: stream::Stream::new(home, detail), number: 0, text: Vec::new() }
    }

    /// Answers every line of one input, called `name` in messages.
    pub(super) fn run(&mut self, mut input: impl BufRead, name: &str, out: &mut impl Write) -> Result<(), Stop> {
        let mut line: Vec<u8> = Vec::new();
        let mut first = true;
        loop {
            match next_line(&mut input, &mut line) {
                Ok(Next::End) => return Ok(()),
                Ok(Next::Line { last_at_hand }) => {
                    self.number = self.number.saturating_add(1);
                    let marked = if first { line.strip_prefix(b"\xef\xbb\xbf") } else { None };
                    self.answer(marked.unwrap_or(&line), out)?;
                    first = false;
                    // Whoever feeds a line and waits for its answer gets it.
                    if last_at_hand {
                        out.flush()?;
                    }
                }
                Err(error) => {
                    out.flush()?;
                    return Err(Stop::Say(format!(
                        "{name}: cannot be read further than line {} ({error})",
                        self.number
                    )));
                }
            }
        }
    }

    fn answer(&mut self, line: &[u8], out: &mut impl Write) -> Result<(), Stop> {
        self.text.clear();
        self.answers.answer(self.number, line, &mut self.text)?;
        self.text.push(b'\n');
        out.write_all(&self.text)?;
        Ok(())
    }
}

/// What was read.
enum Next {
    /// A line; `last_at_hand` if nothing more can be read without waiting.
    Line { last_at_hand: bool },
    /// There is none.
    End,
}

/// Reads the next line without its line feed into `line`; of an over-long one only as much as
/// shows that it is over-long.
fn next_line(input: &mut impl BufRead, line: &mut Vec<u8>) -> io::Result<Next> {
    line.clear();
    let mut any = false;
    loop {
        let buffer = match input.fill_buf() {
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            other => other?,
        };
        if buffer.is_empty() {
            return Ok(if any { Next::Line { last_at_hand: true } } else { Next::End });
        }
        any = true;
        let (held, end) = (buffer.len(), buffer.iter().position(|b| *b == b'\n'));
        let body = buffer.get(..end.unwrap_or(held)).unwrap_or_default();
        let room = (LONGEST_LINE + 2).saturating_sub(line.len());
        line.extend_from_slice(body.get(..body.len().min(room)).unwrap_or_default());
        let used = end.map_or(held, |e| e + 1);
        input.consume(used);
        if end.is_some() {
            return Ok(Next::Line { last_at_hand: used == held });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_cut_at_line_feeds_alone_and_kept_short() {
        let long = "x".repeat(3 * LONGEST_LINE);
        let text = format!("a\r\n\n{long}\nlast");
        for capacity in [1, 7, 1 << 16] {
            let mut input = io::BufReader::with_capacity(capacity, text.as_bytes());
            let (mut line, mut got) = (Vec::new(), Vec::new());
            while let Next::Line { .. } = next_line(&mut input, &mut line).unwrap() {
                got.push(line.len());
            }
            assert_eq!(got, [2, 0, LONGEST_LINE + 2, 4]);
            assert!(line.capacity() <= 4 * LONGEST_LINE);
        }
    }
}
