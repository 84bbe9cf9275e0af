//! Reading lines: amount, unit, names, parts, states, and where one thing ends and the next begins.

use super::glossary::{ARTICLE, DOZEN, FRACTION, NUMBER, SHARE, VAGUE};
use super::measure::Source;
use super::split::Splitter;
use super::tokens::{self, Kind, Tokens};
use super::{BadLine, Bag, LONGEST_LINE, Lexicon, Line, Phrase, Reading};
use smallvec::SmallVec;

/// Reads a whole list. Line ends may be LF or CRLF; a byte order mark is skipped.
pub fn read(text: &str, lexicon: &dyn Lexicon) -> Bag {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let lines = text.lines().zip(1u32..).map(|(line, number)| read_line(number, line, lexicon)).collect();
    Bag { lines }
}

/// Reads a whole list of bytes; a line that is not UTF-8 does not spoil the others.
pub fn read_bytes(bytes: &[u8], lexicon: &dyn Lexicon) -> Bag {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut lines = Vec::new();
    let mut rest = bytes;
    let mut number = 1u32;
    while !rest.is_empty() {
        let end = rest.iter().position(|b| *b == b'\n').unwrap_or(rest.len());
        let (line, after) = rest.split_at(end);
        lines.push(line_of(number, line, |text| reading(text, lexicon).0));
        number = number.saturating_add(1);
        rest = after.get(1..).unwrap_or(&[]);
    }
    Bag { lines }
}

/// One line of bytes, without its line feed, as `reading` reads its text; a carriage return at its
/// end is dropped.
pub(super) fn line_of(number: u32, bytes: &[u8], reading: impl FnOnce(&str) -> Reading) -> Line {
    let bytes = bytes.strip_suffix(b"\r").unwrap_or(bytes);
    if bytes.len() > LONGEST_LINE {
        let shown = bytes.get(..SHOWN).unwrap_or(bytes);
        return bad(number, String::from_utf8_lossy(shown).into_owned(), BadLine::TooLong);
    }
    match std::str::from_utf8(bytes) {
        // A line feed inside is the last of a line whose end was not cut off.
        Ok(text) => {
            let text = text.strip_suffix('\n').unwrap_or(text);
            let text = text.strip_suffix('\r').unwrap_or(text);
            Line { number, text: text.to_string(), reading: reading(text) }
        }
        Err(_) => bad(number, String::from_utf8_lossy(bytes).into_owned(), BadLine::NotUtf8),
    }
}

/// How much of an over-long line is kept to be shown, in bytes.
const SHOWN: usize = 80;

fn bad(number: u32, text: String, why: BadLine) -> Line {
    Line { number, text, reading: Reading::Unreadable(why) }
}

/// Reads one line.
pub fn read_line(number: u32, text: &str, lexicon: &dyn Lexicon) -> Line {
    let text = text.strip_suffix('\n').unwrap_or(text);
    let text = text.strip_suffix('\r').unwrap_or(text);
    if text.len() > LONGEST_LINE {
        let shown = text.char_indices().take_while(|(i, _)| *i < SHOWN).map(|(_, c)| c).collect();
        return bad(number, shown, BadLine::TooLong);
    }
    Line { number, text: text.to_string(), reading: reading(text, lexicon).0 }
}

/// How a line says how much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Numbers {
    /// With one number, and no word that could be another.
    One(f64),
    Other,
}

impl Numbers {
    fn of(tokens: &Tokens) -> Numbers {
        let mut one = Numbers::Other;
        for t in tokens {
            match t.kind {
                Kind::Number { value, whole: 0.0 } if one == Numbers::Other => one = Numbers::One(value),
                Kind::Number { .. } => return Numbers::Other,
                _ if t.is(ARTICLE | NUMBER | VAGUE | SHARE | DOZEN | FRACTION) => return Numbers::Other,
                _ => {}
            }
        }
        one
    }
}

/// What the text of a line says, and how it says how much.
pub(super) fn reading(text: &str, lexicon: &dyn Lexicon) -> (Reading, Numbers) {
    let nothing = |reading| (reading, Numbers::Other);
    let line = text.trim();
    if line.is_empty() {
        return nothing(Reading::Blank);
    }
    if line.starts_with('#') {
        return nothing(Reading::Comment);
    }
    let line = tokens::comment_at(line).and_then(|at| line.get(..at)).unwrap_or(line);
    let (marker, line) = line.split_at_checked(tokens::bullet(line)).unwrap_or(("", line));
    let line = line.trim();
    if line.is_empty() {
        return nothing(Reading::Blank);
    }
    let mut lower = String::with_capacity(line.len());
    tokens::lower(line, &mut lower);
    let (mut list, vocabulary) = (Tokens::new(), lexicon.vocabulary());
    tokens::cut(line, &lower, &vocabulary.glossary, &mut list);
    let listed = tokens::renumber(marker, &mut list);
    let says = list.iter().any(|t| matches!(t.kind, Kind::Word | Kind::Number { .. } | Kind::Picture(_)));
    if !says && line.is_ascii() {
        return nothing(Reading::Blank);
    }
    let phrases: SmallVec<[&[Phrase]; 16]> = list
        .iter()
        .map(|t| match t.kind {
            Kind::Word => vocabulary.phrases(lower.get(t.start..t.end).unwrap_or("")),
            _ => &[],
        })
        .collect();
    let source = Source { text: line, lower: &lower, tokens: &list, phrases: &phrases, lexicon, vocabulary };
    let numbers = if listed { Numbers::Other } else { Numbers::of(&list) };
    (Reading::Things(Splitter::new(source).things()), numbers)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bag::{Thing, Vocabulary};

    /// Knows a list of names, singular or with an `s`.
    struct Names(Vec<&'static str>, Vocabulary);

    impl Lexicon for Names {
        fn names(&self, phrase: &str) -> bool {
            let lower = phrase.to_lowercase().replace('-', " ");
            self.0
                .iter()
                .any(|n| *n == lower || lower.strip_suffix('s') == Some(*n) || lower.strip_suffix("es") == Some(*n))
        }
        fn knows_word(&self, word: &str) -> bool {
            let lower = word.to_lowercase();
            self.0.iter().any(|n| n.split(' ').any(|w| w == lower || lower.strip_suffix('s') == Some(w)))
        }
        fn vocabulary(&self) -> &Vocabulary {
            &self.1
        }
    }

    const NAMES: &str = "apple,apricot,avo,avocado,bacon,banana,bay leaf,bay leave,beef,bell pepper,bread,broccoli,butter,caper,cardboard,\
        carrot,cat poo,cauliflower,celery,cheese,cheesecake,cheddar cheese,chicken,chicken stock,beef stock,cinnamon,clementine,\
        coffee,coffee filter,coffee ground,corn,corn cob,courgette,crust,dairy,dog poo,dried apricot,egg,egg shell,eggshell,fish,\
        flour,fruit,garlic,ginger,grape,green pepper,ground beef,half and half,ham,leek,lemon,lettuce,lime,mac and cheese,\
        mac n cheese,meat,mushroom,napkin,oil,onion,orange,paper,parsley,pasta,pear,peas,pepper,pineapple,pizza,pizza crust,\
        potato,pumpkin,red pepper,rice,salad,salt,soup,spinach,strawberry,sugar,sweet potato,tea bag,tea leave,toast,tomato,tuna,\
        veg,vegetable,water,wine,yogurt,corn on the cob,pigs in blanket,bread and butter pickle,newspaper,stem ginger,leave";

    fn lexicon() -> Names {
        Names(NAMES.split(',').map(str::trim).collect(), crate::embedded::vocabulary())
    }

    /// A thing on one line: amount, unit, each | name (part) +states -states | with, without.
    fn shown(t: &Thing, v: &Vocabulary) -> String {
        let mut out = match t.amount {
            Some(a) => format!("{}{}", a.low, a.high.map(|h| format!("-{h}")).unwrap_or_default()),
            None => String::from("?"),
        };
        out += &t.unit.map(|u| format!(" {}", u.name)).unwrap_or_default();
        out += &t.each.map(|e| format!(" each {}{}", e.amount, e.unit.name)).unwrap_or_default();
        out += " |";
        for (i, n) in t.names.iter().enumerate() {
            out += if i > 0 { " OR " } else { " " };
            out += &n.name;
            out += &n.part.map(|p| format!(" ({})", v.part_name(p))).unwrap_or_default();
            v.names_of(n.said.yes).iter().for_each(|s| out += &format!(" +{s}"));
            v.names_of(n.said.no).iter().for_each(|s| out += &format!(" -{s}"));
        }
        t.additions.iter().for_each(|a| out += &format!(" WITH {a}"));
        t.without.iter().for_each(|a| out += &format!(" WITHOUT {a}"));
        out
    }

    fn read_one(line: &str) -> String {
        let lexicon = lexicon();
        match read_line(1, line, &lexicon).reading {
            Reading::Things(things) => things.iter().map(|t| shown(t, &lexicon.1)).collect::<Vec<_>>().join("; "),
            other => format!("{other:?}"),
        }
    }

    fn hold(table: &[(&str, &str)]) {
        let wrong: Vec<String> = table
            .iter()
            .filter_map(|(line, want)| {
                let got = read_one(line);
                (got != *want).then(|| format!("{line}\n  want {want}\n  got  {got}"))
            })
            .collect();
        assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    }

    #[test]
    fn amounts_and_units() {
        hold(&[
            ("1 1/2 c. chopped onions", "1.5 cup | onions +chopped"),
            ("½ avo", "0.5 | avo"),
            ("a handful of wilted spinach", "1 handful | spinach +wilted"),
            ("eggshells x6", "6 | eggshells"),
            ("tea bags (2)", "2 | tea bags"),
            ("x2 bananas", "2 | bananas"),
            ("2 x bananas", "2 | bananas"),
            ("500g coffee grounds", "500 g | coffee grounds"),
            ("coffee grounds 500 g", "500 g | coffee grounds"),
            ("carrots - 200g", "200 g | carrots"),
            ("bananas: 3", "3 | bananas"),
            ("half a bag of slimy lettuce", "0.5 bag | lettuce +slimy"),
            ("a quarter of a cheesecake", "0.25 | cheesecake"),
            ("3-4 banana peels (frozen)", "3-4 | banana (peel) +frozen"),
            ("3 to 4 bananas", "3-4 | bananas"),
            ("3 or 4 bananas", "3-4 | bananas"),
            ("a crushed egg shell or two", "1-2 | egg shell +crushed"),
            ("a couple of onions", "2 | onions"),
            ("2 dozen eggs", "24 | eggs"),
            ("half a dozen eggs", "6 | eggs"),
            ("six eggs", "6 | eggs"),
            ("1 28-ounce can tomatoes", "1 can each 28oz | tomatoes"),
            ("2 (15-ounce) cans peas", "2 can each 15oz | peas"),
            ("1 (14 oz) can peas", "1 can each 14oz | peas"),
            ("2 x 400 g tins chopped tomatoes", "2 tin each 400g | tomatoes +chopped"),
            ("1 cup plus 2 tablespoons sugar", "1.125 cup | sugar"),
            ("1/3 cup, plus 1 tablespoon, sugar", "0.395833 cup | sugar"),
            ("1 lb 4 oz beef", "1.25 lb | beef"),
            ("1 and 1/2 cups rice", "1.5 cup | rice"),
            ("one and a half cups rice", "1.5 cup | rice"),
            ("1/2 cup to 3/4 cup/100 to 150 grams sugar, to taste", "0.5-0.75 cup | sugar"),
            ("1 cup/240 ml water", "1 cup | water"),
            ("6 garlic cloves", "6 clove | garlic"),
            ("2 large cloves of garlic, minced", "2 clove | garlic +chopped"),
            ("3 cinnamon sticks", "3 stick | cinnamon"),
            ("12 1/4-inch-thick slices bread", "12 slice | bread"),
            ("1 1 1/2-inch piece ginger, peeled", "1 piece | ginger +peeled"),
            ("juice of a lime", "1 | lime (juice)"),
            ("Rind of one orange", "1 | orange (rind)"),
            ("a few pizza crusts", "? | pizza crusts"),
            ("lots of banana skins", "? | banana (skin)"),
            ("the rest of the cauliflower", "? | cauliflower"),
            ("3 carrots (2 pounds)", "3 each 0.6666666666666666lb | carrots"),
            ("4 carrots, about 6 ounces each", "4 each 6oz | carrots"),
            ("250 g (2 cups) sugar", "250 g | sugar"),
            ("1,5 kg potato", "1.5 kg | potato"),
            ("1 T sugar", "1 tbsp | sugar"),
            ("1 t sugar", "1 tsp | sugar"),
            ("2 fl oz wine", "2 fl_oz | wine"),
            ("2 dl water", "200 ml | water"),
            ("20 bay leaves", "20 | bay leaves"),
            ("12 eggs", "12 | eggs"),
            ("2-ounce bottle of capers", "2 oz | capers"),
            ("100% beef", "? | beef"),
            ("2-day leftover rice", "? | rice +leftover"),
        ]);
    }

    #[test]
    fn names_parts_and_states() {
        hold(&[
            ("courgette ends", "? | courgette (end)"),
            ("ground beef", "? | ground beef"),
            ("ground pepper", "? | pepper +ground"),
            ("dried apricots", "? | dried apricots"),
            ("dried parsley", "? | parsley +dried"),
            ("crushed egg shells", "? | egg shells +crushed"),
            ("pumpkin guts", "? | pumpkin (guts)"),
            ("unsalted butter", "? | butter -salted"),
            ("the black bananas", "? | bananas +overripe"),
            ("black pepper", "? | black pepper"),
            ("cardboard (not shredded)", "? | cardboard -shredded"),
            ("small, mouldy bread", "? | bread +mouldy"),
            ("that soup from last week", "? | soup +leftover"),
            ("shells of an egg", "1 | egg (shell)"),
            ("newspaper that's been shredded", "? | newspaper +shredded"),
            ("fresh or frozen peas", "? | peas +fresh"),
            ("meat (cooked or uncooked)", "? | meat +raw +cooked -cooked"),
            ("toast with mould", "? | toast +mouldy"),
            ("peeled, chopped carrots", "? | carrots +chopped +peeled"),
            ("corn on the cob", "? | corn on the cob"),
        ]);
    }

    #[test]
    fn where_things_part() {
        hold(&[
            ("leftover mac n cheese", "? | mac n cheese +leftover"),
            ("half and half", "? | half and half"),
            ("salt and pepper", "? | salt; ? | pepper"),
            ("orange & lemon peel", "? | orange (peel); ? | lemon (peel)"),
            ("Fruit and veg peelings", "? | Fruit (peel); ? | veg (peel)"),
            ("apples and banana peel", "? | apples; ? | banana (peel)"),
            ("cardboard and paper (not even shredded)", "? | cardboard -shredded; ? | paper -shredded"),
            ("rice, pasta, potatoes, bread etc", "? | rice; ? | pasta; ? | potatoes; ? | bread"),
            ("onion or leek tops", "? | onion (top) OR leek (top)"),
            ("beef or chicken stock", "? | beef stock OR chicken stock"),
            ("cat or dog poo", "? | cat poo OR dog poo"),
            ("green and red pepper tops/stems", "? | green pepper (top); ? | red pepper (top); ? | red pepper (stalk)"),
            ("coffee grounds and filters", "? | coffee grounds; ? | coffee filters"),
            ("mouldy bread and pasta", "? | bread +mouldy; ? | pasta +mouldy"),
            ("salad, no dressing", "? | salad -dressed"),
            ("toast, no butter or cheese", "? | toast -greasy WITHOUT cheese"),
            (
                "pizza crust (without cheese/meat), ham or bacon",
                "? | pizza crust WITHOUT cheese WITHOUT meat; ? | ham OR bacon",
            ),
            ("2 apples, core and peel removed", "2 | apples"),
            ("apples, carrots and peel removed", "? | apples; ? | carrots"),
            ("rice without cheese", "? | rice WITHOUT cheese"),
            ("pizza crust w/ cheese", "? | pizza crust WITH cheese"),
            ("lettuce/tomato", "? | lettuce; ? | tomato"),
            ("2 apples, 1 pear and some grapes", "2 | apples; 1 | pear; ? | grapes"),
            ("peels (potato, carrot)", "? | potato (peel); ? | carrot (peel)"),
            ("1 onion, peeled and finely chopped", "1 | onion +chopped +peeled"),
            ("1 cup sugar, plus more for dusting", "1 cup | sugar"),
            ("2 teaspoons salt, or to taste", "2 tsp | salt"),
            ("spinach, parsley for garnish", "? | spinach; ? | parsley"),
            ("frobnitz, apple", "? | frobnitz; ? | apple"),
        ]);
    }

    #[test]
    fn nothing_is_nothing() {
        hold(&[
            ("0 g sugar", ""),
            ("no meat", ""),
            ("without cheese", ""),
            ("no meat, just carrots", "? | carrots"),
            ("", "Blank"),
            ("   ", "Blank"),
            (" - ", "Blank"),
            ("---", "Blank"),
            ("# all of it", "Comment"),
        ]);
    }

    #[test]
    fn what_surrounds_a_line() {
        hold(&[
            ("- [ ] 3 apples # from the garden", "3 | apples"),
            ("* apples", "? | apples"),
            ("1. onions", "? | onions"),
            ("1) 2 onions", "2 | onions"),
            ("Fed today: 3 apples, 2 pears", "3 | apples; 2 | pears"),
            ("🍌 peel", "? | banana (peel)"),
            ("🍌🍎", "? | banana; ? | apple"),
            ("🥚 3 egg shells", "3 | egg shells"),
        ]);
    }

    #[test]
    fn bytes_that_are_no_text() {
        let lexicon = lexicon();
        let bag = read_bytes(b"\xef\xbb\xbfapple\r\n\xff\xfe\nbanana", &lexicon);
        let why: Vec<_> = bag.lines.iter().map(|l| (l.number, &l.reading)).collect();
        assert!(matches!(why[0], (1, Reading::Things(t)) if t.len() == 1));
        assert!(matches!(why[1], (2, Reading::Unreadable(BadLine::NotUtf8))));
        assert!(matches!(why[2], (3, Reading::Things(t)) if t.len() == 1));
        let long = "a".repeat(LONGEST_LINE + 1);
        assert!(matches!(read_line(1, &long, &lexicon).reading, Reading::Unreadable(BadLine::TooLong)));
        let mut reader = crate::bag::Reader::new(&lexicon);
        assert!(matches!(reader.line(1, long.as_bytes()).reading, Reading::Unreadable(BadLine::TooLong)));
        assert!(matches!(read_line(1, &long[1..], &lexicon).reading, Reading::Things(_)));
    }
}
