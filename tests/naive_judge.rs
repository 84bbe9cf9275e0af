//! The built-in judge against another one, written from the meaning alone: the same verdicts,
//! allowances, findings and readiness over the base book and over made-up books.

#![allow(
    clippy::indexing_slicing,
    clippy::unwrap_used,
    clippy::panic,
    reason = "what is not as expected fails the test"
)]

mod generate;
mod naive;

use forefeed::Household;
use forefeed::judge::Setting;
use forefeed::language::{RuleId, Side};
use forefeed::report::json;
use generate::Dice;
use naive::{Items, Judge, World, answer_of, differences, record_of, scraps_of};
use std::rc::Rc;

fn base() -> Household {
    forefeed::open(&[], Setting::on(jiff::civil::date(2026, 7, 1))).unwrap().0
}

fn rules_of(home: &Household) -> serde_json::Value {
    let all: Vec<RuleId> = home.book.iter().map(|(id, _)| id).collect();
    json::rules(home, &all)
}

fn shared(home: &Household) -> Rc<Items> {
    let kinds = serde_json::from_value::<Vec<_>>(rules_of(home)["kinds"].clone()).unwrap();
    Rc::new(naive::items(json::items(&home.known, None), &kinds))
}

fn world(home: &Household, shared: &Rc<Items>) -> World {
    let new: Vec<_> = home.known.items().filter(|(_, i)| !shared.contains_key(&i.name)).map(|(id, _)| id).collect();
    World::new(rules_of(home), Rc::clone(shared), json::items(&home.known, Some(&new)), record_of(home))
}

/// What the two judges do not agree in about a bag.
fn disagreement(home: &Household, world: &World, bag: &str) -> Option<String> {
    let real = forefeed::check(bag.as_bytes(), home);
    let strict = real.stance == Side::Strict;
    assert_eq!(home.setting.stance.map_or(world.rules.stance == "strict", |s| s == Side::Strict), strict);
    let scraps = scraps_of(&real, home);
    let answer = Judge { world, set: &home.setting, strict }.judge(&scraps);
    let other = answer_of(&real, home);
    let differences = differences(&answer, &other);
    (!differences.is_empty()).then(|| {
        format!("{bag}\n{}\n{:#?}\n{scraps:#?}\n{answer:#?}\n{other:#?}", differences.join("\n"), home.setting)
    })
}

#[test]
fn over_the_base_book_both_judges_agree() {
    let known = base();
    let shared = shared(&known);
    let mut dice = Dice(11);
    let pool = generate::Pool::new(&mut dice, &known.known, &[], None);
    for _ in 0..12 {
        let set = generate::setting(&mut dice, &known.known);
        let (home, _) = forefeed::open(&[], set).unwrap();
        let world = world(&home, &shared);
        for _ in 0..20 {
            let bag = generate::bag(&mut dice, &pool);
            if let Some(why) = disagreement(&home, &world, &bag) {
                panic!("{why}");
            }
        }
    }
}

#[test]
fn over_made_up_books_both_judges_agree() {
    let base = base();
    let shared = shared(&base);
    let (mut books, mut limits) = (0, 0);
    for seed in 0..24 {
        let Some((home, texts, pool)) = generate::home(seed, false, &base) else { continue };
        books += 1;
        let world = world(&home, &shared);
        let mut dice = Dice(seed ^ 0xbad);
        for _ in 0..8 {
            let bag = generate::bag(&mut dice, &pool);
            if let Some(why) = disagreement(&home, &world, &bag) {
                let book: String = texts.iter().map(|t| format!("# {}\n{}", t.name, t.text)).collect();
                panic!("book {seed}\n{book}\n{why}");
            }
            limits +=
                forefeed::check(bag.as_bytes(), &home).judged.iter().filter(|j| j.verdict.key() == "limit").count();
        }
    }
    assert!(books >= 12 && limits >= 10, "{books} books that open, {limits} scraps over a cap");
}
