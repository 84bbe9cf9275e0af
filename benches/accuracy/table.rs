//! Labelled CSV files, and shares of them.

pub(crate) struct Table {
    head: Vec<String>,
    pub(crate) rows: Vec<Vec<String>>,
}

impl Table {
    /// Reads RFC 4180 text with a header line.
    pub(crate) fn parse(text: &str) -> Table {
        let (mut rows, mut row, mut cell, mut quoted) = (Vec::new(), Vec::new(), String::new(), false);
        let mut chars = text.chars().peekable();
        while let Some(c) = chars.next() {
            match c {
                '"' if quoted && chars.peek() == Some(&'"') => {
                    chars.next();
                    cell.push('"');
                }
                '"' => quoted = !quoted,
                ',' if !quoted => row.push(std::mem::take(&mut cell)),
                '\n' if !quoted => {
                    row.push(std::mem::take(&mut cell));
                    rows.push(std::mem::take(&mut row));
                }
                '\r' if !quoted => {}
                c => cell.push(c),
            }
        }
        if !cell.is_empty() || !row.is_empty() {
            row.push(cell);
            rows.push(row);
        }
        let head = if rows.is_empty() { Vec::new() } else { rows.remove(0) };
        rows.retain(|r: &Vec<String>| r.len() == head.len());
        Table { head, rows }
    }

    pub(crate) fn get<'a>(&self, row: &'a [String], column: &str) -> &'a str {
        self.head.iter().position(|h| h == column).and_then(|i| row.get(i)).map_or("", String::as_str)
    }
}

pub(crate) struct Share(pub(crate) f64, pub(crate) f64);

impl std::fmt::Display for Share {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:5.1} % ({} of {})", 100.0 * self.0 / self.1.max(1.0), self.0, self.1)
    }
}

pub(crate) fn same_unit(read: &str, label: &str) -> bool {
    let short = match label.to_lowercase().trim_end_matches('s') {
        "tablespoon" => "tbsp",
        "teaspoon" => "tsp",
        "ounce" => "oz",
        "pound" => "lb",
        "gram" => "g",
        "kilogram" => "kg",
        "milliliter" | "millilitre" => "ml",
        "liter" | "litre" => "l",
        "pint" => "pt",
        "quart" => "qt",
        "gallon" => "gal",
        "fluid ounce" => "fl_oz",
        "leave" => "leaf",
        "loave" => "loaf",
        _ => "",
    };
    let label = label.to_lowercase();
    read == short || read == label || read == label.trim_end_matches('s') || read == label.trim_end_matches("es")
}
