//! What the rules say of one scrap, by statements 9 to 16: every rule is asked, in turn.

use super::data::{About, Ate, Demand, Rule, Subject, World};
use super::facts::{In, View, class, outcomes, states, truth};
use super::{Reading, Scrap, Verdict};
use forefeed::judge::Setting;
use std::collections::BTreeSet;

/// One judge: a book in a setting and a stance.
#[derive(Clone, Copy)]
pub(crate) struct Judge<'w> {
    pub(crate) world: &'w World,
    pub(crate) set: &'w Setting,
    pub(crate) strict: bool,
}

/// A capped class that a scrap is in.
#[derive(Debug, Clone)]
pub(crate) struct Capped {
    /// Rule, place of the demand, answer.
    pub(crate) class: (String, usize, Option<String>),
    pub(crate) amount: super::data::Amount,
    pub(crate) share: f64,
    pub(crate) certain: bool,
}

#[derive(Debug, Clone, Default)]
pub(crate) struct Own {
    pub(crate) findings: Vec<(String, Verdict, bool)>,
    pub(crate) notes: BTreeSet<String>,
    pub(crate) cautions: BTreeSet<String>,
    pub(crate) caps: Vec<Capped>,
    pub(crate) waits: BTreeSet<String>,
}

impl Own {
    pub(crate) fn verdict(&self) -> Verdict {
        self.findings.iter().map(|f| f.1).max().unwrap_or(Verdict::Feed)
    }

    pub(crate) fn goes_in(&self) -> bool {
        self.verdict() <= Verdict::Prepare
    }
}

impl<'w> Judge<'w> {
    pub(crate) fn rules(&self) -> &'w [Rule] {
        &self.world.rules.rules
    }

    /// In a rule's subject as it stands.
    pub(crate) fn in_subject(&self, rule: &Rule, view: &View<'_>) -> Option<In> {
        let About::Scraps(subject) = &rule.about else { return None };
        let lifted: Vec<&Subject> = rule.lifted.as_ref()?.iter().collect();
        if rule.live { class(view, subject, &lifted) } else { None }
    }

    pub(crate) fn demands(&self, rule: &'w Rule) -> Vec<&'w Demand> {
        let stanced = if self.strict { &rule.strict } else { &rule.lenient };
        rule.demands.iter().chain(stanced).collect()
    }

    fn rules_of(&self, view: &View<'_>) -> Own {
        let mut own = Own::default();
        for rule in self.rules() {
            let About::Scraps(subject) = &rule.about else { continue };
            let holds = rule.when.as_ref().map_or(Some(true), |w| truth(self.world, self.set, Some(view), w));
            if holds == Some(false) {
                continue;
            }
            let of_hazard =
                rule.hazard && rule.dated && matches!(class(view, subject, &[]), Some(In::Whole | In::Share(_)));
            let there = self.in_subject(rule, view);
            let in_force = matches!(there, Some(In::Whole | In::Share(_)));
            if of_hazard || (in_force && rule.caution.is_some()) {
                own.cautions.insert(rule.rule.clone());
            }
            match there {
                None => {}
                Some(In::Trace) => {
                    if self.demands(rule).iter().any(|d| !matches!(d, Demand::Better { .. } | Demand::Welcome)) {
                        own.notes.insert(rule.rule.clone());
                    }
                }
                Some(there) => self.ask_all(&mut own, rule, view, holds, there),
            }
        }
        own
    }

    fn ask_all(&self, own: &mut Own, rule: &'w Rule, view: &View<'_>, holds: Option<bool>, there: In) {
        let bin_alone = holds.is_none()
            && rule
                .when
                .as_ref()
                .is_some_and(|w| outcomes(self.world, self.set, Some(view), w).iter().all(Option::is_some));
        let met = |states: &[String]| states.iter().any(|s| view.yes.contains(s));
        let part_only = matches!(there, In::Share(_));
        let demands = self.demands(rule);
        if demands.is_empty() && rule.strict.is_none() && rule.lenient.is_none() && rule.advice.is_some() {
            own.notes.insert(rule.rule.clone());
        }
        for (n, demand) in demands.into_iter().enumerate() {
            let (demand, answer) = self.answered(rule, demand, view);
            let verdict = match demand {
                Demand::KeepOut if part_only => Verdict::Prepare,
                Demand::KeepOut if holds.is_none() => Verdict::Ask,
                Demand::KeepOut => Verdict::KeepOut,
                Demand::Needs { any_of } if met(any_of) => continue,
                Demand::Needs { .. } => Verdict::Prepare,
                Demand::Ask { .. } if part_only => Verdict::Prepare,
                Demand::Ask { .. } => Verdict::Ask,
                Demand::Allow { amount } if !bin_alone => {
                    own.caps.push(Capped {
                        class: (rule.rule.clone(), n, answer),
                        amount: amount.clone(),
                        share: if let In::Share(s) = there { s } else { 1.0 },
                        certain: holds == Some(true),
                    });
                    continue;
                }
                Demand::Wait { .. } if holds == Some(true) => {
                    own.waits.insert(rule.rule.clone());
                    continue;
                }
                Demand::Better { any_of } if met(any_of) => continue,
                Demand::Have { .. } => continue,
                Demand::Allow { .. } | Demand::Wait { .. } | Demand::Better { .. } | Demand::Welcome => {
                    own.notes.insert(rule.rule.clone());
                    continue;
                }
            };
            if bin_alone {
                own.notes.insert(rule.rule.clone());
            } else {
                own.findings.push((rule.rule.clone(), verdict, holds == Some(true)));
            }
        }
    }

    /// What the household's answer to a question puts in its place.
    fn answered(&self, rule: &Rule, demand: &'w Demand, view: &View<'_>) -> (&'w Demand, Option<String>) {
        let (Demand::Ask { answers }, Some(piece)) = (demand, &view.piece) else { return (demand, None) };
        let said = self.world.rules.answers.iter().rfind(|a| a.rule == rule.rule && a.subject.holds(piece));
        let meant = said.and_then(|a| answers.iter().find(|m| m.answer == a.answer));
        meant.map_or((demand, None), |m| (&m.means, Some(m.answer.clone())))
    }

    /// One reading of a scrap as an item.
    pub(crate) fn view(&self, scrap: &Scrap, reading: &Reading, name: Option<&str>) -> View<'w> {
        view(
            self.world,
            name,
            reading.part.as_deref(),
            (&reading.said, &reading.denied),
            (&scrap.additions, &scrap.without),
        )
    }

    /// What is found of a scrap: the worst of its alternatives; with its role and caps of all.
    pub(crate) fn own(&self, scrap: &Scrap) -> (usize, Own) {
        let mut all: Vec<Own> = scrap.readings.iter().map(|r| self.reading(scrap, r)).collect();
        let worst = all.iter().map(Own::verdict).max().unwrap_or(Verdict::Feed);
        let place = all.iter().position(|o| o.verdict() == worst).unwrap();
        let mut out = all[place].clone();
        out.caps.clear();
        let read = out.findings.iter().any(|f| f.0 == "reading");
        if scrap.strange && !read {
            out.findings.push(("reading".to_string(), Verdict::Ask, true));
        }
        for other in &mut all {
            out.cautions.append(&mut other.cautions);
            out.waits.append(&mut other.waits);
            for cap in other.caps.drain(..) {
                match out.caps.iter_mut().find(|c| c.class == cap.class) {
                    Some(there) => {
                        there.share = there.share.max(cap.share);
                        there.certain |= cap.certain;
                    }
                    None => out.caps.push(cap),
                }
            }
        }
        (place, out)
    }

    fn reading(&self, scrap: &Scrap, reading: &Reading) -> Own {
        let mut own = self.rules_of(&self.view(scrap, reading, reading.item.as_deref()));
        let mut ask = matches!(reading.identified.as_str(), "unsure" | "unknown");
        for (other, within_reach) in &reading.others {
            if reading.exact || !within_reach {
                continue;
            }
            let other = self.view(scrap, reading, Some(other));
            let found = self.rules_of(&other);
            let hazards = found.cautions.iter().filter(|r| self.world.rule(r).hazard).cloned();
            own.cautions.extend(hazards);
            for strict in [true, false] {
                let judge = Judge { strict, ..*self };
                let this = judge.rules_of(&self.view(scrap, reading, reading.item.as_deref())).verdict();
                ask |= reading.identified == "likely" && judge.rules_of(&other).verdict() > this;
            }
        }
        if ask {
            own.findings.push(("reading".to_string(), Verdict::Ask, true));
        }
        own
    }
}

type Words<'a> = (&'a BTreeSet<String>, &'a BTreeSet<String>);

/// What rules may ask of a thing of this name.
fn view<'w>(
    world: &'w World,
    name: Option<&str>,
    part: Option<&str>,
    (said, denied): Words<'_>,
    (additions, without): (&[String], &[String]),
) -> View<'w> {
    let item = name.and_then(|n| world.item(n));
    let part = match part {
        Some(p) => Some(p.to_string()),
        None => item.and_then(|i| i.usual_part.clone()),
    };
    let composition = item.map(|i| {
        let own = part.as_ref().and_then(|p| i.parts.iter().find(|x| x.part == *p)).and_then(|p| p.composition);
        own.unwrap_or(i.composition)
    });
    let part = part.filter(|p| p != "whole");
    let (yes, unknown) = states(world, said, denied, item);
    let left_out = |i: &super::data::Item| without.iter().any(|w| *w == i.item || i.kinds.contains(w));
    let usual = |i: &'w super::data::Item| (i, i.usual_part.clone().filter(|p| p != "whole"));
    let mut found: Vec<(&super::data::Item, bool)> = Vec::new();
    let mut open: Vec<(&str, bool)> = additions.iter().map(|a| (a.as_str(), false)).collect();
    let inner = |i: &'w super::data::Item, trace: bool| -> Vec<(&'w str, bool)> {
        let made = &i.ingredients;
        let enough = made.main.iter().chain(&made.some).map(|n| (n.as_str(), trace));
        enough.chain(made.trace.iter().map(|n| (n.as_str(), true))).collect()
    };
    open.extend(item.map(|i| inner(i, false)).unwrap_or_default());
    while let Some((name, trace)) = open.pop() {
        let Some(next) = world.item(name).filter(|i| !left_out(i)) else { continue };
        if !found.iter().any(|(i, t)| i.item == next.item && *t == trace) {
            found.push((next, trace));
            open.extend(inner(next, trace));
        }
    }
    let gone = |i: &super::data::Item| {
        world.rules.states.iter().any(|s| yes.contains(&s.state) && s.takes_out.iter().any(|k| i.kinds.contains(k)))
    };
    let whole = item.filter(|_| part.is_none());
    let included = whole.map_or(&[][..], |i| &i.includes).iter();
    let included: Vec<_> = included
        .filter_map(|i| Some((world.item(&i.item)?, i.share)))
        .filter(|(i, _)| !left_out(i) && !gone(i))
        .map(|(i, share)| (usual(i), share))
        .collect();
    let some = |trace: bool| found.iter().filter(move |f| f.1 == trace).map(|f| usual(f.0)).collect();
    View {
        piece: item.map(|i| (i, part)),
        composition,
        enough: some(false),
        traces: some(true),
        included,
        yes,
        unknown,
    }
}

impl Ate {
    /// What was fed, as a rule sees it.
    pub(crate) fn view<'w>(&self, world: &'w World) -> View<'w> {
        let none = BTreeSet::new();
        view(world, Some(&self.item), self.part.as_deref().or(Some("whole")), (&none, &none), (&[], &[]))
    }
}
