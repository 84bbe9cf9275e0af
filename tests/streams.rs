//! A long list split over processes answers as one process does: with `xargs` over files, with GNU
//! parallel (where it is installed), and as a data-parallel engine's `pipe` does it, a partition of
//! lines to each process's input.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic, missing_docs, reason = "tests")]

use forefeed::fault::Source;
use forefeed::judge::{Setting, examples};
use forefeed::report::json::Detail;
use forefeed::stream::Stream;
use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

const FOREFEED: &str = env!("CARGO_BIN_EXE_forefeed");

/// As the guide has it: every answer gets the number it has in the whole list.
const NUMBER: &str = r#"awk '{ gsub(/"line":[0-9]+/, "\"line\":" NR) } 1'"#;

/// An invented list with everything a line can be, one of them about lines.
fn list() -> String {
    let lines = [
        "3 banana peels",
        "egg shells (crushed), 2 tea bags and a lemon",
        "",
        "# a comment",
        "500 g coffee grounds",
        "bacin",
        "onion or leek tops",
        "a \"line\":7 of soup",
        "mouldy bread with cheese",
        "frobnitz",
    ];
    let mut out = String::new();
    for i in 0..97 {
        let line = lines.get(i * 7 % lines.len()).unwrap();
        writeln!(out, "{line}").unwrap();
    }
    out
}

fn piped(command: &mut Command, input: &str) -> String {
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_string();
    let writer = std::thread::spawn(move || stdin.write_all(input.as_bytes()).unwrap());
    let out = child.wait_with_output().unwrap();
    writer.join().unwrap();
    assert!(out.status.success(), "{command:?}");
    String::from_utf8(out.stdout).unwrap()
}

fn stream(input: &str) -> String {
    piped(Command::new(FOREFEED).args(["check", "--per-line", "--format", "jsonl", "-"]), input)
}

fn shell(script: &str, folder: &Path, input: &str) -> String {
    let path = format!("{}:{}", Path::new(FOREFEED).parent().unwrap().display(), std::env::var("PATH").unwrap());
    piped(Command::new("sh").args(["-c", script]).current_dir(folder).env("PATH", path), input)
}

#[test]
fn files_split_over_xargs_answer_as_one() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("lists.txt"), list()).unwrap();
    let script = format!(
        "split -l 20 lists.txt part. && printf '%s\\n' part.?? | \
         xargs -P 2 -I @ sh -c 'forefeed check --per-line --format jsonl @ > @.jsonl' && cat part.??.jsonl | {NUMBER}"
    );
    assert_eq!(shell(&script, folder.path(), ""), stream(&list()));
}

#[test]
fn blocks_split_by_gnu_parallel_answer_as_one() {
    let version = Command::new("parallel").arg("--version").output();
    if !version.is_ok_and(|v| String::from_utf8_lossy(&v.stdout).starts_with("GNU parallel")) {
        println!("skipped: there is no GNU parallel here");
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("lists.txt"), list()).unwrap();
    // The README's line; a block of the list holds about twenty lines.
    let line = include_str!("../README.md").lines().find(|l| l.starts_with("parallel --pipe")).unwrap();
    let script = format!("{} | {NUMBER}", line.replace("--pipe", "--pipe --block 400"));
    assert_eq!(shell(&script, folder.path(), ""), stream(&list()));
}

#[test]
fn partitions_piped_through_answer_as_one() {
    let (list, folder) = (list(), tempfile::tempdir().unwrap());
    let lines: Vec<&str> = list.lines().collect();
    // An engine writes every line of a partition with its end, and takes the lines that come back.
    let answers: String = lines.chunks(31).map(|part| stream(&(part.join("\n") + "\n"))).collect();
    assert_ne!(answers, stream(&list), "each process counts from 1");
    assert_eq!(answers.lines().count(), lines.len(), "one answer for each line");
    assert_eq!(shell(NUMBER, folder.path(), &answers), stream(&list));
}

/// Ways to put a number and a word on a line.
const NUMBERED: &[&str] = &[
    "N g W",
    "N W",
    "W N",
    "W (N g)",
    "Ng W, chopped",
    "  N   g   W\r",
    "N g W with N g cheese",
    "N g each of W and leeks",
    "N g W # a comment",
    "N g or an ounce of W",
    "N or thirteen W",
    "fifteen to N W",
    "N to twenty W",
    "N dozen W",
    "N half W",
    "N quarters of the W",
    "N ½ cups W",
    "½ N W",
    "1/N W",
    "N/4 W",
    "-N W",
    "N- W",
    ".N W",
    "N.5 W",
    "N. W",
    "N) W",
    "[N] W",
    "(N) W",
    "#N W",
    "N% W",
    "Nth W",
    "Nnd W",
    "x N W",
    "N x W",
    "N x 400 g W",
    "N-inch W",
    "N dl W",
    "a N g bag of W",
    "a couple of N g W",
    "0 W, N g",
    "W\nN",
    "\n\n W N",
    "no W, N g",
    "W, N days old",
    "N june, W",
    "june 3, N, W",
    "🍌 N W",
];

#[test]
fn no_answer_hangs_on_the_lines_before_it() {
    let own = "item \"mushroom kit block\"\n  is       garden waste\n  one weighs 900 g\n  like     straw\n\n\
               rule crumble-blocks\n  about mushroom kit block\n  needs chopped\n  because \"It packs.\"\n";
    for texts in [Vec::new(), vec![Source { name: "own.rules".into(), text: own.into() }]] {
        let (home, _) = forefeed::open(&texts, Setting::on(examples::DAY)).map_err(|u| u.faults).unwrap();
        let words = include_str!("misspellings.csv").lines().flat_map(|l| l.split(','));
        let mut lines: Vec<String> = list().lines().map(str::to_string).collect();
        for (n, word) in words.enumerate() {
            lines.push(format!("{} g {word}", n % 7 + 1));
            if n % 5 == 0 {
                lines.push(format!("{n} mouldy {word}, chopped, with {word}"));
            }
        }
        // Lines that differ in their number alone, and where that is more than an amount.
        for word in ["onion skins", "b12 yeast", "7up", "bananna", "cold soup (2 cups)", "leeks and beans"] {
            for number in ["3", "10", "11", "12", "20", "57", "100", "0100", "120", "1350", "2,500", "12345678"] {
                lines.extend(NUMBERED.iter().map(|l| l.replace('N', number).replace('W', word)));
            }
        }
        for detail in [Detail::Lean, Detail::Full] {
            let answer = |stream: &mut Stream<'_>, line: &str| {
                let mut text = Vec::new();
                stream.answer(1, line.as_bytes(), &mut text).unwrap();
                String::from_utf8(text).unwrap()
            };
            let alone: Vec<String> = lines.iter().map(|l| answer(&mut Stream::new(&home, detail), l)).collect();
            let mut stream = Stream::new(&home, detail);
            // Backwards, then once more with everything kept.
            for round in 0..2 {
                for (line, alone) in lines.iter().zip(&alone).rev() {
                    assert_eq!(&answer(&mut stream, line), alone, "{line} in round {round}");
                }
            }
        }
    }
}
