//! `forefeed items`: what is known.

use super::arguments::{Form, ItemsArgs};
use super::{Ended, Exit, Stop, answer, answer_json, opening, quoted, width};
use crate::report::{json, things};

pub(super) fn run(args: &ItemsArgs) -> Ended {
    let home = opening::household(&args.book)?;
    let words = args.words.join(" ");
    let only = things::named(&home, &words);
    if !words.is_empty() && only.is_empty() {
        let near = things::nearest_name(&home, &words).map_or_else(String::new, |n| format!("; did you mean `{n}`?"));
        return Err(Stop::Say(format!("I know no thing and no kind called `{}`{near}", quoted(&words))));
    }
    match args.format {
        Form::Json => answer_json(&json::items(&home.known, (!words.is_empty()).then_some(only.as_slice())))?,
        Form::Text => answer(&things::items(&home, &words, &only, width()))?,
    }
    Ok(Exit::Fine)
}
