//! What `rules`, `items` and `sources` show of the book, the knowledge base and the publications,
//! and what the other test files of the command line leave out.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs,
    reason = "tests"
)]

mod running;

use running::Home;
use serde_json::Value;
use std::io::{Read, Write};
use std::process::Stdio;

/// Text as it reads, whatever the line ends.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The rule that decides a scrap.
fn decides(scrap: &Value) -> String {
    scrap["findings"][0]["rule"].as_str().unwrap().to_string()
}

#[test]
fn the_exit_code_is_the_status() {
    let home = Home::new();
    let mut codes = Vec::new();
    for bag in [
        "2 apples",
        "lettuce",
        "banana peel",
        "200 g meat",
        "orange peel",
        "",
        "# nothing\n\n",
        "no meat",
        "coffee grounds\nlettuce\ncarrot tops",
    ] {
        let ran = home.feed(&["check", "-", "--format", "json"], bag.as_bytes());
        let status = ran.json()["status"].as_str().unwrap().to_string();
        let wanted = if status == "ready" || status == "empty" { 0 } else { 1 };
        assert_eq!((ran.code, ran.err.as_str()), (Some(wanted), ""), "{bag}: {status}");
        assert_eq!(home.feed(&["check", "-"], bag.as_bytes()).code, Some(wanted));
        codes.push(status);
    }
    for status in ["ready", "not_ready", "empty"] {
        assert!(codes.iter().any(|s| s == status), "{codes:?}");
    }
    assert_eq!(home.feed(&["check"], b"").quietly(0), "NOTHING IN IT: the list is empty.\n");
}

#[test]
fn rules_are_listed_shown_and_checked() {
    let home = Home::new();
    let all = home.run(&["rules", "list"]).quietly(0);
    assert!(
        all.contains("rules in force")
            && all.contains("none there yet")
            && all.contains(home.folder().to_str().unwrap().rsplit('/').next().unwrap()),
        "{all}"
    );
    home.run(&["rules", "list", "qzxvblorb"]).says("no rule is called, or speaks of, `qzxvblorb`\n");
    home.run(&["rules", "show", "qzxvblorb"])
        .says("there is no rule `qzxvblorb`; `forefeed rules list` names them all\n");
    let good = home.file("good.rules", "# a note\nrule no-lettuce\n  about lettuce   # crisp\n  keep out\n\n# the next\nrule next\n  about carrot\n  keep out\n");
    let rules = good.to_str().unwrap();
    let shown = home.run(&["rules", "show", "no-lettuce", "--rules", rules]).quietly(0);
    assert!(
        shown.contains("  rule no-lettuce\n    about    lettuce   # crisp\n    keep out\n\n")
            || shown.contains("about lettuce   # crisp"),
        "{shown}"
    );
    assert!(!shown.contains("the next") && shown.contains("SOURCES      none named"), "{shown}");
    assert_eq!(
        home.run(&["rules", "show", "no-lettuec", "--rules", rules]).err,
        "there is no rule `no-lettuec`; did you mean `no-lettuce`?\n"
    );
    assert_eq!(home.run(&["rules", "check", rules]).quietly(0), "2 rules, nothing wrong.\n");
    home.file("bad.rules", "rule ours\n  about lettuce\n  keep out\n  example \"lettuce\" gives feed\n");
    let ran = home.run(&["rules", "check", "bad.rules"]);
    assert_eq!((ran.out.as_str(), ran.code), ("", Some(1)));
    assert!(ran.err.contains("bad.rules:4:") && ran.err.ends_with("1 mistake, 0 warnings.\n"), "{}", ran.err);
    assert_eq!(home.run(&["rules", "check", "bad.rules", "--base-only"]).code, Some(2));
}

#[test]
fn a_rule_that_something_overrules_says_by_which_in_which_file_and_line() {
    let home = Home::new();
    let replaced = decides(&home.scrap("beef", &[]));
    home.own(
        "area/town.rules",
        "layer area\nitem zorbfruit\n  is fruit\n  like apple\nrule zorb-hazard\n  about zorbfruit\n  hazard \"Zorb sap burns.\"\n  keep out\n",
    );
    home.own("household.rules", format!("rule our-beef\n  about beef\n  replaces {replaced}\n  needs frozen\nrule our-zorb\n  lifts zorb-hazard for zorbfruit\nrule old\n  about lettuce\n  keep out\n  until 2020-01-01\n"));
    let shown = flat(&home.run(&["rules", "show", &replaced]).quietly(0));
    assert!(
        shown.contains("IN FORCE no: our-beef takes its place") && shown.contains("household.rules, line 1"),
        "{shown}"
    );
    let shown = flat(&home.run(&["rules", "show", "zorb-hazard"]).quietly(0));
    assert!(
        shown.contains("BUT NOT for zorbfruit: our-zorb lifts it")
            && shown.contains("household.rules, line 5")
            && shown.contains("its caution still prints"),
        "{shown}"
    );
    let all = home.run(&["rules", "list"]).quietly(0);
    assert!(
        all.contains("\nYOUR TOWN'S: ")
            && all.contains("\nYOURS: ")
            && all.lines().all(|l| l.chars().count() <= 80 || l.contains('/')),
        "{all}"
    );
    let all = flat(&all);
    assert!(
        all.contains("1 your town's and 2 yours")
            && all.contains("takes the place of")
            && all.contains("lifts zorb-hazard for zorbfruit"),
        "{all}"
    );
    assert!(
        all.contains("NOT IN FORCE")
            && all.contains("old (until 2020-01-01)")
            && all.contains(&format!("{replaced} (our-beef takes its place")),
        "{all}"
    );
}

#[test]
fn things_and_publications_are_looked_up() {
    let home = Home::new();
    let all = home.run(&["items"]).quietly(0);
    assert!(all.contains("things known") && all.contains("banana") && all.lines().all(|l| l.chars().count() <= 80));
    let citrus = home.run(&["items", "citrus"]).quietly(0);
    assert!(citrus.starts_with("CITRUS: ") && citrus.contains("lemon") && !citrus.contains("banana"), "{citrus}");
    let banana = home.run(&["items", "bananas"]).quietly(0);
    assert!(
        banana.starts_with("BANANA\n")
            && banana.contains("WEIGHS")
            && banana.contains("FROM")
            && banana.contains("fruit"),
        "{banana}"
    );
    assert_eq!(home.run(&["items", "bananna", "--format", "json"]).code, Some(2));
    assert!(home.run(&["items", "qzxvblorb"]).err.starts_with("I know no thing and no kind called `qzxvblorb`"));
    let only = home.run(&["items", "banana", "--format", "json"]).json();
    assert_eq!((only["items"].as_array().unwrap().len(), only["items"][0]["item"].as_str()), (1, Some("banana")));

    let publications = home.run(&["sources", "--format", "json"]).json();
    let id = publications["publications"][0]["id"].as_str().unwrap();
    assert!(home.run(&["sources"]).quietly(0).contains(id));
    assert!(home.run(&["sources", id]).quietly(0).starts_with(&format!("{id}\n")));
    let meat = home.run(&["sources", "beef"]).quietly(0);
    assert!(
        meat.starts_with("BEEF: ")
            && meat.contains("NEVER")
            && meat.contains("BOOK         keep it out")
            && meat.contains("RULES"),
        "{meat}"
    );
    home.run(&["sources", "qzxvblorb"]).says("I know no thing, no publication and no publisher called `qzxvblorb`\n");
}

#[test]
fn publishers_are_counted_by_what_they_say_of_the_thing_itself() {
    let home = Home::new();
    let of = |asked: &str| {
        flat(&home.run(&[&["sources"], asked.split(' ').collect::<Vec<_>>().as_slice()].concat()).quietly(0))
    };
    let holds = |asked: &str, told: &[&str]| {
        let text = of(asked);
        assert!(told.iter().all(|t| text.contains(t)), "{asked}: {told:?}\n{text}");
        text
    };
    // Six avoid onions by name; those who feed "vegetable scraps" say nothing of onions.
    let onion = holds("onion", &["ONION: 8 publishers are divided: 6 never, 2 feed it.", "AT LARGE vegetable: all "]);
    assert!(!onion.contains("vegetable scraps"), "{onion}");
    // A part, another name: the thing's, else its nearest kind's that anybody speaks of.
    let citrus = of("citrus");
    let counts = citrus.split_once(": ").and_then(|(_, rest)| rest.split_once('.')).map_or("", |(counts, _)| counts);
    holds("orange peel", &[&format!("ORANGE PEEL: {counts}."), "COUNTED what they say of citrus", "BOOK a little"]);
    // A state: only what is said of the thing in that state; and what is said of any food in it.
    holds(
        "mouldy bread",
        &[
            "MOULDY BREAD: one publisher alone: 1 a little.",
            "AT LARGE any food: ",
            "BOOK a little",
            "mouldy: mouldy-fruit",
        ],
    );
    assert!(!holds("bread", &["BREAD: "]).contains("mould may upset"));
    assert!(!of("pineapple").contains("mouldy fruit"));
    holds("mouldy food", &["MOULDY FOOD: 3 publishers are divided: 1 a little, 2 feed it.", "mouldy-food"]);
    // Whoever feeds bread says nothing of mouldy bread by that.
    let why = |asked: &str| flat(&home.run(&["explain", asked]).quietly(0));
    assert!(why("mouldy bread").contains("WHO SAYS 1 a little (publishers)."), "{}", why("mouldy bread"));
    assert!(why("rotten apples").contains("WHO SAYS 1 feeds it (publishers)."), "{}", why("rotten apples"));
    assert!(why("salted potatoes").contains(" publishers behind the rule."), "{}", why("salted potatoes"));
    let said = home.run(&["sources", "mouldy", "bread", "--format", "json"]).json();
    let all = said["statements"].as_array().unwrap();
    assert!(all.len() > 2 && all.iter().all(|s| s["states"].as_array().unwrap().contains(&"mouldy".into())), "{said}");
}

#[test]
fn what_a_thing_is_made_of_brings_its_rules() {
    let home = Home::with(
        "item zorb stew\n  is prepared food\n  main lettuce\n  like apple\nrule ours\n  about lettuce\n  keep out\nrule mostly\n  about lettuce\n  when mouldy\n  keep out\n",
    );
    for args in [&["items", "zorb stew"][..], &["sources", "zorb stew"]] {
        let text = flat(&home.run(args).quietly(0));
        assert!(text.contains("ours: lettuce: keep it out [yours, ") && text.contains(", mostly"), "{text}");
    }
    assert!(home.run(&["rules", "list", "zorb", "stew"]).quietly(0).contains("ours"));
    assert!(
        flat(&home.run(&["rules", "list", "mouldy"]).quietly(0)).contains("mostly lettuce, when mouldy: keep it out")
    );
}

#[test]
fn whoever_feeds_a_stream_a_line_and_waits_gets_its_answer() {
    let home = Home::new();
    let mut child = home
        .command(&["check", "--per-line", "--format", "jsonl"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let (mut to, mut from) = (child.stdin.take().unwrap(), child.stdout.take().unwrap());
    for line in ["apple\n", "pear\n"] {
        to.write_all(line.as_bytes()).unwrap();
        to.flush().unwrap();
        let mut answer = Vec::new();
        while answer.last() != Some(&b'\n') {
            let mut byte = [0];
            from.read_exact(&mut byte).unwrap();
            answer.extend(byte);
        }
        assert!(answer.starts_with(b"{\"schema\":\"forefeed/line/1\""));
    }
    drop(to);
    assert!(child.wait().unwrap().success());
}
