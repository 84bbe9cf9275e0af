//! What a rule speaks of, asks and waits for, in the words of its language as a person reads them.

use super::{allowance, grams, number, percent, states, tied};
use crate::judge::Verdict;
use crate::knowledge::Known;
use crate::language::{Allowance, Book, Demand, Fact, Mix, MixWindow, Relation, SubjectSet, SubjectTerm, When, Who};

/// What a rule asks, in the words of its language as a person reads them.
pub fn demand(d: &Demand, known: &Known, book: &Book) -> String {
    let v = known.vocabulary();
    match d {
        Demand::KeepOut => "keep it out".to_string(),
        Demand::Needs(s) => format!("needs to be {}", states(s, "or", v)),
        Demand::Allow(a) if *a == Allowance::ALittle => format!("a little: {}", allowance(a, book)),
        Demand::Allow(a) => allowance(a, book),
        Demand::Have(mix, window) => mix_window(*mix, window),
        Demand::Wait(w) => format!("wait until {}", when(w, known)),
        Demand::Ask(q, answers) => {
            let each: Vec<String> =
                answers.iter().map(|(reply, d)| format!("{reply}: {}", demand(d, known, book))).collect();
            format!("a question: {q} {}", each.join("; "))
        }
        Demand::Better(s) => format!("better {}", states(s, "or", v)),
        Demand::Welcome => "welcome".to_string(),
    }
}

/// What a rule is for that asks nothing.
pub fn asks_nothing(r: &crate::language::Rule) -> &'static str {
    if r.hazard || r.cautions { "a caution" } else { "advice" }
}

/// A window of the mix.
pub fn mix_window(mix: Mix, w: &MixWindow) -> String {
    let (name, show): (&str, fn(f64) -> String) = match mix {
        Mix::Moisture => ("the mix should hold", |x| number((x * 1000.0).round() / 10.0)),
        Mix::CarbonToNitrogen => ("carbon to nitrogen should be", number),
    };
    let unit = if mix == Mix::Moisture { " % water" } else { "" };
    let aim = w.aim.map_or_else(String::new, |a| format!(", best {}", show(a)));
    format!("{name} {} to {}{unit}{aim}", show(w.low), show(w.high))
}

/// The verdict that a demand leads to when it is not met.
pub fn weight(d: &Demand) -> Option<Verdict> {
    match d {
        Demand::KeepOut => Some(Verdict::KeepOut),
        Demand::Needs(_) => Some(Verdict::Prepare),
        Demand::Allow(_) => Some(Verdict::Limit),
        Demand::Ask(..) => Some(Verdict::Ask),
        Demand::Have(..) | Demand::Wait(_) | Demand::Better(_) | Demand::Welcome => None,
    }
}

/// A condition, read aloud.
pub fn when(w: &When, known: &Known) -> String {
    let inner = |w: &When| match w {
        When::Or(_) | When::And(_) => format!("({})", when(w, known)),
        _ => when(w, known),
    };
    match w {
        When::Or(parts) => parts.iter().map(inner).collect::<Vec<_>>().join(" or "),
        When::And(parts) => parts.iter().map(inner).collect::<Vec<_>>().join(" and "),
        When::Not(part) => format!("not {}", inner(part)),
        When::State(id) => known.vocabulary().state_name(*id).to_string(),
        When::Is(set) => format!("it is {}", subject(set, known)),
        When::Fact(fact, relation, n) => {
            let how = match relation {
                Relation::Above => "above",
                Relation::AtLeast => "at least",
                Relation::Below => "below",
                Relation::UpTo => "up to",
            };
            format!("{} {how} {}", fact.word(), fact_value(*fact, *n))
        }
        When::Sign(sign) => format!("the bin shows: {}", sign.word()),
        When::Indoors(true) => "the bin stands indoors".to_string(),
        When::Indoors(false) => "the bin stands outdoors".to_string(),
        When::Date(after, day) => format!("it is {} {day}", if *after { "after" } else { "before" }),
        When::Fed(set, days) => {
            format!("{} was fed in the last {}", subject(set, known), tied(&format!("{} days", number(*days))))
        }
    }
}

/// A number of a fact with its unit.
pub fn fact_value(fact: Fact, n: f64) -> String {
    match fact {
        Fact::Fat | Fact::Salt | Fact::Sugar | Fact::Moisture | Fact::Nitrogen | Fact::BinMoisture => percent(n),
        Fact::PieceSize => tied(&format!("{} cm", number(n))),
        Fact::Temperature => tied(&format!("{} degrees C", number(n))),
        Fact::Area => tied(&format!("{} square metres", number(n))),
        Fact::Worms => grams(n),
        Fact::Age | Fact::DaysSinceFeeding => tied(&format!("{} days", number(n))),
    }
}

/// Whom a rule speaks of.
pub fn who(w: &Who, known: &Known) -> String {
    match w {
        Who::Bag => "the bag".to_string(),
        Who::Scraps(set) => subject(set, known),
    }
}

/// A subject.
pub fn subject(set: &SubjectSet, known: &Known) -> String {
    let terms = |terms: &[SubjectTerm]| terms.iter().map(|t| term(t, known)).collect::<Vec<_>>().join(", ");
    if set.except.is_empty() {
        terms(&set.terms)
    } else {
        format!("{} except {}", terms(&set.terms), terms(&set.except))
    }
}

fn term(t: &SubjectTerm, known: &Known) -> String {
    let with_part = |name: &str, part: &Option<crate::bag::PartId>| match part {
        Some(p) => format!("{name} {}", known.vocabulary().part_name(*p)),
        None => name.to_string(),
    };
    match t {
        SubjectTerm::AnyFood => "any food".to_string(),
        SubjectTerm::AnyScrap => "any scrap".to_string(),
        SubjectTerm::Item(id, part) => with_part(known.item_name(*id), part),
        SubjectTerm::Kind(id, part) => with_part(known.kind(*id).map_or("", |k| k.name.as_str()), part),
        SubjectTerm::Group(name, _) => name.clone(),
    }
}
