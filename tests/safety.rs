//! Nothing dangerous slips in: look-alikes, slips of the finger, unknown things; and an ordinary bag
//! asks nothing.

#![allow(clippy::panic, clippy::unwrap_used, clippy::indexing_slicing, missing_docs, reason = "tests")]

use forefeed::judge::{Judge, Judgement, Setting, Verdict};
use forefeed::knowledge::{self, Identified, Rung};
use forefeed::language::Side;
use forefeed::{Household, bag};

fn home() -> Household {
    match forefeed::open(&[], Setting::on(forefeed::judge::examples::DAY)) {
        Ok((home, _)) => home,
        Err(unopened) => panic!("{}", unopened.faults),
    }
}

fn judged(judge: &Judge<'_>, home: &Household, line: &str) -> Judgement {
    let bag = bag::read(line, &home.known);
    let scraps = knowledge::weigh(knowledge::find(&bag, &home.known, None), &home.known);
    judge.conclude_plain(bag, scraps)
}

/// Harmful things, as people write them: none is feed in either stance.
const HARMFUL: &[&str] = &[
    "plastic bag",
    "cling film",
    "tin foil",
    "broken glass",
    "candle stubs",
    "lipstick",
    "old medicine",
    "fruit stickers",
    "dental floss",
    "wet wipes",
    "milk cartons",
    "photo paper",
    "gravel",
    "cat food",
    "french fries",
    "garlic bread",
    "gravy",
    "turkey stuffing",
    "custard",
    "greasy paper",
    "olives",
    "soap",
    "treated wood",
    "dog poo",
    "beef dripping",
    "sour cream",
    "meatloaf",
    "chicken carcass",
    "prawn heads",
    "lard",
    "cheese rinds",
    "butter",
    "mayonnaise",
    "fish bones",
    "sausages",
    "batteries",
    "paint",
    "weed killer",
    "plasters",
    "plastic bottle",
    "shiny magazines",
    "pigs in blankets",
    "human waste",
];

#[test]
fn nothing_harmful_is_feed_in_either_stance() {
    let home = home();
    for stance in [Side::Lenient, Side::Strict] {
        let setting = Setting { stance: Some(stance), ..home.setting.clone() };
        let judge = Judge::new(&home.known, &home.book, &setting);
        let fed: Vec<&str> = HARMFUL
            .iter()
            .copied()
            .filter(|l| judged(&judge, &home, l).judged.iter().any(|j| j.verdict == Verdict::Feed))
            .collect();
        assert!(fed.is_empty(), "{stance:?}: {}", fed.join("; "));
    }
}

/// All texts one edit away: a letter left out, doubled, swapped with the next, or another in its place.
fn neighbours(name: &str) -> Vec<String> {
    let letters: Vec<char> = name.chars().collect();
    let mut out = Vec::new();
    for i in 0..letters.len() {
        let mut cut = letters.clone();
        cut.remove(i);
        out.push(cut.iter().collect());
        if i + 1 < letters.len() && letters[i] != letters[i + 1] {
            let mut swapped = letters.clone();
            swapped.swap(i, i + 1);
            out.push(swapped.iter().collect());
        }
        for letter in 'a'..='z' {
            let mut other = letters.clone();
            if other[i] != letter && other[i] != ' ' {
                other[i] = letter;
                out.push(other.iter().collect());
            }
            let mut more = letters.clone();
            more.insert(i, letter);
            out.push(more.iter().collect());
        }
    }
    out.retain(|t: &String| !t.trim().is_empty());
    out
}

#[test]
fn a_slip_never_turns_keep_out_into_feed() {
    let home = home();
    let judge = Judge::new(&home.known, &home.book, &home.setting);
    let mut slips = 0usize;
    let mut fed = Vec::new();
    for (id, item) in home.known.items() {
        let name = item.name.as_str();
        let itself = judged(&judge, &home, name);
        let read_as_itself = itself.scraps.iter().any(|s| s.found.identities.iter().any(|i| i.item == Some(id)));
        if name.chars().count() < 3 || !read_as_itself || itself.judged.iter().all(|j| j.verdict != Verdict::KeepOut) {
            continue;
        }
        // Every name is tried, and of its neighbours each eleventh, another one for the next name:
        // the whole set takes minutes unoptimised.
        for text in neighbours(name).into_iter().skip(usize::from(id.0) % 11).step_by(11) {
            slips += 1;
            let judgement = judged(&judge, &home, &text);
            for (scrap, verdict) in judgement.scraps.iter().zip(&judgement.judged) {
                let another = scrap.found.identities.iter().all(|i| {
                    i.identified == Identified::Sure
                        && matches!(i.rung, Some(Rung::Exact | Rung::OtherName | Rung::Normalised))
                });
                if verdict.verdict == Verdict::Feed && !another {
                    fed.push(format!(
                        "{name} -> {text}: {:?}",
                        scrap.found.identities.first().map(|i| (i.item.map(|x| home.known.item_name(x)), i.rung))
                    ));
                }
            }
        }
    }
    assert!(slips > 20_000, "only {slips} slips were tried");
    assert!(
        fed.is_empty(),
        "{} of {slips} slips are fed\n{}",
        fed.len(),
        fed.iter().take(60).cloned().collect::<Vec<_>>().join("\n")
    );
}

#[test]
fn what_nobody_knows_is_asked_about() {
    let home = home();
    for line in ["xyzzyplugh", "2 frobnicated quuxes", "grzlbrmpf"] {
        let judgement = forefeed::check(line.as_bytes(), &home);
        assert!(judgement.judged.iter().all(|j| j.verdict == Verdict::Ask), "{line}: {:?}", judgement.judged);
    }
}

/// Plain fruit and vegetables that may be kept out or asked about, each with its reason.
const NOT_PLAIN: &[(&str, &str)] = &[("horseradish", "sharp enough to count as spicy food")];

#[test]
fn plain_fruit_and_vegetables_ask_nothing() {
    let home = home();
    let judge = Judge::new(&home.known, &home.book, &home.setting);
    let kinds: Vec<_> = ["fruit", "vegetable"].iter().filter_map(|k| home.known.kind_named(k)).collect();
    let spicy: Vec<_> = ["spicy food", "pickled food", "prepared food", "salty food"]
        .iter()
        .filter_map(|k| home.known.kind_named(k))
        .collect();
    let mut asked = Vec::new();
    let mut tried = 0;
    for (id, item) in home.known.items() {
        let of = home.known.kinds_of(id);
        if !kinds.iter().any(|k| of.contains(k)) || spicy.iter().any(|k| of.contains(k)) {
            continue;
        }
        if !item.made_of.main.is_empty() || NOT_PLAIN.iter().any(|(n, _)| *n == item.name) {
            continue;
        }
        tried += 1;
        for j in judged(&judge, &home, &item.name).judged {
            if matches!(j.verdict, Verdict::Ask | Verdict::KeepOut) {
                asked.push(format!("{}: {:?}", item.name, j.verdict));
            }
        }
    }
    assert!(tried > 150, "only {tried} were tried");
    assert!(asked.is_empty(), "{}", asked.join("\n"));
}

#[test]
fn an_ordinary_bag_asks_nothing() {
    let home = home();
    let bag = "3 banana peels\napple cores\ncarrot tops\nhalf a bag of wilted lettuce\npotato peelings\ncoffee grounds\n\
               4 tea bags\ncucumber ends\nbroccoli stalk\nmelon rind\na handful of spinach\npear cores\nsquash guts\n\
               celery leaves\nbean pods\nstrawberry tops\nshredded newspaper\ntorn egg carton\nstale bread crust\nmushroom stems\n";
    let judgement = forefeed::check(bag.as_bytes(), &home);
    let asked: Vec<String> = judgement
        .scraps
        .iter()
        .zip(&judgement.judged)
        .filter(|(_, j)| matches!(j.verdict, Verdict::Ask | Verdict::KeepOut))
        .map(|(s, j)| format!("{}: {:?} {:?}", s.found.thing.text, j.verdict, j.findings))
        .collect();
    assert_eq!(judgement.scraps.len(), 20);
    assert!(asked.is_empty(), "{}", asked.join("\n"));
}
