//! The list of finds as data: what of each stands in it, wherever the finds are kept, and which of them are asked for.
//!
//! Out of a book no find is opened for it: everything comes from the finds' rows. Nothing is judged to be listed.

use book::FindRow;
use gear::Find;
use judgement::{Brief, plate};
use sheet::Fragment;

use crate::opened::Opened;
use crate::submitted::Submitted;

/// Finds on one page of the list (our choice: what a hand looks through).
pub(crate) const MOST: u64 = 20;

/// Which finds are asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Asked {
    /// Only those tagged with this word.
    pub(crate) tag: Option<String>,
    /// The page of the list, from 1.
    pub(crate) page: u64,
}

impl Asked {
    /// As the address asks; a page that is no number is the first.
    pub(crate) fn of(came: &Submitted) -> Self {
        Self {
            tag: came.given("tag").map(str::to_owned),
            page: came.get("page").parse().unwrap_or(1).max(1),
        }
    }

    /// The same, on the last page where it lies behind that.
    pub(crate) fn within(self, count: u64) -> Self {
        let last = count.div_ceil(MOST).max(1);
        Self {
            page: self.page.min(last),
            ..self
        }
    }

    /// How many stand on the pages before.
    pub(crate) fn skip(&self) -> u64 {
        (self.page - 1) * MOST
    }
}

/// One page of the list.
#[derive(Debug)]
pub(crate) struct Listing {
    /// What was asked, on a page that is there.
    pub(crate) asked: Asked,
    /// The finds on it, the one touched last first.
    pub(crate) finds: Vec<Listed>,
    /// How many there are on all pages.
    pub(crate) count: u64,
    /// Every word a find is tagged with, and how many are.
    pub(crate) tags: Vec<(String, u64)>,
}

impl Listing {
    /// Whether there is no find at all.
    pub(crate) fn is_empty(&self) -> bool {
        self.count == 0 && self.asked.tag.is_none()
    }
}

/// A find as it stands in the list.
#[derive(Debug, Default)]
pub(crate) struct Listed {
    pub(crate) slug: String,
    pub(crate) name: String,
    /// The owner's number.
    pub(crate) number: Option<u32>,
    /// The plate in a few words.
    pub(crate) summary: String,
    pub(crate) tags: Vec<String>,
    pub(crate) parts: u64,
    pub(crate) readings: u64,
    /// Digest of its first photo.
    pub(crate) photo: Option<String>,
    /// What was judged last.
    pub(crate) judged: Option<Brief>,
    /// Whether something was told since.
    pub(crate) older: bool,
    /// When something was recorded last.
    pub(crate) touched: Option<String>,
    /// What is wrong with its sheet, where it cannot be read: how many faults.
    pub(crate) faults: usize,
}

impl Listed {
    /// From its row in the book. What a stored judgement of another version does not say is left out.
    pub(crate) fn of_row(row: FindRow) -> Self {
        let plate = Fragment::read(&row.plate).map(|block| plate::summary(&block.nouns().plate));
        let older = row.judged.as_ref().is_some_and(|j| !j.of_today);
        let judged = row.judged.map(|j| serde_json::from_value(j.judgement));
        Self {
            slug: row.slug,
            name: row.name,
            number: row.number,
            summary: plate.unwrap_or_default(),
            tags: row.tags,
            parts: row.parts,
            readings: row.readings,
            photo: row.first_photo,
            judged: judged.and_then(Result::ok),
            older,
            touched: Some(to_the_minute(&row.updated.text)),
            faults: 0,
        }
    }

    /// From its sheet; of its judgement what stands already.
    pub(crate) fn of_sheet(slug: String, opened: &Opened) -> Self {
        match &opened.find {
            Ok(find) => Self {
                slug,
                name: find.name.clone(),
                number: find.number,
                summary: plate::summary(&find.plate),
                parts: find.parts.len() as u64,
                readings: find.readings.len() as u64,
                judged: opened.judged().map(|judge| Brief::of(judge.promptly())),
                touched: last_entry(find),
                ..Self::default()
            },
            Err(faults) => Self {
                name: format!("{slug}.toml"),
                slug,
                faults: faults.len(),
                ..Self::default()
            },
        }
    }
}

/// `2026-11-25 21:40:05` without its seconds.
fn to_the_minute(moment: &str) -> String {
    match moment.match_indices(':').nth(1) {
        Some((at, _)) => moment[..at].to_owned(),
        None => moment.to_owned(),
    }
}

/// When something was last recorded in a sheet: of its newest reading with a day, its setup, its damage or its note.
fn last_entry(find: &Find) -> Option<String> {
    let readings = find.readings.iter().filter_map(|r| r.at.as_ref());
    let setups = find.setups.iter().filter_map(|s| s.at.as_ref());
    let notes = find.notes.iter().filter_map(|n| n.at.as_ref());
    let damage = find.damage.iter().filter_map(|d| d.at.as_ref());
    let all = readings.chain(setups).chain(notes).chain(damage);
    let last = all
        .filter(|moment| moment.is_dated())
        .max_by(|a, b| a.minutes().total_cmp(&b.minutes()));
    last.map(|moment| moment.text().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_that_is_not_there_is_the_nearest_that_is() {
        let asked = |page: &str| {
            let mut came = Submitted::default();
            came.set("page", page);
            Asked::of(&came).within(41).page
        };
        for (page, wanted) in [("", 1), ("0", 1), ("-3", 1), ("x", 1), ("3", 3), ("9", 3)] {
            assert_eq!(asked(page), wanted, "{page}");
        }
        assert_eq!(Asked { tag: None, page: 7 }.within(0).page, 1);
    }

    #[test]
    fn seconds_are_not_told() {
        assert_eq!(to_the_minute("2026-11-25 21:40:05"), "2026-11-25 21:40");
        assert_eq!(to_the_minute("yesterday"), "yesterday");
    }
}
