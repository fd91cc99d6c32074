//! Reads an instrument's accuracy bound as its manual prints it.

use crate::number::{self, space};
use crate::parse::wrong;
use crate::{Accuracy, QuantityError};

const REMEDY: &str =
    "write it like `±(0.8 % + 3)`: a share of the reading, then units of the last digit";
/// Words that make a share one of the full scale, and the word before a class index.
const FULL_SCALE_WORDS: [&str; 6] = [
    "of full scale",
    "full scale",
    "of range",
    "of fs",
    "fs",
    "f.s.",
];
const CLASS: &str = "class";
/// Words for units of the last digit.
const DIGIT_WORDS: [&str; 12] = [
    "digits",
    "digit",
    "dgts",
    "dgt",
    "counts",
    "count",
    "cts",
    "lsd",
    "dig",
    "d",
    "of reading",
    "rdg",
];

/// Reads `±(0.8 % + 3)`, `0,8% + 3 digits`, `±1 %`, `±(3)`, `class 1.5`, `±0.2 % of full scale`.
pub(crate) fn accuracy(text: &str) -> Result<Accuracy, QuantityError> {
    if let Some(class) = class(text) {
        return class;
    }
    let mut found = Accuracy::default();
    let mut seen = [false; 3];
    let mut at = skip(
        text,
        if text.trim_start().starts_with("+/-") {
            text.len() - text.trim_start().len() + 3
        } else {
            0
        },
    );
    while at < text.len() {
        let figures = number::read(text, at).map_err(|e| wrong(e.at, e.what, REMEDY))?;
        let (low, high) = figures.ends(0);
        if low != high || low < 0.0 || figures.code.is_some() {
            return Err(wrong(
                at,
                format!("`{}` is no bound", text[at..figures.end].trim()),
                REMEDY,
            ));
        }
        let behind = figures.end + text[figures.end..].len()
            - text[figures.end..].trim_start_matches(space).len();
        let percent = text[behind..].starts_with('%');
        let end = if percent { behind + 1 } else { behind };
        let of_scale = percent.then(|| full_scale(text, end)).flatten();
        let (slot, value, which, what) = match (percent, of_scale) {
            (false, _) => (&mut found.digits, low, 1, "counts of digits"),
            (true, None) => (&mut found.fraction, low / 100.0, 0, "percentages"),
            (true, Some(_)) => (
                &mut found.full_scale,
                low / 100.0,
                2,
                "shares of full scale",
            ),
        };
        if std::mem::replace(&mut seen[which], true) {
            return Err(wrong(at, format!("two {what} in one bound"), REMEDY));
        }
        *slot = value;
        at = match of_scale {
            Some(end) => skip(text, end),
            None => words(text, skip(text, end))?,
        };
    }
    if seen == [false; 3] {
        return Err(wrong(0, "nothing is written", REMEDY));
    }
    if found.fraction > 1.0 || found.full_scale > 1.0 {
        return Err(wrong(
            0,
            format!("`{}` is more than the whole reading", text.trim()),
            REMEDY,
        ));
    }
    Ok(found)
}

/// Reads `class 1.5`; nothing if the text is no class.
fn class(text: &str) -> Option<Result<Accuracy, QuantityError>> {
    let start = text.len() - text.trim_start().len();
    let word = text.get(start..start + CLASS.len())?;
    if !word.eq_ignore_ascii_case(CLASS) {
        return None;
    }
    let remedy = "write it like `class 1.5`, the index on the dial";
    let at = skip(text, start + CLASS.len());
    let read = number::read(text, at).map_err(|e| wrong(e.at, e.what, remedy));
    Some(read.and_then(|figures| {
        let (low, high) = figures.ends(0);
        let rest = text[figures.end..].trim();
        if low != high
            || !(0.0..=100.0).contains(&low)
            || figures.code.is_some()
            || !rest.is_empty()
        {
            let what = format!("`{}` is no class", text[start..].trim());
            return Err(wrong(at, what, remedy));
        }
        Ok(Accuracy {
            full_scale: low / 100.0,
            ..Accuracy::default()
        })
    }))
}

/// Past the words that make a share one of the full scale, if they stand here.
fn full_scale(text: &str, at: usize) -> Option<usize> {
    let start = at + text[at..].len() - text[at..].trim_start().len();
    let lower = text.get(start..)?.to_lowercase();
    let word = FULL_SCALE_WORDS.iter().find(|word| {
        lower.starts_with(*word) && !lower[word.len()..].starts_with(char::is_alphabetic)
    })?;
    text.is_char_boundary(start + word.len())
        .then_some(start + word.len())
}

/// Past spaces, brackets and signs.
fn skip(text: &str, at: usize) -> usize {
    text.len()
        - text[at..]
            .trim_start_matches(|c: char| "±()+".contains(c) || c.is_whitespace() || space(c))
            .len()
}

/// Past the words that only say what the figure counts.
fn words(text: &str, at: usize) -> Result<usize, QuantityError> {
    let rest = &text[at..];
    if rest.is_empty() || !rest.starts_with(char::is_alphabetic) {
        return Ok(at);
    }
    let lower = rest.to_lowercase();
    match DIGIT_WORDS.iter().find(|word| {
        lower.starts_with(*word) && !lower[word.len()..].starts_with(char::is_alphabetic)
    }) {
        Some(word) if rest.is_char_boundary(word.len()) => Ok(skip(text, at + word.len())),
        _ => Err(wrong(
            at,
            format!("`{}` is not understood", rest.trim_end_matches(')').trim()),
            REMEDY,
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_bounds_as_manuals_print_them() {
        for (text, fraction, digits, full_scale) in [
            ("±(0.8 % + 3)", 0.008, 3.0, 0.0),
            ("0.8 % + 3", 0.008, 3.0, 0.0),
            ("±0,8% + 3 digits", 0.008, 3.0, 0.0),
            ("±(1.5 % of reading + 5 counts)", 0.015, 5.0, 0.0),
            ("±1 %", 0.01, 0.0, 0.0),
            ("±(2)", 0.0, 2.0, 0.0),
            ("+/-(0.5 % + 2)", 0.005, 2.0, 0.0),
            ("class 1.5", 0.0, 0.0, 0.015),
            (" Class 2,5", 0.0, 0.0, 0.025),
            ("±1 % of full scale", 0.0, 0.0, 0.01),
            ("±(0.5 % + 0.25 % FS + 2)", 0.005, 2.0, 0.0025),
        ] {
            let read = accuracy(text);
            let wanted = Accuracy {
                fraction,
                digits,
                full_scale,
            };
            assert_eq!(read, Ok(wanted), "{text}");
        }
    }

    /// CHECKS M2: JCGM 100:2008, 4.3.7 (rectangular limits); 230.0 V on (0.8 % + 3), 0.1 V a digit. Tolerance: the digits there.
    #[test]
    fn val_a_bound_is_a_rectangle() {
        let bound = accuracy("±(0.8 % + 3)").unwrap();
        assert!((bound.limit(230.0, 0.1, 600.0) - 2.14).abs() < 5e-3);
        let u = bound.standard_uncertainty(230.0, 0.1, 600.0);
        assert!((u - 1.236).abs() < 5e-4, "{u}");
        assert!((2.0 * u - 2.47).abs() < 5e-3);
    }

    /// CHECKS M3: KPU Physics 1102/1220, tutorial on meter uncertainties; (2.5 % + 3) on 0.01 V a digit. Tolerance: the digits there.
    #[test]
    fn val_digits_rule_at_the_bottom_of_a_range() {
        let bound = accuracy("2.5 % + 3").unwrap();
        assert!((bound.limit(32.0, 0.01, 60.0) - 0.83).abs() < 5e-3);
        assert!((bound.limit(0.09, 0.01, 60.0) - 0.032).abs() < 5e-4);
    }

    /// IEC 60051-1 (from memory): class 1.5 on a 300 V scale may be off by 4.5 V anywhere on it.
    #[test]
    fn val_a_class_is_the_same_all_along_the_scale() {
        let class = accuracy("class 1.5").unwrap();
        for reading in [10.0, 150.0, 300.0] {
            assert!((class.limit(reading, 1.0, 300.0) - 4.5).abs() < 1e-12);
        }
    }

    #[test]
    fn refuses_what_is_no_bound() {
        for text in [
            "",
            "±",
            "good",
            "1 % + 2 %",
            "3 + 4",
            "? %",
            "0.8 % + 3 volts",
            "300 %",
            "4k7",
            "nan %",
            "class",
            "class good",
            "class 1.5 %",
            "class 300",
            "class -1",
            "1 % fs + 1 % of range",
        ] {
            let error = accuracy(text).unwrap_err();
            assert!(
                !error.remedy.is_empty() && error.at <= text.len(),
                "{text}: {error}"
            );
        }
    }
}
