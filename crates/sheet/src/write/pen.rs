//! Writes lines of TOML: keys, quoted text, lists and inline tables.

use std::fmt::Display;

/// The text so far.
#[derive(Default)]
pub(crate) struct Pen(String);

impl Pen {
    pub(super) fn finish(self) -> String {
        self.0
    }

    /// A heading; a blank line stands before it, but for the windings, feeds and the like that belong to the block above.
    pub(super) fn heading(&mut self, heading: &str) {
        let inner =
            heading.starts_with("[[") && heading.contains('.') && !heading.starts_with("[[kit.");
        if !self.0.is_empty() && !inner {
            self.0.push('\n');
        }
        self.0.push_str(heading);
        self.0.push('\n');
    }

    /// A value that is TOML already.
    pub(super) fn plain(&mut self, key: &str, value: impl Display) {
        self.0.push_str(&format!("{key} = {value}\n"));
    }

    pub(super) fn plain_if(&mut self, key: &str, value: Option<impl Display>) {
        if let Some(value) = value {
            self.plain(key, value);
        }
    }

    /// A flag that is false where left out.
    pub(super) fn flag(&mut self, key: &str, value: bool) {
        if value {
            self.plain(key, value);
        }
    }

    /// Something written in one line in quotes.
    pub(super) fn quoted(&mut self, key: &str, value: Option<impl Display>) {
        self.plain_if(key, value.map(|v| quoted(&v)));
    }

    /// Words of the owner, perhaps over several lines.
    pub(super) fn text(&mut self, key: &str, value: Option<&String>) {
        self.plain_if(key, value.map(|v| text_value(v)));
    }
}

/// Text as a TOML value: over several lines where it has them.
pub(crate) fn text_value(text: &str) -> String {
    if text.contains('\n') {
        format!("\"\"\"\n{}\"\"\"", escaped(text, true))
    } else {
        quoted(&text)
    }
}

/// In quotes, on one line.
pub(crate) fn quoted(value: &(impl Display + ?Sized)) -> String {
    format!("\"{}\"", escaped(&value.to_string(), false))
}

fn escaped(text: &str, keep_lines: bool) -> String {
    let mut out = String::with_capacity(text.len());
    let lone_quote = |before: &str, after: &str| {
        keep_lines && !after.is_empty() && !before.ends_with('"') && !after.starts_with('"')
    };
    for (at, c) in text.char_indices() {
        match c {
            '\n' if keep_lines => out.push('\n'),
            '"' if lone_quote(&text[..at], &text[at + 1..]) => out.push('"'),
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            '\r' => out.push_str("\\r"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out
}

/// A list in brackets of values that are TOML already.
pub(crate) fn list(values: impl IntoIterator<Item = String>) -> String {
    format!("[{}]", values.into_iter().collect::<Vec<_>>().join(", "))
}

/// A table in braces; keys are quoted where they must be.
pub(crate) fn inline(pairs: impl IntoIterator<Item = (String, String)>) -> String {
    let bare = |key: &str| {
        !key.is_empty()
            && key
                .chars()
                .all(|c| c.is_ascii_alphanumeric() || "-_".contains(c))
    };
    let key = |key: String| if bare(&key) { key } else { quoted(&key) };
    format!(
        "{{ {} }}",
        pairs
            .into_iter()
            .map(|(k, v)| format!("{} = {v}", key(k)))
            .collect::<Vec<_>>()
            .join(", ")
    )
}
