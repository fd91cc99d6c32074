//! The fewest dead tests where the number of windings is known: every sorting still possible is kept, and each test halves them.
//!
//! A test is one lead against any others clipped together, placed or not: path or no path. All sortings the readings allow are listed
//! (some thousands at most; where there are more, `sorting` places one lead after another). Each weighs `2^tests`, the readings its taps
//! want afterwards; a test is worth taking when neither answer leaves more than half of what fits into the tests told. For a few
//! sortings other tests are tried where the most even one fails. So 8, 9 and 10 leads of 4 windings take 7, 11 and 14 tests, and no
//! way of asking for yes or no takes fewer, for there are 105, 1,260 and 9,450 sortings.

use crate::least::sortings;
use crate::observed::{Seen, What};
use crate::sorting::{Ask, Sorting, by_need, ceil_log2, ohms};
use std::cell::RefCell;
use std::cmp::Reverse;
use std::collections::HashMap;

/// Most sortings kept: a tenth of a second's work.
const MOST: u128 = 12_000;
/// Leads that fit into a set.
const MOST_LEADS: usize = 16;
/// Sortings up to which other tests are tried than the most even one.
const FEW: usize = 256;
/// How many are tried then.
const TRIED: usize = 12;
/// Leads in question up to which every bundle is looked at, for few sortings.
const ALL_BUNDLES: u32 = 9;

/// Some leads.
type Set = u16;

/// One sorting: for every lead the leads of its winding, itself included; and the tests its taps want.
#[derive(Clone)]
struct Way {
    with: [Set; MOST_LEADS],
    weight: u128,
}

/// What the readings leave.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Left {
    /// The leads of each winding.
    One(Vec<Vec<usize>>),
    /// What to ask, and the dead tests left at worst, the order of taps in them.
    Many(Ask, u32),
    /// No sorting fits: readings without any one of which some does.
    None(Vec<u32>),
}

/// What is left of the sortings; `None` where they are too many to be listed, or where every winding may be tapped (the ends of the one
/// to feed would have to be read then).
pub(crate) fn left(count: usize, windings: Option<usize>, seen: &[Seen]) -> Option<Left> {
    let known = windings.filter(|k| count < 3 * k && count <= MOST_LEADS)?;
    let number = sortings(count, Some(known));
    if number == 0 || number > MOST {
        return None;
    }
    TREES.with(|trees| {
        let mut trees = trees.borrow_mut();
        let tree = trees
            .entry((count, known))
            .or_insert_with(|| Tree::new(count, known));
        Some(tree.left(seen))
    })
}

/// Puts what is left of the sortings into what placing one lead after another gave, where it says more or asks fewer tests.
pub(crate) fn narrow(sorting: &mut Sorting, count: usize, windings: Option<usize>, seen: &[Seen]) {
    match left(count, windings, seen) {
        Some(Left::One(groups)) => {
            sorting.groups = groups;
            for group in &mut sorting.groups {
                stand_for(group, seen);
                let alone = group.iter().skip(1).filter(|l| !named(group[0], **l, seen));
                sorting.by_elimination.extend(alone);
            }
            sorting.ask = None;
            sorting.left = 0;
            sorting.conflict = None;
        }
        Some(Left::Many(ask, tests)) if sorting.ask.is_some() && tests <= sorting.left => {
            sorting.ask = Some(ask);
            sorting.left = tests;
        }
        Some(Left::None(readings)) if !readings.is_empty() || sorting.conflict.is_none() => {
            let what = "no sorting into so many windings of two leads or more fits all tests";
            sorting.conflict = Some((by_need(readings, seen), what.to_owned()));
        }
        _ => {}
    }
}

/// Puts the lead first from which most ohms were read, the earliest such: a later reading must not turn what is still wanted.
fn stand_for(group: &mut [usize], seen: &[Seen]) {
    let read = |first: usize| {
        let others = group.iter().filter(|l| **l != first);
        let readings = others.filter_map(|l| ohms(group, (first, *l), seen).map(|(_, r)| r));
        let (count, last) = readings.fold((0, 0), |(n, last), r| (n + 1, r.max(last)));
        (count, Reverse(last), Reverse(first))
    };
    let most = group.iter().copied().max_by_key(|l| read(*l));
    group.sort_by_key(|l| (Some(*l) != most, *l));
}

/// Whether some test showed a path with these two in it.
fn named(one: usize, other: usize, seen: &[Seen]) -> bool {
    seen.iter().any(|s| match &s.what {
        What::Path {
            lead,
            against,
            path: true,
            ..
        } => {
            let in_it = |l: usize| *lead == l || against.contains(&l);
            in_it(one) && in_it(other)
        }
        _ => false,
    })
}

thread_local! {
    /// What was worked out before: the same questions come up after every reading, and for every part of as many leads.
    static TREES: RefCell<HashMap<(usize, usize), Tree>> = RefCell::new(HashMap::new());
}

/// All sortings of so many leads, and the tests worked out so far.
struct Tree {
    count: usize,
    ways: Vec<Way>,
    /// By what is still possible and the tests told: the test to make, if those tests are enough.
    known: HashMap<(Vec<u16>, u32), Option<Test>>,
}

/// A lead, and those it is held against.
type Test = (usize, Set);

impl Tree {
    fn new(count: usize, windings: usize) -> Self {
        let mut ways = Vec::new();
        let all = ((1u32 << count) - 1) as Set;
        list(all, windings, &mut [0; MOST_LEADS], &mut ways);
        Self {
            count,
            ways,
            known: HashMap::new(),
        }
    }

    fn left(&mut self, seen: &[Seen]) -> Left {
        let fits = |way: &Way, but: Option<u32>| {
            let mut others = seen.iter().filter(|s| Some(s.reading) != but);
            others.all(|s| allows(way, &s.what))
        };
        let these = |tree: &Self, but: Option<u32>| -> Vec<u16> {
            let ways = (0u16..).zip(&tree.ways);
            ways.filter(|(_, w)| fits(w, but)).map(|(i, _)| i).collect()
        };
        let set = these(self, None);
        match set.as_slice() {
            [] => {
                let dead = seen.iter().filter(|s| matches!(s.what, What::Path { .. }));
                Left::None(
                    dead.map(|s| s.reading)
                        .filter(|r| !these(self, Some(*r)).is_empty())
                        .collect(),
                )
            }
            [one] => Left::One(groups(&self.ways[usize::from(*one)], self.count)),
            _ => {
                let mut tests = ceil_log2(self.weight(&set));
                loop {
                    if let Some((lead, against)) = self.within(&set, tests) {
                        let against = leads(against).collect();
                        return Left::Many(Ask { lead, against }, tests);
                    }
                    tests += 1;
                }
            }
        }
    }

    fn weight(&self, set: &[u16]) -> u128 {
        set.iter().map(|i| self.ways[usize::from(*i)].weight).sum()
    }

    /// A test after which so many tests less one are enough, whatever it shows.
    fn within(&mut self, set: &[u16], tests: u32) -> Option<Test> {
        let key = (set.to_vec(), tests);
        if let Some(known) = self.known.get(&key) {
            return *known;
        }
        let half = 1u128 << tests.saturating_sub(1);
        let mut found = None;
        for test in self.even(set, half) {
            let (yes, no): (Vec<u16>, Vec<u16>) = set.iter().partition(|i| self.path(**i, test));
            let (more, less) = if yes.len() > no.len() {
                (yes, no)
            } else {
                (no, yes)
            };
            if self.enough(&more, tests - 1) && self.enough(&less, tests - 1) {
                found = Some(test);
                break;
            }
        }
        self.known.insert(key, found);
        found
    }

    fn enough(&mut self, set: &[u16], tests: u32) -> bool {
        match set {
            [] => true,
            [one] => self.ways[usize::from(*one)].weight <= 1 << tests,
            _ => self.within(set, tests).is_some(),
        }
    }

    fn path(&self, way: u16, (lead, against): Test) -> bool {
        self.ways[usize::from(way)].with[lead] & against != 0
    }

    /// Tests neither answer of which leaves more than `half`, the most even first.
    fn even(&self, set: &[u16], half: u128) -> Vec<Test> {
        let total = self.weight(set);
        let mut tests: Vec<(u128, Test)> = Vec::new();
        let mut look = |test: Test| {
            let yes: u128 = set
                .iter()
                .filter(|i| self.path(**i, test))
                .map(|i| self.ways[usize::from(*i)].weight)
                .sum();
            let more = yes.max(total - yes);
            if more < total && more <= half {
                tests.push((more, test));
            }
            yes
        };
        for lead in 0..self.count {
            let open = self.open(set, lead);
            if set.len() <= FEW && open.count_ones() <= ALL_BUNDLES {
                let mut bundle = open;
                while bundle != 0 {
                    look((lead, bundle));
                    bundle = (bundle - 1) & open;
                }
                continue;
            }
            // One lead more at a time, each the one after which the two answers stand most evenly.
            let mut bundle = 0;
            while bundle != open {
                let step = leads(open & !bundle).map(|more| {
                    let bundle = bundle | 1 << more;
                    let yes = look((lead, bundle));
                    (yes.max(total - yes), bundle, yes)
                });
                let Some((_, next, yes)) = step.min() else {
                    break;
                };
                bundle = next;
                if 2 * yes >= total {
                    break;
                }
            }
        }
        tests.sort_unstable();
        tests.dedup();
        let keep = if set.len() <= FEW { TRIED } else { 1 };
        tests.into_iter().map(|(_, t)| t).take(keep).collect()
    }

    /// Leads of which it is open whether they stand in one winding with this one.
    fn open(&self, set: &[u16], lead: usize) -> Set {
        let (mut some, mut all) = (0, Set::MAX);
        for i in set {
            let with = self.ways[usize::from(*i)].with[lead];
            some |= with;
            all &= with;
        }
        some & !all
    }
}

fn leads(set: Set) -> impl Iterator<Item = usize> + Clone {
    (0..MOST_LEADS).filter(move |l| set >> l & 1 == 1)
}

/// All sortings of `rest` into so many windings of at least two leads.
fn list(rest: Set, windings: usize, with: &mut [Set; MOST_LEADS], ways: &mut Vec<Way>) {
    if rest == 0 && windings == 0 {
        let first = |l: &usize| with[*l] & ((1 << l) - 1) == 0;
        let sizes = leads(with.iter().fold(0, |a, w| a | w)).filter(first);
        let taps: u32 = sizes.map(|l| with[l].count_ones() - 2).sum();
        ways.push(Way {
            with: *with,
            weight: 1 << taps,
        });
    }
    if rest == 0 || windings == 0 {
        return;
    }
    let first: Set = 1 << rest.trailing_zeros();
    let others = rest & !first;
    let mut more = others;
    while more != 0 {
        let winding = more | first;
        leads(winding).for_each(|l| with[l] = winding);
        list(rest & !winding, windings - 1, with, ways);
        more = (more - 1) & others;
    }
}

fn groups(way: &Way, count: usize) -> Vec<Vec<usize>> {
    (0..count)
        .filter(|l| way.with[*l].trailing_zeros() as usize == *l)
        .map(|l| leads(way.with[l]).collect())
        .collect()
}

/// Whether a sorting may show what was seen.
fn allows(way: &Way, what: &What) -> bool {
    let What::Path {
        lead,
        against,
        path,
        ..
    } = what
    else {
        return true;
    };
    let bundle = against.iter().filter(|l| **l < MOST_LEADS);
    let bundle = bundle.fold(0, |set: Set, l| set | 1 << l);
    let with = way.with.get(*lead).copied().unwrap_or(0);
    // A terminal of a winding wound through by hand is no lead: it stands apart from all.
    with == 0 || (with & bundle != 0) == *path
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(count: usize, windings: usize) -> Option<u32> {
        match left(count, Some(windings), &[])? {
            Left::Many(_, tests) => Some(tests),
            _ => None,
        }
    }

    /// No way of asking for yes or no needs fewer than the logarithm of the number of sortings: 105, 1,260 and 9,450; each tap wants one
    /// reading more.
    #[test]
    fn four_windings_take_no_more_dead_tests_than_any_way_must() {
        assert_eq!(told(8, 4), Some(7));
        assert_eq!(told(9, 4), Some(11 + 1));
        assert_eq!(told(10, 4), Some(14 + 2));
        assert_eq!(told(12, 6), Some(14));
        assert_eq!(told(9, 3), None);
    }

    /// Every pairing of eight leads is found within the tests told, and each test leaves at least one fewer.
    #[test]
    fn every_pairing_of_eight_leads_is_found_and_what_is_left_falls() {
        let tree = Tree::new(8, 4);
        assert_eq!(tree.ways.len(), 105);
        for way in &tree.ways {
            let mut seen: Vec<Seen> = Vec::new();
            let mut before = 8;
            while let Some(Left::Many(ask, tests)) = left(8, Some(4), &seen) {
                assert!(tests < before);
                before = tests;
                let bundle = ask.against.iter().fold(0, |s: Set, l| s | 1 << l);
                seen.push(Seen {
                    reading: seen.len() as u32 + 1,
                    repeated: false,
                    what: What::Path {
                        lead: ask.lead,
                        path: way.with[ask.lead] & bundle != 0,
                        against: ask.against,
                        ohms: None,
                    },
                });
            }
            assert_eq!(left(8, Some(4), &seen), Some(Left::One(groups(way, 8))));
        }
    }
}
