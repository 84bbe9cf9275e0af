//! The answer for one scrap alone, in three lines.

use super::{LONE, View};
use crate::judge::{Finding, Ground, Judged, Verdict};
use crate::knowledge::{Role, Scrap};
use crate::language::{Allowance, Basis, Side};
use crate::report::{Ink, Page, words};
use std::sync::Arc;

impl View<'_> {
    pub(super) fn lone(&self, scrap: &Scrap, judged: &Judged, page: &mut Page) {
        let pace = self.j.findings.iter().find(|f| matches!(f.ground, Ground::Pace(_)));
        let waits = self.j.findings.iter().any(|f| f.ground == Ground::Wait);
        if let (Some(f), Verdict::Feed | Verdict::Prepare) = (pace, judged.own) {
            self.too_much(scrap, judged, f, page);
        } else {
            self.three_lines(scrap, judged, page);
        }
        if waits {
            for row in self.of_the_bag().into_iter().filter(|r| r.label == "WAIT") {
                page.row(row.label, row.ink, LONE, &format!("{}. {}", row.what, row.why));
            }
        }
        if self.j.stance == Side::Strict && judged.other_stance.is_some() {
            page.row("CAREFUL", Ink::Quiet, LONE, "where guides disagree, the careful side was taken");
        }
        self.care(None, LONE, page);
    }

    fn three_lines(&self, scrap: &Scrap, judged: &Judged, page: &mut Page) {
        let name = self.name(scrap, judged);
        let decides = judged.decides().or_else(|| judged.findings.first().map(Arc::as_ref));
        let why = decides.map(|f| self.reason_alone(f)).unwrap_or_default();
        let advice = decides.and_then(|f| self.rule(f)).and_then(|r| r.advice()).map(words::sentence);
        let (label, ink, said, why, deed) = match judged.verdict {
            Verdict::KeepOut => (
                "KEEP OUT",
                Ink::Stop,
                format!("{name}: not in the worm bin."),
                why,
                advice.unwrap_or_else(|| "leave it out of the bin.".into()),
            ),
            Verdict::Ask => {
                let (what, why) =
                    decides.map(|f| self.question(scrap, judged, f)).unwrap_or_else(|| (name.clone(), String::new()));
                ("ASK", Ink::Do, words::sentence(&what), why, self.how_to_answer(scrap, judged, decides))
            }
            Verdict::Limit => {
                let a = View::limits(judged);
                let cap = a.and_then(|f| {
                    if let Ground::Allow(a) = &f.ground { Some(words::allowance(a, &self.home.book)) } else { None }
                });
                let mut deed: Vec<String> = Vec::new();
                if judged.own == Verdict::Prepare {
                    deed.push(format!("{}.", self.first(0, judged)));
                }
                deed.extend(advice);
                if let Some(g) = a.and_then(|f| self.company(f, scrap.mass.typical)) {
                    deed.push(words::capital(&format!("give it about {} of other food.", words::bowls(g))));
                } else if judged.allowed.0 > 0 {
                    deed.push(words::capital(&format!("{}.", self.later(0, scrap, judged))));
                }
                (
                    "A LITTLE",
                    Ink::Do,
                    format!("{name}: {}.", cap.unwrap_or_else(|| "only a little".into())),
                    why,
                    deed.join(" "),
                )
            }
            Verdict::Prepare => {
                let first = self.first(0, judged);
                let deed = advice.unwrap_or_else(|| format!("{first}."));
                ("FIRST", Ink::Do, format!("{name}: {first}, then feed."), why, deed)
            }
            Verdict::Feed => {
                let role = self.role(scrap, judged);
                let said = match role {
                    Role::Bedding => format!("{name}: yes, as bedding."),
                    Role::Grit => format!("{name}: yes, as grit."),
                    _ => format!("{}: yes, as it is.", self.going(scrap, judged)),
                };
                ("GOES IN", Ink::Good, said, self.liked(scrap, judged), self.best(judged))
            }
        };
        page.row(label, ink, LONE, &said);
        if !why.is_empty() {
            page.row("WHY", Ink::Quiet, LONE, &words::capital(&why));
        }
        page.row("DO", Ink::Quiet, LONE, &words::capital(&deed));
    }

    /// Why something goes in.
    pub(in crate::report) fn liked(&self, scrap: &Scrap, judged: &Judged) -> String {
        let welcome = judged
            .notes
            .iter()
            .filter(|n| n.ground == Ground::Welcome)
            .find_map(|n| self.rule(n))
            .and_then(|r| r.because());
        if let Some(text) = welcome {
            return words::sentence(text);
        }
        let said = View::identity(scrap, judged)
            .and_then(|i| i.item)
            .map(|i| crate::report::said::said_of(i, &self.home.known));
        match said.map(|s| s.guidance.accept) {
            Some(n) if n > 1 => format!("{n} publishers feed it; no rule is against it."),
            _ => "no rule is against it.".to_string(),
        }
    }

    /// What makes it better still.
    pub(in crate::report) fn best(&self, judged: &Judged) -> String {
        let v = self.home.known.vocabulary();
        let frozen = v.names_of(judged.states_yes).contains(&"frozen");
        let mut better: Vec<String> = Vec::new();
        let mut advice: Vec<String> = Vec::new();
        for note in &judged.notes {
            match &note.ground {
                Ground::Better(states) => {
                    let doing = words::verbs(states, "or", v);
                    let doing = if frozen { doing.replace("freeze and thaw", "thaw") } else { doing };
                    if !better.contains(&doing) {
                        better.push(doing);
                    }
                }
                Ground::Advice | Ground::Welcome => {
                    advice.extend(self.rule(note).and_then(|r| r.advice()).map(words::sentence))
                }
                _ => {}
            }
        }
        let mut parts: Vec<String> = advice.into_iter().take(1).collect();
        if !better.is_empty() {
            parts.push(format!("Better still: {}.", better.join("; ")));
        }
        if parts.is_empty() { "Put it in, under the bedding.".to_string() } else { parts.join(" ") }
    }

    /// More than the bin eats: how much now, and what becomes of the rest.
    fn too_much(&self, scrap: &Scrap, judged: &Judged, f: &Finding, page: &mut Page) {
        page.headline(&format!("TOO MUCH AT ONCE for {}.", self.bin()), Ink::Do);
        let weekly =
            matches!(&f.ground, Ground::Pace(a) if matches!(self.home.book.amount(a), Allowance::Mass(_, Basis::Week)));
        let when = if weekly { " in a week, a bowlful at a time" } else { ", a bowlful at a time" };
        let some = words::grams_at_most(judged.allowed.grams());
        page.row("NOW", Ink::Do, LONE, &format!("about {some}{when}"));
        if judged.own == Verdict::Prepare {
            page.row("FIRST", Ink::Do, LONE, &self.first(0, judged));
        }
        let water = self.composition(scrap, judged).map_or(0.0, |c| c.water);
        let bedding = self.j.figures.bedding_g.map_or(0.0, |b| b.value);
        let mut rest = "the rest in bags".to_string();
        if bedding >= words::HANDFUL_G / 2.0 && judged.allowed.0 > 0 {
            // What the bedding is to a soup bowl of this food.
            let each = words::handfuls(bedding * words::BOWL_G / judged.allowed.grams());
            let runs = if water >= 0.85 { "it will run: " } else { "" };
            rest = format!("{rest}; {runs}{each} of card under each bowlful");
        }
        page.row("FREEZE", Ink::Do, LONE, &rest);
        if let Some(text) = self.rule(f).and_then(|r| r.because()) {
            page.row("WHY", Ink::Quiet, LONE, &words::first_sentence(text));
        }
    }
}
