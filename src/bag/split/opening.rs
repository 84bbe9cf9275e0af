//! Where the list on a line begins: behind a date, a label, a heading, a question.
//!
//! Comes in: the tokens of a line. Goes out: the token at which the first thing may stand. Each way
//! to open a line is one function of [`OPENINGS`]; which words open one stands in the glossary.

use crate::bag::glossary::{
    ADVERB, AND, ARTICLE, ASKING, ASKS, DETERMINER, DOING, FOREIGN, FROM, INTO, LABEL, LATELY, MONTH, MUSES, OF,
    ORDINAL, PLAIN, RELATIVE, SIZE, SPEAKER, TAIL, VERB, WEEKDAY, WHOM, WORMS,
};
use crate::bag::measure::Source;
use crate::bag::tokens::Kind;
use crate::bag::words::Said;

/// Where the list begins if the tokens between two places open in this way.
type Opening = fn(&Source<'_>, usize, usize) -> Option<usize>;

/// One behind another that may open a line: "Sat 28/11 - lunch boxes: so there's ...".
const IN_A_ROW: usize = 4;

/// Ways to open a line; the first that fits is taken.
const OPENINGS: &[Opening] =
    &[heading, headed, adorned, dated, timed, dated_label, labelled, asked, mused, told_of_worms, announced];

/// Where the list itself begins: behind "added" or "fed today:".
pub(super) fn opening(source: &Source<'_>, to: usize) -> usize {
    let mut begins = 0;
    for _ in 0..IN_A_ROW {
        match OPENINGS.iter().find_map(|opens| opens(source, begins, to)) {
            Some(next) if next > begins && next <= to => begins = next,
            _ => break,
        }
    }
    // "Sat 28/11 - freezer bag 2", "Sun 29/11 caddy (kids' week)", "Tues 1 Dec - big tub, defrosted"
    let label = bare_bracket(source, begins, to);
    let label = bare_tail(source, begins, label);
    if begins > 0 && begins < label && is_label(source, begins, label) { to } else { begins }
}

/// Where a bracket that closes the line and names nothing begins; else the end of the line.
fn bare_bracket(s: &Source<'_>, from: usize, to: usize) -> usize {
    let open = (from..to).find(|i| s.token(*i).kind == Kind::Open);
    let bare = |open: &usize| {
        let words: Vec<usize> = (*open..to).filter(|i| s.is_word(*i)).collect();
        let part = words.iter().any(|w| s.part_word(&[*w]).is_some());
        !part && s.names_within(&words, &mut String::new()).is_empty()
    };
    let closed = to > 0 && s.token(to - 1).kind == Kind::Close;
    open.filter(|open| closed && bare(open)).unwrap_or(to)
}

/// Where a remark begins that says no more than how a bag is, or where it stood: "tub from the freezer"; else the end.
fn bare_tail(s: &Source<'_>, from: usize, to: usize) -> usize {
    let says_nothing = |i: usize| {
        let bare = s.is(i, LABEL | LATELY | WEEKDAY | ADVERB | PLAIN | SIZE) || s.phrase_at(i, i + 1).1.state();
        s.token(i).kind == Kind::Comma || joins(s, i) || bare
    };
    let tail = (from..to).find(|i| s.token(*i).kind == Kind::Comma || s.is(*i, FROM));
    tail.filter(|tail| (*tail..to).all(says_nothing)).unwrap_or(to)
}

/// What a heading says of everything under it: "mouldy: bread, oranges", "frozen stuff: peas, corn".
pub(super) fn heading_says(s: &Source<'_>, begins: usize) -> Said {
    let mut said = Said::default();
    let colon = begins.checked_sub(1).filter(|i| s.token(*i).kind == Kind::Colon);
    let words = colon.map_or(0..0, |colon| 0..colon);
    // What is in a brown bag is not brown.
    if words.clone().any(|i| s.is(i, LABEL)) {
        return said;
    }
    // The kale from an old allotment is not old.
    for word in words.take_while(|i| !s.is(*i, FROM)) {
        let label = s.phrase_at(word, begins).1.said();
        said = Said { yes: said.yes | label.yes, no: said.no | label.no };
    }
    said
}

/// Whether words are no more than a label: "freezer bag 2", "bin A", "kitchen caddy this week", and behind
/// what opened the line "kitchen caddy".
fn is_label(s: &Source<'_>, from: usize, to: usize) -> bool {
    let last = to - 1;
    let lettered = s.is_word(last) && s.word(last).len() == 1;
    let words: Vec<usize> = (from..to).collect();
    let bare = || from > 0 && s.is(last, LABEL) && s.names_within(&words, &mut String::new()).is_empty();
    let counted = is_number(s, last) || lettered || s.is(last, LATELY) || bare();
    // "caddy + lunchboxes", "2 bags"
    let joined = |i: usize| begins(s, i) || matches!(s.token(i).kind, Kind::Plus | Kind::Amp);
    counted && (from..last).all(joined) && (from..to).any(|i| s.is(i, LABEL))
}

fn is_number(s: &Source<'_>, at: usize) -> bool {
    matches!(s.token(at).kind, Kind::Number { .. })
}

/// Whether a thing may begin at a token.
fn begins(s: &Source<'_>, at: usize) -> bool {
    s.is_word(at) || is_number(s, at)
}

/// A word that names nothing in a heading: in "From the allotment:" `the` is no French tea.
fn joins(s: &Source<'_>, at: usize) -> bool {
    s.is(at, ARTICLE | DETERMINER | FROM | TAIL)
}

/// A mark between words that closes what opened the line: a colon, or a dash by itself.
fn closes(s: &Source<'_>, at: usize) -> bool {
    let mark = s.token(at);
    mark.kind == Kind::Colon || mark.kind == Kind::Dash && !mark.glued
}

/// Behind all of "Bin 2:", "From the allotment:", "Fed today:": a heading alone, which names nothing.
fn heading(s: &Source<'_>, from: usize, to: usize) -> Option<usize> {
    let says = LABEL | FROM | VERB | WEEKDAY;
    let words: Vec<usize> = (from..to).filter(|i| s.is_word(*i) && !joins(s, *i) && !s.is(*i, says)).collect();
    let opens = (from..to).any(|i| s.is(i, says));
    let ends = to > from + 1 && s.token(to - 1).kind == Kind::Colon;
    (ends && opens && s.names_within(&words, &mut String::new()).is_empty()).then_some(to)
}

/// Behind "fed today:", "from the allotment:", "veg scraps: carrot, leek".
fn headed(s: &Source<'_>, from: usize, to: usize) -> Option<usize> {
    let colon = (from + 1..to.min(from + 8)).find(|i| s.token(*i).kind == Kind::Colon && !s.token(*i + 1).glued)?;
    // "on the 3rd:", "fed 3 May:"
    let day = |i: usize| is_number(s, i) && s.is(i + 1, ORDINAL | MONTH);
    if colon + 1 >= to || !(from..colon).all(|i| s.is_word(i) || day(i)) {
        return None;
    }
    let words: Vec<usize> = (from..colon).filter(|i| s.is_word(*i) && !s.is(*i, ORDINAL | MONTH)).collect();
    // "peels: potato, carrot"
    let last = words.iter().rev().find(|w| !s.is(**w, OF)).and_then(|w| s.part_word(&[*w]));
    if last.is_some_and(|p| !matches!(s.vocabulary.part_name(p), "trimmings" | "whole")) {
        return None;
    }
    // "Leftovers from Sunday: ..." is of what follows.
    let says = |w: usize| joins(s, w) || s.is(w, WEEKDAY | LATELY) || s.phrase_at(w, w + 1).1.state();
    let name: Vec<&str> = words.iter().filter(|w| !joins(s, **w)).map(|w| s.word(*w)).collect();
    // "Chow mein: ..." is no German's chow.
    let whole = s.lexicon.names(&name.join(" ")) || s.lexicon.names(s.between(from, colon));
    let known = whole || name.iter().any(|word| s.lexicon.names(word));
    let several = (colon + 1..to).any(|i| s.token(i).kind == Kind::Comma || s.is(i, AND));
    let when = several
        && words.iter().any(|w| s.is(*w, WEEKDAY | LATELY))
        && (s.is(from, WEEKDAY) || words.iter().all(|w| says(*w)));
    (!known || when || s.is(from, FROM) || listed_under(s, &name.join(" "), colon + 1, to)).then_some(colon + 1)
}

/// Whether what follows lists things of the kind that a name before a colon says.
fn listed_under(s: &Source<'_>, name: &str, from: usize, to: usize) -> bool {
    let words: Vec<usize> = (from..to).filter(|i| s.is_word(*i)).collect();
    let names = s.names_within(&words, &mut String::new());
    let under = |one: &String| !s.lexicon.same(name, one) && s.lexicon.akin(name, one);
    s.lexicon.names(name) && names.len() > 1 && names.iter().all(under)
}

/// Behind pictures that stand before a number: ornaments.
fn adorned(s: &Source<'_>, from: usize, to: usize) -> Option<usize> {
    let pictures = from + (from..to).take_while(|i| matches!(s.token(*i).kind, Kind::Picture(_))).count();
    let named = is_number(s, pictures) && (pictures..to).any(|i| s.token(i).kind == Kind::Word);
    (pictures > from && named).then_some(pictures)
}

/// Behind "Nov 3 -", "3 November:", "12/4/25" or "2025-12-04": what was fed that day.
fn dated(s: &Source<'_>, from: usize, to: usize) -> Option<usize> {
    let mark = |i: usize| matches!(s.token(i).kind, Kind::Colon | Kind::Comma | Kind::Dash | Kind::Stop);
    let past_marks = |i: usize| (i..to).find(|i| !mark(*i)).unwrap_or(to);
    // "Fri 27 Nov -", "Friday, Nov 27 -"
    let weekday = s.is(from, WEEKDAY);
    let day = if weekday { from + 1 + usize::from(s.token(from + 1).kind == Kind::Comma) } else { from };
    if let Some(end) = month_and_day(s, day) {
        // A date alone is a heading of its own.
        return (mark(end) || end == to).then(|| past_marks(end));
    }
    // "Weds - coffee grounds", "Fri -- tea bags"
    let behind = past_marks(from + 1);
    if weekday && (behind > from + 1 && !s.token(behind).glued || to == from + 1) {
        return Some(behind);
    }
    // "Sat 28/11 banana", "Sat 2 bananas"
    let Some(behind) = numbered_date(s, day, to, weekday) else {
        return (weekday && is_number(s, day)).then_some(day);
    };
    Some(past_marks(behind))
}

/// Behind "18:30 -", "7:45 am", "8 pm:": what was fed then.
fn timed(s: &Source<'_>, from: usize, to: usize) -> Option<usize> {
    let number = |i: usize, below: f64| matches!(s.token(i).kind, Kind::Number { value, .. } if value < below);
    let written = |i: usize| s.token(i).end - s.token(i).start;
    let minutes = s.token(from + 1).kind == Kind::Colon && s.token(from + 2).glued && written(from + 2) == 2;
    let exact = minutes && number(from + 2, 60.0);
    let end = if exact { from + 3 } else { from + 1 };
    let named = matches!(s.lower_word(end), "am" | "pm" | "uhr" | "h");
    let half = named && matches!(s.lower_word(end), "am" | "pm");
    let next = end + usize::from(named);
    let mark = |i: usize| matches!(s.token(i).kind, Kind::Colon | Kind::Comma | Kind::Dash | Kind::Stop);
    let behind = (next..to).find(|i| !mark(*i)).unwrap_or(to);
    (number(from, 25.0) && next <= to && (exact || half)).then_some(behind)
}

/// Behind "freezer bag, Nov 28", "ice cream tub 28th Nov", "caddy, Weds": what the bag is in, and since when.
fn dated_label(s: &Source<'_>, from: usize, to: usize) -> Option<usize> {
    let closed = |i: usize| s.token(i).kind == Kind::Stop;
    let dated = |i: usize| date_ends(s, i, to).is_some_and(|end| (end..to).all(closed));
    let weekday = |i: usize| s.is(i, WEEKDAY) && (i + 1..to).all(closed);
    let date = (from + 1..to.min(from + 6)).find(|i| dated(*i) || weekday(*i))?;
    // "Gefrierbeutel vom 28.11."
    let last = (from..date).rev().find(|i| s.is_word(*i) && !s.is(*i, OF | FROM))?;
    let words = || (from..=last).all(|i| s.is_word(i));
    // "bolsa del congelador"
    let first = s.is(from, LABEL) && s.is(from + 1, FOREIGN);
    // A plastic bag on Sunday is one.
    let whole = s.between(from, last + 1);
    let thing = if weekday(date) { s.lexicon.names(whole) } else { s.lexicon.names_food(whole) };
    ((first || s.is(last, LABEL)) && words() && !thing).then_some(to)
}

/// The end of a date that stands alone at a token: nothing else is said up to the next mark.
pub(super) fn date_ends(s: &Source<'_>, at: usize, to: usize) -> Option<usize> {
    let at = at + usize::from(s.is(at, WEEKDAY));
    let end = month_and_day(s, at).or_else(|| numbered_date(s, at, to, false))?;
    (end >= to || !begins(s, end)).then_some(end)
}

/// The end of "Nov 28th", "3 November, 2025" at a token.
fn month_and_day(s: &Source<'_>, at: usize) -> Option<usize> {
    let number = |i: usize| matches!(s.token(i).kind, Kind::Number { value, .. } if (1.0..=31.0).contains(&value));
    let ordinal = |i: usize| i + usize::from(s.is(i, ORDINAL));
    // "3rd of November"
    let month = ordinal(at + 1) + usize::from(s.is(ordinal(at + 1), OF));
    let end = if s.is(at, MONTH) && number(at + 1) {
        ordinal(at + 2)
    } else if number(at) && s.is(month, MONTH) {
        month + 1
    } else {
        return None;
    };
    let year = end + usize::from(s.token(end).kind == Kind::Comma);
    let written = matches!(s.token(year).kind, Kind::Number { value, .. } if (1900.0..2200.0).contains(&value));
    Some(if written { year + 1 } else { end })
}

/// The end of a date of numbers at a token.
fn numbered_date(s: &Source<'_>, at: usize, to: usize, weekday: bool) -> Option<usize> {
    let start = if at == 0 { 0 } else { s.token(at).start };
    let length = s.text.get(start..).and_then(|text| date(text, weekday)).map(|length| start + length)?;
    Some((at..to).find(|i| s.token(*i).start >= length).unwrap_or(to))
}

/// The length of a date of three numbers that a text begins with, or of two that are no fraction
/// that anyone cooks by ("21/11 melon rind"), or any two behind a weekday.
fn date(text: &str, weekday: bool) -> Option<usize> {
    let length = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '/' | '.' | '-'))).unwrap_or(text.len());
    let written = text.get(..length)?;
    let date = written.trim_end_matches(['/', '.', '-']);
    let mark = date.chars().find(|c| !c.is_ascii_digit())?;
    let lengths: Vec<usize> = date.split(mark).map(str::len).collect();
    let digits = date.split(mark).all(|part| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit()));
    let whole = match lengths[..] {
        [1 | 2, 1 | 2, 2 | 4] | [4, 1 | 2, 1 | 2] => true,
        // "28.11."
        [1 | 2, 1 | 2] if mark == '/' || mark == '.' && written.ends_with('.') => {
            let numbers: Vec<u8> = date.split(mark).filter_map(|part| part.parse().ok()).collect();
            matches!(numbers[..], [a @ 1..=31, b @ 1..=31] if a.min(b) <= 12 && (weekday || !cooked_by(a, b)))
        }
        _ => false,
    };
    (whole && digits).then_some(date.len())
}

/// Whether a recipe might say so much of a thing: "3/4", and "11/2" for one and a half.
fn cooked_by(top: u8, bottom: u8) -> bool {
    let run_together = top > 9 && (1..bottom).contains(&(top % 10)) && bottom < 10;
    let small = top < bottom && matches!(bottom, 2..=6 | 8 | 10 | 12 | 16);
    run_together || small
}

/// Behind "week 2:", "bag 1 -", "Bin A:", "freezer bag #3:", "kitchen caddy this week -".
fn labelled(s: &Source<'_>, from: usize, to: usize) -> Option<usize> {
    let end = (from + 2..to.min(from + 6)).find(|i| closes(s, *i)).filter(|end| end + 1 < to)?;
    is_label(s, from, end).then_some(end + 1)
}

/// Behind "can worms eat", "is it ok to add", "what about": what is asked about.
fn asked(s: &Source<'_>, from: usize, to: usize) -> Option<usize> {
    let opens = match (s.lower_word(from), s.lower_word(from + 1)) {
        ("is" | "are", it) => matches!(it, "it" | "there"),
        ("what" | "how", about) => about == "about",
        _ => s.is(from, ASKS) && s.is(from + 1, WHOM),
    };
    // Red worms, but a red cabbage.
    let red_worms = |i: usize| s.lower_word(i) == "red" && s.is(i + 1, WORMS);
    let filler = |i: usize| s.is(i, ASKING) || red_worms(i);
    let end = (from + 1..to).find(|i| !filler(*i)).filter(|_| opens)?;
    begins(s, end).then_some(end)
}

/// Behind "not sure about", "I think it's", "so there are": what somebody says there is, sure of it or not.
fn mused(s: &Source<'_>, from: usize, to: usize) -> Option<usize> {
    let there_is = |i: usize| s.lower_word(i) == "there" && s.is(i + 1, RELATIVE);
    let told = |i: usize| s.is(i, MUSES | ASKING | SPEAKER) || i > from && there_is(i - 1);
    let end = (from..to).find(|i| !told(*i))?;
    ((from..end).any(|i| s.is(i, MUSES) || there_is(i)) && begins(s, end)).then_some(end)
}

/// Behind "my worms won't eat", "they love", "the worms are all over": what they were given.
fn told_of_worms(s: &Source<'_>, from: usize, to: usize) -> Option<usize> {
    let of = from + usize::from(s.is(from, DETERMINER));
    let worms = of + usize::from(matches!(s.lower_word(of), "red" | "compost"));
    let end = (worms + 1..to).find(|i| !s.is(*i, DOING)).filter(|_| s.is(worms, WORMS))?;
    (end > worms + 1 && begins(s, end)).then_some(end)
}

/// Behind "we added", "fed today", "just put in": what went in.
fn announced(s: &Source<'_>, from: usize, to: usize) -> Option<usize> {
    let did = (from..to).find(|i| !s.is(*i, SPEAKER)).unwrap_or(to);
    if !s.is(did, VERB) || to <= did + 1 || s.name_of_words(did).is_some() {
        return None;
    }
    (did + 1..to).find(|i| !s.is(*i, INTO) || i + 1 >= to)
}
