//! Draws finds, ranks them in every order and counts.

use super::circuits::{PLACES, WIRINGS, Wiring, all};
use super::draw::{Find, draw};
use super::orders::{CAREFUL, DECIDED, End, HARD, add, ask, rivals, top};
use crate::chance::Chance;
use evidence::{Rival, rank, sampled};
use network::NetworkError;
use std::collections::BTreeMap;
use std::time::Instant;

/// Numbers of readings scored.
pub const SIZES: [usize; 4] = [4, 6, 8, 10];
/// Bounds between the bins of stated probabilities.
pub const BINS: [f64; 4] = [0.5, 0.8, 0.95, 0.99];
/// Readings at which Laplace's evidence is held against sampling, and draws for each wiring.
const AGAINST: (usize, usize) = (7, 3000);
/// Seeds of neighbouring finds are kept far apart.
const SEED_STRIDE: u64 = 0x9E37_79B9_7F4A_7C15;

/// What to run.
#[derive(Debug, Clone, Copy)]
pub struct Plan {
    /// Finds.
    pub finds: usize,
    /// Seed of the first.
    pub seed: u64,
    /// Threads.
    pub threads: usize,
    /// Whether the world departs from the model.
    pub strange: bool,
    /// Whether readings are asked for too.
    pub asked: bool,
    /// How many finds have Laplace's evidence held against sampling.
    pub against: usize,
}

/// Counts of one order and number of readings.
#[derive(Debug, Clone, Default)]
pub struct Row {
    /// Finds.
    pub finds: usize,
    /// Of them, with the right wiring first,
    pub first: usize,
    /// first or second,
    pub second: usize,
    /// and those whose first stands above 95 %.
    pub sure: usize,
    /// Of the sure, those right.
    pub sure_right: usize,
    /// Finds by stated probability of the first: how many, sum of stated, how many right.
    pub bins: [(usize, f64, usize); BINS.len() + 1],
    /// Seconds of each ranking.
    pub seconds: Vec<f64>,
}

/// Counts of asking.
#[derive(Debug, Clone, Default)]
pub struct Asking {
    /// Of those decided: readings, and whether right.
    pub decided: Vec<(usize, bool)>,
    /// Readings to the first time above the line.
    pub above: Vec<usize>,
    /// Finds for which it said that what is left cannot be told apart: readings, whether the right one stood first.
    pub undecidable: Vec<(usize, bool)>,
    /// Finds that ran out of places: whether the right one stood first.
    pub exhausted: Vec<bool>,
}

/// Laplace's evidence against sampling.
#[derive(Debug, Clone, Default)]
pub struct Against {
    /// Finds.
    pub finds: usize,
    /// Finds where both have the same winner.
    pub same: usize,
    /// Of the others: the larger of the two winners' probabilities.
    pub changed: Vec<f64>,
    /// Total variation between both posteriors.
    pub variation: Vec<f64>,
    /// Differences in ln of the evidence, of wirings above one in a thousand.
    pub differences: Vec<f64>,
}

/// All counts.
#[derive(Debug, Clone, Default)]
pub struct Score {
    /// Rows by order ("any order", "careful order") and readings.
    pub rows: BTreeMap<(&'static str, usize), Row>,
    /// True wiring and the one that stood first instead, at 10 readings in any order.
    pub confusions: BTreeMap<(usize, usize), usize>,
    /// Asking at all places, and at the hard ones.
    pub asking: [Asking; 2],
    /// Laplace against sampling.
    pub against: Against,
}

/// Runs a plan. The counts do not depend on the number of threads.
/// # Errors
/// The network's own.
pub fn run(plan: &Plan) -> Result<Score, NetworkError> {
    let wirings = all()?;
    let one_thread = |thread: usize| -> Result<Score, NetworkError> {
        let mut score = Score::default();
        for number in (thread..plan.finds).step_by(plan.threads.max(1)) {
            let seed = plan
                .seed
                .wrapping_add((number as u64).wrapping_mul(SEED_STRIDE));
            score.count(plan, &wirings, number, seed)?;
        }
        Ok(score)
    };
    let scores: Vec<Result<Score, NetworkError>> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..plan.threads.max(1))
            .map(|thread| scope.spawn(move || one_thread(thread)))
            .collect();
        let join = |worker: std::thread::ScopedJoinHandle<'_, _>| {
            worker
                .join()
                .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
        };
        workers.into_iter().map(join).collect()
    });
    let mut total = Score::default();
    for score in scores {
        total.add(score?);
    }
    Ok(total)
}

/// Every rival with these places read, in their order.
pub fn posed(find: &Find, wirings: &[Wiring], places: &[usize]) -> Vec<Rival> {
    let mut rivals = rivals(wirings);
    for (taken, &place) in places.iter().enumerate() {
        add(
            &mut rivals,
            wirings,
            place,
            find.shown(place, &places[..taken]),
        );
    }
    rivals
}

/// An order in which all places are read, by chance.
pub fn any_order(seed: u64) -> Vec<usize> {
    Chance::new(seed ^ 0x5EED).different(PLACES.len(), PLACES.len())
}

impl Score {
    fn count(
        &mut self,
        plan: &Plan,
        wirings: &[Wiring],
        number: usize,
        seed: u64,
    ) -> Result<(), NetworkError> {
        let find = draw(number % WIRINGS.len(), seed, plan.strange)?;
        let any = any_order(seed);
        for (name, order) in [("any order", &any[..]), ("careful order", &CAREFUL[..])] {
            for size in SIZES {
                self.count_order(wirings, &find, name, &order[..size]);
            }
        }
        if plan.asked {
            let every: Vec<usize> = (0..PLACES.len()).collect();
            for (asking, places) in self.asking.iter_mut().zip([&every[..], &HARD[..]]) {
                asking.count(&find, ask(&find, wirings, places)?);
            }
        }
        if number < plan.against {
            self.against
                .count(&mut posed(&find, wirings, &any[..AGAINST.0]));
        }
        Ok(())
    }

    fn count_order(
        &mut self,
        wirings: &[Wiring],
        find: &Find,
        name: &'static str,
        places: &[usize],
    ) {
        let mut rivals = posed(find, wirings, places);
        let begun = Instant::now();
        let ranked = rank(&mut rivals);
        let seconds = begun.elapsed().as_secs_f64();
        let (first, stated) = top(&ranked);
        let right = first == find.wiring;
        let ahead = ranked
            .iter()
            .filter(|other| other.probability > ranked[find.wiring].probability)
            .count();
        let row = self.rows.entry((name, places.len())).or_default();
        row.finds += 1;
        row.first += usize::from(right);
        row.second += usize::from(ahead < 2);
        row.sure += usize::from(stated > DECIDED);
        row.sure_right += usize::from(stated > DECIDED && right);
        let bin = &mut row.bins[BINS.iter().filter(|bound| stated > **bound).count()];
        *bin = (bin.0 + 1, bin.1 + stated, bin.2 + usize::from(right));
        row.seconds.push(seconds);
        if !right && name == "any order" && places.len() == 10 {
            *self.confusions.entry((find.wiring, first)).or_default() += 1;
        }
    }

    fn add(&mut self, other: Score) {
        for (key, more) in other.rows {
            let row = self.rows.entry(key).or_default();
            row.finds += more.finds;
            row.first += more.first;
            row.second += more.second;
            row.sure += more.sure;
            row.sure_right += more.sure_right;
            for (bin, more) in row.bins.iter_mut().zip(&more.bins) {
                *bin = (bin.0 + more.0, bin.1 + more.1, bin.2 + more.2);
            }
            row.seconds.extend(more.seconds);
        }
        for (key, more) in other.confusions {
            *self.confusions.entry(key).or_default() += more;
        }
        for (asking, more) in self.asking.iter_mut().zip(other.asking) {
            asking.decided.extend(more.decided);
            asking.above.extend(more.above);
            asking.undecidable.extend(more.undecidable);
            asking.exhausted.extend(more.exhausted);
        }
        self.against.finds += other.against.finds;
        self.against.same += other.against.same;
        self.against.changed.extend(other.against.changed);
        self.against.variation.extend(other.against.variation);
        self.against.differences.extend(other.against.differences);
    }
}

impl Asking {
    fn count(&mut self, find: &Find, (end, above): (End, Option<usize>)) {
        self.above.extend(above);
        match end {
            End::Decided(wiring, readings) => self.decided.push((readings, wiring == find.wiring)),
            End::Undecidable(wiring, readings) => {
                self.undecidable.push((readings, wiring == find.wiring))
            }
            End::Exhausted(wiring) => self.exhausted.push(wiring == find.wiring),
        }
    }
}

impl Against {
    fn count(&mut self, rivals: &mut [Rival]) {
        let ranked = rank(rivals);
        let logs: Vec<f64> = rivals
            .iter_mut()
            .zip(&ranked)
            .enumerate()
            .map(|(index, (rival, ranked))| {
                if ranked.probability < 1e-4 {
                    return ranked.log_evidence;
                }
                sampled(
                    &mut rival.problem,
                    &ranked.posterior,
                    AGAINST.1,
                    index as u64,
                )
                .unwrap_or(f64::NEG_INFINITY)
            })
            .collect();
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = logs.iter().map(|log| (log - most).exp()).sum();
        let probabilities: Vec<f64> = logs.iter().map(|log| (log - most).exp() / sum).collect();
        let (first, stated) = top(&ranked);
        let best = (0..logs.len()).fold(0, |best, index| {
            if logs[index] > logs[best] {
                index
            } else {
                best
            }
        });
        self.finds += 1;
        self.same += usize::from(best == first);
        if best != first {
            self.changed.push(stated.max(probabilities[best]));
        }
        let apart = ranked
            .iter()
            .zip(&probabilities)
            .map(|(ranked, other)| (ranked.probability - other).abs());
        self.variation.push(0.5 * apart.sum::<f64>());
        let counted = ranked
            .iter()
            .zip(&logs)
            .filter(|(ranked, _)| ranked.probability > 1e-3);
        self.differences
            .extend(counted.map(|(ranked, log)| ranked.log_evidence - log));
    }
}
