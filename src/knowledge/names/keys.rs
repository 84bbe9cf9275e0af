//! Keys of 64 bits for phrases.

use crate::knowledge::Language;

/// What a key was made from; keys of different sorts never meet.
#[derive(Clone, Copy)]
pub(super) enum Sort {
    Folded = 0,
    Canonical = 1,
    Joined = 2,
    Unordered = 3,
}

pub(super) const LANGUAGES: [Language; 4] = [Language::En, Language::Es, Language::De, Language::Fr];

pub(super) fn bit(language: Language) -> u8 {
    match language {
        Language::En => 1,
        Language::Es => 2,
        Language::De => 4,
        Language::Fr => 8,
    }
}

fn scatter(h: u64) -> u64 {
    let h = (h ^ (h >> 32)).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let h = (h ^ (h >> 29)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    h ^ (h >> 32)
}

/// The key of a sequence of words. Keys of a language and sort stand together in their table, those of
/// one English word first: a bag is nearly all in one language and in short names, and what it asks
/// for lies close by.
pub(super) fn key(sort: Sort, language: Language, words: &[u64]) -> u64 {
    let seed = (sort as u64 + 1) << 8 | u64::from(bit(language));
    let h = match sort {
        Sort::Unordered => words.iter().fold(seed, |h, w| h.wrapping_add(scatter(*w))),
        _ => words.iter().fold(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15), |h, w| {
            (h.rotate_left(7) ^ w).wrapping_mul(0x9e37_79b9_7f4a_7c15)
        }),
    };
    // Half of the room is for English, which has most of the names.
    match u64::from(bit(language).trailing_zeros()) {
        0 => scatter(h) >> 4 | u64::from(words.len() > 1) << 60 | (sort as u64) << 61,
        other => scatter(h) >> 5 | (0b100 | other) << 61 | (sort as u64) << 59,
    }
}

/// The key of two words that stand in one name, in whichever order.
pub(super) fn pair(one: u64, other: u64) -> u64 {
    scatter(scatter(one).wrapping_add(scatter(other)))
}
