//! What each sort of labelled file measures.

use super::table::{Share, Table, same_unit};
use super::{Run, by_name, harmful, named, read, taken};
use forefeed::bag::{PartId, Said};
use forefeed::judge::{Judge, Verdict};
use forefeed::knowledge::{self, ItemId, Language, Rung};
use std::collections::{BTreeMap, BTreeSet};

impl Run<'_> {
    pub(crate) fn phrases(&self, t: &Table) {
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
            let got: Vec<ItemId> = found.iter().flat_map(|f| f.identities.iter()).filter_map(|i| taken(i)).collect();
            known_name += f64::from(u8::from(!got.is_empty()));
            let right = want.is_some_and(|w| got.contains(&w));
            for i in found.iter().take(1).flat_map(|f| &f.identities) {
                self.keep("phrases", input, i, i.item.is_some() && i.item == want);
            }
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

    pub(crate) fn names(&self, t: &Table) {
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

    pub(crate) fn scraps(&self, t: &Table) {
        let mut lines: BTreeMap<&str, Vec<&Vec<String>>> = BTreeMap::new();
        for row in &t.rows {
            lines.entry(t.get(row, "line")).or_default().push(row);
        }
        let (mut identified, mut other, mut things, mut things_found) = (0.0, 0.0, 0.0, 0.0);
        let (mut hidden, mut harmful_things, mut fed) = (0.0, 0.0, 0.0);
        let (mut several, mut several_found) = (0.0, 0.0);
        for (line, rows) in &lines {
            let found = read(line, self.known, None);
            let got: BTreeSet<ItemId> = found
                .iter()
                .flat_map(|f| f.identities.iter().filter_map(|i| taken(i)).chain(f.additions.iter().copied()))
                .collect();
            let heads: BTreeSet<ItemId> =
                found.iter().flat_map(|f| f.identities.iter().filter_map(|i| taken(i))).collect();
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
                if rows.len() > 1 {
                    several += 1.0;
                    several_found += f64::from(u8::from(hit));
                }
                if !hit {
                    let shown: Vec<&str> = got.iter().map(|g| self.known.item_name(*g)).collect();
                    self.say(
                        "thing",
                        &format!("{line} | {item} {part} = {} | {}", self.item(want.item), shown.join(", ")),
                    );
                }
                if t.get(row, "harmful") == "yes" {
                    harmful_things += 1.0;
                    if self.fed(line) {
                        fed += 1.0;
                        self.say("FED", &format!("{line} | {item}"));
                    }
                    if !asked && !got.iter().any(|g| harmful(self.known, *g)) {
                        hidden += 1.0;
                        self.say("HIDDEN", &format!("{line} | {item}"));
                    }
                }
            }
            for i in found.iter().flat_map(|f| &f.identities) {
                self.keep("scraps", line, i, i.item.is_some_and(|g| wanted.contains(&g)));
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
        println!("  of several on a line  {}", Share(several_found, several));
        println!("  harmful, not seen     {}", Share(hidden, harmful_things));
        println!("  harmful, judged feed  {}", Share(fed, harmful_things));
    }

    /// Whether everything on a line is judged to be fed as it is.
    fn fed(&self, line: &str) -> bool {
        let judge = Judge::new(&self.home.known, &self.home.book, &self.home.setting);
        let bag = forefeed::bag::read(line, self.known);
        let scraps = knowledge::weigh(knowledge::find(&bag, self.known, None), self.known);
        judge.conclude_plain(bag, scraps).judged.iter().all(|s| s.verdict == Verdict::Feed)
    }

    pub(crate) fn synonyms(&self, t: &Table) {
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
            let from = if code == "en" { "regional" } else { "abroad" };
            self.keep(from, synonym, &asked, asked.item == want.item);
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

    pub(crate) fn typos(&self, t: &Table) {
        let mut by: BTreeMap<usize, [f64; 5]> = BTreeMap::new();
        for row in &t.rows {
            let (typo, correct) = (t.get(row, "typo"), t.get(row, "correct"));
            let want = knowledge::identify(&named(correct), self.known);
            let edits = strsim::osa_distance(typo, correct).min(4);
            let e = by.entry(edits).or_default();
            e[0] += 1.0;
            let spoken = self.spoken(correct);
            if !by_name(&want) && spoken.is_some() {
                let got = self.spoken(typo);
                e[if got == spoken { 1 } else { 3 }] += 1.0;
                if got != spoken {
                    self.say("not sure", &format!("{typo} | {correct} | a state or part"));
                }
                continue;
            }
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
            self.keep("typos", typo, &got, got.item == want.item);
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

    /// What a word says if it is a state or a part ("frozen") and names nothing.
    fn spoken(&self, word: &str) -> Option<(Option<PartId>, Said)> {
        let found = read(word, self.known, None);
        let i = found.first()?.identities.first()?;
        let says = i.part.is_some() || i.said != Said::default();
        (says && !by_name(i)).then_some((i.part, i.said))
    }

    pub(crate) fn confusable(&self, t: &Table) {
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
}
