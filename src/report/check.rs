//! The bag's screen.
use crate::{Household, judge::Judgement};
/// The screen.
pub fn screen(judgement: &Judgement, _home: &Household, _width: usize, _full: bool) -> String { format!("{judgement:?}\n") }
