//! Finding the item that a name means: a ladder that says on which rung it stood.

use super::{Found, Identified, Identity, Item, Known, Language};
use crate::bag::{Bag, Lexicon, Named, Reading, Vocabulary};

/// The index of names.
#[derive(Debug, Clone, Default)]
pub struct Names {}

impl Names {
    /// Builds the index over all names of all items.
    pub fn build(_items: &[Item], _vocabulary: &Vocabulary) -> Names {
        Names {}
    }
}

impl Lexicon for Known {
    fn names(&self, phrase: &str) -> bool {
        self.items.iter().any(|i| i.names.iter().any(|n| n.text.eq_ignore_ascii_case(phrase)))
    }
    fn knows_word(&self, word: &str) -> bool {
        self.items.iter().any(|i| i.names.iter().any(|n| n.text.split(' ').any(|w| w.eq_ignore_ascii_case(word))))
    }
    fn vocabulary(&self) -> &Vocabulary {
        &self.vocabulary
    }
}

/// Finds what every thing of a bag is; `others_read` is the language to prefer, if one was asked for.
pub fn find(bag: &Bag, known: &Known, language: Option<Language>) -> Vec<Found> {
    let _ = language;
    let mut out = Vec::new();
    for line in &bag.lines {
        let Reading::Things(things) = &line.reading else { continue };
        for thing in things {
            out.push(Found {
                line: line.number,
                thing: thing.clone(),
                identities: thing.names.iter().map(|n| identify(n, known)).collect(),
                additions: Vec::new(),
                unknown_additions: Vec::new(),
                without: Vec::new(),
            });
        }
    }
    out
}

/// What one name is taken for.
pub fn identify(named: &Named, known: &Known) -> Identity {
    let item = known.items().find(|(_, i)| i.name == named.name).map(|(id, _)| id);
    Identity {
        name: named.name.clone(),
        item,
        part: named.part,
        said: named.said,
        identified: if item.is_some() { Identified::Sure } else { Identified::Unknown },
        rung: None,
        confidence: if item.is_some() { 1.0 } else { 0.0 },
        language: Language::En,
        alternatives: Vec::new(),
    }
}
