//! The words that hold a line together: numbers, joiners, sizes, small talk.
//!
//! Owns what a word may do in a line, whatever the thing is; which words do it stands in
//! `rules/glossary.yaml`. States and parts are not here: they are in the vocabulary, because the
//! rules speak of them too.

use crate::fault::nearest;
use crate::flat::{Keys, Late, hash};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What a word may do, as bits.
pub(super) type Roles = u128;

/// The roles, each with its bit and its name in the glossary.
macro_rules! roles {
    ($($(#[$about:meta])* $role:ident = $bit:literal, $name:literal;)*) => {
        $($(#[$about])* pub(super) const $role: Roles = 1 << $bit;)*
        const NAMED: &[(&str, Roles)] = &[$(($name, $role)),*];
    };
}

roles! {
    AND = 0, "and";
    OR = 1, "or";
    WITH = 2, "with";
    WITHOUT = 3, "without";
    INCLUDING = 4, "including";
    SUCH = 5, "such";
    OF = 6, "of";
    FROM = 7, "from";
    /// Opens a remark that runs to the next mark: for, until, that.
    TAIL = 8, "tail";
    ARTICLE = 9, "article";
    DETERMINER = 10, "determiner";
    APPROX = 11, "approx";
    SIZE = 12, "size";
    ADVERB = 13, "adverb";
    /// Says nothing a bin cares about: nice, boneless, homemade.
    PLAIN = 14, "plain";
    NUMBER = 15, "number";
    /// An amount without a number: few, several.
    VAGUE = 16, "vague";
    /// An amount without a number that needs `of`: rest, amount, lot.
    SHARE = 17, "share";
    TIMES = 18, "times";
    TO = 19, "to";
    EACH = 20, "each";
    /// So many at once, as its value says: dozen, pair.
    DOZEN = 21, "dozen";
    FRACTION = 22, "fraction";
    PLUS = 23, "plus";
    VERB = 24, "verb";
    /// Closes a remark on a part: "stems removed".
    DONE = 25, "done";
    COLOUR = 26, "colour";
    /// A joiner of another language: it parts only what is known on both sides.
    FOREIGN = 27, "foreign";
    ETC = 28, "etc";
    /// Denies the state behind it: not, never.
    NOT = 29, "not";
    /// Opens a relative clause whose states still speak of the thing: that, which.
    RELATIVE = 30, "relative";
    /// What a cook did that is no state of a scrap: softened, beaten.
    DID = 31, "did";
    /// Says that what follows came to be so: gone, turned.
    TURNS = 32, "turns";
    /// With "off" or "out" behind it: no longer there.
    TAKEN = 33, "taken";
    /// With "in" or "with" behind it: what follows comes with the thing, eaten or not.
    COVERS = 34, "covers";
    /// Nobody but a person: behind a thing it opens a remark ("bread nobody ate").
    SOMEBODY = 35, "somebody";
    /// One of the household: a remark only with what they did behind it ("pasta the kids left").
    PERSON = 36, "person";
    /// What a person did or would not do with food.
    ATE = 37, "ate";
    /// Behind a number no more than that it counts: "4 pcs".
    COUNTS = 38, "counts";
    /// Stands between worms and what they were given: "my worms won't eat".
    DOING = 39, "doing";
    MONTH = 40, "month";
    WEEKDAY = 41, "weekday";
    /// Behind the number of a day: 3rd.
    ORDINAL = 42, "ordinal";
    /// What people number, and write before what is in it: "bag 2: ...".
    LABEL = 43, "label";
    /// Closes such a label in place of a number: "caddy this week - ...".
    LATELY = 44, "lately";
    /// Whoever fed, before what they did: "we've added ...".
    SPEAKER = 45, "speaker";
    /// Between what was done and what it was done with: "added in today ...".
    INTO = 46, "into";
    WORMS = 47, "worms";
    /// Opens a question: can, should.
    ASKS = 48, "asks";
    /// Of whom a question is asked: i, they.
    WHOM = 49, "whom";
    /// Between the first word of a question and what it asks about.
    ASKING = 50, "asking";
    /// With a dot behind it, short for a longer word: lg, incl.
    SHORT = 51, "short";
    /// Behind "demi-" no half of anything: "demi-sel".
    UNHALVED = 52, "unhalved";
    /// A spoon in French, of which the next words say the size.
    SPOON = 53, "spoon";
    /// The size of a tablespoon: "à soupe".
    TABLE = 54, "table";
    /// The size of a teaspoon: "à café".
    TEA = 55, "tea";
    /// Of which "black" or "brown" speaks of age: "black bananas", but "black pepper".
    GOES_DARK = 56, "goes dark";
    /// Of which "hard" speaks of age.
    GOES_HARD = 57, "goes hard";
    /// "Dry", and wet all the same.
    DRINK = 58, "drink";
    /// Behind a part: not there.
    GONE = 59, "gone";
    /// Who soils what it lies on.
    ANIMAL = 60, "animal";
    /// Where animals live: what comes from there is soiled.
    STALL = 61, "stall";
    /// Where they live only behind their name: "cat tray".
    BERTH = 62, "berth";
    /// Opens what somebody is not sure of: not sure, i think.
    MUSES = 63, "muses";
    /// Opens a remark that tells how the thing before it is, as a relative clause does: but, because.
    QUALIFIES = 64, "qualifies";
    /// Says in, on, under or made with what a thing is.
    LIES = 65, "lies";
    UNDER = 66, "under";
    /// What a clause about a thing says that it has on or in it: had, contains.
    HAS = 67, "has";
    /// This and nothing else: just, only.
    MERELY = 68, "merely";
    /// What has been spoken of: it, them, top.
    BACK = 69, "back";
    /// Between a holder and where it stood: "the bag it came in".
    CAME = 70, "came";
    /// What is left of it was never in it: "peels from making soup".
    MAKES = 71, "makes";
    /// Mouldy is what it grows on: "mould on half a loaf".
    MOULD = 72, "mould";
    /// With "up" or "down" behind it: how a thing lies.
    STANCE = 73, "stance";
    /// Behind a length: which way it is measured.
    ACROSS = 74, "across";
    /// Behind a foreign "a": a little.
    LITTLE = 75, "little";
    /// With "of" behind it: what follows is there no longer.
    RID = 76, "rid";
    /// What was done with a paper that is not clean after it.
    CLEANS = 77, "cleans";
    /// What an animal did to what it lay on.
    FOULS = 78, "fouls";
    /// A relative of Spanish and French: what it tells of stands at the end of its clause.
    TELLS = 79, "tells";
    /// What is left in a holder, and not of it: "dregs of the wine bottle".
    INSIDES = 80, "insides";
    /// Behind a food it is where that is sold or kept: "the cheese shop".
    PLACE = 81, "place";
    /// Behind a part: it is still on the thing.
    STAYS = 82, "stays";
    /// Behind a part: it is no longer on the thing.
    OFF = 83, "off";
    /// What a thing was for: what stands behind it did not lie on the thing.
    PURPOSE = 84, "purpose";
}

/// A word's roles, and its value if it is a number.
#[derive(Debug, Clone, Copy)]
pub(super) struct Gloss {
    pub(super) roles: Roles,
    pub(super) value: f64,
}

impl Gloss {
    pub(super) const NONE: Gloss = Gloss { roles: 0, value: 0.0 };

    pub(super) fn is(self, roles: Roles) -> bool {
        self.roles & roles != 0
    }
}

/// What the words between the things do in a line, and what pictures show.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Glossary {
    /// By the hash of a word: its roles, and its value.
    words: Keys<(Roles, f64)>,
    /// The same words as they are written, for whoever indexes names.
    written: Late<Vec<(String, Roles)>>,
    pictures: Late<BTreeMap<char, String>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    words: Vec<Entry>,
    pictures: BTreeMap<char, String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    does: Vec<String>,
    value: Option<f64>,
    words: String,
}

/// Pictures of things stand from the symbols on; letters and marks before them are none.
const FIRST_PICTURE: char = '\u{2600}';

impl Glossary {
    /// Reads `glossary.yaml`.
    ///
    /// # Errors
    /// A sentence naming the fault: broken YAML, a role that there is not, a word that is not in
    /// lower case, a picture that is a letter.
    pub fn load(yaml: &str) -> Result<Glossary, String> {
        let written: Written = serde_yaml::from_str(yaml).map_err(|e| format!("glossary.yaml: {e}"))?;
        let mut glosses: BTreeMap<String, Gloss> = BTreeMap::new();
        for entry in &written.words {
            let roles = entry.does.iter().try_fold(0, |all, name| Ok::<_, String>(all | role(name)?))?;
            for word in entry.words.split_whitespace() {
                if word.chars().any(char::is_uppercase) {
                    return Err(format!("glossary.yaml: `{word}` is looked for in lower case; write it so"));
                }
                // Both apostrophes are written.
                for word in [word.to_string(), word.replace('\'', "\u{2019}")] {
                    let gloss = glosses.entry(word).or_insert(Gloss::NONE);
                    gloss.roles |= roles;
                    gloss.value = entry.value.unwrap_or(gloss.value);
                }
            }
        }
        if let Some(letter) = written.pictures.keys().find(|c| **c < FIRST_PICTURE) {
            return Err(format!("glossary.yaml: `{letter}` is no picture"));
        }
        let listed: Vec<(String, Roles)> = glosses.iter().map(|(word, g)| (word.clone(), g.roles)).collect();
        let mut pairs: Vec<(u64, (Roles, f64))> =
            glosses.into_iter().map(|(word, g)| (hash(word.as_bytes()), (g.roles, g.value))).collect();
        pairs.sort_unstable_by_key(|(key, _)| *key);
        Ok(Glossary { words: Keys::of_sorted(&pairs), written: listed.into(), pictures: written.pictures.into() })
    }

    /// What a lower-case word does; nothing for most words.
    pub(super) fn gloss(&self, word: &str) -> Gloss {
        let found = self.words.get(hash(word.as_bytes())).next();
        found.map_or(Gloss::NONE, |(roles, value)| Gloss { roles, value })
    }

    /// Every word, and whether it changes nothing about the thing it stands beside.
    pub(crate) fn words(&self) -> impl Iterator<Item = (&str, bool)> {
        let light = ARTICLE | DETERMINER | SIZE | ADVERB | PLAIN | COLOUR;
        self.written.get().iter().map(move |(word, roles)| (word.as_str(), roles & light != 0))
    }

    /// Whether a word that only sometimes is a state is one of a thing whose last word is `head`.
    pub(super) fn is_state_of(&self, word: &str, head: &str) -> bool {
        match word {
            "black" | "brown" => self.gloss(head).is(GOES_DARK),
            "hard" => self.gloss(head).is(GOES_HARD),
            "dry" => !self.gloss(head).is(DRINK),
            // Warm food, sharp food or a drink: too many meanings to be a state.
            "hot" | "off" => false,
            _ => true,
        }
    }

    /// The word for a picture of food.
    pub(super) fn picture(&self, c: char) -> Option<&str> {
        let word = if c < FIRST_PICTURE { None } else { self.pictures.get().get(&c) };
        word.map(String::as_str)
    }
}

fn role(name: &str) -> Result<Roles, String> {
    let known = NAMED.iter().find(|(n, _)| *n == name).map(|(_, role)| *role);
    known.ok_or_else(|| {
        let near = nearest(name, NAMED.iter().map(|(n, _)| *n));
        let help = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
        format!("glossary.yaml: no word does `{name}`{help}")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_do_what_the_glossary_says() {
        let glossary = Glossary::load(include_str!("../../rules/glossary.yaml")).unwrap();
        assert!((glossary.gloss("three").value - 3.0).abs() < f64::EPSILON);
        assert!(glossary.gloss("and").is(AND) && glossary.gloss("y").is(AND) && glossary.gloss("y").is(FOREIGN));
        assert_eq!(glossary.gloss("vague-no-word").roles, 0);
        assert!(glossary.is_state_of("black", "bananas") && !glossary.is_state_of("black", "pepper"));
        assert_eq!(
            (glossary.picture('🍌'), glossary.picture('b'), glossary.picture('🚗')),
            (Some("banana"), None, None)
        );
    }

    #[test]
    fn what_nobody_can_read_is_refused() {
        let load = |words: &str, picture: &str| {
            Glossary::load(&format!("words: [{words}]\npictures: {{{picture}}}")).unwrap_err()
        };
        for (words, picture, want) in [
            ("{does: [nad], words: und}", "", "no word does `nad`; did you mean `and`?"),
            ("{does: [and], words: Und}", "", "`Und` is looked for in lower case"),
            ("{does: [and], says: und}", "", "unknown field `says`"),
            ("", "b: banana", "`b` is no picture"),
        ] {
            let err = load(words, picture);
            assert!(err.contains(want), "{err}");
        }
    }
}
