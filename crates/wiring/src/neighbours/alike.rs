//! Which finds no circuit can tell apart: the same terminals are one conductor, turns count the same way, every setup stands the same.
//! For finds of the same parts only.

use crate::polarity;
use gear::{Find, Setup, TerminalRef};
use std::collections::{HashMap, HashSet};

/// Finds of the same parts known so far.
pub(super) struct Alike {
    index: HashMap<TerminalRef, usize>,
    setups: Vec<Vec<Setup>>,
    known: HashSet<(Vec<usize>, Vec<bool>, usize)>,
}

impl Alike {
    /// Nothing known yet; `find` says which terminals there are.
    pub(super) fn of(find: &Find) -> Self {
        let mut index = HashMap::new();
        for part in &find.parts {
            for mark in part.terminals() {
                let next = index.len();
                index.entry(part.terminal(mark)).or_insert(next);
            }
        }
        Self {
            index,
            setups: Vec::new(),
            known: HashSet::new(),
        }
    }

    /// Whether a find is like none before it; it is known from now on.
    pub(super) fn is_new(&mut self, find: &Find) -> bool {
        let signs = find
            .parts
            .iter()
            .filter_map(|part| part.kind.wound())
            .flat_map(|wound| {
                (1..wound.windings.len()).map(|winding| polarity(wound, winding).reversed)
            })
            .collect();
        let setups = match self.setups.iter().position(|known| *known == find.setups) {
            Some(known) => known,
            None => {
                self.setups.push(find.setups.clone());
                self.setups.len() - 1
            }
        };
        self.known.insert((self.conductors(find), signs, setups))
    }

    /// Of each terminal the lowest one it is one conductor with.
    fn conductors(&self, find: &Find) -> Vec<usize> {
        let mut lowest: Vec<usize> = (0..self.index.len()).collect();
        let mut unite = |group: &mut dyn Iterator<Item = &TerminalRef>| {
            let mut members = group.filter_map(|t| self.index.get(t).copied());
            let Some(first) = members.next() else { return };
            for other in members {
                let (one, other) = (root(&lowest, first), root(&lowest, other));
                lowest[one.max(other)] = one.min(other);
            }
        };
        for join in &find.joins {
            unite(&mut join.terminals.iter());
        }
        for lead in &find.leads {
            if let Some(to) = &lead.to {
                unite(&mut [&lead.from, to].into_iter());
            }
        }
        (0..lowest.len()).map(|t| root(&lowest, t)).collect()
    }
}

fn root(lowest: &[usize], mut member: usize) -> usize {
    while lowest[member] != member {
        member = lowest[member];
    }
    member
}
