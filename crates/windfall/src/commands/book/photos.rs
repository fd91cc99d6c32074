//! What goes beside an exported sheet, in `SHEET-photos`: the pictures by their digest, and `photos.json` with what is said of them and the
//! find's tags. Read back when the sheet is imported: a picture from elsewhere is made harmless then, one of ours stays as it is.

use crate::failure::Failure;
use crate::input;
use crate::place::{failure, now};
use book::{Book, Export, FindId, Mark, New, Noun, Photo, What};
use serde::{Deserialize, Serialize};
use std::io::Read;
use std::path::{Path, PathBuf};

/// What is said of the pictures.
const LIST: &str = "photos.json";

/// The list as written.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct List {
    tags: Vec<String>,
    photos: Vec<Told>,
}

/// One picture as told in the list.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Told {
    digest: String,
    file: String,
    mime: String,
    width: u32,
    height: u32,
    caption: String,
    marks: Vec<Mark>,
    of: Vec<Noun>,
}

/// What stood beside a sheet.
pub(super) struct Beside {
    tags: Vec<String>,
    photos: Vec<(Told, picture::Clean)>,
}

/// The folder beside a sheet: `yard-photos` for `yard.toml`.
fn folder(sheet: &Path) -> PathBuf {
    let stem = sheet.file_stem().unwrap_or_default().to_string_lossy();
    sheet.with_file_name(format!("{stem}-photos"))
}

pub(super) fn told(export: &Export) -> Vec<Told> {
    let of = |(of, photo): &(book::PhotoOf, Photo)| {
        let ending = match photo.mime.as_str() {
            "image/jpeg" => "jpg",
            "image/png" => "png",
            "image/webp" => "webp",
            _ => "bin",
        };
        Told {
            digest: of.digest.clone(),
            file: format!("{}.{ending}", of.digest),
            mime: photo.mime.clone(),
            width: photo.width,
            height: photo.height,
            caption: of.caption.clone(),
            marks: of.marks.clone(),
            of: of.of.clone(),
        }
    };
    export.photos.iter().map(of).collect()
}

/// Writes the folder where there is something for it.
pub(super) fn write(sheet: &Path, export: &Export) -> Result<Option<PathBuf>, Failure> {
    if export.tags.is_empty() && export.photos.is_empty() {
        return Ok(None);
    }
    let folder = folder(sheet);
    let wrong = |e: std::io::Error| {
        Failure::input(format!(
            "{}: {e}; choose another name for the sheet",
            folder.display()
        ))
    };
    std::fs::create_dir(&folder).map_err(wrong)?;
    let list = List {
        tags: export.tags.clone(),
        photos: told(export),
    };
    for (told, (_, photo)) in list.photos.iter().zip(&export.photos) {
        std::fs::write(folder.join(&told.file), &photo.bytes).map_err(wrong)?;
    }
    let text = serde_json::to_string_pretty(&list).map_err(|e| Failure::Program(e.to_string()))?;
    input::write(&folder.join(LIST), &text)?;
    Ok(Some(folder))
}

/// Reads the folder beside a sheet, where there is one; before anything is written, so that a missing picture leaves no half a find.
pub(super) fn read(sheet: &Path) -> Result<Option<Beside>, Failure> {
    let folder = folder(sheet);
    let path = folder.join(LIST);
    if !path.exists() {
        return Ok(None);
    }
    let list: List = serde_json::from_str(&input::text(&path)?).map_err(|e| {
        Failure::input(format!(
            "{}: {e}; correct it, or move the folder away to import the sheet alone",
            path.display()
        ))
    })?;
    let mut photos = Vec::new();
    for told in list.photos {
        // A name from a stranger's list stays in its folder.
        let name = Path::new(&told.file).file_name().unwrap_or_default();
        let file = folder.join(name);
        let wrong = |why: String| {
            Failure::input(format!(
                "{}: {why}; it stands in {LIST}: put it there, or take it out of the list",
                file.display()
            ))
        };
        let bytes = bytes_of(&file).map_err(|e| wrong(e.to_string()))?;
        let picture = picture::taken_in(&bytes).map_err(|e| wrong(e.to_string()))?;
        photos.push((told, picture));
    }
    Ok(Some(Beside {
        tags: list.tags,
        photos,
    }))
}

/// A file, of which no more is read than a picture may have.
fn bytes_of(file: &Path) -> std::io::Result<Vec<u8>> {
    let most = u64::try_from(picture::LARGEST_FILE).unwrap_or(u64::MAX);
    let mut bytes = Vec::new();
    let file = std::fs::File::open(file)?;
    file.take(most.saturating_add(1)).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Puts what stood beside a sheet to the find.
pub(super) fn add(book: &Book, find: FindId, beside: Beside) -> Result<(), Failure> {
    let append = |what| book.append(New::of(find, now(), what)).map_err(failure);
    for word in beside.tags {
        append(What::Tagged { word })?;
    }
    for (told, picture) in beside.photos {
        let digest = book.add_photo(&picture).map_err(failure)?;
        append(What::Photo {
            digest,
            caption: told.caption,
            marks: told.marks,
            of: told.of,
        })?;
    }
    Ok(())
}
