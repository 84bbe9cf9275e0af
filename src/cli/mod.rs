//! The command line: arguments, files, exit codes. The only place that prints.
//!
//! Results go to standard output, everything else to standard error; a closed pipe is no error.

mod arguments;
mod check;
mod explain;
mod folder;
mod items;
mod opening;
mod rules;
mod sources;
mod stream;

use crate::report::{Ink, Page, Width, json, words};
pub use arguments::command;
use arguments::{Cli, Command};
use clap::FromArgMatches;
use std::io::{self, IsTerminal, Write};
use std::process::ExitCode;

/// How a run ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// Ready, or empty, or fine: 0.
    Fine,
    /// Not ready, or wait, or findings in a book: 1.
    NotReady,
    /// Could not run: bad arguments, an unreadable file, a book with errors: 2.
    CouldNotRun,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(match exit {
            Exit::Fine => 0,
            Exit::NotReady => 1,
            Exit::CouldNotRun => 2,
        })
    }
}

/// What stops a command.
#[derive(Debug)]
enum Stop {
    /// A sentence for standard error, already in a person's words.
    Say(String),
    /// Everything was said.
    Said,
    /// Writing failed.
    Io(io::Error),
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Self {
        Stop::Io(error)
    }
}

type Ended = Result<Exit, Stop>;

/// Runs the program on the process's arguments.
pub fn run() -> ExitCode {
    let cli = match command().try_get_matches().and_then(|matches| Cli::from_arg_matches(&matches)) {
        Ok(cli) => cli,
        Err(error) => return usage(&error),
    };
    let ended = match cli.command {
        Command::Check(args) => check::run(&args),
        Command::Explain(args) => explain::run(&args),
        Command::Rules(args) => rules::run(&args),
        Command::Items(args) => items::run(&args),
        Command::Sources(args) => sources::run(&args),
        Command::Completions { shell } => completions(shell),
        Command::Man => man(),
    };
    let exit = match ended {
        Ok(exit) => exit,
        Err(Stop::Io(error)) if error.kind() == io::ErrorKind::BrokenPipe => Exit::Fine,
        Err(Stop::Io(error)) => {
            complain(&format!("cannot write the answer: {error}"));
            Exit::CouldNotRun
        }
        Err(Stop::Say(text)) => {
            complain(&text);
            Exit::CouldNotRun
        }
        Err(Stop::Said) => Exit::CouldNotRun,
    };
    exit.into()
}

fn usage(error: &clap::Error) -> ExitCode {
    // Help and version are answers, not errors; a closed pipe while printing them is no error.
    let exit = if error.use_stderr() { Exit::CouldNotRun } else { Exit::Fine };
    let _ = error.print();
    exit.into()
}

/// Writes sentences to standard error, wrapped; what fails there cannot be told anywhere.
fn complain(text: &str) {
    let mut page = Page::new(columns(&io::stderr()));
    text.lines().for_each(|line| page.headline(line, Ink::Plain));
    drawn(&page.to_string());
}

/// Writes drawn text to standard error.
fn drawn(text: &str) {
    let mut err = anstream::stderr().lock();
    let _ = err.write_all(text.as_bytes());
}

/// Writes a screen to standard output, in colour where the terminal has it and nobody minds.
fn answer(page: &Page) -> Result<(), Stop> {
    if anstream::AutoStream::choice(&io::stdout()) == anstream::ColorChoice::Never {
        io::stdout().lock().write_all(page.to_string().as_bytes())?;
    } else {
        anstream::stdout().lock().write_all(page.coloured().as_bytes())?;
    }
    io::stdout().lock().flush()?;
    Ok(())
}

/// Writes a JSON value with a line end.
fn answer_json(value: &serde_json::Value) -> Result<(), Stop> {
    let mut out = io::BufWriter::new(io::stdout().lock());
    json::write(&mut out, value)?;
    out.write_all(b"\n")?;
    out.flush()?;
    Ok(())
}

/// The width to write in: `COLUMNS`, else the terminal's, else 80 columns.
fn columns(to: &impl IsTerminal) -> Width {
    let asked = std::env::var("COLUMNS").ok().and_then(|c| c.parse().ok()).filter(|c| *c > 0);
    if let Some(asked) = asked {
        return Width(asked);
    }
    let terminal = if to.is_terminal() { terminal_size::terminal_size() } else { None };
    terminal.map_or_else(Width::default, |(w, _)| Width(usize::from(w.0)))
}

/// The width of standard output.
fn width() -> Width {
    columns(&io::stdout())
}

/// A person's words, safe to print and not too long.
fn quoted(text: &str) -> String {
    words::clipped(text, 200)
}

fn completions(shell: clap_complete::Shell) -> Ended {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut command(), "forefeed", &mut text);
    io::stdout().lock().write_all(&text)?;
    Ok(Exit::Fine)
}

/// One page for the program and one for each of its commands, each with a heading of its own.
fn man() -> Ended {
    fn pages(command: &clap::Command, name: &str, text: &mut Vec<u8>) -> io::Result<()> {
        clap_mangen::Man::new(command.clone().name(name.to_string())).render(text)?;
        for sub in command.get_subcommands().filter(|c| c.get_name() != "help") {
            pages(sub, &format!("{name}-{}", sub.get_name()), text)?;
        }
        Ok(())
    }
    let mut text = Vec::new();
    let mut all = command();
    all.build();
    pages(&all, "forefeed", &mut text)?;
    io::stdout().lock().write_all(&text)?;
    Ok(Exit::Fine)
}
