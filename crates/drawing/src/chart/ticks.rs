//! Ticks of an axis: steps of 1, 2 or 5 times a power of ten, and their figures.
//!
//! Apart from the chart because an axis asks only for a span and gives back positions and texts.

/// An axis: the span it covers and its ticks, low to high.
#[derive(Debug, Clone, PartialEq)]
pub struct Ticks {
    /// Low end; a tick stands on it.
    pub low: f64,
    /// High end; a tick stands on it.
    pub high: f64,
    /// The ticks.
    pub at: Vec<f64>,
    /// Their figures, all with the same decimals, minus as U+2212.
    pub figures: Vec<String>,
}

/// A span that starts below this share of its high end starts at nought: a length that is nearly whole should be seen whole.
const NEARLY_FROM_NOUGHT: f64 = 0.5;

/// Beyond these the figures would need powers of ten; whoever makes the chart picks a prefix instead.
const MOST_DECIMALS: i32 = 9;

/// Ticks for values from `low` to `high`, at least 2 and at most `at_most` (no less than 2) steps plus one.
///
/// What is not finite, or a span of no width, gives an axis of one unit around what is known.
pub fn ticks(low: f64, high: f64, at_most: usize) -> Ticks {
    let (mut low, mut high) = sane(low, high);
    if low > 0.0 && low < NEARLY_FROM_NOUGHT * high {
        low = 0.0;
    }
    if high < 0.0 && high > NEARLY_FROM_NOUGHT * low {
        high = 0.0;
    }
    let mut step = step_at_least((high - low) / at_most.max(2) as f64);
    loop {
        let first = (low / step + 1e-9).floor();
        let last = (high / step - 1e-9).ceil();
        if last - first <= at_most.max(2) as f64 {
            return written(first, last.max(first + 1.0), step);
        }
        step = step_at_least(step * 1.01);
    }
}

fn sane(low: f64, high: f64) -> (f64, f64) {
    let known = [low, high].into_iter().find(|v| v.is_finite());
    let (low, high) = if low.is_finite() && high.is_finite() {
        (low.min(high), low.max(high))
    } else {
        let value = known.unwrap_or(0.0);
        (value, value)
    };
    let least_width = low.abs().max(high.abs()) * 1e-6;
    if high - low > least_width {
        (low, high)
    } else if high > 0.0 {
        (0.0, high)
    } else if low < 0.0 {
        (low, 0.0)
    } else {
        (0.0, 1.0)
    }
}

/// The least of 1, 2, 5 times a power of ten that is at least `width`.
fn step_at_least(width: f64) -> f64 {
    let power = 10f64.powf(width.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|step| *step >= width * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

fn written(first: f64, last: f64, step: f64) -> Ticks {
    let decimals = (-(step * (1.0 + 1e-9)).log10().floor() as i32).clamp(0, MOST_DECIMALS) as usize;
    let count = (last - first).round() as usize;
    let at: Vec<f64> = (0..=count).map(|k| (first + k as f64) * step).collect();
    let figures = at
        .iter()
        .map(|value| {
            let text = format!("{:.decimals$}", value.abs());
            if *value < 0.0 {
                format!("\u{2212}{text}")
            } else {
                text
            }
        })
        .collect();
    Ticks {
        low: first * step,
        high: last * step,
        at,
        figures,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn usual_spans() {
        assert_eq!(ticks(0.0, 27.3, 4).figures, ["0", "10", "20", "30"]);
        assert_eq!(
            ticks(184.0, 276.0, 5).figures,
            ["180", "200", "220", "240", "260", "280"]
        );
        assert_eq!(
            ticks(-0.31, 0.12, 3).figures,
            ["\u{2212}0.4", "\u{2212}0.2", "0.0", "0.2"]
        );
        assert_eq!(
            ticks(0.02, 0.04, 4).figures,
            ["0.020", "0.025", "0.030", "0.035", "0.040"]
        );
    }

    #[test]
    fn limit_nothing_known_still_gives_an_axis() {
        assert_eq!(ticks(f64::NAN, f64::NAN, 4).high, 1.0);
        assert_eq!(ticks(0.0, 0.0, 4).low, 0.0);
        let one = ticks(230.0, 230.0, 4);
        assert!(one.low <= 230.0 && one.high >= 230.0);
    }

    proptest! {
        #[test]
        fn steps_are_one_two_or_five_and_hold_the_span(
            low in -1e6f64..1e6, width in 1e-3f64..1e6, at_most in 2usize..8
        ) {
            let axis = ticks(low, low + width, at_most);
            let step = (axis.high - axis.low) / (axis.at.len() - 1) as f64;
            let mantissa = step / 10f64.powf((step * (1.0 + 1e-7)).log10().floor());
            prop_assert!([1.0, 2.0, 5.0].iter().any(|m| (mantissa - m).abs() < 1e-6), "step {step}");
            prop_assert!(axis.at.len() >= 2 && axis.at.len() <= at_most + 1, "{} ticks", axis.at.len());
            let slack = 1e-6 * step;
            prop_assert!(axis.low <= low + slack && axis.high >= low + width - slack);
            prop_assert_eq!(axis.at.len(), axis.figures.len());
            let mut figures = axis.figures.clone();
            figures.dedup();
            prop_assert_eq!(figures.len(), axis.figures.len(), "two ticks with one figure");
        }
    }
}
