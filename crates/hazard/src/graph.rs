//! Conductors and elements of a find in a setup, as far as bounds need them.
//!
//! Closed fuses and switches are one conductor here: 0 V across. A winding stands with all its terminals, each with the span its
//! position may have. Feeds other than the one looked at are passive impedances: their own volts are added up apart.

use crate::turns::NINETY_NINE;
use crate::{Possible, Turns, UNKNOWN_RATIO};
use gear::{Designation, Dot, Feed, Find, Pairing, Part, PartKind, Setup, TerminalRef, Winding};
use quantity::Quantity;
use std::collections::HashMap;
use wiring::Conductors;

/// A noted slider position is good to its scale (common practice: half a division), one standard deviation, fraction of the travel.
const SCALE: f64 = 0.006;
/// Ganged sliders agree to this, one standard deviation.
const GANG: f64 = 0.01;
/// A tap written at a place, one standard deviation.
const WRITTEN_TAP: f64 = 0.004;

/// What stands between two nodes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Kind {
    /// The feed looked at, with its volts.
    Source(f64),
    /// From a winding's first terminal to another of its terminals, by index.
    Winding {
        /// Index into [`Graph::windings`].
        winding: usize,
        /// Index into [`On::ends`], never 0.
        end: usize,
    },
    /// An impedance that is neither source nor winding.
    Loose,
    /// A capacitor: with windings it can raise volts.
    Capacitor,
}

/// An element.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Edge {
    pub(crate) ends: (usize, usize),
    pub(crate) kind: Kind,
}

/// A terminal of a winding: its node and where on the winding it may be.
#[derive(Debug, Clone, Copy)]
pub(crate) struct End {
    pub(crate) node: usize,
    pub(crate) low: f64,
    pub(crate) high: f64,
}

/// A winding in the graph.
#[derive(Debug, Clone)]
pub(crate) struct On {
    /// Index of its core.
    pub(crate) core: usize,
    /// The first point first.
    pub(crate) ends: Vec<End>,
    /// Which way its turns count; `None` where its start is not known.
    pub(crate) sign: Option<f64>,
    /// Turns over the first winding's, where known.
    turns: Option<(f64, f64)>,
}

impl On {
    /// Whether two of its terminals are one node.
    pub(crate) fn has_a_short(&self) -> bool {
        let later = |i: usize| self.ends[i + 1..].iter();
        let mut ends = self.ends.iter().enumerate();
        ends.any(|(i, one)| later(i).any(|other| other.node == one.node))
    }
}

/// A find in a setup, one feed looked at.
#[derive(Debug, Clone)]
pub(crate) struct Graph {
    /// Nodes; for each the terminal to name it by (a source's own star point has none).
    pub(crate) names: Vec<Option<TerminalRef>>,
    /// The node at earth, where anything is.
    pub(crate) earth: Option<usize>,
    pub(crate) edges: Vec<Edge>,
    pub(crate) windings: Vec<On>,
    /// Leads of each core whose windings nobody has sorted.
    pub(crate) unsorted: Vec<Vec<usize>>,
    /// How many cores there are.
    pub(crate) cores: usize,
}

impl Graph {
    /// The greatest a winding's turns may be over another's of the same core.
    pub(crate) fn most(&self, over: usize, under: usize) -> f64 {
        if over == under {
            return 1.0;
        }
        match (self.windings[over].turns, self.windings[under].turns) {
            (Some((_, high)), Some((low, _))) => high / low,
            _ => UNKNOWN_RATIO,
        }
    }

    /// Whether the two windings' ways are known against each other, and which.
    pub(crate) fn sign(&self, one: usize, other: usize) -> Option<f64> {
        if one == other {
            return Some(1.0);
        }
        Some(self.windings[one].sign? * self.windings[other].sign?)
    }

    /// The graph of a find in a setup with feed `active` at `volts`.
    /// # Errors
    /// In words: a feed on terminals the find does not have.
    pub(crate) fn of(
        possible: &Possible,
        setup: &Setup,
        (active, volts): (usize, f64),
        all_closed: bool,
    ) -> Result<Self, String> {
        let mut builder = Builder::new(&possible.find, setup, all_closed);
        for part in &possible.find.parts {
            builder.part(part, &possible.turns);
        }
        for (index, feed) in setup.feeds.iter().enumerate() {
            builder.feed(feed, (index == active).then_some(volts))?;
        }
        for load in &setup.loads {
            builder.load(load);
        }
        Ok(builder.graph)
    }
}

struct Builder<'a> {
    find: &'a Find,
    setup: &'a Setup,
    node: HashMap<TerminalRef, usize>,
    graph: Graph,
}

impl<'a> Builder<'a> {
    fn new(find: &'a Find, setup: &'a Setup, all_closed: bool) -> Self {
        let conductors = Conductors::of(find, Some(setup));
        let mut of: HashMap<&TerminalRef, usize> = HashMap::new();
        for (index, group) in conductors.groups.iter().enumerate() {
            of.extend(group.iter().map(|t| (t, index)));
        }
        let mut parent: Vec<usize> = (0..conductors.groups.len()).collect();
        let mut unite = |one: usize, other: usize| {
            let (one, other) = (root(&parent, one), root(&parent, other));
            parent[one.max(other)] = one.min(other);
        };
        for part in &find.parts {
            let link = matches!(part.kind, PartKind::Fuse { .. } | PartKind::Switch);
            if link && (all_closed || !is_open(setup, &part.designation)) {
                let ends = (part.terminal("1"), part.terminal("2"));
                if let (Some(&a), Some(&b)) = (of.get(&ends.0), of.get(&ends.1)) {
                    unite(a, b);
                }
            }
        }
        let mut earths = setup.feeds.iter().filter(|f| f.earthed).filter_map(|f| {
            let tied = if f.to.len() == 3 {
                f.neutral.as_ref()
            } else {
                f.to.get(1)
            };
            of.get(tied?).copied()
        });
        let earth = conductors.marked(find, "PE").or_else(|| earths.next());
        for other in earths.collect::<Vec<_>>() {
            if let Some(earth) = earth {
                unite(earth, other);
            }
        }
        let mut numbers: HashMap<usize, usize> = HashMap::new();
        let mut names: Vec<Option<TerminalRef>> = Vec::new();
        let mut node = HashMap::new();
        for (index, group) in conductors.groups.iter().enumerate() {
            let at = *numbers.entry(root(&parent, index)).or_insert_with(|| {
                names.push(None);
                names.len() - 1
            });
            let strip = |t: &&TerminalRef| {
                find.part(&t.part)
                    .is_some_and(|p| matches!(p.kind, PartKind::Terminals(_)))
            };
            let best = group.iter().find(strip).or_else(|| group.first());
            if names[at].is_none() {
                names[at] = best.cloned();
            }
            node.extend(group.iter().map(|t| (t.clone(), at)));
        }
        let earth = earth.map(|e| numbers[&root(&parent, e)]);
        Self {
            find,
            setup,
            node,
            graph: Graph {
                names,
                earth,
                edges: Vec::new(),
                windings: Vec::new(),
                unsorted: Vec::new(),
                cores: 0,
            },
        }
    }

    fn at(&self, part: &Part, mark: &str) -> usize {
        self.node.get(&part.terminal(mark)).copied().unwrap_or(0)
    }

    fn edge(&mut self, a: usize, b: usize, kind: Kind) {
        if a != b {
            self.graph.edges.push(Edge { ends: (a, b), kind });
        }
    }

    fn part(&mut self, part: &Part, turns: &Turns) {
        match &part.kind {
            PartKind::Terminals(_) | PartKind::Fuse { .. } | PartKind::Switch => {}
            PartKind::Resistor { .. } => self.simple(part, Kind::Loose),
            PartKind::Load { reactance, .. } => {
                let capacitive = reactance.as_ref().and_then(Quantity::value);
                self.simple(part, loose(capacitive));
            }
            PartKind::Capacitor { .. } => self.simple(part, Kind::Capacitor),
            PartKind::Unmarked(_) => {
                let leads = part.terminals().into_iter().map(|t| self.at(part, t));
                let mut leads: Vec<usize> = leads.collect();
                leads.sort_unstable();
                leads.dedup();
                self.graph.unsorted.push(leads);
            }
            kind => {
                let core = self.graph.cores;
                self.graph.cores += 1;
                let windings = kind.wound().map_or(&[][..], |w| &w.windings);
                let alone = windings.len() == 1;
                for (index, winding) in windings.iter().enumerate() {
                    let ends = self.ends(part, winding, index, turns);
                    let sign = match winding.dot {
                        _ if alone => Some(1.0),
                        Dot::Unknown => None,
                        Dot::First => Some(1.0),
                        Dot::Last => Some(-1.0),
                    };
                    let number = self.graph.windings.len();
                    for end in 1..ends.len() {
                        let kind = Kind::Winding {
                            winding: number,
                            end,
                        };
                        self.edge(ends[0].node, ends[end].node, kind);
                    }
                    self.graph.windings.push(On {
                        core,
                        ends,
                        sign,
                        turns: turns.known(&part.designation, index),
                    });
                }
            }
        }
    }

    fn simple(&mut self, part: &Part, kind: Kind) {
        self.edge(self.at(part, "1"), self.at(part, "2"), kind);
    }

    fn ends(&self, part: &Part, winding: &Winding, index: usize, turns: &Turns) -> Vec<End> {
        let last = winding.points.len().saturating_sub(1);
        let mut ends = Vec::new();
        for (number, point) in winding.points.iter().enumerate() {
            let (low, high) = match number {
                0 => (0.0, 0.0),
                _ if number == last => (1.0, 1.0),
                _ => turns
                    .tap(&part.designation, index, number)
                    .or_else(|| noted(point.at.as_ref(), WRITTEN_TAP))
                    .unwrap_or((0.0, 1.0)),
            };
            let node = self.at(part, &point.terminal);
            ends.push(End { node, low, high });
        }
        for slider in &winding.sliders {
            let setting =
                wiring::slider_setting(self.find, self.setup, &part.designation, &slider.terminal);
            let ganged = self.find.gang_of(&part.designation).is_some();
            let width = if ganged { SCALE.hypot(GANG) } else { SCALE };
            let (low, high) = noted(setting, width).unwrap_or((0.0, 1.0));
            let node = self.at(part, &slider.terminal);
            ends.push(End { node, low, high });
        }
        ends
    }

    fn feed(&mut self, feed: &Feed, volts: Option<f64>) -> Result<(), String> {
        let on = |t: &TerminalRef| {
            self.node
                .get(t)
                .copied()
                .ok_or_else(|| format!("it is fed at {t}, which the find does not have"))
        };
        let to = feed.to.iter().map(on).collect::<Result<Vec<_>, _>>()?;
        let neutral = feed.neutral.as_ref().map(on).transpose()?;
        let kind = |share: f64| volts.map_or(Kind::Loose, |v| Kind::Source(v * share));
        match to[..] {
            [a, b] if neutral.is_none() => {
                self.edge(a, b, kind(1.0));
                if self.graph.earth.is_none() && feed.earthed {
                    self.graph.earth = Some(b);
                }
                Ok(())
            }
            [_, _, _] => {
                let star = self.star(feed, neutral);
                let lost = |phase: usize| feed.lost.iter().any(|l| usize::from(*l) == phase + 1);
                let there: Vec<usize> = (0..3).filter(|p| !lost(*p)).map(|p| to[p]).collect();
                for (number, &phase) in there.iter().enumerate() {
                    self.edge(star, phase, kind(1.0 / 3f64.sqrt()));
                    for &other in &there[..number] {
                        self.edge(other, phase, kind(1.0));
                    }
                }
                Ok(())
            }
            _ => Err("a feed stands on neither two nor three terminals".to_owned()),
        }
    }

    /// The star point of a three-phase feed: its neutral, earth if it is earthed, else a node of its own.
    fn star(&mut self, feed: &Feed, neutral: Option<usize>) -> usize {
        if let Some(node) = neutral {
            if feed.earthed && self.graph.earth.is_none() {
                self.graph.earth = Some(node);
            }
            return node;
        }
        if let (true, Some(earth)) = (feed.earthed, self.graph.earth) {
            return earth;
        }
        self.graph.names.push(None);
        let node = self.graph.names.len() - 1;
        if feed.earthed {
            self.graph.earth = Some(node);
        }
        node
    }

    fn load(&mut self, load: &gear::SetupLoad) {
        let nodes: Vec<usize> = load
            .across
            .iter()
            .filter_map(|t| self.node.get(t).copied())
            .collect();
        let kind = loose(load.reactance.as_ref().and_then(Quantity::value));
        match (nodes[..].len(), load.pairing) {
            (2, _) => self.edge(nodes[0], nodes[1], kind),
            (3, Pairing::Delta) => {
                for (a, b) in [(0, 1), (1, 2), (2, 0)] {
                    self.edge(nodes[a], nodes[b], kind);
                }
            }
            (3 | 4, _) => {
                let star = nodes.get(3).copied().unwrap_or_else(|| {
                    self.graph.names.push(None);
                    self.graph.names.len() - 1
                });
                for &node in &nodes[..3] {
                    self.edge(node, star, kind);
                }
            }
            _ => {}
        }
    }
}

/// An impedance; a capacitive one can raise volts as a capacitor does.
fn loose(reactance: Option<f64>) -> Kind {
    if reactance.is_some_and(|x| x < 0.0) {
        Kind::Capacitor
    } else {
        Kind::Loose
    }
}

/// 99 % bounds of a position as noted; `None` where nothing usable is.
fn noted(at: Option<&Quantity>, width: f64) -> Option<(f64, f64)> {
    let at = at?;
    let half = NINETY_NINE * width.max(0.4 * at.step().unwrap_or(0.01));
    let (low, high) = match at.reach() {
        quantity::Reach::Span { low, high, .. } | quantity::Reach::Illegible { low, high } => {
            (low, high)
        }
        _ => (at.value()?, at.value()?),
    };
    let within = |x: f64| x.is_finite() && (0.0..=1.0).contains(&x);
    (within(low) && within(high)).then(|| ((low - half).max(0.0), (high + half).min(1.0)))
}

fn is_open(setup: &Setup, part: &Designation) -> bool {
    setup.switches.iter().any(|s| s.part == *part && !s.closed)
}

fn root(parent: &[usize], mut node: usize) -> usize {
    while parent[node] != node {
        node = parent[node];
    }
    node
}
