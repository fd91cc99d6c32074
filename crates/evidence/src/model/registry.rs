//! Parameters by what they are of, so that setups share them, and the named quantities made of them.

use crate::{Binding, Parameter, Transform};
use gear::{Designation, Measured, TerminalRef};
use quantity::Unit;
use std::collections::HashMap;

/// What a parameter is of. Sisters (like parts of the three phases) share a common value and each has its own small factor.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Key {
    /// Level of a feed's volts in a setup.
    Supply(u32, usize),
    /// One phase of a three-phase feed over the level.
    Unbalance(u32, usize, u8),
    /// Turns of the first winding over those of this one.
    Ratio(Designation, usize),
    /// Ohms of a winding at 20 °C.
    Ohms(Designation, usize),
    /// How unevenly copper loss is split between the first winding and this one.
    Split(Designation, usize),
    /// Leakage reactance, whole, seen from the first winding at rated frequency.
    Leakage(Designation),
    /// Core loss at rated volts, watts.
    CoreLoss(Designation),
    /// Magnetising current of the first winding at rated volts, amperes.
    Magnetising(Designation),
    /// Exponent of the magnetising current.
    CurrentExponent(Designation),
    /// Exponent of the watts.
    WattsExponent(Designation),
    /// Knee over rated volts per hertz.
    Knee(Designation),
    /// Position of a tap.
    Tap(Designation, usize, usize),
    /// Position of a slider or a gang in a setup.
    Slider(u32, String),
    /// How far a ganged slider stands from its gang.
    Offset(Designation, usize, usize),
    /// Brush ohms.
    Brush(Designation, usize, usize),
    /// Ohms of a simple part.
    PartOhms(Designation),
    /// Reactance of a simple part.
    PartReactance(Designation),
    /// Farads of a capacitor.
    PartFarads(Designation),
    /// Ohms of a setup's load.
    LoadOhms(u32, usize),
    /// Reactance of a setup's load over its ohms' prior centre.
    LoadReactance(u32, usize),
    /// Copper's resistance in a setup over that at 20 °C.
    Warmth(u32),
    /// Watts of something undrawn on the line that enters at a terminal.
    Undrawn(TerminalRef),
    /// Gain error of a meter on one range.
    Gain(Option<Designation>, Measured, usize),
    /// What an average-responding meter makes of a mains' wave, by the source's name.
    Wave(Option<String>),
    /// What an average-responding meter misses of the peaky no-load currents of a setup.
    PeakyCurrent(u32),
    /// Ohms of a meter's test leads.
    Leads(Option<Designation>),
    /// Error of an analogue scale, the same all along it.
    Scale(Option<Designation>, Measured, usize),
    /// The part's own small factor on a value its sisters share.
    Own(Box<Key>, Designation),
}

/// A quantity of the find worth naming, made of parameters.
#[derive(Debug, Clone)]
pub struct Named {
    /// "ratio of T4".
    pub name: String,
    /// Its unit.
    pub unit: Unit,
    /// How it follows from parameters.
    pub binding: Binding,
    /// What the prior rests on.
    pub basis: String,
}

/// Parameters by key.
#[derive(Debug, Clone, Default)]
pub struct Registry {
    /// The parameters, in order of first use.
    pub parameters: Vec<Parameter>,
    /// Named quantities, in order of first use.
    pub named: Vec<Named>,
    index: HashMap<Key, usize>,
}

impl Registry {
    /// Index of a parameter; `make` gives its prior when it is new.
    pub(crate) fn parameter(&mut self, key: Key, make: impl FnOnce() -> Parameter) -> usize {
        if let Some(&index) = self.index.get(&key) {
            return index;
        }
        self.parameters.push(make());
        self.index.insert(key, self.parameters.len() - 1);
        self.parameters.len() - 1
    }

    /// Every parameter's value in the middle of what is believed of it before any reading.
    pub(crate) fn centres(&self) -> Vec<f64> {
        self.parameters.iter().map(|p| p.value(0.0)).collect()
    }

    /// Index of a parameter that exists.
    pub fn get(&self, key: &Key) -> Option<usize> {
        self.index.get(key).copied()
    }

    /// Every parameter's key with its index, in no order.
    pub fn keys(&self) -> impl Iterator<Item = (&Key, usize)> {
        self.index.iter().map(|(key, index)| (key, *index))
    }

    /// Names a quantity once.
    pub(crate) fn name(&mut self, name: String, unit: Unit, binding: &Binding, basis: &str) {
        if !self.named.iter().any(|n| n.name == name) {
            self.named.push(Named {
                name,
                unit,
                binding: binding.clone(),
                basis: basis.to_owned(),
            });
        }
    }

    /// Mirror modes to start from: every slider whose place nobody noted, low and high of its travel.
    pub(crate) fn starts(&self) -> Vec<Vec<(usize, f64)>> {
        let open: Vec<usize> = self
            .index
            .iter()
            .filter(|(key, i)| {
                matches!(key, Key::Slider(..)) && self.parameters[**i].transform == Transform::Logit
            })
            .map(|(_, i)| *i)
            .collect();
        if open.is_empty() {
            return Vec::new();
        }
        [-0.8, 0.8]
            .iter()
            .map(|z| open.iter().map(|i| (*i, *z)).collect())
            .collect()
    }
}
