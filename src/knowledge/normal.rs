//! Words made comparable: folding, singulars, spelling variants.
//!
//! Comes in: words as people write them. Goes out: lower-case words without accents, apostrophes
//! or hyphens, and for each language a form in which singular and plural, and British and American
//! spelling, are the same. Nothing here allocates; nothing here knows an item.

use super::Language;
use crate::bag::table::Table;
use unicode_normalization::char::{decompose_canonical, is_combining_mark};

/// Bytes of a folded phrase at most; what follows is cut off (and [`Folded::cut`] says so).
pub(crate) const MOST_BYTES: usize = 224;
/// Words of a folded phrase at most.
pub(crate) const MOST_WORDS: usize = 28;
/// Bytes of one word at most.
pub(crate) const LONGEST_WORD: usize = 48;

/// A phrase as words that can be compared byte by byte.
#[derive(Clone)]
pub(crate) struct Folded {
    bytes: [u8; MOST_BYTES],
    len: usize,
    ends: [(u8, u8); MOST_WORDS],
    count: usize,
    /// Before which word a comma stood first, if one did.
    pub(crate) comma: Option<usize>,
    /// True if the phrase was too long to be held whole.
    pub(crate) cut: bool,
}

impl Folded {
    /// Folds a phrase.
    pub(crate) fn of(text: &str) -> Folded {
        let mut f =
            Folded { bytes: [b' '; MOST_BYTES], len: 0, ends: [(0, 0); MOST_WORDS], count: 0, comma: None, cut: false };
        let mut start = 0usize;
        let mut symbol = false;
        for c in text.chars() {
            if f.cut {
                break;
            }
            if c.is_ascii_alphanumeric() {
                if symbol {
                    f.close(&mut start);
                    symbol = false;
                }
                f.push(c.to_ascii_lowercase() as u8);
                continue;
            }
            match c {
                '\'' | '\u{2019}' | '\u{2018}' | '`' | '\u{b4}' | '\u{2bc}' => {
                    // French elision parts words ("d'olive"); elsewhere an apostrophe is nothing.
                    if f.len - start == 1 {
                        f.close(&mut start);
                    }
                }
                '.' | '\u{fe0f}' | '\u{200d}' | '\u{ad}' => {}
                '&' | '+' => {
                    f.close(&mut start);
                    for b in b"and" {
                        f.push(*b);
                    }
                    f.close(&mut start);
                }
                ',' | ';' => {
                    f.close(&mut start);
                    if f.count > 0 && f.comma.is_none() {
                        f.comma = Some(f.count);
                    }
                }
                c if c.is_ascii() => f.close(&mut start),
                c => {
                    let letters = fold_letter(&mut f, c);
                    if !letters {
                        f.close(&mut start);
                        if c as u32 >= 0x2190 && !c.is_whitespace() && !c.is_alphanumeric() {
                            let mut buf = [0u8; 4];
                            for b in c.encode_utf8(&mut buf).bytes() {
                                f.push(b);
                            }
                            symbol = true;
                        }
                    }
                }
            }
        }
        f.close(&mut start);
        if f.comma.is_some_and(|c| c >= f.count) {
            f.comma = None;
        }
        f
    }

    fn push(&mut self, b: u8) {
        match self.bytes.get_mut(self.len) {
            Some(slot) if self.len < 250 => {
                *slot = b;
                self.len += 1;
            }
            _ => self.cut = true,
        }
    }

    fn close(&mut self, start: &mut usize) {
        if self.len == *start {
            return;
        }
        if let (Some(slot), Ok(a), Ok(b)) =
            (self.ends.get_mut(self.count), u8::try_from(*start), u8::try_from(self.len))
        {
            *slot = (a, b);
            self.count += 1;
        } else {
            self.cut = true;
            self.len = *start;
            return;
        }
        self.push(b' ');
        *start = self.len;
    }

    /// How many words.
    pub(crate) fn count(&self) -> usize {
        self.count
    }

    /// One word; empty beyond the last.
    pub(crate) fn word(&self, i: usize) -> &[u8] {
        match self.ends.get(i) {
            Some((a, b)) if i < self.count => self.bytes.get(usize::from(*a)..usize::from(*b)).unwrap_or(&[]),
            _ => &[],
        }
    }

    /// Words `from` up to `to` with single spaces between.
    pub(crate) fn phrase(&self, from: usize, to: usize) -> &str {
        let a = self.ends.get(from).map_or(0, |e| usize::from(e.0));
        let b = to.checked_sub(1).and_then(|t| self.ends.get(t)).map_or(a, |e| usize::from(e.1));
        self.bytes.get(a..b).and_then(|s| std::str::from_utf8(s).ok()).unwrap_or("")
    }

    /// All words with single spaces between.
    pub(crate) fn text(&self) -> &str {
        self.phrase(0, self.count)
    }
}

/// Folds one letter beyond ASCII; false if it is none.
fn fold_letter(f: &mut Folded, c: char) -> bool {
    if is_combining_mark(c) {
        return true;
    }
    let known = match c {
        'ß' | 'ẞ' => "ss",
        'æ' | 'Æ' => "ae",
        'œ' | 'Œ' => "oe",
        'ø' | 'Ø' => "o",
        'ł' | 'Ł' => "l",
        'đ' | 'Đ' | 'ð' | 'Ð' => "d",
        'ı' => "i",
        'þ' | 'Þ' => "th",
        _ => "",
    };
    if !known.is_empty() {
        for b in known.bytes() {
            f.push(b);
        }
        return true;
    }
    if !c.is_alphanumeric() {
        return false;
    }
    decompose_canonical(c, |d| {
        if !is_combining_mark(d) {
            for l in d.to_lowercase() {
                let mut buf = [0u8; 4];
                for b in l.encode_utf8(&mut buf).bytes() {
                    f.push(b);
                }
            }
        }
    });
    true
}

/// One word in a buffer of its own.
#[derive(Clone, Copy)]
pub(crate) struct Word {
    bytes: [u8; LONGEST_WORD],
    len: usize,
}

impl Word {
    /// An empty word.
    pub(crate) fn new() -> Word {
        Word { bytes: [0; LONGEST_WORD], len: 0 }
    }

    /// A word with some bytes in it; what does not fit is left out.
    pub(crate) fn of(bytes: &[u8]) -> Word {
        let mut w = Word::new();
        w.add(bytes);
        w
    }

    /// Appends bytes.
    pub(crate) fn add(&mut self, more: &[u8]) {
        for b in more {
            if let Some(slot) = self.bytes.get_mut(self.len) {
                *slot = *b;
                self.len += 1;
            }
        }
    }

    /// Its bytes.
    pub(crate) fn bytes(&self) -> &[u8] {
        self.bytes.get(..self.len).unwrap_or(&[])
    }

    fn cut(&mut self, n: usize) {
        self.len = self.len.saturating_sub(n);
    }

    fn ends(&self, with: &[u8]) -> bool {
        self.bytes().ends_with(with)
    }

    fn swap_end(&mut self, n: usize, with: &[u8]) {
        self.cut(n);
        self.add(with);
    }
}

/// A word in the form in which singular, plural and spelling variants of its language are one.
pub(crate) fn canonical(word: &[u8], language: Language) -> Word {
    match language {
        Language::En => english(word),
        Language::Es => {
            let mut w = Word::of(word);
            if w.len > 3 && w.ends(b"s") {
                w.cut(1);
            }
            let before = w.len.checked_sub(2).and_then(|i| w.bytes().get(i)).copied().unwrap_or(b'a');
            if w.len > 4 && w.ends(b"e") && !b"aeiou".contains(&before) {
                w.cut(1);
            }
            if w.ends(b"z") {
                w.swap_end(1, b"c");
            }
            w
        }
        Language::Fr => {
            let mut w = Word::of(word);
            if w.len > 3 && (w.ends(b"s") || w.ends(b"x")) {
                w.cut(1);
            }
            w
        }
        Language::De => {
            let mut w = Word::of(word);
            while w.len > 4 && (w.ends(b"e") || w.ends(b"n") || w.ends(b"s")) {
                w.cut(1);
            }
            w
        }
    }
}

fn english(word: &[u8]) -> Word {
    if let Some(to) = respelt(word) {
        return Word::of(to.as_bytes());
    }
    let mut w = Word::of(word);
    let n = w.len;
    if n >= 4 && w.ends(b"s") && !(w.ends(b"ss") || w.ends(b"us") || w.ends(b"is")) {
        if w.ends(b"ies") {
            w.swap_end(3, if n >= 5 { b"y" } else { b"ie" });
        } else if n >= 5 && ["oes", "ches", "shes", "sses", "xes", "zes"].iter().any(|e| w.ends(e.as_bytes())) {
            w.cut(2);
        } else {
            w.cut(1);
        }
    }
    let n = w.len;
    if n >= 5 && w.ends(b"ie") {
        w.swap_end(2, b"y");
    } else if n >= 4 && w.ends(b"oe")
        || n >= 5 && ["che", "she", "sse", "xe", "ze"].iter().any(|e| w.ends(e.as_bytes()))
    {
        w.cut(1);
    }
    if w.len > 6 && w.ends(b"ised") {
        w.swap_end(4, b"ized");
    }
    match respelt(w.bytes()) {
        Some(to) => Word::of(to.as_bytes()),
        None => w,
    }
}

/// The plural of an English singular, as a typist would write it.
pub(crate) fn plural(word: &[u8]) -> Word {
    let mut w = Word::of(word);
    let s = std::str::from_utf8(word).unwrap_or("");
    if let Some((_, many)) = IRREGULAR.iter().find(|(one, _)| *one == s) {
        return Word::of(many.as_bytes());
    }
    let before_last = word.len().checked_sub(2).and_then(|i| word.get(i)).copied().unwrap_or(b'a');
    match word.last() {
        None => {}
        Some(b'y') if !b"aeiou".contains(&before_last) => w.swap_end(1, b"ies"),
        Some(b's' | b'x' | b'z') => w.add(b"es"),
        Some(b'h') if before_last == b'c' || before_last == b's' => w.add(b"es"),
        Some(_) => w.add(b"s"),
    }
    w
}

/// An English word with its endings: -s, -ed, -ing, as a speller would add them. No doubled letter is
/// left out where one may stand: "stop" gives "stoped" and "stopped".
pub(crate) fn inflected(word: &str) -> Vec<String> {
    let vowel = |c: u8| b"aeiou".contains(&c);
    let many = String::from_utf8_lossy(plural(word.as_bytes()).bytes()).into_owned();
    let mut out = vec![word.to_string(), many];
    let stem = word.strip_suffix('e').unwrap_or(word);
    let mut verb = |stem: &str| out.extend([format!("{stem}ed"), format!("{stem}ing")]);
    match *word.as_bytes() {
        [.., before, b'y'] if !vowel(before) => {
            let stem = word.strip_suffix('y').unwrap_or(word);
            out.extend([format!("{stem}ied"), format!("{word}ing")]);
        }
        [.., before, middle, last] if !vowel(before) && vowel(middle) && !vowel(last) && !b"wxy".contains(&last) => {
            verb(word);
            verb(&format!("{word}{}", char::from(last)));
        }
        _ => verb(stem),
    }
    out
}

/// English plurals that no rule makes: singular, plural.
const IRREGULAR: [(&str, &str); 28] = [
    ("calf", "calves"),
    ("foot", "feet"),
    ("fungus", "fungi"),
    ("gateau", "gateaux"),
    ("goose", "geese"),
    ("half", "halves"),
    ("hero", "heroes"),
    ("knife", "knives"),
    ("leaf", "leaves"),
    ("loaf", "loaves"),
    ("mango", "mangoes"),
    ("man", "men"),
    ("mouse", "mice"),
    ("octopus", "octopuses"),
    ("potato", "potatoes"),
    ("radish", "radishes"),
    ("scarf", "scarves"),
    ("sheaf", "sheaves"),
    ("shelf", "shelves"),
    ("thief", "thieves"),
    ("tomato", "tomatoes"),
    ("tooth", "teeth"),
    ("wife", "wives"),
    ("wolf", "wolves"),
    ("woman", "women"),
    ("hoof", "hooves"),
    ("cactus", "cacti"),
    ("embryo", "embryos"),
];

/// What a word is respelt as, if it has another spelling or a plural that no rule undoes.
fn respelt(word: &[u8]) -> Option<&'static str> {
    SPELLINGS.get(word)
}

#[allow(clippy::indexing_slicing, reason = "run by the compiler, which checks")]
static SPELLINGS: Table<&'static str, 200, 1024> = {
    let mut table = Table::new("");
    let mut row = 0;
    while row < RESPELT.len() {
        let at = table.place(RESPELT[row].0);
        table.values[at] = RESPELT[row].1;
        row += 1;
    }
    table
};

/// Words with more than one spelling, sorted: as written, as compared. The right-hand side is a
/// form of its own and needs no further step.
const RESPELT: &[(&str, &str)] = &[
    ("aluminium", "aluminum"),
    ("anis", "anise"),
    ("appetiser", "appetizer"),
    ("artefact", "artifact"),
    ("barbecued", "barbecue"),
    ("barbeque", "barbecue"),
    ("barbequed", "barbecue"),
    ("bbq", "barbecue"),
    ("beetroots", "beetroot"),
    ("beignets", "beignet"),
    ("biriani", "biryani"),
    ("bokchoy", "bokchoi"),
    ("buses", "bus"),
    ("cacti", "cactus"),
    ("calves", "calf"),
    ("cantaloup", "cantaloupe"),
    ("cantaloupes", "cantaloupe"),
    ("cantaloups", "cantaloupe"),
    ("cappucino", "cappuccino"),
    ("catsup", "ketchup"),
    ("chapatti", "chapati"),
    ("cheque", "check"),
    ("chile", "chili"),
    ("chiles", "chili"),
    ("chili", "chili"),
    ("chilies", "chili"),
    ("chilis", "chili"),
    ("chilli", "chili"),
    ("chillies", "chili"),
    ("chillis", "chili"),
    ("chilly", "chili"),
    ("chily", "chili"),
    ("choi", "choy"),
    ("colour", "color"),
    ("coloured", "colored"),
    ("colouring", "coloring"),
    ("couscous", "couscous"),
    ("crawfish", "crayfish"),
    ("creme", "cream"),
    ("crepes", "crepe"),
    ("croutons", "crouton"),
    ("daikons", "daikon"),
    ("diarrhoea", "diarrhea"),
    ("doughnut", "donut"),
    ("draught", "draft"),
    ("enchiladas", "enchilada"),
    ("faecal", "fecal"),
    ("faeces", "feces"),
    ("favourite", "favorite"),
    ("feces", "feces"),
    ("feet", "foot"),
    ("fettuccini", "fettuccine"),
    ("fettucine", "fettuccine"),
    ("fettucini", "fettuccine"),
    ("fibre", "fiber"),
    ("filet", "fillet"),
    ("flavour", "flavor"),
    ("flavoured", "flavored"),
    ("flavouring", "flavoring"),
    ("fungi", "fungus"),
    ("gases", "gas"),
    ("gateaus", "gateau"),
    ("gateaux", "gateau"),
    ("geese", "goose"),
    ("gray", "gray"),
    ("grey", "gray"),
    ("halfs", "half"),
    ("halves", "half"),
    ("hoofs", "hoof"),
    ("hooves", "hoof"),
    ("hoummous", "hummus"),
    ("houmous", "hummus"),
    ("hummous", "hummus"),
    ("hummus", "hummus"),
    ("humus", "humus"),
    ("kabob", "kebab"),
    ("kebob", "kebab"),
    ("kilogramme", "kilogram"),
    ("knives", "knife"),
    ("lasagne", "lasagna"),
    ("lasagnes", "lasagna"),
    ("leafs", "leaf"),
    ("leaves", "leaf"),
    ("linguini", "linguine"),
    ("liquorice", "licorice"),
    ("litre", "liter"),
    ("loafs", "loaf"),
    ("loaves", "loaf"),
    ("lollies", "lolly"),
    ("mangos", "mango"),
    ("marshmellow", "marshmallow"),
    ("mice", "mouse"),
    ("molasses", "molasses"),
    ("mould", "mold"),
    ("moulded", "molded"),
    ("mouldy", "moldy"),
    ("mousaka", "moussaka"),
    ("musli", "muesli"),
    ("muslie", "muesli"),
    ("nan", "naan"),
    ("neighbour", "neighbor"),
    ("octopi", "octopus"),
    ("octopuses", "octopus"),
    ("odour", "odor"),
    ("omelette", "omelet"),
    ("panir", "paneer"),
    ("papad", "poppadom"),
    ("papadom", "poppadom"),
    ("papadum", "poppadom"),
    ("pappadam", "poppadom"),
    ("pappadum", "poppadom"),
    ("peanuts", "peanut"),
    ("peppercorns", "peppercorn"),
    ("pilaff", "pilaf"),
    ("pilau", "pilaf"),
    ("pimento", "pimiento"),
    ("pitta", "pita"),
    ("plough", "plow"),
    ("polythene", "polyethylene"),
    ("poppadum", "poppadom"),
    ("rocquefort", "roquefort"),
    ("savoury", "savory"),
    ("sceptic", "skeptic"),
    ("shelves", "shelf"),
    ("sirup", "syrup"),
    ("smokey", "smoky"),
    ("speciality", "specialty"),
    ("sulphur", "sulfur"),
    ("tahina", "tahini"),
    ("teeth", "tooth"),
    ("tomatos", "tomato"),
    ("tonne", "ton"),
    ("tortellinis", "tortellini"),
    ("tumeric", "turmeric"),
    ("tyre", "tire"),
    ("tzatsiki", "tzatziki"),
    ("vapour", "vapor"),
    ("veg", "vegetable"),
    ("veges", "vegetable"),
    ("veggie", "vegetable"),
    ("veggies", "vegetable"),
    ("vegie", "vegetable"),
    ("vegies", "vegetable"),
    ("whiskies", "whiskey"),
    ("whisky", "whiskey"),
    ("women", "woman"),
    ("woollen", "woolen"),
    ("yaourt", "yogurt"),
    ("yoghourt", "yogurt"),
    ("yoghurt", "yogurt"),
    ("yogourt", "yogurt"),
    ("zucchinis", "zucchini"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_takes_its_endings() {
        for (word, forms) in [
            ("bake", "bake bakes baked baking"),
            ("carry", "carry carries carried carrying"),
            ("stop", "stop stops stoped stoping stopped stopping"),
            ("guess", "guess guesses guessed guessing"),
        ] {
            assert_eq!(inflected(word).join(" "), forms);
        }
    }
}
