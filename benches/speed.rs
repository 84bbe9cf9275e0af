//! How long things take: a cold `check --demo` as a whole process, opening the base, and a line in a
//! stream. Run with `cargo bench --bench speed`; medians over several runs.

#![allow(clippy::print_stdout, reason = "a bench prints its figures")]

use forefeed::judge::{Judge, Setting};
use forefeed::{bag, knowledge, report};
use std::hint::black_box;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times.get(times.len() / 2).copied().unwrap_or_default()
}

fn timed(runs: usize, mut run: impl FnMut()) -> Duration {
    median(
        (0..runs)
            .map(|_| {
                let start = Instant::now();
                run();
                start.elapsed()
            })
            .collect(),
    )
}

/// Distinct lines: every item's names with an amount before them.
fn lines(known: &knowledge::Known) -> Vec<String> {
    known
        .items()
        .flat_map(|(_, i)| i.names.iter().take(4))
        .enumerate()
        .map(|(n, name)| format!("{} {}", n % 9 + 1, name.text))
        .collect()
}

fn main() {
    let cold = timed(21, || {
        let _ = Command::new(env!("CARGO_BIN_EXE_forefeed"))
            .args(["check", "--demo", "--base-only"])
            .stdout(Stdio::null())
            .status();
    });
    println!("cold `check --demo`, whole process   {:>9.2} ms", cold.as_secs_f64() * 1e3);

    let opened = timed(21, || {
        black_box(forefeed::base::base());
    });
    println!("opening the ready-made base          {:>9.2} ms", opened.as_secs_f64() * 1e3);

    let Ok((home, _)) = forefeed::open(&[], Setting::on(forefeed::judge::examples::DAY)) else { return };
    let lines = lines(&home.known);
    let judge = Judge::new(&home.known, &home.book, &home.setting);
    let mut out = Vec::new();
    let all = timed(5, || {
        out.clear();
        for (number, line) in (1u32..).zip(&lines) {
            let read = bag::read_line(number, line, &home.known);
            let bag = bag::Bag { lines: vec![read] };
            let scraps = knowledge::weigh(knowledge::find(&bag, &home.known, None), &home.known);
            let judgement = judge.conclude_line(bag, scraps);
            let _ = report::json::line(&mut out, &judgement, &home, report::json::Detail::Lean);
        }
    });
    let each = all.as_secs_f64() * 1e6 / f64::from(u32::try_from(lines.len().max(1)).unwrap_or(u32::MAX));
    println!("a line, read to JSON ({} lines)   {each:>9.2} us  ({:.0} lines a second)", lines.len(), 1e6 / each);
}
