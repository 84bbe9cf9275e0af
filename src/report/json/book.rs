//! The book as data: everything a judge needs to know of the rules.

use super::layer_word;
use crate::Household;
use crate::bag::words::Sort;
use crate::knowledge::Known;
use crate::language::{Allowance, Basis, Demand, Mix, Rule, RuleId, Sign, SubjectSet, SubjectTerm, When, Who};
use serde_json::{Value, json};

/// Some rules of a household's book, and its settings, kinds, states, parts and signs.
pub fn rules(home: &Household, some: &[RuleId]) -> Value {
    let (book, known) = (&home.book, &home.known);
    let v = known.vocabulary();
    json!({
        "schema": "forefeed/rules/1",
        "today": book.today.to_string(),
        "stance": home.setting.stance.unwrap_or(book.settings.stance.0).word(),
        "settings": {
            "a_little": {"amount": allowance(&book.settings.a_little.0), "layer": layer_word(book.settings.a_little.1)},
            "worms_g": {"amount": book.settings.worms.0.grams(), "layer": layer_word(book.settings.worms.1)},
            "stance": {"amount": book.settings.stance.0.word(), "layer": layer_word(book.settings.stance.1)},
            "grit_share": {"amount": share(book.settings.grit_ppm.0), "layer": layer_word(book.settings.grit_ppm.1)},
            "bin_is_indoors": book.settings.indoors,
            "temperature_c": book.settings.temperature_c,
            "area_m2": book.settings.area_m2,
            "age_days": book.settings.age_days,
        },
        "files": book.files.iter().map(|f| json!({"layer": layer_word(f.layer), "file": f.name, "rules": f.rules})).collect::<Vec<_>>(),
        "rules": some.iter().filter_map(|id| book.rule(*id)).map(|r| rule(r, home)).collect::<Vec<_>>(),
        "answers": book.answers.iter().map(|a| json!({
            "rule": book.rule(a.rule).map(|r| r.name.as_str()),
            "subject": set(&a.subject, known),
            "answer": a.reply,
        })).collect::<Vec<_>>(),
        "kinds": known.kinds().map(|(_, k)| json!({
            "kind": k.name,
            "broader": k.broader.iter().filter_map(|b| known.kind(*b)).map(|b| b.name.as_str()).collect::<Vec<_>>(),
            "means": k.means,
            "role": k.role.word(),
        })).collect::<Vec<_>>(),
        "states": v.states().map(|(_, s)| json!({
            "state": s.name,
            "sort": match s.sort { Sort::Preparation => "preparation", Sort::Condition => "condition" },
            "implies": v.names_of(s.implies),
            "excludes": v.names_of(s.excludes),
            "takes_out": s.takes_out,
            "unless": (s.name == "raw").then_some("cooked"),
        })).collect::<Vec<_>>(),
        "parts": v.parts().map(|(_, p)| p.name.as_str()).collect::<Vec<_>>(),
        "signs": Sign::ALL,
    })
}

/// One rule as an object of its own.
pub fn rule_object(home: &Household, id: RuleId) -> Value {
    json!({"schema": "forefeed/rule/1", "rule": home.book.rule(id).map(|r| rule(r, home))})
}

/// One rule as data.
fn rule(r: &Rule, home: &Household) -> Value {
    let (book, known) = (&home.book, &home.known);
    let name_of = |id| book.rule(id).map(|r| r.name.as_str());
    json!({
        "rule": r.name,
        "layer": layer_word(r.layer),
        "file": r.file(),
        "at_line": r.at_line,
        "from": r.from.map(|d| d.to_string()),
        "until": r.until.map(|d| d.to_string()),
        "in_force": r.live,
        "within_its_days": r.dated,
        "replaced_by": r.replaced_by.and_then(name_of),
        "lifted_by": r.lifted.iter().map(|(by, s)| json!({"rule": name_of(*by), "subject": set(s, known)})).collect::<Vec<_>>(),
        "about": match r.subject() { Who::Bag => json!("the bag"), Who::Scraps(s) => set(s, known) },
        "when": r.when.as_ref().map(|w| when(w, known)),
        "demands": r.demands.iter().map(|d| demand(d, known)).collect::<Vec<_>>(),
        "strict": r.strict.as_ref().map(|d| demand(d, known)),
        "lenient": r.lenient.as_ref().map(|d| demand(d, known)),
        "hazard": r.hazard,
        "caution": r.caution(),
        "because": r.because(),
        "advice": r.advice(),
        "sources": r.sources(),
        "disputed_by": r.disputed_by(),
        "disputed": r.disputed(),
        "common_practice": r.common_practice,
        "replaces": r.replaces.iter().filter_map(|id| name_of(*id)).collect::<Vec<_>>(),
        "lifts": r.lifts.iter().map(|(id, s)| json!({"rule": name_of(*id), "subject": s.as_ref().map(|s| set(s, known))})).collect::<Vec<_>>(),
        "examples": r.examples().iter().map(|e| json!({
            "line": e.line.value,
            "bag_g": e.bag_grams,
            "bin_is_indoors": e.indoors,
            "stance": if e.strict { "strict" } else { "lenient" },
            "date": e.date.map(|d| d.to_string()),
            "with_caution": e.with_caution,
            "gives": e.gives.replace(' ', "_"),
        })).collect::<Vec<_>>(),
    })
}

/// A subject as a tree.
pub(super) fn set(s: &SubjectSet, known: &Known) -> Value {
    let terms = |list: &[SubjectTerm]| list.iter().map(|t| term(t, known)).collect::<Vec<_>>();
    json!({"any_of": terms(&s.terms), "except": terms(&s.except)})
}

fn term(t: &SubjectTerm, known: &Known) -> Value {
    let part = |p: &Option<crate::bag::PartId>| p.map(|p| known.vocabulary().part_name(p));
    match t {
        SubjectTerm::AnyFood => json!({"role": "food"}),
        SubjectTerm::AnyScrap => json!({"anything": true}),
        SubjectTerm::Item(i, p) => json!({"item": known.item_name(*i), "part": part(p)}),
        SubjectTerm::Kind(k, p) => json!({"kind": known.kind(*k).map(|k| k.name.as_str()), "part": part(p)}),
        SubjectTerm::Group(name, s) => json!({"group": name, "subject": set(s, known)}),
    }
}

/// A condition as a tree.
fn when(w: &When, known: &Known) -> Value {
    let many = |all: &[When]| all.iter().map(|w| when(w, known)).collect::<Vec<_>>();
    match w {
        When::Or(all) => json!({"or": many(all)}),
        When::And(all) => json!({"and": many(all)}),
        When::Not(one) => json!({"not": when(one, known)}),
        When::State(s) => json!({"state": known.vocabulary().state_name(*s)}),
        When::Is(s) => json!({"is": set(s, known)}),
        When::Fact(fact, relation, value) => {
            json!({"fact": fact.word(), "of_bin": fact.of_bin(), "relation": relation, "value": value})
        }
        When::Sign(sign) => json!({"sign": sign.word()}),
        When::Indoors(indoors) => json!({"bin_is": if *indoors { "indoors" } else { "outdoors" }}),
        When::Date(after, day) => json!({"date": if *after { "after" } else { "before" }, "day": day.to_string()}),
        When::Fed(s, days) => json!({"fed": set(s, known), "days": days}),
    }
}

fn share(ppm: i64) -> f64 {
    #[allow(clippy::cast_precision_loss, reason = "at most a million")]
    let ppm = ppm as f64;
    ppm / 1e6
}

/// An amount: a share of the food that goes in, a mass with its basis, or the setting `a little`.
fn allowance(a: &Allowance) -> Value {
    match a {
        Allowance::Share(ppm) => json!({"share_of_food": share(*ppm)}),
        Allowance::Mass(mg, basis) => json!({"grams": mg.grams(), "per": match basis {
            Basis::Feeding => "feeding",
            Basis::Worms => "kg_of_worms",
            Basis::Area => "square_metre",
            Basis::Week => "week",
        }}),
        Allowance::ALittle => json!({"setting": "a little"}),
    }
}

fn demand(d: &Demand, known: &Known) -> Value {
    let names =
        |list: &[crate::bag::StateId]| list.iter().map(|s| known.vocabulary().state_name(*s)).collect::<Vec<_>>();
    match d {
        Demand::KeepOut => json!({"demand": "keep_out"}),
        Demand::Needs(any) => json!({"demand": "needs", "any_of": names(any)}),
        Demand::Allow(a) => json!({"demand": "allow", "amount": allowance(a)}),
        Demand::Have(mix, w) => json!({
            "demand": "have",
            "figure": match mix { Mix::Moisture => "moisture", Mix::CarbonToNitrogen => "cn" },
            "low": w.low,
            "high": w.high,
            "aim": w.aim,
        }),
        Demand::Wait(until) => json!({"demand": "wait", "until": when(until, known)}),
        Demand::Ask(question, answers) => json!({
            "demand": "ask",
            "question": question,
            "answers": answers.iter().map(|(w, d)| json!({"answer": w, "means": demand(d, known)})).collect::<Vec<_>>(),
        }),
        Demand::Better(any) => json!({"demand": "better", "any_of": names(any)}),
        Demand::Welcome => json!({"demand": "welcome"}),
    }
}
