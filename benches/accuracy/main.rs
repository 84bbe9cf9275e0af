//! How well lines are read and names found, measured against labelled CSV files.
//!
//! `cargo bench --bench accuracy -- FOLDER` reads every file of the folder whose name starts with
//! `phrases`, `names`, `scraps`, `synonyms`, `typos` or `confusable` and prints one block a file;
//! with `--wrong` it also lists what was not right, and `--quick` leaves out the slips made on
//! purpose and the timing. Without a folder it runs on the small set
//! below. The columns are `input,name,qty,range_end,unit`, `name,count`,
//! `line,item,part,harmful`, `canonical_en,lang,synonym`, `typo,correct`, `a,b`; others are ignored.
#![allow(clippy::print_stdout, reason = "a measuring program prints its figures")]
#![allow(clippy::indexing_slicing, reason = "a measuring program may stop on a broken file")]

mod curve;
mod labelled;
mod made;
mod table;

use forefeed::Household;
use forefeed::bag::{self, Named};
use forefeed::judge::Setting;
use forefeed::judge::examples::DAY;
use forefeed::knowledge::{self, Found, Identified, Identity, ItemId, Known, Language, Rung};
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::time::Instant;
use std::{env, fs, path::PathBuf};
use table::Table;

/// Kinds that nearly all guidance keeps out of a worm bin.
const HARMFUL: &[&str] = &[
    "animal product",
    "oil or fat",
    "greasy food",
    "pet waste",
    "glossy paper",
    "thermal paper",
    "coated card",
    "plastic",
    "metal",
    "glass",
    "chemical",
    "treated wood",
    "synthetic textile",
    "lint or dust",
    "pet food",
    "salty food",
    "alcohol",
    "fastener",
    "stone",
];

fn named(name: &str) -> Named {
    Named { name: name.to_string(), full: name.to_string(), ..Named::default() }
}

fn taken(identity: &Identity) -> Option<ItemId> {
    identity.item.filter(|_| matches!(identity.identified, Identified::Sure | Identified::Likely))
}

fn by_name(i: &Identity) -> bool {
    i.rung.is_some_and(|r| r <= Rung::Normalised)
}

fn read(line: &str, known: &Known, language: Option<Language>) -> Vec<Found> {
    knowledge::find(&bag::read(line, known), known, language)
}

fn harmful(known: &Known, item: ItemId) -> bool {
    known.kinds_of(item).iter().any(|k| known.kind(*k).is_some_and(|k| HARMFUL.contains(&k.name.as_str())))
        || known
            .item(item)
            .is_some_and(|i| i.made_of.main.iter().chain(&i.made_of.some).any(|m| *m != item && harmful(known, *m)))
}

struct Run<'a> {
    home: &'a Household,
    known: &'a Known,
    wrong: bool,
    taken: RefCell<Vec<curve::Taken>>,
}

impl Run<'_> {
    fn say(&self, what: &str, text: &str) {
        if self.wrong {
            println!("    {what}: {text}");
        }
    }

    fn item(&self, id: Option<ItemId>) -> &str {
        id.map_or("-", |i| self.known.item_name(i))
    }

    /// Keeps one identification for the curve; those by name stand apart, since they are no guess.
    fn keep(&self, from: &'static str, text: &str, i: &Identity, right: bool) {
        let Some(rung) = i.rung else { return };
        self.taken.borrow_mut().push(curve::Taken {
            from,
            rung,
            confidence: i.confidence,
            right,
            half: text.bytes().fold(7u32, |h, b| h.wrapping_mul(31) ^ u32::from(b)) >> 3 & 1 == 0,
        });
        if self.wrong {
            println!(
                "    row\t{from}\t{}\t{}\t{:.3}\t{}\t{text}\t{}",
                rung.word(),
                i.identified.word(),
                i.confidence,
                u8::from(right),
                self.item(i.item)
            );
        }
    }
}

const SMALL: &[(&str, &str)] = &[
    (
        "scraps",
        "line,item,part,harmful\n3 banana peels,banana,peel,no\nsome coffee grounds and tea bags,coffee,grounds,no\nsome coffee grounds and tea bags,tea bag,,no\negg shells (crushed),egg,shell,no\nmouldy bread,bread,,no\nold cheese,cheese,,yes\n",
    ),
    (
        "phrases",
        "input,name,qty,range_end,unit\n1 1/2 cups chopped onions,onions,1.5,0,cup\n2 tablespoons olive oil,olive oil,2,0,tablespoon\n500 g carrots,carrots,500,0,gram\n",
    ),
    ("names", "name,count\nunsalted butter,7\nextra virgin olive oil,5\nyoghurt,2\n"),
    ("typos", include_str!("../../tests/misspellings.csv")),
    ("confusable", "a,b\ncustard,mustard\nmalt,salt\n"),
    ("synonyms", "canonical_en,lang,synonym\npotato,fr,pommes de terre\ntomato,de,Tomaten\nbanana,es,plátanos\n"),
];

fn main() {
    let (mut wrong, mut quick) = (false, false);
    let mut folder: Option<PathBuf> = None;
    for a in env::args().skip(1) {
        match a.as_str() {
            "--wrong" => wrong = true,
            "--quick" => quick = true,
            "--bench" => {}
            other => folder = Some(PathBuf::from(other)),
        }
    }
    let start = Instant::now();
    let Ok((home, _)) = forefeed::open(&[], Setting::on(DAY)) else { return };
    let known = &home.known;
    println!("{} items, base built in {:.0} ms", known.items().count(), start.elapsed().as_secs_f64() * 1e3);
    let run = Run { home: &home, known, wrong, taken: RefCell::default() };
    let mut files: Vec<(String, String)> = Vec::new();
    match folder {
        Some(folder) => {
            let mut paths: Vec<PathBuf> =
                fs::read_dir(&folder).into_iter().flatten().filter_map(|e| e.ok().map(|e| e.path())).collect();
            paths.sort();
            for p in paths.iter().filter(|p| p.extension().is_some_and(|e| e == "csv")) {
                files.push((
                    p.file_stem().unwrap_or_default().to_string_lossy().into_owned(),
                    fs::read_to_string(p).unwrap_or_default(),
                ));
            }
        }
        None => files.extend(SMALL.iter().map(|(n, t)| ((*n).to_string(), (*t).to_string()))),
    }
    let mut lines: BTreeSet<String> = BTreeSet::new();
    for (name, text) in &files {
        let t = Table::parse(text);
        println!("{name}");
        match name.split(['_', '-', '.']).next().unwrap_or("") {
            "phrases" => {
                run.phrases(&t);
                lines.extend(t.rows.iter().map(|r| t.get(r, "input").to_string()));
            }
            "scraps" => {
                run.scraps(&t);
                lines.extend(t.rows.iter().map(|r| t.get(r, "line").to_string()));
            }
            "names" => run.names(&t),
            "synonyms" => run.synonyms(&t),
            "typos" => {
                run.typos(&t);
                let typos: Vec<String> = t.rows.iter().map(|r| t.get(r, "typo").to_string()).collect();
                if !quick {
                    run.speed(&typos);
                }
            }
            "confusable" => run.confusable(&t),
            _ => println!("  not a file I know"),
        }
    }
    if !quick {
        run.slips();
    }
    run.curve();
    if !quick {
        run.speed(&lines.into_iter().collect::<Vec<_>>());
    }
}
