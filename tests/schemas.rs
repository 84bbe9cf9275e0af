//! Holds what programs read against `grammar/*.schema.json`, with an independent validator.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs,
    reason = "tests"
)]

mod running;

use jsonschema::Validator;
use running::Home;
use serde_json::{Value, json};

const SCHEMAS: [(&str, &str); 5] = [
    ("line", include_str!("../grammar/line.schema.json")),
    ("check", include_str!("../grammar/check.schema.json")),
    ("rules", include_str!("../grammar/rules.schema.json")),
    ("items", include_str!("../grammar/items.schema.json")),
    ("sources", include_str!("../grammar/sources.schema.json")),
];

fn schema(name: &str) -> Value {
    let (_, text) = SCHEMAS.iter().find(|(n, _)| *n == name).unwrap();
    serde_json::from_str(text).unwrap()
}

fn validator(schema: &Value) -> Validator {
    assert!(jsonschema::meta::is_valid(schema));
    jsonschema::draft202012::options().should_validate_formats(true).build(schema).unwrap()
}

#[track_caller]
fn hold(validator: &Validator, value: &Value) {
    let wrong: Vec<String> =
        validator.iter_errors(value).take(5).map(|e| format!("{}: {e}", e.instance_path)).collect();
    let shown: String = value.to_string().chars().take(600).collect();
    assert!(wrong.is_empty(), "{}\n{shown}", wrong.join("\n"));
}

/// Rules with every kind of demand and condition, so that every shape is printed.
const RULES: &str = r#"
kind gnat-magnet = pineapple, mango
item zorbfruit
  is fruit
  also "zorb, ripe"
  one weighs 120 g
  like apple
setting a little = 8 %
rule ours-out
  about zorbfruit
  when  cooked and (fat above 5 % or not frozen) and not bin is indoors
  keep out
  because "Never \"again\"."
  advise  "Give it away."
  caution "Stains."
rule ours-needs
  about gnat-magnet except "mango" or zorbfruit
  needs frozen or chopped
  better chopped
  from 2020-01-01
  until 2099-12-31
rule ours-asks
  about zorbfruit
  when  fed fruit in the last 7 days or temperature above 30 C or date after 2030-01-01 or smells sour
  ask "Was it sprayed?" yes: keep out no: needs rinsed
rule ours-limits
  about zorbfruit
  allow up to 80 g per square metre
rule ours-weekly
  about fruit
  allow up to 2 kg per week
rule ours-per-worms
  about any food
  allow up to 900 g per kg of worms
rule ours-disputed
  about zorbfruit
  strict keep out
  lenient allow a little
  common practice
  example "zorbfruit" in a bag of 2 kg indoors, 2026-07-01 gives ask
rule ours-mix
  about the bag
  have moisture 70 % to 80 %, aim 75 %
rule ours-wait
  about the bag
  wait until not too wet
answer ours-asks for zorbfruit = no
"#;

const NASTY: &[u8] = b"5 clementine skins\n\n   \n# note\n\xff\xfe broken\n1 1/2 cups plus 2 tablespoons oatmeal\n\
    3-4 banana peels (frozen)\n1 28-ounce can tomatoes\nsalt and pepper\nsalad, no dressing\n0 g sugar\nno meat\n\
    orange or beef or rubber\nqzxv blorb\npizza crust with cheese\nbroccoli\x1b[2J\x00\x7f\xc2\x9b\n\
    1e999 kg beans\n-5 eggs\n99999999999999999999999 kg rice\n0.0000001 g basil\n\xf0\x9f\x8d\x8c peel\n  \xe2\x80\xae evil\n\
    zorbfruit, fried\nfrozen not frozen zorbfruit\n\"\\\"{}[],:\nhalf\nor\nand\nwith\n1/0 eggs\n\t\r\nun poco de arroz\nlast line without end";

#[test]
fn every_schema_is_itself_sound_and_shares_its_parts() {
    for (name, _) in SCHEMAS {
        let schema = schema(name);
        validator(&schema);
        assert_eq!(schema["properties"]["schema"]["const"], json!(format!("forefeed/{name}/1")));
    }
    let (line, check) = (schema("line"), schema("check"));
    for part in ["verdict", "scrap", "error"] {
        assert_eq!(line["$defs"][part], check["$defs"][part], "{part}");
    }
    assert_eq!(line["$defs"]["finding"]["properties"], check["$defs"]["finding"]["properties"]);
}

#[test]
fn a_wrong_answer_would_be_noticed() {
    let home = Home::new();
    let good = home.check("orange peel\n", &[]);
    let check = validator(&schema("check"));
    for path in ["/status", "/scraps/0/item", "/scraps/0/verdict", "/bag/moisture", "/bin/assumed", "/book/0/rules"] {
        let mut bad = good.clone();
        *bad.pointer_mut(path).unwrap() = json!({"no": "such"});
        assert!(!check.is_valid(&bad), "{path}");
        let (parent, key) = path.rsplit_once('/').unwrap();
        let mut bad = good.clone();
        bad.pointer_mut(parent).unwrap().as_object_mut().unwrap().remove(key);
        assert!(!check.is_valid(&bad), "{path} left out");
    }
}

#[test]
fn a_bag_is_answered_to_the_key() {
    let home = Home::with(RULES);
    let check = validator(&schema("check"));
    let text: String = String::from_utf8_lossy(NASTY).replace(['\0', '\u{fffd}'], "?");
    for options in [&[][..], &["--base-only"], &["--stance", "strict"], &["--full"], &["--today", "2031-05-05"]] {
        hold(&check, &home.check(&text, options));
        hold(&check, &home.check("", options));
        hold(&check, &home.run(&[&["check", "--demo", "--format", "json"], options].concat()).json());
    }
    for line in text.lines().step_by(3) {
        hold(&check, &home.check(line, &[]));
    }
}

#[test]
fn a_stream_is_answered_to_the_key() {
    let home = Home::with(RULES);
    let line = validator(&schema("line"));
    let mut input = NASTY.to_vec();
    input.push(b'\n');
    input.extend(vec![b'x'; 100_000]);
    for options in [&[][..], &["--base-only"], &["--stance", "strict"]] {
        let lean = home.feed(&[&["check", "--per-line", "--format", "jsonl", "-"], options].concat(), &input);
        assert_eq!((lean.code, lean.err.as_str()), (Some(0), ""));
        let lean = lean.lines();
        assert_eq!(lean.len(), input.split(|b| *b == b'\n').count());
        lean.iter().for_each(|object| hold(&line, object));
        let texts = |object: &Value| {
            object["scraps"]
                .as_array()
                .unwrap()
                .iter()
                .flat_map(|s| [&s["findings"], &s["notes"]])
                .flat_map(|f| f.as_array().unwrap().clone())
                .collect::<Vec<_>>()
        };
        assert!(
            lean.iter()
                .flat_map(texts)
                .all(|f| f.get("because").is_none() && f.get("advice").is_none() && f.get("caution").is_none())
        );
        let full =
            home.feed(&[&["check", "--per-line", "--format", "jsonl", "--full"], options].concat(), &input).lines();
        full.iter().for_each(|object| hold(&line, object));
        let findings: Vec<Value> = full.iter().flat_map(texts).collect();
        assert!(
            !findings.is_empty()
                && findings.iter().all(|f| ["because", "advice", "caution"].iter().all(|key| f.get(key).is_some()))
        );
    }
}

#[test]
fn rules_items_and_sources_are_answered_to_the_key() {
    let home = Home::with(RULES);
    let rules = schema("rules");
    let one = json!({"$schema": rules["$schema"], "$ref": "#/$defs/one", "$defs": rules["$defs"]});
    let (rules, one) = (validator(&rules), validator(&one));
    let (items, sources) = (validator(&schema("items")), validator(&schema("sources")));
    for options in [&[][..], &["--base-only"]] {
        let run = |args: &[&str]| home.run(&[args, &["--format", "json"], options].concat()).json();
        let all = run(&["rules", "list"]);
        hold(&rules, &all);
        for rule in all["rules"].as_array().unwrap().iter().step_by(23) {
            let shown = run(&["rules", "show", rule["rule"].as_str().unwrap()]);
            hold(&one, &shown);
            assert_eq!(shown["rule"], *rule);
        }
        hold(&rules, &run(&["rules", "list", "fruit"]));
        hold(&items, &run(&["items"]));
        hold(&items, &run(&["items", "citrus"]));
        hold(&sources, &run(&["sources"]));
        hold(&sources, &run(&["sources", "citrus"]));
    }
}

#[test]
fn what_is_said_by_the_rules_and_items_is_complete_enough_to_follow() {
    let home = Home::with(RULES);
    let run = |args: &[&str]| home.run(args).json();
    let (rules, items) = (run(&["rules", "list", "--format", "json"]), run(&["items", "--format", "json"]));
    let names = |list: &Value, key: &str| -> Vec<String> {
        list.as_array().unwrap().iter().map(|x| x[key].as_str().unwrap().to_string()).collect()
    };
    let (kinds, states, things) =
        (names(&rules["kinds"], "kind"), names(&rules["states"], "state"), names(&items["items"], "item"));
    let rule_names = names(&rules["rules"], "rule");
    fn walk(value: &Value, see: &mut dyn FnMut(&str, &Value)) {
        match value {
            Value::Object(map) => map.iter().for_each(|(key, v)| {
                see(key, v);
                walk(v, see);
            }),
            Value::Array(list) => list.iter().for_each(|v| walk(v, see)),
            _ => {}
        }
    }
    for rule in rules["rules"].as_array().unwrap() {
        let mut trees =
            vec![&rule["about"], &rule["when"], &rule["demands"], &rule["strict"], &rule["lenient"], &rule["lifts"]];
        trees.extend([&rule["lifted_by"]]);
        for tree in trees {
            walk(tree, &mut |key, v| {
                let known = match (key, v.as_str()) {
                    ("kind", Some(k)) => kinds.iter().any(|n| n == k),
                    ("item", Some(i)) => things.iter().any(|n| n == i),
                    ("state", Some(s)) => states.iter().any(|n| n == s),
                    ("rule", Some(r)) => rule_names.iter().any(|n| n == r),
                    _ => true,
                };
                assert!(known, "{}: {key} {v}", rule["rule"]);
            });
        }
    }
    for kind in rules["kinds"].as_array().unwrap() {
        assert!(
            kind["broader"].as_array().unwrap().iter().all(|b| kinds.iter().any(|k| Some(k.as_str()) == b.as_str()))
        );
    }
    for item in items["items"].as_array().unwrap() {
        assert!(item["is"].as_array().unwrap().iter().all(|b| kinds.iter().any(|k| Some(k.as_str()) == b.as_str())));
    }
}
