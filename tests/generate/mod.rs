//! Books, bags and settings made up from a number: the same number, the same book.

#![allow(dead_code, reason = "each test file uses some of it")]

use forefeed::fault::Source;
use forefeed::judge::{Bin, Fed, Setting};
use forefeed::knowledge::Known;
use forefeed::language::{Side, Sign};
use forefeed::{Household, bag::Mg};

/// Splitmix64: a plain run of numbers from a seed.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub(crate) fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }

    /// So many times in a hundred.
    pub(crate) fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    pub(crate) fn pick<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }

    fn perhaps<T>(&mut self, percent: usize, list: &[T]) -> Option<T>
    where
        T: Copy,
    {
        self.chance(percent).then(|| *self.pick(list))
    }
}

/// What a book and its bags draw from.
pub(crate) struct Pool {
    pub(crate) items: Vec<String>,
    kinds: Vec<String>,
    states: Vec<String>,
    preparations: Vec<String>,
    base_rules: Vec<String>,
}

impl Pool {
    /// `few`: only so many items, so that rules and scraps meet.
    pub(crate) fn new(dice: &mut Dice, known: &Known, base_rules: &[String], few: Option<usize>) -> Pool {
        let usable = |n: &str| n.chars().all(|c| c.is_ascii_lowercase() || c == ' ');
        let all: Vec<_> = known.items().filter(|(_, i)| usable(&i.name)).collect();
        let chosen: Vec<_> = match few {
            Some(n) => (0..n).map(|_| *dice.pick(&all)).collect(),
            None => all,
        };
        let kinds = chosen.iter().flat_map(|(id, _)| known.kinds_of(*id));
        let kinds = kinds.filter_map(|k| known.kind(*k)).map(|k| k.name.clone()).collect();
        let v = known.vocabulary();
        let preparation = |s: &forefeed::bag::words::State| s.sort == forefeed::bag::words::Sort::Preparation;
        Pool {
            items: chosen.iter().map(|(_, i)| i.name.clone()).collect(),
            kinds,
            states: v.states().map(|(_, s)| s.name.clone()).collect(),
            preparations: v.states().filter(|(_, s)| preparation(s)).map(|(_, s)| s.name.clone()).collect(),
            base_rules: base_rules.to_vec(),
        }
    }
}

const PARTS: [&str; 8] = ["peel", "skin", "core", "leaf", "stalk", "seed", "whole", "trimmings"];

/// The name of an item, and perhaps a part and states.
fn thing(dice: &mut Dice, pool: &Pool) -> String {
    let mut name = dice.pick(&pool.items).clone();
    if dice.chance(3) {
        return "glorb frobnitz".to_string();
    }
    if dice.chance(6) && name.len() > 4 {
        name.remove(2);
    }
    if dice.chance(25) {
        name = format!("{name} {}", dice.pick(&PARTS));
    }
    for _ in 0..2 {
        if dice.chance(30) {
            let common =
                ["frozen", "chopped", "cooked", "raw", "greasy", "crushed", "salted", "mouldy", "thawed", "sprayed"];
            let state = if dice.chance(60) { dice.pick(&common).to_string() } else { dice.pick(&pool.states).clone() };
            let not = if dice.chance(25) { "not " } else { "" };
            name = format!("{not}{state} {name}");
        }
    }
    name
}

/// A line of a bag. `plain`: one thing with a stated mass.
pub(crate) fn line(dice: &mut Dice, pool: &Pool, plain: bool) -> String {
    let mut text = thing(dice, pool);
    if dice.chance(8) {
        text = format!("{text} with {}", dice.pick(&pool.items));
    } else if dice.chance(4) {
        text = format!("{text} with unobtainium");
    }
    if dice.chance(7) && !plain {
        text = format!("{text} or {}", thing(dice, pool));
    }
    match dice.below(if plain { 1 } else { 6 }) {
        0..=3 => format!("{} g {text}", [5, 20, 50, 120, 333, 500, 1000, 2500][dice.below(8)]),
        4 => format!("{} {text}", 1 + dice.below(4)),
        _ => text,
    }
}

pub(crate) fn bag(dice: &mut Dice, pool: &Pool) -> String {
    let lines = 1 + dice.below(7);
    (0..lines).map(|_| line(dice, pool, false) + "\n").collect()
}

/// What is known of the bin, the day, the stance.
pub(crate) fn setting(dice: &mut Dice, known: &Known) -> Setting {
    let day = |m, d| jiff::civil::date(2026, m, d);
    let today = *dice.pick(&[day(1, 15), day(5, 1), day(7, 1), day(11, 30)]);
    let record = dice.chance(50).then(|| {
        let items: Vec<_> = known.items().map(|(id, _)| id).collect();
        let fed = |dice: &mut Dice| Fed {
            date: today.saturating_sub(jiff::Span::new().days(i64::try_from(dice.below(12)).unwrap() - 1)),
            item: *dice.pick(&items),
            part: None,
            mass: Mg(1000 * (10 + i64::try_from(dice.below(300)).unwrap())),
        };
        (0..dice.below(40)).map(|_| fed(dice)).collect()
    });
    Setting {
        today,
        stance: dice.perhaps(60, &[Side::Strict, Side::Lenient]),
        bin: Bin {
            name: None,
            indoors: dice.perhaps(60, &[true, false]),
            worms: dice.perhaps(50, &[Mg(100_000), Mg(454_000), Mg(1_000_000)]),
            temperature_c: dice.perhaps(60, &[8.0, 20.0, 28.0, 33.0]),
            moisture: dice.perhaps(50, &[0.5, 0.75, 0.9]),
            area_m2: dice.perhaps(50, &[0.1, 0.5]),
            age_days: dice.perhaps(50, &[5.0, 40.0, 400.0]),
            days_since_feeding: dice.perhaps(50, &[0.0, 3.0, 9.0]),
            signs: (0..dice.below(3)).map(|_| Sign(u8::try_from(dice.below(13)).unwrap())).collect(),
            bedding_g: dice.perhaps(40, &[0.0, 100.0, 2000.0]),
        },
        record,
    }
}

fn subject(dice: &mut Dice, pool: &Pool) -> String {
    let term = |dice: &mut Dice| match dice.below(10) {
        0 => "any food".to_string(),
        1 => "any scrap".to_string(),
        2..=5 => format!("\"{}\"", dice.pick(&pool.items)),
        _ => format!("\"{}\"", dice.pick(&pool.kinds)),
    };
    let mut out = term(dice);
    if !out.starts_with("any") && dice.chance(40) {
        out = format!("{out}, \"{}\"", dice.pick(&pool.kinds));
    }
    if dice.chance(30) {
        out = format!("{out} except \"{}\"", dice.pick(&pool.items));
    }
    out
}

fn condition(dice: &mut Dice, pool: &Pool, deep: usize, bin_only: bool) -> String {
    let inner = |dice: &mut Dice| condition(dice, pool, deep - 1, bin_only);
    match dice.below(if deep == 0 { 4 } else { 8 }) {
        5 => return format!("not ({})", inner(dice)),
        6 => return format!("({}) and ({})", inner(dice), inner(dice)),
        7 => return format!("({}) or ({})", inner(dice), inner(dice)),
        _ => {}
    }
    let of_bin = |dice: &mut Dice| {
        let all = [
            "temperature above 25 C",
            "temperature below 10 C",
            "bin is indoors",
            "bin is outdoors",
            "age above 30 days",
            "worms above 300 g",
            "bin moisture above 80 %",
            "days since feeding above 2 days",
            "flies",
            "smells sour",
            "too wet",
            "date after 2026-06-01",
            "date before 2026-06-15",
            "area above 0.2 m2",
        ];
        dice.pick(&all).to_string()
    };
    if bin_only {
        return of_bin(dice);
    }
    match dice.below(10) {
        0..=2 => of_bin(dice),
        3 => format!("it is \"{}\"", dice.pick(&pool.kinds)),
        4 => [
            "fat above 5 % of its mass",
            "moisture above 80 %",
            "salt above 1 %",
            "piece size above 2 cm",
            "sugar at most 3 %",
        ][dice.below(5)]
        .to_string(),
        5 => format!("fed {} in the last {} days", dice.pick(&pool.kinds), 1 + dice.below(9)),
        6..=7 => ["raw", "cooked", "frozen", "greasy", "sprayed", "mouldy", "chopped"][dice.below(7)].to_string(),
        _ => format!("\"{}\"", dice.pick(&pool.states)),
    }
}

/// An amount that a class may give; `loose`: three times as much.
fn amount(dice: &mut Dice, loose: bool) -> String {
    let by = if loose { 3 } else { 1 };
    match dice.below(7) {
        0 => "allow a little".to_string(),
        1..=3 => format!("allow up to {} % of the food", by * [0, 3, 10, 25, 33][dice.below(5)]),
        4 => format!("allow up to {} g per kg of worms", by * [50, 200, 1500][dice.below(3)]),
        5 => format!("allow up to {} g per square metre", by * [80, 700][dice.below(2)]),
        _ => format!(
            "allow up to {} g{}",
            by * [0, 40, 300, 900][dice.below(4)],
            [" per week", " per feeding", ""][dice.below(3)]
        ),
    }
}

fn demand(dice: &mut Dice, pool: &Pool, loose: bool) -> String {
    let preparation = |dice: &mut Dice| dice.pick(&pool.preparations).clone();
    match dice.below(12) {
        0 => "keep out".to_string(),
        1..=2 => format!("needs {}", preparation(dice)),
        3 => format!("needs {} or {}", preparation(dice), preparation(dice)),
        4 => {
            let means = [format!("needs {}", preparation(dice)), amount(dice, loose), "welcome".to_string()];
            let no = ["keep out".to_string(), amount(dice, loose)];
            format!("ask \"Is it so?\" yes: {} no: {}", dice.pick(&means), dice.pick(&no))
        }
        5 => format!("better {}", preparation(dice)),
        6 => "welcome".to_string(),
        7 if dice.chance(40) => format!("wait until {}", condition(dice, pool, 1, true)),
        _ => amount(dice, loose),
    }
}

/// Demands of either stance, strict never milder.
fn demands(dice: &mut Dice, pool: &Pool, loose: bool) -> String {
    match dice.below(8) {
        0 => format!("  strict keep out\n  lenient {}\n", demand(dice, pool, loose)),
        1 => {
            let (a, b) = (dice.pick(&pool.preparations), dice.pick(&pool.preparations));
            format!("  strict needs {a}\n  lenient needs {a} or {b}\n")
        }
        2 => {
            let (a, b) = if loose { (30, 60) } else { (10, 20) };
            format!("  strict allow up to {a} % of the food\n  lenient allow up to {b} % of the food\n")
        }
        3 => format!("  strict {}\n  lenient welcome\n", demand(dice, pool, loose)),
        4 => format!("  needs {}\n  {}\n", dice.pick(&pool.preparations), amount(dice, loose)),
        _ => format!("  {}\n", demand(dice, pool, loose)),
    }
}

/// The files of a household. `loose`: every cap three times as high, the rest the same.
pub(crate) fn book(dice: &mut Dice, pool: &Pool, loose: bool) -> Vec<Source> {
    let mut texts = Vec::new();
    let (mut earlier, mut questions) = (Vec::<String>::new(), Vec::<String>::new());
    for layer in ["area", "household"] {
        let mut text = if layer == "area" { "layer area\n".to_string() } else { String::new() };
        let mut new = Vec::new();
        if layer == "household" {
            if dice.chance(50) {
                let by = if loose { 3 } else { 1 };
                text += &format!(
                    "setting a little = {}\n",
                    [format!("{} % of the food", 8 * by), format!("{} g", 60 * by)][dice.below(2)]
                );
            }
            if dice.chance(30) {
                text += "setting worms = 900 g\n";
            }
            text += &format!(
                "item zorbleflux\n  is \"{}\"\n  one weighs 200 g\n  like \"{}\"\n",
                dice.pick(&pool.kinds),
                dice.pick(&pool.items)
            );
            text += &format!("kind moorlings = \"{}\", \"{}\"\n", dice.pick(&pool.kinds), dice.pick(&pool.items));
        }
        for n in 0..2 + dice.below(4) {
            let name = format!("{layer}-{n}");
            text += &format!("rule {name}\n");
            let base = dice.pick(&pool.base_rules).clone();
            let old = if earlier.is_empty() || dice.chance(50) { base } else { dice.pick(&earlier).clone() };
            if dice.chance(15) {
                let all = dice.chance(20);
                let of = subject(dice, pool);
                text += &if all { format!("  lifts {old}\n") } else { format!("  lifts {old} for {of}\n") };
            } else if dice.chance(10) {
                let window = [
                    "have moisture 65 % to 78 %, aim 70 %",
                    "have C:N 20 to 35, aim 25",
                    "have C:N 15 to 60",
                    "have moisture 60 % to 72 %",
                ];
                text += &format!("  about the bag\n  {}\n", dice.pick(&window));
            } else {
                let of =
                    if layer == "household" && dice.chance(15) { "moorlings".to_string() } else { subject(dice, pool) };
                text += &format!("  about {of}\n");
                if dice.chance(55) {
                    text += &format!("  when {}\n", condition(dice, pool, 2, false));
                }
                if dice.chance(20) {
                    text += &format!("  replaces {old}\n");
                }
                if dice.chance(15) {
                    text += &format!("  hazard \"Mind it.\"\n  {}\n", demand(dice, pool, loose));
                } else {
                    text += &demands(dice, pool, loose);
                }
                if text.rsplit("rule ").next().is_some_and(|r| r.contains("ask ")) {
                    questions.push(name.clone());
                }
            }
            if dice.chance(20) {
                text += ["  from 2026-06-01\n", "  until 2026-06-30\n", "  until 2026-05-01\n"][dice.below(3)];
            }
            text += "  because \"Made up.\"\n";
            new.push(name);
        }
        if layer == "household" {
            for question in &questions {
                for reply in ["yes", "no"] {
                    if dice.chance(50) {
                        text += &format!("answer {question} for \"{}\" = {reply}\n", dice.pick(&pool.items));
                    }
                }
            }
        }
        earlier.extend(new);
        texts.push(Source { name: format!("{layer}.rules").into(), text: text.into() });
    }
    texts
}

/// A household of a made-up book, the pool it was made of; `None` where the book says no to itself.
pub(crate) fn home(seed: u64, loose: bool, base: &Household) -> Option<(Household, Vec<Source>, Pool)> {
    let mut dice = Dice(seed);
    let rules: Vec<String> = base.book.iter().map(|(_, r)| r.name.clone()).collect();
    let mut pool = Pool::new(&mut dice, &base.known, &rules, Some(7));
    let set = setting(&mut dice, &base.known);
    let texts = book(&mut dice, &pool, loose);
    pool.items.push("zorbleflux".to_string());
    let (home, _) = forefeed::open(&texts, set).ok()?;
    Some((home, texts, pool))
}
