//! What `rules list` and `items` say as JSON, as plain structs.

use serde::Deserialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Rules {
    pub(crate) today: String,
    pub(crate) stance: String,
    pub(crate) settings: Settings,
    pub(crate) rules: Vec<Rule>,
    pub(crate) answers: Vec<Reply>,
    pub(crate) kinds: Vec<Kind>,
    pub(crate) states: Vec<State>,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Settings {
    pub(crate) a_little: Set<Amount>,
    pub(crate) worms_g: Set<f64>,
    pub(crate) bin_is_indoors: Option<bool>,
    pub(crate) temperature_c: Option<f64>,
    pub(crate) area_m2: Option<f64>,
    pub(crate) age_days: Option<f64>,
}

/// A setting's value.
#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Set<T> {
    pub(crate) amount: T,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Rule {
    pub(crate) rule: String,
    pub(crate) from: Option<String>,
    pub(crate) until: Option<String>,
    pub(crate) about: About,
    pub(crate) when: Option<When>,
    pub(crate) demands: Vec<Demand>,
    pub(crate) strict: Option<Demand>,
    pub(crate) lenient: Option<Demand>,
    pub(crate) hazard: bool,
    pub(crate) caution: Option<String>,
    pub(crate) advice: Option<String>,
    pub(crate) replaces: Vec<String>,
    pub(crate) lifts: Vec<Lift>,
    /// Within its days: worked out here, as the next two.
    #[serde(skip)]
    pub(crate) dated: bool,
    #[serde(skip)]
    pub(crate) live: bool,
    /// What live rules lift out of its subject; `None` for all of it.
    #[serde(skip)]
    pub(crate) lifted: Option<Vec<Subject>>,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Lift {
    pub(crate) rule: String,
    pub(crate) subject: Option<Subject>,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Reply {
    pub(crate) rule: String,
    pub(crate) subject: Subject,
    pub(crate) answer: String,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Kind {
    pub(crate) kind: String,
    pub(crate) broader: Vec<String>,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct State {
    pub(crate) state: String,
    pub(crate) implies: Vec<String>,
    pub(crate) excludes: Vec<String>,
    pub(crate) takes_out: Vec<String>,
    pub(crate) unless: Option<String>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(untagged)]
pub(crate) enum About {
    Bag(String),
    Scraps(Subject),
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Subject {
    pub(crate) any_of: Vec<Term>,
    pub(crate) except: Vec<Term>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(untagged)]
pub(crate) enum Term {
    Role { role: String },
    Anything { anything: bool },
    Item { item: String, part: Option<String> },
    Kind { kind: String, part: Option<String> },
    Group { subject: Subject },
}

#[derive(Debug, Clone, Deserialize)]
#[serde(untagged)]
pub(crate) enum When {
    Or { or: Vec<When> },
    And { and: Vec<When> },
    Not { not: Box<When> },
    State { state: String },
    Is { is: Subject },
    Fact { fact: String, of_bin: bool, relation: String, value: f64 },
    Sign { sign: String },
    Place { bin_is: String },
    Date { date: String, day: String },
    Fed { fed: Subject, days: f64 },
}

#[derive(Debug, Clone, Deserialize)]
#[serde(tag = "demand", rename_all = "snake_case")]
pub(crate) enum Demand {
    KeepOut,
    Needs { any_of: Vec<String> },
    Allow { amount: Amount },
    Have { figure: String, low: f64, high: f64, aim: Option<f64> },
    Wait { until: When },
    Ask { answers: Vec<Meant> },
    Better { any_of: Vec<String> },
    Welcome,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Meant {
    pub(crate) answer: String,
    pub(crate) means: Demand,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(untagged)]
pub(crate) enum Amount {
    Share { share_of_food: f64 },
    Mass { grams: f64, per: String },
    Setting { setting: String },
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Item {
    pub(crate) item: String,
    pub(crate) is: Vec<String>,
    pub(crate) role: String,
    pub(crate) usual_part: Option<String>,
    pub(crate) parts: Vec<Part>,
    pub(crate) usual_states: Vec<Usual>,
    pub(crate) includes: Vec<Included>,
    pub(crate) ingredients: Ingredients,
    pub(crate) composition: Composition,
    pub(crate) piece_cm: f64,
    /// Its kinds with all broader ones: worked out here, not read.
    #[serde(skip)]
    pub(crate) kinds: BTreeSet<String>,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Part {
    pub(crate) part: String,
    pub(crate) composition: Option<Composition>,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Usual {
    pub(crate) state: String,
    pub(crate) usual: String,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Included {
    pub(crate) item: String,
    pub(crate) share: f64,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Ingredients {
    pub(crate) main: Vec<String>,
    pub(crate) some: Vec<String>,
    pub(crate) trace: Vec<String>,
}

#[derive(Debug, Clone, Copy, Deserialize)]
pub(crate) struct Composition {
    pub(crate) water: f64,
    pub(crate) carbon: f64,
    pub(crate) nitrogen: f64,
    pub(crate) fat: Option<f64>,
    pub(crate) salt: Option<f64>,
    pub(crate) sugar: Option<f64>,
}

impl Rules {
    /// Which rules are in force, by statement 9.
    fn in_force(&mut self) {
        let today = self.today.clone();
        for rule in &mut self.rules {
            rule.dated =
                rule.from.as_ref().is_none_or(|d| *d <= today) && rule.until.as_ref().is_none_or(|d| today <= *d);
        }
        // What replaced a rule and is itself replaced still silences it.
        let dated: Vec<Rule> = self.rules.iter().filter(|r| r.dated).cloned().collect();
        let silenced = |name: &String| dated.iter().any(|by| by.replaces.contains(name));
        let lifts: Vec<Lift> = dated.iter().filter(|r| !silenced(&r.rule)).flat_map(|r| r.lifts.clone()).collect();
        for rule in &mut self.rules {
            rule.live = rule.dated && !silenced(&rule.rule);
            rule.lifted = lifts.iter().filter(|l| l.rule == rule.rule).map(|l| l.subject.clone()).collect();
        }
    }
}

/// Items by name.
pub(crate) type Items = BTreeMap<String, Item>;

/// A book and what is known of things.
#[derive(Debug, Clone)]
pub(crate) struct World {
    pub(crate) rules: Rules,
    shared: Rc<Items>,
    own: Items,
    /// What was fed before, if a record is kept.
    pub(crate) record: Option<Vec<Ate>>,
}

/// Something that was fed before.
#[derive(Debug, Clone)]
pub(crate) struct Ate {
    pub(crate) days_ago: i32,
    pub(crate) item: String,
    pub(crate) part: Option<String>,
    pub(crate) mg: f64,
}

impl World {
    /// `shared`: items read before, of the same kinds.
    pub(crate) fn new(rules: Value, shared: Rc<Items>, own: Value, record: Option<Vec<Ate>>) -> World {
        let mut rules: Rules = serde_json::from_value(rules).unwrap();
        rules.in_force();
        let own = items(own, &rules.kinds);
        World { rules, shared, own, record }
    }

    pub(crate) fn item(&self, name: &str) -> Option<&Item> {
        self.own.get(name).or_else(|| self.shared.get(name))
    }

    pub(crate) fn rule(&self, name: &str) -> &Rule {
        self.rules.rules.iter().find(|r| r.rule == name).unwrap()
    }

    pub(crate) fn state(&self, name: &str) -> &State {
        self.rules.states.iter().find(|s| s.state == name).unwrap()
    }
}

/// Items with the kinds that they are in: the reflexive-transitive closure of `broader`.
pub(crate) fn items(list: Value, kinds: &[Kind]) -> Items {
    let list: Vec<Item> = serde_json::from_value(list["items"].clone()).unwrap();
    let closed = |mut item: Item| {
        let mut open = item.is.clone();
        while let Some(kind) = open.pop() {
            if item.kinds.insert(kind.clone()) {
                open.extend(kinds.iter().filter(|k| k.kind == kind).flat_map(|k| k.broader.clone()));
            }
        }
        (item.item.clone(), item)
    };
    list.into_iter().map(closed).collect()
}
