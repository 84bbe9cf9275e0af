//! Slips made on purpose, and how long reading takes.

use super::table::Share;
use super::{Run, by_name, harmful, named, taken};
use forefeed::bag::{self, Named};
use forefeed::knowledge::{self, Language, Rung};
use std::time::Instant;

impl Run<'_> {
    /// One slip in every English name of five letters or more, four slips a name.
    pub(crate) fn slips(&self) {
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
                    if !by_name(&got) {
                        self.keep("slips", &slip, &got, got.item == Some(id));
                    }
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

    pub(crate) fn speed(&self, lines: &[String]) {
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
