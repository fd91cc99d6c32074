//! The folder beside a book or a folder of sheets where the gate keeps what must outlast a run: the passphrase's hash, the authority's key.
//!
//! Only the owner of the files may read them. A file is written beside its place and then takes it, so that it is never half there.

use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use crate::PageError;
use crate::gate::passphrase;

/// The passphrase as its argon2 hash.
const PASSPHRASE: &str = "passphrase";
/// A hash or a key has some hundred bytes; more is something else.
const LARGEST: u64 = 64 << 10;

/// Where the gate keeps its files. Nothing is made before something is kept.
#[derive(Debug, Clone)]
pub struct Keep(PathBuf);

impl Keep {
    /// For a folder of sheets: a hidden folder in it.
    pub fn in_folder(folder: &Path) -> Self {
        Self(folder.join(".windfall-gate"))
    }

    /// For a book: a folder beside it with its name.
    pub fn beside_book(book: &Path) -> Self {
        let mut name = book.file_name().unwrap_or_default().to_owned();
        name.push(".gate");
        Self(book.with_file_name(name))
    }

    /// The folder.
    pub fn path(&self) -> &Path {
        &self.0
    }

    /// Whether a passphrase was set before.
    /// # Errors
    /// [`PageError::File`] when the file is there and cannot be read.
    pub fn has_passphrase(&self) -> Result<bool, PageError> {
        Ok(self.read(PASSPHRASE)?.is_some())
    }

    /// Whether these words are the passphrase set before; `false` where none is.
    /// # Errors
    /// [`PageError::File`] when the file is there and cannot be read.
    pub fn is_passphrase(&self, words: &str) -> Result<bool, PageError> {
        let hash = self.read(PASSPHRASE)?;
        Ok(hash.is_some_and(|hash| passphrase::matches(hash.trim(), words)))
    }

    /// Sets the passphrase, over any set before.
    /// # Errors
    /// [`PageError::Lan`] when it is too short or too long, [`PageError::File`] when it cannot be kept.
    pub fn set_passphrase(&self, words: &str) -> Result<(), PageError> {
        let hash = passphrase::hashed(words).map_err(PageError::Lan)?;
        self.write(PASSPHRASE, &format!("{hash}\n"))
    }

    /// The hash kept.
    pub(crate) fn passphrase(&self) -> Result<String, PageError> {
        self.read(PASSPHRASE)?
            .map(|hash| hash.trim().to_owned())
            .ok_or_else(|| {
                PageError::Lan(
                    "no passphrase is set; without one nobody on the network is let in".to_owned(),
                )
            })
    }

    /// A kept file's text; `None` when it is not there.
    pub(crate) fn read(&self, name: &str) -> Result<Option<String>, PageError> {
        let path = self.0.join(name);
        let failed = |why| PageError::File {
            path: path.clone(),
            tried: "read",
            why,
        };
        match std::fs::metadata(&path) {
            Err(why) if why.kind() == ErrorKind::NotFound => return Ok(None),
            Err(why) => return Err(failed(why)),
            Ok(about) if about.len() > LARGEST => {
                return Err(failed(ErrorKind::FileTooLarge.into()));
            }
            Ok(_) => {}
        }
        std::fs::read_to_string(&path).map(Some).map_err(failed)
    }

    /// Keeps a file that only its owner reads.
    pub(crate) fn write(&self, name: &str, text: &str) -> Result<(), PageError> {
        let path = self.0.join(name);
        let part = self.0.join(format!("{name}.{}.part", std::process::id()));
        let kept = || {
            private_folder(&self.0)?;
            let _ = std::fs::remove_file(&part);
            let mut file = private_file(&part)?;
            file.write_all(text.as_bytes())?;
            file.sync_all()?;
            std::fs::rename(&part, &path)
        };
        kept().map_err(|why| {
            let _ = std::fs::remove_file(&part);
            PageError::File {
                path: path.clone(),
                tried: "write",
                why,
            }
        })
    }
}

fn private_folder(path: &Path) -> std::io::Result<()> {
    if path.is_dir() {
        return Ok(());
    }
    let mut builder = std::fs::DirBuilder::new();
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(path)
}

fn private_file(path: &Path) -> std::io::Result<std::fs::File> {
    let mut options = std::fs::File::options();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_passphrase_is_kept_as_a_hash_that_only_its_owner_reads() {
        let folder = std::env::temp_dir().join(format!("windfall-keep-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).unwrap();
        let keep = Keep::in_folder(&folder);
        assert!(!keep.has_passphrase().unwrap());
        assert!(keep.passphrase().is_err());
        assert!(keep.set_passphrase("short").is_err());
        assert!(!keep.path().exists(), "a refusal leaves nothing behind");
        keep.set_passphrase("seven copper turns").unwrap();
        assert!(keep.is_passphrase("seven copper turns").unwrap());
        assert!(!keep.is_passphrase("seven copper turn").unwrap());
        let text = std::fs::read_to_string(keep.path().join(PASSPHRASE)).unwrap();
        assert!(text.starts_with("$argon2id$") && !text.contains("copper"));
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = |path: &Path| path.metadata().unwrap().permissions().mode() & 0o777;
            assert_eq!(mode(keep.path()), 0o700);
            assert_eq!(mode(&keep.path().join(PASSPHRASE)), 0o600);
        }
        std::fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn a_books_gate_stands_beside_the_book() {
        assert_eq!(
            Keep::beside_book(Path::new("/bench/finds.book")).path(),
            Path::new("/bench/finds.book.gate")
        );
    }
}
