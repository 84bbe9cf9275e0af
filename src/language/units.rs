//! Units of the rule language and what they measure.

/// What a fact or a constant measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dimension {
    /// Grams.
    Mass,
    /// A share, 0..1.
    Share,
    /// Degrees Celsius.
    Temperature,
    /// Centimetres.
    Length,
    /// Square metres.
    Area,
    /// Days.
    Time,
}

impl Dimension {
    /// What to call it.
    pub fn word(self) -> &'static str {
        match self {
            Dimension::Mass => "a mass",
            Dimension::Share => "a share",
            Dimension::Temperature => "a temperature",
            Dimension::Length => "a length",
            Dimension::Area => "an area",
            Dimension::Time => "a time",
        }
    }

    /// A unit to suggest.
    pub fn example(self) -> &'static str {
        match self {
            Dimension::Mass => "g, kg, oz or lb",
            Dimension::Share => "%, permille or ppm",
            Dimension::Temperature => "C or F",
            Dimension::Length => "cm, mm or in",
            Dimension::Area => "m2 or sqft",
            Dimension::Time => "days or weeks",
        }
    }
}

/// Grams in one of a unit of mass (avoirdupois ounce and pound: NIST Handbook 44, appendix C).
pub fn mass(unit: &str) -> Option<f64> {
    Some(match unit.to_ascii_lowercase().as_str() {
        "g" | "gram" | "grams" => 1.0,
        "kg" | "kilo" | "kilos" | "kilogram" | "kilograms" => 1000.0,
        "mg" => 0.001,
        "oz" | "ounce" | "ounces" => 28.349_523_125,
        "lb" | "lbs" | "pound" | "pounds" => 453.592_37,
        _ => return None,
    })
}

/// A number of a unit, in the dimension's own unit.
pub fn convert(number: f64, unit: &str) -> Option<(f64, Dimension)> {
    if let Some(factor) = mass(unit) {
        return Some((number * factor, Dimension::Mass));
    }
    Some(match unit.to_ascii_lowercase().as_str() {
        "%" | "percent" => (number / 100.0, Dimension::Share),
        "permille" => (number / 1000.0, Dimension::Share),
        "ppm" => (number / 1e6, Dimension::Share),
        "c" | "°c" | "celsius" => (number, Dimension::Temperature),
        "f" | "°f" | "fahrenheit" => ((number - 32.0) * 5.0 / 9.0, Dimension::Temperature),
        "cm" => (number, Dimension::Length),
        "mm" => (number / 10.0, Dimension::Length),
        "in" | "inch" | "inches" => (number * 2.54, Dimension::Length),
        "m2" | "m²" => (number, Dimension::Area),
        "sqft" => (number * 0.092_903_04, Dimension::Area),
        "day" | "days" => (number, Dimension::Time),
        "week" | "weeks" => (number * 7.0, Dimension::Time),
        "month" | "months" => (number * 30.4375, Dimension::Time),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mixed_units_compare_rightly() {
        assert_eq!(convert(1.0, "lb"), Some((453.592_37, Dimension::Mass)));
        assert_eq!(convert(16.0, "oz").map(|(v, _)| (v * 1e6).round() / 1e6), convert(1.0, "lb").map(|(v, _)| v));
        assert_eq!(convert(212.0, "F"), Some((100.0, Dimension::Temperature)));
        assert_eq!(convert(2.0, "weeks"), Some((14.0, Dimension::Time)));
        assert_eq!(convert(2.0, "florins"), None);
    }
}
