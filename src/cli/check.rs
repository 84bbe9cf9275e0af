//! `forefeed check`: a bag, judged.

use super::arguments::{CheckArgs, Format};
use super::{Ended, Exit, Stop, answer, complain, folder, opening, quoted, stream, width};
use crate::bag::{LONGEST_LINE, Reading};
use crate::judge::{Judgement, Status};
use crate::knowledge::{Identified, Identity};
use crate::report::json::{self, Detail};
use crate::{Household, check, report};
use std::fs::File;
use std::io::{self, BufRead, IsTerminal, Read, Write};
use std::mem::ManuallyDrop;
use std::path::{Path, PathBuf};

/// The built-in bag of `--demo`.
const DEMO: &str = include_str!("../../rules/demo-bag.txt");
/// A bag over this many bytes is refused (4 MiB); streams have no limit.
const LARGEST: u64 = 4 << 20;
/// What standard input is called in messages.
const STDIN: &str = "standard input";

/// What the arguments say the bag is.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Input {
    /// Files and standard input, in order.
    Read(Vec<Place>),
    /// Lines typed as arguments.
    Typed(String),
    /// The built-in bag.
    Demo,
    /// Nothing: ask, or read standard input.
    Ask,
}

#[derive(Debug, PartialEq, Eq)]
pub(super) enum Place {
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
    let input = input(&args.bag, args.demo)?;
    // The program ends with the answer: taking all that was opened apart again is work for nobody.
    let home = ManuallyDrop::new(opening::household(&args.book)?);
    if args.per_line {
        return stream_it(args, &home, input);
    }
    let typed = matches!(input, Input::Typed(_));
    let bag = match &input {
        Input::Read(places) => match places.as_slice() {
            [Place::File(file)] => Some(folder::shown(file)),
            _ => None,
        },
        _ => None,
    };
    let judgement = check(&gather(input)?, &home);
    if let Some(why) = nothing_known(&judgement, &home).filter(|_| typed) {
        return Err(Stop::Say(why));
    }
    if args.format == Format::Json {
        let mut out = io::BufWriter::new(io::stdout().lock());
        json::check(&mut out, &judgement, &home)?;
        out.flush()?;
    } else {
        let asked = report::check::Asked { width: width(), full: args.full, bag };
        answer(&report::check::page(&judgement, &home, &asked))?;
    }
    Ok(match judgement.status {
        _ if args.demo => Exit::Fine,
        Status::Ready | Status::Empty => Exit::Fine,
        Status::NotReady | Status::Wait => Exit::NotReady,
    })
}

/// What to say where a lone line names nothing known.
pub(super) fn nothing_known(judgement: &Judgement, home: &Household) -> Option<String> {
    let unknown = |i: &Identity| i.identified == Identified::Unknown;
    let mut lines = judgement.bag.lines.iter().filter(|l| !matches!(l.reading, Reading::Blank | Reading::Comment));
    let (Some(line), None) = (lines.next(), lines.next()) else { return None };
    let all = judgement.scraps.iter().all(|s| s.found.identities.iter().all(|i| unknown(i)));
    if judgement.scraps.is_empty() || !all {
        return None;
    }
    let identities = judgement.scraps.iter().flat_map(|s| &s.found.identities);
    let near: Vec<String> = identities
        .flat_map(|i| &i.alternatives)
        .take(3)
        .map(|a| format!("`{}`", home.known.item_name(a.item)))
        .collect();
    let near =
        if near.is_empty() { String::new() } else { format!("\ndid you mean {}?", report::words::list(&near, "or")) };
    Some(format!("{}: no file of that name and nothing I know{near}", quoted(&line.text)))
}

/// How arguments are read: existing files are bags, `-` is standard input, a word that looks like a
/// path and is no file is an error, an argument with spaces is a line, other words are one line
/// together and commas split it.
fn input(bag: &[String], demo: bool) -> Result<Input, Stop> {
    if demo {
        return Ok(Input::Demo);
    }
    if bag.is_empty() {
        return Ok(Input::Ask);
    }
    let (mut places, mut lines, mut words): (Vec<Place>, Vec<String>, Vec<&str>) = (Vec::new(), Vec::new(), Vec::new());
    for arg in bag {
        let path = Path::new(arg);
        if arg == "-" {
            if places.contains(&Place::Stdin) {
                return Err(Stop::Say("`-` stands twice; standard input can be read once".into()));
            }
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
    let line = words.join(" ");
    lines.splice(0..0, line.split(',').map(str::trim).filter(|l| !l.is_empty()).map(String::from));
    match (places.is_empty(), lines.first()) {
        (false, None) => Ok(Input::Read(places)),
        (true, _) => Ok(Input::Typed(lines.join("\n"))),
        (false, Some(first)) => {
            Err(Stop::Say(format!("`{}` is no file; give files, or scraps, not both", quoted(first))))
        }
    }
}

/// A beginning or an ending that only a path has, or a slash within one word.
fn looks_like_a_path(arg: &str) -> bool {
    let ending = [".txt", ".csv", ".md", ".list", ".rules", ".yaml", ".json"]
        .iter()
        .any(|e| arg.to_ascii_lowercase().ends_with(e));
    let beginning = ["/", "./", "../", "~/"].iter().any(|b| arg.starts_with(b));
    let slashed = arg.contains('/') && !arg.contains(char::is_whitespace) && !fraction_or_with(arg);
    ending || beginning || slashed
}

/// `1/2`, `w/cheese`: a slash that is no path's.
fn fraction_or_with(word: &str) -> bool {
    word.starts_with("w/") || word.split('/').all(|p| !p.is_empty() && p.chars().all(|c| c.is_ascii_digit()))
}

/// The text of the bag, if it is text.
pub(super) fn gather(input: Input) -> Result<Vec<u8>, Stop> {
    match input {
        Input::Demo => Ok(DEMO.as_bytes().to_vec()),
        Input::Typed(text) => readable(text.into_bytes(), "the bag"),
        Input::Ask => asked(),
        Input::Read(places) => {
            let mut all = Vec::new();
            for place in places {
                if !all.is_empty() && all.last() != Some(&b'\n') {
                    all.push(b'\n');
                }
                all.extend(match place {
                    Place::Stdin => limited(io::stdin().lock(), STDIN)?,
                    Place::File(path) => {
                        let file = File::open(&path).map_err(|e| folder::cannot_read(&path, &e))?;
                        limited(file, &folder::shown(&path))?
                    }
                });
            }
            Ok(all)
        }
    }
}

fn limited(from: impl Read, name: &str) -> Result<Vec<u8>, Stop> {
    let mut text = Vec::new();
    let read = from
        .take(LARGEST + 1)
        .read_to_end(&mut text)
        .map_err(|e| Stop::Say(format!("{name}: cannot be read ({e})")))?;
    if u64::try_from(read).unwrap_or(u64::MAX) > LARGEST {
        return Err(Stop::Say(format!("{name}: a bag of over 4 MiB; for many lists use --per-line --format jsonl")));
    }
    readable(text, name)
}

/// The same bytes without a byte order mark, or what keeps them from being read as a list.
fn readable(text: Vec<u8>, name: &str) -> Result<Vec<u8>, Stop> {
    if text.starts_with(b"\xff\xfe") || text.starts_with(b"\xfe\xff") {
        return Err(Stop::Say(format!("{name}: this is UTF-16; save it as UTF-8")));
    }
    if text.contains(&0) {
        return Err(Stop::Say(format!("{name}: this is no list; it holds bytes that are not text")));
    }
    for (line, number) in text.split(|b| *b == b'\n').zip(1u64..) {
        if line.strip_suffix(b"\r").unwrap_or(line).len() > LONGEST_LINE {
            return Err(Stop::Say(format!(
                "{name}, line {number}: longer than 64 KiB; a bag is one thing, or a few, a line"
            )));
        }
        if std::str::from_utf8(line).is_err() {
            return Err(Stop::Say(format!("{name}, line {number}: this is not UTF-8 text; save the list as UTF-8")));
        }
    }
    Ok(text.strip_prefix(b"\xef\xbb\xbf").map(<[u8]>::to_vec).unwrap_or(text))
}

/// The list typed at a terminal, an empty line ends it; a pipe is read to its end.
fn asked() -> Result<Vec<u8>, Stop> {
    let stdin = io::stdin();
    if !stdin.is_terminal() {
        return limited(stdin.lock(), STDIN);
    }
    complain("What is in the bag? One thing a line, as you would say it; an empty line ends it.");
    let mut all = Vec::new();
    for line in stdin.lock().split(b'\n') {
        let line = line.map_err(|e| Stop::Say(format!("{STDIN}: cannot be read ({e})")))?;
        if line.trim_ascii().is_empty() {
            break;
        }
        all.extend(line);
        all.push(b'\n');
    }
    readable(all, STDIN)
}

fn stream_it(args: &CheckArgs, home: &Household, input: Input) -> Ended {
    let detail = if args.full { Detail::Full } else { Detail::Lean };
    let mut out = io::BufWriter::with_capacity(1 << 16, io::stdout().lock());
    let mut stream = stream::Stream::new(home, detail);
    let places = match input {
        Input::Demo => {
            stream.run(DEMO.as_bytes(), "the built-in bag", &mut out)?;
            Vec::new()
        }
        Input::Typed(text) => {
            stream.run(text.as_bytes(), "the bag", &mut out)?;
            Vec::new()
        }
        Input::Ask => vec![Place::Stdin],
        Input::Read(places) => places,
    };
    for place in places {
        match place {
            Place::Stdin => stream.run(io::BufReader::with_capacity(1 << 16, io::stdin().lock()), STDIN, &mut out)?,
            Place::File(path) => {
                let file = File::open(&path).map_err(|e| folder::cannot_read(&path, &e))?;
                stream.run(io::BufReader::with_capacity(1 << 16, file), &folder::shown(&path), &mut out)?;
            }
        }
    }
    out.flush()?;
    Ok(Exit::Fine)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(args: &[&str]) -> String {
        let args: Vec<String> = args.iter().map(|a| (*a).to_string()).collect();
        match input(&args, false) {
            Ok(Input::Typed(text)) => text,
            Err(Stop::Say(text)) => format!("error: {text}"),
            other => format!("{other:?}"),
        }
    }

    #[test]
    fn words_are_one_line_and_arguments_with_spaces_are_lines() {
        assert_eq!(typed(&["orange", "peel"]), "orange peel");
        assert_eq!(typed(&["orange", "peel,", "2", "eggs"]), "orange peel\n2 eggs");
        assert_eq!(typed(&["3 banana peels", "box of melon rinds, 3 kg"]), "3 banana peels\nbox of melon rinds, 3 kg");
        assert_eq!(typed(&["1/2", "avocado"]), "1/2 avocado");
        assert_eq!(typed(&["crust", "w/cheese"]), "crust w/cheese");
        assert_eq!(typed(&["lettuce / tomato"]), "lettuce / tomato");
        assert_eq!(typed(&[","]), "");
        assert_eq!(typed(&[""]), "");
    }

    #[test]
    fn what_looks_like_a_path_must_be_a_file() {
        for path in ["none.txt", "no/such", "./none", "~/none", "/none at all", "my bag.TXT"] {
            assert_eq!(typed(&[path]), format!("error: {path}: there is no such file"));
        }
        assert_eq!(typed(&["src"]), "error: src is a folder, not a bag; name a file in it");
        assert_eq!(typed(&["Cargo.toml", "apple"]), "error: `apple` is no file; give files, or scraps, not both");
        assert_eq!(typed(&["-", "-"]), "error: `-` stands twice; standard input can be read once");
    }
}
