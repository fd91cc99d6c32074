//! Assembles the circuit: conductors to nodes, parts to elements. Feeds and loads are in `supply`.

use super::{Belongs, Meaning, Model, ModelError, Supply};
use crate::circuit::{Bend, Circuit, Core, CoreId, Element, ElementId, Node, SliderPoint, ValueId};
use gear::{Designation, Find, Part, PartKind, Setup, TerminalRef, Winding, Wound};
use std::collections::HashMap;
use wiring::{Conductors, polarity};

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

pub(super) struct Builder<'a> {
    pub(super) find: &'a Find,
    pub(super) setup: &'a Setup,
    pub(super) model: Model,
    pub(super) errors: Vec<ModelError>,
    /// Nodes held together by links, each with its parent: a link that closes a loop of links would leave its current undetermined.
    linked: HashMap<Node, Node>,
    pub(super) earth: Option<Node>,
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

    pub(super) fn fail(&mut self, what: String, remedy: &str) {
        self.errors.push(ModelError::new(what, remedy));
    }

    /// The value of a meaning; one value a meaning.
    pub(super) fn value(&mut self, meaning: Meaning) -> ValueId {
        if let Some(known) = self.model.value(&meaning) {
            return known;
        }
        self.model.meanings.push(meaning);
        self.model.circuit.value()
    }

    pub(super) fn element(
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
    pub(super) fn own(&self, terminal: &TerminalRef) -> Node {
        self.model.node(terminal).unwrap_or(Node(0))
    }

    fn part(&mut self, part: &Part) {
        let designation = &part.designation;
        match &part.kind {
            PartKind::Transformer(wound) | PartKind::VariableAutotransformer(wound) => {
                self.wound(part, wound, true);
            }
            PartKind::Choke(wound) => self.wound(part, wound, false),
            PartKind::Terminals(_) | PartKind::Unmarked(_) => {}
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

    pub(super) fn links_close_a_loop(&mut self, from: Node, to: Node) -> bool {
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
}
