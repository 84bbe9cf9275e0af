//! `forefeed items`: what is known.

use super::arguments::{DataForm, ItemsArgs};
use super::{Ended, Exit, Stop, answer, answer_json, opening, quoted, width};
use crate::report::{data, json, things};
use std::io::{self, Write};

pub(super) fn run(args: &ItemsArgs) -> Ended {
    let home = opening::household(&args.book)?;
    let words = args.words.join(" ");
    let only = things::named(&home, &words);
    if !words.is_empty() && only.is_empty() {
        let near = things::nearest_name(&home, &words).map_or_else(String::new, |n| format!("; did you mean `{n}`?"));
        return Err(Stop::Say(format!("I know no thing and no kind called `{}`{near}", quoted(&words))));
    }
    let some = (!words.is_empty()).then_some(only.as_slice());
    match args.format {
        DataForm::Json => answer_json(&json::items(&home.known, some))?,
        DataForm::Csv => io::stdout().lock().write_all(&data::table(&home.known, some)?)?,
        DataForm::Turtle => io::stdout().lock().write_all(data::turtle(&home.known, some).as_bytes())?,
        DataForm::Text => answer(&things::items(&home, &words, &only, width()))?,
    }
    Ok(Exit::Fine)
}
