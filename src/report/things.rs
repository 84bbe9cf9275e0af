//! Lists of things.
use crate::{Household, knowledge::ItemId};
/// Named.
pub fn named(_h: &Household, _w: &str) -> Vec<ItemId> { Vec::new() }
/// Items.
pub fn items(_h: &Household, _w: &str, _o: &[ItemId], _x: usize) -> String { String::new() }
/// Sources.
pub fn sources(_h: &Household, _w: &str, _x: usize) -> Option<String> { None }
