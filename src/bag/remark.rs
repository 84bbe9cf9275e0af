//! What people say of a thing behind it, by the words that such a remark begins with: what is not meant,
//! whose it was, who left it, when it was so.

use super::glossary::{
    ADVERB, AND, ANIMAL, ARTICLE, ATE, BACK, CLEANS, DETERMINER, FOREIGN, FOULS, FRACTION, FROM, LATELY, NUMBER, OF,
    PERSON, PLACE, RID, SHARE, SIZE, SOMEBODY, STANCE, TAIL, TAKEN, VAGUE, WEEKDAY, WITH,
};
use super::measure::Source;
use super::tokens::Kind;

impl Source<'_> {
    /// "apart from", "other than": all but what follows.
    pub(super) fn excepts(&self, at: usize) -> bool {
        let two = (self.lower_word(at), self.lower_word(at + 1));
        // "Trimmed of all but the fat": that is what is left.
        let left = at > 0 && self.is(at - 1, OF);
        matches!(two, ("apart" | "aside", "from") | ("other" | "rather", "than"))
            || matches!(two, ("everything" | "all", "but")) && !left
            || (self.is(at, RID) || two.0 == "instead") && two.1 == "of"
    }

    /// "taken off", "cut out": what stands before it is no longer there.
    pub(super) fn taken_off(&self, at: usize) -> bool {
        self.is(at, TAKEN) && matches!(self.lower_word(at + 1), "off" | "out" | "away")
    }

    /// "mostly", before what was taken off: some of it is still there.
    pub(super) fn is_partly(&self, at: usize) -> bool {
        matches!(
            self.lower_word(at),
            "mostly" | "partly" | "partially" | "nearly" | "almost" | "half" | "largely" | "some"
        )
    }

    /// "sliced down the middle": where it was sliced, and no down of feathers.
    pub(super) fn down_the(&self, at: usize) -> bool {
        self.lower_word(at) == "down" && self.is(at + 1, DETERMINER | ARTICLE)
    }

    /// "peelings from Nan's": whose they were, and not of what.
    pub(super) fn of_somebody(&self, at: usize) -> bool {
        let who = at + 1 + usize::from(self.is(at + 1, ARTICLE | DETERMINER));
        let whose = self.lower_word(who).ends_with('s') && self.lower_word(who).contains(['\'', '’']);
        self.is(at, FROM) && whose && !self.is_word(who + 1)
    }

    /// Whether a word is one of cleaning, which German joins to what was cleaned ("Tischabwischen").
    pub(super) fn cleans(&self, at: usize) -> bool {
        let german = || ["putzen", "wischen", "reinigen"].iter().any(|verb| self.lower_word(at).ends_with(verb));
        self.is(at, CLEANS) || german()
    }

    /// "vom Putzen", "de limpiar la mesa", "von der ganzen Woche", "del domingo": a foreign word for "from"
    /// before one of cleaning or of time; "en la olla": one for "in" before what holds things, or where they are kept.
    pub(super) fn of_no_thing(&self, at: usize) -> bool {
        let when = || {
            let end = (at + 1..at + 4).find(|i| self.is(*i, LATELY | WEEKDAY));
            end.is_some_and(|end| (at + 1..end).all(|i| self.is_word(i) && !self.lexicon.names(self.word(i))))
        };
        let held = self.lower_word(at) == "en"
            && self.is(at + 1, DETERMINER)
            && (self.is_holder(at + 2) || self.is(at + 2, PLACE));
        held || self.is(at, FOREIGN) && self.is(at, OF | FROM) && (self.cleans(at + 1) || when())
    }

    /// "nobody ate", "the kids left", "my daughter wouldn't": what a person did with the thing before it.
    pub(super) fn somebody(&self, at: usize) -> bool {
        let person = at + usize::from(self.is(at, DETERMINER) || self.is(at, SIZE));
        // A hot dog is nobody.
        let thing = || at > 0 && self.is_word(at - 1) && self.lexicon.names(self.between(at - 1, at + 1));
        let did = |who: usize| self.is(who, PERSON) && self.is(who + 1, ATE);
        let lay = |who: usize| self.is(who, ANIMAL) && self.is(who + 1, FOULS);
        // "the guinea pig slept on", "carrots the rabbit left"
        let beside = || at > 0 && self.is_word(at - 1) && !self.is(at - 1, AND | OF | WITH | FROM | TAIL);
        let left = || self.is(at, DETERMINER) && self.is(person, ANIMAL) && self.is(person + 1, ATE) && beside();
        let animal = || (person..person + 2).any(lay) || left();
        let somebody = self.is(at, SOMEBODY) && self.is_word(at + 1) || did(person) || animal();
        somebody && !thing()
    }

    /// Behind "it", "top", "some", "one side", "most of it", "the crust": what says where on the thing before
    /// something lies, up to the next mark or, behind "it", at once.
    pub(super) fn back_on_it(&self, at: usize, to: usize) -> Option<usize> {
        let counts = |i: usize| matches!(self.token(i).kind, Kind::Number { .. });
        let near = to.min(at + 6);
        let ends = (at..near).find(|i| !self.is_word(*i) && !counts(*i)).or_else(|| (near == to).then_some(to));
        let piece = |i: usize| self.unit_at(i, true).is_some() || self.part_word(&[i]).is_some();
        let some = |i: usize| {
            self.is(i, BACK | SHARE | VAGUE | NUMBER | FRACTION | STANCE)
                || counts(i)
                || piece(i) && !self.lexicon.names(self.word(i))
        };
        let small = |i: usize| self.is(i, ARTICLE | DETERMINER | ADVERB | SIZE | OF);
        let says = |end: &usize| (at..*end).any(some) && (at..*end).all(|i| some(i) || small(i));
        ends.filter(says).or_else(|| self.is(at, BACK).then_some(at + 1))
    }
}
