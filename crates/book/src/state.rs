//! What a find's entries add up to. Folding never fails: an entry that cannot be taken is left out and told in [`State::unread`].

use crate::merge::{self, Merged};
use crate::{Entry, EntryId, FindId, Mark, Moment, Noun, Struck, What};
use gear::Find;
use sheet::Fragment;
use std::collections::{BTreeSet, HashMap};

/// A find as it stands now.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// Its number in the book.
    pub id: FindId,
    /// Its word in addresses; stays when the find is given another name.
    pub slug: String,
    /// The find.
    pub find: Find,
    /// The words it is tagged with.
    pub tags: BTreeSet<String>,
    /// Its photos, in the order they came.
    pub photos: Vec<PhotoOf>,
    /// The newest judgement stored.
    pub judged: Option<EntryId>,
    /// The newest entry in it.
    pub newest: EntryId,
    /// The newest that says something of the gear itself: a judgement that knew it is of today.
    pub told: EntryId,
    /// The newest that somebody made: a judgement stored is nobody's.
    pub touched: EntryId,
    /// When that was made, by its writer's clock.
    pub updated: Moment,
    /// Entries that could not be taken, each with the reason; none in a sound book.
    pub unread: Vec<(EntryId, String)>,
}

/// A photo as it is put to a find.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoOf {
    /// SHA-256 of its bytes.
    pub digest: String,
    /// What it shows.
    pub caption: String,
    /// Marks on it.
    pub marks: Vec<Mark>,
    /// What it is of.
    pub of: Vec<Noun>,
    /// The entry that put it there.
    pub added: EntryId,
}

impl PhotoOf {
    /// What it is of, and what its marks point at.
    pub fn nouns(&self) -> impl Iterator<Item = &Noun> {
        let of_marks = self.marks.iter().filter_map(|m| m.of.as_ref());
        self.of.iter().chain(of_marks)
    }

    /// Whether it is of this noun, or a mark on it points at it.
    pub fn shows(&self, noun: &Noun) -> bool {
        self.nouns().any(|n| n == noun)
    }
}

impl State {
    pub(crate) fn empty(id: FindId, slug: String) -> Self {
        Self {
            id,
            slug,
            find: Find::default(),
            tags: BTreeSet::new(),
            photos: Vec::new(),
            judged: None,
            newest: EntryId(0),
            told: EntryId(0),
            touched: EntryId(0),
            updated: Moment::new("", 0),
            unread: Vec::new(),
        }
    }

    /// What all entries of a find add up to, the struck ones left out.
    pub fn afresh(id: FindId, slug: &str, entries: &[Entry]) -> Self {
        let struck = struck(entries);
        let mut state = Self::empty(id, slug.to_owned());
        for entry in entries {
            if struck.contains_key(&entry.id) {
                state.passed(entry);
            } else {
                state.apply(entry);
            }
        }
        state
    }

    /// Photos of a noun.
    pub fn photos_of<'a>(&'a self, noun: &'a Noun) -> impl Iterator<Item = &'a PhotoOf> {
        self.photos.iter().filter(move |p| p.shows(noun))
    }

    /// Takes one entry more. A strike is not known from here: fold afresh for it.
    pub(crate) fn apply(&mut self, entry: &Entry) -> Option<Merged> {
        self.passed(entry);
        match &entry.what {
            What::Started { sheet } => match sheet::read(sheet) {
                Ok(find) => self.find = find,
                Err(problems) => self.leave_out(entry.id, &problems),
            },
            What::Put {
                fragment,
                instead_of,
            } => match Fragment::read(fragment) {
                Ok(fragment) => return Some(self.put(&fragment, instead_of)),
                Err(problems) => self.leave_out(entry.id, &problems),
            },
            What::Removed { noun, .. } => {
                if let Noun::Photo(digest) = noun {
                    self.photos.retain(|p| p.digest != *digest);
                } else {
                    merge::remove(&mut self.find, noun);
                }
            }
            What::ReadingStruck { number, reason } => {
                self.reading(*number, |r| r.struck = Some(reason.clone()));
            }
            What::ReadingKept { number, kept } => self.reading(*number, |r| r.kept = *kept),
            What::Tagged { word } => {
                self.tags.insert(word.clone());
            }
            What::Untagged { word } => {
                self.tags.remove(word);
            }
            What::Photo {
                digest,
                caption,
                marks,
                of,
            }
            | What::PhotoChanged {
                digest,
                caption,
                marks,
                of,
            } => self.photo(entry.id, digest, caption, marks, of),
            What::Judged { .. } => self.judged = Some(entry.id),
            What::Struck { .. } => {}
        }
        None
    }

    /// Takes nouns out and puts those of a fragment in.
    pub(crate) fn put(&mut self, fragment: &Fragment, instead_of: &[Noun]) -> Merged {
        for noun in instead_of {
            merge::remove(&mut self.find, noun);
        }
        let merged = merge::put(&mut self.find, fragment);
        if let ([old], [new]) = (instead_of, merged.nouns.as_slice()) {
            self.photos_follow(old, new);
        }
        merged
    }

    /// What was given another name keeps its photos.
    fn photos_follow(&mut self, old: &Noun, new: &Noun) {
        if std::mem::discriminant(old) != std::mem::discriminant(new) {
            return;
        }
        for photo in &mut self.photos {
            let of_marks = photo.marks.iter_mut().filter_map(|m| m.of.as_mut());
            for noun in photo.of.iter_mut().chain(of_marks) {
                if noun == old {
                    noun.clone_from(new);
                }
            }
        }
    }

    pub(crate) fn passed(&mut self, entry: &Entry) {
        self.newest = entry.id;
        if entry.what.is_of_the_gear() {
            self.told = entry.id;
        }
        if !matches!(entry.what, What::Judged { .. }) {
            self.touched = entry.id;
            self.updated = entry.at.clone();
        }
    }

    fn leave_out(&mut self, entry: EntryId, problems: &[sheet::Problem]) {
        let why = problems.first().map(ToString::to_string);
        self.unread.push((entry, why.unwrap_or_default()));
    }

    fn reading(&mut self, number: u32, change: impl FnOnce(&mut gear::Reading)) {
        let readings = &mut self.find.readings;
        if let Some(reading) = readings.iter_mut().find(|r| r.number == number) {
            change(reading);
        }
    }

    fn photo(&mut self, id: EntryId, digest: &str, caption: &str, marks: &[Mark], of: &[Noun]) {
        let place = self.photos.iter().position(|p| p.digest == digest);
        let photo = PhotoOf {
            digest: digest.to_owned(),
            caption: caption.to_owned(),
            marks: marks.iter().cloned().map(Mark::canonical).collect(),
            of: of.iter().cloned().map(Noun::canonical).collect(),
            added: place.map_or(id, |at| self.photos[at].added),
        };
        match place {
            Some(at) => self.photos[at] = photo,
            None => self.photos.push(photo),
        }
    }
}

/// Which of a find's entries are struck now. A strike speaks only of entries before it, so the newest has the last word.
pub(crate) fn struck<'a>(
    entries: impl IntoIterator<Item = &'a Entry, IntoIter: DoubleEndedIterator>,
) -> HashMap<EntryId, Struck> {
    let mut out: HashMap<EntryId, Struck> = HashMap::new();
    for entry in entries.into_iter().rev() {
        if let What::Struck { entry: of, reason } = &entry.what
            && !out.contains_key(&entry.id)
        {
            out.entry(*of).or_insert_with(|| Struck {
                by: entry.id,
                reason: reason.clone(),
            });
        }
    }
    out
}
