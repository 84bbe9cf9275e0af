//! The ladder from the name as written down to likeness.

use super::head::{Head, parting};
use super::keys::{LANGUAGES, bit};
use super::query::{Info, Query};
use super::settle::{has_part, in_kind};
use super::similar::{Rated, meaning};
use super::{Hit, Names, Spellings};
use crate::bag::{PartId, Said};
use crate::flat::hash;
use crate::knowledge::hand::{PLAIN, cost};
use crate::knowledge::slips::Near;
use crate::knowledge::{Identified, ItemId, Known, Language, Role, Rung};

/// What was found for one name, before it is put into words.
pub(super) struct Answer {
    pub(super) row: Option<u32>,
    pub(super) rung: Option<Rung>,
    pub(super) confidence: f64,
    pub(super) identified: Identified,
    pub(super) part: Option<PartId>,
    /// States that a mistyped word says.
    pub(super) said: Said,
    /// Words of `full` that the name took up, if it was found there.
    pub(super) taken: Option<(usize, usize)>,
    pub(super) asides: Vec<ItemId>,
    /// Rows within reach, with the edits and the cost.
    pub(super) near: Vec<Rated>,
}

impl Answer {
    pub(super) fn unknown() -> Answer {
        Answer {
            row: None,
            rung: None,
            confidence: 0.0,
            identified: Identified::Unknown,
            part: None,
            said: Said::default(),
            taken: None,
            asides: Vec::new(),
            near: Vec::new(),
        }
    }

    pub(super) fn named(hit: Hit, rung: Rung, confidence: f64) -> Answer {
        let mut a = Answer {
            row: Some(hit.row),
            rung: Some(rung),
            confidence,
            identified: Identified::Sure,
            ..Answer::unknown()
        };
        if let Some(rival) = hit.rival {
            a.near.push((rival, 0, 0));
            a.identified = Identified::Likely;
            a.confidence = confidence.min(0.7);
        }
        a
    }
}

/// The part that anything eaten leaves over.
const TRIMMINGS: &str = "trimmings";

/// Letters of the shortest name that German joins to another.
const SHORTEST: usize = 3;

/// Kinds of which another word before the name makes another plant.
const AS_IT_GREW: [&str; 6] = ["produce", "herbs", "spice", "legume", "nut", "edible seed"];

/// Words that deny the word behind them.
const DENIES: [&[u8]; 7] = [b"not", b"non", b"no", b"never", b"nicht", b"pas", b"sin"];

/// What is looked for, and what was said of it.
#[derive(Clone, Copy)]
pub(super) struct Asked<'a> {
    /// The name as it was written.
    pub(super) written: &'a str,
    /// The name, with the states and parts around it set aside.
    pub(super) name: &'a Query,
    /// All that was written of it.
    pub(super) full: &'a Query,
    /// Whether these two differ.
    pub(super) other: bool,
    pub(super) part: Option<PartId>,
    pub(super) said: Said,
    /// The language that was asked for.
    pub(super) language: Option<Language>,
    pub(super) known: &'a Known,
}

impl<'a> Asked<'a> {
    /// A phrase by itself.
    pub(super) fn of(q: &'a Query, language: Option<Language>, known: &'a Known) -> Asked<'a> {
        Asked { written: "", name: q, full: q, other: false, part: None, said: Said::default(), language, known }
    }

    /// The language that is tried first.
    fn first(&self) -> Language {
        self.language.unwrap_or(Language::En)
    }
}

/// The rungs, in their order.
const LADDER: [fn(&Names, &Asked) -> Option<Answer>; 7] = [
    Names::by_all_that_was_written,
    Names::by_name,
    Names::by_pattern,
    Names::by_one_word,
    Names::by_likeness,
    Names::by_head,
    Names::bare,
];

impl Names {
    /// The ladder: what is found on the first rung that holds.
    pub(super) fn climb(&self, asked: &Asked) -> Answer {
        if asked.name.count() == 0 {
            return Answer::unknown();
        }
        LADDER.iter().find_map(|rung| rung(self, asked)).unwrap_or_else(Answer::unknown)
    }

    /// All that was written is a name, states and parts in it.
    fn by_all_that_was_written(&self, asked: &Asked) -> Option<Answer> {
        if !asked.other {
            return None;
        }
        let full = asked.full;
        let hit = self.whole(full, asked.language, false)?;
        let taken = Some((0, full.count()));
        Some(Answer { taken, ..Answer::named(hit, self.rung(hit, full.f.text(), asked.known), 1.0) })
    }

    /// The name is one, and the words around it may make a longer one of it.
    fn by_name(&self, asked: &Asked) -> Option<Answer> {
        let Asked { written, name, full, known, language, .. } = *asked;
        let hit = self.accented(written, name, language, known).or_else(|| self.whole(name, language, false))?;
        let hit = self.that_has(asked.part, hit, name, known);
        let by_itself = Answer::named(hit, self.rung(hit, written, known), 1.0);
        if !asked.other {
            return Some(by_itself);
        }
        // "Not glossy paper" is no glossy paper.
        let denied = |from: usize| from.checked_sub(1).is_some_and(|k| DENIES.contains(&full.f.word(k)));
        // "Roasted vegetable scraps" are of roasted vegetables; "leftover food scraps" are food scraps.
        let any_food = self.is_bare_food(ItemId(self.row(hit.row).item), known);
        let left_over = |p: PartId| known.vocabulary().part_name(p) == TRIMMINGS;
        let last = name.count().saturating_sub(1);
        let scraps = last > 0 && !any_food && name.info(last).part.is_some_and(left_over);
        let read = self.row(hit.row).language;
        let whole = || self.longer(full, name, 0, name.count(), read);
        let of = || self.longer(full, name, 0, last, read).filter(|_| scraps);
        let longer = whole().or_else(of).filter(|s| !denied(s.from));
        let taken =
            longer.map(|s| Answer { taken: Some((s.from, s.to)), ..Answer::named(s.hit, Rung::Normalised, 0.98) });
        Some(taken.unwrap_or(by_itself))
    }

    /// The pattern of an item fits.
    fn by_pattern(&self, asked: &Asked) -> Option<Answer> {
        let fits = self.patterns.iter().filter(|(_, pattern)| pattern.is_match(asked.written));
        let row = |id: u16| self.rows.iter().position(|r| r.item == id && r.which == 0);
        let row = fits.filter_map(|(id, _)| u32::try_from(row(*id)?).ok()).next()?;
        Some(Answer::named(Hit { row, rival: None }, Rung::OtherName, 0.95))
    }

    /// One word: a thing and its part in one, or a slip.
    fn by_one_word(&self, asked: &Asked) -> Option<Answer> {
        let Asked { name, known, .. } = *asked;
        if name.count() != 1 {
            return None;
        }
        if let Some(mut a) = self.compound(name, known) {
            self.reach_joined(name, &mut a);
            self.reach_word(name, &mut a);
            return Some(a);
        }
        let like = self.similar_word(name, asked.language, known);
        // "Mangoeis" is a slip in mangoes, but for somebody who writes German.
        let near = like.as_ref().and_then(|a| a.near.first()).is_some_and(|(_, edits, _)| *edits < 2);
        let slip = near && asked.language != Some(Language::De);
        let mut a = if slip { None } else { self.two_in_one(asked) };
        // "Sandepapier": what is one slip away may be judged worse.
        if let (Some(a), Some(like)) = (&mut a, &like) {
            a.near.extend_from_slice(&like.near);
        }
        a.or(like).map(|a| self.reaching(a, asked))
    }

    /// Several words: a name but for a letter, or a name with slips in its strange words.
    fn by_likeness(&self, asked: &Asked) -> Option<Answer> {
        let Asked { name, known, language, .. } = *asked;
        if name.count() < 2 {
            return None;
        }
        let strange = (0..name.count()).any(|i| self.strange(name, i));
        // Without a strange word a slip made another word of it ("garden wine"); a food in its packing did not.
        let tried = strange || !name.info(name.count() - 1).packing;
        let whole = if tried { self.similar_whole(name, language) } else { None };
        if let Some(mut a) = whole.filter(|a| strange || a.identified == Identified::Likely) {
            // Not where the name found begins with the head: in "egg shels" the egg is spoken for.
            let spoken_for = |h: &Head| {
                let found = a.row.map_or("", |row| self.text(row, known));
                let (found, head) = (Query::of(self, found), name.joined(h.from, h.to));
                a.identified == Identified::Likely && found.joined(0, found.count()).bytes().starts_with(head.bytes())
            };
            let head = self.head(name, asked.first()).filter(|h| !spoken_for(h));
            a.near.extend(head.map(|h| (h.hit.row, 0, PLAIN)));
            return Some(self.reaching(a, asked));
        }
        let mended = if strange { self.similar_phrase(name, language, known) } else { None };
        mended.map(|a| self.reaching(a, asked))
    }

    /// The head noun, in the language asked for before others; else that of all that was written.
    fn by_head(&self, asked: &Asked) -> Option<Answer> {
        let others = LANGUAGES.iter().copied().filter(|l| *l != asked.first());
        let head = std::iter::once(asked.first()).chain(others).find_map(|l| Some((self.head(asked.name, l)?, l)));
        if let Some((h, read)) = head {
            return Some(self.headed(h, asked, read));
        }
        let h = self.head(asked.full, asked.first()).filter(|_| asked.other)?;
        let taken = Some((h.from, h.to));
        let whole = Asked { name: asked.full, other: false, ..*asked };
        Some(Answer { taken, ..self.headed(h, &whole, asked.first()) })
    }

    /// With every name that all that was written is one letter from.
    fn reaching(&self, mut a: Answer, asked: &Asked) -> Answer {
        if asked.other {
            self.reach_joined(asked.full, &mut a);
        }
        a
    }

    /// Nothing but a part or a state was said: "peelings", "salted things".
    fn bare(&self, asked: &Asked) -> Option<Answer> {
        let Asked { written, full, part, said, known, .. } = *asked;
        if !full.all(0, full.count(), Info::free) {
            return None;
        }
        let part = part.or_else(|| (0..full.count()).find_map(|i| full.info(i).part));
        let food = || (0..full.count()).any(|i| matches!(full.f.word(i), b"food" | b"foods" | b"scrap" | b"scraps"));
        let word = match part {
            Some(_) if food() => "food",
            Some(p) => known.vocabulary().part_name(p),
            None => {
                let states = known.vocabulary().names_of(said.yes);
                let named = states.into_iter().find(|s| self.lists.bare.iter().any(|b| b.word == *s));
                named.or(food().then_some("food"))?
            }
        };
        let bare = self.lists.bare.iter().find(|b| b.word == word)?;
        let hit = self.whole(&Query::of(self, &bare.means), Some(Language::En), true)?;
        // A part's word by itself is short: written otherwise than it is listed, it may be a slip.
        let listed = |w: &str| known.vocabulary().parts().any(|(_, p)| p.ways().any(|x| x.to_lowercase() == w));
        let sure =
            bare.likely == "yes" && (part.is_none() || food() || written.to_lowercase().split_whitespace().any(listed));
        let confidence = if sure { 0.7 } else { 0.4 };
        let identified = if sure { Identified::Likely } else { Identified::Unsure };
        Some(Answer { identified, part, ..Answer::named(hit, Rung::HeadNoun, confidence) })
    }

    /// The answer that a head noun gives.
    pub(super) fn headed(&self, h: Head, asked: &Asked, read: Language) -> Answer {
        let Asked { name, full, other, part, known, .. } = *asked;
        // "tomato paste packet": the packet is meant, or what is in it; nobody can tell which.
        let head = ItemId(self.row(h.hit.row).item);
        let packed = (h.to..name.count()).any(|i| name.info(i).packing) && eaten(known, head);
        let identified = if h.confidence < 0.6 || packed { Identified::Unsure } else { Identified::Likely };
        let mut a =
            Answer { identified, confidence: h.confidence, ..Answer::named(h.hit, Rung::HeadNoun, h.confidence) };
        a.asides = h.asides;
        a.part = part.or(h.part);
        // "mozzarella soft cheese", "edamame beans": the head is a kind, and one of its own stands beside it.
        let kind =
            known.kinds_of(head).iter().find(|k| known.kind(**k).is_some_and(|k| k.name == known.item_name(head)));
        let narrower = kind.and_then(|k| h.beside.iter().find(|i| known.kinds_of(**i).binary_search(k).is_ok()));
        if let Some(narrow) = narrower.copied() {
            a.asides.retain(|i| *i != narrow);
            a.row = u32::try_from(self.rows.partition_point(|r| r.item < narrow.0)).ok();
        } else if h.compound
            || Self::crossed(head, &h.beside, known)
            || read == Language::En
                && (self.imitated(name, h.from)
                    || self.of_its_own(name, (h.from, h.to), head, known)
                    || self.held_another(name, (h.from, h.to), head, known))
        {
            a.identified = Identified::Unsure;
            a.confidence = a.confidence.min(0.5);
        }
        if other {
            if let Some(s) = self.longer(full, name, h.from, h.to, read) {
                a.row = Some(s.hit.row);
                a.taken = Some((s.from, s.to));
            } else if let Some(wide) = self.head(full, read).filter(|w| self.row(w.hit.row).item == head.0) {
                // "Hot dog rice": what stands beside the rice goes by all that was written.
                let more: Vec<ItemId> = wide.asides.into_iter().filter(|i| !a.asides.contains(i)).collect();
                a.asides.extend(more);
            }
        }
        self.reach_joined(name, &mut a);
        if full.count() > name.count() {
            self.reach_joined(full, &mut a);
        }
        // "Con flour", "whole wheat pata": another name is one letter from all that was written.
        if a.near.iter().any(|(row, edits, _)| *edits == 1 && self.row(*row).item != head.0) {
            a.identified = Identified::Unsure;
            a.confidence = a.confidence.min(0.5);
        }
        a
    }

    /// "pear squash", "nut lettuce": a plant beside another makes a third that nobody knows here.
    fn crossed(head: ItemId, beside: &[ItemId], known: &Known) -> bool {
        let kinds = known.item(head).map_or(&[][..], |i| i.is.as_slice());
        let akin = |i: ItemId| kinds.iter().any(|k| known.kinds_of(i).binary_search(k).is_ok());
        in_kind(known, head, "produce") && beside.iter().any(|i| in_kind(known, *i, "plant food") && !akin(*i))
    }

    /// Whether an item is what "food" means by itself.
    fn is_bare_food(&self, item: ItemId, known: &Known) -> bool {
        self.lists.bare.iter().any(|b| b.word == "food" && b.means == known.item_name(item))
    }

    /// "Guinea spice", "spinach dock": a word that heads or begins many names, beside one that neither
    /// says how the thing is nor names another, makes a name of its own more often than not.
    fn of_its_own(&self, q: &Query, (from, to): (usize, usize), head: ItemId, known: &Known) -> bool {
        // "alkaline foods"
        if self.is_bare_food(head, known) && (0..from).any(|i| !q.info(i).known()) {
            return true;
        }
        // "glow stick", "hockey stick": nobody knows what it is made of.
        let material = ["paper product", "wood", "woody garden waste"].iter().any(|kind| in_kind(known, head, kind));
        // "grollnut husks", "zorb leaves": a part of what nobody knows.
        let part = || {
            let text = String::from_utf8_lossy(q.f.word(from));
            meaning(&text, known).1.is_some() && !in_kind(known, head, "animal product")
        };
        let one = to - from == 1 && from > 0 && (material && q.info(from).general() || part());
        if one && self.is_no_word(q, from - 1) {
            return true;
        }
        let own = known.kind_named(known.item_name(head));
        let wide = own.is_some_and(|own| known.kinds().any(|(_, k)| k.broader.contains(&own)));
        let plant = ["produce", "herbs", "spice"].iter().any(|kind| in_kind(known, head, kind));
        if wide || !plant || to - from != 1 || !q.info(from).general() {
            return false;
        }
        let plain = |i: usize| {
            let (word, info) = (q.f.word(i), q.info(i));
            verbal(word)
                || info.free()
                || self.like_a_label(word)
                || parting(word).is_some()
                || self.span(q, i, i + 1, Language::En, 1, false).is_some()
        };
        let before = (0..from).rev().take_while(|i| parting(q.f.word(*i)).is_none()).any(|i| !plain(i));
        let behind = to < q.count() && !plain(to) && !q.info(to).ordinary && !q.info(to).packing;
        before || behind
    }

    /// Whether nobody knows a word, not even but for one slip.
    fn is_no_word(&self, q: &Query, at: usize) -> bool {
        let mut near = Vec::new();
        self.spellings.slips.near(q.f.word(at), 1, &mut near);
        !q.info(at).known() && near.is_empty() && parting(q.f.word(at)).is_none() && !self.like_a_label(q.f.word(at))
    }

    /// "Fake flowers": whether a word before the head says that the thing only looks like it.
    fn imitated(&self, q: &Query, from: usize) -> bool {
        (0..from).any(|i| self.lists.imitates.iter().any(|word| word.as_bytes() == q.f.word(i)))
    }

    /// "Vacuum filter": the head is short for a coffee filter, and a word that says neither how it is
    /// nor what food was in it makes another filter of it; "mop water" holds what no food was.
    fn held_another(&self, q: &Query, (from, to): (usize, usize), head: ItemId, known: &Known) -> bool {
        let name = known.item_name(head);
        let own = Query::of(self, name);
        let last = own.count().saturating_sub(1);
        let short = to - from == 1 && last > 0 && own.english(last, last + 1) == q.english(from, to);
        let holds = short && !eaten(known, head) || self.lists.takes_up.iter().any(|item| item == name);
        let of_food = |i: usize| {
            let hit = self.span(q, i, i + 1, Language::En, 1, false);
            hit.is_some_and(|hit| eaten(known, ItemId(self.row(hit.row).item)))
        };
        let beside = (0..from).rev().take_while(|i| parting(q.f.word(*i)).is_none());
        holds && { beside }.any(|i| !q.info(i).free() && !of_food(i))
    }

    /// Every name within one letter of the whole phrase written as one word.
    fn reach_joined(&self, q: &Query, a: &mut Answer) {
        a.near.extend(self.joined_near(q, 0).into_iter().map(|(row, c)| (row, 1, c)));
    }

    /// Every name of one word within one letter of the first word: "uluschalen" are no breadfruit's.
    fn reach_word(&self, q: &Query, a: &mut Answer) {
        let word = q.f.word(0);
        let Spellings { slips, abroad, joined, .. } = &*self.spellings;
        let mut near = Vec::new();
        for (index, first) in [(slips, 0), (abroad, slips.count() + joined.count())] {
            near.clear();
            index.near(word, 1, &mut near);
            for n in &near {
                let c = cost(word, index.word(n.word));
                a.near.extend(self.rows_of(usize::from(n.word) + first).map(|row| (row, 1, c)));
            }
        }
    }

    /// Names of several words that the words of a phrase from one on, written as one, are at most
    /// one letter away from, with what that slip costs.
    pub(super) fn joined_near(&self, q: &Query, from: usize) -> Vec<(u32, u32)> {
        let joined = q.joined(from, q.count());
        let mut near = Vec::new();
        self.spellings.joined.near(joined.bytes(), 1, &mut near);
        let rows = |n: &Near| {
            let c = cost(joined.bytes(), self.spellings.joined.word(n.word));
            self.rows_of(usize::from(n.word) + self.singles()).map(move |row| (row, c))
        };
        near.iter().flat_map(rows).collect()
    }

    /// A thing and its part in one word that no list has: "Apfelkerne", "applecores".
    fn compound(&self, q: &Query, known: &Known) -> Option<Answer> {
        let word = q.f.word(0);
        (3..word.len().saturating_sub(3)).find_map(|at| {
            let (stem, ending) = word.split_at_checked(at)?;
            let part = self.words.get(hash(ending)).part?;
            let stem = std::str::from_utf8(stem).ok()?;
            // Whatever is eaten leaves something over: "Joghurtreste".
            let left_over = known.vocabulary().part_name(part) == TRIMMINGS;
            // A paprika has seeds only where it is no spice.
            let may_have = |hit: &Hit| {
                let item = ItemId(self.row(hit.row).item);
                let has = known.item(item).is_some_and(|i| i.parts.iter().any(|p| p.part == part));
                has || in_kind(known, item, "produce") || left_over && eaten(known, item)
            };
            // German joins with a letter or two: "Bananen-schale", "Rinds-knochen".
            let german = ["", "n", "en", "s", "es"].map(|link| (Language::De, link));
            let hit = std::iter::once((Language::En, "")).chain(german).find_map(|(language, link)| {
                let stem = stem.strip_suffix(link).filter(|s| s.len() > 2)?;
                self.span(&Query::of(self, stem), 0, 1, language, 1, true).filter(may_have)
            })?;
            Some(Answer { part: Some(part), identified: Identified::Likely, ..Answer::named(hit, Rung::HeadNoun, 0.9) })
        })
    }

    /// Two names in one word, of which German says the head last: "Erdbeereis" is ice cream.
    fn two_in_one(&self, asked: &Asked) -> Option<Answer> {
        let known = asked.known;
        if asked.language.is_some_and(|l| l != Language::De) {
            return None;
        }
        let word = asked.name.f.word(0);
        let german = |part: &[u8]| self.words.get(hash(part)).languages & bit(Language::De) != 0;
        let named = |part| self.span(&Query::of(self, part), 0, 1, Language::De, 1, true);
        (SHORTEST..=word.len().checked_sub(SHORTEST)?).find_map(|at| {
            let (before, head) = word.split_at_checked(at).filter(|(_, head)| german(head))?;
            let (before, head) = (std::str::from_utf8(before).ok()?, std::str::from_utf8(head).ok()?);
            named(before).and(named(head))?;
            let apart = Query::of(self, &format!("{before} {head}"));
            let whole = Asked { name: &apart, full: &apart, other: false, ..*asked };
            let mut a = self.headed(self.head(&apart, Language::De)?, &whole, Language::De);
            // A "Wollbohne" is a bean of its own; a sauce is a sauce of whatever it is.
            let item = a.row.map(|row| ItemId(self.row(row).item));
            if item.is_some_and(|i| AS_IT_GREW.iter().any(|kind| in_kind(known, i, kind))) {
                a.identified = Identified::Unsure;
                a.confidence = a.confidence.min(0.5);
            }
            Some(a)
        })
    }

    /// "Trognons de pommes": fries have no core, so the name is read in the language where it has one.
    fn that_has(&self, part: Option<PartId>, hit: Hit, q: &Query, known: &Known) -> Hit {
        let has = |hit: &Hit, part| has_part(ItemId(self.row(hit.row).item), part, known);
        match part {
            Some(part) if self.row(hit.row).language != Language::En && !has(&hit, part) => {
                let read = |l| self.span(q, 0, q.count(), l, 4, true).filter(|hit| has(hit, part));
                LANGUAGES.into_iter().filter(|l| *l != Language::En).find_map(read).unwrap_or(hit)
            }
            _ => hit,
        }
    }

    /// A name of another language written just so, accents and all, where English only comes near
    /// it without them: "pâtes" is no plural of "pâté".
    fn accented(&self, written: &str, q: &Query, language: Option<Language>, known: &Known) -> Option<Hit> {
        if language.is_some() || written.is_ascii() {
            return None;
        }
        let lower = written.to_lowercase();
        let just_so =
            |l: Language| self.whole(q, Some(l), true).filter(|hit| self.text(hit.row, known).to_lowercase() == lower);
        LANGUAGES.iter().find_map(|l| just_so(*l))
    }

    /// A name as the data writes it.
    fn text<'k>(&self, row: u32, known: &'k Known) -> &'k str {
        let row = self.row(row);
        known.item(ItemId(row.item)).and_then(|i| i.names.get(usize::from(row.which))).map_or("", |n| n.text)
    }

    fn rung(&self, hit: Hit, written: &str, known: &Known) -> Rung {
        if self.text(hit.row, known) != written.trim() {
            Rung::Normalised
        } else if self.row(hit.row).which == 0 {
            Rung::Exact
        } else {
            Rung::OtherName
        }
    }
}

/// Whether a word says what was done or how, by its ending.
pub(super) fn verbal(word: &[u8]) -> bool {
    word.ends_with(b"ed") || word.ends_with(b"ing") || word.ends_with(b"ly")
}

/// Whether an item is a food: what is packed, and not the packing.
fn eaten(known: &Known, item: ItemId) -> bool {
    known.kinds_of(item).iter().filter_map(|k| known.kind(*k)).any(|k| k.role == Role::Food)
}
