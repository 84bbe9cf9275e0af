//! Everything that is known of one scrap: how it was read, what it is made of, every rule, what
//! would change the verdict, and the sources.

use super::{ALL, Explained};
use crate::judge::change::{Change, Outcome};
use crate::judge::{Finding, Origin, Verdict};
use crate::knowledge::{Basis, Identified, Identity, MassBasis, Rung, Stance};
use crate::language::Rule;
use crate::report::check::View;
use crate::report::said::cited;
use crate::report::{Ink, Page, words};
use std::sync::Arc;

impl Explained<'_> {
    pub(super) fn reading(&self, page: &mut Page) {
        let v = self.known().vocabulary();
        let thing = &self.scrap.found.thing;
        let Some(identity) = self.identity else { return };
        let mut parts = Vec::new();
        if let Some(a) = thing.amount {
            let high = a.high.map(|h| format!(" to {}", words::number(h))).unwrap_or_default();
            parts.push(format!(
                "{}{high}{}",
                words::number(a.low),
                thing.unit.map(|u| format!(" {}", u.name)).unwrap_or_default()
            ));
        }
        match identity.item {
            Some(item) => {
                parts.push(format!("\"{}\" is {}", words::clipped(&identity.name, 40), self.known().item_name(item)))
            }
            None => parts.push(format!("\"{}\" is nothing I know", words::clipped(&identity.name, 40))),
        }
        if let Some(part) = identity.part {
            parts.push(format!("the {}", v.part_name(part)));
        }
        page.row("READ AS", Ink::Quiet, ALL, &parts.join(", "));
        let how = match identity.rung {
            Some(Rung::Exact) => "its name as I have it",
            Some(Rung::OtherName) => "another name for it",
            Some(Rung::Normalised) => "its name, spelling or order apart",
            Some(Rung::HeadNoun) => "its main word; the others were set aside",
            Some(Rung::Similar) => "by likeness",
            None => "no name is near",
        };
        let sure = match identity.identified {
            Identified::Sure => "surely",
            Identified::Likely => "almost surely",
            Identified::Unsure => "not surely",
            Identified::Unknown => "not at all",
        };
        page.row(
            "HOW SURELY",
            Ink::Quiet,
            ALL,
            &format!("{sure}: {how} ({})", words::whole_percent(identity.confidence)),
        );
        let yes = v.names_of(self.judged.states_yes);
        let unknown = v.names_of(self.judged.states_unknown);
        let mut states = if yes.is_empty() { "nothing said".to_string() } else { yes.join(", ") };
        if !unknown.is_empty() {
            states.push_str(&format!("; not known: {}", unknown.join(", ")));
        }
        page.row("STATE", Ink::Quiet, ALL, &states);
        if let Some(near) = self.near(identity) {
            page.row("NEARLY WAS", Ink::Quiet, ALL, &near);
        }
    }

    fn near(&self, identity: &Identity) -> Option<String> {
        let each: Vec<String> = identity
            .alternatives
            .iter()
            .enumerate()
            .map(|(i, a)| {
                let verdict =
                    self.judged.alternatives.get(i).map(|v| format!(", {}", words::label(*v))).unwrap_or_default();
                format!("{} ({}{verdict})", self.known().item_name(a.item), words::whole_percent(a.confidence))
            })
            .collect();
        (!each.is_empty()).then(|| each.join(", "))
    }

    pub(super) fn stuff(&self, page: &mut Page) {
        let mass = &self.scrap.mass;
        let range = if mass.low == mass.high {
            String::new()
        } else {
            format!(", between {} and {}", words::grams(mass.low.grams()), words::grams(mass.high.grams()))
        };
        let basis = match mass.basis {
            MassBasis::Stated => "as you wrote it",
            MassBasis::Counted => "from what one weighs",
            MassBasis::Assumed => "guessed: a usual amount",
        };
        page.row("WEIGHS", Ink::Quiet, ALL, &format!("{}{range} ({basis})", words::grams(mass.typical.grams())));
        if let Some((c, basis)) = View::identity(self.scrap, self.judged).and_then(|i| self.known().made_of(i)) {
            let mut parts = vec![
                format!("{} water", words::percent(c.water)),
                format!("{} carbon", words::percent(c.carbon)),
                format!("{} nitrogen", words::percent(c.nitrogen)),
            ];
            if c.nitrogen > 0.0 {
                parts.push(format!("C:N {:.0}", c.carbon / c.nitrogen));
            }
            for (name, share) in [("fat", c.fat), ("salt", c.salt), ("sugar", c.sugar)] {
                parts.extend(share.map(|s| format!("{} {name}", words::percent(s))));
            }
            let from = match basis {
                Basis::Database(id) => format!("food database, entry {id}"),
                Basis::Like(item) => format!("those of {}: an estimate", self.known().item_name(*item)),
                Basis::Source(id) => self
                    .known()
                    .publication(id)
                    .map_or_else(|| id.clone(), |p| format!("{} ({})", p.title, p.publisher)),
                Basis::Ingredients => "reckoned from what is in it: ours".to_string(),
                Basis::Estimate => "our estimate".to_string(),
            };
            page.row("MADE OF", Ink::Quiet, ALL, &format!("{}; figures: {from}", parts.join(", ")));
        }
        let Some(item) = self.identity.and_then(|i| i.item) else { return };
        let kinds: Vec<&str> =
            self.known().kinds_of(item).iter().filter_map(|k| self.known().kind(*k)).map(|k| k.name.as_str()).collect();
        if !kinds.is_empty() {
            page.row("IS", Ink::Quiet, ALL, &kinds.join(", "));
        }
        let inside: Vec<&str> = self.things().into_iter().skip(1).map(|(i, _)| self.known().item_name(i)).collect();
        if !inside.is_empty() {
            page.row("IN IT", Ink::Quiet, ALL, &inside.join(", "));
        }
    }

    pub(super) fn rules(&self, page: &mut Page) {
        let decides = self.decides();
        match decides {
            Some(f) => match self.view.rule(f) {
                Some(r) => {
                    page.row(
                        "DECIDED BY",
                        Ink::Strong,
                        ALL,
                        &format!("{} ({}: {})", r.name, words::whose(r.layer), words::place(r)),
                    );
                    page.under(ALL, &self.written(r));
                    page.under(ALL, &words::capital(&self.view.in_full(f)));
                }
                None => {
                    page.row("DECIDED BY", Ink::Strong, ALL, "the reading of the line: it must be plain what this is")
                }
            },
            None => page.row("DECIDED BY", Ink::Strong, ALL, "no rule asks anything of it"),
        }
        let rest: Vec<&Finding> = self
            .judged
            .findings
            .iter()
            .chain(&self.judged.notes)
            .map(Arc::as_ref)
            .filter(|f| Some(*f) != decides)
            .collect();
        for (i, f) in rest.iter().enumerate() {
            page.row(if i == 0 { "ALSO" } else { "" }, Ink::Quiet, ALL, &self.view.in_full(f));
        }
        let spoken: Vec<Origin> = self.judged.findings.iter().chain(&self.judged.notes).map(|f| f.origin).collect();
        let book = &self.view.home.book;
        // Rules that ask the same stand together: what they ask, then when.
        let mut nearly: Vec<(String, Vec<String>)> = Vec::new();
        let mut met: Vec<String> = Vec::new();
        let mut silenced: Vec<String> = Vec::new();
        for (_, r) in book.iter().filter(|(id, r)| !spoken.contains(&Origin::Rule(*id)) && self.speaks_of_it(r)) {
            let mut asks: Vec<String> =
                r.demands(self.view.j.stance).map(|d| words::demand(d, self.known(), book)).collect();
            if asks.is_empty() {
                asks.push(if r.cautions { "a caution" } else { "advice" }.to_string());
            }
            let asks = asks.join(", ");
            let lifted = r
                .lifted
                .iter()
                .filter(|(_, set)| self.things().iter().any(|(i, p)| set.holds(*i, *p, self.known())))
                .find_map(|(by, _)| book.rule(*by));
            match (&r.when, r.replaced_by.and_then(|b| book.rule(b)), lifted) {
                (_, Some(by), _) => {
                    silenced.push(format!("{}: {asks}; {} takes its place ({})", r.name, by.name, words::place(by)))
                }
                (_, _, Some(by)) => {
                    silenced.push(format!("{}: {asks}; {} overrules it ({})", r.name, by.name, words::place(by)))
                }
                _ if !r.dated => silenced.push(format!("{}: {asks}; not in force today", r.name)),
                (Some(w), _, _) => {
                    let when = format!("{} [{}]", words::when(w, self.known()), r.name);
                    match nearly.iter_mut().find(|(a, _)| *a == asks) {
                        Some((_, all)) => all.push(when),
                        None => nearly.push((asks, vec![when])),
                    }
                }
                (None, _, _) => met.push(format!("{asks} [{}]", r.name)),
            }
        }
        let nearly: Vec<String> = nearly
            .into_iter()
            .map(|(asks, all)| format!("{}, if {}", words::capital(&asks), all.join(", or ")))
            .collect();
        for (label, list) in [("OVERRULED", silenced), ("MET", met), ("NEARLY", nearly)] {
            for (i, text) in list.iter().enumerate() {
                page.row(if i == 0 { label } else { "" }, Ink::Quiet, ALL, &words::sentence(&words::capital(text)));
            }
        }
    }

    /// A rule in the words of its file.
    fn written(&self, r: &Rule) -> String {
        let book = &self.view.home.book;
        let mut parts = vec![format!("about {}", words::who(r.subject(), self.known()))];
        parts.extend(r.when.as_ref().map(|w| format!("when {}", words::when(w, self.known()))));
        parts.extend(r.demands.iter().map(|d| words::demand(d, self.known(), book)));
        parts.extend(
            r.lenient
                .as_ref()
                .map(|d| format!("where guides disagree, easy: {}", words::demand(d, self.known(), book))),
        );
        parts.extend(r.strict.as_ref().map(|d| format!("careful: {}", words::demand(d, self.known(), book))));
        words::sentence(&words::capital(&parts.join("; ")))
    }

    pub(super) fn changes(&self, helps: &[Outcome], useless: &[Outcome], page: &mut Page) {
        for (i, o) in helps.iter().enumerate() {
            let label = if i == 0 { "IT WOULD TURN" } else { "" };
            page.row(label, Ink::Strong, ALL, &format!("{}: {}", self.change(&o.change), words::label(o.verdict)));
        }
        if helps.is_empty() {
            let text = if self.judged.verdict == Verdict::Feed {
                "nothing needs to"
            } else {
                "nothing that I can try turns it"
            };
            page.row("IT WOULD TURN", Ink::Strong, ALL, text);
        }
        let no: Vec<String> = useless.iter().map(|o| self.change(&o.change)).collect();
        if !no.is_empty() && self.judged.verdict != Verdict::Feed {
            page.row(
                "NO HELP",
                Ink::Quiet,
                ALL,
                &format!("{}: still {}", words::list(&no, "or"), words::label(self.judged.verdict)),
            );
        }
    }

    fn change(&self, c: &Change) -> String {
        let v = self.known().vocabulary();
        match c {
            Change::Prepare(states, take_out) => {
                let mut parts: Vec<String> =
                    take_out.iter().map(|id| format!("take the {} out", self.known().item_name(*id))).collect();
                if !states.is_empty() {
                    parts.push(words::verbs(states, "and", v));
                }
                words::list(&parts, "and")
            }
            Change::AtMost(mg) => format!("feed at most {} of it", words::grams_at_most(mg.grams())),
            Change::WithOther(mg) => {
                format!("put {} of other food with it ({})", words::bowls(mg.grams()), words::grams(mg.grams()))
            }
            Change::OtherStance => match self.view.j.stance {
                crate::language::Side::Lenient => "take the careful side where guides disagree".to_string(),
                crate::language::Side::Strict => "take the easy side where guides disagree".to_string(),
            },
            Change::Turns(state, true) => format!("if it is {}", v.state_name(*state)),
            Change::Turns(state, false) => format!("if it is not {}", v.state_name(*state)),
            Change::Overrule(id) => {
                let rule = self.view.home.book.rule(*id).map_or("", |r| r.name.as_str());
                format!("overrule the rule {rule} in your own file")
            }
        }
    }

    pub(super) fn sources(&self, page: &mut Page) {
        let known = self.known();
        let said = self.said();
        for (label, tally) in [("PUBLISHERS", &said.guidance), ("TRIALS", &said.science)] {
            let mut label = label;
            for (stance, word) in [(Stance::Avoid, "never"), (Stance::Limit, "a little"), (Stance::Accept, "feed it")] {
                let who: Vec<String> =
                    tally.who.iter().filter(|(s, _)| *s == stance).map(|(_, voice)| self.publisher(voice)).collect();
                if !who.is_empty() {
                    page.row(label, Ink::Quiet, ALL, &format!("{word}: {}", who.join("; ")));
                    label = "";
                }
            }
        }
        let mut ids: Vec<&str> = Vec::new();
        for rule in self.judged.findings.iter().chain(&self.judged.notes).filter_map(|f| self.view.rule(f)) {
            ids.extend(rule.sources().iter().chain(rule.disputed_by().iter()).map(String::as_str));
        }
        let mut seen: Vec<&str> = Vec::new();
        for id in ids {
            if seen.contains(&id) {
                continue;
            }
            let label = if seen.is_empty() { "SOURCES" } else { "" };
            seen.push(id);
            let text = known.publication(id).map_or_else(|| id.to_string(), cited);
            page.row(label, Ink::Quiet, ALL, &text);
        }
        if seen.is_empty() {
            page.row("SOURCES", Ink::Quiet, ALL, "none cited by a rule that applies");
        }
    }

    fn publisher(&self, voice_: &str) -> String {
        self.known()
            .publications()
            .iter()
            .find(|p| p.voice == voice_)
            .map_or_else(|| voice_.to_string(), |p| p.publisher.clone())
    }
}
