//! One value: its type and its written form.

use super::Shape;
use crate::keys::{Key, Kind};
use crate::problem::byte_inside;
use gear::{Designation, Moment, TerminalRef, nearest};
use quantity::{Accuracy, Quantity, QuantityError};
use toml::Spanned;
use toml::de::DeValue;

impl Shape<'_> {
    pub(super) fn value(
        &mut self,
        key: &Key,
        kind: Kind,
        value: &Spanned<DeValue<'_>>,
        path: &str,
    ) {
        let at = value.span().start;
        match (kind, value.get_ref()) {
            (Kind::Table(table), DeValue::Table(tree)) => {
                self.table(table, tree, value.span(), path)
            }
            (Kind::Tables(table), _) => self.tables(table, key, value, path),
            (Kind::Positions, DeValue::Table(tree)) => {
                for (name, position) in tree.iter() {
                    self.value(
                        key,
                        Kind::Quantity,
                        position,
                        &super::joined(path, name.get_ref()),
                    );
                }
            }
            (Kind::List(of), DeValue::Array(list)) => self.list(key, *of, list, path),
            (Kind::Pair(of), DeValue::Array(list)) => {
                if list.len() != 2 {
                    self.problem(
                        at,
                        path,
                        format!(
                            "`{}` has {} entries, where 2 are wanted",
                            key.name,
                            list.len()
                        ),
                        like(key),
                    );
                }
                self.list(key, *of, list, path);
            }
            (Kind::Flag, DeValue::Boolean(_)) | (Kind::Text, DeValue::String(_)) => {}
            (Kind::Whole, DeValue::Integer(number)) => {
                if u32::from_str_radix(number.as_str(), number.radix()).is_err() {
                    self.problem(
                        at,
                        path,
                        format!("`{} = {number}` is no number counted from 0", key.name),
                        like(key),
                    );
                }
            }
            (Kind::Moment, DeValue::Datetime(_)) => {
                let written = self.text.get(value.span()).unwrap_or("").to_owned();
                self.written(at, path, Moment::parse(&written).err());
            }
            (_, DeValue::String(text)) if wants_text(kind) => {
                self.text_value(key, kind, text, value, path)
            }
            (_, other) => {
                let what = format!(
                    "`{}` is {}, where {} is wanted",
                    key.name,
                    kind_of(other),
                    wanted(kind)
                );
                self.problem(at, path, what, like(key));
            }
        }
    }

    fn list(&mut self, key: &Key, of: Kind, list: &toml::de::DeArray<'_>, path: &str) {
        for (i, element) in list.iter().enumerate() {
            self.value(key, of, element, &format!("{path}[{i}]"));
        }
    }

    fn text_value(
        &mut self,
        key: &Key,
        kind: Kind,
        text: &str,
        value: &Spanned<DeValue<'_>>,
        path: &str,
    ) {
        let at = value.span().start;
        match kind {
            Kind::QuantityOrNothing if text.is_empty() => {}
            Kind::Quantity | Kind::QuantityOrNothing => {
                self.quantity(Quantity::parse(text).err(), value, path)
            }
            Kind::Accuracy => self.quantity(Accuracy::parse(text).err(), value, path),
            Kind::Designation => self.written(at, path, Designation::parse(text).err()),
            Kind::Terminal => self.written(at, path, TerminalRef::parse(text).err()),
            Kind::Moment => self.written(at, path, Moment::parse(text).err()),
            Kind::Words(words) => {
                let words = words();
                if !words.contains(&text) {
                    let remedy = match nearest(text, words.iter().copied()) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!("write one of: {}", words.join(", ")),
                    };
                    self.problem(
                        at,
                        path,
                        format!("unknown word `{text}` for `{}`", key.name),
                        remedy,
                    );
                }
            }
            _ => {}
        }
    }

    /// An error of a written quantity, at the very byte inside the quotes.
    fn quantity(&mut self, error: Option<QuantityError>, value: &Spanned<DeValue<'_>>, path: &str) {
        if let Some(error) = error {
            let at = byte_inside(self.text, &value.span(), error.at);
            self.problem(at, path, error.what, error.remedy);
        }
    }

    /// An error of another written form, which says what is wrong and, behind a semicolon, what to write.
    fn written(&mut self, at: usize, path: &str, error: Option<String>) {
        if let Some(error) = error {
            let (what, remedy) = error.rsplit_once("; ").unwrap_or((&error, "correct it"));
            self.problem(at, path, what, remedy);
        }
    }
}

fn like(key: &Key) -> String {
    match key.kind {
        Kind::Table(table) if table.heading.starts_with('[') => {
            format!("head it `{}`, once", table.heading)
        }
        Kind::Table(table) => format!("write it like `{}`", table.heading),
        _ => format!("write it like `{} = {}`", key.name, key.example),
    }
}

fn wants_text(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Quantity
            | Kind::QuantityOrNothing
            | Kind::Accuracy
            | Kind::Designation
            | Kind::Terminal
            | Kind::Moment
            | Kind::Words(_)
    )
}

fn wanted(kind: Kind) -> &'static str {
    match kind {
        Kind::Text => "text in quotes",
        Kind::Whole => "a whole number without quotes",
        Kind::Flag => "`true` or `false` without quotes",
        Kind::Quantity | Kind::QuantityOrNothing => "a quantity in quotes",
        Kind::Accuracy => "an accuracy bound in quotes",
        Kind::Designation => "a designation in quotes",
        Kind::Terminal => "a terminal in quotes",
        Kind::Moment => "a time",
        Kind::Words(_) => "a word in quotes",
        Kind::List(_) => "a list in brackets",
        Kind::Pair(_) => "a list of two in brackets",
        Kind::Positions | Kind::Table(_) => "a table",
        Kind::Tables(_) => "a list of tables",
    }
}

/// What a value is, for messages.
pub(super) fn kind_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) | DeValue::Float(_) => "a bare number",
        DeValue::Boolean(_) => "`true` or `false`",
        DeValue::Datetime(_) => "a bare date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
