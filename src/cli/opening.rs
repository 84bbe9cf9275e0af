//! Opening the book that a command works with.

use super::arguments::BookArgs;
use super::{Stop, columns, drawn, folder};
use crate::fault::{Faults, Sources};
use crate::judge::Setting;
use crate::{Household, Unopened, open, report};
use std::{env, io};

/// The setting that the arguments name.
pub(super) fn setting(args: &BookArgs) -> Setting {
    let today = args.today.unwrap_or_else(|| jiff::Zoned::now().date());
    Setting { stance: args.stance.map(Into::into), ..Setting::on(today) }
}

/// The household's book as the arguments say; if it has errors, all of them are drawn, with the
/// way round them.
pub(super) fn household(args: &BookArgs) -> Result<Household, Stop> {
    let mut texts = Vec::new();
    if !args.base_only {
        texts.extend(folder::texts()?);
        texts.extend(folder::named(&args.rules)?);
    }
    match open(&texts, setting(args)) {
        Ok((home, _)) => Ok(Household { language: args.language.map(Into::into), ..home }),
        Err(Unopened { faults, sources }) => {
            draw(&faults, &sources);
            let again = without_own_rules(env::args_os().map(|a| a.to_string_lossy().into_owned()));
            let again: Vec<&str> = again.iter().map(String::as_str).collect();
            let again = (!args.base_only).then_some(again.as_slice());
            drawn(&report::faults::nothing_was_checked(&faults, again, columns(&io::stderr())));
            Err(Stop::Said)
        }
    }
}

/// Draws faults on standard error.
pub(super) fn draw(faults: &Faults, sources: &Sources) {
    drawn(&report::faults::draw(faults, sources, columns(&io::stderr()), true));
    drawn("\n");
}

/// The command that was typed, without the rule files it names.
fn without_own_rules(typed: impl Iterator<Item = String>) -> Vec<String> {
    let mut words = vec!["forefeed".to_string()];
    let mut typed = typed.skip(1);
    while let Some(word) = typed.next() {
        if word == "--rules" {
            typed.next();
        } else if !word.starts_with("--rules=") {
            words.push(word);
        }
    }
    words.push("--base-only".into());
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_round_is_what_was_typed_without_rule_files() {
        let typed = ["/usr/bin/forefeed", "check", "friday.txt", "--rules", "a.rules", "--rules=b.rules", "--full"];
        assert_eq!(
            without_own_rules(typed.into_iter().map(String::from)),
            ["forefeed", "check", "friday.txt", "--full", "--base-only"]
        );
    }
}
