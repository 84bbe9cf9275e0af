//! The household's settings, and what holds where nobody set them.

use super::conditions::ppm;
use super::{Check, STARTER_WORMS};
use crate::bag::Mg;
use crate::fault::{Fault, nearest};
use crate::language::book::*;
use crate::language::syntax::{self as syn, At, Layer, Side};
use crate::language::units::{Dimension, convert};

pub(super) fn defaults() -> Settings {
    Settings {
        a_little: (Allowance::Share(100_000), Layer::Base),
        worms: (STARTER_WORMS, Layer::Base),
        stance: (Side::Lenient, Layer::Base),
        grit_ppm: (10_000, Layer::Base),
        indoors: None,
        temperature_c: None,
        area_m2: None,
        age_days: None,
    }
}

impl Check<'_> {
    pub(super) fn setting(&mut self, setting: &syn::SettingBlock, layer: Layer, out: &mut Settings) {
        let name = setting.name.value.as_str();
        let value = &setting.value;
        let quantity = |dimension: Dimension| match &value.value {
            syn::SettingValue::Amount(a) => convert(a.number, &a.unit).filter(|(_, d)| *d == dimension).map(|(v, _)| v),
            syn::SettingValue::Word(_) => None,
        };
        let word = match &value.value {
            syn::SettingValue::Word(w) => w.as_str(),
            syn::SettingValue::Amount(_) => "",
        };
        let wants = match name {
            "a little" => {
                if let syn::SettingValue::Amount(a) = &value.value {
                    if let Some(allowance) = self.allowance(&At { value: a.clone(), span: value.span }) {
                        out.a_little = (allowance, layer);
                    }
                    return;
                }
                "an amount such as `8 % of the food`"
            }
            "worms" => match quantity(Dimension::Mass).filter(|g| *g > 0.0 && *g <= 1e6) {
                Some(g) => {
                    out.worms = (Mg::from_grams(g), layer);
                    return;
                }
                None => "a mass such as 900 g",
            },
            "stance" => match word {
                "strict" => {
                    out.stance = (Side::Strict, layer);
                    return;
                }
                "lenient" => {
                    out.stance = (Side::Lenient, layer);
                    return;
                }
                _ => "`lenient` or `strict`",
            },
            "grit" => match quantity(Dimension::Share).filter(|s| (0.0..=1.0).contains(s)) {
                Some(s) => {
                    out.grit_ppm = (ppm(s * 100.0), layer);
                    return;
                }
                None => "a share such as `1 % of the food`",
            },
            "bin" => match word {
                "indoors" | "outdoors" => {
                    out.indoors = Some(word == "indoors");
                    return;
                }
                _ => "`indoors` or `outdoors`",
            },
            "temperature" => match quantity(Dimension::Temperature).filter(|t| (-50.0..=80.0).contains(t)) {
                Some(t) => {
                    out.temperature_c = Some(t);
                    return;
                }
                None => "a temperature such as 20 C or 68 F",
            },
            "area" => match quantity(Dimension::Area).filter(|a| *a > 0.0 && *a < 1e4) {
                Some(a) => {
                    out.area_m2 = Some(a);
                    return;
                }
                None => "an area such as 0.25 m2 or 2 sqft",
            },
            "age" => match quantity(Dimension::Time) {
                Some(d) => {
                    out.age_days = Some(d);
                    return;
                }
                None => "a time such as 6 weeks",
            },
            _ => {
                let all = ["a little", "worms", "stance", "grit", "bin", "temperature", "area", "age"];
                let help = nearest(name, all)
                    .map_or_else(|| format!("settings are {}", all.join(", ")), |n| format!("did you mean `{n}`?"));
                self.faults.push(
                    Fault::error("unknown-setting", format!("I do not know the setting `{name}`"), setting.name.span)
                        .help(help),
                );
                return;
            }
        };
        self.faults.push(
            Fault::error("bad-setting", format!("`{name}` cannot be this"), value.span).help(format!("write {wants}")),
        );
    }
}
