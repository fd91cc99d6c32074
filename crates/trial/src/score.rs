//! Judges finds and counts how the judgement did.

use crate::draw::{Find, Slipping, draw};
use crate::world::{World, p};
use evidence::{alone, judge};
use network::NetworkError;
use std::time::Instant;

/// Above this probability a reading *contradicts*.
pub const CONTRADICTS: f64 = 0.5;
/// Above this it is *doubtful*.
pub const DOUBTFUL: f64 = 0.1;
/// Half-width of the 95 % interval in standard deviations.
const NINETY_FIVE: f64 = 1.96;

/// Counts over finds.
#[derive(Debug, Clone, Default)]
pub struct Score {
    /// Finds judged.
    pub finds: usize,
    /// Finds the network or the fit failed on.
    pub failed: usize,
    /// Readings that did not slip.
    pub good: usize,
    /// Of them, *contradicts*.
    pub contradicts: usize,
    /// Of them, *doubtful*.
    pub doubtful: usize,
    /// Finds with a good reading that *contradicts*.
    pub finds_accused: usize,
    /// Slipped readings that stand out by more than four standard uncertainties.
    pub material: usize,
    /// Of them, *contradicts*.
    pub found: usize,
    /// Of the found, those whose most probable kind is the one drawn.
    pub kind_right: usize,
    /// What perfect knowledge reaches on the same data.
    pub ceiling: Ceiling,
    /// Of readings by stated probability of being wrong ([`BINS`]): how many, sum of stated, how many slipped.
    pub reliability: [(usize, f64, usize); BINS.len() + 1],
    /// Of each parameter: finds whose 95 % interval holds the truth.
    pub covered: Vec<usize>,
    /// Of each parameter: sum over finds of ln of its posterior standard deviation in z.
    pub ln_widths: Vec<f64>,
    /// Seconds of each judgement.
    pub seconds: Vec<f64>,
}

/// Bounds between the bins of stated probabilities.
pub const BINS: [f64; 5] = [0.01, 0.1, 0.5, 0.9, 0.99];

/// Each reading judged by itself, all others known to be good or bad, the fit started at the truth.
#[derive(Debug, Clone, Copy, Default)]
pub struct Ceiling {
    /// Whether it was asked for.
    pub asked: bool,
    /// Material slips found.
    pub found: usize,
    /// Of them, kind right.
    pub kind_right: usize,
    /// Good readings called *contradicts*.
    pub contradicts: usize,
}

impl Ceiling {
    fn add(&mut self, other: Ceiling) {
        self.asked |= other.asked;
        self.found += other.found;
        self.kind_right += other.kind_right;
        self.contradicts += other.contradicts;
    }

    /// Judges each reading of a find by itself and counts it.
    fn count(&mut self, find: &mut Find) -> Result<(), NetworkError> {
        self.asked = true;
        let bad: Vec<usize> = (0..find.readings.len())
            .filter(|&reading| find.readings[reading].slip.is_some())
            .collect();
        for reading in 0..find.readings.len() {
            let truth = find.readings[reading].clone();
            let Some(said) = alone(&mut find.problem, &find.z, &bad, reading)? else {
                continue;
            };
            let called = said.wrong > CONTRADICTS;
            match truth.slip {
                None => self.contradicts += usize::from(called),
                Some(kind) if truth.material && called => {
                    self.found += 1;
                    self.kind_right += usize::from(said.kind == kind);
                }
                Some(_) => {}
            }
        }
        Ok(())
    }
}

impl Score {
    fn add(&mut self, other: &Score) {
        self.finds += other.finds;
        self.failed += other.failed;
        self.good += other.good;
        self.contradicts += other.contradicts;
        self.doubtful += other.doubtful;
        self.finds_accused += other.finds_accused;
        self.material += other.material;
        self.found += other.found;
        self.kind_right += other.kind_right;
        self.ceiling.add(other.ceiling);
        for (sum, more) in self.reliability.iter_mut().zip(&other.reliability) {
            *sum = (sum.0 + more.0, sum.1 + more.1, sum.2 + more.2);
        }
        self.covered.resize(p::COUNT, 0);
        self.covered
            .iter_mut()
            .zip(&other.covered)
            .for_each(|(sum, more)| *sum += more);
        self.ln_widths.resize(p::COUNT, 0.0);
        self.ln_widths
            .iter_mut()
            .zip(&other.ln_widths)
            .for_each(|(sum, more)| *sum += more);
        self.seconds.extend(&other.seconds);
    }

    /// Judges one find and counts it.
    fn count(&mut self, find: &mut Find) {
        self.covered.resize(p::COUNT, 0);
        self.ln_widths.resize(p::COUNT, 0.0);
        self.finds += 1;
        let begun = Instant::now();
        let Ok(judged) = judge(&mut find.problem) else {
            self.failed += 1;
            return;
        };
        self.seconds.push(begun.elapsed().as_secs_f64());
        let mut accused = false;
        for (truth, reading) in find.readings.iter().zip(&judged.readings) {
            let bin = BINS.iter().filter(|bound| reading.wrong > **bound).count();
            let (count, stated, slipped) = &mut self.reliability[bin];
            *count += 1;
            *stated += reading.wrong;
            *slipped += usize::from(truth.slip.is_some());
            match truth.slip {
                None => {
                    self.good += 1;
                    self.contradicts += usize::from(reading.wrong > CONTRADICTS);
                    self.doubtful +=
                        usize::from(reading.wrong > DOUBTFUL && reading.wrong <= CONTRADICTS);
                    accused |= reading.wrong > CONTRADICTS;
                }
                Some(kind) if truth.material => {
                    self.material += 1;
                    if reading.wrong > CONTRADICTS {
                        self.found += 1;
                        self.kind_right +=
                            usize::from(reading.kinds.first().is_some_and(|first| first.0 == kind));
                    }
                }
                Some(_) => {}
            }
        }
        self.finds_accused += usize::from(accused);
        let mode = &judged.posterior.modes[0];
        for (parameter, covered) in self.covered.iter_mut().enumerate() {
            let off = (find.z[parameter] - mode.z[parameter]).abs();
            let width = mode.covariance[parameter][parameter].sqrt();
            *covered += usize::from(off < NINETY_FIVE * width);
            self.ln_widths[parameter] += width.ln();
        }
    }
}

/// What to run.
#[derive(Debug, Clone, Copy)]
pub struct Plan {
    /// Finds.
    pub finds: usize,
    /// Readings of each.
    pub readings: usize,
    /// Slips among them.
    pub slipping: Slipping,
    /// Seed of the first find; the others follow from it.
    pub seed: u64,
    /// Threads.
    pub threads: usize,
    /// Whether to reckon the ceiling too.
    pub ceiling: bool,
}

/// Seeds of neighbouring finds are kept far apart.
pub const SEED_STRIDE: u64 = 0x9E37_79B9_7F4A_7C15;

/// Draws and judges finds. The counts do not depend on the number of threads.
/// # Errors
/// The network's own, when a find cannot be drawn.
pub fn run(plan: &Plan) -> Result<Score, NetworkError> {
    let world = World::new()?;
    run_on(plan, |seed| {
        draw(&world, seed, plan.readings, plan.slipping)
    })
}

/// Judges finds drawn another way, each from its seed.
/// # Errors
/// As [`run`].
pub fn run_on(
    plan: &Plan,
    drawn: impl Fn(u64) -> Result<Find, NetworkError> + Sync,
) -> Result<Score, NetworkError> {
    let drawn = &drawn;
    let one_thread = |thread: usize| -> Result<Score, NetworkError> {
        let mut score = Score::default();
        for find in (thread..plan.finds).step_by(plan.threads.max(1)) {
            let seed = plan
                .seed
                .wrapping_add((find as u64).wrapping_mul(SEED_STRIDE));
            let mut find = drawn(seed)?;
            score.count(&mut find);
            if plan.ceiling {
                score.ceiling.count(&mut find)?;
            }
        }
        Ok(score)
    };
    let mut total = Score::default();
    let scores: Vec<Result<Score, NetworkError>> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..plan.threads.max(1))
            .map(|thread| scope.spawn(move || one_thread(thread)))
            .collect();
        workers
            .into_iter()
            .map(|worker| {
                worker
                    .join()
                    .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
            })
            .collect()
    });
    for score in scores {
        total.add(&score?);
    }
    Ok(total)
}
