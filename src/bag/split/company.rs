//! What comes with a thing though no "with" says so: what it lies in, what lay on it, what it was wiped over.

use super::Splitter;
use super::draft::Draft;
use super::joints::{At, Joint, Next};
use crate::bag::amount::unit_word;
use crate::bag::glossary::{
    ADVERB, AND, ANIMAL, ARTICLE, BERTH, DETERMINER, ETC, FOREIGN, FROM, HAS, INSIDES, LIES, NOT, OF, OR, PLACE, PLAIN,
    QUALIFIES, RELATIVE, Roles, SHARE, SIZE, SPEAKER, STALL, TAIL, TELLS, TURNS, UNDER, VERB, WITH, WITHOUT,
};
use crate::bag::tokens::Kind;
use crate::bag::words::{Said, StateId};

/// What animals lie on, and a household cleans up with.
const BEDDING: [&str; 6] = ["paper", "straw", "hay", "sawdust", "wood shavings", "leaves"];

/// What may stand between a thing and the word that says where it lies: "was", "had been put".
const VERBS: Roles = RELATIVE | VERB | TAIL | TURNS | HAS;

/// What a paper that was meant for it is soiled with.
const SOILS: [&str; 4] = ["oil or fat", "meat", "fish", "dairy"];

/// No clause about a thing has more words: what stands further on is not looked at, however long a line is.
pub(super) const CLAUSE: usize = 16;

/// Tells where the name of what comes with a thing begins, if the words from one place to another say so.
type Way = fn(&mut Splitter<'_>, usize, usize) -> Option<usize>;

/// Of any word a way may be asked.
const ANY: Roles = 0;

/// What may say that something comes with a thing, in the order in which it is asked; each of words that do
/// one of these alone.
const WAYS: [(Roles, Way); 8] = [
    (ANY, |line, at, to| line.said_to_be(at, to)),
    (ANY, |line, at, to| line.on_it(at, to)),
    (HAS | RELATIVE, |line, at, to| line.put_on(at, to)),
    (ANY, |line, at, to| line.comes_with(at, to)),
    (LIES, |line, at, to| line.lies(at, to)),
    (TELLS, |line, at, to| line.tells(at, to)),
    (FROM | OF, |line, at, to| line.out_of_food(at, to)),
    (FROM | TAIL, |line, at, to| line.wiped_up(at, to)),
];

impl Splitter<'_> {
    /// `with`, and what says as much.
    pub(super) fn brings(&mut self, At { at, to, joint, comma }: At) -> Option<Next> {
        if self.opens() {
            return None;
        }
        let with = self.source.is(at, WITH).then_some(at + 1);
        let on = |line: &Self| line.lies_behind(at, to).filter(|_| comma && joint == Joint::Comma);
        let thing = with.or_else(|| self.company(at, to)).or_else(|| on(self))?;
        // What stands before its verb was joined, or denied, when it was seen first.
        let joins = thing > at || !matches!(joint, Joint::With | Joint::Without);
        self.by_with = if joins { with.is_some() } else { self.by_with };
        joins.then_some((Some(Joint::With), thing))
    }

    /// Where what comes with a thing begins, if something here says that it does.
    fn company(&mut self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let asked = WAYS.iter().filter(|(roles, _)| *roles == ANY || s.is(at, *roles));
        asked.map(|(_, way)| way).find_map(|way| way(self, at, to))
    }

    /// "but with butter", "which was cooked in stock", "though bacon lay on it": whether a remark from `from` on
    /// says here what comes with the thing it is about, and has not denied it.
    pub(super) fn told_with(&mut self, from: usize, at: usize, to: usize) -> bool {
        let s = self.source;
        let with = s.is(at, WITH) && self.food_from(at + 1, to);
        let denied = (from..at).any(|i| s.is(i, WITHOUT | NOT));
        !denied && (with || self.company(at, to).is_some())
    }

    /// "because they're plastic", "it was newspaper": the thing before is of what is named to the end, if that is
    /// no food.
    fn said_to_be(&mut self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let verb = at.checked_sub(1).map_or("", |i| s.lower_word(i));
        let short = |end: &str| verb.strip_suffix(end).is_some_and(|rest| rest.ends_with(['\'', '’']));
        let is = matches!(verb, "is" | "are" | "was" | "were") || short("s") || short("re");
        (is && s.is(at - 1, RELATIVE) && self.names_all(at, to) && !self.food_from(at, to)).then_some(at)
    }

    /// "bacon on it", "pizza was in it", "stickers on two", "butter on one side": what lies on a thing, or around it.
    fn on_it(&self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let lies = |i: &usize| s.is(*i, LIES | UNDER) && s.back_on_it(*i + 1, to).is_some();
        let end = (at + 1..to.min(at + 5)).find(lies)?;
        let verb = (at + 1..end).rev().take_while(|i| s.is(*i, VERBS)).count();
        let thing = s.between(at, end - verb);
        (s.lexicon.soaks_in(thing) || s.lexicon.wraps(thing)).then_some(at)
    }

    /// "pasta I put cheese on", "cereal that milk was poured over": what was put, or lay, before the `on` that
    /// closes the clause.
    fn put_on(&self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        // "I drained the bacon on", "that eggs broke in"
        let did = |i: &usize| s.is(*i, VERBS) || s.phrase_at(*i, i + 1).1.state();
        let thing = (at + 1..to.min(at + CLAUSE)).find(|i| !did(i))?;
        self.closes_with_place(thing, to).then_some(thing)
    }

    /// "mash, gravy poured on": a food behind a mark that lies in or on what stands before it; "skin on" is no food.
    fn lies_behind(&self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let end =
            (at..to.min(at + CLAUSE)).find(|i| !s.is_word(i + 1) || s.is(*i, AND | OR | WITH | WITHOUT | NOT | ETC))?;
        let named = self.drafts.last().is_some_and(|d| d.names.iter().any(|n| n.known));
        let thing = s.is(end, LIES) && s.phrase_at(at, to).0 == 0;
        (self.part_in_place(at, end) || named && thing && self.closes_with_place(at, end + 1)).then_some(at)
    }

    /// "avocado, stone still in", "melon, seeds in": a part of what stands before, in its place.
    fn part_in_place(&self, at: usize, end: usize) -> bool {
        let s = self.source;
        let Some(name) = self.drafts.last().and_then(|d| d.names.last()) else { return false };
        let Some(part) = s.part_word(&[at]) else { return false };
        let inside = matches!(s.lower_word(end), "in" | "inside");
        let still = (at + 1..end).all(|i| s.is(i, ADVERB | VERBS));
        inside && still && (!name.known || s.lexicon.has_part(&name.named.name, part))
    }

    /// Whether the words up to the next mark name a food, or what fastens or wraps, and close with the `on` that
    /// says where it lies.
    fn closes_with_place(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let last = self.words_end(at, to).and_then(|end| end.checked_sub(1)).filter(|i| s.is(*i, LIES | WITH));
        // "tea bag, staple still in"
        let wraps = |end: usize| (at..end).any(|from| s.lexicon.wraps(s.between(from, end)));
        last.is_some_and(|end| (at + 1..=end).rev().take(4).any(|end| self.food_from(at, end) || wraps(end)))
    }

    /// Where the words from here to the next mark end, if they are no more than a clause has.
    fn words_end(&self, at: usize, to: usize) -> Option<usize> {
        let near = to.min(at + CLAUSE);
        (at..near).find(|i| !self.source.is_word(*i)).or_else(|| (near == to).then_some(to))
    }

    /// "pasta that had cheese on it", "covered in mayo", "kale full of slugs": what is told in two words or more, of
    /// which none is any name's.
    pub(super) fn comes_with(&self, at: usize, to: usize) -> Option<usize> {
        self.had(at, to).or_else(|| self.covered(at, to)).or_else(|| self.infested(at, to))
    }

    /// "pasta that had cheese in it", "a box that had a battery in it".
    fn had(&self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let told = s.is(at, RELATIVE) && !s.is(at, SPEAKER) || s.is(at, QUALIFIES);
        let food = at + 2;
        let had = told && s.is(at + 1, HAS) && (self.food_from(food, to) || self.holds_something(food, to));
        had.then_some(food)
    }

    /// "covered in", "paper towel used for bacon", "the bag it came in".
    fn covered(&self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let used = s.lower_word(at) == "used" && matches!(s.lower_word(at + 1), "for" | "on" | "to" | "with");
        let made = s.lower_word(at) == "made" && s.is(at + 1, WITH);
        // "rice stuck to the lasagne"
        let stuck = matches!(s.lower_word(at), "stuck" | "clinging") && matches!(s.lower_word(at + 1), "to" | "on");
        let two_words = made || s.covers(at) || (used || stuck) && self.food_from(at + 2, to);
        two_words.then_some(at + 2).or_else(|| s.came_in(at, to).then_some(at + 1))
    }

    /// "kale full of slugs", "a rotten pear full of wasps": a food holds nothing, as a bag does, but has something in
    /// it; and so has "newspaper full of grease", which wraps nothing that soils.
    fn infested(&self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        if s.lower_word(at) != "full" || !s.is(at + 1, OF) {
            return None;
        }
        let last =
            || self.drafts.last().and_then(|d| d.names.last()).is_some_and(|n| s.lexicon.names_food(&n.named.name));
        let food = match self.words.last() {
            Some(to) => self.words.iter().any(|from| s.lexicon.names_food(s.between(*from, to + 1))),
            None => last(),
        };
        (food || self.last_is("paper") && self.names_what_soils(at + 2, to)).then_some(at + 2)
    }

    /// "carrots in butter", "bread under the cheese", "Brot, auf dem Butter war".
    fn lies(&self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        // "cut into 12 wedges"
        if s.lower_word(at) == "into" && matches!(s.token(at + 1).kind, Kind::Number { .. }) {
            return None;
        }
        let end = self.words_end(at + 1, to).unwrap_or(to);
        let verb = (at + 1..end).rev().take_while(|i| s.is(*i, HAS)).count();
        let end = if verb > 0 { end - verb } else { to };
        self.food_from(at + 1, end).then_some(at + 1)
    }

    /// "pan que tenía mantequilla", "riz qui était dans la sauce": the food that a foreign clause closes with.
    fn tells(&self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let end = self.words_end(at + 1, to)?;
        let denied = (at + 1..end).any(|i| s.is(i, WITHOUT | NOT));
        let food =
            |from: &usize| !s.is(*from, ARTICLE | DETERMINER | TAIL) && s.lexicon.soaks_in(s.between(*from, end));
        (at + 1..end).find(food).filter(|_| !denied)
    }

    /// "from a curry", "off the pizza", "out of the soup" behind a thing that some of it is on.
    fn out_of_food(&self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let food = match s.lower_word(at) {
            "from" | "off" => at + 1 + usize::from(s.is(at + 1, UNDER)),
            "out" if s.is(at + 1, OF) => at + 2,
            _ if self.of_a_roast(at, to) => at + 1,
            _ => return None,
        };
        (self.was_in_food(food) && self.food_from(food, to)).then_some(food)
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

    /// "kitchen paper after frying bacon", "newspaper for the grease": some of that is on a paper; what a paper is
    /// for is on it only if it soils.
    fn wiped_up(&self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let on_it = match s.lower_word(at) {
            "after" | "because" | "since" | "off" => self.food_from(at + 1, to),
            "out" => self.food_from(at + 1 + usize::from(s.is(at + 1, OF)), to),
            // "for patting meat dry"
            "for" => self.names_what_soils(at + 1, to),
            _ => false,
        };
        (on_it && self.last_is("paper")).then_some(at + 1)
    }

    /// Whether a name of what soils a paper stands between here and the next joint.
    fn names_what_soils(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let end = self.clause_end(at, to);
        let soils = |name: &str| s.lexicon.names(name) && SOILS.iter().any(|kind| s.lexicon.akin(name, kind));
        (at..end).any(|from| (from + 1..=end).any(|end| soils(s.between(from, end))))
    }

    /// Whether the words from here to the next joint end in the name of a food, or of what else stays on
    /// a thing; "in the pan" is in no Spanish bread.
    pub(super) fn food_from(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        // "in 2 cups of butter"
        let at = if matches!(s.token(at).kind, Kind::Number { .. }) { s.measured(at).1 } else { at };
        let end = self.clause_end(at, to);
        // "bananas on the 3rd" are in no French tea, and what is mouldy on top is on no tops.
        let vague = |i: usize| s.part_word(&[i]).is_some_and(|part| s.is_vague(part));
        let small =
            |from: usize, end: usize| end == from + 1 && (s.is(from, ARTICLE | DETERMINER | SHARE) || vague(from));
        let named = |from: usize, end: usize| !small(from, end) && s.lexicon.soaks_in(s.between(from, end));
        // "in half and half"
        let across = s.is(end, AND) && end + 1 < to && (at..end).any(|from| named(from, end + 2));
        // "on cheese rinds"
        let label = |i: usize| s.phrase_at(i, i + 1).0 == 1;
        let without = (at..end).rev().find(|i| !label(*i)).map_or(end, |i| i + 1);
        // "in a tub", but "in a sausage roll"
        let closes = |end: usize| {
            let least = 1 + usize::from(end > at && s.is_holder(end - 1));
            (end.saturating_sub(4).max(at)..=end.saturating_sub(least)).any(|from| named(from, end))
        };
        across
            || [end, without].into_iter().any(closes)
            || self.food_before(at, end)
            || s.slip_that_soaks_in(at, end).is_some()
    }

    /// "in butter yesterday", "from the curry still": a food first, and behind it words that make no place of it, as
    /// "the cheese shop", and no holder.
    fn food_before(&self, at: usize, end: usize) -> bool {
        let s = self.source;
        let small = ARTICLE | DETERMINER | ADVERB | PLAIN | SIZE | OF;
        let Some(from) = (at..end).find(|i| !s.is(*i, small) && s.phrase_at(*i, i + 1).0 == 0) else { return false };
        let longest = (from + 1..=end.min(from + 4)).rev().find(|stop| s.lexicon.names(s.between(from, *stop)));
        longest.filter(|stop| *stop < end).is_some_and(|stop| {
            let counts = stop == from + 1 && unit_word(s.lower_word(from)).is_some();
            let elsewhere = s.is(stop, PLACE | BERTH | STALL) || s.is_holder(stop) || counts;
            !elsewhere && s.lexicon.soaks_in(s.between(from, stop))
        })
    }

    /// "a battery in it", "staples on it": the words up to `in` or `on` are a name.
    fn holds_something(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let from = (at..to).find(|i| !s.is(*i, ARTICLE | DETERMINER)).unwrap_or(to);
        let end = (from..to).find(|i| matches!(s.lower_word(*i), "in" | "on" | "inside" | "around" | "with"));
        end.is_some_and(|end| end > from && (s.lexicon.names(s.between(from, end)) || s.slip(from, end).is_some()))
    }

    /// Whether the words up to the next joint name what nothing grows on: a utensil, what things are packed in.
    pub(super) fn off_a_tool(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let from = (at..to).find(|i| !s.is(*i, ARTICLE | DETERMINER)).unwrap_or(to);
        let end = self.clause_end(from, to);
        from < end && s.lexicon.wraps(s.between(from, end))
    }

    /// "Dregs of the wine bottle", "the last of the jam jar": what is named is what was in it.
    pub(super) fn out_of_its_holder(&mut self, at: usize) {
        let s = self.source;
        let ([first, ..], [.., before, holder]) = (self.words.as_slice(), self.words.as_slice()) else { return };
        if !s.is_holder(*holder) || !(at..*first).any(|i| s.is(i, INSIDES)) {
            return;
        }
        let food = s.lexicon.names_food(s.between(*first, before + 1));
        // The rest of an egg box is card.
        let whole = s.between(*first, holder + 1);
        let card = s.lexicon.names(whole) && s.lexicon.akin(whole, "cardboard");
        if food && !card {
            self.words.pop();
        }
    }

    /// "still in a plastic bag", "in its net": what a thing lies in is what it is wrapped in, and is to be taken off.
    pub(super) fn lay_wrapped(&mut self, At { at, to, .. }: At) -> Option<Next> {
        if self.opens() || !self.still_wrapped(at, to) {
            return None;
        }
        let s = self.source;
        self.say_of_the_last(Said { yes: s.vocabulary.state("stickered").map_or(0, StateId::bit), no: 0 });
        let end = self.tail_end(at, to, false);
        if let Some(draft) = self.drafts.last_mut() {
            draft.end = s.token(end - 1).end.max(draft.end);
        }
        Some((None, end))
    }

    fn still_wrapped(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let before = at.checked_sub(1).map_or("", |i| s.lower_word(i));
        let still = before == "still" || matches!(s.lower_word(at + 1), "its" | "their");
        let end = (at + 1..to).find(|i| !s.is_word(*i)).unwrap_or(to);
        let wraps = |from: usize| (from + 1..=end).any(|to| s.lexicon.wraps(s.between(from, to)));
        s.lower_word(at) == "in" && still && (at + 1..end).any(|i| s.is_holder(i) || wraps(i))
    }

    /// "from the hamster cage", "used in the cat tray", "from under the guinea pigs": whether a remark says that the
    /// thing lay where animals live, or under them; bedding is soiled by any animal told of, and paper by what was
    /// cleaned with it.
    pub(super) fn soiled(&self, at: usize, end: usize) -> bool {
        let s = self.source;
        let told = |roles| (at..end).any(|i| s.is(i, roles));
        let lived = (at..end).any(|i| s.is(i, STALL) || s.is(i, ANIMAL) && s.is(i + 1, BERTH));
        let animal = told(ANIMAL) && (told(UNDER) || BEDDING.iter().any(|kind| self.last_is(kind)));
        // "Wiped up water" is no more than wet.
        let cleaned = || (at..end).any(|i| s.cleans(i) && s.lower_word(i + 1) != "up");
        lived || animal || self.last_is("paper") && cleaned()
    }

    /// Whether the thing read last has one name, which ends in that of something of a kind, or may: in no known one.
    fn last_is(&self, kind: &str) -> bool {
        let lexicon = self.source.lexicon;
        let Some([one]) = self.drafts.last().map(|d| &d.names[..]) else { return false };
        let name = one.named.name.as_str();
        let starts = std::iter::once(0).chain(name.match_indices(' ').map(|(space, _)| space + 1));
        let known = starts.filter_map(|from| name.get(from..)).find(|end| lexicon.names(end));
        known.is_none_or(|known| lexicon.akin(known, kind))
    }
}
