//! What holds of a scrap: its states, what is in it, which subjects it is in, which conditions hold.

use super::data::{Composition, Item, Subject, Term, When, World};
use forefeed::judge::Setting;
use std::collections::BTreeSet;

/// True, false or `None`: not known.
pub(crate) type Truth = Option<bool>;

/// An item and the part of it.
pub(crate) type Piece<'w> = (&'w Item, Option<String>);

/// One reading of a scrap, with everything that a rule may ask.
pub(crate) struct View<'w> {
    pub(crate) piece: Option<Piece<'w>>,
    pub(crate) yes: BTreeSet<String>,
    pub(crate) unknown: BTreeSet<String>,
    pub(crate) composition: Option<Composition>,
    pub(crate) enough: Vec<Piece<'w>>,
    pub(crate) included: Vec<(Piece<'w>, f64)>,
    pub(crate) traces: Vec<Piece<'w>>,
}

fn with_implied(world: &World, states: &BTreeSet<String>) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    let mut open: Vec<String> = states.iter().cloned().collect();
    while let Some(state) = open.pop() {
        open.extend(world.state(&state).implies.iter().filter(|s| !out.contains(*s) && **s != state).cloned());
        out.insert(state);
    }
    out
}

fn excludes(world: &World, a: &str, b: &str) -> bool {
    world.state(a).excludes.iter().any(|x| x == b) || world.state(b).excludes.iter().any(|x| x == a)
}

/// The states that hold and those that are not known, by statement 4.
pub(crate) fn states(
    world: &World,
    said: &BTreeSet<String>,
    denied: &BTreeSet<String>,
    item: Option<&Item>,
) -> (BTreeSet<String>, BTreeSet<String>) {
    let one = |s: &String| with_implied(world, &BTreeSet::from([s.clone()]));
    let doubtful: BTreeSet<String> = said
        .iter()
        .filter(|s| one(s).iter().any(|i| denied.contains(i)) || said.iter().any(|t| excludes(world, s, t)))
        .cloned()
        .collect();
    let yes = with_implied(world, &said.difference(&doubtful).cloned().collect());
    let mut doubted = with_implied(world, &doubtful);
    doubted.retain(|s| !yes.contains(s));
    let (mut out, mut unknown) = (yes.clone(), doubted.clone());
    let is_false = |s: &String| {
        !yes.contains(s)
            && !doubted.contains(s)
            && (one(s).iter().any(|i| denied.contains(i)) || yes.iter().any(|y| excludes(world, y, s)))
    };
    let open = |s: &String| !yes.contains(s) && !doubted.contains(s) && !is_false(s);
    // A default that brings something false with it does not hold.
    let stands = |s: &String| open(s) && !one(s).iter().any(is_false);
    let usual = |word: &str| -> Vec<String> {
        let list = item.map_or(&[][..], |i| &i.usual_states);
        list.iter().filter(|u| u.usual == word).map(|u| u.state.clone()).collect()
    };
    for state in usual("yes").into_iter().filter(&stands) {
        out.extend(one(&state).into_iter().filter(&open));
    }
    let perhaps: Vec<String> = usual("unknown")
        .into_iter()
        .filter(|s| stands(s) && !out.contains(s) && !out.iter().any(|y| excludes(world, y, s)))
        .collect();
    unknown.extend(perhaps);
    for state in &world.rules.states {
        let Some(unless) = &state.unless else { continue };
        if !open(&state.state) || out.contains(&state.state) || out.contains(unless) {
            continue;
        }
        if unknown.contains(unless) {
            unknown.insert(state.state.clone());
        } else {
            out.insert(state.state.clone());
        }
    }
    (out, unknown)
}

impl Term {
    fn holds(&self, (item, part): &Piece<'_>) -> bool {
        let fits = |wanted: &Option<String>| wanted.is_none() || wanted == part;
        match self {
            Term::Role { role } => item.role == *role,
            Term::Anything { anything } => *anything,
            Term::Item { item: name, part } => item.item == *name && fits(part),
            Term::Kind { kind, part } => item.kinds.contains(kind) && fits(part),
            Term::Group { subject } => subject.holds(&(*item, part.clone())),
        }
    }
}

impl Subject {
    pub(crate) fn named(&self, piece: &Piece<'_>) -> bool {
        self.any_of.iter().any(|t| t.holds(piece))
    }

    pub(crate) fn excepted(&self, piece: &Piece<'_>) -> bool {
        self.except.iter().any(|t| t.holds(piece))
    }

    pub(crate) fn holds(&self, piece: &Piece<'_>) -> bool {
        self.named(piece) && !self.excepted(piece)
    }

    /// `any food` or `any scrap`.
    pub(crate) fn any(&self) -> bool {
        self.any_of.iter().all(|t| matches!(t, Term::Role { .. } | Term::Anything { .. }))
    }
}

/// How a scrap is in a class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum In {
    /// With its whole mass.
    Whole,
    /// With this share of its mass: something that a whole includes is.
    Share(f64),
    /// By a trace.
    Trace,
}

/// Whether a scrap is in a subject that these others are lifted out of, by statement 6.
pub(crate) fn class(view: &View<'_>, subject: &Subject, lifted: &[&Subject]) -> Option<In> {
    let out = |p: &Piece<'_>| subject.excepted(p) || lifted.iter().any(|l| l.holds(p));
    if let Some(piece) = &view.piece {
        if out(piece) {
            return None;
        }
        if subject.named(piece) {
            return Some(In::Whole);
        }
    }
    let held = |p: &Piece<'_>| subject.named(p) && !out(p);
    if view.enough.iter().any(held) {
        return Some(In::Whole);
    }
    let shares: Vec<f64> = view.included.iter().filter(|(p, _)| held(p)).map(|(_, s)| *s).collect();
    if !shares.is_empty() {
        return Some(In::Share(shares.iter().sum::<f64>().min(1.0)));
    }
    view.traces.iter().any(held).then_some(In::Trace)
}

fn not(t: Truth) -> Truth {
    t.map(|b| !b)
}

fn both(a: Truth, b: Truth) -> Truth {
    match (a, b) {
        (Some(false), _) | (_, Some(false)) => Some(false),
        (Some(true), Some(true)) => Some(true),
        _ => None,
    }
}

fn either(a: Truth, b: Truth) -> Truth {
    not(both(not(a), not(b)))
}

/// Every way in which a condition may turn out, whatever the bin's unknown facts are.
pub(crate) fn outcomes(world: &World, set: &Setting, view: Option<&View<'_>>, when: &When) -> Vec<Truth> {
    let all = |list: &[When], join: fn(Truth, Truth) -> Truth, start: bool| {
        list.iter().fold(vec![Some(start)], |so_far, w| {
            let here = outcomes(world, set, view, w);
            let mut out: Vec<Truth> = so_far.iter().flat_map(|a| here.iter().map(|b| join(*a, *b))).collect();
            out.sort();
            out.dedup();
            out
        })
    };
    match when {
        When::And { and } => all(and, both, true),
        When::Or { or } => all(or, either, false),
        When::Not { not: w } => outcomes(world, set, view, w).into_iter().map(not).collect(),
        atom => match truth(world, set, view, atom) {
            None if of_bin(atom) => vec![Some(false), Some(true)],
            known => vec![known],
        },
    }
}

fn of_bin(atom: &When) -> bool {
    matches!(atom, When::Fact { of_bin: true, .. } | When::Place { .. } | When::Fed { .. })
}

/// Whether a condition holds: strong Kleene logic.
pub(crate) fn truth(world: &World, set: &Setting, view: Option<&View<'_>>, when: &When) -> Truth {
    let at = |w: &When| truth(world, set, view, w);
    match when {
        When::And { and } => and.iter().fold(Some(true), |t, w| both(t, at(w))),
        When::Or { or } => or.iter().fold(Some(false), |t, w| either(t, at(w))),
        When::Not { not: w } => not(at(w)),
        When::State { state } => match view {
            Some(v) if v.yes.contains(state) => Some(true),
            Some(v) if v.unknown.contains(state) => None,
            _ => Some(false),
        },
        When::Is { is } => Some(view.and_then(|v| class(v, is, &[])).is_some_and(|c| c != In::Trace)),
        When::Sign { sign } => Some(set.bin.signs.iter().any(|s| s.word() == sign)),
        When::Date { date, day } => {
            let today = &world.rules.today;
            Some(if date == "after" { today > day } else { today < day })
        }
        When::Place { bin_is } => {
            set.bin.indoors.or(world.rules.settings.bin_is_indoors).map(|inside| inside == (bin_is == "indoors"))
        }
        When::Fed { fed, days } => world.record.as_ref().map(|record| {
            record.iter().any(|ate| {
                (0..).contains(&ate.days_ago)
                    && f64::from(ate.days_ago) < *days
                    && class(&ate.view(world), fed, &[]).is_some_and(|c| c != In::Trace)
            })
        }),
        When::Fact { fact, relation, value, .. } => fact_of(world, set, view, fact).map(|x| match relation.as_str() {
            "above" => x > *value,
            "at_least" => x >= *value,
            "below" => x < *value,
            "up_to" => x <= *value,
            other => panic!("{other}"),
        }),
    }
}

fn fact_of(world: &World, set: &Setting, view: Option<&View<'_>>, fact: &str) -> Option<f64> {
    let (bin, of_book) = (&set.bin, &world.rules.settings);
    let c = view.and_then(|v| v.composition);
    // A figure that nobody determined counts as 0.
    let figure = |pick: fn(&Composition) -> Option<f64>| Some(c.as_ref().and_then(pick).unwrap_or(0.0));
    match fact {
        "fat" => figure(|c| c.fat),
        "salt" => figure(|c| c.salt),
        "sugar" => figure(|c| c.sugar),
        "moisture" => figure(|c| Some(c.water)),
        "nitrogen" => figure(|c| (c.water < 1.0).then(|| c.nitrogen / (1.0 - c.water))),
        "piece size" => Some(view.and_then(|v| v.piece.as_ref()).map_or(0.0, |(i, _)| i.piece_cm)),
        "temperature" => bin.temperature_c.or(of_book.temperature_c),
        "bin moisture" => bin.moisture,
        "area" => bin.area_m2.or(of_book.area_m2),
        "worms" => Some(bin.worms.map_or(of_book.worms_g.amount, |m| m.grams())),
        "age" => bin.age_days.or(of_book.age_days),
        "days since feeding" => bin.days_since_feeding,
        other => panic!("{other}"),
    }
}
