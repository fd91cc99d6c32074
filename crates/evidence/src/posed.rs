//! A problem made ready to be searched: what every reading should show at some z, with its exact slopes.
//!
//! `z` holds the parameters first and then one standard normal unknown for each moment of the supply's drift (its covariance is
//! rooted once). The questions of a station are asked together. Nothing here judges; `fitting` and `leave_out` do.

mod vanishing;

pub(crate) use vanishing::aside;

use crate::check::drift_root;
use crate::normal::Cholesky;
use crate::tails;
use crate::{Observation, Problem, Shown};
use network::{Answer, NetworkError, Question};

/// Volts below which a magnitude is smoothed: a magnitude has a kink at zero, `sqrt(V² + ε²)` has none.
pub(crate) const SMOOTH_VOLTS: f64 = 0.02;

/// A smoothed magnitude whose slope to the bare one is above this is as good as straight: from about 0.1 V.
const STRAIGHT: f64 = 0.98;

/// What the network says of one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Felt {
    /// A value.
    Value(f64),
    /// Nothing joins the two places.
    Floating,
    /// No path.
    Open,
}

/// Questions of one station, with whose they are.
struct Asked {
    questions: Vec<Question>,
    /// Index of the observation, or of the other place.
    of: Vec<usize>,
    /// Room for the answers.
    answers: Vec<Answer>,
}

impl Asked {
    fn new() -> Self {
        Self {
            questions: vec![],
            of: vec![],
            answers: vec![],
        }
    }
}

/// Which places of a station are asked.
#[derive(Clone, Copy, PartialEq)]
enum Places {
    Own,
    Other,
    /// Other places that were picked.
    Picked,
}

/// What was felt at a list of places: a value or none, and a row of slopes to z each.
pub(crate) struct Rows {
    pub(crate) felt: Vec<Felt>,
    /// Slope of each smoothed magnitude to the bare one: 1, but towards 0 where volts vanish.
    pub(crate) sharpness: Vec<f64>,
    slopes: Vec<f64>,
    unknowns: usize,
}

impl Rows {
    fn new(count: usize, unknowns: usize) -> Self {
        Self {
            felt: vec![Felt::Floating; count],
            sharpness: vec![1.0; count],
            slopes: vec![0.0; count * unknowns],
            unknowns,
        }
    }

    /// Slopes of one row to all unknowns.
    pub(crate) fn slopes(&self, row: usize) -> &[f64] {
        &self.slopes[row * self.unknowns..(row + 1) * self.unknowns]
    }
}

/// A problem with its work space.
pub(crate) struct Posed<'a> {
    pub(crate) problem: &'a mut Problem,
    /// Parameters and drift.
    pub(crate) unknowns: usize,
    /// Standard uncertainty of each reading, smoothing included.
    pub(crate) sigma: Vec<f64>,
    /// Unknowns each reading can feel, rising.
    pub(crate) support: Vec<Vec<usize>>,
    /// All other places of all readings: the observation each belongs to.
    others: Vec<usize>,
    /// Where each observation's other places begin in `others`.
    pub(crate) others_from: Vec<usize>,
    root: Option<Cholesky>,
    asked: Vec<Asked>,
    asked_others: Vec<Asked>,
    picked: Asked,
    /// Where `here` was last felt as a whole; empty if it was not.
    felt_at: Vec<f64>,
    /// Slopes that stand in `here` for those of readings whose volts vanish, while a peak is looked about from.
    leaned: Vec<(usize, Vec<f64>)>,
    /// What readings should show, at the z last felt.
    pub(crate) here: Rows,
    /// What the other places would show, at the z last felt there.
    pub(crate) there: Rows,
    values: Vec<f64>,
    slopes: Vec<f64>,
    bound: Vec<f64>,
    bound_slopes: Vec<(usize, usize, f64)>,
}

impl<'a> Posed<'a> {
    /// Makes a problem ready; it must have passed its check.
    pub(crate) fn new(problem: &'a mut Problem) -> Self {
        let parameters = problem.parameters.len();
        let root = drift_root(&problem.drift);
        let unknowns = parameters + problem.drift.len();
        let stations = problem.stations.len();
        let mut asked: Vec<Asked> = (0..stations).map(|_| Asked::new()).collect();
        let mut asked_others: Vec<Asked> = (0..stations).map(|_| Asked::new()).collect();
        let (mut others, mut others_from) = (vec![], vec![]);
        for (index, observation) in problem.observations.iter().enumerate() {
            asked[observation.station]
                .questions
                .push(observation.question.clone());
            asked[observation.station].of.push(index);
            others_from.push(others.len());
            for other in &observation.other_places {
                asked_others[observation.station]
                    .questions
                    .push(other.question.clone());
                asked_others[observation.station].of.push(others.len());
                others.push(index);
            }
        }
        let support = problem
            .observations
            .iter()
            .map(|observation| support(problem, observation))
            .collect();
        let sigma = problem.observations.iter().map(smoothed_sigma).collect();
        let here = Rows::new(problem.observations.len(), unknowns);
        let there = Rows::new(others.len(), unknowns);
        Self {
            unknowns,
            sigma,
            support,
            others,
            others_from,
            root,
            asked,
            asked_others,
            picked: Asked::new(),
            felt_at: vec![],
            leaned: vec![],
            here,
            there,
            values: vec![0.0; parameters],
            slopes: vec![0.0; parameters],
            bound: vec![],
            bound_slopes: vec![],
            problem,
        }
    }

    /// Number of readings.
    pub(crate) fn readings(&self) -> usize {
        self.problem.observations.len()
    }

    /// Feels what every reading should show at `z`. Nothing is asked again where it was felt last.
    pub(crate) fn feel(&mut self, z: &[f64]) -> Result<(), NetworkError> {
        if self.felt_at == z && self.leaned.is_empty() {
            return Ok(());
        }
        self.leaned.clear();
        self.felt_at.clear();
        self.move_to(z);
        for station in 0..self.asked.len() {
            self.feel_station(station, z, Places::Own)?;
        }
        self.felt_at.extend_from_slice(z);
        Ok(())
    }

    /// What one reading should show at another `z`, and its slopes; what was felt before stands.
    pub(crate) fn feel_aside(
        &mut self,
        reading: usize,
        z: &[f64],
    ) -> Result<(Felt, Vec<f64>), NetworkError> {
        let station = self.problem.observations[reading].station;
        let back = std::mem::take(&mut self.felt_at);
        self.move_to(z);
        self.feel_station(station, z, Places::Own)?;
        let told = (self.here.felt[reading], self.here.slopes(reading).to_vec());
        if !back.is_empty() {
            self.move_to(&back);
            self.feel_station(station, &back, Places::Own)?;
            self.felt_at = back;
            self.lean();
        }
        Ok(told)
    }

    /// Feels what all other places would show at `z`.
    pub(crate) fn feel_others(&mut self, z: &[f64]) -> Result<(), NetworkError> {
        self.move_to(z);
        for station in 0..self.asked_others.len() {
            self.feel_station(station, z, Places::Other)?;
        }
        Ok(())
    }

    /// Feels what the other places of the wanted readings would show at `z`; those of the rest keep what they last felt.
    pub(crate) fn feel_others_of(
        &mut self,
        z: &[f64],
        wanted: impl Fn(usize) -> bool,
    ) -> Result<(), NetworkError> {
        self.move_to(z);
        for station in 0..self.asked_others.len() {
            let all = &self.asked_others[station];
            let picked = &mut self.picked;
            picked.questions.clear();
            picked.of.clear();
            for (question, &row) in all.questions.iter().zip(&all.of) {
                if wanted(self.others[row]) {
                    picked.questions.push(question.clone());
                    picked.of.push(row);
                }
            }
            self.feel_station(station, z, Places::Picked)?;
        }
        Ok(())
    }

    fn move_to(&mut self, z: &[f64]) {
        for (number, parameter) in self.problem.parameters.iter().enumerate() {
            self.values[number] = parameter.value(z[number]);
            self.slopes[number] = parameter.slope(z[number]);
        }
    }

    fn feel_station(
        &mut self,
        station: usize,
        z: &[f64],
        places: Places,
    ) -> Result<(), NetworkError> {
        let others = places != Places::Own;
        let asked = match places {
            Places::Own => &mut self.asked[station],
            Places::Other => &mut self.asked_others[station],
            Places::Picked => &mut self.picked,
        };
        if asked.questions.is_empty() {
            return Ok(());
        }
        let bindings = &self.problem.stations[station].bindings;
        self.bound.clear();
        self.bound_slopes.clear();
        for (value, binding) in bindings.iter().enumerate() {
            self.bound.push(binding.value(&self.values));
            binding.slopes(&self.values, |parameter, slope| {
                self.bound_slopes
                    .push((value, parameter, slope * self.slopes[parameter]));
            });
        }
        self.problem.stations[station].solver.answer_into(
            &self.bound,
            &asked.questions,
            &mut asked.answers,
        )?;
        let rows = if others {
            &mut self.there
        } else {
            &mut self.here
        };
        for ((answer, question), &row) in asked.answers.iter().zip(&asked.questions).zip(&asked.of)
        {
            let slopes = &mut rows.slopes[row * self.unknowns..(row + 1) * self.unknowns];
            slopes.fill(0.0);
            rows.felt[row] = match answer {
                Answer::Floating => Felt::Floating,
                Answer::Open => Felt::Open,
                Answer::Value { value, gradient } => {
                    let (value, factor) = smooth(*value, question);
                    rows.sharpness[row] = factor;
                    for &(bound, parameter, slope) in &self.bound_slopes {
                        slopes[parameter] += factor * gradient[bound] * slope;
                    }
                    Felt::Value(value)
                }
            };
        }
        for &row in &asked.of {
            let index = if others { self.others[row] } else { row };
            let observation = &self.problem.observations[index];
            let rows = if others {
                &mut self.there
            } else {
                &mut self.here
            };
            let slopes = &mut rows.slopes[row * self.unknowns..(row + 1) * self.unknowns];
            if let Felt::Value(value) = &mut rows.felt[row] {
                if let (Some((moment, power)), Some(root)) = (observation.drift, &self.root)
                    && !self.problem.drift.is_empty()
                    && power != 0.0
                {
                    follow_supply(
                        value,
                        slopes,
                        root,
                        &z[self.problem.parameters.len()..],
                        moment,
                        power,
                    );
                }
                if let Some(offset) = observation.offset {
                    *value += self.values[offset];
                    slopes[offset] += self.slopes[offset];
                }
                // The gain of the range belongs to the shown value; another place may be on another range.
                let gain = observation.gain.filter(|_| !others);
                for gain in gain.into_iter().chain(observation.shared_gain) {
                    let factor = 1.0 + self.values[gain];
                    slopes.iter_mut().for_each(|slope| *slope *= factor);
                    slopes[gain] += *value * self.slopes[gain];
                    *value *= factor;
                }
            }
        }
        Ok(())
    }

    /// Standardised residual of a reading at the z last felt and its slope to the prediction; nothing where there is no prediction.
    pub(crate) fn residual(&self, reading: usize, scale: f64) -> Option<(f64, f64)> {
        let Felt::Value(value) = self.here.felt[reading] else {
            return None;
        };
        let sigma = self.sigma[reading] * scale;
        Some(match self.problem.observations[reading].shown {
            Shown::Value { value: shown, .. } => ((value - shown) / sigma, 1.0 / sigma),
            Shown::AtLeast { limit, .. } => {
                let (told, slope) = tails::bound((value - limit) / sigma);
                (told, slope / sigma)
            }
            Shown::AtMost { limit, .. } => {
                let (told, slope) = tails::bound((limit - value) / sigma);
                (told, -slope / sigma)
            }
        })
    }
}

/// Unknowns a reading can feel: what its station is bound to, its gain, its moment's drift.
fn support(problem: &Problem, observation: &Observation) -> Vec<usize> {
    let bindings = &problem.stations[observation.station].bindings;
    let mut support: Vec<usize> = bindings
        .iter()
        .flat_map(|binding| binding.parameters())
        .collect();
    support.extend(observation.gain);
    support.extend(observation.shared_gain);
    support.extend(observation.offset);
    if let (Some((moment, _)), false) = (observation.drift, problem.drift.is_empty()) {
        support.extend((0..=moment).map(|earlier| problem.parameters.len() + earlier));
    }
    support.sort_unstable();
    support.dedup();
    support
}

/// Standard uncertainty from the display, with what smoothing moves a value of that size: near zero volts nothing finer can be told.
fn smoothed_sigma(observation: &Observation) -> f64 {
    let (Shown::Value { value, sigma }
    | Shown::AtLeast {
        limit: value,
        sigma,
    }
    | Shown::AtMost {
        limit: value,
        sigma,
    }) = observation.shown;
    match observation.question {
        Question::Voltage { .. } => sigma.hypot(value.hypot(SMOOTH_VOLTS) - value.abs()),
        _ => sigma,
    }
}

/// A smoothed magnitude and its slope to the bare one.
fn smooth(value: f64, question: &Question) -> (f64, f64) {
    match question {
        Question::Voltage { .. } => {
            let smoothed = value.hypot(SMOOTH_VOLTS);
            (smoothed, value / smoothed)
        }
        _ => (value, 1.0),
    }
}

/// Lets a value follow the supply: `value * exp(power * d)`, `d` the drift at that moment, `d = L u`.
fn follow_supply(
    value: &mut f64,
    slopes: &mut [f64],
    root: &Cholesky,
    u: &[f64],
    moment: usize,
    power: f64,
) {
    let drift: f64 = (0..=moment)
        .map(|earlier| root.entry(moment, earlier) * u[earlier])
        .sum();
    let factor = (power * drift).exp();
    let parameters = slopes.len() - u.len();
    slopes.iter_mut().for_each(|slope| *slope *= factor);
    *value *= factor;
    for earlier in 0..=moment {
        slopes[parameters + earlier] += *value * power * root.entry(moment, earlier);
    }
}

#[cfg(test)]
mod tests {
    use super::{Felt, Posed};
    use crate::sample::{add_bounds, problem};

    #[test]
    fn slopes_of_residuals_equal_differences() {
        let mut find = problem(&[0.0; 9], 0.01, &[]);
        add_bounds(&mut find);
        // A gain shared beside the range's own, and one that stands alone.
        find.observations[0].shared_gain = Some(2);
        find.observations[5].shared_gain = Some(8);
        // An offset beside both.
        find.observations[0].offset = Some(4);
        let z = [0.3, -0.8, 0.5, 0.6, -0.4, 0.2, -0.5, 0.7, 0.4, 1.1, -0.6];
        let mut posed = Posed::new(&mut find);
        assert_eq!(posed.unknowns, z.len());
        let residuals = |posed: &mut Posed, z: &[f64]| {
            posed.feel(z).unwrap_or_else(|error| panic!("{error:?}"));
            (0..posed.readings())
                .map(|reading| posed.residual(reading, 1.0))
                .collect::<Vec<_>>()
        };
        let here = residuals(&mut posed, &z);
        let slopes: Vec<Vec<f64>> = (0..posed.readings())
            .map(|reading| posed.here.slopes(reading).to_vec())
            .collect();
        let step = 1e-5;
        let mut compared = 0;
        for unknown in 0..z.len() {
            let moved = |by: f64| {
                let mut z = z;
                z[unknown] += by;
                z
            };
            let (above, below) = (
                residuals(&mut posed, &moved(step)),
                residuals(&mut posed, &moved(-step)),
            );
            for reading in 0..here.len() {
                let (Some((_, factor)), Some((above, _)), Some((below, _))) =
                    (here[reading], above[reading], below[reading])
                else {
                    assert!(!matches!(posed.here.felt[reading], Felt::Value(_)));
                    continue;
                };
                let difference = (above - below) / (2.0 * step);
                let slope = factor * slopes[reading][unknown];
                assert!(
                    (slope - difference).abs() < 1e-6 + 1e-6 * slope.abs(),
                    "reading {reading}, unknown {unknown}: {slope} {difference}"
                );
                assert!(slope == 0.0 || posed.support[reading].contains(&unknown));
                compared += usize::from(slope != 0.0);
            }
        }
        assert!(
            compared > 60,
            "only {compared} slopes were there to compare"
        );
    }
}
