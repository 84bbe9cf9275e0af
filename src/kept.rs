//! Answers kept for the next time somebody asks: so many, then all are let go and it begins anew.
//!
//! Only answers that follow from their question alone are kept, so that nothing but time depends
//! on what was asked before.

use std::borrow::Borrow;
use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hash, Hasher};

/// A table with a quick hash, for keys that nobody picks to be slow.
pub(crate) type Table<K, V> = HashMap<K, V, BuildHasherDefault<Mixing>>;

/// Questions with their answers, in bounded room.
#[derive(Debug, Clone)]
pub(crate) struct Kept<K, V> {
    answers: Table<K, V>,
    most: usize,
}

impl<K: Hash + Eq, V> Kept<K, V> {
    /// Room for so many answers, none there yet.
    pub(crate) fn at_most(most: usize) -> Self {
        Kept { answers: Table::default(), most }
    }

    /// The answer to a question that was asked before.
    pub(crate) fn get<Q: Hash + Eq + ?Sized>(&self, question: &Q) -> Option<&V>
    where
        K: Borrow<Q>,
    {
        self.answers.get(question)
    }

    /// Keeps an answer.
    pub(crate) fn keep(&mut self, question: K, answer: V) {
        if self.answers.len() >= self.most {
            self.answers.clear();
        }
        self.answers.insert(question, answer);
    }
}

/// A quick hash for questions that the tables of a stream hold at most a few thousand of.
#[derive(Debug, Clone, Default)]
pub(crate) struct Mixing(u64);

impl Mixing {
    fn add(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(5) ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    }
}

impl Hasher for Mixing {
    fn write(&mut self, bytes: &[u8]) {
        let (whole, rest) = bytes.as_chunks::<8>();
        whole.iter().for_each(|b| self.add(u64::from_le_bytes(*b)));
        self.add(rest.iter().fold(rest.len() as u64, |all, b| all << 8 | u64::from(*b)));
    }
    fn write_u8(&mut self, n: u8) {
        self.add(u64::from(n));
    }
    fn write_u64(&mut self, n: u64) {
        self.add(n);
    }
    fn write_usize(&mut self, n: usize) {
        self.add(n as u64);
    }
    fn finish(&self) -> u64 {
        self.0 ^ self.0 >> 32
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn room_is_bounded_and_answers_stay_right() {
        let mut kept = Kept::at_most(8);
        for n in 0..100u64 {
            kept.keep(n.to_string(), n);
            assert!(kept.answers.len() <= 8);
            assert_eq!(kept.get(n.to_string().as_str()), Some(&n));
        }
        assert_eq!(kept.get("0"), None);
    }
}
