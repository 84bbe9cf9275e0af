//! What a rule can ask about a scrap and the bin, and whether its condition holds: three-valued,
//! after strong Kleene logic.

use super::scraps::Judge;
use super::states::States;
use super::{Limit, Measured, Missing, Verdict};
use crate::bag::PartId;
use crate::knowledge::{Composition, Found, Item, ItemId, KindId};
use crate::language::rows::{Inside, Thing};
use crate::language::{Fact, Relation, SubjectSet, When};
use std::cell::OnceCell;

/// Everything a rule can ask about one identity.
pub(super) struct Facts<'s> {
    pub(super) item: Option<ItemId>,
    pub(super) part: Option<PartId>,
    pub(super) states: States,
    /// The facts of a scrap itself, in the order of [`Fact`].
    pub(super) own: [f64; 6],
    pub(super) found: Option<&'s Found>,
    /// What is in it, once it is asked for.
    pub(super) inside: OnceCell<Inside>,
}

/// What a bin fact is taken to be.
#[derive(Clone, Copy)]
pub(super) enum Bins<'b> {
    /// As it is known.
    Known,
    /// Unknown ones as these bits, in the order met; the count of those met is kept.
    Assumed(u32, &'b std::cell::Cell<u32>),
}

impl Judge<'_> {
    /// What is in a scrap, less what it comes without and what a state took out of the whole.
    fn inside(&self, found: Option<&Found>, item: Option<&Item>, part: Option<PartId>, yes: u64) -> Inside {
        let (additions, without) = found.map_or((&[][..], &[][..]), |f| (&f.additions, &f.without));
        let left_out = |id: ItemId| {
            without.iter().any(|w| {
                let kind = self.known.kind_named(self.known.item_name(*w));
                *w == id || kind.is_some_and(|k| self.known.kinds_of(id).contains(&k))
            })
        };
        let mut inside = Inside::of(item, part, additions, left_out, self.known);
        inside.included.retain(|((id, _), _)| !self.taken_out(*id, yes));
        inside
    }

    /// Whether a state that holds takes an item out of a whole.
    pub(super) fn taken_out(&self, id: ItemId, yes: u64) -> bool {
        let takes = |(bit, kinds): &(u64, Vec<KindId>)| {
            yes & bit != 0 && kinds.iter().any(|k| self.known.kinds_of(id).contains(k))
        };
        self.gone.iter().any(takes)
    }

    pub(super) fn inside_of<'f>(&self, facts: &'f Facts<'_>) -> &'f Inside {
        facts.inside.get_or_init(|| {
            let item = facts.item.and_then(|i| self.known.item(i));
            self.inside(facts.found, item, facts.part, facts.states.yes)
        })
    }

    /// A condition read on the bin alone: no scrap is looked at.
    pub(super) fn bag_condition(&self, when: Option<&When>) -> Option<bool> {
        let facts = Facts {
            item: None,
            part: None,
            states: States::default(),
            own: own(&crate::knowledge::composed::STAND_IN, 0.0),
            found: None,
            inside: OnceCell::new(),
        };
        when.map_or(Some(true), |w| self.eval(w, &facts, Bins::Known))
    }

    /// What is not known in a condition, and what would come of it either way.
    pub(super) fn missing(&self, when: &When, facts: &Facts<'_>, as_true: Option<Verdict>) -> Vec<Missing> {
        let mut names = Vec::new();
        self.unknowns(when, facts, &mut names);
        names
            .into_iter()
            .map(|fact| Missing { fact, outcomes: vec![("yes".to_string(), as_true), ("no".to_string(), None)] })
            .collect()
    }

    fn unknowns(&self, when: &When, facts: &Facts<'_>, out: &mut Vec<String>) {
        match when {
            When::And(all) | When::Or(all) => all.iter().for_each(|w| self.unknowns(w, facts, out)),
            When::Not(one) => self.unknowns(one, facts, out),
            atom => {
                if self.eval(atom, facts, Bins::Known).is_none() {
                    let name = self.atom_words(atom);
                    if !out.contains(&name) {
                        out.push(name);
                    }
                }
            }
        }
    }

    /// An atom of a condition in words.
    pub(super) fn atom_words(&self, atom: &When) -> String {
        match atom {
            When::State(s) => self.known.vocabulary().state_name(*s).to_string(),
            When::Sign(s) => s.word().to_string(),
            When::Fact(fact, _, _) => fact.word().to_string(),
            When::Indoors(true) => "bin is indoors".to_string(),
            When::Indoors(false) => "bin is outdoors".to_string(),
            When::Fed(..) => "what was fed lately".to_string(),
            When::Is(_) => "what it is".to_string(),
            When::Date(..) => "the date".to_string(),
            When::And(_) | When::Or(_) | When::Not(_) => String::new(),
        }
    }

    /// The first comparison of the scrap's own composition that holds: what was measured, against what.
    pub(super) fn measured(&self, when: &When, facts: &Facts<'_>) -> (Option<Measured>, Option<Limit>) {
        match when {
            When::And(all) | When::Or(all) => {
                all.iter().map(|w| self.measured(w, facts)).find(|(m, _)| m.is_some()).unwrap_or((None, None))
            }
            When::Fact(fact, relation, value) if self.eval(when, facts, Bins::Known) == Some(true) => {
                let unit = unit_of(*fact);
                let above = matches!(relation, Relation::Above | Relation::AtLeast);
                let limit = Limit { low: (!above).then_some(*value), high: above.then_some(*value), unit };
                (self.fact(*fact, facts).map(|value| Measured { value, unit }), Some(limit))
            }
            _ => (None, None),
        }
    }

    fn fact(&self, fact: Fact, facts: &Facts<'_>) -> Option<f64> {
        if let Some(number) = facts.own.get(fact as usize) {
            return Some(*number);
        }
        let (bin, set) = (&self.setting.bin, &self.book.settings);
        match fact {
            Fact::Fat | Fact::Salt | Fact::Sugar | Fact::Moisture | Fact::Nitrogen | Fact::PieceSize => None,
            Fact::Temperature => bin.temperature_c.or(set.temperature_c),
            Fact::BinMoisture => bin.moisture,
            Fact::Area => bin.area_m2.or(set.area_m2),
            Fact::Worms => Some(self.worms().0.grams()),
            Fact::Age => bin.age_days.or(set.age_days),
            Fact::DaysSinceFeeding => bin.days_since_feeding,
        }
    }

    /// Three-valued truth of a condition (strong Kleene logic).
    pub(super) fn eval(&self, when: &When, facts: &Facts<'_>, bins: Bins<'_>) -> Option<bool> {
        match when {
            When::And(all) => {
                let mut out = Some(true);
                for w in all {
                    out = match (out, self.eval(w, facts, bins)) {
                        // Whoever counts the facts that are met wants to meet them all.
                        (_, Some(false)) if matches!(bins, Bins::Known) => return Some(false),
                        (Some(false), _) | (_, Some(false)) => Some(false),
                        (Some(true), Some(true)) => Some(true),
                        _ => None,
                    };
                }
                out
            }
            When::Or(all) => {
                let mut out = Some(false);
                for w in all {
                    out = match (out, self.eval(w, facts, bins)) {
                        (Some(true), _) | (_, Some(true)) => Some(true),
                        (Some(false), Some(false)) => Some(false),
                        _ => None,
                    };
                }
                out
            }
            When::Not(one) => self.eval(one, facts, bins).map(|b| !b),
            When::State(s) => facts.states.holds(s.bit()),
            When::Is(set) => Some(self.is(set, facts)),
            When::Sign(sign) => Some(self.setting.bin.signs.contains(sign)),
            When::Date(after, day) => Some(if *after { self.setting.today > *day } else { self.setting.today < *day }),
            When::Indoors(wanted) => {
                assumed(self.setting.bin.indoors.or(self.book.settings.indoors).map(|is| is == *wanted), bins)
            }
            When::Fed(set, days) => assumed(self.fed(set, *days), bins),
            When::Fact(fact, relation, k) => {
                let holds = self.fact(*fact, facts).map(|v| relation.holds(v, *k));
                if fact.of_bin() { assumed(holds, bins) } else { holds }
            }
        }
    }

    fn is(&self, set: &SubjectSet, facts: &Facts<'_>) -> bool {
        self.within(set, facts.item.map(|i| (i, facts.part)), self.inside_of(facts))
    }

    /// Whether a thing is in a class: by name, or by what is in it.
    fn within(&self, set: &SubjectSet, thing: Option<Thing>, inside: &Inside) -> bool {
        if let Some((item, part)) = thing {
            if set.excepted(item, part, self.known) {
                return false;
            }
            if set.named(item, part, self.known) {
                return true;
            }
        }
        let within = inside.enough.iter().chain(inside.included.iter().map(|(t, _)| t));
        within.into_iter().any(|(i, p)| set.holds(*i, *p, self.known))
    }

    fn fed(&self, set: &SubjectSet, days: f64) -> Option<bool> {
        let record = self.setting.record.as_ref()?;
        Some(record.iter().any(|f| {
            self.days_ago(f.date).is_some_and(|d| f64::from(d) < days) && {
                let inside = Inside::of(self.known.item(f.item), f.part, &[], |_| false, self.known);
                self.within(set, Some((f.item, f.part)), &inside)
            }
        }))
    }

    /// Whole days since a date, today being 0; `None` for days to come.
    pub(super) fn days_ago(&self, date: jiff::civil::Date) -> Option<i32> {
        let days = (self.setting.today - date).get_days();
        (days >= 0).then_some(days)
    }

    /// True if a condition that is unknown would be known, one way or the other, whatever the
    /// unknown facts of the bin turned out to be: then nothing about the scrap is missing.
    pub(super) fn bin_alone(&self, when: &When, facts: &Facts<'_>) -> bool {
        let met = std::cell::Cell::new(0);
        self.eval(when, facts, Bins::Assumed(0, &met));
        let count = met.get();
        // More than ten unknown facts of the bin in one condition: the cautious reading.
        count <= 10
            && (0..1u32 << count).all(|bits| {
                met.set(0);
                self.eval(when, facts, Bins::Assumed(bits, &met)).is_some()
            })
    }
}

/// The facts of a scrap of this composition, in the order of [`Fact`].
pub(super) fn own(c: &Composition, piece_cm: f64) -> [f64; 6] {
    let nitrogen = if c.water < 1.0 { c.nitrogen / (1.0 - c.water) } else { 0.0 };
    [c.fat.unwrap_or(0.0), c.salt.unwrap_or(0.0), c.sugar.unwrap_or(0.0), c.water, nitrogen, piece_cm]
}

fn assumed(value: Option<bool>, bins: Bins<'_>) -> Option<bool> {
    match (value, bins) {
        (None, Bins::Assumed(bits, met)) => {
            let n = met.get();
            met.set(n + 1);
            Some(bits.checked_shr(n).unwrap_or(0) & 1 == 1)
        }
        (value, _) => value,
    }
}

fn unit_of(fact: Fact) -> &'static str {
    match fact {
        Fact::Fat | Fact::Salt | Fact::Sugar | Fact::Moisture | Fact::Nitrogen | Fact::BinMoisture => "share",
        Fact::PieceSize => "cm",
        Fact::Temperature => "C",
        Fact::Area => "m2",
        Fact::Worms => "g",
        Fact::Age | Fact::DaysSinceFeeding => "days",
    }
}
