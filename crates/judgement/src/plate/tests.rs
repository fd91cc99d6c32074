//! Whole plates: what is said of them, held to outside figures where there are some.

mod rounding;

use super::*;
use crate::said::{Danger, Deduction};

fn said(plate: &str) -> PlateSaid {
    judge(&read(plate), None)
}

fn find(said: &PlateSaid, what: &str) -> Deduction {
    let found = said.deductions.iter().find(|d| d.what.starts_with(what));
    found
        .unwrap_or_else(|| panic!("no `{what}` in {:#?}", said.deductions))
        .clone()
}

/// Middle of a deduction in SI, by its ends and by its text.
fn holds(said: &PlateSaid, what: &str, value: &str, within: f64, expected: f64) {
    let deduction = find(said, what);
    assert_eq!(deduction.value, value, "{what}");
    assert!(
        deduction.low <= expected * (1.0 + within) && deduction.high >= expected * (1.0 - within),
        "{what}: {deduction:?}"
    );
}

/// CHECKS B15, derived there: 5 kVA, 230 V out. 170 V in: 60 V, 1304 VA, 29.41 A in; 190 V: 40 V, 870 VA, 26.32 A;
/// 250 V: 20 V buck, 435 VA, 20.0 A; 270 V: 40 V buck, 870 VA, 18.52 A.
#[test]
fn val_booster_of_a_servo_stabilizer() {
    let wide = said("5 kVA 1~ IN 170-270 V OUT 230 V");
    holds(&wide, "volts added at the lowest input", "60", 0.0, 60.0);
    holds(&wide, "power of the booster", "1.3", 0.0, 1304.35);
    holds(
        &wide,
        "input current at the lowest input",
        "29.4",
        0.0,
        29.4118,
    );
    holds(
        &wide,
        "volts taken off at the highest input",
        "40",
        0.0,
        40.0,
    );
    holds(
        &wide,
        "input current at the highest input",
        "18.5",
        0.0,
        18.5185,
    );
    let narrow = said("5 kVA 1~ IN 190-250 V OUT 230 V");
    holds(&narrow, "volts added at the lowest input", "40", 0.0, 40.0);
    holds(&narrow, "power of the booster", "870", 0.0, 869.57);
    holds(
        &narrow,
        "input current at the lowest input",
        "26.3",
        0.0,
        26.3158,
    );
    holds(
        &narrow,
        "volts taken off at the highest input",
        "20",
        0.0,
        20.0,
    );
    holds(
        &narrow,
        "input current at the highest input",
        "20",
        0.0,
        20.0,
    );
    // 435 VA is 20 V times 21.74 A: a plate of which the buck is the greater part
    holds(
        &said("5 kVA 1~ IN 220-250 V OUT 230 V"),
        "power of the booster",
        "435",
        0.0,
        434.78,
    );
}

/// CHECKS C5: Nagrath, Kothari, Example 3.18: one-phase units 12 : 1, 6600 V line, 10 A. Star to delta 317.5 V, 207.8 A, delta to
/// star 952.6 V, 69.3 A; 114.3 kVA in both.
#[test]
fn val_line_and_phase_of_a_bank() {
    for plate in ["3~ 6600 V 10 A", "3~ 317.5 V 207.8 A", "3~ 952.6 V 69.3 A"] {
        holds(&said(plate), "rated power", "114", 0.0005, 114_315.0);
    }
    holds(
        &said("3~ 114.3 kVA 317.5 V"),
        "line current",
        "208",
        0.0,
        207.8,
    );
    holds(
        &said("3~ 114.3 kVA 952.6 V"),
        "line current",
        "69.3",
        0.0,
        69.3,
    );
    // the star winding of a unit: 12 × 317.5 V
    holds(
        &said("3~ 6600 V 10 A"),
        "voltage from line to neutral",
        "3.81",
        0.0001,
        12.0 * 317.5,
    );
}

/// CHECKS G1: IEC 60038 / EN 50160: 230 V ±10 % is 207 to 253 V.
#[test]
fn val_supply_limits() {
    let range = find(
        &judge(&read("1~ 230 V ±10 %"), Some("stabilizer-end-fed")),
        "input range",
    );
    assert_eq!(range.value, "207 to 253");
}

/// CHECKS B7: Theraja, Example 32.90: 20 kVA 2400/240 V: 8.333 A (the printed 8.3 A is rounded).
#[test]
fn val_full_load_current() {
    let transformer = said("20 kVA 2400/240 V 1~");
    holds(
        &transformer,
        "full-load current, input side",
        "8.33",
        0.0,
        8.3333,
    );
    holds(
        &transformer,
        "current at rated power, output side",
        "83.3",
        0.0,
        83.333,
    );
    holds(&transformer, "ratio", "10", 0.0, 10.0);
}

#[test]
fn a_stabilizer_in_full() {
    let plate = read("30 kVA   3~ 50 Hz\n400 V ±20 %\n4? A");
    let said = judge(&plate, Some("stabilizer-centre-tap"));
    let expected = "\
! ABOVE 1000 V. A booster's ratio may be 5 : 1: the low side fed with 400 V by mistake makes 2 kV at
  the high side. Feed a winding you do not know with a few volts only, the one of highest resistance
  first.
! OPEN PRIMARY. An open booster primary in a loaded line makes dangerous voltages. The loop that
  feeds it holds no fuse, switch or plug, and is never parted while a line carries current.
! NOT ISOLATED. A stabilizer of this kind does not part its output from the mains: at every setting
  treat every output terminal as a mains conductor (400 V), whatever a meter says.

The plate says:
  phases      3
  power       30 kVA
  voltage     400 V ±20 %
  correction  ±20 %
  current     4? A   40 to 49 A
  frequency   50 Hz
  kind        stabilizer   the arrangement says so

It implies:
  line current at rated power, output             43.3 A        30 kVA / (√3 × 400 V)
  voltage from line to neutral                    231 V         400 V / √3
  power of each phase                             10 kVA        30 kVA / 3
  the digit that cannot be read in 4? A           3             30 kVA and 400 V ask for 43.3 A; the
                                                                rounding of the plate would also
                                                                allow 4
  input range                                     320 to 480 V  400 V ±20 %
  volts added at the lowest input (each booster,  46.2 V        231 V − 185 V
  line to neutral)
  volts taken off at the highest input (each      46.2 V        277 V − 231 V
  booster, line to neutral)
  power of each booster                           2 kVA         46.2 V × 43.3 A: correction times
                                                                line current
  power of all boosters                           6 kVA         3 × 2 kVA
  share of the throughput the boosters transform  20 %          6 kVA of 30 kVA; the rest passes
                                                                straight through
  input current at the lowest input, the largest  54.1 A        30 kVA / (√3 × 320 V), losses not
  there is                                                      counted
  input current at the highest input              36.1 A        30 kVA / (√3 × 480 V), losses not
                                                                counted
  power of a booster at the lowest input,         2.5 kVA       46.2 V × 54.1 A: its secondary then
  autotransformer on the output side                            carries the input current
  booster ratio: fed from centre tap and slider,  2.5           half the winding at 231 V is 115 V
  autotransformer on the output side                            for 46.2 V
  slider current there, at lowest input           21.7 A        54.1 A / 2.5: line current over the
                                                                ratio
  booster ratio: fed from centre tap and slider,  2             half the winding at 185 V is 92.4 V
  autotransformer on the input side                             for 46.2 V
  slider current there, at rated power            21.7 A        43.3 A / 2: line current over the
                                                                ratio
  flux on 60 Hz at the plate's volts, times that  0.833         50/60 = 0.833; the core has room on
  on 50 Hz                                                      60 Hz, volts and amperes of the
                                                                plate stand
";
    assert_eq!(
        text(&said, &cautions(&plate)).replace('\u{a0}', " "),
        expected
    );
}

#[test]
fn a_control_transformer_for_60_hertz_in_full() {
    let plate = read("PRI 400 V SEC 24 V 100 VA 60 Hz foo");
    let expected = "\
! ABOVE 1000 V. The ratio is 16.7 : 1: the low side fed with 400 V by mistake makes 6.67 kV at the
  high side. Feed a winding you do not know with a few volts only, the one of highest resistance
  first.

The plate says:
  power           100 VA
  input voltage   400 V
  output voltage  24 V
  frequency       60 Hz
  kind            transformer   a guess: it has two voltages
  not understood, kept:  foo

It implies:
  phases (a guess)                                1              the plate does not say; nothing on
                                                                 it asks for three
  current at rated power, output side             4.17 A         100 VA / 24 V
  ratio                                           16.7           400 V / 24 V; small ones are wound
                                                                 for their loaded volts, so unloaded
                                                                 the output is 2 to 15 % higher
                                                                 [common practice]
  full-load current, input side                   0.25 A         100 VA / 400 V, losses not counted
  no-load current to expect, input side           10 to 87.5 mA  4.0 % to 35 % of the rated current
                                                                 of the input side, at rated volts;
                                                                 a band, not a limit [common
                                                                 practice]
  no-load loss to expect                          1.5 to 12 W    1.5 % to 12 % of 100 VA; a band,
                                                                 not a limit [common practice]
  volts allowed on 50 Hz                          333 V          400 V × 50/60: volts per hertz, and
                                                                 so the flux, as on the plate
  flux on 50 Hz at the plate's volts, times that  1.2            60/50; beyond the knee of most
  on 60 Hz                                                       cores: the no-load current soars

The next figure you can read would unlock:
  the number of phases (`3~`, `1~`, or count the line terminals): the currents for certain; here it
    is a guess
  any current: a check of power, voltage and phases against each other
  the short-circuit impedance (uk): the short-circuit current and the volts for a short-circuit test
";
    assert_eq!(
        text(&judge(&plate, None), &cautions(&plate)).replace('\u{a0}', " "),
        expected
    );
}

#[test]
fn fields_given_one_by_one_outrank_the_text() {
    let mut plate = read("30 kVA 400 V 3~");
    plate.fields = vec![(gear::PlateField::Power, Quantity::parse("20 kVA").unwrap())];
    holds(&judge(&plate, None), "line current", "28.9", 0.0, 28.8675);
}

#[test]
fn warnings_follow_from_the_ratios() {
    let dangers = |plate: &str| {
        cautions(&read(plate))
            .iter()
            .map(|c| c.danger)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        dangers("30 kVA 400 V ±10 % 3~"),
        [
            Danger::HighVoltage,
            Danger::OpenPrimary,
            Danger::NotIsolated
        ]
    );
    assert_eq!(
        dangers("5 kVA 1~ IN 170-270 V OUT 230 V"),
        [
            Danger::HighVoltage,
            Danger::OpenPrimary,
            Danger::NotIsolated
        ]
    );
    assert_eq!(dangers("PRI 400 V SEC 230 V 1 kVA"), []);
    assert_eq!(dangers("PRI 230 V SEC 24 V 1 kVA"), [Danger::HighVoltage]);
    assert_eq!(dangers("11 kV / 400 V 100 kVA"), [Danger::HighVoltage]);
    assert_eq!(dangers("IN 230 V OUT 0-250 V 8 A"), [Danger::NotIsolated]);
    assert_eq!(dangers("42 kg, oil"), [Danger::OldMaterials, Danger::Heavy]);
    assert_eq!(dangers(""), []);
}

#[test]
fn the_next_figure_is_named() {
    let first = |plate: &str| {
        said(plate)
            .unlocks
            .first()
            .map(|u| u.fact.clone())
            .unwrap_or_default()
    };
    assert_eq!(first(""), "the rated voltage");
    assert_eq!(first("400 V 3~"), "the rated power, or a current");
    assert_eq!(
        first("3? kVA 400 V 3~"),
        "the digit of the power that cannot be read"
    );
    assert!(first("30 kVA 400 V ±20 %").starts_with("the number of phases"));
}

#[test]
fn summaries() {
    let of = |text: &str| summary(&read(text)).replace('\u{a0}', " ");
    assert_eq!(of("30 kVA 400 V ±20 % 50 Hz"), "30 kVA, 400 V ±20 %");
    assert_eq!(of("PRI 400 V SEC 24 V 100 VA"), "100 VA, 400 V to 24 V");
    assert_eq!(of("nothing"), "");
}

/// Pieces of plates in every order a small generator makes of them: nothing panics, every word is somewhere.
#[test]
fn any_plate_is_read_or_kept() {
    let pieces = [
        "30 kVA",
        "400 V",
        "±20 %",
        "3~",
        "1~",
        "IN",
        "OUT",
        "0-250 V",
        "?",
        "4? A",
        "50/60 Hz",
        "/",
        "Dyn11",
        "cos φ",
        "0.8",
        "uk",
        "4 %",
        "ß",
        "VAC",
        "400/230 V",
        "±",
        "kg",
        "1e9",
        "0 V",
        "0 A",
        "0 kVA",
        "-5 V",
        "> 3 A",
        "OL",
        "IP",
        "class",
        "3",
        "x",
        "\n",
        ",",
        "(",
        "µ",
        "\u{a0}",
        "P0",
        "12 W",
        "9? %",
        "±100 %",
        "TYPE",
        "foo",
        "IEC 60076-1",
        "1 000 V",
    ];
    let mut state = 1u64;
    let mut next = |n: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % n
    };
    for _ in 0..600 {
        let line: Vec<&str> = (0..next(9)).map(|_| pieces[next(pieces.len())]).collect();
        let plate = read(&line.join(" "));
        for arrangement in [
            None,
            Some("stabilizer-centre-tap"),
            Some("stabilizer-end-fed"),
            Some("transformer"),
            Some("variable-autotransformer"),
        ] {
            let said = judge(&plate, arrangement);
            assert!(
                said.deductions
                    .iter()
                    .all(|d| d.low.is_finite() && d.high.is_finite() && d.low <= d.high),
                "{line:?}: {said:#?}"
            );
            assert!(!text(&said, &cautions(&plate)).is_empty());
        }
        let kept = said(&line.join(" "));
        let foos = line.iter().filter(|w| **w == "foo").count();
        let words = format!("{:?}{:?}", kept.not_understood, kept.fields);
        assert!(foos == 0 || words.contains("foo"), "{line:?}: {words}");
    }
}
