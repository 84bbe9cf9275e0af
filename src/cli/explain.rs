//! `forefeed explain`: why, who says so, what to try.

use super::arguments::ExplainArgs;
use super::{Ended, Exit, Stop, answer, columns, folder, opening};
use crate::{check, report};
use std::fs;

pub(super) fn run(args: &ExplainArgs) -> Ended {
    let home = match opening::household(&args.book, None)? {
        Ok(home) => home,
        Err(exit) => return Ok(exit),
    };
    let words = args.words.join(" ");
    let text = match &args.bag {
        Some(path) => fs::read(path).map_err(|e| folder::cannot_read(path, &e))?,
        None => words.clone().into_bytes(),
    };
    let judgement = check(&text, &home);
    let at = match &args.bag {
        None => (!judgement.scraps.is_empty()).then_some(0),
        Some(_) => report::explain::find(&judgement, &home, &words),
    };
    let Some(at) = at else {
        return Err(Stop::Say(match &args.bag {
            Some(path) => format!("{}: no line of this bag speaks of `{words}`", folder::shown(path)),
            None => format!("`{words}` names nothing"),
        }));
    };
    let width = columns();
    let text = if args.all {
        report::explain::all(&judgement, &home, at, width)
    } else {
        report::explain::short(&judgement, &home, at, width)
    };
    answer(&text)?;
    Ok(Exit::Fine)
}
