//! Says what is ill-formed in a [`Problem`] before anything is reckoned from it.
//!
//! Everything later may then index without looking. All faults are told, not the first.

use crate::normal::Cholesky;
use crate::{Observation, Problem, Shown, SlipKind, Transform};

/// One fault of a problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Where: "parameter 3 (ratio of T4)", "reading 24".
    pub at: String,
    /// What is wrong.
    pub what: String,
}

impl std::fmt::Display for Fault {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "{}: {}", self.at, self.what)
    }
}

impl Problem {
    /// Looks for everything that would make judging it meaningless.
    /// # Errors
    /// All faults, in the order parameters, stations, readings, drift, starts.
    pub fn check(&self) -> Result<(), Vec<Fault>> {
        let mut faults = vec![];
        self.check_parameters(&mut faults);
        self.check_stations(&mut faults);
        for observation in &self.observations {
            self.check_observation(observation, &mut faults);
        }
        self.check_drift(&mut faults);
        for (number, start) in self.starts.iter().enumerate() {
            if start
                .iter()
                .any(|&(parameter, z)| parameter >= self.parameters.len() || !z.is_finite())
            {
                faults.push(Fault {
                    at: format!("start {number}"),
                    what: "names a parameter that is not there, or no number".into(),
                });
            }
        }
        if !(0.0..1.0).contains(&self.slip_probability) {
            faults.push(Fault {
                at: "slip probability".into(),
                what: format!("{} is not from 0 up to 1", self.slip_probability),
            });
        }
        if faults.is_empty() {
            Ok(())
        } else {
            Err(faults)
        }
    }

    fn check_parameters(&self, faults: &mut Vec<Fault>) {
        for (number, parameter) in self.parameters.iter().enumerate() {
            let mut fault = |what: String| {
                faults.push(Fault {
                    at: format!("parameter {number} ({})", parameter.name),
                    what,
                })
            };
            if !(parameter.width > 0.0 && parameter.width.is_finite()) {
                fault(format!("width {} is not above 0", parameter.width));
            }
            let centre = parameter.centre;
            let fits = match parameter.transform {
                Transform::Ln => centre > 0.0 && centre.is_finite(),
                Transform::Logit => centre > 0.0 && centre < 1.0,
                Transform::Linear => centre.is_finite(),
            };
            if !fits {
                fault(format!(
                    "centre {centre} cannot stand with {:?}",
                    parameter.transform
                ));
            }
        }
    }

    fn check_stations(&self, faults: &mut Vec<Fault>) {
        for (number, station) in self.stations.iter().enumerate() {
            let mut fault = |what: String| {
                faults.push(Fault {
                    at: format!("station {number}"),
                    what,
                })
            };
            let wanted = station.solver.circuit().values;
            if station.bindings.len() != wanted {
                fault(format!(
                    "has {} bindings, its circuit {wanted} values",
                    station.bindings.len()
                ));
            }
            if station
                .bindings
                .iter()
                .flat_map(|binding| binding.parameters())
                .any(|parameter| parameter >= self.parameters.len())
            {
                fault("a binding names a parameter that is not there".into());
            }
        }
    }

    fn check_observation(&self, observation: &Observation, faults: &mut Vec<Fault>) {
        let mut fault = |what: String| {
            faults.push(Fault {
                at: format!("reading {}", observation.number),
                what,
            })
        };
        if observation.station >= self.stations.len() {
            fault(format!(
                "names station {}, there are {}",
                observation.station,
                self.stations.len()
            ));
        }
        let mut gains = observation
            .gain
            .into_iter()
            .chain(observation.shared_gain)
            .chain(observation.offset);
        if gains.any(|gain| gain >= self.parameters.len()) {
            fault("names a gain or an offset that is not there".into());
        }
        if let Some((moment, power)) = observation.drift
            && !self.drift.is_empty()
            && (moment >= self.drift.len() || !power.is_finite())
        {
            fault(format!(
                "names moment {moment} of the drift, there are {}",
                self.drift.len()
            ));
        }
        let (Shown::Value { value, sigma }
        | Shown::AtLeast {
            limit: value,
            sigma,
        }
        | Shown::AtMost {
            limit: value,
            sigma,
        }) = observation.shown;
        if !value.is_finite() {
            fault("shows no number".into());
        }
        if !(sigma > 0.0 && sigma.is_finite()) {
            fault(format!("standard uncertainty {sigma} is not above 0"));
        }
        if !(observation.step >= 0.0 && observation.step.is_finite()) {
            fault(format!("step {} is not 0 or more", observation.step));
        }
        if observation
            .other_places
            .iter()
            .any(|place| !matches!(place.kind, SlipKind::OtherHalf | SlipKind::WrongTerminal))
        {
            fault("another place is of a kind that has no other place".into());
        }
    }

    fn check_drift(&self, faults: &mut Vec<Fault>) {
        let size = self.drift.len();
        let mut fault = |what: &str| {
            faults.push(Fault {
                at: "drift".into(),
                what: what.into(),
            })
        };
        if self.drift.iter().any(|row| row.len() != size) {
            fault("is not square");
        } else if drift_root(&self.drift).is_none() {
            fault("is not a covariance: not positive definite");
        }
    }
}

/// Root of the drift's covariance. Two moments so close that they are one in double precision are kept apart by a hair (1e-9 of
/// the variance), which no meter can see.
pub(crate) fn drift_root(drift: &[Vec<f64>]) -> Option<Cholesky> {
    let size = drift.len();
    let mut lower = vec![0.0; size * size];
    for (row, line) in drift.iter().enumerate() {
        lower[row * size..=row * size + row].copy_from_slice(line.get(..=row)?);
        lower[row * size + row] *= 1.0 + 1e-9;
    }
    Cholesky::of(lower, size)
}
