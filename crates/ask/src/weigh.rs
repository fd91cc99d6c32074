//! What each candidate expects of the readings of one setup, and what each reading would tell.

use crate::information::{Component, Expectation, components};
use crate::linear::{Row, answers, spread};
use crate::meters::{BEEP, BEEP_DOUBT, Meter};
use evidence::model::{Candidate, FindProblem, Given, Nominal, Registry};
use evidence::{Mode, Posterior, Station};
use gear::{Find, Measured, Place, Setup};
use network::{Model, Question};

/// Modes of a posterior asked at most: the rest hold next to nothing, and each costs as much.
const MOST_MODES: usize = 2;

/// One reading that could be taken.
#[derive(Debug, Clone)]
pub(crate) struct Possible {
    pub(crate) place: Place,
    pub(crate) meter: Meter,
}

/// The equations of a setup under a candidate: an index among the problem's stations.
pub(crate) struct Stationed {
    pub(crate) station: usize,
    model: Model,
    /// The problem's parameters before, if the station was added for this.
    before: Option<Registry>,
}

/// The station of a setup under a problem, made if nobody measured there yet. Take it away again with [`unstation`].
pub(crate) fn stationed(
    problem: &mut FindProblem,
    find: &Find,
    nominal: Nominal,
    setup: &Setup,
    new: bool,
) -> Option<Stationed> {
    let dead = setup.feeds.is_empty();
    let known = problem
        .models
        .iter()
        .position(|m| m.setup == setup.number && m.dead == dead && !new);
    if let Some(station) = known {
        return Some(Stationed {
            station,
            model: problem.models[station].model.clone(),
            before: None,
        });
    }
    let setup = find.setup(setup.number).filter(|_| !new).unwrap_or(setup);
    let given = Given {
        made_up: true,
        ..Given::default()
    };
    let before = problem.registry.clone();
    let made: Option<(Station, Model)> = problem.what_if(find, nominal, setup, &given).ok();
    let Some((station, model)) = made else {
        restore(problem, before);
        return None;
    };
    problem.problem.stations.push(station);
    Some(Stationed {
        station: problem.problem.stations.len() - 1,
        model,
        before: Some(before),
    })
}

/// Takes a station made for this away again, with the parameters that joined for it.
pub(crate) fn unstation(problem: &mut FindProblem, at: Stationed) {
    if let Some(before) = at.before {
        problem.problem.stations.truncate(at.station);
        restore(problem, before);
    }
}

fn restore(problem: &mut FindProblem, before: Registry) {
    problem.problem.parameters.clone_from(&before.parameters);
    problem.registry = before;
}

/// The posterior with parameters that joined later at their prior: they stand before the moments of drift.
pub(crate) fn grown(posterior: &Posterior, problem: &FindProblem) -> Posterior {
    let now = problem.problem.parameters.len();
    let grow = |mode: &Mode| {
        let before = mode.z.len().saturating_sub(problem.problem.drift.len());
        let mut z: Vec<f64> = mode.z.iter().take(before.min(now)).copied().collect();
        z.resize(now, 0.0);
        let covariance = (0..now)
            .map(|i| {
                (0..now)
                    .map(|j| {
                        if i < before && j < before {
                            mode.covariance[i][j]
                        } else {
                            f64::from(u8::from(i == j))
                        }
                    })
                    .collect()
            })
            .collect();
        Mode {
            z,
            covariance,
            misread: mode.misread.clone(),
            probability: mode.probability,
        }
    };
    Posterior {
        modes: posterior.modes.iter().take(MOST_MODES).map(grow).collect(),
    }
}

/// The question a place asks under a model; `None` where it cannot be asked. A pair on one conductor there is 0 V or 0 Ω.
pub(crate) enum Asked {
    Question(Question),
    Nothing,
    Cannot,
}

pub(crate) fn asked(at: &Stationed, reading: &Possible) -> Asked {
    if let Place::Between(a, b) = &reading.place
        && at.model.node(a).is_some()
        && at.model.node(a) == at.model.node(b)
    {
        return Asked::Nothing;
    }
    match at
        .model
        .question(&reading.place, reading.meter.measured, 0.0)
    {
        Ok(question) => Asked::Question(question),
        Err(_) => Asked::Cannot,
    }
}

/// How closely a candidate is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Look {
    /// One straight line at its most probable mode.
    Quick,
    /// Draws of its posterior pushed through its network.
    Close,
}

/// What one candidate expects of every possible reading of a setup; empty where it cannot be asked. `drift` is the supply's own
/// uncertainty as a share since it was read last.
pub(crate) fn expectations(
    candidate: &mut Candidate,
    nominal: Nominal,
    setup: &Setup,
    new: bool,
    readings: &[Possible],
    (drift, look): (f64, Look),
) -> Vec<Expectation> {
    let mut told = vec![Expectation::default(); readings.len()];
    let problem = &mut candidate.problem;
    let Some(at) = stationed(problem, &candidate.variant.find, nominal, setup, new) else {
        return told;
    };
    let mut questions = Vec::new();
    let mut whose = Vec::new();
    for (index, reading) in readings.iter().enumerate() {
        match asked(&at, reading) {
            Asked::Question(question) => {
                questions.push(question);
                whose.push(index);
            }
            Asked::Nothing => {
                told[index] = Expectation {
                    components: vec![shown(reading, 1.0, 0.0, reading.meter.sigma(0.0))],
                };
            }
            Asked::Cannot => {}
        }
    }
    let posterior = grown(&candidate.ranked.posterior, problem);
    let sigma = |index: usize, value: f64| {
        let power = match readings[whose[index]].meter.measured {
            Measured::AcVoltage | Measured::AcCurrent => 1.0,
            Measured::Power => 2.0,
            _ => 0.0,
        };
        let sigma = readings[whose[index]].meter.sigma(value);
        sigma.hypot(power * drift * value)
    };
    let answered = match look {
        Look::Quick => quick(candidate, &posterior, at.station, &questions, &sigma),
        Look::Close => {
            let problem = &mut candidate.problem.problem;
            let answered = components(problem, &posterior, at.station, &questions, &sigma);
            answered.unwrap_or_default()
        }
    };
    for (index, expectation) in whose.iter().copied().zip(answered) {
        let sound = expectation.components.iter().all(|c| match c {
            Component::Value { mean, sigma, .. } => mean.is_finite() && sigma.is_finite(),
            _ => true,
        });
        if sound {
            told[index].components = expectation
                .components
                .into_iter()
                .map(|c| as_shown(&readings[index], c))
                .collect();
        }
    }
    unstation(&mut candidate.problem, at);
    told
}

fn quick(
    candidate: &mut Candidate,
    posterior: &Posterior,
    station: usize,
    questions: &[Question],
    sigma: &dyn Fn(usize, f64) -> f64,
) -> Vec<Expectation> {
    let rows = answers(candidate, posterior, station, questions);
    let component = |(index, row)| match row {
        Row::Value(value, slopes) => Component::Value {
            weight: 1.0,
            mean: value,
            sigma: spread(posterior, &slopes, &slopes)
                .max(0.0)
                .sqrt()
                .hypot(sigma(index, value)),
        },
        Row::Floating => Component::Floating { weight: 1.0 },
        Row::Open => Component::Open { weight: 1.0 },
    };
    rows.into_iter()
        .enumerate()
        .map(|row| Expectation {
            components: vec![component(row)],
        })
        .collect()
}

/// A component as the instrument shows it: a continuity tester only beeps or does not.
fn as_shown(reading: &Possible, component: Component) -> Component {
    match component {
        Component::Value {
            weight,
            mean,
            sigma,
        } => shown(reading, weight, mean, sigma),
        Component::Open { weight } if reading.meter.measured == Measured::Continuity => {
            beep(weight, f64::INFINITY)
        }
        other => other,
    }
}

fn shown(reading: &Possible, weight: f64, mean: f64, sigma: f64) -> Component {
    if reading.meter.measured == Measured::Continuity {
        return beep(weight, mean);
    }
    Component::Value {
        weight,
        mean,
        sigma,
    }
}

/// 1 where it beeps, 0 where it does not.
fn beep(weight: f64, ohms: f64) -> Component {
    Component::Value {
        weight,
        mean: 1.0 / (1.0 + (ohms / BEEP).powi(4)),
        sigma: BEEP_DOUBT,
    }
}

/// Mean and standard uncertainty of an expectation; `None` where it mostly floats or is open.
pub(crate) fn moments(expectation: &Expectation) -> Option<(f64, f64)> {
    let (mut weight, mut first, mut second) = (0.0, 0.0, 0.0);
    for component in &expectation.components {
        if let Component::Value {
            weight: w,
            mean,
            sigma,
        } = component
        {
            weight += w;
            first += w * mean;
            second += w * (mean * mean + sigma * sigma);
        }
    }
    if weight < 0.5 {
        return None;
    }
    let mean = first / weight;
    Some((mean, (second / weight - mean * mean).max(0.0).sqrt()))
}
