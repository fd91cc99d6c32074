//! How the supply moves between readings: distinct moments with the covariance of ln volts between them.
//!
//! Setup by setup, about the mean over its moments, which is what the setup's supply parameter stands for: a setup read at one moment
//! needs none. From the mains (or anything that follows it) as `usual::mains` says. From a regulated source 0.05 %, and where nobody
//! noted the time: scatter of each reading, which costs no unknown. Re-reading the source anchors it.

use super::usual;
use crate::{Observation, Shown};
use gear::{Find, Reading, Setup, Steadiness};

const REGULATED: f64 = 0.0005;

/// One moment of one kind of supply.
#[derive(Debug, Clone, PartialEq)]
struct At {
    /// Minutes; `None` where the reading has no time.
    minutes: Option<f64>,
    steadiness: Steadiness,
    setup: u32,
}

/// The distinct moments at which readings under power were taken.
#[derive(Debug, Clone, Default)]
pub(super) struct Moments {
    at: Vec<At>,
}

impl Moments {
    /// Index of a reading's moment; readings of one minute share it.
    pub(super) fn index(&mut self, find: &Find, setup: &Setup, reading: &Reading) -> usize {
        let source = setup
            .feeds
            .first()
            .and_then(|f| f.source.as_ref())
            .and_then(|n| find.kit.sources.iter().find(|s| s.name == *n));
        let minutes = reading
            .at
            .as_ref()
            .or(setup.at.as_ref())
            .filter(|m| !m.clock().is_empty())
            .map(gear::Moment::minutes);
        let at = At {
            // A time without a day counts within the day; a dated setup's clock does the same for its readings.
            minutes: minutes.map(|m| m.rem_euclid(1440.0)),
            steadiness: source.map(|s| s.steadiness).unwrap_or_default(),
            setup: setup.number,
        };
        // Undated readings of one setup are taken as one moment.
        if let Some(index) = self.at.iter().position(|a| *a == at) {
            return index;
        }
        self.at.push(at);
        self.at.len() - 1
    }

    /// Covariance of ln volts between the moments that are left when those nobody needs are taken out; observations follow.
    pub(super) fn settle(&self, observations: &mut [Observation]) -> Vec<Vec<f64>> {
        let mut place: Vec<Option<usize>> = vec![None; self.at.len()];
        let mut covariance: Vec<Vec<f64>> = vec![];
        let mut setups: Vec<u32> = self.at.iter().map(|at| at.setup).collect();
        setups.sort_unstable();
        setups.dedup();
        for setup in setups {
            let moving: Vec<(usize, f64)> = self
                .at
                .iter()
                .enumerate()
                .filter(|(_, at)| at.setup == setup && at.steadiness != Steadiness::Regulated)
                .filter_map(|(moment, at)| Some((moment, at.minutes?)))
                .collect();
            if moving.len() < 2 {
                continue;
            }
            let (moments, minutes): (Vec<usize>, Vec<f64>) = moving.into_iter().unzip();
            let from = covariance.len();
            covariance
                .iter_mut()
                .for_each(|row| row.resize(from + moments.len(), 0.0));
            for (row, moment) in usual::mains(&minutes).into_iter().zip(moments) {
                place[moment] = Some(covariance.len());
                covariance.push([vec![0.0; from], row].concat());
            }
        }
        let setup_of = |it: &Observation| Some(self.at[it.drift?.0].setup);
        let of_setups: Vec<u32> = observations.iter().filter_map(setup_of).collect();
        for observation in observations {
            if let Some((moment, power)) = observation.drift {
                let at = &self.at[moment];
                observation.drift = place[moment].map(|place| (place, power));
                // The supply of a reading that has a setup to itself is the supply at that reading.
                if of_setups.iter().filter(|it| **it == at.setup).count() > 1 {
                    scatter(observation, at.scatter() * power);
                }
            }
        }
        covariance
    }
}

impl At {
    /// What stands for the drift of readings at this moment beside their setup's mean, where no unknown does.
    fn scatter(&self) -> f64 {
        match (self.steadiness, self.minutes) {
            (Steadiness::Regulated, _) => REGULATED,
            (_, Some(_)) => 0.0,
            (_, None) => usual::UNDATED,
        }
    }
}

/// Widens a reading's standard uncertainty by a share of it.
fn scatter(observation: &mut Observation, share: f64) {
    if let Shown::Value { value, sigma } = &mut observation.shown {
        *sigma = sigma.hypot(share * *value);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(minutes: Option<f64>, setup: u32, steadiness: Steadiness) -> At {
        At {
            minutes,
            steadiness,
            setup,
        }
    }

    #[test]
    fn a_pair_a_quarter_of_an_hour_apart_moves_as_the_record_does() {
        // Record of 2007: differences of sd 0.48 % in 5 minutes, 0.66 % in 15 (within the tenth the model was fitted to).
        let sd = |m: f64| {
            let moments = [Some(0.0), Some(m)].map(|it| at(it, 1, Steadiness::Mains));
            let c = Moments { at: moments.into() }.settle(&mut []);
            (c[0][0] + c[1][1] - 2.0 * c[0][1]).sqrt()
        };
        assert!((sd(5.0) - 0.0048).abs() < 0.0007, "{}", sd(5.0));
        assert!((sd(15.0) - 0.0066).abs() < 0.0007, "{}", sd(15.0));
    }

    #[test]
    fn moments_that_nobody_needs_cost_no_unknown() {
        let moments = Moments {
            at: vec![
                at(Some(3.0), 1, Steadiness::Mains),
                at(Some(5.0), 2, Steadiness::Mains),
                at(None, 2, Steadiness::Mains),
                at(Some(9.0), 3, Steadiness::Regulated),
                at(Some(7.0), 2, Steadiness::Mains),
                at(Some(11.0), 3, Steadiness::Regulated),
            ],
        };
        let covariance = moments.settle(&mut []);
        assert_eq!(covariance.len(), 2, "setup 2 alone was read at two moments");
        // About their mean two moments move against each other.
        assert!((covariance[0][1] / covariance[0][0] + 1.0).abs() < 1e-3);
    }
}
