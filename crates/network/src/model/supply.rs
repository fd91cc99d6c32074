//! Feeds and loads of a setup: sources and impedances on the circuit's nodes, and what speaks against them.

use super::build::Builder;
use super::{Belongs, Meaning, Supply};
use crate::circuit::{Element, Node};
use gear::{Feed, Pairing, SetupLoad, TerminalRef};

/// Name of earth where no terminal is marked PE.
const EARTH: &str = "earth";

impl Builder<'_> {
    /// Kind of supply and frequency, from the feeds.
    pub(super) fn supply(&mut self, frequency: f64) {
        let setup = self.setup;
        if setup.feeds.is_empty() {
            return self.fail(
                format!("nothing is fed in setup {}", setup.number),
                "add the feed: which source, onto which terminals, how many volts; ohms and continuity need none",
            );
        }
        let direct = setup.feeds.iter().filter(|f| self.is_direct(f)).count();
        if direct == setup.feeds.len() {
            self.model.supply = Supply::Direct;
            return;
        }
        if direct > 0 {
            return self.fail(
                format!(
                    "setup {} is fed with direct and alternating current at once",
                    setup.number
                ),
                "make two setups of it; both at once are not modelled",
            );
        }
        let mut hertz: Vec<f64> = Vec::new();
        for feed in &setup.feeds {
            let f = feed
                .frequency
                .as_ref()
                .and_then(quantity::Quantity::value)
                .unwrap_or(frequency);
            if !hertz.contains(&f) {
                hertz.push(f);
            }
        }
        match hertz[..] {
            [f] if f.is_finite() && f > 0.0 => self.model.circuit.frequency = f,
            [_] => self.fail(
                format!("the frequency of setup {} is not known", setup.number),
                "write it into the feed (`frequency = \"50 Hz\"`) or onto the plate",
            ),
            _ => self.fail(
                format!("setup {} is fed with more than one frequency", setup.number),
                "make a setup of each; both at once are not modelled",
            ),
        }
    }

    fn is_direct(&self, feed: &Feed) -> bool {
        let named = |s: &&gear::KitSource| Some(&s.name) == feed.source.as_ref();
        self.find
            .kit
            .sources
            .iter()
            .find(named)
            .is_some_and(|s| s.direct)
    }

    /// Nodes of the terminals a feed or load stands on; errors if one is unknown or two are one conductor.
    fn stands_on(&mut self, what: &str, terminals: &[TerminalRef]) -> Option<Vec<Node>> {
        let before = self.errors.len();
        let setup = self.setup.number;
        for (i, one) in terminals.iter().enumerate() {
            let Some(node) = self.model.node(one) else {
                self.fail(
                    format!(
                        "{what} of setup {setup} stands on {one}, which the find does not have"
                    ),
                    "name a terminal of one of its parts",
                );
                continue;
            };
            if let Some(other) = terminals[..i]
                .iter()
                .find(|t| self.model.node(t) == Some(node))
            {
                self.fail(
                    format!("{what} of setup {setup} is shorted: {other} and {one} are one conductor"),
                    "look at the joins and leads that hold them, and at what the setup clips together",
                );
            }
        }
        (self.errors.len() == before).then(|| terminals.iter().map(|t| self.own(t)).collect())
    }

    pub(super) fn feed(&mut self, index: usize, feed: &Feed) {
        let name = format!("feed {}", index + 1);
        let terminals: Vec<TerminalRef> = feed.to.iter().chain(&feed.neutral).cloned().collect();
        let Some(nodes) = self.stands_on(&name, &terminals) else {
            return;
        };
        let extra = feed
            .angle
            .as_ref()
            .and_then(quantity::Quantity::value)
            .unwrap_or(0.0)
            .to_radians();
        match feed.to.len() {
            2 if feed.neutral.is_none() => {
                let pair = feed.to.clone();
                self.source(index, 0, name, (nodes[1], nodes[0]), extra, pair);
                if feed.earthed {
                    self.earth_star(index, nodes[1]);
                }
            }
            3 => {
                let neutral = feed.neutral.as_ref().map(|_| nodes[3]);
                let star = self.star(index, feed, neutral);
                for phase in (0..3u8).filter(|p| !feed.lost.contains(&(p + 1))) {
                    let angle = extra - f64::from(phase) * 120f64.to_radians();
                    let to = nodes[usize::from(phase)];
                    let hangs_on = feed
                        .to
                        .get(usize::from(phase))
                        .into_iter()
                        .chain(&feed.neutral)
                        .cloned()
                        .collect();
                    self.source(
                        index,
                        phase,
                        format!("{name} L{}", phase + 1),
                        (star, to),
                        angle,
                        hangs_on,
                    );
                }
            }
            _ => {
                let setup = self.setup.number;
                self.fail(
                    format!(
                        "{name} of setup {setup} stands on {} terminals",
                        feed.to.len()
                    ),
                    "give it two for one phase, or three for three phases with the neutral apart",
                );
            }
        }
    }

    /// Where the star point of a three-phase feed is.
    fn star(&mut self, index: usize, feed: &Feed, neutral: Option<Node>) -> Node {
        match (neutral, feed.earthed) {
            (Some(node), true) => {
                self.earth_star(index, node);
                node
            }
            (Some(node), false) => node,
            (None, true) => self.earth_node(),
            (None, false) => self
                .model
                .circuit
                .node(format!("star point of feed {}", index + 1)),
        }
    }

    fn earth_node(&mut self) -> Node {
        if let Some(node) = self.earth {
            return node;
        }
        let marked = self.model.conductors.marked(self.find, "PE").map(Node);
        let node = marked.unwrap_or_else(|| self.model.circuit.node(EARTH));
        self.earth = Some(node);
        node
    }

    fn earth_star(&mut self, index: usize, star: Node) {
        let earth = self.earth_node();
        if !self.links_close_a_loop(star, earth) {
            let name = format!("earthing of feed {}", index + 1);
            self.element(
                name,
                Belongs::Earthing { feed: index },
                Vec::new(),
                Element::Link {
                    from: star,
                    to: earth,
                },
            );
        }
    }

    fn source(
        &mut self,
        feed: usize,
        phase: u8,
        name: String,
        ends: (Node, Node),
        angle: f64,
        hangs_on: Vec<TerminalRef>,
    ) {
        let volts = self.value(Meaning::SourceVolts { feed, phase });
        let ohms = self.value(Meaning::SourceOhms { feed });
        let reactance = self.value(Meaning::SourceReactance { feed });
        let element = Element::Source {
            from: ends.0,
            to: ends.1,
            volts,
            angle,
            ohms,
            reactance,
        };
        self.element(name, Belongs::Feed { feed, phase }, hangs_on, element);
    }

    pub(super) fn load(&mut self, index: usize, load: &SetupLoad) {
        let name = format!("load {}", index + 1);
        let pairs: &[(usize, usize, &str)] = match (load.pairing, load.across.len()) {
            (Pairing::Single, 2) => &[(0, 1, "")],
            (Pairing::Star, 4) => &[(0, 3, " L1"), (1, 3, " L2"), (2, 3, " L3")],
            (Pairing::Delta, 3) => &[(0, 1, " L1-L2"), (1, 2, " L2-L3"), (2, 0, " L3-L1")],
            // Three like loads in star with a star point of their own.
            (Pairing::Star, 3) => &[(0, 3, " L1"), (1, 3, " L2"), (2, 3, " L3")],
            _ => {
                let setup = self.setup.number;
                return self.fail(
                    format!("{name} of setup {setup} does not fit its {} terminals", load.across.len()),
                    "give two terminals for one load, three for a delta, four (the common one last) for a star",
                );
            }
        };
        let Some(mut nodes) = self.stands_on(&name, &load.across) else {
            return;
        };
        if load.pairing == Pairing::Star && nodes.len() == 3 {
            nodes.push(self.model.circuit.node(format!("star point of {name}")));
        }
        let ohms = self.value(Meaning::LoadOhms { load: index });
        let reactance = self.value(Meaning::LoadReactance { load: index });
        for (leg, &(a, b, suffix)) in pairs.iter().enumerate() {
            let hangs_on = [a, b]
                .into_iter()
                .filter_map(|i| load.across.get(i).cloned())
                .collect();
            let element = Element::Impedance {
                from: nodes[a],
                to: nodes[b],
                ohms,
                reactance,
            };
            self.element(
                format!("{name}{suffix}"),
                Belongs::Load { load: index, leg },
                hangs_on,
                element,
            );
        }
    }
}
