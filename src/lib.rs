//! May this bag go into this bin now, and if not, what do I do about it?
//!
//! The folders are the stages a bag passes, in order; arrows point one way. [`check`] is the whole
//! flow on one screen. The library prints nothing: `cli` does.

pub mod bag;
pub mod base;
pub mod cli;
pub mod fault;
pub mod feeding;
mod flat;
pub mod judge;
mod kept;
pub mod knowledge;
pub mod language;
pub mod report;
pub mod stream;

/// Everything a judgement needs, opened once.
#[derive(Debug, Clone)]
pub struct Household {
    /// What things are: the built-in base and the household's own.
    pub known: knowledge::Known,
    /// The rules in force.
    pub book: language::Book,
    /// The day, the stance, the bin.
    pub setting: judge::Setting,
    /// Which names to prefer where a word is known in several languages.
    pub language: Option<knowledge::Language>,
}

/// What was wrong with the texts of a book: every fault of every file, and the texts.
#[derive(Debug, Clone)]
pub struct Unopened {
    /// The faults, at least one of them an error.
    pub faults: fault::Faults,
    /// The texts that they point into.
    pub sources: fault::Sources,
}

/// Opens the built-in base and the household's files: all of it, or every fault of every file.
/// Warnings stay in the second place.
///
/// # Errors
/// Every fault found in the texts, if one of them is an error.
pub fn open(texts: &[fault::Source], setting: judge::Setting) -> Result<(Household, fault::Faults), Unopened> {
    let (mut faults, mut sources) = (fault::Faults::default(), base::texts());
    let Some((known, book)) = base::base() else {
        faults.push(fault::Fault::error("broken-build", "the built-in base cannot be read", fault::Span::default()));
        return Err(Unopened { faults, sources });
    };
    let (own, rules): (Vec<_>, Vec<_>) = texts.iter().partition(|t| t.name.ends_with(".yaml"));
    let own: Vec<_> = own.iter().map(|t| sources.add(t.name.clone(), t.text.clone())).collect();
    let files: Vec<_> = rules.iter().map(|t| sources.add(t.name.clone(), t.text.clone())).collect();
    let written = language::read(&files, &sources, &mut faults); // text -> Written: syntax, comments, places
    let mut things = language::own_things(&written, &known, &mut faults);
    things.items.extend(own.iter().flat_map(|id| knowledge::load::items(*id, &sources, &mut faults)));
    let known = known.with(things, &mut faults); // base -> + the household's items
    let book = language::check(&written, &known, Some(book), setting.today, sources, &mut faults); // Written -> Book: names, units, layers, days
    if faults.any_error() {
        return Err(Unopened { faults, sources: book.sources });
    }
    Ok((Household { known, book, setting, language: None }, faults))
}

/// One bag, from text to the judgement that text, JSON and tests all read.
pub fn check(text: &[u8], home: &Household) -> judge::Judgement {
    let bag = bag::read_bytes(text, &home.known); // bytes -> Bag of Lines
    let found = knowledge::find(&bag, &home.known, home.language); // Lines -> things with item, rung, look-alikes
    let scraps = knowledge::weigh(found, &home.known); // -> grams and composition, each with its basis
    let judge = judge::Judge::new(&home.known, &home.book, &home.setting);
    judge.conclude(bag, scraps) // -> own verdicts, T*, verdicts, readiness, ledger, steps
}

/// The texts of `rules/`, for drawing a fault that points into them.
mod embedded {
    include!(concat!(env!("OUT_DIR"), "/texts.rs"));
    #[cfg(test)]
    pub(crate) const MEASURES: &str = include_str!("../rules/measures.yaml");
    #[cfg(test)]
    pub(crate) const KINDS: &str = include_str!("../rules/kinds.yaml");

    /// The vocabulary as the built-in files have it.
    #[cfg(test)]
    #[allow(clippy::unwrap_used, reason = "tests")]
    pub(crate) fn vocabulary() -> crate::bag::Vocabulary {
        let glossary = crate::bag::Glossary::load(include_str!("../rules/glossary.yaml")).unwrap();
        let (states, parts) = (include_str!("../rules/states.yaml"), include_str!("../rules/parts.yaml"));
        crate::bag::Vocabulary::load(states, parts, glossary).unwrap()
    }
}
