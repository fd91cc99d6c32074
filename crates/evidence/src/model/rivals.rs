//! The find as recorded against what it may really be: every one-slip neighbour of its wiring and setups, ranked by the readings.
//!
//! Most neighbours are nowhere near the readings, so they are looked at twice: `screen` glances at each by the readings of one setup, then
//! looks at the few left by all of them, on straight lines (`straight`). Who comes near is weighed as the find as recorded was, slips and
//! all. `memory` keeps
//! who was how far behind, so that one reading more asks again only those it could bring back. `against` tells what speaks against each
//! loser.

mod against;
mod memory;
mod screen;
mod straight;

pub use against::Against;
pub use memory::Memory;

use super::{FindProblem, Nominal};
use crate::judging::weighed;
use crate::search::log_sum;
use crate::{Judged, Mode, Parameter, Posterior, Ranked, Transform};
use gear::{Find, Measured};
use screen::{From, Screened};
use std::sync::{Mutex, PoisonError};
use wiring::{Variant, VariantKind};

/// A candidate is *decided* for above this probability.
pub const DECIDED: f64 = 0.95;
/// Neighbours this far behind the best in ln after a glance are not looked at again: with what a straight line may be wrong by.
const BEHIND: f64 = 17.0;
/// Neighbours this far behind after the second look are not ranked.
const FAR_BEHIND: f64 = 12.0;
/// Most neighbours that are ranked, twins apart.
const MOST_RANKED: usize = 6;
/// Most twins kept of each: neighbours no reading tells apart.
const MOST_TWINS: usize = 5;
/// The find as recorded is at odds with its readings too where they cost this much more, in ln, than good ones do: one slip is no more
/// than half of it, places that float by the drawing and showed something soon are.
const DEAR: f64 = 18.0;
/// Where all neighbours together have less than this by the straight line, and the find as recorded is not at odds with its readings, nothing
/// more is asked.
const NOT_WORTH_RANKING: f64 = 0.005;
/// Candidates below this are left out, unless they are the best loser.
const LEAST: f64 = 1e-4;
/// Two candidates whose evidence differs by less than this, and that expect the same everywhere, are one to these readings.
const SAME: f64 = 0.05;
/// A variant of at least this weight is no slip but as likely as what was recorded: it stays, felt or not.
const AS_LIKELY: f64 = 0.2;
/// Threads that look at neighbours: what a small machine has.
const THREADS: usize = 2;
/// A reading more likely wrong than this puts the find as recorded at odds with its readings.
const AT_ODDS: f64 = 0.1;

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
    candidates_from(find, nominal, base, judged, &mut Memory::default())
}

/// The same for a find whose candidates were ranked before, most often with one reading less: `memory` says who was how far behind, and
/// is brought up to date. A memory of another find, or none, only costs time.
pub fn candidates_from(
    find: &Find,
    nominal: Nominal,
    base: &FindProblem,
    judged: &Judged,
    memory: &mut Memory,
) -> Candidates {
    let mut from = From {
        nominal,
        base,
        known: judged.posterior.modes.iter().map(|m| &m.z[..]).collect(),
        at_odds: at_odds(judged),
    };
    memory.meet(find, nominal, judged);
    let variants = memory.variants();
    let considered = variants.len();
    let recorded = with_readings(&variants[0], find);
    let recorded = screen::look(recorded, base.clone(), &from, f64::INFINITY);
    let (cost, log) = (recorded.cost, recorded.log);
    from.at_odds |= cost > DEAR + 0.5 * judged.readings.len() as f64;
    let limit = |index: usize| cost + BEHIND + variants[index].weight.ln();
    let asked = (1..considered).filter(|index| !memory.is_out_of_reach(*index));
    let costs = side_by_side(asked.collect(), |index| {
        let glimpsed = thinned(&variants[index].find, find, variants[index].kind);
        (index, screen::glance(&glimpsed, &from, limit(index)))
    });
    let (near, far): (Vec<_>, Vec<_>) = costs
        .into_iter()
        .partition(|(index, cost)| *cost <= limit(*index));
    let looks = side_by_side(near, |(index, _)| {
        let variant = with_readings(&variants[index], find);
        let problem = FindProblem::at_a_glance(&variant.find, nominal);
        (index, screen::look(variant, problem, &from, limit(index)))
    });
    let behind = far
        .iter()
        .map(|(index, theirs)| (*index, cost - theirs + variants[*index].weight.ln()));
    let looked = looks.iter().map(|(index, look)| (*index, look.log - log));
    let margins: Vec<(usize, f64)> = behind.chain(looked).collect();
    memory.note(&margins);
    let mut looked_at = vec![recorded];
    looked_at.extend(looks.into_iter().map(|(_, look)| look));
    let mut looked_at = nearest(looked_at);
    side_by_side(looked_at[1..].iter_mut().collect(), |screened| {
        screened.problem = FindProblem::new(&screened.variant.find, nominal);
    });
    let ranked = weigh(&mut looked_at, judged, from.at_odds);
    conclude(looked_at, ranked, considered)
}

/// Does one thing to each of many on a few threads, whoever is free taking the next; in their order.
fn side_by_side<I: Send, T: Send>(items: Vec<I>, each: impl Fn(I) -> T + Sync) -> Vec<T> {
    let left = Mutex::new(items.into_iter().enumerate());
    let take = || left.lock().unwrap_or_else(PoisonError::into_inner).next();
    let work = || {
        let mut done = Vec::new();
        while let Some((place, item)) = take() {
            done.push((place, each(item)));
        }
        done
    };
    let mut done = std::thread::scope(|scope| {
        let begun: Vec<_> = (1..THREADS).map(|_| scope.spawn(work)).collect();
        let mut done = work();
        for thread in begun {
            let theirs = thread.join();
            done.extend(theirs.unwrap_or_else(|gone| std::panic::resume_unwind(gone)));
        }
        done
    });
    done.sort_by_key(|(place, _)| *place);
    done.into_iter().map(|(_, told)| told).collect()
}

/// Whether the find as recorded is at odds with its readings: one that is wrong may be a slip and bends nothing, two may be the drawing.
fn at_odds(judged: &Judged) -> bool {
    let wrong = judged.readings.iter().filter(|r| r.wrong > AT_ODDS);
    judged.exhausted || wrong.count() > 1
}

/// A variant with the find's readings as they are now.
fn with_readings(variant: &Variant, find: &Find) -> Variant {
    let mut variant = variant.clone();
    variant.find.readings.clone_from(&find.readings);
    variant
}

/// A variant with the readings that tell most at a glance: of its own setup, or of the fed one with the most readings.
fn thinned(variant: &Find, find: &Find, kind: VariantKind) -> Find {
    let live = |setup: u32| {
        let of = find
            .readings
            .iter()
            .filter(|r| r.setup == setup && r.struck.is_none());
        of.filter(|r| !matches!(r.measured, Measured::Continuity | Measured::Resistance))
            .count()
    };
    let most = find
        .setups
        .iter()
        .map(|s| s.number)
        .max_by_key(|s| live(*s));
    let setup = match kind {
        VariantKind::Setup(number) => Some(number),
        _ => most,
    };
    let mut thinned = variant.clone();
    let told = |r: &&gear::Reading| Some(r.setup) == setup && r.struck.is_none();
    thinned.readings = find.readings.iter().filter(told).cloned().collect();
    thinned
}

/// The evidence of those that came near: ranked, unless it is plain that nothing speaks for any neighbour.
fn weigh(looked_at: &mut [Screened], judged: &Judged, at_odds: bool) -> Vec<Ranked> {
    let sum: f64 = looked_at
        .iter()
        .map(|s| (s.log - looked_at[0].log).exp())
        .sum();
    if !at_odds && 1.0 - 1.0 / sum < NOT_WORTH_RANKING {
        let by_line = |s: &Screened| Ranked {
            log_evidence: s.log_likelihood,
            probability: (s.log - looked_at[0].log).exp() / sum,
            posterior: if s.variant.kind == VariantKind::AsRecorded {
                judged.posterior.clone()
            } else {
                standing(s)
            },
        };
        return looked_at.iter().map(by_line).collect();
    }
    let told: Vec<Option<usize>> = (looked_at.iter())
        .map(|s| {
            let same = |of: &usize| same_parameters(&looked_at[*of].problem, &s.problem);
            s.twin_of.filter(same)
        })
        .collect();
    let alone = looked_at.iter_mut().zip(&told);
    let alone = alone.map(|(s, told)| told.is_none().then_some(s)).collect();
    let weighed = side_by_side(alone, |s| s.map(|s| weighed_alone(s, judged)));
    let mut ranked: Vec<Ranked> = Vec::new();
    for (weighed, told) in weighed.into_iter().zip(told) {
        let of_twin = || told.map(|of| ranked[of].clone());
        ranked.extend(weighed.or_else(of_twin));
    }
    let logs: Vec<f64> = ranked
        .iter()
        .zip(&*looked_at)
        .map(|(ranked, s)| ranked.log_evidence + s.variant.weight.ln())
        .collect();
    let total = log_sum(logs.iter().copied());
    for (ranked, log) in ranked.iter_mut().zip(logs) {
        ranked.probability = if total.is_finite() {
            (log - total).exp()
        } else {
            0.0
        };
    }
    ranked
}

/// Whether two problems have the same unknowns in the same places.
fn same_parameters(one: &FindProblem, other: &FindProblem) -> bool {
    let (a, b) = (&one.problem, &other.problem);
    let in_place = |(key, index)| other.registry.get(key) == Some(index);
    a.parameters.len() == b.parameters.len()
        && a.drift.len() == b.drift.len()
        && one.registry.keys().all(in_place)
}

/// One neighbour's evidence, slips summed over, begun near where a straight line led.
fn weighed_alone(screened: &mut Screened, judged: &Judged) -> Ranked {
    let told = if screened.variant.kind == VariantKind::AsRecorded {
        Some((judged.log_evidence, judged.posterior.clone()))
    } else {
        weighed(&mut screened.problem.problem, &screened.near)
    };
    let (log, posterior) = told.unwrap_or((f64::NEG_INFINITY, Posterior { modes: vec![] }));
    Ranked {
        log_evidence: log + screened.impossible,
        probability: 0.0,
        posterior,
    }
}

/// What is believed of a neighbour that was not fitted: its best point, as vague as its priors.
fn standing(screened: &Screened) -> Posterior {
    let modes = screened.near.first().map(|(_, z)| {
        let width = |row: usize| {
            let mut line = vec![0.0; z.len()];
            line[row] = 1.0;
            line
        };
        Mode {
            covariance: (0..z.len()).map(width).collect(),
            z: z.clone(),
            misread: vec![],
            probability: 1.0,
        }
    });
    Posterior {
        modes: modes.into_iter().collect(),
    }
}

/// The `what` of the candidate that stood above [`DECIDED`] before the last reading was taken, if one did: the candidates ranked again
/// without it.
pub fn stood_before(candidates: &Candidates) -> Option<String> {
    let mut logs = Vec::new();
    for candidate in &candidates.list {
        let mut problem = candidate.problem.problem.clone();
        problem.observations.pop()?;
        let last = problem.observations.len();
        let modes = candidate.ranked.posterior.modes.iter().take(1);
        let near: Vec<(Vec<usize>, Vec<f64>)> = modes
            .map(|mode| {
                let misread = mode.misread.iter().copied().filter(|r| *r != last);
                (misread.collect(), mode.z.clone())
            })
            .collect();
        let log = weighed(&mut problem, &near).map_or(f64::NEG_INFINITY, |told| told.0);
        logs.push(log + candidate.variant.weight.ln());
    }
    let total = log_sum(logs.iter().copied());
    let first = logs.iter().position(|log| (log - total).exp() > DECIDED)?;
    Some(candidates.list[first].variant.what.clone())
}

/// Those worth ranking, the likeliest first but as recorded before all, each with whose twin it is: one no reading tells from it, because
/// both expect the same everywhere. A slip that no reading feels is dropped: nothing speaks for it.
fn nearest(mut list: Vec<Screened>) -> Vec<Screened> {
    let best = list.iter().map(|s| s.log);
    let best = best.fold(f64::NEG_INFINITY, f64::max);
    list[1..].sort_by(|one, other| other.log.total_cmp(&one.log));
    let mut kept: Vec<Screened> = Vec::new();
    let mut twins: Vec<usize> = Vec::new();
    for mut one in list {
        let same = |k: &Screened| {
            (k.log_likelihood - one.log_likelihood).abs() < SAME && k.expects_as(&one)
        };
        let twin = kept.iter().position(|k| k.twin_of.is_none() && same(k));
        let unfelt = twin == Some(0) && one.variant.weight < AS_LIKELY;
        let far = !kept.is_empty() && one.log <= best - FAR_BEHIND;
        let leaders = kept.iter().filter(|k| k.twin_of.is_none()).count();
        let full = match twin {
            Some(of) => twins[of] >= MOST_TWINS,
            None => leaders > MOST_RANKED,
        };
        if unfelt || far || full {
            continue;
        }
        if let Some(of) = twin {
            twins[of] += 1;
        }
        one.twin_of = twin;
        kept.push(one);
        twins.push(0);
    }
    kept
}

fn conclude(looked_at: Vec<Screened>, ranked: Vec<Ranked>, considered: usize) -> Candidates {
    let mut list: Vec<Candidate> = looked_at
        .into_iter()
        .zip(ranked)
        .map(|(screened, ranked)| Candidate {
            variant: screened.variant,
            problem: screened.problem,
            ranked,
            against: None,
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

#[cfg(test)]
mod tests;
