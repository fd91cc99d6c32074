//! What the owner writes about a find at the desk: every noun with its form, the lists they stand in, joins, tags.
//!
//! One small table of nouns drives them all. The fields of a form, their words and how each is written come from the sheet's own table
//! of keys (`sheet::typed`), so that nothing has to be said twice.

pub(crate) mod again;
pub(crate) mod form;
pub(crate) mod history;
pub(crate) mod joins;
pub(crate) mod lists;
pub(crate) mod tagged;
pub(crate) mod tags;
pub(crate) mod take;

use gear::Find;

/// A kind of thing the owner writes down.
pub(crate) struct Noun {
    /// Its word in an address.
    pub(crate) word: &'static str,
    /// Its list as the sheet heads it.
    pub(crate) list: &'static str,
    /// One of it, in words.
    pub(crate) one: &'static str,
    /// Several.
    pub(crate) many: &'static str,
    /// The field that tells one from another; without it they are told by their place.
    key: Option<&'static str>,
    /// The fields shown in the list, in order.
    columns: &'static [&'static str],
    /// The section of the find's page its list stands in.
    pub(crate) section: &'static str,
}

/// Every noun but the readings, which are struck and never edited.
#[rustfmt::skip] // one noun, one line
pub(crate) static NOUNS: [Noun; 14] = [
    Noun { word: "find", list: "find", one: "find", many: "find", key: None, columns: &[], section: "plate" },
    Noun { word: "plate", list: "plate", one: "plate", many: "plate", key: None, columns: &[], section: "plate" },
    Noun { word: "part", list: "part", one: "part", many: "parts", key: Some("designation"), columns: &["designation", "kind", "name", "phase", "terminals"], section: "wiring" },
    Noun { word: "lead", list: "lead", one: "lead", many: "leads", key: Some("designation"), columns: &["designation", "from", "to", "colour", "section", "mark", "state"], section: "wiring" },
    Noun { word: "join", list: "join", one: "join", many: "joins", key: None, columns: &["terminals", "state", "note"], section: "wiring" },
    Noun { word: "gang", list: "gang", one: "gang", many: "gangs", key: Some("name"), columns: &["name", "parts"], section: "wiring" },
    Noun { word: "damage", list: "damage", one: "damage", many: "damage", key: None, columns: &["part", "winding", "what", "travel", "at"], section: "wiring" },
    Noun { word: "setup", list: "setup", one: "setup", many: "setups", key: Some("number"), columns: &["number", "at", "what"], section: "readings" },
    Noun { word: "instrument", list: "instrument", one: "instrument", many: "instruments", key: Some("designation"), columns: &["designation", "name", "class", "response", "category"], section: "readings" },
    Noun { word: "source", list: "kit.source", one: "source", many: "sources", key: Some("name"), columns: &["name", "volts", "amperes", "phases", "isolated"], section: "readings" },
    Noun { word: "limiter", list: "kit.limiter", one: "limiter", many: "limiters", key: Some("name"), columns: &["name", "values"], section: "readings" },
    Noun { word: "load", list: "kit.load", one: "load", many: "loads", key: Some("name"), columns: &["name", "values"], section: "readings" },
    Noun { word: "protection", list: "kit.protection", one: "protective device", many: "protection", key: Some("name"), columns: &["name", "values"], section: "readings" },
    Noun { word: "note", list: "note", one: "note", many: "notes", key: None, columns: &["at", "text"], section: "record" },
];

impl Noun {
    /// The noun behind a word of the address.
    pub(crate) fn of(word: &str) -> Option<&'static Self> {
        NOUNS.iter().find(|noun| noun.word == word)
    }

    /// Whether a find has exactly one, which is changed but neither added nor taken out.
    pub(crate) fn is_single(&self) -> bool {
        matches!(self.list, "find" | "plate")
    }

    /// The fields of the one at a place of its list, as they would be typed.
    pub(crate) fn typed(&self, find: &Find, index: usize) -> Vec<(String, String)> {
        let block = sheet::block_of(find, self.list, index).unwrap_or_default();
        sheet::typed::typed(self.list, &block)
    }

    /// What tells the one at a place from the others: the address of its form ends in it.
    pub(crate) fn key_of(&self, find: &Find, index: usize) -> String {
        let place = (index + 1).to_string();
        let Some(key) = self.key else {
            return place;
        };
        let fields = self.typed(find, index);
        let named = fields.into_iter().find(|(field, _)| field == key);
        named.map_or(place, |(_, value)| value)
    }

    /// The place of the one an address ends in.
    pub(crate) fn index_of(&self, find: &Find, key: &str) -> Option<usize> {
        (0..sheet::count(find, self.list)).find(|index| self.key_of(find, *index) == key)
    }

    /// Where its form is: of the one told by `key`, or of a new one.
    pub(crate) fn address(&self, slug: &str, key: Option<&str>) -> String {
        match key.filter(|_| !self.is_single()) {
            Some(key) => format!(
                "/find/{slug}/edit/{}/{}",
                self.word,
                crate::routes::percent(key)
            ),
            None => format!("/find/{slug}/edit/{}", self.word),
        }
    }

    /// Where the find's page shows its list.
    pub(crate) fn back(&self, slug: &str) -> String {
        if self.is_single() {
            format!("/find/{slug}#plate")
        } else {
            format!("/find/{slug}?list={0}#list-{0}", self.word)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_noun_of_the_sheet_has_its_line_and_every_column_is_a_field() {
        for list in sheet::typed::NOUNS {
            let noun = NOUNS.iter().find(|noun| noun.list == list);
            let noun = noun.unwrap_or_else(|| panic!("{list}"));
            let (own, _) = sheet::typed::fields(list, None);
            for column in noun.columns.iter().chain(&noun.key) {
                assert!(own.iter().any(|f| f.name == **column), "{list}: {column}");
            }
        }
    }

    #[test]
    fn one_is_found_again_by_its_key() {
        let arrangement = wiring::arrangement("stabilizer-centre-tap").unwrap();
        let find = (arrangement.build)(&wiring::Options::default());
        for noun in &NOUNS {
            for index in 0..sheet::count(&find, noun.list) {
                let key = noun.key_of(&find, index);
                assert_eq!(noun.index_of(&find, &key), Some(index), "{}", noun.word);
            }
        }
    }
}
