//! Something undrawn on a supply line: a pilot lamp, a relay, a control board that nobody put into the drawing.
//!
//! A current or a power read where the supply enters holds it, so core loss learned from such a reading shares in its doubt: one
//! unknown a line, the same in all setups, and only where such a reading was taken (what was read in a part's own lead holds
//! nothing undrawn). The model stays as drawn; the equations alone know of it, behind everything else.

use super::{Key, Nominal, Registry, usual};
use crate::Binding;
use gear::{Find, Measured, Reading, Setup, TerminalRef};
use network::circuit::{Circuit, Element, ElementId};
use network::{Belongs, Model, Question, Supply};
use quantity::Unit;

/// Volts a line is reckoned at where the plate says none: one phase of the European mains.
const UNKNOWN_VOLTS: f64 = 230.0;

/// The sources whose own current or power was read in a setup, each with the terminal its line enters at.
fn lines(find: &Find, setup: &Setup, model: &Model) -> Vec<(ElementId, TerminalRef)> {
    if model.supply != Supply::Alternating {
        return vec![];
    }
    let here = |it: &&Reading| {
        it.setup == setup.number
            && it.struck.is_none()
            && matches!(it.measured, Measured::AcCurrent | Measured::Power)
    };
    let mut lines: Vec<(ElementId, TerminalRef)> = vec![];
    for reading in find.readings.iter().filter(here) {
        let asked = model.question(&reading.place, reading.measured, 0.0);
        let Ok(Question::Current { through, .. } | Question::Power { through, .. }) = asked else {
            continue;
        };
        for (element, _) in through {
            let Some(Belongs::Feed { feed, phase }) = model.belongs.get(element.0) else {
                continue;
            };
            let entry = setup
                .feeds
                .get(*feed)
                .and_then(|feed| feed.to.get(usize::from(*phase)));
            if let Some(entry) = entry
                && lines.iter().all(|(known, _)| *known != element)
            {
                lines.push((element, entry.clone()));
            }
        }
    }
    lines
}

impl Registry {
    /// Hangs what is undrawn onto the lines whose current or power was read: the circuit and its bindings grow at their ends.
    pub(super) fn hang_undrawn(
        &mut self,
        find: &Find,
        nominal: Nominal,
        (setup, model): (&Setup, &Model),
        (circuit, bindings): (&mut Circuit, &mut Vec<Binding>),
    ) {
        let phases = if nominal.phases == 3 {
            3f64.sqrt()
        } else {
            1.0
        };
        let volts = nominal.volts.map_or(UNKNOWN_VOLTS, |line| line / phases);
        for (source, entry) in lines(find, setup, model) {
            let Some(&Element::Source { from, to, .. }) = circuit.elements.get(source.0) else {
                continue;
            };
            let name = format!("something undrawn on the supply line at {entry}");
            let prior = usual::undrawn();
            let basis = prior.basis.clone();
            let watts = self.parameter(Key::Undrawn(entry), || {
                prior.named(name.clone(), Unit::Watt)
            });
            let itself = Binding::Product {
                coefficient: 1.0,
                powers: vec![(watts, 1.0)],
            };
            self.name(name.clone(), Unit::Watt, &itself, &basis);
            let ohms = circuit.value();
            bindings.push(Binding::Product {
                coefficient: volts * volts,
                powers: vec![(watts, -1.0)],
            });
            let reactance = circuit.value();
            bindings.push(Binding::Fixed(0.0));
            let load = Element::Impedance {
                from,
                to,
                ohms,
                reactance,
            };
            circuit.element(name, load);
        }
    }
}
