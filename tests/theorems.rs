//! What must hold of every book and every bag, as property tests over made-up ones.

#![allow(
    clippy::indexing_slicing,
    clippy::unwrap_used,
    clippy::panic,
    reason = "what is not as expected fails the test"
)]

mod generate;

use forefeed::bag::{Bag, Mg};
use forefeed::fault::Source;
use forefeed::judge::{Deed, Ground, Judge, Judgement, Setting, Status, Verdict};
use forefeed::knowledge::{MassBasis, Scrap};
use forefeed::language::Side;
use forefeed::{Household, check, open};
use generate::{Dice, Pool};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::sync::Arc;
use std::sync::LazyLock;

static BASE: LazyLock<Household> = LazyLock::new(|| open(&[], Setting::on(jiff::civil::date(2026, 7, 1))).unwrap().0);

/// A household of a made-up book, the book, and what it was made of.
type Made = (Household, Vec<Source>, Pool);

/// Opening a book takes far longer than judging a bag: all theorems share a few.
static BOOKS: LazyLock<Vec<Made>> =
    LazyLock::new(|| (0..40).filter_map(|seed| generate::home(seed, false, &BASE)).take(10).collect());

/// The same books with every cap three times as high beside them as they are.
static LOOSER: LazyLock<Vec<(Made, Made)>> = LazyLock::new(|| {
    let pair = |seed| Some((generate::home(seed, false, &BASE)?, generate::home(seed, true, &BASE)?));
    (40..70).filter_map(pair).take(5).collect()
});

fn home(seed: u64) -> &'static Made {
    &BOOKS[seed as usize % BOOKS.len()]
}

fn bag_of(seed: u64, pool: &Pool) -> String {
    generate::bag(&mut Dice(!seed), pool)
}

fn judged(home: &Household, scraps: Vec<Scrap>) -> Judgement {
    Judge::new(&home.known, &home.book, &home.setting).conclude_plain(Bag::default(), scraps)
}

fn shown(texts: &[Source], bag: &str) -> String {
    texts.iter().map(|t| format!("# {}\n{}", t.name, t.text)).chain([bag.to_string()]).collect::<Vec<_>>().join("\n")
}

/// Readiness, 100 where there is nothing to weigh.
fn points(j: &Judgement) -> u32 {
    j.readiness.unwrap_or(100)
}

/// Everything of a judgement that no order may change, by text.
type Facts = (Status, Option<u32>, Vec<(String, Verdict, i64, u32)>, Vec<String>);

fn facts(j: &Judgement) -> Facts {
    let each = j.scraps.iter().zip(&j.judged);
    let points = |n: u32| j.ledger.iter().filter(|l| l.line == Some(n)).map(|l| l.points).sum::<u32>();
    let mut scraps: Vec<_> =
        each.map(|(s, d)| (s.found.thing.text.clone(), d.verdict, d.allowed.0, points(s.found.line))).collect();
    scraps.sort();
    let mut cautions: Vec<String> = j.cautions.iter().map(|c| c.text.clone()).collect();
    cautions.sort();
    (j.status, j.readiness, scraps, cautions)
}

fn bag_findings(j: &Judgement) -> bool {
    j.findings.iter().any(|f| f.ground != Ground::Wait)
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 60,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(2026),
        ..ProptestConfig::default()
    })]

    #[test]
    fn order_of_lines_rules_and_files_does_not_matter(seed: u64) {
        let (home, texts, pool) = home(seed);
        let bag = bag_of(seed, pool);
        let first = facts(&check(bag.as_bytes(), home));
        let mut lines: Vec<&str> = bag.lines().collect();
        lines.reverse();
        prop_assert_eq!(&first, &facts(&check(lines.join("\n").as_bytes(), home)), "{}", shown(texts, &bag));
        let mut turned = texts.clone();
        turned.reverse();
        for text in &mut turned {
            let mut blocks: Vec<String> = Vec::new();
            for line in text.text.lines() {
                match blocks.last_mut().filter(|_| !line.starts_with("rule ") && !line.starts_with("layer ")) {
                    Some(block) => *block += &format!("\n{line}"),
                    None => blocks.push(line.to_string()),
                }
            }
            let from = usize::from(blocks.first().is_some_and(|b| !b.starts_with("rule ")));
            // What follows the last rule is not a rule's.
            let tail = blocks.last_mut().and_then(|b| b.find("\nanswer ").map(|at| b.split_off(at))).unwrap_or_default();
            blocks[from..].reverse();
            text.text = (blocks.join("\n") + &tail + "\n").into();
        }
        if seed % 4 == 0 {
            let turned = open(&turned, home.setting.clone());
            prop_assert!(turned.is_ok(), "{}", shown(texts, &bag));
            prop_assert_eq!(&first, &facts(&check(bag.as_bytes(), &turned.unwrap().0)), "{}", shown(texts, &bag));
        }
    }

    #[test]
    fn splitting_a_line_of_stated_mass_does_not_matter(seed: u64) {
        let (home, texts, pool) = home(seed);
        let mut dice = Dice(!seed);
        let lines: Vec<String> = (0..1 + dice.below(5)).map(|_| generate::line(&mut dice, pool, true)).collect();
        let (grams, rest) = lines[0].split_once(' ').unwrap();
        let a = 1 + dice.below(grams.parse::<usize>().unwrap() - 1);
        let b = grams.parse::<usize>().unwrap() - a;
        let bag = lines.join("\n");
        let split = format!("{a} {rest}\n{b} {rest}\n{}", lines[1..].join("\n"));
        let (one, two) = (check(bag.as_bytes(), home), check(split.as_bytes(), home));
        prop_assume!(one.scraps.iter().filter(|s| s.found.line == 1).count() == 1);
        prop_assert_eq!((one.status, one.readiness), (two.status, two.readiness), "{}", shown(texts, &bag));
        prop_assert_eq!(one.judged[0].verdict, two.judged[0].verdict);
        prop_assert_eq!(two.judged[0].verdict, two.judged[1].verdict);
        let sum = two.judged[0].allowed.0 + two.judged[1].allowed.0;
        prop_assert!((one.judged[0].allowed.0 - sum).abs() <= 2, "{} {sum}\n{}", one.judged[0].allowed.0, shown(texts, &bag));
        for (x, y) in one.judged[1..].iter().zip(&two.judged[2..]) {
            prop_assert!(x.verdict == y.verdict && (x.allowed.0 - y.allowed.0).abs() <= 1, "{}", shown(texts, &bag));
        }
    }

    #[test]
    fn readiness_and_status_mean_the_same(seed: u64) {
        let (home, texts, pool) = home(seed);
        let bag = bag_of(seed, pool);
        let j = check(bag.as_bytes(), home);
        let clean = j.judged.iter().all(|d| d.findings.is_empty()) && !bag_findings(&j);
        if clean {
            prop_assert!(matches!(j.readiness, None | Some(100)), "{}", shown(texts, &bag));
        }
        if j.readiness == Some(100) {
            prop_assert!(matches!(j.status, Status::Ready | Status::Wait), "{}", shown(texts, &bag));
        }
        if j.status == Status::Ready {
            prop_assert!(matches!(j.readiness, None | Some(100)), "{}", shown(texts, &bag));
        }
        let lost: u32 = j.ledger.iter().map(|l| l.points).sum();
        prop_assert_eq!(lost, j.readiness.map_or(0, |r| 100 - r), "{}", shown(texts, &bag));
    }

    #[test]
    fn steps_lead_to_a_ready_bag_and_the_first_ones_never_back(seed: u64) {
        let (home, texts, pool) = home(seed);
        let bag = bag_of(seed, pool);
        let j = check(bag.as_bytes(), home);
        let mut now: Vec<Option<Scrap>> = j.scraps.iter().cloned().map(Some).collect();
        let mut before = points(&j);
        let mut last = None;
        for step in &j.steps {
            prop_assert!(last <= Some(step.deed), "out of order: {:?}\n{}", j.steps, shown(texts, &bag));
            last = Some(step.deed);
            for (n, grams) in &step.scraps {
                match step.deed {
                    Deed::TakeOut | Deed::SetAside => now[*n] = None,
                    Deed::Prepare => {
                        let scrap = now[*n].as_mut().unwrap();
                        for identity in &mut scrap.found.identities {
                            step.states.iter().for_each(|s| {
                                Arc::make_mut(identity).said.yes |= s.bit();
                                Arc::make_mut(identity).said.no &= !s.bit();
                            });
                        }
                        scrap.found.without.extend(step.take_out.iter().copied());
                    }
                    Deed::HoldBack => {
                        let scrap = now[*n].as_mut().unwrap();
                        let left = Mg(scrap.mass.typical.0 - grams.0);
                        (scrap.mass.typical, scrap.mass.low, scrap.mass.high) = (left, scrap.mass.low.min(left), left);
                        scrap.mass.basis = MassBasis::Stated;
                        if left.0 <= 0 {
                            now[*n] = None;
                        }
                    }
                    Deed::Add | Deed::Wait => {}
                }
            }
            let after = points(&judged(home, now.iter().flatten().cloned().collect()));
            if matches!(step.deed, Deed::TakeOut | Deed::SetAside | Deed::HoldBack) {
                prop_assert!(after >= before, "{:?} from {before} to {after}\n{}", step.deed, shown(texts, &bag));
            }
            if step.deed < Deed::Add {
                prop_assert_eq!(step.points, i64::from(after) - i64::from(before), "{:?}\n{}", step, shown(texts, &bag));
            }
            before = after;
        }
        let end = judged(home, now.into_iter().flatten().collect());
        let dead_end = end.judged.iter().any(|d| d.own == Verdict::Prepare);
        let gone = end.judged.iter().all(|d| d.own <= Verdict::Prepare);
        prop_assert!(gone, "{:?}\n{}", end.judged, shown(texts, &bag));
        if !dead_end && !bag_findings(&end) {
            prop_assert!(end.status != Status::NotReady, "{:?}\n{}\n{:#?}", j.steps, shown(texts, &bag), end.judged);
            prop_assert!(matches!(end.readiness, None | Some(100)), "{}", shown(texts, &bag));
        }
    }

    #[test]
    fn looser_caps_lower_no_allowance(seed: u64) {
        let ((tight, texts, pool), (loose, _, _)) = &LOOSER[seed as usize % LOOSER.len()];
        let bag = bag_of(seed, pool);
        let (a, b) = (check(bag.as_bytes(), tight), check(bag.as_bytes(), loose));
        for (x, y) in a.judged.iter().zip(&b.judged) {
            prop_assert!(x.allowed.0 <= y.allowed.0 + 1, "{:?} {:?}\n{}", x.allowed, y.allowed, shown(texts, &bag));
        }
    }

    #[test]
    fn plain_food_beside_lowers_no_allowance(seed: u64) {
        let (home, texts, pool) = home(seed);
        let bag = bag_of(seed, pool);
        let a = check(bag.as_bytes(), home);
        // Food of no class that is capped.
        let plain = (0..40).find_map(|n| {
            let name = home.known.items().nth((seed as usize).wrapping_add(n * 97) % 1300)?.1.name.clone();
            let alone = check(format!("1 kg {name}").as_bytes(), home);
            let free = alone.judged.len() == 1 && alone.judged[0].own == Verdict::Feed
                && alone.judged[0].allowed == alone.scraps[0].mass.typical
                && alone.judged[0].notes.is_empty();
            let capped = check(format!("1000 kg {name}").as_bytes(), home);
            (free && capped.judged[0].allowed == capped.scraps[0].mass.typical).then_some(name)
        });
        let Some(plain) = plain else { return Ok(()) };
        let b = check(format!("{bag}{} kg {plain}", 1 + seed % 5).as_bytes(), home);
        for (x, y) in a.judged.iter().zip(&b.judged) {
            prop_assert!(x.allowed.0 <= y.allowed.0 + 1, "{plain}: {:?} {:?}\n{}", x.allowed, y.allowed, shown(texts, &bag));
        }
    }

    #[test]
    fn own_is_never_milder_under_strict(seed: u64) {
        let (home, texts, pool) = home(seed);
        let mut home = home.clone();
        let bag = bag_of(seed, pool);
        home.setting.stance = Some(Side::Strict);
        let strict = check(bag.as_bytes(), &home);
        home.setting.stance = Some(Side::Lenient);
        let lenient = check(bag.as_bytes(), &home);
        for (s, l) in strict.judged.iter().zip(&lenient.judged) {
            prop_assert!(s.own >= l.own, "{:?} {:?}\n{}", s, l, shown(texts, &bag));
        }
    }

    #[test]
    fn a_lifted_hazard_still_prints_its_caution(seed: u64) {
        let hazards: Vec<_> = BASE.book.iter().filter(|(_, r)| r.hazard).map(|(_, r)| r.name.clone()).collect();
        let mut dice = Dice(seed);
        let pool = Pool::new(&mut dice, &BASE.known, &[], None);
        let setting = generate::setting(&mut dice, &BASE.known);
        let bag: String = (0..30).map(|_| generate::line(&mut dice, &pool, false) + "\n").collect();
        let text: String = hazards.iter().map(|h| format!("rule without-{h}\n  lifts {h}\n  because \"Made up.\"\n")).collect();
        let (with, _) = open(&[], setting.clone()).unwrap();
        let (without, _) = open(&[Source { name: "household.rules".into(), text: text.into() }], setting).unwrap();
        let printed = |home: &Household| -> Vec<(String, Vec<u32>)> {
            let all = check(bag.as_bytes(), home).cautions;
            all.into_iter().filter(|c| home.book.rule(c.rule).unwrap().hazard).map(|c| (c.text, c.lines)).collect()
        };
        prop_assert_eq!(printed(&with), printed(&without), "{}", bag);
    }
}
