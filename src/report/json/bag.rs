//! One object for a bag, and one object a line.

use super::pieces::{decimal, key, list, maybe, number, or_null, string};
use super::{FigureJson, append, figure, finding, finite, head, layer_word};
use crate::Household;
use crate::bag::{BadLine, Line, Reading};
use crate::judge::{Deed, Finding, Ground, Judged, Judgement, Origin, Verdict};
use crate::kept::Kept;
use crate::knowledge::{ItemId, Known, Scrap};
use crate::language::Layer;
use serde::Serialize;
use serde_json::value::RawValue;
use std::cell::RefCell;
use std::io;

/// How much a stream says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    /// Without because, advice and caution.
    Lean,
    /// With them.
    Full,
}

/// Appends the object of a scrap; `finding` appends that of a finding.
fn scrap(
    text: &mut Vec<u8>,
    (scrap, judged): (&Scrap, &Judged),
    known: &Known,
    finding: impl Fn(&mut Vec<u8>, &Finding, u32) -> io::Result<()>,
) -> io::Result<()> {
    let thing = &scrap.found.thing;
    let identity = scrap.found.identities.get(judged.identity);
    let v = known.vocabulary();
    let said = identity.map_or(0, |i| i.said.yes);
    let alternatives = identity.map_or(&[][..], |i| &i.alternatives).iter().zip(&judged.alternatives).take(3);
    text.extend_from_slice(b"{\"line\":");
    number(text, scrap.found.line)?;
    key!(text, "text");
    string(text, &thing.text)?;
    key!(text, "amount");
    or_null(text, thing.amount.map(|a| a.low), decimal)?;
    key!(text, "amount_high");
    or_null(text, thing.amount.and_then(|a| a.high), decimal)?;
    key!(text, "unit");
    maybe(text, thing.unit.map(|u| u.name))?;
    key!(text, "each");
    or_null(text, thing.each, |text, each| {
        text.extend_from_slice(b"{\"amount\":");
        decimal(text, each.amount)?;
        key!(text, "unit");
        string(text, each.unit.name)?;
        text.push(b'}');
        Ok(())
    })?;
    key!(text, "name");
    string(text, identity.map_or("", |i| i.name.as_str()))?;
    key!(text, "item");
    maybe(text, identity.and_then(|i| i.item).map(|i| known.item_name(i)))?;
    key!(text, "part");
    maybe(text, identity.and_then(|i| i.part).map(|p| v.part_name(p)))?;
    key!(text, "states");
    list(text, v.names_of(v.implied_by(said) & judged.states_yes), string)?;
    key!(text, "additions");
    list(text, scrap.found.additions.iter().map(|i| known.item_name(*i)), string)?;
    key!(text, "language");
    string(text, identity.map_or("en", |i| i.language.code()))?;
    key!(text, "mass_g");
    decimal(text, scrap.mass.typical.grams())?;
    key!(text, "mass_low_g");
    decimal(text, scrap.mass.low.grams())?;
    key!(text, "mass_high_g");
    decimal(text, scrap.mass.high.grams())?;
    key!(text, "mass_basis");
    string(text, scrap.mass.basis.word())?;
    key!(text, "identified");
    string(text, identity.map_or("unknown", |i| i.identified.word()))?;
    key!(text, "rung");
    maybe(text, identity.and_then(|i| i.rung).map(|r| r.word()))?;
    key!(text, "confidence");
    decimal(text, identity.map_or(0.0, |i| finite(i.confidence).unwrap_or(0.0)))?;
    key!(text, "alternatives");
    list(text, alternatives, |text, (a, verdict)| {
        text.extend_from_slice(b"{\"item\":");
        string(text, known.item_name(a.item))?;
        key!(text, "name");
        string(text, a.name(known))?;
        key!(text, "confidence");
        decimal(text, finite(a.confidence).unwrap_or(0.0))?;
        key!(text, "verdict");
        string(text, verdict.key())?;
        text.push(b'}');
        Ok(())
    })?;
    key!(text, "verdict");
    string(text, judged.verdict.key())?;
    key!(text, "own");
    string(text, judged.own.key())?;
    key!(text, "allowed_g");
    decimal(text, judged.allowed.grams())?;
    key!(text, "findings");
    // The points are lost to the finding that decides, which stands first.
    let mut points = if judged.decides().is_some() { judged.points } else { 0 };
    list(text, &judged.findings, |text, f| finding(text, f, std::mem::take(&mut points)))?;
    key!(text, "notes");
    list(text, &judged.notes, |text, f| finding(text, f, 0))?;
    text.push(b'}');
    Ok(())
}

#[derive(Serialize)]
struct ErrorJson {
    code: &'static str,
    message: &'static str,
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

/// All that the JSON of a finding begins with follows from this: origin, verdict, certainty, and the
/// part that is to be taken out.
type Head = (Origin, Option<Verdict>, bool, Option<ItemId>);

/// Writes the lines of a stream. What was found of one is often found of the next, so what
/// it begins with is written once and kept.
pub struct Lines<'a> {
    home: &'a Household,
    full: bool,
    kept: RefCell<Kept<Head, Box<[u8]>>>,
}

/// Findings kept; there are a few for every rule of the book.
const MOST_FINDINGS: usize = 4096;

impl<'a> Lines<'a> {
    /// Nothing written yet.
    pub fn new(home: &'a Household, detail: Detail) -> Self {
        Lines { home, full: detail == Detail::Full, kept: RefCell::new(Kept::at_most(MOST_FINDINGS)) }
    }

    /// Appends the object of one line that was judged as a bag of its own; no line end.
    ///
    /// # Errors
    /// None but what a value cannot be written for, which no value of ours is.
    pub fn line(&self, text: &mut Vec<u8>, judgement: &Judgement) -> io::Result<()> {
        let Some(one) = judgement.bag.lines.first() else { return Ok(()) };
        text.extend_from_slice(b"{\"schema\":\"forefeed/line/1\"");
        key!(text, "line");
        number(text, one.number)?;
        key!(text, "text");
        string(text, &one.text)?;
        key!(text, "skipped");
        maybe(text, skipped(one))?;
        key!(text, "error");
        or_null(text, error(one), |text, error| append(text, &error))?;
        key!(text, "status");
        string(text, judgement.status.key())?;
        key!(text, "readiness");
        number(text, judgement.readiness)?;
        key!(text, "scraps");
        list(text, judgement.scraps.iter().zip(&judgement.judged), |text, both| {
            scrap(text, both, &self.home.known, |text, f, points| self.finding(text, f, points))
        })?;
        text.push(b'}');
        Ok(())
    }

    fn finding(&self, text: &mut Vec<u8>, f: &Finding, points: u32) -> io::Result<()> {
        let known = &self.home.known;
        finding(text, f, points, known, |text| {
            let out = if let Ground::TakeOutPart(item) = f.ground { Some(item) } else { None };
            let key = (f.origin, f.verdict, f.certain, out);
            if let Some(written) = self.kept.borrow().get(&key) {
                text.extend_from_slice(written);
                return Ok(());
            }
            let from = text.len();
            head(text, f, known, &self.home.book, self.full)?;
            self.kept.borrow_mut().keep(key, text.get(from..).unwrap_or_default().into());
            Ok(())
        })
    }
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
struct BagJson {
    mass_g: f64,
    assumed_share: f64,
    goes_in_g: f64,
    moisture: FigureJson,
    cn: FigureJson,
    bedding_g: FigureJson,
    water_g: FigureJson,
    grit_g: FigureJson,
    findings: Box<RawValue>,
    notes: Box<RawValue>,
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
    scraps: Box<RawValue>,
    bag: BagJson,
    steps: Vec<StepJson>,
    cautions: Vec<CautionJson<'a>>,
}

/// JSON that is written already.
fn raw(text: Vec<u8>) -> io::Result<Box<RawValue>> {
    Ok(RawValue::from_string(String::from_utf8(text).map_err(io::Error::other)?)?)
}

/// Writes the object of one bag, with a line end.
///
/// # Errors
/// What the writer says.
pub fn check(out: &mut dyn io::Write, judgement: &Judgement, home: &Household) -> io::Result<()> {
    let book = &home.book;
    let figures = &judgement.figures;
    let one = |text: &mut Vec<u8>, f: &Finding, points: u32| {
        finding(text, f, points, &home.known, |text| head(text, f, &home.known, book, true))
    };
    let mut scraps = Vec::new();
    list(&mut scraps, judgement.scraps.iter().zip(&judgement.judged), |text, both| {
        scrap(text, both, &home.known, one)
    })?;
    let of_bag = |findings: &[Finding]| {
        let mut text = Vec::new();
        list(&mut text, findings, |text, f| one(text, f, 0))?;
        raw(text)
    };
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
        scraps: raw(scraps)?,
        bag: BagJson {
            mass_g: figures.mass.grams(),
            assumed_share: figures.assumed_share,
            goes_in_g: figures.goes_in.grams(),
            moisture: figure(figures.moisture),
            cn: figure(figures.cn),
            bedding_g: figure(figures.bedding_g),
            water_g: figure(figures.water_g),
            grit_g: figure(figures.grit_g),
            findings: of_bag(&judgement.findings)?,
            notes: of_bag(&judgement.notes)?,
        },
        steps: judgement.steps.iter().map(|s| step(s, judgement, home)).collect(),
        cautions: judgement
            .cautions
            .iter()
            .map(|c| CautionJson {
                text: &c.text,
                lines: &c.lines,
                source: book.rule(c.rule).and_then(|r| r.sources().first()).map(String::as_str),
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
