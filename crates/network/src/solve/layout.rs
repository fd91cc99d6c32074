//! Numbers the unknowns of a circuit: nodes against the reference of their island, the current of every branch, the EMF per turn of
//! every core. Windings become one branch a piece; a slider becomes a contact node on the winding and a branch for its brush.
//!
//! What stays when values change is numbered here once. What moves with a slider (which points a piece joins) is in `shape`.

use super::NetworkError;
use crate::circuit::{Circuit, Element, ValueId};
use num_complex::Complex64;
use std::ops::Range;

/// What a branch does between its ends.
#[derive(Debug, Clone, Copy)]
pub(super) enum Kind {
    /// An EMF behind an impedance; `turn` is the unit phasor of its angle.
    Source {
        volts: usize,
        turn: Complex64,
        ohms: usize,
        reactance: usize,
    },
    /// A series impedance.
    Impedance { ohms: usize, reactance: usize },
    /// A capacitor.
    Capacitor { farads: usize },
    /// 0 V.
    Link,
    /// The part of a winding between two neighbouring points.
    Piece {
        core: Option<usize>,
        turns: usize,
        ohms: usize,
        reactance: usize,
        low: usize,
        high: usize,
    },
    /// A slider's contact.
    Brush { ohms: usize },
}

/// One branch; its current counts from `from` to `to`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Branch {
    pub(super) element: usize,
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) kind: Kind,
}

/// A point on a winding.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot {
    pub(super) node: usize,
    pub(super) at: usize,
    pub(super) slides: bool,
}

/// A winding: its points in the circuit's order and the branches of its pieces.
#[derive(Debug, Clone)]
pub(super) struct Wound {
    pub(super) spots: Vec<Spot>,
    pub(super) pieces: Range<usize>,
}

/// The numbering of a circuit.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    /// Unknown of each node, contacts after the circuit's own; `None` for references.
    pub(super) unknown: Vec<Option<usize>>,
    /// Island of each node, contacts included.
    pub(super) island: Vec<usize>,
    /// Branches; the nodes and positions of pieces are those of one order and are set anew by `shape`.
    pub(super) branches: Vec<Branch>,
    /// Branches of each element.
    pub(super) spans: Vec<Range<usize>>,
    /// Windings.
    pub(super) windings: Vec<Wound>,
    /// Unknown of the current of branch 0.
    pub(super) first_branch: usize,
    /// Unknown of the EMF of core 0.
    pub(super) first_core: usize,
    /// How many unknowns.
    pub(super) size: usize,
    /// Angular frequency, radians a second; 0 for direct current.
    pub(super) omega: f64,
    /// Cores that bend, by index.
    pub(super) bent: Vec<usize>,
}

impl Layout {
    /// Numbers a circuit.
    /// # Errors
    /// `BadValue` for an index that names nothing, or a frequency that is no frequency.
    pub(super) fn new(circuit: &Circuit) -> Result<Self, NetworkError> {
        check_indices(circuit)?;
        let direct = circuit.frequency == 0.0;
        let mut nodes = circuit.nodes.len();
        let mut branches = Vec::new();
        let mut spans = Vec::new();
        let mut windings = Vec::new();
        for (element, e) in circuit.elements.iter().enumerate() {
            let start = branches.len();
            let mut push = |from: usize, to: usize, kind| {
                branches.push(Branch {
                    element,
                    from,
                    to,
                    kind,
                })
            };
            match e {
                Element::Source {
                    from,
                    to,
                    volts,
                    angle,
                    ohms,
                    reactance,
                } => {
                    let turn = Complex64::from_polar(1.0, *angle);
                    push(
                        from.0,
                        to.0,
                        Kind::Source {
                            volts: volts.0,
                            turn,
                            ohms: ohms.0,
                            reactance: reactance.0,
                        },
                    );
                }
                Element::Impedance {
                    from,
                    to,
                    ohms,
                    reactance,
                } => {
                    push(
                        from.0,
                        to.0,
                        Kind::Impedance {
                            ohms: ohms.0,
                            reactance: reactance.0,
                        },
                    );
                }
                Element::Capacitor { from, to, farads } => {
                    push(from.0, to.0, Kind::Capacitor { farads: farads.0 })
                }
                Element::Link { from, to } => push(from.0, to.0, Kind::Link),
                Element::Winding {
                    core,
                    turns,
                    ohms,
                    reactance,
                    points,
                    sliders,
                } => {
                    let mut spots: Vec<Spot> = points
                        .iter()
                        .map(|(n, at)| Spot {
                            node: n.0,
                            at: at.0,
                            slides: false,
                        })
                        .collect();
                    for s in sliders {
                        spots.push(Spot {
                            node: nodes,
                            at: s.at.0,
                            slides: true,
                        });
                        nodes += 1;
                    }
                    for pair in spots.windows(2) {
                        let kind = Kind::Piece {
                            core: (!direct).then_some(core.0),
                            turns: turns.0,
                            ohms: ohms.0,
                            reactance: reactance.0,
                            low: pair[0].at,
                            high: pair[1].at,
                        };
                        push(pair[0].node, pair[1].node, kind);
                    }
                    let first_contact = nodes - sliders.len();
                    for (k, s) in sliders.iter().enumerate() {
                        push(s.node.0, first_contact + k, Kind::Brush { ohms: s.brush.0 });
                    }
                    let pieces = start..start + spots.len().saturating_sub(1);
                    windings.push(Wound { spots, pieces });
                }
            }
            spans.push(start..branches.len());
        }
        let island = islands(nodes, &branches, direct);
        let (unknown, first_branch) = number(&island);
        let first_core = first_branch + branches.len();
        let bent = (0..circuit.cores.len())
            .filter(|&c| !direct && circuit.cores[c].1.bend.is_some())
            .collect();
        Ok(Self {
            unknown,
            island,
            spans,
            windings,
            first_branch,
            first_core,
            size: first_core + circuit.cores.len(),
            branches,
            omega: 2.0 * std::f64::consts::PI * circuit.frequency,
            bent,
        })
    }

    /// The name of an unknown, for messages.
    pub(super) fn name(&self, circuit: &Circuit, unknown: usize) -> String {
        if unknown >= self.first_core {
            return format!("core of {}", circuit.cores[unknown - self.first_core].0);
        }
        if unknown >= self.first_branch {
            return format!(
                "current of {}",
                circuit.names[self.branches[unknown - self.first_branch].element]
            );
        }
        let node = self
            .unknown
            .iter()
            .position(|u| *u == Some(unknown))
            .unwrap_or(0);
        circuit
            .nodes
            .get(node)
            .map_or_else(|| "contact of a slider".to_owned(), |n| format!("node {n}"))
    }
}

/// Island of each node. A core joins nothing; a capacitor joins nothing for direct current.
fn islands(nodes: usize, branches: &[Branch], direct: bool) -> Vec<usize> {
    let mut root: Vec<usize> = (0..nodes).collect();
    fn find(root: &mut [usize], mut n: usize) -> usize {
        while root[n] != n {
            root[n] = root[root[n]];
            n = root[n];
        }
        n
    }
    for b in branches {
        if direct && matches!(b.kind, Kind::Capacitor { .. }) {
            continue;
        }
        let (a, c) = (find(&mut root, b.from), find(&mut root, b.to));
        // The lower number stays root, so that the reference of an island is its lowest node.
        root[a.max(c)] = a.min(c);
    }
    (0..nodes).map(|n| find(&mut root, n)).collect()
}

/// Unknowns of nodes and islands renumbered from 0: the root of each island is its reference.
fn number(island: &[usize]) -> (Vec<Option<usize>>, usize) {
    let mut next = 0;
    let unknown = island
        .iter()
        .enumerate()
        .map(|(node, &root)| {
            (node != root).then(|| {
                next += 1;
                next - 1
            })
        })
        .collect();
    (unknown, next)
}

fn check_indices(circuit: &Circuit) -> Result<(), NetworkError> {
    let bad = |element: &str, what: &str| NetworkError::BadValue {
        element: element.to_owned(),
        what: what.to_owned(),
    };
    if !(circuit.frequency >= 0.0 && circuit.frequency.is_finite()) {
        return Err(bad(
            "circuit",
            &format!("frequency {} Hz", circuit.frequency),
        ));
    }
    let node = |n: usize| n < circuit.nodes.len();
    let value = |v: ValueId| v.0 < circuit.values;
    for (index, e) in circuit.elements.iter().enumerate() {
        let name = circuit.names.get(index).map_or("", String::as_str);
        let sound = match e {
            Element::Source {
                from,
                to,
                volts,
                angle,
                ohms,
                reactance,
            } => {
                node(from.0)
                    && node(to.0)
                    && value(*volts)
                    && value(*ohms)
                    && value(*reactance)
                    && angle.is_finite()
            }
            Element::Impedance {
                from,
                to,
                ohms,
                reactance,
            } => node(from.0) && node(to.0) && value(*ohms) && value(*reactance),
            Element::Capacitor { from, to, farads } => node(from.0) && node(to.0) && value(*farads),
            Element::Link { from, to } => node(from.0) && node(to.0),
            Element::Winding {
                core,
                turns,
                ohms,
                reactance,
                points,
                sliders,
            } => {
                if points.len() < 2 {
                    return Err(bad(name, "a winding needs a point at each end"));
                }
                core.0 < circuit.cores.len()
                    && [turns, ohms, reactance].iter().all(|v| value(**v))
                    && points.iter().all(|(n, at)| node(n.0) && value(*at))
                    && sliders
                        .iter()
                        .all(|s| node(s.node.0) && value(s.at) && value(s.brush))
            }
        };
        if !sound || circuit.names.len() != circuit.elements.len() {
            return Err(bad(
                name,
                "names a node, core, value or angle that is not there",
            ));
        }
    }
    for (name, core) in &circuit.cores {
        let bend = core.bend.map_or(vec![], |b| {
            vec![b.volts, b.current_exponent, b.watts_exponent, b.knee]
        });
        let own = [core.reference_turns, core.conductance, core.susceptance];
        if !own.into_iter().chain(bend).all(value) {
            return Err(bad(name, "names a value that is not there"));
        }
    }
    Ok(())
}
