//! Chance from a seed: the few distributions a trial draws from.

/// Random numbers, the same for the same seed.
#[derive(Debug, Clone)]
pub struct Chance(fastrand::Rng);

impl Chance {
    /// Chance from a seed.
    pub fn new(seed: u64) -> Self {
        Self(fastrand::Rng::with_seed(seed))
    }

    /// Uniform between two bounds.
    pub fn uniform(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.f64()
    }

    /// Normal with mean 0 and standard deviation 1 (Box-Muller).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.0.f64()).ln()).sqrt();
        radius * (2.0 * std::f64::consts::PI * self.0.f64()).cos()
    }

    /// Below `bound`, each as likely.
    pub fn below(&mut self, bound: usize) -> usize {
        self.0.usize(..bound)
    }

    /// True with this probability.
    pub fn happens(&mut self, probability: f64) -> bool {
        self.0.f64() < probability
    }

    /// Index drawn in proportion to the shares.
    pub fn among(&mut self, shares: &[f64]) -> usize {
        let mut left = self.uniform(0.0, shares.iter().sum());
        for (index, share) in shares.iter().enumerate() {
            left -= share;
            if left < 0.0 {
                return index;
            }
        }
        shares.len().saturating_sub(1)
    }

    /// `count` different indices below `bound`.
    pub fn different(&mut self, count: usize, bound: usize) -> Vec<usize> {
        let mut all: Vec<usize> = (0..bound).collect();
        self.0.shuffle(&mut all);
        all.truncate(count);
        all
    }
}
