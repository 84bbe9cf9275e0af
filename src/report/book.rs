//! Lists of rules.
use crate::{Household, language::RuleId};
/// Lists.
pub fn list(_h: &Household, _f: &str, _w: usize, _folder: Option<&str>) -> String { String::new() }
/// Shows.
pub fn show(_h: &Household, _r: RuleId, _w: usize) -> String { String::new() }
