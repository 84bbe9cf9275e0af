//! The household's folder: where it is and what is read from it.

use super::Stop;
use crate::fault::Source;
use crate::report::words;
use etcetera::{BaseStrategy, choose_base_strategy};
use std::path::{Path, PathBuf};
use std::{env, fs, io};

/// The variable that moves the folder.
const MOVED: &str = "FOREFEED_HOME";
/// Rule and item files over this many bytes are refused (4 MiB).
const LARGEST: u64 = 4 << 20;

/// Where the household's folder is: `FOREFEED_HOME`, else `forefeed` in the platform's
/// configuration folder.
pub(super) fn home() -> Option<PathBuf> {
    match env::var_os(MOVED) {
        Some(moved) if !moved.is_empty() => Some(PathBuf::from(moved)),
        _ => choose_base_strategy().ok().map(|s| s.config_dir().join("forefeed")),
    }
}

/// The texts of the household's folder, area files first; none if there is no such folder. One that
/// the variable names must be there: its rules may keep something out.
pub(super) fn texts() -> Result<Vec<Source>, Stop> {
    let Some(home) = home() else { return Ok(Vec::new()) };
    if env::var_os(MOVED).is_some_and(|m| !m.is_empty()) && !home.is_dir() {
        let name = shown(&home);
        return Err(Stop::Say(format!(
            "{MOVED} names {name}, and there is no such folder; make it, or use --base-only"
        )));
    }
    let mut all = Vec::new();
    for folder in [home.join("area"), home] {
        if folder.is_dir() {
            all.extend(files(&folder)?);
        }
    }
    all.iter().map(|f| read(f)).collect()
}

/// The texts of files and folders that were named.
pub(super) fn named(paths: &[PathBuf]) -> Result<Vec<Source>, Stop> {
    let mut all = Vec::new();
    for path in paths {
        if path.is_dir() {
            let found = files(path)?;
            if found.is_empty() {
                return Err(Stop::Say(format!("{}: there is no .rules file in this folder", shown(path))));
            }
            all.extend(found);
        } else {
            all.push(path.clone());
        }
    }
    all.iter().map(|f| read(f)).collect()
}

/// The rule and item files of a folder, sorted by name.
fn files(folder: &Path) -> Result<Vec<PathBuf>, Stop> {
    let entries = fs::read_dir(folder).map_err(|e| cannot_read(folder, &e))?;
    let mut all: Vec<PathBuf> = entries.filter_map(|e| e.ok().map(|e| e.path())).collect();
    all.retain(|p| p.is_file() && p.extension().is_some_and(|e| e == "rules" || e == "yaml"));
    all.sort();
    Ok(all)
}

fn read(path: &Path) -> Result<Source, Stop> {
    let size = fs::metadata(path).map_err(|e| cannot_read(path, &e))?.len();
    if size > LARGEST {
        return Err(Stop::Say(format!("{}: {} MiB is no rule file; they end at 4", shown(path), size >> 20)));
    }
    let bytes = fs::read(path).map_err(|e| cannot_read(path, &e))?;
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        return Err(Stop::Say(format!("{}: this file is UTF-16; save it as UTF-8", shown(path))));
    }
    match String::from_utf8(bytes) {
        Ok(text) => Ok(Source { name: shown(path).into(), text: text.into() }),
        Err(error) => {
            let line =
                error.as_bytes().iter().take(error.utf8_error().valid_up_to()).filter(|b| **b == b'\n').count() + 1;
            Err(Stop::Say(format!("{}, line {line}: this is not UTF-8 text; save the file as UTF-8", shown(path))))
        }
    }
}

/// Why a file cannot be read, and what to do.
pub(super) fn cannot_read(path: &Path, error: &io::Error) -> Stop {
    let name = shown(path);
    Stop::Say(match error.kind() {
        io::ErrorKind::NotFound => format!("{name}: there is no such file"),
        io::ErrorKind::PermissionDenied => format!("{name}: you are not allowed to read it"),
        io::ErrorKind::IsADirectory => format!("{name} is a folder, not a file"),
        _ => format!("{name}: cannot be read ({error})"),
    })
}

/// A path as a person can read it, without control characters.
pub(super) fn shown(path: &Path) -> String {
    words::clean(&path.to_string_lossy())
}
