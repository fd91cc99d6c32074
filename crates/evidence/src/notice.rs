//! Whether a slip in a reading would be noticed at all, kind by kind.
//!
//! A slip is noticed if what it would show is better explained by a slip than by a good reading, the other readings being as they are:
//! the same odds that judge readings, asked of digits nobody saw. What the others leave wide open hides any slip.

use crate::search::KEPT_SHARE;
use crate::slips::{Expected, display_sigma, slips, typical};
use crate::{Judged, Observation, Predicted, Prediction, Problem, Shown, SlipKind};
use network::{NetworkError, Question};

/// One kind of slip in a reading, had it happened.
#[derive(Debug, Clone, PartialEq)]
pub struct Noticed {
    /// The kind.
    pub kind: SlipKind,
    /// The other place, for slips that have one.
    pub place: Option<String>,
    /// What would typically have been shown.
    pub shown: f64,
    /// Probability that this would then be called a slip.
    pub wrong: f64,
}

impl Noticed {
    /// Whether it would be called wrong rather than good.
    pub fn is_noticed(&self) -> bool {
        self.wrong > 0.5
    }
}

/// Of every kind of slip that could befall observation number `reading`: what it would have shown, and whether it would be noticed. Empty
/// where the network has no value there, and of bounds and beeps. [`SlipKind::Gross`] is left out: it shows anything.
/// # Errors
/// The network's own, at the most probable mode.
pub fn would_notice(
    problem: &mut Problem,
    judged: &Judged,
    reading: usize,
) -> Result<Vec<Noticed>, NetworkError> {
    let (Some(observation), Some(evidence)) = (
        problem.observations.get(reading).cloned(),
        judged.readings.get(reading),
    ) else {
        return Ok(vec![]);
    };
    let (
        Predicted::Value {
            value, uncertainty, ..
        },
        Shown::Value { sigma, .. },
    ) = (evidence.answer, observation.shown)
    else {
        return Ok(vec![]);
    };
    let there = elsewhere(problem, judged, &observation)?;
    let here = Expected::Value {
        value,
        variance: uncertainty * uncertainty,
    };
    let gain = observation
        .gain
        .map_or(0.0, |gain| problem.parameters[gain].width);
    let kept = if observation.kept { KEPT_SHARE } else { 1.0 };
    let prior = problem.slip_probability * kept;
    let mut noticed = vec![];
    let mut ask = |kind: SlipKind, place: Option<String>, at: Option<f64>| {
        let Some(shown) = typical(&observation, kind, value, at) else {
            return;
        };
        let sigma = display_sigma(&observation, sigma, shown);
        let slipped = Observation {
            shown: Shown::Value {
                value: shown,
                sigma,
            },
            ..observation.clone()
        };
        let bad: f64 = slips(&slipped, sigma, gain, here, &there)
            .iter()
            .map(|slip| slip.weight)
            .sum();
        let spread = sigma.hypot(uncertainty);
        let off = (shown - value) / spread;
        let good = (-0.5 * off * off).exp() / (spread * (2.0 * std::f64::consts::PI).sqrt());
        noticed.push(Noticed {
            kind,
            place,
            shown,
            wrong: prior * bad / (prior * bad + (1.0 - prior) * good).max(f64::MIN_POSITIVE),
        });
    };
    for &kind in &observation.slips {
        if matches!(kind, SlipKind::OtherHalf | SlipKind::WrongTerminal) {
            for (place, expected) in observation.other_places.iter().zip(&there) {
                if let (true, Expected::Value { value, .. }) = (place.kind == kind, expected) {
                    ask(kind, Some(place.place.clone()), Some(*value));
                }
            }
        } else {
            ask(kind, None, None);
        }
    }
    Ok(noticed)
}

/// What the other places show.
fn elsewhere(
    problem: &mut Problem,
    judged: &Judged,
    observation: &Observation,
) -> Result<Vec<Expected>, NetworkError> {
    let questions: Vec<Question> = observation
        .other_places
        .iter()
        .map(|place| place.question.clone())
        .collect();
    if questions.is_empty() {
        return Ok(vec![]);
    }
    let answers = judged
        .posterior
        .predict_all(problem, observation.station, &questions)?;
    let expected = |prediction: Prediction| match prediction {
        Prediction::Value { value, uncertainty } => Expected::Value {
            value,
            variance: uncertainty * uncertainty,
        },
        Prediction::Floating => Expected::Floating,
        Prediction::Open => Expected::Open,
    };
    Ok(answers.into_iter().map(expected).collect())
}
