//! Which terminals are one conductor: joins and leads of the find, less what a setup lifts, plus what it clips together.
//!
//! Fuses and switches do not join: they are elements of the network, so that their current can be asked and a setup can open
//! them. Order is deterministic: the find's order of parts and terminals.

use gear::{Designation, Find, PartKind, Setup, TerminalRef};
use std::collections::{HashMap, HashSet};

/// Which terminals are one conductor: the find's joins and leads, with a setup's links and lifted terminals.
#[derive(Debug, Clone, PartialEq)]
pub struct Conductors {
    /// Terminals of each conductor, in the find's order. Every terminal of every part stands in exactly one.
    pub groups: Vec<Vec<TerminalRef>>,
}

impl Conductors {
    /// The conductors of a find; in a setup, if one is given. Fuses and switches do not join: they are elements.
    /// Terminals that no part has are passed over; [`Find::faults`] names them.
    pub fn of(find: &Find, setup: Option<&Setup>) -> Self {
        let terminals = all_terminals(find);
        let index: HashMap<&TerminalRef, usize> =
            terminals.iter().enumerate().map(|(i, t)| (t, i)).collect();
        let lifted: HashSet<&TerminalRef> =
            setup.map(|s| s.lifted.iter().collect()).unwrap_or_default();
        let mut sets = Sets::new(terminals.len());
        let mut unite = |group: &mut dyn Iterator<Item = &TerminalRef>| {
            let mut members = group.filter_map(|t| index.get(t).copied());
            if let Some(first) = members.next() {
                members.for_each(|other| sets.unite(first, other));
            }
        };
        for join in &find.joins {
            unite(&mut join.terminals.iter().filter(|t| !lifted.contains(t)));
        }
        for lead in &find.leads {
            if let Some(to) = &lead.to {
                unite(&mut [&lead.from, to].into_iter().filter(|t| !lifted.contains(t)));
            }
        }
        for group in setup.iter().flat_map(|s| &s.joined) {
            unite(&mut group.iter());
        }
        Self {
            groups: sets.groups(terminals),
        }
    }

    /// Index of the conductor this terminal belongs to.
    pub fn find(&self, terminal: &TerminalRef) -> Option<usize> {
        self.groups.iter().position(|g| g.contains(terminal))
    }

    /// Whether two terminals are one conductor.
    pub fn joined(&self, one: &TerminalRef, other: &TerminalRef) -> bool {
        self.groups
            .iter()
            .any(|g| g.contains(one) && g.contains(other))
    }

    /// Name of a conductor for people: its first terminal on a terminal strip (`X1:N`), else its first terminal.
    pub fn name(&self, find: &Find, conductor: usize) -> String {
        let Some(group) = self.groups.get(conductor) else {
            return String::new();
        };
        group
            .iter()
            .find(|t| is_strip(find, &t.part))
            .or_else(|| group.first())
            .map_or_else(String::new, ToString::to_string)
    }

    /// The conductor on which any terminal strip's terminal of this mark stands (`PE`, `N`), the first in the find's order.
    pub fn marked(&self, find: &Find, mark: &str) -> Option<usize> {
        self.groups.iter().position(|g| {
            g.iter()
                .any(|t| t.terminal == mark && is_strip(find, &t.part))
        })
    }
}

/// Whether this part is a row of terminals.
fn is_strip(find: &Find, part: &Designation) -> bool {
    find.part(part)
        .is_some_and(|p| matches!(p.kind, PartKind::Terminals(_)))
}

/// Every terminal of every part once, in the find's order.
fn all_terminals(find: &Find) -> Vec<TerminalRef> {
    let mut seen = HashSet::new();
    find.parts
        .iter()
        .flat_map(|part| part.terminals().into_iter().map(|mark| part.terminal(mark)))
        .filter(|t| seen.insert(t.clone()))
        .collect()
}

/// Disjoint sets of terminal indices; the root of a set is its lowest index, so that order follows the find's.
struct Sets {
    parent: Vec<usize>,
}

impl Sets {
    fn new(count: usize) -> Self {
        Self {
            parent: (0..count).collect(),
        }
    }

    fn root(&mut self, mut member: usize) -> usize {
        while self.parent[member] != member {
            self.parent[member] = self.parent[self.parent[member]];
            member = self.parent[member];
        }
        member
    }

    fn unite(&mut self, one: usize, other: usize) {
        let (one, other) = (self.root(one), self.root(other));
        self.parent[one.max(other)] = one.min(other);
    }

    fn groups(mut self, terminals: Vec<TerminalRef>) -> Vec<Vec<TerminalRef>> {
        let mut groups: Vec<Vec<TerminalRef>> = Vec::new();
        let mut of_root: HashMap<usize, usize> = HashMap::new();
        for (i, terminal) in terminals.into_iter().enumerate() {
            let root = self.root(i);
            let group = *of_root.entry(root).or_insert_with(|| {
                groups.push(Vec::new());
                groups.len() - 1
            });
            groups[group].push(terminal);
        }
        groups
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use gear::{Join, JoinState, Lead, Part};

    fn t(text: &str) -> TerminalRef {
        TerminalRef::parse(text).unwrap()
    }

    fn part(designation: &str, kind: PartKind) -> Part {
        Part {
            designation: Designation::parse(designation).unwrap(),
            name: None,
            phase: None,
            kind,
        }
    }

    fn join(terminals: &[&str]) -> Join {
        Join {
            terminals: terminals.iter().map(|x| t(x)).collect(),
            state: JoinState::Assumed,
            note: None,
        }
    }

    fn lead(from: &str, to: Option<&str>) -> Lead {
        Lead {
            designation: Designation::parse("W1").unwrap(),
            from: t(from),
            to: to.map(t),
            colour: None,
            section: None,
            mark: None,
            state: JoinState::Seen,
        }
    }

    fn two_fuses() -> Find {
        Find {
            parts: vec![
                part("F1", PartKind::Fuse { current: None }),
                part("F2", PartKind::Switch),
                part("X1", PartKind::Terminals(vec!["1".into(), "PE".into()])),
            ],
            joins: vec![join(&["F1:2", "F2:1", "X1:1"])],
            leads: vec![lead("F1:1", Some("F2:2")), lead("X1:PE", None)],
            ..Find::default()
        }
    }

    fn words(c: &Conductors) -> Vec<String> {
        c.groups
            .iter()
            .map(|g| {
                g.iter()
                    .map(ToString::to_string)
                    .collect::<Vec<_>>()
                    .join(" ")
            })
            .collect()
    }

    #[test]
    fn joins_and_whole_leads_unite_and_cut_leads_do_not() {
        let c = Conductors::of(&two_fuses(), None);
        assert_eq!(words(&c), ["F1:1 F2:2", "F1:2 F2:1 X1:1", "X1:PE"]);
        assert!(c.joined(&t("F1:2"), &t("X1:1")));
        assert!(!c.joined(&t("F1:1"), &t("F1:2")), "a fuse is no join");
    }

    #[test]
    fn a_setup_lifts_and_clips() {
        let find = two_fuses();
        let setup = Setup {
            number: 1,
            at: None,
            what: None,
            feeds: vec![],
            sliders: vec![],
            switches: vec![],
            joined: vec![vec![t("F2:1"), t("X1:PE")]],
            lifted: vec![t("F2:1"), t("F2:2")],
            loads: vec![],
            temperature: None,
        };
        let c = Conductors::of(&find, Some(&setup));
        assert_eq!(words(&c), ["F1:1", "F1:2 X1:1", "F2:1 X1:PE", "F2:2"]);
    }

    #[test]
    fn names_prefer_the_strip() {
        let find = two_fuses();
        let c = Conductors::of(&find, None);
        assert_eq!(c.name(&find, 1), "X1:1");
        assert_eq!(c.name(&find, 0), "F1:1");
        assert_eq!(c.marked(&find, "PE"), Some(2));
        assert_eq!(c.name(&find, 9), "");
    }

    #[test]
    fn unknown_terminals_are_passed_over() {
        let mut find = two_fuses();
        find.joins.push(join(&["X1:PE", "X9:1"]));
        let c = Conductors::of(&find, None);
        assert_eq!(c.groups.iter().map(Vec::len).sum::<usize>(), 6);
        assert_eq!(c.find(&t("X9:1")), None);
    }
}
