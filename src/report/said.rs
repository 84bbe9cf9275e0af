//! What publications say of a thing: publishers counted, not pages, by the strictest thing each says;
//! trials stand apart.

use crate::knowledge::{ItemId, KindId, Known, Publication, Stance, Statement};
use crate::language::{Rule, SubjectTerm, When, Who};

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
    said(&names, &[], known)
}

/// What publications say of an item as one of those that a rule is about: of itself and of its
/// kinds, no broader than the rule's; where none speaks of these, as [`said_of`]. Of a rule about things in
/// some state (mouldy bread) only what is said of them in that state, by the nearest name.
pub fn said_of_as(item: ItemId, rule: &Rule, known: &Known) -> SaidOf {
    let mut states = Vec::new();
    rule.when.iter().for_each(|when| named_in(when, known, &mut states));
    let kinds = known.item(item).map_or_else(Vec::new, |i| i.is.clone());
    if !states.is_empty() {
        let levels = levels(known.item_name(item), kinds, &states, known);
        let each = levels.iter().map(|names| said(names, &states, known));
        return each.into_iter().find(|s| s.guidance.all() > 0).unwrap_or_default();
    }
    let Who::Scraps(set) = rule.subject() else { return said_of(item, known) };
    let about = |wanted: &KindId| {
        set.terms.iter().any(|t| matches!(t, SubjectTerm::Kind(kind, _) if known.broader_of(*wanted).contains(kind)))
    };
    let mut names = vec![known.item_name(item).to_string()];
    names.extend(
        known.kinds_of(item).iter().filter(|k| about(k)).filter_map(|k| known.kind(*k)).map(|k| k.name.clone()),
    );
    let found = said(&names, &[], known);
    if found.guidance.all() + found.science.all() > 0 { found } else { said_of(item, known) }
}

/// The states that a condition names, whatever else it asks.
fn named_in(when: &When, known: &Known, out: &mut Vec<String>) {
    match when {
        When::Or(all) | When::And(all) => all.iter().for_each(|when| named_in(when, known, out)),
        When::State(state) => out.push(known.vocabulary().state_name(*state).to_string()),
        _ => {}
    }
}

/// What a statement without a thing of ours is about.
pub(super) const ANY_FOOD: &str = "any food";

/// The name of ours that a statement is about.
pub(super) fn about(s: &Statement) -> &str {
    s.about.as_deref().unwrap_or(ANY_FOOD)
}

/// The names that statements may speak of a thing by: its own, those of its kinds, those of their
/// broader ones and so on; at last any food, where a state is asked for.
pub(super) fn levels(own: &str, mut kinds: Vec<KindId>, states: &[String], known: &Known) -> Vec<Vec<String>> {
    let mut seen = vec![own.to_string()];
    let mut all = vec![seen.clone()];
    while !kinds.is_empty() {
        let here = kinds.iter().filter_map(|k| known.kind(*k));
        let mut names: Vec<String> = here.clone().map(|k| k.name.clone()).filter(|n| !seen.contains(n)).collect();
        names.dedup();
        kinds = here.flat_map(|k| k.broader.clone()).collect();
        seen.extend(names.iter().cloned());
        all.push(names);
    }
    if !states.is_empty() {
        all.push(vec![ANY_FOOD.to_string()]);
    }
    all.retain(|names| !names.is_empty());
    all
}

/// What is said of things by some names, in some of these states, or in none.
pub(super) fn statements<'a>(
    names: &'a [String],
    states: &'a [String],
    known: &'a Known,
) -> impl Iterator<Item = &'a Statement> {
    let in_state = move |s: &&Statement| match states {
        [] => s.states.is_empty(),
        asked => s.states.iter().any(|state| asked.contains(state)),
    };
    known.statements().iter().filter(|s| names.iter().any(|n| n == about(s))).filter(in_state)
}

/// What publications say of things by these names, in some of these states, or in none.
fn said(names: &[String], states: &[String], known: &Known) -> SaidOf {
    let (mut guidance, mut science) = (Vec::new(), Vec::new());
    for s in statements(names, states, known).filter(|s| s.implied.is_none() && s.not_about_bins.is_none()) {
        let Some(p) = known.publication(&s.source) else { continue };
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
