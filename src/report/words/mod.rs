//! Words and figures as a person at the bin reads them: amounts in the unit of the line, shares as
//! fractions, doing words for states, and text of any origin made safe to print.

mod figures;
mod rules;

pub use figures::{
    BOWL_G, HANDFUL_G, SPOON_G, about, allowance, bowls, exact_share, feel, grams, grams_at_most, handfuls, number,
    percent, spoons, whole_percent,
};
pub use rules::{asks_nothing, demand, fact_value, mix_window, subject, weight, when, who};

use crate::bag::{Mg, StateId, Thing, Vocabulary};
use crate::judge::Verdict;
use crate::language::{Layer, Rule};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// A space at which no line is parted; printed as a space.
const TIED: char = '\u{a0}';

/// Text safe to print: control characters and those that reorder or hide text become U+FFFD, line
/// ends and tabs become spaces.
pub fn clean(text: &str) -> String {
    if is_plain(text) {
        return text.to_string();
    }
    text.chars().map(|c| if c == TIED { ' ' } else { safe(c) }).collect()
}

/// As [`clean`], with tied spaces kept for the wrapping that comes next.
pub(super) fn clean_for_wrapping(text: &str) -> String {
    if is_plain(text) {
        return text.to_string();
    }
    text.chars().map(safe).collect()
}

/// Whether there is nothing in a text but printable ASCII.
pub(super) fn is_plain(text: &str) -> bool {
    text.bytes().fold(true, |all, b| all & (b' '..=b'~').contains(&b))
}

pub(super) fn safe(c: char) -> char {
    match c {
        '\t' | '\n' | '\r' | '\u{2028}' | '\u{2029}' => ' ',
        '\u{61c}'
        | '\u{200b}'
        | '\u{200e}'
        | '\u{200f}'
        | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{feff}' => '\u{fffd}',
        '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}' => '\u{fffd}',
        c if c.is_control() => '\u{fffd}',
        c => c,
    }
}

/// Columns that a text takes.
pub fn wide(text: &str) -> usize {
    clean(text).width()
}

/// Text cut to so many columns, on one line.
pub fn clipped(text: &str, columns: usize) -> String {
    let text = clean(text);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if text.width() <= columns {
        return text;
    }
    let mut out = String::new();
    let mut used = 0;
    for c in text.chars() {
        used += c.width().unwrap_or(0);
        if used + 3 > columns {
            break;
        }
        out.push(c);
    }
    out.trim_end().to_string() + "..."
}

/// The same text that no line end may part.
pub fn tied(text: &str) -> String {
    text.replace(' ', &TIED.to_string())
}

/// With its first letter large.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// The first sentence, with its full stop.
pub fn first_sentence(text: &str) -> String {
    let text = text.trim();
    let end = text.char_indices().find(|(i, c)| matches!(c, '.' | '!' | '?') && begins(text.get(i + 1..)));
    let one = end.map_or(text, |(i, c)| text.get(..i + c.len_utf8()).unwrap_or(text));
    sentence(one)
}

/// Whether a sentence begins here; a small letter does not begin one.
fn begins(rest: Option<&str>) -> bool {
    rest.and_then(|r| r.strip_prefix(' '))
        .and_then(|r| r.trim_start().chars().next())
        .is_some_and(|c| !c.is_lowercase())
}

/// With a full stop if it has no end yet.
pub fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.is_empty() || text.ends_with(['.', '!', '?', ':']) { text.to_string() } else { format!("{text}.") }
}

/// `1 thing`, `3 things`.
pub fn count(n: usize, one: &str) -> String {
    if n == 1 { tied(&format!("1 {one}")) } else { tied(&format!("{n} {one}s")) }
}

/// `a, b and c`.
pub fn list<S: AsRef<str>>(parts: &[S], last: &str) -> String {
    match parts {
        [] => String::new(),
        [one] => one.as_ref().to_string(),
        [first @ .., end] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} {last} {}", first.join(", "), end.as_ref())
        }
    }
}

/// The doing word of a state that a person can bring about.
pub fn verb(state: &str) -> String {
    let known = match state {
        "frozen" => "freeze",
        "thawed" => "freeze and thaw",
        "chopped" => "chop",
        "shredded" => "shred",
        "torn" => "tear up",
        "broken" => "break up",
        "crushed" => "crush",
        "ground" => "grind",
        "blended" => "blend",
        "mashed" => "mash",
        "drained" => "drain",
        "rinsed" => "rinse",
        "soaked" => "soak",
        "dried" => "dry",
        "aged" => "leave to age",
        "composted" => "compost first",
        "peeled" => "peel",
        "pitted" => "take the stone out",
        "unwrapped" => "take stickers, ties, staples and wrapping off",
        "microwaved" => "microwave",
        "emptied" => "empty",
        "cooled" => "let cool",
        _ => "",
    };
    if known.is_empty() { format!("make it {state}") } else { known.to_string() }
}

/// Doing words for several states: all of them (`and`), or any one (`or`). A state that another of
/// them brings with it is not said.
pub fn verbs(states: &[StateId], joined: &str, v: &Vocabulary) -> String {
    let brought =
        |id: &StateId| states.iter().any(|o| o != id && v.state_of(*o).is_some_and(|s| s.implies & id.bit() != 0));
    let words: Vec<String> =
        states.iter().filter(|id| joined == "or" || !brought(id)).map(|id| verb(v.state_name(*id))).collect();
    list(&words, joined)
}

/// The names of some states.
pub fn states(states: &[StateId], joined: &str, v: &Vocabulary) -> String {
    list(&states.iter().map(|id| v.state_name(*id)).collect::<Vec<_>>(), joined)
}

/// What a person at the bin calls a verdict.
pub fn label(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Feed => "GOES IN",
        Verdict::Prepare => "FIRST",
        Verdict::Limit => "A LITTLE",
        Verdict::Ask => "ASK",
        Verdict::KeepOut => "KEEP OUT",
    }
}

/// A verdict inside a sentence.
pub fn outcome(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        None | Some(Verdict::Feed) => "it goes in",
        Some(Verdict::Prepare) => "something to do first",
        Some(Verdict::Limit) => "a little",
        Some(Verdict::Ask) => "still a question",
        Some(Verdict::KeepOut) => "keep it out",
    }
}

/// Whose a layer is.
pub fn whose(layer: Layer) -> &'static str {
    match layer {
        Layer::Base => "the trade's",
        Layer::Area => "your town's",
        Layer::Household => "yours",
    }
}

/// Where a rule stands.
pub fn place(rule: &Rule) -> String {
    format!("{}, {}", rule.file(), tied(&format!("line {}", rule.at_line)))
}

/// A thing's text as its writer wrote it, cut to what a line can hold; a bracket that the end of the
/// thing cut off is closed.
pub fn thing(thing: &Thing) -> String {
    clipped(&closed(&thing.text), 60)
}

/// Text whose brackets, if a reader cut it behind one, are closed again.
pub(super) fn closed(text: &str) -> String {
    let open = text.matches('(').count().saturating_sub(text.matches(')').count());
    format!("{text}{}", ")".repeat(open.min(3)))
}

/// `a, b, c`, with semicolons where one of them holds a comma of its own.
pub fn list_clear<S: AsRef<str>>(parts: &[S]) -> String {
    let between = if parts.iter().any(|p| p.as_ref().contains(',')) { "; " } else { ", " };
    parts.iter().map(AsRef::as_ref).collect::<Vec<_>>().join(between)
}

/// Words of a count that a list may begin with.
const NUMBER_WORDS: [&str; 15] = [
    "a", "an", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "about",
];

/// The text after the number it begins with, if it begins with just that.
fn after_number(text: &str) -> Option<&str> {
    let text = text.trim();
    let end = text.find(char::is_whitespace)?;
    let (first, rest) = text.split_at_checked(end)?;
    let plain =
        first.chars().all(|c| c.is_ascii_digit() || c == '.') || NUMBER_WORDS.contains(&first.to_lowercase().as_str());
    let rest = rest.trim();
    let again = rest.starts_with(|c: char| c.is_ascii_digit() || c == '/' || c == '½');
    (plain && !again && !rest.is_empty()).then_some(rest)
}

/// Some of a thing, in the unit of its line: `6 of the 9 clementine skins`, `half of the peel`.
/// Rounded up, so that what remains is never more than was meant.
pub fn part_of(thing_: &Thing, share: f64, whole: Mg) -> String {
    let text = thing(thing_);
    let held = whole.grams() * share;
    let counted = thing_.amount.filter(|a| a.high.is_none() && thing_.each.is_none() && a.low >= 1.0);
    if let (Some(amount), Some(rest)) = (counted, after_number(&text)) {
        let n = amount.low;
        let measured = thing_.unit.is_some_and(|u| u.is_measured());
        let step = if measured && n >= 20.0 {
            (n / 20.0).max(1.0).floor()
        } else if n < 4.0 || measured {
            0.5
        } else {
            1.0
        };
        let k = ((n * share / step) - 1e-6).ceil() * step;
        if k >= n && share < 1.0 {
            return format!("most of {}", the(&text));
        }
        if n > 1.0 || k < n {
            return if k >= n {
                format!("all of {}", the(&text))
            } else if n <= 1.0 {
                format!("half of the {rest}")
            } else {
                format!("{} of the {} {rest}", number(k), number(n))
            };
        }
    }
    match about(share) {
        "hardly any" => format!("about {} of {}", grams(held.max(1.0)), the(&text)),
        "nearly all" | "all" => format!("nearly all of {}", the(&text)),
        words => format!("{words} of {}", the(&text)),
    }
}

/// `the orange peel`, `the 9 skins`; text that begins with `a`, `half`, `about` or its own `the` stays.
fn the(text: &str) -> String {
    let first = text.split_whitespace().next().unwrap_or("").to_lowercase();
    if ["a", "an", "half", "the", "some", "my", "our", "about", "roughly", "around"].contains(&first.as_str()) {
        text.to_string()
    } else {
        format!("the {text}")
    }
}

/// A command as it is typed, its words quoted where a shell would part or change them.
pub fn command(parts: &[&str]) -> String {
    tied(&parts.iter().map(|p| quoted(p)).collect::<Vec<_>>().join(" "))
}

/// One word for a shell.
fn quoted(word: &str) -> String {
    let word = clean(word);
    let bare = |c: char| c.is_alphanumeric() || "-_./=:,@+% ".contains(c);
    if !word.is_empty() && word.chars().all(bare) && !(word.contains(' ') && word.contains(['/', '.', '='])) {
        word
    } else {
        format!("'{}'", word.replace('\'', "'\\''"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bag::{Amount, Measure, Unit};

    fn thing_of(text: &str, low: Option<f64>, unit: Option<Unit>) -> Thing {
        let amount = low.map(|low| Amount { low, high: None });
        Thing {
            text: text.into(),
            amount,
            unit,
            each: None,
            about: None,
            of_whole: false,
            names: [].into(),
            additions: Vec::new(),
            without: Vec::new(),
        }
    }

    #[test]
    fn a_part_is_said_in_the_unit_of_the_line() {
        let nine = thing_of("9 clementine skins", Some(9.0), None);
        assert_eq!(part_of(&nine, 0.62, Mg(180_000)), "6 of the 9 clementine skins");
        assert_eq!(part_of(&nine, 0.99, Mg(180_000)), "most of the 9 clementine skins");
        let g = Unit { name: "g", measure: Measure::Mass(1.0) };
        assert_eq!(
            part_of(&thing_of("500 g melon rind", Some(500.0), Some(g)), 0.31, Mg(500_000)),
            "175 of the 500 g melon rind"
        );
        let kg = Unit { name: "kg", measure: Measure::Mass(1000.0) };
        assert_eq!(
            part_of(&thing_of("3 kg of rind", Some(3.0), Some(kg)), 0.45, Mg(3_000_000)),
            "1.5 of the 3 kg of rind"
        );
        assert_eq!(
            part_of(&thing_of("orange peel", None, None), 0.66, Mg(60_000)),
            "about two thirds of the orange peel"
        );
        assert_eq!(part_of(&thing_of("half a melon", Some(0.5), None), 0.5, Mg(600_000)), "about half of half a melon");
        assert_eq!(part_of(&thing_of("1 lemon", Some(1.0), None), 0.4, Mg(80_000)), "half of the lemon");
        assert_eq!(part_of(&thing_of("3 oranges", Some(3.0), None), 0.4, Mg(80_000)), "1.5 of the 3 oranges");
        assert_eq!(
            part_of(&thing_of("1 1/2 oranges", Some(1.5), None), 0.5, Mg(80_000)),
            "about half of the 1 1/2 oranges"
        );
    }

    #[test]
    fn what_is_let_in_is_never_rounded_up() {
        assert_eq!(clean(&grams_at_most(1_690.0)), "1.6 kg");
        assert_eq!(clean(&grams_at_most(99.9)), "99 g");
        assert_eq!(clean(&grams_at_most(0.0)), "0 g");
        assert_eq!(clean(&grams(1000.4)), "1 kg");
    }

    #[test]
    fn shares_become_words() {
        assert_eq!(about(0.74), "about three quarters");
        assert_eq!(about(1.0), "all");
        assert_eq!(about(0.97), "nearly all");
        assert_eq!(exact_share(100_000), "a tenth");
        assert_eq!(clean(&exact_share(80_000)), "8 %");
    }

    #[test]
    fn a_command_can_be_typed_as_it_is_shown() {
        assert_eq!(
            clean(&command(&["forefeed", "explain", "dal with ghee", "--bag", "my bag.txt"])),
            "forefeed explain dal with ghee --bag 'my bag.txt'"
        );
        assert_eq!(clean(&command(&["forefeed", "explain", "o'brien $(x)"])), "forefeed explain 'o'\\''brien $(x)'");
    }

    #[test]
    fn a_sentence_ends_where_it_ends() {
        assert_eq!(first_sentence("Sharp oil, e.g. in peel. More"), "Sharp oil, e.g. in peel.");
        assert_eq!(first_sentence("It lasts for years"), "It lasts for years.");
    }
}
