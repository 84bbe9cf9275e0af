//! `forefeed explain`: why, who says so, what to try.

use super::arguments::ExplainArgs;
use super::check::{Input, Place, gather, nothing_known};
use super::{Ended, Exit, Stop, answer, folder, opening, quoted, width};
use crate::report::{Page, explain};
use crate::{Household, check};

pub(super) fn run(args: &ExplainArgs) -> Ended {
    let home = opening::household(&args.book)?;
    let words = args.words.join(" ");
    let asked = check(words.as_bytes(), &home);
    if asked.scraps.is_empty() {
        return Err(Stop::Say(format!("`{}` names nothing", quoted(&words))));
    }
    let Some(path) = &args.bag else {
        if let Some(why) = nothing_known(&asked, &home) {
            return Err(Stop::Say(why));
        }
        let all: Vec<usize> = (0..asked.scraps.len()).collect();
        answer(&pages(&asked, &home, &all, args.all))?;
        return Ok(Exit::Fine);
    };
    let place = if path.as_os_str() == "-" { Place::Stdin } else { Place::File(path.clone()) };
    let bag = check(&gather(Input::Read(vec![place]))?, &home);
    let lines = explain::matching(&bag, &asked);
    if lines.is_empty() {
        return Err(Stop::Say(format!("{}: no line of this bag speaks of `{}`", called(path), quoted(&words))));
    }
    answer(&pages(&bag, &home, &lines, args.all))?;
    Ok(Exit::Fine)
}

fn called(path: &std::path::Path) -> String {
    if path.as_os_str() == "-" { "standard input".into() } else { folder::shown(path) }
}

fn pages(judgement: &crate::judge::Judgement, home: &Household, scraps: &[usize], all: bool) -> Page {
    let mut page = Page::new(width());
    for at in scraps {
        page.blank();
        page.extend(explain::page(judgement, home, *at, all, width()));
    }
    page
}
