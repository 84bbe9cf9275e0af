//! The open data is what it says: the Turtle is read back by an independent reader (oxttl) and the
//! table by the csv crate, and both held against the knowledge base.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test may stop")]

use forefeed::knowledge::{Basis, Known, Language};
use forefeed::report::data;
use oxrdf::{NamedOrBlankNode, Term, Triple};
use oxttl::TurtleParser;
use std::collections::{BTreeMap, BTreeSet};

const SKOS: &str = "http://www.w3.org/2004/02/skos/core#";

fn known() -> Known {
    Known::base().0
}

fn triples(text: &str) -> Vec<Triple> {
    TurtleParser::new().for_slice(text.as_bytes()).map(|t| t.unwrap()).collect()
}

fn subject(t: &Triple) -> String {
    match &t.subject {
        NamedOrBlankNode::NamedNode(n) => n.as_str().to_string(),
        NamedOrBlankNode::BlankNode(b) => panic!("a blank node: {b}"),
    }
}

/// The values of a property by subject, with the language or datatype of a literal.
fn values(all: &[Triple], property: &str) -> BTreeMap<String, Vec<(String, String)>> {
    let mut out: BTreeMap<String, Vec<(String, String)>> = BTreeMap::new();
    for t in all.iter().filter(|t| t.predicate.as_str() == format!("{SKOS}{property}")) {
        let value = match &t.object {
            Term::Literal(l) => (l.value().to_string(), l.language().unwrap_or(l.datatype().as_str()).to_string()),
            Term::NamedNode(n) => (n.as_str().to_string(), String::new()),
            other => panic!("{other}"),
        };
        out.entry(subject(t)).or_default().push(value);
    }
    out
}

/// What an identifier names: `item` or `kind`, and its name.
fn named(iri: &str) -> (String, String) {
    let (sort, name) = iri.strip_prefix("urn:forefeed:").unwrap().split_once(':').unwrap();
    let mut bytes = Vec::new();
    let mut rest = name.as_bytes();
    while let Some((first, after)) = rest.split_first() {
        if *first == b'%' {
            let (code, after) = after.split_at(2);
            bytes.push(u8::from_str_radix(std::str::from_utf8(code).unwrap(), 16).unwrap());
            rest = after;
        } else {
            bytes.push(*first);
            rest = after;
        }
    }
    (sort.to_string(), String::from_utf8(bytes).unwrap())
}

#[test]
fn every_kind_and_item_is_a_concept_with_its_labels() {
    let known = known();
    let all = triples(&data::turtle(&known, None));
    let (preferred, others) = (values(&all, "prefLabel"), values(&all, "altLabel"));
    let concepts: BTreeSet<(String, String)> =
        preferred.keys().filter(|s| *s != "urn:forefeed:scheme").map(|s| named(s)).collect();
    assert_eq!(concepts.len(), known.items().count() + known.kinds().count());
    for (iri, labels) in &preferred {
        let languages: BTreeSet<&String> = labels.iter().map(|l| &l.1).collect();
        assert_eq!(languages.len(), labels.len(), "{iri} has two preferred labels in a language");
    }
    for (_, item) in known.items() {
        let iri = preferred.keys().find(|s| named_is(s, "item", &item.name)).unwrap();
        for language in Language::ALL {
            let names: Vec<&str> = item.names.iter().filter(|n| n.language == language).map(|n| n.text).collect();
            let of = |map: &BTreeMap<String, Vec<(String, String)>>| -> Vec<String> {
                let all = map.get(iri).into_iter().flatten();
                all.filter(|(_, l)| l == language.code()).map(|(text, _)| text.clone()).collect()
            };
            let mut labels = of(&preferred);
            labels.extend(of(&others));
            let written: BTreeSet<&str> = names.iter().copied().collect();
            assert_eq!(labels.iter().map(String::as_str).collect::<BTreeSet<_>>(), written, "{}", item.name);
            assert_eq!(labels.first().map(String::as_str), names.first().copied(), "{}", item.name);
        }
    }
    let definitions = values(&all, "definition");
    for (_, kind) in known.kinds().filter(|(_, k)| !k.means.is_empty()) {
        let iri = definitions.keys().find(|s| named_is(s, "kind", &kind.name)).unwrap();
        assert_eq!(definitions[iri], [(kind.means.clone(), "en".to_string())]);
    }
}

fn named_is(iri: &str, sort: &str, name: &str) -> bool {
    iri != "urn:forefeed:scheme" && named(iri) == (sort.to_string(), name.to_string())
}

#[test]
fn every_broader_concept_exists_and_nothing_is_broader_than_itself() {
    let known = known();
    let all = triples(&data::turtle(&known, None));
    let (broader, preferred) = (values(&all, "broader"), values(&all, "prefLabel"));
    for (iri, above) in &broader {
        let (sort, name) = named(iri);
        let wanted: BTreeSet<&str> = if sort == "kind" {
            let kind = known.kind(known.kind_named(&name).unwrap()).unwrap();
            kind.broader.iter().map(|k| known.kind(*k).unwrap().name.as_str()).collect()
        } else {
            let item = known.item(known.item_named(&name).unwrap()).unwrap();
            item.is.iter().map(|k| known.kind(*k).unwrap().name.as_str()).collect()
        };
        let got: Vec<(String, String)> = above.iter().map(|(iri, _)| named(iri)).collect();
        assert_eq!(got.iter().map(|(_, n)| n.as_str()).collect::<BTreeSet<_>>(), wanted, "{iri}");
        let (mut open, mut seen) = (vec![iri.clone()], BTreeSet::new());
        while let Some(at) = open.pop() {
            assert!(preferred.contains_key(&at), "{at} is broader than {iri} and is no concept");
            for (up, _) in broader.get(&at).into_iter().flatten() {
                assert_ne!(up, iri, "{iri} is broader than itself");
                if seen.insert(up.clone()) {
                    open.push(up.clone());
                }
            }
        }
    }
    let tops = values(&all, "topConceptOf");
    let rooted = preferred.keys().filter(|s| *s != "urn:forefeed:scheme");
    rooted.for_each(|s| assert!(broader.contains_key(s) || tops.contains_key(s), "{s} hangs nowhere"));
}

#[test]
fn the_notation_is_the_databases_number() {
    let known = known();
    let notations = values(&triples(&data::turtle(&known, None)), "notation");
    let mut count = 0;
    for (_, item) in known.items() {
        let Basis::Database(number) = &item.composition.1 else { continue };
        let iri = notations.keys().find(|s| named_is(s, "item", &item.name)).unwrap();
        assert_eq!(notations[iri], [(number.clone(), "urn:forefeed:sr28".to_string())], "{}", item.name);
        count += 1;
    }
    assert_eq!(count, notations.len());
    assert!(count > 300, "only {count}");
}

#[test]
fn the_table_has_a_row_an_item() {
    let known = known();
    let table = data::table(&known, None).unwrap();
    let mut reader = csv::Reader::from_reader(table.as_slice());
    let header = reader.headers().unwrap().clone();
    let at = |name: &str| header.iter().position(|h| h == name).unwrap();
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.unwrap()).collect();
    assert_eq!(rows.len(), known.items().count());
    for ((_, item), row) in known.items().zip(&rows) {
        assert_eq!(&row[at("item")], item.name);
        let water: f64 = row[at("water")].parse().unwrap();
        assert!((water - item.composition.0.water).abs() < 1e-12, "{}", item.name);
        let french = item.names.iter().filter(|n| n.language == Language::Fr).map(|n| n.text).collect::<Vec<_>>();
        assert_eq!(row[at("fr")], french.join("; "), "{}", item.name);
        let kinds = item.is.iter().map(|k| known.kind(*k).unwrap().name.as_str()).collect::<Vec<_>>();
        assert_eq!(row[at("kinds")], kinds.join("; "));
    }
}

#[test]
fn what_is_asked_for_is_what_is_given() {
    let known = known();
    let banana = known.item_named("banana").unwrap();
    let all = triples(&data::turtle(&known, Some(&[banana])));
    let items = values(&all, "prefLabel").into_keys().filter(|s| s.starts_with("urn:forefeed:item:")).count();
    assert_eq!(items, 1);
    assert_eq!(csv::Reader::from_reader(data::table(&known, Some(&[banana])).unwrap().as_slice()).records().count(), 1);
}
