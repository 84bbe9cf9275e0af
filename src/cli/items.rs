//! `forefeed items`: what is known.

use super::arguments::{Format, ItemsArgs};
use super::{Ended, Exit, Stop, answer, answer_json, columns, opening};
use crate::report;

pub(super) fn run(args: &ItemsArgs) -> Ended {
    let home = match opening::household(&args.book, None)? {
        Ok(home) => home,
        Err(exit) => return Ok(exit),
    };
    let words = args.words.join(" ");
    let only = report::things::named(&home, &words);
    if !words.is_empty() && only.is_empty() {
        return Err(Stop::Say(format!("I know no thing and no kind called `{words}`")));
    }
    if args.format != Format::Text {
        answer_json(&report::json::items(&home.known, (!words.is_empty()).then_some(only.as_slice())))?;
        return Ok(Exit::Fine);
    }
    answer(&report::things::items(&home, &words, &only, columns()))?;
    Ok(Exit::Fine)
}
