//! Reads and writes files, prints: where the command line touches the outside.

use crate::failure::Failure;
use crate::progress;
use gear::Find;
use judgement::Judge;
use std::io::{Read, Write};
use std::path::Path;

/// Largest sheet read; a find with a thousand readings is a tenth of this.
const LARGEST: u64 = 8 * 1024 * 1024;

/// Every fault of a file as a line that begins with its path.
pub(crate) fn faults<P: std::fmt::Display>(path: &Path, problems: &[P]) -> Failure {
    let lines = problems.iter().map(|p| format!("{}: {p}", path.display()));
    Failure::Input(lines.collect())
}

/// Judges a find, charts and all; says that it is at it when it takes more than a second and somebody is watching.
pub(crate) fn judge(find: Find) -> Judge {
    let words = match find.readings.len() {
        0 => "judging the find".to_owned(),
        1 => "judging 1 reading".to_owned(),
        n => format!("judging {n} readings"),
    };
    progress::watched(&words, || {
        let judge = Judge::new(find);
        judge.judgement();
        judge
    })
}

/// Reads a text file; `-` is standard input.
pub(crate) fn text(path: &Path) -> Result<String, Failure> {
    let wrong = |e: std::io::Error| {
        let remedy = if e.kind() == std::io::ErrorKind::NotFound {
            "look at the path, or start one with `windfall new`"
        } else {
            "see that it can be read"
        };
        Failure::input(format!("{}: {e}; {remedy}", path.display()))
    };
    let mut bytes = Vec::new();
    if path == Path::new("-") {
        std::io::stdin()
            .lock()
            .take(LARGEST + 1)
            .read_to_end(&mut bytes)
            .map_err(wrong)?;
    } else {
        std::fs::File::open(path)
            .map_err(wrong)?
            .take(LARGEST + 1)
            .read_to_end(&mut bytes)
            .map_err(wrong)?;
    }
    if bytes.len() as u64 > LARGEST {
        return Err(Failure::input(format!(
            "{}: larger than 8 MiB; a sheet is a text of a few pages, is this one?",
            path.display()
        )));
    }
    String::from_utf8(bytes).map_err(|e| {
        let line = 1 + e.as_bytes()[..e.utf8_error().valid_up_to()]
            .iter()
            .filter(|b| **b == b'\n')
            .count();
        Failure::input(format!(
            "{}: line {line}: not UTF-8 text; save the file as UTF-8",
            path.display()
        ))
    })
}

/// Writes a file, making its folder.
pub(crate) fn write(path: &Path, text: &str) -> Result<(), Failure> {
    let wrong = |e: std::io::Error| {
        Failure::input(format!(
            "{}: {e}; choose a place that can be written",
            path.display()
        ))
    };
    if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder).map_err(wrong)?;
    }
    std::fs::write(path, text).map_err(wrong)
}

/// Puts a text in the place of a file's: whoever reads meanwhile, or after the power went, has the old one or the new one.
pub(crate) fn exchange(path: &Path, text: &str) -> Result<(), Failure> {
    let wrong = |e: std::io::Error| {
        Failure::input(format!(
            "{}: {e}; nothing was changed; see that its folder can be written",
            path.display()
        ))
    };
    // A name that leads elsewhere stays one.
    let path = &path.canonicalize().map_err(wrong)?;
    let mut beside = path.clone().into_os_string();
    beside.push(format!(".{}.new", std::process::id()));
    let beside = std::path::PathBuf::from(beside);
    let put = || {
        let mut file = std::fs::File::options()
            .write(true)
            .create_new(true)
            .open(&beside)?;
        file.set_permissions(std::fs::metadata(path)?.permissions())?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        std::fs::rename(&beside, path)
    };
    put().map_err(|e| {
        // What could not be put in place is not left about; if that fails too, the first failure is the one to tell.
        let _ = std::fs::remove_file(&beside);
        wrong(e)
    })
}

/// Writes a file that must not be there yet.
pub(crate) fn write_new(path: &Path, text: &str) -> Result<(), Failure> {
    let wrong =
        |e: std::io::Error| Failure::input(format!("{}: {e}; choose another name", path.display()));
    let mut file = std::fs::File::options()
        .write(true)
        .create_new(true)
        .open(path)
        .map_err(wrong)?;
    file.write_all(text.as_bytes()).map_err(wrong)
}

/// Prints to standard output; a closed pipe is not a failure.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    let ended = if text.ends_with('\n') { "" } else { "\n" };
    match write!(out, "{text}{ended}").and_then(|()| out.flush()) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(Failure::Program(format!("standard output: {e}")))
        }
        _ => Ok(()),
    }
}

/// Prints as JSON.
pub(crate) fn print_json<T: serde::Serialize>(value: &T) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(value)
        .map_err(|e| Failure::Program(format!("cannot be written as JSON: {e}")))?;
    print(&text)
}
