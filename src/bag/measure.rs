//! How much: the number, unit and size of each, wherever in a piece they stand.
//!
//! Comes in: the tokens of a line and where to look. Goes out: a [`Measured`] and where it ended.
//! Nothing is rounded or guessed: no number written, no number read.

use super::amount;
use super::amount::{Amount, Each, Measure, Place, Unit, UnitWord};
use super::glossary::{
    ACROSS, ADVERB, AND, APPROX, ARTICLE, COUNTS, DETERMINER, DOZEN, EACH, FOREIGN, FRACTION, FROM, LITTLE, NUMBER, OF,
    OR, PLAIN, PLUS, Roles, SHARE, SIZE, SUCH, TAIL, TIMES, TO, VAGUE, VERB,
};
use super::tokens::{Kind, Token};
use super::{Lexicon, Phrase, Vocabulary};

/// A line being read: its text, the same in lower case, its tokens, and whoever knows names.
#[derive(Clone, Copy)]
pub(super) struct Source<'a> {
    pub(super) text: &'a str,
    pub(super) lower: &'a str,
    pub(super) tokens: &'a [Token],
    /// For each token the phrases of the vocabulary that begin with it.
    pub(super) phrases: &'a [&'a [Phrase]],
    pub(super) lexicon: &'a dyn Lexicon,
    pub(super) vocabulary: &'a Vocabulary,
}

/// What was read of an amount.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Measured {
    pub(super) amount: Option<Amount>,
    pub(super) unit: Option<UnitWord>,
    pub(super) each: Option<Each>,
    /// How many a word without a number is taken for: a few, several.
    pub(super) about: Option<f64>,
    /// It stood behind an "x".
    pub(super) multiplied: bool,
    /// It stood behind a part and `of`: it is of the whole.
    pub(super) of_whole: bool,
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

    /// Whether it counts one thing or a share of one.
    pub(super) fn is_of_one(&self) -> bool {
        let counts = self.measured_unit().is_none() && self.each.is_none();
        counts && self.amount.is_some_and(|a| a.low <= 1.0 && a.high.is_none())
    }

    /// The unit, if it is a count word.
    pub(super) fn counted_unit(&self) -> Option<Unit> {
        self.unit.map(|u| u.unit).filter(|u| !u.is_measured())
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
            Kind::Picture(c) => self.vocabulary.glossary.picture(c).unwrap_or(""),
            _ => self.text.get(t.start..t.end).unwrap_or(""),
        }
    }

    pub(super) fn is(&self, at: usize, roles: Roles) -> bool {
        self.token(at).is(roles)
    }

    pub(super) fn is_word(&self, at: usize) -> bool {
        matches!(self.token(at).kind, Kind::Word | Kind::Picture(_))
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
        i = self.past_than(i);
        if self.lower_word(i) == "up" && self.is(i + 1, TO)
            || self.lower_word(i) == "at" && self.lower_word(i + 1) == "least"
        {
            i += 2;
        }
        if let Some(end) = self.days_worth(i) {
            return (m, end);
        }
        i = self.vague(i, &mut m);
        if self.token(i).kind == Kind::Times
            || (self.is(i, TIMES) && matches!(self.token(i + 1).kind, Kind::Number { .. }))
        {
            // "x2 bananas"
            if let Some((amount, next)) = self.range(i + 1) {
                m.amount = Some(amount);
                m.multiplied = true;
                return self.units(m, next);
            }
        }
        if self.token(i).kind == Kind::Open && m.amount.is_none() {
            // "(2) tea bags"
            let doubted = |n: usize| n + usize::from(self.token(n).kind == Kind::Stop);
            let inside = self.range(i + 1).map(|(amount, n)| (amount, doubted(n)));
            if let Some((amount, close)) = inside.filter(|(_, n)| self.token(*n).kind == Kind::Close) {
                m.amount = Some(amount);
                return self.units(m, close + 1);
            }
        }
        if m.amount.is_none() && self.is(i, ARTICLE) {
            return self.article(m, i);
        }
        if let Some(size) = Some(i).filter(|_| m.amount.is_some()).and_then(|i| self.size_shared(i)) {
            return self.units(m, size);
        }
        let Some((first, next)) = self.range(i) else {
            let (m2, end) = self.units(m, i);
            return if m2.any() || end > i { (m2, end) } else { (m, i) };
        };
        let t = self.token(i);
        // "28-ounce" makes a size, "1/4-inch" and "2-day" adjectives.
        let hyphen = self.token(next).kind == Kind::Dash && self.token(next).glued && self.token(next + 1).glued;
        if hyphen && self.is_word(next + 1) && self.lower_word(next + 1) != "ish" {
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
        if let Some(size) = Some(next).filter(|n| self.is(*n, OF)).and_then(|n| self.size_shared(n)) {
            return self.units(m, size);
        }
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

    /// Where the size begins of which a share is meant: "1/4 of a 1 kg bag", "two thirds of the 400 g tin".
    fn size_shared(&self, at: usize) -> Option<usize> {
        let from = (at..at + 4).find(|i| !self.is(*i, OF | ARTICLE | DETERMINER))?;
        let (_, next) = self.number(from)?;
        let dash = usize::from(self.token(next).kind == Kind::Dash && self.token(next).glued);
        self.size_unit(next + dash).map(|_| from)
    }

    fn is_stray_mark(&self, at: usize) -> bool {
        self.token(at).kind == Kind::Stop && self.token(at).end == self.token(at).start + 1 && at == 0
    }

    /// How many a word stands for that is no number, if it says so.
    fn about(&self, at: usize) -> Option<f64> {
        Some(self.token(at).gloss.value).filter(|value| *value > 0.0)
    }

    /// Amounts without a number: "a few", "lots of", "the rest of the", "small amounts of".
    fn vague(&self, at: usize, m: &mut Measured) -> usize {
        let mut i = at;
        // "un poco de", "un peu de", "ein paar"
        if self.is(at + 1, LITTLE) && matches!(self.lower_word(at), "un" | "ein") && self.goes_on(at + 2) {
            m.about = self.about(at + 1);
            i = at + 2;
            while self.is(i, OF | DETERMINER) && self.goes_on(i + 1) {
                i += 1;
            }
            return i;
        }
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
            if self.is(k, FRACTION) && self.is_share(k) && article && k > i {
                // "a quarter of a", "cabbage, a quarter"
                let alone = self.stands_alone(i, k + 1).then_some((self.token(k).gloss.value, k + 1));
                if let Some((value, next)) = alone.or_else(|| self.fraction(k).filter(|_| self.is(k + 1, OF))) {
                    m.amount = Some(Amount { low: value, high: None });
                    return next;
                }
            }
            if self.is(k, SHARE) && self.is(k + 1, OF) {
                if word == "couple" {
                    m.amount = Some(Amount { low: 2.0, high: None });
                    return k + 2;
                }
                m.about = self.about(k).or(m.about);
                i = k + 2;
                while self.is(i, DETERMINER | ARTICLE) && self.goes_on(i + 1) {
                    i += 1;
                }
                continue;
            }
            if word == "couple" && (article || self.goes_on(k + 1)) {
                m.amount = Some(Amount { low: 2.0, high: None });
                return k + 1;
            }
            // "a few (4?)"
            if self.is(k, VAGUE) && self.token(k + 1).kind == Kind::Open {
                return k + 1;
            }
            // "apple cores, plenty"
            if self.is(k, VAGUE | SHARE) && self.about(k).is_some() && self.stands_alone(i, k + 1) {
                m.about = self.about(k);
                return k + 1;
            }
            if self.is(k, VAGUE) && self.goes_on(k + 1) {
                m.about = self.about(k);
                let mut next = k + 1;
                while self.is(next, OF | DETERMINER) {
                    next += 1;
                }
                return next;
            }
            // "a lot carrots"
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
                return i + 2;
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
        // "200-ish", "about 5 or so"
        let dash = usize::from(self.token(at).kind == Kind::Dash);
        let mut i = if self.lower_word(at + dash) == "ish" { at + dash + 1 } else { self.past_or_so(at) };
        let numbered = m.amount.is_some();
        // "3 big uns"
        let counts = i + usize::from(self.is(i, SIZE));
        if numbered && self.is(counts, COUNTS) {
            let dot = self.token(counts + 1);
            i = counts + 1 + usize::from(dot.kind == Kind::Stop && dot.glued);
        }
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
                    i = if self.is(after, ACROSS) { after + 1 } else { after };
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
            if self.named_with(at_unit, next, numbered) || at_unit > start && self.named_up_to(start, at_unit, next) {
                continue;
            }
            let of = self.is(next, OF) || self.holds_food(word, next);
            if at_unit > start && !numbered && word.place != Place::Anywhere && !of {
                continue;
            }
            if !self.counts(word, at_unit, next, numbered) || (!numbered && !self.goes_on(next) && !of) {
                continue;
            }
            // "peels of", "leaves of lettuce": without a number this names the part.
            if !numbered && word.place == Place::WeakPiece {
                continue;
            }
            m.unit = Some(word);
            if let Some(a) = m.amount.as_mut() {
                let times = if self.in_thousands(at, word) { 1000.0 } else { word.times };
                a.low *= times;
                a.high = a.high.map(|h| h * times);
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
        let free = m.unit.is_none() && m.skip.is_none();
        if let Some((word, next)) = self.holder_of(start, numbered).filter(|_| free) {
            m.unit = Some(word);
            i = next;
        }
        // "(2 buckets full)", "a bucket full of peelings"
        let full = self.past_full(i);
        // "eine Schüssel voll Reis"
        let ends = !self.is_word(full) || self.is(full, OF) || full > i && self.lower_word(full - 1) == "voll";
        let holds = m.unit.is_some_and(|u| u.place.holds());
        self.close(m, if holds && ends { full } else { i })
    }

    /// Behind "or so", if that stands here.
    fn past_or_so(&self, at: usize) -> usize {
        if self.is(at, OR) && self.lower_word(at + 1) == "so" { at + 2 } else { at }
    }

    /// "1.500 g": nobody weighs a thousandth of a gram, so the point parts thousands.
    fn in_thousands(&self, behind: usize, unit: UnitWord) -> bool {
        let number = behind.checked_sub(1).map_or("", |at| self.between(at, behind));
        let (whole, rest) = number.split_once('.').unwrap_or_default();
        let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
        matches!(unit.unit.name, "g" | "ml")
            && unit.times == 1.0
            && (1..=3).contains(&whole.len())
            && rest.len() == 3
            && digits(whole)
            && digits(rest)
            && !whole.starts_with('0')
    }

    /// The text from one token up to another.
    pub(super) fn between(&self, from: usize, to: usize) -> &'a str {
        self.text.get(self.token(from).start..self.token(to.saturating_sub(1)).end).unwrap_or("")
    }

    /// Whether a measure's word opens a name that is none without it ("pan de molde", "cup sleeve"), or,
    /// where nothing is counted, the name of something else without it ("gram flour").
    fn named_with(&self, at: usize, next: usize, numbered: bool) -> bool {
        let run = (next..self.tokens.len()).take_while(|i| self.token(*i).kind == Kind::Word).count();
        let of = self.is(next, OF);
        let behind = if of { next + 1 } else { next };
        let opens = || self.lexicon.opens(self.between(at, behind + 1));
        (behind + 1..=next + run).take_while(|to| *to == behind + 1 || opens()).any(|to| {
            let (whole, rest) = (self.between(at, to), self.between(behind, to));
            self.lexicon.names(whole)
                && (!self.lexicon.names(rest)
                    || (!numbered && !of || self.is(next, FOREIGN)) && !self.lexicon.same(whole, rest))
        })
    }

    /// How many words from here on are a name that begins with a word of the reader's own: "till
    /// receipt", "feed bag", "five spice".
    pub(super) fn name_of_words(&self, at: usize) -> Option<usize> {
        if !self.is(at, VERB | TAIL | FROM | SUCH | NUMBER) {
            return None;
        }
        let run = (at..at + 4).take_while(|i| self.token(*i).kind == Kind::Word).count();
        (2..=run).rev().find(|len| {
            let (whole, rest) = (self.between(at, at + len), self.between(at + 1, at + len));
            // "One onion" counts.
            let counted = || self.is(at, NUMBER) && self.lexicon.names(rest) && self.lexicon.same(whole, rest);
            self.lexicon.names(whole) && !counted()
        })
    }

    /// Whether words and a measure's word are a name with nothing measured behind it: "2 compostable cups".
    fn named_up_to(&self, from: usize, at: usize, next: usize) -> bool {
        let text = self.text.get(self.token(from).start..self.token(at).end).unwrap_or("");
        !self.is(next, OF) && self.lexicon.names(text) && !(self.is_word(next) && self.lexicon.names(self.word(next)))
    }

    /// An amount alone in brackets, "(15 oz)", "(1 stick)", "(12 oz each)", and where to go on behind it.
    pub(super) fn size_in_brackets(&self, at: usize) -> Option<(Measured, usize)> {
        if self.token(at).kind != Kind::Open {
            return None;
        }
        let (inner, end) = self.measured(at + 1);
        // A count word may close the bracket.
        let count = self.unit_at(end, true).filter(|(_, next)| self.token(*next).kind == Kind::Close);
        let end = count.map_or(end, |(_, next)| next);
        let end = if self.is(end, EACH) { end + 1 } else { end };
        (inner.amount.is_some() && self.token(end).kind == Kind::Close).then_some((inner, end + 1))
    }

    /// Sums, a second measure of the same amount, `and a half`, `of`, articles.
    fn close(&self, mut m: Measured, at: usize) -> (Measured, usize) {
        let mut i = self.past_or_so(at);
        for _ in 0..4 {
            let Some(unit) = m.unit else { break };
            let comma = usize::from(self.token(i).kind == Kind::Comma);
            let k = i + comma;
            let joins = self.is(i, AND) || self.token(i).kind == Kind::Amp;
            // "a pound and a half", "un kilo et demi de pommes"
            let half = i + 1 + usize::from(self.is(i + 1, ARTICLE));
            if joins && self.is(half, FRACTION) && (half > i + 1 || self.is(i, FOREIGN) && self.is(half + 1, OF)) {
                if let Some(a) = m.amount.as_mut() {
                    a.low += self.token(half).gloss.value * unit.times;
                }
                i = half + 1;
                continue;
            }
            let t = self.token(k);
            if t.kind == Kind::Open {
                let Some((inner, next)) = self.size_in_brackets(k) else { break };
                if let (Measure::Count, Some(a), Some(u)) = (unit.unit.measure, inner.amount, inner.measured_unit()) {
                    m.each = m.each.or(Some(Each { amount: a.low, unit: u }));
                }
                i = next;
                continue;
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
        if m.any() && (self.is(i, OF) || m.unit.is_some_and(|unit| self.holds_food(unit, i))) {
            m.of = true;
            i += 1;
            while self.is(i, DETERMINER | ARTICLE) && self.goes_on(i + 1) {
                i += 1;
            }
        }
        (m, i)
    }
}
