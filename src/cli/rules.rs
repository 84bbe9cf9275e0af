//! `forefeed rules`: check, list, show.

use super::arguments::{BookArgs, Format, RulesArgs, RulesCommand};
use super::{Ended, Exit, Stop, answer, answer_json, columns, complain, folder, opening};
use crate::fault::{Faults, Severity, nearest};
use crate::judge::{Judge, Setting, examples, proofs};
use crate::language::Layer;
use crate::{Household, Unopened, open, report};

pub(super) fn run(args: &RulesArgs) -> Ended {
    match &args.what {
        RulesCommand::Check { files, book } => check(files, book),
        RulesCommand::List { words, format, book } => list(words, *format, book),
        RulesCommand::Show { name, format, book } => show(name, *format, book),
    }
}

fn check(files: &[std::path::PathBuf], args: &BookArgs) -> Ended {
    let mut texts = Vec::new();
    if files.is_empty() && !args.base_only {
        texts.extend(folder::texts()?);
    }
    texts.extend(folder::named(files)?);
    texts.extend(folder::named(&args.rules)?);
    let today = args.today.unwrap_or_else(|| jiff::Zoned::now().date());
    let setting = Setting { stance: args.stance.map(Into::into), ..Setting::on(today) };
    let (faults, sources, rules) = match open(&texts, setting) {
        Ok((home, mut faults)) => {
            faults.extend(examples::run(&home.known, &home.book));
            let judge = Judge::new(&home.known, &home.book, &home.setting);
            faults.extend(proofs::run(&home.known, &home.book, &judge));
            let own: usize = home.book.files.iter().filter(|f| f.layer != Layer::Base).map(|f| f.rules).sum();
            let count = if texts.is_empty() { home.book.rules.len() } else { own };
            (faults, home.book.sources, count)
        }
        Err(unopened) => (unopened.faults, unopened.sources, 0),
    };
    if faults.is_empty() {
        answer(&format!("{rules} rules, nothing wrong.\n"))?;
        return Ok(Exit::Fine);
    }
    let count = tally(&faults);
    complain(&opening::drawn(&Unopened { faults, sources }));
    complain(&count);
    Ok(Exit::NotReady)
}

fn tally(faults: &Faults) -> String {
    let all = faults.sorted();
    let errors = all.iter().filter(|f| f.severity == Severity::Error).count();
    let warnings = all.len() - errors;
    let count = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
    format!("{}, {}.", count(errors, "mistake"), count(warnings, "warning"))
}

fn household(args: &BookArgs) -> Result<Result<Household, Exit>, Stop> {
    opening::household(args, None)
}

fn list(words: &[String], format: Format, args: &BookArgs) -> Ended {
    let home = match household(args)? {
        Ok(home) => home,
        Err(exit) => return Ok(exit),
    };
    if format != Format::Text {
        answer_json(&report::json::rules(&home))?;
        return Ok(Exit::Fine);
    }
    answer(&report::book::list(&home, &words.join(" "), columns(), folder::home().map(|h| folder::shown(&h)).as_deref()))?;
    Ok(Exit::Fine)
}

fn show(name: &str, format: Format, args: &BookArgs) -> Ended {
    let home = match household(args)? {
        Ok(home) => home,
        Err(exit) => return Ok(exit),
    };
    let Some(id) = home.book.named(name) else {
        let near = nearest(name, home.book.rules.iter().map(|r| r.name.as_str()));
        let help = near.map_or_else(|| "`forefeed rules list` names them all".to_string(), |n| format!("did you mean `{n}`?"));
        return Err(Stop::Say(format!("there is no rule `{name}`; {help}")));
    };
    if format != Format::Text {
        answer_json(&report::json::rule(&home, id))?;
        return Ok(Exit::Fine);
    }
    answer(&report::book::show(&home, id, columns()))?;
    Ok(Exit::Fine)
}
