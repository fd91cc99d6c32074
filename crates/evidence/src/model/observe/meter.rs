//! What a meter on the range a reading was taken on is worth.

use crate::DisplayRange;
use gear::{Instrument, Range, Reading};
use quantity::{Accuracy, Quantity};

/// Accuracy of a meter of which nothing is said: a plain handheld of the 2 % kind.
const UNKNOWN_METER: Accuracy = Accuracy {
    fraction: 0.02,
    digits: 5.0,
    full_scale: 0.0,
};
/// Where the full scale of a dial is not written, the needle is taken to have stood at two thirds of it, as it should (common practice).
const FULL_SCALE_OVER_READING: f64 = 1.5;

/// What a meter on one range is worth.
pub(super) struct Worth {
    pub(super) accuracy: Accuracy,
    /// Worth of one step.
    pub(super) step: f64,
    /// Its number among the ranges that measure this, rising.
    pub(super) range: usize,
    /// Its highest full scale, where written.
    pub(super) highest: Option<f64>,
    /// Its ranges as displays, where scales and counts are written.
    pub(super) ranges: Vec<DisplayRange>,
    pub(super) burden: Option<f64>,
    pub(super) four_wire: bool,
    pub(super) clamp: bool,
    /// Of a share of the full scale: the standard uncertainty of each reading, and once more of what they share (half the variance each:
    /// our choice, a scale is off by its zero, and by its drawing from place to place). 0 for a display.
    pub(super) scale_scatter: f64,
}

impl Worth {
    /// Standard uncertainty of the digits: not below what resolution alone leaves, half a step as a rectangle (JCGM 100:2008, F.2.2.1).
    pub(super) fn digits(&self) -> f64 {
        digits(self.accuracy, self.step)
    }
}

fn digits(accuracy: Accuracy, step: f64) -> f64 {
    accuracy.digits.max(0.5) * step / 3f64.sqrt()
}

/// Of a limit that is a share of the full scale: the part that scatters, and as much that is shared.
fn scale_scatter(accuracy: Accuracy, full_scale: f64) -> f64 {
    accuracy.full_scale * full_scale / 3f64.sqrt() / 2f64.sqrt()
}

/// One full scale of the meter.
struct Scale {
    full_scale: f64,
    step: Option<f64>,
    function: Range,
}

/// The function and range a reading was taken on. A range whose step is the step shown is the one; else the smallest that holds it.
pub(super) fn worth(instrument: Option<&Instrument>, reading: &Reading) -> Worth {
    let functions = instrument.map_or_else(Vec::new, |i| i.measuring(reading.measured));
    let shown = reading.shown.as_ref();
    let step_shown = shown.and_then(Quantity::step);
    let value = shown.and_then(Quantity::value).map(f64::abs);
    let scales = scales(&functions);
    let holds = |scale: &Scale| value.is_none_or(|v| v <= scale.full_scale * 1.001);
    let same = |scale: &Scale| {
        step_shown
            .zip(scale.step)
            .is_some_and(|(shown, step)| (shown / step - 1.0).abs() < 0.01)
    };
    let range = scales
        .iter()
        .position(|s| holds(s) && same(s))
        .or_else(|| scales.iter().position(holds))
        .unwrap_or(scales.len().saturating_sub(1));
    let on = scales.get(range);
    let function = on.map(|s| &s.function).or(functions.first());
    let accuracy = function.and_then(|f| f.accuracy).unwrap_or(UNKNOWN_METER);
    let least = on.and_then(|s| s.step).unwrap_or(0.0);
    let needle = function.is_some_and(|f| f.divisions.is_some());
    let full_scale = on.map_or(value.unwrap_or(0.0) * FULL_SCALE_OVER_READING, |s| {
        s.full_scale
    });
    Worth {
        accuracy,
        // Digits written down say what a display showed; no eye reads a needle more finely than a fifth of a division.
        step: match step_shown {
            Some(step) if needle => step.max(least),
            Some(step) => step,
            None => least,
        },
        range,
        highest: scales.last().map(|s| s.full_scale),
        ranges: displays(&scales),
        burden: function.and_then(burden_of),
        four_wire: function.is_some_and(|f| f.four_wire),
        clamp: function.is_some_and(|f| f.clamp),
        scale_scatter: scale_scatter(accuracy, full_scale),
    }
}

/// All full scales of these functions, rising.
fn scales(functions: &[Range]) -> Vec<Scale> {
    let mut scales: Vec<Scale> = functions
        .iter()
        .flat_map(|function| {
            function.scales().into_iter().map(|full_scale| Scale {
                full_scale,
                step: function.step(full_scale),
                function: function.clone(),
            })
        })
        .collect();
    scales.sort_by(|a, b| a.full_scale.total_cmp(&b.full_scale));
    scales
}

/// The ranges as displays; none where counts or divisions are not written for all.
fn displays(scales: &[Scale]) -> Vec<DisplayRange> {
    let display = |scale: &Scale| {
        let step = scale.step?;
        let accuracy = scale.function.accuracy.unwrap_or(UNKNOWN_METER);
        Some(DisplayRange {
            full_scale: scale.full_scale,
            step,
            digits: digits(accuracy, step).hypot(scale_scatter(accuracy, scale.full_scale)),
        })
    };
    let displays: Option<Vec<DisplayRange>> = scales.iter().map(display).collect();
    displays.unwrap_or_default()
}

fn burden_of(function: &Range) -> Option<f64> {
    let ohms = function.burden.as_ref().and_then(Quantity::value);
    ohms.filter(|b| *b > 0.0 && !function.clamp)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// CHECKS M4: resolution alone is a rectangle of one step, u = q/√12 (JCGM 100:2008, F.2.2.1). Exact.
    #[test]
    fn val_resolution_alone() {
        let exact = Accuracy::parse("±0 %").unwrap();
        assert!((digits(exact, 0.1) - 0.1 / 12f64.sqrt()).abs() < 1e-15);
        assert!((digits(exact, 1.0) - 0.2887).abs() < 5e-5);
    }
}
