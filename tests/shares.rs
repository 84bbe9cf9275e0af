//! T* is unique and greatest, and every cap is kept: held over made-up offers and caps against what
//! the meaning says, without the way it is reckoned.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::cast_precision_loss, reason = "a test may stop")]

use forefeed::bag::Mg;
use forefeed::feeding::{Cap, Member, Offered, share_out};
use proptest::prelude::*;

fn cap_at(cap: Cap, food: f64) -> f64 {
    match cap {
        Cap::Share(ppm) => food * ppm as f64 / 1e6,
        Cap::Mass(mass) => mass.0 as f64,
    }
}

/// What each scrap may give when `food` goes in: pro rata inside each of its classes.
fn each_at(offered: &[Offered], caps: &[Cap], food: f64) -> Vec<f64> {
    let sum = |class: usize| -> f64 {
        let of = |o: &Offered| o.classes.iter().filter(|m| m.class == class).map(|m| m.ppm as f64 / 1e6).sum::<f64>();
        offered.iter().map(|o| o.mass.0 as f64 * of(o)).sum()
    };
    let factor = |class: usize| {
        let all = sum(class);
        if all > 0.0 { cap_at(caps[class], food) / all } else { 1.0 }
    };
    offered
        .iter()
        .map(|o| o.mass.0 as f64 * o.classes.iter().map(|m| factor(m.class)).fold(1.0, f64::min).max(0.0))
        .collect()
}

fn food_at(offered: &[Offered], caps: &[Cap], food: f64) -> f64 {
    each_at(offered, caps, food).iter().zip(offered).filter(|(_, o)| o.food).map(|(x, _)| x).sum()
}

fn caps() -> impl Strategy<Value = Vec<Cap>> {
    let one = prop_oneof![
        3 => (0i64..=1_000_000).prop_map(Cap::Share),
        1 => Just(Cap::Share(100_000)),
        2 => (0i64..3_000_000).prop_map(|mg| Cap::Mass(Mg(mg))),
    ];
    prop::collection::vec(one, 0..5)
}

fn offers(classes: usize) -> impl Strategy<Value = Vec<Offered>> {
    let members = prop::collection::vec((0..classes.max(1), prop_oneof![Just(1_000_000i64), 1i64..1_000_000]), 0..4);
    let one = (1i64..2_000_000, prop::bool::weighted(0.8), members).prop_map(move |(mg, food, members)| {
        let mut list: Vec<Member> = Vec::new();
        for (class, ppm) in members.into_iter().filter(|_| classes > 0) {
            if list.iter().all(|m| m.class != class) {
                list.push(Member { class, ppm });
            }
        }
        Offered { mass: Mg(mg), food, classes: list.into() }
    });
    prop::collection::vec(one, 0..8)
}

fn made_up() -> impl Strategy<Value = (Vec<Offered>, Vec<Cap>)> {
    caps().prop_flat_map(|caps| (offers(caps.len()), Just(caps)))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_food_that_goes_in_is_the_greatest_that_adds_up((offered, caps) in made_up()) {
        let shares = share_out(&offered, &caps);
        let food = shares.food_mg;
        // It adds up ...
        prop_assert!((food_at(&offered, &caps, food) - food).abs() <= 1.0, "{food}: {}", food_at(&offered, &caps, food));
        for (x, want) in shares.each_mg.iter().zip(each_at(&offered, &caps, food)) {
            prop_assert!((x - want).abs() <= 1.0, "{x} for {want}");
        }
        // ... and nothing greater does: a share is a whole part per million, so two milligrams further on
        // the sum falls short by more than rounding.
        let most: f64 = offered.iter().filter(|o| o.food).map(|o| o.mass.0 as f64).sum();
        for step in 1..=200 {
            let more = food + 2.0 + (most - food).max(0.0) * f64::from(step) / 200.0;
            prop_assert!(food_at(&offered, &caps, more) < more - 1e-7, "{more} adds up as well as {food}");
        }
        // Bisection from above ends there too.
        let (mut low, mut high) = (food, most + 1.0);
        for _ in 0..80 {
            let middle = (low + high) / 2.0;
            if food_at(&offered, &caps, middle) >= middle - 1e-7 { low = middle } else { high = middle }
        }
        prop_assert!((low - food).abs() <= 1.0, "{low} by bisection, {food}");
    }

    #[test]
    fn every_cap_is_kept((offered, caps) in made_up()) {
        let shares = share_out(&offered, &caps);
        for (class, cap) in caps.iter().enumerate() {
            let given: f64 = offered
                .iter()
                .zip(&shares.each_mg)
                .flat_map(|(o, x)| o.classes.iter().filter(|m| m.class == class).map(move |m| x * m.ppm as f64 / 1e6))
                .sum();
            prop_assert!(given <= cap_at(*cap, shares.food_mg) + 1.0, "class {class} gives {given}");
        }
        for (o, x) in offered.iter().zip(&shares.each_mg) {
            prop_assert!((0.0..=o.mass.0 as f64 + 1e-6).contains(x));
        }
    }
}
