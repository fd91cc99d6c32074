//! What single tables ask of several keys together, so that a find can be made of them at all.

use super::{Shape, joined};
use crate::build::told_by;
use crate::keys::{ANY_PART, PART_KINDS, Table};
use quantity::Quantity;
use toml::de::{DeTable, DeValue};

impl Shape<'_> {
    pub(super) fn special(
        &mut self,
        table: &Table,
        tree: &DeTable<'_>,
        heading: usize,
        path: &str,
    ) {
        match table.heading {
            "[[part]]" => self.part_keys(tree, heading, path),
            "[[part.winding]]" => self.winding_lists(tree, path),
            "[[reading]]" => {
                self.reading_place(tree, heading, path);
                self.reading_measured(tree, path);
            }
            _ => {}
        }
    }

    /// Keys that belong to another kind of part.
    fn part_keys(&mut self, tree: &DeTable<'_>, heading: usize, path: &str) {
        let kind =
            text(tree, "kind").and_then(|word| PART_KINDS.iter().find(|(known, _)| *known == word));
        let Some((word, keys)) = kind else { return };
        for (key, _) in tree.iter() {
            let name = key.get_ref().as_ref();
            let elsewhere: Vec<&str> = PART_KINDS
                .iter()
                .filter(|(_, keys)| keys.contains(&name))
                .map(|(word, _)| *word)
                .collect();
            if !elsewhere.is_empty() && !keys.contains(&name) && !ANY_PART.contains(&name) {
                let what = format!("`{name}` does not belong to a part of kind `{word}`");
                let remedy = format!(
                    "take it out, or correct `kind` (it belongs to {})",
                    elsewhere.join(", ")
                );
                self.problem(key.span().start, &joined(path, name), what, remedy);
            }
        }
        if *word == "unmarked windings" && !tree.contains_key("leads") {
            self.problem(
                heading,
                path,
                "missing `leads` in a part of kind `unmarked windings`",
                "add the marks of its leads, like `leads = [\"1\", \"2\", \"3\", \"4\"]`",
            );
        }
        if *word == "terminals" && !tree.contains_key("terminals") {
            self.problem(
                heading,
                path,
                "missing `terminals` in a part of kind `terminals`",
                "add it, like `terminals = [\"1\", \"2\", \"N\"]`",
            );
        }
    }

    /// Lists that run beside the points and the sliders.
    fn winding_lists(&mut self, tree: &DeTable<'_>, path: &str) {
        let length = |key: &str| match tree.get(key).map(|v| v.get_ref()) {
            Some(DeValue::Array(list)) => Some(list.len()),
            _ => None,
        };
        let start = |key: &str| tree.get(key).map_or(0, |v| v.span().start);
        if let (Some(points), Some(at)) = (length("points"), length("at"))
            && at != points
            && at + 2 != points
        {
            let what =
                format!("the entries of `at` ({at}) and of `points` ({points}) differ in number");
            self.problem(
                start("at"),
                &joined(path, "at"),
                what,
                "write one for every point, or one for every inner point",
            );
        }
        if let Some(brushes) = length("brush")
            && brushes != length("sliders").unwrap_or(0)
        {
            let what = format!(
                "the entries of `brush` ({brushes}) and of `sliders` ({}) differ in number",
                length("sliders").unwrap_or(0)
            );
            self.problem(
                start("brush"),
                &joined(path, "brush"),
                what,
                "write one for every slider, `\"\"` where unknown",
            );
        }
    }

    /// Exactly one place.
    fn reading_place(&mut self, tree: &DeTable<'_>, heading: usize, path: &str) {
        const PLACES: [&[&str]; 5] = [
            &["between"],
            &["into"],
            &["into", "against"],
            &["over", "under"],
            &["part"],
        ];
        const KEYS: [&str; 6] = ["between", "into", "against", "over", "under", "part"];
        let given: Vec<&str> = KEYS.into_iter().filter(|k| tree.contains_key(*k)).collect();
        if PLACES.contains(&given.as_slice()) {
            return;
        }
        let start = |key: &str| tree.get(key).map_or(heading, |v| v.span().start);
        match given.as_slice() {
            [] => self.problem(
                heading,
                path,
                "the reading has no place",
                "add `between = [\"T1:1\", \"T1:3\"]` (voltage, resistance), `into = \"X1:1\"` (current) or `part = \"T1\"` (temperature)",
            ),
            ["against"] => self.problem(start("against"), &joined(path, "against"), "`against` without `into`", "add where the current flows in, like `into = \"X1:1\"`"),
            [one @ ("over" | "under")] => {
                let other = if *one == "over" { "under" } else { "over" };
                let what = format!("`{one}` without `{other}`");
                self.problem(start(one), &joined(path, one), what, format!("add the other pair, like `{other} = [\"T1:2.1\", \"T1:2.2\"]`"));
            }
            [first, .., last] => {
                let what = format!("the reading has more than one place: `{first}` and `{last}`");
                self.problem(start(last), &joined(path, last), what, "keep one");
            }
            [_] => {}
        }
    }

    /// What was measured must be told by `measured`, a beep or the unit.
    fn reading_measured(&mut self, tree: &DeTable<'_>, path: &str) {
        if tree.contains_key("measured") || tree.contains_key("beep") || tree.contains_key("kick") {
            return;
        }
        let Some(shown) = text(tree, "shown").and_then(|t| Quantity::parse(t).ok()) else {
            return;
        };
        if told_by(&shown, false).is_none() {
            let at = tree.get("shown").map_or(0, |v| v.span().start);
            let what = format!("`{shown}` does not tell what was measured");
            self.problem(
                at,
                &joined(path, "measured"),
                what,
                "add it, like `measured = \"AC voltage\"`",
            );
        }
    }
}

fn text<'t>(tree: &'t DeTable<'_>, key: &str) -> Option<&'t str> {
    tree.get(key).and_then(|v| v.get_ref().as_str())
}
