//! Where the book lies unless somebody says otherwise, which find of it is meant, and what time it is.

use crate::failure::Failure;
use book::{Book, BookError, Filter, FindId, Kind, Moment};
use std::path::{Path, PathBuf};

/// The book's name in its folder.
const NAME: &str = "book.sqlite";

/// The book asked for, or the one in the owner's data folder.
pub(crate) fn book(asked: Option<&Path>) -> Result<PathBuf, Failure> {
    if let Some(path) = asked {
        return Ok(path.to_path_buf());
    }
    let folder = |name: &str| {
        let path = std::env::var_os(name).map(PathBuf::from);
        path.filter(|p| p.is_absolute())
    };
    data_folder(folder, std::env::consts::OS)
        .map(|data| data.join("windfall").join(NAME))
        .ok_or_else(|| {
            Failure::input("no home folder is known here; say where the book is with --book FILE")
        })
}

/// The data folder: what the XDG Base Directory Specification says, and what is usual on systems that do not follow it.
fn data_folder(named: impl Fn(&str) -> Option<PathBuf>, system: &str) -> Option<PathBuf> {
    if let Some(data) = named("XDG_DATA_HOME") {
        return Some(data);
    }
    match system {
        "windows" => named("LOCALAPPDATA"),
        "macos" => named("HOME").map(|home| home.join("Library").join("Application Support")),
        _ => named("HOME").map(|home| home.join(".local").join("share")),
    }
}

/// Opens a book, to be written.
pub(crate) fn open(path: &Path) -> Result<Book, Failure> {
    Book::open(path).map_err(failure)
}

/// The find of a word or a number.
pub(crate) fn find_of(book: &Book, asked: &str) -> Result<FindId, Failure> {
    if let Some(find) = book.by_slug(asked).map_err(failure)? {
        return Ok(find);
    }
    let rows = book.finds(&Filter::default()).map_err(failure)?;
    let number = asked.parse().ok().map(FindId);
    if let Some(row) = rows.iter().find(|row| Some(row.id) == number) {
        return Ok(row.id);
    }
    let near = gear::nearest(asked, rows.iter().map(|r| r.slug.as_str()));
    let remedy = match near {
        Some(near) => format!("did you mean `{near}`?"),
        None => "look at `windfall book list`".to_owned(),
    };
    Err(Failure::input(format!(
        "no find `{asked}` in the book; {remedy}"
    )))
}

/// What a book's trouble is for the command line: wrong input, or a failure of the program or the system.
pub(crate) fn failure(error: BookError) -> Failure {
    match error.kind {
        Kind::Failed | Kind::Full | Kind::Busy | Kind::Damaged => {
            Failure::Program(error.to_string())
        }
        _ => Failure::input(error.to_string()),
    }
}

/// Now, by this machine's clock.
pub(crate) fn now() -> Moment {
    let now = jiff::Zoned::now();
    let text = now.strftime("%Y-%m-%d %H:%M:%S").to_string();
    Moment::new(text, now.timestamp().as_millisecond())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// XDG Base Directory Specification, version 0.8: `$XDG_DATA_HOME`, else `$HOME/.local/share`.
    #[test]
    fn val_the_book_lies_in_the_data_folder() {
        let set = |names: &'static [(&str, &str)]| {
            move |name: &str| {
                let found = names.iter().find(|(n, _)| *n == name);
                found.map(|(_, path)| PathBuf::from(path))
            }
        };
        let both = &[("XDG_DATA_HOME", "/d"), ("HOME", "/h")];
        let home = &[("HOME", "/h")];
        assert_eq!(data_folder(set(both), "linux"), Some("/d".into()));
        assert_eq!(
            data_folder(set(home), "linux"),
            Some("/h/.local/share".into())
        );
        assert_eq!(data_folder(set(home), "windows"), None);
        assert_eq!(data_folder(set(&[]), "linux"), None);
    }
}
