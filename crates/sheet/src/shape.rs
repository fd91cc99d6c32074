//! The shape of a sheet: keys that exist, keys that must, types, and the written form of every value.
//!
//! Walks the tree along the table of keys. What a value means beside others is not asked here; that is [`gear::Find::faults`].

mod special;
mod value;

use crate::keys::{Key, Kind, SHEET, Table};
use crate::problem::Found;
use gear::nearest;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Adds every problem of shape.
pub(crate) fn check(text: &str, root: &Spanned<DeTable<'_>>, found: &mut Vec<Found>) {
    let mut shape = Shape {
        text,
        found,
        all_wanted: true,
    };
    shape.table(&SHEET, root.get_ref(), root.span(), "");
}

/// As [`check`], where no table of the sheet has to be there.
pub(crate) fn check_fragment(text: &str, root: &Spanned<DeTable<'_>>, found: &mut Vec<Found>) {
    let mut shape = Shape {
        text,
        found,
        all_wanted: false,
    };
    shape.table(&SHEET, root.get_ref(), root.span(), "");
}

/// The text and the problems so far.
struct Shape<'a> {
    text: &'a str,
    found: &'a mut Vec<Found>,
    /// Whether the tables a whole sheet must have are asked for.
    all_wanted: bool,
}

impl Shape<'_> {
    fn problem(
        &mut self,
        at: usize,
        path: &str,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        self.found.push(Found {
            at,
            path: path.to_owned(),
            what: what.into(),
            remedy: remedy.into(),
        });
    }

    /// A table: its keys one by one, then what is missing, then what only this table asks.
    fn table(&mut self, table: &Table, tree: &DeTable<'_>, heading: Range<usize>, path: &str) {
        let mut meant = Vec::new();
        for (name, value) in tree.iter() {
            let at = joined(path, name.get_ref());
            match table
                .keys
                .iter()
                .find(|key| key.name == name.get_ref().as_ref())
            {
                Some(key) => self.value(key, key.kind, value, &at),
                None => meant.extend(self.unknown_key(table, name, &at)),
            }
        }
        let asked = self.all_wanted || !path.is_empty();
        for key in table
            .keys
            .iter()
            .filter(|_| asked)
            .filter(|k| k.required && !tree.contains_key(k.name) && !meant.contains(&k.name))
        {
            let like = if key.example.is_empty() {
                example_of(key)
            } else {
                format!("`{} = {}`", key.name, key.example)
            };
            let what = format!("missing `{}` in {}", key.name, table.heading);
            self.problem(
                heading.start,
                path_or(path, key.name),
                what,
                format!("add it, like {like}"),
            );
        }
        self.special(table, tree, heading.start, path);
    }

    /// Tells of an unknown key, and gives the key that was probably meant.
    fn unknown_key(
        &mut self,
        table: &Table,
        name: &Spanned<std::borrow::Cow<'_, str>>,
        path: &str,
    ) -> Option<&'static str> {
        let near = nearest(name.get_ref(), table.keys.iter().map(|k| k.name));
        let remedy = match near {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!(
                "known keys: {}",
                table
                    .keys
                    .iter()
                    .map(|k| k.name)
                    .collect::<Vec<_>>()
                    .join(", ")
            ),
        };
        self.problem(
            name.span().start,
            path,
            format!("unknown key `{}` in {}", name.get_ref(), table.heading),
            remedy,
        );
        near
    }

    /// A list of tables under a double-bracket heading.
    fn tables(&mut self, table: &Table, key: &Key, value: &Spanned<DeValue<'_>>, path: &str) {
        let DeValue::Array(list) = value.get_ref() else {
            let what = format!(
                "`{}` is {}, where a list of tables is wanted",
                key.name,
                value::kind_of(value.get_ref())
            );
            return self.problem(
                value.span().start,
                path,
                what,
                format!("head each with `{}`", table.heading),
            );
        };
        for (i, element) in list.iter().enumerate() {
            let at = format!("{path}[{i}]");
            match element.get_ref() {
                DeValue::Table(tree) => self.table(table, tree, element.span(), &at),
                other => {
                    let what = format!(
                        "`{}` holds {}, where a table is wanted",
                        key.name,
                        value::kind_of(other)
                    );
                    self.problem(
                        element.span().start,
                        &at,
                        what,
                        format!("head each with `{}`", table.heading),
                    );
                }
            }
        }
    }
}

/// The path of a key in a table.
fn joined(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_owned()
    } else {
        format!("{path}.{key}")
    }
}

fn path_or<'a>(path: &'a str, key: &'a str) -> &'a str {
    if path.is_empty() { key } else { path }
}

fn example_of(key: &Key) -> String {
    match key.kind {
        Kind::Table(table) | Kind::Tables(table) => {
            let first = table
                .keys
                .first()
                .map(|k| format!(" with `{} = {}`", k.name, k.example))
                .unwrap_or_default();
            format!("`{}`{first}", table.heading)
        }
        _ => format!("`{}`", key.name),
    }
}
