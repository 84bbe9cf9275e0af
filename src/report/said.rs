//! What publications say of a thing: publishers counted, not pages, by the strictest thing each says;
//! trials stand apart.

use crate::knowledge::{ItemId, Known, Publication, Stance};
use crate::language::{Rule, SubjectTerm, Who};

/// How many publishers say what of a thing, each by the strictest that it says.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tally {
    /// Publishers that feed it.
    pub accept: usize,
    /// Publishers that feed a little.
    pub limit: usize,
    /// Publishers that never feed it.
    pub avoid: usize,
    /// Who they are, strictest first, each with its stance.
    pub who: Vec<(Stance, String)>,
}

impl Tally {
    fn of(voices: &[(Stance, String)]) -> Self {
        let mut each: Vec<(Stance, String)> = Vec::new();
        for (stance, voice) in voices {
            match each.iter_mut().find(|(_, v)| v == voice) {
                Some((s, _)) => *s = (*s).max(*stance),
                None => each.push((*stance, voice.clone())),
            }
        }
        each.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
        let count = |wanted: Stance| each.iter().filter(|(s, _)| *s == wanted).count();
        Tally { accept: count(Stance::Accept), limit: count(Stance::Limit), avoid: count(Stance::Avoid), who: each }
    }

    pub(super) fn all(&self) -> usize {
        self.accept + self.limit + self.avoid
    }
}

/// What publications say of a thing: guidance and science apart.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SaidOf {
    /// Publishers of advice for households.
    pub guidance: Tally,
    /// Trials, papers and handbooks of science.
    pub science: Tally,
}

/// What publications say of an item: of itself and of the nearest kind of it that any speaks of.
/// What only follows from a text is not counted, nor what is not about bins or of a state (mouldy bread).
pub fn said_of(item: ItemId, known: &Known) -> SaidOf {
    let mut names = vec![known.item_name(item).to_string()];
    let speaks = |name: &str| known.statements().iter().any(|s| s.about.as_deref() == Some(name));
    let mut level: Vec<_> = known.item(item).map_or_else(Vec::new, |i| i.is.clone());
    while !level.is_empty() {
        let here: Vec<String> =
            level.iter().filter_map(|k| known.kind(*k)).map(|k| k.name.clone()).filter(|n| speaks(n)).collect();
        if !here.is_empty() {
            names.extend(here);
            break;
        }
        level = level.iter().filter_map(|k| known.kind(*k)).flat_map(|k| k.broader.clone()).collect();
    }
    said(&names, known)
}

/// What publications say of an item as one of those that a rule is about: of itself and of its
/// kinds, no broader than the rule's. Where none speaks of these, as [`said_of`].
pub fn said_of_as(item: ItemId, rule: &Rule, known: &Known) -> SaidOf {
    let Who::Scraps(set) = rule.subject() else { return said_of(item, known) };
    let about = |wanted: &crate::knowledge::KindId| {
        set.terms.iter().any(|t| matches!(t, SubjectTerm::Kind(kind, _) if known.broader_of(*wanted).contains(kind)))
    };
    let mut names = vec![known.item_name(item).to_string()];
    names.extend(
        known.kinds_of(item).iter().filter(|k| about(k)).filter_map(|k| known.kind(*k)).map(|k| k.name.clone()),
    );
    let found = said(&names, known);
    if found.guidance.all() + found.science.all() > 0 { found } else { said_of(item, known) }
}

/// What publications say of things by these names.
fn said(names: &[String], known: &Known) -> SaidOf {
    let (mut guidance, mut science) = (Vec::new(), Vec::new());
    for s in known.statements() {
        let about = s.about.as_deref().is_some_and(|a| names.iter().any(|n| n == a));
        let direct = s.implied.is_none() && s.not_about_bins.is_none() && s.states.is_empty();
        let Some(p) = known.publication(&s.source).filter(|_| about && direct) else { continue };
        let list = if p.group == "science" { &mut science } else { &mut guidance };
        list.push((s.stance, voice(p).to_string()));
    }
    SaidOf { guidance: Tally::of(&guidance), science: Tally::of(&science) }
}

/// The publisher that a publication counts as.
fn voice(p: &Publication) -> &str {
    p.restates.as_deref().unwrap_or(&p.voice)
}

/// How many publishers of advice a rule cites.
pub fn voices(rule: &Rule, known: &Known) -> usize {
    let mut all: Vec<&str> = rule.sources().iter().filter_map(|id| known.publication(id)).map(voice).collect();
    all.sort_unstable();
    all.dedup();
    all.len()
}

/// A publication as it is cited.
pub fn cited(p: &Publication) -> String {
    let by = p.authors.as_ref().map(|a| format!("{a}: ")).unwrap_or_default();
    let year = p.year.map(|y| format!(", {y}")).unwrap_or_default();
    let url = p.url.as_ref().map(|u| format!(". {u}")).unwrap_or_default();
    format!("{by}{}. {}{year}{url} [{}]", p.title, p.publisher, p.id)
}
