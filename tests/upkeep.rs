//! What must stay true of the data as it grows: figures that add up, kinds that hang together, and
//! citations that lead somewhere.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop")]

use forefeed::knowledge::entries::FoodRow;
use forefeed::knowledge::{Basis, KindId, Known, Language};
use std::collections::{BTreeMap, BTreeSet};

fn foods() -> Vec<FoodRow> {
    serde_yaml::from_str(include_str!("../rules/composition.yaml")).unwrap()
}

/// Foods whose proximates do not add up to about 100 g, each with its reason.
const NOT_A_HUNDRED: &[(&str, &str)] = &[
    ("02030", "black pepper: the database's own figures; it does not say why"),
    ("02032", "white pepper: the same"),
    ("02050", "vanilla extract: alcohol is none of the five"),
    ("02048", "vinegar: acetic acid is none of the five"),
    ("02053", "vinegar: the same"),
    ("02068", "vinegar: the same"),
    ("02069", "vinegar: the same"),
    ("14003", "beer: alcohol is none of the five"),
    ("14084", "wine: the same"),
    ("15046", "mackerel: water, protein and fat were determined each by itself"),
    ("15179", "smoked salmon: the same"),
    ("18372", "baking soda: what burns off as carbon dioxide is in none of the five"),
];

/// Water + protein + fat + carbohydrate + ash is 100 g in 100 g, since carbohydrate is what the
/// others leave (USDA SR28 documentation); alcohol is taken out of it and has no column here.
#[test]
fn the_proximates_of_a_food_add_up() {
    let mut off = Vec::new();
    for f in foods() {
        let parts = [f.water, f.protein, f.fat, f.carbohydrate, f.ash];
        assert!(parts.iter().all(|x| (0.0..=100.5).contains(x)), "{} {}: {parts:?}", f.ndb, f.food);
        let sum: f64 = parts.iter().sum();
        let known = NOT_A_HUNDRED.iter().any(|(ndb, _)| *ndb == f.ndb);
        if known != ((sum - 100.0).abs() > 2.5) {
            off.push(format!("{} {}: {sum:.2} g", f.ndb, f.food));
        }
        let inside = f.fibre.unwrap_or(0.0).max(f.sugars.unwrap_or(0.0));
        assert!(inside <= f.carbohydrate + 1.0, "{} {}: {inside} g in the carbohydrate", f.ndb, f.food);
        assert!(f.factor.is_none_or(|x| (4.0..=7.0).contains(&x)), "{}: factor {:?}", f.ndb, f.factor);
    }
    assert!(off.is_empty(), "{}", off.join("\n"));
}

#[test]
fn every_things_figures_are_shares_that_can_be() {
    let (known, _, _) = Known::base();
    for (_, item) in known.items() {
        let own = item.parts.iter().filter_map(|p| p.composition.as_ref()).map(|c| c.0);
        for c in own.chain([item.composition.0]) {
            let name = &item.name;
            assert!((0.0..=1.0).contains(&c.water), "{name}: water {}", c.water);
            // Ash holds the carbon of carbonates, so it is left out of the sum.
            assert!(c.carbon >= 0.0 && c.nitrogen >= 0.0, "{name}: {c:?}");
            assert!(c.carbon + c.nitrogen <= 1.001 - c.water, "{name}: {c:?}");
            // Plain hydrocarbon is 86 % carbon of its dry mass; urea 47 % nitrogen.
            assert!(c.carbon <= 0.9 * (1.0 - c.water) + 0.01, "{name}: carbon {}", c.carbon);
            assert!(c.nitrogen <= 0.47 * (1.0 - c.water) + 0.01, "{name}: nitrogen {}", c.nitrogen);
        }
        let shares: f64 = item.includes.iter().map(|(_, share)| share).sum();
        assert!(shares <= 1.0, "{}: it includes {shares} of itself", item.name);
        assert!(item.parts.iter().all(|p| p.share.is_none_or(|s| s > 0.0 && s <= 1.0)), "{}", item.name);
        assert!(item.weighs().iter().all(|w| w.grams > 0.0 && w.grams < 60_000.0), "{}", item.name);
    }
}

#[test]
fn kinds_hang_together() {
    let (known, _, _) = Known::base();
    let mut used: BTreeSet<KindId> = BTreeSet::new();
    known.items().for_each(|(_, i)| used.extend(&i.is));
    known.kinds().for_each(|(_, k)| used.extend(&k.broader));
    let mut roots = 0;
    for (id, kind) in known.kinds() {
        assert!(!kind.means.trim().is_empty(), "{}: no sentence says what belongs in it", kind.name);
        assert!(used.contains(&id), "nothing is in the kind {}", kind.name);
        assert!(kind.broader.iter().all(|b| !known.broader_of(*b).contains(&id)), "{} is in itself", kind.name);
        roots += usize::from(kind.broader.is_empty());
    }
    assert!(roots <= 30, "{roots} kinds have nothing broader");
}

/// Names that are two things, told apart by a space or a plural alone, each with what they are.
const A_SPACE_APART: &[(&str, &str)] = &[
    ("clamshell", "packaging in one word, a shell in two"),
    ("cornflour", "starch in one word, meal in two"),
    ("flapjack", "a British bar of oats; American pancakes in the plural"),
    ("grit", "sand; American porridge in the plural"),
    ("ladyfinger", "a biscuit in one word, okra in two"),
    ("mint", "a herb; candy in the plural"),
    ("porkrind", "skin; a snack in the plural"),
    ("porkskin", "the same"),
    ("rawhide", "a dog's chew in one word, skin in two"),
];

/// Somebody writes "musk melon" and somebody "muskmelon": that is one thing.
#[test]
fn a_space_or_a_plural_makes_no_other_thing() {
    let (known, _, _) = Known::base();
    let mut things: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    for (_, item) in known.items() {
        for name in item.names.iter().filter(|n| n.language == Language::En) {
            let plain: String = name.text.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect();
            let one = plain.strip_suffix("ies").map(|stem| format!("{stem}y"));
            let one = one.unwrap_or_else(|| plain.strip_suffix('s').unwrap_or(&plain).to_string());
            things.entry(one).or_default().insert(&item.name);
        }
    }
    let two: Vec<_> = things.into_iter().filter(|(_, items)| items.len() > 1).collect();
    let apart: Vec<&str> = two.iter().map(|(name, _)| name.as_str()).collect();
    let known: Vec<&str> = A_SPACE_APART.iter().map(|(name, _)| *name).collect();
    assert_eq!(apart, known, "one thing each, or a line in the table: {two:?}");
}

#[test]
fn every_citation_exists_and_every_publication_is_used() {
    let home = forefeed::open(&[], forefeed::judge::Setting::on(forefeed::judge::examples::DAY)).unwrap().0;
    let known = &home.known;
    let mut used: BTreeSet<&str> = known.statements().iter().map(|s| s.source.as_str()).collect();
    for (_, rule) in home.book.iter() {
        used.extend(rule.sources().iter().chain(rule.disputed_by()).map(String::as_str));
    }
    for (_, item) in known.items() {
        let parts = item.parts.iter().filter_map(|p| p.composition.as_ref()).map(|c| &c.1);
        for basis in parts.chain([&item.composition.1]) {
            match basis {
                Basis::Source(id) => _ = used.insert(id),
                // The food database, and the factors that its rows of composition name.
                Basis::Database(_) => used.extend(["sr28", "fao-nitrogen-factors"]),
                _ => {}
            }
        }
    }
    for id in &used {
        assert!(known.publication(id).is_some(), "`{id}` is cited and is no publication");
    }
    let idle: Vec<&str> = known.publications().iter().map(|p| p.id.as_str()).filter(|id| !used.contains(id)).collect();
    assert!(idle.is_empty(), "nothing cites {}", idle.join(", "));
}

/// Our table against the food database itself, row by row to its digits, where the database's table
/// is at hand: FOREFEED_REFERENCE names it. It is said where it is not.
#[test]
fn composition_is_the_databases_to_its_digits() {
    let Some(path) = std::env::var_os("FOREFEED_REFERENCE") else {
        // Past the harness, which would swallow it.
        let mut err = std::io::stderr().lock();
        let _ = std::io::Write::write_all(
            &mut err,
            b"skipped: composition against the food database (FOREFEED_REFERENCE names no table)\n",
        );
        return;
    };
    let mut reader = csv::Reader::from_path(path).unwrap();
    let header = reader.headers().unwrap().clone();
    let at = |name: &str| header.iter().position(|h| h == name).unwrap();
    let rows: std::collections::BTreeMap<String, csv::StringRecord> =
        reader.records().map(|r| r.unwrap()).map(|r| (r.get(at("ndb_no")).unwrap().to_string(), r)).collect();
    let (mut equal, mut wrong) = (0, Vec::new());
    for f in foods() {
        let Some(row) = rows.get(&f.ndb) else {
            wrong.push(format!("{}: not in the table", f.ndb));
            continue;
        };
        let there = |name: &str| row.get(at(name)).unwrap().parse::<f64>().ok();
        let pairs = [
            (Some(f.water), "water_g"),
            (Some(f.protein), "protein_g"),
            (Some(f.fat), "fat_g"),
            (Some(f.carbohydrate), "carbohydrate_g"),
            (f.fibre, "fiber_g"),
            (f.sugars, "sugars_g"),
            (Some(f.ash), "ash_g"),
            (f.sodium, "sodium_mg"),
        ];
        let differ = pairs.iter().filter(|(ours, name)| *ours != there(name)).map(|(_, n)| *n).collect::<Vec<_>>();
        if differ.is_empty() {
            equal += 1;
        } else {
            wrong.push(format!("{} {}: {}", f.ndb, f.food, differ.join(", ")));
        }
    }
    assert!(wrong.is_empty(), "{} rows differ\n{}", wrong.len(), wrong.join("\n"));
    assert!(equal >= 200, "only {equal} rows");
    println!("{equal} rows are the database's to its digits");
}
