//! One object for a bag, and one object a line.

use super::{FigureJson, FindingJson, figure, finding, finite, layer_word};
use crate::Household;
use crate::bag::{BadLine, Line, Reading};
use crate::judge::{Deed, Finding, Ground, Judged, Judgement, Origin, Verdict};
use crate::kept::Kept;
use crate::knowledge::{ItemId, Scrap};
use crate::language::Layer;
use serde::Serialize;
use serde_json::value::RawValue;
use std::rc::Rc;

/// How much a stream says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    /// Without because, advice and caution.
    Lean,
    /// With them.
    Full,
}

#[derive(Serialize)]
struct EachJson {
    amount: Option<f64>,
    unit: &'static str,
}

#[derive(Serialize)]
struct AlternativeJson<'a> {
    item: &'a str,
    name: &'a str,
    confidence: f64,
    verdict: &'static str,
}

#[derive(Serialize)]
struct ScrapJson<'a, F> {
    line: u32,
    text: &'a str,
    amount: Option<f64>,
    amount_high: Option<f64>,
    unit: Option<&'static str>,
    each: Option<EachJson>,
    name: &'a str,
    item: Option<&'a str>,
    part: Option<&'a str>,
    states: Vec<&'a str>,
    additions: Vec<&'a str>,
    language: &'static str,
    mass_g: f64,
    mass_low_g: f64,
    mass_high_g: f64,
    mass_basis: &'static str,
    identified: &'static str,
    rung: Option<&'static str>,
    confidence: f64,
    alternatives: Vec<AlternativeJson<'a>>,
    verdict: &'static str,
    own: &'static str,
    allowed_g: f64,
    findings: Vec<F>,
    notes: Vec<F>,
}

#[derive(Serialize)]
struct ErrorJson {
    code: &'static str,
    message: &'static str,
}

#[derive(Serialize)]
struct LineJson<'a> {
    schema: &'static str,
    line: u32,
    text: &'a str,
    skipped: Option<&'static str>,
    error: Option<ErrorJson>,
    status: &'static str,
    readiness: Option<u32>,
    scraps: Vec<ScrapJson<'a, Told<'a>>>,
}

fn scrap<'a, F>(
    scrap: &'a Scrap,
    judged: &'a Judged,
    home: &'a Household,
    finding: impl FnMut(&'a Finding) -> F + Copy,
) -> ScrapJson<'a, F> {
    let known = &home.known;
    let thing = &scrap.found.thing;
    let identity = scrap.found.identities.get(judged.identity);
    let v = known.vocabulary();
    let said = identity.map_or(0, |i| i.said.yes);
    let states = v.names_of(v.implied_by(said) & judged.states_yes);
    let alternatives = identity.map_or(&[][..], |i| &i.alternatives).iter().zip(&judged.alternatives);
    ScrapJson {
        line: scrap.found.line,
        text: &thing.text,
        amount: thing.amount.and_then(|a| finite(a.low)),
        amount_high: thing.amount.and_then(|a| a.high).and_then(finite),
        unit: thing.unit.map(|u| u.name),
        each: thing.each.map(|e| EachJson { amount: finite(e.amount), unit: e.unit.name }),
        name: identity.map_or("", |i| i.name.as_str()),
        item: identity.and_then(|i| i.item).map(|i| known.item_name(i)),
        part: identity.and_then(|i| i.part).map(|p| v.part_name(p)),
        states,
        additions: scrap.found.additions.iter().map(|i| known.item_name(*i)).collect(),
        language: identity.map_or("en", |i| i.language.code()),
        mass_g: scrap.mass.typical.grams(),
        mass_low_g: scrap.mass.low.grams(),
        mass_high_g: scrap.mass.high.grams(),
        mass_basis: scrap.mass.basis.word(),
        identified: identity.map_or("unknown", |i| i.identified.word()),
        rung: identity.and_then(|i| i.rung).map(|r| r.word()),
        confidence: identity.map_or(0.0, |i| finite(i.confidence).unwrap_or(0.0)),
        alternatives: alternatives
            .take(3)
            .map(|(a, verdict)| AlternativeJson {
                item: known.item_name(a.item),
                name: &a.name,
                confidence: finite(a.confidence).unwrap_or(0.0),
                verdict: verdict.key(),
            })
            .collect(),
        verdict: judged.verdict.key(),
        own: judged.own.key(),
        allowed_g: judged.allowed.grams(),
        findings: judged.findings.iter().map(finding).collect(),
        notes: judged.notes.iter().map(finding).collect(),
    }
}

fn skipped(line: &Line) -> Option<&'static str> {
    match line.reading {
        Reading::Blank => Some("blank"),
        Reading::Comment => Some("comment"),
        _ => None,
    }
}

fn error(line: &Line) -> Option<ErrorJson> {
    match line.reading {
        Reading::Unreadable(BadLine::NotUtf8) => {
            Some(ErrorJson { code: "not_utf8", message: "this line is not UTF-8 text" })
        }
        Reading::Unreadable(BadLine::TooLong) => {
            Some(ErrorJson { code: "too_long", message: "this line is longer than 64 KiB" })
        }
        _ => None,
    }
}

/// A finding of a line: one that came before just as it was, or a new one.
#[derive(Serialize)]
#[serde(untagged)]
enum Told<'a> {
    Before(Written),
    New(FindingJson<'a>),
}

/// JSON that was written before.
#[derive(Clone)]
struct Written(Rc<RawValue>);

impl Serialize for Written {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.0.serialize(serializer)
    }
}

/// All that the JSON of a finding follows from, if nothing was measured and nothing is missing:
/// origin, verdict, certainty, through what, whether that is to be taken out, points.
type Plain = (Origin, Option<Verdict>, bool, Option<ItemId>, bool, u32);

/// Writes the lines of a stream. What was found of one is often found of the next, so it is
/// written once and kept.
pub struct Lines<'a> {
    home: &'a Household,
    full: bool,
    kept: Kept<Plain, Written>,
}

/// Findings kept; there are a few for every rule of the book.
const MOST_FINDINGS: usize = 4096;

impl<'a> Lines<'a> {
    /// Nothing written yet.
    pub fn new(home: &'a Household, detail: Detail) -> Self {
        Lines { home, full: detail == Detail::Full, kept: Kept::at_most(MOST_FINDINGS) }
    }

    /// Appends the object of one line that was judged as a bag of its own; no line end.
    ///
    /// # Errors
    /// None but what a value cannot be written for, which no value of ours is.
    pub fn line(&mut self, text: &mut Vec<u8>, judgement: &Judgement) -> std::io::Result<()> {
        let Some(one) = judgement.bag.lines.first() else { return Ok(()) };
        for judged in &judgement.judged {
            judged.findings.iter().chain(&judged.notes).try_for_each(|f| self.keep(f))?;
        }
        let object = LineJson {
            schema: "forefeed/line/1",
            line: one.number,
            text: &one.text,
            skipped: skipped(one),
            error: error(one),
            status: judgement.status.key(),
            readiness: judgement.readiness,
            scraps: judgement
                .scraps
                .iter()
                .zip(&judgement.judged)
                .map(|(s, j)| scrap(s, j, self.home, |f| self.told(f)))
                .collect(),
        };
        super::append(text, &object)
    }

    fn keep(&mut self, f: &Finding) -> std::io::Result<()> {
        if let Some(plain) = plain(f).filter(|p| self.kept.get(p).is_none()) {
            let mut text = Vec::new();
            super::append(&mut text, &finding(f, &self.home.known, &self.home.book, self.full))?;
            let text = String::from_utf8(text).map_err(std::io::Error::other)?;
            self.kept.keep(plain, Written(RawValue::from_string(text)?.into()));
        }
        Ok(())
    }

    fn told<'f>(&self, f: &'f Finding) -> Told<'f>
    where
        'a: 'f,
    {
        match plain(f).and_then(|p| self.kept.get(&p)) {
            Some(written) => Told::Before(written.clone()),
            None => Told::New(finding(f, &self.home.known, &self.home.book, self.full)),
        }
    }
}

fn plain(f: &Finding) -> Option<Plain> {
    let all = f.missing.is_empty() && f.measured.is_none() && f.limit.is_none();
    let out = matches!(f.ground, Ground::TakeOutPart(_));
    all.then_some((f.origin, f.verdict, f.certain, f.through, out, f.points))
}

#[derive(Serialize)]
struct LayerJson<'a> {
    layer: &'static str,
    file: &'a str,
    rules: usize,
}

#[derive(Serialize)]
struct BinJson<'a> {
    name: Option<&'a str>,
    worms_g: f64,
    assumed: bool,
}

#[derive(Serialize)]
struct LossJson<'a> {
    what: &'a str,
    line: Option<u32>,
    points: u32,
}

#[derive(Serialize)]
struct InputLineJson<'a> {
    line: u32,
    text: &'a str,
    skipped: Option<&'static str>,
    error: Option<ErrorJson>,
}

#[derive(Serialize)]
struct BagJson<'a> {
    mass_g: f64,
    assumed_share: f64,
    goes_in_g: f64,
    moisture: FigureJson,
    cn: FigureJson,
    bedding_g: FigureJson,
    water_g: FigureJson,
    grit_g: FigureJson,
    findings: Vec<FindingJson<'a>>,
    notes: Vec<FindingJson<'a>>,
}

#[derive(Serialize)]
struct StepJson {
    #[serde(rename = "do")]
    deed: &'static str,
    lines: Vec<u32>,
    grams: f64,
    text: String,
    points: i64,
}

#[derive(Serialize)]
struct CautionJson<'a> {
    text: &'a str,
    lines: &'a [u32],
    source: Option<&'a str>,
}

#[derive(Serialize)]
struct CheckJson<'a> {
    schema: &'static str,
    book: Vec<LayerJson<'a>>,
    today: String,
    stance: &'static str,
    bin: Option<BinJson<'a>>,
    status: &'static str,
    readiness: Option<u32>,
    ledger: Vec<LossJson<'a>>,
    lines: Vec<InputLineJson<'a>>,
    scraps: Vec<ScrapJson<'a, FindingJson<'a>>>,
    bag: BagJson<'a>,
    steps: Vec<StepJson>,
    cautions: Vec<CautionJson<'a>>,
}

/// Writes the object of one bag, with a line end.
///
/// # Errors
/// What the writer says.
pub fn check(out: &mut dyn std::io::Write, judgement: &Judgement, home: &Household) -> std::io::Result<()> {
    let book = &home.book;
    let figures = &judgement.figures;
    let one = |f| finding(f, &home.known, book, true);
    let object = CheckJson {
        schema: "forefeed/check/1",
        book: book
            .files
            .iter()
            .map(|f| LayerJson { layer: layer_word(f.layer), file: &f.name, rules: f.rules })
            .collect(),
        today: home.setting.today.to_string(),
        stance: judgement.stance.word(),
        bin: Some(BinJson {
            name: home.setting.bin.name.as_deref(),
            worms_g: judgement.worms.0.grams().round(),
            assumed: judgement.worms.1 == Layer::Base,
        }),
        status: judgement.status.key(),
        readiness: judgement.readiness,
        ledger: judgement.ledger.iter().map(|l| LossJson { what: &l.what, line: l.line, points: l.points }).collect(),
        lines: judgement
            .bag
            .lines
            .iter()
            .map(|l| InputLineJson { line: l.number, text: &l.text, skipped: skipped(l), error: error(l) })
            .collect(),
        scraps: judgement.scraps.iter().zip(&judgement.judged).map(|(s, j)| scrap(s, j, home, one)).collect(),
        bag: BagJson {
            mass_g: figures.mass.grams(),
            assumed_share: figures.assumed_share,
            goes_in_g: figures.goes_in.grams(),
            moisture: figure(figures.moisture),
            cn: figure(figures.cn),
            bedding_g: figure(figures.bedding_g),
            water_g: figure(figures.water_g),
            grit_g: figure(figures.grit_g),
            findings: judgement.findings.iter().map(one).collect(),
            notes: judgement.notes.iter().map(one).collect(),
        },
        steps: judgement.steps.iter().map(|s| step(s, judgement, home)).collect(),
        cautions: judgement
            .cautions
            .iter()
            .map(|c| CautionJson {
                text: &c.text,
                lines: &c.lines,
                source: book.rule(c.rule).and_then(|r| r.sources.first()).map(String::as_str),
            })
            .collect(),
    };
    super::write(out, &object)?;
    out.write_all(b"\n")
}

fn step(step: &crate::judge::Step, judgement: &Judgement, home: &Household) -> StepJson {
    let texts: Vec<&str> =
        step.scraps.iter().filter_map(|(n, _)| judgement.scraps.get(*n)).map(|s| s.found.thing.text.as_str()).collect();
    let mut lines: Vec<u32> =
        step.scraps.iter().filter_map(|(n, _)| judgement.scraps.get(*n)).map(|s| s.found.line).collect();
    lines.sort_unstable();
    lines.dedup();
    let v = home.known.vocabulary();
    let what = texts.join(", ");
    let text = match step.deed {
        Deed::TakeOut => format!("take out {what}"),
        Deed::SetAside => format!("set aside {what}"),
        Deed::HoldBack => format!("hold back {:.0} g: {what}", step.grams.grams()),
        Deed::Prepare => {
            let mut todo: Vec<String> =
                step.take_out.iter().map(|i| format!("{} taken out", home.known.item_name(*i))).collect();
            todo.extend(step.states.iter().map(|s| v.state_name(*s).to_string()));
            format!("{what}: {}", todo.join(", "))
        }
        Deed::Add if step.water => format!("add {:.0} g water", step.grams.grams()),
        Deed::Add => format!("add {:.0} g dry shredded card", step.grams.grams()),
        Deed::Wait => "wait: the bin is not fit to be fed".to_string(),
    };
    StepJson { deed: step.deed.key(), lines, grams: step.grams.grams(), text, points: step.points }
}
