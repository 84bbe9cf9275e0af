//! The README's sessions are what the program prints: every file it shows is written, every command
//! it shows is run in order, and every answer compared.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test may stop")]

mod running;

use running::Home;

const README: &str = include_str!("../README.md");

/// The fenced blocks of the README with their languages.
fn blocks() -> Vec<(&'static str, &'static str)> {
    let mut out = Vec::new();
    let mut rest = README;
    while let Some((_, after)) = rest.split_once("\n```") {
        let (language, after) = after.split_once('\n').unwrap();
        let (block, after) = after.split_once("```\n").unwrap();
        out.push((language, block));
        rest = after;
    }
    out
}

#[test]
fn the_sessions_are_what_the_program_prints() {
    let home = Home::new();
    let (mut files, mut commands) = (0, 0);
    for (language, block) in blocks() {
        match (language, block.split_once('\n')) {
            // A file begins with its name.
            ("text", Some((name, _))) if name.starts_with("# ") => {
                home.file(name.trim_start_matches("# "), block);
                files += 1;
            }
            ("console", Some((command, shown))) if command.starts_with("$ forefeed ") => {
                let args: Vec<&str> = command.split_whitespace().skip(2).collect();
                let ran = home.run(&args);
                assert_eq!((ran.out.trim_end(), ran.err.as_str()), (shown.trim_end(), ""), "{command}");
                commands += 1;
            }
            _ => {}
        }
    }
    assert!(files >= 2 && commands >= 3, "{files} files and {commands} commands");
}

#[test]
fn the_two_commands_stand_first() {
    let (language, first) = blocks().into_iter().next().unwrap();
    assert_eq!((language, first), ("console", "cargo run --release -- check --demo\ncargo test\n"));
}
