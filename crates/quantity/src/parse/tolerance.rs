//! Tolerances: behind a value, between a value and its unit, or alone.

use super::{Read, Reader, Written, value_reach, wrong};
use crate::number;
use crate::{QuantityError, Reach, Tolerance, Unit};

impl Reader<'_> {
    /// `±20 %` alone is the size 0.20; `+10 % −15 %` alone is the span −0.15 to +0.10.
    pub(super) fn bare_tolerance(&mut self) -> Result<Option<Read>, QuantityError> {
        let start = self.at;
        if self.take("±") || self.take("+/-") || self.take("+-") {
            self.skip();
            let written = self.written()?;
            let (unit, power) = self.unit_of(&written)?;
            return Ok(Some((unit, value_reach(&written.figures, power), None)));
        }
        if !self.rest().starts_with('+') {
            return Ok(None);
        }
        let first = self.written()?;
        self.skip();
        self.take("/");
        self.skip();
        if !self.rest().starts_with(['-', '−', '–'])
            || self.rest().chars().nth(1).is_none_or(|c| c.is_alphabetic())
        {
            self.at = start;
            return Ok(None);
        }
        let second = self.downward()?;
        let (plus, minus) = self.pair(&first, &second)?;
        Ok(Some((
            plus.0,
            Reach::Span {
                low: -minus.1,
                high: plus.1,
                step: plus.2.max(minus.2),
            },
            None,
        )))
    }

    /// `100 ±5 Ω`, `230 ± 10 % V`: the unit stands behind the tolerance.
    pub(super) fn tolerance_before_unit(
        &mut self,
        first: &Written,
    ) -> Result<Option<Read>, QuantityError> {
        if first.scaled.is_some()
            || first.figures.code.is_some()
            || !(self.take("±") || self.take("+/-"))
        {
            return Ok(None);
        }
        self.skip();
        let second = self.written()?;
        self.skip();
        let (figure, power) = self.unit_of(&second)?;
        if figure == Unit::Percent && !self.rest().is_empty() {
            let size = second.figures.ends(power).1;
            let at = self.at;
            let scaled = self
                .unit()?
                .ok_or_else(|| wrong(at, "a unit is missing", "write it like `230 V ±10 %`"))?;
            let reach = value_reach(&first.figures, scaled.exponent);
            return Ok(Some((
                scaled.unit,
                reach,
                Some(Tolerance::Relative {
                    plus: size,
                    minus: size,
                }),
            )));
        }
        let size = second.figures.ends(power).1;
        Ok(Some((
            figure,
            value_reach(&first.figures, power),
            Some(Tolerance::Absolute {
                plus: size,
                minus: size,
            }),
        )))
    }

    /// The tolerance behind a value in `unit`, if one stands there.
    pub(super) fn tolerance(&mut self, unit: Unit) -> Result<Option<Tolerance>, QuantityError> {
        self.skip();
        if self.take("±") || self.take("+/-") {
            self.skip();
            let at = self.at;
            let written = self.written()?;
            if written.scaled.is_none() && unit != Unit::One {
                return Err(wrong(
                    at,
                    "the tolerance has no unit",
                    format!("write `±5 %` or `±5 {}`", unit.symbol()),
                ));
            }
            let (found, power) = self.unit_of(&written)?;
            let size = written.figures.ends(power).1;
            return tolerance_of(unit, (found, size), (found, size), at).map(Some);
        }
        if self.rest().starts_with(['+', '-', '−', '–'])
            && number::starts(
                self.text,
                self.at + usize::from(self.rest().starts_with('–')) * 3,
            )
        {
            return self.one_sided(unit).map(Some);
        }
        Ok(None)
    }

    /// `+10 % −15 %`, `+10/−15 %`, `−15 %`, `+10 %`.
    fn one_sided(&mut self, unit: Unit) -> Result<Tolerance, QuantityError> {
        let at = self.at;
        if !self.rest().starts_with('+') {
            let minus = self.downward()?;
            let (found, power) = self.unit_of(&minus)?;
            return tolerance_of(
                unit,
                (found, 0.0),
                (
                    found,
                    minus
                        .figures
                        .ends(power)
                        .1
                        .abs()
                        .max(minus.figures.ends(power).0.abs()),
                ),
                at,
            );
        }
        let plus = self.written()?;
        self.skip();
        self.take("/");
        self.skip();
        if !self.rest().starts_with(['-', '−', '–']) {
            let (found, power) = self.unit_of(&plus)?;
            return tolerance_of(unit, (found, plus.figures.ends(power).1), (found, 0.0), at);
        }
        let minus = self.downward()?;
        let (up, down) = self.pair(&plus, &minus)?;
        tolerance_of(unit, (up.0, up.1), (down.0, down.1), at)
    }

    /// A number behind a minus sign, the sign taken off.
    fn downward(&mut self) -> Result<Written, QuantityError> {
        for sign in ["-", "−", "–"] {
            if self.take(sign) {
                break;
            }
        }
        self.skip();
        self.written()
    }
}

/// Shares of the value when the tolerance is in per cent (and the value is not), else in the value's own unit.
fn tolerance_of(
    unit: Unit,
    plus: (Unit, f64),
    minus: (Unit, f64),
    at: usize,
) -> Result<Tolerance, QuantityError> {
    if plus.1 < 0.0 || minus.1 < 0.0 {
        return Err(wrong(
            at,
            "a tolerance below zero",
            "write it like `±15 %` or `+10 % −15 %`",
        ));
    }
    match plus.0 {
        Unit::Percent if unit != Unit::Percent => Ok(Tolerance::Relative {
            plus: plus.1,
            minus: minus.1,
        }),
        found if found == unit => Ok(Tolerance::Absolute {
            plus: plus.1,
            minus: minus.1,
        }),
        found => Err(wrong(
            at,
            format!(
                "the tolerance is {}, the value {}",
                found.measures(),
                unit.measures()
            ),
            "write it in per cent or in the unit of the value",
        )),
    }
}
