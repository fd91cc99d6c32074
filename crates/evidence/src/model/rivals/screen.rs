//! The looks at a neighbour: a glance by the readings of one setup, which most do not survive; then all readings, a few steps from
//! every point where it may stand, each as far as a straight line leads.

use super::carried;
use super::straight::{Reached, straight};
use crate::model::{FindProblem, Nominal};
use crate::posed::{Felt, Posed};
use crate::{Observation, Shown};
use gear::Find;
use wiring::Variant;

/// Steps of a glance, and of the second look.
const STEPS: (usize, usize) = (2, 3);
/// A point this much dearer than it may be is not followed further: from a point where the find as recorded agrees with its readings,
/// and from one that may be bent.
const HOPELESS: (f64, f64) = (10.0, 40.0);
/// What a reading costs that a neighbour's wiring makes impossible to take.
pub(super) const IMPOSSIBLE: f64 = 9.0;
/// Two expectations closer than this, in standard uncertainties of the reading, are one.
const ALIKE: f64 = 0.1;

/// Where to look from: the find as recorded with points known of it, and whether it is at odds with its readings. Then its points may
/// be bent, and the priors' centre is looked from too.
pub(super) struct From<'a> {
    pub(super) nominal: Nominal,
    pub(super) base: &'a FindProblem,
    pub(super) known: Vec<&'a [f64]>,
    pub(super) at_odds: bool,
}

/// A neighbour after the second look.
pub(super) struct Screened {
    pub(super) variant: Variant,
    pub(super) problem: FindProblem,
    /// Where to begin to fit it: readings that stand far off, and a point.
    pub(super) near: Vec<(Vec<usize>, Vec<f64>)>,
    /// ln of the density of the readings its wiring makes impossible to take.
    pub(super) impossible: f64,
    /// What priors and readings cost at its best point, in ln.
    pub(super) cost: f64,
    /// ln of its evidence by the straight line, prior apart.
    pub(super) log_likelihood: f64,
    /// The same with its prior.
    pub(super) log: f64,
    /// What it expects of each reading at its best point, with the reading's standard uncertainty.
    expected: Vec<(Felt, f64)>,
    /// Place of an earlier one in the list that no reading tells from it.
    pub(super) twin_of: Option<usize>,
}

impl Screened {
    /// Whether two neighbours expect the same of every reading.
    pub(super) fn expects_as(&self, other: &Self) -> bool {
        let alike = |((one, sigma), (other, _)): (&(Felt, f64), &(Felt, f64))| match (one, other) {
            (Felt::Value(one), Felt::Value(two)) => (one - two).abs() <= ALIKE * sigma,
            (one, two) => one == two,
        };
        self.expected.len() == other.expected.len()
            && self.expected.iter().zip(&other.expected).all(alike)
    }
}

/// What the readings of one setup cost a neighbour at least; infinite where its network has no answer.
pub(super) fn glance(find: &Find, from: &From, limit: f64) -> f64 {
    let mut problem = FindProblem::at_a_glance(find, from.nominal);
    let has = |problem: &FindProblem, number: u32| {
        let mut all = problem.problem.observations.iter();
        all.any(|o| o.number == number)
    };
    let lost = |r: &&gear::Reading| has(from.base, r.number) && !has(&problem, r.number);
    let missing = find.readings.iter().filter(lost).count();
    let reached = approach(&mut problem, from, limit, STEPS.0);
    let least = reached.iter().map(|(it, _)| it.cost);
    least.fold(f64::INFINITY, f64::min) + missing as f64 * IMPOSSIBLE
}

/// The second look, by all readings.
pub(super) fn look(variant: Variant, problem: FindProblem, from: &From, limit: f64) -> Screened {
    let mut problem = problem;
    let taken: Vec<u32> = problem
        .problem
        .observations
        .iter()
        .map(|o| o.number)
        .collect();
    let lost: Vec<&Observation> = from
        .base
        .problem
        .observations
        .iter()
        .filter(|o| !taken.contains(&o.number))
        .collect();
    let mut reached = approach(&mut problem, from, limit, STEPS.1);
    reached.sort_by(|(one, _), (other, _)| other.log.total_cmp(&one.log));
    let log_likelihood = reached
        .first()
        .map_or(f64::NEG_INFINITY, |(best, _)| best.log)
        - lost.len() as f64 * IMPOSSIBLE;
    let expected = reached.first().map_or_else(Vec::new, |(_, e)| e.clone());
    Screened {
        cost: reached.first().map_or(f64::INFINITY, |(best, _)| best.cost),
        log: log_likelihood + variant.weight.ln(),
        log_likelihood,
        variant,
        near: near(reached),
        problem,
        twin_of: None,
        impossible: lost.iter().map(|o| good(o) - IMPOSSIBLE).sum(),
        expected,
    }
}

/// Points to begin at: each with no reading held to be misread, and with those that stand far off.
fn near(reached: Vec<(Reached, Expectations)>) -> Vec<(Vec<usize>, Vec<f64>)> {
    let mut near: Vec<(Vec<usize>, Vec<f64>)> = Vec::new();
    for (it, _) in reached {
        if !it.far.is_empty() {
            near.push((vec![], it.z.clone()));
        }
        near.push((it.far, it.z));
    }
    near
}

/// ln of the density of a reading that shows just what was expected.
fn good(observation: &Observation) -> f64 {
    match observation.shown {
        Shown::Value { sigma, .. } => -sigma.ln() - 0.5 * (2.0 * std::f64::consts::PI).ln(),
        _ => 0.0,
    }
}

type Expectations = Vec<(Felt, f64)>;

/// Goes a few steps towards the readings from every point where a problem may stand.
fn approach(
    problem: &mut FindProblem,
    from: &From,
    limit: f64,
    steps: usize,
) -> Vec<(Reached, Expectations)> {
    let points = points(problem, from);
    let patience = if from.at_odds { HOPELESS.1 } else { HOPELESS.0 };
    let mut posed = Posed::new(&mut problem.problem);
    let mut reached: Vec<(Reached, Expectations)> = Vec::new();
    for point in points {
        let mut best: Option<(Reached, Expectations)> = None;
        let mut at = point;
        for _ in 0..steps {
            if posed.feel(&at).is_err() {
                break;
            }
            let Some(next) = straight(&posed, &at) else {
                break;
            };
            at.clone_from(&next.z);
            let settled = best
                .as_ref()
                .is_some_and(|(known, _)| (known.cost - next.cost).abs() < 0.1);
            let hopeless = next.cost > limit + patience;
            let expected = posed
                .here
                .felt
                .iter()
                .copied()
                .zip(posed.sigma.iter().copied());
            best = Some((next, expected.collect()));
            if settled || hopeless {
                break;
            }
        }
        reached.extend(best);
    }
    reached
}

/// Where a problem may stand: as the find as recorded stands; where that is at odds with its readings, at the priors' centres and on
/// the other sides of open sliders too.
fn points(problem: &FindProblem, from: &From) -> Vec<Vec<f64>> {
    let known = from.known.iter().take(1);
    let mut points: Vec<Vec<f64>> = known.map(|z| carried(z, from.base, problem)).collect();
    if from.at_odds || points.is_empty() {
        let centre = vec![0.0; problem.problem.parameters.len() + problem.problem.drift.len()];
        points.push(centre.clone());
        for start in &problem.problem.starts {
            let mut point = centre.clone();
            start.iter().for_each(|&(index, z)| point[index] = z);
            points.push(point);
        }
    }
    points
}
