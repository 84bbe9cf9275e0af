//! The built-in base, ready-made: knowledge and rules as the build left them behind.

use crate::fault::Sources;
use crate::flat::ready;
use crate::knowledge::Known;
use crate::language::Book;

/// What the build left behind: the knowledge base and the base book, checked.
static READY: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/base.bin"));

/// The knowledge base and the base book; `None` if the bytes are not those of this build, which
/// would be a fault of the build.
pub fn base() -> Option<(Known, Book)> {
    ready::open(READY).ok()
}

/// The texts that the places of the base point into, in the order the build read them.
pub fn texts() -> Sources {
    let mut sources = Sources::default();
    for (name, text) in crate::embedded::TEXTS {
        sources.add(*name, *text);
    }
    sources
}

impl Known {
    /// The built-in knowledge base, its faults (none: the build refuses a base with faults) and
    /// its texts.
    pub fn base() -> (Known, crate::fault::Faults, Sources) {
        let known = base().map(|(known, _)| known).unwrap_or_default();
        (known, crate::fault::Faults::default(), texts())
    }
}
