//! Where each thing of a find stands in the text: from the paths of [`gear::Fault`] to bytes.
//!
//! A find's indices are not the sheet's when an element of a list could not be read, so both paths are kept side by side.

use crate::problem::Found;
use gear::Fault;
use std::collections::HashMap;
use std::ops::Range;

/// A place in the text.
#[derive(Debug, Clone)]
pub(crate) struct Place {
    /// The path by the sheet's own indices.
    pub(crate) sheet: String,
    /// The key, or the heading of a table.
    pub(crate) key: Range<usize>,
    /// The value.
    pub(crate) value: Range<usize>,
}

/// Places by the path a fault of the find would have.
#[derive(Debug, Default)]
pub(crate) struct Paths(HashMap<Vec<String>, Place>);

impl Paths {
    pub(crate) fn insert(&mut self, find: Vec<String>, place: Place) {
        self.0.insert(find, place);
    }

    /// Forgets all at and below a path: the element there was not taken into the find.
    pub(crate) fn forget(&mut self, find: &[String]) {
        self.0.retain(|path, _| !path.starts_with(find));
    }

    /// The nearest place at or above a path.
    fn nearest(&self, path: &[String]) -> Option<&Place> {
        (1..=path.len()).rev().find_map(|n| self.0.get(&path[..n]))
    }

    /// A fault at its byte: the value, or the key where the fault is of a name that is a key.
    pub(crate) fn locate(&self, fault: Fault) -> Found {
        let place = self.nearest(&fault.path);
        let slider_name =
            fault.path.len() == 4 && fault.path[0] == "setup" && fault.path[2] == "sliders";
        let at = place.map_or(0, |p| {
            if slider_name {
                p.key.start
            } else {
                p.value.start
            }
        });
        Found {
            at,
            path: place.map(|p| p.sheet.clone()).unwrap_or_default(),
            what: fault.what,
            remedy: fault.remedy,
        }
    }

    /// Whether a fault may only be a consequence of problems already found: it stands at, above or below one of them, or it misses a name
    /// in a list that could not be read in full.
    pub(crate) fn follows_from(&self, fault: &Fault, found: &[Found]) -> bool {
        let sheet = self.nearest(&fault.path).map_or("", |p| p.sheet.as_str());
        found.iter().any(|f| {
            let related = !sheet.is_empty() && (lies_in(&f.path, sheet) || lies_in(sheet, &f.path));
            let unread = fault
                .missing_from
                .is_some_and(|list| lies_in(&f.path, list) && gives_names(&f.path));
            related || unread
        })
    }
}

/// Whether a path is `above` or lies below it.
fn lies_in(path: &str, above: &str) -> bool {
    !above.is_empty()
        && path
            .strip_prefix(above)
            .is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
}

/// Whether what stands at a path gives names to a list: the element itself, or one of its naming keys.
fn gives_names(path: &str) -> bool {
    const NAMING: [&str; 7] = [
        "designation",
        "winding",
        "points",
        "sliders",
        "terminals",
        "name",
        "number",
    ];
    let last = path.rsplit('.').next().unwrap_or("");
    let key = last.split('[').next().unwrap_or("");
    last.ends_with(']') || NAMING.contains(&key)
}
