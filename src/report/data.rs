//! The knowledge base as data that others can use: a table (CSV, RFC 4180) and a vocabulary (W3C
//! SKOS in Turtle: concepts with labels by language, broader ones, and database numbers).

use super::json;
use crate::knowledge::{Basis, ItemId, Known, Language};
use serde_json::Value;
use std::fmt::Write;
use std::io;

/// The columns of the table; those of several values hold them parted by `; `.
const COLUMNS: [&str; 25] = [
    "item",
    "kinds",
    "role",
    "usual_part",
    "en",
    "es",
    "de",
    "fr",
    "main",
    "some",
    "trace",
    "includes",
    "weighs_g",
    "water",
    "carbon",
    "nitrogen",
    "fat",
    "salt",
    "sugar",
    "ash",
    "composition_from",
    "composition_of",
    "pace",
    "tends",
    "common_practice",
];

/// A table of all items, or of those given: a header, then a row each. Shares are of the wet mass.
///
/// # Errors
/// What the writer of the table says; it writes to memory.
#[allow(clippy::indexing_slicing, reason = "what a JSON value lacks is null, no panic")]
pub fn table(known: &Known, only: Option<&[ItemId]>) -> io::Result<Vec<u8>> {
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record(COLUMNS)?;
    // The same values as the JSON has, so that the two cannot say different things.
    let all = json::items(known, only);
    for item in all["items"].as_array().into_iter().flatten() {
        let names = |language: &str| {
            let preferred = |n: &Value| language == "en" && n["name"] == item["item"];
            let of = |n: &&Value| n["language"] == language && !preferred(n);
            joined(item["names"].as_array().into_iter().flatten().filter(of).map(|n| text(&n["name"])))
        };
        let list = |value: &Value| joined(value.as_array().into_iter().flatten().map(text));
        let pairs = |value: &Value, name: &str, number: &str| {
            joined(value.as_array().into_iter().flatten().map(|v| format!("{} {}", text(&v[name]), text(&v[number]))))
        };
        let (made, composed) = (&item["ingredients"], &item["composition"]);
        out.write_record([
            text(&item["item"]),
            list(&item["is"]),
            text(&item["role"]),
            text(&item["usual_part"]),
            names("en"),
            names("es"),
            names("de"),
            names("fr"),
            list(&made["main"]),
            list(&made["some"]),
            list(&made["trace"]),
            pairs(&item["includes"], "item", "share"),
            pairs(&item["weighs"], "measure", "grams"),
            text(&composed["water"]),
            text(&composed["carbon"]),
            text(&composed["nitrogen"]),
            text(&composed["fat"]),
            text(&composed["salt"]),
            text(&composed["sugar"]),
            text(&composed["ash"]),
            text(&composed["from"]),
            text(&composed["of"]),
            text(&item["pace"]),
            list(&item["tends"]),
            list(&item["common_practice"]),
        ])?;
    }
    out.into_inner().map_err(|e| io::Error::other(e.to_string()))
}

fn text(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}

fn joined(all: impl Iterator<Item = String>) -> String {
    all.collect::<Vec<_>>().join("; ")
}

/// All kinds, and all items or those given, as SKOS concepts in Turtle.
pub fn turtle(known: &Known, only: Option<&[ItemId]>) -> String {
    let mut out = String::from(
        "@prefix skos: <http://www.w3.org/2004/02/skos/core#> .\n\n\
         <urn:forefeed:scheme> a skos:ConceptScheme ;\n    \
         skos:prefLabel \"What goes into a home worm bin, and what does not\"@en .\n",
    );
    for (_, kind) in known.kinds() {
        let mut concept = Concept::new(&mut out, "kind", &kind.name);
        concept.say("skos:prefLabel", &quoted(&kind.name, "en"));
        if !kind.means.is_empty() {
            concept.say("skos:definition", &quoted(&kind.means, "en"));
        }
        if kind.broader.is_empty() {
            concept.say("skos:topConceptOf", "<urn:forefeed:scheme>");
        }
        for broader in kind.broader.iter().filter_map(|k| known.kind(*k)) {
            concept.say("skos:broader", &iri("kind", &broader.name));
        }
        concept.end();
    }
    for (_, item) in known.items().filter(|(id, _)| only.is_none_or(|o| o.contains(id))) {
        let mut concept = Concept::new(&mut out, "item", &item.name);
        for language in Language::ALL {
            let mut said: Vec<&str> = Vec::new();
            for name in item.names.iter().filter(|n| n.language == language) {
                let label = if said.is_empty() { "skos:prefLabel" } else { "skos:altLabel" };
                if !said.contains(&name.text) {
                    concept.say(label, &quoted(name.text, language.code()));
                    said.push(name.text);
                }
            }
        }
        for kind in item.is.iter().filter_map(|k| known.kind(*k)) {
            concept.say("skos:broader", &iri("kind", &kind.name));
        }
        if let Basis::Database(number) = &item.composition.1 {
            concept.say("skos:notation", &format!("\"{}\"^^<urn:forefeed:sr28>", escaped(number)));
        }
        concept.end();
    }
    out
}

/// A concept being written: what is said of it, a line each.
struct Concept<'a> {
    out: &'a mut String,
}

impl<'a> Concept<'a> {
    fn new(out: &'a mut String, sort: &str, name: &str) -> Concept<'a> {
        let _ = write!(out, "\n{} a skos:Concept ;\n    skos:inScheme <urn:forefeed:scheme>", iri(sort, name));
        Concept { out }
    }

    fn say(&mut self, what: &str, value: &str) {
        let _ = write!(self.out, " ;\n    {what} {value}");
    }

    fn end(self) {
        self.out.push_str(" .\n");
    }
}

/// The identifier of a kind or an item: a name of our own kind, at no host (RFC 8141, RFC 3986).
fn iri(sort: &str, name: &str) -> String {
    let mut out = format!("<urn:forefeed:{sort}:");
    for byte in name.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_') {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out.push('>');
    out
}

fn quoted(text: &str, language: &str) -> String {
    format!("\"{}\"@{language}", escaped(text))
}

/// A string's inside as Turtle wants it (W3C RDF 1.1 Turtle, 6.4).
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out
}
