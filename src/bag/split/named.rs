//! Making a thing of its own out of a piece that holds a name.

use super::Splitter;
use super::draft::{Draft, DraftName, Made, either, join, without};
use super::joints::Joint;
use crate::bag::amount::Place;
use crate::bag::glossary::{
    ADVERB, AND, ARTICLE, COLOUR, DETERMINER, FOREIGN, FRACTION, LABEL, LATELY, OF, OR, PLAIN, SHARE, SIZE, VAGUE,
    WEEKDAY, WITH,
};
use crate::bag::measure::{Measured, Source};
use crate::bag::piece::{Holds, Piece};
use crate::bag::tokens::Kind;
use crate::bag::words::{PartId, Said};
use crate::bag::{Measure, Named};

/// What is never by itself on a plate.
const SPREADS: &[&str] = &["dairy", "oil", "sauce"];

/// A thing on its way to a draft, with what came before it.
struct Coming {
    piece: Piece,
    m: Measured,
    /// States said before its name.
    leading: Said,
    start: usize,
    paired: bool,
    /// Another name, which a state before `or` makes of it.
    also: Option<String>,
    /// A part that waited for a name, and its word.
    waited: Option<(PartId, String)>,
    /// The part that `of` joined to it, and its word.
    of: Option<(PartId, String)>,
}

impl Coming {
    fn of(made: &Made) -> Coming {
        let Made { piece, m, start, .. } = *made;
        let leading = without(piece.said, piece.trailing);
        Coming { piece, m, leading, start, paired: false, also: None, waited: None, of: None }
    }
}

impl Splitter<'_> {
    /// "Broccoli, yellow", "bananas, black", "peppers, red and yellow": a colour alone behind a known
    /// thing speaks of it, and may say how old it is.
    pub(super) fn colour_of_the_last(&mut self, made: &Made, words: &[usize], joint: Joint) -> bool {
        let s = self.source;
        let [at] = *words else { return false };
        let joins = |i: usize| s.is(i, AND | OR) || s.token(i).kind == Kind::Amp;
        // "apples, green and red peppers"
        let shared = joins(at + 1) && s.is(at + 2, COLOUR) && s.is_word(at + 3) && !joins(at + 3);
        let word = s.lower_word(at);
        // "Pineapple, orange" are two things; who writes of greens writes the plural.
        let thing = word != "green" && s.lexicon.names(word);
        let colour = s.is(at, COLOUR) && !thing;
        if !colour || made.m.amount.is_some() || shared {
            return false;
        }
        // The white of an egg is a part of it, that of a newspaper is none.
        let of = self.drafts.last().and_then(|d| d.names.last()).map_or("", |n| n.named.name.as_str());
        if made.piece.part.is_some_and(|part| s.lexicon.has_part(of, part)) {
            return false;
        }
        let Some(draft) = self.drafts.last_mut().filter(|d| d.names.iter().all(|n| n.known)) else { return false };
        let before = at.saturating_sub(2);
        let goes_on =
            matches!(joint, Joint::And | Joint::Or) && s.is(before, COLOUR) && draft.end <= s.token(before).start;
        if !(goes_on || joint == Joint::Comma && made.comma) {
            return false;
        }
        let (_, label) = s.phrase_at(at, at + 1);
        for name in &mut draft.names {
            let head = name.named.name.rsplit(' ').next().unwrap_or_default().to_lowercase();
            if s.vocabulary.glossary.is_state_of(word, &head) {
                name.named.said = join(name.named.said, label.said());
            }
        }
        true
    }

    /// Makes a thing of a piece that holds a name, unless it says something of the thing before it.
    pub(super) fn named(&mut self, made: Made, words: &[usize], joint: Joint) {
        if self.colour_of_the_last(&made, words, joint)
            || self.where_or_when(&made, words, joint)
            || self.cooks_remark(&made, words, joint)
        {
            return;
        }
        let joined = matches!(joint, Joint::And | Joint::Or) && !made.comma;
        let mut coming = Coming::of(&made);
        coming.paired = joined && !std::mem::take(&mut self.parted);
        self.drop_colour(&made);
        self.take_waiting(&mut coming, &made, words, joint);
        let mut name = self.with_its_part(&mut coming, &made, words, joint);
        let of_part = made.of_part.as_ref().is_some_and(|p| !p.is_empty());
        if coming.paired && of_part {
            self.share_of(&name, joint);
            self.share_whole(&name, &made.m);
        }
        if coming.paired || joint == Joint::Or {
            self.share_head(&mut name, &coming.piece, words, joint);
        }
        // States before the first of a pair speak of both.
        if let Some(draft) = self.drafts.last().filter(|_| coming.paired) {
            let alike = draft.names.first().is_some_and(|n| n.named.part.is_some() == name.named.part.is_some());
            if name.named.said == Said::default() && coming.m.amount.is_none() && alike {
                name.named.said = draft.leading;
                coming.leading = draft.leading;
            }
        }
        self.push(name, coming, &made, words, joint);
    }

    /// What says where the thing before it goes, when or how much there is of it: "-> bin 2",
    /// "coffee; evening: salad", "leaves, bagged last year", "orange peel, a lot", "- big batch".
    fn where_or_when(&self, made: &Made, words: &[usize], joint: Joint) -> bool {
        let s = self.source;
        if made.piece.known || self.drafts.is_empty() {
            return false;
        }
        let one = made.m.amount.is_some() && made.m.unit.is_none() && words.len() == 1;
        // "watermelon rind, 2 halves"
        let halves = made.m.amount.is_some() && matches!(words, [half] if s.is(*half, FRACTION));
        let lettered = matches!(words, [_, letter] if s.word(*letter).len() == 1);
        let holder = words.first().is_some_and(|w| s.is(*w, LABEL));
        let behind = s.tokens.iter().find(|t| t.start >= made.end).map(|t| t.kind);
        let label = made.m.amount.is_none() && words.len() < 3 && behind == Some(Kind::Colon);
        let done =
            words.first().is_some_and(|w| s.past(*w)) && words.last().is_some_and(|w| s.is(*w, LATELY | WEEKDAY));
        // "coffee grounds, whole week"
        let time = LATELY | WEEKDAY | PLAIN | SHARE | ADVERB | ARTICLE | DETERMINER;
        let whole = |w: usize| s.part_word(&[w]).is_some_and(|part| s.vocabulary.part_name(part) == "whole");
        let lately = words.last().is_some_and(|w| s.is(*w, LATELY | WEEKDAY))
            && words.iter().all(|w| s.is(*w, time) || whole(*w));
        let coloured = words.iter().any(|w| s.is(*w, COLOUR)) && self.goes_on(made);
        holder && (one || lettered)
            || label
            || done
            || lately
            || halves
            || joint != Joint::Or && !coloured && self.so_much(words)
    }

    /// "a lot", "big batch", "a few bits", "little pieces": words that say how much there is, or in how big pieces.
    pub(super) fn so_much(&self, words: &[usize]) -> bool {
        let s = self.source;
        let piece = |w: usize| {
            s.unit_at(w, true).is_some_and(|(unit, _)| unit.place == Place::Piece && unit.unit.name == "piece")
        };
        let small = SHARE | ARTICLE | VAGUE | ADVERB | PLAIN | COLOUR | SIZE;
        words.iter().all(|w| s.is(*w, small) || piece(*w))
    }

    /// What a cook did with the thing before it: "squeezed out", "split and scraped", and in a recipe
    /// "softened in hot water", which in a plain list could be a thing.
    fn cooks_remark(&mut self, made: &Made, words: &[usize], joint: Joint) -> bool {
        let s = self.source;
        let piece = made.piece;
        let recipe = self.drafts.last().is_some_and(|d| d.measured.amount.is_some() || d.measured.unit.is_some());
        let alone = match words {
            [_] => true,
            [_, how] => matches!(s.lower_word(*how), "out" | "off" | "up" | "down" | "dry"),
            _ => false,
        };
        let remark = piece.remark || (piece.cooking && (recipe || alone));
        let behind = made.comma || joint == Joint::And && piece.cooking && alone;
        if !remark || !behind || self.drafts.is_empty() || made.m.amount.is_some() {
            return false;
        }
        if piece.said != Said::default() {
            let piece = Piece { holds: Holds::States, ..piece };
            self.states_only(Made { piece, m: Measured::default(), of_part: None, ..*made }, Joint::Comma);
        }
        true
    }

    /// "White, bleached coffee filters": a colour before a comma speaks of what follows.
    fn drop_colour(&mut self, made: &Made) {
        let s = self.source;
        let coloured = |d: &Draft| {
            let word = d.names.first().map_or("", |n| n.named.name.as_str()).to_ascii_lowercase();
            !d.names.iter().any(|n| n.known)
                && d.measured.amount.is_none()
                && s.vocabulary.glossary.gloss(&word).is(COLOUR)
        };
        if made.comma && self.drafts.len() == 1 && self.drafts.first().is_some_and(coloured) {
            self.drafts.clear();
        }
        if made.comma && self.drafts.is_empty() && self.waiting.as_ref().is_some_and(coloured) {
            self.waiting = None;
        }
    }

    /// Gives a thing the part, the amount or the states that waited for it.
    fn take_waiting(&mut self, coming: &mut Coming, made: &Made, words: &[usize], joint: Joint) {
        let s = self.source;
        let listed = made.bracket || self.parts_of;
        let settles = made.of_part.is_none() && !listed && joint != Joint::Beside;
        if settles && self.waiting.as_ref().is_some_and(|w| w.part.is_some() && !w.opens) {
            self.settle_waiting_part();
        }
        let Some(waiting) = self.waiting.take() else { return };
        let word = || waiting.names.first().map(|n| n.named.name.clone()).unwrap_or_default();
        let piece = &mut coming.piece;
        match waiting.part {
            // "ends and pieces from carrots"
            Some(part) if made.of_part.as_ref().is_some_and(Vec::is_empty) => {
                coming.waited = Some((part, word()));
                coming.start = waiting.start;
            }
            // "stems and cores of peppers": the waiting part takes this name.
            Some(part) if made.of_part.is_some() => {
                let name = s.joined(words.get(piece.name.0..piece.name.1).unwrap_or(&[]), &mut self.spare);
                let full = format!("{name} {}", word());
                let named = Named { name, full, part: Some(part), said: join(waiting.said, piece.said) };
                self.drafts.push(Draft { names: vec![DraftName { named, known: piece.known }], ..waiting });
                coming.paired = true;
            }
            Some(part) => {
                coming.waited = Some((part, word()));
                piece.said = join(piece.said, waiting.said);
                if listed {
                    // More names may follow: "peels (potato, carrot)".
                    self.waiting = Some(Draft { taken: true, ..waiting });
                } else {
                    coming.start = waiting.start;
                }
            }
            None => {
                if coming.m.amount.is_none() {
                    coming.m = Measured {
                        unit: waiting.measured.unit.or(coming.m.unit),
                        each: waiting.measured.each.or(coming.m.each),
                        ..waiting.measured
                    };
                }
                // "greasy or spicy foods": a state before a name that has one names another kind.
                if joint == Joint::Or && piece.known {
                    let state = s.text.get(waiting.start..waiting.end).unwrap_or("").trim();
                    let noun = words.get(piece.name.1.saturating_sub(1)).map_or("", |w| s.word(*w));
                    coming.also = Some(format!("{state} {noun}")).filter(|n| s.lexicon.names(n));
                }
                piece.said = match joint {
                    _ if coming.also.is_some() => piece.said,
                    Joint::Or => join(either(s.vocabulary, waiting.said, coming.leading), piece.trailing),
                    _ => join(piece.said, waiting.said),
                };
                coming.leading = without(piece.said, piece.trailing);
                coming.start = waiting.start;
                coming.paired = false;
            }
        }
    }

    /// The name of a thing with the part that was said of it: by itself, by `of`, or before it.
    fn with_its_part(&mut self, coming: &mut Coming, made: &Made, words: &[usize], joint: Joint) -> DraftName {
        let s = self.source;
        let name = s.joined(words.get(coming.piece.name.0..coming.piece.name.1).unwrap_or(&[]), &mut self.spare);
        let full = s.joined(words.get(coming.piece.full.0..coming.piece.full.1).unwrap_or(&[]), &mut self.spare);
        let mut full = in_its_measure(&s, &coming.m, &name).unwrap_or(full);
        if let Some(part_words) = made.of_part.as_ref().filter(|p| !p.is_empty()) {
            let part_text = s.joined(part_words, &mut self.spare);
            full = format!("{full} {part_text}");
            coming.of = coming.piece.part.map(|part| (part, part_text));
        }
        if coming.piece.part.is_none() {
            if coming.of.is_none() {
                coming.of = self.shared_part(coming, made, &name, joint);
            }
            // "skins - onion, bread": bread has none.
            let may = |part: PartId| !self.parts_of || !coming.piece.known || s.lexicon.has_part(&name, part);
            let waited = coming.waited.take().filter(|(part, _)| may(*part));
            if let Some((part, word)) = coming.of.clone().or(waited) {
                coming.piece.part = Some(part);
                full = format!("{name} {word}");
            }
        }
        let Piece { part, said, known, .. } = coming.piece;
        DraftName { named: Named { name, full, part, said }, known }
    }

    /// The part, and its word, that a name shares with what stands before it: "skins of onions and garlic", "skins
    /// from 2 mangoes and 3 avocados", or that of the kind that a list is of.
    fn shared_part(&self, coming: &Coming, made: &Made, name: &str, joint: Joint) -> Option<(PartId, String)> {
        let s = self.source;
        let last = self.drafts.last();
        let counted = coming.m.unit.is_none() && last.is_some_and(|d| d.measured.amount.is_some());
        if coming.paired && (coming.m.amount.is_none() || counted) {
            let whole = s.without_part(name).len() == name.len();
            let of = last.and_then(|d| d.of.clone());
            let of = of.or_else(|| self.part_of_again(made));
            if let Some(of) = of.filter(|(part, _)| whole && s.lexicon.has_part(name, *part)) {
                return Some(of);
            }
        }
        let lists = made.bracket && made.listed || self.parts_of || joint == Joint::Such;
        if lists && coming.waited.is_none() { self.part_of_its_kind(name) } else { None }
    }

    /// "peaux de bananes, d'oranges et de melons": the part before the first `of`, which what follows is of as well.
    fn part_of_again(&self, made: &Made) -> Option<(PartId, String)> {
        let s = self.source;
        let at = s.tokens.iter().position(|t| t.start == made.start)?;
        let of = at > 1 && s.is(at - 1, OF) && s.is(at - 1, FOREIGN);
        let again = of && (s.is(at - 2, AND) || s.token(at - 2).kind == Kind::Comma);
        let first = self.drafts.last()?.names.last()?.named.name.split(' ').next()?;
        let part = s.said_part(first).filter(|_| again)?;
        Some((part, first.to_string()))
    }

    /// "nut shells (walnut, hazelnut)", "vegetable ends: leek, carrot": the part, and its word, of what stands before
    /// a list of such things.
    pub(super) fn part_of_its_kind(&self, name: &str) -> Option<(PartId, String)> {
        let s = self.source;
        let (kind, part, word) = self.drafts.iter().rev().find_map(|d| self.kind_and_part(d))?;
        let has = s.is_vague(part) || s.lexicon.has_part(name, part);
        (has && s.without_part(name) == name && s.lexicon.belongs(name, kind)).then(|| (part, word.to_string()))
    }

    /// "fruit peels", "nut shells": the kind that a draft is a part of, the part and its word.
    pub(super) fn kind_and_part<'d>(&self, draft: &'d Draft) -> Option<(&'d str, PartId, &'d str)> {
        let s = self.source;
        let [DraftName { named, .. }] = draft.names.as_slice() else { return None };
        let (kind, part) = match named.part {
            Some(part) => (named.name.as_str(), part),
            // Plant waste is no waste of a plant.
            None => s.whole_and_part(&named.name).filter(|(_, part)| !s.is_vague(*part))?,
        };
        let word = named.full.rsplit(' ').next().unwrap_or_default();
        s.lexicon.belongs(kind, kind).then_some((kind, part, word))
    }

    /// Makes a draft of a name, or another name or an addition of the one before it.
    fn push(&mut self, name: DraftName, coming: Coming, made: &Made, words: &[usize], joint: Joint) {
        let s = self.source;
        let Coming { m, leading, start, paired, also, of, .. } = coming;
        // Examples of what has an amount are part of it.
        if joint == Joint::Such && self.drafts.last().is_some_and(|d| d.measured.amount.is_some()) {
            self.examples = true;
        }
        if self.examples && m.amount.is_none() {
            if let Some(draft) = self.drafts.last_mut().filter(|_| name.known) {
                draft.additions.push(name.named.name);
            }
            return;
        }
        if joint == Joint::Or {
            if let Some(draft) = self.drafts.last_mut() {
                draft.names.push(name);
                draft.end = made.end.max(draft.end);
                return;
            }
        }
        let strange = !name.known && !words.last().is_some_and(|w| s.lexicon.knows_word(s.word(*w)));
        if joint == Joint::Such && strange && s.likely_slip(&name.named.name).is_none() {
            return;
        }
        let joins = matches!(joint, Joint::And | Joint::Plus) && !made.comma && m.amount.is_none();
        if joins && name.known && self.comes_too(&name, made, joint) {
            return;
        }
        let also = also.map(|also| {
            let named = Named { name: also.clone(), full: also, ..Named::default() };
            DraftName { named, known: true }
        });
        let names = also.into_iter().chain([name]).collect();
        self.drafts.push(Draft { names, measured: m, leading, paired, of, start, end: made.end, ..Draft::default() });
    }

    /// What `and` joins to that which a thing comes with: "peas with mint & butter" have what spreads on them as
    /// well; "pizza with ham and pineapple" is one dish, and true is given of it.
    fn comes_too(&mut self, name: &DraftName, made: &Made, joint: Joint) -> bool {
        let s = self.source;
        let Some(draft) = self.drafts.last_mut() else { return false };
        let tokens = |from: usize, to: usize| s.tokens.iter().filter(move |t| (from..to).contains(&t.start));
        if tokens(draft.end, made.start).count() > 1 {
            return false;
        }
        let of = draft.names.last().map_or("", |n| n.named.name.as_str());
        let food = name.named.part.is_none() && s.lexicon.names_food(&name.named.name);
        let with = tokens(draft.start, draft.end).any(|t| t.is(WITH));
        let dish = with && food && joint == Joint::And && s.lexicon.belongs(of, "prepared food");
        let spreads = || SPREADS.iter().any(|kind| s.lexicon.akin(&name.named.name, kind));
        if dish || !draft.additions.is_empty() && spreads() {
            draft.additions.push(name.named.name.clone());
        }
        if dish {
            draft.end = made.end.max(draft.end);
        }
        dish
    }
}

/// "Bowl of chili": a thing of its own by the measure it comes in.
fn in_its_measure(s: &Source<'_>, m: &Measured, name: &str) -> Option<String> {
    let unit = m.unit.filter(|u| matches!(u.unit.measure, Measure::Count))?;
    let whole = format!("{} of {name}", unit.unit.name);
    s.lexicon.names(&whole).then_some(whole)
}
