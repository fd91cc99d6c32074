//! The named arrangements: how such gear is usually wired, each able to build a find. (Interface; the list is being written.)

use gear::Find;

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

/// What the owner chose; keys and values of [`Choice`], and the name of the find.
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
        self.chosen
            .iter()
            .find(|(k, _)| k == key)
            .map(|(_, v)| v.as_str())
            .unwrap_or_else(|| {
                arrangement
                    .choices
                    .iter()
                    .find(|c| c.key == key)
                    .and_then(|c| c.values.first())
                    .map_or("", |v| v.0)
            })
    }
}

/// Every arrangement the program knows.
pub fn arrangements() -> &'static [Arrangement] {
    &[]
}

/// The arrangement of this key.
pub fn arrangement(key: &str) -> Option<&'static Arrangement> {
    arrangements().iter().find(|a| a.key == key)
}

/// The arrangement this find's joins are those of, whatever it was started from; `None` when they are nobody's.
pub fn recognise(_find: &Find) -> Option<&'static Arrangement> {
    None
}
