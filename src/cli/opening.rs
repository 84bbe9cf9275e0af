//! Opening the book that a command works with.

use super::arguments::BookArgs;
use super::{Exit, Stop, columns, complain, folder};
use crate::judge::Setting;
use crate::{Household, Unopened, open, report};
use anstyle::AnsiColor;
use std::io::IsTerminal;

/// The household's book as the arguments say, or the exit with everything said.
pub(super) fn household(args: &BookArgs, bag: Option<&str>) -> Result<Result<Household, Exit>, Stop> {
    let mut texts = Vec::new();
    if !args.base_only {
        texts.extend(folder::texts()?);
        texts.extend(folder::named(&args.rules)?);
    }
    let today = args.today.unwrap_or_else(|| jiff::Zoned::now().date());
    let setting = Setting { stance: args.stance.map(Into::into), ..Setting::on(today) };
    match open(&texts, setting) {
        Ok((home, _)) => Ok(Ok(Household { language: args.language.map(Into::into), ..home })),
        Err(unopened) => {
            complain(&drawn(&unopened));
            let again = bag.map_or_else(|| "forefeed check --base-only".to_string(), |b| format!("forefeed check {b} --base-only"));
            complain(&format!("NOTHING WAS CHECKED. Mend the lines above, or this once:\n             {again}"));
            Ok(Err(Exit::CouldNotRun))
        }
    }
}

/// Faults as they are drawn on this terminal.
pub(super) fn drawn(unopened: &Unopened) -> String {
    let colour = std::io::stderr().is_terminal();
    let _ = AnsiColor::Red;
    report::faults::draw(&unopened.faults, &unopened.sources, columns(), colour)
}
