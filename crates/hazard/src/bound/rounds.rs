//! The rounds of a bound: volts along paths give volts of windings, and those lower the volts along paths, from more than anything can be.

use super::{Bounds, Rules, Stands};

/// More than any winding in scope can have: where the iteration starts, volts.
const START: f64 = 1e5;
/// Rounds after which the bound reached is taken as it is.
const ROUNDS: usize = 200;
/// A round that lowers nothing by more than this share is the last.
const SETTLED: f64 = 1e-4;

impl Rules<'_> {
    pub(super) fn iterate(&self) -> Bounds {
        let mut emf: Vec<f64> = self
            .stands
            .iter()
            .map(|s| if *s == Stands::Still { 0.0 } else { START })
            .collect();
        let mut volts = self.paths(&emf);
        for _ in 0..ROUNDS {
            let before = emf.clone();
            self.lower(&volts, &mut emf);
            volts = self.paths(&emf);
            let moved = before
                .iter()
                .zip(&emf)
                .any(|(b, e)| b - e > SETTLED * e.max(1e-9));
            if !moved {
                break;
            }
        }
        Bounds { volts }
    }

    /// Lowers the volts of whole windings by what their pairs allow.
    fn lower(&self, volts: &[Vec<f64>], emf: &mut [f64]) {
        for rule in &self.within {
            if rule.least > 0.0 {
                let allowed = volts[rule.nodes.0][rule.nodes.1] / rule.least;
                emf[rule.winding] = emf[rule.winding].min(allowed);
            }
        }
        for (winding, volts_of) in emf.iter_mut().enumerate() {
            let core = self.graph.windings[winding].core;
            if self.uncertain[core] && self.stands[winding] != Stands::Still {
                *volts_of = volts_of.min(self.least_sure(volts, core, winding));
            }
        }
        for winding in 0..emf.len() {
            for other in 0..emf.len() {
                if self.graph.windings[winding].core == self.graph.windings[other].core {
                    let allowed = emf[other] * self.graph.most(winding, other);
                    emf[winding] = emf[winding].min(allowed);
                }
            }
        }
    }

    fn least_sure(&self, volts: &[Vec<f64>], core: usize, winding: usize) -> f64 {
        self.least_sure
            .iter()
            .filter(|rule| self.graph.windings[rule.winding].core == core)
            .map(|rule| {
                let across = volts[rule.nodes.0][rule.nodes.1];
                if rule.least > 0.0 {
                    across / rule.least * self.graph.most(winding, rule.winding)
                } else {
                    f64::INFINITY
                }
            })
            .reduce(f64::max)
            .unwrap_or(f64::INFINITY)
    }

    /// The least sum of volts along any path between all nodes (R. W. Floyd, Communications of the ACM 5 (1962), 345).
    fn paths(&self, emf: &[f64]) -> Vec<Vec<f64>> {
        let nodes = self.graph.names.len();
        let mut volts = vec![vec![f64::INFINITY; nodes]; nodes];
        (0..nodes).for_each(|n| volts[n][n] = 0.0);
        let mut set = |(a, b): (usize, usize), most: f64| {
            volts[a][b] = volts[a][b].min(most);
            volts[b][a] = volts[a][b];
        };
        self.fixed.iter().for_each(|(nodes, v)| set(*nodes, *v));
        for rule in &self.across {
            set(rule.nodes, rule.most * emf[rule.winding]);
        }
        for middle in 0..nodes {
            for from in 0..nodes {
                let first = volts[from][middle];
                if first.is_finite() {
                    let second = volts[middle].clone();
                    for (to, along) in volts[from].iter_mut().zip(second) {
                        *to = to.min(first + along);
                    }
                }
            }
        }
        volts
    }
}
