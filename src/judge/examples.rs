//! Runs the examples that rules carry: each is a test of the book.
//!
//! Without a bin profile, in the default stance and on a fixed day unless an example says
//! otherwise; those of a layer on the layers up to it, a household's on the whole book.

use super::{Bin, Judge, Judgement, Setting, Verdict};
use crate::bag::{self, Mg, Named, Reading, Said, Thing};
use crate::fault::{Fault, Faults};
use crate::knowledge::{self, Found, Identified, Identity, Known, Language, Mass, MassBasis, Rung, Scrap};
use crate::language::{Book, Layer, RuleId, Side};
use jiff::civil::{Date, date};

/// The day on which an example plays that names none, unless its rule is out of force then.
pub const DAY: Date = date(2026, 7, 1);

/// Runs every example of the book; a failed one is an error at its place.
pub fn run(known: &Known, book: &Book) -> Faults {
    let mut faults = Faults::default();
    for (id, rule) in book.iter() {
        for example in rule.examples().iter() {
            let got = judge(known, book, id, example);
            let verdict = worst(&got);
            let cautioned = !got.cautions.is_empty();
            let place = example.line.span;
            if example.gives != verdict.word() {
                let why = got.judged.iter().filter_map(|j| j.decides()).find_map(|f| match f.origin {
                    super::Origin::Rule(r) => book.rule(r).map(|r| format!("`{}` decides", r.name)),
                    super::Origin::Reading => Some("the line is not read surely".to_string()),
                });
                let read: Vec<String> = got.scraps.iter().map(|s| describe(s, known)).collect();
                faults.push(
                    Fault::error(
                        "example-fails",
                        format!("this example gives {}, not {}", verdict.word(), example.gives),
                        place,
                    )
                    .saying(format!(
                        "read as {}",
                        if read.is_empty() { "nothing".to_string() } else { read.join("; ") }
                    ))
                    .maybe_help(why),
                );
            } else if example.with_caution && !cautioned {
                faults.push(Fault::error("example-fails", "this example prints no caution", place));
            }
        }
    }
    faults
}

fn worst(judgement: &Judgement) -> Verdict {
    judgement.judged.iter().map(|j| j.verdict).max().unwrap_or(Verdict::Feed)
}

fn describe(scrap: &Scrap, known: &Known) -> String {
    let item = scrap.found.identities.first().and_then(|i| i.item);
    item.map_or_else(|| "something unknown".to_string(), |i| known.item_name(i).to_string())
}

/// Judges one example of a rule.
fn judge(known: &Known, book: &Book, id: RuleId, example: &crate::language::syntax::Example) -> Judgement {
    let rule = book.rule(id);
    let in_force = rule.is_some_and(|r| r.from.is_none_or(|d| d <= DAY) && r.until.is_none_or(|d| DAY <= d));
    let day = example.date.unwrap_or(if in_force { DAY } else { rule.and_then(|r| r.from.or(r.until)).unwrap_or(DAY) });
    let book = book.as_of(day, rule.map_or(Layer::Household, |r| r.layer));
    let stance = if example.strict { Side::Strict } else { Side::Lenient };
    let setting = Setting {
        today: day,
        stance: Some(stance),
        bin: Bin { indoors: example.indoors, ..Bin::default() },
        record: None,
    };
    let bag = bag::read(&example.line.value, known);
    let mut scraps = knowledge::weigh(knowledge::find(&bag, known, None), known);
    if let Some(grams) = example.bag_grams {
        let there: Mg = scraps.iter().map(|s| s.mass.typical).sum();
        let rest = Mg(Mg::from_grams(grams).0 - there.0);
        if rest.0 > 0 {
            scraps.push(stand_in(rest));
        }
    }
    let judge = Judge::new(known, &book, &setting);
    judge.conclude_plain(bag, scraps)
}

/// A plain food of no kind and no cap, 75 % water, to fill up a bag.
pub fn stand_in(mass: Mg) -> Scrap {
    let named = Named { name: "plain food".into(), full: "plain food".into(), part: None, said: Said::default() };
    let identity = Identity {
        name: named.name.clone(),
        item: None,
        part: None,
        said: Said::default(),
        identified: Identified::Sure,
        rung: Some(Rung::Exact),
        confidence: 1.0,
        language: Language::En,
        alternatives: Vec::new(),
    };
    let thing = Thing {
        text: "plain food".into(),
        amount: None,
        unit: None,
        each: None,
        about: None,
        of_whole: false,
        names: [named].into(),
        additions: Vec::new(),
        without: Vec::new(),
    };
    Scrap {
        found: Found {
            line: 0,
            thing: thing.into(),
            identities: vec![identity.into()],
            additions: Vec::new(),
            unknown_additions: Vec::new(),
            without: Vec::new(),
        },
        mass: Mass { typical: mass, low: mass, high: mass, basis: MassBasis::Stated },
    }
}

/// True if a text holds at least one thing to judge.
pub fn names_something(bag: &bag::Bag) -> bool {
    bag.lines.iter().any(|l| matches!(&l.reading, Reading::Things(t) if !t.is_empty()))
}
