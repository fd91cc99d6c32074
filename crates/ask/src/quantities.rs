//! What to ask when the wiring is settled: the vaguest quantity a limit hangs on that some reading within reach teaches.
//!
//! Information about it is `1/2 ln(variance before / variance after)`, by the linear formula at the most probable mode.

use crate::linear::{Row, answers, spread};
use crate::setups::Standing;
use crate::weigh::{Asked, Possible, asked, grown, stationed, unstation};
use evidence::model::{Candidate, Nominal};
use evidence::{Binding, Posterior};

/// Quantities looked at, vaguest first.
const MOST: usize = 8;
/// Known better than this, in ln, nothing needs asking: finer than any limit hangs on. Our choice.
const KNOWN: f64 = 0.03;
/// What limits hang on, by the first words of a quantity's name.
const MATTER: [&str; 6] = [
    "ratio",
    "ohms",
    "leakage",
    "tap",
    "core loss",
    "magnetising",
];

/// A quantity with how vague it is.
pub(crate) struct Vague {
    pub(crate) name: String,
    binding: Binding,
    /// Standard uncertainty over the value.
    pub(crate) width: f64,
}

/// The quantities limits hang on, vaguest first.
pub(crate) fn vague(candidate: &Candidate) -> Vec<Vague> {
    let problem = &candidate.problem;
    let posterior = grown(&candidate.ranked.posterior, problem);
    let mut list: Vec<Vague> = problem
        .registry
        .named
        .iter()
        .filter(|named| MATTER.iter().any(|m| named.name.starts_with(m)))
        .filter_map(|named| {
            let slopes = slopes(candidate, &posterior, &named.binding)?;
            let width = spread(&posterior, &slopes, &slopes).max(0.0).sqrt();
            Some(Vague {
                name: named.name.clone(),
                binding: named.binding.clone(),
                width,
            })
        })
        .filter(|v| v.width > KNOWN)
        .collect();
    list.sort_by(|a, b| b.width.total_cmp(&a.width));
    list.truncate(MOST);
    list
}

/// Slopes of the ln of a quantity to every z, at the most probable mode.
fn slopes(candidate: &Candidate, posterior: &Posterior, binding: &Binding) -> Option<Vec<f64>> {
    let parameters = &candidate.problem.problem.parameters;
    let z = &posterior.modes.first()?.z;
    let values: Vec<f64> = parameters.iter().zip(z).map(|(p, z)| p.value(*z)).collect();
    let value = binding.value(&values);
    let mut slopes = vec![0.0; parameters.len()];
    binding.slopes(&values, |index, slope| {
        slopes[index] += slope * parameters[index].slope(z[index]) / value;
    });
    value.is_normal().then_some(slopes)
}

/// What each possible reading of a setup tells of each quantity, nats; and what is expected of it.
pub(crate) struct Told {
    /// One row a reading, one entry a quantity.
    pub(crate) information: Vec<Vec<f64>>,
    pub(crate) expected: Vec<Option<(f64, f64)>>,
}

pub(crate) fn told(
    candidate: &mut Candidate,
    nominal: Nominal,
    standing: &Standing,
    readings: &[Possible],
    quantities: &[Vague],
    drift: f64,
) -> Told {
    let mut told = Told {
        information: vec![vec![0.0; quantities.len()]; readings.len()],
        expected: vec![None; readings.len()],
    };
    let find = &candidate.variant.find;
    let problem = &mut candidate.problem;
    let Some(at) = stationed(problem, find, nominal, &standing.setup, standing.new) else {
        return told;
    };
    let (mut questions, mut whose) = (Vec::new(), Vec::new());
    for (index, reading) in readings.iter().enumerate() {
        if let Asked::Question(question) = asked(&at, reading) {
            questions.push(question);
            whose.push(index);
        }
    }
    let posterior = grown(&candidate.ranked.posterior, &candidate.problem);
    let rows = answers(candidate, &posterior, at.station, &questions);
    let along: Vec<Vec<f64>> = quantities
        .iter()
        .map(|q| slopes(candidate, &posterior, &q.binding).unwrap_or_default())
        .collect();
    for (index, row) in whose.into_iter().zip(rows) {
        let Row::Value(value, slopes) = row else {
            continue;
        };
        let sigma = readings[index].meter.sigma(value).hypot(drift * value);
        let own = spread(&posterior, &slopes, &slopes);
        told.expected[index] = Some((value, own.max(0.0).sqrt().hypot(sigma)));
        if !sigma.is_finite() || sigma <= 0.0 {
            continue;
        }
        for (quantity, along) in along.iter().enumerate() {
            let before = spread(&posterior, along, along);
            let shared = spread(&posterior, along, &slopes);
            let after = before - shared * shared / (own + sigma * sigma);
            if before > 0.0 && after > 0.0 {
                told.information[index][quantity] = 0.5 * (before / after).ln();
            }
        }
    }
    unstation(&mut candidate.problem, at);
    told
}
