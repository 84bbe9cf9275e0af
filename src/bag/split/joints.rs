//! The words that join two things or open a remark.

use super::Splitter;
use super::company::CLAUSE;
use super::draft::{join, label_said};
use crate::bag::glossary::{
    ADVERB, AND, APPROX, ARTICLE, BACK, DETERMINER, ETC, FOREIGN, FROM, INCLUDING, LABEL, LIES, MERELY, NOT, NUMBER,
    OF, OR, PLAIN, PLUS, PURPOSE, QUALIFIES, RELATIVE, SHARE, SUCH, TAIL, TELLS, UNDER, VAGUE, WITH, WITHOUT, WORMS,
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

/// The joint that a word makes, or none behind a remark, and where to go on.
pub(super) type Next = (Option<Joint>, usize);

/// What a word may be, in the order in which it is asked.
const JOINTS: [fn(&mut Splitter<'_>, At) -> Option<Next>; 6] = [
    |line, word| line.adds(word),
    |line, word| line.brings(word),
    |line, word| line.lay_wrapped(word),
    |line, word| line.denies(word),
    |line, word| line.lists(word),
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
    pub(super) fn opens(&self) -> bool {
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
            let joins = if joint == Joint::Or { Joint::Or } else { Joint::And };
            return Some((Some(joins), at + 1 + self.of_again(at)));
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
        let merely = |i: &usize| s.is(*i, MERELY);
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
        if !t.is(TAIL | FROM) && !s.of_no_thing(at) || guessed {
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
        if let Some(next) = Some(at + 1).filter(|_| from).and_then(|at| self.last_of_so_many(at, to)) {
            return Some((None, next));
        }
        if from {
            self.compose(at + 1, to);
        }
        self.parted = true;
        let relative = t.is(RELATIVE)
            || s.is(at + 1, TELLS)
            || s.is(at, QUALIFIES)
            || word == "as" && s.lower_word(at + 1) == "long";
        // A bracket that opens with a remark is one: "(from the drain or hairbrushes)".
        let end = if joint == Joint::Bracket && !relative { to } else { self.tail_end(at, to, relative) };
        Some((None, end))
    }

    /// Where the words from here to the next mark or joint end.
    pub(super) fn clause_end(&self, at: usize, to: usize) -> usize {
        let s = self.source;
        let ends = |i: &usize| !s.is_word(*i) || s.is(*i, AND | OR | WITH | TAIL | FROM) || *i > at && s.somebody(*i);
        let near = to.min(at + CLAUSE);
        (at..near).find(ends).unwrap_or(near)
    }

    /// "not just peas but ham": whether the words up to the next mark or joint are one name.
    pub(super) fn names_all(&mut self, at: usize, to: usize) -> bool {
        let s = self.source;
        let from = (at..to).find(|i| !s.is(*i, ADVERB | ARTICLE | DETERMINER)).unwrap_or(to);
        let end = self.clause_end(from, to);
        s.names(&(from..end).collect::<Vec<_>>(), &mut self.spare)
    }

    /// "chaff from roasted coffee beans": where the two together are a name, that is meant.
    pub(super) fn compose(&mut self, at: usize, to: usize) {
        let s = self.source;
        // "newspaper from under the rabbit"
        let at = at + usize::from(s.is(at, UNDER));
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
            let slip = s.slip_that_soaks_in(at, end);
            let words: Vec<usize> = (at..slip.unwrap_or(end)).filter(of).collect();
            let foods = s.names_within(&words, &mut self.spare).into_iter();
            let had = draft.additions.len();
            draft.additions.extend(foods.filter(|food| s.lexicon.names_food(food)));
            draft.additions.extend(slip.map(|from| s.between(from, end).to_string()));
            // "Tissue from a nosebleed" is shown whole.
            if draft.additions.len() > had {
                draft.end = s.token(end.saturating_sub(1).max(at)).end.max(draft.end);
            }
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

    /// The end of a remark; the states of a relative clause go to the thing before it.
    pub(super) fn tail_end(&mut self, at: usize, to: usize, relative: bool) -> usize {
        let s = self.source;
        let mut i = at;
        let mut said = Said::default();
        // "Lettuce for tacos" had no meat on it; "rice for the worms" is what it is.
        let fed = || (at + 1..to.min(at + 4)).any(|i| s.is(i, WORMS | LABEL));
        let told = relative || !s.is(at, PURPOSE) || fed();
        while i < to {
            let t = s.token(i);
            match t.kind {
                Kind::Comma | Kind::Stop | Kind::Open | Kind::Close | Kind::Colon | Kind::End => break,
                Kind::Dash if !t.glued => break,
                _ => {}
            }
            // "o", "y" and "e" are no joints in an English remark, unless a food follows.
            let joins = t.is(AND | OR | PLUS) || matches!(t.kind, Kind::Amp | Kind::Plus | Kind::Slash);
            let food =
                |line: &mut Self| if t.is(FOREIGN) { line.food_from(i + 1, to) } else { line.opens_thing(i + 1, to) };
            if i > at && joins && food(self) {
                break;
            }
            // "spent grain from homebrew 2 kg", "lemons after juicing x 5"
            if i > at && self.weight_closes(i, to) {
                break;
            }
            // "a towel I used to mop up milk", "rice from lunch with butter"; but "lettuce for tacos with meat"
            if i > at && told && self.told_with(at, i, to) {
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
        // "rice from lunch buttered", but "sugar for the mold" and "as long as it's not glossy"
        let closes = told && !relative && i > at + 1 && s.is_word(i - 1) && !s.is(i - 2, ARTICLE | DETERMINER);
        if closes && !(at..i).any(|i| s.is(i, WITHOUT | NOT)) {
            said = join(said, s.conditions(s.phrase_at(i - 1, i).1.said()));
        }
        if self.soiled(at, i) {
            said.yes |= s.vocabulary.state("soiled").map_or(0, StateId::bit);
        }
        // What says something of a thing is shown with it: "newspaper the cat sat on", "rice, butter on".
        let place = (at..i).all(|i| s.is(i, LIES | UNDER | BACK | ADVERB));
        if let Some(draft) = self.drafts.last_mut().filter(|_| i > at && (place || said != Said::default())) {
            draft.end = s.token(i - 1).end.max(draft.end);
        }
        self.say_of_the_last(said);
        i.max(at + 1)
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

    /// Whether a mass, a volume or "x3" stands here and nothing behind it, of a thing that has no amount yet.
    fn weight_closes(&self, at: usize, to: usize) -> bool {
        let s = self.source;
        let times = s.multiplies(at);
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

    /// "pelures de carottes et de navets": the `of` behind the `and`, which says that the turnips have them too; a
    /// "gratin de courgettes et de tomates" is one thing.
    fn of_again(&self, at: usize) -> usize {
        let s = self.source;
        let of = |i: &usize| s.is(*i, OF) && s.is(*i, FOREIGN);
        if !s.is(at, FOREIGN) || !of(&(at + 1)) {
            return 0;
        }
        let whole = self.words.first().zip(self.words.iter().find(|w| of(w)));
        let dish = whole.is_some_and(|(first, of)| {
            let whole = s.between(*first, *of);
            let says = s.said_part(whole).is_some() || s.phrase_at(*first, first + 1).1.state();
            !says && s.lexicon.belongs(whole, "prepared food")
        });
        usize::from(!dish)
    }

    pub(super) fn foreign_joint(&mut self, at: usize, to: usize) -> bool {
        let s = self.source;
        // "Schalen und Kerngehäuse"
        let part = |w: &usize| s.part_word(&[*w]).is_some();
        let left = s.names(&self.words.clone(), &mut self.spare)
            || s.is(at, AND | OR) && self.words.last().is_some_and(part)
            || [self.words.last(), self.words.first()].into_iter().flatten().any(|w| s.lexicon.names(s.word(*w)));
        // "Karottenschalen und -enden"
        let next = at + 1 + usize::from(s.token(at + 1).kind == Kind::Dash && s.token(at + 2).glued);
        let next = if s.is(at, AND) { next + self.of_again(at) } else { next };
        // "avec un peu de beurre", "dans du lait"
        let small = DETERMINER | ARTICLE | ADVERB | NUMBER | VAGUE | SHARE | OF;
        let thing = (next..to).find(|i| !s.is(*i, small)).unwrap_or(to);
        // "riz avec du fromge": what nobody knows is not in the name, and is asked about.
        left && (self.opens_thing(next, to)
            || s.is(at, WITH) && (self.opens_thing(thing, to) || thing < to && s.is_strange(thing)))
    }
}
