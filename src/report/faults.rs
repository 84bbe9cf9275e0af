//! Drawn faults.
use crate::fault::{Faults, Sources};
/// Draws.
pub fn draw(f: &Faults, s: &Sources, _w: usize, _c: bool) -> String { f.sorted().iter().map(|x| format!("{} {:?}: {} {:?}\n", s.name(x.span().file), s.place(x.span()), x.message, x.help)).collect() }
