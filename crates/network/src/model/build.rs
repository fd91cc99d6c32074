//! Assembles the circuit: conductors to nodes, parts to elements, feeds to sources, loads to impedances.

use super::{Belongs, Meaning, Model, ModelError, Supply};
use crate::circuit::{Bend, Circuit, Core, CoreId, Element, ElementId, Node, SliderPoint, ValueId};
use gear::{
    Designation, Feed, Find, Pairing, Part, PartKind, Setup, SetupLoad, TerminalRef, Winding, Wound,
};
use std::collections::HashMap;
use wiring::{Conductors, polarity};

/// Name of earth where no terminal is marked PE.
const EARTH: &str = "earth";

pub(super) fn build(
    find: &Find,
    setup: &Setup,
    frequency: f64,
    dead: bool,
) -> Result<Model, Vec<ModelError>> {
    let mut builder = Builder::new(find, setup);
    if dead {
        builder.model.supply = Supply::Dead;
    } else {
        builder.supply(frequency);
    }
    for part in &find.parts {
        builder.part(part);
    }
    if !dead {
        for (i, feed) in setup.feeds.iter().enumerate() {
            builder.feed(i, feed);
        }
    }
    for (i, load) in setup.loads.iter().enumerate() {
        builder.load(i, load);
    }
    builder.model.circuit.values = builder.model.meanings.len();
    if builder.errors.is_empty() {
        Ok(builder.model)
    } else {
        Err(builder.errors)
    }
}

struct Builder<'a> {
    find: &'a Find,
    setup: &'a Setup,
    model: Model,
    errors: Vec<ModelError>,
    /// Nodes held together by links, each with its parent: a link that closes a loop of links would leave its current undetermined.
    linked: HashMap<Node, Node>,
    earth: Option<Node>,
}

impl<'a> Builder<'a> {
    fn new(find: &'a Find, setup: &'a Setup) -> Self {
        let conductors = Conductors::of(find, Some(setup));
        let mut circuit = Circuit::default();
        let mut nodes = HashMap::new();
        for (i, group) in conductors.groups.iter().enumerate() {
            let node = circuit.node(conductors.name(find, i));
            nodes.extend(group.iter().map(|t| (t.clone(), node)));
        }
        let open = setup
            .switches
            .iter()
            .filter(|s| !s.closed)
            .map(|s| s.part.clone())
            .collect();
        let model = Model {
            circuit,
            meanings: Vec::new(),
            conductors,
            belongs: Vec::new(),
            supply: Supply::Alternating,
            setup: setup.number,
            assumed: Vec::new(),
            nodes,
            hangs_on: Vec::new(),
            on_part: HashMap::new(),
            open,
            signs: HashMap::new(),
        };
        Self {
            find,
            setup,
            model,
            errors: Vec::new(),
            linked: HashMap::new(),
            earth: None,
        }
    }

    fn fail(&mut self, what: String, remedy: &str) {
        self.errors.push(ModelError::new(what, remedy));
    }

    /// Kind of supply and frequency, from the feeds.
    fn supply(&mut self, frequency: f64) {
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

    /// The value of a meaning; one value a meaning.
    fn value(&mut self, meaning: Meaning) -> ValueId {
        if let Some(known) = self.model.value(&meaning) {
            return known;
        }
        self.model.meanings.push(meaning);
        self.model.circuit.value()
    }

    fn element(
        &mut self,
        name: String,
        belongs: Belongs,
        hangs_on: Vec<TerminalRef>,
        element: Element,
    ) -> ElementId {
        self.model.belongs.push(belongs);
        self.model.hangs_on.push(hangs_on);
        self.model.circuit.element(name, element)
    }

    /// The node of a part's own terminal, which always has one.
    fn own(&self, terminal: &TerminalRef) -> Node {
        self.model.node(terminal).unwrap_or(Node(0))
    }

    fn part(&mut self, part: &Part) {
        let designation = &part.designation;
        match &part.kind {
            PartKind::Transformer(wound) | PartKind::VariableAutotransformer(wound) => {
                self.wound(part, wound, true);
            }
            PartKind::Choke(wound) => self.wound(part, wound, false),
            PartKind::Terminals(_) => {}
            PartKind::Fuse { .. } | PartKind::Switch => self.link(part),
            PartKind::Resistor { .. } => {
                let ohms = self.value(Meaning::PartOhms(designation.clone()));
                let reactance = self.value(Meaning::Fixed(0.0));
                self.simple(part, |from, to| Element::Impedance {
                    from,
                    to,
                    ohms,
                    reactance,
                });
            }
            PartKind::Load { .. } => {
                let ohms = self.value(Meaning::PartOhms(designation.clone()));
                let reactance = self.value(Meaning::PartReactance(designation.clone()));
                self.simple(part, |from, to| Element::Impedance {
                    from,
                    to,
                    ohms,
                    reactance,
                });
            }
            PartKind::Capacitor { .. } => {
                let farads = self.value(Meaning::PartFarads(designation.clone()));
                self.simple(part, |from, to| Element::Capacitor { from, to, farads });
            }
        }
    }

    fn simple(&mut self, part: &Part, element: impl Fn(Node, Node) -> Element) {
        let (one, two) = (part.terminal("1"), part.terminal("2"));
        let made = element(self.own(&one), self.own(&two));
        let designation = part.designation.clone();
        let id = self.element(
            designation.to_string(),
            Belongs::Part(designation),
            Vec::new(),
            made,
        );
        self.model.on_part.insert(one, id);
        self.model.on_part.insert(two, id);
    }

    /// A fuse or switch: a link where it is closed, unless it is bridged or would close a loop of links.
    fn link(&mut self, part: &Part) {
        if self.model.open.contains(&part.designation) {
            return;
        }
        let (from, to) = (self.own(&part.terminal("1")), self.own(&part.terminal("2")));
        if self.links_close_a_loop(from, to) {
            self.model.assumed.push(format!(
                "{} is bridged or stands in parallel to other closed links: how the current shares between them is not known, so it is left out",
                part.designation
            ));
            return;
        }
        self.simple(part, |from, to| Element::Link { from, to });
    }

    fn links_close_a_loop(&mut self, from: Node, to: Node) -> bool {
        let (from, to) = (self.link_root(from), self.link_root(to));
        if from != to {
            self.linked.insert(from, to);
        }
        from == to
    }

    fn link_root(&self, mut node: Node) -> Node {
        while let Some(&parent) = self.linked.get(&node) {
            node = parent;
        }
        node
    }

    fn wound(&mut self, part: &Part, wound: &Wound, bends: bool) {
        let designation = &part.designation;
        if let Some(winding) = wound.windings.iter().find(|w| w.points.len() < 2) {
            return self.fail(
                format!(
                    "winding `{}` of {designation} has fewer than two terminals",
                    winding.name
                ),
                "list the terminals at both its ends, in the order of the turns",
            );
        }
        if wound.windings.is_empty() {
            return;
        }
        let core = self.core(designation, bends);
        for (index, winding) in wound.windings.iter().enumerate() {
            self.winding(part, wound, core, index, winding);
        }
    }

    fn core(&mut self, part: &Designation, bends: bool) -> CoreId {
        let bends = bends && self.model.supply == Supply::Alternating;
        let core = Core {
            reference_turns: self.value(Meaning::Fixed(1.0)),
            conductance: self.value(Meaning::CoreConductance(part.clone())),
            susceptance: self.value(Meaning::CoreSusceptance(part.clone())),
            bend: bends.then(|| Bend {
                volts: self.value(Meaning::CoreVolts(part.clone())),
                current_exponent: self.value(Meaning::CurrentExponent(part.clone())),
                watts_exponent: self.value(Meaning::WattsExponent(part.clone())),
                knee: self.value(Meaning::Knee(part.clone())),
            }),
        };
        self.model.circuit.core(part.to_string(), core)
    }

    fn winding(
        &mut self,
        part: &Part,
        wound: &Wound,
        core: CoreId,
        index: usize,
        winding: &Winding,
    ) {
        let designation = part.designation.clone();
        let way = polarity(wound, index);
        self.model
            .signs
            .insert((designation.clone(), index), way.sign());
        if way.assumed {
            self.model.assumed.push(format!(
                "the start of winding `{}` of {designation} is not known; it is taken to be {}",
                winding.name,
                part.terminal(&winding.points[0].terminal)
            ));
        }
        let of = |make: fn(Designation, usize) -> Meaning| make(designation.clone(), index);
        let turns = match index {
            0 => Meaning::Fixed(1.0),
            _ => of(|part, winding| Meaning::Turns { part, winding }),
        };
        let turns = self.value(turns);
        let ohms = self.value(of(|part, winding| Meaning::WindingOhms { part, winding }));
        let reactance = self.value(of(|part, winding| Meaning::WindingReactance {
            part,
            winding,
        }));
        let last = winding.points.len() - 1;
        let mut points = Vec::with_capacity(last + 1);
        for (point, p) in winding.points.iter().enumerate() {
            let at = match point {
                0 => Meaning::Fixed(0.0),
                _ if point == last => Meaning::Fixed(1.0),
                _ => Meaning::Tap {
                    part: designation.clone(),
                    winding: index,
                    point,
                },
            };
            points.push((self.own(&part.terminal(&p.terminal)), self.value(at)));
        }
        let mut sliders = Vec::with_capacity(winding.sliders.len());
        for (slider, s) in winding.sliders.iter().enumerate() {
            let (part_name, winding) = (designation.clone(), index);
            let at = self.value(Meaning::SliderAt {
                part: part_name.clone(),
                winding,
                slider,
            });
            let brush = self.value(Meaning::Brush {
                part: part_name,
                winding,
                slider,
            });
            sliders.push(SliderPoint {
                node: self.own(&part.terminal(&s.terminal)),
                at,
                brush,
            });
        }
        let element = Element::Winding {
            core,
            turns,
            ohms,
            reactance,
            points,
            sliders,
        };
        let name = format!("winding `{}` of {designation}", winding.name);
        let id = self.element(
            name,
            Belongs::Winding {
                part: designation,
                winding: index,
            },
            Vec::new(),
            element,
        );
        for mark in winding.terminals() {
            self.model.on_part.insert(part.terminal(mark), id);
        }
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

    fn feed(&mut self, index: usize, feed: &Feed) {
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

    fn load(&mut self, index: usize, load: &SetupLoad) {
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
