//! Putting a piece where it belongs: a thing of its own, or an amount, states, a part of another.

use super::Splitter;
use super::draft::{Draft, DraftName, Made, either, join};
use super::joints::Joint;
use super::whole::of_whole;
use crate::bag::Named;
use crate::bag::amount::{Each, Measure, UnitWord};
use crate::bag::glossary::{
    ADVERB, AND, ARTICLE, COLOUR, DETERMINER, MERELY, NOT, NUMBER, OR, PLAIN, SIZE, TIMES, VAGUE,
};
use crate::bag::measure::Measured;
use crate::bag::piece::{Holds, Piece};
use crate::bag::tokens::Kind;
use crate::bag::words::{PartId, Said, Sort, State, StateId};

/// Kinds of food that have no parts but those that they say themselves: no peels, no cores.
const PARTLESS: [&str; 6] = ["coffee", "tea", "grain", "prepared food", "drink", "egg"];

impl Splitter<'_> {
    /// Puts a piece where it belongs.
    pub(super) fn place(&mut self, made: Made, words: &[usize], joint: Joint) {
        let joint = match joint {
            Joint::Beside if self.drafts.is_empty() && self.waiting.is_none() => Joint::Start,
            j => j,
        };
        match joint {
            Joint::With => return self.add_with(made, words),
            Joint::Without => return self.add_without(made, words),
            _ => {}
        }
        if made.bracket && self.bracketed(&made, words, joint) {
            return;
        }
        if joint == Joint::Comma && self.nothing_else(&made, words) {
            let (from, to) = made.piece.name;
            let part = made.piece.part.or_else(|| self.source.part_word(words.get(from..to).unwrap_or(&[])));
            let piece = Piece { holds: Holds::Parts, part, ..made.piece };
            return self.parts_only(Made { piece, ..made }, words, Joint::Beside, None);
        }
        match made.piece.holds {
            Holds::States | Holds::Nothing if self.told_apart(&made, words, joint) => {}
            Holds::Nothing => self.amount_only(made, joint),
            Holds::States => self.states_only(made, joint),
            Holds::Parts if self.colour_of_the_last(&made, words, joint) => {}
            Holds::Parts if joint == Joint::Comma && self.few_bits(&made, words) => {}
            Holds::Parts => {
                let model = self.whole_of(made.piece.part);
                self.parts_only(made, words, joint, model);
            }
            Holds::Name if self.its_parts(words) => self.states_only(made, joint),
            Holds::Name if self.prepared(&made, words, joint) || self.told_apart(&made, words, joint) => {}
            Holds::Name => match self.part_of_another(&made, words, joint) {
                Some((part, model)) => {
                    let piece = Piece { holds: Holds::Parts, part: Some(part), full: made.piece.name, ..made.piece };
                    self.parts_only(Made { piece, ..made }, words, joint, Some(model));
                }
                None => self.named(made, words, joint),
            },
        }
    }

    /// "Kale, a few bits": how much there is of the thing before it; but "kale, bits" are its trimmings.
    fn few_bits(&self, made: &Made, words: &[usize]) -> bool {
        let s = self.source;
        let opens = s.tokens.iter().find(|t| t.start == made.start);
        let vague = opens.is_some_and(|t| t.is(VAGUE | ARTICLE | DETERMINER | SIZE));
        vague && !self.drafts.is_empty() && made.m.amount.is_none() && self.so_much(words)
    }

    /// "Watermelon, 1/4, rind only": of the one thing before it a part, and nothing else.
    fn nothing_else(&self, made: &Made, words: &[usize]) -> bool {
        let s = self.source;
        let (from, to) = made.piece.name;
        let word = words.get(from..to).unwrap_or(&[]);
        let part = made.piece.part.filter(|_| made.piece.holds == Holds::Parts).or_else(|| s.part_word(word));
        let only = words.iter().any(|w| s.is(*w, MERELY));
        only && part.is_some() && made.m.amount.is_none() && self.drafts.last().is_some_and(|d| d.names.len() == 1)
    }

    /// "Leeks, light green parts thinly sliced": of which parts of the thing before it something is said.
    fn its_parts(&self, words: &[usize]) -> bool {
        let s = self.source;
        let parts = |w: &usize| matches!(s.lower_word(*w), "part" | "parts");
        let small = |w: &usize| s.is(*w, COLOUR | PLAIN | SIZE | ADVERB) || s.phrase_at(*w, *w + 1).1.state();
        !self.drafts.is_empty() && words.iter().any(parts) && words.iter().all(|w| parts(w) || small(w))
    }

    /// "Eggshells, rinsed, ground": a preparation by itself behind a thing, though its word names one too.
    fn prepared(&mut self, made: &Made, words: &[usize], joint: Joint) -> bool {
        let s = self.source;
        let [word] = *words else { return false };
        let states = || self.drafts.last().is_some_and(|d| d.names.iter().any(|n| n.named.said.yes != 0));
        let behind = match joint {
            Joint::Comma | Joint::Bracket => !self.drafts.is_empty(),
            // "rinsed and ground", but "coffee filters and ground".
            Joint::And => states(),
            _ => false,
        };
        let (_, label) = s.phrase_at(word, word + 1);
        let preparation =
            |(id, state): (StateId, &State)| label.said().yes & id.bit() != 0 && state.sort == Sort::Preparation;
        if !behind || made.m.amount.is_some() || !s.vocabulary.states().any(preparation) {
            return false;
        }
        let piece = Piece { holds: Holds::States, said: label.said(), ..Piece::NOTHING };
        self.states_only(Made { piece, of_part: None, ..*made }, joint);
        true
    }

    /// "Cauliflower - leaves and stem", "apple (core only)": behind a dash, a colon or in brackets
    /// nothing but parts of the thing before it, which is made into those parts; the end of them.
    pub(super) fn told_in_parts(&mut self, at: usize, to: usize) -> Option<usize> {
        let s = self.source;
        let end = match s.token(at).kind {
            Kind::Open => self.closing(at, to),
            Kind::Dash | Kind::Colon if !s.token(at + 1).glued => to,
            _ => return None,
        };
        let draft = self.drafts.last()?;
        let [only] = draft.names.as_slice() else { return None };
        // "onion ends (root and top)": which ends they are.
        let ends = only.named.part.is_some_and(|p| matches!(s.vocabulary.part_name(p), "end" | "trimmings"));
        if ends && s.token(at).kind == Kind::Open {
            let said = |i: usize| s.part_word(&[i]).is_some() || s.is(i, AND | ARTICLE | PLAIN | DETERMINER);
            return (at + 1..end).all(said).then_some(end + usize::from(end < to));
        }
        if only.named.part.is_some() {
            return None;
        }
        let mut parts: Vec<(PartId, usize)> = Vec::new();
        for i in at + 1..end {
            let names = s.lexicon.names(s.word(i));
            // "lettuce: spare ribs"
            if i > at + 1 && s.is_word(i - 1) && s.lexicon.names(s.between(i - 1, i + 1)) {
                return None;
            }
            let said = s.part_word(&[i]).filter(|part| !names || s.lexicon.has_part(&only.named.name, *part));
            match said {
                Some(part) => parts.push((part, i)),
                None if s.is(i, AND | ARTICLE | PLAIN | DETERMINER) => {}
                None if matches!(s.token(i).kind, Kind::Comma | Kind::Amp | Kind::Slash | Kind::Plus) => {}
                None => return None,
            }
        }
        let whole = draft.clone();
        let over = s.token(end.saturating_sub(1)).end;
        for (nth, (part, word)) in parts.iter().enumerate() {
            let mut draft = whole.clone();
            for name in &mut draft.names {
                name.named.part = Some(*part);
                name.named.full = format!("{} {}", name.named.name, s.word(*word));
            }
            draft.end = over;
            if nth == 0 {
                self.drafts.pop();
            }
            self.drafts.push(draft);
        }
        (!parts.is_empty()).then_some(end + usize::from(end < to))
    }

    /// "Avocado skins and stones", "carrot peel and tops": a part's word that is a thing's name too
    /// is a part where a thing before it has such a part and some part of that was said; the part and
    /// the place of that thing.
    fn part_of_another(&self, made: &Made, words: &[usize], joint: Joint) -> Option<(PartId, usize)> {
        let s = self.source;
        let piece = &made.piece;
        let joined = matches!(joint, Joint::And | Joint::Plus) || joint == Joint::Comma && made.comma;
        let apart = made.of_part.is_some() || made.bracket;
        let last = self.drafts.last()?.names.last()?;
        // Who writes of a juice writes of no stones beside it.
        let juice = s.vocabulary.part("juice").is_some_and(|juice| s.says_part(&last.named.name, juice));
        let named_part = !juice && s.without_part(&last.named.name).len() < last.named.name.len();
        let of_part = last.named.part.is_some() || named_part;
        // "leek roots & dark green tops", but orange peels are an orange's.
        let coloured = self.coloured_part(words).filter(|_| !piece.known);
        let plain = piece.known && piece.part.is_none();
        if !plain && coloured.is_none() || !joined || apart || !of_part {
            return None;
        }
        let part = coloured.or_else(|| s.part_word(words.get(piece.name.0..piece.name.1)?))?;
        // In a list, leaves and flowers are gathered by themselves.
        if joint == Joint::Comma && matches!(s.vocabulary.part_name(part), "leaf" | "flower") {
            return None;
        }
        // A mistyped name of which a part was said may have any: "avacado skins + stones".
        let mistyped = |n: &DraftName| !n.known && n.named.part.is_some();
        let of = |n: &DraftName| mistyped(n) || s.lexicon.has_part(s.without_part(&n.named.name), part);
        let has = |d: &Draft| d.names.iter().any(of);
        let model = self.drafts.iter().rposition(has)?;
        Some((part, model))
    }

    /// "apples, green and red peppers": whether `and` or `or` stands behind a piece, whose colour is the peppers'.
    pub(super) fn goes_on(&self, made: &Made) -> bool {
        let behind = self.source.tokens.iter().find(|t| t.start >= made.end);
        behind.is_some_and(|t| t.is(AND | OR) || matches!(t.kind, Kind::Amp | Kind::Slash))
    }

    /// What a bracket may add; true if the piece has been dealt with.
    pub(super) fn bracketed(&mut self, made: &Made, words: &[usize], joint: Joint) -> bool {
        if made.piece.holds != Holds::Name {
            return false;
        }
        if self.told_apart(made, words, joint) {
            return true;
        }
        // "(organic)" names waste in a list of its own, and here says how the thing was grown.
        if !self.drafts.is_empty() && words.iter().all(|w| self.source.is(*w, PLAIN)) {
            return true;
        }
        let waiting_part = self.waiting.as_ref().is_some_and(|w| w.part.is_some());
        if self.drafts.is_empty() && !waiting_part {
            return !made.piece.known;
        }
        let s = self.source;
        let name = s.joined(words.get(made.piece.name.0..made.piece.full.1).unwrap_or(&[]), &mut self.spare);
        // "leftovers (rice, chikcen)": a slip hides no chicken; but a remark that is no list is seldom a name.
        let listed = || made.listed && s.lexicon.slip_of(&name).is_some();
        let alone = || words.first().zip(words.last()).and_then(|(from, last)| s.slip(*from, last + 1)).is_some();
        if !made.piece.known && !listed() && !alone() {
            // "tea bags (nylon mesh)", "lettuce (has dressing on it)": what a remark names may be on it.
            let denied = words.iter().any(|w| self.source.is(*w, NOT));
            let named = if denied { Vec::new() } else { self.source.names_within(words, &mut self.spare) };
            if let Some(draft) = self.drafts.last_mut() {
                draft.additions.extend(named);
            }
            // "bread (one's mouldy)"
            if !denied {
                self.say_of_the_last(s.conditions(made.piece.said));
            }
            return true;
        }
        let measured = self.drafts.last().is_some_and(|d| d.measured.amount.is_some());
        // "pizza (ham, olives)": what is on it; but leftovers are what the list names.
        let of = self.drafts.last().and_then(|d| d.names.last()).map_or("", |n| n.named.name.as_str());
        let dish = s.lexicon.belongs(of, "prepared food") && !s.lexicon.same(of, "leftovers");
        let on_it = dish && made.piece.part.is_none() && made.m.amount.is_none();
        if waiting_part || made.listed && !measured && !on_it {
            return false;
        }
        if joint == Joint::Or && !measured {
            return false;
        }
        // "fruit skins (banana)": which of its kind.
        if let Some((part, word)) = self.part_of_its_kind(&name).filter(|_| !made.listed) {
            if let Some(draft) = self.drafts.last_mut() {
                if !measured && made.m.amount.is_some() {
                    draft.measured = of_whole(made.m, true).unwrap_or(draft.measured);
                }
                if let Some(only) = draft.names.first_mut() {
                    let full = format!("{name} {word}");
                    only.named = Named { name, full, part: Some(part), said: only.named.said };
                }
            }
            return true;
        }
        // "2 kg leftovers (chicken, pasta)": they are in it, and weigh nothing beside it. But "celery root
        // (celeriac)" says it twice, and "4 ounces of butter (1 stick)" holds no sticks.
        let counts = || words.last().is_some_and(|w| s.unit_at(*w, true).is_some());
        let measure = measured && made.m.amount.is_some() && counts();
        if let Some(draft) = self.drafts.last_mut().filter(|_| !measure) {
            let counted = !measured && made.m.amount.is_some();
            let part_of = draft.names.first().filter(|_| counted).and_then(|n| s.comes_from(&n.named, &name));
            let again = draft.names.iter().find(|n| n.known && s.lexicon.same(&n.named.name, &name));
            match again {
                // "carrot peel (6 carrots)", "eggshells (6 eggs)": of so many.
                _ if part_of.is_some() => {
                    draft.measured = part_of.and_then(|is| of_whole(made.m, is)).unwrap_or(draft.measured);
                }
                Some(_) if counted => draft.measured = made.m,
                Some(_) => {}
                None => draft.additions.push(name),
            }
        }
        true
    }

    /// The count word that stands alone behind a number, and counts what came before; without a
    /// number what that came in: "feijoa skins, bucket".
    pub(super) fn unit_of_the_last(&self, m: &Measured, words: &[usize], joint: Joint) -> Option<UnitWord> {
        let s = self.source;
        let [word] = *words else { return None };
        let draft = self.drafts.last()?;
        let last = draft.names.last()?;
        let (unit, _) = s.unit_at(word, true).filter(|_| m.unit.is_none())?;
        if draft.measured.amount.is_some() {
            // "a half-eaten pizza, 2 slices": so much of the one is left.
            let bare = m.amount.is_some() && joint != Joint::Beside && !s.lexicon.names(s.word(word));
            return Some(unit).filter(|_| bare && draft.measured.is_of_one());
        }
        if m.amount.is_none() {
            let alone = draft.measured.unit.is_none() && !s.lexicon.names(s.word(word));
            return Some(unit).filter(|_| alone);
        }
        if joint == Joint::Beside {
            return None;
        }
        let of_it = || s.part_word(words).is_some_and(|part| s.lexicon.has_part(&last.named.name, part));
        // "garlic, 3 cloves"
        let whole = format!("{} {}", last.named.name, s.word(word));
        let counted = || s.lexicon.names(&whole) && s.lexicon.same(&whole, &last.named.name);
        // "wine, a glass"
        let drunk = || ["drink", "alcohol", "dairy"].iter().any(|kind| s.lexicon.belongs(&last.named.name, kind));
        let held = || unit.place.holds() && drunk();
        // "bluberries, a punnet": a measure names nothing by itself, whether the thing is known or not.
        let bare = !s.lexicon.names(s.word(word));
        (bare || last.known && (of_it() || counted() || held())).then_some(unit)
    }

    pub(super) fn amount_only(&mut self, made: Made, joint: Joint) {
        if let Some(waiting) = &mut self.waiting {
            if waiting.measured.amount.is_none() {
                waiting.measured = made.m;
            }
            waiting.end = made.end.max(waiting.end);
            return;
        }
        let Some(draft) = self.drafts.last_mut() else {
            if made.m.amount.is_some() || made.m.unit.is_some() {
                self.waiting = Some(Draft { measured: made.m, start: made.start, end: made.end, ..Draft::default() });
            }
            return;
        };
        draft.end = made.end.max(draft.end);
        let (had, new) = (&mut draft.measured, made.m);
        // "a half-eaten pizza, 2 slices"
        if let Some(unit) = new.counted_unit().filter(|_| had.is_of_one() && new.amount.is_some()) {
            // "1 sheet kombu, 5 inches by 6" is still a sheet.
            if unit.name != "inch" || had.unit.is_none() {
                *had = new;
            }
            return;
        }
        match (had.amount.as_mut(), new.amount) {
            (None, None) => {
                had.unit = had.unit.or(new.unit);
                had.about = had.about.or(new.about);
            }
            (None, Some(_)) => {
                *had = Measured { unit: new.unit.or(had.unit), each: new.each.or(had.each), ..new };
            }
            // "an egg shell or two"
            (Some(a), Some(b)) if joint == Joint::Or && new.unit.is_none() && b.low > a.low => a.high = Some(b.low),
            (Some(a), Some(b)) if had.each.is_none() && !had.unit.is_some_and(|u| u.unit.is_measured()) => {
                if let Some(unit) = new.measured_unit().filter(|_| a.low > 0.0 && joint != Joint::Or) {
                    let whole = if new.of_each { b.low } else { b.low / a.low };
                    // A volume of chopped food is no size of the pieces; a mass is.
                    if matches!(unit.measure, Measure::Mass(_)) || new.of_each {
                        had.each = Some(Each { amount: whole, unit });
                    }
                }
            }
            _ => {}
        }
    }

    pub(super) fn states_only(&mut self, made: Made, joint: Joint) {
        let said = made.piece.said;
        let vocabulary = self.source.vocabulary;
        if let Some(waiting) = &mut self.waiting {
            waiting.said =
                if joint == Joint::Or { either(vocabulary, waiting.said, said) } else { join(waiting.said, said) };
            waiting.end = made.end.max(waiting.end);
            if waiting.measured.amount.is_none() {
                waiting.measured = made.m;
            }
            return;
        }
        if self.drafts.is_empty() {
            let draft = Draft { measured: made.m, said, start: made.start, end: made.end, ..Draft::default() };
            self.waiting = Some(draft);
            return;
        }
        if made.m.amount.is_some() && made.m.unit.is_some() && joint != Joint::Bracket {
            // "2 onions, 1 cup chopped" says twice how much; "rice, cooked, 2 cups" and "rice, cooked 2 cups" once.
            match self.drafts.last_mut().filter(|d| d.measured.amount.is_none() && d.measured.unit.is_none()) {
                Some(draft) => draft.measured = made.m,
                None => return,
            }
        }
        // "eggs, boiled x 2"
        if let Some(draft) = self.drafts.last_mut().filter(|d| made.m.multiplied && d.measured.amount.is_none()) {
            draft.measured = Measured { unit: draft.measured.unit, ..made.m };
        }
        let newest = self.drafts.len().saturating_sub(1);
        for (at, draft) in self.drafts.iter_mut().enumerate().rev() {
            if at == newest {
                draft.end = made.end.max(draft.end);
            }
            for name in &mut draft.names {
                let had = name.named.said;
                name.named.said = if joint == Joint::Or { either(vocabulary, had, said) } else { join(had, said) };
            }
            if !draft.paired {
                break;
            }
        }
    }

    /// Whose part one is that stands alone: that of the last thing, unless that has none of the kind and cannot
    /// have: "coffee grounds, peelings".
    fn whole_of(&self, part: Option<PartId>) -> Option<usize> {
        let s = self.source;
        let last = self.drafts.iter().rposition(|d| !d.names.is_empty())?;
        let has = |n: &DraftName| part.is_some_and(|part| s.lexicon.has_part(s.without_part(&n.named.name), part));
        let bare = |n: &DraftName| {
            !s.lexicon.names_food(&n.named.name) || PARTLESS.iter().any(|kind| s.lexicon.belongs(&n.named.name, kind))
        };
        let none = |n: &DraftName| n.known && bare(n) && !has(n);
        let vague = part.is_none_or(|part| s.is_vague(part));
        if vague || !self.drafts.get(last)?.names.iter().all(none) {
            return Some(last);
        }
        self.drafts.iter().rposition(|d| d.names.iter().any(has))
    }

    /// A part without a name: of the thing before it, of the one at `model`, or of one that follows.
    fn parts_only(&mut self, made: Made, words: &[usize], joint: Joint, model: Option<usize>) {
        let s = self.source;
        let text = s.joined(words.get(made.piece.full.0..made.piece.full.1).unwrap_or(&[]), &mut self.spare);
        let part = made.piece.part;
        // "rind removed", "left whole": a remark on the thing before it.
        let whole = part.is_some_and(|p| s.vocabulary.part_name(p) == "whole");
        if (made.piece.remark || whole) && !self.drafts.is_empty() {
            return;
        }
        if joint == Joint::Beside || joint == Joint::Bracket {
            if let Some(draft) = self.drafts.last_mut() {
                draft.end = made.end.max(draft.end);
                for name in &mut draft.names {
                    if name.named.part.is_none() {
                        name.named.part = part;
                        name.named.full = format!("{} {text}", name.named.name);
                    }
                    name.named.said = join(name.named.said, made.piece.said);
                }
                return;
            }
        }
        let model = model.and_then(|at| self.drafts.get(at)).cloned();
        if let Some(model) = model.filter(|_| !matches!(joint, Joint::Start)) {
            let mut names = model.names;
            for name in &mut names {
                // "mango seed and skin": the skin is the mango's.
                let whole = s.without_part(&name.named.name).to_string();
                name.named.full = format!("{whole} {text}");
                name.named.name = whole;
                name.named.part = part;
                if made.piece.said != Said::default() {
                    name.named.said = made.piece.said;
                }
            }
            if joint == Joint::Or && !made.comma {
                if let Some(draft) = self.drafts.last_mut() {
                    draft.names.extend(names);
                    draft.end = made.end;
                    return;
                }
            }
            self.drafts.push(Draft {
                names,
                measured: made.m,
                paired: !made.comma,
                start: made.start,
                end: made.end,
                ..Draft::default()
            });
            return;
        }
        self.settle_waiting_part();
        let mut draft = self.waiting.take().unwrap_or_default();
        if draft.measured.amount.is_none() {
            draft.measured = made.m;
        }
        if draft.names.is_empty() && draft.part.is_none() && draft.end == 0 {
            draft.start = made.start;
        }
        draft.part = part;
        draft.opens = made.of_part.is_some();
        draft.said = join(draft.said, made.piece.said);
        draft.end = made.end;
        // Kept as its name, should none follow.
        draft.names =
            vec![DraftName { named: Named { name: text.clone(), full: text, part, said: draft.said }, known: false }];
        self.waiting = Some(draft);
    }

    /// A waiting part that no name followed is a thing by itself.
    pub(super) fn settle_waiting_part(&mut self) {
        if self.waiting.as_ref().is_some_and(|w| w.part.is_some()) {
            if let Some(mut draft) = self.waiting.take().filter(|w| !w.taken) {
                for name in &mut draft.names {
                    name.named.said = join(name.named.said, draft.said);
                }
                self.drafts.push(draft);
            }
        }
    }

    pub(super) fn settle_waiting(&mut self) {
        let Some(mut draft) = self.waiting.take().filter(|w| !w.taken) else { return };
        for name in &mut draft.names {
            name.named.said = join(name.named.said, draft.said);
        }
        if !draft.names.is_empty() {
            self.drafts.push(draft);
            return;
        }
        if !self.drafts.is_empty() || self.denied {
            return;
        }
        // "2 cups", "leftovers", "2 x 400 g": the words that are there are all there is to go by.
        let words: Vec<usize> = (0..self.source.tokens.len())
            .filter(|i| self.source.token(*i).start >= draft.start && self.source.token(*i).end <= draft.end)
            .filter(|i| self.source.is_word(*i) && !self.source.is(*i, ARTICLE | DETERMINER | NUMBER | TIMES))
            .collect();
        if words.is_empty() {
            return;
        }
        let name = self.source.joined(&words, &mut self.spare);
        if draft.measured.unit.is_some_and(|u| !u.unit.is_measured()) {
            draft.measured.unit = None;
        }
        draft.names.push(DraftName {
            named: Named { name: name.clone(), full: name, part: None, said: draft.said },
            known: false,
        });
        self.drafts.push(draft);
    }
}
