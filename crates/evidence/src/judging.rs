//! The judgement of a problem: posterior, and of every reading the probability that it is wrong, as what, and what the others say.

use crate::leave_out::{LeftOut, leave_out};
use crate::posed::Posed;
use crate::search::{Candidate, Search, log_sum};
use crate::slips::{Expected, Slip};
use crate::{Mode, Posterior, Problem, Shown, SlipKind};
use network::NetworkError;

/// Most modes kept in a posterior.
const MOST_MODES: usize = 24;
/// Most modes kept of a problem that is only weighed against others.
const FEW_MODES: usize = 4;
/// Modes less probable than this are dropped.
const LEAST_MODE: f64 = 1e-5;
/// Modes less probable than this are not gone back to: if one more reading speaks for them the search comes upon them.
const LEAST_KNOWN: f64 = 0.02;
/// A decimal slip would be noticed where the prediction without the reading is known to this in ln (a factor of 1.6).
const NOTICED: f64 = 0.5;

/// What the others say of one reading.
#[derive(Debug, Clone)]
pub struct ReadingEvidence {
    /// The reading's number.
    pub number: u32,
    /// What the network answers there.
    pub answer: Predicted,
    /// Probability that it is wrong. Of a reading at a floating place, which proves nothing: the prior.
    pub wrong: f64,
    /// Kinds of slip with their probability given that it is wrong, most probable first; with the place for wrong pairs.
    pub kinds: Vec<(SlipKind, Option<String>, f64)>,
    /// Whether a decimal slip here would be noticed: the prediction without it is known to 0.5 in ln.
    pub would_notice: bool,
}

/// A prediction that leaves the reading itself out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Predicted {
    /// A value with its standard uncertainty (of the prediction alone, gain included), and the distance of the reading from it in
    /// standard uncertainties of both together.
    Value {
        /// Prediction.
        value: f64,
        /// Its standard uncertainty.
        uncertainty: f64,
        /// Distance in standard uncertainties of reading and prediction together; of a bound: from the bound, 0 if kept.
        distance: f64,
    },
    /// Nothing joins the two places.
    Floating,
    /// No path.
    Open,
}

/// Everything [`judge`] finds.
#[derive(Debug, Clone)]
pub struct Judged {
    /// The posterior.
    pub posterior: Posterior,
    /// One for each observation, in order.
    pub readings: Vec<ReadingEvidence>,
    /// Whether the search gave up: so many readings contradict each other that no few slips explain them. Then the drawing is the
    /// likelier fault, and which readings are told as wrong is only the best that was found.
    pub exhausted: bool,
    /// Logarithm of the evidence, slips summed over: comparable between problems of the same readings.
    pub log_evidence: f64,
}

/// Judges a problem: searches the posterior over parameters and sets of misread readings.
/// # Errors
/// [`NetworkError::BadValue`] with the faults of an ill-formed problem (see [`Problem::check`]); else the network's own error, if
/// it has no answer from any start. Errors within the search are steps refused.
pub fn judge(problem: &mut Problem) -> Result<Judged, NetworkError> {
    judged(problem, None)
}

/// Judges a problem that grew since it was judged, as by one more reading at its end: begins at the modes known. `parameters` is how
/// many parameters it had then. Parameters and moments of drift keep their order, new ones stand at the end of each; new ones begin at
/// their priors' centres. If no old mode holds any more, or there are fewer now, it is judged anew.
/// # Errors
/// As [`judge`].
pub fn judge_from(
    problem: &mut Problem,
    before: &Posterior,
    parameters: usize,
) -> Result<Judged, NetworkError> {
    judged(problem, Some((before, parameters)))
}

/// An old mode's z with room for what has been added; `None` where it knows more than there is now.
fn grown(problem: &Problem, z: &[f64], parameters: usize) -> Option<Vec<f64>> {
    let moments = z.len().checked_sub(parameters)?;
    let now = problem.parameters.len();
    if parameters > now || moments > problem.drift.len() {
        return None;
    }
    let mut grown = vec![0.0; now + problem.drift.len()];
    grown[..parameters].copy_from_slice(&z[..parameters]);
    grown[now..now + moments].copy_from_slice(&z[parameters..]);
    Some(grown)
}

fn judged(
    problem: &mut Problem,
    before: Option<(&Posterior, usize)>,
) -> Result<Judged, NetworkError> {
    if let Err(faults) = problem.check() {
        let what = faults
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>()
            .join("; ");
        return Err(NetworkError::BadValue {
            element: "the problem".into(),
            what,
        });
    }
    let known: Vec<(Vec<usize>, Vec<f64>)> = before
        .into_iter()
        .flat_map(|(before, parameters)| before.modes.iter().map(move |mode| (mode, parameters)))
        .filter(|(mode, _)| mode.probability > LEAST_KNOWN)
        .filter_map(|(mode, parameters)| {
            Some((mode.misread.clone(), grown(problem, &mode.z, parameters)?))
        })
        .collect();
    let starts = starts(problem);
    let mut posed = Posed::new(problem);
    let mut search = Search::new(&mut posed, starts);
    for (misread, z) in &known {
        // A mode that no longer holds is no loss: the others, or a fresh start, take its place.
        let _ = search.seed_known(misread, z);
    }
    if search.candidates.is_empty() {
        search.seed()?;
    }
    if search.candidates.is_empty() {
        return Err(NetworkError::Singular {
            at: "the fit: its equations cannot be solved from any start".into(),
        });
    }
    search.explore();
    conclude(&mut search)
}

/// The evidence of a problem as [`judge`] weighs it, with its posterior, searched from near points only: each a set of readings held to
/// be misread, by index, and a z. `None` where the network has no answer at any.
pub(crate) fn weighed(
    problem: &mut Problem,
    near: &[(Vec<usize>, Vec<f64>)],
) -> Option<(f64, Posterior)> {
    problem.check().ok()?;
    let mut posed = Posed::new(problem);
    let unknowns = posed.unknowns;
    let mut search = Search::new(&mut posed, vec![]);
    for (misread, z) in near.iter().filter(|(_, z)| z.len() == unknowns) {
        // A point that does not hold is no loss: the others take its place.
        let _ = search.seed_known(misread, z);
    }
    if search.candidates.is_empty() {
        return None;
    }
    search.explore();
    let candidates: Vec<Candidate> = search.candidates.values().cloned().collect();
    let total = log_sum(candidates.iter().map(|candidate| candidate.log));
    let posterior = posterior(&candidates, total, FEW_MODES);
    (total.is_finite() && !posterior.modes.is_empty()).then_some((total, posterior))
}

/// Starting points: the prior's centre, and those the problem names.
fn starts(problem: &Problem) -> Vec<Vec<f64>> {
    let origin = vec![0.0; problem.parameters.len() + problem.drift.len()];
    let mut starts = vec![origin.clone()];
    for named in &problem.starts {
        let mut start = origin.clone();
        named
            .iter()
            .for_each(|&(parameter, z)| start[parameter] = z);
        starts.push(start);
    }
    starts
}

fn conclude(search: &mut Search) -> Result<Judged, NetworkError> {
    search.polish();
    let candidates: Vec<Candidate> = search.candidates.values().cloned().collect();
    let total = log_sum(candidates.iter().map(|candidate| candidate.log));
    let Some((best, scored)) = candidates
        .iter()
        .filter_map(|candidate| Some((candidate, candidate.peaks.first()?)))
        .max_by(|(_, left), (_, right)| left.log.total_cmp(&right.log))
    else {
        return Err(NetworkError::Singular {
            at: "the fit".into(),
        });
    };
    let all: Vec<usize> = (0..search.posed.readings()).collect();
    let left = leave_out(search.posed, &scored.peak, &best.misread, &all)?;
    let readings = all
        .iter()
        .zip(&left)
        .map(|(&reading, left)| evidence(search, &candidates, total, reading, left))
        .collect();
    Ok(Judged {
        posterior: posterior(&candidates, total, MOST_MODES),
        readings,
        exhausted: search.exhausted,
        log_evidence: total,
    })
}

fn posterior(candidates: &[Candidate], total: f64, most_modes: usize) -> Posterior {
    let mut modes: Vec<(f64, &Candidate, usize)> = candidates
        .iter()
        .flat_map(|candidate| {
            (0..candidate.peaks.len())
                .map(move |peak| ((candidate.peaks[peak].log - total).exp(), candidate, peak))
        })
        .collect();
    modes.sort_by(|left, right| right.0.total_cmp(&left.0));
    let most = modes.first().map_or(0.0, |mode| mode.0);
    modes.retain(|mode| mode.0 >= LEAST_MODE.min(most));
    modes.truncate(most_modes);
    let sum: f64 = modes.iter().map(|mode| mode.0).sum();
    let modes = modes
        .into_iter()
        .filter_map(|(probability, candidate, peak)| {
            let peak = &candidate.peaks[peak].peak;
            Some(Mode {
                z: peak.z.clone(),
                covariance: peak.linear.clone().covariance()?,
                misread: candidate.members.clone(),
                probability: probability / sum,
            })
        })
        .collect();
    Posterior { modes }
}

fn evidence(
    search: &Search,
    candidates: &[Candidate],
    total: f64,
    reading: usize,
    left: &LeftOut,
) -> ReadingEvidence {
    let observation = &search.posed.problem.observations[reading];
    let mut tally: Vec<Slip> = vec![];
    let mut wrong = 0.0;
    let mut tried = false;
    let with_it = candidates
        .iter()
        .filter(|candidate| candidate.misread[reading]);
    for candidate in with_it.clone() {
        tried = true;
        wrong += (candidate.log - total).exp();
    }
    for scored in with_it.flat_map(|candidate| &candidate.peaks) {
        let probability = (scored.log - total).exp();
        if let Some((_, slips)) = scored.slips.iter().find(|(member, _)| *member == reading) {
            count(&mut tally, slips, probability);
        }
    }
    if left.here == Expected::Floating {
        wrong = search.prior(reading);
    } else if !tried {
        // No set with it was worth a refit; its odds alone say how little.
        wrong = 1.0 / (1.0 + (-search.log_odds(reading, left)).exp());
    }
    if tally.iter().map(|slip| slip.weight).sum::<f64>() <= 0.0 {
        count(&mut tally, &search.slips_of(reading, left), 1.0);
    }
    ReadingEvidence {
        number: observation.number,
        answer: predicted(search, reading, left.here),
        wrong: wrong.clamp(0.0, 1.0),
        kinds: kinds(observation, tally),
        would_notice: match left.here {
            Expected::Value { value, variance } => variance.sqrt() < NOTICED * value.abs(),
            Expected::Floating => false,
            Expected::Open => true,
        },
    }
}

/// Adds slips, brought to 1 and weighed, to a tally in their own order.
fn count(tally: &mut Vec<Slip>, slips: &[Slip], probability: f64) {
    let sum: f64 = slips.iter().map(|slip| slip.weight).sum();
    if sum <= 0.0 {
        return;
    }
    if tally.is_empty() {
        tally.extend(slips.iter().map(|slip| Slip {
            weight: 0.0,
            ..*slip
        }));
    }
    for (tallied, slip) in tally.iter_mut().zip(slips) {
        tallied.weight += probability * slip.weight / sum;
    }
}

fn kinds(
    observation: &crate::Observation,
    mut tally: Vec<Slip>,
) -> Vec<(SlipKind, Option<String>, f64)> {
    let sum: f64 = tally.iter().map(|slip| slip.weight).sum();
    tally.retain(|slip| slip.weight > 0.0);
    tally.sort_by(|left, right| right.weight.total_cmp(&left.weight));
    let place = |slip: &Slip| {
        slip.place
            .map(|place| observation.other_places[place].place.clone())
    };
    tally
        .iter()
        .map(|slip| (slip.kind, place(slip), slip.weight / sum))
        .collect()
}

fn predicted(search: &Search, reading: usize, here: Expected) -> Predicted {
    let (value, variance) = match here {
        Expected::Floating => return Predicted::Floating,
        Expected::Open => return Predicted::Open,
        Expected::Value { value, variance } => (value, variance),
    };
    let spread = (search.posed.sigma[reading].powi(2) + variance).sqrt();
    let distance = match search.posed.problem.observations[reading].shown {
        Shown::Value { value: shown, .. } => (shown - value) / spread,
        Shown::AtLeast { limit, .. } => (limit - value).max(0.0) / spread,
        Shown::AtMost { limit, .. } => (limit - value).min(0.0) / spread,
    };
    Predicted::Value {
        value,
        uncertainty: variance.sqrt(),
        distance,
    }
}

#[cfg(test)]
mod tests;
