use super::*;
use crate::bag::{Named, Reading, Said};
use crate::fault::Faults;
use crate::knowledge::entries::{Entries, ItemEntry, KindEntry};
use crate::knowledge::{Identified, Rung};
use std::sync::Arc;

const ITEMS: &str = "
- {item: banana, is: [tropical fruit], also: [plantain banana], es: [plátano], de: [Banane], fr: [banane]}
- {item: orange, is: [citrus], es: [naranja], de: [Orange, Apfelsine], fr: [orange]}
- {item: apple, is: [pome fruit], es: [manzana], de: [Apfel, Äpfel], fr: [pomme]}
- {item: tomato, is: [tomato], es: [tomate], de: [Tomate], fr: [tomate]}
- {item: potato, is: [potato], fr: [pomme de terre]}
- {item: avocado, is: [avocado], also: [avo], includes: {avocado pit: 0.16}}
- {item: avocado pit, is: [pit], also: [avocado stone]}
- {item: pit, is: [pit], also: [fruit stone]}
- {item: peach, is: [stone fruit]}
- {item: corn on the cob, is: [vegetable]}
- {item: sweetcorn, is: [vegetable], also: [corn, maize]}
- {item: corn husk, is: [husk]}
- {item: egg, is: [egg], es: [huevo]}
- {item: eggshell, is: [eggshell]}
- {item: ground beef, is: [meat], also: [beef mince]}
- {item: beef, is: [meat]}
- {item: chicken, is: [poultry]}
- {item: bone, is: [bone]}
- {item: bacon, is: [meat]}
- {item: green bean, is: [pod vegetable], also: [french bean, haricot vert], fr: [haricot vert]}
- {item: coffee, is: [coffee], also: [coffee grounds], parts: {grounds: {share: 0.9}}}
- {item: dried apricot, is: [dried fruit], states: {dried: yes}}
- {item: apricot, is: [stone fruit]}
- {item: olive oil, is: [oil or fat], also: [extra virgin olive oil]}
- {item: pasta, is: [pasta]}
- {item: carrot, is: [root vegetable]}
- {item: yogurt, is: [dairy]}
- {item: chilli, is: [hot pepper]}
- {item: custard, is: [dairy], also: [custard sauce]}
- {item: mustard, is: [sauce]}
- {item: salad, is: [salad]}
- {item: beet, is: [root vegetable], also: [beetroot]}
- {item: prune, is: [dried fruit]}
- {item: plum, is: [stone fruit], fr: [prune]}
- {item: lemon, is: [citrus], de: [Zitrone], fr: [citron]}
- {item: milk, is: [dairy], de: [Milch], fr: [lait]}
- {item: milk chocolate, is: [sweet]}
- {item: chocolate, is: [sweet]}
- {item: leaves, is: [leaves]}
- {item: cabbage, is: [brassica]}
";

fn known() -> Known {
    let vocabulary = crate::embedded::vocabulary();
    let kinds: Vec<KindEntry> = serde_yaml::from_str(include_str!("../../../rules/kinds.yaml")).unwrap();
    let items: Vec<ItemEntry> = serde_yaml::from_str(ITEMS).unwrap();
    let mut faults = Faults::default();
    let words = Words::load(include_str!("../../../rules/words.yaml")).unwrap();
    let blank = Known { vocabulary, names: Names::knowing(words), ..Known::default() };
    blank.with(Entries { kinds, items, ..Entries::default() }, &mut faults)
}

fn named(known: &Known, name: &str, full: &str, part: &str, states: &[&str]) -> Named {
    let v = known.vocabulary();
    let mut said = Said::default();
    for s in states {
        said.say(v.state(s).unwrap(), true);
    }
    Named { name: name.into(), full: full.into(), part: v.part(part), said }
}

fn item(known: &Known, text: &str) -> String {
    let i = identify(&named(known, text, text, "", &[]), known);
    format!("{} {} {}", i.item.map_or("-", |i| known.item_name(i)), i.rung.map_or("-", Rung::word), i.identified.word())
}

#[test]
fn the_ladder_says_its_rung() {
    let k = known();
    for (text, want) in [
        ("banana", "banana exact sure"),
        ("avo", "avocado other_name sure"),
        ("Bananas", "banana normalised sure"),
        ("egg shells", "eggshell normalised sure"),
        ("Egg-Shell", "eggshell normalised sure"),
        ("beans, green", "green bean normalised sure"),
        ("beans green", "green bean normalised sure"),
        ("yoghurts", "yogurt normalised sure"),
        ("Chile", "chilli normalised sure"),
        ("tomatoes", "tomato normalised sure"),
        ("granny smith apples", "apple head_noun likely"),
        ("organic baby carrots", "carrot head_noun likely"),
        ("pasta shapes", "pasta head_noun likely"),
        ("really good extra virgin olive oil", "olive oil head_noun likely"),
        ("peel of orange", "orange head_noun likely"),
        ("bananna", "banana similar likely"),
        ("tomatos", "tomato normalised sure"),
        ("bacin", "bacon similar likely"),
        ("mustrad", "mustard similar likely"),
        ("xylophone", "- - unknown"),
        ("plátanos", "banana normalised sure"),
        ("pommes de terre", "potato normalised sure"),
        ("Tomaten", "tomato normalised sure"),
        ("Aepfel", "apple normalised sure"),
        ("prune", "prune exact sure"),
        ("chocolate milk", "milk head_noun likely"),
    ] {
        assert_eq!(item(&k, text), want, "{text}");
    }
}

#[test]
fn parts_and_states_that_belong_to_the_name_are_not_said() {
    let k = known();
    for (name, full, part, states, want) in [
        ("egg", "egg shells", "shell", &[][..], "eggshell - []"),
        ("avocado", "avocado stones", "pit", &[], "avocado pit - []"),
        ("peach", "peach pit", "pit", &[], "pit - []"),
        ("corn", "corn husks", "husk", &[], "corn husk - []"),
        ("beef", "ground beef", "", &["ground"], "ground beef - []"),
        ("lean beef", "lean ground beef", "", &["ground"], "ground beef - []"),
        ("beef", "chopped beef", "", &["chopped"], "beef - [chopped]"),
        ("coffee", "coffee grounds", "grounds", &[], "coffee grounds []"),
        ("apricots", "dried apricots", "", &["dried"], "dried apricot - []"),
        ("chicken", "chicken bones", "bone", &[], "bone - []"),
        ("orange", "orange peel", "peel", &[], "orange peel []"),
    ] {
        let i = identify(&named(&k, name, full, part, states), &k);
        let got = format!(
            "{} {} {:?}",
            i.item.map_or("-", |i| k.item_name(i)),
            i.part.map_or("-", |p| k.vocabulary().part_name(p)),
            k.vocabulary().names_of(i.said.yes)
        );
        assert_eq!(got.replace('"', ""), want, "{full}");
    }
}

#[test]
fn what_a_slip_could_have_meant_is_within_reach() {
    let k = known();
    for (text, other) in [("bacin", "bacon"), ("mustrd", "custard"), ("cusard", "mustard"), ("bacin peel", "bacon")] {
        let i = identify(&named(&k, text, text, "", &[]), &k);
        let reach = i.item.map(|i| k.item_name(i)) == Some(other)
            || i.alternatives.iter().any(|a| a.within_reach && k.item_name(a.item) == other);
        assert!(reach, "{text}: {i:?}");
    }
}

#[test]
fn what_is_set_aside_does_not_hide_a_thing() {
    let k = known();
    let bag = crate::bag::Bag {
        lines: vec![crate::bag::Line {
            number: 1,
            text: String::new(),
            reading: Reading::Things(vec![Arc::new(crate::bag::Thing {
                text: String::new(),
                amount: None,
                unit: None,
                each: None,
                about: None,
                of_whole: false,
                names: [named(&k, "chicken salad", "chicken salad", "", &[])].into(),
                additions: vec!["yoghurt".into(), "unobtainium".into()],
                without: vec!["milk".into()],
            })]),
        }],
    };
    let found = find(&bag, &k, None);
    let names: Vec<&str> = found[0].additions.iter().map(|a| k.item_name(*a)).collect();
    assert_eq!(names, ["chicken", "yogurt"]);
    assert_eq!(found[0].unknown_additions, ["unobtainium"]);
    assert_eq!(k.item_name(found[0].without[0]), "milk");
    assert_eq!(k.item_name(found[0].identities[0].item.unwrap()), "salad");
}

#[test]
fn another_language_is_asked_about_only_in_its_company() {
    let k = known();
    let line = |number, name: &str| crate::bag::Line {
        number,
        text: name.into(),
        reading: Reading::Things(vec![Arc::new(crate::bag::Thing {
            text: name.into(),
            amount: None,
            unit: None,
            each: None,
            about: None,
            of_whole: false,
            names: [named(&k, name, name, "", &[])].into(),
            additions: Vec::new(),
            without: Vec::new(),
        })]),
    };
    let alone = find(&crate::bag::Bag { lines: vec![line(1, "prune"), line(2, "banana")] }, &k, None);
    assert_eq!(alone[0].identities[0].identified, Identified::Sure);
    let french = find(&crate::bag::Bag { lines: vec![line(1, "prune"), line(2, "citron")] }, &k, None);
    assert_eq!(french[0].identities[0].identified, Identified::Likely);
    assert!(french[0].identities[0].alternatives.iter().any(|a| a.within_reach && k.item_name(a.item) == "plum"));
    let asked = find(&crate::bag::Bag { lines: vec![line(1, "prune")] }, &k, Some(Language::Fr));
    assert_eq!(k.item_name(asked[0].identities[0].item.unwrap()), "plum");
    assert_eq!(asked[0].identities[0].language, Language::Fr);
}
