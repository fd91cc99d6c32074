//! Bounds on the volts between any two nodes, by Kirchhoff.
//!
//! Between two nodes there are at most the volts summed along any path: a source its volts, a winding its turns times its core's EMF per
//! turn, an element in no loop nothing. A core's EMF per turn is at most what its fed winding can have across it over that winding's
//! least turns. The two feed each other, so they are iterated downwards from more than anything can be: every round is a bound already.
//! Leakage and copper of windings only lower what is reckoned where loads are resistive or inductive; capacitors are refused.

mod rounds;

use crate::UNKNOWN_RATIO;
use crate::blocks::{Block, Blocks};
use crate::graph::{End, Graph, Kind, On};
use crate::loops::{self, Terms};

/// Above this nothing has bounded it.
pub(crate) const UNBOUNDED: f64 = 1e4;
/// Between two loaded phases of a source with impedance of its own there may be more than the line volts: each phase's volts lie within
/// the circle on its EMF as diameter (Thales; impedances resistive and inductive), and the far points of two such circles stand
/// `(1 + √3/2) / √3` line volts apart.
const LOADED_LINE: f64 = 1.077_35;

/// Bounds between all nodes; infinite between parts of the graph that nothing ties together.
#[derive(Debug, Clone)]
pub(crate) struct Bounds {
    pub(crate) volts: Vec<Vec<f64>>,
}

/// How a winding stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stands {
    /// On a core nothing drives.
    Still,
    /// In no loop: its EMF stands across it, no current.
    Open,
    /// In loops that only draw from its core.
    Loaded,
    /// In a loop that can drive its core.
    Fed,
}

/// Volts across a pair of nodes at most `most` times the volts of a whole winding.
struct Across {
    nodes: (usize, usize),
    winding: usize,
    most: f64,
}

/// Volts of a whole winding at most those of a pair of nodes over `least`.
struct Within {
    winding: usize,
    nodes: (usize, usize),
    least: f64,
}

/// Reckons the bounds.
/// # Errors
/// In words: a capacitor stands in a loop with windings.
pub(crate) fn bounds(graph: &Graph) -> Result<Bounds, String> {
    let blocks = Blocks::of(graph);
    if blocks
        .list
        .iter()
        .any(|b| b.driven && b.capacitor && !b.cores.is_empty())
    {
        return Err(
            "a capacitor stands in one loop with windings and can raise volts by resonance; take it out of the loop"
                .to_owned(),
        );
    }
    let mut rules = Rules::new(graph, &blocks);
    rules.fixed_elements();
    for winding in 0..graph.windings.len() {
        rules.winding(winding);
    }
    for core in 0..graph.cores {
        rules.in_series(core);
    }
    for block in &blocks.list {
        rules.passive(block);
    }
    for leads in &graph.unsorted {
        rules.unsorted(leads);
    }
    Ok(rules.iterate())
}

/// Whether a direct current of the source can pass through a winding.
pub(crate) fn reaches_a_winding(graph: &Graph) -> bool {
    let blocks = Blocks::of(graph);
    let unsorted = graph.unsorted.iter().flatten();
    let fed = |node: &usize| {
        let mut edges = graph.edges.iter();
        edges.any(|e| e.ends.0 == *node || e.ends.1 == *node)
    };
    blocks.list.iter().any(|b| b.source && !b.cores.is_empty()) || unsorted.into_iter().any(fed)
}

/// Whether something draws from a stretch of a winding rather than from the whole of it: a ring of windings of its own core, or an
/// impedance between two of its terminals that are not its ends.
fn draws_from_a_stretch(graph: &Graph, blocks: &Blocks, winding: usize) -> bool {
    let on = &graph.windings[winding];
    let ring = graph.edges.iter().enumerate().any(|(edge, element)| {
        let mine = matches!(element.kind, Kind::Winding { winding: w, .. } if w == winding);
        mine && blocks.block(edge).is_load_on_its_core()
    });
    let stretch = |a: usize, b: usize| {
        let at = |node: usize| on.ends.iter().find(|e| e.node == node);
        let share = |one: &End, other: &End| (other.low - one.high).max(one.low - other.high);
        matches!((at(a), at(b)), (Some(one), Some(other)) if share(one, other) < 1.0)
    };
    ring || graph
        .edges
        .iter()
        .any(|e| matches!(e.kind, Kind::Loose | Kind::Capacitor) && stretch(e.ends.0, e.ends.1))
}

struct Rules<'a> {
    graph: &'a Graph,
    blocks: &'a Blocks,
    stands: Vec<Stands>,
    uncertain: Vec<bool>,
    /// Volts that do not depend on any core.
    fixed: Vec<((usize, usize), f64)>,
    across: Vec<Across>,
    /// Any of these bounds its winding.
    within: Vec<Within>,
    /// Of uncertain cores: the least sure of these bounds the core.
    least_sure: Vec<Within>,
}

impl<'a> Rules<'a> {
    fn new(graph: &'a Graph, blocks: &'a Blocks) -> Self {
        let mut stands: Vec<Stands> = graph
            .windings
            .iter()
            .map(|on| {
                if blocks.core_driven[on.core] {
                    Stands::Open
                } else {
                    Stands::Still
                }
            })
            .collect();
        for (edge, element) in graph.edges.iter().enumerate() {
            let block = blocks.block(edge);
            let Kind::Winding { winding, .. } = element.kind else {
                continue;
            };
            if block.is_loop() && block.driven {
                if !block.is_load_on_its_core() {
                    stands[winding] = Stands::Fed;
                } else if stands[winding] == Stands::Open {
                    stands[winding] = Stands::Loaded;
                }
            }
        }
        let mut uncertain = loops::uncertain(graph, blocks);
        for (winding, on) in graph.windings.iter().enumerate() {
            // What draws from a stretch of a fed winding takes volts in its copper and leakage that its turns should have.
            let drawn = on.has_a_short() || draws_from_a_stretch(graph, blocks, winding);
            uncertain[on.core] |= stands[winding] == Stands::Fed && drawn;
        }
        Self {
            graph,
            blocks,
            stands,
            uncertain,
            fixed: Vec::new(),
            across: Vec::new(),
            within: Vec::new(),
            least_sure: Vec::new(),
        }
    }

    fn fixed_elements(&mut self) {
        for (edge, element) in self.graph.edges.iter().enumerate() {
            let block = self.blocks.block(edge);
            let still = !block.is_loop() || !block.driven;
            match element.kind {
                Kind::Source(volts) if !self.overdriven(block) => {
                    self.fixed.push((element.ends, volts * self.shift(block)));
                }
                Kind::Loose | Kind::Capacitor if still => self.fixed.push((element.ends, 0.0)),
                _ => {}
            }
        }
    }

    /// Whether phases of the source drive each other through windings that short them: with impedances of its own the volts at its
    /// terminals are then not what it is set to.
    fn overdriven(&self, block: &Block) -> bool {
        let sources = block
            .edges
            .iter()
            .filter(|e| matches!(self.graph.edges[**e].kind, Kind::Source(_)));
        sources.count() > 1 && block.cores.iter().any(|c| self.uncertain[*c])
    }

    /// By how much a loaded source's phases may shift apart; nothing but magnetising current shifts none to speak of.
    fn shift(&self, block: &Block) -> f64 {
        let edges = || block.edges.iter().map(|e| self.graph.edges[*e].kind);
        let phases = edges().filter(|k| matches!(k, Kind::Source(_))).count();
        let loaded = edges().any(|k| k == Kind::Loose)
            || self
                .graph
                .windings
                .iter()
                .zip(&self.stands)
                .any(|(on, stands)| {
                    block.cores.contains(&on.core)
                        && (*stands == Stands::Loaded || on.has_a_short())
                });
        if phases > 1 && loaded {
            LOADED_LINE
        } else {
            1.0
        }
    }

    /// The rules of one winding by itself: each pair of its terminals.
    fn winding(&mut self, winding: usize) {
        let on: &On = &self.graph.windings[winding];
        let stands = self.stands[winding];
        let uncertain = self.uncertain[on.core];
        for (i, one) in on.ends.iter().enumerate() {
            for other in &on.ends[i + 1..] {
                let nodes = (one.node, other.node);
                if nodes.0 == nodes.1 {
                    continue;
                }
                let most = (other.high - one.low).max(one.high - other.low);
                let least = (other.low - one.high).max(one.low - other.high).max(0.0);
                let within = Within {
                    winding,
                    nodes,
                    least,
                };
                match stands {
                    Stands::Still => self.fixed.push((nodes, 0.0)),
                    Stands::Open => self.across.push(Across {
                        nodes,
                        winding,
                        most,
                    }),
                    Stands::Loaded => self.loaded(winding, nodes, most),
                    Stands::Fed if uncertain => self.least_sure.push(within),
                    Stands::Fed => {
                        self.across.push(Across {
                            nodes,
                            winding,
                            most,
                        });
                        self.within.push(within);
                    }
                }
            }
        }
    }

    /// A loaded winding has at most its own EMF; several windings of one core in one ring share what does not fit, so each pair has at
    /// most all their EMFs together.
    fn loaded(&mut self, winding: usize, nodes: (usize, usize), most: f64) {
        let core = self.graph.windings[winding].core;
        let together: f64 = (0..self.graph.windings.len())
            .filter(|&w| {
                self.graph.windings[w].core == core
                    && w != winding
                    && self.stands[w] == Stands::Loaded
            })
            .map(|w| self.graph.most(w, winding))
            .sum();
        let most = if together > 0.0 { 1.0 + together } else { most };
        self.across.push(Across {
            nodes,
            winding,
            most,
        });
    }

    /// Windings of one core in series: aiding they bound it better than alone, opposing they have less across them, or bound nothing.
    fn in_series(&mut self, core: usize) {
        if self.uncertain[core] {
            return;
        }
        let mut tree: Vec<Vec<usize>> = vec![Vec::new(); self.graph.names.len()];
        let mut group: Vec<usize> = (0..tree.len()).collect();
        for (edge, element) in self.graph.edges.iter().enumerate() {
            let Kind::Winding { winding, .. } = element.kind else {
                continue;
            };
            let on = &self.graph.windings[winding];
            let fits = matches!(self.stands[winding], Stands::Fed | Stands::Open);
            // A shorted stretch has no turns to speak of: its copper takes what they give.
            let fits = fits && on.core == core && !on.has_a_short();
            let (a, b) = element.ends;
            if fits && group[a] != group[b] {
                tree[a].push(edge);
                tree[b].push(edge);
                let (from, to) = (group[a], group[b]);
                group
                    .iter_mut()
                    .filter(|g| **g == from)
                    .for_each(|g| *g = to);
            }
        }
        let on: Vec<usize> = (0..tree.len()).filter(|n| !tree[*n].is_empty()).collect();
        for (i, &a) in on.iter().enumerate() {
            for &b in on[i + 1..].iter().filter(|b| group[**b] == group[a]) {
                let passed = loops::path(self.graph, &tree, a, b).unwrap_or_default();
                for (_, terms) in loops::terms(self.graph, &passed) {
                    if terms.len() > 1 {
                        self.series((a, b), &terms);
                    }
                }
            }
        }
    }

    fn series(&mut self, nodes: (usize, usize), terms: &Terms) {
        let fed = terms.iter().any(|(w, ..)| self.stands[*w] == Stands::Fed);
        for &(winding, ..) in terms {
            let (least, most) = loops::net(self.graph, terms, winding);
            self.across.push(Across {
                nodes,
                winding,
                most,
            });
            if fed && least > 0.0 {
                self.within.push(Within {
                    winding,
                    nodes,
                    least,
                });
            }
        }
    }

    /// In a block of the source and plain two-terminal impedances (a core fed by one winding alone is one) no volts exceed the source's.
    fn passive(&mut self, block: &Block) {
        if !block.source || !block.is_loop() || block.capacitor || self.overdriven(block) {
            return;
        }
        let edges = || block.edges.iter().map(|e| &self.graph.edges[*e]);
        let plain = block.cores.iter().all(|&core| {
            let here = edges()
                .filter(|e| matches!(e.kind, Kind::Winding { winding, .. } if self.graph.windings[winding].core == core))
                .count();
            let fed = (0..self.graph.windings.len())
                .filter(|&w| self.graph.windings[w].core == core && self.stands[w] == Stands::Fed)
                .count();
            here == 1 && fed == 1 && !self.elsewhere(core, block)
        });
        if !plain {
            return;
        }
        let span = edges()
            .map(|e| match e.kind {
                Kind::Source(volts) => volts,
                _ => 0.0,
            })
            .fold(0.0, f64::max)
            * self.shift(block);
        let mut nodes: Vec<usize> = edges().flat_map(|e| [e.ends.0, e.ends.1]).collect();
        nodes.sort_unstable();
        nodes.dedup();
        for (i, &a) in nodes.iter().enumerate() {
            for &b in &nodes[i + 1..] {
                self.fixed.push(((a, b), span));
            }
        }
    }

    /// A core whose windings nobody has sorted: fed directly on two of its leads and joined to nothing else, every winding has at most
    /// an unknown ratio times the source's volts; two windings in series twice that. Fed in any other way nothing bounds it.
    fn unsorted(&mut self, leads: &[usize]) {
        let touches = |edge: &crate::graph::Edge| {
            (leads.contains(&edge.ends.0), leads.contains(&edge.ends.1))
        };
        let (mut volts, mut other) = (None, false);
        for edge in &self.graph.edges {
            match (edge.kind, touches(edge)) {
                (_, (false, false)) => {}
                (Kind::Source(v), (true, true)) if volts.is_none() => volts = Some(v),
                // A feed on one lead alone, or anything else on it, ties it to the rest of the find.
                _ => other = true,
            }
        }
        let shared = self
            .graph
            .unsorted
            .iter()
            .filter(|l| l.iter().any(|n| leads.contains(n)))
            .count();
        let most = match volts {
            _ if other || shared > 1 => return,
            Some(volts) => 2.0 * UNKNOWN_RATIO * volts,
            None => 0.0,
        };
        for (i, &a) in leads.iter().enumerate() {
            for &b in &leads[i + 1..] {
                self.fixed.push(((a, b), most));
            }
        }
    }

    /// Whether a core is fed in another block too.
    fn elsewhere(&self, core: usize, block: &Block) -> bool {
        self.blocks.list.iter().any(|other| {
            !std::ptr::eq(other, block)
                && other.is_loop()
                && other.driven
                && other.cores.contains(&core)
                && !other.is_load_on_its_core()
        })
    }
}
