//! Reading lines: amount, unit, names, parts, states, and where one thing ends and the next begins.

use super::{Bag, Lexicon, Line, Named, Reading, Said, Thing};

/// Reads a whole list.
pub fn read(text: &str, lexicon: &dyn Lexicon) -> Bag {
    let lines = text.lines().enumerate().map(|(i, l)| read_line(u32::try_from(i + 1).unwrap_or(u32::MAX), l, lexicon)).collect();
    Bag { lines }
}

/// Reads one line.
pub fn read_line(number: u32, text: &str, _lexicon: &dyn Lexicon) -> Line {
    let name = text.trim().to_string();
    let reading = if name.is_empty() {
        Reading::Blank
    } else {
        Reading::Things(vec![Thing {
            text: name.clone(),
            amount: None,
            unit: None,
            each: None,
            names: vec![Named { name: name.clone(), full: name, part: None, said: Said::default() }],
            additions: Vec::new(),
            without: Vec::new(),
        }])
    };
    Line { number, text: text.to_string(), reading }
}
