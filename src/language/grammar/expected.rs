//! What a line that is no sentence of the language should have said, in words for a person.

use super::{HEADS, Logical, Reader, Rule, first_word};
use crate::fault::{Fault, Span, nearest};

/// What people write before they know the language, by what they would write then.
const MEANT: &[(&str, &[&str])] = &[
    ("keep out", &["never", "avoid", "exclude", "ban", "banned", "forbid", "forbidden", "no", "not", "stop", "bad"]),
    ("welcome", &["ok", "okay", "yes", "fine", "good", "feed", "accept", "always"]),
    ("allow up to 10 % of the food", &["max", "maximum", "limit", "most", "only", "up"]),
    ("because", &["why", "reason", "since"]),
    ("advise", &["note", "tip", "hint", "do", "try"]),
    ("when", &["if", "unless", "where"]),
    ("needs", &["must", "require", "requires", "prepare", "first"]),
    ("about", &["for", "on", "subject", "matches"]),
    ("hazard", &["warn", "warning", "danger", "careful"]),
    ("replaces", &["override", "overrides", "instead"]),
    ("setting a little = 10 % of the food", &["a"]),
    ("setting worms = 900 g", &["my", "our", "bin", "worms"]),
];

impl Reader {
    /// The fault of a line that pest could not read, in a person's words.
    pub(super) fn syntax(
        &self,
        error: &pest::error::Error<Rule>,
        text: &str,
        line: Logical,
        first_words: &[&str],
    ) -> Fault {
        let at = match error.location {
            pest::error::InputLocation::Pos(p) | pest::error::InputLocation::Span((p, _)) => p,
        };
        let at = (0..=at.min(text.len())).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
        let lead = text.len() - text.trim_start().len();
        let rest = text.get(at..).unwrap_or("");
        let skipped = rest.len() - rest.trim_start_matches([' ', '\t']).len();
        let here = at + skipped;
        let found = text.get(here..).unwrap_or("");
        let found = found.split(|c: char| c.is_whitespace() || c == ',').next().unwrap_or("");
        let end_of_line = found.is_empty() || found.starts_with('#');
        if let Some(quote) = unclosed(text) {
            let span = Span::new(self.id, line.start + quote, line.start + text.trim_end().len());
            return Fault::error("open-quote", "this quote is never closed", span)
                .help("write a `\"` at its end, on the same line");
        }
        if let Some((i, c)) = text.char_indices().find(|(i, c)| *i >= lead && matches!(c, '“' | '”' | '„' | '‘'))
        {
            let span = Span::new(self.id, line.start + i, line.start + i + c.len_utf8());
            return Fault::error("curly-quote", "this is a curly quote", span).help("write a straight one: \"");
        }
        if here <= lead {
            let word = first_word(text);
            let span = Span::new(self.id, line.start + lead, line.start + lead + word.len().max(1));
            // "keepp out": the first word alone may be near to nothing.
            let two: Vec<&str> = text.split_whitespace().take(2).collect();
            let near = nearest(word, first_words.iter().copied())
                .or_else(|| nearest(&two.join(" "), first_words.iter().copied()));
            let of_a_rule = first_words.contains(&"keep out");
            let meant = MEANT.iter().find(|(_, words)| of_a_rule && words.contains(&word)).map(|(clause, _)| *clause);
            let help = match (near, meant, nearest(word, HEADS)) {
                (Some(near), _, _) => format!("did you mean `{near}`?"),
                (_, Some(clause), _) => format!("write `{clause}`"),
                (_, _, Some(head)) => format!("did you mean `{head}`?"),
                _ => format!("a line here begins with {}", list_or(first_words)),
            };
            return Fault::error("not-a-clause", format!("I do not know `{}` here", shown(word, text)), span)
                .help(help);
        }
        let wanted = match &error.variant {
            pest::error::ErrorVariant::ParsingError { positives, .. } => {
                let mut words: Vec<&str> = positives.iter().filter_map(|r| words_for(*r)).collect();
                words.dedup();
                words.truncate(5);
                words
            }
            pest::error::ErrorVariant::CustomError { .. } => Vec::new(),
        };
        let start = if end_of_line { at.min(text.trim_end().len()) } else { here };
        let span = Span::new(self.id, line.start + start, line.start + start + found.len().max(1));
        let message = if end_of_line {
            "something is missing at the end of this line".to_string()
        } else {
            format!("I cannot read `{}` here", shown(found, found))
        };
        let rest = text.get(here..).unwrap_or("").trim();
        let help = match wanted.as_slice() {
            [] => None,
            ["the end of the line"] if first_word(text) == "rule" => {
                let name: Vec<&str> = text.split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).collect();
                let name = name.into_iter().filter(|w| !w.is_empty()).skip(1).collect::<Vec<_>>().join("-");
                Some(format!("the name of a rule is one word: `rule {}`", shown(&name, "")))
            }
            ["a text in quotes"] if !rest.contains('"') && !end_of_line => {
                Some(format!("put it in quotes: \"{}\"", shown(rest, "")))
            }
            _ => Some(format!("here I can read {}", list_or(&wanted))),
        };
        Fault::error("syntax", message, span).maybe_help(help)
    }
}

/// The quote that is not closed on its line, if one is.
pub(super) fn unclosed(text: &str) -> Option<usize> {
    let (mut open, mut escaped) = (None, false);
    for (i, c) in text.char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' if open.is_some() => escaped = true,
            '"' => open = if open.is_some() { None } else { Some(i) },
            '#' if open.is_none() => return None,
            '\n' if open.is_some() => return open,
            _ => {}
        }
    }
    open
}

pub(super) fn shown(word: &str, otherwise: &str) -> String {
    let text = if word.is_empty() { otherwise.trim() } else { word };
    text.chars().take(30).collect()
}

pub(super) fn list_or(words: &[&str]) -> String {
    let quoted: Vec<String> = words
        .iter()
        .map(|w| {
            if w.starts_with(|c: char| c.is_ascii_lowercase())
                && !w.starts_with("a ")
                && !w.starts_with("an ")
                && !w.starts_with("the ")
            {
                format!("`{w}`")
            } else {
                (*w).to_string()
            }
        })
        .collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        Some((last, _)) => last.clone(),
        None => String::new(),
    }
}

/// What a grammar rule is called when a person is told that it was expected; `None` for rules that
/// say nothing to a person.
pub(super) fn words_for(rule: Rule) -> Option<&'static str> {
    Some(match rule {
        Rule::text | Rule::texts | Rule::quote => "a text in quotes",
        Rule::phrase
        | Rule::bare
        | Rule::term
        | Rule::subject
        | Rule::cond_name
        | Rule::cond_words
        | Rule::phrase_in => "a name",
        Rule::word | Rule::ident | Rule::kind_name | Rule::setting_name | Rule::answer_word | Rule::reply => "a name",
        Rule::equals => "=",
        Rule::comma => "a comma",
        Rule::colon => "a colon",
        Rule::close => ")",
        Rule::open => "(",
        Rule::kw_or => "or",
        Rule::kw_and => "and",
        Rule::kw_except => "except",
        Rule::kw_for => "for",
        Rule::kw_gives => "gives",
        Rule::kw_until => "until",
        Rule::kw_by => "by",
        Rule::number => "a number",
        Rule::percent => "%",
        Rule::unit => "a unit such as `g`",
        Rule::date => "a date such as 2027-06-01",
        Rule::state | Rule::to_be => "a state such as `frozen`",
        Rule::layer_name => "area",
        Rule::verdict => "a verdict: feed, prepare, limit, ask, keep out",
        Rule::demand | Rule::keep_out | Rule::welcome => "a demand such as `keep out`",
        Rule::amount | Rule::allow_named => "an amount such as `10 % of the food` or `a little`",
        Rule::basis | Rule::of_food => "of the food",
        Rule::have_moisture | Rule::have_cn => "moisture or C:N with a range",
        Rule::pattern | Rule::pattern_text => "a pattern such as /take.?away box/",
        Rule::relation => "above, below, at least or up to",
        Rule::condition | Rule::atom | Rule::one | Rule::both | Rule::fact_state | Rule::fact => "a condition",
        Rule::EOI => "the end of the line",
        _ => return None,
    })
}
