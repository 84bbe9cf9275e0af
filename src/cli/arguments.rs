//! What can be typed; help, completions and the man page come from here.

use crate::knowledge::Language;
use crate::language::Side;
use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};
use jiff::civil::Date;
use std::path::PathBuf;

/// Says whether a bag of food scraps may go into a worm bin now, and if not, what to do about it.
#[derive(Debug, Parser)]
#[command(name = "forefeed", version, disable_help_subcommand = true, after_help = CODES, max_term_width = 80)]
pub(super) struct Cli {
    #[command(subcommand)]
    pub(super) command: Command,
}

const CODES: &str = "Your own rules: every *.rules file in the folder that `forefeed rules list` names, and those \
    of your town in its folder `area`. FOREFEED_HOME moves it. NO_COLOR is kept.\n\n\
    Exit codes: 0 ready or fine, 1 not ready, or something wrong in a rule file, 2 could not run.";

/// The command as clap sees it.
pub fn command() -> clap::Command {
    Cli::command()
}

// What a command takes is put together once it is called.
#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub(super) enum Command {
    /// Judge a bag: files, `-` for standard input, or the scraps themselves
    Check(CheckArgs),
    /// Say why a scrap is judged as it is, who says so, and what to try
    Explain(ExplainArgs),
    /// Look after the rules: check, list, show
    Rules(RulesArgs),
    /// List what is known, or look a thing up
    Items(ItemsArgs),
    /// List the publications, or what they say of a thing
    Sources(SourcesArgs),
    /// Print a completion script for a shell
    Completions {
        /// bash, zsh, fish, elvish, powershell
        shell: clap_complete::Shell,
    },
    /// Print the manual page
    Man,
}

// Where rules come from. (A doc comment here would become what the commands are about.)
#[derive(Debug, Args, Clone, Default)]
pub(super) struct BookArgs {
    /// A rule file, an item file (.yaml) or a folder of them; may be given more than once
    #[arg(long, value_name = "FILE")]
    pub(super) rules: Vec<PathBuf>,
    /// The built-in rules only: no file of yours is read
    #[arg(long, conflicts_with = "rules")]
    pub(super) base_only: bool,
    /// Where guides disagree: the easy side (default) or the careful one
    #[arg(long, value_enum, value_name = "SIDE")]
    pub(super) stance: Option<StanceArg>,
    /// Judge as if it were this day (YYYY-MM-DD)
    #[arg(long, value_name = "DAY")]
    pub(super) today: Option<Date>,
    /// The language that names are written in, where a word is known in several
    #[arg(long, value_enum, value_name = "CODE")]
    pub(super) language: Option<LanguageArg>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum StanceArg {
    Lenient,
    Strict,
}

impl From<StanceArg> for Side {
    fn from(arg: StanceArg) -> Side {
        match arg {
            StanceArg::Lenient => Side::Lenient,
            StanceArg::Strict => Side::Strict,
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum LanguageArg {
    En,
    Es,
    De,
    Fr,
}

impl From<LanguageArg> for Language {
    fn from(arg: LanguageArg) -> Language {
        match arg {
            LanguageArg::En => Language::En,
            LanguageArg::Es => Language::Es,
            LanguageArg::De => Language::De,
            LanguageArg::Fr => Language::Fr,
        }
    }
}

/// The form of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum, Default)]
pub(super) enum Format {
    /// For people
    #[default]
    Text,
    /// One object
    Json,
    /// One object a line (with --per-line)
    Jsonl,
}

/// The form of an answer that is no stream.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum, Default)]
pub(super) enum Form {
    /// For people
    #[default]
    Text,
    /// One object
    Json,
}

/// The form of the knowledge base.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum, Default)]
pub(super) enum DataForm {
    /// For people
    #[default]
    Text,
    /// One object
    Json,
    /// A table, one row an item
    Csv,
    /// W3C SKOS: kinds and items with their names
    Turtle,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    forefeed check friday.txt\n  \
    forefeed check orange peel\n  \
    forefeed check \"3 banana peels\" \"box of melon rinds, 3 kg\"\n  \
    forefeed check --per-line --format jsonl - < many-lists.txt\n\n\
    Exit codes: 0 ready or empty, 1 not ready or wait, 2 could not run. --demo always \
    ends with 0; --per-line ends with 0 once every line is answered.")]
pub(super) struct CheckArgs {
    /// Files, `-`, or the scraps themselves; nothing: asks for the list
    #[arg(value_name = "BAG")]
    pub(super) bag: Vec<String>,
    #[command(flatten)]
    pub(super) book: BookArgs,
    /// How to answer
    #[arg(long, value_enum, default_value_t)]
    pub(super) format: Format,
    /// Each line of input is a bag of its own, answered in a stream (with --format jsonl)
    #[arg(long)]
    pub(super) per_line: bool,
    /// Everything: all findings, notes, and what readiness lost where; in a stream also reasons
    #[arg(long)]
    pub(super) full: bool,
    /// Judge the built-in bag (an invented one)
    #[arg(long)]
    pub(super) demo: bool,
}

#[derive(Debug, Args)]
pub(super) struct ExplainArgs {
    /// The scrap, in words
    #[arg(value_name = "WORDS", required = true)]
    pub(super) words: Vec<String>,
    /// Explain the line of this bag (`-`: standard input) that the words name, beside the rest
    #[arg(long, value_name = "FILE")]
    pub(super) bag: Option<PathBuf>,
    /// Go on: how it was read, what it weighs, every rule, what would change it, the sources
    #[arg(long)]
    pub(super) all: bool,
    #[command(flatten)]
    pub(super) book: BookArgs,
}

#[derive(Debug, Args)]
pub(super) struct RulesArgs {
    #[command(subcommand)]
    pub(super) what: RulesCommand,
}

#[derive(Debug, Subcommand)]
pub(super) enum RulesCommand {
    /// Say everything that is wrong with rule files; their examples are run
    #[command(after_help = "Exit codes: 0 nothing to say, 1 something found, 2 could not run.")]
    Check {
        /// Rule files or folders; nothing: yours
        files: Vec<PathBuf>,
        #[command(flatten)]
        book: BookArgs,
    },
    /// List the rules in force
    List {
        /// Only rules whose name, subject or condition holds these words, or that speak of this thing
        words: Vec<String>,
        /// How to answer
        #[arg(long, value_enum, default_value_t)]
        format: Form,
        #[command(flatten)]
        book: BookArgs,
    },
    /// Show one rule as it was written, with its sources
    Show {
        /// The rule's name
        name: String,
        /// How to answer
        #[arg(long, value_enum, default_value_t)]
        format: Form,
        #[command(flatten)]
        book: BookArgs,
    },
}

#[derive(Debug, Args)]
pub(super) struct ItemsArgs {
    /// A thing, a kind, or part of a name; nothing: all
    pub(super) words: Vec<String>,
    /// How to answer
    #[arg(long, value_enum, default_value_t)]
    pub(super) format: DataForm,
    #[command(flatten)]
    pub(super) book: BookArgs,
}

#[derive(Debug, Args)]
pub(super) struct SourcesArgs {
    /// A thing, a kind, a publication's id or a publisher; nothing: all publications
    pub(super) words: Vec<String>,
    /// How to answer
    #[arg(long, value_enum, default_value_t)]
    pub(super) format: Form,
    #[command(flatten)]
    pub(super) book: BookArgs,
}
