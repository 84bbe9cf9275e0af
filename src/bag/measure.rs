//! How much: the number, unit and size of each, wherever in a piece they stand.
//!
//! Comes in: the tokens of a line and where to look. Goes out: a [`Measured`] and where it ended.
//! Nothing is rounded or guessed: no number written, no number read.

use super::amount::{self, Amount, Each, Measure, Place, Unit, UnitWord};
use super::glossary::{
    ADVERB, AND, APPROX, ARTICLE, DETERMINER, DOZEN, EACH, ETC, FOREIGN, FRACTION, FROM, INCLUDING, NUMBER, OF, OR,
    PLAIN, PLUS, SHARE, SIZE, TAIL, TIMES, TO, VAGUE, WITH, WITHOUT,
};
use super::tokens::{Kind, Token};
use super::words::Meaning;
use super::{Lexicon, Vocabulary};

/// A line being read: its text, the same in lower case, its tokens, and whoever knows names.
#[derive(Clone, Copy)]
pub(super) struct Source<'a> {
    pub(super) text: &'a str,
    pub(super) lower: &'a str,
    pub(super) tokens: &'a [Token],
    pub(super) lexicon: &'a dyn Lexicon,
    pub(super) vocabulary: &'a Vocabulary,
}

/// What was read of an amount.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Measured {
    pub(super) amount: Option<Amount>,
    pub(super) unit: Option<UnitWord>,
    pub(super) each: Option<Each>,
    /// "each" was said of it: 4 pounds each.
    pub(super) of_each: bool,
    /// The token of a unit that stands behind other words ("2 large old bags"); to be passed over.
    pub(super) skip: Option<usize>,
    /// `of` stood behind it.
    pub(super) of: bool,
}

impl Measured {
    fn any(&self) -> bool {
        self.amount.is_some() || self.unit.is_some() || self.each.is_some()
    }

    /// The unit, if it is a mass or a volume.
    pub(super) fn measured_unit(&self) -> Option<Unit> {
        self.unit.map(|u| u.unit).filter(|u| u.is_measured())
    }
}

impl<'a> Source<'a> {
    pub(super) fn token(&self, at: usize) -> Token {
        self.tokens.get(at).copied().unwrap_or(Token::END)
    }

    pub(super) fn lower_word(&self, at: usize) -> &'a str {
        let t = self.token(at);
        self.lower.get(t.start..t.end).unwrap_or("")
    }

    pub(super) fn word(&self, at: usize) -> &'a str {
        let t = self.token(at);
        match t.kind {
            Kind::Picture(word) => word,
            _ => self.text.get(t.start..t.end).unwrap_or(""),
        }
    }

    pub(super) fn is(&self, at: usize, roles: u32) -> bool {
        self.token(at).is(roles)
    }

    pub(super) fn is_word(&self, at: usize) -> bool {
        matches!(self.token(at).kind, Kind::Word | Kind::Picture(_))
    }

    /// A number token or a number word. A fraction word stands alone only as in "half a ...".
    fn number(&self, at: usize) -> Option<(f64, usize)> {
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
            Kind::Word if t.is(NUMBER) && !t.is(DETERMINER) => (t.gloss.value, at + 1),
            Kind::Word if t.is(DOZEN) => return Some((12.0, at + 1)),
            Kind::Word if t.is(FRACTION) => return self.fraction(at),
            _ => return None,
        };
        if self.is(next, FRACTION) && !self.token(next).glued && (1.0..=10.0).contains(&value) {
            // "three quarters of"; a plural behind a number word without `of` is a piece ("2 apple halves").
            if self.is(next + 1, OF) || self.is(next + 1, ARTICLE) {
                value *= self.token(next).gloss.value;
                next += 1;
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
            value *= 12.0;
            next += 1;
        }
        Some((value, next))
    }

    /// "half a", "half of the", "half dozen", "quarter of a": the fraction and what follows it.
    fn fraction(&self, at: usize) -> Option<(f64, usize)> {
        let value = self.token(at).gloss.value;
        let mut next = at + 1;
        if self.is(next, DOZEN) {
            return Some((value * 12.0, next + 1));
        }
        let of = self.is(next, OF);
        if of {
            next += 1;
        }
        if self.is(next, ARTICLE) {
            next += 1;
            if self.is(next, DOZEN) {
                return Some((value * 12.0, next + 1));
            }
            return Some((value, next));
        }
        if of {
            return Some((value, next));
        }
        // "half the lettuce", "half cup"; but "half and half" and "half rotten" are no amounts.
        let unit = self.unit_at(at + 1, true).is_some();
        (unit || self.is(at + 1, DETERMINER)).then_some((value, at + 1))
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

    /// A unit word at a place.
    pub(super) fn unit_at(&self, at: usize, numbered: bool) -> Option<(UnitWord, usize)> {
        if self.token(at).kind != Kind::Word {
            return None;
        }
        let lower = self.lower_word(at);
        let dot = |i: usize| {
            let t = self.token(i);
            if t.kind == Kind::Stop && t.glued && t.end == t.start + 1 { i + 1 } else { i }
        };
        if matches!(lower, "fl" | "fluid") {
            let next = dot(at + 1);
            return matches!(self.lower_word(next), "oz" | "ounce" | "ounces")
                .then(|| (amount::FLUID_OUNCES, dot(next + 1)));
        }
        if matches!(lower, "table" | "tea") && matches!(self.lower_word(at + 1), "spoon" | "spoons") {
            return Some((if lower == "tea" { amount::TEASPOONS } else { amount::TABLESPOONS }, at + 2));
        }
        let word = match self.text.get(self.token(at).start..self.token(at).end).unwrap_or("") {
            "T" | "EL" if numbered => amount::TABLESPOONS,
            "TL" if numbered => amount::TEASPOONS,
            _ => amount::unit_word(lower).or_else(|| amount::unit_word(lower.strip_suffix("(s)").unwrap_or("")))?,
        };
        if word.place == Place::NeedsNumber && !numbered {
            return None;
        }
        let abbreviated = lower.len() <= 5 && word.unit.is_measured() || matches!(lower, "pkg" | "pkgs" | "pc" | "pcs");
        Some((word, if abbreviated { dot(at + 1) } else { at + 1 }))
    }

    /// Whether a piece could go on at a token: a word that joins nothing.
    fn goes_on(&self, at: usize) -> bool {
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
    fn counts(&self, word: UnitWord, at: usize, next: usize, numbered: bool) -> bool {
        if word.unit.is_measured() {
            return true;
        }
        if self.is(next, OF) {
            return true;
        }
        // "1 12-ounce can/355 milliliters evaporated milk"
        let again = self.token(next).kind == Kind::Slash && matches!(self.token(next + 1).kind, Kind::Number { .. });
        if !self.goes_on(next) {
            return numbered && (word.place == Place::Anywhere || again);
        }
        if !numbered && word.place != Place::Anywhere {
            return false;
        }
        let both = self.text.get(self.token(at).start..self.token(next).end).unwrap_or("");
        let single = self.word(next);
        !self.lexicon.names(both) || self.lexicon.names(single)
    }

    /// Words that may stand between a number and its unit: sizes, small talk, states.
    fn may_wait(&self, at: usize) -> bool {
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
    fn is_length(&self, at: usize) -> bool {
        let word = self.lower_word(at);
        let first = word.split('-').next().unwrap_or("");
        matches!(
            first,
            "inch"
                | "inches"
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

    /// Reads an amount that opens at `at`; the second value is where it ended (`at` if none did).
    pub(super) fn measured(&self, at: usize) -> (Measured, usize) {
        let mut m = Measured::default();
        let mut i = at;
        while self.is(i, APPROX | DETERMINER | EACH) && !self.is(i, NUMBER) && self.goes_on(i + 1)
            || self.is_stray_mark(i)
        {
            if self.lower_word(i) == "another" {
                m.amount = Some(Amount { low: 1.0, high: None });
            }
            i += 1;
        }
        if self.lower_word(i) == "up" && self.is(i + 1, TO)
            || self.lower_word(i) == "at" && self.lower_word(i + 1) == "least"
        {
            i += 2;
        }
        i = self.vague(i, &mut m);
        if self.token(i).kind == Kind::Times
            || (self.is(i, TIMES) && matches!(self.token(i + 1).kind, Kind::Number { .. }))
        {
            // "x2 bananas"
            if let Some((amount, next)) = self.range(i + 1) {
                m.amount = Some(amount);
                return self.units(m, next);
            }
        }
        if self.token(i).kind == Kind::Open && m.amount.is_none() {
            // "(2) tea bags"
            if let Some((amount, next)) = self.range(i + 1).filter(|(_, n)| self.token(*n).kind == Kind::Close) {
                m.amount = Some(amount);
                return self.units(m, next + 1);
            }
        }
        if m.amount.is_none() && self.is(i, ARTICLE) {
            return self.article(m, i);
        }
        let Some((first, next)) = self.range(i) else {
            let (m2, end) = self.units(m, i);
            return if m2.any() || end > i { (m2, end) } else { (m, i) };
        };
        let t = self.token(i);
        // "28-ounce" makes a size, "1/4-inch" and "2-day" adjectives.
        let hyphen = self.token(next).kind == Kind::Dash && self.token(next).glued && self.token(next + 1).glued;
        if hyphen && self.is_word(next + 1) {
            let whole = match t.kind {
                Kind::Number { whole, .. } if next == i + 1 => whole,
                _ => 0.0,
            };
            if let Some((unit, end)) = self.size_unit(next + 1) {
                let split = whole > 0.0 && self.plural_follows(end);
                if split {
                    m.amount = Some(Amount { low: whole, high: None });
                    m.each = Some(Each { amount: (first.low - whole) * unit.times, unit: unit.unit });
                    return self.units(m, end);
                }
                m.amount = Some(Amount { low: first.low * unit.times, high: first.high.map(|h| h * unit.times) });
                m.unit = Some(unit);
                // "2-ounce bottle of capers": the bottle adds nothing.
                let end =
                    self.unit_at(end, true).filter(|(u, n)| self.counts(*u, end, *n, true)).map_or(end, |(_, n)| n);
                return self.close(m, end);
            }
            if self.is_length(next + 1) && whole > 0.0 {
                m.amount = Some(Amount { low: whole, high: None });
                return self.units(m, self.chain_end(i));
            }
            let (m2, end) = self.units(m, self.chain_end(i));
            return (m2, end);
        }
        m.amount = Some(first);
        let mut i = next;
        // "2 x 400 g", "2 x bananas"
        if (self.token(i).kind == Kind::Times || self.is(i, TIMES)) && i > at {
            i += 1;
            if let Some((size, end)) = self.number(i) {
                let dash = usize::from(self.token(end).kind == Kind::Dash && self.token(end).glued);
                if let Some((unit, stop)) = self.unit_at(end + dash, true).filter(|(u, _)| u.unit.is_measured()) {
                    m.each = Some(Each { amount: size * unit.times, unit: unit.unit });
                    return self.units(m, stop);
                }
            }
        }
        self.units(m, i)
    }

    fn is_stray_mark(&self, at: usize) -> bool {
        self.token(at).kind == Kind::Stop && self.token(at).end == self.token(at).start + 1 && at == 0
    }

    /// Amounts without a number: "a few", "lots of", "the rest of the", "small amounts of".
    fn vague(&self, at: usize, m: &mut Measured) -> usize {
        let mut i = at;
        loop {
            let mut k = i;
            let article = self.is(k, ARTICLE);
            while self.is(k, ARTICLE | DETERMINER | ADVERB) && !self.is(k, TAIL) {
                k += 1;
            }
            while self.is(k, SIZE | PLAIN) && !self.is(k, SHARE | VAGUE) {
                k += 1;
            }
            let word = self.lower_word(k);
            if self.is(k, FRACTION) && article && k > i && self.is(k + 1, OF) {
                // "a quarter of a"
                if let Some((value, next)) = self.fraction(k) {
                    m.amount = Some(Amount { low: value, high: None });
                    return next;
                }
            }
            if self.is(k, SHARE) && self.is(k + 1, OF) {
                if word == "couple" {
                    m.amount = Some(Amount { low: 2.0, high: None });
                    return k + 2;
                }
                i = k + 2;
                while self.is(i, DETERMINER | ARTICLE) && self.goes_on(i + 1) {
                    i += 1;
                }
                continue;
            }
            if word == "pair" && self.is(k + 1, OF) {
                m.amount = Some(Amount { low: 2.0, high: None });
                return k + 2;
            }
            if word == "couple" && article {
                m.amount = Some(Amount { low: 2.0, high: None });
                return k + 1;
            }
            if self.is(k, VAGUE) && self.goes_on(k + 1) {
                let mut next = k + 1;
                while self.is(next, OF | DETERMINER) {
                    next += 1;
                }
                return next;
            }
            if matches!(word, "little" | "bit" | "lot")
                && article
                && self.goes_on(k + 1)
                && self.unit_at(k + 1, true).is_none()
            {
                return k + 1;
            }
            // "a little spaghetti": `little` was passed over as a size.
            if article
                && k > i + 1
                && self.lower_word(i + 1) == "little"
                && self.unit_at(k, true).is_none()
                && self.is_word(k)
            {
                return k;
            }
            return i;
        }
    }

    /// "a", "an": one, unless a vague amount follows.
    fn article(&self, mut m: Measured, at: usize) -> (Measured, usize) {
        if let Some((value, next)) = Some(at + 1).filter(|n| self.is(*n, DOZEN | FRACTION)).and_then(|n| self.number(n))
        {
            m.amount = Some(Amount { low: value, high: None });
            return self.units(m, next);
        }
        if self.goes_on(at + 1) {
            m.amount = Some(Amount { low: 1.0, high: None });
            return self.units(m, at + 1);
        }
        (m, at)
    }

    /// A mass or volume behind a hyphen: "28-ounce", "5-pound".
    pub(super) fn size_unit(&self, at: usize) -> Option<(UnitWord, usize)> {
        let lower = self.lower_word(at);
        let first = lower.split('-').next().unwrap_or("");
        let unit =
            amount::unit_word(first).filter(|u| u.unit.is_measured() && u.unit.name != "tsp" || first == "teaspoon")?;
        Some((unit, at + 1))
    }

    fn plural_follows(&self, at: usize) -> bool {
        (at..at + 3).take_while(|i| self.is_word(*i)).any(|i| self.lower_word(i).ends_with('s'))
    }

    /// Everything between a number and a name: size of each, unit, sums, other measures, `of`.
    fn units(&self, mut m: Measured, at: usize) -> (Measured, usize) {
        let mut i = at;
        let numbered = m.amount.is_some();
        for _ in 0..3 {
            // "2 (15-ounce) cans", "1 (14 oz) can"
            if self.token(i).kind == Kind::Open && numbered && m.unit.is_none() {
                let (inner, end) = self.measured(i + 1);
                if self.token(end).kind == Kind::Close {
                    if let (Some(a), Some(u)) = (inner.amount, inner.measured_unit()) {
                        m.each = m.each.or(Some(Each { amount: a.low, unit: u }));
                    }
                    i = end + 1;
                    continue;
                }
            }
            // "1 28-ounce", "8 3-ounce", "1 14 oz", "12 1/4-inch-thick"
            if numbered && m.unit.is_none() && matches!(self.token(i).kind, Kind::Number { .. }) {
                let Some((size, next)) = self.range(i) else { break };
                let dash = self.token(next).kind == Kind::Dash && self.token(next).glued;
                let at_unit = if dash { next + 1 } else { next };
                if self.is_length(at_unit) {
                    let after = if dash { self.chain_end(next.saturating_sub(1)) } else { at_unit + 1 };
                    i = if self.is_dimension(after) { after + 1 } else { after };
                    continue;
                }
                if let Some((unit, end)) = self.size_unit(at_unit) {
                    m.each = m.each.or(Some(Each { amount: size.low * unit.times, unit: unit.unit }));
                    let dot = self.token(end);
                    i = if dot.kind == Kind::Stop && dot.glued && !dash { end + 1 } else { end };
                    continue;
                }
                if dash {
                    i = self.chain_end(next.saturating_sub(1));
                    continue;
                }
                break;
            }
            break;
        }
        // "1 inch piece of ginger"
        if numbered && self.is_length(i) && self.unit_at(i + 1, true).is_some() {
            m.amount = None;
            i += 1;
        }
        let start = i;
        let mut k = i;
        while k < start + 4 && self.may_wait(k) && !self.is(k, OF) {
            k += 1;
        }
        for at_unit in [start, k] {
            let Some((word, next)) = self.unit_at(at_unit, numbered) else { continue };
            if at_unit > start && !numbered && word.place != Place::Anywhere && !self.is(next, OF) {
                continue;
            }
            if !self.counts(word, at_unit, next, numbered) || (!numbered && !self.goes_on(next) && !self.is(next, OF)) {
                continue;
            }
            // "peels of", "leaves of lettuce": without a number this names the part.
            if !numbered && word.place == Place::WeakPiece {
                continue;
            }
            m.unit = Some(word);
            if let Some(a) = m.amount.as_mut() {
                a.low *= word.times;
                a.high = a.high.map(|h| h * word.times);
            }
            if at_unit > start && self.is_word(start) {
                m.skip = Some(at_unit);
                if self.is(next, OF) {
                    // The words between belong to the name: read them, pass over the unit.
                    return (m, start);
                }
                return (m, start);
            }
            i = next;
            break;
        }
        self.close(m, i)
    }

    fn is_dimension(&self, at: usize) -> bool {
        matches!(self.lower_word(at), "thick" | "thin" | "wide" | "long" | "square" | "diameter" | "across")
    }

    /// Sums, a second measure of the same amount, `and a half`, `of`, articles.
    fn close(&self, mut m: Measured, at: usize) -> (Measured, usize) {
        let mut i = at;
        for _ in 0..4 {
            let Some(unit) = m.unit else { break };
            let comma = usize::from(self.token(i).kind == Kind::Comma);
            let k = i + comma;
            if self.is(i, AND) && self.is(i + 1, ARTICLE) && self.is(i + 2, FRACTION) {
                if let Some(a) = m.amount.as_mut() {
                    a.low += self.token(i + 2).gloss.value;
                }
                i += 3;
                continue;
            }
            let t = self.token(k);
            if t.kind == Kind::Open {
                let (inner, end) = self.measured(k + 1);
                if inner.amount.is_some() && self.token(end).kind == Kind::Close {
                    if let (Measure::Count, Some(a), Some(u)) = (unit.unit.measure, inner.amount, inner.measured_unit())
                    {
                        m.each = m.each.or(Some(Each { amount: a.low, unit: u }));
                    }
                    i = end + 1;
                    continue;
                }
                break;
            }
            let adds = t.is(PLUS | AND) || matches!(t.kind, Kind::Plus | Kind::Amp);
            let spans = t.is(TO | OR) || t.kind == Kind::Dash;
            let repeats = t.kind == Kind::Slash;
            let juxtaposed = comma == 0 && matches!(t.kind, Kind::Number { .. }) && unit.unit.is_measured();
            if !(adds || spans || repeats || juxtaposed) {
                break;
            }
            let from = if juxtaposed { k } else { k + 1 };
            let Some((second, next)) = self.range(from) else { break };
            let Some((word, mut end)) = self.unit_at(next, true).filter(|(u, _)| u.unit.is_measured()) else { break };
            if self.token(next).kind == Kind::Dash {
                break;
            }
            let factor = word.unit.in_terms_of(unit.unit).map(|f| f * word.times);
            let name_follows = {
                let after = if self.token(end).kind == Kind::Comma { end + 1 } else { end };
                self.goes_on(after) || self.is(after, OF)
            };
            match (factor, m.amount.as_mut()) {
                (Some(f), Some(a)) if adds || juxtaposed => {
                    if !name_follows && comma == 0 && !juxtaposed {
                        break;
                    }
                    a.low += second.low * f;
                }
                (Some(f), Some(a)) if spans && second.low * f > a.low => {
                    a.high = Some(second.high.unwrap_or(second.low) * f)
                }
                _ if repeats || (spans && t.is(OR)) || adds => {}
                _ => break,
            }
            // "1/2 cup/100 to 150 grams": the second measure may be a range of its own.
            if let Some((_, stop)) = Some(end).filter(|e| repeats && self.is(*e, TO)).and_then(|e| self.range(e + 1)) {
                end = self.unit_at(stop, true).map_or(stop, |(_, n)| n);
            }
            i = if adds && self.token(end).kind == Kind::Comma { end + 1 } else { end };
        }
        if self.is(i, EACH) && m.any() {
            m.of_each = true;
            i += 1;
        }
        if m.any() && self.is(i, OF) {
            m.of = true;
            i += 1;
            while self.is(i, DETERMINER | ARTICLE) && self.goes_on(i + 1) {
                i += 1;
            }
        }
        (m, i)
    }
}

#[cfg(test)]
mod tests {
    use super::super::glossary;

    #[test]
    fn number_words_have_values() {
        assert!((glossary::gloss("three").value - 3.0).abs() < f64::EPSILON);
        assert!(glossary::gloss("vague-no-word").roles == 0);
    }
}
