//! Densities of what a slip shows: how likely just these digits are, had it happened.

use super::{Expected, Shows};
use crate::fitting::{FLOATING_DENSITY, LEAKAGE_OHMS};
use crate::tails::log_normal_cdf;
use crate::{DisplayRange, Observation, Shown};
use network::Question;

/// Densities of what was shown.
pub(super) struct Density<'a> {
    observation: &'a Observation,
    shown: Shown,
    /// Standard uncertainty at the value shown.
    sigma: f64,
    gain: f64,
    /// Scatter as a share of the value.
    scatter: f64,
}

impl<'a> Density<'a> {
    pub(super) fn new(observation: &'a Observation, sigma: f64, gain: f64) -> Self {
        let (Shown::Value { value, .. }
        | Shown::AtLeast { limit: value, .. }
        | Shown::AtMost { limit: value, .. }) = observation.shown;
        let digits = range(observation, value).map_or(sigma, |range| range.digits);
        let scatter = if value == 0.0 {
            0.0
        } else {
            (sigma.powi(2) - digits.powi(2)).max(0.0).sqrt() / value.abs()
        };
        Self {
            observation,
            shown: observation.shown,
            sigma,
            gain,
            scatter,
        }
    }

    /// Variance of what the instrument shows of `value`: digits of its range, scatter, gain. Without ranges, `factor` times it is
    /// as fine as what was shown.
    fn display(&self, value: f64, factor: f64) -> f64 {
        let gain = (self.gain * value).powi(2);
        match range(self.observation, value) {
            Some(range) => range.digits.powi(2) + (self.scatter * value).powi(2) + gain,
            None => (self.sigma / factor).powi(2) + gain,
        }
    }

    pub(super) fn of(&self, shows: Shows, expected: Expected) -> f64 {
        match expected {
            Expected::Value { value, variance } => self.about(shows, value, variance),
            Expected::Floating => self.shown_value().map_or(0.5, |_| FLOATING_DENSITY),
            Expected::Open => match (self.shown, shows) {
                (Shown::AtLeast { .. }, _) => 1.0,
                // No path: only a misreading that comes from nowhere can have made a number, or a beep, of it.
                (Shown::Value { value, .. }, Shows::Anything(_)) => {
                    0.05 / value.abs().max(self.sigma)
                }
                (Shown::AtMost { .. }, Shows::Anything(_)) => 0.5,
                (Shown::Value { value, .. }, _) if value.abs() >= LEAKAGE_OHMS => 0.1 / value.abs(),
                _ => 0.0,
            },
        }
    }

    fn shown_value(&self) -> Option<f64> {
        match self.shown {
            Shown::Value { value, .. } => Some(value),
            Shown::AtLeast { .. } | Shown::AtMost { .. } => None,
        }
    }

    fn about(&self, shows: Shows, m: f64, variance: f64) -> f64 {
        let (mean, spread) = match shows {
            // A decade's slip is made reading the display, so the true reading's blur goes with it; √3 is another voltage, shown anew.
            // Ten times nothing is nothing: a plain zero is as likely slipped as not.
            Shows::Decade(_) if self.shown_value() == Some(0.0) => {
                (m, self.display(m, 1.0) + variance)
            }
            Shows::Decade(factor) => (
                factor * m,
                factor.powi(2) * (self.display(m, factor) + variance),
            ),
            Shows::Factor(factor) => (
                factor * m,
                self.display(factor * m, 1.0) + factor.powi(2) * variance,
            ),
            Shows::More(more, spread) => {
                (m + more, self.display(m, 1.0) + variance + spread.powi(2))
            }
            Shows::NextToNothing(share) => (
                share * m,
                (share * m).powi(2) + self.display(share * m, 1.0),
            ),
            Shows::Steps(steps) => {
                let step =
                    range(self.observation, m).map_or(self.observation.step, |range| range.step);
                (m, self.display(m, 1.0) + variance + (steps * step).powi(2))
            }
            Shows::Share(share, give) => (
                share * m,
                self.display(share * m, 1.0) + share.powi(2) * variance + (give * m).powi(2),
            ),
            Shows::OtherPlace => return 0.0,
            Shows::Anything(width) => return self.anything(m, variance, width),
            Shows::Ghost => return self.ghost(),
            Shows::Unsettled(width) => return self.unsettled(m, variance, width),
        };
        let spread = spread.sqrt();
        match self.shown {
            Shown::Value { value, .. } => normal_density(value, mean, spread),
            Shown::AtLeast { limit, .. } => log_normal_cdf((mean - limit) / spread).0.exp(),
            Shown::AtMost { limit, .. } => log_normal_cdf((limit - mean) / spread).0.exp(),
        }
    }

    /// What a lead in the air picks up: any volts up to the reach of the density.
    fn ghost(&self) -> f64 {
        match self.shown {
            Shown::Value { value, .. } if value.abs() * FLOATING_DENSITY > 1.0 => 0.0,
            Shown::Value { .. } => FLOATING_DENSITY,
            Shown::AtLeast { .. } | Shown::AtMost { .. } => 0.5,
        }
    }

    /// `ln y = ln m ± |N(0, width²)| + N(0, blur²)`: a half-normal and a normal together are a skew normal (A. Azzalini, "A class of
    /// distributions which includes the normal ones", Scandinavian Journal of Statistics 12, 1985).
    fn unsettled(&self, m: f64, variance: f64, width: f64) -> f64 {
        let (Some(value), true) = (self.shown_value(), m > 0.0) else {
            return 0.5;
        };
        if value <= 0.0 {
            return 0.0;
        }
        let blur = (self.display(m, 1.0) + variance).sqrt() / m;
        let spread = width.hypot(blur);
        let sign = match self.observation.question {
            Question::Current { .. } => -1.0,
            _ => 1.0,
        };
        let off = sign * (value / m).ln() / spread;
        let towards = log_normal_cdf(off * width / blur.max(f64::MIN_POSITIVE))
            .0
            .exp();
        2.0 * normal_density(off, 0.0, 1.0) / spread * towards / value
    }

    fn anything(&self, m: f64, variance: f64, width: f64) -> f64 {
        let Some(value) = self.shown_value() else {
            return 0.5;
        };
        // Nothing finer than half a step, or than a thousandth of the display's blur, can be told of a value near zero.
        let floor = (0.5 * self.observation.step)
            .max(1e-3 * self.sigma)
            .max(f64::MIN_POSITIVE);
        let (value, size) = (value.abs().max(floor), m.abs().max(floor));
        let spread = width.powi(2)
            + (self.display(m, 1.0) / size.powi(2)).min(1.0)
            + (variance / size.powi(2)).min(4.0);
        normal_density(value.ln(), size.ln(), spread.sqrt()) / value
    }
}

/// The range a value is shown on: the smallest that holds it, above the last the last.
fn range(observation: &Observation, value: f64) -> Option<&DisplayRange> {
    let ranges = &observation.ranges;
    ranges
        .iter()
        .find(|range| value.abs() <= range.full_scale)
        .or(ranges.last())
}

fn normal_density(at: f64, mean: f64, spread: f64) -> f64 {
    let off = (at - mean) / spread;
    (-0.5 * off * off).exp() / (spread * (2.0 * std::f64::consts::PI).sqrt())
}

/// Standard uncertainty of digits and scatter had the instrument shown `value` instead of what it showed, whose is `sigma`.
pub(crate) fn display_sigma(observation: &Observation, sigma: f64, value: f64) -> f64 {
    Density::new(observation, sigma, 0.0)
        .display(value, 1.0)
        .sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::SlipKind;
    use network::circuit::Node;

    fn ohms(value: f64) -> Observation {
        Observation {
            number: 1,
            station: 0,
            question: Question::Resistance {
                a: Node(0),
                b: Node(1),
            },
            shown: Shown::Value { value, sigma: 0.01 },
            gain: None,
            shared_gain: None,
            offset: None,
            drift: None,
            slips: vec![SlipKind::NotSettled],
            other_places: vec![],
            step: 0.01,
            ranges: vec![],
            kept: false,
        }
    }

    /// The density of what was not settled is one: its integral is 1, and it lies above the settled value.
    #[test]
    fn what_is_not_settled_reads_high() {
        let (m, step) = (1.5, 1e-3);
        let density = |value: f64| {
            let observation = ohms(value);
            Density::new(&observation, 0.01, 0.0).unsettled(m, 1e-4, 0.5)
        };
        let (mut all, mut above) = (0.0, 0.0);
        for k in 1..40_000 {
            let value = f64::from(k) * step;
            all += step * density(value);
            above += if value > m {
                step * density(value)
            } else {
                0.0
            };
        }
        assert!((all - 1.0).abs() < 1e-3, "{all}");
        assert!(above > 0.98, "{above}");
    }
}
