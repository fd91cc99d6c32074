//! What of a find belongs to one phase: elements with their pins, and the terminals where lines begin and end.
//!
//! A part belongs to the phase it is marked with; a part without a mark to the one phase its conductors lead to. What belongs
//! to no phase (one-phase gear, an unmarked crate find) is drawn whichever phase is asked for.

use super::DrawingError;
use gear::{Designation, Find, Part, PartKind, Setup, TerminalRef, Winding};
use std::collections::{BTreeMap, BTreeSet};
use wiring::Conductors;

/// Marks of the three lines on a strip of terminals, by phase (IEC 60445, and plain figures).
const LINE_MARKS: [[&str; 3]; 3] = [["1", "L1", "U"], ["2", "L2", "V"], ["3", "L3", "W"]];

/// A point of an element where a lead lands.
#[derive(Debug, Clone)]
pub(super) struct Pin {
    pub(super) terminal: TerminalRef,
    /// Index of its conductor.
    pub(super) node: usize,
    /// Fraction of the turns from the first point; 0 and 1 for simple parts.
    pub(super) at: f64,
    /// Whether it is a slider, and if so whether its position is known.
    pub(super) slider: Option<bool>,
}

/// Something current passes through: a winding, or a part of two terminals.
#[derive(Debug, Clone)]
pub(super) struct Element<'a> {
    pub(super) part: &'a Part,
    pub(super) winding: Option<&'a Winding>,
    pub(super) pins: Vec<Pin>,
    /// A fuse or switch that stands open.
    pub(super) open: bool,
}

impl Element<'_> {
    pub(super) fn first(&self) -> &Pin {
        &self.pins[0]
    }

    /// The pin at the far end; sliders stand behind it in the list.
    pub(super) fn last(&self) -> &Pin {
        self.pins
            .iter()
            .rev()
            .find(|p| p.slider.is_none())
            .unwrap_or(&self.pins[0])
    }

    pub(super) fn is_wound(&self) -> bool {
        self.winding.is_some()
    }

    pub(super) fn touches(&self, node: usize) -> bool {
        self.pins.iter().any(|p| p.node == node)
    }
}

/// A terminal of a strip.
#[derive(Debug, Clone)]
pub(super) struct Port {
    pub(super) terminal: TerminalRef,
    pub(super) node: usize,
}

/// One phase of a find.
#[derive(Debug)]
pub(super) struct Circuit<'a> {
    pub(super) find: &'a Find,
    pub(super) elements: Vec<Element<'a>>,
    /// Terminals of strips that belong to this phase, in the find's order.
    pub(super) ports: Vec<Port>,
    pub(super) conductors: Conductors,
    /// Whether the find has more phases than this one.
    pub(super) three_phase: bool,
    pub(super) phase: u8,
    /// Parts of other phases that touch a conductor.
    pub(super) foreign: BTreeMap<usize, BTreeSet<Designation>>,
}

impl<'a> Circuit<'a> {
    /// Picks the phase out of the find.
    pub(super) fn of(
        find: &'a Find,
        setup: Option<&Setup>,
        phase: u8,
    ) -> Result<Self, DrawingError> {
        if find.parts.is_empty() {
            return Err(DrawingError::NoParts);
        }
        let conductors = Conductors::of(find, setup);
        let all = elements(find, setup, &conductors);
        let phases = phases(find, &conductors, &all);
        let three_phase = phases.of_element.iter().any(|p| *p > 1) || phases.lines.len() >= 3;
        let wanted = |p: u8| p == phase || (p == 0 && (!three_phase || phase <= 1));
        let mut foreign: BTreeMap<usize, BTreeSet<Designation>> = BTreeMap::new();
        let mut own = Vec::new();
        for (element, of) in all.into_iter().zip(&phases.of_element) {
            if !three_phase || wanted(*of) {
                own.push(element);
            } else {
                for pin in &element.pins {
                    foreign
                        .entry(pin.node)
                        .or_default()
                        .insert(element.part.designation.clone());
                }
            }
        }
        if own.is_empty() {
            return Err(DrawingError::NothingOfPhase(phase));
        }
        let touched: BTreeSet<usize> = own
            .iter()
            .flat_map(|e| e.pins.iter().map(|p| p.node))
            .collect();
        let mut ports = Vec::new();
        for part in &find.parts {
            let PartKind::Terminals(marks) = &part.kind else {
                continue;
            };
            for mark in marks {
                let terminal = part.terminal(mark);
                let Some(node) = conductors.find(&terminal) else {
                    continue;
                };
                if touched.contains(&node) || is_earth(mark) {
                    ports.push(Port { terminal, node });
                }
            }
        }
        Ok(Self {
            find,
            elements: own,
            ports,
            conductors,
            three_phase,
            phase,
            foreign,
        })
    }

    /// Index of a terminal's conductor.
    pub(super) fn node(&self, terminal: &TerminalRef) -> Option<usize> {
        self.conductors.find(terminal)
    }

    /// How many pins and ports of this phase stand on a conductor.
    pub(super) fn landings(&self, node: usize) -> usize {
        let pins = self
            .elements
            .iter()
            .flat_map(|e| &e.pins)
            .filter(|p| p.node == node)
            .count();
        pins + self.ports.iter().filter(|p| p.node == node).count()
    }
}

/// Whether this mark is a protective conductor's.
pub(super) fn is_earth(mark: &str) -> bool {
    mark == "PE"
}

/// Whether this mark is a neutral's.
pub(super) fn is_neutral(mark: &str) -> bool {
    mark == "N"
}

/// The phase a strip's mark names.
pub(super) fn line_phase(mark: &str) -> Option<u8> {
    (1_u8..)
        .zip(LINE_MARKS)
        .find(|(_, marks)| marks.contains(&mark))
        .map(|(phase, _)| phase)
}

fn elements<'a>(
    find: &'a Find,
    setup: Option<&Setup>,
    conductors: &Conductors,
) -> Vec<Element<'a>> {
    let mut all = Vec::new();
    for part in &find.parts {
        match (&part.kind, part.kind.wound()) {
            (PartKind::Terminals(_) | PartKind::Unmarked(_), _) => {}
            (_, Some(wound)) => {
                for winding in &wound.windings {
                    let pins = winding_pins(find, setup, conductors, part, winding);
                    if pins.len() >= 2 {
                        all.push(Element {
                            part,
                            winding: Some(winding),
                            pins,
                            open: false,
                        });
                    }
                }
            }
            _ => {
                let pins: Vec<Pin> = [("1", 0.0), ("2", 1.0)]
                    .into_iter()
                    .filter_map(|(mark, at)| {
                        let terminal = part.terminal(mark);
                        let node = conductors.find(&terminal)?;
                        Some(Pin {
                            terminal,
                            node,
                            at,
                            slider: None,
                        })
                    })
                    .collect();
                let open = setup
                    .and_then(|s| s.switches.iter().find(|w| w.part == part.designation))
                    .is_some_and(|w| !w.closed);
                if pins.len() == 2 {
                    all.push(Element {
                        part,
                        winding: None,
                        pins,
                        open,
                    });
                }
            }
        }
    }
    all
}

fn winding_pins(
    find: &Find,
    setup: Option<&Setup>,
    conductors: &Conductors,
    part: &Part,
    winding: &Winding,
) -> Vec<Pin> {
    let last = winding.points.len().saturating_sub(1).max(1);
    let points = winding.points.iter().enumerate().map(|(index, point)| {
        // A tap of unknown place is drawn where an even spread would put it.
        let even = index as f64 / last as f64;
        let at = if index == 0 || index == last {
            even
        } else {
            point
                .at
                .as_ref()
                .and_then(quantity::Quantity::value)
                .unwrap_or(even)
        };
        (point.terminal.as_str(), at, None)
    });
    let sliders = winding.sliders.iter().map(|slider| {
        let known = setup
            .and_then(|s| wiring::slider_setting(find, s, &part.designation, &slider.terminal))
            .and_then(quantity::Quantity::value);
        (
            slider.terminal.as_str(),
            known.unwrap_or(0.5),
            Some(known.is_some()),
        )
    });
    points
        .chain(sliders)
        .filter_map(|(mark, at, slider)| {
            let terminal = part.terminal(mark);
            let node = conductors.find(&terminal)?;
            Some(Pin {
                terminal,
                node,
                at: at.clamp(0.0, 1.0),
                slider,
            })
        })
        .collect()
}

struct Phases {
    /// 0 is none.
    of_element: Vec<u8>,
    /// Conductors that a strip's marks name as a line, by phase.
    lines: BTreeMap<u8, BTreeSet<usize>>,
}

fn phases(find: &Find, conductors: &Conductors, elements: &[Element<'_>]) -> Phases {
    let mut lines: BTreeMap<u8, BTreeSet<usize>> = BTreeMap::new();
    for part in &find.parts {
        let PartKind::Terminals(marks) = &part.kind else {
            continue;
        };
        // Three lines, and nothing but lines, neutral and earth: a strip numbered 1 to 4 is just numbered.
        let named: BTreeSet<u8> = marks.iter().filter_map(|m| line_phase(m)).collect();
        if named.len() < 3
            || !marks
                .iter()
                .all(|m| line_phase(m).is_some() || is_neutral(m) || is_earth(m))
        {
            continue;
        }
        for mark in marks {
            if let (Some(phase), Some(node)) =
                (line_phase(mark), conductors.find(&part.terminal(mark)))
            {
                lines.entry(phase).or_default().insert(node);
            }
        }
    }
    let mut of_element: Vec<u8> = elements.iter().map(|e| e.part.phase.unwrap_or(0)).collect();
    // Parts without a mark take the phase their conductors lead to, one step at a time until nothing changes.
    for _ in 0..elements.len() {
        let mut of_node: BTreeMap<usize, BTreeSet<u8>> = BTreeMap::new();
        for (phase, nodes) in &lines {
            for node in nodes {
                of_node.entry(*node).or_default().insert(*phase);
            }
        }
        for (element, phase) in elements.iter().zip(&of_element).filter(|(_, p)| **p > 0) {
            for pin in &element.pins {
                of_node.entry(pin.node).or_default().insert(*phase);
            }
        }
        let before = of_element.clone();
        for (element, phase) in elements
            .iter()
            .zip(of_element.iter_mut())
            .filter(|(_, p)| **p == 0)
        {
            let reached: BTreeSet<u8> = element
                .pins
                .iter()
                .filter_map(|p| of_node.get(&p.node))
                .filter(|set| set.len() == 1)
                .flat_map(|set| set.iter().copied())
                .collect();
            if reached.len() == 1 {
                *phase = reached.into_iter().next().unwrap_or(0);
            }
        }
        if before == of_element {
            break;
        }
    }
    Phases { of_element, lines }
}
