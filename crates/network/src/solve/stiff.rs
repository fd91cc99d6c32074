//! Loops of branches without impedance: which are harmless, which leave a current undetermined, which contradict each other.
//!
//! Around such a loop the EMFs must cancel, either by themselves or by what the cores on the loop are forced to. A loop that says
//! nothing new would make the equations singular: the equation of the branch that closes it is then replaced by *the circulating
//! current is nought*, which is how the current would split if every branch without impedance had the same small resistance (our
//! choice: the sum is right, the split of parallel links is no more than that). A loop that cannot be satisfied is an error with names.

use super::NetworkError;
use super::layout::{Branch, Kind};
use crate::circuit::Circuit;
use num_complex::Complex64;

/// EMFs around a loop that differ by less than this share count as cancelling: rounding of a sheet's numbers in a sum.
const ALIKE: f64 = 1e-9;
/// Turns around a loop that differ by less than this share count as cancelling.
const SAME_TURNS: f64 = 1e-12;

/// A closed walk: branches with the sign in which they are walked.
pub(super) type Loop = Vec<(usize, f64)>;

/// A branch whose equation says nothing new, and the circulating current that is set to nought instead.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Split {
    pub(super) branch: usize,
    pub(super) circulating: Vec<(usize, f64)>,
}

/// The independent loops of the stiff branches; the first of each is the branch that closes it.
pub(super) fn loops(branches: &[Branch], stiff: &[bool], nodes: usize) -> Vec<Loop> {
    // For each node: its parent, the branch to it and the depth, in a forest grown breadth first.
    let mut reached: Vec<Option<(usize, usize, f64, usize)>> = vec![None; nodes];
    let mut seen = vec![false; nodes];
    let mut in_tree = vec![false; branches.len()];
    for root in 0..nodes {
        if seen[root] {
            continue;
        }
        seen[root] = true;
        let mut queue = std::collections::VecDeque::from([(root, 0)]);
        while let Some((node, depth)) = queue.pop_front() {
            for (k, b) in branches.iter().enumerate().filter(|(k, _)| stiff[*k]) {
                let (other, sign) = match (b.from == node, b.to == node) {
                    (true, false) => (b.to, 1.0),
                    (false, true) => (b.from, -1.0),
                    _ => continue,
                };
                if !seen[other] {
                    seen[other] = true;
                    in_tree[k] = true;
                    // The branch walked from the parent to the node.
                    reached[other] = Some((node, k, sign, depth + 1));
                    queue.push_back((other, depth + 1));
                }
            }
        }
    }
    let closing = (0..branches.len()).filter(|&k| stiff[k] && !in_tree[k]);
    closing.map(|k| walk(k, branches[k], &reached)).collect()
}

/// The closing branch from `from` to `to`, then through the tree back to `from`.
fn walk(closing: usize, branch: Branch, reached: &[Option<(usize, usize, f64, usize)>]) -> Loop {
    let mut found = vec![(closing, 1.0)];
    let (mut a, mut b) = (branch.to, branch.from);
    while a != b {
        let depth = |n: usize| reached[n].map_or(0, |r| r.3);
        // From `to` one climbs against the direction parent to node; towards `from` one descends with it.
        let (end, against) = if depth(a) >= depth(b) {
            (&mut a, -1.0)
        } else {
            (&mut b, 1.0)
        };
        let Some((parent, k, sign, _)) = reached[*end] else {
            break;
        };
        found.push((k, against * sign));
        *end = parent;
    }
    found
}

struct Constraint {
    walked: Vec<f64>,
    turns: Vec<f64>,
    emf: Complex64,
}

impl Constraint {
    fn new(walk: &Loop, branches: &[Branch], cores: usize, values: &[f64]) -> (Self, f64, f64) {
        let mut one = Self {
            walked: vec![0.0; branches.len()],
            turns: vec![0.0; cores],
            emf: Complex64::ZERO,
        };
        let (mut most_turns, mut most_volts) = (0.0_f64, 0.0_f64);
        for &(k, sign) in walk {
            one.walked[k] += sign;
            if let Kind::Piece {
                core: Some(core), ..
            } = branches[k].kind
            {
                let turns = branches[k].turns(values);
                one.turns[core] += sign * turns;
                most_turns = most_turns.max(turns.abs());
            }
            let emf = branches[k].emf(values);
            one.emf += sign * emf;
            most_volts = most_volts.max(emf.norm());
        }
        (one, most_turns, most_volts)
    }

    fn reduce(&mut self, by: &Self, core: usize) {
        let share = self.turns[core] / by.turns[core];
        for (mine, theirs) in self.walked.iter_mut().zip(&by.walked) {
            *mine -= share * theirs;
        }
        for (mine, theirs) in self.turns.iter_mut().zip(&by.turns) {
            *mine -= share * theirs;
        }
        self.emf -= share * by.emf;
        self.turns[core] = 0.0;
    }
}

/// The branches whose equations are to be replaced.
/// # Errors
/// `ShortedSource`, `UnlikeSources` or `Contradiction` for a loop that cannot be satisfied.
pub(super) fn splits(
    circuit: &Circuit,
    branches: &[Branch],
    loops: &[Loop],
    values: &[f64],
) -> Result<Vec<Split>, NetworkError> {
    let mut kept: Vec<(usize, Constraint)> = Vec::new();
    let mut found = Vec::new();
    let (mut most_turns, mut most_volts) = (0.0_f64, 0.0_f64);
    for walk in loops {
        let (mut one, turns, volts) = Constraint::new(walk, branches, circuit.cores.len(), values);
        most_turns = most_turns.max(turns);
        most_volts = most_volts.max(volts);
        for (core, by) in &kept {
            one.reduce(by, *core);
        }
        let largest =
            (0..one.turns.len()).max_by(|&a, &b| one.turns[a].abs().total_cmp(&one.turns[b].abs()));
        if let Some(core) = largest.filter(|&c| one.turns[c].abs() > SAME_TURNS * most_turns) {
            kept.push((core, one));
        } else if one.emf.norm() > ALIKE * most_volts {
            return Err(fault(circuit, branches, &one.walked, values));
        } else {
            let circulating = one
                .walked
                .iter()
                .copied()
                .enumerate()
                .filter(|(_, w)| *w != 0.0)
                .collect();
            found.push(Split {
                branch: walk[0].0,
                circulating,
            });
        }
    }
    Ok(found)
}

/// Names what is on a walk that cannot be satisfied.
fn fault(circuit: &Circuit, branches: &[Branch], walked: &[f64], values: &[f64]) -> NetworkError {
    let (mut sources, mut others, mut wound) = (Vec::new(), Vec::new(), false);
    for (b, _) in branches.iter().zip(walked).filter(|(_, w)| **w != 0.0) {
        let drives = matches!(b.kind, Kind::Source { .. }) && b.emf(values) != Complex64::ZERO;
        wound |= matches!(b.kind, Kind::Piece { core: Some(_), .. }) && b.turns(values) != 0.0;
        let list = if drives { &mut sources } else { &mut others };
        let name = circuit.names[b.element].clone();
        if !list.contains(&name) {
            list.push(name);
        }
    }
    if wound {
        sources.append(&mut others);
        return NetworkError::Contradiction { elements: sources };
    }
    if sources.len() > 1 {
        return NetworkError::UnlikeSources { sources };
    }
    NetworkError::ShortedSource {
        source: sources.pop().unwrap_or_default(),
        by: others,
    }
}
