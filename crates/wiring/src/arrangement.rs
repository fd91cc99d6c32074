//! The named arrangements: how such gear is usually wired, each able to build a find.
//!
//! Few arrangements with choices rather than many names. `assemble` holds the pieces all of them are built from; each further
//! module is one family. What is built is a beginning: every join is *assumed* until a reading or the owner says otherwise.

use crate::Conductors;
use gear::{Find, TerminalRef};
use std::collections::BTreeSet;

mod assemble;
mod stabilizer;
mod transformer;
mod unmarked;
mod variable;

/// A named arrangement.
pub struct Arrangement {
    /// Key for sheets and the command line: `stabilizer-centre-tap`.
    pub key: &'static str,
    /// Name in words: "stabilizer, booster fed from centre tap and slider".
    pub name: &'static str,
    /// One sentence on how to recognise it.
    pub seen_by: &'static str,
    /// The choices it offers (phases, fed from, booster reversed ...).
    pub choices: &'static [Choice],
    /// Builds the find: parts, terminals, joins assumed. Plate and quantities of `options` go onto the parts.
    pub build: fn(&Options) -> Find,
}

/// A choice an arrangement offers.
pub struct Choice {
    /// Key: `phases`.
    pub key: &'static str,
    /// In words: "phases".
    pub name: &'static str,
    /// Values with their words; the first is the default.
    pub values: &'static [(&'static str, &'static str)],
}

/// What the owner chose: keys and values of [`Choice`], and the name of the find.
///
/// Beside the choices, `chosen` may hold quantities as people write them, which go onto the parts; what cannot be read is passed
/// over: `winding_volts` (whole winding of a variable autotransformer, or primary of a transformer, "230 V"), `secondary_volts`
/// ("24 V"), `booster_ratio` ("2.5", primary to secondary), `booster_power` ("2 kVA", each), `winding_power`, `fuse` ("50 A").
#[derive(Debug, Clone, Default)]
pub struct Options {
    /// Name of the find.
    pub name: String,
    /// Plate line as typed.
    pub plate: Option<String>,
    /// Chosen values by key.
    pub chosen: Vec<(String, String)>,
}

impl Options {
    /// The value chosen for a key, or the arrangement's default.
    pub fn get<'a>(&'a self, arrangement: &'a Arrangement, key: &str) -> &'a str {
        self.written(key)
            .unwrap_or_else(|| arrangement.default_of(key))
    }

    /// What is written under a key, if anything.
    fn written(&self, key: &str) -> Option<&str> {
        self.chosen
            .iter()
            .find(|(k, _)| k == key)
            .map(|(_, v)| v.as_str())
    }
}

impl Arrangement {
    /// The choice of this key.
    pub fn choice(&self, key: &str) -> Option<&'static Choice> {
        self.choices.iter().find(|c| c.key == key)
    }

    fn default_of(&self, key: &str) -> &'static str {
        self.choice(key)
            .and_then(|c| c.values.first())
            .map_or("", |v| v.0)
    }

    /// Every way to choose, each as options without a name.
    pub fn ways(&self) -> Vec<Options> {
        let mut ways = vec![Options::default()];
        for choice in self.choices {
            let with = |way: &Options, value: &str| {
                let mut way = way.clone();
                way.chosen.push((choice.key.to_owned(), value.to_owned()));
                way
            };
            ways = ways
                .iter()
                .flat_map(|way| choice.values.iter().map(move |(value, _)| with(way, value)))
                .collect();
        }
        ways
    }
}

/// Every arrangement the program knows; the last fits whatever fits no other.
pub fn arrangements() -> &'static [Arrangement] {
    &[
        stabilizer::CENTRE_TAP,
        stabilizer::END_FED,
        variable::VARIABLE,
        transformer::TRANSFORMER,
        unmarked::UNMARKED,
        unmarked::UNKNOWN,
    ]
}

/// The arrangement of this key.
pub fn arrangement(key: &str) -> Option<&'static Arrangement> {
    arrangements().iter().find(|a| a.key == key)
}

/// The arrangement this find's joins are those of, whatever it was started from; `None` when they are nobody's. Parts must be
/// numbered and their terminals marked as the arrangement marks them; a find without joins is not recognised.
pub fn recognise(find: &Find) -> Option<&'static Arrangement> {
    let joins = joined(find);
    let kinds = |f: &Find| {
        f.parts
            .iter()
            .map(|p| (p.designation.clone(), p.kind.word()))
            .collect::<BTreeSet<_>>()
    };
    let found = kinds(find);
    let alike = |way: &Options, a: &Arrangement| {
        let built = (a.build)(way);
        kinds(&built) == found && joined(&built) == joins
    };
    if joins.is_empty() {
        return None;
    }
    arrangements()
        .iter()
        .find(|a| a.ways().iter().any(|way| alike(way, a)))
}

/// The conductors on which more than one terminal stands.
fn joined(find: &Find) -> BTreeSet<Vec<TerminalRef>> {
    let groups = Conductors::of(find, None)
        .groups
        .into_iter()
        .filter(|g| g.len() > 1);
    groups
        .map(|mut group| {
            group.sort();
            group
        })
        .collect()
}

#[cfg(test)]
mod tests;
