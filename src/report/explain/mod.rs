//! Why: four plain lines for a person who asks, everything that is known for one who asks on.
//!
//! Who says so is counted in [`said`](super::said).

mod everything;

use super::check::{View, asked_first};
use super::said::{SaidOf, Tally, said_of, said_of_as, voices};
use super::{Ink, Page, Width, words};
use crate::Household;
use crate::bag::PartId;
use crate::judge::{Finding, Ground, Judge, Judged, Judgement, Origin, Verdict};
use crate::knowledge::{Identified, Identity, ItemId, Known, Scrap};
use crate::language::{Layer, Rule, RuleId, Who};
use std::sync::Arc;

const SHORT: usize = 13;
const ALL: usize = 15;

/// The scraps of a bag that are what was asked about: the same item, else the same words in them.
pub fn matching(bag: &Judgement, asked: &Judgement) -> Vec<usize> {
    let item = |s: &Scrap| s.found.identities.iter().filter_map(|i| i.item).collect::<Vec<_>>();
    let wanted: Vec<ItemId> = asked.scraps.iter().flat_map(item).collect();
    let of_item: Vec<usize> = bag
        .scraps
        .iter()
        .enumerate()
        .filter(|(_, s)| item(s).iter().any(|i| wanted.contains(i)))
        .map(|(n, _)| n)
        .collect();
    if !of_item.is_empty() {
        return of_item;
    }
    let texts: Vec<String> = asked.scraps.iter().map(|s| s.found.thing.text.to_lowercase()).collect();
    let holds = |s: &Scrap| texts.iter().any(|t| s.found.thing.text.to_lowercase().contains(t.as_str()));
    bag.scraps.iter().enumerate().filter(|(_, s)| holds(s)).map(|(n, _)| n).collect()
}

/// The first scrap of a bag that some words speak of.
pub fn find(bag: &Judgement, home: &Household, words: &str) -> Option<usize> {
    matching(bag, &crate::check(words.as_bytes(), home)).first().copied()
}

/// Four plain lines about one scrap of a judgement, without colour.
pub fn short(j: &Judgement, home: &Household, scrap: usize, width: impl Into<Width>) -> String {
    page(j, home, scrap, false, width.into()).to_string()
}

/// Everything about one scrap of a judgement, without colour.
pub fn all(j: &Judgement, home: &Household, scrap: usize, width: impl Into<Width>) -> String {
    page(j, home, scrap, true, width.into()).to_string()
}

/// One scrap of a judgement explained: verdict, why, who says so, what to try; on request everything.
pub fn page(j: &Judgement, home: &Household, scrap: usize, all: bool, width: Width) -> Page {
    let mut page = Page::new(width);
    let j = &*asked_first(j);
    let Some(e) = Explained::of(j, scrap, home) else { return page };
    e.short(&mut page);
    if all {
        let judge = Judge::new(&home.known, &home.book, &home.setting);
        let (helps, useless) = judge.changes(&j.scraps, scrap);
        page.blank();
        e.reading(&mut page);
        e.stuff(&mut page);
        page.blank();
        e.rules(&mut page);
        page.blank();
        e.changes(&helps, &useless, &mut page);
        page.blank();
        e.sources(&mut page);
    }
    e.view.care(Some(scrap), if all { ALL } else { SHORT }, &mut page);
    page
}

/// One scrap with all that is asked of it.
struct Explained<'a> {
    view: View<'a>,
    at: usize,
    scrap: &'a Scrap,
    judged: &'a Judged,
    identity: Option<&'a Identity>,
    /// The item that decides: an ingredient, if the rule is about one.
    item: Option<ItemId>,
}

impl<'a> Explained<'a> {
    fn of(j: &'a Judgement, at: usize, home: &'a Household) -> Option<Self> {
        let (scrap, judged) = (j.scraps.get(at)?, j.judged.get(at)?);
        let identity = View::identity(scrap, judged);
        let through = judged.findings.first().and_then(|f| f.through);
        let item = through.or_else(|| identity.filter(|i| i.identified != Identified::Unknown).and_then(|i| i.item));
        Some(Explained { view: View { j, home }, at, scrap, judged, identity, item })
    }

    fn known(&self) -> &'a Known {
        &self.view.home.known
    }

    fn title(&self) -> String {
        match self
            .identity
            .and_then(|i| i.item.map(|item| (i, item)))
            .filter(|(i, _)| !matches!(i.identified, Identified::Unknown | Identified::Unsure))
        {
            Some((identity, item)) => {
                let name = self.known().item_name(item);
                match identity.part.map(|p| self.known().vocabulary().part_name(p)) {
                    Some(part) if !name.contains(part) => format!("{name} {part}"),
                    _ => name.to_string(),
                }
            }
            None => words::thing(&self.scrap.found.thing),
        }
    }

    fn decides(&self) -> Option<&'a Finding> {
        self.judged.decides().or_else(|| self.judged.findings.first().map(Arc::as_ref))
    }

    /// The verdict as an answer.
    fn answer(&self) -> String {
        let reading = self.decides().is_some_and(|f| f.ground == Ground::Reading);
        match self.judged.verdict {
            Verdict::Feed => "yes, it goes in.".to_string(),
            Verdict::Prepare => format!("yes, but first: {}.", self.view.first(self.at, self.judged)),
            Verdict::Limit if self.judged.own == Verdict::Prepare => {
                format!("a little, not none; first: {}.", self.view.first(self.at, self.judged))
            }
            Verdict::Limit => "a little, not none.".to_string(),
            Verdict::Ask if reading => match self.identity.map(|i| i.identified) {
                Some(Identified::Unknown) | None => "I do not know it.".to_string(),
                _ => "I am not sure which you mean.".to_string(),
            },
            Verdict::Ask => match self.decides().map(|f| &f.ground) {
                Some(Ground::With(what)) => format!("I do not know {what}."),
                _ => "it depends.".to_string(),
            },
            Verdict::KeepOut => "keep it out.".to_string(),
        }
    }

    fn short(&self, page: &mut Page) {
        let ink = match self.judged.verdict {
            Verdict::Feed => Ink::Good,
            Verdict::KeepOut => Ink::Stop,
            _ => Ink::Do,
        };
        page.headline(&format!("{}: {}", self.title().to_uppercase(), self.answer()), ink);
        self.overruled(page);
        page.row("WHY", Ink::Quiet, SHORT, &self.why());
        page.row("WHO SAYS", Ink::Quiet, SHORT, &self.who_says());
        page.row("TRY", Ink::Quiet, SHORT, &self.try_this());
    }

    fn why(&self) -> String {
        let Some(f) = self.decides() else {
            let yours = self.later_rules().into_iter().find_map(|(_, r)| r.because());
            return yours.map_or_else(|| words::capital(&self.view.liked(self.scrap, self.judged)), words::sentence);
        };
        if f.ground == Ground::Reading {
            return match self.view.did_you_mean(self.scrap, self.judged) {
                Some(near) => {
                    format!("It could be {near}. A guess could let in what harms the worms, so none is made.")
                }
                None => "Nothing I know is called so. A guess could let in what harms the worms, so none is made."
                    .to_string(),
            };
        }
        if let Ground::With(what) = &f.ground {
            return format!(
                "Nothing I know is called {what}. A guess could let in what harms the worms, so none is made."
            );
        }
        let for_the = f.through.map(|i| format!("There is {} in it. ", self.known().item_name(i))).unwrap_or_default();
        let cap = match &f.ground {
            Ground::Allow(a) => words::sentence(&words::capital(&words::allowance(a, &self.view.home.book))) + " ",
            Ground::Ask(q, _) => format!("{q} "),
            _ => String::new(),
        };
        format!("{for_the}{cap}{}", self.view.reason_alone(f))
    }

    /// What is said of it by whom, as one of those that the rule is about which decides, or welcomes it.
    fn said(&self) -> SaidOf {
        let welcome = || self.judged.notes.iter().map(Arc::as_ref).find(|n| n.ground == Ground::Welcome);
        match (self.item, self.decides().or_else(welcome).and_then(|f| self.view.rule(f))) {
            (Some(item), Some(rule)) => said_of_as(item, rule, self.known()),
            (Some(item), None) => said_of(item, self.known()),
            _ => SaidOf::default(),
        }
    }

    fn who_says(&self) -> String {
        let rule = self.decides().and_then(|f| self.view.rule(f));
        let said = self.said();
        if said.guidance.all() + said.science.all() == 0 {
            return match rule {
                Some(r) if r.layer != Layer::Base => {
                    format!("{} ({})", words::capital(words::whose(r.layer)), words::place(r))
                }
                Some(r) => match voices(r, self.known()) {
                    0 => "Common practice; no publication that I know speaks of it.".to_string(),
                    n => format!("{} behind the rule.", words::count(n, "publisher")),
                },
                None => "No publication that I know speaks of it.".to_string(),
            };
        }
        let counts = |t: &Tally| {
            let all =
                [(t.accept, "feed it", "feeds it"), (t.limit, "a little", "a little"), (t.avoid, "never", "never")];
            all.iter()
                .filter(|(n, _, _)| *n > 0)
                .map(|(n, many, one)| words::tied(&format!("{n} {}", if *n == 1 { one } else { many })))
                .collect::<Vec<_>>()
                .join(", ")
        };
        let mut parts = Vec::new();
        if said.guidance.all() > 0 {
            parts.push(format!("{} (publishers).", counts(&said.guidance)));
        }
        if said.science.all() > 0 {
            parts.push(format!("Trials: {}.", counts(&said.science)));
        }
        if let Some(r) = rule.filter(|r| r.common_practice) {
            let all = if r.sources().is_empty() { "The rule is common practice." } else { "In part common practice." };
            parts.push(all.to_string());
        }
        parts.join(" ")
    }

    fn try_this(&self) -> String {
        let f = self.decides();
        let advice = f.and_then(|f| self.view.rule(f)).and_then(|r| r.advice()).map(words::sentence);
        match self.judged.verdict {
            Verdict::Ask => words::capital(&self.view.how_to_answer(self.scrap, self.judged, f)),
            Verdict::Feed => words::capital(&self.view.best(self.judged)),
            Verdict::KeepOut => advice.unwrap_or_else(|| "Leave it out of the worm bin.".to_string()),
            Verdict::Prepare => {
                advice.unwrap_or_else(|| words::capital(&format!("{}.", self.view.first(self.at, self.judged))))
            }
            Verdict::Limit => advice.unwrap_or_else(|| {
                let company = f.and_then(|f| self.view.company(f, self.scrap.mass.typical));
                company.map_or_else(
                    || "A little of it, well spread.".to_string(),
                    |g| words::capital(&format!("give it about {} of other food.", words::bowls(g))),
                )
            }),
        }
    }

    // ---- what the household said

    /// The rules of a layer after the base that bear on this scrap.
    fn later_rules(&self) -> Vec<(RuleId, &'a Rule)> {
        let book = &self.view.home.book;
        let speaking: Vec<Origin> = self.judged.findings.iter().chain(&self.judged.notes).map(|f| f.origin).collect();
        book.iter()
            .filter(|(_, r)| r.layer != Layer::Base && r.live)
            .filter(|(id, r)| {
                let overrules = r
                    .replaces
                    .iter()
                    .chain(r.lifts.iter().map(|(l, _)| l))
                    .filter_map(|o| book.rule(*o))
                    .any(|o| self.speaks_of_it(o));
                speaking.contains(&Origin::Rule(*id)) || (overrules && self.covered(r))
            })
            .collect()
    }

    /// Whether a rule that overrules another does so for this scrap.
    fn covered(&self, r: &Rule) -> bool {
        let within =
            |set: &crate::language::SubjectSet| self.things().iter().any(|(i, p)| set.holds(*i, *p, self.known()));
        !r.replaces.is_empty() || r.lifts.iter().any(|(_, set)| set.as_ref().is_none_or(within))
    }

    /// The item with its part, and what is in it.
    fn things(&self) -> Vec<(ItemId, Option<PartId>)> {
        let usual = |id: ItemId| self.known().item(id).and_then(|i| i.usual);
        let Some((identity, item)) = self.identity.and_then(|i| i.item.map(|item| (i, item))) else {
            return Vec::new();
        };
        let whole = self.known().vocabulary().part("whole");
        let mut out = vec![(item, identity.part.or(usual(item)).filter(|p| Some(*p) != whole))];
        let mut open: Vec<ItemId> = self.scrap.found.additions.clone();
        let inside = |id: ItemId| {
            self.known()
                .item(id)
                .map_or_else(Vec::new, |i| i.made_of.main.iter().chain(&i.made_of.some).copied().collect())
        };
        open.extend(inside(item));
        while let Some(id) = open.pop() {
            if !out.iter().any(|(i, _)| *i == id) {
                out.push((id, usual(id)));
                open.extend(inside(id));
            }
        }
        out
    }

    /// Whether a rule's subject, as first written, holds this scrap or something in it.
    fn speaks_of_it(&self, rule: &Rule) -> bool {
        let Who::Scraps(set) = rule.subject() else { return false };
        self.things().iter().any(|(i, p)| set.holds(*i, *p, self.known()))
    }

    /// What the trade's book says and what a later layer made of it.
    fn overruled(&self, page: &mut Page) {
        let later = self.later_rules();
        let book = &self.view.home.book;
        let stance = self.view.j.stance;
        if later.is_empty() {
            let limit =
                self.decides().is_some_and(|f| matches!(&f.ground, Ground::Allow(crate::language::Allowance::ALittle)));
            let (amount, layer) = &book.settings.a_little;
            if limit && *layer != Layer::Base {
                page.row(
                    "YOU",
                    Ink::Strong,
                    SHORT,
                    &format!("set \"a little\" to {}.", words::allowance(amount, book).trim_start_matches("up to ")),
                );
            }
            return;
        }
        let trade = self.by_the_trade();
        let verdict = trade.judged.get(self.at).map_or(Verdict::Ask, |j| j.verdict);
        page.row("BOOK", Ink::Quiet, SHORT, &format!("{}.", words::label(verdict).to_lowercase()));
        for (_, r) in later {
            let demands: Vec<String> = r.demands(stance).map(|d| words::demand(d, self.known(), book)).collect();
            let names = |ids: &mut dyn Iterator<Item = RuleId>| {
                ids.filter_map(|id| book.rule(id)).map(|r| r.name.clone()).collect::<Vec<_>>()
            };
            let replaced = names(&mut r.replaces.iter().copied());
            let lifted = names(&mut r.lifts.iter().map(|(l, _)| *l));
            let mut parts = Vec::new();
            if !demands.is_empty() {
                parts.push(demands.join(", "));
            }
            if !replaced.is_empty() {
                parts.push(format!("in place of the rule {}", words::list(&replaced, "and")));
            }
            if !lifted.is_empty() {
                parts.push(format!("overrules the rule {}", words::list(&lifted, "and")));
            }
            if replaced.is_empty() && lifted.is_empty() {
                parts.push("added to the book; the stricter wins".to_string());
            }
            let label = if r.layer == Layer::Area { "YOUR TOWN" } else { "YOU" };
            page.row(
                label,
                Ink::Strong,
                SHORT,
                &format!("{} ({}, rule {}).", parts.join("; "), words::place(r), r.name),
            );
        }
        self.changed(&trade, page);
    }

    /// What later layers change in the bag at hand, line by line.
    fn changed(&self, trade: &Judgement, page: &mut Page) {
        let now = &self.view.j.judged;
        if now.len() < 2 {
            return;
        }
        let pairs = now.iter().zip(&trade.judged).zip(&self.view.j.scraps);
        let changed: Vec<String> = pairs
            .filter(|((now, before), _)| now.verdict != before.verdict)
            .map(|((now, _), s)| {
                let thing = words::clipped(&words::closed(&s.found.thing.text), 30);
                format!("{thing}, now: {}", words::label(now.verdict).to_lowercase())
            })
            .collect();
        let lines = match changed.len() {
            0 => "nothing changes.".to_string(),
            1 => format!("1 line changes: {}.", changed.join("; ")),
            n => format!("{n} lines change: {}.", changed.join("; ")),
        };
        page.row("THIS BAG", Ink::Quiet, SHORT, &lines);
    }

    /// The bag as the trade's rules alone would judge it.
    fn by_the_trade(&self) -> Judgement {
        let book = self.view.home.book.as_of(self.view.home.setting.today, Layer::Base);
        let judge = Judge::new(&self.view.home.known, &book, &self.view.home.setting);
        judge.conclude_plain(self.view.j.bag.clone(), self.view.j.scraps.clone())
    }

    // ---- everything
}
