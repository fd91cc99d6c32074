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

#[cfg(test)]
mod tests {
    use super::super::Named;
    use super::super::{FindProblem, Nominal};

    /// A transformer behind a terminal strip, its no-load current read where the supply enters, or in its own lead.
    fn made(into: &str) -> FindProblem {
        let sheet = format!(
            r#"
sheet = 1
[find]
name = "a transformer in a cabinet"
[[part]]
designation = "X1"
kind = "terminals"
terminals = ["1", "N"]
[[part]]
designation = "T1"
kind = "transformer"
[[part.winding]]
name = "primary"
points = ["1.1", "1.2"]
dot = "first"
volts = "230 V"
[[join]]
terminals = ["X1:1", "T1:1.1"]
[[join]]
terminals = ["X1:N", "T1:1.2"]
[[setup]]
number = 1
[[setup.feed]]
to = ["X1:1", "X1:N"]
volts = "230 V"
[[reading]]
number = 1
setup = 1
measured = "AC current"
into = "{into}"
shown = "0.105 A"
"#
        );
        let find = sheet::read(&sheet).unwrap_or_else(|problems| panic!("{problems:?}"));
        let nominal = Nominal {
            frequency: 50.0,
            volts: Some(230.0),
            power: None,
            phases: 1,
        };
        FindProblem::new(&find, nominal)
    }

    #[test]
    fn only_what_is_read_where_the_supply_enters_may_hold_something_undrawn() {
        for (into, holds) in [("X1:1", true), ("T1:1.1", false)] {
            let made = made(into);
            assert!(made.unused.is_empty(), "{:?}", made.unused);
            assert!(made.problem.check().is_ok());
            let undrawn = |named: &Named| named.name.contains("undrawn");
            assert_eq!(made.registry.named.iter().any(undrawn), holds, "{into}");
        }
    }
}
