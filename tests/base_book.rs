//! The base book holds: no file of it has a fault, every rule has its examples, and they come true.

#![allow(clippy::panic, clippy::unwrap_used, missing_docs, reason = "tests")]

use forefeed::fault::Faults;
use forefeed::judge::{self, Judge, Setting, Verdict};
use forefeed::knowledge::{Known, Role};
use forefeed::language::Book;
use std::collections::{BTreeMap, BTreeSet};

fn home() -> forefeed::Household {
    match forefeed::open(&[], Setting::on(judge::examples::DAY)) {
        Ok((home, faults)) => {
            assert!(faults.is_empty(), "{faults}");
            home
        }
        Err(unopened) => panic!("{}", unopened.faults),
    }
}

fn shown(book: &Book, faults: &Faults) -> Vec<String> {
    let place = |f: &forefeed::fault::Fault| {
        format!("{} line {}", book.sources.name(f.span().file), book.sources.place(f.span()).0)
    };
    faults.sorted().into_iter().map(|f| format!("{}: {} {:?}", place(f), f.message, f.help)).collect()
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
    let gaps: Vec<&str> =
        judge::proofs::gaps(&home.known, &home.book).into_iter().map(|i| home.known.item_name(i)).collect();
    assert!(gaps.is_empty(), "nothing narrower than `any food` is said of: {}", gaps.join(", "));
}

#[test]
fn there_are_enough_rules_and_each_is_vouched_for() {
    let home = home();
    assert!(home.book.count() >= 120, "{} rules", home.book.count());
    for (_, rule) in home.book.iter() {
        assert!(rule.common_practice || !rule.sources().is_empty(), "{} has no source", rule.name);
        let both: BTreeSet<&String> = rule.sources().iter().filter(|s| rule.disputed_by().contains(s)).collect();
        assert!(both.is_empty(), "{} is backed and disputed by {both:?}", rule.name);
    }
}

/// The topics that a household expects of a book, each by a line and its verdicts where guides are
/// taken at their easiest and at their strictest. A line is a bag of its own here.
const TOPICS: &[(&str, &str, Verdict, Verdict)] = &[
    ("meat", "raw mince", Verdict::KeepOut, Verdict::KeepOut),
    ("fish", "fish skin", Verdict::KeepOut, Verdict::KeepOut),
    ("bones", "chicken bones", Verdict::KeepOut, Verdict::KeepOut),
    ("dairy", "yogurt", Verdict::KeepOut, Verdict::KeepOut),
    ("eggs", "boiled egg", Verdict::Limit, Verdict::KeepOut),
    ("oil", "used cooking oil", Verdict::KeepOut, Verdict::KeepOut),
    ("greasy food", "greasy chips", Verdict::KeepOut, Verdict::KeepOut),
    ("citrus", "orange peel", Verdict::Limit, Verdict::KeepOut),
    ("onion", "onion skins", Verdict::Limit, Verdict::KeepOut),
    ("garlic", "garlic cloves", Verdict::Limit, Verdict::KeepOut),
    ("eggshell", "egg shells", Verdict::Prepare, Verdict::Prepare),
    ("coffee", "coffee grounds", Verdict::Feed, Verdict::Feed),
    ("tea", "tea leaves", Verdict::Feed, Verdict::Feed),
    ("plain paper", "newspaper", Verdict::Feed, Verdict::Feed),
    ("glossy paper", "glossy magazine", Verdict::KeepOut, Verdict::KeepOut),
    ("pet waste", "dog poo", Verdict::KeepOut, Verdict::KeepOut),
    ("stickers", "fruit sticker", Verdict::KeepOut, Verdict::KeepOut),
    ("compostable plastic", "compostable cup", Verdict::KeepOut, Verdict::KeepOut),
];

#[test]
fn every_topic_has_its_rule() {
    let home = home();
    for (topic, line, lenient, strict) in TOPICS {
        for (stance, wanted) in
            [(forefeed::language::Side::Lenient, lenient), (forefeed::language::Side::Strict, strict)]
        {
            let mut home = home.clone();
            home.setting.stance = Some(stance);
            let judgement = forefeed::check(line.as_bytes(), &home);
            let got: Vec<Verdict> = judgement.judged.iter().map(|j| j.verdict).collect();
            assert_eq!(got, [*wanted], "{topic}: {line}, {stance:?}");
        }
    }
}

/// Topics that must not come out as plain feed, whatever the stance.
const NEVER_PLAIN: &[&str] = &[
    "crisps",
    "salted nuts",
    "hot chillies",
    "curry paste",
    "gherkins",
    "sauerkraut",
    "sweets",
    "jam",
    "pineapple",
    "papaya",
    "rotten cucumber in oil",
    "leftovers",
    "plate scrapings",
    "weeds gone to seed",
    "blighted tomato plants",
    "sprayed lettuce",
    "lawn clippings",
    "coloured newsprint",
    "till receipts",
    "milk carton",
    "paper napkin with cleaner",
    "hair",
    "dryer lint",
    "wood ash",
    "coal ash",
    "cat litter",
    "bacon fat",
    "vinegar",
    "wine",
];

#[test]
fn what_is_animal_spicy_greasy_sprayed_weedy_or_coated_is_never_plain_feed() {
    let home = home();
    let mut plain = Vec::new();
    for line in NEVER_PLAIN {
        let judgement = forefeed::check(line.as_bytes(), &home);
        if judgement.judged.iter().all(|j| j.verdict == Verdict::Feed) {
            plain.push(*line);
        }
    }
    assert!(plain.is_empty(), "plain feed: {}", plain.join("; "));
}

#[test]
fn in_one_language_a_name_belongs_to_one_item() {
    let (known, _, _) = Known::base();
    let mut owners: BTreeMap<(&str, String), BTreeSet<&str>> = BTreeMap::new();
    for (_, item) in known.items() {
        for name in item.names.iter() {
            owners.entry((name.language.code(), name.text.to_lowercase())).or_default().insert(&item.name);
        }
    }
    let shared: Vec<_> = owners.iter().filter(|(_, items)| items.len() > 1).collect();
    assert!(shared.is_empty(), "{shared:?}");
}

#[test]
fn there_are_enough_things_and_each_says_how_fast_it_goes() {
    let (known, _, _) = Known::base();
    let (mut foods, mut others) = (0, 0);
    let mut bare = Vec::new();
    for (_, item) in known.items() {
        match item.role {
            Role::Food => foods += 1,
            _ => others += 1,
        }
        if item.pace.is_none() {
            bare.push(item.name.as_str());
        }
    }
    assert!(foods >= 550 && others >= 150, "{foods} foods, {others} other things");
    assert!(bare.is_empty(), "{bare:?}");
}
