//! Rule text becomes a checked book.
//!
//! Comes in: the texts of rule files. Goes out: [`Written`] (syntax, comments, places), then a
//! [`Book`] (names, units, layers and days checked), or all faults of all files.

pub mod book;
mod check;
mod grammar;
mod lines;
pub mod rows;
pub mod syntax;
pub mod units;

pub use book::{Allowance, Book, Demand, Fact, Mix, MixWindow, Rule, RuleId, Sign, SubjectSet, SubjectTerm, When, Who};
pub use check::{check, own_things};
pub use syntax::{Basis, Layer, Relation, Side, Written};

use crate::fault::{Faults, FileId, Sources};

/// Parses every one of the given files.
pub fn read(files: &[FileId], sources: &Sources, faults: &mut Faults) -> Written {
    grammar::guard();
    Written { files: files.iter().map(|id| grammar::read_file(*id, sources, faults)).collect() }
}
