//! The finds of a book, as the page asks for them: opened at their newest entry, changed by entries that make the difference.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use book::{Book, BookError, EntryId, Filter, FindId, Kind, New, What};
use gear::Kit;
use judgement::{Brief, Judge};
use sheet::{Fragment, fragment};

use crate::PageError;
use crate::added::Added;
use crate::clock::moment;
use crate::listing::{Asked, Listed, Listing, MOST};
use crate::opened::Opened;
use crate::submitted::Errors;

mod photos;

pub(crate) use photos::{Put, Said};

/// Finds kept opened, with their judgements.
const MOST_OPENED: usize = 64;
/// How often a number is chosen anew because another program was faster.
const MOST_TRIES: u32 = 20;
/// How long one wait for another program's entries lasts; then the next begins.
const PATIENCE: Duration = Duration::from_secs(30);

/// A find kept opened.
#[derive(Debug)]
struct Kept {
    /// The newest entry in it.
    newest: EntryId,
    /// The newest that says something of the gear.
    told: EntryId,
    opened: Arc<Opened>,
    /// Whether its judgement is in the book.
    stored: bool,
}

/// A book behind the page.
#[derive(Debug)]
pub(crate) struct Bound {
    book: Arc<Book>,
    opened: Mutex<BTreeMap<FindId, Kept>>,
    /// Held from looking at a find to having written into it, so that two forms do not give the same number.
    writing: Mutex<()>,
}

impl Bound {
    /// Opens the book, or begins one.
    pub(crate) fn open(path: &PathBuf) -> Result<Self, PageError> {
        Ok(Self {
            book: Arc::new(Book::open_or_create(path)?),
            opened: Mutex::default(),
            writing: Mutex::default(),
        })
    }

    /// The book itself, for its history, its photos, its search.
    pub(crate) fn book(&self) -> &Arc<Book> {
        &self.book
    }

    /// Calls `ring` after every entry, also another program's, on a thread of its own, as long as that lives.
    pub(crate) fn tell(&self, ring: impl Fn() + Send + 'static) -> std::io::Result<()> {
        let book = Arc::downgrade(&self.book);
        let wait = move || {
            let mut since = None;
            while let Some(book) = book.upgrade() {
                let Ok(known) = since.map_or_else(|| book.newest(), Ok) else {
                    std::thread::sleep(PATIENCE);
                    continue;
                };
                match book.wait_newer(known, PATIENCE) {
                    Ok(newest) if newest > known => ring(),
                    Ok(_) => {}
                    Err(_) => std::thread::sleep(PATIENCE),
                }
                since = book.newest().ok();
            }
        };
        std::thread::Builder::new().spawn(wait).map(drop)
    }

    /// One page of the list. What was judged since the list was last asked for is stored first, so that it tells of today.
    pub(crate) fn finds(&self, asked: &Asked) -> Result<Listing, PageError> {
        self.store_judgements();
        let tagged = Filter {
            tag: asked.tag.clone(),
            ..Filter::default()
        };
        let count = self.book.count(&tagged)?;
        let asked = asked.clone().within(count);
        let rows = self.book.finds(&Filter {
            skip: asked.skip(),
            most: Some(MOST),
            ..tagged
        })?;
        Ok(Listing {
            finds: rows.into_iter().map(Listed::of_row).collect(),
            tags: self.book.tags()?,
            asked,
            count,
        })
    }

    /// Stores what stands judged of the finds kept opened. Where that cannot be written the list tells of an older judgement and says so;
    /// nothing anybody recorded is lost.
    pub(crate) fn store_judgements(&self) {
        let kept = || self.opened.lock().unwrap_or_else(PoisonError::into_inner);
        // Written without holding the finds: whoever wants one need not wait for the disk.
        let new: Vec<_> = (kept().iter().filter(|(_, kept)| !kept.stored))
            .filter_map(|(id, kept)| {
                let judged = judged(kept.opened.judged()?, kept.told)?;
                Some((*id, kept.told, judged))
            })
            .collect();
        for (id, told, judged) in new {
            if self.book.judged(id, &moment(), judged).is_ok()
                && let Some(kept) = kept().get_mut(&id).filter(|kept| kept.told == told)
            {
                kept.stored = true;
            }
        }
    }

    /// The find behind a word.
    pub(crate) fn open_find(&self, slug: &str) -> Result<Option<Arc<Opened>>, PageError> {
        let id = self.book.by_slug(slug)?;
        id.map(|id| self.at_newest(id)).transpose()
    }

    fn at_newest(&self, id: FindId) -> Result<Arc<Opened>, PageError> {
        let state = self.book.find(id)?;
        let mut kept = self.opened.lock().unwrap_or_else(PoisonError::into_inner);
        let opened = match kept.get_mut(&id) {
            Some(there) if there.newest == state.newest => return Ok(there.opened.clone()),
            Some(there) if there.told == state.told => {
                there.newest = state.newest;
                there.opened = Arc::new(there.opened.beside(&state));
                return Ok(there.opened.clone());
            }
            Some(there) => Opened::of(&state, there.opened.known()),
            None => Opened::of(&state, None),
        };
        let opened = Arc::new(opened);
        if kept.len() >= MOST_OPENED && !kept.contains_key(&id) {
            kept.pop_first();
        }
        let new = Kept {
            newest: state.newest,
            told: state.told,
            opened: opened.clone(),
            stored: false,
        };
        kept.insert(id, new);
        Ok(opened)
    }

    /// Starts a find and gives its word.
    pub(crate) fn create(&self, name: &str, text: &str) -> Result<String, PageError> {
        let (id, _) = self.book.start(text, Some(name), &moment())?;
        Ok(self.book.find(id)?.slug.clone())
    }

    /// Changes a find whole; see `Store::change`.
    pub(crate) fn change<E>(
        &self,
        slug: &str,
        change: impl FnOnce(&Opened) -> Result<String, E>,
    ) -> Result<Option<Result<(), E>>, PageError> {
        let _writing = self.writing.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(id) = self.book.by_slug(slug)? else {
            return Ok(None);
        };
        let opened = self.at_newest(id)?;
        let text = match change(&opened) {
            Ok(text) => text,
            Err(refusal) => return Ok(Some(Err(refusal))),
        };
        let is = sheet::read(&text).map_err(PageError::Faults)?;
        let was = opened.find.as_ref().cloned().unwrap_or_default();
        for what in book::difference(&was, &is) {
            self.book.append(New::of(id, moment(), what))?;
        }
        Ok(Some(Ok(())))
    }

    /// Adds a reading with what it needs; see `Store::add`.
    pub(crate) fn add(
        &self,
        slug: &str,
        key: Option<&str>,
        take: impl Fn(&Opened) -> Result<Added, Errors>,
    ) -> Result<Option<Result<u32, Errors>>, PageError> {
        let _writing = self.writing.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(id) = self.book.by_slug(slug)? else {
            return Ok(None);
        };
        let mut tries = 0;
        loop {
            let added = match take(&*self.at_newest(id)?) {
                Ok(added) => added,
                Err(errors) => return Ok(Some(Err(errors))),
            };
            let new = New {
                key: key.map(str::to_owned),
                ..New::of(id, moment(), What::put(fragment_of(&added)))
            };
            tries += 1;
            return Ok(Some(match self.book.append_new(new) {
                Ok(entry) => Ok(number_in(&entry.what)),
                // Another program gave the same number meanwhile: look again, and take the next.
                Err(taken) if taken.kind == Kind::Taken && tries < MOST_TRIES => continue,
                Err(refused) if matches!(refused.kind, Kind::Refused | Kind::Taken) => {
                    Err(told(&refused))
                }
                Err(error) => return Err(error.into()),
            }));
        }
    }
}

/// A judgement as it is stored: in brief, with its priors; the rest is derived again.
fn judged(judge: &Judge, at_entry: EntryId) -> Option<book::Judged> {
    Some(book::Judged {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        at_entry,
        priors: serde_json::to_value(judge.priors()).ok()?,
        judgement: serde_json::to_value(Brief::of(judge.promptly())).ok()?,
    })
}

/// What a form adds, in the sheet's own form.
fn fragment_of(added: &Added) -> String {
    let source = added.source.as_ref().map(|source| {
        fragment::of_kit(&Kit {
            sources: vec![source.clone()],
            ..Kit::default()
        })
    });
    let blocks = [
        source,
        added.instrument.as_ref().map(fragment::of_instrument),
        added.setup.as_ref().map(fragment::of_setup),
        added.reading.as_ref().map(fragment::of_reading),
    ];
    blocks.into_iter().flatten().collect::<Vec<_>>().join("\n")
}

/// The number of the reading an entry holds: of one that was there already, not of the one that was sent again.
fn number_in(what: &What) -> u32 {
    let What::Put { fragment, .. } = what else {
        return 0;
    };
    let fragment = Fragment::read(fragment);
    fragment.map_or(0, |f| f.nouns().readings.first().map_or(0, |r| r.number))
}

fn told(refused: &BookError) -> Errors {
    let mut errors = Errors::default();
    for problem in &refused.problems {
        errors.add("shown", format!("{}; {}", problem.what, problem.remedy));
    }
    if errors.is_empty() {
        errors.add("shown", refused.to_string());
    }
    errors
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::submitted::Submitted;

    fn bound() -> (Bound, String) {
        let book = Bound {
            book: Arc::new(Book::in_memory().unwrap()),
            opened: Mutex::default(),
            writing: Mutex::default(),
        };
        let text = include_str!("../../../examples/creamery.toml");
        let slug = book.create("Creamery", text).unwrap();
        (book, slug)
    }

    fn form() -> Submitted {
        let fields = [
            ("setup", "4"),
            ("from", "X1:1"),
            ("to", "X1:N"),
            ("shown", "24.11 V"),
            ("instrument", "P1"),
        ];
        Submitted(fields.map(|(k, v)| (k.to_owned(), v.to_owned())).to_vec())
    }

    #[test]
    fn a_reading_sent_twice_is_there_once() {
        let (book, slug) = bound();
        let take = |opened: &Opened| crate::reading_form::take(opened, &form());
        let before = count(&book, &slug);
        let first = book.add(&slug, Some("k1"), take).unwrap().unwrap().unwrap();
        let again = book.add(&slug, Some("k1"), take).unwrap().unwrap().unwrap();
        let other = book.add(&slug, Some("k2"), take).unwrap().unwrap().unwrap();
        assert_eq!((again, other), (first, first + 1));
        assert_eq!(count(&book, &slug), before + 2);
    }

    fn count(book: &Bound, slug: &str) -> usize {
        let opened = book.open_find(slug).unwrap().unwrap();
        opened.find.as_ref().unwrap().readings.len()
    }

    #[test]
    fn a_find_edited_as_a_sheet_is_written_as_entries() {
        let (book, slug) = bound();
        let mut came = form();
        came.set("number", "1");
        came.set("reason", "clip sat on the tap");
        let strike = |opened: &Opened| crate::reading_form::strike(opened, &came);
        book.change(&slug, strike).unwrap().unwrap().unwrap();
        let id = book.book.by_slug(&slug).unwrap().unwrap();
        let entries = book.book.entries(id, EntryId(0)).unwrap();
        assert!(matches!(
            entries.last().unwrap().what,
            What::ReadingStruck { number: 1, .. }
        ));
    }

    #[test]
    fn a_photo_is_news_and_costs_no_judgement() {
        let (book, slug) = bound();
        let before = book.open_find(&slug).unwrap().unwrap();
        let judged = before.judge().unwrap();
        // The smallest PNG there is: one grey point (PNG, clause 5).
        let png = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01\0\0\0\x01\x08\0\0\0\0\x3a\x7e\x9b\x55\0\0\0\nIDATx\x9cch\0\0\0\x82\0\x81\x77\xcd\x72\xb6\0\0\0\0IEND\xaeB`\x82";
        let picture = picture::taken_in(png).unwrap();
        let put = || Put {
            of: vec![book::Noun::Plate],
            ..Put::default()
        };
        let digest = book.put_photo(&slug, &picture, put()).unwrap().unwrap();
        let after = book.open_find(&slug).unwrap().unwrap();
        assert_ne!(after.mark(), before.mark());
        assert!(Arc::ptr_eq(&after.judge().unwrap(), &judged));
        assert_eq!(after.photos().unwrap()[0].digest, digest);
        book.put_photo(&slug, &picture, put()).unwrap();
        let id = book.book.by_slug(&slug).unwrap().unwrap();
        assert_eq!(book.book.entries(id, EntryId(0)).unwrap().len(), 2, "once");
    }

    #[test]
    fn a_reading_takes_no_place_of_one_another_program_was_faster_with() {
        let (book, slug) = bound();
        let id = book.book.by_slug(&slug).unwrap().unwrap();
        let before = count(&book, &slug);
        let faster = std::cell::Cell::new(true);
        let take = |opened: &Opened| {
            let added = crate::reading_form::take(opened, &form())?;
            if faster.take() {
                let other = What::put(fragment_of(&added).replace("24.11", "24.12"));
                book.book.append(New::of(id, moment(), other)).unwrap();
            }
            Ok(added)
        };
        let number = book.add(&slug, None, take).unwrap().unwrap().unwrap();
        assert_eq!(count(&book, &slug), before + 2, "both are there");
        let opened = book.open_find(&slug).unwrap().unwrap();
        let readings = &opened.find.as_ref().unwrap().readings;
        let shown = |number: u32| {
            let reading = readings.iter().find(|r| r.number == number).unwrap();
            reading.shown.as_ref().unwrap().text().to_owned()
        };
        assert_eq!(
            (shown(number - 1), shown(number)),
            ("24.12 V".into(), "24.11 V".into())
        );
    }
}
