//! Holds the workspace to the picture in ARCHITECTURE.md: every crate stands on a floor, and dependencies point only downwards.
#![expect(clippy::expect_used, reason = "a test that cannot read the map fails")]

use std::collections::HashMap;
use std::path::Path;

/// Floors of the picture, top first; each a list of crate names.
fn floors(text: &str) -> Vec<Vec<String>> {
    let picture = text
        .split("```text")
        .nth(1)
        .and_then(|t| t.split("```").next())
        .expect("ARCHITECTURE.md has its picture");
    let names = |line: &str| -> Vec<String> {
        line[..line.len().min(30)]
            .split_whitespace()
            .map(str::to_owned)
            .collect()
    };
    picture
        .lines()
        .filter(|l| !l.trim().is_empty())
        .map(names)
        .collect()
}

fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

#[test]
fn every_crate_stands_on_a_floor_and_uses_only_those_below() {
    let text = std::fs::read_to_string(root().join("ARCHITECTURE.md")).unwrap();
    let mut floor_of: HashMap<String, usize> = HashMap::new();
    for (height, floor) in floors(&text).iter().enumerate() {
        for name in floor {
            floor_of.insert(name.clone(), height);
        }
    }
    let mut crates: Vec<String> = std::fs::read_dir(root().join("crates"))
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    crates.sort();
    let mut on_floors: Vec<String> = floor_of.keys().cloned().collect();
    on_floors.sort();
    assert_eq!(
        crates, on_floors,
        "crates/ on the left, the picture of ARCHITECTURE.md on the right"
    );
    for name in &crates {
        let manifest =
            std::fs::read_to_string(root().join("crates").join(name).join("Cargo.toml")).unwrap();
        let section = manifest
            .split("[dependencies]")
            .nth(1)
            .unwrap_or("")
            .split("\n[")
            .next()
            .unwrap_or("");
        for line in section.lines() {
            let dependency = line.split([' ', '=', '.']).next().unwrap_or("");
            if let Some(below) = floor_of.get(dependency) {
                assert!(
                    *below > floor_of[name],
                    "{name} uses {dependency}, which is not below it"
                );
            }
        }
        assert!(
            text.contains(&format!("**{name}**")),
            "ARCHITECTURE.md has no paragraph on {name}"
        );
    }
}
