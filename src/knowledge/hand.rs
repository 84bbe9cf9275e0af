//! What a slip of the hand costs.
//!
//! Comes in: two words. Goes out: how unlikely a hand is to have written the one and meant the other:
//! doubled letters, swaps, neighbouring keys and letters that sound alike are cheap, a wrong first
//! letter is dear. What an ear pays is in `heard`.

use super::aligned::{Steps, least};

/// The cost of an edit that nothing excuses.
pub(crate) const PLAIN: u32 = 100;

/// What a hand pays for each letter of the stretch in which two words differ.
struct ByHand<'a> {
    written: &'a [u8],
    meant: &'a [u8],
    /// Letters before the stretch, which both share.
    from: usize,
}

impl ByHand<'_> {
    fn written(&self, i: usize) -> u8 {
        self.written.get(self.from + i).copied().unwrap_or(0)
    }

    fn meant(&self, j: usize) -> u8 {
        self.meant.get(self.from + j).copied().unwrap_or(0)
    }

    /// The letters on both sides of one.
    fn around(&self, word: &[u8], at: usize) -> (u8, u8) {
        let before = (self.from + at).checked_sub(1).and_then(|k| word.get(k));
        (before.copied().unwrap_or(0), word.get(self.from + at + 1).copied().unwrap_or(0))
    }

    /// A wrong first letter is seen at once.
    fn first(&self, at: usize) -> u32 {
        if self.from + at == 0 { 30 } else { 0 }
    }
}

impl Steps for ByHand<'_> {
    fn extra(&self, i: usize) -> u32 {
        let (before, after) = self.around(self.written, i);
        extra_letter(self.written(i), before, after) + self.first(i)
    }

    fn missing(&self, j: usize) -> u32 {
        let (before, after) = self.around(self.meant, j);
        missing_letter(self.meant(j), before, after) + self.first(j)
    }

    fn other(&self, i: usize, j: usize) -> u32 {
        let (a, b) = (self.written(i), self.meant(j));
        if a == b { 0 } else { other_letter(a, b) + self.first(i).min(self.first(j)) }
    }

    fn swapped(&self, i: usize, j: usize) -> Option<u32> {
        let swapped = self.written(i - 1) == self.meant(j) && self.written(i) == self.meant(j - 1);
        swapped.then(|| 60 + self.first(i - 1) / 2)
    }

    /// "maraconi".
    fn swapped_around(&self, i: usize, j: usize) -> Option<u32> {
        let swapped = self.written(i - 2) == self.meant(j)
            && self.written(i) == self.meant(j - 2)
            && self.written(i - 1) == self.meant(j - 1);
        swapped.then(|| 85 + self.first(i - 2) / 2)
    }
}

/// What it costs to have written `written` and meant `meant`: 0 for the same, about 100 for each
/// unexcused edit, less for doubled letters, swaps, neighbouring keys and like sounds, more for a
/// wrong first letter.
pub(crate) fn cost(written: &[u8], meant: &[u8]) -> u32 {
    let from = written.iter().zip(meant).take_while(|(a, b)| a == b).count();
    let (w_rest, m_rest) = (written.get(from..).unwrap_or(&[]), meant.get(from..).unwrap_or(&[]));
    let same_end = w_rest.iter().rev().zip(m_rest.iter().rev()).take_while(|(a, b)| a == b).count();
    let (n, m) = (w_rest.len() - same_end, m_rest.len() - same_end);
    least::<{ WIDEST + 1 }>(n, m, &ByHand { written, meant, from }, PLAIN * 10)
}

/// The widest differing stretch that is costed letter by letter.
const WIDEST: usize = 15;

const fn vowel(b: u8) -> bool {
    matches!(b, b'a' | b'e' | b'i' | b'o' | b'u' | b'y')
}

/// A letter written that is not in the word.
fn extra_letter(b: u8, before: u8, after: u8) -> u32 {
    if b == before || b == after {
        40
    } else if b == b'e' && after == 0 || b == b'h' {
        60
    } else if vowel(b) {
        75
    } else if b == b's' && after == 0 {
        50
    } else {
        90
    }
}

/// A letter of the word that was not written.
fn missing_letter(b: u8, before: u8, after: u8) -> u32 {
    if b == before || b == after {
        40
    } else if b == b'h' || b == b'e' && after == 0 {
        55
    } else if vowel(b) {
        65
    } else if b == b's' && after == 0 {
        50
    } else {
        80
    }
}

/// One letter in place of another.
fn other_letter(a: u8, b: u8) -> u32 {
    let row = OTHERS.get(usize::from(a.wrapping_sub(b'a')));
    row.and_then(|row| row.get(usize::from(b.wrapping_sub(b'a')))).map_or(PLAIN, |cost| u32::from(*cost))
}

/// The costs of every letter in place of every other; a slip looks up dozens.
static OTHERS: [[u8; 26]; 26] = others();

#[allow(clippy::indexing_slicing, clippy::cast_possible_truncation, reason = "run by the compiler, which checks")]
const fn others() -> [[u8; 26]; 26] {
    let mut all = [[PLAIN as u8; 26]; 26];
    let mut a = 0;
    while a < 26 {
        let mut b = 0;
        while b < 26 {
            let (x, y) = if a < b { (b'a' + a, b'a' + b) } else { (b'a' + b, b'a' + a) };
            all[a as usize][b as usize] = if vowel(x) && vowel(y) {
                60
            } else if alike(x, y) {
                65
            } else if beside(x, y) {
                75
            } else {
                PLAIN as u8
            };
            b += 1;
        }
        a += 1;
    }
    all
}

/// Whether two letters, in their order, are often heard for each other.
const fn alike(x: u8, y: u8) -> bool {
    matches!(
        (x, y),
        (b'c', b'k')
            | (b'c', b's')
            | (b's', b'z')
            | (b'i', b'y')
            | (b'g', b'j')
            | (b'k', b'q')
            | (b'c', b'q')
            | (b'v', b'w')
            | (b'f', b'v')
            | (b'd', b't')
            | (b'b', b'p')
            | (b'm', b'n')
            | (b'g', b'k')
            | (b'f', b'p')
    )
}

/// Whether two keys are neighbours on the common Latin keyboard.
const fn beside(a: u8, b: u8) -> bool {
    let ((r, c), (s, d)) = (key(a), key(b));
    if r == s {
        return c.abs_diff(d) == 1;
    }
    let (upper, lower) = if r < s { (c, d) } else { (d, c) };
    r.abs_diff(s) == 1 && (upper == lower || upper == lower + 1)
}

/// The row and the place in it of a letter's key.
#[allow(clippy::indexing_slicing, reason = "run by the compiler, which checks")]
const fn key(letter: u8) -> (usize, usize) {
    const ROWS: [&[u8]; 3] = [b"qwertyuiop", b"asdfghjkl", b"zxcvbnm"];
    let mut row = 0;
    while row < ROWS.len() {
        let mut place = 0;
        while place < ROWS[row].len() {
            if ROWS[row][place] == letter {
                return (row, place);
            }
            place += 1;
        }
        row += 1;
    }
    (usize::MAX, 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn likely_slips_cost_less() {
        for (written, likely, unlikely) in [
            ("bananna", "banana", "bandanna"),
            ("tomatoe", "tomato", "tomatillo"),
            ("brocolli", "broccoli", "broccolini"),
            ("raspbery", "raspberry", "raspbian"),
            ("hussel", "mussel", "tassels"),
        ] {
            assert!(
                cost(written.as_bytes(), likely.as_bytes()) < cost(written.as_bytes(), unlikely.as_bytes()),
                "{written}"
            );
        }
    }
}
