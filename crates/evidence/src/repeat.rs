//! Which reading to repeat first: the one whose repetition is expected to tell most.
//!
//! Repeating a reading settles whether it was a slip, which is worth the entropy of that doubt, and of a reading accused whether the
//! drawing is at fault instead. Where it was one, the repetition tells
//! what it should have told; where it was good, it halves its scatter, which is worth a little where parameters rest on it alone. All
//! in nats, so that they add up.

use crate::posed::Posed;
use crate::{Judged, Predicted, Problem};
use network::NetworkError;

/// What tells less than this is not worth a walk to the bench (our choice).
const WORTH_A_WALK: f64 = 0.05;

/// Share of what a smaller scatter of a good reading is worth: less than its nats, for the same meter on the same range repeats its own
/// error, and nobody walks to the bench for a digit (our choice).
const SMALLER_SCATTER: f64 = 0.25;

/// Where a reading contradicts the others, the drawing or the setup is at fault instead about so often; the same digits once more say so
/// (our choice).
const NOT_THE_READING: f64 = 0.1;

/// A reading worth repeating.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeat {
    /// The reading's number.
    pub number: u32,
    /// What its repetition is expected to tell, nats.
    pub tells: f64,
    /// Of that, what it tells about whether it was a slip.
    pub of_slip: f64,
    /// The reason in words: "it is as likely a slip as not", "the others do not check it".
    pub why: &'static str,
}

/// Readings worth repeating, the one that tells most first. Readings at floating places are left out: they prove nothing either time.
/// # Errors
/// The network's own, at the most probable mode.
pub fn repeat_first(problem: &mut Problem, judged: &Judged) -> Result<Vec<Repeat>, NetworkError> {
    let Some(mode) = judged.posterior.modes.first() else {
        return Ok(vec![]);
    };
    let mut posed = Posed::new(problem);
    posed.feel(&mode.z)?;
    let mut list = vec![];
    for (reading, evidence) in judged.readings.iter().enumerate() {
        if evidence.answer == Predicted::Floating {
            continue;
        }
        let p = evidence.wrong.clamp(0.0, 1.0);
        let of_slip = if p > 0.5 {
            entropy(p).max(p * entropy(NOT_THE_READING))
        } else {
            entropy(p)
        };
        let weight = match posed.residual(reading, 1.0) {
            Some((_, factor)) => {
                let slopes = posed.here.slopes(reading);
                factor * factor * squared(&mode.covariance, slopes)
            }
            None => 0.0,
        };
        let lost = mode.misread.contains(&reading);
        let share = if lost { p } else { (1.0 - p) * SMALLER_SCATTER };
        let of_value = share * 0.5 * weight.max(0.0).ln_1p();
        let why = if p > 0.5 {
            "it is probably a slip; the same digits once more would speak against the drawing"
        } else if of_value > of_slip {
            "much rests on it alone"
        } else if p > 0.1 {
            "it may well be a slip"
        } else {
            "the other readings hardly check it"
        };
        list.push(Repeat {
            number: evidence.number,
            tells: of_slip + of_value,
            of_slip,
            why,
        });
    }
    list.retain(|repeat| repeat.tells >= WORTH_A_WALK);
    list.sort_by(|left, right| right.tells.total_cmp(&left.tells));
    Ok(list)
}

/// Entropy of a yes or no, nats.
fn entropy(p: f64) -> f64 {
    let part = |p: f64| if p > 0.0 { -p * p.ln() } else { 0.0 };
    part(p) + part(1.0 - p)
}

/// `s'Cs`.
fn squared(covariance: &[Vec<f64>], slopes: &[f64]) -> f64 {
    let along = |row: &Vec<f64>| row.iter().zip(slopes).map(|(c, s)| c * s).sum::<f64>();
    covariance
        .iter()
        .zip(slopes)
        .map(|(row, s)| s * along(row))
        .sum()
}
