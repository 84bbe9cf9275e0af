//! Nothing dangerous slips in: look-alikes, slips of the finger, unknown things; and an ordinary bag
//! asks nothing.

#![allow(clippy::panic, clippy::unwrap_used, clippy::indexing_slicing, missing_docs, reason = "tests")]

use forefeed::bag::Lexicon;
use forefeed::bag::words::{Meaning, Sort};
use forefeed::judge::{Judge, Judgement, Setting, Verdict};
use forefeed::knowledge::{self, Identified, Language, Rung};
use forefeed::language::Side;
use forefeed::{Household, bag};

fn home() -> Household {
    match forefeed::open(&[], Setting::on(forefeed::judge::examples::DAY)) {
        Ok((home, _)) => home,
        Err(unopened) => panic!("{}", unopened.faults),
    }
}

fn judged(judge: &Judge<'_>, home: &Household, line: &str) -> Judgement {
    judged_in(None, judge, home, line)
}

fn judged_in(language: Option<Language>, judge: &Judge<'_>, home: &Household, line: &str) -> Judgement {
    let bag = bag::read(line, &home.known);
    let scraps = knowledge::weigh(knowledge::find(&bag, &home.known, language), &home.known);
    judge.conclude_plain(bag, scraps)
}

/// Harmful things, as people write them: none is feed in either stance.
const HARMFUL: &[&str] = &[
    "plastic bag",
    "cling film",
    "tin foil",
    "broken glass",
    "candle stubs",
    "lipstick",
    "old medicine",
    "fruit stickers",
    "dental floss",
    "wet wipes",
    "milk cartons",
    "photo paper",
    "gravel",
    "cat food",
    "french fries",
    "garlic bread",
    "gravy",
    "turkey stuffing",
    "custard",
    "greasy paper",
    "olives",
    "soap",
    "treated wood",
    "dog poo",
    "beef dripping",
    "sour cream",
    "meatloaf",
    "chicken carcass",
    "prawn heads",
    "lard",
    "cheese rinds",
    "butter",
    "mayonnaise",
    "fish bones",
    "sausages",
    "batteries",
    "paint",
    "weed killer",
    "plasters",
    "plastic bottle",
    "shiny magazines",
    "pigs in blankets",
    "human waste",
    "leaves (peed on)",
    "straw the hens pooped on",
    "hay with mouse droppings in it",
    "tomato blight leaves",
    "weetabix mush",
];

#[test]
fn nothing_harmful_is_feed_in_either_stance() {
    let home = home();
    for stance in [Side::Lenient, Side::Strict] {
        let setting = Setting { stance: Some(stance), ..home.setting.clone() };
        let judge = Judge::new(&home.known, &home.book, &setting);
        let fed: Vec<&str> = HARMFUL
            .iter()
            .copied()
            .filter(|l| judged(&judge, &home, l).judged.iter().any(|j| j.verdict == Verdict::Feed))
            .collect();
        assert!(fed.is_empty(), "{stance:?}: {}", fed.join("; "));
    }
}

/// Whatever is of an animal, in or on or made into what is fed: that is kept out or asked about.
#[test]
fn what_lay_in_meat_or_milk_is_no_feed() {
    let home = home();
    let judge = Judge::new(&home.known, &home.book, &home.setting);
    let alone = |line: &str| judged(&judge, &home, line).judged.iter().map(|j| j.verdict).collect::<Vec<_>>();
    let of_an_animal = home.known.kind_named("animal product").unwrap();
    let foods = home.known.items().filter(|(id, _)| home.known.kinds_of(*id).contains(&of_an_animal));
    let kept_out: Vec<&str> =
        foods.map(|(_, item)| item.name.as_str()).filter(|name| alone(name) == [Verdict::KeepOut]).collect();
    assert!(kept_out.len() > 150, "{}", kept_out.len());
    let mut fed = Vec::new();
    for form in [
        "carrots out of the @",
        "rice that came from the @",
        "rice cooked in @",
        "lettuce off the @",
        "bread made with @",
        "bread but with @ on it",
        "rice, not much @ on it",
        "lettuce though it had @ on it",
        "rice made using @",
        "paper towel after wiping up @",
    ] {
        let lines = kept_out.iter().map(|name| form.replace('@', name));
        fed.extend(lines.filter(|line| !alone(line).iter().any(|v| matches!(v, Verdict::KeepOut | Verdict::Ask))));
    }
    assert!(fed.is_empty(), "{}", fed.join("; "));
}

/// Dishes and goods by the names that kitchens give them, which do not say that they hold meat, dairy or fat, or are
/// coated. From general knowledge.
const BY_OTHER_NAMES: &[(Language, &str)] = &[
    (
        Language::En,
        "ravioli; 3 tortellini; mushroom ravioli; leftover chili; half a pot of chili; bowl of chilli; chili \
         dog; ribs; ribs and rice; reuben; dressed salad; couscous with meat; couscous royale; full english; \
         fry-up; ploughman's; massaman; sashimi; yakitori; suya; bigos; alfredo; dauphinoise; trotters; pigs \
         ears; thighs; stuffed mushrooms; stuffed courgette; filled baguette; stuffed pita; pita, stuffed; \
         stuffed potatoes; shepherd's pie; toad in the hole; bubble and squeak; welsh rarebit; kedgeree; \
         korma; saag paneer; laksa; gyoza; char siu bun; congee with pork; lumpia; kare-kare; bobotie; \
         boerewors; moussaka; spanakopita; tzatziki; eton mess; quiche; carbonara; arancini; calzone; garlic \
         bread; quesadilla; nachos; poutine; cassoulet; croque monsieur; plastic-coated paper; paper \
         (laminated); battered mushrooms; mushrooms in batter; mushroom tikka; credit card; toilet brush; \
         apple corer; moss killer; kinetic sand; white spirit; compost bag; coffee table; paper cutter; rice bag",
    ),
    (
        Language::Es,
        "cocido; callos; fabada; butifarra; sobrasada; torreznos; chicharrones; rabo de toro; albóndigas; \
         choripán; cochinita pibil; arroz a la cubana; bandeja paisa; arepas rellenas; pimientos rellenos; \
         calabacín relleno; tomates rellenos; croquetas; ensaladilla rusa; chilaquiles; pupusas; anticuchos; \
         papel plastificado; cartón encerado; tetrabrik; champiñones al ajillo; verduras gratinadas; \
         tortilla de espinacas",
    ),
    (
        Language::De,
        "Rinder; Rouladen; Sauerbraten; Mettbrötchen; Teewurst; Presskopf; Bierschinken; Maultaschen; \
         gefüllte Zucchini; gefüllte Paprika; gefüllte Brötchen; belegte Brötchen; Käsespätzle; Leberkäse; \
         Schwartenmagen; Kutteln; Griebenschmalz; beschichtetes Papier; foliertes Papier; Tetrapack; Strammer \
         Max; Erdbeereis; Mangoeis; Kürbiskäse; Honigtorte; Sandepapier; Kohlkuchen; Geflügelwurst; Gemüse im Teigmantel",
    ),
    (
        Language::Fr,
        "pâté; st-jacques; noix de Saint-Jacques; raviolis; couscous royal; courgettes farcies; tomates \
         farcies; champignons farcis; hachis parmentier; tartiflette; andouillette; blanquette; nuggets; \
         croque-monsieur; papier plastifié; papier couché; brique de lait; tomates à l'huile; légumes \
         gratinés",
    ),
];

#[test]
fn what_a_kitchen_calls_by_another_name_is_no_feed() {
    let home = home();
    let judge = Judge::new(&home.known, &home.book, &home.setting);
    let mut fed = Vec::new();
    for (language, names) in BY_OTHER_NAMES {
        let asked = Some(*language).filter(|l| *l != Language::En);
        for name in names.split("; ") {
            let judged = judged_in(asked, &judge, &home, name).judged;
            let verdicts: Vec<Verdict> = judged.iter().map(|j| j.verdict).collect();
            if !verdicts.iter().any(|v| matches!(v, Verdict::KeepOut | Verdict::Ask)) {
                fed.push(name);
            }
        }
    }
    assert!(fed.is_empty(), "{}", fed.join("; "));
}

/// A food that goes in, ways to say what is with it, what is kept out, and what people write behind that. From general
/// knowledge.
const WITH_MORE_BEHIND: &[(Language, &str, &str, &str, &str)] = &[
    (
        Language::En,
        "rice",
        "with; in; covered in; that had; mixed with; cooked in; from the; off the; stuck to the",
        "cheese; butter; chicken curry",
        "; yesterday; bits; left over; i think; on top; all over; mostly picked off; (a bit); from dinner; etc; though; \
         lol; :(; inside; residue; stains; for the worms; because kids; when i was away; still; again; that went off; \
         gone cold; tuesday; mixture; goo; whatever",
    ),
    (
        Language::De,
        "Reis",
        "mit; in; aus; vom; voll mit; gekocht in",
        "Käse; Butter; Hähnchencurry",
        "; gestern; drauf; übrig; glaube ich; überall; (etwas); vom Abendessen; usw; leider; gedünstet; gewickelt; gehüllt; \
         angebraten; dabei; noch; von gestern; für die Würmer; und so; Reste; Sachen",
    ),
    (
        Language::Fr,
        "riz",
        "avec du; dans du; au; plein de; cuit dans du",
        "fromage; beurre; curry de poulet",
        "; hier; dessus; en reste; je crois; partout; (un peu); du dîner; etc; hélas; fondu; rance; encore; pour les vers; \
         et tout; mélangé",
    ),
    (
        Language::Es,
        "arroz",
        "con; en; lleno de; cocido en; cubierto de",
        "queso; mantequilla; curry de pollo",
        "; ayer; encima; que sobró; creo; por todas partes; (un poco); de la cena; etc; derretido; rancio; todavía; \
         para las lombrices; y eso; mezclado",
    ),
];

/// Those of some lines in a language that are fed.
fn fed_of(home: &Household, judge: &Judge, language: Language, lines: impl Iterator<Item = String>) -> Vec<String> {
    let asked = Some(language).filter(|l| *l != Language::En);
    let fed = |line: &String| {
        let judged = judged_in(asked, judge, home, line).judged;
        !judged.iter().any(|j| matches!(j.verdict, Verdict::KeepOut | Verdict::Ask))
    };
    lines.filter(fed).collect()
}

/// All pairs of two lists parted by semicolons.
fn pairs<'a>(one: &'a str, other: &'a str) -> impl Iterator<Item = (&'a str, &'a str)> {
    one.split("; ").flat_map(|a| other.split("; ").map(move |b| (a, b)))
}

#[test]
fn what_stands_behind_a_food_hides_nothing() {
    let home = home();
    let judge = Judge::new(&home.known, &home.book, &home.setting);
    let mut fed = Vec::new();
    for (language, thing, ways, foods, tails) in WITH_MORE_BEHIND {
        for way in ways.split("; ") {
            let lines = pairs(foods, tails).map(|(food, tail)| format!("{thing} {way} {food} {tail}"));
            fed.extend(fed_of(&home, &judge, *language, lines));
        }
    }
    assert!(fed.is_empty(), "{}", fed.join("; "));
    // Where it is sold or kept, and what holds it, is no food.
    for line in [
        "rice from the cheese shop",
        "carrots in the milk crate",
        "rice from the rice cooker",
        "scraps in a butter tub",
    ] {
        assert!(judged(&judge, &home, line).judged.iter().all(|j| j.verdict == Verdict::Feed), "{line}");
    }
}

/// A language, things, remarks on them, and what stands behind: what it is with is on it, whatever was said before.
const WITH_MORE_BEFORE: &[(Language, &str, &str, &str)] = &[
    (
        Language::En,
        "rice; carrots; bread crusts",
        "from lunch; from the fridge; from last night; left from dinner; left over from the party; left in the pan; \
         in the tub; out of the freezer; since tuesday; until friday; at breakfast; nobody wanted; the kids left; \
         that went off; which was on the side; because it was old; but old; cooked yesterday; (old); gone hard; \
         after dinner; by mistake; on the plate; over the weekend; under the lid; as usual; still warm; i found; from mum; for the worms; for the bin",
        "with butter; with cheese; with hummus; in butter; covered in gravy; + butter; & cheese; / cheese; plus ham; \
         that had butter on it; cooked in butter; with some butter on it; under the cheese; soaked in gravy; w/ butter; \
         topped with cheese; mixed with mayo; has butter on; - butter on it; and some cheese; (butter on it)",
    ),
    (
        Language::De,
        "Reis; Karotten; Brot",
        "von gestern; vom Mittagessen; aus dem Kühlschrank; vom Abendessen; übrig vom Fest; im Topf; aus der Dose; \
         seit Dienstag; von Sonntag; die keiner wollte; alt und hart; vom Kind; auf dem Teller; von der ganzen Woche; für die Würmer",
        "mit Butter; mit Käse; mit Sahne; in Butter; und Butter; + Käse; mit etwas Butter drauf; in Butter gekocht; \
         , Butter drauf; (mit Butter); voller Käse; unter dem Käse; oder Käse; aber mit Butter; auf dem Butter war",
    ),
    (
        Language::Fr,
        "riz; carottes; pain",
        "d'hier; du dîner; du frigo; de la semaine; resté dans la casserole; depuis mardi; que personne n'a mangé; \
         du restaurant; de midi; vieux; pour les vers",
        "avec du beurre; avec de la crème; au beurre; dans du beurre; et du beurre; + fromage; , beurre dessus; \
         avec un peu de beurre dessus; cuit dans du beurre; (avec du beurre); plein de fromage; sous le fromage; \
         ou du fromage; mais avec du beurre; qui avait du beurre",
    ),
    (
        Language::Es,
        "arroz; zanahorias; pan",
        "de ayer; de la cena; de la nevera; del domingo; que sobró; que nadie quiso; en la olla; desde el martes; \
         del restaurante; viejo; de toda la semana; para las lombrices",
        "con mantequilla; con nata; en mantequilla; y mantequilla; + queso; con un poco de mantequilla encima; \
         cocido en mantequilla; , mantequilla encima; (con mantequilla); lleno de queso; bajo el queso; o queso; \
         pero con mantequilla; que tenía mantequilla",
    ),
];

#[test]
fn what_is_said_before_a_food_hides_nothing() {
    let home = home();
    let judge = Judge::new(&home.known, &home.book, &home.setting);
    let mut fed = Vec::new();
    for (language, things, remarks, foods) in WITH_MORE_BEFORE {
        for thing in things.split("; ") {
            let lines = pairs(remarks, foods).map(|(remark, food)| format!("{thing} {remark} {food}"));
            fed.extend(fed_of(&home, &judge, *language, lines));
        }
    }
    assert!(fed.is_empty(), "{}", fed.join("; "));
    // What a thing was for did not lie on it.
    for line in ["lettuce for tacos with meat", "rice to go with chicken"] {
        assert!(judged(&judge, &home, line).judged.iter().all(|j| j.verdict == Verdict::Feed), "{line}");
    }
}

/// What is another thing behind a mark than in a name that is kept out.
const NO_STATE_OF_IT: &[(&str, &str)] = &[
    ("lime, burnt", "a fruit"),
    ("sauce, verte", "a green sauce of no kind"),
    ("café, cortado", "cut"),
    ("lemon peel, preserved", "a part keeps the name of its whole"),
    ("lemon rind, preserved", "a part keeps the name of its whole"),
];

/// "mashed potato" and "potatoes, mashed" are one thing: what is kept out by a name is no feed and no little where
/// the state in that name stands behind a mark, or in brackets. What was frozen may be no more than that.
#[test]
fn a_state_behind_a_mark_hides_nothing_that_it_says_before_the_name() {
    let home = home();
    let judge = Judge::new(&home.known, &home.book, &home.setting);
    let states = |word: &str| {
        let said = home.known.vocabulary().phrases(word).iter().filter(|p| p.rest.is_empty());
        let mut said = said.map(|p| match p.meaning {
            Meaning::State(id, holds) => holds && home.known.vocabulary().state("frozen") != Some(id),
            Meaning::Part(_) => false,
        });
        said.next() == Some(true) && said.all(|state| state) && !home.known.names(word)
    };
    let kept_out = |language, line: &str| {
        let judged = judged_in(language, &judge, &home, line).judged;
        judged.iter().any(|j| matches!(j.verdict, Verdict::KeepOut | Verdict::Ask))
    };
    let (mut tried, mut fed) = (0, Vec::new());
    for name in home.known.items().flat_map(|(_, item)| item.names.iter()) {
        let text = name.text.to_lowercase();
        let parted = match name.language {
            Language::En | Language::De => text.split_once(' '),
            Language::Es | Language::Fr => text.rsplit_once(' ').map(|(thing, state)| (state, thing)),
        };
        let asked = Some(name.language).filter(|l| *l != Language::En);
        let Some((state, thing)) = parted.filter(|(state, _)| states(state) && kept_out(asked, &text)) else {
            continue;
        };
        // What a cook did, said behind two foods, is said of both.
        let done = home.known.vocabulary().phrases(state).iter().any(|p| match p.meaning {
            Meaning::State(id, _) => home.known.vocabulary().state_of(id).is_some_and(|s| s.sort == Sort::Preparation),
            Meaning::Part(_) => false,
        });
        let paired = done && asked.is_none() && home.known.names_food(thing);
        let known = NO_STATE_OF_IT.iter().any(|(line, _)| *line == format!("{thing}, {state}"));
        let pair = format!("{thing} and carrots");
        let pair = paired.then_some((pair.as_str(), ", ", ""));
        for (thing, before, behind) in [(thing, ", ", ""), (thing, " (", ")")].into_iter().chain(pair) {
            tried += 1;
            let line = format!("{thing}{before}{state}{behind}");
            if !known && !kept_out(asked, &line) {
                fed.push(line);
            }
        }
    }
    assert!(tried > 300, "{tried}");
    assert!(fed.is_empty(), "{}", fed.join("; "));
}

#[test]
fn what_is_greasy_or_has_animal_food_on_it_is_no_feed() {
    let home = home();
    let judge = Judge::new(&home.known, &home.book, &home.setting);
    let fed = |line: &str| {
        let judgement = judged(&judge, &home, line);
        judgement.judged.iter().all(|j| !matches!(j.verdict, Verdict::KeepOut | Verdict::Ask))
    };
    let plain: Vec<&str> = home.known.items().map(|(_, item)| item.name.as_str()).filter(|name| fed(name)).collect();
    assert!(plain.len() > 500, "{}", plain.len());
    let mut wrong = Vec::new();
    for form in ["greasy @", "@ (oily)", "@, buttered", "meaty @", "@ (fishy)", "bloody @", "cheesy @"] {
        wrong.extend(plain.iter().map(|name| form.replace('@', name)).filter(|line| fed(line)));
    }
    // The cultivars, but for a letter: blood oranges and cheese pumpkins.
    wrong.retain(|line| !line.starts_with("bloody orange") && !line.starts_with("cheesy pumpkin"));
    assert!(wrong.is_empty(), "{}", wrong.join("; "));
}

/// All texts one edit away: a letter left out, doubled, swapped with the next, or another in its place.
fn neighbours(name: &str) -> Vec<String> {
    let letters: Vec<char> = name.chars().collect();
    let mut out = Vec::new();
    for i in 0..letters.len() {
        // Read as two letters: beside them one slip is two.
        if letters.get(i.saturating_sub(1)..letters.len().min(i + 2)).unwrap_or(&[]).iter().any(|l| "ßœæ".contains(*l))
        {
            continue;
        }
        let mut cut = letters.clone();
        cut.remove(i);
        out.push(cut.iter().collect());
        if i + 1 < letters.len() && letters[i] != letters[i + 1] {
            let mut swapped = letters.clone();
            swapped.swap(i, i + 1);
            out.push(swapped.iter().collect());
        }
        for letter in 'a'..='z' {
            let mut other = letters.clone();
            if other[i] != letter && other[i] != ' ' {
                other[i] = letter;
                out.push(other.iter().collect());
            }
            let mut more = letters.clone();
            more.insert(i, letter);
            out.push(more.iter().collect());
        }
    }
    out.retain(|t: &String| !t.trim().is_empty());
    out
}

/// What a slip in a kept-out thing's name was fed as, if it was fed, does not spell another item, and
/// nothing else of the line is kept out or asked about ("beef and brocoli" may be two things). The
/// bare word of a part ("peel", one letter from "eel") is a name as well.
fn fed_as(judge: &Judge<'_>, home: &Household, name: &str, text: &str) -> Option<String> {
    let judgement = judged(judge, home, text);
    let part = |p: &forefeed::bag::words::Part| p.ways().any(|w| w.eq_ignore_ascii_case(text));
    if judgement.judged.iter().any(|j| j.verdict >= Verdict::Ask)
        || home.known.vocabulary().parts().any(|(_, p)| part(p))
    {
        return None;
    }
    judgement.scraps.iter().zip(&judgement.judged).find_map(|(scrap, judged)| {
        let another = scrap.found.identities.iter().all(|i| {
            i.identified == Identified::Sure && matches!(i.rung, Some(Rung::Exact | Rung::OtherName | Rung::Normalised))
        });
        let first = scrap.found.identities.first();
        (judged.verdict == Verdict::Feed && !another).then(|| {
            format!("{name} -> {text}: {:?}", first.map(|i| (i.item.map(|x| home.known.item_name(x)), i.rung)))
        })
    })
}

/// All one-edit neighbours of the preferred names of kept-out items, and of their other names in
/// any language each 61st; with FOREFEED_SLIPS=all in the environment, all of those too.
#[test]
fn a_slip_never_turns_keep_out_into_feed() {
    let home = home();
    let step = if std::env::var("FOREFEED_SLIPS").is_ok_and(|v| v == "all") { 1 } else { 61 };
    let kept_out: Vec<(usize, String)> = {
        let judge = Judge::new(&home.known, &home.book, &home.setting);
        let mut names = Vec::new();
        for (id, item) in home.known.items() {
            for (which, name) in item.names.iter().enumerate().filter(|(_, n)| n.text.chars().count() > 2) {
                let itself = judged(&judge, &home, name.text);
                let read = itself.scraps.iter().any(|s| s.found.identities.iter().any(|i| i.item == Some(id)));
                if read && itself.judged.iter().any(|j| j.verdict == Verdict::KeepOut) {
                    names.push((which, name.text.to_string()));
                }
            }
        }
        names
    };
    let work = |names: &[(usize, String)]| {
        let judge = Judge::new(&home.known, &home.book, &home.setting);
        let (mut slips, mut fed) = (0usize, Vec::new());
        for (n, (which, name)) in names.iter().enumerate() {
            let step = if *which == 0 { 1 } else { step };
            for text in neighbours(name).into_iter().skip(n % step).step_by(step) {
                slips += 1;
                fed.extend(fed_as(&judge, &home, name, &text));
            }
        }
        (slips, fed)
    };
    let (one, two): (Vec<_>, Vec<_>) = kept_out.into_iter().enumerate().partition(|(n, _)| n % 2 == 0);
    let halves = [one, two].map(|half| half.into_iter().map(|(_, name)| name).collect::<Vec<_>>());
    let done: Vec<(usize, Vec<String>)> = std::thread::scope(|s| {
        let threads: Vec<_> = halves.iter().map(|half| s.spawn(|| work(half))).collect();
        threads.into_iter().map(|t| t.join().unwrap()).collect()
    });
    let slips: usize = done.iter().map(|d| d.0).sum();
    let fed: Vec<String> = done.into_iter().flat_map(|d| d.1).collect();
    assert!(slips > 200_000, "only {slips} slips were tried");
    let some = fed.iter().take(60).cloned().collect::<Vec<_>>().join("\n");
    assert!(fed.is_empty(), "{} of {slips} slips are fed\n{some}", fed.len());
    println!("{slips} slips tried");
}

/// Lines in which a name is not the thing itself: it lay in it, is on it, is one of a list in brackets.
const BESIDE_ANOTHER: [&str; 8] = [
    "leftovers (rice, @)",
    "rice with @",
    "rice from the @",
    "rice in @",
    "rice that had @ on it",
    "paper from @",
    "potatoes such as @",
    "carrots w/ some @",
];

/// A slip in a name that makes a line no feed hardly ever makes it feed, wherever the name stands.
#[test]
fn a_slip_hides_nothing_that_is_with_a_thing() {
    let home = home();
    let judge = Judge::new(&home.known, &home.book, &home.setting);
    let fed = |line: &str| {
        let verdicts = judged(&judge, &home, line).judged;
        verdicts.iter().all(|j| !matches!(j.verdict, Verdict::KeepOut | Verdict::Ask))
    };
    let names = home.known.items().map(|(_, item)| item.name.as_str()).filter(|name| name.len() > 4 && name.is_ascii());
    let kept_out: Vec<&str> = names.filter(|name| !fed(name)).collect();
    for around in BESIDE_ANOTHER {
        let (mut tried, mut hidden) = (0usize, Vec::new());
        for (n, name) in kept_out.iter().enumerate().filter(|(_, name)| !fed(&around.replace('@', name))) {
            let slips = neighbours(name);
            let line = around.replace('@', &slips[(n * 131) % slips.len()]);
            tried += 1;
            if fed(&line) {
                hidden.push(line);
            }
        }
        assert!(tried > 100, "{around}: only {tried} were tried");
        assert!(hidden.len() * 10 < tried, "{} of {tried} are fed\n{}", hidden.len(), hidden.join("\n"));
    }
}

#[test]
fn what_nobody_knows_is_asked_about() {
    let home = home();
    for line in [
        "xyzzyplugh",
        "2 frobnicated quuxes",
        "grzlbrmpf",
        "rice with oxydol",
        "peels with grzlbrmpf on them",
        "grollnut husks",
        "zorb leaves",
        "zorb crusts",
        "Reis mit Grzlbrmpf",
        "riz avec du grzlbrmpf",
    ] {
        let judgement = forefeed::check(line.as_bytes(), &home);
        assert!(judgement.judged.iter().all(|j| j.verdict == Verdict::Ask), "{line}: {:?}", judgement.judged);
    }
}

/// Plain fruit and vegetables that may be kept out or asked about, each with its reason.
const NOT_PLAIN: &[(&str, &str)] = &[("horseradish", "sharp enough to count as spicy food")];

#[test]
fn plain_fruit_and_vegetables_ask_nothing() {
    let home = home();
    let judge = Judge::new(&home.known, &home.book, &home.setting);
    let kinds: Vec<_> = ["fruit", "vegetable"].iter().filter_map(|k| home.known.kind_named(k)).collect();
    let spicy: Vec<_> = ["spicy food", "pickled food", "prepared food", "salty food"]
        .iter()
        .filter_map(|k| home.known.kind_named(k))
        .collect();
    let mut asked = Vec::new();
    let mut tried = 0;
    for (id, item) in home.known.items() {
        let of = home.known.kinds_of(id);
        if !kinds.iter().any(|k| of.contains(k)) || spicy.iter().any(|k| of.contains(k)) {
            continue;
        }
        if !item.made_of.main.is_empty() || NOT_PLAIN.iter().any(|(n, _)| *n == item.name) {
            continue;
        }
        tried += 1;
        for j in judged(&judge, &home, &item.name).judged {
            if matches!(j.verdict, Verdict::Ask | Verdict::KeepOut) {
                asked.push(format!("{}: {:?}", item.name, j.verdict));
            }
        }
    }
    assert!(tried > 150, "only {tried} were tried");
    assert!(asked.is_empty(), "{}", asked.join("\n"));
}

#[test]
fn an_ordinary_bag_asks_nothing() {
    let home = home();
    let bag = "3 banana peels\napple cores\ncarrot tops\nhalf a bag of wilted lettuce\npotato peelings\ncoffee grounds\n\
               4 tea bags\ncucumber ends\nbroccoli stalk\nmelon rind\na handful of spinach\npear cores\nsquash guts\n\
               celery leaves\nbean pods\nstrawberry tops\nshredded newspaper\ntorn egg carton\nstale bread crust\nmushroom stems\n";
    let judgement = forefeed::check(bag.as_bytes(), &home);
    let asked: Vec<String> = judgement
        .scraps
        .iter()
        .zip(&judgement.judged)
        .filter(|(_, j)| matches!(j.verdict, Verdict::Ask | Verdict::KeepOut))
        .map(|(s, j)| format!("{}: {:?} {:?}", s.found.thing.text, j.verdict, j.findings))
        .collect();
    assert_eq!(judgement.scraps.len(), 20);
    assert!(asked.is_empty(), "{}", asked.join("\n"));
}
