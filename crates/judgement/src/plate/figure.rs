//! A figure of a plate with both ends of what its writing allows, carried through sums.

use quantity::{Quantity, Reach, Unit, prefix_for, significant};

/// Digits a deduction is shown with: one more than most plates carry.
const DIGITS: u32 = 3;

/// A positive figure: least, middle and greatest value, and how it is called in a sentence.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Figure {
    pub(super) low: f64,
    pub(super) mid: f64,
    pub(super) high: f64,
    /// The ends are what matters: an illegible digit or a span, not mere rounding.
    pub(super) open: bool,
    /// As typed, or as reckoned.
    pub(super) text: String,
    pub(super) unit: Unit,
}

impl Figure {
    /// A figure as the plate has it, half a unit of the last digit either way. Bounds and figures not above zero give none.
    pub(super) fn of(quantity: &Quantity) -> Option<Self> {
        let (low, mid, high, open) = match quantity.reach() {
            Reach::Value { value, step } => (value - step / 2.0, value, value + step / 2.0, false),
            Reach::Span { low, high, .. } | Reach::Illegible { low, high } => {
                (low, (low + high) / 2.0, high, true)
            }
            Reach::AtLeast(_) | Reach::AtMost(_) | Reach::OverRange => return None,
        };
        let figure = Self::between(low, mid, high, open, quantity.unit());
        (mid > 0.0 && high > 0.0).then(|| Self {
            text: quantity.text().trim().to_owned(),
            ..figure
        })
    }

    /// A figure known exactly.
    pub(super) fn exact(value: f64, unit: Unit) -> Self {
        Self::between(value, value, value, false, unit)
    }

    /// A figure from its ends.
    pub(super) fn between(low: f64, mid: f64, high: f64, open: bool, unit: Unit) -> Self {
        let mut figure = Self {
            low: low.max(0.0),
            mid,
            high,
            open,
            text: String::new(),
            unit,
        };
        figure.text = figure.words();
        figure
    }

    /// The product, in a unit.
    pub(super) fn times(&self, other: &Self, unit: Unit) -> Self {
        Self::between(
            self.low * other.low,
            self.mid * other.mid,
            self.high * other.high,
            self.open || other.open,
            unit,
        )
    }

    /// The quotient, in a unit; nothing where the divisor may be zero.
    pub(super) fn over(&self, other: &Self, unit: Unit) -> Option<Self> {
        (other.low > 0.0).then(|| {
            Self::between(
                self.low / other.high,
                self.mid / other.mid,
                self.high / other.low,
                self.open || other.open,
                unit,
            )
        })
    }

    /// The difference, whichever way round is positive in the middle.
    pub(super) fn apart(&self, other: &Self) -> Self {
        let (more, less) = if self.mid >= other.mid {
            (self, other)
        } else {
            (other, self)
        };
        Self::between(
            more.low - less.high,
            more.mid - less.mid,
            more.high - less.low,
            self.open || other.open,
            self.unit,
        )
    }

    /// The same figure times an exact factor.
    pub(super) fn scaled(&self, factor: f64) -> Self {
        Self::between(
            self.low * factor,
            self.mid * factor,
            self.high * factor,
            self.open,
            self.unit,
        )
    }

    /// As it was, or as it came out: `43.3`, `40 to 49`, with its prefixed unit.
    pub(super) fn shown(&self) -> (String, String) {
        let (prefix, factor) = prefix_for(if self.open { self.high } else { self.mid }, self.unit);
        let unit = format!("{prefix}{}", self.unit.symbol());
        let figures = if self.open {
            format!(
                "{} to {}",
                plain(self.low / factor),
                plain(self.high / factor)
            )
        } else {
            plain(self.mid / factor)
        };
        (figures, unit)
    }

    /// The figure with its unit, for a sentence: `43.3 A`.
    pub(super) fn words(&self) -> String {
        let (figures, unit) = self.shown();
        if unit.is_empty() {
            figures
        } else {
            format!("{figures}\u{a0}{unit}")
        }
    }

    /// Half of what the writing leaves open, as a share of the middle.
    pub(super) fn share(&self) -> f64 {
        (self.high - self.low) / 2.0 / self.mid
    }
}

/// Three significant digits without noughts behind the point that say nothing: 80, 43.3, 2.5.
pub(super) fn plain(value: f64) -> String {
    let text = significant(value, DIGITS);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// A share as per cent in a sentence: `39 %`, `0.5 %`.
pub(super) fn percent(share: f64) -> String {
    let digits = if share.abs() < 0.01 { 1 } else { 2 };
    format!("{}\u{a0}%", significant(share * 100.0, digits))
}
