//! The posterior in use: what the parameters are believed to be, and what follows for anything that hangs on them.
//!
//! Speaks from the most probable mode. Parameters that came after the fit (of a setup nobody made) stand at their priors.

use evidence::{Binding, Mode, Parameter, Station};
use network::{Answer, NetworkError, Question};
use quantity::{Estimate, Unit};

/// Values of the parameters with their covariance.
#[derive(Debug, Clone, Default)]
pub(crate) struct Belief {
    /// Value of each parameter.
    values: Vec<f64>,
    /// d value / d z.
    slopes: Vec<f64>,
    /// Covariance in z of the parameters the fit had.
    covariance: Vec<Vec<f64>>,
    /// z of each parameter.
    z: Vec<f64>,
}

impl Belief {
    /// Belief before any reading.
    pub(crate) fn prior(parameters: &[Parameter]) -> Self {
        Self::at(parameters, vec![0.0; parameters.len()], Vec::new())
    }

    /// Belief after the readings. What the mode holds beyond the parameters (the supply's drift) is left behind.
    pub(crate) fn posterior(parameters: &[Parameter], mode: &Mode) -> Self {
        let known = parameters.len();
        let z = mode.z.iter().take(known).copied().collect();
        let rows = mode.covariance.iter().take(known);
        let covariance = rows
            .map(|row| row.iter().take(known).copied().collect())
            .collect();
        Self::at(parameters, z, covariance)
    }

    fn at(parameters: &[Parameter], z: Vec<f64>, covariance: Vec<Vec<f64>>) -> Self {
        Self {
            values: parameters
                .iter()
                .zip(&z)
                .map(|(p, z)| p.value(*z))
                .collect(),
            slopes: parameters
                .iter()
                .zip(&z)
                .map(|(p, z)| p.slope(*z))
                .collect(),
            covariance,
            z,
        }
    }

    fn covariance(&self, i: usize, j: usize) -> f64 {
        match self.covariance.get(i).and_then(|row| row.get(j)) {
            Some(c) => *c,
            None if i == j => 1.0,
            None => 0.0,
        }
    }

    /// Value of one parameter.
    pub(crate) fn parameter(&self, index: usize) -> Option<f64> {
        self.values.get(index).copied()
    }

    /// Standard uncertainty of what has this gradient in z, given sparsely.
    fn uncertainty(&self, gradient: &[(usize, f64)]) -> f64 {
        let mut variance = 0.0;
        for &(i, a) in gradient {
            for &(j, b) in gradient {
                variance += a * b * self.covariance(i, j);
            }
        }
        variance.max(0.0).sqrt()
    }

    /// What a quantity made of parameters is.
    pub(crate) fn of(&self, binding: &Binding, unit: Unit) -> Estimate {
        let mut gradient = Vec::new();
        binding.slopes(&self.values, |i, slope| {
            gradient.push((i, slope * self.slopes[i]))
        });
        Estimate {
            value: binding.value(&self.values),
            standard_uncertainty: self.uncertainty(&gradient),
            unit,
        }
    }

    /// Values of a station's circuit.
    pub(crate) fn circuit_values(&self, station: &Station) -> Vec<f64> {
        station
            .bindings
            .iter()
            .map(|b| b.value(&self.values))
            .collect()
    }

    /// Answers to questions at a station, with their standard uncertainty; `None` where a place floats or has no path.
    pub(crate) fn answers(
        &self,
        station: &mut Station,
        questions: &[Question],
    ) -> Result<Vec<Option<(f64, f64)>>, NetworkError> {
        let values = self.circuit_values(station);
        let answers = station.solver.answer(&values, questions)?;
        Ok(answers
            .into_iter()
            .map(|answer| match answer {
                Answer::Value { value, gradient } => Some((
                    value,
                    self.uncertainty(&self.in_z(&station.bindings, &gradient)),
                )),
                Answer::Floating | Answer::Open => None,
            })
            .collect())
    }

    /// A gradient to circuit values as one to the z of parameters.
    fn in_z(&self, bindings: &[Binding], gradient: &[f64]) -> Vec<(usize, f64)> {
        let mut dense = vec![0.0; self.values.len()];
        for (binding, g) in bindings.iter().zip(gradient) {
            if *g != 0.0 {
                binding.slopes(&self.values, |i, slope| {
                    dense[i] += g * slope * self.slopes[i]
                });
            }
        }
        dense
            .into_iter()
            .enumerate()
            .filter(|(_, g)| *g != 0.0)
            .collect()
    }

    /// The belief at a draw of the posterior's z.
    pub(crate) fn drawn(parameters: &[Parameter], mut z: Vec<f64>) -> Self {
        z.resize(parameters.len(), 0.0);
        Self::at(parameters, z, Vec::new())
    }

    /// The same belief when parameters came after it was formed: they stand at their priors.
    pub(crate) fn widened(self, parameters: &[Parameter]) -> Self {
        let Self {
            mut z, covariance, ..
        } = self;
        z.resize(parameters.len(), 0.0);
        Self::at(parameters, z, covariance)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use evidence::Transform;

    fn parameter() -> Parameter {
        Parameter {
            name: "one".into(),
            unit: Unit::One,
            transform: Transform::Linear,
            centre: 1.0,
            width: 0.5,
            basis: String::new(),
            auxiliary: false,
        }
    }

    #[test]
    fn a_parameter_that_came_after_the_fit_stands_at_its_prior() {
        // The mode holds one parameter and one unknown of the supply's drift, the two correlated.
        let mode = Mode {
            z: vec![1.0, 3.0],
            covariance: vec![vec![0.04, 0.01], vec![0.01, 0.5]],
            misread: Vec::new(),
            probability: 1.0,
        };
        let belief = Belief::posterior(&[parameter()], &mode);
        let belief = belief.widened(&[parameter(), parameter()]);
        let sum = |terms: Vec<(usize, f64)>| Binding::Sum {
            constant: 0.0,
            terms,
            low: f64::NEG_INFINITY,
            high: f64::INFINITY,
        };
        let known = belief.of(&sum(vec![(0, 1.0)]), Unit::One);
        assert!(
            (known.value - 1.5).abs() < 1e-12 && (known.standard_uncertainty - 0.1).abs() < 1e-12
        );
        let new = belief.of(&sum(vec![(1, 1.0)]), Unit::One);
        assert!((new.value - 1.0).abs() < 1e-12 && (new.standard_uncertainty - 0.5).abs() < 1e-12);
    }
}
