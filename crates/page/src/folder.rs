//! The folder of sheets: the only place of the page that touches files.
//!
//! The table from a find's word in the address (its slug) to its file is made from the folder's listing; what a request says is looked up
//! in it and never becomes a path. A sheet is read and judged again only when the file has changed. Writing goes to a file beside it, then
//! takes its place at once, so that a sheet is never half written.

mod search;

use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::SystemTime;

use crate::PageError;
use crate::listing::{Asked, Listed, Listing, MOST};
use crate::opened::Opened;

/// Larger files are no sheets of one find; refusing them keeps a stray file from filling the memory.
const LARGEST_SHEET: u64 = 4 << 20;

/// A folder with its finds.
#[derive(Debug)]
pub(crate) struct Folder {
    directory: PathBuf,
    /// A sheet outside the folder that was asked for by name.
    beside: Option<PathBuf>,
    table: Mutex<BTreeMap<String, Entry>>,
    /// Held from reading a sheet to having written it, so that two forms do not lose one another's reading.
    writing: Mutex<()>,
}

#[derive(Debug)]
struct Entry {
    path: PathBuf,
    opened: Option<(Stamp, Arc<Opened>)>,
}

/// What tells a changed file.
type Stamp = (Option<SystemTime>, u64);

fn stamp(about: &std::fs::Metadata) -> Stamp {
    (about.modified().ok(), about.len())
}

impl Folder {
    /// A folder, not looked at yet.
    pub(crate) fn new(directory: PathBuf, beside: Option<PathBuf>) -> Self {
        Self {
            directory,
            beside,
            table: Mutex::default(),
            writing: Mutex::default(),
        }
    }

    /// The folder's path, for the words on the start page.
    pub(crate) fn directory(&self) -> &Path {
        &self.directory
    }

    /// Looks at the folder again and opens every sheet in it: slug and content, in order of slug.
    pub(crate) fn list(&self) -> Result<Vec<(String, Arc<Opened>)>, PageError> {
        self.look_again()?;
        let slugs: Vec<String> = self.table().keys().cloned().collect();
        Ok(slugs
            .into_iter()
            .filter_map(|slug| self.open(&slug).ok().flatten().map(|opened| (slug, opened)))
            .collect())
    }

    /// One page of the list, in order of slug. A folder keeps no tags.
    pub(crate) fn finds(&self, asked: &Asked) -> Result<Listing, PageError> {
        let opened = self.list()?;
        let count = opened.len() as u64;
        let asked = Asked {
            tag: None,
            ..asked.clone().within(count)
        };
        let page = opened.into_iter().skip(asked.skip() as usize);
        let page = page.take(MOST as usize);
        Ok(Listing {
            finds: page.map(|(slug, o)| Listed::of_sheet(slug, &o)).collect(),
            tags: Vec::new(),
            asked,
            count,
        })
    }

    /// What holds all of the words, in order of slug.
    pub(crate) fn search(&self, words: &str) -> Result<Vec<book::Hit>, PageError> {
        let opened = self.list()?;
        let hits = opened.iter().filter_map(|(slug, opened)| {
            let find = opened.find.as_ref().ok()?;
            Some(search::hits(slug, find, words))
        });
        Ok(hits.flatten().collect())
    }

    /// Lets the table hold the sheets that lie in the folder now; those known keep their slug.
    fn look_again(&self) -> Result<(), PageError> {
        let paths = self.paths()?;
        let mut table = self.table();
        table.retain(|_, entry| paths.contains(&entry.path));
        for path in paths {
            if !table.values().any(|entry| entry.path == path) {
                let slug = free_name(&slug_from(&stem(&path)), |s| table.contains_key(s));
                table.insert(slug, Entry { path, opened: None });
            }
        }
        Ok(())
    }

    fn path_of(&self, slug: &str) -> Option<PathBuf> {
        self.table().get(slug).map(|entry| entry.path.clone())
    }

    /// The find behind a slug, read afresh if its file has changed; `None` when no find has that slug, nor any sheet put there since.
    pub(crate) fn open(&self, slug: &str) -> Result<Option<Arc<Opened>>, PageError> {
        if self.path_of(slug).is_none() {
            self.look_again()?;
        }
        let Some(path) = self.path_of(slug) else {
            return Ok(None);
        };
        let failed = |why| PageError::File {
            path: path.clone(),
            tried: "read",
            why,
        };
        let about = std::fs::metadata(&path).map_err(failed)?;
        let stamp = stamp(&about);
        if let Some((read_at, opened)) = self
            .table()
            .get(slug)
            .and_then(|entry| entry.opened.as_ref())
            && *read_at == stamp
        {
            return Ok(Some(opened.clone()));
        }
        let before = self
            .table()
            .get(slug)
            .and_then(|entry| entry.opened.as_ref()?.1.known());
        let text = std::fs::read_to_string(&path).map_err(failed)?;
        let opened = Arc::new(Opened::after(text, before));
        if let Some(entry) = self.table().get_mut(slug) {
            entry.opened = Some((stamp, opened.clone()));
        }
        Ok(Some(opened))
    }

    /// The slug of a file.
    pub(crate) fn slug_of(&self, path: &Path) -> Option<String> {
        let wanted = same_file_key(path);
        self.table()
            .iter()
            .find(|(_, entry)| same_file_key(&entry.path) == wanted)
            .map(|(slug, _)| slug.clone())
    }

    /// Writes a new find's sheet under a name made from the find's, and gives its slug.
    pub(crate) fn create(&self, name: &str, text: &str) -> Result<String, PageError> {
        let _writing = self.writing.lock().unwrap_or_else(PoisonError::into_inner);
        let wanted = slug_from(name);
        let stem = free_name(&wanted, |s| {
            self.directory.join(format!("{s}.toml")).exists() || self.table().contains_key(s)
        });
        let path = self.directory.join(format!("{stem}.toml"));
        write_whole(&path, text)?;
        self.list()?;
        Ok(self.slug_of(&path).unwrap_or(stem))
    }

    /// Changes a sheet: `change` gets its present state and gives the new text, or its refusal. Nothing is written on a refusal. The new
    /// state is judged while the disk writes; it is shown only when both are done.
    pub(crate) fn change<E>(
        &self,
        slug: &str,
        change: impl FnOnce(&Opened) -> Result<String, E>,
    ) -> Result<Option<Result<(), E>>, PageError> {
        let _writing = self.writing.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(opened) = self.open(slug)? else {
            return Ok(None);
        };
        let Some(path) = self.table().get(slug).map(|entry| entry.path.clone()) else {
            return Ok(None);
        };
        match change(&opened) {
            Ok(text) => {
                let next = Arc::new(Opened::after(text, opened.known()));
                std::thread::scope(|both| {
                    let written = both.spawn(|| write_whole(&path, next.text()));
                    next.judge();
                    written
                        .join()
                        .unwrap_or_else(|gone| std::panic::resume_unwind(gone))
                })?;
                if let Some(entry) = self.table().get_mut(slug) {
                    let stamp = std::fs::metadata(&path).map(|about| stamp(&about)).ok();
                    entry.opened = stamp.map(|stamp| (stamp, next));
                }
                Ok(Some(Ok(())))
            }
            Err(refusal) => Ok(Some(Err(refusal))),
        }
    }

    fn table(&self) -> MutexGuard<'_, BTreeMap<String, Entry>> {
        self.table.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The sheets of the folder, and the one beside it, in order.
    fn paths(&self) -> Result<Vec<PathBuf>, PageError> {
        let failed = |why| PageError::File {
            path: self.directory.clone(),
            tried: "read",
            why,
        };
        let mut paths = Vec::new();
        for item in std::fs::read_dir(&self.directory).map_err(failed)? {
            let path = item.map_err(failed)?.path();
            if path.extension().is_some_and(|e| e == "toml") && is_sheet(&path) {
                paths.push(path);
            }
        }
        if let Some(beside) = &self.beside
            && !paths
                .iter()
                .any(|p| same_file_key(p) == same_file_key(beside))
        {
            std::fs::metadata(beside).map_err(|why| PageError::File {
                path: beside.clone(),
                tried: "read",
                why,
            })?;
            paths.push(beside.clone());
        }
        paths.sort();
        Ok(paths)
    }
}

/// Whether a TOML file says that it is a sheet: other programs keep TOML files too.
fn is_sheet(path: &Path) -> bool {
    std::fs::metadata(path).is_ok_and(|about| about.is_file() && about.len() <= LARGEST_SHEET)
        && std::fs::read_to_string(path).is_ok_and(|text| {
            text.lines().any(|line| {
                line.trim_start()
                    .strip_prefix("sheet")
                    .is_some_and(|rest| rest.trim_start().starts_with('='))
            })
        })
}

fn same_file_key(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| path.to_owned())
}

fn stem(path: &Path) -> String {
    path.file_stem()
        .map(|s| s.to_string_lossy().into_owned())
        .unwrap_or_default()
}

/// Lower-case ASCII letters and figures with single hyphens between: fit for an address and a file name on every system.
fn slug_from(words: &str) -> String {
    let mut slug = String::new();
    for c in words.chars() {
        if c.is_ascii_alphanumeric() {
            slug.push(c.to_ascii_lowercase());
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    slug.truncate(60);
    match slug.trim_end_matches('-') {
        "" => "find".to_owned(),
        slug => slug.to_owned(),
    }
}

fn free_name(wanted: &str, taken: impl Fn(&str) -> bool) -> String {
    if !taken(wanted) {
        return wanted.to_owned();
    }
    (2_u32..)
        .map(|n| format!("{wanted}-{n}"))
        .find(|name| !taken(name))
        .unwrap_or_else(|| wanted.to_owned())
}

/// Writes beside, then renames: whoever reads sees the old sheet or the new one.
fn write_whole(path: &Path, text: &str) -> Result<(), PageError> {
    let beside = path.with_extension(format!("toml.{}.part", std::process::id()));
    let write = || {
        let mut file = std::fs::File::create(&beside)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        std::fs::rename(&beside, path)
    };
    write().map_err(|why| {
        let _ = std::fs::remove_file(&beside);
        PageError::File {
            path: path.to_owned(),
            tried: "write",
            why,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_becomes_a_harmless_slug() {
        assert_eq!(
            slug_from("Stabilizer from the creamery"),
            "stabilizer-from-the-creamery"
        );
        assert_eq!(slug_from("../../etc/passwd"), "etc-passwd");
        assert_eq!(slug_from("Öl & Co."), "l-co");
        assert_eq!(slug_from("変圧器"), "find");
        assert_eq!(
            free_name("find", |s| s == "find" || s == "find-2"),
            "find-3"
        );
    }
}
