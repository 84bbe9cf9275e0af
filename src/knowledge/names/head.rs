//! The head noun of a phrase, its modifiers set aside.

use super::keys::bit;
use super::ladder::verbal;
use super::query::{Info, Query};
use super::{Hit, LONGEST_NAME, Names};
use crate::bag::PartId;
use crate::knowledge::{ItemId, Language};

/// A head noun and what was set aside for it.
pub(super) struct Head {
    pub(super) hit: Hit,
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) asides: Vec<ItemId>,
    /// Those of them that stand beside the head or after "of", where a narrower thing may stand.
    pub(super) beside: Vec<ItemId>,
    pub(super) part: Option<PartId>,
    /// Spanish and French make another thing of a head by what stands behind it ("nueces del Amazonas").
    pub(super) compound: bool,
    pub(super) confidence: f64,
}

/// Letters of a word up to which it is a slip of another at one edit alone.
const SHORT: usize = 4;

/// Words that part a phrase into regions.
pub(super) fn parting(word: &[u8]) -> Option<Parting> {
    Some(match word {
        b"of" | b"de" | b"du" | b"des" | b"del" | b"d" | b"von" | b"vom" => Parting::Of,
        b"from" | b"off" => Parting::From,
        b"with" | b"in" | b"on" | b"and" | b"plus" | b"inside" | b"mit" | b"con" | b"avec" | b"et" | b"und" | b"y"
        | b"w" | b"or" => Parting::With,
        b"for" | b"to" | b"at" | b"by" | b"per" | b"as" | b"after" | b"before" | b"that" | b"which" | b"you" | b"i"
        | b"we" => Parting::Aside,
        _ => return None,
    })
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Parting {
    Of,
    From,
    With,
    Aside,
}

/// A named stretch of a phrase.
#[derive(Clone, Copy)]
pub(super) struct Stretch {
    pub(super) hit: Hit,
    pub(super) from: usize,
    pub(super) to: usize,
}

impl Names {
    /// The last named stretch of a region, the longest that ends there; for Spanish and French the
    /// first, since their head nouns lead.
    fn stretch(&self, q: &Query, from: usize, to: usize, language: Language) -> Option<Stretch> {
        if matches!(language, Language::Es | Language::Fr) {
            for i in from..to {
                for j in (i + 1..=to.min(i + LONGEST_NAME)).rev() {
                    if let Some(hit) = self.span(q, i, j, language, 2, false) {
                        return Some(Stretch { hit, from: i, to: j });
                    }
                }
            }
            return None;
        }
        for j in (from + 1..=to).rev() {
            for i in j.saturating_sub(LONGEST_NAME).max(from)..j {
                if let Some(hit) = self.span(q, i, j, language, 2, false) {
                    return Some(Stretch { hit, from: i, to: j });
                }
            }
        }
        None
    }

    /// True if a stretch says only how much, which part or how it is, and so is no head; "beurre" says no state but
    /// where it stands for "beurré".
    fn weak(&self, q: &Query, s: Stretch, language: Language) -> bool {
        let named = |info: Info| info.state && info.part.is_none() && info.languages & bit(language) != 0;
        (s.from..s.to).all(|i| q.info(i).free() && !(language != Language::En && named(q.info(i))))
    }

    /// Things named among the words that were set aside.
    fn asides(&self, q: &Query, (from, to): (usize, usize), head: u16, language: Language, out: &mut Vec<ItemId>) {
        let mut i = from;
        while i < to {
            let named = |j: usize| {
                let hit = self.span(q, i, j, language, 2, false);
                hit.or_else(|| if language == Language::En { None } else { self.span(q, i, j, Language::En, 2, false) })
                    .map(|hit| (j, hit))
            };
            let longest = (i + 1..=to.min(i + LONGEST_NAME)).rev().find_map(named);
            match longest {
                Some((j, hit)) => {
                    let s = Stretch { hit, from: i, to: j };
                    let id = ItemId(self.row(hit.row).item);
                    // "Short" and "ribs" say little; short ribs are meat.
                    let says = j - i > 1 || !self.weak(q, s, language);
                    if says && id.0 != head && !out.contains(&id) {
                        out.push(id);
                    }
                    i = j;
                }
                None => i += 1,
            }
        }
    }

    /// Whether a name of several words lies across the word at a place.
    fn in_a_name(&self, q: &Query, at: usize, language: Language) -> bool {
        let ends = at + 2..=q.count().min(at + LONGEST_NAME - 1);
        let named = |from: usize, to: usize| self.span(q, from, to, language, 1, false).is_some();
        (at.saturating_sub(2)..at).any(|from| ends.clone().any(|to| named(from, to)))
    }

    /// The head noun of a phrase, its modifiers set aside.
    pub(super) fn head(&self, q: &Query, language: Language) -> Option<Head> {
        let n = q.count();
        let mut regions: Vec<(Option<Parting>, usize, usize)> = Vec::with_capacity(4);
        let (mut start, mut by) = (0usize, None);
        for i in 0..=n {
            let cut = if i == n { Some(Parting::Aside) } else { parting(q.f.word(i)) };
            // "chili con carne rice": the name across it is not parted.
            let cut = cut.filter(|_| i == n || !self.in_a_name(q, i, language));
            if let Some(next) = cut {
                if start < i {
                    regions.push((by, start, i));
                    by = None;
                }
                // Of two parting words in a row the first says how.
                by = by.or(Some(next));
                start = i + 1;
            }
        }
        let mut chosen: Option<(usize, Stretch)> = None;
        for (r, (by, from, to)) in regions.iter().enumerate() {
            let Some(s) = self.stretch(q, *from, *to, language) else { continue };
            // "marjoram leaf": the leaf is the part, what stands before it the thing.
            let before =
                || self.stretch(q, *from, s.from, language).filter(|b| b.to == s.from && !self.weak(q, *b, language));
            let part_of =
                Some(s).filter(|s| language == Language::En && s.to - s.from == 1 && q.info(s.from).part.is_some());
            let s = part_of.and_then(|_| before()).unwrap_or(s);
            match chosen {
                None => chosen = Some((r, s)),
                Some((_, before))
                    if self.weak(q, before, language)
                        && !self.weak(q, s, language)
                        && matches!(by, Some(Parting::Of | Parting::From)) =>
                {
                    chosen = Some((r, s));
                }
                Some(_) => {}
            }
        }
        let (r, s) = chosen?;
        let head = self.row(s.hit.row).item;
        let mut asides = Vec::new();
        let mut beside = Vec::new();
        let mut part = None;
        let (mut loose, mut trailing, mut strange, mut compound) = (0usize, 0usize, false, false);
        let general = s.to - s.from == 1 && q.info(s.from).general();
        let leads = matches!(language, Language::Es | Language::Fr) && general;
        for (k, (by, from, to)) in regions.iter().enumerate() {
            let (by, from, to) = (*by, *from, *to);
            if k == r {
                self.asides(q, (from, s.from), head, language, &mut asides);
                let before = asides.len();
                self.asides(q, (s.to, to), head, language, &mut asides);
                compound |= leads && asides.len() > before;
                part = part.or_else(|| (s.to..to).find_map(|i| q.info(i).part).filter(|_| language == Language::En));
                beside = asides.clone();
                loose += (from..s.from).filter(|i| !q.info(*i).known()).count();
                trailing += (s.to..to).filter(|i| !q.info(*i).free()).count();
                strange = language == Language::En && s.to + 1 == to && self.heads(q, s.to);
            } else if k < r {
                part = part.or_else(|| (from..to).find_map(|i| q.info(i).part));
                self.asides(q, (from, to), head, language, &mut asides);
                loose += (from..to).filter(|i| !q.info(*i).known()).count();
            } else if by != Some(Parting::Aside) {
                let before = asides.len();
                self.asides(q, (from, to), head, language, &mut asides);
                if by == Some(Parting::Of) {
                    compound |= leads && !q.all(from, to, Info::free);
                    beside.extend(asides.iter().skip(before));
                }
            }
        }
        let mut confidence: f64 = 0.86 - 0.03 * f64::from(u32::try_from(loose.min(6)).unwrap_or(6));
        if trailing > 0 {
            confidence -= if strange { 0.3 } else { 0.2 };
        }
        if q.f.cut {
            confidence = confidence.min(0.4);
        }
        if language != Language::En {
            let others = (0..n).filter(|i| !(s.from..s.to).contains(i));
            let strange =
                others.filter(|i| q.info(*i).languages & bit(language) == 0 && parting(q.f.word(*i)).is_none()).count();
            let each = if general || language == Language::De { 0.15 } else { 0.05 };
            confidence -= each * f64::from(u32::try_from(strange.min(4)).unwrap_or(4));
        }
        Some(Head {
            hit: s.hit,
            from: s.from,
            to: s.to,
            asides,
            beside,
            part,
            compound,
            confidence: confidence.max(0.1),
        })
    }

    /// Whether a word behind a name is the head of another that nobody knows: "apple charger"; a "carrot toop" is none.
    fn heads(&self, q: &Query, at: usize) -> bool {
        let (word, info) = (q.f.word(at), q.info(at));
        let slip = || {
            let mut near = Vec::new();
            self.spellings.slips.near(word, if word.len() > SHORT { 2 } else { 1 }, &mut near);
            near.iter().any(|n| self.says(n.word))
        };
        info.tool || !info.known() && !verbal(word) && !slip()
    }

    /// The longest name in `full` that holds the words of `q` between `from` and `to` and more:
    /// where "beef" was found in "ground beef".
    pub(super) fn longer(
        &self,
        full: &Query,
        q: &Query,
        from: usize,
        to: usize,
        language: Language,
    ) -> Option<Stretch> {
        let wanted = q.raw(from, to);
        let n = full.count();
        let len = wanted.len();
        let at = (0..=n.checked_sub(len)?).find(|i| full.raw(*i, i + len) == wanted)?;
        let mut best: Option<Stretch> = None;
        for i in (at + len).saturating_sub(LONGEST_NAME)..=at {
            for j in at + len..=n.min(i + LONGEST_NAME) {
                if j - i > best.map_or(len, |b| b.to - b.from) {
                    if let Some(hit) = self.span(full, i, j, language, 2, false) {
                        best = Some(Stretch { hit, from: i, to: j });
                    }
                }
            }
        }
        best
    }
}
