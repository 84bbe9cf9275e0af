//! What a scrap weighs.
//!
//! Comes in: found things. Goes out: scraps, each with a mass, its range and how it was come by. A
//! mass that was written wins; then a count or a measure of which the item knows the weight; then a
//! typical mass, which is called assumed. The typical masses are in `rules/measures.yaml` and ours.

use super::entries::Pairs;
use super::{Found, Identity, Item, Known, Mass, MassBasis, Portion, Role, Scrap};
use crate::bag::words::is_plural;
use crate::bag::{Amount, Measure, Mg, PartId, Thing, Unit};
use crate::flat::{Keys, hash};

/// A counted mass may be a fifth less or more (ours: the spread of one fruit to the next).
const COUNTED_SPREAD: f64 = 0.2;
/// An assumed mass may be half or double (ours).
const ASSUMED_FACTOR: f64 = 2.0;
/// What a word is taken for that says much as well as many: "lots of".
const MANY: f64 = 6.0;
/// What an unidentified scrap without a written mass weighs, in grams (ours).
const UNKNOWN_GRAMS: f64 = 100.0;

/// Typical masses, from `rules/measures.yaml`.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Measures {
    /// Grams in one of a count word.
    measures: Named,
    density: Density,
    /// Kinds that pour.
    liquids: Vec<String>,
    /// Share of the whole that a part makes up, 0..1.
    shares: Named,
    /// Grams on a line without a number, by kind.
    typical: Named,
    /// Grams of one food under which a line without a number holds more than one.
    single: f64,
}

/// Figures by name.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
struct Named(Keys<f64>);

impl Named {
    fn of(pairs: &Pairs<f64>) -> Named {
        let mut all: Vec<(u64, f64)> = pairs.0.iter().map(|(name, x)| (hash(name.as_bytes()), *x)).collect();
        all.sort_by_key(|(name, _)| *name);
        Named(Keys::of_sorted(&all))
    }

    fn get(&self, name: &str) -> Option<f64> {
        self.0.get(hash(name.as_bytes())).next()
    }
}

/// The file as written.
#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    measures: Pairs<f64>,
    #[serde(rename = "grams in a millilitre")]
    density: Density,
    liquids: Vec<String>,
    shares: Pairs<f64>,
    typical: Pairs<f64>,
    #[serde(rename = "listed singly from")]
    single: f64,
}

/// Grams in a millilitre of what is in pieces and of what pours.
#[derive(Debug, Clone, Copy, Default, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Density {
    solid: f64,
    liquid: f64,
}

impl Measures {
    /// Reads the YAML text.
    ///
    /// # Errors
    /// A sentence naming the fault: broken YAML, an unknown or doubled key, a figure that is not
    /// above zero, a share above one.
    pub fn load(yaml: &str) -> Result<Measures, String> {
        let read: Written = serde_yaml::from_str(yaml).map_err(|e| format!("measures.yaml: {e}"))?;
        let figures = read.measures.0.iter().chain(&read.shares.0).chain(&read.typical.0);
        if let Some((name, x)) = figures.clone().find(|(_, x)| !(x.is_finite() && *x > 0.0)) {
            return Err(format!("measures.yaml: `{name}` is {x}, not above zero"));
        }
        if let Some((name, x)) = read.shares.0.iter().find(|(_, x)| *x > 1.0) {
            return Err(format!("measures.yaml: the share of `{name}` is {x}, above one"));
        }
        if !(read.density.solid > 0.0 && read.density.liquid > 0.0) {
            return Err("measures.yaml: `grams in a millilitre` is not above zero".to_string());
        }
        if !(read.single.is_finite() && read.single >= 0.0) {
            return Err(format!("measures.yaml: `listed singly from` is {}, below zero", read.single));
        }
        let typical = Named::of(&read.typical);
        if typical.get("anything").is_none() {
            return Err("measures.yaml: `typical` lacks `anything`".to_string());
        }
        Ok(Measures {
            measures: Named::of(&read.measures),
            density: read.density,
            liquids: read.liquids,
            shares: Named::of(&read.shares),
            typical,
            single: read.single,
        })
    }
}

/// Weighs every found thing.
pub fn weigh(found: Vec<Found>, known: &Known) -> Vec<Scrap> {
    let table = &known.measures;
    let scales = Scales { known, table };
    found
        .into_iter()
        .map(|f| {
            let heaviest = f.identities.iter().map(|i| scales.mass(&f.thing, i)).max_by_key(|m| m.typical);
            let mass = heaviest.unwrap_or_else(|| assumed(UNKNOWN_GRAMS, UNKNOWN_GRAMS));
            Scrap { found: f, mass }
        })
        .collect()
}

/// Grams of one of something, or of what is listed of it by the heap, and whether that figure is known or assumed.
#[derive(Debug, Clone, Copy)]
struct One {
    grams: f64,
    known: bool,
    heap: bool,
}

impl One {
    fn known(grams: f64) -> One {
        One { grams, known: true, heap: false }
    }

    fn assumed(grams: f64) -> One {
        One { grams, known: false, heap: false }
    }

    fn heap(grams: f64) -> One {
        One { grams, known: false, heap: true }
    }
}

struct Scales<'a> {
    known: &'a Known,
    table: &'a Measures,
}

impl Scales<'_> {
    fn mass(&self, thing: &Thing, identity: &Identity) -> Mass {
        let stated = stated(thing);
        let item = identity.item.and_then(|id| self.known.item(id));
        let share = identity.part.zip(item).filter(|_| thing.of_whole).and_then(|(part, item)| self.share(item, part));
        if let Some(whole) = stated {
            return share.map_or(whole, |share| assumed(whole.low.grams() * share, whole.high.grams() * share));
        }
        let Some(item) = item else {
            return assumed(UNKNOWN_GRAMS, UNKNOWN_GRAMS);
        };
        let part = identity.part.or(item.usual).filter(|p| self.known.vocabulary().part_name(*p) != "whole");
        let one = self.one(thing, item, identity, part);
        // A bare count, and a count of wholes, is one of the part already.
        let share = share.filter(|_| thing.unit.is_some_and(|unit| !WHOLES.contains(&unit.name)));
        let one = share.map_or(one, |share| One::assumed(one.grams * share));
        match thing.amount {
            Some(a) => {
                let (low, high) = (a.low * one.grams, a.high.unwrap_or(a.low) * one.grams);
                if one.known { counted(low, high) } else { assumed(low, high) }
            }
            None => {
                let grams = one.grams * thing.about.map_or(1.0, |about| self.several(about, thing, one));
                assumed(grams, grams)
            }
        }
    }

    /// The share of its item that a part makes up, the item's own or the table's.
    fn share(&self, item: &Item, part: PartId) -> Option<f64> {
        share_of(item, part).or_else(|| self.table.shares.get(self.known.vocabulary().part_name(part)))
    }

    /// How much more a few or many are than one, or than what is listed without a word of how many: so many of
    /// what was written in the plural, and of anything else twice as much (ours).
    fn several(&self, about: f64, thing: &Thing, one: One) -> f64 {
        let plural = || thing.names.first().is_some_and(|n| is_plural(&n.full));
        if about >= MANY && (one.heap || !plural()) { 2.0 } else { about }
    }

    /// What one of the thing's unit weighs.
    fn one(&self, thing: &Thing, item: &Item, identity: &Identity, part: Option<PartId>) -> One {
        if let Some(each) = thing.each {
            if let Measure::Volume(ml) = each.unit.measure {
                return self.volume(each.unit, each.amount * ml, each.amount, item, identity);
            }
        }
        match thing.unit {
            Some(unit) => match unit.measure {
                Measure::Mass(grams) => One::known(grams),
                Measure::Volume(ml) => self.volume(unit, ml, 1.0, item, identity),
                Measure::Count => self.count(unit.name, item, identity, part),
            },
            None => {
                let counted = thing.amount.is_some() || thing.about.is_some_and(|about| about < MANY);
                self.bare(item, identity, part, counted)
            }
        }
    }

    /// A volume by the item's own portion of it, by another of its portions, or by density.
    fn volume(&self, unit: Unit, ml: f64, amount: f64, item: &Item, identity: &Identity) -> One {
        if let Some(p) = portion(item, unit.name) {
            return One::known(p.grams * amount);
        }
        let other = VOLUMES.iter().find_map(|(name, size)| portion(item, name).map(|p| p.grams / size));
        if let Some(per_ml) = other {
            return One::known(per_ml * ml);
        }
        let pours = self.kinds(identity).any(|k| self.table.liquids.iter().any(|l| l == k));
        let density = if pours { self.table.density.liquid } else { self.table.density.solid };
        One::assumed(density * ml)
    }

    /// A count word: the item's own portion, or the table's.
    fn count(&self, unit: &str, item: &Item, identity: &Identity, part: Option<PartId>) -> One {
        let own =
            portion(item, unit).or_else(|| SAME.iter().find(|(a, _)| *a == unit).and_then(|(_, b)| portion(item, b)));
        if let Some(p) = own {
            // "1 head of cauliflower leaves": what one head has of them.
            let share = part.filter(|_| WHOLES.contains(&unit)).and_then(|part| share_of(item, part)).unwrap_or(1.0);
            return One::known(p.grams * share);
        }
        match self.table.measures.get(unit) {
            // "10 cherry stalks": one of a part weighs no more than all of that part of a whole.
            Some(grams) => One::assumed(self.all_of(unit, item).map_or(grams, |all| grams.min(all))),
            None => self.bare(item, identity, part, true),
        }
    }

    /// What all of a part weighs in one of the item, in grams, if the item says.
    fn all_of(&self, part: &str, item: &Item) -> Option<f64> {
        let part = self.known.vocabulary().part(part)?;
        Some(portion(item, "one")?.grams * share_of(item, part)?)
    }

    /// A bare count, or no number at all: one of the item, or of the part of it that was said.
    fn bare(&self, item: &Item, identity: &Identity, part: Option<PartId>, counted: bool) -> One {
        let one = portion(item, "one").map(|p| One::known(p.grams));
        // "Blueberries", "straw": nobody lists a single one.
        let several = !counted && item.role != Role::Other;
        let one = one.map(|o| if several && o.grams < self.table.single { self.typical(identity) } else { o });
        let Some(part) = part else {
            return one.unwrap_or_else(|| self.typical(identity));
        };
        let name = self.known.vocabulary().part_name(part);
        if let Some(p) = portion(item, name) {
            return One::known(p.grams);
        }
        // "Peelings", "vegetable ends": what is of no one thing is of many.
        let general = self.known.kind_named(&item.name).and_then(|_| portion(item, "handful")).filter(|_| !counted);
        let own = share_of(item, part);
        let share = self.share(item, part).unwrap_or(1.0);
        match (one, self.table.measures.get(name).filter(|_| counted)) {
            (Some(one), _) => match general.filter(|handful| one.grams * share < handful.grams) {
                Some(handful) => One::heap(handful.grams),
                None => One { grams: one.grams * share, known: one.known && own.is_some(), heap: one.heap },
            },
            // "10 mint leaves": the table knows what one of such parts weighs.
            (None, Some(grams)) => One::assumed(grams),
            (None, None) => self.typical(identity),
        }
    }

    fn typical(&self, identity: &Identity) -> One {
        let by_kind = self.kinds(identity).find_map(|k| self.table.typical.get(k));
        let grams = by_kind.or_else(|| self.table.typical.get("anything")).unwrap_or(UNKNOWN_GRAMS);
        One::heap(grams)
    }

    /// The names of the item's kinds, the direct ones first.
    fn kinds(&self, identity: &Identity) -> impl Iterator<Item = &str> {
        let item = identity.item.and_then(|id| self.known.item(id).map(|item| (id, item)));
        let direct = item.map_or(&[][..], |(_, item)| item.is.as_slice());
        let all = item.map_or(&[][..], |(id, _)| self.known.kinds_of(id));
        direct.iter().chain(all).filter_map(|k| self.known.kind(*k)).map(|k| k.name.as_str())
    }
}

/// Household measures that an item may give, and their millilitres.
const VOLUMES: &[(&str, f64)] =
    &[("cup", 236.588), ("tbsp", 14.787), ("tsp", 4.929), ("ml", 1.0), ("l", 1000.0), ("pt", 473.176)];

/// Count words for a whole of what grows.
const WHOLES: &[&str] = &["head", "bulb", "ear"];

/// Count words that mean the same.
const SAME: &[(&str, &str)] = &[
    ("tin", "can"),
    ("pack", "package"),
    ("packet", "package"),
    ("fistful", "handful"),
    ("rib", "stalk"),
    ("rasher", "slice"),
    ("strip", "slice"),
    ("caddy", "bucket"),
    ("pot", "tub"),
];

/// The share of its item's mass that a part makes up, if the item says.
fn share_of(item: &Item, part: PartId) -> Option<f64> {
    item.parts.iter().find(|p| p.part == part)?.share
}

fn portion<'a>(item: &'a Item, measure: &str) -> Option<&'a Portion> {
    item.weighs.iter().find(|p| p.measure == measure)
}

/// The mass that was written: of the whole, or of each of several.
fn stated(thing: &Thing) -> Option<Mass> {
    if let (Some(amount), Some(Unit { measure: Measure::Mass(grams), .. })) = (thing.amount, thing.unit) {
        return Some(exactly(amount, grams));
    }
    let each = thing.each?;
    let Measure::Mass(grams) = each.unit.measure else { return None };
    Some(exactly(thing.amount?, each.amount * grams))
}

fn exactly(amount: Amount, grams: f64) -> Mass {
    let (low, high) = (amount.low * grams, amount.high.unwrap_or(amount.low) * grams);
    Mass { typical: mg((low + high) / 2.0), low: mg(low), high: mg(high), basis: MassBasis::Stated }
}

fn counted(low: f64, high: f64) -> Mass {
    let (from, to) = (low * (1.0 - COUNTED_SPREAD), high * (1.0 + COUNTED_SPREAD));
    Mass { typical: mg((low + high) / 2.0), low: mg(from), high: mg(to), basis: MassBasis::Counted }
}

fn assumed(low: f64, high: f64) -> Mass {
    let (from, to) = (low / ASSUMED_FACTOR, high * ASSUMED_FACTOR);
    Mass { typical: mg((low + high) / 2.0), low: mg(from), high: mg(to), basis: MassBasis::Assumed }
}

/// A scrap always weighs something.
fn mg(grams: f64) -> Mg {
    Mg::from_grams(grams).max(Mg(1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bag;
    use crate::knowledge::entries::Entries;
    use crate::knowledge::{Language, find};

    fn known() -> Known {
        let (mut faults, mut sources) = (crate::fault::Faults::default(), crate::fault::Sources::default());
        let vocabulary = crate::embedded::vocabulary();
        let mut entries = Entries::default();
        let kinds = sources.add("kinds.yaml", crate::embedded::KINDS);
        entries.kinds = crate::knowledge::load::list(kinds, &sources, &mut faults);
        let items = sources.add(
            "items.yaml",
            "- {item: banana, is: [tropical fruit], parts: {peel: {share: 0.36, figures: {water: 88, nitrogen: 1, carbon: 42, source: estimate}}}, weighs: {one: 180, cup: 150}, figures: {water: 75, nitrogen: 0.7, carbon: 44, source: estimate}}\n\
             - {item: avocado, is: [avocado], weighs: {one: 200, peel: 25}, figures: {water: 73, nitrogen: 1.2, carbon: 50, source: estimate}}\n\
             - {item: rice, is: [rice], figures: {water: 68, nitrogen: 1.3, carbon: 44, source: estimate}}\n\
             - {item: grape, is: [berry], parts: {skin: {share: 0.15}}, weighs: {one: 5}, figures: {water: 81, nitrogen: 0.6, carbon: 44, source: estimate}}\n\
             - {item: orange juice, is: [drink], figures: {water: 88, nitrogen: 1.0, carbon: 42, source: estimate}}\n",
        );
        entries.items = crate::knowledge::load::items(items, &sources, &mut faults);
        let measures = Measures::load(crate::embedded::MEASURES).unwrap();
        let known = Known { vocabulary, measures, ..Known::default() }.with(entries, &mut faults);
        assert!(!faults.any_error(), "{faults:?}");
        known
    }

    fn mass(line: &str) -> (f64, f64, f64, MassBasis) {
        let known = known();
        let scraps = weigh(find(&bag::read(line, &known), &known, Some(Language::En)), &known);
        let m = scraps.first().unwrap().mass;
        (m.low.grams(), m.typical.grams(), m.high.grams(), m.basis)
    }

    #[test]
    fn a_written_mass_wins() {
        assert_eq!(mass("500 g banana peel"), (500.0, 500.0, 500.0, MassBasis::Stated));
        assert_eq!(mass("2 x 400 g rice"), (800.0, 800.0, 800.0, MassBasis::Stated));
        assert_eq!(mass("200-300 g rice"), (200.0, 250.0, 300.0, MassBasis::Stated));
    }

    #[test]
    fn a_count_goes_by_one_and_the_share_of_the_part() {
        let (low, typical, high, basis) = mass("3 banana peels");
        assert!((typical - 3.0 * 180.0 * 0.36).abs() < 1e-6, "{typical}");
        assert!((low - typical * 0.8).abs() < 1e-3 && (high - typical * 1.2).abs() < 1e-3);
        assert_eq!(basis, MassBasis::Counted);
        assert_eq!(mass("2 avocado peels").1, 50.0);
        assert_eq!(mass("2-3 bananas"), (288.0, 450.0, 648.0, MassBasis::Counted));
        assert_eq!(mass("2 cups banana").1, 300.0);
        assert!((mass("1 tbsp banana").1 - 9.375).abs() < 0.01);
    }

    #[test]
    fn the_rest_is_assumed_and_says_so() {
        assert_eq!(mass("banana"), (90.0, 180.0, 360.0, MassBasis::Assumed));
        assert_eq!(mass("a handful of rice"), (15.0, 30.0, 60.0, MassBasis::Assumed));
        assert_eq!(mass("rice").1, 100.0);
        // Nobody lists a single grape; one that was counted is one.
        assert_eq!(mass("grapes"), (50.0, 100.0, 200.0, MassBasis::Assumed));
        assert_eq!(mass("a grape").1, 5.0);
        assert_eq!(mass("grape skins").1, 15.0);
        assert_eq!(mass("1 l orange juice").1, 1000.0);
        assert_eq!(mass("1 l rice").1, 500.0);
        assert_eq!(mass("frobnitz"), (50.0, 100.0, 200.0, MassBasis::Assumed));
        assert_eq!(mass("7 frobnitz").1, 100.0);
    }

    #[test]
    fn the_heavier_of_two_alternatives_counts() {
        assert_eq!(mass("banana or avocado").1, 200.0);
    }

    #[test]
    fn the_built_in_table_is_whole() {
        let table: Written = serde_yaml::from_str(crate::embedded::MEASURES).unwrap();
        let grams = Measures::load(crate::embedded::MEASURES).unwrap().measures;
        for word in bag::amount::count_words() {
            assert!(grams.get(word).is_some(), "no grams for `{word}`");
        }
        let known = known();
        for (kind, _) in table.typical.0.iter().filter(|(k, _)| k != "anything") {
            assert!(known.kind_named(kind).is_some(), "no kind `{kind}`");
        }
        assert!(table.liquids.iter().all(|k| known.kind_named(k).is_some()));
        for (part, _) in &table.shares.0 {
            assert!(known.vocabulary().part(part).is_some(), "no part `{part}`");
        }
    }

    #[test]
    fn a_broken_table_is_refused() {
        for text in ["measures: {handful: 0}", "measures: {handful: 1, handful: 2}", "nonsense: 1", "["] {
            assert!(Measures::load(text).is_err(), "{text}");
        }
    }
}
