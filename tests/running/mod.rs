//! Runs the built program in a household of its own.

#![allow(dead_code, reason = "each test file uses some of it")]

use serde_json::Value;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// A household with nothing in its folder, and a folder to work in.
pub(crate) struct Home {
    dir: tempfile::TempDir,
}

/// What a run printed, and how it ended.
#[derive(Debug)]
pub(crate) struct Ran {
    pub(crate) out: String,
    pub(crate) err: String,
    pub(crate) code: Option<i32>,
}

impl Ran {
    /// Standard output as one JSON value.
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}\n{self:?}"))
    }

    /// Standard output as one JSON value a line.
    pub(crate) fn lines(&self) -> Vec<Value> {
        self.out.lines().map(|l| serde_json::from_str(l).unwrap_or_else(|e| panic!("{e}\n{l}"))).collect()
    }

    /// Holds that it could not run, said just this, and printed no result.
    #[track_caller]
    pub(crate) fn says(&self, err: &str) {
        assert_eq!((self.out.as_str(), self.err.as_str(), self.code), ("", err, Some(2)));
    }

    /// Holds that it ended with this code, said nothing on standard error, and gives the output.
    #[track_caller]
    pub(crate) fn quietly(self, code: i32) -> String {
        assert_eq!((self.err.as_str(), self.code), ("", Some(code)), "{}", self.out);
        self.out
    }
}

impl Home {
    pub(crate) fn new() -> Home {
        let dir = tempfile::tempdir().unwrap();
        fs::create_dir_all(dir.path().join("home/area")).unwrap();
        fs::create_dir_all(dir.path().join("work")).unwrap();
        Home { dir }
    }

    /// A household with one rule file.
    pub(crate) fn with(rules: &str) -> Home {
        let home = Home::new();
        home.own("household.rules", rules);
        home
    }

    pub(crate) fn folder(&self) -> PathBuf {
        self.dir.path().join("home")
    }

    /// Writes a file of the household's folder.
    pub(crate) fn own(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        put(&self.folder().join(name), text.as_ref())
    }

    /// Writes a file in the folder that commands run in.
    pub(crate) fn file(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        put(&self.dir.path().join("work").join(name), text.as_ref())
    }

    pub(crate) fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_forefeed"));
        command.args(args).current_dir(self.dir.path().join("work")).env("FOREFEED_HOME", self.folder());
        for variable in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS"] {
            command.env_remove(variable);
        }
        command
    }

    pub(crate) fn run(&self, args: &[&str]) -> Ran {
        self.feed(args, b"")
    }

    /// Runs with this on standard input.
    pub(crate) fn feed(&self, args: &[&str], input: &[u8]) -> Ran {
        let mut child =
            self.command(args).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        let mut stdin = child.stdin.take().unwrap();
        let input = input.to_vec();
        // A program that reads no input may be gone before it is written.
        let feeding = std::thread::spawn(move || drop(stdin.write_all(&input)));
        let output = child.wait_with_output().unwrap();
        feeding.join().unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        Ran { out: text(output.stdout), err: text(output.stderr), code: output.status.code() }
    }

    /// The whole-bag answer to some lines.
    pub(crate) fn check(&self, bag: &str, options: &[&str]) -> Value {
        self.feed(&[&["check", "-", "--format", "json"], options].concat(), bag.as_bytes()).json()
    }

    /// The first scrap of the answer to one line.
    pub(crate) fn scrap(&self, line: &str, options: &[&str]) -> Value {
        self.check(line, options)["scraps"][0].clone()
    }
}

fn put(path: &Path, text: &[u8]) -> PathBuf {
    fs::write(path, text).unwrap();
    path.to_path_buf()
}
