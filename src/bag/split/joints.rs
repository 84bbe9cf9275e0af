//! The words that join two things or open a remark.

use super::Splitter;
use super::draft::{Draft, label_said};
use crate::bag::amount::unit_word;
use crate::bag::glossary::{
    ADVERB, AND, APPROX, ARTICLE, DETERMINER, ETC, FOREIGN, FROM, INCLUDING, NUMBER, OF, OR, PLAIN, PLUS, RELATIVE,
    SUCH, TAIL, WITH, WITHOUT,
};
use crate::bag::tokens::Kind;
use crate::bag::words::Said;

/// How a piece joins what stands before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Joint {
    Start,
    Comma,
    And,
    Or,
    Plus,
    With,
    Without,
    Including,
    Such,
    /// In brackets.
    Bracket,
    /// Nothing stands between.
    Beside,
}

impl Splitter<'_> {
    /// A word that joins or opens a remark: the joint it makes and where to go on.
    pub(super) fn joint_word(
        &mut self,
        at: usize,
        to: usize,
        joint: Joint,
        comma: bool,
    ) -> Option<(Option<Joint>, usize)> {
        let s = self.source;
        let t = s.token(at);
        let nothing_before = self.drafts.is_empty() && self.waiting.is_none();
        if t.is(FOREIGN) && nothing_before && !(t.is(WITHOUT) && self.opens_thing(at + 1, to)) {
            return None;
        }
        if s.lower_word(at) == "as" && s.lower_word(at + 1) == "well" {
            let skip = if s.lower_word(at + 2) == "as" { 3 } else { 2 };
            return Some((Some(Joint::And), at + skip));
        }
        if s.lower_word(at) == "along" && s.is(at + 1, WITH) {
            return Some((Some(Joint::And), at + 2));
        }
        if t.is(AND) && !nothing_before {
            // "and stuff", "and so on"
            let rest = matches!(s.lower_word(at + 1), "stuff" | "things" | "such" | "so" | "more" | "others");
            let end = if s.lower_word(at + 1) == "so" { at + 3 } else { at + 2 };
            if rest && !s.is_word(end) {
                return Some((None, end));
            }
            return Some((Some(if matches!(joint, Joint::Or) { Joint::Or } else { Joint::And }), at + 1));
        }
        if t.is(OR) && !nothing_before {
            // "or to taste", "or more": no second name.
            let more =
                matches!(s.lower_word(at + 1), "more" | "less" | "so" | "as" | "to" | "whatever" | "both" | "even");
            if more && s.lower_word(at + 1) != "even" {
                return Some((None, self.tail_end(at + 1, to, false)));
            }
            return Some((Some(Joint::Or), at + 1));
        }
        if t.is(PLUS) && !nothing_before {
            let remark = matches!(s.lower_word(at + 1), "more" | "extra" | "additional" | "some" | "enough" | "a");
            let amount = s.lower_word(at + 1) == "a" && s.unit_at(at + 2, true).is_some();
            if remark && !amount && !self.opens_thing(at + 1, to) {
                return Some((None, self.tail_end(at + 1, to, false)));
            }
            return Some((Some(Joint::Plus), at + 1));
        }
        if t.is(WITH) && !nothing_before {
            return Some((Some(Joint::With), at + 1));
        }
        if !nothing_before && self.comes_with(at, to) {
            return Some((Some(Joint::With), at + if s.is(at, DETERMINER) { 1 } else { 2 }));
        }
        if s.excepts(at) {
            return Some((Some(Joint::Without), at + 2));
        }
        // "nothing but cardboard" is cardboard.
        if matches!(s.lower_word(at), "nothing" | "none")
            && matches!(s.lower_word(at + 1), "but" | "except" | "besides")
        {
            return Some((Some(joint), at + 2));
        }
        // "no more than 3 lemons" has lemons in it.
        if t.is(WITHOUT) && s.past_than(at) > at {
            return Some((Some(joint), s.past_than(at)));
        }
        if t.is(WITHOUT) && !t.is(NUMBER) && !(s.lower_word(at) == "no" && s.token(at + 1).kind == Kind::Stop) {
            return Some((Some(Joint::Without), at + 1));
        }
        if t.is(INCLUDING) && !nothing_before {
            return Some((Some(Joint::Including), at + 1));
        }
        if (t.is(SUCH) || (s.lower_word(at) == "such" && s.lower_word(at + 1) == "as")) && !nothing_before {
            let skip = if s.lower_word(at) == "such" { 2 } else { 1 };
            return Some((Some(Joint::Such), at + skip));
        }
        if s.lower_word(at) == "out" && !s.is(at + 1, OF) {
            return None;
        }
        if t.is(ETC) || (t.is(OF) && !t.is(FOREIGN)) {
            return Some((Some(joint), at + 1));
        }
        // "carrots in butter": what a thing lies in comes with it, if that is eaten; a bag is not.
        let lies = matches!(s.lower_word(at), "in" | "on" | "en" | "dans");
        let lies_at = Some(at + 1).filter(|food| lies && self.lies_in(*food, to));
        if let Some(food) = lies_at.or_else(|| self.out_of_food(at, to)).filter(|_| !nothing_before) {
            return Some((Some(Joint::With), food));
        }
        if s.down_the(at) && !nothing_before {
            return Some((None, self.tail_end(at, to, false)));
        }
        if s.somebody(at) && !nothing_before {
            return Some((None, self.tail_end(at, to, true)));
        }
        // "(maybe 6)"
        let guessed = t.is(APPROX) && matches!(s.token(at + 1).kind, Kind::Number { .. });
        if t.is(TAIL | FROM) && !guessed {
            // "but not the bones"
            if matches!(s.lower_word(at), "but" | "though") && s.is(at + 1, WITHOUT) {
                return Some((Some(joint), at + 1));
            }
            // "maybe some bacon": what may be there is looked at.
            if t.is(APPROX) && (comma || joint == Joint::And) && self.opens_thing(at + 1, to) {
                return Some((Some(joint), at + 1));
            }
            // "that soup", "some": at the start of a thing these point, they do not tell.
            let points = t.is(RELATIVE) && (nothing_before || comma || joint == Joint::And);
            if points || nothing_before {
                return Some((Some(joint), at + 1));
            }
            if matches!(joint, Joint::And | Joint::Or) && s.lower_word(at) == "from" {
                return Some((Some(joint), at + 1));
            }
            if s.lower_word(at) == "from" {
                self.compose(at + 1, to);
            }
            self.parted = true;
            let relative = t.is(RELATIVE) || (s.lower_word(at) == "as" && s.lower_word(at + 1) == "long");
            // A bracket that opens with a remark is one: "(from the drain or hairbrushes)".
            if joint == Joint::Bracket && !relative {
                return Some((None, to));
            }
            return Some((None, self.tail_end(at, to, relative)));
        }
        None
    }

    /// "chaff from roasted coffee beans": where the two together are a name, that is meant.
    pub(super) fn compose(&mut self, at: usize, to: usize) {
        let s = self.source;
        // "newspaper from under the rabbit"
        let at = at + usize::from(matches!(s.lower_word(at), "under" | "inside" | "around" | "beneath"));
        let end = (at..to).find(|i| !s.is_word(*i) || s.is(*i, AND | OR | WITH | TAIL | FROM)).unwrap_or(to);
        let Some(draft) = self.drafts.last_mut().filter(|d| d.names.len() == 1) else { return };
        let Some(name) = draft.names.first_mut().filter(|n| n.named.part.is_none()) else { return };
        let of = |i: &usize| !s.is(*i, ARTICLE | DETERMINER);
        // "Newspaper from fish and chips", "juice from defrosting chicken": some of that is on it, or in it.
        let takes =
            name.known && ["paper", "packaging", "juice"].iter().any(|kind| s.lexicon.akin(&name.named.name, kind));
        // "Bean string" is a bean; string from the beans is string.
        let eaten = s.lexicon.names_food(&name.named.name);
        let of_food = |w: &String| !eaten && s.lexicon.names_food(w) && !s.lexicon.akin(w, &name.named.name);
        let named = |w: &String| s.lexicon.names(w) && !of_food(w);
        let whole = (at..end).filter(of).take(4).map(|i| format!("{} {}", s.word(i), name.named.name)).find(named);
        if whole.is_none() && takes {
            let words: Vec<usize> = (at..end).filter(of).collect();
            let foods = s.names_within(&words, &mut self.spare).into_iter();
            draft.additions.extend(foods.filter(|food| s.lexicon.names_food(food)));
            return;
        }
        // "eggs from the garden" are no garden eggs; "scraps from the garden" are garden scraps.
        let part = s.without_part(&format!("x {}", name.named.name)).len() == 1;
        if eaten && !part {
            return;
        }
        if let Some(whole) = whole {
            name.named.full.clone_from(&whole);
            name.named.name = whole;
            name.known = true;
            draft.end = s.token(end.saturating_sub(1).max(at)).end;
        }
    }

    /// "covered in", "mixed with", "paper towel used for bacon": two words that join what comes with a thing.
    pub(super) fn comes_with(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        // "pasta that had cheese on it"
        let had =
            s.is(at, RELATIVE) && matches!(s.lower_word(at + 1), "had" | "has" | "have" | "contained" | "contains");
        if had && (self.lies_in(at + 2, to) || self.holds_something(at + 2, to)) {
            return true;
        }
        let used = s.lower_word(at) == "used" && matches!(s.lower_word(at + 1), "for" | "on" | "to" | "with");
        s.came_in(at, to) || s.covers(at) || self.infested(at) || used && self.lies_in(at + 2, to)
    }

    /// "from a curry", "off the pizza", "out of the soup" behind a thing that some of it is on: where the
    /// food begins.
    fn out_of_food(&self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let food = match s.lower_word(at) {
            "from" | "off" => at + 1,
            "out" if s.is(at + 1, OF) => at + 2,
            _ => return None,
        };
        (self.was_in_food(food) && self.lies_in(food, to)).then_some(food)
    }

    /// "rice from a curry": some of that is on the rice, if it is no part of it and by itself no other
    /// food ("juice from oranges"); but eggs come from hens.
    fn was_in_food(&self, food: usize) -> bool {
        let s = self.source;
        let whole = |d: &Draft| match d.names.as_slice() {
            [one] => {
                let food = one.known && one.named.part.is_none() && s.lexicon.names_food(&one.named.name);
                food && !s.lexicon.akin(&one.named.name, "egg")
            }
            _ => false,
        };
        // What is left of making soup was not in it.
        let made = matches!(s.lower_word(food), "making" | "preparing" | "prepping");
        // A meal says when, and not what was on the plate.
        let meal = |i: usize| s.lexicon.names(s.word(i)) && s.lexicon.same(s.word(i), "leftovers");
        let what = !made && !(food..food + 2).any(meal);
        what && self.drafts.last().is_some_and(whole)
    }

    /// "kale full of slugs": a food holds nothing, as a bag does, but has something in it.
    fn infested(&self, at: usize) -> bool {
        let s = self.source;
        let before = match (self.words.first(), self.words.last(), self.drafts.last()) {
            (Some(from), Some(to), _) => s.between(*from, to + 1),
            (_, _, Some(draft)) => draft.names.last().map_or("", |n| n.named.name.as_str()),
            _ => "",
        };
        s.lower_word(at) == "full" && s.is(at + 1, OF) && s.lexicon.names_food(before)
    }

    /// "a battery in it", "staples on it": the words up to `in` or `on` are a name.
    fn holds_something(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let from = (at..to).find(|i| !s.is(*i, ARTICLE | DETERMINER)).unwrap_or(to);
        let end = (from..to).find(|i| matches!(s.lower_word(*i), "in" | "on" | "inside" | "around" | "with"));
        end.is_some_and(|end| end > from && s.lexicon.names(s.between(from, end)))
    }

    /// Whether the words from here to the next joint end in the name of a food, or of what else stays on
    /// a thing; "in the pan" is in no Spanish bread.
    fn lies_in(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        // "in 2 cups of butter"
        let at = if matches!(s.token(at).kind, Kind::Number { .. }) { s.measured(at).1 } else { at };
        let end = (at..to).find(|i| !s.is_word(*i) || s.is(*i, AND | OR | WITH | TAIL | FROM)).unwrap_or(to);
        let named = |from: usize, end: usize| s.lexicon.soaks_in(s.between(from, end));
        // "in half and half"
        let across = (at..end).any(|from| end + 1 < to && named(from, end + 2));
        // "in a tub", but "in a sausage roll"
        let holder = end > at && unit_word(s.lower_word(end - 1)).is_some_and(|unit| unit.place.holds());
        let least = 1 + usize::from(holder);
        // "on cheese rinds"
        let label = |i: usize| s.phrase_at(i, i + 1).0 == 1;
        let without = (at..end).rev().find(|i| !label(*i)).map_or(end, |i| i + 1);
        let closes =
            |end: usize| (end.saturating_sub(4).max(at)..=end.saturating_sub(least)).any(|from| named(from, end));
        across || [end, without].into_iter().any(closes)
    }

    /// The end of a remark; the states of a relative clause go to the thing before it.
    pub(super) fn tail_end(&mut self, at: usize, to: usize, relative: bool) -> usize {
        let s = self.source;
        let mut i = at;
        let mut said = Said::default();
        while i < to {
            let t = s.token(i);
            match t.kind {
                Kind::Comma | Kind::Stop | Kind::Open | Kind::Close | Kind::Colon | Kind::End => break,
                Kind::Dash if !t.glued => break,
                _ => {}
            }
            if i > at
                && (t.is((AND | OR) & !FOREIGN) || t.kind == Kind::Amp)
                && !t.is(FOREIGN)
                && self.opens_thing(i + 1, to)
            {
                break;
            }
            // "spent grain from homebrew 2 kg"
            if i > at && self.weight_closes(i, to) {
                break;
            }
            // "a towel I used to mop up milk", "rice that came out of the curry"
            if relative && i > at && (self.comes_with(i, to) || self.out_of_food(i, to).is_some()) {
                break;
            }
            if relative {
                let (len, label) = s.denial_at(i, to);
                let (len, label) = if len > 0 { (len, label) } else { s.phrase_at(i, to) };
                if len > 0 {
                    let l = label_said(&s, i, len, &mut self.labels);
                    said.yes |= l.yes;
                    said.no |= l.no;
                    let _ = label;
                    i += len;
                    continue;
                }
            }
            i += 1;
        }
        if relative {
            if let Some(draft) = self.drafts.last_mut() {
                draft.said.yes |= said.yes;
                draft.said.no |= said.no;
                for name in &mut draft.names {
                    name.named.said.yes |= said.yes;
                    name.named.said.no |= said.no;
                }
            }
        }
        i.max(at + 1)
    }

    /// Whether a mass or a volume stands here and nothing behind it, of a thing that has no amount yet.
    fn weight_closes(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        if !matches!(s.token(at).kind, Kind::Number { .. })
            || self.drafts.last().is_none_or(|d| d.measured.amount.is_some())
        {
            return false;
        }
        let (measured, end) = s.measured(at);
        measured.measured_unit().is_some() && (end >= to || !s.is_word(end))
    }

    /// Whether the words here are a known name or a state: an `and` before them ends a remark.
    pub(super) fn opens_thing(&mut self, at: usize, to: usize) -> bool {
        let s = self.source;
        let mut from = at;
        while from < to && (s.is(from, DETERMINER | ARTICLE | ADVERB | PLAIN)) {
            from += 1;
        }
        if s.phrase_at(from, to).0 > 0 || matches!(s.token(from).kind, Kind::Number { .. }) {
            return true;
        }
        (1..=3).any(|len| {
            let words: Vec<usize> = (from..from + len).filter(|w| *w < to && s.is_word(*w)).collect();
            words.len() == len && s.names(&words, &mut self.spare)
        })
    }

    /// Whether a known name lies across the joining word at `at`; the end of that name.
    pub(super) fn spans(&mut self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let before = self.words.len();
        for back in (1..=before.min(3)).rev() {
            // "sourdough discard": of these words only those that open a remark may close a name.
            let least = usize::from(!s.is(at, TAIL));
            for ahead in (least..=3).rev() {
                let last = at + ahead;
                if last >= to || !(at + 1..=last).all(|i| s.is_word(i)) {
                    continue;
                }
                let mut span: Vec<usize> = self.words.iter().skip(before - back).copied().collect();
                span.extend(at..=last);
                if s.names(&span, &mut self.spare) {
                    return Some(last);
                }
            }
        }
        None
    }

    pub(super) fn foreign_joint(&mut self, at: usize, to: usize) -> bool {
        let s = self.source;
        let left = s.names(&self.words.clone(), &mut self.spare)
            || self.words.last().is_some_and(|w| s.lexicon.names(s.word(*w)));
        // "Karottenschalen und -enden"
        let next = at + 1 + usize::from(s.token(at + 1).kind == Kind::Dash && s.token(at + 2).glued);
        left && self.opens_thing(next, to)
    }
}
