//! What is known of turns and taps: 99 % bounds from the plate's and the parts' figures and from the posterior.
//!
//! A ratio that rests on nothing ("usual for such gear", or no figure at all) and that no reading taught stays unknown, which counts as
//! 40 : 1 both ways.

use crate::{Possible, UNKNOWN_RATIO};
use evidence::model::{Candidates, FindProblem, Key};
use evidence::{Binding, Mode, PRIOR_ONLY, Parameter, Posterior};
use gear::{Designation, Find};
use network::Meaning;
use quantity::{Quantity, Tolerance};
use std::collections::HashMap;

/// Half-width of a 99 % interval of a normal distribution, in standard deviations.
pub(crate) const NINETY_NINE: f64 = 2.575_829_303_548_901;
/// Written volts are rounded, or meant at load: width in ln (common practice, some per cent).
const WRITTEN: f64 = 0.02;
/// Counted turns: width in ln.
const COUNTED: f64 = 1e-3;
/// Candidates that together hold this much are not excluded.
const HELD: f64 = 0.99;
/// Modes of a posterior less probable than this are left out of bounds; what is left out stays below one per cent together.
const LEAST_MODE: f64 = 5e-4;

/// Bounds (99 %) on turns over those of the part's first winding, and on the positions of taps.
#[derive(Debug, Clone, Default)]
pub struct Turns {
    bounds: HashMap<(Designation, usize), (f64, f64)>,
    taps: HashMap<(Designation, usize, usize), (f64, f64)>,
}

impl Turns {
    /// Bounds of one winding: what was put in, else unknown.
    pub fn of(&self, part: &Designation, winding: usize) -> (f64, f64) {
        self.known(part, winding)
            .unwrap_or((1.0 / UNKNOWN_RATIO, UNKNOWN_RATIO))
    }

    /// Bounds of one winding, where anything is known.
    pub fn known(&self, part: &Designation, winding: usize) -> Option<(f64, f64)> {
        if winding == 0 {
            return Some((1.0, 1.0));
        }
        self.bounds.get(&(part.clone(), winding)).copied()
    }

    /// Puts in what is known of one winding. Bounds that are no numbers above zero, or that lie apart by more than an unknown ratio
    /// may, are not kept.
    pub fn bound(&mut self, part: Designation, winding: usize, low: f64, high: f64) {
        let sound = low > 0.0 && high >= low && high.is_finite();
        if sound && high / low < UNKNOWN_RATIO * UNKNOWN_RATIO {
            self.bounds.insert((part, winding), (low, high));
        } else {
            self.bounds.remove(&(part, winding));
        }
    }

    /// Bounds of a tap's position, where a reading taught it: fractions of the winding.
    pub fn tap(&self, part: &Designation, winding: usize, point: usize) -> Option<(f64, f64)> {
        self.taps.get(&(part.clone(), winding, point)).copied()
    }

    /// Puts in what is known of a tap's position.
    pub fn bound_tap(&mut self, part: Designation, winding: usize, point: usize, at: (f64, f64)) {
        if at.0 >= 0.0 && at.1 <= 1.0 && at.0 <= at.1 {
            self.taps.insert((part, winding, point), at);
        }
    }

    /// What the figures written on the parts say: turns, or volts.
    pub fn written(find: &Find) -> Self {
        let mut turns = Self::default();
        for part in &find.parts {
            let Some(wound) = part.kind.wound() else {
                continue;
            };
            let Some(first) = wound.windings.first() else {
                continue;
            };
            for (winding, this) in wound.windings.iter().enumerate().skip(1) {
                let counted = ratio(&this.turns, &first.turns, COUNTED);
                let written = || ratio(&this.volts, &first.volts, WRITTEN);
                if let Some((low, high)) = counted.or_else(written) {
                    turns.bound(part.designation.clone(), winding, low, high);
                }
            }
        }
        turns
    }

    /// Takes over what another knows.
    fn overrule(&mut self, other: Self) {
        self.bounds.extend(other.bounds);
        self.taps.extend(other.taps);
    }
}

/// 99 % bounds of one figure over another, from a width in ln, their last digits and their tolerances.
fn ratio(over: &Option<Quantity>, under: &Option<Quantity>, width: f64) -> Option<(f64, f64)> {
    let value = |q: &Option<Quantity>| q.as_ref()?.value().filter(|v| *v > 0.0);
    let (above, below) = (value(over)?, value(under)?);
    let width = [over, under].into_iter().flatten().fold(width, |width, q| {
        width.hypot(rounding(q)).hypot(tolerance(q))
    });
    let spread = (NINETY_NINE * width).exp();
    let middle = above / below;
    Some((middle / spread, middle * spread))
}

fn rounding(quantity: &Quantity) -> f64 {
    let share = || Some(quantity.step()? / quantity.value()? / 12f64.sqrt());
    share().map_or(0.0, f64::abs)
}

fn tolerance(quantity: &Quantity) -> f64 {
    let share = || match quantity.tolerance()? {
        Tolerance::Relative { plus, minus } => Some(plus.max(minus)),
        Tolerance::Absolute { plus, minus } => Some(plus.max(minus) / quantity.value()?),
    };
    share().map_or(0.0, |s| s.abs() / 3f64.sqrt())
}

/// 99 % bounds of ratios and taps from a posterior. A ratio that is prior only and rests on no figure stays unknown.
pub fn turns_of(problem: &FindProblem, posterior: &Posterior) -> Turns {
    let mut turns = Turns::default();
    for (setup, station) in problem.models.iter().zip(&problem.problem.stations) {
        for (meaning, binding) in setup.model.meanings.iter().zip(&station.bindings) {
            match meaning {
                Meaning::Turns { part, winding } => {
                    if let Some((low, high)) = ratio_bounds(problem, posterior, binding) {
                        turns.bound(part.clone(), *winding, low, high);
                    }
                }
                Meaning::Tap {
                    part,
                    winding,
                    point,
                } => {
                    let key = Key::Tap(part.clone(), *winding, *point);
                    let at = problem
                        .registry
                        .get(&key)
                        .and_then(|index| tap_bounds(problem, posterior, index));
                    if let Some(at) = at {
                        turns.bound_tap(part.clone(), *winding, *point, at);
                    }
                }
                _ => {}
            }
        }
    }
    turns
}

/// Bounds of a product of powers of positive parameters: in ln it is a sum, so its spread follows from the covariance exactly.
fn ratio_bounds(
    problem: &FindProblem,
    posterior: &Posterior,
    binding: &Binding,
) -> Option<(f64, f64)> {
    let Binding::Product {
        coefficient,
        powers,
    } = binding
    else {
        return None;
    };
    let parameters: Option<Vec<(usize, f64, &Parameter)>> = powers
        .iter()
        .map(|&(index, power)| Some((index, power, problem.problem.parameters.get(index)?)))
        .collect();
    let parameters = parameters?;
    let along: Vec<(usize, f64)> = parameters
        .iter()
        .map(|(index, power, p)| (*index, power * p.width))
        .collect();
    let prior: f64 = along.iter().map(|(_, slope)| slope * slope).sum();
    let at = |z: &dyn Fn(usize) -> f64| {
        parameters
            .iter()
            .map(|(index, power, p)| power * p.value(z(*index)).ln())
            .sum::<f64>()
            + coefficient.abs().ln()
    };
    let (mut low, mut high, mut variance) = (f64::INFINITY, f64::NEG_INFINITY, 0.0);
    for mode in &posterior.modes {
        let spread: f64 = along
            .iter()
            .map(|(i, a)| {
                along
                    .iter()
                    .map(|(j, b)| a * b * covariance(mode, *i, *j))
                    .sum::<f64>()
            })
            .sum();
        variance += mode.probability * spread;
        if mode.probability >= LEAST_MODE {
            let middle = at(&|index| centre(mode, index));
            let half = NINETY_NINE * spread.max(0.0).sqrt();
            low = low.min(middle - half);
            high = high.max(middle + half);
        }
    }
    let rests = parameters
        .iter()
        .any(|(_, _, p)| p.basis.starts_with("written") || p.basis.starts_with("counted"));
    let taught = variance < PRIOR_ONLY * PRIOR_ONLY * prior;
    (low <= high && (taught || rests)).then(|| (low.exp(), high.exp()))
}

/// Covariance of two z; a parameter the mode does not know yet stands at its prior.
fn covariance(mode: &Mode, one: usize, other: usize) -> f64 {
    let known = mode.covariance.get(one).and_then(|row| row.get(other));
    known
        .copied()
        .unwrap_or(if one == other { 1.0 } else { 0.0 })
}

fn centre(mode: &Mode, parameter: usize) -> f64 {
    mode.z.get(parameter).copied().unwrap_or(0.0)
}

fn tap_bounds(problem: &FindProblem, posterior: &Posterior, index: usize) -> Option<(f64, f64)> {
    let parameter = problem.problem.parameters.get(index)?;
    let mut at = (f64::INFINITY, f64::NEG_INFINITY);
    for mode in posterior
        .modes
        .iter()
        .filter(|m| m.probability >= LEAST_MODE)
    {
        let half = NINETY_NINE * covariance(mode, index, index).max(0.0).sqrt();
        at.0 = at.0.min(parameter.value(centre(mode, index) - half));
        at.1 = at.1.max(parameter.value(centre(mode, index) + half));
    }
    (at.0 <= at.1).then(|| (at.0.clamp(0.0, 1.0), at.1.clamp(0.0, 1.0)))
}

/// All candidates that together hold 99 %, each with what is known of its turns.
pub fn possible(candidates: &Candidates) -> Vec<Possible> {
    let mut held = 0.0;
    let mut list = Vec::new();
    for candidate in &candidates.list {
        if held >= HELD {
            break;
        }
        held += candidate.ranked.probability;
        let mut turns = Turns::written(&candidate.variant.find);
        turns.overrule(turns_of(&candidate.problem, &candidate.ranked.posterior));
        list.push(Possible {
            find: candidate.variant.find.clone(),
            turns,
        });
    }
    list
}
