//! A bag's screen: the headline, what to do, what goes in and what goes with it.

use super::rows::Row;
use super::{Asked, BAG, View};
use crate::bag::BadLine;
use crate::judge::{Ground, Judged, Status, Verdict};
use crate::knowledge::{MassBasis, Pace, Role, Scrap};
use crate::language::Side;
use crate::report::{Ink, Page, words};

/// The widest a thing may be for its reason to stand beside it.
const BESIDE: usize = 36;

impl View<'_> {
    pub(super) fn bag(&self, asked: &Asked, bad: Vec<(u32, BadLine)>, page: &mut Page) {
        let rows = self.rows(&bad);
        let ink = if rows.is_empty() { Ink::Good } else { Ink::Strong };
        page.headline(&self.headline(&rows), ink);
        page.blank();
        self.numbered(&rows, page);
        self.going_in(page);
        self.with_it(page);
        page.blank();
        if self.shown_in().0 > 0 || rows.iter().any(|r| r.label != "KEEP OUT") {
            self.guessed(page);
        }
        self.figures(page);
        if self.j.stance == Side::Strict {
            page.row("CAREFUL", Ink::Quiet, BAG, "where guides disagree, the careful side was taken");
        }
        if let Some((scrap, judged)) =
            rows.iter().find_map(|r| r.scrap).and_then(|i| Some((self.j.scraps.get(i)?, self.j.judged.get(i)?)))
        {
            let name = View::identity(scrap, judged).map_or("", |i| i.name.as_str());
            let name = words::clipped(name, 40);
            let name = if name.is_empty() { words::thing(&scrap.found.thing) } else { name };
            let mut parts = vec!["forefeed", "explain", &name];
            if let Some(bag) = &asked.bag {
                parts.extend(["--bag", bag]);
            }
            page.row("WHY", Ink::Quiet, BAG, &words::command(&parts));
        }
        self.care(None, BAG, page);
    }

    fn headline(&self, rows: &[Row]) -> String {
        let n = rows.len();
        let bedding = self.j.figures.bedding_g.map_or(0.0, |b| b.value);
        if n == 0 {
            return match self.j.status {
                Status::Wait => "WAIT: the bin is not ready for food.".to_string(),
                _ if bedding >= words::HANDFUL_G / 4.0 => {
                    format!("READY, with {} of dry card under it.", words::handfuls(bedding))
                }
                _ => "READY: all of it can go in.".to_string(),
            };
        }
        if rows.iter().all(|r| r.label == "WAIT") {
            return "WAIT: the bin is not ready for food.".to_string();
        }
        let share = self.share();
        let to_do = words::count(n, "thing");
        if rows.iter().all(|r| r.label == "KEEP OUT") && share <= 0.0 {
            return "NONE OF IT: all of this stays out of the bin.".to_string();
        }
        match words::about(share) {
            "none" => format!("NOT YET: {to_do} to do; nothing can go in before that."),
            "all" => format!("NOT YET: {to_do} to do, then all of it goes in."),
            "hardly any" => format!("NOT YET: {to_do} to do, and hardly any of it goes in."),
            words => format!("NOT YET: {to_do} to do, then {words} goes in."),
        }
    }

    fn numbered(&self, rows: &[Row], page: &mut Page) {
        let columns = page.width().columns();
        let across = rows.iter().map(|r| words::wide(&r.what)).max().unwrap_or(0);
        let fits = |r: &Row| BAG + across + 2 + words::wide(&r.why) <= columns;
        let beside = across <= BESIDE && rows.iter().all(fits);
        let digits = rows.len().to_string().len();
        for (i, row) in rows.iter().enumerate() {
            let label = format!("{:>digits$} {}", i + 1, row.label);
            if row.why.is_empty() {
                page.row(&label, row.ink, BAG, &row.what);
            } else if beside {
                page.pair(&label, row.ink, BAG, &row.what, Some((across + 2, &row.why)));
            } else {
                page.row(&label, row.ink, BAG, &row.what);
                page.under(BAG, &row.why);
            }
        }
    }

    fn going_in(&self, page: &mut Page) {
        let feed: Vec<String> =
            self.pairs().filter(|p| p.2.verdict == Verdict::Feed).map(|(_, s, j)| self.going(s, j)).collect();
        if !feed.is_empty() {
            page.row("GOES IN", Ink::Good, BAG, &words::list_clear(&feed));
        }
    }

    /// A scrap that goes in, with a word on what it is like.
    pub(super) fn going(&self, scrap: &Scrap, judged: &Judged) -> String {
        let mut remarks: Vec<String> = Vec::new();
        if judged.other_stance == Some(Verdict::KeepOut) {
            remarks.push("some guides say never".into());
        } else if judged.other_stance.is_some_and(|o| o > judged.verdict) {
            remarks.push("some guides are stricter".into());
        }
        let item = View::identity(scrap, judged).and_then(|i| i.item).and_then(|i| self.home.known.item(i));
        match item.filter(|i| i.role == Role::Food).and_then(|i| i.pace) {
            Some(Pace::Slow) => remarks.push("slow".into()),
            Some(Pace::Lasts) => remarks.push("very slow".into()),
            _ => {}
        }
        for note in &judged.notes {
            match &note.ground {
                Ground::Trace(id) => remarks.push(format!("a trace of {} in it", self.home.known.item_name(*id))),
                Ground::WeighIt => remarks.push("weigh it: it is near a limit".into()),
                _ => {}
            }
        }
        let asked =
            judged.findings.iter().any(|f| matches!(f.ground, Ground::With(_)) && judged.verdict == Verdict::Ask);
        if !scrap.found.unknown_additions.is_empty() && !asked {
            let unknown: Vec<String> = scrap.found.unknown_additions.iter().map(|u| words::clipped(u, 20)).collect();
            remarks.push(format!("not known: {}", unknown.join(", ")));
        }
        let name = self.name(scrap, judged);
        if remarks.is_empty() { name } else { format!("{name} ({})", remarks.join("; ")) }
    }

    /// The wettest things that go in, for the bedding to lie under.
    fn wettest(&self) -> Vec<String> {
        let mut wet: Vec<(f64, String)> = self
            .pairs()
            .filter(|(_, _, j)| j.allowed.0 > 0)
            .filter_map(|(_, s, j)| {
                self.composition(s, j)
                    .zip(View::identity(s, j).and_then(|i| i.item))
                    .map(|(c, item)| (c.water, self.home.known.item_name(item).to_string()))
            })
            .filter(|(water, _)| *water >= 0.9)
            .collect();
        wet.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
        wet.dedup_by(|a, b| a.1 == b.1);
        wet.into_iter().map(|(_, name)| name).take(2).collect()
    }

    fn with_it(&self, page: &mut Page) {
        let figures = &self.j.figures;
        let mut with = Vec::new();
        let over = |f: Option<crate::judge::Figure>, least: f64| f.map(|f| f.value).filter(|g| *g >= least);
        if let Some(g) = over(figures.bedding_g, words::HANDFUL_G / 4.0) {
            let under = self.wettest();
            let under = if under.is_empty() || self.pairs().count() < 3 {
                String::new()
            } else {
                format!(", under the {}", words::list(&under, "and"))
            };
            with.push(format!("{} of dry shredded card ({}){under}", words::handfuls(g), words::grams(g)));
        }
        if let Some(g) = over(figures.water_g, 5.0) {
            let cups = g / 240.0;
            let amount = if cups < 0.4 {
                "a splash".to_string()
            } else if cups < 1.5 {
                "a cup".to_string()
            } else {
                format!("{cups:.0} cups")
            };
            with.push(format!("{amount} of water ({})", words::grams(g)));
        }
        if let Some(g) = over(figures.grit_g, 1.0) {
            with.push(format!("{} of grit: crushed egg shell or sand ({})", words::spoons(g), words::grams(g)));
        }
        if !with.is_empty() {
            page.row("WITH IT", Ink::Good, BAG, &with.join("; "));
        }
    }

    fn guessed(&self, page: &mut Page) {
        let share = self.j.figures.assumed_share;
        let near: Vec<String> = self
            .pairs()
            .filter(|(_, s, j)| {
                s.mass.basis != MassBasis::Stated && j.notes.iter().any(|n| n.ground == Ground::WeighIt)
            })
            .map(|(_, s, _)| words::thing(&s.found.thing))
            .collect();
        let rough = if near.is_empty() {
            "rough is fine for this bag".to_string()
        } else {
            format!("weigh the {}: it is near a limit", words::list(&near, "and"))
        };
        let guessed: Vec<String> = self
            .pairs()
            .filter(|(_, s, _)| s.mass.basis == MassBasis::Assumed)
            .map(|(_, s, _)| words::thing(&s.found.thing))
            .collect();
        if share >= 0.995 {
            page.row("ALL GUESSED", Ink::Quiet, BAG, &format!("you gave no weights; {rough}"));
        } else if share >= 0.005 {
            let names =
                if guessed.len() <= 4 { words::list_clear(&guessed) } else { format!("{} things", guessed.len()) };
            page.row(
                "PART GUESSED",
                Ink::Quiet,
                BAG,
                &format!("{} of the weight: {names}; {rough}", words::about(share)),
            );
        } else if !near.is_empty() {
            page.row("WEIGH", Ink::Quiet, BAG, &rough);
        }
    }

    fn figures(&self, page: &mut Page) {
        let f = &self.j.figures;
        let mut parts = vec![words::grams(f.mass.grams())];
        let bedding = f.bedding_g.map_or(0.0, |b| b.value) >= words::HANDFUL_G / 4.0;
        let water = f.water_g.map_or(0.0, |w| w.value) >= 5.0;
        let what = match (bedding, water) {
            (true, true) => "with the card and water",
            (false, true) => "with the water",
            _ => "with the card",
        };
        if let Some(m) = f.moisture {
            let text = format!("{} water", words::whole_percent(m.value));
            match f.moisture_with.filter(|_| bedding || water) {
                Some(with) => {
                    parts.push(format!("{text} ({} {what}: {})", words::whole_percent(with), words::feel(with)))
                }
                None => parts.push(format!("{text} ({})", words::feel(m.value))),
            }
        }
        if let Some(cn) = f.cn {
            match f.cn_with.filter(|_| bedding) {
                Some(with) if (with - cn.value).abs() >= 1.0 => {
                    parts.push(format!("C:N about {:.0} ({with:.0} {what})", cn.value))
                }
                _ => parts.push(format!("C:N about {:.0}", cn.value)),
            }
        }
        page.row("FIGURES", Ink::Quiet, BAG, &parts.join(", "));
    }
}
