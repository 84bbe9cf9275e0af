//! Words that the finding of names treats in a way of their own, as `rules/words.yaml` lists them.

use crate::flat::Late;
use serde::{Deserialize, Serialize};

/// Words with a meaning of their own.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Words {
    /// What the index of names is built with.
    pub(super) index: Late<Lists>,
    /// Items that hold what was in or on the thing that a word before them names.
    pub(super) takes_up: Vec<String>,
    /// What stands behind one of these only looks like what it is called.
    pub(super) imitates: Vec<String>,
    /// Names that mean something else beside a certain thing.
    pub(super) beside: Vec<Beside>,
    /// What a part or a state means that nothing stands beside.
    pub(super) bare: Vec<Bare>,
}

/// Lists of words, those of one sort with spaces between.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(super) struct Lists {
    /// Can stand beside a name and change nothing about what it is.
    pub(super) light: String,
    /// Cultivars: what stands behind one is the plain thing.
    pub(super) cultivar: String,
    /// Name nothing a bag holds: never slips of names that do.
    pub(super) ordinary: String,
    /// More of those, in the form a dictionary lists them in.
    pub(super) everyday: String,
    /// In nearly every bag: what somebody who writes by ear meant first of all.
    pub(super) daily: String,
    /// In nearly every kitchen: what a misspelling meant first of all.
    pub(super) staple: String,
    /// Written often in kitchens.
    pub(super) common: String,
    /// What food comes in; behind a food's name they may mean the wrapping alone.
    pub(super) packing: String,
    /// What makes a tool of the thing before it.
    pub(super) tools: String,
}

/// The file as written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    light: String,
    cultivar: String,
    ordinary: String,
    everyday: String,
    daily: String,
    staple: String,
    common: String,
    packing: String,
    tools: String,
    #[serde(rename = "takes up")]
    takes_up: Vec<String>,
    imitates: Vec<String>,
    beside: Vec<Beside>,
    bare: Vec<Bare>,
}

/// What a name means where another thing stands on its line: pepper beside salt.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Beside {
    /// The name, folded.
    pub(super) name: String,
    /// The other item of the line.
    pub(super) with: String,
    /// The item it is taken for then.
    pub(super) means: String,
}

/// The meaning of a part or a state by itself.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Bare {
    /// The part or the state.
    pub(super) word: String,
    /// The item it is taken for.
    pub(super) means: String,
    /// Whether that is likely enough to go by: `yes` or `no`.
    pub(super) likely: String,
}

impl Words {
    /// Reads the YAML text.
    ///
    /// # Errors
    /// A sentence naming the fault: broken YAML, an unknown or missing key, a `likely` that is
    /// neither `yes` nor `no`.
    pub fn load(yaml: &str) -> Result<Words, String> {
        let words: Written = serde_yaml::from_str(yaml).map_err(|e| format!("words.yaml: {e}"))?;
        let Written {
            light,
            cultivar,
            ordinary,
            everyday,
            daily,
            staple,
            common,
            packing,
            tools,
            takes_up,
            imitates,
            beside,
            bare,
        } = words;
        match bare.iter().find(|b| !matches!(b.likely.as_str(), "yes" | "no")) {
            Some(b) => Err(format!("words.yaml: `{}` is neither yes nor no", b.likely)),
            None => {
                let index = Lists { light, cultivar, ordinary, everyday, daily, staple, common, packing, tools }.into();
                Ok(Words { index, takes_up, imitates, beside, bare })
            }
        }
    }
}
