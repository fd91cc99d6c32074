//! Reads written quantities: bound, over-range, span, value with tolerance, bare tolerance.
//!
//! What is read here is one quantity. Words around it (`AC`, `max`, `input`) are not read: whoever reads a plate or a line of
//! readings takes them off first.

mod tolerance;

use crate::number::{self, Figures, space};
use crate::symbols::{self, Scaled};
use crate::{Quantity, QuantityError, Reach, Tolerance, Unit};

/// What meters show beyond their range, in any case.
const OVER_RANGE: [&str; 9] = [
    "OL",
    "0L",
    "O.L",
    "O.L.",
    "0.L",
    "OVER RANGE",
    "OVER-RANGE",
    "OVERRANGE",
    "OVERLOAD",
];
/// Signs of a bound; whether it is a least value. A display shows no difference between `>` and `≥`.
const BOUNDS: [(&str, bool); 8] = [
    (">=", true),
    ("≥", true),
    ("⩾", true),
    (">", true),
    ("<=", false),
    ("≤", false),
    ("⩽", false),
    ("<", false),
];
/// What stands between the ends of a span.
const SPAN_SIGNS: [&str; 9] = ["...", "…", "..", "–", "—", "÷", "to", "-", "−"];
/// IEC 60062 tolerance letters, as shares.
const TOLERANCE_LETTERS: [(char, f64); 10] = [
    ('B', 0.001),
    ('C', 0.0025),
    ('D', 0.005),
    ('F', 0.01),
    ('G', 0.02),
    ('J', 0.05),
    ('K', 0.10),
    ('M', 0.20),
    ('N', 0.30),
    ('E', 0.00005),
];

/// Reads a quantity; `want` is the unit its place asks for, which settles bare codes (`4n7`) and a bare `OL`.
pub(crate) fn quantity(text: &str, want: Option<Unit>) -> Result<Quantity, QuantityError> {
    let mut reader = Reader { text, at: 0, want };
    reader.skip();
    let (unit, reach, tolerance) = reader.whole()?;
    reader.skip();
    if reader.at < text.len() {
        return Err(reader.left_over());
    }
    finite(reach, tolerance)
        .then(|| Quantity {
            text: text.to_owned(),
            unit,
            reach,
            tolerance,
        })
        .ok_or_else(|| {
            wrong(
                0,
                format!("`{}` is beyond anything on a bench", text.trim()),
                "check the exponent and the prefix",
            )
        })
}

/// Whether every figure is a number, and none but zero is beyond 1e30 or below 1e−30.
fn finite(reach: Reach, tolerance: Option<Tolerance>) -> bool {
    let good = |x: f64| x == 0.0 || (1e-30..=1e30).contains(&x.abs());
    let reach = match reach {
        Reach::Value { value, step } => good(value) && good(step),
        Reach::AtLeast(x) | Reach::AtMost(x) => good(x),
        Reach::OverRange => true,
        Reach::Span { low, high, step } => good(low) && good(high) && good(step),
        Reach::Illegible { low, high } => good(low) && good(high),
    };
    reach
        && tolerance.is_none_or(|t| match t {
            Tolerance::Relative { plus, minus } | Tolerance::Absolute { plus, minus } => {
                good(plus) && good(minus)
            }
        })
}

pub(crate) fn wrong(
    at: usize,
    what: impl Into<String>,
    remedy: impl Into<String>,
) -> QuantityError {
    QuantityError {
        what: what.into(),
        at,
        remedy: remedy.into(),
    }
}

type Read = (Unit, Reach, Option<Tolerance>);

/// Figures with the unit that stood behind them, if one did.
struct Written {
    figures: Figures,
    scaled: Option<Scaled>,
    /// Tolerance letter of a resistor or capacitor code.
    letter: Option<f64>,
    at: usize,
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    want: Option<Unit>,
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn skip(&mut self) {
        let rest = self.rest();
        self.at += rest.len()
            - rest
                .trim_start_matches(|c: char| c.is_whitespace() || space(c))
                .len();
    }

    fn take(&mut self, sign: &str) -> bool {
        let found = self.rest().starts_with(sign);
        if found {
            self.at += sign.len();
        }
        found
    }

    fn whole(&mut self) -> Result<Read, QuantityError> {
        if self.rest().is_empty() {
            return Err(wrong(
                0,
                "nothing is written",
                "write a number and a unit, like `23.8 V`",
            ));
        }
        if let Some(read) = self.over_range()? {
            return Ok(read);
        }
        if let Some((_, least)) = BOUNDS.iter().find(|(sign, _)| self.take(sign)) {
            self.skip();
            let written = self.written()?;
            let (unit, power) = self.unit_of(&written)?;
            let (low, high) = written.figures.ends(power);
            return Ok((
                unit,
                if *least {
                    Reach::AtLeast(low)
                } else {
                    Reach::AtMost(high)
                },
                None,
            ));
        }
        if let Some(read) = self.bare_tolerance()? {
            return Ok(read);
        }
        self.value_or_span()
    }

    /// `OL`, `OL MΩ`: over-range, the unit from behind it or from the place it stands in.
    fn over_range(&mut self) -> Result<Option<Read>, QuantityError> {
        let upper = self.rest().to_uppercase();
        let Some(shown) = OVER_RANGE
            .iter()
            .filter(|shown| upper.starts_with(*shown))
            .max_by_key(|shown| shown.len())
        else {
            return Ok(None);
        };
        let Some(behind) = self.rest().get(shown.len()..) else {
            return Ok(None);
        };
        if !behind.is_empty() && !behind.starts_with(|c: char| c.is_whitespace() || space(c)) {
            return Ok(None);
        }
        self.at += shown.len();
        self.skip();
        let unit = if self.rest().is_empty() {
            self.want.unwrap_or(Unit::One)
        } else {
            self.unit()?.map_or(Unit::One, |s| s.unit)
        };
        Ok(Some((unit, Reach::OverRange, None)))
    }

    fn value_or_span(&mut self) -> Result<Read, QuantityError> {
        let first = self.written()?;
        self.skip();
        if let Some(read) = self.tolerance_before_unit(&first)? {
            return Ok(read);
        }
        if self.span_follows(&first) {
            let second = self.written()?;
            let (low, high) = self.pair(&first, &second)?;
            let unit = low.0;
            let mut ends = [
                first.figures.ends(low.3).0,
                first.figures.ends(low.3).1,
                second.figures.ends(high.3).0,
                second.figures.ends(high.3).1,
            ];
            ends.sort_by(f64::total_cmp);
            let reach = if first.figures.illegible() || second.figures.illegible() {
                Reach::Illegible {
                    low: ends[0],
                    high: ends[3],
                }
            } else {
                Reach::Span {
                    low: ends[0],
                    high: ends[3],
                    step: low.2.max(high.2),
                }
            };
            let tolerance = self.tolerance(unit)?;
            return Ok((unit, reach, tolerance));
        }
        let (unit, power) = self.unit_of(&first)?;
        let by_letter = first.letter.map(|share| Tolerance::Relative {
            plus: share,
            minus: share,
        });
        let tolerance = self.tolerance(unit)?.or(by_letter);
        Ok((unit, value_reach(&first.figures, power), tolerance))
    }

    /// Whether a span sign and another number follow; stands on the number when so.
    fn span_follows(&mut self, first: &Written) -> bool {
        let start = self.at;
        for sign in SPAN_SIGNS {
            if self.take(sign) {
                self.skip();
                // `230 V −15 %` is a tolerance, not a span from 230 V to 15 %
                let percent_behind = matches!(sign, "-" | "−" | "–")
                    && first.scaled.is_some_and(|s| s.unit != Unit::Percent)
                    && self.percent_next();
                if number::starts(self.text, self.at) && !percent_behind {
                    return true;
                }
                self.at = start;
                return false;
            }
        }
        false
    }

    fn percent_next(&self) -> bool {
        self.rest()
            .trim_start_matches(|c: char| {
                c.is_ascii_digit() || c == '?' || c == '.' || c == ',' || space(c)
            })
            .starts_with('%')
    }

    /// Two written numbers that share a unit: (unit, greatest value, step, power of ten) of each.
    #[expect(
        clippy::type_complexity,
        reason = "two rows of the same four figures, taken apart on the next line"
    )]
    fn pair(
        &self,
        first: &Written,
        second: &Written,
    ) -> Result<((Unit, f64, f64, i32), (Unit, f64, f64, i32)), QuantityError> {
        let scaled = [
            first.scaled.or(second.scaled),
            second.scaled.or(first.scaled),
        ];
        let mut rows = Vec::with_capacity(2);
        for (written, scaled) in [first, second].into_iter().zip(scaled) {
            let (unit, power) = self.unit_of(&Written {
                figures: written.figures.clone(),
                scaled,
                letter: None,
                at: written.at,
            })?;
            rows.push((
                unit,
                written.figures.ends(power).1,
                written.figures.step(power),
                power,
            ));
        }
        if rows[0].0 != rows[1].0 {
            let what = format!(
                "one end is {}, the other {}",
                rows[0].0.measures(),
                rows[1].0.measures()
            );
            return Err(wrong(second.at, what, "write both in one unit"));
        }
        Ok((rows[0], rows[1]))
    }

    /// Figures, then a unit or a tolerance letter if one stands there.
    fn written(&mut self) -> Result<Written, QuantityError> {
        let at = self.at;
        let figures = number::read(self.text, self.at)?;
        self.at = figures.end;
        let letter = if matches!(figures.code, Some('R' | 'k' | 'K' | 'M' | 'G')) {
            self.tolerance_letter()
        } else {
            None
        };
        let scaled = if letter.is_some() { None } else { self.unit()? };
        Ok(Written {
            figures,
            scaled,
            letter,
            at,
        })
    }

    /// `4K7J`: the letter close behind a resistor code, and nothing behind it.
    fn tolerance_letter(&mut self) -> Option<f64> {
        let mut letters = self.rest().chars();
        let letter = letters.next()?;
        let share = TOLERANCE_LETTERS
            .iter()
            .find(|(known, _)| *known == letter)?
            .1;
        if letters.next().is_some_and(char::is_alphanumeric) {
            return None;
        }
        self.at += letter.len_utf8();
        Some(share)
    }

    /// The unit at this place; `None` when no letters stand here.
    fn unit(&mut self) -> Result<Option<Scaled>, QuantityError> {
        let start = self.at;
        self.skip();
        let at = self.at;
        let rest = self.rest();
        let mut end = 0;
        for letter in rest.chars() {
            let square =
                letter == '2' && matches!(&rest[..end], "m" | "cm" | "mm" | "m^" | "cm^" | "mm^");
            if !(letter.is_alphabetic() || "°%²/℃℧\u{b5}^".contains(letter) || square) {
                break;
            }
            end += letter.len_utf8();
        }
        // `+10/−15 %`: a stroke before a figure belongs to the pair, not to a unit
        let letters = rest[..end].trim_end_matches('/');
        if letters.is_empty() || letters == "to" {
            self.at = start;
            return Ok(None);
        }
        self.at += letters.len();
        match symbols::read(letters) {
            Some(scaled) => Ok(Some(scaled)),
            None => Err(wrong(
                at,
                format!("unknown unit `{letters}`"),
                symbols::remedy(letters),
            )),
        }
    }

    /// Unit and power of ten of written figures, by IEC 60062 where the decimal sign is a letter.
    fn unit_of(&self, written: &Written) -> Result<(Unit, i32), QuantityError> {
        let Some(code) = written.figures.code else {
            return Ok(written
                .scaled
                .map_or((Unit::One, 0), |s| (s.unit, s.exponent)));
        };
        let shown = self.text[written.at..written.figures.end].trim();
        let power = match code {
            'R' => 0,
            'K' => 3,
            other => symbols::prefix(other).unwrap_or(0),
        };
        match (written.scaled, code) {
            (Some(s), 'R') if s.unit != Unit::Ohm => Err(wrong(
                written.at,
                format!("`{shown}` is a resistance code"),
                "write the number with a decimal point",
            )),
            (Some(s), _) if s.exponent != 0 => Err(wrong(
                written.at,
                format!("`{shown}` has a prefix of its own"),
                "write the unit behind it without a prefix",
            )),
            (Some(s), _) => Ok((s.unit, power)),
            (None, 'R' | 'k' | 'K' | 'M' | 'G') => Ok((Unit::Ohm, power)),
            (None, _) => match self.want {
                Some(unit @ (Unit::Farad | Unit::Henry)) => Ok((unit, power)),
                _ => Err(wrong(
                    written.at,
                    format!("`{shown}` has no unit"),
                    format!("write `{shown} F` for a capacitor, `{shown} H` for a choke"),
                )),
            },
        }
    }

    fn left_over(&self) -> QuantityError {
        let rest = self.rest().trim();
        let shown: String = rest.chars().take(24).collect();
        let word = rest.split_whitespace().next().unwrap_or("");
        if ["AC", "DC", "RMS", "MAX", "MIN.", "MAX."].contains(&word.to_uppercase().as_str()) {
            return wrong(
                self.at,
                format!("`{shown}` is no part of a value"),
                format!("leave out `{word}`"),
            );
        }
        wrong(
            self.at,
            format!("`{shown}` stands behind the value"),
            "write one value, like `23.8 V`, `23.7 to 23.9 V` or `400 V ±20 %`",
        )
    }
}

fn value_reach(figures: &Figures, power: i32) -> Reach {
    let (low, high) = figures.ends(power);
    if figures.illegible() {
        Reach::Illegible { low, high }
    } else {
        Reach::Value {
            value: low,
            step: figures.step(power),
        }
    }
}
