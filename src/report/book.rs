//! The rules for people: all that are in force, and one as it was written.
//!
//! A rule that something overrules says by which rule, in which file and line.

use super::{Ink, Page, Width, said, things, words};
use crate::Household;
use crate::fault::Sources;
use crate::knowledge::{ItemId, KindId};
use crate::language::{Layer, Rule, RuleId, Side, SubjectSet, SubjectTerm, Who};

/// Where the text of a list begins, and that of one rule.
const LIST: usize = 30;
const ONE: usize = 13;
/// Words that begin a block of a rule file.
const HEADS: [&str; 6] = ["rule", "kind", "item", "setting", "answer", "layer"];

/// The rules that some words name: all for none, else those whose name, subject or condition holds
/// the words, or whose subject holds the thing they name.
pub fn matching(home: &Household, asked: &str) -> Vec<RuleId> {
    let asked = asked.trim().to_lowercase();
    let things = if asked.is_empty() { Vec::new() } else { things::exactly(home, &asked) };
    let about: Vec<RuleId> = match things.as_slice() {
        [item] => speaking_of(home, *item),
        _ => home.known.kind_named(&asked).map_or_else(Vec::new, |k| speaking_of_kind(home, k)),
    };
    let holds = |r: &Rule| r.name.contains(&asked) || subject(r, home).to_lowercase().contains(&asked);
    home.book.iter().filter(|(id, r)| asked.is_empty() || about.contains(id) || holds(r)).map(|(id, _)| id).collect()
}

/// The rules in force that speak of an item, a part of it, or something it is made of, by more than
/// `any food`.
pub fn speaking_of(home: &Household, item: ItemId) -> Vec<RuleId> {
    let known = &home.known;
    let mut within = vec![item];
    let mut at = 0;
    while let Some(made) = within.get(at).and_then(|id| known.item(*id)).map(|i| &i.made_of) {
        for id in made.main.iter().chain(&made.some) {
            if !within.contains(id) {
                within.push(*id);
            }
        }
        at += 1;
    }
    let parts: Vec<_> = std::iter::once(None).chain(known.vocabulary().parts().map(|(p, _)| Some(p))).collect();
    live(home, |set| {
        let excepted = parts.iter().all(|p| set.excepted(item, *p, known));
        !excepted && within.iter().any(|id| parts.iter().any(|p| set.holds(*id, *p, known)))
    })
}

/// The rules in force that speak of all of a kind by more than `any food`.
pub fn speaking_of_kind(home: &Household, kind: KindId) -> Vec<RuleId> {
    fn names(terms: &[SubjectTerm], all: &[KindId]) -> bool {
        terms.iter().any(|t| match t {
            SubjectTerm::Kind(k, _) => all.contains(k),
            SubjectTerm::Group(_, set) => names(&set.terms, all),
            _ => false,
        })
    }
    let all = home.known.broader_of(kind);
    live(home, |set| names(&set.terms, all) && !names(&set.except, all))
}

fn live(home: &Household, speaks: impl Fn(&SubjectSet) -> bool) -> Vec<RuleId> {
    let fits = |r: &Rule| matches!(r.subject(), Who::Scraps(set) if !set.is_any() && speaks(set));
    home.book.iter().filter(|(_, r)| r.live && fits(r)).map(|(id, _)| id).collect()
}

/// The rules in force among some that were asked for, file by file; then those that are not in
/// force, and where the household's own files are looked for.
pub fn list(home: &Household, asked: &str, some: &[RuleId], folder: Option<&str>, width: Width) -> Page {
    let mut page = Page::new(width);
    let book = &home.book;
    let rules: Vec<&Rule> = some.iter().filter_map(|id| book.rule(*id)).collect();
    let of = |layer| rules.iter().filter(|r| r.live && r.layer == layer).count();
    let counts: Vec<String> = [Layer::Base, Layer::Area, Layer::Household]
        .into_iter()
        .filter(|layer| of(*layer) > 0)
        .map(|layer| format!("{} {}", of(layer), words::whose(layer)))
        .collect();
    let total = rules.iter().filter(|r| r.live).count();
    let about = if asked.is_empty() { String::new() } else { format!(" that speak of {}", words::clipped(asked, 40)) };
    let which = if counts.is_empty() { String::new() } else { format!(": {}", words::list(&counts, "and")) };
    page.headline(&format!("{} in force{about}{which}.", words::count(total, "rule")), Ink::Strong);
    let mut files: Vec<(Layer, &str)> = Vec::new();
    for r in rules.iter().filter(|r| r.live) {
        if !files.contains(&(r.layer, r.file())) {
            files.push((r.layer, r.file()));
        }
    }
    for (layer, file) in files {
        page.blank();
        page.headline(
            &format!("{}: {file}", words::whose(layer).to_uppercase()),
            if layer == Layer::Base { Ink::Quiet } else { Ink::Strong },
        );
        for r in rules.iter().filter(|r| r.live && r.layer == layer && r.file() == file) {
            let ink = if layer == Layer::Base { Ink::Plain } else { Ink::Strong };
            page.row(&r.name, ink, LIST, &format!("{}: {}", subject(r, home), asks(r, home)));
            for lifted in lifted(r, home) {
                page.under(LIST, &format!("but not {lifted}"));
            }
        }
    }
    let silent: Vec<String> =
        rules.iter().filter(|r| !r.live).map(|r| format!("{} ({})", r.name, why_not(r, home))).collect();
    if !silent.is_empty() {
        page.blank();
        page.row("NOT IN FORCE", Ink::Quiet, ONE, &silent.join("; "));
    }
    page.blank();
    own_files(home, folder, &mut page);
    page.row("ONE OF THEM", Ink::Quiet, ONE, "forefeed rules show NAME");
    page
}

fn own_files(home: &Household, folder: Option<&str>, page: &mut Page) {
    let own = home.book.files.iter().any(|f| f.layer != Layer::Base);
    let text = match (folder, own) {
        (Some(folder), true) => folder.to_string(),
        (Some(folder), false) => format!("{folder} (none there yet; every NAME.rules in it is read)"),
        (None, _) => "no folder for them is known; name files with --rules".to_string(),
    };
    page.row("YOUR OWN", Ink::Quiet, ONE, &text);
}

/// Whom a rule speaks of, and when.
fn subject(r: &Rule, home: &Household) -> String {
    let when = r.when.as_ref().map_or_else(String::new, |w| format!(", when {}", words::when(w, &home.known)));
    match r.subject() {
        Who::Scraps(set) if set.terms.is_empty() => "speaks of no thing".to_string(),
        who => words::who(who, &home.known) + &when,
    }
}

/// What a rule asks and does, in one sentence.
pub(super) fn asks(r: &Rule, home: &Household) -> String {
    let (known, book) = (&home.known, &home.book);
    let mut parts: Vec<String> = r.demands.iter().map(|d| words::demand(d, known, book)).collect();
    for (side, demand) in [("easy", &r.lenient), ("careful", &r.strict)] {
        parts.extend(demand.iter().map(|d| format!("{side} side: {}", words::demand(d, known, book))));
    }
    let name = |id: &RuleId| book.rule(*id).map_or("", |r| r.name.as_str());
    parts.extend(r.replaces.iter().map(|id| format!("takes the place of {}", name(id))));
    parts.extend(r.lifts.iter().map(|(id, set)| match set {
        Some(set) => format!("lifts {} for {}", name(id), words::subject(set, known)),
        None => format!("lifts {}", name(id)),
    }));
    if parts.is_empty() {
        parts.push(words::asks_nothing(r).to_string());
    }
    let hazard = if r.hazard { "; a hazard" } else { "" };
    let until = r.until.map_or_else(String::new, |d| format!("; until {d}"));
    format!("{}{hazard}{until}", parts.join("; "))
}

/// For whom it no longer speaks, and by which rule.
fn lifted(r: &Rule, home: &Household) -> Vec<String> {
    let by = |id: &RuleId| {
        home.book.rule(*id).map_or_else(String::new, |by| format!("{} lifts it ({})", by.name, words::place(by)))
    };
    let whom = |set: &SubjectSet| {
        if set.is_any() { "for anything".to_string() } else { format!("for {}", words::subject(set, &home.known)) }
    };
    r.lifted.iter().map(|(id, set)| format!("{}: {}", whom(set), by(id))).collect()
}

fn why_not(r: &Rule, home: &Household) -> String {
    if let Some(by) = r.replaced_by.and_then(|id| home.book.rule(id)) {
        return format!("{} takes its place, {}", by.name, words::place(by));
    }
    match (r.from, r.until) {
        (Some(from), _) if home.book.today < from => format!("from {from} on"),
        (_, Some(until)) => format!("until {until}"),
        _ => "out of its days".to_string(),
    }
}

/// One rule: whose it is, whether it is in force, as it was written, and its sources in full.
pub fn show(home: &Household, id: RuleId, width: Width) -> Page {
    let mut page = Page::new(width);
    let Some(r) = home.book.rule(id) else { return page };
    page.headline(&format!("{}: {} rule, {}", r.name, words::whose(r.layer), words::place(r)), Ink::Strong);
    page.blank();
    for line in written(r, &home.book.sources).lines() {
        let inner = line.trim_start();
        let deep = (line.len() - inner.len()).min(12);
        // A clause goes on under its text, as one would write it.
        let (word, text) = inner.split_at(inner.find("  ").filter(|at| *at < 12).unwrap_or(0));
        let hang = 2 + deep + if word.is_empty() { 0 } else { word.len() + (text.len() - text.trim_start().len()) };
        if word.is_empty() {
            page.under(hang, inner);
        } else {
            page.row(&format!("{}{word}", " ".repeat(2 + deep)), Ink::Plain, hang, text.trim_start());
        }
    }
    page.blank();
    if r.live {
        let until = r.until.map_or_else(String::new, |d| format!(", until {d}"));
        page.row("IN FORCE", Ink::Quiet, ONE, &format!("yes, on {}{until}", home.book.today));
    } else {
        page.row("IN FORCE", Ink::Stop, ONE, &format!("no: {}", why_not(r, home)));
    }
    if let (Some(strict), Some(lenient)) = (&r.strict, &r.lenient) {
        let stance = home.setting.stance.unwrap_or(home.book.settings.stance.0);
        let (taken, other) = if stance == Side::Strict { (strict, lenient) } else { (lenient, strict) };
        let said = |d| words::demand(d, &home.known, &home.book);
        let (side, turned) = if stance == Side::Strict { ("careful", "easy") } else { ("easy", "careful") };
        page.row(
            "SIDE TAKEN",
            Ink::Quiet,
            ONE,
            &format!("the {side} one: {}; the {turned} one: {}", said(taken), said(other)),
        );
    }
    for lifted in lifted(r, home) {
        let still = if r.hazard { "; its caution still prints" } else { "" };
        page.row("BUT NOT", Ink::Do, ONE, &format!("{lifted}{still}"));
    }
    cited("SOURCES", r.sources(), home, &mut page);
    cited("DISPUTED BY", r.disputed_by(), home, &mut page);
    if r.sources().is_empty() && !r.common_practice {
        page.row("SOURCES", Ink::Quiet, ONE, "none named");
    }
    if r.common_practice {
        page.row("AND", Ink::Quiet, ONE, "common practice: the trade does it, and no publication is cited for that");
    }
    page
}

fn cited(label: &str, ids: &[String], home: &Household, page: &mut Page) {
    for (n, id) in ids.iter().enumerate() {
        let text = home.known.publication(id).map_or_else(|| id.clone(), said::cited);
        page.row(if n == 0 { label } else { "" }, Ink::Quiet, ONE, &text);
    }
}

/// The block of a rule as it stands in its file, comments within it included.
fn written(r: &Rule, sources: &Sources) -> String {
    let Some(source) = sources.get(r.place.file) else { return String::new() };
    let at = usize::try_from(r.at_line).unwrap_or(1).saturating_sub(1);
    let head = |line: &&str| {
        let first = line.trim_start_matches('\u{feff}').split(|c: char| !c.is_alphanumeric()).next().unwrap_or("");
        HEADS.contains(&first)
    };
    let mut lines = source.text.lines().skip(at);
    let mut block: Vec<&str> = lines.next().into_iter().collect();
    block.extend(lines.take_while(|l| !head(l)));
    let idle = |line: &&str| line.trim().is_empty() || line.starts_with('#');
    while block.last().is_some_and(idle) {
        block.pop();
    }
    block.join("\n")
}
