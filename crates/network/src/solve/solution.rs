//! Collects a [`Solution`] from the unknowns: voltages, currents by piece, losses, what the sources deliver.

use super::excitation::Excitation;
use super::layout::{Kind, Layout};
use super::shape::{Shape, straight};
use super::solver::State;
use super::{PieceCurrent, Solution};
use crate::circuit::Circuit;
use num_complex::Complex64;

/// Everything of the settled state.
pub(super) fn collect(
    circuit: &Circuit,
    layout: &Layout,
    shape: &Shape,
    state: &State,
) -> Solution {
    let x = &state.x;
    let voltages = (0..circuit.nodes.len())
        .map(|n| layout.unknown[n].map_or(Complex64::ZERO, |u| x[u]))
        .collect();
    let emf_per_turn: Vec<Complex64> = x[layout.first_core..].to_vec();
    let (core_loss, beyond_knee) = cores(circuit, layout, &state.values, &emf_per_turn);
    let mut solution = Solution {
        voltages,
        island: islands(layout, circuit.nodes.len()),
        currents: vec![Vec::new(); circuit.elements.len()],
        sliders: vec![Vec::new(); circuit.elements.len()],
        emf_per_turn,
        beyond_knee,
        copper_loss: vec![0.0; circuit.elements.len()],
        core_loss,
        delivered: vec![Complex64::ZERO; circuit.elements.len()],
    };
    for (k, b) in shape.branches.iter().enumerate() {
        let amperes = x[layout.first_branch + k];
        solution.copper_loss[b.element] +=
            b.impedance(&state.values, layout.omega).re * amperes.norm_sqr();
        solution.delivered[b.element] += b.emf(&state.values) * amperes.conj();
        match b.kind {
            Kind::Brush { .. } => solution.sliders[b.element].push(amperes),
            Kind::Piece { low, high, .. } => {
                let (from, to) = (state.values[low], state.values[high]);
                solution.currents[b.element].push(PieceCurrent { from, to, amperes });
            }
            _ => solution.currents[b.element].push(PieceCurrent {
                from: 0.0,
                to: 1.0,
                amperes,
            }),
        }
    }
    solution
}

/// Watts of each core and whether it is beyond its knee.
fn cores(
    circuit: &Circuit,
    layout: &Layout,
    values: &[f64],
    emf: &[Complex64],
) -> (Vec<f64>, Vec<bool>) {
    let judged = circuit.cores.iter().zip(emf).map(|((_, core), &e)| {
        if layout.omega == 0.0 {
            return (0.0, false);
        }
        match &core.bend {
            None => ((e * (straight(core, values) * e).conj()).re, false),
            Some(bend) => {
                let law = Excitation::new(core, bend, values);
                (
                    (e * law.ampere_turns(e).conj()).re,
                    e.norm() > law.knee_emf(),
                )
            }
        }
    });
    judged.unzip()
}

/// Islands of the circuit's own nodes, numbered from 0 in the order of their lowest nodes.
fn islands(layout: &Layout, nodes: usize) -> Vec<usize> {
    let mut roots = Vec::new();
    (0..nodes)
        .map(|n| {
            let root = layout.island[n];
            roots.iter().position(|r| *r == root).unwrap_or_else(|| {
                roots.push(root);
                roots.len() - 1
            })
        })
        .collect()
}
