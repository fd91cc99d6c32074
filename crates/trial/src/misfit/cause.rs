//! How the world departs from the drawing, cause by cause, and what that makes of one find's truth.

use super::supposed::{Supposed, minutes};
use crate::chance::Chance;
use crate::instruments::INSTRUMENTS;
use crate::readings::READINGS;
use crate::world::{TRAVEL, p};
use evidence::Parameter;
use evidence::model::usual;

/// Volts of the mains wander within 1 %, by 0.25 % a root-minute at first: the standard deviation, and minutes of memory.
const WANDER: f64 = 0.01;
const WANDER_MINUTES: f64 = 32.0;
/// A third harmonic of 3 % moves an average-responding voltmeter by a third of it, either way.
const WAVE: f64 = 0.01;
/// Current and watts of both cores go as these powers of the volts.
const CURRENT_EXPONENT: f64 = 0.8;
const WATTS_EXPONENT: f64 = 1.8;
/// Copper 15 K warmer than said.
const WARMER: f64 = 1.059;
/// 2000 Ω stand where nothing is drawn.
const UNDRAWN: f64 = 1.0 / 2000.0;
/// The slider in setup 3 stands this far from where it was left.
const SLIDER: f64 = 0.01;
/// Nothing undrawn, in siemens.
const NOTHING: f64 = 1e-12;

/// How the supply moves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Drift<'a> {
    /// It does not.
    Still,
    /// A wander within 1 %.
    Wander,
    /// A record of volts, one a minute, each setup from a start of its own.
    Record(&'a [f64]),
    /// As the judgement supposes mains to move.
    Supposed,
}

/// Which causes are at work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Causes<'a> {
    /// Supply.
    pub drift: Drift<'a>,
    /// A bent wave on an average-responding voltmeter.
    pub harmonics: bool,
    /// Iron off the straight line.
    pub excitation: bool,
    /// Warm copper.
    pub temperature: bool,
    /// A load nobody drew.
    pub undrawn: bool,
    /// A slider not where it was left.
    pub slider: bool,
    /// Meters to twice their bound.
    pub meters: bool,
    /// All that is beyond the drawing drawn from what the judgement supposes of it, in place of the figures above.
    pub supposed: bool,
}

/// Names of the causes on the command line and in the table.
pub const NAMES: [&str; 10] = [
    "as-supposed",
    "none",
    "drift",
    "harmonics",
    "excitation",
    "temperature",
    "undrawn-load",
    "slider",
    "meters",
    "all",
];

impl Causes<'_> {
    /// The world as the drawing has it.
    pub const NONE: Self = Self {
        drift: Drift::Still,
        harmonics: false,
        excitation: false,
        temperature: false,
        undrawn: false,
        slider: false,
        meters: false,
        supposed: false,
    };

    /// The causes of a name; none for a name that is none.
    pub fn named(name: &str) -> Option<Self> {
        let none = Self::NONE;
        Some(match name {
            "none" => none,
            "as-supposed" => Self {
                drift: Drift::Supposed,
                supposed: true,
                ..none
            },
            "drift" => Self {
                drift: Drift::Wander,
                ..none
            },
            "harmonics" => Self {
                harmonics: true,
                ..none
            },
            "excitation" => Self {
                excitation: true,
                ..none
            },
            "temperature" => Self {
                temperature: true,
                ..none
            },
            "undrawn-load" => Self {
                undrawn: true,
                ..none
            },
            "slider" => Self {
                slider: true,
                ..none
            },
            "meters" => Self {
                meters: true,
                ..none
            },
            "all" => Self {
                drift: Drift::Wander,
                harmonics: true,
                excitation: true,
                temperature: true,
                undrawn: true,
                slider: true,
                meters: true,
                supposed: false,
            },
            _ => return None,
        })
    }
}

/// The truth of one find.
#[derive(Debug)]
pub(super) struct Truth {
    /// z of the twenty, as scored: a supply is the mean over the readings of its setup.
    pub(super) z: Vec<f64>,
    /// True values of all parameters.
    pub(super) values: Vec<f64>,
    /// Of each reading: volts of its setup over the parameter's.
    pub(super) drift: Vec<f64>,
    /// What the voltmeter makes of the wave, a factor.
    pub(super) wave: f64,
    /// Gain bounds of each instrument are wider by this.
    pub(super) meters: [f64; INSTRUMENTS.len()],
}

impl Causes<'_> {
    /// Draws the truth of one find of so many readings.
    pub(super) fn draw(
        &self,
        chance: &mut Chance,
        parameters: &[Parameter],
        supposed: &Supposed,
        count: usize,
    ) -> Truth {
        let mut z: Vec<f64> = (0..p::COUNT).map(|_| chance.normal()).collect();
        let mut values: Vec<f64> = parameters.iter().map(|it| it.value(0.0)).collect();
        values.push(NOTHING);
        for (value, (parameter, &z)) in values.iter_mut().zip(parameters.iter().zip(&z)) {
            *value = parameter.value(z);
        }
        let beyond = &supposed.beyond;
        for (current, watts) in beyond.exponents {
            let bent = (CURRENT_EXPONENT, WATTS_EXPONENT);
            (values[current], values[watts]) = if self.excitation { bent } else { (1.0, 2.0) };
        }
        for (setup, &warmth) in beyond.warmth.iter().enumerate() {
            values[warmth] = if self.temperature && setup < 5 {
                WARMER
            } else {
                1.0
            };
        }
        let place = chance.below(2);
        for (number, siemens) in beyond.undrawn.into_iter().enumerate() {
            values[siemens] = if self.undrawn && number == place {
                UNDRAWN
            } else {
                NOTHING
            };
        }
        let moved = if self.slider {
            SLIDER * chance.normal()
        } else {
            0.0
        };
        if self.supposed {
            for beyond in p::COUNT..supposed.parameters.len() {
                values[beyond] = parameters[beyond].value(chance.normal());
            }
        }
        let moved = if self.supposed {
            values[beyond.slider]
        } else {
            moved
        };
        let left = values[p::SLIDER_B];
        values[beyond.slider] = (left + moved).clamp(TRAVEL.0.min(left), TRAVEL.1.max(left)) - left;
        let drift = self.drifts(chance, count);
        for setup in 1..=5 {
            let of_it: Vec<f64> = (0..count)
                .filter(|&reading| READINGS[reading].setup == setup)
                .map(|reading| drift[reading])
                .collect();
            if !of_it.is_empty() {
                let mean = of_it.iter().sum::<f64>() / of_it.len() as f64;
                let supply = p::VOLTS + setup - 1;
                z[supply] += mean.ln() / parameters[supply].width;
            }
        }
        let wave = if self.supposed {
            1.0 + values[supposed.wave]
        } else if !self.harmonics {
            1.0
        } else if chance.happens(0.5) {
            1.0 + WAVE
        } else {
            1.0 - WAVE
        };
        let meters = INSTRUMENTS.each_ref().map(|_| {
            let factor = chance.uniform(1.0, 2.0);
            match (self.supposed, self.meters) {
                (true, _) => usual::gain(3f64.sqrt()),
                (_, true) => factor,
                _ => 1.0,
            }
        });
        Truth {
            z,
            values,
            drift,
            wave,
            meters,
        }
    }

    /// Volts at each reading over its setup's parameter; setup 6 has none.
    fn drifts(&self, chance: &mut Chance, count: usize) -> Vec<f64> {
        let mut factors = vec![1.0; count];
        for setup in 1..=5 {
            let readings: Vec<usize> = minutes(setup, count);
            let series = match self.drift {
                Drift::Still => continue,
                Drift::Wander => wander(chance, readings.len()),
                Drift::Record(volts) => recorded(chance, volts, readings.len()),
                Drift::Supposed => supposed_series(chance, readings.len()),
            };
            for (reading, factor) in readings.into_iter().zip(series) {
                factors[reading] = factor;
            }
        }
        factors
    }
}

/// A wander from minute to minute.
fn wander(chance: &mut Chance, minutes: usize) -> Vec<f64> {
    let keep = (-1.0 / WANDER_MINUTES).exp();
    let mut off = WANDER * chance.normal();
    let mut series = vec![];
    for _ in 0..minutes {
        series.push(1.0 + off);
        off = off * keep + WANDER * (1.0 - keep * keep).sqrt() * chance.normal();
    }
    series
}

/// A draw from the covariance the judgement supposes, by its root.
fn supposed_series(chance: &mut Chance, minutes: usize) -> Vec<f64> {
    let at: Vec<f64> = (0..minutes).map(|minute| minute as f64).collect();
    let covariance = usual::mains(&at);
    let mut root = vec![vec![0.0; minutes]; minutes];
    let normal: Vec<f64> = at.iter().map(|_| chance.normal()).collect();
    for i in 0..minutes {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| root[i][k] * root[j][k]).sum();
            let left: f64 = covariance[i][j] - known;
            root[i][j] = if i == j {
                left.max(0.0).sqrt()
            } else {
                left / root[j][j]
            };
        }
    }
    let off = |row: &Vec<f64>| row.iter().zip(&normal).map(|(l, u)| l * u).sum::<f64>();
    root.iter().map(|row| off(row).exp()).collect()
}

/// A window of a record over its mean.
fn recorded(chance: &mut Chance, volts: &[f64], minutes: usize) -> Vec<f64> {
    if minutes == 0 || volts.len() < minutes {
        return vec![1.0; minutes];
    }
    let start = chance.below(volts.len() - minutes + 1);
    let window = &volts[start..start + minutes];
    let mean = window.iter().sum::<f64>() / minutes as f64;
    window.iter().map(|volts| volts / mean).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The wander keeps within 1 % and moves by 0.25 % in a minute, as it is said to.
    #[test]
    fn the_supply_wanders_as_said() {
        let mut chance = Chance::new(5);
        let (mut spread, mut moved, finds) = (0.0, 0.0, 4000);
        for _ in 0..finds {
            let series = wander(&mut chance, 8);
            spread += (series[7] - 1.0).powi(2) / f64::from(finds);
            moved += (series[7] - series[6]).powi(2) / f64::from(finds);
        }
        assert!((spread.sqrt() - 0.01).abs() < 0.0005, "{}", spread.sqrt());
        assert!((moved.sqrt() - 0.0025).abs() < 0.0001, "{}", moved.sqrt());
    }
}
