//! Things in the making.

use crate::bag::amount::Amount;
use crate::bag::measure::{Measured, Source};
use crate::bag::piece::{Labels, Piece};
use crate::bag::words::{PartId, Said, Sort};
use crate::bag::{Named, Thing, Vocabulary};

/// One name of a draft.
#[derive(Debug, Clone, Default)]
pub(super) struct DraftName {
    pub(super) named: Named,
    pub(super) known: bool,
}

/// A thing in the making.
#[derive(Debug, Clone, Default)]
pub(super) struct Draft {
    pub(super) names: Vec<DraftName>,
    pub(super) measured: Measured,
    pub(super) said: Said,
    pub(super) part: Option<PartId>,
    pub(super) additions: Vec<String>,
    pub(super) without: Vec<String>,
    /// Joined to the thing before it by `and`, `or`, `/` without a comma.
    pub(super) paired: bool,
    /// States said by words before the name: in "mouldy bread and cake" they speak of both.
    pub(super) leading: Said,
    pub(super) start: usize,
    pub(super) end: usize,
    /// A part that `of` or a bracket joins to the names behind it.
    pub(super) opens: bool,
    /// The part that `of` joined to the name, and its word: it speaks of what `and` joins too.
    pub(super) of: Option<(PartId, String)>,
    /// A waiting part that some name has taken.
    pub(super) taken: bool,
}

impl Draft {
    /// Calls a thing of one name by another, which is known.
    pub(super) fn rename(&mut self, name: String) {
        if let [only] = self.names.as_mut_slice() {
            only.named.full.clone_from(&name);
            only.named.name = name;
            only.known = true;
        }
    }
}

/// A piece on its way to a draft.
pub(super) struct Made {
    pub(super) m: Measured,
    pub(super) piece: Piece,
    pub(super) start: usize,
    pub(super) end: usize,
    /// The words of a part that `of` joined to the name.
    pub(super) of_part: Option<Vec<usize>>,
    pub(super) comma: bool,
    pub(super) bracket: bool,
    pub(super) listed: bool,
}

pub(super) fn join(a: Said, b: Said) -> Said {
    Said { yes: a.yes | b.yes, no: a.no | b.no }
}

pub(super) fn without(a: Said, b: Said) -> Said {
    Said { yes: a.yes & !b.yes, no: a.no & !b.no }
}

/// "Fresh or frozen", "greasy or spicy": a preparation is not said to have been made; a condition
/// may hold, so it counts; two that exclude each other stay said, and so unknown.
pub(super) fn either(vocabulary: &Vocabulary, a: Said, b: Said) -> Said {
    if vocabulary.excluded_by(a.yes) & b.yes != 0 {
        return join(a, b);
    }
    let conditions =
        vocabulary.states().filter(|(_, s)| s.sort == Sort::Condition).fold(0, |acc, (id, _)| acc | id.bit());
    Said { yes: (a.yes | b.yes) & (conditions | (a.yes & b.yes)), no: a.no & b.no }
}

pub(super) fn label_said(s: &Source<'_>, at: usize, len: usize, labels: &mut Labels) -> Said {
    let words: Vec<usize> = (at..at + len).collect();
    let piece = s.piece(&words, labels, false, &mut String::new());
    piece.said
}

pub(super) fn finish(draft: Draft, text: &str) -> Thing {
    let m = draft.measured;
    // The bracket that closes belongs to the one that opened.
    let piece = text.get(draft.start..draft.end).unwrap_or(text);
    let open = piece.matches('(').count() > piece.matches(')').count();
    let closes =
        || text.get(draft.end..)?.find([')', '(']).filter(|at| text.as_bytes().get(draft.end + at) == Some(&b')'));
    let piece = match closes().filter(|_| open) {
        Some(at) => text.get(draft.start..=draft.end + at).unwrap_or(piece),
        None => piece,
    };
    // So does a quotation mark.
    let (marks, end) = (['"', '“', '”'], draft.start + piece.len());
    let before = text.get(..draft.start).filter(|_| piece.matches(marks).count() % 2 == 1);
    let piece = before.and_then(|b| text.get(b.strip_suffix(marks)?.len()..end)).unwrap_or(piece);
    Thing {
        text: piece.trim().to_string(),
        amount: m.amount.map(tidy),
        unit: m.unit.map(|u| u.unit),
        each: m.each,
        about: m.about.filter(|_| m.amount.is_none()),
        // Of a bare count a part is counted by its wholes in any case.
        of_whole: m.of_whole && m.unit.is_some(),
        names: draft.names.into_iter().map(|n| n.named).collect(),
        additions: draft.additions,
        without: draft.without,
    }
}

/// Sums of thirds and spoons leave dust behind the point.
pub(super) fn tidy(amount: Amount) -> Amount {
    let tidy = |x: f64| (x * 1e6).round() / 1e6;
    Amount { low: tidy(amount.low), high: amount.high.map(tidy) }
}
