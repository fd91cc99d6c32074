//! The optimiser: Levenberg-Marquardt on residuals with exact derivatives.
//!
//! One optimiser for everything: the posterior mode of a find, and plain least squares, which is how it is held against published
//! sets. It is told normal equations (`normal`), takes damped Gauss-Newton steps in Marquardt's scaling and says honestly how it
//! ended. It knows no reading, no prior and no network; an evaluation that fails within the search is a step refused.
//!
//! Source: K. Madsen, H. B. Nielsen, O. Tingleff, *Methods for Non-Linear Least Squares Problems*, 2nd edition, 2004, algorithm
//! 3.16 (damping by the gain ratio); departs from it by Marquardt's diagonal scaling, by a limit to the step and by its end test,
//! which asks what a full Gauss-Newton step could still gain.

use crate::normal::Normal;

/// The linearised sum of squares about one point, in whatever space it is cheapest to solve: that of the unknowns ([`Normal`]), or
/// that of the readings, where each unknown has a prior.
pub trait Equations {
    /// Whether the full step is at hand once a point is evaluated, so that the end test costs nothing and may be made every round.
    const TELLS_GAIN: bool;

    /// Empty equations for so many unknowns.
    fn new(unknowns: usize) -> Self;

    /// Empties them, keeping their room.
    fn clear(&mut self);

    /// Half the sum of squares.
    fn cost(&self) -> f64;

    /// Whether everything in them is finite.
    fn is_finite(&self) -> bool;

    /// Keeps the greatest curvature seen as each unknown's scale; names unknowns that nothing feels.
    fn reweigh(&self, weights: &mut [f64]) -> Vec<usize>;

    /// The step damped by `damping` in the measure of `weights`; false if it cannot be solved for.
    fn step(&mut self, damping: f64, weights: &[f64], step: &mut [f64]) -> bool;

    /// What a step would gain were the residuals straight lines.
    fn foretold(&self, step: &[f64]) -> f64;

    /// What a full Gauss-Newton step would gain; `None` if it cannot be solved for.
    fn could_gain(&mut self) -> Option<f64>;
}

/// Something to be minimised: half a sum of squares.
pub trait Objective<Q: Equations = Normal> {
    /// Why it cannot be evaluated somewhere.
    type Error;

    /// Number of unknowns.
    fn unknowns(&self) -> usize;

    /// Adds all residuals at `at` to the (cleared) equations.
    /// # Errors
    /// Why it cannot be evaluated there.
    fn evaluate(&mut self, at: &[f64], equations: &mut Q) -> Result<(), Self::Error>;
}

/// How to search.
#[derive(Debug, Clone, Copy)]
pub struct Options {
    /// Most steps taken.
    pub rounds: usize,
    /// Longest step in any one unknown; infinite for none.
    pub step_limit: f64,
    /// Damping to begin with, as a share of each unknown's curvature.
    pub damping: f64,
    /// Ends when a full Gauss-Newton step would gain less than this share of the cost,
    pub relative: f64,
    /// or less than this in cost itself.
    pub absolute: f64,
    /// Given up where the cost, at the pace of the last rounds, would still be above this when the rounds are spent; infinite for never.
    pub hopeless: f64,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            rounds: 200,
            step_limit: f64::INFINITY,
            damping: 1e-3,
            relative: 1e-15,
            absolute: 1e-18,
            hopeless: f64::INFINITY,
        }
    }
}

/// How a search ended.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome<E> {
    /// At a minimum, as far as a Gauss-Newton step can tell.
    Converged,
    /// Rounds spent, or no step leads down any more although one should.
    NotConverged,
    /// Impossible values: it could not be evaluated at the start.
    Impossible(E),
    /// Some unknowns are felt by no residual: whatever stands there is no answer.
    Unfelt(Vec<usize>),
}

/// Where a search ended.
#[derive(Debug, Clone)]
pub struct Minimum<E, Q = Normal> {
    /// The unknowns.
    pub at: Vec<f64>,
    /// The equations there; their cost is half the sum of squares.
    pub normal: Q,
    /// Steps taken.
    pub rounds: usize,
    /// What a full Gauss-Newton step would still gain in cost; not a number if that cannot be told.
    pub residual: f64,
    /// How it ended.
    pub outcome: Outcome<E>,
}

/// Damping beyond which no step is tried any more.
const MOST_DAMPING: f64 = 1e14;
/// Least damping worth adding: below it a step is Gauss-Newton's own in double precision.
const LEAST_DAMPING: f64 = 1e-12;
/// A step is kept if it gains at least this share of what was foretold.
const LEAST_GAIN_RATIO: f64 = 1e-4;
/// A step that gains nearly all that was foretold may be damped this much less: the cost is a parabola here.
const TRUSTED_GAIN_RATIO: f64 = 0.9;
/// By how much damping falls after a trusted step.
const TRUSTED_EASING: f64 = 0.05;

/// Over so many rounds the pace is taken.
const PACE: usize = 6;

/// Searches from `start` for a minimum.
pub fn minimise<Q: Equations, O: Objective<Q>>(
    objective: &mut O,
    start: &[f64],
    options: &Options,
) -> Minimum<O::Error, Q> {
    let unknowns = objective.unknowns();
    let mut normal = Q::new(unknowns);
    let at = start.to_vec();
    if let Err(error) = objective.evaluate(&at, &mut normal) {
        return Minimum {
            at,
            normal,
            rounds: 0,
            residual: f64::NAN,
            outcome: Outcome::Impossible(error),
        };
    }
    let mut search = Search {
        trial_at: at.clone(),
        step: vec![0.0; unknowns],
        trial: Q::new(unknowns),
        weights: vec![0.0; unknowns],
        damping: options.damping,
        growth: 2.0,
        at,
        normal,
    };
    if Q::TELLS_GAIN && search.arrived(options) {
        return search.end(0, Outcome::Converged);
    }
    let mut before = search.normal.cost();
    for rounds in 0..options.rounds {
        if rounds > 0 && rounds % PACE == 0 {
            let now = search.normal.cost();
            let paces = (options.rounds - rounds) as f64 / PACE as f64;
            if now > options.hopeless && now * (now / before).powf(paces) > options.hopeless {
                return search.end(rounds, Outcome::NotConverged);
            }
            before = now;
        }
        if let Some(unfelt) = search.reweigh() {
            return search.end(rounds, Outcome::Unfelt(unfelt));
        }
        match search.advance(objective, options) {
            Advance::Stepped => {}
            Advance::Arrived => return search.end(rounds + 1, Outcome::Converged),
            Advance::Stuck => return search.end(rounds, Outcome::NotConverged),
        }
    }
    let arrived = search.arrived(options);
    search.end(
        options.rounds,
        if arrived {
            Outcome::Converged
        } else {
            Outcome::NotConverged
        },
    )
}

enum Advance {
    Stepped,
    Arrived,
    Stuck,
}

struct Search<Q> {
    at: Vec<f64>,
    normal: Q,
    trial_at: Vec<f64>,
    trial: Q,
    step: Vec<f64>,
    weights: Vec<f64>,
    damping: f64,
    growth: f64,
}

impl<Q: Equations> Search<Q> {
    fn reweigh(&mut self) -> Option<Vec<usize>> {
        let unfelt = self.normal.reweigh(&mut self.weights);
        (!unfelt.is_empty()).then_some(unfelt)
    }

    fn enough(&self, options: &Options) -> f64 {
        options.relative * self.normal.cost() + options.absolute
    }

    fn arrived(&mut self, options: &Options) -> bool {
        let enough = self.enough(options);
        self.normal.could_gain().is_some_and(|gain| gain <= enough)
    }

    /// One step down, or the reason there is none.
    fn advance<O: Objective<Q>>(&mut self, objective: &mut O, options: &Options) -> Advance {
        while self.damping <= MOST_DAMPING {
            let Some(foretold) = self.aim(options.step_limit) else {
                self.stiffen();
                continue;
            };
            let enough = self.enough(options);
            self.trial.clear();
            let usable = objective.evaluate(&self.trial_at, &mut self.trial).is_ok()
                && self.trial.is_finite();
            let gained = if usable {
                self.normal.cost() - self.trial.cost()
            } else {
                f64::NEG_INFINITY
            };
            if gained >= LEAST_GAIN_RATIO * foretold && gained >= 0.0 {
                std::mem::swap(&mut self.at, &mut self.trial_at);
                std::mem::swap(&mut self.normal, &mut self.trial);
                self.ease(gained / foretold.max(f64::MIN_POSITIVE));
                let small = foretold <= enough.max(gained.abs() * 1e-9);
                return if (small || Q::TELLS_GAIN) && self.arrived(options) {
                    Advance::Arrived
                } else {
                    Advance::Stepped
                };
            }
            // Near the bottom rounding decides which side is lower; there the full step's gain is the honest test.
            if foretold <= f64::EPSILON * self.normal.cost().max(f64::MIN_POSITIVE) * 16.0 + enough
            {
                let rounding = 64.0 * f64::EPSILON * self.normal.cost();
                let gain = self.normal.could_gain();
                if gain.is_some_and(|gain| gain <= rounding + enough) {
                    return Advance::Arrived;
                }
            }
            self.stiffen();
        }
        Advance::Stuck
    }

    /// Sets `step` and `trial_at`; the gain foretold, or nothing if the damped equations cannot be solved.
    fn aim(&mut self, limit: f64) -> Option<f64> {
        if !self
            .normal
            .step(self.damping, &self.weights, &mut self.step)
        {
            return None;
        }
        let longest = self
            .step
            .iter()
            .fold(0.0_f64, |most, value| most.max(value.abs()));
        if !longest.is_finite() {
            return None;
        }
        if longest > limit {
            let share = limit / longest;
            self.step.iter_mut().for_each(|value| *value *= share);
        }
        for ((trial, at), step) in self.trial_at.iter_mut().zip(&self.at).zip(&self.step) {
            *trial = at + step;
        }
        Some(self.normal.foretold(&self.step))
    }

    fn ease(&mut self, gain_ratio: f64) {
        let share = if gain_ratio > TRUSTED_GAIN_RATIO {
            TRUSTED_EASING
        } else {
            (1.0 - (2.0 * gain_ratio - 1.0).powi(3)).max(1.0 / 3.0)
        };
        self.damping = (self.damping * share).max(LEAST_DAMPING);
        self.growth = 2.0;
    }

    fn stiffen(&mut self) {
        self.damping = self.damping.max(1e-7) * self.growth;
        self.growth *= 2.0;
    }

    fn end<E>(mut self, rounds: usize, outcome: Outcome<E>) -> Minimum<E, Q> {
        let residual = self.normal.could_gain().unwrap_or(f64::NAN);
        Minimum {
            at: self.at,
            normal: self.normal,
            rounds,
            residual,
            outcome,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Minimum, Objective, Options, Outcome, minimise};
    use crate::normal::Normal;

    /// A sum of squares told by a closure: residuals with their slopes.
    struct Told<F>(usize, F);
    impl<F: FnMut(&[f64]) -> Result<Vec<(f64, Vec<f64>)>, String>> Objective for Told<F> {
        type Error = String;
        fn unknowns(&self) -> usize {
            self.0
        }
        fn evaluate(&mut self, at: &[f64], normal: &mut Normal) -> Result<(), String> {
            for (residual, slopes) in (self.1)(at)? {
                normal.add(residual, &slopes);
            }
            Ok(())
        }
    }

    fn valley(at: &[f64]) -> Result<Vec<(f64, Vec<f64>)>, String> {
        Ok(vec![
            (10.0 * (at[1] - at[0] * at[0]), vec![-20.0 * at[0], 10.0]),
            (1.0 - at[0], vec![-1.0, 0.0]),
        ])
    }

    #[test]
    fn walks_a_curved_valley_to_its_end() {
        let found: Minimum<String> =
            minimise(&mut Told(2, valley), &[-1.2, 1.0], &Options::default());
        assert_eq!(found.outcome, Outcome::Converged);
        assert!(
            (found.at[0] - 1.0).abs() < 1e-9 && (found.at[1] - 1.0).abs() < 1e-9,
            "{:?}",
            found.at
        );
    }

    #[test]
    fn spent_rounds_are_told_with_what_is_left() {
        let found = minimise(
            &mut Told(2, valley),
            &[-1.2, 1.0],
            &Options {
                rounds: 3,
                ..Options::default()
            },
        );
        assert_eq!((found.outcome, found.rounds), (Outcome::NotConverged, 3));
        assert!(found.residual > 1e-3);
    }

    #[test]
    fn a_hopeless_search_is_given_up_and_one_on_its_way_is_not() {
        let found = |offset: f64, rounds: usize| {
            // Far away at a step of 1.5 a round, above a floor.
            let slope = move |at: &[f64]| Ok(vec![(at[0] - 40.0, vec![1.0]), (offset, vec![0.0])]);
            let options = Options {
                rounds,
                step_limit: 1.5,
                hopeless: 60.0,
                ..Options::default()
            };
            minimise(&mut Told(1, slope), &[0.0], &options)
        };
        // On its way to a floor of 50, below what is hopeless; to one of 5000, above it.
        assert_eq!(found(10.0, 60).outcome, Outcome::Converged);
        let given_up = found(100.0, 60);
        assert!(given_up.outcome == Outcome::NotConverged && given_up.rounds < 12);
    }

    #[test]
    fn an_impossible_start_is_told_by_its_own_error() {
        let found = minimise(
            &mut Told(1, |_: &[f64]| Err("slider outside its track".to_owned())),
            &[0.0],
            &Options::default(),
        );
        assert_eq!(
            found.outcome,
            Outcome::Impossible("slider outside its track".to_owned())
        );
    }

    #[test]
    fn an_unknown_that_nothing_feels_is_named() {
        let found = minimise(
            &mut Told(2, |at: &[f64]| Ok(vec![(at[0] - 3.0, vec![1.0, 0.0])])),
            &[0.0, 5.0],
            &Options::default(),
        );
        assert_eq!(found.outcome, Outcome::Unfelt(vec![1]));
    }

    #[test]
    fn an_error_within_the_search_is_a_step_refused() {
        let wall = |at: &[f64]| {
            if at[0] <= 0.0 {
                Err("below zero".to_owned())
            } else {
                Ok(vec![(at[0].ln() - 2.0, vec![1.0 / at[0]])])
            }
        };
        let found = minimise(
            &mut Told(1, wall),
            &[300.0],
            &Options {
                damping: 0.0,
                ..Options::default()
            },
        );
        assert_eq!(found.outcome, Outcome::Converged);
        assert!((found.at[0] - 2f64.exp()).abs() < 1e-9);
    }
}
