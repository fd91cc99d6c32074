//! `windfall book`: makes, fills, looks through, copies and checks a book. Thin: the book itself does the work.

mod photos;

use crate::arguments::{Book as Asked, BookAction};
use crate::failure::{Failure, Outcome};
use crate::input;
use crate::place::{self, failure, find_of, now};
use crate::progress::watched;
use book::{Book, Entry, EntryId, Filter, FindId, FindRow, Hit, What};
use judgement::Brief;
use serde::Deserialize;
use serde_json::json;
use std::path::{Path, PathBuf};

pub(crate) fn run(asked: &Asked) -> Result<Outcome, Failure> {
    let path = place::book(asked.book.as_deref())?;
    let json = asked.json;
    match &asked.action {
        BookAction::New => new(&path, json),
        BookAction::List { tag } => list(&open_to_read(&path)?, tag.as_deref(), json),
        BookAction::Import { sheets } => import(&path, sheets, json),
        BookAction::Export { find, out } => {
            export(&open_to_read(&path)?, find, out.as_deref(), json)
        }
        BookAction::History { find } => history(&open_to_read(&path)?, find, json),
        BookAction::Search { words } => search(&open_to_read(&path)?, &words.join(" "), json),
        BookAction::Backup { to } => backup(&open_to_read(&path)?, to, json),
        BookAction::Verify => verify(&open_to_read(&path)?, json),
    }
}

/// Who only looks opens a book that may be written too: only so an older one is brought up.
fn open_to_read(path: &Path) -> Result<Book, Failure> {
    place::open(path)
}

fn new(path: &Path, json: bool) -> Result<Outcome, Failure> {
    Book::create(path).map_err(failure)?;
    if json {
        input::print_json(&json!({ "book": path }))?;
    } else {
        input::print(&format!(
            "{} made; it is empty.\nNext: windfall book import SHEET, or windfall book list",
            path.display()
        ))?;
    }
    Ok(Outcome::Good)
}

fn list(book: &Book, tag: Option<&str>, json: bool) -> Result<Outcome, Failure> {
    let filter = Filter {
        tag: tag.map(str::to_owned),
        ..Filter::default()
    };
    let rows = book.finds(&filter).map_err(failure)?;
    if json {
        input::print_json(&rows)?;
    } else if rows.is_empty() {
        let hint = "no find here yet; start one with `windfall book import SHEET`";
        let hint = if tag.is_some() {
            "no find is tagged so"
        } else {
            hint
        };
        input::print(hint)?;
    } else {
        let lines: Vec<String> = rows.iter().map(row_in_words).collect();
        input::print(&lines.join("\n"))?;
    }
    Ok(Outcome::Good)
}

fn row_in_words(row: &FindRow) -> String {
    let readings = match row.readings {
        1 => "1 reading".to_owned(),
        many => format!("{many} readings"),
    };
    let tags = match row.tags.join(", ") {
        none if none.is_empty() => none,
        tags => format!("; {tags}"),
    };
    format!(
        "{:>4}  {:<32} {}; {readings}, last entry {}{tags}",
        row.id.0, row.slug, row.name, row.updated.text
    )
}

/// Each sheet is imported alone: one that is faulty keeps no other out.
fn import(path: &Path, sheets: &[PathBuf], json: bool) -> Result<Outcome, Failure> {
    let book = Book::open_or_create(path).map_err(failure)?;
    let mut wrong = Vec::new();
    let mut started = Vec::new();
    for sheet in sheets {
        match import_one(&book, sheet) {
            Ok((find, slug)) => started.push((sheet, find, slug)),
            Err(Failure::Input(lines)) => wrong.extend(lines),
            Err(other) => return Err(other),
        }
    }
    if json {
        let rows: Vec<_> = started
            .iter()
            .map(|(sheet, find, slug)| json!({ "sheet": sheet, "id": find, "slug": slug }))
            .collect();
        input::print_json(&rows)?;
    } else {
        for (sheet, _, slug) in &started {
            input::print(&format!("{}: in the book as {slug}", sheet.display()))?;
        }
    }
    if wrong.is_empty() {
        Ok(Outcome::Good)
    } else {
        Err(Failure::Input(wrong))
    }
}

fn import_one(book: &Book, path: &Path) -> Result<(FindId, String), Failure> {
    let text = input::text(path)?;
    sheet::read(&text).map_err(|p| input::faults(path, &p))?;
    let beside = photos::read(path)?;
    let (find, _) = book.start(&text, None, &now()).map_err(failure)?;
    if let Some(beside) = beside {
        photos::add(book, find, beside)?;
    }
    Ok((find, book.find(find).map_err(failure)?.slug.clone()))
}

fn export(book: &Book, find: &str, out: Option<&Path>, json: bool) -> Result<Outcome, Failure> {
    let export = book.export(find_of(book, find)?).map_err(failure)?;
    let Some(out) = out else {
        if json {
            input::print_json(&json!({
                "slug": export.slug,
                "sheet": export.sheet,
                "tags": export.tags,
                "photos": photos::told(&export),
            }))?;
        } else {
            input::print(&export.sheet)?;
        }
        return Ok(Outcome::Good);
    };
    input::write_new(out, &export.sheet)?;
    let folder = photos::write(out, &export)?;
    if json {
        input::print_json(&json!({ "sheet": out, "photos": folder }))?;
    } else {
        let photos = folder.map(|f| format!(", its photos and tags into {}", f.display()));
        input::print(&format!(
            "{} written{}",
            out.display(),
            photos.unwrap_or_default()
        ))?;
    }
    Ok(Outcome::Good)
}

fn history(book: &Book, find: &str, json: bool) -> Result<Outcome, Failure> {
    let entries = book
        .entries(find_of(book, find)?, EntryId(0))
        .map_err(failure)?;
    if json {
        input::print_json(&entries)?;
    } else {
        let lines: Vec<String> = entries.iter().map(entry_in_words).collect();
        input::print(&lines.join("\n"))?;
    }
    Ok(Outcome::Good)
}

fn entry_in_words(entry: &Entry) -> String {
    let device = entry.device.as_ref().map(|d| format!(" ({d})"));
    let struck = entry
        .struck
        .as_ref()
        .map(|s| format!("   [struck by entry {}: {}]", s.by, s.reason));
    format!(
        "{:>5}  {}{}  {}{}",
        entry.id.0,
        entry.at.text,
        device.unwrap_or_default(),
        words_of(entry),
        struck.unwrap_or_default()
    )
}

/// What an entry records; of a judgement, what was judged.
fn words_of(entry: &Entry) -> String {
    match &entry.what {
        What::Judged {
            judgement,
            at_entry,
            ..
        } => match Brief::deserialize(judgement) {
            Ok(brief) => format!("judged as it stood at entry {at_entry}: {}", brief.words()),
            Err(_) => entry.what.words(),
        },
        what => what.words(),
    }
}

fn search(book: &Book, words: &str, json: bool) -> Result<Outcome, Failure> {
    let hits = book.search(words).map_err(failure)?;
    if json {
        input::print_json(&hits)?;
    } else if hits.is_empty() {
        input::print("nothing in the book holds all of these words")?;
    } else {
        let line = |hit: &Hit| {
            let words: String = hit.snippet.iter().map(|p| p.text.as_str()).collect();
            let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
            format!("{}, {}: {words}", hit.slug, hit.noun)
        };
        input::print(&hits.iter().map(line).collect::<Vec<_>>().join("\n"))?;
    }
    Ok(Outcome::Good)
}

fn backup(book: &Book, to: &Path, json: bool) -> Result<Outcome, Failure> {
    watched("copying the book", || book.backup(to)).map_err(failure)?;
    if json {
        input::print_json(&json!({ "backup": to }))?;
    } else {
        input::print(&format!("the book as it is now: {}", to.display()))?;
    }
    Ok(Outcome::Good)
}

fn verify(book: &Book, json: bool) -> Result<Outcome, Failure> {
    let report = watched("reading the whole book", || book.verify()).map_err(failure)?;
    if json {
        input::print_json(&report)?;
    } else {
        let counted = |count: u64, one: &str, many: &str| {
            format!("{count} {}", if count == 1 { one } else { many })
        };
        let read = format!(
            "{}, {}, {} read",
            counted(report.finds, "find", "finds"),
            counted(report.entries, "entry", "entries"),
            counted(report.photos, "photo", "photos")
        );
        let told = if report.is_sound() {
            format!("{read}; the book is sound")
        } else {
            format!("{read}; wrong:\n{}", report.faults.join("\n"))
        };
        input::print(&told)?;
    }
    Ok(Outcome::of(!report.is_sound()))
}
