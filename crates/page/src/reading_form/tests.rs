//! The reading form, field by field.

use super::*;

/// A one-phase stabilizer as its arrangement builds it, with no setup and no reading.
fn opened() -> Opened {
    let arrangement = wiring::arrangement("stabilizer-centre-tap").unwrap();
    let options = wiring::Options {
        name: "crate find".to_owned(),
        plate: Some("10 kVA 230 V ±20 % 50 Hz".to_owned()),
        chosen: vec![("phases".to_owned(), "1".to_owned())],
    };
    Opened::new(sheet::write(&(arrangement.build)(&options)))
}

fn form(fields: &[(&str, &str)]) -> Submitted {
    let mut form = Submitted::default();
    for (field, value) in [
        ("setup", "new"),
        ("feed", "nothing"),
        ("from", "T1:1"),
        ("to", "T1:3"),
        ("shown", "23,8"),
    ]
    .iter()
    .chain(fields)
    {
        form.set(field, *value);
    }
    form
}

fn taken(fields: &[(&str, &str)]) -> Find {
    sheet::read(&written(&opened(), fields)).unwrap()
}

fn written(opened: &Opened, fields: &[(&str, &str)]) -> String {
    let added = take(opened, &form(fields))
        .unwrap_or_else(|errors| panic!("{:?}", errors.all().collect::<Vec<_>>()));
    crate::added::sheet_with(opened.text(), added).unwrap()
}

fn refused(fields: &[(&str, &str)]) -> Errors {
    take(&opened(), &form(fields)).expect_err("it cannot be")
}

#[test]
fn a_bare_figure_gets_the_unit_of_its_place_and_keeps_its_digits() {
    let volts = taken(&[]);
    assert_eq!(
        volts.readings[0].shown.as_ref().map(Quantity::text),
        Some("23,8 V")
    );
    assert_eq!(volts.readings[0].measured, Measured::AcVoltage);
    let amperes = taken(&[("to", ""), ("shown", "0.110")]);
    assert_eq!(
        amperes.readings[0].shown.as_ref().map(Quantity::text),
        Some("0.110 A")
    );
    assert!(matches!(amperes.readings[0].place, Place::Into(_)));
}

#[test]
fn the_unit_tells_what_was_measured() {
    assert_eq!(
        taken(&[("shown", "1.52 Ω")]).readings[0].measured,
        Measured::Resistance
    );
    assert_eq!(taken(&[("shown", "no beep")]).readings[0].beep, Some(false));
    assert_eq!(
        taken(&[("shown", "> 2 GΩ"), ("measured", "insulation")]).readings[0].measured,
        Measured::Insulation
    );
    let direct = taken(&[
        ("feed", "T1:3+T1:1"),
        ("source", "class:direct"),
        ("shown", "1.2 V"),
    ]);
    assert_eq!(direct.readings[0].measured, Measured::DcVoltage);
    assert!(direct.kit.sources[0].direct);
}

#[test]
fn a_class_of_meter_becomes_one_meter_and_stays_it() {
    let meter = ("instrument", "class:handheld, 6000 counts, true RMS");
    let first = written(&opened(), &[meter]);
    let second = written(&Opened::new(first), &[meter, ("setup", "1")]);
    let find = sheet::read(&second).unwrap();
    assert_eq!(
        (
            find.instruments.len(),
            find.setups.len(),
            find.readings.len()
        ),
        (1, 1, 2)
    );
    assert_eq!(find.readings[1].instrument, find.readings[0].instrument);
}

#[test]
fn every_fault_is_told_beside_its_field() {
    assert!(refused(&[("shown", "")]).of("shown").is_some());
    assert!(refused(&[("shown", "12 kg")]).of("shown").is_some());
    assert!(refused(&[("from", "T9:1")]).of("from").is_some());
    assert!(refused(&[("to", "T1:1")]).of("to").is_some());
    assert!(refused(&[("to", ""), ("shown", "24 V")]).of("to").is_some());
    assert!(refused(&[("shown", "1.1 A")]).of("to").is_some());
    assert!(refused(&[("at", "noon")]).of("at").is_some());
    assert!(refused(&[("instrument", "P7")]).of("instrument").is_some());
    assert!(refused(&[("setup", "9")]).of("setup").is_some());
    assert!(refused(&[("feed", "T1:1+T9:9")]).of("feed").is_some());
    assert!(
        refused(&[("feed", "other"), ("feed_from", "T1:1")])
            .of("feed")
            .is_some()
    );
    assert!(
        refused(&[("feed", "T1:3+T1:1"), ("volts", "5 A")])
            .of("volts")
            .is_some()
    );
    assert!(refused(&[("load", "5 V")]).of("load").is_some());
    let both = refused(&[("shown", ""), ("from", "")]);
    assert!(
        both.of("shown").is_some() && both.of("from").is_some(),
        "all of them, not the first"
    );
}

#[test]
fn a_slider_stands_between_the_ends() {
    let slider = places_of_slider();
    assert!(refused(&[(&slider, "1.2")]).of(&slider).is_some());
    assert_eq!(
        taken(&[(&slider, "0,70")]).setups[0].sliders[0].at.value(),
        Some(0.7)
    );
}

fn places_of_slider() -> String {
    format!(
        "slider.{}",
        crate::places::moves(opened().find.as_ref().unwrap())[0].slider
    )
}

#[test]
fn only_a_reason_strikes() {
    let opened = Opened::new(written(&opened(), &[]));
    let number = opened.find.as_ref().unwrap().readings[0].number;
    let mut came = form(&[]);
    came.set("number", number.to_string());
    assert!(strike(&opened, &came).is_err());
    came.set("reason", "clip sat on the tap");
    let struck = sheet::read(&strike(&opened, &came).unwrap()).unwrap();
    assert_eq!(
        struck.readings[0].struck.as_deref(),
        Some("clip sat on the tap")
    );
    assert!(
        sheet::read(&keep(&opened, &came).unwrap())
            .unwrap()
            .readings[0]
            .kept
    );
}
