//! What must hold for any text: nothing panics, the text is kept, no figure is not-a-number, two roads give one value.

use proptest::prelude::*;
use quantity::{
    Accuracy, Estimate, Quantity, Reach, Unit, round_down_two_digits, show, significant,
};

/// Pieces that quantities are made of, and that break readers of quantities.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        "[0-9?]{1,4}",
        prop::sample::select(vec![
            " ", "\u{a0}", "\u{2009}", ".", ",", "...", "–", "-", "−", "+", "±", "+/-", "/", "%",
            "to", ">", "≤", "<=", "OL", "e", "E9", "e-3", "k", "M", "m", "µ", "μ", "R", "n", "V",
            "kVA", "Ω", "\u{2126}", "ohm", "°C", "°", "mm²", "mm2", "m", "2", "Hz", "K", "J", "ß",
            "İ", "(", ")", "?", "∞", "nan",
        ])
        .prop_map(str::to_owned),
    ];
    prop::collection::vec(piece, 0..8).prop_map(|p| p.concat())
}

fn sound(text: &str) -> Result<(), TestCaseError> {
    match Quantity::parse(text) {
        Ok(quantity) => {
            prop_assert_eq!(quantity.text(), text);
            let again =
                Quantity::parse(quantity.text()).map_err(|e| TestCaseError::fail(e.to_string()))?;
            prop_assert_eq!(&again, &quantity);
            let figures = match quantity.reach() {
                Reach::Value { value, step } => vec![value, step],
                Reach::AtLeast(x) | Reach::AtMost(x) => vec![x],
                Reach::OverRange => vec![],
                Reach::Span { low, high, step } => vec![low, high, step],
                Reach::Illegible { low, high } => vec![low, high],
            };
            prop_assert!(figures.iter().all(|x| x.is_finite()));
            if let Reach::Span { low, high, .. } | Reach::Illegible { low, high } = quantity.reach()
            {
                prop_assert!(low <= high, "{} > {}", low, high);
            }
        }
        Err(error) => {
            prop_assert!(
                error.at <= text.len() && text.is_char_boundary(error.at),
                "{}",
                error.at
            );
            prop_assert!(!error.what.is_empty() && !error.remedy.is_empty());
        }
    }
    let _ = Accuracy::parse(text);
    let _ = Quantity::parse_as(text, Unit::Farad);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read_or_refused(text in any::<String>()) {
        sound(&text)?;
    }

    #[test]
    fn any_pieces_are_read_or_refused(text in pieces()) {
        sound(&text)?;
    }

    /// The value is the nearest double to what was written, by another road: the prefix's power written as an exponent.
    #[test]
    fn prefix_equals_exponent(whole in 0u32..100_000, decimals in 0usize..4, prefix in 0usize..8) {
        let (letter, power) = [("p", -12), ("n", -9), ("µ", -6), ("m", -3), ("", 0), ("k", 3), ("M", 6), ("G", 9)][prefix];
        let text = format!("{:.*} {letter}V", decimals, f64::from(whole) / 10f64.powi(decimals as i32));
        let number = text.split(' ').next().unwrap_or("");
        let expected: f64 = format!("{number}e{power}").parse().unwrap();
        prop_assert_eq!(Quantity::parse(&text).unwrap().value(), Some(expected));
        let comma = text.replace('.', ",");
        prop_assert_eq!(Quantity::parse(&comma).unwrap().value(), Some(expected));
    }

    /// A value shown and read again is off by at most half a unit of its last digit.
    #[test]
    fn shown_values_can_be_read_again(value in prop_oneof![1e-9..1e9f64, -1e6..1e6f64], digits in 1u32..6) {
        let text = show(value, Unit::Volt, digits);
        let read = Quantity::parse(&text).unwrap();
        let allowed = value.abs() * 0.5001 * 10f64.powi(1 - digits as i32) + 1e-15;
        prop_assert!((read.value().unwrap() - value).abs() <= allowed, "{} from {}", text, value);
    }

    #[test]
    fn an_estimate_reads_back_as_value_and_tolerance(value in -1e6..1e6f64, u in 1e-6..1e5f64) {
        let estimate = Estimate { value, standard_uncertainty: u, unit: Unit::Ampere };
        let text = estimate.to_string();
        let read = Quantity::parse(&text).map_err(|e| TestCaseError::fail(format!("{text}: {e}")))?;
        prop_assert!((read.value().unwrap() - value).abs() <= 0.51 * estimate.half_width(), "{}", text);
        let digits = estimate.rounded().plus_minus.trim_start_matches(['0', '.']).trim_end_matches('0').replace('.', "").len();
        prop_assert!(digits <= 2);
    }

    #[test]
    fn figures_never_panic(value in any::<f64>(), digits in any::<u32>(), unit in prop::sample::select(vec![Unit::Volt, Unit::Percent, Unit::SquareMetre, Unit::One])) {
        let _ = (significant(value, digits), show(value, unit, digits), round_down_two_digits(value));
        let _ = Estimate { value, standard_uncertainty: value, unit }.to_string();
        let _ = Estimate { value, standard_uncertainty: value.sqrt(), unit }.rounded_as("m");
    }
}
