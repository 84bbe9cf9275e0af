//! Which of its kind a thing is, where a word behind it says so: "potatoes, sweet", "cups (plastic)".

use super::Splitter;
use super::draft::{Draft, Made, join};
use super::joints::Joint;
use crate::bag::glossary::COLOUR;
use crate::bag::piece::Holds;

/// Kinds of food that cooking or keeping made, which a state's word may name.
const DISHES: [&str; 5] = ["prepared food", "greasy food", "salty food", "spicy food", "fermented food"];

/// What a word behind a thing is by itself.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Which {
    /// A state, or nothing at all: "mashed", "hot".
    State,
    /// No thing that anybody knows, or a colour.
    NoThing,
    /// A thing of its own.
    Thing,
}

impl Splitter<'_> {
    /// "Potatoes (sweet)", "dead leaves, oak", "potatoes, mashed": behind the thing the word that says which of its
    /// kind. A comma parts two things rather, unless the word is none by itself.
    pub(super) fn told_apart(&mut self, made: &Made, words: &[usize], joint: Joint) -> bool {
        let s = self.source;
        let is = match made.piece.holds {
            Holds::Parts => return false,
            Holds::States | Holds::Nothing => Which::State,
            Holds::Name if !made.piece.known || words.iter().all(|w| s.is(*w, COLOUR)) => Which::NoThing,
            Holds::Name => Which::Thing,
        };
        let comma = joint == Joint::Comma && !made.bracket && (is == Which::State || !self.goes_on(made));
        let behind = made.bracket && joint == Joint::Bracket || comma || is == Which::State && joint == Joint::And;
        let (from, to) = if is == Which::State { (0, words.len()) } else { made.piece.full };
        let few = matches!(to.saturating_sub(from), 1 | 2);
        if !behind || !few || made.m.amount.is_some() || made.piece.part.is_some() {
            return false;
        }
        let which = s.joined(words.get(from..to).unwrap_or(&[]), &mut self.spare);
        let one = to == from + 1;
        if is == Which::State && self.drafts.last().is_some_and(|d| d.paired) {
            // "potatoes and carrots, mashed": each of them; that they are so is said of all.
            let first = self.drafts.iter().rposition(|d| !d.paired).unwrap_or(0);
            for at in first..self.drafts.len() {
                let whole = self.drafts.get(at).and_then(|d| self.of_its_kind(d, made, &which, one, is));
                let Some((whole, draft)) = whole.zip(self.drafts.get_mut(at)) else { continue };
                draft.end = made.end.max(draft.end);
                draft.rename(whole);
            }
            return false;
        }
        let whole = self.drafts.last().and_then(|d| self.of_its_kind(d, made, &which, one, is));
        let Some((whole, draft)) = whole.zip(self.drafts.last_mut()) else { return false };
        draft.end = made.end.max(draft.end);
        draft.rename(whole);
        if let [only] = draft.names.as_mut_slice() {
            only.named.said = join(only.named.said, made.piece.said);
        }
        true
    }

    /// The name of a thing, told apart by what stands behind it, if it is one that is meant.
    fn of_its_kind(&self, draft: &Draft, made: &Made, which: &str, one: bool, is: Which) -> Option<String> {
        let s = self.source;
        let [only] = draft.names.as_slice() else { return None };
        let said = only.named.name.as_str();
        let eaten = s.lexicon.names_food(said);
        // "egg box, cardboard", "cups, plastic", "tea bags, plastic": what it is made of.
        let made_of = one && !s.lexicon.names_food(which);
        if only.named.part.is_some() || !only.known && (eaten || !made_of) {
            return None;
        }
        // Mashed potatoes are a dish; peeled tomatoes are tomatoes, though cans of them are called so, and yogurt
        // that was frozen is no ice cream.
        let dish = |name: &str| DISHES.iter().any(|kind| s.lexicon.belongs(name, kind));
        let frozen = s.vocabulary.state("frozen").is_some_and(|frozen| made.piece.said.yes & frozen.bit() != 0);
        let another = |whole: &str| {
            let other = !eaten || dish(whole) || dish(said);
            other && !frozen && (is == Which::State || !draft.paired) && !s.lexicon.same(whole, said)
        };
        let meant = |whole: &str| match is {
            Which::State => another(whole),
            // "straw (paper)": a bracket says it whatever the two are.
            _ if made.bracket || made_of && !(eaten && s.lexicon.names_food(whole)) => true,
            Which::NoThing => s.lexicon.akin(whole, said) || another(whole),
            Which::Thing => false,
        };
        // Dead leaves are leaves, but baby food is no food of all sorts.
        let last = said.rsplit_once(' ').map(|(_, last)| last).filter(|last| s.lexicon.same(said, last));
        let before = [Some(said), last].into_iter().flatten().map(|head| format!("{which} {head}"));
        // "cacahuetes, salados" in the languages that say so.
        let behind = (is == Which::State).then(|| format!("{said} {which}"));
        // A tea bag's string is string, and no kind of tea bag.
        let itself = |whole: &str| is == Which::Thing && made_of && s.lexicon.same(whole, which);
        before.chain(behind).find(|whole| s.lexicon.names(whole) && !itself(whole) && meant(whole))
    }
}
