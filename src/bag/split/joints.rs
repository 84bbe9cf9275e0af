//! The words that join two things or open a remark.

use super::Splitter;
use super::draft::{Draft, join, label_said};
use crate::bag::amount::unit_word;
use crate::bag::glossary::{
    ADVERB, AND, ANIMAL, APPROX, ARTICLE, BERTH, DETERMINER, ETC, FOREIGN, FROM, INCLUDING, NOT, NUMBER, OF, OR, PLAIN,
    PLUS, RELATIVE, SHARE, SPEAKER, STALL, SUCH, TAIL, VAGUE, VERB, WITH, WITHOUT,
};
use crate::bag::tokens::Kind;
use crate::bag::words::{Said, StateId};

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

/// Where a word stands that may join.
#[derive(Clone, Copy)]
pub(super) struct At {
    pub(super) at: usize,
    pub(super) to: usize,
    /// How what follows is joined so far, and whether a comma stands before it.
    pub(super) joint: Joint,
    pub(super) comma: bool,
}

/// What a clause about a thing says that it has on or in it.
const HAS: &[&str] = &[
    "had",
    "has",
    "have",
    "contained",
    "contains",
    "included",
    "includes",
    "touched",
    "touches",
    "soaked",
    "absorbed",
    "mopped",
];

/// The joint that a word makes, or none behind a remark, and where to go on.
type Next = (Option<Joint>, usize);

/// What a word may be, in the order in which it is asked.
const JOINTS: [fn(&mut Splitter<'_>, At) -> Option<Next>; 6] = [
    |line, word| line.adds(word),
    |line, word| line.brings(word),
    |line, word| line.denies(word),
    |line, word| line.lists(word),
    |line, word| line.lay_in_food(word),
    |line, word| line.remarks(word),
];

impl Splitter<'_> {
    /// A word that joins or opens a remark: the joint it makes and where to go on.
    pub(super) fn joint_word(&mut self, word: At) -> Option<Next> {
        let t = self.source.token(word.at);
        if t.is(FOREIGN) && self.opens() && !(t.is(WITHOUT) && self.opens_thing(word.at + 1, word.to)) {
            return None;
        }
        JOINTS.iter().find_map(|joins| joins(self, word))
    }

    /// Whether nothing has been read yet that something could be joined to.
    fn opens(&self) -> bool {
        self.drafts.is_empty() && self.waiting.is_none()
    }

    /// `and`, `or`, `plus` and their like.
    fn adds(&mut self, At { at, to, joint, .. }: At) -> Option<Next> {
        let s = self.source;
        let t = s.token(at);
        let next = s.lower_word(at + 1);
        if s.lower_word(at) == "as" && next == "well" {
            return Some((Some(Joint::And), at + 2 + usize::from(s.lower_word(at + 2) == "as")));
        }
        if s.lower_word(at) == "along" && s.is(at + 1, WITH) {
            return Some((Some(Joint::And), at + 2));
        }
        if self.opens() {
            return None;
        }
        if t.is(AND) {
            // "and stuff", "and so on"
            let rest = matches!(next, "stuff" | "things" | "such" | "so" | "more" | "others");
            let end = at + 2 + usize::from(next == "so");
            if rest && !s.is_word(end) {
                return Some((None, end));
            }
            return Some((Some(if joint == Joint::Or { Joint::Or } else { Joint::And }), at + 1));
        }
        if t.is(OR) {
            // "or to taste", "or more": no second name.
            let more = matches!(next, "more" | "less" | "so" | "as" | "to" | "whatever" | "both");
            return Some(if more { (None, self.tail_end(at + 1, to, false)) } else { (Some(Joint::Or), at + 1) });
        }
        if t.is(PLUS) {
            let remark = matches!(next, "more" | "extra" | "additional" | "some" | "enough" | "a");
            let amount = next == "a" && (s.unit_at(at + 2, true).is_some() || s.is(at + 3, OF));
            let more = remark && !amount && !self.opens_thing(at + 1, to);
            return Some(if more { (None, self.tail_end(at + 1, to, false)) } else { (Some(Joint::Plus), at + 1) });
        }
        None
    }

    /// `with`, and what says as much.
    fn brings(&mut self, At { at, to, joint, .. }: At) -> Option<Next> {
        let s = self.source;
        if self.opens() {
            return None;
        }
        if s.is(at, WITH) {
            return Some((Some(Joint::With), at + 1));
        }
        if joint != Joint::With && (self.on_it(at, to) || self.is_said_to_be(at, to)) {
            return Some((Some(Joint::With), at));
        }
        self.comes_with(at, to).then(|| (Some(Joint::With), at + if s.is(at, DETERMINER) { 1 } else { 2 }))
    }

    /// `without`, `except for`; and what only looks like it.
    fn denies(&mut self, At { at, to, joint, .. }: At) -> Option<Next> {
        let s = self.source;
        if s.excepts(at) {
            return Some((Some(Joint::Without), at + 2));
        }
        // "nothing but cardboard" is cardboard.
        let nothing = matches!(s.lower_word(at), "nothing" | "none");
        if nothing && matches!(s.lower_word(at + 1), "but" | "except" | "besides") {
            return Some((Some(joint), at + 2));
        }
        if !s.is(at, WITHOUT) {
            return None;
        }
        if let Some(thing) = self.denies_no_thing(at, to) {
            return Some((Some(joint), thing));
        }
        // "not much lettuce", "not a lot of lettuce" is some.
        let much = (at + 1..at + 4).find(|i| !s.is(*i, ADVERB | ARTICLE)).unwrap_or(at);
        let lot = matches!(s.lower_word(much), "lot" | "load" | "ton") && s.is(much + 1, OF);
        if much > at && (lot || s.is(much, VAGUE)) && s.is_word(much + 1) {
            return Some((Some(if self.opens() { joint } else { Joint::With }), much + 1 + usize::from(lot)));
        }
        // "no more than 3 lemons" has lemons in it.
        let than = s.past_than(at);
        if than > at {
            return Some((Some(joint), than));
        }
        let numbered = s.is(at, NUMBER) || s.lower_word(at) == "no" && s.token(at + 1).kind == Kind::Stop;
        (!numbered).then_some((Some(Joint::Without), at + 1))
    }

    /// "not eaten chicken", "not only cheese", "nothing fancy, just chicken": where the thing begins that a
    /// word of denial does not deny. Nobody opens a line with what is not there.
    fn denies_no_thing(&mut self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let merely = |i: &usize| matches!(s.lower_word(*i), "just" | "only" | "merely");
        if !s.is(at, NOT) {
            let end = (at..to).find(|i| !s.is_word(*i)).unwrap_or(to);
            return (at..end).find(merely).filter(|_| self.opens()).map(|i| i + 1);
        }
        let end = self.clause_end(at, to);
        let words: Vec<usize> = (at + 1..end).collect();
        let opens = self.opens();
        let mut named = || (0..words.len()).any(|n| s.names(words.get(n..).unwrap_or(&[]), &mut self.spare));
        (merely(&(at + 1)) || opens && named()).then_some(at + 1)
    }

    /// `including`, `such as`, `of`, and so on.
    fn lists(&mut self, At { at, joint, .. }: At) -> Option<Next> {
        let s = self.source;
        let t = s.token(at);
        let such_as = s.lower_word(at) == "such" && s.lower_word(at + 1) == "as";
        if t.is(INCLUDING) && !self.opens() {
            return Some((Some(Joint::Including), at + 1));
        }
        if (t.is(SUCH) || such_as) && !self.opens() {
            return Some((Some(Joint::Such), at + 1 + usize::from(s.lower_word(at) == "such")));
        }
        (t.is(ETC) || t.is(OF) && !t.is(FOREIGN)).then_some((Some(joint), at + 1))
    }

    /// "carrots in butter", "rice out of the soup": what a thing lies or lay in comes with it, if that
    /// is eaten; a bag that is still around it is to be taken off.
    fn lay_in_food(&mut self, At { at, to, .. }: At) -> Option<Next> {
        if self.opens() {
            return None;
        }
        let s = self.source;
        let lies = s.lies_at(at) || matches!(s.lower_word(at), "en" | "dans");
        let food = Some(at + 1).filter(|food| lies && self.lies_in(*food, to));
        if food.is_none() && self.still_wrapped(at, to) {
            self.say_of_the_last(Said { yes: s.vocabulary.state("stickered").map_or(0, StateId::bit), no: 0 });
            let end = self.tail_end(at, to, false);
            if let Some(draft) = self.drafts.last_mut() {
                draft.end = s.token(end - 1).end.max(draft.end);
            }
            return Some((None, end));
        }
        let wiped = || self.wiped_up(at, to).then_some(at + 1);
        food.or_else(|| self.out_of_food(at, to)).or_else(wiped).map(|food| (Some(Joint::With), food))
    }

    /// "still in a plastic bag", "in its net": what it lies in is what it is wrapped in.
    fn still_wrapped(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let before = at.checked_sub(1).map_or("", |i| s.lower_word(i));
        let still = before == "still" || matches!(s.lower_word(at + 1), "its" | "their");
        let end = (at + 1..to).find(|i| !s.is_word(*i)).unwrap_or(to);
        let holds = |i: usize| unit_word(s.lower_word(i)).is_some_and(|unit| unit.place.holds());
        let wraps = |from: usize| (from + 1..=end).any(|to| s.lexicon.wraps(s.between(from, to)));
        s.lower_word(at) == "in" && still && (at + 1..end).any(|i| holds(i) || wraps(i))
    }

    /// What opens a remark: where from, for whom, who ate it, what became of it.
    fn remarks(&mut self, At { at, to, joint, comma }: At) -> Option<Next> {
        let s = self.source;
        let t = s.token(at);
        let word = s.lower_word(at);
        if word == "out" && !s.is(at + 1, OF) {
            return None;
        }
        if (s.down_the(at) || s.somebody(at)) && !self.opens() {
            let relative = !s.down_the(at);
            return Some((None, self.tail_end(at, to, relative)));
        }
        // "(maybe 6)"
        let guessed = t.is(APPROX) && matches!(s.token(at + 1).kind, Kind::Number { .. });
        if !t.is(TAIL | FROM) || guessed {
            return None;
        }
        // "but not the bones"
        let but_not = matches!(word, "but" | "though") && s.is(at + 1, WITHOUT);
        // "maybe some bacon": what may be there is looked at.
        let maybe = t.is(APPROX) && (comma || joint == Joint::And) && self.opens_thing(at + 1, to);
        // "that soup", "some": at the start of a thing these point, they do not tell.
        let points = t.is(RELATIVE) && (comma || joint == Joint::And);
        let another = word == "but" && self.names_all(at + 1, to);
        let from = word == "from";
        if but_not || another || maybe || points || self.opens() || from && matches!(joint, Joint::And | Joint::Or) {
            return Some((Some(joint), at + 1));
        }
        if from {
            self.compose(at + 1, to);
        }
        self.parted = true;
        let relative = t.is(RELATIVE) || s.qualifies(at) || word == "as" && s.lower_word(at + 1) == "long";
        // A bracket that opens with a remark is one: "(from the drain or hairbrushes)".
        let end = if joint == Joint::Bracket && !relative { to } else { self.tail_end(at, to, relative) };
        Some((None, end))
    }

    /// "kitchen paper after frying bacon", "newspaper for the grease": some of that is on a paper; what a paper is
    /// for is on it only if it is grease.
    fn wiped_up(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let end = self.clause_end(at + 1, to);
        let greasy = |name: &str| s.lexicon.names(name) && s.lexicon.akin(name, "oil or fat");
        let grease = || (at + 1..end).any(|from| greasy(s.between(from, end)));
        let on_it = match s.lower_word(at) {
            "after" | "because" | "since" | "off" => self.lies_in(at + 1, to),
            "out" => self.lies_in(at + 1 + usize::from(s.is(at + 1, OF)), to),
            "for" => grease(),
            _ => false,
        };
        let paper = |d: &Draft| matches!(&d.names[..], [one] if s.lexicon.akin(&one.named.name, "paper"));
        on_it && self.drafts.last().is_some_and(paper)
    }

    /// Where the words from here to the next mark or joint end.
    fn clause_end(&self, at: usize, to: usize) -> usize {
        let s = self.source;
        (at..to).find(|i| !s.is_word(*i) || s.is(*i, AND | OR | WITH | TAIL | FROM)).unwrap_or(to)
    }

    /// "not just peas but ham": whether the words up to the next mark or joint are one name.
    fn names_all(&mut self, at: usize, to: usize) -> bool {
        let s = self.source;
        let from = (at..to).find(|i| !s.is(*i, ADVERB | ARTICLE | DETERMINER)).unwrap_or(to);
        let end = self.clause_end(from, to);
        s.names(&(from..end).collect::<Vec<_>>(), &mut self.spare)
    }

    /// "chaff from roasted coffee beans": where the two together are a name, that is meant.
    pub(super) fn compose(&mut self, at: usize, to: usize) {
        let s = self.source;
        // "newspaper from under the rabbit"
        let at = at + usize::from(matches!(s.lower_word(at), "under" | "inside" | "around" | "beneath"));
        let end = self.clause_end(at, to);
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
        let told = s.is(at, RELATIVE) && !s.is(at, SPEAKER) || s.qualifies(at);
        let had = told && HAS.contains(&s.lower_word(at + 1));
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
            _ if self.of_a_roast(at, to) => at + 1,
            _ => return None,
        };
        (self.was_in_food(food) && self.lies_in(food, to)).then_some(food)
    }

    /// "carottes du rôti", "verduras del cocido": one word behind a foreign `of` that says how a thing was cooked
    /// and also names what was cooked so is that.
    pub(super) fn of_a_roast(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let says_how = s.phrase_at(at + 1, to).1.state() && !(at + 2 < to && s.is_word(at + 2));
        s.is(at, OF) && s.is(at, FOREIGN) && says_how && s.lexicon.names_food(s.word(at + 1))
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
        // A meal says when, and not what was on the plate.
        let meal = |i: usize| s.lexicon.names(s.word(i)) && s.lexicon.same(s.word(i), "leftovers");
        // What is left of making soup was not in it.
        let what = !s.making(food, food + 1) && !(food..food + 2).any(meal);
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
        let end = self.clause_end(at, to);
        // "bananas on the 3rd" are in no French tea, and what is mouldy on top is on no tops.
        let vague = |i: usize| s.part_word(&[i]).is_some_and(|part| s.is_vague(part));
        let ground = |i: usize| s.lower_word(i) == "ground";
        let small = |from: usize, end: usize| {
            end == from + 1 && (s.is(from, ARTICLE | DETERMINER) || vague(from) || ground(from))
        };
        let named = |from: usize, end: usize| !small(from, end) && s.lexicon.soaks_in(s.between(from, end));
        // "in half and half"
        let across = s.is(end, AND) && end + 1 < to && (at..end).any(|from| named(from, end + 2));
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
            if relative && i > at && (self.comes_with(i, to) || self.told_with(at, i, to) || self.is_said_to_be(i, to))
            {
                break;
            }
            if relative {
                let (denied, _) = s.denial_at(i, to);
                let len = if denied > 0 { denied } else { s.phrase_at(i, to).0 };
                if len > 0 {
                    let l = label_said(&s, i, len, &mut self.labels);
                    said = join(said, l);
                    i += len;
                    continue;
                }
            }
            i += 1;
        }
        if self.among_animals(at, i) {
            said.yes |= s.vocabulary.state("soiled").map_or(0, StateId::bit);
        }
        self.say_of_the_last(said);
        i.max(at + 1)
    }

    /// "but with butter", "which was cooked in stock", "though bacon lay on it", "that came out of the curry":
    /// whether a remark from `from` on begins here to say what comes with the thing it is about.
    fn told_with(&self, from: usize, at: usize, to: usize) -> bool {
        let s = self.source;
        let denied = (from..at).any(|i| s.is(i, WITHOUT));
        let joins = s.is(at, WITH) && !s.is(at, FOREIGN) || s.lies_at(at);
        let food = joins && self.lies_in(at + 1, to) || self.on_it(at, to) || self.out_of_food(at, to).is_some();
        food && !denied
    }

    /// "because they're plastic", "it was newspaper": the thing before is of what is named to the end, if that is
    /// no food.
    fn is_said_to_be(&mut self, at: usize, to: usize) -> bool {
        let s = self.source;
        let verb = at.checked_sub(1).map_or("", |i| s.lower_word(i));
        let short = |end: &str| verb.strip_suffix(end).is_some_and(|rest| rest.ends_with(['\'', '’']));
        let is = matches!(verb, "is" | "are" | "was" | "were") || short("s") || short("re");
        is && s.is(at - 1, RELATIVE) && self.names_all(at, to) && !self.lies_in(at, to)
    }

    /// "bacon on it", "pizza was in it": a food that something lies in or under.
    fn on_it(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let lies = |i: &usize| matches!(s.lower_word(*i), "in" | "on") && s.points_back(*i + 1);
        let Some(end) = (at + 1..to.min(at + 5)).find(lies) else { return false };
        let verb = (at + 1..end).rev().take_while(|i| s.is(*i, RELATIVE | VERB | TAIL)).count();
        s.lexicon.soaks_in(s.between(at, end - verb))
    }

    /// Says something of the thing read last.
    pub(super) fn say_of_the_last(&mut self, said: Said) {
        if let Some(draft) = self.drafts.last_mut().filter(|_| said != Said::default()) {
            draft.said = join(draft.said, said);
            for name in &mut draft.names {
                name.named.said = join(name.named.said, said);
            }
        }
    }

    /// "from the hamster cage", "used in the cat tray", "from under the guinea pigs": whether a remark
    /// says that the thing lay where animals live, or under them.
    fn among_animals(&self, at: usize, end: usize) -> bool {
        let s = self.source;
        let under = (at..end).any(|i| matches!(s.lower_word(i), "under" | "underneath" | "beneath"));
        (at..end).any(|i| {
            let animal = s.is(i, ANIMAL);
            s.is(i, STALL) || animal && (s.is(i + 1, BERTH) || under)
        })
    }

    /// Whether a mass, a volume or "x3" stands here and nothing behind it, of a thing that has no amount yet.
    fn weight_closes(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let times = s.token(at).kind == Kind::Times;
        let at = at + usize::from(times);
        if !matches!(s.token(at).kind, Kind::Number { .. })
            || self.drafts.last().is_none_or(|d| d.measured.amount.is_some())
        {
            return false;
        }
        let (measured, end) = s.measured(at);
        (times || measured.measured_unit().is_some()) && (end >= to || !s.is_word(end))
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
            || [self.words.last(), self.words.first()].into_iter().flatten().any(|w| s.lexicon.names(s.word(*w)));
        // "Karottenschalen und -enden"
        let next = at + 1 + usize::from(s.token(at + 1).kind == Kind::Dash && s.token(at + 2).glued);
        // "avec un peu de beurre", "dans du lait"
        let small = DETERMINER | ARTICLE | ADVERB | NUMBER | VAGUE | SHARE | OF;
        let thing = (next..to).find(|i| !s.is(*i, small)).unwrap_or(to);
        left && (self.opens_thing(next, to) || s.is(at, WITH) && self.opens_thing(thing, to))
    }
}
