//! Broken sheets, one fault or a few each, with every message they must give: the lines `# expect: ...` at the top of each file.
//! An expected line that ends in `...` gives only the beginning.
#![expect(clippy::unwrap_used, reason = "a test may stop here")]

use std::fs;
use std::path::{Path, PathBuf};

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/broken");
    let mut files: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    files
}

#[test]
fn every_broken_sheet_gives_its_messages_in_order() {
    let mut wrong = String::new();
    for file in files() {
        let text = fs::read_to_string(&file).unwrap();
        let expected: Vec<&str> = text
            .lines()
            .filter_map(|line| line.strip_prefix("# expect: "))
            .collect();
        let given: Vec<String> = match sheet::read(&text) {
            Ok(_) => Vec::new(),
            Err(problems) => problems.iter().map(ToString::to_string).collect(),
        };
        let same =
            given.len() == expected.len() && given.iter().zip(&expected).all(|(g, e)| agrees(g, e));
        if !same || expected.is_empty() {
            wrong += &format!(
                "{}\n  expected {expected:#?}\n  given {given:#?}\n",
                file.display()
            );
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

fn agrees(given: &str, expected: &str) -> bool {
    expected
        .strip_suffix("...")
        .map_or(given == expected, |start| given.starts_with(start))
}

#[test]
fn there_are_enough_of_them() {
    assert!(files().len() >= 40);
}
