//! What goes between the two judges: scraps as read, and the built-in judge's answer in the same
//! plain words.

use super::bag::{Answer, ScrapAnswer};
use super::data::Ate;
use super::{Reading, Scrap};
use forefeed::Household;
use forefeed::judge::{Finding, Judgement, Origin, Verdict};
use forefeed::knowledge::{Identified, Rung};
use std::collections::BTreeSet;

pub(crate) fn scraps_of(judgement: &Judgement, home: &Household) -> Vec<Scrap> {
    let v = home.known.vocabulary();
    let words = |bits: u64| -> BTreeSet<String> { v.names_of(bits).into_iter().map(String::from).collect() };
    let name = |id| home.known.item_name(id).to_string();
    let read = |s: &forefeed::knowledge::Scrap| Scrap {
        line: s.found.line,
        readings: s
            .found
            .identities
            .iter()
            .map(|i| Reading {
                item: i.item.map(name),
                part: i.part.map(|p| v.part_name(p).to_string()),
                said: words(i.said.yes),
                denied: words(i.said.no),
                identified: i.identified.word().to_string(),
                exact: i.identified == Identified::Sure
                    && matches!(i.rung, Some(Rung::Exact | Rung::OtherName | Rung::Normalised)),
                others: i.alternatives.iter().map(|a| (name(a.item), a.within_reach)).collect(),
            })
            .collect(),
        additions: s.found.additions.iter().map(|i| name(*i)).collect(),
        without: s.found.without.iter().map(|i| name(*i)).collect(),
        strange: !s.found.unknown_additions.is_empty(),
        mg: s.mass.typical.0 as f64,
        most_mg: s.mass.high.0 as f64,
    };
    judgement.scraps.iter().map(read).collect()
}

pub(crate) fn record_of(home: &Household) -> Option<Vec<Ate>> {
    let v = home.known.vocabulary();
    let ate = |f: &forefeed::judge::Fed| Ate {
        days_ago: (home.setting.today - f.date).get_days(),
        item: home.known.item_name(f.item).to_string(),
        part: f.part.map(|p| v.part_name(p).to_string()),
        mg: f.mass.0 as f64,
    };
    Some(home.setting.record.as_ref()?.iter().map(ate).collect())
}

/// The built-in judge's answer.
pub(crate) fn answer_of(judgement: &Judgement, home: &Household) -> Answer {
    let name = |f: &Finding| match f.origin {
        Origin::Rule(id) => home.book.rule(id).unwrap().name.clone(),
        Origin::Reading => "reading".to_string(),
    };
    let named = |list: &mut dyn Iterator<Item = &Finding>| list.map(name).collect::<BTreeSet<_>>();
    let figures = &judgement.figures;
    let windows_met = !judgement.findings.iter().any(|f| matches!(f.ground, forefeed::judge::Ground::Window(..)));
    Answer {
        status: judgement.status.key(),
        readiness: judgement.readiness,
        ledger: judgement.ledger.iter().map(|l| l.points).sum(),
        scraps: judgement
            .judged
            .iter()
            .map(|j| ScrapAnswer {
                verdict: j.verdict.key(),
                own: j.own.key(),
                allowed_mg: j.allowed.0 as f64,
                findings: j.findings.iter().map(|f| (name(f), f.verdict.map_or("", Verdict::key), f.certain)).collect(),
                notes: named(&mut j.notes.iter().map(|f| &**f)),
            })
            .collect(),
        findings: named(&mut judgement.findings.iter()),
        notes: named(&mut judgement.notes.iter()),
        cautions: judgement
            .cautions
            .iter()
            .map(|c| (home.book.rule(c.rule).unwrap().name.clone(), c.lines.iter().copied().collect()))
            .collect(),
        goes_in_mg: figures.goes_in.0 as f64,
        card: windows_met.then(|| figures.bedding_g.map_or(0.0, |f| f.value)),
        water: figures.water_g.map_or(0.0, |f| f.value),
    }
}

/// What two answers do not agree in, in words.
pub(crate) fn differences(naive: &Answer, real: &Answer) -> Vec<String> {
    let mut out = Vec::new();
    let mut same = |what: String, equal: bool, a: String, b: String| {
        if !equal {
            out.push(format!("{what}\n  naive {a}\n  real  {b}"));
        }
    };
    macro_rules! same {
        ($what:expr, $a:expr, $b:expr) => {
            same($what.to_string(), $a == $b, format!("{:?}", $a), format!("{:?}", $b))
        };
        ($what:expr, $a:expr, $b:expr, within $slack:expr) => {
            same($what.to_string(), ($a - $b).abs() <= $slack, format!("{:?}", $a), format!("{:?}", $b))
        };
    }
    same!("status", naive.status, real.status);
    same!("readiness", naive.readiness, real.readiness);
    same!("ledger", naive.ledger, real.ledger);
    same!("bag findings", naive.findings, real.findings);
    same!("bag notes", naive.notes, real.notes);
    same!("cautions", naive.cautions, real.cautions);
    same!("goes in", naive.goes_in_mg, real.goes_in_mg, within 2.0 + 1e-9 * naive.goes_in_mg);
    same!("card met", naive.card.is_some(), real.card.is_some());
    if let (Some(a), Some(b)) = (naive.card, real.card) {
        same!("card", a, b, within 0.01 + 1e-6 * a);
    }
    same!("water", naive.water, real.water, within 0.01);
    for (n, (a, b)) in naive.scraps.iter().zip(&real.scraps).enumerate() {
        same!(format!("scrap {n} verdict"), a.verdict, b.verdict);
        same!(format!("scrap {n} own"), a.own, b.own);
        same!(format!("scrap {n} allowed"), a.allowed_mg, b.allowed_mg, within 1.01);
        same!(format!("scrap {n} findings"), a.findings, b.findings);
        same!(format!("scrap {n} notes"), a.notes, b.notes);
    }
    same!("scraps", naive.scraps.len(), real.scraps.len());
    out
}
