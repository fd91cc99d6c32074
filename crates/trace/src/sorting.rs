//! Makes windings of leads from dead tests, and knows how many more are needed at worst.
//!
//! Leads are placed one after another. The placed ones form groups that are known to be separate from each other; the next lead may belong
//! to any group it is not known to be separate from, or begin a new one. One lead against one of each of several groups, clipped
//! together, halves what is left; because the groups are separate, the ohms shown are those to the one lead of its own group.
//! The worst case is exact for this way of asking: a tree of yes and no with given costs at its leaves exists in `d` steps exactly when
//! the sum of `2^cost` is at most `2^d` (L. G. Kraft's inequality; any textbook of information theory).

use crate::observed::{Seen, What};
use std::cell::RefCell;
use std::collections::HashMap;

/// How far the sorting has come.
#[derive(Debug, Clone)]
pub(crate) struct Sorting {
    /// Groups known to be separate, each with the lead that stands for it first.
    pub(crate) groups: Vec<Vec<usize>>,
    /// Leads placed because nothing else was left for them.
    pub(crate) by_elimination: Vec<usize>,
    /// What to ask next.
    pub(crate) ask: Option<Ask>,
    /// Dead tests left at worst, taps' order included.
    pub(crate) left: u32,
    /// Readings that cannot all be right, the likeliest slip first, and why.
    pub(crate) conflict: Option<(Vec<u32>, String)>,
}

/// One lead against one lead of each of some groups, clipped together.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Ask {
    pub(crate) lead: usize,
    pub(crate) against: Vec<usize>,
}

/// Leads in a group.
type Group = u8;

/// Sorts `count` leads; `windings` where their number is known.
pub(crate) fn sort(count: usize, seen: &[Seen], windings: Option<usize>) -> Sorting {
    let mut state = Sorting {
        groups: Vec::new(),
        by_elimination: Vec::new(),
        ask: None,
        left: 0,
        conflict: None,
    };
    let blocks = joined(count, seen);
    if let Some(conflict) = torn(&blocks, seen) {
        state.conflict = Some(conflict);
        return state;
    }
    let mut waiting: Vec<Vec<usize>> = blocks;
    while !waiting.is_empty() {
        let block = waiting.remove(0);
        let rest: usize = waiting.iter().map(Vec::len).sum();
        let (mut may, yes) = may_belong(&state.groups, &block, seen);
        let mut new = !yes;
        // Costs of what comes after, with the lead put there.
        let shape = shape(&state.groups);
        let size = block.len() as u8;
        may.retain(|g| left_with(&shape, Some(*g), size, rest, windings).is_some());
        new &= left_with(&shape, None, size, rest, windings).is_some();
        match (may.as_slice(), new) {
            ([], false) => {
                state.conflict = Some(nowhere(&state.groups, &block, seen));
                return state;
            }
            ([], true) => state.groups.push(block),
            ([only], false) => {
                if !yes {
                    state.by_elimination.extend(&block);
                }
                state.groups[*only].extend(block);
            }
            _ => {
                let (ask, left) = split(&shape, &may, new, size, rest, windings);
                state.ask = Some(Ask {
                    lead: block[0],
                    against: ask.into_iter().map(|g| state.groups[g][0]).collect(),
                });
                state.left = left;
                return state;
            }
        }
    }
    state.left = after(&shape(&state.groups), 0, None).unwrap_or(0);
    state
}

/// Leads that are one conductor's worth by tests of two single leads.
fn joined(count: usize, seen: &[Seen]) -> Vec<Vec<usize>> {
    let mut of: Vec<usize> = (0..count).collect();
    for one in seen {
        if let What::Path {
            lead,
            against,
            path: true,
            ..
        } = &one.what
            && let [other] = against.as_slice()
            && *lead < count
            && *other < count
        {
            let (from, to) = (of[*lead].max(of[*other]), of[*lead].min(of[*other]));
            of.iter_mut().filter(|o| **o == from).for_each(|o| *o = to);
        }
    }
    (0..count)
        .filter(|l| of[*l] == *l)
        .map(|root| (0..count).filter(|l| of[*l] == root).collect())
        .collect()
}

/// A no inside a block of leads that other readings join.
fn torn(blocks: &[Vec<usize>], seen: &[Seen]) -> Option<(Vec<u32>, String)> {
    for one in seen {
        let What::Path {
            lead,
            against,
            path: false,
            ..
        } = &one.what
        else {
            continue;
        };
        let block = blocks.iter().find(|b| b.contains(lead))?;
        if against.iter().any(|a| block.contains(a)) {
            let mut readings = vec![one.reading];
            readings.extend(touching(block, seen, true));
            return Some((
                by_need(readings, seen),
                format!(
                    "reading {} shows no path where others show one",
                    one.reading
                ),
            ));
        }
    }
    None
}

/// Readings of a path (or of none) between leads of a block and any other.
fn touching(block: &[usize], seen: &[Seen], path_there: bool) -> Vec<u32> {
    seen.iter()
        .filter(|s| match &s.what {
            What::Path {
                lead,
                against,
                path,
                ..
            } => {
                *path == path_there
                    && (block.contains(lead) || against.iter().any(|a| block.contains(a)))
            }
            _ => false,
        })
        .map(|s| s.reading)
        .collect()
}

/// Those not repeated yet first; each once.
pub(crate) fn by_need(mut readings: Vec<u32>, seen: &[Seen]) -> Vec<u32> {
    let mut each = Vec::new();
    readings.retain(|r| {
        let fresh = !each.contains(r);
        each.push(*r);
        fresh
    });
    let repeated = |r: &u32| seen.iter().any(|s| s.reading == *r && s.repeated);
    readings.sort_by_key(repeated);
    readings
}

/// Groups a block may belong to by its tests, and whether some test says it belongs to one.
fn may_belong(groups: &[Vec<usize>], block: &[usize], seen: &[Seen]) -> (Vec<usize>, bool) {
    let mut may: Vec<usize> = (0..groups.len()).collect();
    let mut yes = false;
    let of = |lead: &usize| groups.iter().position(|g| g.contains(lead));
    for one in seen {
        let What::Path {
            lead,
            against,
            path,
            ..
        } = &one.what
        else {
            continue;
        };
        let others: Vec<usize> = if block.contains(lead) {
            against.clone()
        } else if against.iter().any(|a| block.contains(a)) && !path {
            vec![*lead]
        } else {
            continue;
        };
        let named: Vec<usize> = others.iter().filter_map(of).collect();
        if !path {
            may.retain(|g| !named.contains(g));
        } else if named.len() == others.len() {
            yes = true;
            may.retain(|g| named.contains(g));
        }
    }
    (may, yes)
}

fn nowhere(groups: &[Vec<usize>], block: &[usize], seen: &[Seen]) -> (Vec<u32>, String) {
    let _ = groups;
    let mut readings: Vec<u32> = touching(block, seen, false);
    readings.reverse();
    readings.extend(touching(block, seen, true));
    (
        by_need(readings, seen),
        "a lead is shown to belong nowhere, and no winding has one lead".to_owned(),
    )
}

/// Leads in each group.
fn shape(groups: &[Vec<usize>]) -> Vec<Group> {
    groups.iter().map(|g| g.len() as u8).collect()
}

/// Ohms between two leads of a group and the reading, the last: read between the two, or with leads of other groups clipped to one.
pub(crate) fn ohms(group: &[usize], pair: (usize, usize), seen: &[Seen]) -> Option<(f64, u32)> {
    seen.iter().rev().find_map(|one| {
        let What::Path {
            lead,
            against,
            path: true,
            ohms: Some(ohms),
        } = &one.what
        else {
            return None;
        };
        let mut inside = against.iter().filter(|a| group.contains(a));
        let (Some(other), None) = (inside.next(), inside.next()) else {
            return None;
        };
        let is = (*lead, *other) == pair || (*other, *lead) == pair;
        is.then_some((*ohms, one.reading))
    })
}

/// Tests left when a block of `size` leads is put to a group (or begins one) and `rest` leads wait; `None` where that cannot be.
fn left_with(
    shape: &[Group],
    group: Option<usize>,
    size: u8,
    rest: usize,
    windings: Option<usize>,
) -> Option<u32> {
    let mut next = shape.to_vec();
    match group {
        Some(g) => next[g] += size,
        None => next.push(size),
    }
    after(&next, rest, windings)
}

/// The best question for a block that may belong to several groups, and how many tests are left at worst.
fn split(
    shape: &[Group],
    may: &[usize],
    new: bool,
    size: u8,
    rest: usize,
    windings: Option<usize>,
) -> (Vec<usize>, u32) {
    let weight = |g: Option<usize>| {
        1u128
            << left_with(shape, g, size, rest, windings)
                .unwrap_or(0)
                .min(100)
    };
    // The leaf behind nothing but no's: a new winding where there may be one; else the group that costs most.
    let mut leaves: Vec<(usize, u128)> = may.iter().map(|g| (*g, weight(Some(*g)))).collect();
    leaves.sort_by_key(|(_, w)| std::cmp::Reverse(*w));
    let behind = if new { weight(None) } else { 0 };
    let total: u128 = behind + leaves.iter().map(|(_, w)| w).sum::<u128>();
    let depth = ceil_log2(total);
    let half = 1u128 << (depth - 1);
    let (mut sum, mut ask) = (0, Vec::new());
    for (g, more) in &leaves {
        if sum + more <= half && (behind > 0 || ask.len() + 1 < leaves.len()) {
            sum += more;
            ask.push(*g);
        }
    }
    (ask, depth)
}

/// The whole number of yes-or-no steps that tell so many apart.
pub(crate) fn ceil_log2(count: u128) -> u32 {
    if count <= 1 {
        0
    } else {
        128 - (count - 1).leading_zeros()
    }
}

type State = (Vec<Group>, usize, Option<usize>);

thread_local! {
    /// What `after` gave before: the same question comes up for every part.
    static KNOWN: RefCell<HashMap<State, Option<u32>>> = RefCell::new(HashMap::new());
}

/// Dead tests left at worst with these groups and `rest` leads unplaced; `None` where no sorting is possible (a winding of one lead).
pub(crate) fn after(groups: &[Group], rest: usize, windings: Option<usize>) -> Option<u32> {
    let single = groups.iter().filter(|g| **g == 1).count();
    let missing_windings = match windings {
        Some(n) => n.checked_sub(groups.len())?,
        None => 0,
    };
    if rest < single + 2 * missing_windings {
        return None;
    }
    if rest == 0 {
        let taps = groups.iter().filter(|g| **g > 2);
        // Where every winding is tapped the fed one's ohms may have to be made up for: its ends must be known before it is fed.
        let fed = groups.iter().copied().min().filter(|g| *g > 2);
        let ends = fed.map_or(0, |g| u32::from(g) - 1);
        return Some(taps.map(|g| u32::from(*g) - 2).sum::<u32>() + ends);
    }
    let mut sorted = groups.to_vec();
    sorted.sort_unstable();
    let key = (sorted, rest, windings);
    if let Some(known) = KNOWN.with(|k| k.borrow().get(&key).copied()) {
        return known;
    }
    let value = one_more(&key.0, rest, windings);
    KNOWN.with(|k| k.borrow_mut().insert(key, value));
    value
}

fn one_more(groups: &[Group], rest: usize, windings: Option<usize>) -> Option<u32> {
    let cost = |g: Option<usize>| left_with(groups, g, 1, rest - 1, windings);
    let mut total = 0u128;
    let mut like: Option<(Group, Option<u32>)> = None;
    for (g, size) in groups.iter().enumerate() {
        // Groups alike stand side by side and have one cost.
        let same = like.filter(|(s, _)| s == size);
        let this = same.map_or_else(|| cost(Some(g)), |(_, c)| c);
        like = Some((*size, this));
        total += this.map_or(0, |c| 1u128 << c.min(100));
    }
    total += cost(None).map_or(0, |c| 1u128 << c.min(100));
    (total > 0).then(|| ceil_log2(total))
}
