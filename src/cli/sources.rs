//! `forefeed sources`: the publications, and what they say of a thing.

use super::arguments::{Format, SourcesArgs};
use super::{Ended, Exit, Stop, answer, answer_json, columns, opening};
use crate::report;

pub(super) fn run(args: &SourcesArgs) -> Ended {
    let home = match opening::household(&args.book, None)? {
        Ok(home) => home,
        Err(exit) => return Ok(exit),
    };
    let words = args.words.join(" ");
    if args.format != Format::Text {
        answer_json(&report::json::sources(&home.known))?;
        return Ok(Exit::Fine);
    }
    match report::things::sources(&home, &words, columns()) {
        Some(text) => answer(&text)?,
        None => return Err(Stop::Say(format!("no publication that I know speaks of `{words}`"))),
    }
    Ok(Exit::Fine)
}
