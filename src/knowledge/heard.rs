//! How a word sounds, and what it costs to have heard one word as another.
//!
//! Comes in: a word of folded letters. Goes out: its sounds by the rules of English spelling,
//! roughly, as one letter each; its outline (the consonants, with a mark for every run of vowels),
//! under which words that sound alike meet; and the cost of two rows of sounds. Somebody who spells
//! by ear writes "orinj", "sosig" and "corjet": far from the words in letters, near them in sounds.
//! The rules of spelling are common knowledge, written down from memory.

use super::aligned::{Steps, least};
use super::hand::PLAIN;

/// Sounds of a word at most; what is longer is cut, which can only bring words nearer.
const LONGEST: usize = 24;

/// The sounds of a word. Vowels: `a` as in cat, `e` bed, `i` bid, `o` pot, `u` cup, `A` bay,
/// `E` bee, `I` pie, `O` toe, `U` zoo, `W` cow. Consonants are their letters; `S` as in ship, `C` in
/// chip, `J` in jam, `T` in thin.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sounds {
    all: [u8; LONGEST],
    len: usize,
}

impl Sounds {
    /// The sounds of a word as an English reader would say it.
    pub(crate) fn of(word: &[u8]) -> Sounds {
        let mut out = Sounds { all: [0; LONGEST], len: 0 };
        let mut at = 0;
        while at < word.len() {
            let (letters, sounds) = next(word, at);
            for s in sounds {
                // A doubled letter is one sound.
                if out.last() != *s || vowel(*s) {
                    out.push(*s);
                }
            }
            at += letters.max(1);
        }
        out
    }

    /// The sounds of a word whose writer knows no soft c ("zucinni"); none where there is no c that
    /// English softens.
    pub(crate) fn hard(word: &[u8]) -> Option<Sounds> {
        let soft = |pair: &[u8]| matches!(pair, [b'c', b'e' | b'i' | b'y']);
        if !word.windows(2).any(soft) {
            return None;
        }
        let said: Vec<u8> = word.iter().map(|b| if *b == b'c' { b'k' } else { *b }).collect();
        Some(Sounds::of(&said))
    }

    pub(crate) fn bytes(&self) -> &[u8] {
        self.all.get(..self.len).unwrap_or(&[])
    }

    fn last(&self) -> u8 {
        self.bytes().last().copied().unwrap_or(0)
    }

    fn push(&mut self, sound: u8) {
        if let Some(slot) = self.all.get_mut(self.len) {
            *slot = sound;
            self.len += 1;
        }
    }

    /// The consonants, with `@` for every run of vowels. An r that no vowel follows is left out:
    /// many do not say it, and write as they speak.
    pub(crate) fn outline(&self) -> Sounds {
        let mut out = Sounds { all: [0; LONGEST], len: 0 };
        for (i, s) in self.bytes().iter().enumerate() {
            let s = match *s {
                b'r' if !self.bytes().get(i + 1).is_some_and(|s| vowel(*s)) => continue,
                s if vowel(s) => b'@',
                b'z' => b's',
                s => s,
            };
            if s != out.last() {
                out.push(s);
            }
        }
        out
    }
}

const fn vowel(sound: u8) -> bool {
    matches!(sound, b'a' | b'e' | b'i' | b'o' | b'u' | b'A' | b'E' | b'I' | b'O' | b'U' | b'W')
}

const fn vowel_letter(letter: u8) -> bool {
    matches!(letter, b'a' | b'e' | b'i' | b'o' | b'u' | b'y')
}

/// Spellings of vowels by more than one letter, the longest first.
const VOWELS: &[(&[u8], &[u8])] = &[
    (b"ouille", b"UlE"),
    (b"eau", b"O"),
    (b"ough", b"o"),
    (b"augh", b"o"),
    (b"igh", b"I"),
    (b"eigh", b"A"),
    (b"oo", b"U"),
    (b"oa", b"O"),
    (b"oe", b"O"),
    (b"ow", b"O"),
    (b"our", b"or"),
    (b"ou", b"U"),
    (b"oi", b"oi"),
    (b"oy", b"oi"),
    (b"ea", b"E"),
    (b"ee", b"E"),
    (b"ie", b"E"),
    (b"ey", b"E"),
    (b"ei", b"A"),
    (b"ai", b"A"),
    (b"ay", b"A"),
    (b"au", b"o"),
    (b"aw", b"o"),
    (b"ew", b"U"),
    (b"ue", b"U"),
    (b"ui", b"U"),
    (b"eu", b"U"),
];

/// Spellings of consonants by more than one letter, wherever they stand, the longest first.
const CONSONANTS: &[(&[u8], &[u8])] = &[
    (b"ssion", b"Sen"),
    (b"tion", b"Sen"),
    (b"ssu", b"SU"),
    (b"tch", b"C"),
    (b"dge", b"J"),
    (b"sch", b"S"),
    (b"cch", b"k"),
    (b"cqu", b"k"),
    (b"ch", b"C"),
    (b"ck", b"k"),
    (b"sh", b"S"),
    (b"ph", b"f"),
    (b"th", b"T"),
    (b"wh", b"w"),
    (b"rh", b"r"),
    (b"kh", b"k"),
    (b"gh", b"g"),
    (b"gn", b"n"),
    (b"dj", b"J"),
    (b"zz", b"ts"),
];

/// The letters that stand for the next sounds, as a count, and those sounds.
fn next(word: &[u8], at: usize) -> (usize, &'static [u8]) {
    let rest = word.get(at..).unwrap_or(&[]);
    let letter = |k: usize| rest.get(k).copied().unwrap_or(0);
    let before = at.checked_sub(1).and_then(|k| word.get(k)).copied().unwrap_or(0);
    let after_consonant = at > 0 && !vowel_letter(before);
    match rest {
        b"e" if at > 1 => return (1, if after_consonant { b"" } else { b"E" }),
        // "apple", "pickles": the vowel is heard before the l.
        b"le" | b"les" if after_consonant => return (2, b"el"),
        b"re" | b"res" if after_consonant => return (2, b"e"),
        b"que" => return (3, b"k"),
        b"ques" => return (3, b"k"),
        b"che" => return (3, b"S"),
        b"ches" if vowel_letter(before) => return (2, b"C"),
        b"ge" => return (2, b"J"),
        b"mb" => return (2, b"m"),
        b"mbs" => return (2, b"m"),
        b"y" | b"ie" | b"i" if at > 0 => return (rest.len(), b"E"),
        b"ies" if at > 0 => return (2, b"E"),
        // "cooked" is said cookt, "peeled" peeld.
        b"ied" => return (3, b"Id"),
        b"ed" if after_consonant && !matches!(before, b't' | b'd') => {
            let hard = matches!(before, b'k' | b'p' | b's' | b'f' | b'c' | b'h' | b'x');
            return (2, if hard { b"t" } else { b"d" });
        }
        b"es" if after_consonant && !matches!(before, b's' | b'x' | b'z' | b'h' | b'c' | b'g') => return (1, b""),
        _ => {}
    }
    if at == 0 {
        match rest {
            [b'k', b'n', ..] => return (2, b"n"),
            [b'w', b'r', ..] => return (2, b"r"),
            [b'p', b's', ..] => return (2, b"s"),
            [b'x', ..] => return (1, b"z"),
            [b'y', v, ..] if vowel_letter(*v) => return (1, b"y"),
            _ => {}
        }
    }
    let listed = |list: &[(&'static [u8], &'static [u8])]| {
        list.iter().find(|(spelt, _)| rest.starts_with(spelt)).map(|(spelt, heard)| (spelt.len(), *heard))
    };
    let first = letter(0);
    if vowel_letter(first) {
        if let Some(found) = listed(VOWELS) {
            return found;
        }
        // "cake", "limes": the e is not heard, and makes the vowel before it long.
        let long = !vowel_letter(letter(1)) && matches!(rest.get(2..), Some(b"e" | b"es"));
        let heard: &[u8] = match (first, long) {
            (b'a', true) => b"A",
            (b'a', _) => b"a",
            (b'e', true) => b"E",
            (b'e', _) => b"e",
            (b'i' | b'y', true) => b"I",
            (b'i' | b'y', _) => b"i",
            (b'o', true) => b"O",
            (b'o', _) => b"o",
            (_, true) => b"U",
            _ => b"u",
        };
        return (1, heard);
    }
    if let Some(found) = listed(CONSONANTS) {
        return found;
    }
    let soft = matches!(letter(1), b'e' | b'i' | b'y');
    match first {
        b'c' if letter(1) == b'c' && matches!(letter(2), b'e' | b'i' | b'y') => (2, b"ks"),
        b's' if letter(1) == b'c' && matches!(letter(2), b'e' | b'i' | b'y') => (2, b"s"),
        b'c' if soft => (1, b"s"),
        b'c' => (1, b"k"),
        b'g' if soft => (1, b"J"),
        b'g' if letter(1) == b'u' && matches!(letter(2), b'e' | b'i') => (2, b"g"),
        b'q' if letter(1) == b'u' => (2, b"kw"),
        b'q' => (1, b"k"),
        b'x' => (1, b"ks"),
        b'j' => (1, b"J"),
        b'h' if at > 0 => (1, b""),
        b'b' => (1, b"b"),
        b'd' => (1, b"d"),
        b'f' => (1, b"f"),
        b'g' => (1, b"g"),
        b'h' => (1, b"h"),
        b'k' => (1, b"k"),
        b'l' => (1, b"l"),
        b'm' => (1, b"m"),
        b'n' => (1, b"n"),
        b'p' => (1, b"p"),
        b'r' => (1, b"r"),
        b's' => (1, b"s"),
        b't' => (1, b"t"),
        b'v' => (1, b"v"),
        b'w' => (1, b"w"),
        b'z' => (1, b"z"),
        _ => (1, b""),
    }
}

/// What an ear pays for each sound.
struct ByEar<'a> {
    written: &'a [u8],
    meant: &'a [u8],
}

/// The first sound is seldom misheard.
const fn first(at: usize) -> u32 {
    if at == 0 { 30 } else { 0 }
}

impl Steps for ByEar<'_> {
    fn extra(&self, i: usize) -> u32 {
        left_out(self.written, i) + first(i)
    }

    fn missing(&self, j: usize) -> u32 {
        left_out(self.meant, j) + first(j)
    }

    fn other(&self, i: usize, j: usize) -> u32 {
        match (self.written.get(i), self.meant.get(j)) {
            (Some(a), Some(b)) if a != b => misheard(*a, *b) + first(i).min(first(j)),
            _ => 0,
        }
    }

    fn swapped(&self, i: usize, j: usize) -> Option<u32> {
        let swapped = self.written.get(i - 1) == self.meant.get(j) && self.written.get(i) == self.meant.get(j - 1);
        swapped.then(|| 60 + first(i - 1))
    }
}

/// What it costs to have written down one row of sounds for another: 0 for the same, little for one
/// vowel in place of another, about 100 for a consonant that nobody mishears.
pub(crate) fn cost(written: &Sounds, meant: &Sounds) -> u32 {
    let (written, meant) = (written.bytes(), meant.bytes());
    least::<{ LONGEST + 1 }>(written.len(), meant.len(), &ByEar { written, meant }, PLAIN * 10)
}

/// A sound written that is not in the word, or not written that is.
fn left_out(word: &[u8], at: usize) -> u32 {
    let heard = |k: Option<usize>| k.and_then(|k| word.get(k)).copied().unwrap_or(0);
    let sound = heard(Some(at));
    match sound {
        s if vowel(s) => 40,
        // An r that no vowel follows.
        b'r' if !vowel(heard(at.checked_add(1))) => 30,
        // "potos": of two syllables that begin alike, one is lost.
        s if s == heard(at.checked_sub(2)) || s == heard(at.checked_add(2)) => 50,
        b'r' | b'l' | b'h' | b'n' => 60,
        b'w' => 40,
        _ => 80,
    }
}

/// One sound in place of another.
const fn misheard(a: u8, b: u8) -> u32 {
    let (x, y) = if a < b { (a, b) } else { (b, a) };
    match (vowel(x), vowel(y)) {
        (true, true) => match (x, y) {
            (b'A', b'a')
            | (b'E', b'e' | b'i')
            | (b'I', b'i')
            | (b'O', b'o')
            | (b'U', b'u' | b'W')
            | (b'e', b'i')
            | (b'a', b'e' | b'o' | b'u')
            | (b'o', b'u') => 15,
            _ => 30,
        },
        (false, false) => match (x, y) {
            (b's', b'z') => 10,
            (b'T', b'f' | b't')
            | (b'C', b'J' | b'S' | b't')
            | (b'J', b'g' | b'z' | b'S' | b'd')
            | (b'S', b's' | b'z') => 40,
            (b'C', b'k')
            | (b'b', b'p')
            | (b'd', b't')
            | (b'g', b'k')
            | (b'f', b'v')
            | (b'm', b'n')
            | (b'v', b'w')
            | (b'l', b'r') => 50,
            _ => PLAIN,
        },
        _ => PLAIN + 20,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn say(word: &str) -> String {
        String::from_utf8(Sounds::of(word.as_bytes()).bytes().to_vec()).unwrap()
    }

    #[test]
    fn words_are_said_by_the_rules_of_spelling() {
        for (word, sounds) in [
            ("apple", "apel"),
            ("cake", "kAk"),
            ("knife", "nIf"),
            ("cabbage", "kabAJ"),
            ("lettuce", "letUs"),
            ("quiche", "kwiS"),
            ("chutney", "CutnE"),
            ("berries", "berEs"),
            ("carpet", "karpet"),
        ] {
            assert_eq!(say(word), sounds, "{word}");
        }
    }

    #[test]
    fn words_that_sound_alike_have_one_outline() {
        for (a, b) in [
            ("orinj", "orange"),
            ("lasonya", "lasagna"),
            ("chickin", "chikken"),
            ("letis", "lettuce"),
            ("corjet", "courgette"),
            ("seriel", "cereal"),
        ] {
            let of = |w: &str| Sounds::of(w.as_bytes()).outline().bytes().to_vec();
            assert_eq!(of(a), of(b), "{a} {b}");
        }
    }

    #[test]
    fn what_is_misheard_costs_less() {
        for (written, likely, unlikely) in
            [("sosig", "sausage", "sesame"), ("brocly", "broccoli", "barley"), ("cabitch", "cabbage", "cabin")]
        {
            let of = |w: &str| Sounds::of(w.as_bytes());
            assert!(cost(&of(written), &of(likely)) < cost(&of(written), &of(unlikely)), "{written}");
        }
    }
}
