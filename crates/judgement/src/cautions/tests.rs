//! Which cautions a find calls for, and which it does not.

use super::*;
use crate::said::Danger::*;
use gear::{Designation, Join, KitSource, Note, Part, Steadiness, TerminalRef};
use quantity::Quantity;
use wiring::{Options, arrangement};

fn find(key: &str, chosen: &[(&str, &str)]) -> Find {
    let chosen = chosen
        .iter()
        .map(|(k, v)| (k.to_string(), v.to_string()))
        .collect();
    (arrangement(key).unwrap().build)(&Options {
        chosen,
        ..Options::default()
    })
}

fn t(text: &str) -> TerminalRef {
    TerminalRef::parse(text).unwrap()
}

fn source(isolated: Option<bool>, direct: bool) -> KitSource {
    KitSource {
        name: "bench set".into(),
        volts: None,
        amperes: None,
        phases: 1,
        isolated,
        steadiness: Steadiness::Mains,
        impedance: None,
        direct,
    }
}

fn fed(find: &mut Find, to: &[&str], volts: &str, isolated: Option<bool>) {
    find.kit.sources = vec![source(isolated, false)];
    let feed = Feed {
        source: Some("bench set".into()),
        to: to.iter().map(|x| t(x)).collect(),
        neutral: (to.len() == 3).then(|| t("X1:N")),
        earthed: false,
        volts: Quantity::parse(volts).ok(),
        frequency: None,
        angle: None,
        lost: vec![],
    };
    find.setups.push(Setup {
        number: find.setups.len() as u32 + 1,
        at: None,
        what: None,
        feeds: vec![feed],
        sliders: vec![],
        switches: vec![],
        joined: vec![],
        lifted: vec![],
        loads: vec![],
        temperature: None,
    });
}

fn dangers(find: &Find, section: &str) -> Vec<Danger> {
    let said = cautions(find);
    for c in &said {
        assert!(
            c.words.chars().count() <= LONGEST,
            "{} letters: {}",
            c.words.chars().count(),
            c.words
        );
    }
    said.into_iter()
        .filter(|c| c.section == section)
        .map(|c| c.danger)
        .collect()
}

fn words(find: &Find, danger: Danger) -> String {
    cautions(find)
        .into_iter()
        .find(|c| c.danger == danger)
        .map(|c| c.words)
        .unwrap_or_default()
}

#[test]
fn a_plate_alone_calls_for_nothing() {
    assert_eq!(cautions(&Find::default()), []);
}

#[test]
fn a_stabilizer_calls_for_its_own() {
    let mut stabilizer = find("stabilizer-centre-tap", &[]);
    assert_eq!(
        dangers(&stabilizer, "Wiring"),
        [Mains, OpenPrimary, NotIsolated, Neutral]
    );
    assert_eq!(dangers(&stabilizer, "Behaviour"), [Mains, UnexpectedStart]);
    assert_eq!(dangers(&stabilizer, "Readings"), [DirectCurrent]);
    fed(
        &mut stabilizer,
        &["X1:1", "X1:2", "X1:3"],
        "41.8 V",
        Some(true),
    );
    // The neutral's step is now in the readings.
    assert_eq!(
        dangers(&stabilizer, "Wiring"),
        [Mains, OpenPrimary, NotIsolated]
    );
    assert_eq!(
        dangers(&stabilizer, "Readings"),
        [Mains, DirectCurrent, Neutral]
    );
    assert!(words(&stabilizer, OpenPrimary).contains("T4's primary holds no fuse, switch or plug"));
}

#[test]
fn one_phase_gear_has_no_neutral_to_lose_and_a_transformer_isolates() {
    let transformer = find("transformer", &[]);
    assert_eq!(dangers(&transformer, "Wiring"), [Mains]);
    assert_eq!(
        dangers(&find("variable-autotransformer", &[]), "Wiring"),
        [Mains, NotIsolated]
    );
}

#[test]
fn live_clipped_and_low_setups_are_told_apart() {
    let reads = |volts: &str, isolated| {
        let mut f = find(
            "transformer",
            &[("winding_volts", "24 V"), ("secondary_volts", "24 V")],
        );
        fed(&mut f, &["X1:1", "X1:2"], volts, isolated);
        cautions(&f)
            .into_iter()
            .find(|c| c.section == "Readings" && c.danger == Mains)
            .map(|c| c.words)
    };
    assert_eq!(reads("24.0 V", Some(true)), None);
    assert!(
        reads("24.0 V", None)
            .unwrap()
            .starts_with("Setup 1 is fed from a source not known to be isolated")
    );
    assert!(
        reads("41.8 V", Some(true))
            .unwrap()
            .contains("touch nothing while it is on")
    );
    assert!(reads("230 V", Some(true)).unwrap().contains("prove dead"));
    assert!(
        reads("0 to 48 V", Some(true))
            .unwrap()
            .contains("touch nothing"),
        "the most a span allows counts"
    );
}

#[test]
fn an_unknown_ratio_could_pass_1000_volts() {
    let mut crate_find = find("unmarked-windings", &[]);
    fed(&mut crate_find, &["T1:1.1", "T1:1.2"], "24 V", Some(true));
    assert_eq!(dangers(&crate_find, "Readings"), [DirectCurrent]);
    fed(&mut crate_find, &["T1:1.1", "T1:1.2"], "26 V", Some(true));
    assert!(words(&crate_find, HighVoltage).starts_with(
        "Until its ratios are known (up to 40 to 1 is possible), T1 fed as in setup 2"
    ));
    let mut backwards = find(
        "transformer",
        &[("winding_volts", "230 V"), ("secondary_volts", "12 V")],
    );
    fed(&mut backwards, &["X2:1", "X2:2"], "230 V", Some(true));
    assert!(words(&backwards, HighVoltage).starts_with("By the volts written on it, T1"));
    assert!(words(&backwards, BackFeed).contains("X1 and any plug on it come alive too"));
}

#[test]
fn ohms_on_windings_kick_and_a_fuse_does_not() {
    assert_eq!(
        dangers(&find("unmarked-windings", &[]), "Readings"),
        [DirectCurrent]
    );
    let mut fuses = Find::default();
    let designation = Designation::parse("F1").unwrap();
    fuses.parts.push(Part {
        designation,
        name: None,
        phase: None,
        kind: PartKind::Fuse { current: None },
    });
    assert_eq!(dangers(&fuses, "Readings"), []);
    assert_eq!(dangers(&fuses, "Behaviour"), []);
}

#[test]
fn capacitors_hold_their_charge() {
    let mut f = find("transformer", &[]);
    let designation = Designation::parse("C1").unwrap();
    f.parts.push(Part {
        designation,
        name: None,
        phase: None,
        kind: PartKind::Capacitor { capacitance: None },
    });
    f.joins.push(Join {
        terminals: vec![t("C1:1"), t("X2:1")],
        state: gear::JoinState::Seen,
        note: None,
    });
    assert_eq!(dangers(&f, "Readings"), [StoredCharge, DirectCurrent]);
}

#[test]
fn an_earthed_instrument_on_a_floated_find() {
    let mut f = find(
        "transformer",
        &[("winding_volts", "24 V"), ("secondary_volts", "24 V")],
    );
    let meter = Designation::parse("P1").unwrap();
    f.instruments.push(gear::Instrument::new(meter));
    fed(&mut f, &["X1:1", "X1:2"], "12 V", Some(true));
    assert_eq!(dangers(&f, "Readings"), [DirectCurrent, EarthedInstrument]);
}

#[test]
fn old_and_heavy_gear_is_known_by_its_plate() {
    let mut f = Find::default();
    let plate = |f: &mut Find, text: &str| {
        f.plate.text = Some(text.into());
        dangers(f, "Plate")
    };
    assert_eq!(plate(&mut f, "Type 4, 1974"), [OldMaterials]);
    assert_eq!(plate(&mut f, "1950 W, made 1991"), []);
    assert_eq!(plate(&mut f, "oil 40 l"), [OldMaterials]);
    assert_eq!(plate(&mut f, "foil wound, boiler, 2003"), []);
    f.notes.push(Note {
        at: None,
        text: "smells of old oil.".into(),
    });
    assert_eq!(dangers(&f, "Plate"), [OldMaterials]);
    f.notes.clear();
    f.plate.fields = vec![(PlateField::Power, Quantity::parse("30 kVA").unwrap())];
    assert_eq!(dangers(&f, "Plate"), [Heavy]);
    f.plate
        .fields
        .push((PlateField::Mass, Quantity::parse("12 kg").unwrap()));
    assert_eq!(
        dangers(&f, "Plate"),
        [],
        "a written mass outranks the guess"
    );
}

#[test]
fn a_meter_beyond_its_print_is_named_with_its_readings() {
    let mut f = find(
        "transformer",
        &[("winding_volts", "230 V"), ("secondary_volts", "24 V")],
    );
    let mut meter = gear::Instrument::new(Designation::parse("P1").unwrap());
    meter.category = Some("CAT II 300 V".into());
    f.instruments.push(meter);
    fed(&mut f, &["X1:1", "X1:2"], "230 V", None);
    let place = gear::Place::Between(t("X1:1"), t("X1:2"));
    let mut reading = gear::Reading::new(1, f.setups[0].number, gear::Measured::AcVoltage, place);
    reading.instrument = Designation::parse("P1").ok();
    reading.shown = Quantity::parse("231 V").ok();
    f.readings.push(reading);
    assert!(!dangers(&f, "Readings").contains(&Meter));
    f.readings[0].shown = Quantity::parse("398 V").ok();
    assert!(dangers(&f, "Readings").contains(&Meter));
    let words = cautions(&f)
        .into_iter()
        .find(|c| c.danger == Meter)
        .unwrap()
        .words;
    assert!(
        words.starts_with("P1 is marked CAT II 300 V and showed 398 V (reading 1): take off"),
        "{words}"
    );
    assert!(words.chars().count() <= LONGEST);
}
