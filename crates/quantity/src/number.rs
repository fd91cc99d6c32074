//! Reads the figures of one number: sign, decimal point or comma, thousands, exponent, illegible digits, IEC 60062 letter.
//!
//! A comma is a decimal comma, always: `1,234` is one point two three four. Thousands stand apart by a space (plain, no-break
//! or thin), as the SI brochure has them; a second comma or point is refused, because it could only be a guess.

use crate::QuantityError;

/// More digits than any meter or plate shows; beyond it the text is something else.
const MOST_DIGITS: usize = 24;
/// Powers of ten beyond this (1e30 and 1e−30) are slips, in any unit of a bench.
pub(crate) const MOST_EXPONENT: i32 = 30;

/// The figures of one number, not yet in a unit.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Figures {
    negative: bool,
    /// Digits without their decimal sign; `?` is an illegible one.
    digits: String,
    decimals: i32,
    exponent: i32,
    /// The letter that stood for the decimal sign, as in `4R7`, `1k2`, `4n7`.
    pub(crate) code: Option<char>,
    /// Byte behind the last figure.
    pub(crate) end: usize,
}

impl Figures {
    /// Whether any digit could not be read.
    pub(crate) fn illegible(&self) -> bool {
        self.digits.contains('?')
    }

    /// One unit of the last digit, times ten to the `power`.
    pub(crate) fn step(&self, power: i32) -> f64 {
        parse_power(self.exponent - self.decimals + power)
    }

    /// Least and greatest value the figures allow, times ten to the `power`; equal when every digit is legible.
    pub(crate) fn ends(&self, power: i32) -> (f64, f64) {
        let (small, great) = (self.with('0', power), self.with('9', power));
        if self.negative {
            (-great, -small)
        } else {
            (small, great)
        }
    }

    fn with(&self, digit: char, power: i32) -> f64 {
        let digits = self.digits.replace('?', digit.encode_utf8(&mut [0; 4]));
        // digits and a bounded exponent: the standard parser rounds correctly, so `7.10 mV` is exactly the nearest double
        format!("{digits}e{}", self.exponent - self.decimals + power)
            .parse()
            .unwrap_or(0.0)
    }
}

fn parse_power(power: i32) -> f64 {
    format!("1e{power}").parse().unwrap_or(0.0)
}

/// Reads a number at byte `at` of the text.
pub(crate) fn read(text: &str, at: usize) -> Result<Figures, QuantityError> {
    let mut scan = Scan {
        text,
        at,
        start: at,
        figures: Figures {
            negative: false,
            digits: String::new(),
            decimals: 0,
            exponent: 0,
            code: None,
            end: at,
        },
        decimal: false,
    };
    scan.sign();
    scan.figures()?;
    scan.exponent()?;
    scan.finish()
}

/// Whether a number can start at this byte.
pub(crate) fn starts(text: &str, at: usize) -> bool {
    let rest = text[at..].trim_start_matches(['+', '-', '−', ' ', '\u{a0}']);
    let mut letters = rest.chars();
    match letters.next() {
        Some('0'..='9' | '?') => true,
        Some('.' | ',') => letters.next().is_some_and(figure),
        Some(letter) if coded(letter) => letters.next().is_some_and(|c| c.is_ascii_digit()),
        _ => false,
    }
}

/// Letters that IEC 60062 sets in the place of the decimal sign, and the prefixes used the same way before a unit.
fn coded(letter: char) -> bool {
    "RkKMGpnum\u{b5}\u{3bc}".contains(letter)
}

fn figure(letter: char) -> bool {
    letter.is_ascii_digit() || letter == '?'
}

/// Spaces that may part thousands: plain, no-break, narrow no-break, thin.
pub(crate) fn space(letter: char) -> bool {
    matches!(letter, ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}')
}

struct Scan<'a> {
    text: &'a str,
    at: usize,
    start: usize,
    figures: Figures,
    decimal: bool,
}

impl Scan<'_> {
    fn peek(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    fn after(&self) -> Option<char> {
        self.text[self.at..].chars().nth(1)
    }

    fn sign(&mut self) {
        if let Some(sign @ ('+' | '-' | '−')) = self.peek() {
            self.figures.negative = sign != '+';
            self.at += sign.len_utf8();
            while let Some(letter) = self.peek().filter(|c| space(*c)) {
                self.at += letter.len_utf8();
            }
        }
    }

    fn figures(&mut self) -> Result<(), QuantityError> {
        while let Some(letter) = self.peek() {
            if figure(letter) {
                self.figures.digits.push(letter);
                self.figures.decimals += i32::from(self.decimal);
            } else if letter == '.' || letter == ',' {
                if self.after() == Some('.') {
                    return Ok(()); // `320...480`
                }
                if self.decimal {
                    if self.after().is_some_and(figure) {
                        return Err(self.twice());
                    }
                    return Ok(());
                }
                if self.figures.digits.is_empty() && !self.after().is_some_and(figure) {
                    return Ok(());
                }
                self.decimal = true;
            } else if coded(letter) && !self.decimal && self.after().is_some_and(figure) {
                self.decimal = true;
                self.figures.code = Some(letter);
            } else if !(space(letter) && self.group_follows()) {
                return Ok(());
            }
            self.at += letter.len_utf8();
            if self.figures.digits.len() > MOST_DIGITS {
                return Err(self.wrong(
                    format!("more than {MOST_DIGITS} digits in one number"),
                    "write the digits the instrument showed",
                ));
            }
        }
        Ok(())
    }

    /// A space parts thousands when whole groups of three stand on both sides of it.
    fn group_follows(&self) -> bool {
        let before = self.text[self.start..self.at]
            .trim_start_matches(['+', '-', '−'])
            .trim_start_matches(space);
        let groups: Vec<usize> = before
            .split(|c| space(c) || c == '.' || c == ',')
            .map(str::len)
            .collect();
        let whole = if self.decimal {
            groups.last() == Some(&3)
        } else {
            groups.split_first().is_some_and(|(first, rest)| {
                (1..=3).contains(first) && rest.iter().all(|n| *n == 3)
            })
        };
        let next: Vec<char> = self.text[self.at..].chars().skip(1).take(4).collect();
        whole
            && self.figures.code.is_none()
            && next.len() >= 3
            && next[..3].iter().all(|c| figure(*c))
            && !next.get(3).is_some_and(|c| figure(*c))
    }

    fn exponent(&mut self) -> Result<(), QuantityError> {
        let rest = &self.text[self.at..];
        if !rest.starts_with(['e', 'E']) || self.figures.digits.is_empty() {
            return Ok(());
        }
        let (negative, tail) = match rest[1..].chars().next() {
            Some(sign @ ('-' | '−')) => (true, &rest[1 + sign.len_utf8()..]),
            Some('+') => (false, &rest[2..]),
            _ => (false, &rest[1..]),
        };
        let digits = tail.len() - tail.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        if digits == 0 {
            return Ok(());
        }
        let power: i32 = tail[..digits].parse().unwrap_or(i32::MAX);
        if power > MOST_EXPONENT {
            return Err(self.wrong(
                format!(
                    "the exponent `{}` is beyond anything on a bench",
                    &rest[..rest.len() - tail.len() + digits]
                ),
                "write the value with a prefix, like `2 GΩ`",
            ));
        }
        self.figures.exponent = if negative { -power } else { power };
        self.at += rest.len() - tail.len() + digits;
        Ok(())
    }

    fn finish(mut self) -> Result<Figures, QuantityError> {
        if self.figures.digits.is_empty() {
            let found: String = self.text[self.start..].chars().take(24).collect();
            let what = if found.is_empty() {
                "a number is missing".to_owned()
            } else {
                format!("`{found}` does not start with a number")
            };
            return Err(self.wrong(what, "write a number and a unit, like `23.8 V`"));
        }
        if self.figures.digits.chars().all(|c| c == '?') {
            return Err(self.wrong(
                format!(
                    "no digit of `{}` can be read",
                    self.text[self.start..self.at].trim()
                ),
                "leave it out, or put a `?` only for each digit that cannot be read, like `3? A`",
            ));
        }
        self.figures.end = self.at;
        Ok(self.figures)
    }

    fn twice(&self) -> QuantityError {
        let shown: String = self.text[self.start..]
            .chars()
            .take_while(|c| figure(*c) || matches!(c, '.' | ','))
            .collect();
        self.wrong(format!("`{shown}` has two decimal signs"), "write thousands with a space, like `10 000`, and one point or comma before the decimals")
    }

    fn wrong(&self, what: String, remedy: &str) -> QuantityError {
        QuantityError {
            what,
            at: self.start,
            remedy: remedy.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ends(text: &str) -> (f64, f64) {
        read(text, 0).unwrap().ends(0)
    }

    #[test]
    fn decimal_point_and_comma_mean_the_same() {
        assert_eq!(ends("23.8"), (23.8, 23.8));
        assert_eq!(ends("23,8"), (23.8, 23.8));
        assert_eq!(ends("1,234"), (1.234, 1.234));
        assert_eq!(ends(",5"), (0.5, 0.5));
        assert_eq!(ends("−5"), (-5.0, -5.0));
        assert_eq!(ends("- 5"), (-5.0, -5.0));
    }

    #[test]
    fn thousands_stand_apart_by_a_space() {
        assert_eq!(ends("10 000"), (10_000.0, 10_000.0));
        assert_eq!(ends("1 234 567,8"), (1_234_567.8, 1_234_567.8));
        assert_eq!(ends("10\u{a0}000"), (10_000.0, 10_000.0));
        assert_eq!(ends("10\u{2009}000"), (10_000.0, 10_000.0));
        assert_eq!(ends("0.123 456"), (0.123_456, 0.123_456));
        // not groups of three: the number ends at the space
        assert_eq!(read("10 00", 0).unwrap().end, 2);
        assert_eq!(read("1000 000", 0).unwrap().end, 4);
        assert!(
            read("1,234,567", 0)
                .unwrap_err()
                .what
                .contains("two decimal signs")
        );
        assert!(
            read("1.234,5", 0)
                .unwrap_err()
                .what
                .contains("two decimal signs")
        );
    }

    #[test]
    fn illegible_digits_open_an_interval() {
        assert_eq!(ends("3?"), (30.0, 39.0));
        assert_eq!(ends("?5"), (5.0, 95.0));
        assert_eq!(ends("1?0"), (100.0, 190.0));
        assert_eq!(ends("4?.?"), (40.0, 49.9));
        assert_eq!(ends("-3?"), (-39.0, -30.0));
        assert!(read("??", 0).unwrap_err().what.contains("no digit"));
    }

    #[test]
    fn exponents_are_read_within_reason() {
        assert_eq!(ends("1.2e3"), (1200.0, 1200.0));
        assert_eq!(ends("1E−3"), (0.001, 0.001));
        assert!(
            read("1e99", 0)
                .unwrap_err()
                .what
                .contains("beyond anything")
        );
        assert!(read("1e99999999999999999", 0).is_err());
    }
}
