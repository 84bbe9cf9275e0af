//! Which states hold of a scrap: what was said, what that implies and excludes, what is usual.
//!
//! What is said beats a default. A state is true if said or implied by a true one; false if denied,
//! excluded by a true one, or if it implies a denied one; else the item's own default and what that
//! implies; else no. Two said states that exclude each other are both unknown. `raw` is true unless
//! `cooked` is.

use crate::bag::{Said, Vocabulary};
use crate::knowledge::{Item, Usual};

/// States known to hold and states not known either way; the rest do not hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub struct States {
    /// Known to hold.
    pub yes: u64,
    /// Not known.
    pub unknown: u64,
}

impl States {
    /// Three-valued: `Some(true)`, `Some(false)`, or `None` for unknown.
    pub fn holds(self, bit: u64) -> Option<bool> {
        if self.yes & bit != 0 {
            Some(true)
        } else if self.unknown & bit != 0 {
            None
        } else {
            Some(false)
        }
    }
}

/// Works out the states of an item of which something was said.
pub fn states(said: Said, item: Option<&Item>, v: &Vocabulary) -> States {
    // A said state is in doubt if it implies a denied one or excludes another said one.
    let doubt = if said.yes == 0 {
        0
    } else {
        v.members(said.yes)
            .filter(|(_, s)| s.implies & said.no != 0 || s.excludes & said.yes != 0)
            .fold(0u64, |acc, (id, _)| acc | id.bit())
    };
    let yes = v.implied_by(said.yes & !doubt);
    let unknown = v.implied_by(doubt) & !yes;
    let no = (said.no | v.excluded_by(yes) | v.implying(said.no)) & !yes & !unknown;
    let open = !(yes | unknown | no);
    let usual = |wanted: Usual| {
        item.map_or(0, |i| i.states.iter().filter(|(_, u)| *u == wanted).fold(0u64, |acc, (s, _)| acc | s.bit()))
    };
    // A usual state that implies one that does not hold does not hold either.
    let blocked = v.implying(no);
    let brought = v.implied_by(usual(Usual::Yes) & open & !blocked) & open;
    let perhaps = usual(Usual::Unknown) & open & !brought & !blocked & !v.excluded_by(yes | brought);
    let mut out = States { yes: yes | brought, unknown: unknown | perhaps };
    raw(&mut out, no, v);
    out
}

/// `raw` is true unless `cooked` is, where neither was said.
fn raw(out: &mut States, no: u64, v: &Vocabulary) {
    let Some((raw, cooked)) = v.raw_cooked else { return };
    let (raw, cooked) = (raw.bit(), cooked.bit());
    if (out.yes | out.unknown) & raw != 0 || no & raw != 0 {
        return;
    }
    if out.yes & cooked != 0 {
        return;
    }
    if out.unknown & cooked != 0 {
        out.unknown |= raw;
    } else {
        out.yes |= raw;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::knowledge::Known;

    fn of(yes: &[&str], no: &[&str], usual: &[(&str, Usual)]) -> (Vec<String>, Vec<String>) {
        let v = crate::embedded::vocabulary();
        let mut said = Said::default();
        yes.iter().for_each(|s| said.say(v.state(s).unwrap(), true));
        no.iter().for_each(|s| said.say(v.state(s).unwrap(), false));
        let (known, _, _) = Known::base();
        let mut item = known.items().next().map(|(_, i)| i.clone()).unwrap();
        item.states = usual.iter().map(|(s, u)| (v.state(s).unwrap(), *u)).collect();
        let s = states(said, Some(&item), &v);
        let names = |bits| v.names_of(bits).into_iter().map(String::from).collect();
        (names(s.yes), names(s.unknown))
    }

    #[test]
    fn a_bare_thing_is_raw_and_nothing_else() {
        assert_eq!(of(&[], &[], &[]), (vec!["raw".into()], vec![]));
    }

    #[test]
    fn said_brings_what_it_implies() {
        assert_eq!(of(&["thawed"], &[], &[]).0, ["frozen", "thawed", "raw"]);
    }

    #[test]
    fn said_beats_usual() {
        let crisps = [("salted", Usual::Yes), ("fried", Usual::Yes)];
        assert_eq!(of(&[], &[], &crisps).0, ["cooked", "fried", "greasy", "salted"]);
        assert_eq!(of(&[], &["salted"], &crisps).0, ["cooked", "fried", "greasy"]);
        assert_eq!(of(&[], &["greasy"], &[("fried", Usual::Yes)]).0, ["raw"], "fried implies greasy, which was denied");
    }

    #[test]
    fn two_that_exclude_each_other_are_both_unknown() {
        let (yes, unknown) = of(&["raw", "cooked"], &[], &[]);
        assert!(yes.is_empty(), "{yes:?}");
        assert_eq!(unknown, ["raw", "cooked"]);
    }

    #[test]
    fn not_frozen_is_not_thawed() {
        let (yes, unknown) = of(&["thawed"], &["frozen"], &[]);
        assert_eq!(yes, ["raw"]);
        assert_eq!(unknown, ["frozen", "thawed"], "said and denied at once");
        assert_eq!(of(&[], &["frozen"], &[("thawed", Usual::Yes)]).0, ["raw"]);
    }

    #[test]
    fn unknown_only_where_the_item_says_so() {
        assert_eq!(of(&[], &[], &[("sprayed", Usual::Unknown)]).1, ["sprayed"]);
        assert_eq!(of(&[], &["sprayed"], &[("sprayed", Usual::Unknown)]).1, Vec::<String>::new());
    }
}
