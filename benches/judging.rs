//! What judging costs a scrap: 120 rules of the shape "kind in class, state missing, share or fact
//! above a number" over scraps drawn from the whole knowledge base, every finding kept, beside the
//! same conditions in a general expression engine. Run with `cargo bench --bench judging`.

#![allow(clippy::print_stdout, clippy::indexing_slicing, reason = "a bench prints its figures, out of its own tables")]

use evalexpr::{ContextWithMutableVariables, DefaultNumericTypes, HashMapContext, Node, Value, build_operator_tree};
use forefeed::fault::{Faults, Sources};
use forefeed::judge::{Judge, Setting, examples::DAY};
use forefeed::knowledge::{self, Known, Scrap};
use forefeed::{bag, language};
use std::fmt::Write;
use std::hint::black_box;
use std::time::{Duration, Instant};

const STATES: [&str; 6] = ["frozen", "chopped", "crushed", "rinsed", "drained", "torn"];
const RULES: usize = 120;

/// A rule as both engines get it.
struct Shape {
    kind: String,
    state: &'static str,
    fact: &'static str,
    above: f64,
}

fn shapes(known: &Known) -> Vec<Shape> {
    // Kinds by how many items they hold, so that scraps are in several classes each.
    let mut kinds: Vec<(usize, String)> = known
        .kinds()
        .map(|(id, k)| (known.items().filter(|(i, _)| known.kinds_of(*i).contains(&id)).count(), k.name.clone()))
        .collect();
    kinds.sort();
    kinds.reverse();
    (0..RULES)
        .map(|n| Shape {
            kind: kinds[n % 40].1.clone(),
            state: STATES[n % STATES.len()],
            fact: ["fat", "moisture", "sugar"][n % 3],
            above: [1.0, 40.0, 2.0][n % 3] + (n / 3) as f64 / 10.0,
        })
        .collect()
}

fn book(shapes: &[Shape], known: &Known) -> language::Book {
    let mut text = String::new();
    for (n, s) in shapes.iter().enumerate() {
        let demand = match n % 3 {
            0 => format!("needs {}", s.state),
            1 => "allow up to 10 % of the food".to_string(),
            _ => "keep out".to_string(),
        };
        let _ = writeln!(
            text,
            "rule r{n}\n  about \"{}\"\n  when not {} and {} above {} %\n  {demand}",
            s.kind, s.state, s.fact, s.above
        );
    }
    let (mut sources, mut faults) = (Sources::default(), Faults::default());
    let file = sources.add("bench.rules", text);
    let written = language::read(&[file], &sources, &mut faults);
    let mut book = language::check(&written, known, None, DAY, sources, &mut faults);
    assert!(!faults.any_error(), "{faults:?}");
    book.index(known);
    book
}

fn scraps(known: &Known) -> Vec<Scrap> {
    let mut text = String::new();
    for (n, (_, item)) in known.items().enumerate() {
        let _ = writeln!(text, "{} g {} {}", 20 + n % 300, STATES[n % STATES.len()], item.name);
    }
    knowledge::weigh(knowledge::find(&bag::read(&text, known), known, None), known)
}

fn median(runs: usize, mut run: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed()
        })
        .collect();
    times.sort();
    times[runs / 2]
}

/// The same conditions as one expression a rule, compiled once; a context a scrap.
struct General {
    rules: Vec<Node<DefaultNumericTypes>>,
    scraps: Vec<HashMapContext<DefaultNumericTypes>>,
}

impl General {
    fn new(shapes: &[Shape], scraps: &[Scrap], known: &Known) -> General {
        let name = |text: &str| text.replace([' ', '-', '\'', ',', '&'], "_");
        let rules = shapes
            .iter()
            .map(|s| {
                let text = format!("is_{} && !{} && {} > {:?}", name(&s.kind), s.state, s.fact, s.above / 100.0);
                build_operator_tree(&text).unwrap_or_else(|e| unreachable!("{text}: {e}"))
            })
            .collect();
        let scraps = scraps
            .iter()
            .map(|scrap| {
                let mut context = HashMapContext::new();
                let mut set = |key: String, value| assert!(context.set_value(key, value).is_ok());
                let identity = &scrap.found.identities[0];
                let kinds = identity.item.map_or(&[][..], |i| known.kinds_of(i));
                for shape in shapes {
                    let is = known.kind_named(&shape.kind).is_some_and(|k| kinds.contains(&k));
                    set(format!("is_{}", name(&shape.kind)), Value::Boolean(is));
                }
                for state in STATES {
                    let bit = known.vocabulary().state(state).map_or(0, |s| s.bit());
                    set(state.to_string(), Value::Boolean(identity.said.yes & bit != 0));
                }
                let c = known.made_of(identity).map(|c| c.0);
                set("fat".into(), Value::Float(c.and_then(|c| c.fat).unwrap_or(0.0)));
                set("sugar".into(), Value::Float(c.and_then(|c| c.sugar).unwrap_or(0.0)));
                set("moisture".into(), Value::Float(c.map_or(0.0, |c| c.water)));
                context
            })
            .collect();
        General { rules, scraps }
    }

    fn hits(&self) -> usize {
        let holds = |rule: &Node<_>, scrap| rule.eval_boolean_with_context(scrap) == Ok(true);
        self.scraps.iter().map(|scrap| self.rules.iter().filter(|rule| holds(rule, scrap)).count()).sum()
    }
}

fn main() {
    let Some((known, _)) = forefeed::base::base() else { return };
    let shapes = shapes(&known);
    let book = book(&shapes, &known);
    let scraps = scraps(&known);
    let setting = Setting::on(DAY);
    let judge = Judge::new(&known, &book, &setting);
    let found: usize = scraps.iter().map(|s| judge.found(s)).sum();
    let each = |time: Duration| time.as_secs_f64() * 1e6 / scraps.len() as f64;
    println!("{RULES} rules, {} scraps, {found} findings and classes", scraps.len());

    let own = median(31, || scraps.iter().for_each(|s| _ = black_box(judge.found(black_box(s)))));
    println!("findings of a scrap                       {:>8.3} us", each(own));

    let bag = bag::Bag::default();
    let whole = median(11, || _ = black_box(judge.conclude_plain(bag.clone(), scraps.clone())));
    let copies = median(11, || _ = black_box(scraps.clone()));
    println!("the whole judgement, every finding told   {:>8.3} us", each(whole.saturating_sub(copies)));

    let general = General::new(&shapes, &scraps, &known);
    let hits = general.hits();
    let engine = median(5, || _ = black_box(general.hits()));
    println!("a general expression engine               {:>8.3} us  (evalexpr, {hits} conditions hold)", each(engine));
}
