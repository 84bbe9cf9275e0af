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

pub use arguments::command;
use arguments::{Cli, Command};
use clap::{CommandFactory, FromArgMatches};
use std::io::{self, Write};
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
    let matches = match command().try_get_matches() {
        Ok(matches) => matches,
        Err(error) => return usage(&error),
    };
    let cli = match Cli::from_arg_matches(&matches) {
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
    match ended {
        Ok(exit) => exit.into(),
        Err(Stop::Io(error)) if error.kind() == io::ErrorKind::BrokenPipe => Exit::Fine.into(),
        Err(Stop::Io(error)) => {
            complain(&format!("cannot write: {error}"));
            Exit::CouldNotRun.into()
        }
        Err(Stop::Say(text)) => {
            complain(&text);
            Exit::CouldNotRun.into()
        }
    }
}

fn usage(error: &clap::Error) -> ExitCode {
    // Help and version are answers, not errors; a closed pipe while printing them is no error.
    let exit = if error.use_stderr() { Exit::CouldNotRun } else { Exit::Fine };
    let _ = error.print();
    exit.into()
}

/// Writes to standard error; what fails there cannot be told anywhere.
fn complain(text: &str) {
    let mut err = anstream::stderr().lock();
    let _ = writeln!(err, "{}", text.trim_end());
}

/// Writes a whole answer to standard output.
fn answer(text: &str) -> Result<(), Stop> {
    let mut out = anstream::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(())
}

/// Writes a JSON value with a line end.
fn answer_json(value: &serde_json::Value) -> Result<(), Stop> {
    let mut out = io::stdout().lock();
    serde_json::to_writer(&mut out, value).map_err(io::Error::from)?;
    out.write_all(b"\n")?;
    out.flush()?;
    Ok(())
}

/// Columns to write in: the terminal's, else 80.
fn columns() -> usize {
    terminal_size::terminal_size().map_or(80, |(w, _)| usize::from(w.0)).clamp(24, 100)
}

fn completions(shell: clap_complete::Shell) -> Ended {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "forefeed", &mut text);
    io::stdout().lock().write_all(&text)?;
    Ok(Exit::Fine)
}

fn man() -> Ended {
    let mut text = Vec::new();
    clap_mangen::Man::new(Cli::command()).render(&mut text)?;
    for sub in Cli::command().get_subcommands().filter(|c| c.get_name() != "help") {
        let named = sub.clone().name(format!("forefeed-{}", sub.get_name()));
        clap_mangen::Man::new(named).render(&mut text)?;
    }
    io::stdout().lock().write_all(&text)?;
    Ok(Exit::Fine)
}
