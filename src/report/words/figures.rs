//! Masses and shares in words: rounded as a person reads them, and in hands, bowls and spoons.

use super::tied;
use crate::language::{Allowance, Basis, Book};

/// Grams in a handful of dry shredded card (ours: a loosely filled hand).
pub const HANDFUL_G: f64 = 30.0;
/// Grams in a soup bowl of mixed scraps (ours: half a litre, loosely filled).
pub const BOWL_G: f64 = 350.0;
/// Grams in a tablespoon of grit (ours: 15 ml of crushed shell or sand).
pub const SPOON_G: f64 = 20.0;

/// A number without needless decimals.
pub fn number(n: f64) -> String {
    let text = if n.abs() >= 100.0 || (n - n.round()).abs() < 1e-9 {
        format!("{n:.0}")
    } else if n.abs() >= 0.095 {
        format!("{n:.1}")
    } else {
        format!("{n:.2}")
    };
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}

/// A mass: `735 g`, `1.6 kg`.
pub fn grams(g: f64) -> String {
    tied(&if g <= 0.0 {
        "0 g".to_string()
    } else if g < 0.95 {
        "under 1 g".to_string()
    } else if g < 999.5 {
        format!("{g:.0} g")
    } else if g < 99_950.0 {
        format!("{} kg", number((g / 100.0).round() / 10.0))
    } else {
        format!("{:.0} kg", g / 1000.0)
    })
}

/// As [`grams`], never more than there is.
pub fn grams_at_most(g: f64) -> String {
    grams(if g >= 1000.0 {
        (g / 100.0 + 1e-9).floor() * 100.0
    } else {
        (g + 1e-6).floor().max(if g > 0.0 { 0.5 } else { 0.0 })
    })
}

/// A share: `83 %`.
pub fn percent(share: f64) -> String {
    tied(&format!("{} %", number((share * 1000.0).round() / 10.0)))
}

/// A share as a whole percentage.
pub fn whole_percent(share: f64) -> String {
    tied(&format!("{:.0} %", share * 100.0))
}

/// A share in words that are rough: `about three quarters`.
pub fn about(share: f64) -> &'static str {
    const WORDS: [(f64, &str); 11] = [
        (0.1, "about a tenth"),
        (0.2, "about a fifth"),
        (0.25, "about a quarter"),
        (1.0 / 3.0, "about a third"),
        (0.4, "about two fifths"),
        (0.5, "about half"),
        (0.6, "about three fifths"),
        (2.0 / 3.0, "about two thirds"),
        (0.75, "about three quarters"),
        (0.8, "about four fifths"),
        (0.9, "about nine tenths"),
    ];
    if share <= 0.0 {
        "none"
    } else if share < 0.065 {
        "hardly any"
    } else if share >= 0.9995 {
        "all"
    } else if share > 0.94 {
        "nearly all"
    } else {
        WORDS.iter().min_by(|a, b| (a.0 - share).abs().total_cmp(&(b.0 - share).abs())).map_or("", |w| w.1)
    }
}

/// A share that was written, exactly: `a tenth`, `8 %`.
pub fn exact_share(ppm: i64) -> String {
    let words = match ppm {
        50_000 => "a twentieth",
        100_000 => "a tenth",
        200_000 => "a fifth",
        250_000 => "a quarter",
        500_000 => "half",
        #[allow(clippy::cast_precision_loss, reason = "a share is at most a million")]
        _ => return percent(ppm as f64 / 1e6),
    };
    words.to_string()
}

/// How much of a class may go in.
pub fn allowance(a: &Allowance, book: &Book) -> String {
    match book.amount(a) {
        Allowance::Share(ppm) => format!("up to {} of what you feed", exact_share(*ppm)),
        Allowance::Mass(mass, basis) => {
            let per = match basis {
                Basis::Feeding => "at a feeding",
                Basis::Worms => "for each kg of worms",
                Basis::Area => "for each square metre of bin",
                Basis::Week => "in a week",
            };
            format!("up to {} {per}", grams(mass.grams()))
        }
        Allowance::ALittle => "a little".to_string(),
    }
}

/// Dry bedding in hands and buckets.
pub fn handfuls(g: f64) -> String {
    let n = g / HANDFUL_G;
    if n < 0.25 {
        "a pinch".to_string()
    } else if n < 0.75 {
        "half a handful".to_string()
    } else if n < 1.5 {
        "a handful".to_string()
    } else {
        tied(&format!("{n:.0} handfuls"))
    }
}

/// Food in bowls.
pub fn bowls(g: f64) -> String {
    let n = g / BOWL_G;
    if n < 0.35 {
        "a handful or two".to_string()
    } else if n < 0.75 {
        "half a soup bowl".to_string()
    } else if n < 1.5 {
        "a soup bowl".to_string()
    } else if n < 6.5 {
        tied(&format!("{n:.0} soup bowls"))
    } else {
        grams(g)
    }
}

/// Grit in spoons.
pub fn spoons(g: f64) -> String {
    let n = g / SPOON_G;
    if n < 0.25 {
        "a pinch".to_string()
    } else if n < 0.6 {
        "a teaspoon".to_string()
    } else if n < 1.5 {
        "a tablespoon".to_string()
    } else {
        tied(&format!("{n:.0} tablespoons"))
    }
}

/// How wet a mix of that moisture feels in the hand.
pub fn feel(moisture: f64) -> &'static str {
    if moisture < 0.55 {
        "dry"
    } else if moisture < 0.695 {
        "barely damp"
    } else if moisture < 0.805 {
        "a wrung sponge"
    } else if moisture < 0.88 {
        "wet: it drips when squeezed"
    } else {
        "soaking"
    }
}
