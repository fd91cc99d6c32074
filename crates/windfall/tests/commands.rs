//! The real binary, command by command: what it prints, what it writes, how it ends.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot run the binary fails"
)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// What one run gave.
struct Ran {
    code: i32,
    out: String,
    err: String,
}

fn windfall(arguments: &[&str]) -> Ran {
    of(Command::new(env!("CARGO_BIN_EXE_windfall"))
        .args(arguments)
        .stdin(Stdio::null())
        .output()
        .unwrap())
}

fn of(output: Output) -> Ran {
    Ran {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A folder of its own for a test.
fn fresh(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("commands-{name}"));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn example(name: &str) -> String {
    format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"))
}

#[test]
fn a_plate_needs_no_sheet() {
    let ran = windfall(&["plate", "30 kVA 400 V ±20 % 50 Hz"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for words in [
        "43.3\u{a0}A",
        "320 to 480",
        "NOT ISOLATED",
        "the number of phases",
    ] {
        let plain = ran.out.replace('\u{a0}', " ");
        assert!(
            plain.contains(&words.replace('\u{a0}', " ")),
            "{words} in\n{}",
            ran.out
        );
    }
}

#[test]
fn a_plate_that_contradicts_itself_ends_with_1() {
    let ran = windfall(&["plate", "30 kVA 3~ 400 V 60 A 50 Hz"]);
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
}

#[test]
fn the_demo_writes_its_sheet_drawings_and_report() {
    let folder = fresh("demo");
    let ran = windfall(&["demo", "--no-serve", "--out", folder.to_str().unwrap()]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("contradicts"));
    for file in [
        "creamery.toml",
        "creamery.html",
        "schematic-L1.svg",
        "travel.svg",
        "learned.svg",
    ] {
        assert!(folder.join(file).metadata().unwrap().len() > 1000, "{file}");
    }
}

#[test]
fn check_tells_trouble_by_its_exit_code_and_as_json() {
    let ran = windfall(&["check", &example("creamery"), "--json"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    let said: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let readings = said["readings"].as_array().unwrap();
    let against: Vec<u64> = readings
        .iter()
        .filter(|r| r["verdict"] == "contradicts")
        .map(|r| r["number"].as_u64().unwrap())
        .collect();
    assert_eq!(against, [24]);
    assert_eq!(windfall(&["check", &example("two-winding")]).code, 0);
    assert_eq!(windfall(&["check", &example("plate-alone")]).code, 0);
}

#[test]
fn a_wrong_drawing_is_named_and_two_wirings_no_reading_tells_apart_get_the_one_that_does() {
    let json = |ran: Ran| -> serde_json::Value { serde_json::from_str(&ran.out).unwrap() };
    let ran = windfall(&["check", &example("telephone-exchange"), "--json"]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    let wirings = &json(ran)["candidates"];
    assert_eq!(wirings["decided"], true, "{wirings}");
    assert_eq!(
        wirings["ranked"][0]["words"],
        "T2's secondary stands reversed"
    );

    let open = json(windfall(&["next", &example("fire-station"), "--json"]));
    assert_eq!(open["candidates"]["decided"], false, "{open}");
    let ranked = open["candidates"]["ranked"].as_array().unwrap();
    assert_eq!(ranked.len(), 2);
    assert!(ranked.iter().all(|it| it["probability"] == 0.5));
    let first = &open["next"]["proposals"][0];
    assert_eq!(first["place"], "T1:2.1 to T1:3.2");
    let mut text = std::fs::read_to_string(example("fire-station")).unwrap();
    text += "\n[[reading]]\nnumber = 9\nsetup = 2\nwith = \"P1\"\nbetween = [\"T1:2.1\", \"T1:3.2\"]\nshown = \"0.003 V\"\n";
    let sheet = fresh("undecided").join("fire-station.toml");
    std::fs::write(&sheet, text).unwrap();
    let ran = windfall(&["check", sheet.to_str().unwrap(), "--json"]);
    let wirings = &json(ran)["candidates"];
    assert_eq!(wirings["decided"], true, "{wirings}");
    assert_eq!(wirings["ranked"][0]["words"], ranked[1]["words"]);
}

#[test]
fn predict_follows_slider_supply_and_load() {
    let sheet = example("creamery");
    let output = |slider: &str| {
        let ran = windfall(&[
            "predict", &sheet, "--slider", slider, "--supply", "400 V", "--load", "0", "--json",
        ]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let said: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
        let values = said["values"].as_array().unwrap();
        let value = values
            .iter()
            .find(|v| v["what"] == "output, L1 to N")
            .unwrap()["value"]
            .as_str()
            .unwrap();
        value.parse::<f64>().unwrap()
    };
    // By the turns alone: 231 V / (1 - (x - 0.5) / 2.5), within what ratio and tap are known to.
    assert!((output("0.5") - 231.0).abs() < 3.0);
    assert!((output("0.9") - 231.0 / (1.0 - 0.4 / 2.5)).abs() < 5.0);
}

#[test]
fn new_lists_arrangements_and_starts_a_find_that_checks() {
    let listed = windfall(&["new"]);
    assert!(listed.out.contains("stabilizer-centre-tap"));
    let sheet = fresh("new").join("yard.toml");
    let path = sheet.to_str().unwrap();
    let made = windfall(&[
        "new",
        "stabilizer-centre-tap",
        "--name",
        "From the yard",
        "--plate",
        "30 kVA 400 V ±20 % 50 Hz 3~",
        "--out",
        path,
    ]);
    assert_eq!(made.code, 0, "{}", made.err);
    let again = windfall(&["new", "stabilizer-centre-tap", "--out", path]);
    assert_eq!(again.code, 2, "an existing sheet is not overwritten");
    let checked = windfall(&["check", path]);
    assert_eq!(checked.code, 0, "{}", checked.err);
    assert!(checked.out.contains("assumed"));
    let drawn = windfall(&["draw", path, "--phase", "2"]);
    assert!(drawn.out.starts_with("<svg"), "{}", drawn.err);
}

#[test]
fn every_example_draws_and_reports() {
    let folder = fresh("report");
    for name in [
        "creamery",
        "two-winding",
        "control-60hz",
        "lone-autotransformer",
        "telephone-exchange",
        "fire-station",
        "plate-alone",
    ] {
        let path = folder.join(format!("{name}.html"));
        let ran = windfall(&["report", &example(name), "--out", path.to_str().unwrap()]);
        assert!(ran.code <= 1, "{name}: {}", ran.err);
        assert!(std::fs::read_to_string(&path).unwrap().contains("</html>"));
        if name != "plate-alone" {
            assert!(
                windfall(&["draw", &example(name)]).out.starts_with("<svg"),
                "{name}"
            );
        }
    }
}

#[test]
fn wrong_input_is_told_with_place_what_and_remedy_and_ends_with_2() {
    let folder = fresh("wrong");
    let sheet = folder.join("wrong.toml");
    std::fs::write(&sheet, "sheet = 1\n[find]\nname = \"x\"\n[[reading]]\nnumber = 1\nsetup = 7\nbetween = [\"T1:1\", \"T1:2\"]\nshown = \"23 A\"\n").unwrap();
    let ran = windfall(&["check", sheet.to_str().unwrap()]);
    assert_eq!(ran.code, 2);
    assert!(
        ran.err.contains("wrong.toml: line 6, column"),
        "{}",
        ran.err
    );
    assert!(
        ran.err.lines().count() > 1,
        "all faults at once: {}",
        ran.err
    );
    let missing = windfall(&["check", folder.join("none.toml").to_str().unwrap()]);
    assert_eq!(missing.code, 2);
    assert!(missing.err.contains("windfall new"), "{}", missing.err);
    for arguments in [
        &["new", "no-such-thing"][..],
        &["predict", &example("creamery"), "--slider", "1.5"][..],
        &["predict", &example("creamery"), "--supply", "3 A"][..],
        &["predict", &example("plate-alone")][..],
        &["draw", &example("plate-alone")][..],
        &["frobnicate"][..],
    ] {
        let ran = windfall(arguments);
        assert_eq!(ran.code, 2, "{arguments:?}: {}", ran.out);
        assert!(!ran.err.is_empty());
    }
}

#[test]
fn a_sheet_may_come_by_standard_input_and_the_schema_is_json() {
    let text = std::fs::File::open(example("two-winding")).unwrap();
    let ran = of(Command::new(env!("CARGO_BIN_EXE_windfall"))
        .args(["check", "-"])
        .stdin(text)
        .output()
        .unwrap());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let schema = windfall(&["schema"]);
    assert!(
        serde_json::from_str::<serde_json::Value>(&schema.out)
            .unwrap()
            .is_object()
    );
}

/// Two pairs of leads, as an owner would start the sheet.
const TWO_PAIRS: &str = r#"
sheet = 1
[find]
name = "Two pairs of leads"
[[part]]
designation = "T1"
kind = "unmarked windings"
leads = ["1", "2", "3", "4"]
number_of_windings = 2
[[kit.source]]
name = "bell transformer"
volts = "0 to 12 V"
amperes = "1 A"
isolated = true
[[setup]]
number = 1
[[setup]]
number = 2
[[setup.feed]]
source = "bell transformer"
to = ["T1:1", "T1:2"]
volts = "0.6 V"
"#;

/// A reading of a sheet: its number, setup, places, and what was shown.
fn reading(number: u32, setup: u32, (from, to): (u32, u32), shown: &str) -> String {
    format!(
        "[[reading]]\nnumber = {number}\nsetup = {setup}\nbetween = [\"T1:{from}\", \"T1:{to}\"]\nshown = \"{shown}\"\n"
    )
}

#[test]
fn an_unmarked_part_is_traced_test_by_test_with_cautions_and_a_slip_is_named() {
    let sheet = fresh("trace").join("pairs.toml");
    let traced = |text: &str, code: i32, words: &[&str]| {
        std::fs::write(&sheet, text).unwrap();
        let ran = windfall(&["trace", sheet.to_str().unwrap()]);
        assert_eq!(ran.code, code, "{}{}", ran.out, ran.err);
        for word in words {
            assert!(ran.out.contains(word), "{word} in\n{}", ran.out);
        }
    };
    // Two dead tests, a reading for either pair, one for how they stand.
    traced(
        TWO_PAIRS,
        0,
        &[
            "Dead: plug in sight, proved with a two-pole tester",
            "can bite: hold clips by their insulation, let go of the bare leads",
            "Next test, dead: ohms from 1 against 2",
            "Left at worst, this one included: 5 tests, one reading each",
        ],
    );
    let sorted = TWO_PAIRS.to_owned() + &reading(1, 1, (2, 1), "21.6 Ω");
    traced(
        &sorted,
        0,
        &[
            "winding 1  1 - 2",
            "winding 2  3 - 4",
            "Next test, low: volts between 1 and 2, 1 and 2 fed.",
            "Feed from the isolated source only, with its current limited",
            "carries more volts than the source",
            "touch nothing while it is fed",
        ],
    );
    let fed = sorted + &reading(2, 2, (1, 2), "0.600 V");
    traced(
        &(fed.clone() + &reading(3, 2, (3, 4), "0.200 V")),
        0,
        &[
            "0.333 ± 0.012 of the fed winding",
            "Next test, low: link 1 and 3; volts between 2 and 4, 1 and 2 fed.",
            "A kick tells starts too",
            "It bites when the cell comes off: let go of the leads",
            "Left at worst, this one included: 1 test,",
        ],
    );
    // A pair without volts: one of the readings has slipped, and the command ends with 1.
    traced(
        &(fed + &reading(3, 2, (3, 4), "0.0000 V")),
        1,
        &[
            "Contradiction: reading 3 shows no volts where the dead tests show one winding (readings 1, 3)",
            "Next test, dead: reading 1 again: T1:2 to T1:1.",
        ],
    );
}
