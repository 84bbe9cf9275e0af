//! The household's own items, as entries for the knowledge base.

use super::conditions::unknown_state;
use super::subjects::{names_it, unknown_name};
use crate::fault::{Fault, Faults, nearest};
use crate::knowledge::Known;
use crate::knowledge::entries::{Entries, ItemEntry};
use crate::language::syntax::{At, Block, ItemClause, Phrase, Written};
use std::collections::HashMap;

/// The household's kinds and items, to be added to what is known.
pub fn own_things(written: &Written, known: &Known, faults: &mut Faults) -> Entries {
    let mut entries = Entries::default();
    let own = own_names(written);
    for file in &written.files {
        for block in &file.blocks {
            let Block::Item(item) = block else { continue };
            let mut e =
                ItemEntry { item: item.name.value.clone(), place: Some(item.name.span), ..ItemEntry::default() };
            for clause in &item.clauses {
                own_clause(&mut e, clause, &own, known, faults);
            }
            if names_it(&e.item, known).is_some() {
                faults.push(
                    Fault::error("hides-built-in", format!("`{}` is known already", e.item), item.name.span)
                        .help("give it a name of its own"),
                );
                continue;
            }
            entries.items.push(e);
        }
    }
    entries
}

/// The household's own items by every name it gives them, in lower case.
fn own_names(written: &Written) -> HashMap<String, String> {
    let mut out = HashMap::new();
    for block in written.files.iter().flat_map(|f| &f.blocks) {
        let Block::Item(item) = block else { continue };
        let name = &item.name.value;
        out.insert(name.to_lowercase(), name.clone());
        for clause in &item.clauses {
            if let ItemClause::Also(list) = &clause.value {
                out.extend(list.iter().map(|p| (p.value.to_lowercase(), name.clone())));
            }
        }
    }
    out
}

fn own_clause(
    e: &mut ItemEntry,
    clause: &At<ItemClause>,
    own: &HashMap<String, String>,
    known: &Known,
    faults: &mut Faults,
) {
    let thing = |p: &Phrase| {
        let built_in = names_it(&p.value, known).map(|id| known.item_name(id).to_string());
        built_in.or_else(|| own.get(&p.value.to_lowercase()).cloned())
    };
    let texts = |list: &[Phrase]| list.iter().map(|p| p.value.clone()).collect::<Vec<_>>();
    match &clause.value {
        ItemClause::Is(kinds) => {
            for k in kinds {
                if known.kind_named(&k.value).is_some() {
                    e.is.push(k.value.clone());
                } else {
                    let near = nearest(&k.value, known.kinds().map(|(_, k)| k.name.as_str()))
                        .map(|n| format!("did you mean `{n}`?"))
                        .or_else(|| kind_of_the_item(&k.value, known));
                    faults.push(
                        Fault::error("unknown-kind", format!("I know no kind `{}`", k.value), k.span).maybe_help(near),
                    );
                    // One mistake is one fault: that it says nothing of a kind would be another.
                    e.is.extend(known.kinds().next().map(|(_, k)| k.name.clone()));
                }
            }
        }
        ItemClause::Also(list) => e.also.extend(texts(list)),
        ItemClause::Weighs(measure, grams) => e.weighs.0.push((measure.clone(), *grams)),
        ItemClause::Like(p) => match thing(p) {
            Some(name) => e.like = Some(name),
            None => faults.push(unknown_name(p, known)),
        },
        ItemClause::Role(role) => {
            e.role = Some(match role.as_str() {
                "bedding" => crate::knowledge::Role::Bedding,
                "grit" => crate::knowledge::Role::Grit,
                "other" => crate::knowledge::Role::Other,
                _ => crate::knowledge::Role::Food,
            });
        }
        ItemClause::Usually(states) => {
            for (p, usual) in states {
                if known.vocabulary().state(&p.value).is_some() {
                    e.states.0.push((p.value.clone(), *usual));
                } else {
                    faults.push(unknown_state(p, known));
                }
            }
        }
        ItemClause::Made(word, list) => {
            let found: Vec<String> = list
                .iter()
                .filter_map(|p| {
                    let name = thing(p);
                    if name.is_none() {
                        faults.push(unknown_name(p, known));
                    }
                    name
                })
                .collect();
            match word.as_str() {
                "main" => e.main.extend(found),
                "some" => e.some.extend(found),
                _ => e.trace.extend(found),
            }
        }
        ItemClause::Line(pattern) => {
            let built = if pattern.value.chars().count() > 200 {
                Err("it is longer than 200 characters".to_string())
            } else {
                regex::RegexBuilder::new(&pattern.value).size_limit(1 << 20).build().map(|_| ()).map_err(|e| short(&e))
            };
            match built {
                Ok(()) => e.pattern = Some(pattern.value.clone()),
                Err(why) => faults.push(
                    Fault::error("bad-pattern", format!("this pattern cannot be used: {why}"), pattern.span)
                        .help("write a short one, such as /take.?away box/"),
                ),
            }
        }
    }
}

fn short(error: &regex::Error) -> String {
    let text = error.to_string();
    text.lines().last().unwrap_or("").trim().trim_start_matches("error: ").to_string()
}

/// What to write where an item was taken for a kind.
fn kind_of_the_item(name: &str, known: &Known) -> Option<String> {
    let item = known.item(names_it(name, known)?)?;
    let kind = known.kind(*item.is.first()?)?;
    Some(format!("{name} is a thing; things of its kind say `is {}`", kind.name))
}
