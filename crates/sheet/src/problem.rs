//! A problem of a sheet's text, and how a byte of the text becomes a line and a column.

use std::collections::BTreeMap;
use std::ops::Range;

/// One thing wrong with a sheet: where, what, and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Keys and indices (from 0) down to the place, `reading[3].between[0]`; empty for the text as a whole or where it is no TOML.
    pub path: String,
    /// What is wrong, lower case, no full stop.
    pub what: String,
    /// What to do.
    pub remedy: String,
}

impl std::fmt::Display for Problem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "line {}, column {}: {}; {}",
            self.line, self.column, self.what, self.remedy
        )
    }
}

impl std::error::Error for Problem {}

/// A problem by its byte in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Found {
    pub(crate) at: usize,
    pub(crate) path: String,
    pub(crate) what: String,
    pub(crate) remedy: String,
}

/// Problems in order of the text, with lines and columns, each told once.
pub(crate) fn located(text: &str, mut found: Vec<Found>) -> Vec<Problem> {
    found.sort_by(|a, b| (a.at, &a.path, &a.what).cmp(&(b.at, &b.path, &b.what)));
    found.dedup();
    found
        .into_iter()
        .map(|f| {
            let (line, column) = line_and_column(text, f.at);
            Problem {
                line,
                column,
                path: f.path,
                what: f.what,
                remedy: f.remedy,
            }
        })
        .collect()
}

fn line_and_column(text: &str, at: usize) -> (usize, usize) {
    let before = text.get(..at).unwrap_or(text);
    let start = before.rfind('\n').map_or(0, |n| n + 1);
    (
        before.matches('\n').count() + 1,
        before[start..].chars().count() + 1,
    )
}

/// Whether the tree can still be read in full: a doubled key, or a value whose quotes were forgotten.
fn is_slight(error: &toml::de::Error) -> bool {
    let message = error.message();
    message.starts_with("duplicate key") || message.starts_with("string values must be quoted")
}

/// What is wrong with a text as TOML, and whether that makes the rest of it unreadable.
///
/// After a grave fault the parser guesses on, so of each line only one is told: the one that names what was left open, else the first.
pub(crate) fn of_parser(text: &str, errors: &[toml::de::Error]) -> (Vec<Found>, bool) {
    let grave: Vec<_> = errors.iter().filter(|e| !is_slight(e)).collect();
    if grave.is_empty() {
        return (errors.iter().map(|e| of_toml(text, e)).collect(), false);
    }
    let line = |e: &toml::de::Error| line_and_column(text, e.span().map_or(0, |s| s.start)).0;
    let mut told: BTreeMap<usize, &toml::de::Error> = BTreeMap::new();
    for error in grave {
        let first = told.entry(line(error)).or_insert(error);
        if error.message().starts_with("unclosed") && !first.message().starts_with("unclosed") {
            *first = error;
        }
    }
    (told.into_values().map(|e| of_toml(text, e)).collect(), true)
}

/// A fault of the TOML in our words.
fn of_toml(text: &str, error: &toml::de::Error) -> Found {
    let span = error.span().unwrap_or(0..0);
    let written = text.get(span.clone()).unwrap_or("");
    let message = error.message();
    let (what, remedy) = match message {
        m if m.starts_with("duplicate key") => (
            format!("`{written}` stands twice"),
            "keep one of them".to_owned(),
        ),
        m if m.starts_with("string values must be quoted") => (
            format!("`{written}` stands without quotes"),
            format!("write `\"{written}\"`"),
        ),
        m if m.contains("string, expected") => (
            "text that is not closed".to_owned(),
            "close it with the quotes it was opened with".to_owned(),
        ),
        m if m.starts_with("cannot extend value") => (
            format!("`{written}` is used both as a value and as a table"),
            "keep one of them".to_owned(),
        ),
        m if m.starts_with("unclosed array table") => (
            "a heading that is not closed".to_owned(),
            "close it with `]]`".to_owned(),
        ),
        m if m.starts_with("unclosed table") => (
            "a heading that is not closed".to_owned(),
            "close it with `]`".to_owned(),
        ),
        m if m.starts_with("unclosed array") => (
            "a list that is not closed".to_owned(),
            "close it with `]`".to_owned(),
        ),
        m if m.starts_with("unclosed inline table") => (
            "a table that is not closed".to_owned(),
            "close it with `}`".to_owned(),
        ),
        m => (unquoted(m), LINES.to_owned()),
    };
    Found {
        at: span.start.min(text.len()),
        path: String::new(),
        what,
        remedy,
    }
}

const LINES: &str = "every line is `key = value`, a `[heading]` or a `# comment`";

/// The parser's message as the first half of a sentence of ours.
fn unquoted(message: &str) -> String {
    let line: String = message
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    line.trim_end_matches('.').to_owned()
}

/// The byte of the text where byte `within` of a string's value stands. `span` is the whole string, quotes included.
pub(crate) fn byte_inside(text: &str, span: &Range<usize>, within: usize) -> usize {
    let raw = text.get(span.clone()).unwrap_or("");
    let (quotes, escapes) = match raw {
        r if r.starts_with("\"\"\"") => (3, true),
        r if r.starts_with("'''") => (3, false),
        r if r.starts_with('"') => (1, true),
        r if r.starts_with('\'') => (1, false),
        _ => (0, false),
    };
    let mut at = quotes;
    let opening_break = ["\r\n", "\n"]
        .iter()
        .find(|b| quotes == 3 && raw[at..].starts_with(**b));
    at += opening_break.map_or(0, |b| b.len());
    let mut value = 0;
    while let Some(c) = raw[at..].chars().next().filter(|_| value < within) {
        let (written, meant) = if escapes && c == '\\' {
            escape(&raw[at..])
        } else {
            (c.len_utf8(), c.len_utf8())
        };
        at += written;
        value += meant;
    }
    span.start + at
}

/// Bytes of an escape as written, and of what it means.
fn escape(raw: &str) -> (usize, usize) {
    let digits = match raw.as_bytes().get(1) {
        Some(b'x') => 2,
        Some(b'u') => 4,
        Some(b'U') => 8,
        Some(b) if b.is_ascii_whitespace() => {
            let skipped = raw[1..].len() - raw[1..].trim_start().len();
            return (1 + skipped, 0);
        }
        Some(b) if b.is_ascii() => return (2, 1),
        _ => return (1, 1),
    };
    let code = raw
        .get(2..2 + digits)
        .and_then(|hex| u32::from_str_radix(hex, 16).ok())
        .and_then(char::from_u32);
    code.map_or((2, 1), |c| (2 + digits, c.len_utf8()))
}
