//! The pattern of the matrix for one order of the points on every winding, with the slots its values go to and its factors.
//!
//! The order changes only when a slider passes a tap; a solver keeps the shapes it has met. Rows: Kirchhoff's current law at each
//! node, the voltage of each branch, the ampere-turns of each core; columns in the same order: node voltages, branch currents, EMFs per
//! turn. A slider exactly on a tap leaves a branch of 0 V here, not another pattern.

use super::NetworkError;
use super::layout::{Branch, Kind, Layout, Spot, Wound};
use super::sparse::{Factors, Matrix};
use super::stiff::{Loop, Split, loops, splits};
use crate::circuit::{Circuit, Core};
use num_complex::Complex64;
use std::cmp::Ordering;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);
const ONE: Complex64 = Complex64::new(1.0, 0.0);

impl Branch {
    /// Series impedance, ohms; 0 for links and capacitors.
    pub(super) fn impedance(&self, values: &[f64], omega: f64) -> Complex64 {
        let alternating = if omega == 0.0 { 0.0 } else { 1.0 };
        match self.kind {
            Kind::Source {
                ohms, reactance, ..
            }
            | Kind::Impedance { ohms, reactance } => {
                Complex64::new(values[ohms], alternating * values[reactance])
            }
            Kind::Piece {
                ohms,
                reactance,
                low,
                high,
                ..
            } => {
                Complex64::new(values[ohms], alternating * values[reactance])
                    * (values[high] - values[low])
            }
            Kind::Brush { ohms } => Complex64::new(values[ohms], 0.0),
            Kind::Capacitor { .. } | Kind::Link => ZERO,
        }
    }

    /// Turns of a piece; 0 for others.
    pub(super) fn turns(&self, values: &[f64]) -> f64 {
        match self.kind {
            Kind::Piece {
                core: Some(_),
                turns,
                low,
                high,
                ..
            } => values[turns] * (values[high] - values[low]),
            _ => 0.0,
        }
    }

    /// EMF that raises `to` above `from`, volts.
    pub(super) fn emf(&self, values: &[f64]) -> Complex64 {
        match self.kind {
            Kind::Source { volts, turn, .. } => turn * values[volts],
            _ => ZERO,
        }
    }

    /// The factor of the voltage in the branch's own equation: siemens for a capacitor, 1 for others.
    pub(super) fn weight(&self, values: &[f64], omega: f64) -> Complex64 {
        match self.kind {
            Kind::Capacitor { farads } => Complex64::new(0.0, omega * values[farads]),
            _ => ONE,
        }
    }

    fn stiff(&self, values: &[f64], omega: f64) -> bool {
        !matches!(self.kind, Kind::Capacitor { .. }) && self.impedance(values, omega) == ZERO
    }
}

/// Admittance of a core's straight part, siemens times turns squared.
pub(super) fn straight(core: &Core, values: &[f64]) -> Complex64 {
    let turns = values[core.reference_turns.0];
    Complex64::new(values[core.conductance.0], -values[core.susceptance.0]) * (turns * turns)
}

#[derive(Debug, Clone, Copy, Default)]
struct Slots {
    own: usize,
    emf: Option<usize>,
    turn: Option<usize>,
    ends: Option<(Option<usize>, Option<usize>)>,
}

/// One pattern.
#[derive(Debug, Clone)]
pub(super) struct Shape {
    order: Vec<usize>,
    pub(super) branches: Vec<Branch>,
    stiff: Vec<bool>,
    loops: Vec<Loop>,
    splits: Vec<Split>,
    /// Branches whose equation is replaced.
    pub(super) replaced: Vec<bool>,
    pub(super) matrix: Matrix,
    slots: Vec<Slots>,
    core_slots: Vec<usize>,
    pub(super) factors: Option<Factors>,
}

impl Shape {
    /// The shape of the order these values have.
    pub(super) fn new(layout: &Layout, values: &[f64]) -> Self {
        let mut order = Vec::new();
        let mut branches = layout.branches.clone();
        for winding in &layout.windings {
            let mut spots: Vec<usize> = (0..winding.spots.len()).collect();
            spots.sort_by(|&a, &b| along(winding, a, b, values));
            for (piece, pair) in winding.pieces.clone().zip(spots.windows(2)) {
                let (lower, upper) = (winding.spots[pair[0]], winding.spots[pair[1]]);
                branches[piece].from = lower.node;
                branches[piece].to = upper.node;
                if let Kind::Piece { low, high, .. } = &mut branches[piece].kind {
                    (*low, *high) = (lower.at, upper.at);
                }
            }
            order.extend(spots);
        }
        let count = branches.len();
        let mut shape = Self {
            order,
            stiff: vec![false; count],
            loops: Vec::new(),
            splits: Vec::new(),
            replaced: vec![false; count],
            matrix: Matrix::new(0, vec![]),
            slots: Vec::new(),
            core_slots: Vec::new(),
            factors: None,
            branches,
        };
        shape.pattern(layout);
        shape
    }

    /// Whether the points of every winding stand in this shape's order.
    pub(super) fn fits(&self, layout: &Layout, values: &[f64]) -> bool {
        let mut start = 0;
        layout.windings.iter().all(|winding| {
            let spots = &self.order[start..start + winding.spots.len()];
            start += winding.spots.len();
            spots
                .windows(2)
                .all(|pair| along(winding, pair[0], pair[1], values) == Ordering::Less)
        })
    }

    /// Looks at the branches without impedance; another pattern when other loops of them stand closed.
    /// # Errors
    /// As [`splits`].
    pub(super) fn settle_loops(
        &mut self,
        circuit: &Circuit,
        layout: &Layout,
        values: &[f64],
    ) -> Result<(), NetworkError> {
        let mut same = true;
        for (known, branch) in self.stiff.iter_mut().zip(&self.branches) {
            let now = branch.stiff(values, layout.omega);
            same &= *known == now;
            *known = now;
        }
        if !same {
            self.loops = loops(&self.branches, &self.stiff, layout.island.len());
        }
        if self.loops.is_empty() && self.splits.is_empty() {
            return Ok(());
        }
        let now = splits(circuit, &self.branches, &self.loops, values)?;
        if now != self.splits {
            self.splits = now;
            self.pattern(layout);
        }
        Ok(())
    }

    fn pattern(&mut self, layout: &Layout) {
        self.replaced.fill(false);
        for split in &self.splits {
            self.replaced[split.branch] = true;
        }
        let first = layout.first_branch;
        let mut places = Vec::new();
        for (k, b) in self.branches.iter().enumerate() {
            for end in self.ends(layout, b).into_iter().flatten() {
                places.push((end, first + k));
                if !self.replaced[k] {
                    places.push((first + k, end));
                }
            }
            places.push((first + k, first + k));
            if let Kind::Piece {
                core: Some(core), ..
            } = b.kind
            {
                places.push((layout.first_core + core, first + k));
                if !self.replaced[k] {
                    places.push((first + k, layout.first_core + core));
                }
            }
        }
        for split in &self.splits {
            places.extend(
                split
                    .circulating
                    .iter()
                    .map(|(k, _)| (first + split.branch, first + k)),
            );
        }
        places.extend((layout.first_core..layout.size).map(|c| (c, c)));
        self.matrix = Matrix::new(layout.size, places);
        self.factors = None;
        self.constants(layout);
    }

    /// Unknowns of a branch's two ends; none where both ends are one node.
    fn ends(&self, layout: &Layout, b: &Branch) -> [Option<usize>; 2] {
        if b.from == b.to {
            [None, None]
        } else {
            [layout.unknown[b.from], layout.unknown[b.to]]
        }
    }

    /// Writes what no value changes and notes where the rest goes.
    fn constants(&mut self, layout: &Layout) {
        let first = layout.first_branch;
        self.slots.clear();
        for k in 0..self.branches.len() {
            let b = self.branches[k];
            let [from, to] = self.ends(layout, &b);
            for (end, sign) in [(from, ONE), (to, -ONE)] {
                if let Some(end) = end {
                    let slot = self.matrix.slot(end, first + k);
                    self.matrix.value[slot] = sign;
                    if !self.replaced[k] {
                        let slot = self.matrix.slot(first + k, end);
                        self.matrix.value[slot] = sign;
                    }
                }
            }
            let mut slots = Slots {
                own: self.matrix.slot(first + k, first + k),
                ..Slots::default()
            };
            if let Kind::Piece {
                core: Some(core), ..
            } = b.kind
            {
                slots.turn = Some(self.matrix.slot(layout.first_core + core, first + k));
                slots.emf = (!self.replaced[k])
                    .then(|| self.matrix.slot(first + k, layout.first_core + core));
            }
            if matches!(b.kind, Kind::Capacitor { .. }) {
                let at = |end: Option<usize>| end.map(|e| self.matrix.slot(first + k, e));
                slots.ends = Some((at(from), at(to)));
            }
            self.slots.push(slots);
        }
        for split in &self.splits {
            for &(k, share) in &split.circulating {
                let slot = self.matrix.slot(first + split.branch, first + k);
                self.matrix.value[slot] = Complex64::new(share, 0.0);
            }
        }
        self.core_slots = (layout.first_core..layout.size)
            .map(|c| self.matrix.slot(c, c))
            .collect();
    }

    /// Writes the values into the matrix and the EMFs into the right side.
    pub(super) fn assemble(
        &mut self,
        circuit: &Circuit,
        layout: &Layout,
        values: &[f64],
        right: &mut [Complex64],
    ) {
        right.fill(ZERO);
        let into = &mut self.matrix.value;
        for (k, b) in self.branches.iter().enumerate() {
            let slots = self.slots[k];
            let turns = Complex64::new(-b.turns(values), 0.0);
            if let Some(slot) = slots.turn {
                into[slot] = turns;
            }
            if self.replaced[k] {
                continue;
            }
            if let Some(slot) = slots.emf {
                into[slot] = turns;
            }
            match (slots.ends, b.kind) {
                (Some((from, to)), _) => {
                    let siemens = b.weight(values, layout.omega);
                    from.into_iter().for_each(|slot| into[slot] = siemens);
                    to.into_iter().for_each(|slot| into[slot] = -siemens);
                    into[slots.own] = -ONE;
                }
                (None, Kind::Link) => into[slots.own] = ZERO,
                (None, _) => into[slots.own] = -b.impedance(values, layout.omega),
            }
            right[layout.first_branch + k] = -b.emf(values);
        }
        for (&slot, (_, core)) in self.core_slots.iter().zip(&circuit.cores) {
            into[slot] = if layout.omega == 0.0 {
                ONE
            } else {
                straight(core, values)
            };
        }
    }
}

/// The order of two points along a winding. Where they stand at one place the fixed one comes first, at the upper end last, so that a
/// slider always lies inside; two of a kind keep the order of the circuit.
fn along(winding: &Wound, a: usize, b: usize, values: &[f64]) -> Ordering {
    let (one, other): (&Spot, &Spot) = (&winding.spots[a], &winding.spots[b]);
    let at = values[one.at];
    at.total_cmp(&values[other.at]).then_with(|| {
        let fixed_first = one.slides.cmp(&other.slides);
        if at >= 1.0 {
            fixed_first.reverse()
        } else {
            fixed_first
        }
        .then(a.cmp(&b))
    })
}
