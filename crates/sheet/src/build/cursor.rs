//! A table being read: gives values by key, and notes for each where it stands.

use crate::paths::{Paths, Place};
use gear::{Designation, Moment, TerminalRef};
use quantity::Quantity;
use std::cell::RefCell;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// One value of the tree.
pub(super) type Node<'t> = Spanned<DeValue<'t>>;

/// A table, its path in the find and in the sheet.
pub(super) struct Cursor<'t> {
    text: &'t str,
    tree: &'t DeTable<'t>,
    find: Vec<String>,
    sheet: String,
    paths: &'t RefCell<Paths>,
}

impl<'t> Cursor<'t> {
    pub(super) fn root(text: &'t str, tree: &'t DeTable<'t>, paths: &'t RefCell<Paths>) -> Self {
        Self {
            text,
            tree,
            find: Vec::new(),
            sheet: String::new(),
            paths,
        }
    }

    fn find_path(&self, steps: &[&str]) -> Vec<String> {
        self.find
            .iter()
            .cloned()
            .chain(steps.iter().map(|s| (*s).to_owned()))
            .collect()
    }

    fn sheet_path(&self, key: &str) -> String {
        if self.sheet.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.sheet)
        }
    }

    fn note(
        &self,
        find: Vec<String>,
        sheet: String,
        key: std::ops::Range<usize>,
        value: std::ops::Range<usize>,
    ) {
        self.paths
            .borrow_mut()
            .insert(find, Place { sheet, key, value });
    }

    /// The value of a key, its place noted.
    pub(super) fn node(&self, key: &str) -> Option<&'t Node<'t>> {
        let (name, value) = self.tree.get_key_value(key)?;
        self.note(
            self.find_path(&[key]),
            self.sheet_path(key),
            name.span(),
            value.span(),
        );
        Some(value)
    }

    pub(super) fn has(&self, key: &str) -> bool {
        self.tree.contains_key(key)
    }

    /// Where the key's value starts; to bring keys back into the order they were written in.
    pub(super) fn start(&self, key: &str) -> usize {
        self.tree.get(key).map_or(usize::MAX, |v| v.span().start)
    }

    pub(super) fn text(&self, key: &str) -> Option<String> {
        self.node(key).and_then(text)
    }

    pub(super) fn whole(&self, key: &str) -> Option<u32> {
        self.node(key).and_then(whole)
    }

    /// A small count; one too great stays too great.
    pub(super) fn small(&self, key: &str) -> Option<u8> {
        self.whole(key).map(saturated)
    }

    pub(super) fn flag(&self, key: &str) -> Option<bool> {
        self.node(key).and_then(|v| v.get_ref().as_bool())
    }

    pub(super) fn quantity(&self, key: &str) -> Option<Quantity> {
        self.node(key).and_then(quantity)
    }

    pub(super) fn designation(&self, key: &str) -> Option<Designation> {
        self.node(key).and_then(designation)
    }

    pub(super) fn terminal(&self, key: &str) -> Option<TerminalRef> {
        self.node(key).and_then(terminal)
    }

    /// A time, in quotes or bare.
    pub(super) fn moment(&self, key: &str) -> Option<Moment> {
        let value = self.node(key)?;
        let written = match value.get_ref() {
            DeValue::Datetime(_) => self.text.get(value.span())?,
            other => other.as_str()?,
        };
        Moment::parse(written).ok()
    }

    /// A list, each element by `read`; what gives nothing is left out.
    pub(super) fn list<T>(&self, key: &str, read: impl Fn(&'t Node<'t>) -> Option<T>) -> Vec<T> {
        self.list_from(key, 0, read)
    }

    /// A list whose first element has the index `first` in the find.
    pub(super) fn list_from<T>(
        &self,
        key: &str,
        first: usize,
        read: impl Fn(&'t Node<'t>) -> Option<T>,
    ) -> Vec<T> {
        let Some(DeValue::Array(list)) = self.node(key).map(|v| v.get_ref()) else {
            return Vec::new();
        };
        let mut out = Vec::new();
        for (i, element) in list.iter().enumerate() {
            if let Some(value) = read(element) {
                let find = self.find_path(&[key, &(first + out.len()).to_string()]);
                self.note(
                    find,
                    format!("{}[{i}]", self.sheet_path(key)),
                    element.span(),
                    element.span(),
                );
                out.push(value);
            }
        }
        out
    }

    /// A list of lists.
    pub(super) fn lists<T>(
        &self,
        key: &str,
        read: impl Fn(&'t Node<'t>) -> Option<T>,
    ) -> Vec<Vec<T>> {
        let Some(DeValue::Array(list)) = self.node(key).map(|v| v.get_ref()) else {
            return Vec::new();
        };
        let mut out = Vec::new();
        for (i, element) in list.iter().enumerate() {
            let DeValue::Array(inner) = element.get_ref() else {
                continue;
            };
            let index = out.len().to_string();
            let sheet = format!("{}[{i}]", self.sheet_path(key));
            self.note(
                self.find_path(&[key, &index]),
                sheet.clone(),
                element.span(),
                element.span(),
            );
            let mut group = Vec::new();
            for (k, node) in inner.iter().enumerate() {
                if let Some(value) = read(node) {
                    let find = self.find_path(&[key, &index, &group.len().to_string()]);
                    self.note(find, format!("{sheet}[{k}]"), node.span(), node.span());
                    group.push(value);
                }
            }
            out.push(group);
        }
        out
    }

    /// Two of something; nothing unless both can be read.
    pub(super) fn pair<T>(
        &self,
        key: &str,
        read: impl Fn(&'t Node<'t>) -> Option<T>,
    ) -> Option<(T, T)> {
        let mut both = self.list(key, read).into_iter();
        match (both.next(), both.next(), both.next()) {
            (Some(a), Some(b), None) => Some((a, b)),
            _ => None,
        }
    }

    /// A table below this one.
    pub(super) fn table(&self, key: &str) -> Option<Cursor<'t>> {
        let DeValue::Table(tree) = self.node(key)?.get_ref() else {
            return None;
        };
        Some(Cursor {
            text: self.text,
            tree,
            find: self.find_path(&[key]),
            sheet: self.sheet_path(key),
            paths: self.paths,
        })
    }

    /// A list of tables, each by `read`; what gives nothing is left out and its places forgotten.
    pub(super) fn tables<T>(&self, key: &str, read: impl Fn(&Cursor<'t>) -> Option<T>) -> Vec<T> {
        let Some(DeValue::Array(list)) = self.node(key).map(|v| v.get_ref()) else {
            return Vec::new();
        };
        let mut out = Vec::new();
        for (i, element) in list.iter().enumerate() {
            let DeValue::Table(tree) = element.get_ref() else {
                continue;
            };
            let find = self.find_path(&[key, &out.len().to_string()]);
            let sheet = format!("{}[{i}]", self.sheet_path(key));
            self.note(find.clone(), sheet.clone(), element.span(), element.span());
            let cursor = Cursor {
                text: self.text,
                tree,
                find: find.clone(),
                sheet,
                paths: self.paths,
            };
            match read(&cursor) {
                Some(value) => out.push(value),
                None => self.paths.borrow_mut().forget(&find),
            }
        }
        out
    }

    /// Names with their figures, in the order they were written; the figure's own place stands under `at`.
    pub(super) fn settings(&self, key: &str) -> Vec<(String, Quantity)> {
        let Some(DeValue::Table(tree)) = self.node(key).map(|v| v.get_ref()) else {
            return Vec::new();
        };
        let mut out: Vec<(usize, String, Quantity)> = Vec::new();
        for (name, value) in tree.iter() {
            let Some(figure) = quantity(value) else {
                continue;
            };
            let sheet = format!("{}.{}", self.sheet_path(key), name.get_ref());
            self.note(
                self.find_path(&[key, name.get_ref()]),
                sheet.clone(),
                name.span(),
                value.span(),
            );
            self.note(
                self.find_path(&[key, name.get_ref(), "at"]),
                sheet,
                name.span(),
                value.span(),
            );
            out.push((name.span().start, name.get_ref().to_string(), figure));
        }
        out.sort_by_key(|(start, ..)| *start);
        out.into_iter()
            .map(|(_, name, figure)| (name, figure))
            .collect()
    }
}

pub(super) fn text(node: &Node<'_>) -> Option<String> {
    node.get_ref().as_str().map(str::to_owned)
}

pub(super) fn whole(node: &Node<'_>) -> Option<u32> {
    let DeValue::Integer(number) = node.get_ref() else {
        return None;
    };
    u32::from_str_radix(number.as_str(), number.radix()).ok()
}

pub(super) fn saturated(number: u32) -> u8 {
    u8::try_from(number).unwrap_or(u8::MAX)
}

pub(super) fn quantity(node: &Node<'_>) -> Option<Quantity> {
    node.get_ref()
        .as_str()
        .and_then(|t| Quantity::parse(t).ok())
}

/// A quantity, or nothing for `""`; the outer nothing is what cannot be read.
pub(super) fn quantity_or_nothing(node: &Node<'_>) -> Option<Option<Quantity>> {
    match node.get_ref().as_str()? {
        "" => Some(None),
        written => Quantity::parse(written).ok().map(Some),
    }
}

pub(super) fn designation(node: &Node<'_>) -> Option<Designation> {
    node.get_ref()
        .as_str()
        .and_then(|t| Designation::parse(t).ok())
}

pub(super) fn terminal(node: &Node<'_>) -> Option<TerminalRef> {
    node.get_ref()
        .as_str()
        .and_then(|t| TerminalRef::parse(t).ok())
}
