//! The find as recorded against what it may really be: every one-slip neighbour of its wiring and setups, ranked by the readings.
//!
//! Most neighbours are nowhere near the readings, so they are looked at twice: `screen` asks each, once, what it expects at the
//! posterior of the find as recorded and how far its parameters could bend towards the readings on a straight line; the few that come
//! near are ranked properly (`crate::rank`). `against` tells what speaks against each loser.

mod against;
mod screen;

pub use against::Against;

use super::{FindProblem, Nominal};
use crate::{Judged, Parameter, Ranked, Rival, Transform, rank::rank_near};
use gear::Find;
use screen::Screened;
use wiring::Variant;

/// A candidate is *decided* for above this probability.
pub const DECIDED: f64 = 0.95;
/// Neighbours this far behind the best in ln, by the straight line, are not ranked: a straight line is a fair guide to within this.
const BEHIND: f64 = 22.0;
/// Most neighbours that are ranked.
const MOST_RANKED: usize = 12;
/// Candidates below this are left out, unless they are the best loser.
const LEAST: f64 = 1e-4;
/// Two candidates whose evidence differs by less than this, and that expect the same everywhere, are one to these readings.
const SAME: f64 = 1e-3;
/// A variant of at least this weight is no slip but as likely as what was recorded: it stays, felt or not.
const AS_LIKELY: f64 = 0.2;
/// ln of the density of a reading a candidate's wiring makes impossible: as little as a floating place says, and far less probable.
const IMPOSSIBLE: f64 = -9.0;

/// One way the find may be, with what the readings say of it.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// The find as it would be.
    pub variant: Variant,
    /// Its problem.
    pub problem: FindProblem,
    /// Its evidence, probability and posterior.
    pub ranked: Ranked,
    /// What speaks most against it compared with the best; nothing against the best itself.
    pub against: Option<Against>,
}

/// The candidates that count.
#[derive(Debug, Clone)]
pub struct Candidates {
    /// Most probable first; as recorded is always among them. Those below 1e-4 are left out unless they are the best loser.
    pub list: Vec<Candidate>,
    /// How many were looked at.
    pub considered: usize,
    /// Whether the first stands above 0.95.
    pub decided: bool,
}

/// Ranks the find as recorded against its neighbours. `base` is the problem of the find as recorded, `judged` its judgement.
pub fn candidates(
    find: &Find,
    nominal: Nominal,
    base: &FindProblem,
    judged: &Judged,
) -> Candidates {
    let variants = wiring::variants(find);
    let considered = variants.len();
    let known: Vec<&[f64]> = judged.posterior.modes.iter().map(|m| &m.z[..]).collect();
    let mut looked_at: Vec<Screened> = variants
        .into_iter()
        .map(|variant| screen::look(variant, nominal, base, &known))
        .collect();
    merge(&mut looked_at);
    let best = looked_at
        .iter()
        .map(|s| s.log)
        .fold(f64::NEG_INFINITY, f64::max);
    // As recorded stands first and stays, whatever it is worth.
    looked_at[1..].sort_by(|one, other| other.log.total_cmp(&one.log));
    let mut place = 0;
    looked_at.retain(|s| {
        place += 1;
        place == 1 || (s.log > best - BEHIND && place <= MOST_RANKED + 1)
    });
    conclude(looked_at, considered)
}

/// The `what` of the candidate that stood above [`DECIDED`] before the last reading was taken, if one did: the candidates ranked again
/// without it.
pub fn stood_before(candidates: &Candidates) -> Option<String> {
    let list = &candidates.list;
    let mut rivals = Vec::new();
    let mut near = Vec::new();
    for candidate in list {
        let mut problem = candidate.problem.problem.clone();
        problem.observations.pop()?;
        rivals.push(Rival {
            problem,
            log_prior: candidate.variant.weight.ln(),
        });
        let modes = &candidate.ranked.posterior.modes;
        near.push(modes.iter().take(1).map(|m| m.z.clone()).collect());
    }
    let ranked = rank_near(&mut rivals, &near);
    let first = (0..list.len()).find(|&index| ranked[index].probability > DECIDED)?;
    Some(list[first].variant.what.clone())
}

/// Neighbours the readings cannot tell apart, because all expect the same everywhere, become one that says both. A slip that no reading
/// feels is dropped: nothing speaks for it.
fn merge(list: &mut Vec<Screened>) {
    let mut kept: Vec<Screened> = Vec::new();
    for one in list.drain(..) {
        let unfelt = kept.first().is_some_and(|recorded| {
            one.variant.weight < AS_LIKELY
                && (recorded.log_likelihood - one.log_likelihood).abs() < SAME
                && recorded.expects_as(&one)
        });
        if unfelt {
            continue;
        }
        let twin = kept
            .iter_mut()
            .skip(1)
            .find(|k| (k.log_likelihood - one.log_likelihood).abs() < SAME && k.expects_as(&one));
        match twin {
            Some(twin) => twin.absorb(one),
            None => kept.push(one),
        }
    }
    *list = kept;
}

fn conclude(looked_at: Vec<Screened>, considered: usize) -> Candidates {
    let near: Vec<Vec<Vec<f64>>> = looked_at.iter().map(|s| s.starts.clone()).collect();
    let mut rivals: Vec<Rival> = looked_at
        .iter()
        .map(|s| Rival {
            problem: s.problem.problem.clone(),
            log_prior: s.variant.weight.ln() + s.impossible as f64 * IMPOSSIBLE,
        })
        .collect();
    let ranked = rank_near(&mut rivals, &near);
    let mut list: Vec<Candidate> = looked_at
        .into_iter()
        .zip(rivals)
        .zip(ranked)
        .map(|((screened, rival), ranked)| {
            let mut problem = screened.problem;
            problem.problem = rival.problem;
            Candidate {
                variant: screened.variant,
                problem,
                ranked,
                against: None,
            }
        })
        .collect();
    list.sort_by(|one, other| other.ranked.probability.total_cmp(&one.ranked.probability));
    let mut place = 0;
    list.retain(|candidate| {
        place += 1;
        let recorded = candidate.variant.kind == wiring::VariantKind::AsRecorded;
        place <= 2 || recorded || candidate.ranked.probability >= LEAST
    });
    against::tell(&mut list);
    let decided = list
        .first()
        .is_some_and(|first| first.ranked.probability > DECIDED);
    Candidates {
        list,
        considered,
        decided,
    }
}

/// A point of one problem as a point of another: parameters by what they are of, at the same value; the rest at their priors' centres.
fn carried(z: &[f64], from: &FindProblem, to: &FindProblem) -> Vec<f64> {
    let parameters = to.problem.parameters.len();
    let mut carried = vec![0.0; parameters + to.problem.drift.len()];
    for (key, index) in to.registry.keys() {
        if let Some(old) = from.registry.get(key) {
            let (was, is) = (&from.problem.parameters[old], &to.problem.parameters[index]);
            carried[index] = if same_prior(was, is) {
                z[old]
            } else {
                standing_at(is, was.value(z[old]))
            };
        }
    }
    let moments = &z[from.problem.parameters.len()..];
    if moments.len() == to.problem.drift.len() {
        carried[parameters..].copy_from_slice(moments);
    }
    carried
}

fn same_prior(one: &Parameter, other: &Parameter) -> bool {
    one.transform == other.transform && one.centre == other.centre && one.width == other.width
}

/// The z at which a parameter has a value, as far as five widths out.
fn standing_at(parameter: &Parameter, value: f64) -> f64 {
    let logit = |x: f64| (x / (1.0 - x)).ln();
    let moved = match parameter.transform {
        Transform::Ln => (value / parameter.centre).ln(),
        Transform::Linear => value - parameter.centre,
        Transform::Logit => logit(value.clamp(1e-6, 1.0 - 1e-6)) - logit(parameter.centre),
    };
    let z = moved / parameter.width;
    if z.is_finite() {
        z.clamp(-5.0, 5.0)
    } else {
        0.0
    }
}
