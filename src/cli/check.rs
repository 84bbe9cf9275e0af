//! `forefeed check`: a bag, judged.

use super::arguments::{CheckArgs, Format};
use super::{Ended, Exit, Stop, answer, columns, complain, folder, opening, stream};
use crate::bag::{Lexicon, Reading};
use crate::judge::{Judgement, Status};
use crate::knowledge::Identified;
use crate::{Household, check, report};
use std::fs::File;
use std::io::{self, BufRead, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};

/// The built-in bag of `--demo`.
const DEMO: &str = include_str!("../../rules/demo-bag.txt");
/// A bag over this many bytes is refused (64 MiB); streams have no limit.
const LARGEST: u64 = 64 << 20;

/// What the arguments say the bag is.
enum Input {
    /// Files and standard input, in order.
    Read(Vec<Place>),
    /// Lines typed as arguments.
    Typed(String),
    /// The built-in bag.
    Demo,
    /// Nothing: ask, or read standard input.
    Ask,
}

enum Place {
    Stdin,
    File(PathBuf),
}

pub(super) fn run(args: &CheckArgs) -> Ended {
    if args.format == Format::Jsonl && !args.per_line {
        return Err(Stop::Say("--format jsonl goes with --per-line: one object for each line".into()));
    }
    if args.per_line && args.format != Format::Jsonl {
        return Err(Stop::Say("--per-line answers in a stream: add --format jsonl".into()));
    }
    if args.demo && !args.bag.is_empty() {
        return Err(Stop::Say("--demo brings its own bag; leave the other one out".into()));
    }
    let input = input(args)?;
    let named = match &input {
        Input::Read(places) => places.iter().find_map(|p| if let Place::File(f) = p { Some(folder::shown(f)) } else { None }),
        _ => None,
    };
    let home = match opening::household(&args.book, named.as_deref())? {
        Ok(home) => home,
        Err(exit) => return Ok(exit),
    };
    if args.per_line {
        return stream_it(args, &home, input);
    }
    let typed = matches!(input, Input::Typed(_));
    let text = gather(input)?;
    let judgement = check(&text, &home);
    if text.contains(&0) || unreadable(&judgement) {
        return Err(Stop::Say("this is no list: it holds bytes that are not text (use a plain text file, UTF-8)".into()));
    }
    if let Some(long) = judgement.bag.lines.iter().find(|l| matches!(l.reading, Reading::Unreadable(_))) {
        return Err(Stop::Say(format!("line {} is longer than 64 KiB; a bag is one thing, or a few, a line", long.number)));
    }
    if typed && nothing_known(&judgement, &home) {
        let words = judgement.bag.lines.iter().map(|l| clean(&l.text)).collect::<Vec<_>>().join(" ");
        let near = suggestions(&judgement, &home);
        return Err(Stop::Say(format!("{words}: no file of that name and nothing I know{near}")));
    }
    match args.format {
        Format::Json => {
            let mut out = io::stdout().lock();
            report::json::check(&mut out, &judgement, &home)?;
            out.flush()?;
        }
        _ => answer(&report::check::screen(&judgement, &home, columns(), args.full))?,
    }
    Ok(if args.demo { Exit::Fine } else { exit(&judgement) })
}

fn exit(judgement: &Judgement) -> Exit {
    match judgement.status {
        Status::Ready | Status::Empty => Exit::Fine,
        Status::NotReady | Status::Wait => Exit::NotReady,
    }
}

/// What a bag holds that is not text: more than a few unreadable lines is a wrong file.
fn unreadable(judgement: &Judgement) -> bool {
    judgement.bag.lines.iter().any(|l| matches!(l.reading, Reading::Unreadable(crate::bag::BadLine::NotUtf8)))
}

fn nothing_known(judgement: &Judgement, home: &Household) -> bool {
    let unknown = |i: &crate::knowledge::Identity| i.identified == Identified::Unknown;
    let mut lines = judgement.bag.lines.iter().filter(|l| !matches!(l.reading, Reading::Blank | Reading::Comment));
    let single = lines.next().is_some() && lines.next().is_none();
    let _ = home.known.vocabulary();
    single && !judgement.scraps.is_empty() && judgement.scraps.iter().all(|s| s.found.identities.iter().all(unknown))
}

fn suggestions(judgement: &Judgement, home: &Household) -> String {
    let names: Vec<&str> = judgement
        .scraps
        .iter()
        .flat_map(|s| &s.found.identities)
        .flat_map(|i| &i.alternatives)
        .take(3)
        .map(|a| home.known.item_name(a.item))
        .collect();
    if names.is_empty() { String::new() } else { format!("\ndid you mean {}?", names.join(", ")) }
}

/// How arguments are read: existing files are bags, `-` is standard input, a word that looks like a
/// path and is no file is an error, an argument with spaces is a line, other words are one line
/// together and commas split it.
fn input(args: &CheckArgs) -> Result<Input, Stop> {
    if args.demo {
        return Ok(Input::Demo);
    }
    if args.bag.is_empty() {
        return Ok(Input::Ask);
    }
    let (mut places, mut lines, mut words): (Vec<Place>, Vec<String>, Vec<&str>) = (Vec::new(), Vec::new(), Vec::new());
    for arg in &args.bag {
        let path = Path::new(arg);
        if arg == "-" {
            places.push(Place::Stdin);
        } else if path.is_dir() {
            return Err(Stop::Say(format!("{} is a folder, not a bag; name a file in it", folder::shown(path))));
        } else if path.exists() {
            places.push(Place::File(path.to_path_buf()));
        } else if looks_like_a_path(arg) {
            return Err(Stop::Say(format!("{}: there is no such file", folder::shown(path))));
        } else if arg.contains(char::is_whitespace) {
            lines.push(arg.clone());
        } else {
            words.push(arg);
        }
    }
    if !words.is_empty() {
        let line = words.join(" ");
        lines.splice(0..0, line.split(',').map(str::trim).filter(|l| !l.is_empty()).map(String::from));
    }
    match (places.is_empty(), lines.is_empty()) {
        (false, true) => Ok(Input::Read(places)),
        (true, _) => Ok(Input::Typed(lines.join("\n"))),
        (false, false) => Err(Stop::Say(format!("`{}` is no file; give files, or scraps, not both", clean(lines.first().map_or("", |l| l))))),
    }
}

/// A word with a slash in front, behind, or before a file ending, or an ending people give lists.
fn looks_like_a_path(word: &str) -> bool {
    let spaced = word.contains(char::is_whitespace);
    let ending = [".txt", ".csv", ".md", ".list", ".rules", ".yaml", ".json"].iter().any(|e| word.to_ascii_lowercase().ends_with(e));
    let slashed = word.starts_with(['/', '~']) || word.starts_with("./") || word.starts_with("../") || (word.contains('/') && !fraction_or_choice(word));
    !spaced && (ending || slashed)
}

/// `1/2`, `w/cheese`: a slash that is no path's.
fn fraction_or_choice(word: &str) -> bool {
    word.starts_with("w/") || word.split('/').all(|p| !p.is_empty() && p.chars().all(|c| c.is_ascii_digit()))
}

/// Text without control characters, for a message.
fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).take(200).collect()
}

fn gather(input: Input) -> Result<Vec<u8>, Stop> {
    match input {
        Input::Demo => Ok(DEMO.as_bytes().to_vec()),
        Input::Typed(text) => Ok(text.into_bytes()),
        Input::Ask => asked(),
        Input::Read(places) => {
            let mut all = Vec::new();
            for place in places {
                if !all.is_empty() && all.last() != Some(&b'\n') {
                    all.push(b'\n');
                }
                match place {
                    Place::Stdin => limited(io::stdin().lock(), &mut all)?,
                    Place::File(path) => {
                        let file = File::open(&path).map_err(|e| folder::cannot_read(&path, &e))?;
                        limited(file, &mut all)?;
                    }
                }
            }
            Ok(all)
        }
    }
}

fn limited(from: impl Read, all: &mut Vec<u8>) -> Result<(), Stop> {
    let read = from.take(LARGEST + 1).read_to_end(all)?;
    if u64::try_from(read).unwrap_or(u64::MAX) > LARGEST {
        return Err(Stop::Say("this bag is larger than 64 MiB; for many lists use --per-line --format jsonl".into()));
    }
    Ok(())
}

/// The list typed at a terminal, an empty line ends it; a pipe is read to its end.
fn asked() -> Result<Vec<u8>, Stop> {
    let stdin = io::stdin();
    let mut all = Vec::new();
    if !stdin.is_terminal() {
        limited(stdin.lock(), &mut all)?;
        return Ok(all);
    }
    complain("What is in the bag? One thing a line, as you would say it; an empty line ends it.");
    for line in stdin.lock().lines() {
        let line = line?;
        if line.trim().is_empty() {
            break;
        }
        all.extend_from_slice(line.as_bytes());
        all.push(b'\n');
    }
    Ok(all)
}

fn stream_it(args: &CheckArgs, home: &Household, input: Input) -> Ended {
    let detail = if args.full { report::json::Detail::Full } else { report::json::Detail::Lean };
    let mut out = io::BufWriter::with_capacity(1 << 16, io::stdout().lock());
    let mut stream = stream::Stream::new(home, detail);
    match input {
        Input::Demo => stream.run(DEMO.as_bytes(), &mut out)?,
        Input::Typed(text) => stream.run(text.as_bytes(), &mut out)?,
        Input::Ask => stream.run(io::stdin().lock(), &mut out)?,
        Input::Read(places) => {
            for place in places {
                match place {
                    Place::Stdin => stream.run(io::stdin().lock(), &mut out)?,
                    Place::File(path) => {
                        let file = File::open(&path).map_err(|e| folder::cannot_read(&path, &e))?;
                        stream.run(io::BufReader::with_capacity(1 << 16, file), &mut out)?;
                    }
                }
            }
        }
    }
    out.flush()?;
    Ok(Exit::Fine)
}
