//! How well lines are read and names found, measured against labelled CSV files.
//!
//! `cargo bench --bench accuracy -- FOLDER` reads every file of the folder whose name starts with
//! `phrases`, `names`, `scraps`, `synonyms`, `typos` or `confusable` and prints one block a file;
//! with `--wrong` it also lists what was not right. Without a folder it runs on the small set
//! below. The columns are `input,name,qty,range_end,unit`, `name,count`,
//! `line,item,part,harmful`, `canonical_en,lang,synonym`, `typo,correct`, `a,b`; others are ignored.
#![allow(clippy::print_stdout, reason = "a measuring program prints its figures")]
#![allow(clippy::indexing_slicing, reason = "a measuring program may stop on a broken file")]

use forefeed::bag::{self, Named};
use forefeed::knowledge::{self, Found, Identified, Identity, ItemId, Known, Language, Rung};
use std::collections::{BTreeMap, BTreeSet};
use std::time::Instant;
use std::{env, fs, path::PathBuf};

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

struct Table {
    head: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// Reads RFC 4180 text with a header line.
    fn parse(text: &str) -> Table {
        let (mut rows, mut row, mut cell, mut quoted) = (Vec::new(), Vec::new(), String::new(), false);
        let mut chars = text.chars().peekable();
        while let Some(c) = chars.next() {
            match c {
                '"' if quoted && chars.peek() == Some(&'"') => {
                    chars.next();
                    cell.push('"');
                }
                '"' => quoted = !quoted,
                ',' if !quoted => row.push(std::mem::take(&mut cell)),
                '\n' if !quoted => {
                    row.push(std::mem::take(&mut cell));
                    rows.push(std::mem::take(&mut row));
                }
                '\r' if !quoted => {}
                c => cell.push(c),
            }
        }
        if !cell.is_empty() || !row.is_empty() {
            row.push(cell);
            rows.push(row);
        }
        let head = if rows.is_empty() { Vec::new() } else { rows.remove(0) };
        rows.retain(|r: &Vec<String>| r.len() == head.len());
        Table { head, rows }
    }

    fn get<'a>(&self, row: &'a [String], column: &str) -> &'a str {
        self.head.iter().position(|h| h == column).and_then(|i| row.get(i)).map_or("", String::as_str)
    }
}

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

struct Share(f64, f64);

impl std::fmt::Display for Share {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:5.1} % ({} of {})", 100.0 * self.0 / self.1.max(1.0), self.0, self.1)
    }
}

struct Run<'a> {
    known: &'a Known,
    wrong: bool,
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

    fn phrases(&self, t: &Table) {
        let (mut amount, mut unit, mut name, mut known_name, mut n) = (0.0, 0.0, 0.0, 0.0, 0.0);
        let (mut labelled, mut units) = (0.0, 0.0);
        for row in &t.rows {
            let (input, label) = (t.get(row, "input"), t.get(row, "name"));
            n += 1.0;
            let found = read(input, self.known, None);
            let first = found.first();
            let qty: f64 = t.get(row, "qty").parse().unwrap_or(0.0);
            let end: f64 = t.get(row, "range_end").parse().unwrap_or(0.0);
            if qty > 0.0 {
                labelled += 1.0;
                let read = first.and_then(|f| f.thing.amount);
                let near = |a: f64, b: f64| (a - b).abs() < 0.011;
                let each = first.and_then(|f| f.thing.each).map(|e| e.amount);
                let right = read.is_some_and(|a| {
                    near(a.low, qty)
                        || a.high.is_some_and(|h| near(h, qty) || near(h, end))
                        || each.is_some_and(|e| near(e, qty))
                });
                amount += f64::from(u8::from(right));
                if !right {
                    self.say("amount", &format!("{input} | {qty} | {:?}", read.map(|a| a.low)));
                }
            }
            let wanted = t.get(row, "unit");
            if !wanted.is_empty() {
                units += 1.0;
                let read = first.and_then(|f| f.thing.unit).map_or("", |u| u.name);
                let right = same_unit(read, wanted);
                unit += f64::from(u8::from(right));
                if !right {
                    self.say("unit", &format!("{input} | {wanted} | {read}"));
                }
            }
            let want = knowledge::identify(&named(label), self.known).item;
            let got: Vec<ItemId> = found.iter().flat_map(|f| f.identities.iter()).filter_map(taken).collect();
            known_name += f64::from(u8::from(!got.is_empty()));
            let right = want.is_some_and(|w| got.contains(&w));
            name += f64::from(u8::from(right));
            if !right {
                self.say(
                    "name",
                    &format!(
                        "{input} | {label} = {} | {}",
                        self.item(want),
                        got.iter().map(|g| self.known.item_name(*g)).collect::<Vec<_>>().join(", ")
                    ),
                );
            }
        }
        println!("  amount right          {}", Share(amount, labelled));
        println!("  unit right            {}", Share(unit, units));
        println!("  an item found         {}", Share(known_name, n));
        println!("  the label's item      {}", Share(name, n));
    }

    fn names(&self, t: &Table) {
        let (mut distinct, mut weight, mut all) = (0.0, 0.0, 0.0);
        let mut rungs: BTreeMap<&str, usize> = BTreeMap::new();
        for row in &t.rows {
            let count: f64 = t.get(row, "count").parse().unwrap_or(1.0);
            let name = t.get(row, "name");
            let i = knowledge::identify(&named(name), self.known);
            all += count;
            *rungs.entry(i.rung.map_or("none", Rung::word)).or_default() += 1;
            if taken(&i).is_some() {
                distinct += 1.0;
                weight += count;
            }
            if !by_name(&i) {
                self.say(
                    "name",
                    &format!(
                        "{name} ({count}) | {} | {} | {}",
                        self.item(i.item),
                        i.rung.map_or("none", Rung::word),
                        i.identified.word()
                    ),
                );
            }
        }
        println!("  identified, by count  {}", Share(weight, all));
        println!("  identified, distinct  {}", Share(distinct, t.rows.len() as f64));
        println!("  rungs                 {rungs:?}");
    }

    fn scraps(&self, t: &Table) {
        let mut lines: BTreeMap<&str, Vec<&Vec<String>>> = BTreeMap::new();
        for row in &t.rows {
            lines.entry(t.get(row, "line")).or_default().push(row);
        }
        let (mut identified, mut other, mut things, mut things_found, mut hidden, mut harmful_things) =
            (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        for (line, rows) in &lines {
            let found = read(line, self.known, None);
            let got: BTreeSet<ItemId> = found
                .iter()
                .flat_map(|f| f.identities.iter().filter_map(taken).chain(f.additions.iter().copied()))
                .collect();
            let heads: BTreeSet<ItemId> = found.iter().flat_map(|f| f.identities.iter().filter_map(taken)).collect();
            let asked = found.is_empty() || found.iter().any(|f| f.identities.iter().any(|i| taken(i).is_none()));
            if !heads.is_empty() {
                identified += 1.0;
            }
            let mut wanted: BTreeSet<ItemId> = BTreeSet::new();
            for row in rows {
                let (item, part) = (t.get(row, "item"), t.get(row, "part"));
                let mut n = named(item);
                if !part.is_empty() {
                    n.part = self.known.vocabulary().part(part);
                    n.full = format!("{item} {part}");
                }
                let want = knowledge::identify(&n, self.known);
                let bare = knowledge::identify(&named(item), self.known);
                things += 1.0;
                let hit = [want.item, bare.item].into_iter().flatten().any(|w| {
                    wanted.insert(w);
                    got.contains(&w)
                });
                things_found += f64::from(u8::from(hit));
                if !hit {
                    let shown: Vec<&str> = got.iter().map(|g| self.known.item_name(*g)).collect();
                    self.say(
                        "thing",
                        &format!("{line} | {item} {part} = {} | {}", self.item(want.item), shown.join(", ")),
                    );
                }
                if t.get(row, "harmful") == "yes" {
                    harmful_things += 1.0;
                    if !asked && !got.iter().any(|g| harmful(self.known, *g)) {
                        hidden += 1.0;
                        self.say("HIDDEN", &format!("{line} | {item}"));
                    }
                }
            }
            // A line counts as another thing if nothing it names is what some label says.
            if !heads.is_empty() && !heads.iter().any(|h| wanted.contains(h)) {
                other += 1.0;
                let shown: Vec<&str> = heads.iter().map(|g| self.known.item_name(*g)).collect();
                self.say(
                    "other",
                    &format!(
                        "{line} | {} | {}",
                        shown.join(", "),
                        wanted.iter().map(|w| self.known.item_name(*w)).collect::<Vec<_>>().join(", ")
                    ),
                );
            }
        }
        let n = lines.len() as f64;
        println!("  lines identified      {}", Share(identified, n));
        println!("  as another thing      {}", Share(other, n));
        println!("  things found          {}", Share(things_found, things));
        println!("  harmful, not seen     {}", Share(hidden, harmful_things));
    }

    fn synonyms(&self, t: &Table) {
        let mut by: BTreeMap<&str, (f64, f64, f64, f64)> = BTreeMap::new();
        for row in &t.rows {
            let (food, code, synonym) = (t.get(row, "canonical_en"), t.get(row, "lang"), t.get(row, "synonym"));
            let language = match code {
                "es" => Language::Es,
                "de" => Language::De,
                "fr" => Language::Fr,
                _ => Language::En,
            };
            let want = knowledge::identify(&named(food), self.known);
            let e = by.entry(code).or_default();
            if !by_name(&want) {
                self.say("food", food);
                continue;
            }
            e.0 += 1.0;
            let plain = knowledge::identify(&named(synonym), self.known);
            let asked = knowledge::identify_in(&named(synonym), self.known, language);
            e.1 += f64::from(u8::from(taken(&plain) == want.item));
            e.2 += f64::from(u8::from(taken(&asked) == want.item));
            if taken(&asked).is_some() && taken(&asked) != want.item {
                e.3 += 1.0;
                self.say(
                    "other",
                    &format!(
                        "{code} {synonym} | {food} | {} {}",
                        self.item(asked.item),
                        asked.rung.map_or("none", Rung::word)
                    ),
                );
            } else if taken(&asked).is_none() {
                self.say("unknown", &format!("{code} {synonym} | {food}"));
            }
        }
        for (code, (n, plain, asked, other)) in by {
            println!(
                "  {code}: right {} | with --language {} | as another thing {}",
                Share(plain, n),
                Share(asked, n),
                Share(other, n)
            );
        }
    }

    fn typos(&self, t: &Table) {
        let mut by: BTreeMap<usize, [f64; 5]> = BTreeMap::new();
        for row in &t.rows {
            let (typo, correct) = (t.get(row, "typo"), t.get(row, "correct"));
            let want = knowledge::identify(&named(correct), self.known);
            let edits = strsim::osa_distance(typo, correct).min(4);
            let e = by.entry(edits).or_default();
            e[0] += 1.0;
            if !by_name(&want) {
                e[4] += 1.0;
                let got = knowledge::identify(&named(typo), self.known);
                self.say(
                    "not known",
                    &format!("{correct} ({typo}: {} {})", self.item(got.item), got.identified.word()),
                );
                continue;
            }
            let got = knowledge::identify(&named(typo), self.known);
            if taken(&got) == want.item {
                e[1] += 1.0;
            } else if taken(&got).is_some() {
                e[2] += 1.0;
                self.say("WRONG", &format!("{typo} | {correct} | {} {:.2}", self.item(got.item), got.confidence));
            } else {
                e[3] += 1.0;
                self.say(
                    "not sure",
                    &format!("{typo} | {correct} | {} | {}", self.item(got.item), got.identified.word()),
                );
            }
        }
        let mut sum = [0.0; 5];
        for (edits, e) in &by {
            for (s, v) in sum.iter_mut().zip(e) {
                *s += v;
            }
            println!(
                "  {edits} edits: right {} | wrong {} | not sure {} | right name unknown {}",
                Share(e[1], e[0] - e[4]),
                e[2],
                e[3],
                e[4]
            );
        }
        let known = sum[0] - sum[4];
        println!(
            "  all: right {} | wrong {} | right names known {}",
            Share(sum[1], known),
            Share(sum[2], known),
            Share(known, sum[0])
        );
    }

    fn confusable(&self, t: &Table) {
        let (mut confused, mut unknown) = (0.0, 0.0);
        for row in &t.rows {
            let (a, b) = (
                knowledge::identify(&named(t.get(row, "a")), self.known),
                knowledge::identify(&named(t.get(row, "b")), self.known),
            );
            if taken(&a).is_some() && taken(&a) == taken(&b) {
                confused += 1.0;
                self.say("CONFUSED", &format!("{} {}: {}", t.get(row, "a"), t.get(row, "b"), self.item(a.item)));
            }
            for i in [&a, &b] {
                if !by_name(i) {
                    unknown += 0.5;
                    self.say("not a name", &format!("{}: {} {}", i.name, self.item(i.item), i.identified.word()));
                }
            }
        }
        println!("  taken for the other   {}", Share(confused, t.rows.len() as f64));
        println!("  unknown               {}", Share(unknown, t.rows.len() as f64));
    }

    /// One slip in every English name of five letters or more, four slips a name.
    fn slips(&self) {
        let mut seed = 0x9e37_79b9_7f4a_7c15_u64;
        let mut next = move |n: usize| {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            usize::try_from(seed % (n.max(1) as u64)).unwrap_or(0)
        };
        let (mut n, mut right, mut wrong, mut unsure, mut hidden) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for (id, item) in self.known.items() {
            for name in
                item.names.iter().filter(|n| n.language == Language::En && n.text.is_ascii() && n.text.len() >= 5)
            {
                if knowledge::identify(&named(name.text), self.known).item != Some(id) {
                    continue;
                }
                for kind in 0..4 {
                    let mut s: Vec<u8> = name.text.bytes().collect();
                    let at = next(s.len() - 1);
                    match kind {
                        0 => drop(s.remove(at)),
                        1 => s.swap(at, at + 1),
                        2 => s[at] = b'a' + u8::try_from(next(26)).unwrap_or(0),
                        _ => s.insert(at, b'a' + u8::try_from(next(26)).unwrap_or(0)),
                    }
                    let Ok(slip) = String::from_utf8(s) else { continue };
                    let got = knowledge::identify(&named(&slip), self.known);
                    n += 1.0;
                    if taken(&got) == Some(id) {
                        right += 1.0;
                    } else if taken(&got).is_some() {
                        if by_name(&got) {
                            // It spells another name: nobody could tell.
                            n -= 1.0;
                            continue;
                        }
                        wrong += 1.0;
                        self.say(
                            "WRONG slip",
                            &format!(
                                "{slip} | {} ({}) | {} {}",
                                name.text,
                                item.name,
                                self.item(got.item),
                                got.rung.map_or("", Rung::word)
                            ),
                        );
                        let reached =
                            got.alternatives.iter().any(|a| a.within_reach && a.item == id) || got.item == Some(id);
                        if harmful(self.known, id) && !reached {
                            hidden += 1.0;
                            self.say("HIDDEN slip", &format!("{slip} | {} | {}", name.text, self.item(got.item)));
                        }
                    } else {
                        unsure += 1.0;
                        self.say(
                            "unsure slip",
                            &format!("{slip} | {} | {} {}", name.text, self.item(got.item), got.identified.word()),
                        );
                    }
                }
            }
        }
        println!("one slip in a name of five letters or more");
        println!("  the same item         {}", Share(right, n));
        println!("  another item          {}", Share(wrong, n));
        println!("  asked about           {}", Share(unsure, n));
        println!("  harmful, out of reach {}", Share(hidden, n));
    }

    fn speed(&self, lines: &[String]) {
        if lines.is_empty() {
            return;
        }
        let names: Vec<Named> = lines.iter().map(|l| named(l)).collect();
        let bags: Vec<bag::Bag> = lines.iter().map(|l| bag::read(l, self.known)).collect();
        let rounds = (200_000 / lines.len()).max(1);
        let time = |f: &mut dyn FnMut() -> usize| {
            let mut sum = f();
            let start = Instant::now();
            for _ in 0..rounds {
                sum += f();
            }
            (start.elapsed().as_secs_f64() * 1e6 / (rounds * lines.len()) as f64, sum)
        };
        let reading = time(&mut || lines.iter().map(|l| bag::read(l, self.known).lines.len()).sum()).0;
        let finding = time(&mut || bags.iter().map(|b| knowledge::find(b, self.known, None).len()).sum()).0;
        println!("speed over {} distinct lines: {reading:.2} us a line to read, {finding:.2} us to find", lines.len());
        let mut each: Vec<f64> = names
            .iter()
            .map(|n| {
                knowledge::identify(n, self.known);
                let start = Instant::now();
                std::hint::black_box(knowledge::identify(n, self.known));
                start.elapsed().as_secs_f64() * 1e6
            })
            .collect();
        each.sort_by(f64::total_cmp);
        println!(
            "  one name: median {:.2} us, 99th of 100 {:.2} us",
            each[each.len() / 2],
            each[each.len() * 99 / 100]
        );
    }
}

fn same_unit(read: &str, label: &str) -> bool {
    let short = match label.to_lowercase().trim_end_matches('s') {
        "tablespoon" => "tbsp",
        "teaspoon" => "tsp",
        "ounce" => "oz",
        "pound" => "lb",
        "gram" => "g",
        "kilogram" => "kg",
        "milliliter" | "millilitre" => "ml",
        "liter" | "litre" => "l",
        "pint" => "pt",
        "quart" => "qt",
        "gallon" => "gal",
        "fluid ounce" => "fl_oz",
        "leave" => "leaf",
        "loave" => "loaf",
        _ => "",
    };
    let label = label.to_lowercase();
    read == short || read == label || read == label.trim_end_matches('s') || read == label.trim_end_matches("es")
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
    ("typos", "typo,correct\nbananna,banana\nbrocolli,broccoli\ntomatoe,tomato\npotaotes,potatoes\n"),
    ("confusable", "a,b\ncustard,mustard\nmalt,salt\n"),
    ("synonyms", "canonical_en,lang,synonym\npotato,fr,pommes de terre\ntomato,de,Tomaten\nbanana,es,plátanos\n"),
];

fn main() {
    let mut wrong = false;
    let mut folder: Option<PathBuf> = None;
    for a in env::args().skip(1) {
        match a.as_str() {
            "--wrong" => wrong = true,
            "--bench" => {}
            other => folder = Some(PathBuf::from(other)),
        }
    }
    let start = Instant::now();
    let (known, _faults, _sources) = Known::base();
    println!("{} items, base built in {:.0} ms", known.items().count(), start.elapsed().as_secs_f64() * 1e3);
    let run = Run { known: &known, wrong };
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
                run.speed(&typos);
            }
            "confusable" => run.confusable(&t),
            _ => println!("  not a file I know"),
        }
    }
    run.slips();
    run.speed(&lines.into_iter().collect::<Vec<_>>());
}
