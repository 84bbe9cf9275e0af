//! May this bag go into this bin now, and if not, what do I do about it?

pub mod bag;
pub mod fault;
pub mod knowledge;
pub mod language;

/// The texts of `rules/`, built into the library.
mod embedded {
    include!(concat!(env!("OUT_DIR"), "/embedded.rs"));
    pub(crate) const KINDS: &str = include_str!("../rules/kinds.yaml");
    pub(crate) const STATES: &str = include_str!("../rules/states.yaml");
    pub(crate) const PARTS: &str = include_str!("../rules/parts.yaml");
    pub(crate) const FOODS: &str = include_str!("../rules/composition.yaml");
    pub(crate) const SOURCES: &str = include_str!("../rules/sources.yaml");
    pub(crate) const EVIDENCE: &str = include_str!("../rules/evidence.yaml");
}
