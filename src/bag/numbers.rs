//! Numbers, ranges, times and unit words at a place of a line.

use super::amount;
use super::amount::{Amount, Place, UnitWord};
use super::glossary::{
    ADVERB, AND, ARTICLE, DETERMINER, DOZEN, ETC, FOREIGN, FRACTION, FROM, INCLUDING, NUMBER, OF, OR, PLAIN, PLUS,
    SIZE, SPOON, TABLE, TAIL, TEA, TIMES, TO, WITH, WITHOUT,
};
use super::measure::Source;
use super::tokens::Kind;
use super::words::Meaning;

/// What may stand behind a measure's word before "worth".
const POSSESSIVE: [char; 3] = ['s', '\'', '\u{2019}'];

impl Source<'_> {
    /// A number token or a number word. A fraction word stands alone only as in "half a ...".
    pub(super) fn number(&self, at: usize) -> Option<(f64, usize)> {
        let t = self.token(at);
        let (mut value, mut next) = match t.kind {
            Kind::Number { value, .. } => {
                let n = self.token(at + 1);
                let ordinal =
                    n.kind == Kind::Word && n.glued && matches!(self.lower_word(at + 1), "st" | "nd" | "rd" | "th");
                if n.kind == Kind::Percent || ordinal {
                    return None;
                }
                (value, at + 1)
            }
            Kind::Word if t.is(NUMBER) && !t.is(DETERMINER) && self.name_of_words(at).is_none() => {
                (t.gloss.value, at + 1)
            }
            Kind::Word if t.is(DOZEN) => return Some((t.gloss.value, at + 1)),
            Kind::Word if t.is(FRACTION) && self.is_share(at) => return self.fraction(at),
            _ => return None,
        };
        if self.is(next, FRACTION) && self.is_share(next) && !self.token(next).glued && (1.0..=10.0).contains(&value) {
            // "three quarters of", "una media sandía"; a plural behind a number word without `of` is a piece ("2 apple halves").
            let measured = || self.unit_at(next + 1, true).is_some_and(|(unit, _)| unit.unit.is_measured());
            let one = value == 1.0 && t.kind == Kind::Word && (self.one_named(next) || measured());
            if self.is(next + 1, OF) || self.is(next + 1, ARTICLE) || one {
                value *= self.token(next).gloss.value;
                next += 1;
                // "tres cuartos de kilo de patatas"
                let measure = self.is(next, OF) && self.is(next, FOREIGN) && self.unit_at(next + 1, true).is_some();
                next += usize::from(measure);
            }
        }
        // "one and a half", "1 and 1/2"
        if self.is(next, AND) || self.token(next).kind == Kind::Amp {
            let from = if self.is(next + 1, ARTICLE) { next + 2 } else { next + 1 };
            match self.token(from).kind {
                Kind::Number { value: part, .. } if part < 1.0 && value >= 1.0 && value.fract() == 0.0 => {
                    value += part;
                    next = from + 1;
                }
                Kind::Word if from == next + 2 && self.is(from, FRACTION) => {
                    value += self.token(from).gloss.value;
                    next = from + 1;
                }
                _ => {}
            }
        }
        if self.is(next, DOZEN) {
            value *= self.token(next).gloss.value;
            next += 1;
        }
        Some((value, next))
    }

    /// "un quart de chou" is a quarter of one, "a quart of milk" a measure.
    pub(super) fn is_share(&self, at: usize) -> bool {
        let foreign = self.is(at + 1, OF) && self.is(at + 1, FOREIGN);
        foreign || amount::unit_word(self.lower_word(at)).is_none()
    }

    /// "half a", "half of the", "half dozen", "quarter of a": the fraction and what follows it.
    pub(super) fn fraction(&self, at: usize) -> Option<(f64, usize)> {
        let value = self.token(at).gloss.value;
        let mut next = at + 1;
        if self.is(next, DOZEN) {
            return Some((value * self.token(next).gloss.value, next + 1));
        }
        let of = self.is(next, OF);
        if of {
            next += 1;
        }
        if self.is(next, ARTICLE) {
            next += 1;
            if self.is(next, DOZEN) {
                return Some((value * self.token(next).gloss.value, next + 1));
            }
            return Some((value, next));
        }
        if of {
            // "la mitad de una cebolla"
            let one = self.is(next, NUMBER) && self.token(next).gloss.value == 1.0;
            return Some((value, next + usize::from(one)));
        }
        // "half the lettuce", "half cup"; but "half and half" and "half rotten" are no amounts.
        let unit = self.unit_at(at + 1, true).is_some();
        let alone = || self.stands_alone(at, at + 1);
        (unit || self.is(at + 1, DETERMINER) || self.one_named(at) || alone()).then_some((value, at + 1))
    }

    /// "melon, half", "cabbage (a quarter)": whether tokens stand between two marks behind something else.
    pub(super) fn stands_alone(&self, from: usize, to: usize) -> bool {
        let before =
            |i: usize| matches!(self.token(i).kind, Kind::Comma | Kind::Stop | Kind::Dash | Kind::Colon | Kind::Open);
        let behind = matches!(self.token(to).kind, Kind::Comma | Kind::Stop | Kind::Dash | Kind::Close | Kind::End);
        behind && from.checked_sub(1).is_some_and(before)
    }

    /// "half melon", "media sandía": behind a fraction stands the name of one thing, and the two are no name.
    fn one_named(&self, fraction: usize) -> bool {
        let from = fraction + 1;
        let plural = |i: usize| self.lower_word(i).ends_with('s');
        let text = |from: usize, to: usize| self.text.get(self.token(from).start..self.token(to).end).unwrap_or("");
        let run = from..from + (from..from + 3).take_while(|i| self.is_word(*i)).count();
        let one = |to: usize| !plural(to) && self.lexicon.names(text(from, to));
        // "Halves" count pieces, and "third" may be the one after the second.
        !plural(fraction)
            && self.lower_word(fraction) != "third"
            && run.clone().any(one)
            && !run.clone().any(|to| self.lexicon.names(text(fraction, to)))
    }

    /// Behind "less than", "a little more than", if that stands here.
    pub(super) fn past_than(&self, at: usize) -> usize {
        let small =
            |i: &usize| matches!(self.lower_word(*i), "a" | "little" | "bit" | "slightly" | "just" | "no" | "not");
        let more = (at..at + 3).find(|i| !small(i)).unwrap_or(at);
        let compared =
            matches!(self.lower_word(more), "less" | "more" | "fewer") && self.lower_word(more + 1) == "than";
        if compared { more + 2 } else { at }
    }

    /// A number or a range: "3-4", "3 to 4", "3 or 4", "between 3 and 4".
    pub(super) fn range(&self, at: usize) -> Option<(Amount, usize)> {
        let between = self.lower_word(at) == "between";
        let (low, next) = self.number(if between { at + 1 } else { at })?;
        let joined = match self.token(next).kind {
            Kind::Dash => true,
            Kind::Word => {
                self.is(next, TO)
                    || (self.is(next, OR) && self.lower_word(next) != "o")
                    || (between && self.is(next, AND))
            }
            _ => false,
        };
        if joined {
            let from = if self.token(next + 1).kind == Kind::Dash { next + 2 } else { next + 1 };
            if let Some((high, end)) = self.number(from).filter(|(high, _)| *high > low) {
                return Some((Amount { low, high: Some(high) }, end));
            }
            // "3-to-4": one word of letters and hyphens swallowed the joiner.
            if self.lower_word(next + 1).starts_with("to") && self.token(next).glued {
                if let Some((high, end)) = self.number(next + 3).filter(|(high, _)| *high > low) {
                    return Some((Amount { low, high: Some(high) }, end));
                }
            }
        }
        Some((Amount { low, high: None }, next))
    }

    /// Behind "4 days' worth of", "x a week's worth", "3 week" before "old": a time says not how much there is.
    pub(super) fn days_worth(&self, at: usize) -> Option<usize> {
        let times = usize::from(self.token(at).kind == Kind::Times || self.is(at, TIMES));
        let from = at + times;
        let counted = self.range(from).map(|(_, next)| next);
        let next = counted.or_else(|| self.is(from, ARTICLE).then_some(from + 1))?;
        let time = self.lower_word(next).trim_end_matches(POSSESSIVE);
        // "2 day old coffee grounds": so old, and not two.
        if matches!(time, "day" | "week" | "month" | "year") && self.lower_word(next + 1) == "old" {
            return Some(next + 1);
        }
        let worth = usize::from(self.lower_word(next + 1) == "worth");
        let of = usize::from(self.is(next + 1 + worth, OF));
        (matches!(time, "day" | "week" | "month" | "weekend") && worth + of > 0).then_some(next + 1 + worth + of)
    }

    /// Whether "x 5" begins here.
    pub(super) fn multiplies(&self, at: usize) -> bool {
        let times = self.token(at).kind == Kind::Times || self.is(at, TIMES);
        times && matches!(self.token(at + 1).kind, Kind::Number { .. })
    }

    /// Behind "6 months" where it says how long a thing has been so, or of how long it is: "manure, aged 6 months",
    /// "rice cooked 3 days ago", "coffee grounds x 3 days".
    pub(super) fn so_long(&self, at: usize) -> Option<usize> {
        let (_, next) = self.range(at + usize::from(self.multiplies(at)))?;
        let time = self.lower_word(next).trim_end_matches('s');
        if !matches!(time, "min" | "minute" | "hour" | "day" | "week" | "month" | "year") {
            return None;
        }
        if self.lower_word(next + 1) == "ago" {
            return Some(next + 2);
        }
        let over = !self.is_word(next + 1) || self.is(next + 1, AND | OR | TAIL);
        (over && at > 0).then_some(next + 1)
    }

    /// A unit word at a place.
    pub(super) fn unit_at(&self, at: usize, numbered: bool) -> Option<(UnitWord, usize)> {
        if self.token(at).kind != Kind::Word {
            return None;
        }
        let lower = self.lower_word(at);
        let dot = |i: usize| {
            let t = self.token(i);
            let stop = t.kind == Kind::Stop && t.glued && self.text.get(t.start..t.end) == Some(".");
            if stop { i + 1 } else { i }
        };
        if matches!(lower, "fl" | "fluid") {
            let next = dot(at + 1);
            return matches!(self.lower_word(next), "oz" | "ounce" | "ounces")
                .then(|| (amount::FLUID_OUNCES, dot(next + 1)));
        }
        // "une livre de carottes": a book otherwise.
        let of = self.is(at + 1, OF) && self.is(at + 1, FOREIGN);
        match lower {
            "livre" | "livres" if of && numbered => return Some((amount::HALF_KILOS, at + 1)),
            "quart" | "quarts" if of => return None,
            _ => {}
        }
        if let Some(spoon) = self.french_spoon(at, dot) {
            return Some(spoon);
        }
        if matches!(lower, "table" | "tea") && matches!(self.lower_word(at + 1), "spoon" | "spoons") {
            return Some((if lower == "tea" { amount::TEASPOONS } else { amount::TABLESPOONS }, at + 2));
        }
        let word = match self.text.get(self.token(at).start..self.token(at).end).unwrap_or("") {
            "T" | "EL" if numbered => amount::TABLESPOONS,
            "TL" if numbered => amount::TEASPOONS,
            // "200g-ish", "a bucket's worth"
            _ => ["", "(s)", "-ish"]
                .iter()
                .find_map(|end| amount::unit_word(lower.strip_suffix(end)?))
                .or_else(|| {
                    amount::unit_word(lower.trim_end_matches(POSSESSIVE)).filter(|_| self.lower_word(at + 1) == "worth")
                })
                .or_else(|| numbered.then(|| self.misspelt_unit(at))?)?,
        };
        if word.place == Place::NeedsNumber && !numbered {
            return None;
        }
        let abbreviated = lower.len() <= 5 && word.unit.is_measured() || matches!(lower, "pkg" | "pkgs");
        Some((word, if abbreviated { dot(at + 1) } else { at + 1 }))
    }

    /// "a handfull", "2 tabelspoons of honey", "three peices of toast": what nobody knows but for a slip, where
    /// only a measure stands.
    fn misspelt_unit(&self, at: usize) -> Option<UnitWord> {
        let lower = self.lower_word(at);
        let nothing = self.token(at).gloss.roles == 0 && self.phrase_at(at, at + 1).0 == 0;
        if !nothing || lower.len() < 4 || self.lexicon.knows_word(lower) || self.lexicon.names(lower) {
            return None;
        }
        let of = self.is(at + 1, OF);
        let spoon = |unit: &UnitWord| unit.place == Place::Anywhere && lower.len() > 5;
        amount::misspelt_unit_word(lower)
            .filter(|unit| of || spoon(unit) && self.goes_on(at + 1))
            .or_else(|| amount::unit_word(&lower.replacen("full", "ful", 1)))
    }

    /// "cuillères à soupe", "c. à s.", "cuil. à café".
    fn french_spoon(&self, at: usize, behind_dot: impl Fn(usize) -> usize) -> Option<(UnitWord, usize)> {
        if !self.is(at, SPOON) {
            return None;
        }
        let to = behind_dot(at + 1);
        let of = matches!(self.lower_word(to), "à" | "a").then_some(to + 1)?;
        let table = self.is(of, TABLE).then_some(amount::TABLESPOONS);
        let unit = table.or(self.is(of, TEA).then_some(amount::TEASPOONS))?;
        Some((unit, behind_dot(of + 1)))
    }

    /// Whether a piece could go on at a token: a word that joins nothing.
    pub(super) fn goes_on(&self, at: usize) -> bool {
        let t = self.token(at);
        match t.kind {
            Kind::Word => {
                !t.is((AND | OR | WITH | WITHOUT | INCLUDING | TAIL | FROM | PLUS | ETC) & !FOREIGN) || t.is(FOREIGN)
            }
            Kind::Picture(_) | Kind::Number { .. } => true,
            _ => false,
        }
    }

    /// A count word is a unit here, not the name of a thing ("2 bottle caps", "2 sticks").
    pub(super) fn counts(&self, word: UnitWord, at: usize, next: usize, numbered: bool) -> bool {
        if word.unit.is_measured() {
            return true;
        }
        if self.is(next, OF) {
            // "pan de ayer"
            return !self.of_no_thing(next);
        }
        if self.holds_food(word, next) {
            return true;
        }
        // "1 12-ounce can/355 milliliters evaporated milk"
        let again = self.token(next).kind == Kind::Slash && matches!(self.token(next + 1).kind, Kind::Number { .. });
        if !self.goes_on(next) {
            // "1 can (15 oz) black beans"
            let name_behind = |(_, behind): (_, usize)| self.goes_on(behind) || self.is(behind, OF);
            let sized = || self.size_in_brackets(next).is_some_and(name_behind);
            return numbered && (word.place == Place::Anywhere || again || sized());
        }
        if !numbered && word.place != Place::Anywhere {
            return false;
        }
        if word.place == Place::Packaging && self.came_in(next, self.tokens.len()) {
            return false;
        }
        let both = self.text.get(self.token(at).start..self.token(next).end).unwrap_or("");
        let single = self.word(next);
        !self.lexicon.names(both) || self.lexicon.names(single) && self.lexicon.same(both, single)
    }

    /// Words that may stand between a number and its unit: sizes, small talk, states.
    pub(super) fn may_wait(&self, at: usize) -> bool {
        let t = self.token(at);
        t.kind == Kind::Word
            && (t.is(SIZE | ADVERB | PLAIN)
                || self
                    .vocabulary
                    .phrases(self.lower_word(at))
                    .iter()
                    .any(|p| matches!(p.meaning, Meaning::State(..)) && p.rest.is_empty()))
    }

    /// Where a chain of glued hyphens ends: "1/4-inch-thick", "2-day", "3-to-4-inch".
    pub(super) fn chain_end(&self, at: usize) -> usize {
        let mut i = at + 1;
        while self.token(i).kind == Kind::Dash
            && self.token(i).glued
            && self.token(i + 1).glued
            && i + 1 < self.tokens.len()
        {
            i += 2;
        }
        i
    }

    /// "inch", "cm" and the like behind a number: a measure of length says nothing about mass.
    pub(super) fn is_length(&self, at: usize) -> bool {
        let word = self.lower_word(at);
        let first = word.split('-').next().unwrap_or("");
        matches!(
            first,
            "inch"
                | "inches"
                | "\""
                | "″"
                | "cm"
                | "mm"
                | "centimeter"
                | "centimetre"
                | "centimeters"
                | "centimetres"
                | "foot"
                | "feet"
        )
    }
}
