//! Reads an instrument's accuracy bound as its manual prints it.

use crate::number::{self, space};
use crate::parse::wrong;
use crate::{Accuracy, QuantityError};

const REMEDY: &str =
    "write it like `±(0.8 % + 3)`: a share of the reading, then units of the last digit";
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

/// Reads `±(0.8 % + 3)`, `0,8% + 3 digits`, `±1 %`, `±(3)`.
pub(crate) fn accuracy(text: &str) -> Result<Accuracy, QuantityError> {
    let mut found = Accuracy {
        fraction: 0.0,
        digits: 0.0,
    };
    let mut seen = (false, false);
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
        let slot = if percent {
            (&mut found.fraction, &mut seen.0, low / 100.0)
        } else {
            (&mut found.digits, &mut seen.1, low)
        };
        if std::mem::replace(slot.1, true) {
            return Err(wrong(
                at,
                format!(
                    "two {} in one bound",
                    if percent {
                        "percentages"
                    } else {
                        "counts of digits"
                    }
                ),
                REMEDY,
            ));
        }
        *slot.0 = slot.2;
        at = words(text, skip(text, end))?;
    }
    if seen == (false, false) {
        return Err(wrong(0, "nothing is written", REMEDY));
    }
    if found.fraction > 1.0 {
        return Err(wrong(
            0,
            format!("`{}` is more than the whole reading", text.trim()),
            REMEDY,
        ));
    }
    Ok(found)
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
        for (text, fraction, digits) in [
            ("±(0.8 % + 3)", 0.008, 3.0),
            ("0.8 % + 3", 0.008, 3.0),
            ("±0,8% + 3 digits", 0.008, 3.0),
            ("±(1.5 % of reading + 5 counts)", 0.015, 5.0),
            ("±1 %", 0.01, 0.0),
            ("±(2)", 0.0, 2.0),
            ("+/-(0.5 % + 2)", 0.005, 2.0),
        ] {
            let read = accuracy(text);
            assert_eq!(read, Ok(Accuracy { fraction, digits }), "{text}");
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
        ] {
            let error = accuracy(text).unwrap_err();
            assert!(
                !error.remedy.is_empty() && error.at <= text.len(),
                "{text}: {error}"
            );
        }
    }
}
