//! A line cut into words, numbers and marks.
//!
//! Comes in: one line without its comment. Goes out: tokens with their place. A number is one
//! token however it is written: `1 1/2`, `1½`, `.5`, `1,5`, `1,000`.

use super::glossary::{Gloss, Glossary, Roles, SHORT, UNHALVED};
use smallvec::SmallVec;

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// Behind the last token.
    End,
    Word,
    /// A number; `whole` is the whole part where a fraction stands behind it ("1 1/2"), else 0.
    Number {
        value: f64,
        whole: f64,
    },
    Comma,
    /// `;`, or a full stop, question or exclamation mark between words.
    Stop,
    Slash,
    Amp,
    Plus,
    Dash,
    Colon,
    Open,
    Close,
    Percent,
    /// `x` or `×` between a count and a size, or before a count.
    Times,
    /// A picture of a thing.
    Picture(char),
}

/// The tokens of a line; nearly always few.
pub(super) type Tokens = SmallVec<[Token; 16]>;

/// A token and its place in the line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Token {
    pub(super) kind: Kind,
    pub(super) start: usize,
    pub(super) end: usize,
    /// Nothing stands between it and the token before it.
    pub(super) glued: bool,
    pub(super) gloss: Gloss,
}

impl Token {
    pub(super) const END: Token =
        Token { kind: Kind::End, start: usize::MAX, end: usize::MAX, glued: false, gloss: Gloss::NONE };

    pub(super) fn is(&self, roles: Roles) -> bool {
        self.gloss.is(roles)
    }
}

/// The line in lower case, byte for byte as long as the line itself.
pub(super) fn lower(text: &str, out: &mut String) {
    out.clear();
    if text.is_ascii() {
        out.push_str(text);
        out.make_ascii_lowercase();
        return;
    }
    for c in text.chars() {
        let mut small = c.to_lowercase();
        match (small.next(), small.next()) {
            (Some(s), None) if s.len_utf8() == c.len_utf8() => out.push(s),
            _ => out.push(c),
        }
    }
}

/// Where a comment begins: a `#` at the start or behind a space, unless a digit follows ("#10 can").
pub(super) fn comment_at(line: &str) -> Option<usize> {
    let bytes = line.as_bytes();
    if !bytes.contains(&b'#') {
        return None;
    }
    let digit = |i: usize| bytes.get(i + 1).is_some_and(u8::is_ascii_digit);
    line.match_indices('#').map(|(i, _)| i).find(|&i| {
        let before = i.checked_sub(1).and_then(|b| bytes.get(b));
        before.is_none_or(|b| b.is_ascii_whitespace()) && !(before.is_some() && digit(i))
    })
}

/// How many bytes of bullet, check box or numbering stand before the text.
pub(super) fn bullet(line: &str) -> usize {
    let mut at = 0;
    loop {
        let rest = line.get(at..).unwrap_or("");
        let trimmed = rest.trim_start();
        let gap = rest.len() - trimmed.len();
        match marker(trimmed) {
            Some(n) if n > 0 => at += gap + n,
            _ => return at + gap,
        }
    }
}

fn marker(text: &str) -> Option<usize> {
    let first = text.chars().next()?;
    let behind = |n: usize| text.get(n..).unwrap_or("");
    let ends = |n: usize| behind(n).chars().next().is_none_or(char::is_whitespace);
    match first {
        '•' | '·' | '▪' | '▫' | '◦' | '●' | '○' | '‣' | '⁃' | '∙' | '■' | '□' | '☐' | '☑' | '☒' | '✓' | '✔' | '✗'
        | '✘' | '►' | '➤' | '→' | '\u{fe0f}' | '✅' => Some(first.len_utf8()),
        '-' | '*' | '+' | '–' | '—' | '>' | '~' if ends(first.len_utf8()) => Some(first.len_utf8()),
        '-' | '*' if behind(1).starts_with(|c: char| c.is_alphabetic() || c == '[') => Some(1),
        '[' => {
            let close = text.find(']')?;
            let inside = text.get(1..close)?.trim();
            matches!(inside, "" | "x" | "X" | "*" | "-" | "✓" | "✔").then_some(close + 1)
        }
        '0'..='9' => {
            let digits = text.bytes().take_while(u8::is_ascii_digit).count();
            let mark = behind(digits).starts_with(['.', ')']);
            // "1.5 cups" is no numbering, "1. 5 cups" is.
            (digits <= 3 && mark && ends(digits + 1) && !behind(digits + 1).trim().is_empty()).then_some(digits + 1)
        }
        'a'..='z' | 'A'..='Z' if behind(1).starts_with(')') && ends(2) => Some(2),
        _ => None,
    }
}

/// "1. bananas 2. apples": makes stops of the numbers that go on with the numbering before the text,
/// and says whether there are any.
pub(super) fn renumber(marker: &str, tokens: &mut Tokens) -> bool {
    let at = |tokens: &Tokens, i: usize| tokens.get(i).copied().unwrap_or(Token::END);
    let whole = |t: Token| match t.kind {
        Kind::Number { value, whole: 0.0 } if value.fract() == 0.0 => Some(value),
        _ => None,
    };
    // "(1) bananas (2) apples"
    let in_brackets = |tokens: &Tokens, i: usize| {
        let inside = whole(at(tokens, i + 1)).filter(|_| at(tokens, i).kind == Kind::Open);
        inside.filter(|_| at(tokens, i + 2).kind == Kind::Close)
    };
    let (mut last, bracketed) =
        match (marker.trim().trim_end_matches(['.', ')']).parse::<f64>(), in_brackets(tokens, 0)) {
            (Ok(first), _) => (first, false),
            (_, Some(first)) => (first, true),
            _ => return false,
        };
    let mut marks: SmallVec<[(usize, usize); 8]> = SmallVec::new();
    for i in 1..tokens.len() {
        let (number, end) = match whole(at(tokens, i)) {
            Some(number) if !bracketed => {
                let mark = at(tokens, i + 1);
                let ends = matches!(mark.kind, Kind::Stop | Kind::Close) && mark.glued && !at(tokens, i + 2).glued;
                (Some(number).filter(|_| ends), i + 2)
            }
            _ if bracketed => (in_brackets(tokens, i), i + 3),
            _ => continue,
        };
        if number == Some(last + 1.0) {
            marks.push((i, end));
            last += 1.0;
        }
    }
    if bracketed && !marks.is_empty() {
        marks.push((0, 3));
    }
    for (from, to) in &marks {
        for token in tokens.iter_mut().take(*to).skip(*from) {
            token.kind = Kind::Stop;
            token.gloss = Gloss::NONE;
        }
    }
    !marks.is_empty()
}

/// Cuts a line into tokens; `lower` is the same in lower case.
pub(super) fn cut(text: &str, lower: &str, glossary: &Glossary, out: &mut Tokens) {
    out.clear();
    let bytes = text.as_bytes();
    let mut at = 0;
    let mut glued = false;
    while let Some(c) = text.get(at..).and_then(|r| r.chars().next()) {
        let len = c.len_utf8();
        let next = bytes.get(at + len).copied().unwrap_or(b' ');
        let mark = |kind| Some((kind, at + len));
        let found = match c {
            '0' if !glued => Some(grade(text, at).map_or_else(|| number(text, at), |end| (Kind::Word, end))),
            '0'..='9' => Some(number(text, at)),
            '.' if next.is_ascii_digit() && !glued => Some(number(text, at)),
            _ if fraction(c).is_some() => Some(number(text, at)),
            'x' | 'X' | '×' if next.is_ascii_digit() && !word_before(text, at) => mark(Kind::Times),
            '×' => mark(Kind::Times),
            '✕' | '✖' | '*' => mark(Kind::Times),
            ',' | '、' | '，' => mark(Kind::Comma),
            ';' | '?' | '!' | '…' | '|' | '\t' => mark(Kind::Stop),
            '.' => Some((Kind::Stop, at + bytes.iter().skip(at).take_while(|b| **b == b'.').count())),
            '/' | '\\' | '\u{2044}' => mark(Kind::Slash),
            '&' => mark(Kind::Amp),
            '+' => mark(Kind::Plus),
            '-' | '–' | '—' | '\u{2010}' | '\u{2011}' | '\u{2212}' => mark(Kind::Dash),
            ':' | '=' => mark(Kind::Colon),
            '(' | '[' | '{' => mark(Kind::Open),
            ')' | ']' | '}' => mark(Kind::Close),
            '%' => mark(Kind::Percent),
            '"' | '″' if glued && in_inches(text, at) => mark(Kind::Word),
            _ if !glued && lower.get(at..).is_some_and(|rest| halved(rest, glossary)) => Some((Kind::Word, at + 4)),
            _ if in_word(c) => Some((Kind::Word, elided(lower, at).unwrap_or_else(|| word_end(text, at)))),
            _ => glossary.picture(c).map(|_| (Kind::Picture(c), at + len)),
        };
        match found {
            Some((kind, end)) => {
                let word = lower.get(at..end).unwrap_or("");
                let gloss = if kind == Kind::Word { glossary.gloss(word) } else { Gloss::NONE };
                out.push(Token { kind, start: at, end, glued, gloss });
                let behind = text.get(end..).unwrap_or("");
                let half = word == "demi" && behind.starts_with('-');
                let short = gloss.is(SHORT) && dotted_short(behind);
                at = end + usize::from(kind == Kind::Word && (half || short));
                glued = true;
            }
            None => {
                at += len;
                // Joiners and colours belong to the picture before them.
                glued = glued && matches!(c, '\u{fe0f}' | '\u{200d}' | '"' | '“' | '”');
            }
        }
    }
}

/// The end of the "d'" in "pelures d'orange": a word of its own, as the "de" that it is short for.
fn elided(lower: &str, at: usize) -> Option<usize> {
    let rest = lower.get(at..)?;
    let of = ["d'", "d’"].into_iter().find(|of| rest.starts_with(of))?;
    let word = rest.get(of.len()..)?.chars().next().is_some_and(char::is_alphabetic);
    (word && !word_before(lower, at)).then_some(at + of.len())
}

/// "Demi-kilo", "demi-oignon": half of what follows; not "demi-sel", "demi-glace", "demi-écrémé".
fn halved(rest: &str, glossary: &Glossary) -> bool {
    let Some(whole) = rest.strip_prefix("demi-") else { return false };
    let word = whole.get(..word_end(whole, 0)).unwrap_or("");
    word.starts_with(char::is_alphabetic) && !glossary.gloss(word).is(UNHALVED)
}

/// Whether behind a short form stands the dot that goes with it: "3 lg. carrots", "incl. tops".
fn dotted_short(behind: &str) -> bool {
    behind.strip_prefix('.').is_some_and(|rest| rest.starts_with(|c: char| c == ' ' || c.is_alphabetic()))
}

/// The end of the zeros in "00 flour", "harina 0000": how fine it is ground, and no number.
fn grade(text: &str, at: usize) -> Option<usize> {
    let (before, rest) = text.split_at_checked(at)?;
    let behind = rest.trim_start_matches('0');
    let zeros = rest.len() - behind.len();
    let named = behind.trim_start_matches(' ').starts_with(char::is_alphabetic) && behind.starts_with(' ')
        || before.trim_end().ends_with(char::is_alphabetic)
            && !behind.starts_with(|c| in_word(c) || ".,:/⁄%".contains(c));
    (zeros > 1 && named).then_some(at + zeros)
}

/// Whether the mark behind a number is that of inches: it closes no quotation.
fn in_inches(text: &str, at: usize) -> bool {
    let before = text.get(..at).unwrap_or("");
    before.ends_with(|c: char| c.is_ascii_digit() || fraction(c).is_some()) && before.matches('"').count() % 2 == 0
}

fn in_word(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '\'' | '’' | '‘' | '\u{300}'..='\u{36f}')
}

fn word_before(text: &str, at: usize) -> bool {
    text.get(..at).and_then(|t| t.chars().next_back()).is_some_and(|c| c.is_alphabetic())
}

/// A word reaches over hyphens and apostrophes between letters ("sun-dried", "n'", "w/" and "w/o").
fn word_end(text: &str, start: usize) -> usize {
    let rest = text.get(start..).unwrap_or("");
    let bytes = rest.as_bytes();
    for (short, must_end) in [("w/o", true), ("w/", false), ("and/or", true)] {
        let head = rest.get(..short.len()).unwrap_or("");
        if head.eq_ignore_ascii_case(short)
            && !(must_end && bytes.get(short.len()).is_some_and(u8::is_ascii_alphabetic))
        {
            return start + short.len();
        }
    }
    let mut end = start;
    let mut chars = rest.char_indices().peekable();
    // "5lb10oz": a number behind the unit of another.
    let behind_number = text.get(..start).is_some_and(|t| t.ends_with(|c: char| c.is_ascii_digit()));
    while let Some((i, c)) = chars.next() {
        if in_word(c) {
            if behind_number && i > 0 && c.is_ascii_digit() {
                break;
            }
            end = start + i + c.len_utf8();
        } else if matches!(c, '-' | '\u{2010}' | '\u{2011}')
            && chars.peek().is_some_and(|(_, n)| n.is_alphabetic())
            && end > start
        {
            end = start + i + c.len_utf8();
        } else if c == '.' && dotted(rest, i) {
            end = start + i + 1;
        } else {
            break;
        }
    }
    end
}

/// "e.g." and "i.e." keep their dots.
fn dotted(rest: &str, dot: usize) -> bool {
    let head = rest.get(..4).unwrap_or_else(|| rest.get(..3).unwrap_or(""));
    let short = head.get(..3).unwrap_or("");
    (short.eq_ignore_ascii_case("e.g") || short.eq_ignore_ascii_case("i.e")) && dot <= 3
}

/// The value of a Unicode fraction.
pub(super) fn fraction(c: char) -> Option<f64> {
    Some(match c {
        '½' => 0.5,
        '¼' => 0.25,
        '¾' => 0.75,
        '⅓' => 1.0 / 3.0,
        '⅔' => 2.0 / 3.0,
        '⅕' => 0.2,
        '⅖' => 0.4,
        '⅗' => 0.6,
        '⅘' => 0.8,
        '⅙' => 1.0 / 6.0,
        '⅚' => 5.0 / 6.0,
        '⅐' => 1.0 / 7.0,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        '⅑' => 1.0 / 9.0,
        '⅒' => 0.1,
        _ => return None,
    })
}

/// Reads a number at `at`; `text` has a digit, a point before one, or a fraction there.
fn number(text: &str, at: usize) -> (Kind, usize) {
    let (value, end, simple) = plain(text, at);
    let rest = |i: usize| text.get(i..).unwrap_or("");
    if !simple {
        return (Kind::Number { value, whole: 0.0 }, end);
    }
    // "1½", "1 ½", "1-1/2", "1 1/2": a whole with a proper fraction behind it.
    let gap = rest(end);
    let skip = match gap.chars().next() {
        Some(' ' | '\u{a0}' | '\u{2009}') => gap.len() - gap.trim_start().len(),
        Some(c @ ('-' | '–')) => c.len_utf8(),
        _ => 0,
    };
    if let Some(f) = rest(end).chars().next().and_then(fraction) {
        return (
            Kind::Number { value: value + f, whole: value },
            end + rest(end).chars().next().map_or(0, char::len_utf8),
        );
    }
    let next = rest(end + skip);
    if skip > 0 {
        if let Some((c, f)) = next.chars().next().and_then(|c| fraction(c).map(|f| (c, f))) {
            return (Kind::Number { value: value + f, whole: value }, end + skip + c.len_utf8());
        }
        if next.starts_with(|c: char| c.is_ascii_digit()) {
            // "1 1-2 cups": a fraction printed with a hyphen.
            let printed = next.get(..3).and_then(|p| HYPHENED.iter().find(|(h, _)| *h == p));
            if let Some((_, f)) =
                printed.filter(|_| gap.starts_with(' ') && next.get(3..).is_some_and(|r| r.starts_with(' ')))
            {
                return (Kind::Number { value: value + f, whole: value }, end + skip + 3);
            }
            let (top, top_end, plain_top) = plain(text, end + skip);
            if let Some((f, stop)) = over(text, top, top_end).filter(|(f, _)| plain_top && *f < 1.0) {
                return (Kind::Number { value: value + f, whole: value }, stop);
            }
        }
    }
    match over(text, value, end) {
        Some((f, stop)) => (Kind::Number { value: f, whole: 0.0 }, stop),
        None => (Kind::Number { value, whole: 0.0 }, end),
    }
}

const HYPHENED: &[(&str, f64)] =
    &[("1-2", 0.5), ("1-4", 0.25), ("3-4", 0.75), ("1-3", 1.0 / 3.0), ("2-3", 2.0 / 3.0), ("1-8", 0.125)];

/// "/4" behind a numerator: the fraction and its end. Two digits over a small denominator are a
/// whole and a fraction run together, as old recipes print them ("11/2" is one and a half).
fn over(text: &str, top: f64, at: usize) -> Option<(f64, usize)> {
    let rest = text.get(at..)?;
    let bar = rest.chars().next().filter(|c| matches!(c, '/' | '\u{2044}'))?;
    let from = at + bar.len_utf8();
    let digits = text.get(from..)?.bytes().take_while(u8::is_ascii_digit).count();
    if digits == 0 || digits > 3 {
        return None;
    }
    let bottom: f64 = text.get(from..from + digits)?.parse().ok()?;
    if bottom <= 0.0 || text.get(from + digits..)?.starts_with(['/', '\u{2044}']) {
        return None;
    }
    let last = top % 10.0;
    let run_together = (10.0..1000.0).contains(&top) && digits == 1 && last >= 1.0 && last < bottom;
    let value = if run_together { (top / 10.0).floor() + last / bottom } else { top / bottom };
    Some((value, from + digits))
}

/// The length of a mark that may part thousands at a place: "1 000 g", but "1 400 g can" is one of 400 g.
fn parts_thousands(text: &str, at: usize) -> Option<usize> {
    let rest = text.get(at..)?;
    let mark = rest.chars().next()?;
    let parts = match mark {
        ',' | '\'' | '\u{a0}' | '\u{2009}' | '\u{202f}' => true,
        ' ' => rest.starts_with(" 000"),
        _ => false,
    };
    parts.then_some(mark.len_utf8())
}

/// Digits with a point or comma; the last is true for a whole number without either.
fn plain(text: &str, at: usize) -> (f64, usize, bool) {
    let rest = text.get(at..).unwrap_or("");
    if let Some((c, f)) = rest.chars().next().and_then(|c| fraction(c).map(|f| (c, f))) {
        return (f, at + c.len_utf8(), false);
    }
    let bytes = rest.as_bytes();
    let run = |from: usize| bytes.iter().skip(from).take_while(|b| b.is_ascii_digit()).count();
    let whole = run(0);
    let mut value: f64 = digits(rest.get(..whole).unwrap_or(""));
    let mut end = whole;
    // Thousands: groups of three behind commas, in Switzerland behind apostrophes, elsewhere behind narrow or
    // other spaces, none of them behind a zero.
    while let Some(gap) = parts_thousands(rest, end).filter(|gap| run(end + gap) == 3 && whole <= 3 && value >= 1.0) {
        value = value * 1000.0 + digits(rest.get(end + gap..end + gap + 3).unwrap_or(""));
        end += gap + 3;
    }
    if end > whole {
        return (value, at + end, true);
    }
    let point = bytes.get(end).is_some_and(|b| matches!(b, b'.' | b','));
    let decimals = if point { run(end + 1) } else { 0 };
    if decimals > 0 {
        let shown = rest.get(end + 1..end + 1 + decimals.min(9)).unwrap_or("");
        value += digits(shown) / 10f64.powi(i32::try_from(shown.len()).unwrap_or(0));
        return (value, at + end + 1 + decimals, false);
    }
    (value, at + end, true)
}

fn digits(text: &str) -> f64 {
    text.bytes().fold(0.0, |acc: f64, b| acc * 10.0 + f64::from(b.saturating_sub(b'0'))).min(1e12)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn first(text: &str) -> f64 {
        let mut small = String::new();
        lower(text, &mut small);
        let mut out = Tokens::new();
        cut(text, &small, &Glossary::default(), &mut out);
        match out.first().map(|t| t.kind) {
            Some(Kind::Number { value, .. }) => value,
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn numbers_of_every_sort() {
        let cases = [
            ("1", 1.0),
            ("12 eggs", 12.0),
            ("1.5", 1.5),
            ("1,5 kg", 1.5),
            (".5", 0.5),
            ("1,000 g", 1000.0),
            ("1/2", 0.5),
            ("1 1/2", 1.5),
            ("1-1/2", 1.5),
            ("½", 0.5),
            ("1½", 1.5),
            ("1 ½", 1.5),
            ("1⁄4", 0.25),
            ("11/2 cups", 1.5),
            ("3-4", 3.0),
            ("12 1/4-inch", 12.25),
        ];
        for (text, value) in cases {
            assert!((first(text) - value).abs() < 1e-9, "{text}: {}", first(text));
        }
    }

    #[test]
    fn bullets_go_and_counts_stay() {
        for (line, rest) in [
            ("- apple", "apple"),
            ("* 2 eggs", "2 eggs"),
            ("[x] tea bags", "tea bags"),
            ("- [ ] tea bags", "tea bags"),
            ("1. onions", "onions"),
            ("2) 3 onions", "3 onions"),
            ("12 eggs", "12 eggs"),
            ("1.5 cups rice", "1.5 cups rice"),
            ("•apple", "apple"),
            ("☐ apple", "apple"),
            ("-apple", "apple"),
            ("(2) tea bags", "(2) tea bags"),
            ("a) apple", "apple"),
            ("-", ""),
        ] {
            assert_eq!(&line[bullet(line)..], rest, "{line}");
        }
    }

    #[test]
    fn comments_begin_behind_a_space() {
        assert_eq!(comment_at("# all"), Some(0));
        assert_eq!(comment_at("apple # from Ann"), Some(6));
        assert_eq!(comment_at("a #10 can"), None);
        assert_eq!(comment_at("c#"), None);
    }
}
