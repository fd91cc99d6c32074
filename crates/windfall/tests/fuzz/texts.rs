//! The readers of texts: the sheet, quantities as people write them, readings as a table.

use gear::Find;

/// A sheet the repository keeps.
fn example(name: &str) -> String {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).expect("the example is there")
}

/// The demo's find.
pub(crate) fn creamery() -> Find {
    sheet::read(&example("creamery")).expect("the demo can be read")
}

pub(crate) fn sheets() -> Vec<String> {
    ["creamery", "two-winding", "plate-alone"]
        .map(example)
        .to_vec()
}

/// A sheet that is read can be written, read again, and is then the same.
pub(crate) fn sheet(text: &str) -> bool {
    let Ok(find) = sheet::read(text) else {
        return false;
    };
    let written = sheet::write(&find);
    match sheet::read(&written) {
        Ok(again) => assert_eq!(sheet::write(&again), written, "written anew it changes"),
        Err(problems) => panic!("what was written cannot be read: {problems:?}\n{written}"),
    }
    true
}

pub(crate) fn quantities() -> Vec<String> {
    [
        "23,8 V",
        "4R7",
        "> 2 GΩ",
        "23.7 to 23.9 V",
        "3? A",
        "400 V ±20 %",
        "±(0.8 % + 3)",
        "1.2e3 mA",
        "-5 °C",
        "30 kVA",
        "50 Hz",
        "0.50",
        "1/2",
        "OL",
        "12 cm²",
        "< 0.1 Ω",
        "≈ 40 W",
        "6 mm²",
        "1 000 V",
        "0x10 V",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// A quantity that is read keeps its text, reads the same again, and has no value that is no number.
pub(crate) fn quantity(text: &str) -> bool {
    let _ = quantity::Accuracy::parse(text);
    let Ok(read) = quantity::Quantity::parse(text) else {
        return false;
    };
    assert!(read.value().is_none_or(f64::is_finite), "{read:?}");
    assert!(
        read.step()
            .is_none_or(|step| step.is_finite() && step >= 0.0),
        "{read:?}"
    );
    let again = quantity::Quantity::parse(read.text());
    assert_eq!(again.ok().and_then(|q| q.value()), read.value());
    true
}

pub(crate) fn tables(find: &Find) -> Vec<String> {
    vec![
        sheet::csv::write(&find.readings),
        sheet::csv::write(&find.readings[..3]),
    ]
}

/// A table that is read can be written.
pub(crate) fn table(text: &str, find: &Find) -> bool {
    let empty = Find {
        readings: Vec::new(),
        ..find.clone()
    };
    let Ok(readings) = sheet::csv::read(text, &empty) else {
        return false;
    };
    let _ = sheet::csv::write(&readings);
    true
}
