//! Writes pictures of the drawings to look at: `cargo run -p drawing --example pictures -- FOLDER`.

#![allow(clippy::unwrap_used, clippy::expect_used)]

#[path = "../tests/finds/mod.rs"]
mod finds;

use drawing::{Mark, schematic};
use finds::*;

fn main() {
    let folder = std::env::args().nth(1).expect("name a folder");
    let three = ["X1:1", "X1:2", "X1:3"];
    let save = |name: &str,
                find: &gear::Find,
                setup: Option<&gear::Setup>,
                phase: u8,
                notes: &[drawing::Annotation]| {
        let drawing = schematic(find, setup, phase, notes).unwrap();
        std::fs::write(format!("{folder}/{name}.svg"), drawing.standalone()).unwrap();
        println!("{name}: {} x {}", drawing.width, drawing.height);
    };
    let creamery = stabilizer(Way::Output, 3);
    save(
        "creamery",
        &creamery,
        Some(&setup("0.70", &three)),
        1,
        &creamery_notes(),
    );
    save(
        "creamery-low",
        &creamery,
        Some(&setup("0.21", &three)),
        1,
        &creamery_notes(),
    );
    save(
        "creamery-tap",
        &creamery,
        Some(&setup("0.50", &three)),
        2,
        &[],
    );
    save("creamery-bare", &creamery, None, 1, &[]);
    save(
        "input",
        &stabilizer(Way::Input, 3),
        Some(&setup("0.70", &three)),
        1,
        &creamery_notes(),
    );
    save(
        "reversed",
        &stabilizer(Way::Reversed, 1),
        Some(&setup("0.70", &["X1:1", "X1:N"])),
        1,
        &[],
    );
    save(
        "end-fed",
        &stabilizer(Way::EndFed, 1),
        Some(&setup("0.35", &["X1:1", "X1:N"])),
        1,
        &[],
    );
    let ab = [
        note(
            1,
            between("T1:1.1", "T1:1.2"),
            "230.4 V",
            Mark::Agrees,
            "230.1 ± 0.9",
        ),
        note(
            2,
            between("T1:2.1", "T1:2.2"),
            "25.3 V",
            Mark::Agrees,
            "25.4 ± 0.3",
        ),
        note(
            3,
            gear::Place::Into(t("T1:1.1")),
            "0.21 A",
            Mark::Agrees,
            "0.21 ± 0.02",
        ),
    ];
    save("transformer", &transformer(), None, 1, &ab);
    save("transformer-strips", &transformer_on_strips(), None, 1, &ab);
    save(
        "variable",
        &variable(false),
        Some(&setup("0.40", &["T1:2", "T1:3"])),
        1,
        &[note(
            1,
            between("T1:4", "T1:3"),
            "104 V",
            Mark::Agrees,
            "104.0 ± 0.6",
        )],
    );
    save(
        "variable-strips",
        &variable(true),
        Some(&setup("0.40", &["X1:L", "X1:N"])),
        1,
        &[
            note(
                1,
                between("X2:1", "X2:N"),
                "104 V",
                Mark::Agrees,
                "104.0 ± 0.6",
            ),
            note(
                2,
                gear::Place::Into(t("X1:L")),
                "1.2 A",
                Mark::NotJudged,
                "",
            ),
        ],
    );
    for (name, find, phases) in all_arrangements() {
        if find.parts.is_empty() {
            continue;
        }
        for phase in 1..=phases {
            save(&format!("a-{name}-{phase}"), &find, None, phase, &[]);
        }
    }
    for entry in std::fs::read_dir("examples").unwrap().map(Result::unwrap) {
        let Ok(find) = sheet::read(&std::fs::read_to_string(entry.path()).unwrap()) else {
            continue;
        };
        let setup = find
            .setups
            .iter()
            .max_by_key(|s| find.readings.iter().filter(|r| r.setup == s.number).count());
        let notes: Vec<_> = find
            .readings
            .iter()
            .filter(|r| setup.is_some_and(|s| s.number == r.setup) && r.struck.is_none())
            .map(|r| {
                note(
                    r.number,
                    r.place.clone(),
                    r.shown.as_ref().map_or("beep", |s| s.text()),
                    Mark::Agrees,
                    "12.34 ± 0.12",
                )
            })
            .collect();
        let name = entry
            .path()
            .file_stem()
            .unwrap()
            .to_string_lossy()
            .into_owned();
        for phase in 1..=3 {
            if schematic(&find, setup, phase, &notes).is_ok() {
                save(&format!("e-{name}-{phase}"), &find, setup, phase, &notes);
            }
        }
    }
    save(
        "crate",
        &unmarked_crate(),
        None,
        1,
        &[
            note(1, between("T1:A", "T1:C"), "3.1 Ω", Mark::NotJudged, ""),
            note(2, between("T1:D", "T1:E"), "0.4 Ω", Mark::NotJudged, ""),
        ],
    );
}
