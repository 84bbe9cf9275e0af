//! What the command line promises: how arguments are read, what is printed where, how a run ends,
//! what a household's own files change, and that nothing a file holds reaches a terminal raw.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs,
    reason = "tests"
)]

mod running;

use running::{Home, Ran};
use serde_json::Value;
use std::io::Write;
use std::process::Stdio;

const STREAM: [&str; 4] = ["check", "--per-line", "--format", "jsonl"];

/// Holds that no character that a terminal obeys, or that hides or reorders text, was printed.
#[track_caller]
fn clean(ran: &Ran) {
    let raw = |c: char| {
        (c.is_control() && c != '\n')
            || ('\u{202a}'..='\u{202e}').contains(&c)
            || ('\u{2066}'..='\u{2069}').contains(&c)
            || c == '\u{200f}'
            || c == '\u{feff}'
    };
    assert!(!ran.out.contains(raw) && !ran.err.contains(raw), "{ran:?}");
}

fn verdicts(answer: &Value) -> Vec<&str> {
    answer["scraps"].as_array().unwrap().iter().map(|s| s["verdict"].as_str().unwrap()).collect()
}

fn texts(answer: &Value) -> Vec<&str> {
    answer["lines"].as_array().unwrap().iter().map(|l| l["text"].as_str().unwrap()).collect()
}

// ---- how arguments are read

#[test]
fn files_are_bags_and_a_dash_is_standard_input() {
    let home = Home::new();
    home.file("friday.txt", "apple\nbanana peel");
    home.file("two words.txt", "pear\n");
    assert_eq!(texts(&home.run(&["check", "friday.txt", "--format", "json"]).json()), ["apple", "banana peel"]);
    assert_eq!(texts(&home.run(&["check", "two words.txt", "--format", "json"]).json()), ["pear"]);
    let both = home.feed(&["check", "friday.txt", "-", "two words.txt", "--format", "json"], b"lettuce\r\n");
    assert_eq!(texts(&both.json()), ["apple", "banana peel", "lettuce", "pear"]);
    assert_eq!(texts(&home.feed(&["check", "--format", "json"], b"carrot\n").json()), ["carrot"]);
    home.run(&["check", "-", "-"]).says("`-` stands twice; standard input can be read once\n");
}

#[test]
fn a_file_wins_over_a_thing_of_its_name() {
    let home = Home::new();
    home.file("apple", "pear\n");
    assert_eq!(texts(&home.run(&["check", "apple", "--format", "json"]).json()), ["pear"]);
    home.run(&["check", "apple", "pear"]).says("`pear` is no file; give files, or scraps, not both\n");
}

#[test]
fn words_are_one_line_commas_split_it_and_arguments_with_spaces_are_lines() {
    let home = Home::new();
    let lines = |args: &[&str]| {
        texts(&home.run(&[&["check", "--format", "json"], args].concat()).json())
            .iter()
            .map(|t| t.to_string())
            .collect::<Vec<_>>()
    };
    assert_eq!(lines(&["orange", "peel"]), ["orange peel"]);
    assert_eq!(lines(&["orange", "peel,", "2", "apples"]), ["orange peel", "2 apples"]);
    assert_eq!(lines(&["3 banana peels", "box of melon rinds, 3 kg"]), ["3 banana peels", "box of melon rinds, 3 kg"]);
    assert_eq!(lines(&["1/2", "avocado"]), ["1/2 avocado"]);
}

#[test]
fn what_looks_like_a_path_must_be_a_file() {
    let home = Home::new();
    for path in ["none.txt", "no/such", "./none", "/none/at all"] {
        home.run(&["check", path]).says(&format!("{path}: there is no such file\n"));
    }
    std::fs::create_dir(home.file("x", "").with_file_name("folder")).unwrap();
    home.run(&["check", "folder"]).says("folder is a folder, not a bag; name a file in it\n");
}

#[test]
fn a_lone_line_that_names_nothing_known_is_told() {
    let home = Home::new();
    home.run(&["check", "qzxvwk"]).says("qzxvwk: no file of that name and nothing I know\n");
    home.run(&["explain", "qzxvwk"]).says("qzxvwk: no file of that name and nothing I know\n");
    assert_eq!(home.run(&["check", "qzxvwk", "--format", "json"]).code, Some(2));
    let mixed = home.run(&["check", "qzxvwk,", "apple"]);
    assert_eq!(mixed.code, Some(1), "{mixed:?}");
    assert_eq!(home.feed(&["check", "-"], b"qzxvwk\n").code, Some(1), "a line of a file is asked about");
}

// ---- exit codes

#[test]
fn what_a_slip_could_have_hidden_is_named_before_what_is_merely_as_near() {
    let home = Home::new();
    let line = "choped onoins";
    let answer = home.run(&["check", line, "--format", "json"]).json();
    let others = answer["scraps"][0]["alternatives"].as_array().unwrap();
    let worst = others.iter().find(|a| a["verdict"] == "keep_out").unwrap();
    assert!(others[0]["verdict"] == "feed" && answer["scraps"][0]["verdict"] == "ask", "{answer}");
    let screen = home.run(&["check", line]).out;
    assert!(screen.contains(&format!("onion, {} (KEEP OUT)", worst["item"].as_str().unwrap())), "{screen}");
}

#[test]
fn a_run_ends_as_promised() {
    let home = Home::new();
    let code = |args: &[&str], input: &str| home.feed(args, input.as_bytes()).code;
    assert_eq!(code(&["check", "-"], "500 g lettuce\n"), Some(0));
    assert_eq!(code(&["check", "-"], "chicken bones\n"), Some(1));
    assert_eq!(code(&["check", "-"], "egg shells\n"), Some(1));
    assert_eq!(code(&["check", "--demo"], ""), Some(0));
    assert_eq!(code(&["check", "--demo", "--format", "json"], ""), Some(0));
    assert_eq!(code(&STREAM, "chicken bones\nqzxvwk\n"), Some(0));
    assert_eq!(code(&["explain", "chicken", "bones"], ""), Some(0));
    assert_eq!(code(&["explain", "--all", "banana", "peel"], ""), Some(0));
    for args in [
        &["rules", "list"][..],
        &["rules", "show", "meat"],
        &["items"],
        &["items", "banana"],
        &["sources"],
        &["sources", "citrus"],
        &["--help"],
        &["--version"],
    ] {
        let ran = home.run(args);
        assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""), "{args:?}");
        assert!(ran.out.len() > 10);
    }
    for args in
        [&["rules", "show", "meet"][..], &["rules", "list", "qzxvwk"], &["items", "qzxvwk"], &["sources", "qzxvwk"]]
    {
        let ran = home.run(args);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{args:?}");
        assert!(!ran.err.is_empty());
    }
}

#[test]
fn an_empty_bag_is_no_error_and_says_so() {
    let home = Home::new();
    for bag in ["", "\n\n", "# only a note\n", "\u{feff}"] {
        assert_eq!(home.feed(&["check", "-"], bag.as_bytes()).quietly(0), "NOTHING IN IT: the list is empty.\n");
        let answer = home.check(bag, &[]);
        assert_eq!((&answer["status"], &answer["readiness"]), (&"empty".into(), &Value::Null));
    }
    assert_eq!(home.feed(&["check", "-"], b"no meat\n").quietly(0), "NOTHING IN IT: every line says there is none.\n");
    assert_eq!(home.feed(&STREAM, b"").quietly(0), "");
}

#[test]
fn wrong_arguments_are_told_on_standard_error() {
    let home = Home::new();
    for args in [
        &["check", "--frobnicate"][..],
        &["chekc"],
        &[],
        &["explain"],
        &["check", "--today", "soon"],
        &["check", "--stance", "bold"],
        &["check", "--base-only", "--rules", "x"],
    ] {
        let ran = home.run(args);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{args:?}");
        assert!(ran.err.contains("--help"), "{ran:?}");
    }
    assert!(home.run(&["chekc"]).err.contains("a similar subcommand exists: 'check'"));
    home.run(&["check", "--format", "jsonl", "-"])
        .says("--format jsonl goes with --per-line: one object for each line\n");
    home.run(&["check", "--per-line", "-"]).says("--per-line answers in a stream: add --format jsonl\n");
    home.run(&["check", "--demo", "apple"]).says("--demo brings its own bag; leave the other one out\n");
}

// ---- input that cannot be read

#[test]
fn a_bag_that_is_no_list_is_told_with_its_line() {
    let home = Home::new();
    home.feed(&["check", "-"], b"apple\npe\xffar\n")
        .says("standard input, line 2: this is not UTF-8 text; save the list as UTF-8\n");
    home.feed(&["check", "-"], b"\x7fELF\x02\x01\x01\x00\x00\x00")
        .says("standard input: this is no list; it holds bytes that are not text\n");
    home.feed(&["check", "-"], b"\xff\xfea\x00").says("standard input: this is UTF-16; save it as UTF-8\n");
    let long = [b"apple\n".to_vec(), vec![b'x'; 2_000_000]].concat();
    home.file("long.txt", &long);
    home.run(&["check", "long.txt"])
        .says("long.txt, line 2: longer than 64 KiB; a bag is one thing, or a few, a line\n");
    let large = home.feed(&["check", "-"], &b"apple\n".repeat(800_000));
    assert_eq!((large.code, large.out.as_str()), (Some(2), ""));
    assert!(large.err.contains("a bag of over 4 MiB"), "{}", large.err);
}

#[test]
fn a_rule_file_that_is_no_text_stops_everything() {
    let home = Home::new();
    home.file("bad.rules", b"rule a\n  about apple\n  keep out\xff\n");
    home.run(&["check", "apple", "--rules", "bad.rules"])
        .says("bad.rules, line 3: this is not UTF-8 text; save the file as UTF-8\n");
    home.run(&["check", "apple", "--rules", "none.rules"]).says("none.rules: there is no such file\n");
    let own = home.own("mine.rules", b"\xff\xfer\x00");
    let ran = home.run(&["check", "apple"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""));
    assert!(ran.err.replace('\n', " ").contains("this file is UTF-16; save it as UTF-8"), "{}", ran.err);
    assert_eq!(home.run(&["check", "apple", "--base-only"]).code, Some(0));
    std::fs::remove_file(own).unwrap();
    assert_eq!(home.run(&["check", "apple"]).code, Some(0));
}

#[test]
fn a_household_folder_that_is_named_must_be_there() {
    let home = Home::new();
    let missing = |args: &[&str]| {
        let output = home.command(args).env("FOREFEED_HOME", "gone").output().unwrap();
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    };
    let said = "FOREFEED_HOME names gone, and there is no such folder; make it, or use --base-only\n";
    let (code, err) = missing(&["check", "apple"]);
    assert_eq!((code, err.replace('\n', " ").trim()), (Some(2), said.trim()));
    assert_eq!(missing(&["check", "apple", "--base-only"]), (Some(0), String::new()));
}

#[test]
fn a_broken_item_file_is_told_with_its_place_and_a_way_out() {
    let home = Home::new();
    let told = |text: &str| {
        home.file("own.yaml", text);
        let ran = home.run(&["check", "apple", "--rules", "own.yaml"]);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{text}");
        assert!(ran.err.contains("NOTHING WAS CHECKED"), "{}", ran.err);
        ran.err
    };
    let unknown = told("- item: zorb\n  is: [frut]\n");
    assert!(
        unknown.contains("own.yaml:1:") && unknown.contains("^^^^") && unknown.contains("did you mean `fruit`?"),
        "{unknown}"
    );
    let key = told("- item: zorb\n  is: [fruit]\n  weihgs: {one: 20}\n");
    assert!(
        key.contains("own.yaml:3:3")
            && key.contains("I do not know the key `weihgs`")
            && key.contains("did you mean `weighs`?"),
        "{key}"
    );
    let single = told("- item: zorb\n  is: fruit\n");
    assert!(single.contains("own.yaml:2:7") && single.contains("`is` takes a list"), "{single}");
    let broken = told("- item: zorb\n  is: [fruit\n");
    assert!(broken.contains("own.yaml:"), "{broken}");
}

// ---- broken rules

const BROKEN: &str = "rule no-raw\n  about mango\n  needs frozzen\n\nrule second\n  about mangoo\n  keep out\n\nrule third\n  about apple\n  keep out\n  replaces meet\n";

#[test]
fn a_subject_that_a_bag_would_understand_says_how_to_write_it() {
    let home = Home::new();
    for (subject, help) in [
        ("bananna peel", "did you mean `banana peel`?"),
        ("mouldy bread", "write `about bread`, and below it `when mouldy`"),
        ("unwashed lettuce", "write `about lettuce`, and below it `when not rinsed`"),
        ("flurb wangle", "`forefeed items` lists what I know"),
    ] {
        home.file("own.rules", format!("rule ours\n  about {subject}\n  keep out\n  because \"flies\"\n"));
        let ran = home.run(&["rules", "check", "own.rules"]);
        let said = format!("{}{}", ran.out, ran.err);
        assert!(said.contains(&format!("help: {help}")), "{said}");
    }
}

#[test]
fn all_faults_of_a_file_are_drawn_in_one_run_and_the_file_is_left_alone() {
    let home = Home::new();
    home.file("friday.txt", "apple\n");
    let file = home.file("broken.rules", BROKEN);
    let ran = home.run(&["check", "friday.txt", "--rules", "broken.rules"]);
    let drawn = "\
error: I do not know `frozzen`
 --> broken.rules:3:9
  |
3 |   needs frozzen
  |         ^^^^^^^
  |
  = help: did you mean `frozen`?

error: I do not know `mangoo`
 --> broken.rules:6:9
  |
6 |   about mangoo
  |         ^^^^^^
  |
  = help: did you mean `mango`?

error: there is no rule `meet`
  --> broken.rules:12:12
   |
12 |   replaces meet
   |            ^^^^
   |
   = help: did you mean `meat`?
";
    ran.says(&format!("{drawn}\nNOTHING WAS CHECKED. Mend the 3 places,\n             or this once:  forefeed check friday.txt --base-only\n"));
    assert_eq!(std::fs::read_to_string(file).unwrap(), BROKEN);
    assert_eq!(home.run(&["check", "friday.txt", "--base-only"]).code, Some(0));
    let checked = home.run(&["rules", "check", "broken.rules"]);
    assert_eq!((checked.out.as_str(), checked.code), ("", Some(1)));
    assert_eq!(checked.err, format!("{drawn}\n3 mistakes, 0 warnings.\n"));
}

#[test]
fn every_command_stops_at_a_broken_household() {
    let home = Home::with(BROKEN);
    for args in [
        &["check", "apple"][..],
        &["check", "--demo"],
        &STREAM,
        &["explain", "apple"],
        &["items"],
        &["sources"],
        &["rules", "list"],
        &["rules", "show", "meat"],
    ] {
        let ran = home.run(args);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{args:?}");
        assert!(ran.err.contains("household.rules") && ran.err.contains("NOTHING WAS CHECKED"), "{}", ran.err);
        assert_eq!(home.run(&[args, &["--base-only"]].concat()).code, Some(0), "{args:?}");
    }
}

// ---- pipes and characters

#[test]
fn a_closed_pipe_is_no_error() {
    let home = Home::new();
    let large = "chicken bones and apple cores\n".repeat(3000);
    for args in [
        &STREAM[..],
        &["items", "--format", "json"],
        &["items"],
        &["rules", "list", "--format", "json"],
        &["check", "--demo"],
        &["man"],
        &["--help"],
    ] {
        let mut child =
            home.command(args).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let mut stdin = child.stdin.take().unwrap();
        let large = large.clone();
        let feeding = std::thread::spawn(move || drop(stdin.write_all(large.as_bytes())));
        let output = child.wait_with_output().unwrap();
        feeding.join().unwrap();
        assert_eq!(
            (output.status.code(), String::from_utf8(output.stderr).unwrap()),
            (Some(0), String::new()),
            "{args:?}"
        );
    }
}

const NASTY: &str = "3 ora\u{1b}[2Jnges\nle\u{202e}mon \u{9b}31m peel\nchicken\u{7} bones\n\u{2067}butter\u{feff} with \u{1b}]0;title\u{7}\nqz\u{200f}xvwk\u{8}\u{7f}\nmouldy bread \u{1b}[5m\n";

#[test]
fn no_control_character_of_a_bag_reaches_the_terminal() {
    let home = Home::new();
    home.file("nasty.txt", NASTY);
    for options in [&[][..], &["--full"], &["--format", "json"], &["--per-line", "--format", "jsonl", "--full"]] {
        clean(&home.run(&[&["check", "nasty.txt"], options].concat()));
    }
    for line in NASTY.lines() {
        clean(&home.run(&["check", line]));
        clean(&home.run(&["explain", "--all", line]));
        clean(&home.run(&["explain", "butter", "--bag", line]));
        for command in ["items", "sources"] {
            clean(&home.run(&[command, line]));
        }
        clean(&home.run(&["rules", "show", line]));
        clean(&home.run(&["check", "apple", "--rules", line]));
    }
}

#[test]
fn no_control_character_of_a_rule_file_reaches_the_terminal() {
    let rules = "rule nas\u{1b}[2Jty\n  about let\u{202e}tuce\n  keep out\n  because \"Bad \u{1b}[31m \u{2066}news\"\n";
    let home = Home::with(rules);
    for args in [&["check", "lettuce"][..], &["rules", "check"], &["rules", "list"], &["explain", "lettuce"]] {
        let ran = home.run(args);
        clean(&ran);
        assert!(!ran.err.is_empty(), "{ran:?}");
    }
    let home = Home::with(
        "rule nasty\n  about lettuce\n  keep out\n  because \"Bad \u{202e}news\"\n  hazard \"Care \u{2066}for it\"\n",
    );
    for args in [
        &["check", "lettuce"][..],
        &["check", "lettuce", "--full"],
        &["check", "lettuce", "--format", "json"],
        &["rules", "list"],
        &["rules", "list", "--format", "json"],
        &["rules", "show", "nasty"],
        &["explain", "--all", "lettuce"],
    ] {
        clean(&home.run(args));
    }
}

#[test]
fn colour_is_for_terminals() {
    let home = Home::new();
    let bare = home.run(&["check", "--demo"]).quietly(0);
    for (name, value) in [("NO_COLOR", "1"), ("TERM", "dumb")] {
        let output = home.command(&["check", "--demo"]).env(name, value).output().unwrap();
        assert_eq!(String::from_utf8(output.stdout).unwrap(), bare);
    }
    assert!(!bare.contains('\u{1b}'));
}

#[test]
fn a_screen_keeps_to_its_columns() {
    let home = Home::new();
    for columns in ["30", "47", "60", "80", "100"] {
        for args in [
            &["check", "--demo", "--full"][..],
            &["check", "orange", "peel"],
            &["explain", "--all", "onion"],
            &["items", "banana"],
            &["rules", "show", "meat"],
        ] {
            let output = home.command(args).env("COLUMNS", columns).output().unwrap();
            let text = String::from_utf8(output.stdout).unwrap();
            let most: usize = columns.parse().unwrap();
            let wide: Vec<&str> = text
                .lines()
                .filter(|l| l.chars().count() > most && !l.contains("://") && !l.trim_start().starts_with('['))
                .collect();
            assert!(wide.is_empty(), "{args:?} at {columns}: {wide:?}");
        }
    }
}

// ---- a stream

#[test]
fn every_line_of_a_stream_has_its_object() {
    let home = Home::new();
    let long = "x".repeat(100_000);
    let mut input = b"\xef\xbb\xbf5 clementine skins\r\n\n  \t\r\n# note\n\xff\xfe no\n".to_vec();
    input.extend(format!("{long}\n\u{1f34c} peel\n\0\nchicken bones").bytes());
    let ran = home.feed(&[&STREAM[..], &["-"]].concat(), &input);
    let lines: Vec<Value> = ran.lines();
    assert_eq!((ran.code, ran.err.as_str(), lines.len()), (Some(0), "", 9));
    let numbers: Vec<u64> = lines.iter().map(|l| l["line"].as_u64().unwrap()).collect();
    assert_eq!(numbers, (1..=9).collect::<Vec<_>>());
    assert_eq!(lines[0]["text"], "5 clementine skins");
    let skipped: Vec<&Value> = lines.iter().map(|l| &l["skipped"]).collect();
    assert_eq!(skipped[1..4], ["blank", "blank", "comment"]);
    assert_eq!(lines[4]["error"]["code"], "not_utf8");
    assert_eq!(lines[5]["error"]["code"], "too_long");
    for line in &lines[1..6] {
        assert_eq!(
            (&line["status"], &line["readiness"], line["scraps"].as_array().unwrap().len()),
            (&"empty".into(), &Value::Null, 0)
        );
    }
    assert_eq!((verdicts(&lines[0]), verdicts(&lines[8])), (vec!["limit"], vec!["keep_out"]));
    assert_eq!(lines[8]["status"], "not_ready");
}

#[test]
fn a_stream_runs_through_its_files_and_stops_at_one_that_is_missing() {
    let home = Home::new();
    home.file("a.txt", "apple\n");
    home.file("b.txt", "pear");
    let numbers = |ran: &Ran| ran.lines().iter().map(|l| l["line"].as_u64().unwrap()).collect::<Vec<_>>();
    let both = home.run(&[&STREAM[..], &["a.txt", "b.txt"]].concat());
    assert_eq!((both.code, numbers(&both)), (Some(0), vec![1, 2]));
    let missing = home.run(&[&STREAM[..], &["a.txt", "none.txt"]].concat());
    assert_eq!((missing.code, missing.err.as_str()), (Some(2), "none.txt: there is no such file\n"));
    let typed = home.run(&[&STREAM[..], &["3 apples", "2 pears"]].concat());
    assert_eq!(numbers(&typed), [1, 2]);
}

// ---- a household

#[test]
fn files_of_the_household_and_of_its_area_are_read_and_can_be_left_out() {
    let home = Home::new();
    home.own("a.rules", "rule ours-no-apple\n  about apple\n  keep out\n");
    home.own("area/town.rules", "layer area\n\nrule town-no-pear\n  about pear\n  keep out\n");
    home.own("notes.txt", "not a rule file");
    home.own("things.yaml", "- {item: zorbfruit, is: [citrus]}\n");
    assert_eq!(verdicts(&home.check("apple\npear\nzorbfruit\n", &[])), ["keep_out", "keep_out", "limit"]);
    assert_eq!(verdicts(&home.check("apple\npear\nzorbfruit\n", &["--base-only"])), ["feed", "feed", "ask"]);
    let layers: Vec<String> = home.check("apple\n", &[])["book"]
        .as_array()
        .unwrap()
        .iter()
        .map(|l| l["layer"].as_str().unwrap().to_string())
        .collect();
    assert!(layers.contains(&"household".into()) && layers.contains(&"area".into()) && layers.contains(&"base".into()));
    let named = home.file("more.rules", "rule ours-no-plum\n  about plum\n  keep out\n");
    assert_eq!(verdicts(&home.check("plum\napple\n", &["--rules", named.to_str().unwrap()])), ["keep_out", "keep_out"]);
}

#[test]
fn an_added_rule_changes_the_verdict_and_is_named() {
    let home = Home::new();
    assert_eq!(verdicts(&home.check("onion\n", &[])), ["limit"]);
    home.own(
        "household.rules",
        "# ours\n\nrule no-onions\n  about onion\n  keep out\n  because \"They smelled for weeks.\"\n",
    );
    let answer = home.check("onion\n", &[]);
    assert_eq!(verdicts(&answer), ["keep_out"]);
    let finding = &answer["scraps"][0]["findings"][0];
    assert_eq!(
        (&finding["rule"], &finding["layer"], &finding["at_line"]),
        (&"no-onions".into(), &"household".into(), &3.into())
    );
    assert!(finding["file"].as_str().unwrap().ends_with("household.rules"));
    let text = home.run(&["explain", "onion"]).quietly(0);
    assert!(text.starts_with("ONION: keep it out.\n") && text.contains("They smelled for weeks."), "{text}");
    named(&text, "household.rules", 3, "no-onions");
}

/// Holds that an explanation names a file, a line of it and a rule, wherever its lines were parted.
#[track_caller]
fn named(text: &str, file: &str, line: u32, rule: &str) {
    let whole: String = text.split_whitespace().collect();
    assert!(whole.contains(&format!("{file},line{line}")) && whole.contains(rule), "{text}");
}

#[test]
fn a_rule_in_place_of_another_makes_it_milder() {
    let home = Home::with(
        "rule our-citrus\n  about citrus\n  welcome\n  because \"Ours eat it.\"\n  replaces citrus-a-little\n",
    );
    assert_eq!(verdicts(&home.check("orange peel\n", &[])), ["feed"]);
    assert_eq!(verdicts(&home.check("orange peel\n", &["--base-only"])), ["limit"]);
    let text = home.run(&["explain", "orange", "peel"]).quietly(0);
    named(&text, "household.rules", 1, "our-citrus");
    assert!(text.contains("citrus-a-little"), "{text}");
    let shown = home.run(&["rules", "show", "citrus-a-little"]).quietly(0);
    assert!(shown.contains("our-citrus takes its place"), "{shown}");
}

#[test]
fn a_lifted_hazard_keeps_its_caution() {
    let home = Home::with("\nrule our-bones\n  lifts bones for chicken bone\n  because \"Boiled clean and ground.\"\n");
    let before = home.check("chicken bones\n", &["--base-only"]);
    let after = home.check("chicken bones\n", &[]);
    assert_eq!(verdicts(&before), ["keep_out"]);
    assert_ne!(verdicts(&after), ["keep_out"], "{}", after["scraps"][0]["findings"]);
    let cautions = |answer: &Value| {
        answer["cautions"]
            .as_array()
            .unwrap()
            .iter()
            .map(|c| c["text"].as_str().unwrap().to_string())
            .collect::<Vec<_>>()
    };
    assert!(!cautions(&before).is_empty());
    assert_eq!(cautions(&before), cautions(&after));
    let screen = home.run(&["check", "chicken bones"]).out;
    assert!(screen.contains("\nCARE "), "{screen}");
    let text = home.run(&["explain", "chicken", "bones"]).quietly(0);
    named(&text, "household.rules", 2, "our-bones");
    assert!(text.contains("\nCARE "), "{text}");
    assert_eq!(verdicts(&home.check("fish bones\n", &[])), ["keep_out"]);
}

#[test]
fn an_item_of_its_own_is_known() {
    let home = Home::with("item zorbfruit\n  is citrus\n  also \"zorb\"\n  one weighs 120 g\n");
    assert_eq!(home.run(&["check", "zorbfruit", "--base-only"]).code, Some(2));
    let answer = home.check("2 zorbs\n", &[]);
    assert_eq!((verdicts(&answer), &answer["scraps"][0]["item"]), (vec!["limit"], &"zorbfruit".into()));
    assert_eq!(answer["scraps"][0]["mass_g"], 240.0);
    let text = home.run(&["items", "zorb"]).quietly(0);
    assert!(text.starts_with("ZORBFRUIT\n") && text.contains("household.rules, line 1"), "{text}");
}

#[test]
fn the_side_taken_decides_where_guides_disagree() {
    let home = Home::new();
    for thing in ["orange peel", "onion skins", "garlic"] {
        assert_eq!(verdicts(&home.check(thing, &[])), ["limit"], "{thing}");
        assert_eq!(verdicts(&home.check(thing, &["--stance", "strict"])), ["keep_out"], "{thing}");
        let words: Vec<String> = home.run(&["check", thing]).out.split_whitespace().map(String::from).collect();
        assert!(words.join(" ").contains("guides say never"));
    }
    let own = Home::with("setting stance = strict\n");
    assert_eq!(verdicts(&own.check("orange peel", &[])), ["keep_out"]);
    assert_eq!(verdicts(&own.check("orange peel", &["--stance", "lenient"])), ["limit"]);
}

#[test]
fn a_rule_has_its_days() {
    let home = Home::with("rule summer\n  about apple\n  keep out\n  from 2026-06-01\n  until 2026-08-31\n");
    for (day, verdict) in
        [("2026-05-31", "feed"), ("2026-06-01", "keep_out"), ("2026-08-31", "keep_out"), ("2026-09-01", "feed")]
    {
        assert_eq!(verdicts(&home.check("apple", &["--today", day])), [verdict], "{day}");
    }
}

// ---- commands that explain and list

#[test]
fn a_line_of_a_bag_is_explained_beside_the_rest() {
    let home = Home::new();
    home.file("friday.txt", "9 clementine skins\n500 g lettuce\ndal with ghee\n");
    let text = home.run(&["explain", "clementine", "--bag", "friday.txt"]).quietly(0);
    assert!(text.starts_with("CLEMENTINE SKIN: ") && !text.contains("CARE"), "{text}");
    home.run(&["explain", "pear", "--bag", "friday.txt"]).says("friday.txt: no line of this bag speaks of `pear`\n");
    home.run(&["explain", "pear", "--bag", "none.txt"]).says("none.txt: there is no such file\n");
}

#[test]
fn the_command_that_says_why_can_be_typed_as_it_is_shown() {
    let home = Home::new();
    home.file("friday.txt", "9 clementine skins\n500 g lettuce\ndal with ghee\n");
    for bag in [&["--demo"][..], &["friday.txt"]] {
        let screen = home.run(&[&["check"], bag].concat()).out;
        let command = screen.lines().find_map(|l| l.strip_prefix("WHY ")).unwrap_or_else(|| panic!("{screen}")).trim();
        let words: Vec<&str> = command.split(' ').skip(1).collect();
        assert!(command.starts_with("forefeed explain "), "{command}");
        assert!(home.run(&words).quietly(0).contains(": keep it out."), "{command}");
    }
}

#[test]
fn rules_that_are_well_are_told_so() {
    let home = Home::with("rule no-onions\n  about onion\n  keep out\n  example \"onion\" gives keep out\n");
    assert_eq!(home.run(&["rules", "check"]).quietly(0), "1 rule, nothing wrong.\n");
    let wrong = Home::with("rule no-onions\n  about onion\n  keep out\n  example \"apple\" gives keep out\n");
    let ran = wrong.run(&["rules", "check"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(1), ""));
    assert!(ran.err.contains("household.rules:4:") && ran.err.contains("^^^"), "{}", ran.err);
}

#[test]
fn completions_and_the_manual_page_know_every_command() {
    let home = Home::new();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = home.run(&["completions", shell]).quietly(0);
        assert!(["check", "explain", "per-line", "stance"].iter().all(|w| script.contains(w)), "{shell}");
    }
    let page = home.run(&["man"]).quietly(0);
    for name in [".TH forefeed", "forefeed\\-check", "forefeed\\-explain", "forefeed\\-rules\\-show", "Exit codes"] {
        assert!(page.contains(name), "{name}");
    }
}

#[test]
fn a_mistyped_clause_has_one_message_and_a_way_out() {
    let home = Home::new();
    home.file("own.rules", "rule no-grapes\n  about grapes\n  keepp out\n");
    let ran = home.run(&["check", "apple", "--rules", "own.rules"]);
    assert_eq!((ran.code, ran.err.matches("error:").count()), (Some(2), 1), "{}", ran.err);
    assert!(ran.err.contains("did you mean `keep out`?") && ran.err.contains("own.rules:3:3"), "{}", ran.err);
}

#[test]
fn an_item_of_ones_own_may_hold_another() {
    let home = Home::new();
    home.own(
        "household.rules",
        "item zorb\n  is meat\n  one weighs 200 g\n  like beef\n\nitem zorb stew\n  is prepared food\n  main zorb, carrot\n",
    );
    let shown = home.run(&["check", "zorb stew"]);
    assert!(shown.err.is_empty() && shown.out.starts_with("KEEP OUT"), "{shown:?}");
    home.own("household.rules", "item zorb\n  is meat\n  main zarb\n\nitem zarb\n  is meat\n  main zorb\n");
    let ran = home.run(&["check", "apple"]);
    assert!(ran.code == Some(2) && ran.err.contains("ingredient of itself"), "{}", ran.err);
}

#[test]
fn an_explanation_shows_what_ones_own_rule_changes_in_a_bag() {
    let home = Home::new();
    home.file("friday.txt", "3 onion skins\napple cores\n");
    home.own("household.rules", "rule no-onion\n  about onion\n  keep out\n");
    let shown = home.run(&["explain", "onion", "--bag", "friday.txt"]).quietly(0);
    assert!(shown.contains("THIS BAG     1 line changes: 3 onion skins, now: keep out.\n"), "{shown}");
    assert!(shown.contains("line 1, rule no-onion"), "{shown}");
}
