//! What reading a line promises, whatever the line: it never fails, spaces, case and line ends do
//! not matter, and no amount is read where none was written.

#![allow(clippy::expect_used, clippy::unwrap_used, clippy::panic, missing_docs, reason = "tests")]

use forefeed::bag::{self, Lexicon, Reading, Thing, Vocabulary};
use proptest::prelude::*;
use std::sync::LazyLock;

struct Names(Vocabulary);

const NAMES: &[&str] = &[
    "apple",
    "banana",
    "bread",
    "cheese",
    "coffee grounds",
    "egg shells",
    "lemon",
    "lettuce",
    "mac and cheese",
    "onion",
    "orange",
    "pasta",
    "potato",
    "rice",
    "salad",
    "spinach",
    "tea bags",
    "tomato",
];

impl Lexicon for Names {
    fn names(&self, phrase: &str) -> bool {
        NAMES.iter().any(|n| n.eq_ignore_ascii_case(phrase))
    }
    fn knows_word(&self, word: &str) -> bool {
        NAMES.iter().any(|n| n.split(' ').any(|w| w.eq_ignore_ascii_case(word)))
    }
    fn vocabulary(&self) -> &Vocabulary {
        &self.0
    }
}

static LEXICON: LazyLock<Names> = LazyLock::new(|| {
    Names(
        Vocabulary::load(include_str!("../rules/states.yaml"), include_str!("../rules/parts.yaml"))
            .expect("the vocabulary is whole"),
    )
});

fn things(line: &str) -> Vec<Thing> {
    match bag::read_line(1, line, &*LEXICON).reading {
        Reading::Things(things) => things,
        _ => Vec::new(),
    }
}

/// Everything of the things but how their words were written.
fn meaning(line: &str) -> String {
    let mut out = String::new();
    for t in things(line) {
        let names: Vec<_> =
            t.names.iter().map(|n| (n.name.to_lowercase(), n.full.to_lowercase(), n.part, n.said)).collect();
        let lower = |all: &[String]| all.iter().map(|x| x.to_lowercase()).collect::<Vec<_>>();
        out += &format!(
            "{:?} {:?} {:?} {names:?} {:?} {:?}\n",
            t.amount,
            t.unit,
            t.each,
            lower(&t.additions),
            lower(&t.without)
        );
    }
    out
}

/// Words that lists are made of, so that random lines reach every branch.
fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        prop::sample::select(NAMES).prop_map(str::to_string),
        prop::sample::select(
            &[
                "and",
                "or",
                "with",
                "without",
                "no",
                "of",
                "from",
                "a",
                "the",
                "half",
                "some",
                "few",
                "about",
                "x",
                "plus",
                "to",
                "for",
                "not",
                "each",
                "dozen",
                "including",
                "like",
                "but",
                "etc",
                "that",
                "&",
                "/",
                ",",
                ";",
                ".",
                "-",
                "(",
                ")",
                "+",
                ":",
                "%",
                "peel",
                "core",
                "leaves",
                "chopped",
                "frozen",
                "mouldy",
                "ground",
                "leftover",
                "salted",
                "small",
                "large",
                "very",
                "cup",
                "g",
                "kg",
                "oz",
                "bag",
                "handful",
                "cloves",
                "slices",
                "can",
                "bottle",
                "frobnitz",
                "crème",
                "🍌",
                "🥚",
            ][..]
        )
        .prop_map(str::to_string),
        prop::sample::select(
            &["1", "2", "12", "1/2", "1 1/2", "½", "3-4", "1.5", "2,5", "28-ounce", "1-inch", "0", "100%"][..]
        )
        .prop_map(str::to_string),
    ]
}

fn line() -> impl Strategy<Value = String> {
    prop::collection::vec(word(), 1..10).prop_map(|w| w.join(" "))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read(text in "\\PC*") {
        let _ = bag::read(&text, &*LEXICON);
    }

    #[test]
    fn any_bytes_are_read(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let lines = bag::read_bytes(&bytes, &*LEXICON).lines;
        prop_assert!(lines.iter().zip(1u32..).all(|(l, n)| l.number == n));
    }

    #[test]
    fn every_thing_has_a_name(text in line()) {
        for t in things(&text) {
            prop_assert!(!t.names.is_empty());
            prop_assert!(t.names.iter().all(|n| !n.name.trim().is_empty() && !n.full.trim().is_empty()), "{t:?}");
            if let Some(a) = t.amount {
                prop_assert!(a.low.is_finite() && a.low >= 0.0 && a.high.is_none_or(|h| h.is_finite() && h > a.low), "{t:?}");
            }
        }
    }

    #[test]
    fn spaces_do_not_matter(text in line(), gap in " {1,3}") {
        let wide = format!("{gap}{}{gap}", text.replace(' ', &gap));
        prop_assert_eq!(meaning(&text), meaning(&wide));
    }

    #[test]
    fn case_does_not_matter(text in line()) {
        prop_assert_eq!(meaning(&text.to_lowercase()), meaning(&text.to_uppercase()));
    }

    #[test]
    fn line_ends_do_not_matter(lines in prop::collection::vec(line(), 1..4)) {
        let read = |end: &str| bag::read(&lines.join(end), &*LEXICON);
        prop_assert_eq!(read("\n"), read("\r\n"));
        let bytes = bag::read_bytes(lines.join("\r\n").as_bytes(), &*LEXICON);
        prop_assert_eq!(read("\n"), bytes);
    }

    #[test]
    fn no_number_written_none_read(words in prop::collection::vec("[a-z]{4,9}", 1..7)) {
        let numbers = ["three", "four", "five", "seven", "eight", "nine", "half", "dozen", "couple"];
        prop_assume!(words.iter().all(|w| !numbers.contains(&w.as_str()) && !is_number(w)));
        for t in things(&words.join(" ")) {
            prop_assert!(t.amount.is_none() && t.each.is_none(), "{t:?}");
        }
    }
}

/// Number words of the reader that are longer than three letters.
fn is_number(word: &str) -> bool {
    let all = "zero eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen twenty thirty forty fifty hundred quarter \
               quarters third thirds halves dozens pair another eine einen zwei drei vier fünf sechs sieben acht neun zehn tres cuatro cinco \
               seis siete ocho nueve diez deux trois quatre cinq sept huit neuf";
    all.split(' ').any(|w| w == word)
}
