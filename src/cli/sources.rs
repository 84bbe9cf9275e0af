//! `forefeed sources`: the publications, and what they say of a thing.

use super::arguments::{Form, SourcesArgs};
use super::{Ended, Exit, Stop, answer, answer_json, opening, quoted, width};
use crate::report::{json, spoken, things};

pub(super) fn run(args: &SourcesArgs) -> Ended {
    let home = opening::household(&args.book)?;
    let words = args.words.join(" ");
    let Some(asked) = spoken::asked(&home, &words) else {
        let near = things::nearest_name(&home, &words).map_or_else(String::new, |n| format!("; did you mean `{n}`?"));
        return Err(Stop::Say(format!(
            "I know no thing, no publication and no publisher called `{}`{near}",
            quoted(&words)
        )));
    };
    match args.format {
        Form::Json => {
            let (publications, statements) = spoken::spoken(&home, &asked);
            answer_json(&json::sources(&publications, &statements))?;
        }
        Form::Text => answer(&spoken::sources(&home, &asked, width()))?,
    }
    Ok(Exit::Fine)
}
