//! Words with what each is for the reader, as tables that the compiler fills.
//!
//! Owns the look-up of words that stand in this program's own lists: nothing is made at start, and
//! a word that is in no list, as most are, costs one look.

/// Words and a value for each, found by hash.
pub(crate) struct Table<V, const WORDS: usize, const SLOTS: usize> {
    words: [&'static str; WORDS],
    pub(crate) values: [V; WORDS],
    count: usize,
    /// For the hash of a word or the next free slot behind it, its place and one.
    slots: [u16; SLOTS],
}

impl<V: Copy, const WORDS: usize, const SLOTS: usize> Table<V, WORDS, SLOTS> {
    /// No words; `blank` is what the value of a new one is until it is set.
    pub(crate) const fn new(blank: V) -> Self {
        assert!(SLOTS.is_power_of_two() && SLOTS > 2 * WORDS && WORDS < u16::MAX as usize);
        Table { words: [""; WORDS], values: [blank; WORDS], count: 0, slots: [0; SLOTS] }
    }

    /// The place of a word, which is added if it is new.
    #[allow(clippy::indexing_slicing, clippy::cast_possible_truncation, reason = "run by the compiler, which checks")]
    pub(crate) const fn place(&mut self, word: &'static str) -> usize {
        let mut slot = Self::slot(word.as_bytes());
        while self.slots[slot] != 0 {
            let at = self.slots[slot] as usize - 1;
            if same(self.words[at].as_bytes(), word.as_bytes()) {
                return at;
            }
            slot = (slot + 1) % SLOTS;
        }
        self.words[self.count] = word;
        self.count += 1;
        self.slots[slot] = self.count as u16;
        self.count - 1
    }

    /// The value of a word.
    pub(crate) fn get(&self, word: &[u8]) -> Option<V> {
        let mut slot = Self::slot(word);
        loop {
            let at = usize::from(*self.slots.get(slot)?).checked_sub(1)?;
            if self.words.get(at).is_some_and(|w| w.as_bytes() == word) {
                return self.values.get(at).copied();
            }
            slot = (slot + 1) % SLOTS;
        }
    }

    /// Where a word is looked for first. Its ends, its middle and its length tell our words well
    /// enough apart, and take as long for any word.
    #[allow(clippy::cast_possible_truncation, reason = "the high bits, fewer than a usize has")]
    const fn slot(bytes: &[u8]) -> usize {
        let ends = match bytes {
            [] => [0; 4],
            [a] => [*a, 0, 0, *a],
            [a, b, .., y, z] => [*a, *b, *y, *z],
            [a, .., z] => [*a, 0, 0, *z],
        };
        let middle = match bytes.split_at(bytes.len() / 2) {
            (_, [middle, ..]) => *middle,
            _ => 0,
        };
        let all = u32::from_le_bytes(ends) as u64 | (middle as u64) << 32 | (bytes.len() as u64) << 40;
        (all.wrapping_mul(0x9e37_79b9_7f4a_7c15) >> (u64::BITS - SLOTS.trailing_zeros())) as usize
    }
}

/// The first word of a list parted by spaces, and the rest of the list.
pub(crate) const fn first_word(list: &str) -> Option<(&str, &str)> {
    let list = list.trim_ascii_start();
    let mut end = 0;
    let mut rest = list.as_bytes();
    while let [first, more @ ..] = rest {
        if first.is_ascii_whitespace() {
            break;
        }
        end += 1;
        rest = more;
    }
    if end == 0 { None } else { Some(list.split_at(end)) }
}

const fn same(a: &[u8], b: &[u8]) -> bool {
    let (mut a, mut b) = (a, b);
    while let ([x, more_a @ ..], [y, more_b @ ..]) = (a, b) {
        if *x != *y {
            return false;
        }
        (a, b) = (more_a, more_b);
    }
    a.is_empty() && b.is_empty()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_is_found_and_no_other() {
        const LIST: &str = " one two  three\nfünf one ";
        const TABLE: Table<u8, 4, 16> = {
            let mut table = Table::new(0);
            let mut rest = LIST;
            while let Some((word, more)) = first_word(rest) {
                let at = table.place(word);
                table.values[at] += 1;
                rest = more;
            }
            table
        };
        assert_eq!(
            ["one", "two", "three", "fünf"].map(|w| TABLE.get(w.as_bytes())),
            [Some(2), Some(1), Some(1), Some(1)]
        );
        assert_eq!(["", "four", "on", "ones"].map(|w| TABLE.get(w.as_bytes())), [None; 4]);
    }
}
