//! Which elements can carry a current at all, and what drives them.
//!
//! A current needs a loop: the graph falls into blocks (two elements are in one block if some loop holds both), and an element in no
//! loop carries nothing. A block is driven if the source or a winding of a driven core stands in it; a core is driven if one of its
//! windings stands in a driven block. Everything else is at one potential.

use crate::graph::{Graph, Kind};

/// The blocks of a graph.
#[derive(Debug, Clone)]
pub(crate) struct Blocks {
    /// Block of each edge.
    pub(crate) of: Vec<usize>,
    pub(crate) list: Vec<Block>,
    /// Whether each core is driven.
    pub(crate) core_driven: Vec<bool>,
}

/// One block.
#[derive(Debug, Clone, Default)]
pub(crate) struct Block {
    pub(crate) edges: Vec<usize>,
    pub(crate) source: bool,
    pub(crate) capacitor: bool,
    /// Cores with a winding in it, each once.
    pub(crate) cores: Vec<usize>,
    pub(crate) driven: bool,
}

impl Block {
    /// Whether it holds a loop: one element alone carries no current.
    pub(crate) fn is_loop(&self) -> bool {
        self.edges.len() > 1
    }

    /// Whether it is a load on one core and nothing else: no source, no other core. It can draw from the core, never drive it.
    pub(crate) fn is_load_on_its_core(&self) -> bool {
        self.is_loop() && !self.source && self.cores.len() == 1
    }
}

impl Blocks {
    pub(crate) fn of(graph: &Graph) -> Self {
        let mut walk = Walk::new(graph);
        for node in 0..graph.names.len() {
            if walk.order[node] == 0 {
                walk.visit(node, usize::MAX);
            }
        }
        let mut list = vec![Block::default(); walk.count];
        for (edge, &block) in walk.block.iter().enumerate() {
            let into = &mut list[block];
            into.edges.push(edge);
            match graph.edges[edge].kind {
                Kind::Source(_) => into.source = true,
                Kind::Capacitor => into.capacitor = true,
                Kind::Loose => {}
                Kind::Winding { winding, .. } => {
                    let core = graph.windings[winding].core;
                    if !into.cores.contains(&core) {
                        into.cores.push(core);
                    }
                }
            }
        }
        let mut blocks = Self {
            of: walk.block,
            list,
            core_driven: vec![false; graph.cores],
        };
        blocks.drive();
        blocks
    }

    fn drive(&mut self) {
        loop {
            let mut changed = false;
            for block in self.list.iter_mut().filter(|b| b.is_loop() && !b.driven) {
                if block.source || block.cores.iter().any(|&c| self.core_driven[c]) {
                    block.driven = true;
                    changed = true;
                    for &core in &block.cores {
                        self.core_driven[core] = true;
                    }
                }
            }
            if !changed {
                return;
            }
        }
    }

    /// The block of an edge.
    pub(crate) fn block(&self, edge: usize) -> &Block {
        &self.list[self.of[edge]]
    }
}

/// Depth-first walk that gathers blocks (R. E. Tarjan, SIAM Journal on Computing 1 (1972), 146).
struct Walk<'a> {
    graph: &'a Graph,
    /// Edges at each node.
    at: Vec<Vec<usize>>,
    /// When each node was met, from 1.
    order: Vec<usize>,
    low: Vec<usize>,
    clock: usize,
    open: Vec<usize>,
    taken: Vec<bool>,
    block: Vec<usize>,
    count: usize,
}

impl<'a> Walk<'a> {
    fn new(graph: &'a Graph) -> Self {
        let nodes = graph.names.len();
        let mut at = vec![Vec::new(); nodes];
        for (index, edge) in graph.edges.iter().enumerate() {
            at[edge.ends.0].push(index);
            at[edge.ends.1].push(index);
        }
        Self {
            graph,
            at,
            order: vec![0; nodes],
            low: vec![0; nodes],
            clock: 0,
            open: Vec::new(),
            taken: vec![false; graph.edges.len()],
            block: vec![0; graph.edges.len()],
            count: 0,
        }
    }

    fn visit(&mut self, node: usize, by: usize) {
        self.clock += 1;
        self.order[node] = self.clock;
        self.low[node] = self.clock;
        for place in 0..self.at[node].len() {
            let edge = self.at[node][place];
            if edge == by || self.taken[edge] {
                continue;
            }
            let (a, b) = self.graph.edges[edge].ends;
            let other = if a == node { b } else { a };
            self.taken[edge] = true;
            self.open.push(edge);
            if self.order[other] == 0 {
                self.visit(other, edge);
                self.low[node] = self.low[node].min(self.low[other]);
                if self.low[other] >= self.order[node] {
                    while let Some(closed) = self.open.pop() {
                        self.block[closed] = self.count;
                        if closed == edge {
                            break;
                        }
                    }
                    self.count += 1;
                }
            } else {
                self.low[node] = self.low[node].min(self.order[other]);
            }
        }
    }
}
