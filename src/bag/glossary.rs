//! The words that hold a line together: numbers, joiners, sizes, small talk.
//!
//! Owns what a word does in a line, whatever the thing is. States and parts are not here: they are
//! in the vocabulary, because the rules speak of them too.

use super::table::{Table, first_word};

/// What a word may do, as bits.
pub(super) type Roles = u64;

pub(super) const AND: Roles = 1;
pub(super) const OR: Roles = 1 << 1;
pub(super) const WITH: Roles = 1 << 2;
pub(super) const WITHOUT: Roles = 1 << 3;
pub(super) const INCLUDING: Roles = 1 << 4;
pub(super) const SUCH: Roles = 1 << 5;
pub(super) const OF: Roles = 1 << 6;
pub(super) const FROM: Roles = 1 << 7;
/// Opens a remark that runs to the next mark: for, until, that.
pub(super) const TAIL: Roles = 1 << 8;
pub(super) const ARTICLE: Roles = 1 << 9;
pub(super) const DETERMINER: Roles = 1 << 10;
pub(super) const APPROX: Roles = 1 << 11;
pub(super) const SIZE: Roles = 1 << 12;
pub(super) const ADVERB: Roles = 1 << 13;
/// Says nothing a bin cares about: nice, boneless, homemade.
pub(super) const PLAIN: Roles = 1 << 14;
pub(super) const NUMBER: Roles = 1 << 15;
/// An amount without a number: few, several.
pub(super) const VAGUE: Roles = 1 << 16;
/// An amount without a number that needs `of`: rest, amount, lot.
pub(super) const SHARE: Roles = 1 << 17;
pub(super) const TIMES: Roles = 1 << 18;
pub(super) const TO: Roles = 1 << 19;
pub(super) const EACH: Roles = 1 << 20;
pub(super) const DOZEN: Roles = 1 << 21;
pub(super) const FRACTION: Roles = 1 << 22;
pub(super) const PLUS: Roles = 1 << 23;
pub(super) const VERB: Roles = 1 << 24;
/// Closes a remark on a part: "stems removed".
pub(super) const DONE: Roles = 1 << 25;
pub(super) const COLOUR: Roles = 1 << 26;
/// A joiner of another language: it parts only what is known on both sides.
pub(super) const FOREIGN: Roles = 1 << 27;
pub(super) const ETC: Roles = 1 << 28;
/// Denies the state behind it: not, never.
pub(super) const NOT: Roles = 1 << 29;
/// Opens a relative clause whose states still speak of the thing: that, which.
pub(super) const RELATIVE: Roles = 1 << 30;
/// What a cook did that is no state of a scrap: softened, beaten.
pub(super) const DID: Roles = 1 << 31;
/// Says that what follows came to be so: gone, turned.
pub(super) const TURNS: Roles = 1 << 32;
/// With "off" or "out" behind it: no longer there.
pub(super) const TAKEN: Roles = 1 << 33;
/// With "in" or "with" behind it: what follows comes with the thing, eaten or not.
pub(super) const COVERS: Roles = 1 << 34;
/// Nobody but a person: behind a thing it opens a remark ("bread nobody ate").
pub(super) const SOMEBODY: Roles = 1 << 35;
/// One of the household: a remark only with what they did behind it ("pasta the kids left").
pub(super) const PERSON: Roles = 1 << 36;
/// What a person did or would not do with food.
pub(super) const ATE: Roles = 1 << 37;
/// Behind a number no more than that it counts: "4 pcs".
pub(super) const COUNTS: Roles = 1 << 38;
/// Stands between worms and what they were given: "my worms won't eat".
pub(super) const DOING: Roles = 1 << 39;

/// A word's roles, and its value if it is a number.
#[derive(Debug, Clone, Copy)]
pub(super) struct Gloss {
    pub(super) roles: Roles,
    pub(super) value: f64,
}

impl Gloss {
    pub(super) const NONE: Gloss = Gloss { roles: 0, value: 0.0 };
}

const ROLES: &[(Roles, &str)] = &[
    (AND, "and n 'n' 'n n' ’n’ ’n nd"),
    (AND | FOREIGN, "und et y e"),
    (OR, "or and/or nor"),
    (OR | FOREIGN, "oder ou o ni"),
    (WITH, "with w/ w containing topped"),
    (WITH | FOREIGN, "mit avec con"),
    (WITHOUT, "without w/o no neither minus except excluding excl sans nothing none zero"),
    (WITHOUT | NOT, "not never"),
    (NOT, "non"),
    (WITHOUT | FOREIGN, "ohne sin"),
    (INCLUDING, "including incl includes"),
    (SUCH, "like e.g e.g. eg i.e i.e. ie namely especially"),
    (OF, "of o'"),
    (OF | FOREIGN, "de del d' d’ von vom des du aus"),
    (FROM, "from out off"),
    (
        TAIL,
        "for until till into because if unless so at on in by through before after during per as preferably see \
         available than while i'm its will would should could can't don't do does once depending since using \
         starting but though although however via upon under over inside near needed desired just-in-case maybe \
         perhaps why what how only-if remember remove discard rinse make check please available works went came \
         comes arrived shed approximate wherever",
    ),
    (
        TAIL | RELATIVE,
        "that which who that's that’s whose you you've you’ve you'd i i've i’ve we we've we’ve they it it's it’s is \
         are was were",
    ),
    (TAIL | TO, "to"),
    (TO, "bis through"),
    (ARTICLE, "a an"),
    (
        DETERMINER,
        "the some my our your his her their this these those any every all both les el los las der die das dem den le la \
         mis mes mon ma mein meine",
    ),
    (
        APPROX,
        "about approximately approx around roughly circa ca nearly almost maybe perhaps least just only another environ \
         ungefähr etwa zirka aproximadamente casi",
    ),
    (
        SIZE,
        "small medium large big little tiny huge giant jumbo enormous massive medium-size medium-sized large-size \
         large-sized small-size small-sized extra-large extra-small thick thin heaping heaped level scant generous \
         good-size good-sized bite-size bite-sized size sized smallish largish long wide packed rounded fat \
         fist-sized palm-sized average average-sized lg sm med xl",
    ),
    (
        ADVERB,
        "finely freshly lightly coarsely roughly thinly thickly very slightly really quite too well nicely partly \
         partially mostly barely somewhat extremely carefully loosely tightly firmly gently newly recently \
         completely fully totally pretty heavily longer still already half-way nearly super so even just now fine \
         lengthwise crosswise diagonally",
    ),
    (
        PLAIN,
        "nice good best quality best-quality high-quality good-quality odd various assorted gross disgusting \
         squishy mealy manky icky smelly stinky yucky regular homemade homegrown home-made store-bought shop-bought \
         excess spare surplus remaining other others more most random occasional extra inedible unusable unwanted \
         boneless skinless lean extra-lean ripe unripe firm soft softish tender tough crisp cold warm lukewarm cool \
         cooled reheated chilled boiling hot room-temperature instant active quick-cooking nonfat non-fat low-fat \
         reduced-fat full-fat fat-free reduced-sodium low-sodium extra-virgin ready-cut prepared flaky kosher \
         coarse day's days' morning's evening's night yesterday's last week's today's tonight's own actual single entire generic standard \
         ordinary normal favourite favorite additional cheap uneaten half-eaten unfinished bought disposable \
         single-use throwaway stringy fibrous woody knobbly gnarly stuck stuck-on worm-safe worm-friendly papery \
         muddy dirty dusty sandy kid's kids' child's children's toddler's baby's son's daughter's husband's wife's \
         neighbour's neighbor's mum's mom's dad's grandma's grandpa's organic home-grown homegrown local natural \
         dead bone-in skin-on thick-cut thin-cut superfine pure new clean-ish lovely lots tasty fluffy melted \
         sifted crusty oval round-ish ready-made pre-cut added only chunky smooth creamy outer outermost inner \
         innermost wormy maggoty buggy bug-eaten slug-eaten insect-eaten bug-infested ant-infested insect-infested \
         fly-infested infested holey spotty freckled scarred dented leggy pithy nibbled gnawed finished them ones \
         monday tuesday wednesday thursday friday saturday sunday yesterday today tonight tomorrow monday's \
         tuesday's wednesday's thursday's friday's saturday's sunday's fallen windfall viejo vieja viejos viejas \
         vieux vieil vieille vieilles alt alte alter altes alten pequeño pequeña pequeños pequeñas petit petite \
         petits petites klein kleine kleiner kleines kleinen grande grandes grand grands gros grosse grosses groß \
         große großer großes großen maduro madura maduros maduras reif reife reifer reifes reifen mûr mûre mûrs \
         mûres mou molle mous molles blando blanda blandos blandas weich weiche weicher weiches weichen bagged \
         boxed love loves hate hates hated print prints printing writing logo logos spot spots speck specks hole holes \
         left mark marks blemish blemishes patch patches loose everything",
    ),
    (
        VAGUE,
        "few several many much couple plenty algunos algunas varios varias unos unas quelques plusieurs einige \
         etwas viele wenig wenige viel poco poca pocos pocas mucho mucha muchos muchas beaucoup",
    ),
    (
        SHARE,
        "amount amounts quantity quantities number lot lots load loads ton tons bit bits remnants rest remainder \
         most part parts majority bottom dregs couple plenty variety mixture mix selection assortment abundance \
         remains half-full some all stack stacks heaps scads masses batch batches sort kind kinds type types smidge \
         smidgen tad",
    ),
    (TIMES, "x times"),
    (EACH, "each apiece ea every"),
    (PLUS, "plus"),
    (
        VERB,
        "added adding add fed feed feeding gave give giving tossed threw chucked dumped put dropped ate eaten got \
         have had found used-up buried placed poured sprinkled tucked loved",
    ),
    (DONE, "removed discarded reserved attached intact included separated preferred optional"),
    (
        COLOUR,
        "red green yellow white black brown grey gray orange purple pink blue golden light dark sweet sour bitter \
         hot short long fresh dry plain wild spicy",
    ),
    (ETC, "etc etcetera whatever stuff-like ect"),
    (
        DID,
        "left softened beaten divided whipped deveined butterflied stemmed husked wiped patted tied packed heated \
         chilled frenched shucked picked scraped split separated squeezed juiced thawed-out tossed scored folded \
         mixed dissolved stirred sifted halved-lengthwise cooled warmed reduced removed reserved removed optional \
         taste garnish serving needed desired additional more extra enough plus see note notes",
    ),
    (TURNS, "gone going went turned turning got gotten getting become becoming"),
    (TAKEN, "taken cut scraped poured drained tipped pulled peeled picked torn ripped stripped trimmed"),
    (COVERS, "covered coated smothered drenched dipped soaked smeared contaminated mixed topped"),
    (SOMEBODY, "nobody no-one everyone everybody someone somebody anyone he she"),
    (COUNTS, "pcs pc nos stück stücke stk uds unidades unidad"),
    (
        PERSON,
        "kid kids child children toddler toddlers baby babies boy boys girl girls son sons daughter daughters \
         husband wife partner flatmate housemates guests neighbour neighbours neighbor neighbors family mum mom dad \
         grandma grandpa class students dog cat",
    ),
    (
        ATE,
        "didn't doesn't don't wouldn't won't couldn't can't hadn't hasn't haven't never left hated hates refused \
         rejected ate eats had has have threw spat dropped wanted was were is are brought gave only nibbled licked \
         chewed bit took likes liked",
    ),
    (
        DOING,
        "love loved like liked hate hated eat ate won't don't didn't not do did are were all over went go crazy mad \
         wild for prefer enjoy enjoyed devoured demolished finished ignore ignored avoid avoided refuse refused \
         really got get had",
    ),
];

const NUMBERS: &[(Roles, f64, &str)] = &[
    (NUMBER, 0.0, "zero"),
    (NUMBER, 1.0, "one ein eine einen uno una un une"),
    (NUMBER, 2.0, "two zwei dos deux"),
    (NUMBER, 3.0, "three drei tres trois"),
    (NUMBER, 4.0, "four vier cuatro quatre"),
    (NUMBER, 5.0, "five fünf cinco cinq"),
    (NUMBER, 6.0, "half-a-dozen half-dozen six sechs seis"),
    (NUMBER, 7.0, "seven sieben siete sept"),
    (NUMBER, 8.0, "eight acht ocho huit"),
    (NUMBER, 9.0, "nine neun nueve neuf"),
    (NUMBER, 10.0, "ten zehn diez dix"),
    (NUMBER, 11.0, "eleven"),
    (NUMBER, 12.0, "twelve"),
    (NUMBER, 13.0, "thirteen"),
    (NUMBER, 14.0, "fourteen"),
    (NUMBER, 15.0, "fifteen"),
    (NUMBER, 16.0, "sixteen"),
    (NUMBER, 17.0, "seventeen"),
    (NUMBER, 18.0, "eighteen"),
    (NUMBER, 19.0, "nineteen"),
    (NUMBER, 20.0, "twenty"),
    (NUMBER, 24.0, "twenty-four"),
    (NUMBER, 25.0, "twenty-five"),
    (NUMBER, 30.0, "thirty"),
    (NUMBER, 40.0, "forty"),
    (NUMBER, 50.0, "fifty"),
    (NUMBER, 100.0, "hundred"),
    (DOZEN, 12.0, "dozen dozens doz"),
    (FRACTION, 0.5, "half halves one-half halb halbe halber halbes halben medio media demi demie"),
    (FRACTION, 0.25, "quarter quarters one-quarter one-fourth"),
    (FRACTION, 1.0 / 3.0, "third thirds one-third"),
    (FRACTION, 2.0 / 3.0, "two-thirds two-third"),
    (FRACTION, 0.75, "three-quarters three-quarter three-fourths"),
];

#[allow(clippy::indexing_slicing, reason = "run by the compiler, which checks")]
static GLOSSES: Table<Gloss, 1000, 2048> = {
    let mut table = Table::new(Gloss::NONE);
    let mut row = 0;
    while row < ROLES.len() {
        let (roles, mut words) = ROLES[row];
        while let Some((word, more)) = first_word(words) {
            let at = table.place(word);
            table.values[at].roles |= roles;
            words = more;
        }
        row += 1;
    }
    let mut row = 0;
    while row < NUMBERS.len() {
        let (roles, value, mut words) = NUMBERS[row];
        while let Some((word, more)) = first_word(words) {
            let at = table.place(word);
            table.values[at].roles |= roles;
            table.values[at].value = value;
            words = more;
        }
        row += 1;
    }
    table
};

/// What a lower-case word does; nothing for most words.
pub(super) fn gloss(word: &str) -> Gloss {
    GLOSSES.get(word.as_bytes()).unwrap_or(Gloss::NONE)
}

/// Things that go black or brown when they are old, and things that go hard: only of these does
/// the colour or the hardness speak of age ("black bananas", but "black pepper").
const GO_DARK: &[&str] = &[
    "banana",
    "bananas",
    "avocado",
    "avocados",
    "avocadoes",
    "avo",
    "avos",
    "pear",
    "pears",
    "apple",
    "apples",
    "peach",
    "peaches",
    "plantain",
    "plantains",
    "mango",
    "mangoes",
    "mangos",
    "lettuce",
    "fruit",
    "fruits",
    "spot",
    "spots",
];
const GO_HARD: &[&str] = &[
    "bread",
    "crust",
    "crusts",
    "loaf",
    "loaves",
    "bun",
    "buns",
    "baguette",
    "toast",
    "bagel",
    "bagels",
    "cake",
    "muffin",
    "muffins",
    "tortilla",
    "tortillas",
    "biscuit",
    "biscuits",
    "cookie",
    "cookies",
    "heel",
    "heels",
];

/// Whether a word that only sometimes is a state is one of a thing whose last word is `head`.
pub(super) fn is_state_of(word: &str, head: &str) -> bool {
    match word {
        "black" | "brown" => GO_DARK.contains(&head),
        "hard" => GO_HARD.contains(&head),
        "dry" => !matches!(
            head,
            "wine" | "wines" | "sherry" | "vermouth" | "cider" | "champagne" | "prosecco" | "ale" | "beer"
        ),
        // Warm food, sharp food or a drink: too many meanings to be a state.
        "hot" | "off" => false,
        _ => true,
    }
}

/// The word for a picture of food.
pub(super) fn picture(c: char) -> Option<&'static str> {
    if (c as u32) < 0x1f000 && c != '☕' {
        return None;
    }
    let at = PICTURES.iter().find(|(p, _)| *p == c);
    at.map(|(_, word)| *word)
}

const PICTURES: &[(char, &str)] = &[
    ('🍇', "grapes"),
    ('🍈', "melon"),
    ('🍉', "watermelon"),
    ('🍊', "tangerine"),
    ('🍋', "lemon"),
    ('🍌', "banana"),
    ('🍍', "pineapple"),
    ('🥭', "mango"),
    ('🍎', "apple"),
    ('🍏', "apple"),
    ('🍐', "pear"),
    ('🍑', "peach"),
    ('🍒', "cherries"),
    ('🍓', "strawberry"),
    ('🫐', "blueberries"),
    ('🥝', "kiwi"),
    ('🍅', "tomato"),
    ('🫒', "olive"),
    ('🥥', "coconut"),
    ('🥑', "avocado"),
    ('🍆', "aubergine"),
    ('🥔', "potato"),
    ('🥕', "carrot"),
    ('🌽', "corn"),
    ('🌶', "chilli"),
    ('🫑', "bell pepper"),
    ('🥒', "cucumber"),
    ('🥬', "leafy greens"),
    ('🥦', "broccoli"),
    ('🧄', "garlic"),
    ('🧅', "onion"),
    ('🍄', "mushroom"),
    ('🥜', "peanuts"),
    ('🫘', "beans"),
    ('🌰', "chestnut"),
    ('🫚', "ginger"),
    ('🫛', "peas"),
    ('🍞', "bread"),
    ('🥐', "croissant"),
    ('🥖', "baguette"),
    ('🥨', "pretzel"),
    ('🥯', "bagel"),
    ('🥞', "pancakes"),
    ('🧇', "waffle"),
    ('🧀', "cheese"),
    ('🍖', "meat"),
    ('🍗', "chicken"),
    ('🥩', "meat"),
    ('🥓', "bacon"),
    ('🍔', "burger"),
    ('🍟', "french fries"),
    ('🍕', "pizza"),
    ('🌭', "hot dog"),
    ('🥪', "sandwich"),
    ('🌮', "taco"),
    ('🌯', "burrito"),
    ('🥚', "egg"),
    ('🍳', "fried egg"),
    ('🍲', "stew"),
    ('🥗', "salad"),
    ('🍿', "popcorn"),
    ('🧈', "butter"),
    ('🧂', "salt"),
    ('🍚', "rice"),
    ('🍛', "curry"),
    ('🍜', "noodles"),
    ('🍝', "spaghetti"),
    ('🍠', "sweet potato"),
    ('🍣', "sushi"),
    ('🍤', "shrimp"),
    ('🦀', "crab"),
    ('🦞', "lobster"),
    ('🦐', "shrimp"),
    ('🐟', "fish"),
    ('🍦', "ice cream"),
    ('🍩', "doughnut"),
    ('🍪', "biscuit"),
    ('🎂', "cake"),
    ('🍰', "cake"),
    ('🍫', "chocolate"),
    ('🍬', "sweets"),
    ('🍯', "honey"),
    ('🥛', "milk"),
    ('☕', "coffee"),
    ('🍵', "tea"),
    ('🎃', "pumpkin"),
    ('🍂', "leaves"),
    ('🍁', "leaves"),
    ('🌿', "herbs"),
    ('🌾', "straw"),
    ('🥣', "porridge"),
];
