//! The base book holds: no file of it has a fault, every rule has its examples, and they come true.

use forefeed::fault::Severity;
use forefeed::judge::{self, Judge, Setting};
use forefeed::language::Book;
use std::collections::BTreeSet;

fn home() -> forefeed::Household {
    let setting = Setting { today: judge::examples::DAY, ..Setting::default() };
    match forefeed::open(&[], setting) {
        Ok((home, faults)) => {
            let warned: Vec<String> = faults.iter().map(|f| format!("{}: {}", home.book.sources.name(f.place.file), f.message)).collect();
            assert!(warned.is_empty(), "{}", warned.join("\n"));
            home
        }
        Err(unopened) => {
            let told: Vec<String> = unopened
                .faults
                .iter()
                .map(|f| format!("{} line {}: {} ({:?})", unopened.sources.name(f.place.file), unopened.sources.place(f.place).0, f.message, f.help))
                .collect();
            panic!("{}", told.join("\n"));
        }
    }
}

fn shown(book: &Book, faults: &forefeed::fault::Faults) -> Vec<String> {
    faults
        .iter()
        .map(|f| format!("{} line {}: {} {:?} {:?}", book.sources.name(f.place.file), book.sources.place(f.place).0, f.message, f.saying, f.help))
        .collect()
}

#[test]
fn every_example_comes_true() {
    let home = home();
    let faults = judge::examples::run(&home.known, &home.book);
    let told = shown(&home.book, &faults);
    assert!(told.is_empty(), "{} examples fail\n{}", told.len(), told.join("\n"));
}

#[test]
fn no_rule_is_dead_and_no_two_contradict() {
    let home = home();
    let judge = Judge::new(&home.known, &home.book, &home.setting);
    let told = shown(&home.book, &judge::proofs::run(&home.known, &home.book, &judge));
    assert!(told.is_empty(), "{}", told.join("\n"));
}

#[test]
fn every_item_is_spoken_of() {
    let home = home();
    let gaps: Vec<&str> = judge::proofs::gaps(&home.known, &home.book).into_iter().map(|i| home.known.item_name(i)).collect();
    assert!(gaps.is_empty(), "nothing narrower than `any food` is said of: {}", gaps.join(", "));
}

#[test]
fn there_are_enough_rules_and_each_is_vouched_for() {
    let home = home();
    assert!(home.book.rules.len() >= 120, "{} rules", home.book.rules.len());
    for rule in &home.book.rules {
        assert!(rule.common_practice || !rule.sources.is_empty(), "{} has no source", rule.name);
        let both: BTreeSet<&String> = rule.sources.iter().filter(|s| rule.disputed_by.contains(s)).collect();
        assert!(both.is_empty(), "{} is backed and disputed by {both:?}", rule.name);
    }
}
