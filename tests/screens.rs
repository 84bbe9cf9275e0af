//! What people read, screen by screen, over a small book of its own: rules of the base may change
//! without changing a screen. Read a changed snapshot as the person with wet hands before accepting.

use forefeed::Household;
use forefeed::fault::{Faults, Sources};
use forefeed::judge::{Bin, Setting};
use forefeed::knowledge::Known;
use forefeed::language::{self, Side};
use forefeed::report::check::{self, Asked};
use forefeed::report::{Width, explain, faults};
use std::sync::LazyLock;

const BOOK: &str = include_str!("screens/book.rules");

fn today() -> jiff::civil::Date {
    jiff::civil::date(2026, 11, 25)
}

fn open(household: Option<&str>, setting: Setting) -> Household {
    let (base, mut faults, mut sources) = Known::base();
    let mut files = vec![sources.add("rules/base/book.rules", BOOK)];
    files.extend(household.map(|text| sources.add("household.rules", text.to_owned())));
    let written = language::read(&files, &sources, &mut faults);
    let things = language::own_things(&written, &base, &mut faults);
    let known = base.with(things, &mut faults);
    let shown = sources.clone();
    let book = language::check(&written, &known, None, setting.today, sources, &mut faults);
    assert!(!faults.any_error(), "{}", faults::draw(&faults, &shown, 100, false));
    Household { known, book, setting, language: None }
}

/// The household that has no rules of its own; opened once, for opening takes a while unoptimised.
fn home() -> &'static Household {
    static HOME: LazyLock<Household> = LazyLock::new(|| open(None, Setting::on(today())));
    &HOME
}

fn screen(bag: &str) -> String {
    check_as(bag, home(), &Asked { bag: Some("friday.txt".into()), ..Asked::default() })
}

fn check_as(bag: &str, home: &Household, asked: &Asked) -> String {
    let page = check::page(&forefeed::check(bag.as_bytes(), home), home, asked);
    let text = page.to_string();
    let width = asked.width.columns();
    let long: Vec<&str> = text.lines().filter(|l| l.chars().count() > width && !l.contains("://")).collect();
    assert!(long.is_empty(), "wider than {width}: {long:?}");
    text
}

fn explained(words: &str, home: &Household, all: bool) -> String {
    let judgement = forefeed::check(words.as_bytes(), home);
    explain::page(&judgement, home, 0, all, Width(80)).to_string()
}

macro_rules! shown {
    ($name:expr, $text:expr) => {
        insta::with_settings!({ snapshot_path => "snapshots", prepend_module_to_snapshot => false }, {
            insta::assert_snapshot!($name, $text);
        });
    };
}

const FRIDAY: &str = "\
9 clementine skins
cucumber ends
8 egg shells
corn cobs x2
dal with ghee
half a bag of wilted lettuce
4 tea bags
heel of a loaf, mouldy
";

#[test]
fn a_bag_from_the_freezer() {
    shown!("bag", screen(FRIDAY));
}

#[test]
fn a_bag_on_a_narrow_screen() {
    for width in [24, 30, 40, 47, 48, 60, 72, 120] {
        check_as(
            FRIDAY,
            home(),
            &Asked {
                width: Width(width),
                full: true,
                bag: Some("a long name of a file that is kept in a folder.txt".into()),
            },
        );
    }
    shown!("bag_narrow", check_as(FRIDAY, home(), &Asked { width: Width(40), ..Asked::default() }));
}

#[test]
fn a_bag_in_full() {
    shown!("bag_full", check_as(FRIDAY, home(), &Asked { full: true, ..Asked::default() }));
}

#[test]
fn a_ready_bag() {
    shown!("bag_ready", screen("500 g banana peels\n300 g lettuce\n50 g coffee grounds\n"));
}

#[test]
fn everything_stays_out() {
    shown!("bag_none", screen("chicken bones\n200 g butter\n"));
}

#[test]
fn the_careful_side() {
    let home = open(None, Setting { stance: Some(Side::Strict), ..Setting::on(today()) });
    shown!("bag_careful", check_as("2 oranges\n1 kg lettuce\n", &home, &Asked::default()));
}

#[test]
fn unknown_and_unsure_lines_are_asked_about() {
    shown!(
        "bag_unknown",
        screen(
            "500 g lettuce\nflurbwangle\nquorkle\nquorkle in butter\nlettuse\nbutterr\npaper napkins\nlawn clippings\n"
        )
    );
}

#[test]
fn what_a_line_was_read_as_is_shown_with_its_part() {
    let shown = screen("peelings\nstrawbery tops\nlettuse\n").split_whitespace().collect::<Vec<_>>().join(" ");
    for read in ["peelings (read as vegetable peel)", "(read as strawberry top)", "(read as lettuce)"] {
        assert!(shown.contains(read), "{read}: {shown}");
    }
}

#[test]
fn one_scrap_is_answered_in_three_lines() {
    let all: Vec<String> = [
        "orange peel",
        "8 egg shells",
        "chicken bones",
        "banana peels",
        "paper napkin",
        "lawn clippings",
        "flurbwangle",
        "quorkle",
        "whole mango",
        "cardboard",
    ]
    .iter()
    .map(|line| screen(line))
    .collect();
    shown!("lone", all.join("\n"));
}

#[test]
fn too_much_for_a_starter_bin() {
    shown!("too_much", screen("box of melon rinds, 3 kg"));
}

#[test]
fn too_much_in_a_bag() {
    shown!("too_much_bag", screen("3 kg lettuce\n1 kg banana peels\nchicken bones\n"));
}

#[test]
fn the_bin_is_not_ready() {
    let bin = Bin { name: Some("kitchen".into()), temperature_c: Some(2.0), ..Bin::default() };
    let home = open(None, Setting { bin, ..Setting::on(today()) });
    shown!("wait", check_as("banana peels\n2 egg shells\n", &home, &Asked::default()));
}

#[test]
fn nothing_in_the_bag() {
    shown!("empty", [screen(""), screen("# a comment\n\n"), screen("no meat\n0 g sugar\n")].join("\n"));
}

#[test]
fn four_plain_lines_of_why() {
    let home = home();
    let all: Vec<String> =
        ["oranges", "egg shells", "chicken", "dal with ghee", "banana peels", "paper napkin", "flurbwangle", "butterr"]
            .iter()
            .map(|words| explained(words, home, false))
            .collect();
    shown!("explain", all.join("\n"));
}

#[test]
fn why_with_everything() {
    shown!("explain_all", explained("9 clementine skins", home(), true));
}

#[test]
fn a_household_rule_is_named_where_it_decides() {
    let stricter = open(
        Some("rule no-onions\n  about onion\n  keep out\n  because \"They smelled for weeks.\"\n"),
        Setting::on(today()),
    );
    let milder = open(
        Some("\n\nrule our-bones\n  lifts meat for chicken bone\n  because \"Boiled clean and ground.\"\n"),
        Setting::on(today()),
    );
    let amount = open(Some("setting a little = 8 % of the food\n"), Setting::on(today()));
    let text = [
        explained("onion", &stricter, false),
        explained("chicken bones", &milder, false),
        explained("orange", &amount, false),
    ]
    .join("\n");
    shown!("explain_yours", text);
    shown!("explain_yours_all", explained("chicken bones", &milder, true));
}

#[test]
fn faults_are_drawn_with_a_way_out() {
    let text = "rule no-raw\n  about mango\n  needs frozzen\n\nrule x\n  about\tmangoo \u{1b}[31m\u{202e}\n  keep out\n  source nobody\n";
    let (base, mut faults, mut sources) = (Known::base().0, Faults::default(), Sources::default());
    let files = [sources.add("household.rules", text.to_owned())];
    let written = language::read(&files, &sources, &mut faults);
    let shown = sources.clone();
    language::check(&written, &base, None, today(), sources, &mut faults);
    let drawn = faults::draw(&faults, &shown, 80, false);
    assert!(!drawn.chars().any(|c| c != '\n' && c.is_control()) && !drawn.contains('\u{202e}'), "{drawn:?}");
    let closing = faults::nothing_was_checked(&faults, Some(&["forefeed", "check", "friday.txt", "--base-only"]), 80);
    shown!("faults", format!("{drawn}\n{closing}"));
    let coloured = faults::draw(&faults, &shown, 80, true);
    assert_eq!(anstream::adapter::strip_str(&coloured).to_string(), drawn, "colour adds nothing but colour");
}

/// What a person writes who does not know the language yet, and what they are told to write instead.
#[test]
fn a_mistake_in_a_rule_says_what_to_write() {
    let Household { known, book, .. } = home();
    let helps = |text: &str| -> Vec<String> {
        let (mut faults, mut sources) = (Faults::default(), Sources::default());
        let files = [sources.add("household.rules", text.to_owned())];
        let written = language::read(&files, &sources, &mut faults);
        language::own_things(&written, known, &mut faults);
        language::check(&written, known, Some(book.clone()), today(), sources, &mut faults);
        faults.sorted().into_iter().map(|f| f.help.clone().unwrap_or_default()).collect()
    };
    for (text, want) in [
        (
            "rule no onions please\n  about onion\n  keep out\n",
            "the name of a rule is one word: `rule no-onions-please`",
        ),
        ("rule x\n  about onion\n  never\n", "write `keep out`"),
        ("rule x\n  about onion\n  keep out\n  if frozen\n", "write `when`"),
        ("rule x\n  about onion\n  keep out\n  becuase \"no\"\n", "did you mean `because`?"),
        ("rule x\n  about onion\n  keep out\n  because they smell\n", "put it in quotes: \"they smell\""),
        ("rule x\n  replaces a-littel-citrus\n  about citrus\n  welcome\n", "did you mean `citrus-a-little`?"),
        ("rule x\n  about onion\n  welcome\nsettings worms = 900 g\n", "did you mean `setting`?"),
        ("item scrobble\n  is chutney\n", "chutney is a thing; things of its kind say `is sauce`"),
        ("item scrobble\n  is sauce\n  one weighs 200\n", "here I can read a unit such as `g`"),
    ] {
        assert_eq!(helps(text), [want], "{text}");
    }
}

#[test]
fn nothing_raw_reaches_the_screen() {
    let nasty = "3 ora\u{1b}[2Jnges\nle\u{202e}mon \u{9b}31m peel\nchicken\u{7} bones\n\u{200b}butter\u{feff} with \u{1b}]0;title\u{7}\nflurb\u{e0041}wangle\n";
    let rules = "rule nasty\n  about lettuce\n  keep out\n  because \"Bad \u{1b}[31m \u{202e}news\"\n  hazard \"Care \u{1b}[5m\"\n";
    let home = open(Some(rules), Setting::on(today()));
    for width in [24, 40, 80] {
        for full in [false, true] {
            let text = check_as(
                &format!("{nasty}lettuce\n"),
                &home,
                &Asked { width: Width(width), full, bag: Some("\u{1b}[2J.txt".into()) },
            );
            assert_clean(&text);
        }
    }
    for line in nasty.lines() {
        assert_clean(&check_as(line, &home, &Asked::default()));
        assert_clean(&explained(line, &home, true));
    }
}

fn assert_clean(text: &str) {
    let raw = |c: char| c != '\n' && (c.is_control() || ('\u{202a}'..='\u{202e}').contains(&c) || c == '\u{feff}');
    assert!(!text.chars().any(raw), "{text:?}");
}

#[test]
fn colour_changes_no_word() {
    let home = home();
    let page = check::page(&forefeed::check(FRIDAY.as_bytes(), home), home, &Asked::default());
    assert_eq!(anstream::adapter::strip_str(&page.coloured()).to_string(), page.to_string());
    assert!(page.coloured().contains('\u{1b}'));
}
