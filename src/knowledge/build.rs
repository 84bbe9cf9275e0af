//! From entries to a [`Known`]: kinds and items checked against each other, names indexed.
//!
//! Names that point nowhere, loops, shares and masses out of range are faults with the place of
//! their entry. The same builder serves the built-in files and a household's own.

use super::composed::{STAND_IN, figures_basis, from_figures, mix};
use super::entries::{Entries, FoodRow, ItemEntry, KindEntry};
use super::items::{
    Basis, Composition, Ingredients, Item, ItemId, ItemNames, ItemPart, Kind, KindId, Language, Portion, Role,
};
use super::names::Names;
use super::{Known, by_name, place_of};
use crate::bag::Vocabulary;
use crate::fault::{Fault, Faults, Span, nearest};
use crate::flat::{Late, Stock};
use std::collections::HashMap;

/// The state of building a [`Known`] from entries.
struct Build<'a> {
    faults: &'a mut Faults,
    vocabulary: Vocabulary,
    kinds: Stock<Kind>,
    items: Stock<Item>,
    kind_at: HashMap<String, KindId>,
    item_at: HashMap<String, ItemId>,
    foods: HashMap<String, FoodRow>,
}

impl Build<'_> {
    fn fault(&mut self, code: &'static str, place: Option<Span>, message: String, help: Option<String>) {
        self.faults.push(Fault::error(code, message, place.unwrap_or_default()).maybe_help(help));
    }

    fn kind(&mut self, name: &str, of: &str, place: Option<Span>) -> Option<KindId> {
        if let Some(id) = self.kind_at.get(name) {
            return Some(*id);
        }
        let near = nearest(name, self.kind_at.keys().map(String::as_str)).map(|n| format!("did you mean `{n}`?"));
        self.fault("unknown-kind", place, format!("`{of}`: I know no kind `{name}`"), near);
        None
    }

    fn item(&mut self, name: &str, of: &str, place: Option<Span>) -> Option<ItemId> {
        if let Some(id) = self.item_at.get(name) {
            return Some(*id);
        }
        let near = nearest(name, self.items.iter().map(|i| i.name.as_str())).map(|n| format!("did you mean `{n}`?"));
        self.fault("unknown-item", place, format!("`{of}`: I know no item `{name}`"), near);
        None
    }

    fn add_kinds(&mut self, entries: &[KindEntry]) {
        let first = self.kinds.len();
        for e in entries {
            if self.kind_at.contains_key(&e.kind) {
                self.fault(
                    "doubled-kind",
                    e.place,
                    format!("the kind `{}` is there already", e.kind),
                    Some("give it another name".into()),
                );
                continue;
            }
            let id = KindId(u16::try_from(self.kinds.len()).unwrap_or(u16::MAX));
            self.kind_at.insert(e.kind.clone(), id);
            self.kinds.push(Kind {
                name: e.kind.clone(),
                broader: Vec::new(),
                within: Vec::new(),
                means: e.means.clone(),
                role: Role::Food,
                is_abstract: e.is_abstract.0,
                place: e.place,
            });
        }
        for e in entries {
            let broader: Vec<KindId> = e.broader.iter().filter_map(|b| self.kind(b, &e.kind, e.place)).collect();
            if let Some(kind) = self.kind_at.get(&e.kind).copied().and_then(|id| self.kinds.get_mut(usize::from(id.0)))
            {
                kind.broader = broader;
            }
        }
        for _ in 0..=entries.len().min(32) {
            for e in entries {
                let Some(id) = self.kind_at.get(&e.kind).copied() else { continue };
                let inherited = self
                    .kinds
                    .get(usize::from(id.0))
                    .and_then(|k| k.broader.first().copied())
                    .and_then(|b| self.kinds.get(usize::from(b.0)))
                    .map(|k| k.role);
                if let Some(kind) = self.kinds.get_mut(usize::from(id.0)) {
                    kind.role = e.role.or(inherited).unwrap_or(Role::Food);
                }
            }
        }
        for id in first..self.kinds.len() {
            if self.loops(KindId(u16::try_from(id).unwrap_or(u16::MAX))) {
                let Some(kind) = self.kinds.get_mut(id) else { continue };
                kind.broader.clear();
                let (name, place) = (kind.name.clone(), kind.place);
                self.fault(
                    "kind-in-itself",
                    place,
                    format!("the kind `{name}` contains itself"),
                    Some("take one of its broader kinds out".into()),
                );
            }
        }
        for id in first..self.kinds.len() {
            let within = closure(&self.kinds, KindId(place_of(id)));
            if let Some(kind) = self.kinds.get_mut(id) {
                kind.within = within;
            }
        }
    }

    fn loops(&self, start: KindId) -> bool {
        let mut seen = vec![false; self.kinds.len()];
        let mut open = vec![start];
        while let Some(id) = open.pop() {
            for b in self.kinds.get(usize::from(id.0)).map_or(&[][..], |k| &k.broader) {
                if *b == start {
                    return true;
                }
                if let Some(flag) = seen.get_mut(usize::from(b.0)).filter(|f| !**f) {
                    *flag = true;
                    open.push(*b);
                }
            }
        }
        false
    }

    fn add_items(&mut self, entries: &[ItemEntry]) {
        let first = self.items.len();
        let mut kept: Vec<&ItemEntry> = Vec::new();
        for e in entries {
            if self.item_at.contains_key(&e.item) {
                self.fault(
                    "doubled-item",
                    e.place,
                    format!("the item `{}` is there already", e.item),
                    Some("give it another name, or leave it out".into()),
                );
                continue;
            }
            if self.items.len() >= usize::from(u16::MAX) {
                self.fault("too-many-items", e.place, "more than 65,535 items".into(), None);
                return;
            }
            let id = ItemId(u16::try_from(self.items.len()).unwrap_or(u16::MAX));
            self.item_at.insert(e.item.clone(), id);
            self.items.push(blank(e));
            kept.push(e);
        }
        for (offset, e) in kept.iter().enumerate() {
            let item = self.fill(e);
            if let Some(slot) = self.items.get_mut(first + offset) {
                *slot = item;
            }
        }
        for round in 0..8 {
            for (offset, e) in kept.iter().enumerate() {
                let done = self.compose(e, round);
                if let (Some(c), Some(slot)) = (done, self.items.get_mut(first + offset)) {
                    slot.composition = c;
                }
            }
        }
        for (offset, e) in kept.iter().enumerate() {
            let parts = self.parts(e);
            if let Some(slot) = self.items.get_mut(first + offset) {
                slot.parts = parts;
            }
        }
        for offset in 0..kept.len() {
            self.no_dish_in_itself(first + offset);
        }
    }

    fn no_dish_in_itself(&mut self, at: usize) {
        let start = ItemId(u16::try_from(at).unwrap_or(u16::MAX));
        let mut seen = vec![false; self.items.len()];
        let mut open = vec![start];
        while let Some(id) = open.pop() {
            let Some(item) = self.items.get(usize::from(id.0)) else { continue };
            let inner = item.made_of.main.iter().chain(&item.made_of.some).chain(&item.made_of.trace);
            let inner: Vec<ItemId> = inner.chain(item.includes.iter().map(|(i, _)| i)).copied().collect();
            for i in inner {
                if i == start {
                    let (name, place) = self.items.get(at).map(|x| (x.name.clone(), x.place)).unwrap_or_default();
                    self.fault(
                        "dish-in-itself",
                        place,
                        format!("`{name}` is an ingredient of itself"),
                        Some("take it out of its ingredients".into()),
                    );
                    if let Some(x) = self.items.get_mut(at) {
                        x.made_of = Ingredients::default();
                        x.includes.clear();
                    }
                    return;
                }
                if let Some(flag) = seen.get_mut(usize::from(i.0)).filter(|f| !**f) {
                    *flag = true;
                    open.push(i);
                }
            }
        }
    }

    fn fill(&mut self, e: &ItemEntry) -> Item {
        let place = e.place;
        let mut item = blank(e);
        if e.is.is_empty() {
            self.fault(
                "no-kind",
                place,
                format!("`{}` does not say what it is", e.item),
                Some("add `is` with at least one kind".into()),
            );
        }
        item.is = e.is.iter().filter_map(|k| self.kind(k, &e.item, place)).collect();
        item.within = item
            .is
            .iter()
            .filter_map(|k| self.kinds.get(usize::from(k.0)))
            .flat_map(|k| k.within.iter().copied())
            .collect();
        item.within.sort();
        item.within.dedup();
        let inherited = item.is.first().and_then(|k| self.kinds.get(usize::from(k.0))).map(|k| k.role);
        item.role = e.role.or(inherited).unwrap_or_default();
        if let Some(part) = &e.usual {
            item.usual = self.vocabulary.part(part);
            if item.usual.is_none() {
                let near = nearest(part, self.vocabulary.parts().map(|(_, p)| p.name.as_str()))
                    .map(|n| format!("did you mean `{n}`?"));
                self.fault("unknown-part", place, format!("`{}`: I know no part `{part}`", e.item), near);
            }
        }
        for (state, usual) in &e.states.0 {
            match self.vocabulary.state(state) {
                Some(id) => item.states.push((id, *usual)),
                None => {
                    let near = nearest(state, self.vocabulary.states().map(|(_, s)| s.name.as_str()))
                        .map(|n| format!("did you mean `{n}`?"));
                    self.fault("unknown-state", place, format!("`{}`: I know no state `{state}`", e.item), near);
                }
            }
        }
        for (name, share) in &e.includes.0 {
            if !(0.0..=1.0).contains(share) {
                self.fault(
                    "share-out-of-range",
                    place,
                    format!("`{}` includes {share} of `{name}`; a share is 0 to 1", e.item),
                    None,
                );
            }
            if let Some(id) = self.item(name, &e.item, place) {
                item.includes.push((id, share.clamp(0.0, 1.0)));
            }
        }
        let mut named = |list: &[String]| list.iter().filter_map(|n| self.item(n, &e.item, place)).collect::<Vec<_>>();
        item.made_of = Ingredients { main: named(&e.main), some: named(&e.some), trace: named(&e.trace) };
        let mut weighs = Vec::new();
        for (measure, grams) in &e.weighs.0 {
            if !(grams.is_finite() && *grams > 0.0 && *grams < 1e6) {
                self.fault(
                    "mass-out-of-range",
                    place,
                    format!("`{}`: one {measure} cannot weigh {grams} g", e.item),
                    None,
                );
                continue;
            }
            weighs.push(Portion {
                measure: measure.clone(),
                grams: *grams,
                from_database: e.weighed_by.as_deref() == Some("ndb"),
            });
        }
        item.weighs = weighs.into();
        item
    }

    /// The composition of an entry, once what it leans on is known; faults are noted in round 0.
    fn compose(&mut self, e: &ItemEntry, round: usize) -> Option<(Composition, Basis)> {
        if let Some(ndb) = &e.ndb {
            return match self.foods.get(ndb) {
                Some(row) => Some((row.composition(), Basis::Database(ndb.clone()))),
                None => {
                    if round == 0 {
                        self.fault(
                            "unknown-food-number",
                            e.place,
                            format!("`{}`: no row {ndb} in composition.yaml", e.item),
                            None,
                        );
                    }
                    None
                }
            };
        }
        if let Some(figures) = &e.figures {
            return Some((from_figures(figures), figures_basis(figures)));
        }
        if let Some(like) = &e.like {
            let id = if round == 0 { self.item(like, &e.item, e.place) } else { self.item_at.get(like).copied() };
            return id.and_then(|id| self.items.get(usize::from(id.0)).map(|i| (i.composition.0, Basis::Like(id))));
        }
        let id = self.item_at.get(&e.item)?;
        let made = &self.items.get(usize::from(id.0))?.made_of;
        mix(made, |i| self.items.get(usize::from(i.0)).map(|x| x.composition.0)).map(|c| (c, Basis::Ingredients))
    }

    fn parts(&mut self, e: &ItemEntry) -> Vec<ItemPart> {
        let mut out = Vec::new();
        for (name, p) in &e.parts.0 {
            let Some(part) = self.vocabulary.part(name) else {
                let near = nearest(name, self.vocabulary.parts().map(|(_, p)| p.name.as_str()))
                    .map(|n| format!("did you mean `{n}`?"));
                self.fault("unknown-part", e.place, format!("`{}`: I know no part `{name}`", e.item), near);
                continue;
            };
            if p.share.is_some_and(|s| !(0.0..=1.0).contains(&s)) {
                self.fault(
                    "share-out-of-range",
                    e.place,
                    format!("`{}`: the share of its {name} is not 0 to 1", e.item),
                    None,
                );
            }
            let composition = if let Some(ndb) = &p.ndb {
                let row = self.foods.get(ndb).map(|r| (r.composition(), Basis::Database(ndb.clone())));
                if row.is_none() {
                    self.fault(
                        "unknown-food-number",
                        e.place,
                        format!("`{}` {name}: no row {ndb} in composition.yaml", e.item),
                        None,
                    );
                }
                row
            } else if let Some(figures) = &p.figures {
                Some((from_figures(figures), figures_basis(figures)))
            } else if let Some(like) = &p.like {
                self.like_part(like, e)
            } else {
                None
            };
            out.push(ItemPart { part, share: p.share.map(|s| s.clamp(0.0, 1.0)), composition });
        }
        out
    }

    /// `like: orange peel` as a part: an item of that name, else the part of the item before it.
    fn like_part(&mut self, like: &str, e: &ItemEntry) -> Option<(Composition, Basis)> {
        if let Some(id) = self.item_at.get(like).copied() {
            return self.items.get(usize::from(id.0)).map(|i| (i.composition.0, Basis::Like(id)));
        }
        if let Some((name, part)) = like.rsplit_once(' ') {
            if let (Some(id), Some(part)) = (self.item_at.get(name).copied(), self.vocabulary.part(part)) {
                let item = self.items.get(usize::from(id.0))?;
                let own = item.parts.iter().find(|p| p.part == part).and_then(|p| p.composition.as_ref().map(|c| c.0));
                return Some((own.unwrap_or(item.composition.0), Basis::Like(id)));
            }
        }
        self.item(like, &e.item, e.place);
        None
    }
}

fn blank(e: &ItemEntry) -> Item {
    let mut names = ItemNames::default();
    names.push(Language::En, &e.item);
    for (list, language) in
        [(&e.also, Language::En), (&e.es, Language::Es), (&e.de, Language::De), (&e.fr, Language::Fr)]
    {
        list.iter().for_each(|n| names.push(language, n));
    }
    Item {
        name: e.item.clone(),
        names,
        is: Vec::new(),
        within: Vec::new(),
        role: Role::Food,
        usual: None,
        parts: Vec::new(),
        states: Vec::new(),
        includes: Vec::new(),
        made_of: Ingredients::default(),
        weighs: Late::default(),
        composition: (STAND_IN, Basis::Estimate),
        pace: e.pace,
        tends: e.tends.clone().into(),
        piece_cm: e.piece.unwrap_or(3.0),
        pattern: e.pattern.clone(),
        place: e.place,
    }
}

/// A kind and all kinds it is in, sorted.
fn closure(kinds: &Stock<Kind>, start: KindId) -> Vec<KindId> {
    let mut all = vec![start];
    let mut at = 0;
    while let Some(id) = all.get(at).copied() {
        for b in kinds.get(usize::from(id.0)).map_or(&[][..], |k| &k.broader) {
            if !all.contains(b) {
                all.push(*b);
            }
        }
        at += 1;
    }
    all.sort();
    all
}

impl Known {
    /// This base and further entries (a household's kinds and items), checked against it.
    #[must_use]
    pub fn with(self, entries: Entries, faults: &mut Faults) -> Known {
        if entries.is_empty() && self.items.len() > 0 {
            return self;
        }
        let kind_at = self.kinds().map(|(id, k)| (k.name.clone(), id)).collect();
        let item_at = self.items().map(|(id, i)| (i.name.clone(), id)).collect();
        let mut build = Build {
            faults,
            vocabulary: self.vocabulary,
            kinds: self.kinds,
            items: self.items,
            kind_at,
            item_at,
            foods: entries.foods.into_iter().map(|f| (f.ndb.clone(), f)).collect(),
        };
        build.add_kinds(&entries.kinds);
        build.add_items(&entries.items);
        let Build { vocabulary, kinds, items, .. } = build;
        let (mut publications, mut statements) = (self.publications, self.statements);
        if let Some(all) = publications.get_mut() {
            all.extend(entries.publications);
        }
        if let Some(all) = statements.get_mut() {
            all.extend(entries.statements);
        }
        Known {
            names: Names::build(&items, &vocabulary, self.names.lists),
            kind_at: by_name(kinds.iter().map(|k| k.name.as_str())),
            item_at: by_name(items.iter().map(|i| i.name.as_str())),
            vocabulary,
            measures: self.measures,
            kinds,
            items,
            publications,
            statements,
        }
    }
}
