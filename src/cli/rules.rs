//! `forefeed rules`: check, list, show.

use super::arguments::{BookArgs, Form, RulesArgs, RulesCommand};
use super::{Ended, Exit, Stop, answer, answer_json, complain, folder, opening, quoted, width};
use crate::fault::{Fault, Faults, Severity, Source, Sources, nearest_in_words};
use crate::judge::{Judge, examples, proofs};
use crate::language::Layer;
use crate::report::{Ink, Page, book, json, words};
use crate::{Unopened, open};
use std::path::PathBuf;

pub(super) fn run(args: &RulesArgs) -> Ended {
    match &args.what {
        RulesCommand::Check { files, book } => check(files, book),
        RulesCommand::List { words, format, book } => list(words, *format, book),
        RulesCommand::Show { name, format, book } => show(name, *format, book),
    }
}

fn check(files: &[PathBuf], args: &BookArgs) -> Ended {
    let mut texts = Vec::new();
    if !args.base_only {
        if files.is_empty() && args.rules.is_empty() {
            texts.extend(folder::texts()?);
        }
        texts.extend(folder::named(&args.rules)?);
    } else if !files.is_empty() {
        return Err(Stop::Say("--base-only reads no file; leave the files or the option out".into()));
    }
    texts.extend(folder::named(files)?);
    let (found, sources, rules) = match open(&texts, opening::setting(args)) {
        Ok((home, mut faults)) => {
            faults.extend(examples::run(&home.known, &home.book));
            faults.extend(proofs::run(&home.known, &home.book, &Judge::new(&home.known, &home.book, &home.setting)));
            let files = home.book.files.iter().filter(|f| texts.is_empty() || f.layer != Layer::Base);
            (faults, home.book.sources, files.map(|f| f.rules).sum())
        }
        Err(Unopened { faults, sources }) => (faults, sources, 0),
    };
    let faults = if texts.is_empty() { found } else { about(&texts, found, &sources) };
    if faults.is_empty() {
        let mut page = Page::new(width());
        page.headline(&format!("{}, nothing wrong.", words::count(rules, "rule")), Ink::Good);
        if texts.is_empty() && !args.base_only {
            page.headline("These are the built-in rules; there is no file of yours yet.", Ink::Plain);
        }
        answer(&page)?;
        return Ok(Exit::Fine);
    }
    opening::draw(&faults, &sources);
    complain(&tally(&faults));
    Ok(Exit::NotReady)
}

/// Errors, and of the warnings those with a place in one of these texts: nobody can mend the
/// built-in ones.
fn about(texts: &[Source], found: Faults, sources: &Sources) -> Faults {
    let ours = |f: &Fault| f.labels.iter().any(|l| sources.get(l.span.file).is_some_and(|s| texts.contains(s)));
    let mut faults = Faults::default();
    found
        .sorted()
        .into_iter()
        .filter(|f| f.severity == Severity::Error || ours(f))
        .for_each(|f| faults.push(f.clone()));
    faults
}

fn tally(faults: &Faults) -> String {
    let all = faults.sorted();
    let errors = all.iter().filter(|f| f.severity == Severity::Error).count();
    format!("{}, {}.", words::count(errors, "mistake"), words::count(all.len() - errors, "warning"))
}

fn list(words: &[String], format: Form, args: &BookArgs) -> Ended {
    let home = opening::household(args)?;
    let words = words.join(" ");
    let some = book::matching(&home, &words);
    if !words.is_empty() && some.is_empty() {
        return Err(Stop::Say(format!("no rule is called, or speaks of, `{}`", quoted(&words))));
    }
    match format {
        Form::Json => answer_json(&json::rules(&home, &some))?,
        Form::Text => {
            let folder = folder::home().map(|h| folder::shown(&h));
            answer(&book::list(&home, &words, &some, folder.as_deref(), width()))?;
        }
    }
    Ok(Exit::Fine)
}

fn show(name: &str, format: Form, args: &BookArgs) -> Ended {
    let home = opening::household(args)?;
    let Some(id) = home.book.named(name) else {
        let near = nearest_in_words(name, home.book.rules.iter().map(|r| r.name.as_str()));
        let help =
            near.map_or_else(|| "`forefeed rules list` names them all".to_string(), |n| format!("did you mean `{n}`?"));
        return Err(Stop::Say(format!("there is no rule `{}`; {help}", quoted(name))));
    };
    match format {
        Form::Json => answer_json(&json::rule(&home, id))?,
        Form::Text => answer(&book::show(&home, id, width()))?,
    }
    Ok(Exit::Fine)
}
