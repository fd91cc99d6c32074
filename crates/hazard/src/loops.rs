//! Loops that say no more than others, and the cores they make uncertain.
//!
//! Where every loop of windings and sources can be met by volts alone, the volts of a winding are its turns times its core's EMF per
//! turn and a bound may go through it. Where there are more loops than cores to meet them (windings in parallel, a transformer with two
//! fed windings, a closed delta), currents circulate and copper shares what does not fit: through the windings of such cores no bound
//! may go, and the least sure of their windings decides.

use crate::blocks::Blocks;
use crate::graph::{Graph, Kind};

/// Net turns along a path, winding by winding: share of the winding passed, signed along its own direction.
pub(crate) type Terms = Vec<(usize, f64, f64)>;

/// Adds a span of a winding to terms.
pub(crate) fn add(terms: &mut Terms, winding: usize, low: f64, high: f64) {
    match terms.iter_mut().find(|t| t.0 == winding) {
        Some(term) => {
            term.1 += low;
            term.2 += high;
        }
        None => terms.push((winding, low, high)),
    }
}

/// Least and greatest magnitude of the net turns of `terms`, in turns of `reference`. All are windings of its core.
pub(crate) fn net(graph: &Graph, terms: &[(usize, f64, f64)], reference: usize) -> (f64, f64) {
    let mut spans = vec![(0.0, 0.0)];
    for &(winding, low, high) in terms {
        let ratios = (
            1.0 / graph.most(reference, winding),
            graph.most(winding, reference),
        );
        let products = [
            low * ratios.0,
            low * ratios.1,
            high * ratios.0,
            high * ratios.1,
        ];
        let least = products.iter().copied().fold(f64::INFINITY, f64::min);
        let most = products.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let ways: &[f64] = match graph.sign(winding, reference) {
            Some(sign) if sign > 0.0 => &[1.0],
            Some(_) => &[-1.0],
            None => &[1.0, -1.0],
        };
        spans = spans
            .iter()
            .flat_map(|&(l, h)| {
                ways.iter().map(move |&way| {
                    if way > 0.0 {
                        (l + least, h + most)
                    } else {
                        (l - most, h - least)
                    }
                })
            })
            .collect();
    }
    let magnitude = |&(low, high): &(f64, f64)| {
        let least = if low > 0.0 {
            low
        } else if high < 0.0 {
            -high
        } else {
            0.0
        };
        (least, low.abs().max(high.abs()))
    };
    spans
        .iter()
        .map(magnitude)
        .fold((f64::INFINITY, 0.0), |(least, most), (l, m)| {
            (least.min(l), most.max(m))
        })
}

/// One loop.
struct Row {
    /// The cores in it, and whether its net turns there surely differ from nothing.
    cores: Vec<(usize, bool)>,
    /// Whether the source stands in it.
    source: bool,
}

/// Which cores have more loops to meet than can be met by volts alone, or are shorted by loops without the source.
pub(crate) fn uncertain(graph: &Graph, blocks: &Blocks) -> Vec<bool> {
    let (rows, without): (Vec<Row>, Vec<Row>) =
        rows(graph, blocks).into_iter().partition(|row| row.source);
    let mut uncertain = shorted(&without, graph.cores);
    let rows: Vec<Row> = without.into_iter().chain(rows).collect();
    let mut of_core: Vec<Option<usize>> = vec![None; graph.cores];
    let mut unmet = Vec::new();
    for row in 0..rows.len() {
        let mut seen = vec![false; graph.cores];
        if !meets(&rows, row, &mut of_core, &mut seen) {
            unmet.push(row);
        }
    }
    while let Some(row) = unmet.pop() {
        for &(core, _) in &rows[row].cores {
            if !uncertain[core] {
                uncertain[core] = true;
                unmet.extend(of_core[core]);
            }
        }
    }
    uncertain
}

/// Cores that loops without the source alone leave no EMF: as many such loops as cores in them. What is across their windings then is
/// copper and leakage, which a bound through turns would miss.
fn shorted(rows: &[Row], cores: usize) -> Vec<bool> {
    let mut of_core: Vec<Option<usize>> = vec![None; cores];
    for row in 0..rows.len() {
        meets(rows, row, &mut of_core, &mut vec![false; cores]);
    }
    // A core is free if it is in no loop's stead, or if it shares a loop with a free one.
    let mut free: Vec<bool> = of_core.iter().map(Option::is_none).collect();
    loop {
        let before = free.iter().filter(|f| **f).count();
        for core in 0..cores {
            if let Some(row) = of_core[core].filter(|_| !free[core]) {
                free[core] = rows[row].cores.iter().any(|(c, _)| free[*c]);
            }
        }
        if free.iter().filter(|f| **f).count() == before {
            return free.into_iter().map(|f| !f).collect();
        }
    }
}

/// Finds a core of its own for a row, moving others (augmenting path).
fn meets(rows: &[Row], row: usize, of_core: &mut [Option<usize>], seen: &mut [bool]) -> bool {
    for &(core, surely) in &rows[row].cores {
        if !surely || seen[core] {
            continue;
        }
        seen[core] = true;
        let free = match of_core[core] {
            None => true,
            Some(other) => meets(rows, other, of_core, seen),
        };
        if free {
            of_core[core] = Some(row);
            return true;
        }
    }
    false
}

/// The independent loops of sources and windings that carry current, loads on one core left out.
fn rows(graph: &Graph, blocks: &Blocks) -> Vec<Row> {
    let defined = |edge: &usize| {
        let block = blocks.block(*edge);
        let kind = graph.edges[*edge].kind;
        block.driven
            && !block.is_load_on_its_core()
            && matches!(kind, Kind::Source(_) | Kind::Winding { .. })
    };
    let mut tree: Vec<Vec<usize>> = vec![Vec::new(); graph.names.len()];
    let mut parent: Vec<usize> = (0..graph.names.len()).collect();
    let mut rows = Vec::new();
    // Sources first, so that loops among a feed's own phases close in the tree and make no row.
    let mut order: Vec<usize> = (0..graph.edges.len()).filter(defined).collect();
    order.sort_by_key(|e| !matches!(graph.edges[*e].kind, Kind::Source(_)));
    for edge in order {
        let (a, b) = graph.edges[edge].ends;
        let (ra, rb) = (root(&parent, a), root(&parent, b));
        if ra == rb {
            let mut passed = path(graph, &tree, b, a).unwrap_or_default();
            passed.push((edge, true));
            let row = row(graph, &passed);
            if !row.cores.is_empty() {
                rows.push(row);
            }
        } else {
            parent[ra] = rb;
            tree[a].push(edge);
            tree[b].push(edge);
        }
    }
    rows
}

/// The edges from one node to another along a forest, each with whether it is passed from its first end to its second.
pub(crate) fn path(
    graph: &Graph,
    tree: &[Vec<usize>],
    from: usize,
    to: usize,
) -> Option<Vec<(usize, bool)>> {
    let mut came: Vec<Option<(usize, usize)>> = vec![None; tree.len()];
    let mut queue = vec![from];
    while let Some(node) = queue.pop() {
        if node == to {
            break;
        }
        for &edge in &tree[node] {
            let (a, b) = graph.edges[edge].ends;
            let other = if a == node { b } else { a };
            if other != from && came[other].is_none() {
                came[other] = Some((edge, node));
                queue.push(other);
            }
        }
    }
    let mut passed = Vec::new();
    let mut node = to;
    while node != from {
        let (edge, before) = came[node]?;
        passed.push((edge, graph.edges[edge].ends.0 == before));
        node = before;
    }
    Some(passed)
}

/// The net turns of each core along passed edges.
pub(crate) fn terms(graph: &Graph, passed: &[(usize, bool)]) -> Vec<(usize, Terms)> {
    let mut cores: Vec<(usize, Terms)> = Vec::new();
    for &(edge, forward) in passed {
        let Kind::Winding { winding, end } = graph.edges[edge].kind else {
            continue;
        };
        let on = &graph.windings[winding];
        let (low, high) = (on.ends[end].low, on.ends[end].high);
        let (low, high) = if forward { (low, high) } else { (-high, -low) };
        let at = cores.iter().position(|(core, _)| *core == on.core);
        let at = at.unwrap_or_else(|| {
            cores.push((on.core, Vec::new()));
            cores.len() - 1
        });
        add(&mut cores[at].1, winding, low, high);
    }
    cores
}

fn row(graph: &Graph, passed: &[(usize, bool)]) -> Row {
    let is_source = |edge: usize| matches!(graph.edges[edge].kind, Kind::Source(_));
    let cores = terms(graph, passed)
        .into_iter()
        .map(|(core, terms)| {
            let surely = terms.iter().any(|(w, ..)| net(graph, &terms, *w).0 > 0.0);
            (core, surely)
        })
        .collect();
    Row {
        cores,
        source: passed.iter().any(|(edge, _)| is_source(*edge)),
    }
}

fn root(parent: &[usize], mut node: usize) -> usize {
    while parent[node] != node {
        node = parent[node];
    }
    node
}
