//! Words and figures as a person at the bin reads them: amounts in the unit of the line, shares as
//! fractions, doing words for states, and text of any origin made safe to print.

use crate::bag::{Mg, StateId, Thing, Vocabulary};
use crate::judge::Verdict;
use crate::knowledge::Known;
use crate::language::{
    Allowance, Basis, Book, Demand, Fact, Layer, Mix, MixWindow, Relation, Rule, SubjectSet, SubjectTerm, When, Who,
};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Grams in a handful of dry shredded card (ours: a loosely filled hand).
pub const HANDFUL_G: f64 = 30.0;
/// Grams in a soup bowl of mixed scraps (ours: half a litre, loosely filled).
pub const BOWL_G: f64 = 350.0;
/// Grams in a tablespoon of grit (ours: 15 ml of crushed shell or sand).
pub const SPOON_G: f64 = 20.0;

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

/// A number without needless decimals.
pub fn number(n: f64) -> String {
    let text = if n.abs() >= 100.0 || (n - n.round()).abs() < 1e-9 {
        format!("{n:.0}")
    } else if n.abs() >= 0.095 {
        format!("{n:.1}")
    } else {
        format!("{n:.2}")
    };
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}

/// A mass: `735 g`, `1.6 kg`.
pub fn grams(g: f64) -> String {
    tied(&if g <= 0.0 {
        "0 g".to_string()
    } else if g < 0.95 {
        "under 1 g".to_string()
    } else if g < 999.5 {
        format!("{g:.0} g")
    } else if g < 99_950.0 {
        format!("{} kg", number((g / 100.0).round() / 10.0))
    } else {
        format!("{:.0} kg", g / 1000.0)
    })
}

/// As [`grams`], never more than there is.
pub fn grams_at_most(g: f64) -> String {
    grams(if g >= 1000.0 {
        (g / 100.0 + 1e-9).floor() * 100.0
    } else {
        (g + 1e-6).floor().max(if g > 0.0 { 0.5 } else { 0.0 })
    })
}

/// A share: `83 %`.
pub fn percent(share: f64) -> String {
    tied(&format!("{} %", number((share * 1000.0).round() / 10.0)))
}

/// A share as a whole percentage.
pub fn whole_percent(share: f64) -> String {
    tied(&format!("{:.0} %", share * 100.0))
}

/// A share in words that are rough: `about three quarters`.
pub fn about(share: f64) -> &'static str {
    const WORDS: [(f64, &str); 11] = [
        (0.1, "about a tenth"),
        (0.2, "about a fifth"),
        (0.25, "about a quarter"),
        (1.0 / 3.0, "about a third"),
        (0.4, "about two fifths"),
        (0.5, "about half"),
        (0.6, "about three fifths"),
        (2.0 / 3.0, "about two thirds"),
        (0.75, "about three quarters"),
        (0.8, "about four fifths"),
        (0.9, "about nine tenths"),
    ];
    if share <= 0.0 {
        "none"
    } else if share < 0.065 {
        "hardly any"
    } else if share >= 0.9995 {
        "all"
    } else if share > 0.94 {
        "nearly all"
    } else {
        WORDS.iter().min_by(|a, b| (a.0 - share).abs().total_cmp(&(b.0 - share).abs())).map_or("", |w| w.1)
    }
}

/// A share that was written, exactly: `a tenth`, `8 %`.
pub fn exact_share(ppm: i64) -> String {
    let words = match ppm {
        50_000 => "a twentieth",
        100_000 => "a tenth",
        200_000 => "a fifth",
        250_000 => "a quarter",
        500_000 => "half",
        #[allow(clippy::cast_precision_loss, reason = "a share is at most a million")]
        _ => return percent(ppm as f64 / 1e6),
    };
    words.to_string()
}

/// How much of a class may go in.
pub fn allowance(a: &Allowance, book: &Book) -> String {
    match book.amount(a) {
        Allowance::Share(ppm) => format!("up to {} of what you feed", exact_share(*ppm)),
        Allowance::Mass(mass, basis) => {
            let per = match basis {
                Basis::Feeding => "at a feeding",
                Basis::Worms => "for each kg of worms",
                Basis::Area => "for each square metre of bin",
                Basis::Week => "in a week",
            };
            format!("up to {} {per}", grams(mass.grams()))
        }
        Allowance::ALittle => "a little".to_string(),
    }
}

/// Dry bedding in hands and buckets.
pub fn handfuls(g: f64) -> String {
    let n = g / HANDFUL_G;
    if n < 0.25 {
        "a pinch".to_string()
    } else if n < 0.75 {
        "half a handful".to_string()
    } else if n < 1.5 {
        "a handful".to_string()
    } else {
        tied(&format!("{n:.0} handfuls"))
    }
}

/// Food in bowls.
pub fn bowls(g: f64) -> String {
    let n = g / BOWL_G;
    if n < 0.35 {
        "a handful or two".to_string()
    } else if n < 0.75 {
        "half a soup bowl".to_string()
    } else if n < 1.5 {
        "a soup bowl".to_string()
    } else if n < 6.5 {
        tied(&format!("{n:.0} soup bowls"))
    } else {
        grams(g)
    }
}

/// Grit in spoons.
pub fn spoons(g: f64) -> String {
    let n = g / SPOON_G;
    if n < 0.25 {
        "a pinch".to_string()
    } else if n < 0.6 {
        "a teaspoon".to_string()
    } else if n < 1.5 {
        "a tablespoon".to_string()
    } else {
        tied(&format!("{n:.0} tablespoons"))
    }
}

/// How wet a mix of that moisture feels in the hand.
pub fn feel(moisture: f64) -> &'static str {
    if moisture < 0.55 {
        "dry"
    } else if moisture < 0.695 {
        "barely damp"
    } else if moisture < 0.805 {
        "a wrung sponge"
    } else if moisture < 0.88 {
        "wet: it drips when squeezed"
    } else {
        "soaking"
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
        "unwrapped" => "take stickers, tape and staples off",
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

/// `the orange peel`, `the 9 skins`; text that begins with `a`, `half` or its own `the` stays.
fn the(text: &str) -> String {
    let first = text.split_whitespace().next().unwrap_or("").to_lowercase();
    if ["a", "an", "half", "the", "some", "my", "our"].contains(&first.as_str()) {
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

/// What a rule asks, in the words of its language as a person reads them.
pub fn demand(d: &Demand, known: &Known, book: &Book) -> String {
    let v = known.vocabulary();
    match d {
        Demand::KeepOut => "keep it out".to_string(),
        Demand::Needs(s) => format!("needs to be {}", states(s, "or", v)),
        Demand::Allow(a) if *a == Allowance::ALittle => format!("a little: {}", allowance(a, book)),
        Demand::Allow(a) => allowance(a, book),
        Demand::Have(mix, window) => mix_window(*mix, window),
        Demand::Wait(w) => format!("wait until {}", when(w, known)),
        Demand::Ask(q, answers) => {
            let each: Vec<String> =
                answers.iter().map(|(reply, d)| format!("{reply}: {}", demand(d, known, book))).collect();
            format!("a question: {q} {}", each.join("; "))
        }
        Demand::Better(s) => format!("better {}", states(s, "or", v)),
        Demand::Welcome => "welcome".to_string(),
    }
}

/// What a rule is for that asks nothing.
pub fn asks_nothing(r: &crate::language::Rule) -> &'static str {
    if r.hazard || r.cautions { "a caution" } else { "advice" }
}

/// A window of the mix.
pub fn mix_window(mix: Mix, w: &MixWindow) -> String {
    let (name, show): (&str, fn(f64) -> String) = match mix {
        Mix::Moisture => ("the mix should hold", |x| number((x * 1000.0).round() / 10.0)),
        Mix::CarbonToNitrogen => ("carbon to nitrogen should be", number),
    };
    let unit = if mix == Mix::Moisture { " % water" } else { "" };
    let aim = w.aim.map_or_else(String::new, |a| format!(", best {}", show(a)));
    format!("{name} {} to {}{unit}{aim}", show(w.low), show(w.high))
}

/// The verdict that a demand leads to when it is not met.
pub fn weight(d: &Demand) -> Option<Verdict> {
    match d {
        Demand::KeepOut => Some(Verdict::KeepOut),
        Demand::Needs(_) => Some(Verdict::Prepare),
        Demand::Allow(_) => Some(Verdict::Limit),
        Demand::Ask(..) => Some(Verdict::Ask),
        Demand::Have(..) | Demand::Wait(_) | Demand::Better(_) | Demand::Welcome => None,
    }
}

/// A condition, read aloud.
pub fn when(w: &When, known: &Known) -> String {
    let inner = |w: &When| match w {
        When::Or(_) | When::And(_) => format!("({})", when(w, known)),
        _ => when(w, known),
    };
    match w {
        When::Or(parts) => parts.iter().map(inner).collect::<Vec<_>>().join(" or "),
        When::And(parts) => parts.iter().map(inner).collect::<Vec<_>>().join(" and "),
        When::Not(part) => format!("not {}", inner(part)),
        When::State(id) => known.vocabulary().state_name(*id).to_string(),
        When::Is(set) => format!("it is {}", subject(set, known)),
        When::Fact(fact, relation, n) => {
            let how = match relation {
                Relation::Above => "above",
                Relation::AtLeast => "at least",
                Relation::Below => "below",
                Relation::UpTo => "up to",
            };
            format!("{} {how} {}", fact.word(), fact_value(*fact, *n))
        }
        When::Sign(sign) => format!("the bin shows: {}", sign.word()),
        When::Indoors(true) => "the bin stands indoors".to_string(),
        When::Indoors(false) => "the bin stands outdoors".to_string(),
        When::Date(after, day) => format!("it is {} {day}", if *after { "after" } else { "before" }),
        When::Fed(set, days) => {
            format!("{} was fed in the last {}", subject(set, known), tied(&format!("{} days", number(*days))))
        }
    }
}

/// A number of a fact with its unit.
pub fn fact_value(fact: Fact, n: f64) -> String {
    match fact {
        Fact::Fat | Fact::Salt | Fact::Sugar | Fact::Moisture | Fact::Nitrogen | Fact::BinMoisture => percent(n),
        Fact::PieceSize => tied(&format!("{} cm", number(n))),
        Fact::Temperature => tied(&format!("{} degrees C", number(n))),
        Fact::Area => tied(&format!("{} square metres", number(n))),
        Fact::Worms => grams(n),
        Fact::Age | Fact::DaysSinceFeeding => tied(&format!("{} days", number(n))),
    }
}

/// Whom a rule speaks of.
pub fn who(w: &Who, known: &Known) -> String {
    match w {
        Who::Bag => "the bag".to_string(),
        Who::Scraps(set) => subject(set, known),
    }
}

/// A subject.
pub fn subject(set: &SubjectSet, known: &Known) -> String {
    let terms = |terms: &[SubjectTerm]| terms.iter().map(|t| term(t, known)).collect::<Vec<_>>().join(", ");
    if set.except.is_empty() {
        terms(&set.terms)
    } else {
        format!("{} except {}", terms(&set.terms), terms(&set.except))
    }
}

fn term(t: &SubjectTerm, known: &Known) -> String {
    let with_part = |name: &str, part: &Option<crate::bag::PartId>| match part {
        Some(p) => format!("{name} {}", known.vocabulary().part_name(*p)),
        None => name.to_string(),
    };
    match t {
        SubjectTerm::AnyFood => "any food".to_string(),
        SubjectTerm::AnyScrap => "any scrap".to_string(),
        SubjectTerm::Item(id, part) => with_part(known.item_name(*id), part),
        SubjectTerm::Kind(id, part) => with_part(known.kind(*id).map_or("", |k| k.name.as_str()), part),
        SubjectTerm::Group(name, _) => name.clone(),
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
