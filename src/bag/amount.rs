//! Numbers, and the one table of units.
//!
//! Owns: [`Mg`], the integer milligrams all masses are kept in; [`Unit`], the units a list can
//! name; conversions (grams, millilitres).

use serde::{Deserialize, Serialize};

use super::table::{Table, first_word};

/// A mass in whole milligrams, so that equality at a cap cannot depend on the order of a sum.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub struct Mg(pub i64);

impl Mg {
    /// The nearest milligram; not-a-number and negative masses become zero, and a mass is at most
    /// a million tonnes.
    pub fn from_grams(grams: f64) -> Self {
        let mg = (grams * 1000.0).round();
        // NaN fails both comparisons and lands on zero.
        if mg >= 1e15 {
            Mg(1_000_000_000_000_000)
        } else if mg > 0.0 {
            #[allow(clippy::cast_possible_truncation, reason = "bounded by the comparison above")]
            Mg(mg as i64)
        } else {
            Mg(0)
        }
    }

    /// In grams.
    #[allow(clippy::cast_precision_loss, reason = "masses stay below 2^53 milligrams")]
    pub fn grams(self) -> f64 {
        self.0 as f64 / 1000.0
    }
}

impl std::iter::Sum for Mg {
    fn sum<I: Iterator<Item = Mg>>(iter: I) -> Mg {
        iter.fold(Mg(0), |a, b| Mg(a.0.saturating_add(b.0)))
    }
}

/// A number, or a range of numbers, as written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// The number, or the range's low end.
    pub low: f64,
    /// The range's high end.
    pub high: Option<f64>,
}

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measure {
    /// Mass; grams in one.
    Mass(f64),
    /// Volume; millilitres in one.
    Volume(f64),
    /// A count word: clove, head, slice, handful, bag.
    Count,
}

/// A unit as read, in its printed singular form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// `g kg mg oz lb ml l tsp tbsp cup fl_oz pt qt gal`, or a singular English count word.
    pub name: &'static str,
    /// What it measures.
    pub measure: Measure,
}

/// The size of each of several, as in "2 x 400 g" or "1 28-ounce can".
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Each {
    /// How much in one.
    pub amount: f64,
    /// Of which unit: mass or volume.
    pub unit: Unit,
}

impl Unit {
    /// How many of `other` one of this is; `None` if they measure different things.
    pub fn in_terms_of(self, other: Unit) -> Option<f64> {
        match (self.measure, other.measure) {
            (Measure::Mass(a), Measure::Mass(b)) | (Measure::Volume(a), Measure::Volume(b)) => Some(a / b),
            (Measure::Count, Measure::Count) if self.name == other.name => Some(1.0),
            _ => None,
        }
    }

    /// True for a mass or a volume.
    pub fn is_measured(self) -> bool {
        !matches!(self.measure, Measure::Count)
    }
}

/// Where a unit word may stand and what it may mean there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Place {
    /// Abbreviations that mean a unit only behind a number: g, c, l.
    NeedsNumber,
    /// A measure wherever it opens a piece: cup, pinch, handful.
    Anywhere,
    /// A holder or a shape: a unit before the name.
    Holder,
    /// A holder that is thrown away: packaging behind the name ("juice box") or before `from`.
    Packaging,
    /// A piece: a unit before the name or, where `name` alone is known, behind it ("garlic cloves").
    Piece,
    /// As `Piece`, but a known whole name wins ("fish sticks").
    WeakPiece,
}

impl Place {
    /// Whether it holds a thing, or is a shape of one.
    pub(crate) fn holds(self) -> bool {
        matches!(self, Place::Holder | Place::Packaging)
    }
}

/// A unit word: the unit, by how much its number is to be multiplied, and where it may stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct UnitWord {
    pub(crate) unit: Unit,
    pub(crate) times: f64,
    pub(crate) place: Place,
}

/// Grams in an avoirdupois ounce and pound, millilitres in the US customary measures.
const OUNCE: f64 = 28.349_523_125;
const POUND: f64 = 453.592_37;
const FLUID_OUNCE: f64 = 29.573_529_562_5;
const TEASPOON: f64 = 4.928_921_593_75;
const TABLESPOON: f64 = 14.786_764_781_25;
const CUP: f64 = 236.588_236_5;
/// Inches in a centimetre.
const CENTIMETRE: f64 = 1.0 / 2.54;

const MEASURED: &[(&str, Measure, Place, &str)] = &[
    ("g", Measure::Mass(1.0), Place::NeedsNumber, "g gr grs gm gms grm"),
    ("g", Measure::Mass(1.0), Place::Anywhere, "gram grams gramme grammes gramm gramo gramos"),
    ("kg", Measure::Mass(1000.0), Place::NeedsNumber, "kg kgs kilo kilos"),
    (
        "kg",
        Measure::Mass(1000.0),
        Place::Anywhere,
        "kilogram kilograms kilogramme kilogrammes kilogramm kilogramo kilogramos",
    ),
    ("mg", Measure::Mass(0.001), Place::NeedsNumber, "mg milligram milligrams"),
    ("oz", Measure::Mass(OUNCE), Place::NeedsNumber, "oz ozs onz"),
    ("oz", Measure::Mass(OUNCE), Place::Anywhere, "ounce ounces"),
    ("lb", Measure::Mass(POUND), Place::NeedsNumber, "lb lbs"),
    ("lb", Measure::Mass(POUND), Place::Anywhere, "pound pounds libra libras"),
    ("ml", Measure::Volume(1.0), Place::NeedsNumber, "ml mls cc millilitre millilitres milliliter milliliters"),
    ("l", Measure::Volume(1000.0), Place::NeedsNumber, "l ltr ltrs lt"),
    ("l", Measure::Volume(1000.0), Place::Anywhere, "litre litres liter liters litro litros"),
    ("tsp", Measure::Volume(TEASPOON), Place::NeedsNumber, "t"),
    (
        "tsp",
        Measure::Volume(TEASPOON),
        Place::Anywhere,
        "tsp tsps teaspoon teaspoons teaspoonful teaspoonfuls teasp teelöffel cucharadita cucharaditas",
    ),
    (
        "tbsp",
        Measure::Volume(TABLESPOON),
        Place::Anywhere,
        "tbsp tbsps tbs tbl tbls tblsp tbspn tablespoon tablespoons tablespoonful tablespoonfuls tablesp esslöffel cucharada cucharadas",
    ),
    ("cup", Measure::Volume(CUP), Place::NeedsNumber, "c"),
    ("cup", Measure::Volume(CUP), Place::Anywhere, "cup cups cupful cupfuls cupsful taza tazas tasse tasses tassen"),
    ("fl_oz", Measure::Volume(FLUID_OUNCE), Place::NeedsNumber, "floz"),
    ("pt", Measure::Volume(2.0 * CUP), Place::NeedsNumber, "pt pts"),
    ("pt", Measure::Volume(2.0 * CUP), Place::Anywhere, "pint pints"),
    ("qt", Measure::Volume(4.0 * CUP), Place::NeedsNumber, "qt qts"),
    ("qt", Measure::Volume(4.0 * CUP), Place::Anywhere, "quart quarts"),
    ("gal", Measure::Volume(16.0 * CUP), Place::NeedsNumber, "gal gals"),
    ("gal", Measure::Volume(16.0 * CUP), Place::Anywhere, "gallon gallons"),
];

/// Multiples and halves of a printed unit: a decilitre is printed as 100 ml, a German pound as half a kilogram.
const MULTIPLES: &[(&str, Measure, f64, &str)] = &[
    ("ml", Measure::Volume(1.0), 100.0, "dl decilitre decilitres deciliter deciliters"),
    ("ml", Measure::Volume(1.0), 10.0, "cl centilitre centilitres centiliter centiliters"),
    ("g", Measure::Mass(1.0), 100.0, "hg"),
    ("lb", Measure::Mass(POUND), 0.5, "half-pound half-pounds"),
    ("kg", Measure::Mass(1000.0), 0.5, "half-kilo half-kilos pfund"),
    ("pt", Measure::Volume(2.0 * CUP), 0.5, "half-pint half-pints"),
    ("cup", Measure::Volume(CUP), 0.5, "half-cup half-cups"),
    ("inch", Measure::Count, CENTIMETRE, "cm cms centimetre centimetres centimeter centimeters zentimeter"),
    ("inch", Measure::Count, CENTIMETRE / 10.0, "mm millimetre millimetres millimeter millimeters"),
];

const COUNTED: &[(&str, Place, &str)] = &[
    ("clove", Place::Piece, "cloves gousse gousses zehe zehen diente dientes"),
    ("head", Place::WeakPiece, "heads kopf köpfe cabeza cabezas tête têtes"),
    (
        "slice",
        Place::Piece,
        "slices scheibe scheiben tranche tranches rebanada rebanadas rodaja rodajas loncha lonchas tajada tajadas rondelle rondelles",
    ),
    ("bunch", Place::Piece, "bunches bund manojo manojos atado atados botte bottes bündel"),
    ("ear", Place::Piece, "ears"),
    ("sprig", Place::Piece, "sprigs zweig zweige ramita ramitas brin brins"),
    ("stalk", Place::Piece, "stalks stange stangen"),
    ("rib", Place::WeakPiece, "ribs"),
    ("bulb", Place::Piece, "bulbs knolle knollen"),
    ("stick", Place::WeakPiece, "sticks"),
    ("leaf", Place::WeakPiece, "leaves"),
    ("wedge", Place::WeakPiece, "wedges"),
    ("fillet", Place::WeakPiece, "fillets filet filets"),
    ("strip", Place::WeakPiece, "strips"),
    ("rasher", Place::Piece, "rashers"),
    ("segment", Place::Piece, "segments"),
    ("chunk", Place::WeakPiece, "chunks"),
    (
        "piece",
        Place::Piece,
        "pieces stück stücke stücken trozo trozos pedazo pedazos morceau morceaux stückchen trocito trocitos cacho cachos",
    ),
    ("cube", Place::WeakPiece, "cubes"),
    ("spear", Place::WeakPiece, "spears"),
    ("floret", Place::WeakPiece, "florets"),
    ("branch", Place::WeakPiece, "branches"),
    ("frond", Place::WeakPiece, "fronds"),
    ("sheet", Place::Piece, "sheets"),
    ("knob", Place::Holder, "knobs"),
    ("inch", Place::Holder, "inches \" ″"),
    ("can", Place::Packaging, "cans boîte boîtes"),
    ("tin", Place::Packaging, "tins dose dosen lata latas"),
    ("bottle", Place::Packaging, "bottles flasche flaschen botella botellas bouteille bouteilles"),
    ("jar", Place::Packaging, "jars tarro tarros frasco frascos bocal bocaux bote botes einmachglas"),
    ("box", Place::Packaging, "boxes shoebox shoeboxes caja cajas schachtel schachteln"),
    ("package", Place::Packaging, "packages pkg pkgs packung packungen paquete paquetes paquet paquets"),
    ("packet", Place::Packaging, "packets"),
    ("pack", Place::Packaging, "packs"),
    ("bag", Place::Packaging, "bags bagful bagfuls liner liners net nets tüte tüten beutel bolsa bolsas sac sacs"),
    ("sack", Place::Packaging, "sacks saco sacos costal costales säcke"),
    ("carton", Place::Packaging, "cartons"),
    (
        "container",
        Place::Packaging,
        "containers lunchbox lunchboxes táper túper tupper recipiente recipientes behälter",
    ),
    ("tub", Place::Packaging, "tubs becher tarrina tarrinas"),
    ("pot", Place::Packaging, "pots topf töpfe olla ollas cazuela cazuelas"),
    ("tray", Place::Packaging, "trays bandeja bandejas plateau plateaux"),
    ("punnet", Place::Packaging, "punnets barquette barquettes schälchen"),
    ("basket", Place::Packaging, "baskets trug trugs cesta cestas panier paniers korb körbe"),
    ("tube", Place::Packaging, "tubes"),
    ("envelope", Place::Packaging, "envelopes"),
    ("sachet", Place::Packaging, "sachets"),
    ("pouch", Place::Packaging, "pouches"),
    ("crate", Place::Packaging, "crates kiste kisten cajón cajones caisse caisses cageot cageots"),
    (
        "bowl",
        Place::Holder,
        "bowls bowlful bowlfuls katori katoris colander colanders schüssel schüsseln cuenco cuencos bol bols tazón tazones ensaladera ensaladeras saladier saladiers",
    ),
    (
        "bucket",
        Place::Holder,
        "buckets bucketful bucketfuls pail pails eimer balde baldes seau seaux cubo cubos cubeta cubetas bassine bassines",
    ),
    ("caddy", Place::Holder, "caddies"),
    ("plate", Place::Holder, "plates plateful platefuls plato platos teller assiette assiettes"),
    ("glass", Place::Holder, "glasses glassful vaso vasos verre verres copa copas"),
    ("mug", Place::Holder, "mugs mugful"),
    ("jug", Place::Holder, "jugs krug kanne kannen jarra jarras carafe carafes pichet pichets"),
    ("pan", Place::Holder, "panful"),
    ("loaf", Place::Piece, "loaves"),
    ("roll", Place::Holder, "rolls"),
    ("cake", Place::Holder, "cakes"),
    ("bar", Place::Holder, "bars"),
    ("brick", Place::Holder, "bricks"),
    ("block", Place::Holder, "blocks"),
    ("slab", Place::Holder, "slabs"),
    ("rack", Place::Holder, "racks"),
    ("side", Place::Holder, "sides"),
    ("ball", Place::Holder, "balls"),
    ("log", Place::Holder, "logs"),
    ("wheel", Place::Holder, "wheels"),
    ("round", Place::Holder, "rounds"),
    ("lump", Place::Holder, "lumps"),
    ("clump", Place::Holder, "clumps"),
    ("pile", Place::Holder, "piles"),
    ("heap", Place::Holder, "heaps haufen montón montones tas"),
    ("layer", Place::Holder, "layers"),
    ("mass", Place::Holder, "masses"),
    ("serving", Place::Holder, "servings"),
    ("portion", Place::Holder, "portions portionen porción porciones ración raciones"),
    ("helping", Place::Holder, "helpings"),
    ("shot", Place::Holder, "shots"),
    ("spoonful", Place::Anywhere, "spoonfuls"),
    ("scoop", Place::Holder, "scoops"),
    ("ladle", Place::Holder, "ladles ladleful kelle kellen cucharón cucharones louche louches"),
    ("pinch", Place::Anywhere, "pinches prise pizca pincée prisen pizcas pincées"),
    ("dash", Place::Anywhere, "dashes"),
    ("splash", Place::Anywhere, "splashes chorro chorros chorrito schuss spritzer"),
    ("drizzle", Place::Anywhere, ""),
    ("sprinkle", Place::Anywhere, "sprinkling"),
    ("drop", Place::Holder, "drops gota gotas tropfen goutte gouttes"),
    ("dollop", Place::Anywhere, "dollops"),
    ("grind", Place::Holder, ""),
    ("handful", Place::Anywhere, "handfuls handsful handvoll puñado puñados poignée poignées"),
    ("fistful", Place::Anywhere, "fistfuls"),
    ("armful", Place::Anywhere, "armfuls brassée brassées brazada brazadas"),
    ("shovel", Place::Holder, "shovels shovelful shovelfuls spadeful spadefuls"),
    ("trowel", Place::Holder, "trowels trowelful trowelfuls dustpanful"),
    ("load", Place::Holder, "loads"),
    ("barrow", Place::Holder, "barrows barrowload wheelbarrow wheelbarrows"),
];

const NO_UNIT: UnitWord =
    UnitWord { unit: Unit { name: "", measure: Measure::Count }, times: 1.0, place: Place::NeedsNumber };

#[allow(clippy::indexing_slicing, reason = "run by the compiler, which checks")]
static UNITS: Table<UnitWord, 640, 2048> = {
    let mut table = Table::new(NO_UNIT);
    let mut row = 0;
    while row < MEASURED.len() {
        let (name, measure, place, words) = MEASURED[row];
        let unit = UnitWord { unit: Unit { name, measure }, times: 1.0, place };
        put_all(&mut table, words, unit);
        row += 1;
    }
    let mut row = 0;
    while row < MULTIPLES.len() {
        let (name, measure, times, words) = MULTIPLES[row];
        let unit = UnitWord { unit: Unit { name, measure }, times, place: Place::NeedsNumber };
        put_all(&mut table, words, unit);
        row += 1;
    }
    let mut row = 0;
    while row < COUNTED.len() {
        let (name, place, words) = COUNTED[row];
        let unit = UnitWord { unit: Unit { name, measure: Measure::Count }, times: 1.0, place };
        put_all(&mut table, words, unit);
        put_all(&mut table, name, unit);
        row += 1;
    }
    table
};

#[allow(clippy::indexing_slicing, reason = "run by the compiler, which checks")]
const fn put_all<const WORDS: usize, const SLOTS: usize>(
    table: &mut Table<UnitWord, WORDS, SLOTS>,
    words: &'static str,
    unit: UnitWord,
) {
    let mut words = words;
    while let Some((word, more)) = first_word(words) {
        let at = table.place(word);
        table.values[at] = unit;
        words = more;
    }
}

/// All count words that a unit may be, singular.
pub fn count_words() -> impl Iterator<Item = &'static str> {
    COUNTED.iter().map(|(name, _, _)| *name)
}

/// Every written form of every unit.
pub(crate) fn unit_words() -> impl Iterator<Item = &'static str> {
    let measured =
        MEASURED.iter().map(|(_, _, _, words)| *words).chain(MULTIPLES.iter().map(|(_, _, _, words)| *words));
    let counted = COUNTED.iter().flat_map(|(name, _, words)| [*name, *words]);
    measured.chain(counted).flat_map(str::split_whitespace)
}

/// The unit that a lower-case word names.
pub(crate) fn unit_word(word: &str) -> Option<UnitWord> {
    UNITS.get(word.as_bytes())
}

/// The unit that a lower-case word of at least four letters names but for one slip behind its first letter, if
/// all that are as near agree.
pub(crate) fn misspelt_unit_word(word: &str) -> Option<UnitWord> {
    let near = |unit: &&str| {
        unit.len().abs_diff(word.len()) < 2
            && unit.chars().next() == word.chars().next()
            && strsim::osa_distance(unit, word) == 1
    };
    let mut all = unit_words().filter(near).filter_map(unit_word);
    let first = all.next()?;
    all.all(|other| other.unit.name == first.unit.name).then_some(first)
}

/// A tablespoon: a capital `T`, or the `EL` of German recipes, which lower case would lose.
pub(crate) const TABLESPOONS: UnitWord = UnitWord {
    unit: Unit { name: "tbsp", measure: Measure::Volume(TABLESPOON) },
    times: 1.0,
    place: Place::NeedsNumber,
};

/// A teaspoon: the `TL` of German recipes.
pub(crate) const TEASPOONS: UnitWord =
    UnitWord { unit: Unit { name: "tsp", measure: Measure::Volume(TEASPOON) }, times: 1.0, place: Place::NeedsNumber };

/// A French pound of the market: half a kilogram (`common practice`).
pub(crate) const HALF_KILOS: UnitWord =
    UnitWord { unit: Unit { name: "kg", measure: Measure::Mass(1000.0) }, times: 0.5, place: Place::NeedsNumber };

/// A fluid ounce, written as two words.
pub(crate) const FLUID_OUNCES: UnitWord = UnitWord {
    unit: Unit { name: "fl_oz", measure: Measure::Volume(FLUID_OUNCE) },
    times: 1.0,
    place: Place::NeedsNumber,
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_have_one_printed_name() {
        for (word, name) in
            [("tablespoons", "tbsp"), ("lbs", "lb"), ("cloves", "clove"), ("kilo", "kg"), ("loaves", "loaf")]
        {
            assert_eq!(unit_word(word).map(|u| u.unit.name), Some(name), "{word}");
        }
        assert_eq!(unit_word("banana"), None);
    }

    #[test]
    fn sixteen_tablespoons_are_a_cup() {
        let (spoon, cup) = (unit_word("tbsp").unwrap().unit, unit_word("cup").unwrap().unit);
        assert!((cup.in_terms_of(spoon).unwrap() - 16.0).abs() < 1e-9);
        assert_eq!(cup.in_terms_of(unit_word("g").unwrap().unit), None);
    }

    #[test]
    fn masses_are_bounded() {
        assert_eq!(Mg::from_grams(f64::NAN), Mg(0));
        assert_eq!(Mg::from_grams(-3.0), Mg(0));
        assert_eq!(Mg::from_grams(f64::INFINITY), Mg(1_000_000_000_000_000));
    }
}
