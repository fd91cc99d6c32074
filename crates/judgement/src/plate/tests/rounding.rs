//! What rounded figures can and cannot explain: contradictions, illegible digits, ends.

use super::*;

#[test]
fn contradictions_are_named_with_their_size() {
    for (plate, size, sentence) in [
        (
            "30 kVA 400 V 60 A 3~",
            0.386,
            "30 kVA and 400 V ask for 43.3 A in each line, the plate says 60 A: 39 % apart, where rounding and usual tolerance explain 4.6 %.",
        ),
        (
            "30 kVA 400 V 75 A 3~",
            0.732,
            "30 kVA and 400 V ask for 43.3 A in each line, the plate says 75 A (it would fit one phase): 73 % apart, where rounding and usual tolerance explain 4.5 %.",
        ),
        (
            "30 kVA 400 V 25 A 3~",
            0.423,
            "30 kVA and 400 V ask for 43.3 A in each line, the plate says 25 A (it would fit the current inside a delta winding): 42 % apart, where rounding and usual tolerance explain 5.8 %.",
        ),
        (
            "30 kVA 400 V 5? A 3~",
            0.155,
            "30 kVA and 400 V ask for 43.3 A in each line, the plate says 5? A: 15 % apart, where rounding and usual tolerance explain 3.8 %.",
        ),
        (
            "30 kVA 400 V ±15 % IN 320-480 V 3~",
            0.0588,
            "400 V ±15 % is 340 V to 460 V, but the plate gives the input as 320 V to 480 V: 5.9 % apart, where rounding and usual tolerance explain 2.3 %.",
        ),
        (
            "PRI 400 V 1.00 A SEC 100 V 5.00 A 1~",
            0.25,
            "the voltages stand as 4 to 1, the currents as 5 to 1: 25 % apart, where rounding and usual tolerance explain 3.7 %.",
        ),
        (
            "1 kVA 230 V 1~ cos φ 1.2",
            0.2,
            "a power factor of 1.2 cannot be: none is above 1: 20 % apart, where rounding and usual tolerance explain 4.2 %.",
        ),
        (
            "1~ Dyn11 30 kVA 400 V",
            2.0,
            "Dyn11 is a vector group, which only three-phase gear has, but the plate says one phase.",
        ),
        (
            "1 kVA 230 V 1~ P0 600 W",
            0.6,
            "losses of 600 W in gear of 1 kVA (one of the two may be misread): 60 % apart, where rounding and usual tolerance explain 50 %.",
        ),
    ] {
        let said = said(plate);
        let [found] = said.contradictions.as_slice() else {
            panic!("{plate}: {:#?}", said.contradictions)
        };
        assert_eq!(found.sentence.replace('\u{a0}', " "), sentence, "{plate}");
        assert!(
            (found.size - size).abs() < 0.001 && found.size > found.allowed,
            "{plate}: {found:?}"
        );
    }
}

#[test]
fn what_rounding_explains_is_no_contradiction() {
    for plate in [
        "30 kVA 400 V 43 A 3~",
        "30 kVA 400 V 43.3 A 3~",
        "30 kVA 400 V 4? A 3~",
        "30 kVA 400 V 75 A 1~",
        "30 kVA 400 V 75 A",
        "5 kVA 230 V 21.7 A",
        "30 kVA 400 V ±20 % IN 320-480 V 3~",
        "30 kVA 3~ IN 320-480 V OUT 400 V INPUT 54 A",
        "100 kVA Dyn11 PRI 400 V SEC 230 V OUT 251 A",
        "P 8 kW S 10 kVA cos φ 0.8 400 V 3~",
        "20 kVA 2400/240 V 8.33/83.3 A 1~",
    ] {
        assert!(
            said(plate).contradictions.is_empty(),
            "{plate}: {:#?}",
            said(plate).contradictions
        );
    }
    // the input current at the lowest input, written without saying so
    let which = find(&said("30 kVA 400 V ±20 % 54 A 3~"), "which current 54 A is");
    assert_eq!(
        which.how.replace('\u{a0}', " "),
        "it is the input current at the lowest input: 54.1 A"
    );
}

#[test]
fn illegible_digits_go_through_to_both_ends() {
    let current = find(&said("3? kVA 400 V 3~"), "line current");
    assert_eq!(
        (current.value.as_str(), current.unit.as_str()),
        ("43.2 to 56.4", "A")
    );
    // √3 × 399.5 V × 40 A and √3 × 400.5 V × 49 A
    let power = find(&said("4? A 400 V 3~"), "rated power");
    assert_eq!(
        (power.value.as_str(), power.unit.as_str()),
        ("27.7 to 34", "kVA")
    );
    let volts = find(&said("30 kVA 43.3 A 3~"), "voltage");
    assert_eq!((volts.value.as_str(), volts.unit.as_str()), ("400", "V"));
}

#[test]
fn rounding_gives_the_ends() {
    let current = find(&said("30 kVA 400 V 3~"), "line current");
    assert!((current.low - 29.5e3 / 3f64.sqrt() / 400.5).abs() < 1e-9);
    assert!((current.high - 30.5e3 / 3f64.sqrt() / 399.5).abs() < 1e-9);
}
