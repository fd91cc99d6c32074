//! What each way of writing means: one table a kind.

use quantity::{Quantity, Reach, Tolerance, Unit};

fn read(text: &str) -> Quantity {
    let quantity = Quantity::parse(text).unwrap_or_else(|e| panic!("`{text}`: {e}"));
    assert_eq!(quantity.text(), text);
    quantity
}

fn value(value: f64, step: f64) -> Reach {
    Reach::Value { value, step }
}

#[test]
fn values_keep_their_digits() {
    for (text, unit, reach) in [
        ("23.8 V", Unit::Volt, value(23.8, 0.1)),
        ("23,8 V", Unit::Volt, value(23.8, 0.1)),
        ("7.10 V", Unit::Volt, value(7.1, 0.01)),
        ("1,234 A", Unit::Ampere, value(1.234, 0.001)),
        ("10 000 V", Unit::Volt, value(10_000.0, 1.0)),
        ("10\u{202f}000 V", Unit::Volt, value(10_000.0, 1.0)),
        ("  400V ", Unit::Volt, value(400.0, 1.0)),
        ("−3 °C", Unit::DegreeCelsius, value(-3.0, 1.0)),
        ("-40 °C", Unit::DegreeCelsius, value(-40.0, 1.0)),
        ("115 mA", Unit::Ampere, value(0.115, 0.001)),
        ("41\u{a0}mA", Unit::Ampere, value(0.041, 0.001)),
        ("0.5 Ω", Unit::Ohm, value(0.5, 0.1)),
        ("0.5 \u{2126}", Unit::Ohm, value(0.5, 0.1)),
        ("4.7 kohm", Unit::Ohm, value(4700.0, 100.0)),
        ("2 Gohm", Unit::Ohm, value(2e9, 1e9)),
        ("15 \u{b5}F", Unit::Farad, value(15e-6, 1e-6)),
        ("15 \u{3bc}F", Unit::Farad, value(15e-6, 1e-6)),
        ("15 uF", Unit::Farad, value(15e-6, 1e-6)),
        ("100 pF", Unit::Farad, value(100e-12, 1e-12)),
        ("6.4 H", Unit::Henry, value(6.4, 0.1)),
        ("30 kVA", Unit::VoltAmpere, value(30e3, 1e3)),
        ("30 KVA", Unit::VoltAmpere, value(30e3, 1e3)),
        ("12 kvar", Unit::Var, value(12e3, 1e3)),
        ("12 W", Unit::Watt, value(12.0, 1.0)),
        ("50 Hz", Unit::Hertz, value(50.0, 1.0)),
        ("50 c/s", Unit::Hertz, value(50.0, 1.0)),
        ("10 min", Unit::Minute, value(10.0, 1.0)),
        ("2 h", Unit::Hour, value(2.0, 1.0)),
        ("20 s", Unit::Second, value(20.0, 1.0)),
        ("35 K", Unit::Kelvin, value(35.0, 1.0)),
        ("1.3 T", Unit::Tesla, value(1.3, 0.1)),
        ("0.5 mm²", Unit::SquareMetre, value(0.5e-6, 0.1e-6)),
        ("6 mm2", Unit::SquareMetre, value(6e-6, 1e-6)),
        ("20 cm²", Unit::SquareMetre, value(20e-4, 1e-4)),
        ("80 mm", Unit::Metre, value(0.08, 0.001)),
        ("11 kg", Unit::Kilogram, value(11.0, 1.0)),
        ("250 g", Unit::Kilogram, value(0.25, 0.001)),
        ("30 °", Unit::Degree, value(30.0, 1.0)),
        ("20 %", Unit::Percent, value(0.2, 0.01)),
        ("0.70", Unit::One, value(0.7, 0.01)),
        ("230", Unit::One, value(230.0, 1.0)),
        ("1.2e3 Ω", Unit::Ohm, value(1200.0, 100.0)),
        ("20 mS", Unit::Siemens, value(0.02, 0.001)),
    ] {
        let quantity = read(text);
        assert_eq!(
            (quantity.unit(), quantity.reach(), quantity.tolerance()),
            (unit, reach, None),
            "{text}"
        );
    }
}

/// Examples of the letter code of IEC 60062 (marking codes for resistors and capacitors), clause on letter and digit code for
/// values: R47 is 0.47 Ω, 4R7 is 4.7 Ω, 1K0 is 1 kΩ, 2M2 is 2.2 MΩ; p33 is 0.33 pF, 1p5, 4n7; tolerance letters F 1 %,
/// G 2 %, J 5 %, K 10 %, M 20 % (from memory).
#[test]
fn val_iec_60062_codes() {
    for (text, unit, reach) in [
        ("R47", Unit::Ohm, value(0.47, 0.01)),
        ("4R7", Unit::Ohm, value(4.7, 0.1)),
        ("470R", Unit::Ohm, value(470.0, 1.0)),
        ("1K0", Unit::Ohm, value(1000.0, 100.0)),
        ("1k2", Unit::Ohm, value(1200.0, 100.0)),
        ("68K1", Unit::Ohm, value(68_100.0, 100.0)),
        ("2M2", Unit::Ohm, value(2.2e6, 0.1e6)),
        ("2M2 Ω", Unit::Ohm, value(2.2e6, 0.1e6)),
        ("p33 F", Unit::Farad, value(0.33e-12, 0.01e-12)),
        ("1p5 F", Unit::Farad, value(1.5e-12, 0.1e-12)),
        ("4n7F", Unit::Farad, value(4.7e-9, 0.1e-9)),
        ("4\u{b5}7 H", Unit::Henry, value(4.7e-6, 0.1e-6)),
    ] {
        let quantity = read(text);
        assert_eq!((quantity.unit(), quantity.reach()), (unit, reach), "{text}");
    }
    for (text, share) in [
        ("4K7F", 0.01),
        ("4K7G", 0.02),
        ("4K7J", 0.05),
        ("4R7K", 0.1),
        ("2M2M", 0.2),
    ] {
        assert_eq!(
            read(text).tolerance(),
            Some(Tolerance::Relative {
                plus: share,
                minus: share
            }),
            "{text}"
        );
    }
    assert_eq!(
        Quantity::parse_as("4n7", Unit::Farad).unwrap().value(),
        Some(4.7e-9)
    );
    assert_eq!(
        Quantity::parse("4n7").unwrap_err().to_string(),
        "`4n7` has no unit; write `4n7 F` for a capacitor, `4n7 H` for a choke"
    );
}

#[test]
fn bounds_and_over_range() {
    for (text, unit, reach) in [
        ("> 2 GΩ", Unit::Ohm, Reach::AtLeast(2e9)),
        (">2 GΩ", Unit::Ohm, Reach::AtLeast(2e9)),
        (">= 2 GΩ", Unit::Ohm, Reach::AtLeast(2e9)),
        ("≥ 2 GΩ", Unit::Ohm, Reach::AtLeast(2e9)),
        ("< 0.5 Ω", Unit::Ohm, Reach::AtMost(0.5)),
        ("<= 0,5 Ω", Unit::Ohm, Reach::AtMost(0.5)),
        ("≤ 0.5 Ω", Unit::Ohm, Reach::AtMost(0.5)),
        ("> 3? A", Unit::Ampere, Reach::AtLeast(30.0)),
        ("OL", Unit::One, Reach::OverRange),
        ("0L", Unit::One, Reach::OverRange),
        ("over range", Unit::One, Reach::OverRange),
        ("OL MΩ", Unit::Ohm, Reach::OverRange),
    ] {
        let quantity = read(text);
        assert_eq!((quantity.unit(), quantity.reach()), (unit, reach), "{text}");
        assert_eq!((quantity.value(), quantity.step()), (None, None), "{text}");
    }
    assert_eq!(
        Quantity::parse_as("OL", Unit::Ohm).unwrap().unit(),
        Unit::Ohm
    );
}

#[test]
fn spans_with_the_unit_at_one_or_both_ends() {
    let span = |low, high, step| Reach::Span { low, high, step };
    for (text, unit, reach) in [
        ("23.7 to 23.9 V", Unit::Volt, span(23.7, 23.9, 0.1)),
        ("23.7–23.9 V", Unit::Volt, span(23.7, 23.9, 0.1)),
        ("320...480 V", Unit::Volt, span(320.0, 480.0, 1.0)),
        ("320…480 V", Unit::Volt, span(320.0, 480.0, 1.0)),
        ("320-480 V", Unit::Volt, span(320.0, 480.0, 1.0)),
        ("320 V - 480 V", Unit::Volt, span(320.0, 480.0, 1.0)),
        ("320 V to 480", Unit::Volt, span(320.0, 480.0, 1.0)),
        ("480 to 320 V", Unit::Volt, span(320.0, 480.0, 1.0)),
        ("-10 to 40 °C", Unit::DegreeCelsius, span(-10.0, 40.0, 1.0)),
        ("900 mV to 1.1 V", Unit::Volt, span(0.9, 1.1, 0.1)),
        ("0 to 48 V", Unit::Volt, span(0.0, 48.0, 1.0)),
        (
            "3?0-480 V",
            Unit::Volt,
            Reach::Illegible {
                low: 300.0,
                high: 480.0,
            },
        ),
    ] {
        let quantity = read(text);
        assert_eq!((quantity.unit(), quantity.reach()), (unit, reach), "{text}");
    }
    assert_eq!(read("320-480 V").value(), Some(400.0));
    assert_eq!(read("7.10 V").step(), Some(0.01));
}

#[test]
fn illegible_digits() {
    for (text, low, high) in [
        ("3? A", 30.0, 39.0),
        ("?5 V", 5.0, 95.0),
        ("4?.? A", 40.0, 49.9),
        ("1?0 V", 100.0, 190.0),
        ("4R?", 4.0, 4.9),
    ] {
        assert_eq!(read(text).reach(), Reach::Illegible { low, high }, "{text}");
    }
}

#[test]
fn tolerances() {
    let share = |plus, minus| Some(Tolerance::Relative { plus, minus });
    let own = |plus, minus| Some(Tolerance::Absolute { plus, minus });
    for (text, unit, tolerance) in [
        ("400 V ±20 %", Unit::Volt, share(0.2, 0.2)),
        ("400 V ± 20%", Unit::Volt, share(0.2, 0.2)),
        ("400 V +/-20 %", Unit::Volt, share(0.2, 0.2)),
        ("230 V +10 % −15 %", Unit::Volt, share(0.1, 0.15)),
        ("230 V +10/-15 %", Unit::Volt, share(0.1, 0.15)),
        ("230 V +10 −15 %", Unit::Volt, share(0.1, 0.15)),
        ("230 V −15 %", Unit::Volt, share(0.0, 0.15)),
        ("230 V +6 %", Unit::Volt, share(0.06, 0.0)),
        ("400 V ±0.2 V", Unit::Volt, own(0.2, 0.2)),
        ("100 ±5 Ω", Unit::Ohm, own(5.0, 5.0)),
        ("230 ± 10 % V", Unit::Volt, share(0.1, 0.1)),
        ("4k7 ±5 %", Unit::Ohm, share(0.05, 0.05)),
        ("0.5 ± 0.01", Unit::One, own(0.01, 0.01)),
    ] {
        let quantity = read(text);
        assert_eq!(
            (quantity.unit(), quantity.tolerance()),
            (unit, tolerance),
            "{text}"
        );
    }
    assert_eq!(
        (read("±20 %").unit(), read("±20 %").reach()),
        (Unit::Percent, value(0.2, 0.01))
    );
    assert_eq!(
        read("+10 % −15 %").reach(),
        Reach::Span {
            low: -0.15,
            high: 0.1,
            step: 0.01
        }
    );
}

#[test]
fn errors_say_what_where_and_the_remedy() {
    for (text, at, message) in [
        (
            "",
            0,
            "nothing is written; write a number and a unit, like `23.8 V`",
        ),
        (
            "V",
            0,
            "`V` does not start with a number; write a number and a unit, like `23.8 V`",
        ),
        (
            "nan V",
            0,
            "`nan V` does not start with a number; write a number and a unit, like `23.8 V`",
        ),
        (
            "inf",
            0,
            "`inf` does not start with a number; write a number and a unit, like `23.8 V`",
        ),
        ("23 Volt", 3, "unknown unit `Volt`; did you mean `V`?"),
        (
            "23 kilovolts",
            3,
            "unknown unit `kilovolts`; did you mean `kV`?",
        ),
        ("23 Vv", 3, "unknown unit `Vv`; did you mean `VA`?"),
        (
            "40 k",
            3,
            "unknown unit `k`; a prefix alone has no unit; write `kΩ`, `kV` ...",
        ),
        (
            "5 MF",
            2,
            "unknown unit `MF`; old capacitors write `MF` for microfarads; write `µF` if that is meant",
        ),
        (
            "1,234,567 V",
            0,
            "`1,234,567` has two decimal signs; write thousands with a space, like `10 000`, and one point or comma before the decimals",
        ),
        (
            "1e400 V",
            0,
            "the exponent `e400` is beyond anything on a bench; write the value with a prefix, like `2 GΩ`",
        ),
        ("230 V AC", 6, "`AC` is no part of a value; leave out `AC`"),
        (
            "230/400 V",
            3,
            "`/400 V` stands behind the value; write one value, like `23.8 V`, `23.7 to 23.9 V` or `400 V ±20 %`",
        ),
        (
            "230 V to 5 A",
            9,
            "one end is a voltage, the other a current; write both in one unit",
        ),
        (
            "230 V ±5",
            8,
            "the tolerance has no unit; write `±5 %` or `±5 V`",
        ),
        (
            "230 V ±5 A",
            8,
            "the tolerance is a current, the value a voltage; write it in per cent or in the unit of the value",
        ),
        (
            "?? A",
            0,
            "no digit of `??` can be read; leave it out, or put a `?` only for each digit that cannot be read, like `3? A`",
        ),
        (
            "1k2 kΩ",
            0,
            "`1k2` has a prefix of its own; write the unit behind it without a prefix",
        ),
        (
            "4R7 V",
            0,
            "`4R7` is a resistance code; write the number with a decimal point",
        ),
    ] {
        let error = Quantity::parse(text).unwrap_err();
        assert_eq!(
            (error.at, error.to_string().as_str()),
            (at, message),
            "{text}"
        );
    }
    assert_eq!(
        Quantity::parse_as("5 A", Unit::Volt)
            .unwrap_err()
            .to_string(),
        "`5 A` is a current, where a voltage is wanted; write it in V"
    );
}
