//! Candidates ranked by their evidence: the same readings posed under several wirings.
//!
//! Every candidate is a whole [`Problem`]; observation k of each is the same reading. Each is fitted with heavy tails first and then with
//! the mixture of a good reading and a slip, from several starts; its evidence is Laplace's, summed over its modes. All candidates go
//! through the stages side by side, and whoever falls hopelessly behind is not followed further.

mod climb;
mod mixture;
mod sampled;
#[cfg(test)]
mod tests;

pub use sampled::sampled;

use crate::posed::Posed;
use crate::search::log_sum;
use crate::{Mode, Posterior, Problem};
use climb::{Point, STAGES, Summit, apart, climb, robust};

/// A start this far behind the best candidate in ln after a robust stage is not followed further: that many readings more are far off.
const BEHIND: f64 = 25.0;
/// Two starts of one candidate that have come as near as this, squared, in units of their curvature, are one.
const MET: f64 = 0.1;
/// Modes this far behind the best of their candidate in ln are left out.
const MODE_BEHIND: f64 = 12.0;
/// Most modes kept of a candidate.
const MOST_MODES: usize = 8;
/// A reading is told as misread in a mode above this probability.
const MISREAD: f64 = 0.5;

/// An unknown whose variance is above this share of its prior's was as good as not felt by any reading.
const UNFELT: f64 = 0.9;

/// One candidate.
#[derive(Debug, Clone)]
pub struct Rival {
    /// Its equations for the readings at hand.
    pub problem: Problem,
    /// Logarithm of its prior probability, up to a constant all rivals share.
    pub log_prior: f64,
}

/// What the readings say of one candidate.
#[derive(Debug, Clone)]
pub struct Ranked {
    /// Logarithm of its evidence (prior probability of the candidate apart); minus infinity where its network has no answer. Of a
    /// candidate that was hopelessly behind before its peak was reached: at least this.
    pub log_evidence: f64,
    /// Its posterior probability among the rivals.
    pub probability: f64,
    /// The posterior of its parameters; no modes where its network has no answer.
    pub posterior: Posterior,
}

/// Ranks candidates by the readings they share. In the order of the rivals.
pub fn rank(rivals: &mut [Rival]) -> Vec<Ranked> {
    rank_near(rivals, &[])
}

/// Ranks candidates of which it is known where to look: `near` holds for each rival points in z (parameters, then moments of the
/// supply's drift; what is missing starts at 0) to begin at instead of the starts its problem names. A rival without any begins
/// at those.
pub fn rank_near(rivals: &mut [Rival], near: &[Vec<Vec<f64>>]) -> Vec<Ranked> {
    let priors: Vec<f64> = rivals.iter().map(|rival| rival.log_prior).collect();
    let mut runners = pose(rivals);
    for (index, runner) in runners.iter_mut().enumerate() {
        match near.get(index) {
            Some(points) if !points.is_empty() => runner.begin_at(points),
            _ => runner.begin(),
        }
    }
    race(&mut runners);
    conclude(runners, &priors)
}

/// Ranks candidates that were ranked before with fewer readings (the new ones at the end): begins at the modes known. With nothing
/// known, where an old mode no longer holds, or where a reading is the first to feel an unknown that has starts of its own, a candidate
/// is ranked anew: the known modes say nothing of which side of a tap that slider stands.
pub fn rank_from(rivals: &mut [Rival], before: &[Ranked]) -> Vec<Ranked> {
    let priors: Vec<f64> = rivals.iter().map(|rival| rival.log_prior).collect();
    let mut runners = pose(rivals);
    let mut misread = vec![vec![]; runners.len()];
    let mut fresh = vec![false; runners.len()];
    for (index, runner) in runners.iter_mut().enumerate() {
        if let (Some(posed), Some(known)) = (&mut runner.posed, before.get(index)) {
            for mode in &known.posterior.modes {
                if mode.z.len() == posed.unknowns {
                    follow(posed, mode, &mut runner.summits);
                }
            }
            if let Some(first) = known.posterior.modes.first() {
                misread[index].clone_from(&first.misread);
                fresh[index] = feels_anew(posed, first);
            }
        }
    }
    let best = runners
        .iter()
        .map(|runner| runner.log_prior + runner.log())
        .fold(f64::NEG_INFINITY, f64::max);
    let mut anew = false;
    for ((runner, misread), fresh) in runners.iter_mut().zip(&misread).zip(fresh) {
        if runner.is_shaken(misread, fresh, best) {
            runner.begin();
            anew = true;
        }
    }
    if anew {
        race(&mut runners);
    }
    conclude(runners, &priors)
}

/// Climbs from a known mode. Where that makes a slip of a reading that was none, the mode is led through the robust stages too: it may
/// only have stood too far off the new reading to move towards it.
fn follow(posed: &mut Posed, mode: &Mode, summits: &mut Vec<Summit>) {
    let Ok(Some(summit)) = climb(posed, &mode.z, None) else {
        return;
    };
    let shaken = summit.newly_holds(&mode.misread);
    admit(summits, summit);
    if shaken {
        let mut z = mode.z.clone();
        for scale in STAGES {
            match robust(posed, &z, scale) {
                Ok(point) => z = point.z,
                Err(_) => return,
            }
        }
        if let Ok(Some(summit)) = climb(posed, &z, None) {
            admit(summits, summit);
        }
    }
}

/// Whether some parameter may be felt now that was as wide as its prior in this mode: where a slider or a tap is first felt, volts may
/// stand for either side of it.
fn feels_anew(posed: &Posed, mode: &Mode) -> bool {
    // A parameter no reading felt stands wide as its prior; what is auxiliary (a gain, the drift) mirrors nothing.
    let parameters = posed.problem.parameters.iter().enumerate();
    let mut mirroring = parameters.filter(|(_, parameter)| !parameter.auxiliary);
    mirroring.any(|(unknown, _)| {
        let width = mode.covariance.get(unknown).map(|row| row[unknown]);
        let felt = |support: &Vec<usize>| support.contains(&unknown);
        width.is_some_and(|width| width > UNFELT) && posed.support.iter().any(felt)
    })
}

/// A candidate on its way.
struct Runner<'a> {
    /// None where the problem is ill-formed.
    posed: Option<Posed<'a>>,
    log_prior: f64,
    starts: Vec<Vec<f64>>,
    points: Vec<Point>,
    /// Its best point, once it was given up.
    given_up: Option<Vec<f64>>,
    summits: Vec<Summit>,
}

fn pose(rivals: &mut [Rival]) -> Vec<Runner<'_>> {
    rivals
        .iter_mut()
        .map(|rival| Runner {
            posed: rival
                .problem
                .check()
                .is_ok()
                .then(|| Posed::new(&mut rival.problem)),
            log_prior: rival.log_prior,
            starts: vec![],
            points: vec![],
            given_up: None,
            summits: vec![],
        })
        .collect()
}

impl Runner<'_> {
    /// Begins at the starts the problem names, or at the prior's centre. Starts that differ only in what no reading feels are one.
    fn begin(&mut self) {
        let Some(posed) = &self.posed else { return };
        let origin = vec![0.0; posed.unknowns];
        let mut felt = vec![false; posed.unknowns];
        posed
            .support
            .iter()
            .flatten()
            .for_each(|&unknown| felt[unknown] = true);
        for named in &posed.problem.starts {
            let mut start = origin.clone();
            for &(parameter, z) in named.iter().filter(|(parameter, _)| felt[*parameter]) {
                start[parameter] = z;
            }
            if !self.starts.contains(&start) {
                self.starts.push(start);
            }
        }
        if self.starts.is_empty() {
            self.starts.push(origin);
        }
    }

    fn begin_at(&mut self, points: &[Vec<f64>]) {
        let Some(posed) = &self.posed else { return };
        for point in points {
            let mut start = point.clone();
            start.resize(posed.unknowns, 0.0);
            self.starts.push(start);
        }
    }

    /// Takes every start through one robust stage.
    fn advance(&mut self, scale: f64) {
        let Some(posed) = &mut self.posed else { return };
        let starts = std::mem::take(&mut self.starts);
        let begun = std::mem::take(&mut self.points)
            .into_iter()
            .map(|point| point.z)
            .chain(starts);
        for start in begun {
            let Ok(point) = robust(posed, &start, scale) else {
                continue;
            };
            let same = self
                .points
                .iter()
                .position(|known| apart(&known.normal, &point.normal, &known.z, &point.z) < MET);
            match same {
                Some(known) if self.points[known].normal.cost <= point.normal.cost => {}
                Some(known) => self.points[known] = point,
                None => self.points.push(point),
            }
        }
    }

    /// Least cost of its points, its prior counted.
    fn cost(&self) -> f64 {
        let costs = self.points.iter().map(|point| point.normal.cost);
        costs.fold(f64::INFINITY, f64::min) - self.log_prior
    }

    /// Gives up the points that are hopelessly behind.
    fn drop_behind(&mut self, best: f64) {
        let limit = best + BEHIND + self.log_prior;
        if self.points.is_empty() {
            return;
        }
        if self.cost() > best + BEHIND {
            let least = self
                .points
                .iter()
                .min_by(|one, other| one.normal.cost.total_cmp(&other.normal.cost));
            self.given_up = least.map(|point| point.z.clone());
        }
        self.points.retain(|point| point.normal.cost <= limit);
    }

    /// Climbs from every point left to the mixture's peaks.
    fn finish(&mut self) {
        let Some(posed) = &mut self.posed else { return };
        for point in std::mem::take(&mut self.points) {
            if let Ok(Some(summit)) = climb(posed, &point.z, None) {
                admit(&mut self.summits, summit);
            }
        }
        if let (true, Some(z)) = (self.summits.is_empty(), self.given_up.take())
            && let Ok(Some(summit)) = climb(posed, &z, Some(0))
        {
            self.summits.push(summit);
        }
    }

    /// Logarithm of its evidence as far as it is known.
    fn log(&self) -> f64 {
        log_sum(self.summits.iter().map(|summit| summit.log))
    }

    /// Whether its known modes are gone, or it feels an unknown afresh, or holds a reading for a slip that was none before, while it is
    /// not hopelessly behind.
    fn is_shaken(&self, misread: &[usize], fresh: bool, best: f64) -> bool {
        let first = self
            .summits
            .iter()
            .max_by(|one, other| one.log.total_cmp(&other.log));
        let Some(first) = first else {
            return true;
        };
        (fresh || first.newly_holds(misread)) && self.log_prior + self.log() > best - BEHIND
    }

    fn ranked(mut self) -> Ranked {
        self.summits
            .sort_by(|left, right| right.log.total_cmp(&left.log));
        let most = self
            .summits
            .first()
            .map_or(f64::NEG_INFINITY, |first| first.log);
        self.summits
            .retain(|summit| summit.log >= most - MODE_BEHIND);
        self.summits.truncate(MOST_MODES);
        let log_evidence = self.log();
        let modes = self
            .summits
            .into_iter()
            .map(|summit| Mode {
                covariance: summit.factor.inverse(),
                misread: (0..summit.slipped.len())
                    .filter(|&reading| summit.slipped[reading] > MISREAD)
                    .collect(),
                probability: (summit.log - log_evidence).exp(),
                z: summit.z,
            })
            .collect();
        Ranked {
            log_evidence,
            probability: 0.0,
            posterior: Posterior { modes },
        }
    }
}

/// Takes a peak into the account; of two that are one the higher stays.
fn admit(summits: &mut Vec<Summit>, summit: Summit) {
    if !summit.log.is_finite() {
        return;
    }
    if summits
        .iter()
        .any(|known| known.is_same(&summit) && known.log >= summit.log)
    {
        return;
    }
    summits.retain(|known| !known.is_same(&summit));
    summits.push(summit);
}

/// Takes all that have begun through the robust stages side by side, and those that keep up to their peaks.
fn race(runners: &mut [Runner]) {
    for scale in STAGES {
        runners.iter_mut().for_each(|runner| runner.advance(scale));
        let best = runners
            .iter()
            .map(Runner::cost)
            .fold(f64::INFINITY, f64::min);
        runners
            .iter_mut()
            .for_each(|runner| runner.drop_behind(best));
    }
    runners.iter_mut().for_each(Runner::finish);
}

fn conclude(runners: Vec<Runner>, priors: &[f64]) -> Vec<Ranked> {
    let mut ranked: Vec<Ranked> = runners.into_iter().map(Runner::ranked).collect();
    let logs: Vec<f64> = ranked
        .iter()
        .zip(priors)
        .map(|(ranked, prior)| ranked.log_evidence + prior)
        .collect();
    let total = log_sum(logs.iter().copied());
    if total > f64::NEG_INFINITY {
        for (ranked, log) in ranked.iter_mut().zip(&logs) {
            ranked.probability = (log - total).exp();
        }
    }
    ranked
}
