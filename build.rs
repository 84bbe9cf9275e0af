//! Reads the knowledge base and the base book with the library's own readers, refuses them with the
//! place of every fault, and leaves them behind as ready-made bytes: nothing is parsed at start.

#![allow(
    dead_code,
    unused_imports,
    unreachable_pub,
    reason = "the stages are built here for what the build needs of them"
)]

#[path = "src/bag/mod.rs"]
mod bag;
#[path = "src/fault.rs"]
mod fault;
#[path = "src/flat/mod.rs"]
mod flat;
#[path = "src/kept.rs"]
mod kept;
#[path = "src/knowledge/mod.rs"]
mod knowledge;
#[path = "src/language/mod.rs"]
mod language;

use fault::{Faults, FileId, Severity, Sources};
use std::path::{Path, PathBuf};
use std::{env, fs, io, process};

fn main() -> io::Result<()> {
    println!("cargo::rerun-if-changed=rules");
    println!("cargo::rerun-if-changed=grammar/rules.pest");
    for folder in ["src/bag", "src/knowledge", "src/language", "src/flat", "src/fault.rs", "src/kept.rs"] {
        println!("cargo::rerun-if-changed={folder}");
    }
    start_sooner();
    let root = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").unwrap_or_default());
    let out = PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default());
    let (mut sources, mut faults) = (Sources::default(), Faults::default());
    let mut names: Vec<String> = Vec::new();
    let mut add = |name: String, sources: &mut Sources| -> io::Result<FileId> {
        let text = fs::read_to_string(root.join(&name))?;
        names.push(name.clone());
        Ok(sources.add(name, text))
    };
    let [states, parts, glossary, words, measures] = ["states", "parts", "glossary", "words", "measures"]
        .map(|name| add(format!("rules/{name}.yaml"), &mut sources));
    let kinds = add("rules/kinds.yaml".into(), &mut sources)?;
    let mut items = Vec::new();
    for name in files(&root, "rules/items", "yaml")? {
        items.push(add(name, &mut sources)?);
    }
    let foods = add("rules/composition.yaml".into(), &mut sources)?;
    let publications = add("rules/sources.yaml".into(), &mut sources)?;
    let statements = add("rules/evidence.yaml".into(), &mut sources)?;
    let mut rules = Vec::new();
    for name in files(&root, "rules/base", "rules")? {
        rules.push(add(name, &mut sources)?);
    }
    let texts = knowledge::load::BaseTexts {
        states: states?,
        parts: parts?,
        glossary: glossary?,
        words: words?,
        kinds,
        items: &items,
        foods,
        publications,
        statements,
        measures: measures?,
    };
    let known = knowledge::load::base(&texts, &sources, &mut faults);
    let written = language::read(&rules, &sources, &mut faults);
    // The day is settled again at every start; no base rule is dated.
    let day = jiff::civil::date(2026, 1, 1);
    let mut book = language::check(&written, &known, None, day, sources.clone(), &mut faults);
    book.index(&known);
    if faults.any_error() {
        for fault in faults.sorted().into_iter().filter(|f| f.severity == Severity::Error) {
            let (line, column) = sources.place(fault.span());
            let help = fault.help.as_ref().map_or(String::new(), |h| format!(" ({h})"));
            println!("cargo::error={}:{line}:{column}: {}{help}", sources.name(fault.span().file), fault.message);
        }
        process::exit(1);
    }
    fs::write(out.join("base.bin"), flat::ready::write(&(known, book)).map_err(io::Error::other)?)?;
    let list: Vec<String> = names.iter().map(|n| format!("    ({n:?}, include_str!({:?})),\n", root.join(n))).collect();
    fs::write(out.join("texts.rs"), format!("pub(crate) const TEXTS: &[(&str, &str)] = &[\n{}];\n", list.concat()))
}

/// Spares the loader work that it would have to do anew at every start of a short command, where
/// that is known to be safe: glibc and GCC's runtime.
fn start_sooner() {
    println!("cargo::rerun-if-env-changed=RUSTC_LINKER");
    let target = |what: &str| env::var(what).unwrap_or_default();
    if target("CARGO_CFG_TARGET_OS") != "linux" || target("CARGO_CFG_TARGET_ENV") != "gnu" {
        return;
    }
    // Loaded at a fixed address, the program needs none of its nine thousand pointers mended: that took
    // a fifth of the time. Nothing in it is unsafe.
    println!("cargo::rustc-link-arg-bins=-no-pie");
    // The unwinder in the program itself is one library less to be found, loaded and set up.
    let linker = env::var("RUSTC_LINKER").unwrap_or_else(|_| "cc".into());
    let found = process::Command::new(linker).arg("-print-file-name=libgcc_eh.a").output();
    // Where there is none, the name comes back as it was asked for.
    if found.is_ok_and(|f| Path::new(String::from_utf8_lossy(&f.stdout).trim()).is_absolute()) {
        println!("cargo::rustc-link-lib=static:-bundle=gcc_eh");
    }
}

/// The files of a folder with an ending, sorted, named from the project's root.
fn files(root: &Path, folder: &str, ending: &str) -> io::Result<Vec<String>> {
    let mut all: Vec<PathBuf> = fs::read_dir(root.join(folder))?.filter_map(|e| e.ok().map(|e| e.path())).collect();
    all.retain(|p| p.extension().is_some_and(|e| e == ending));
    all.sort();
    Ok(all.iter().filter_map(|p| p.file_name()).map(|n| format!("{folder}/{}", n.to_string_lossy())).collect())
}
