//! How each value of a circuit follows from parameters: the one place where meanings meet priors. `wound` binds what belongs to a
//! wound part, `setup` what belongs to a setup.

mod setup;
mod wound;

use super::priors;
use super::{Key, Nominal, Registry};
use crate::{Binding, Parameter};
use gear::{Designation, Find, Setup};
use network::Meaning;
use quantity::Unit;

/// What a what-if fixes instead of asking the parameters, and the frequency its values are for.
#[derive(Debug, Clone, Default)]
pub struct Given {
    /// Hertz.
    pub frequency: f64,
    /// The setup was made up: supply, sliders and loads are set, not measured; they get fixed values (the sheet's, or these).
    pub made_up: bool,
}

pub(super) fn frequency_of(setup: &Setup, nominal: Nominal) -> f64 {
    setup
        .feeds
        .iter()
        .find_map(|f| f.frequency.as_ref()?.value())
        .filter(|f| *f > 0.0)
        .unwrap_or(nominal.frequency)
}

fn fixed(value: f64) -> Binding {
    Binding::Fixed(value)
}

fn product(coefficient: f64, powers: Vec<(usize, f64)>) -> Binding {
    Binding::Product {
        coefficient,
        powers,
    }
}

impl Registry {
    /// The binding of one value.
    pub(super) fn bind(
        &mut self,
        meaning: &Meaning,
        find: &Find,
        setup: &Setup,
        nominal: Nominal,
        given: &Given,
    ) -> Binding {
        match meaning {
            Meaning::Fixed(value) => fixed(*value),
            Meaning::SourceVolts { feed, phase } => {
                self.source_volts(find, setup, nominal, (*feed, *phase), given)
            }
            Meaning::SourceOhms { feed } => fixed(setup::source_ohms(find, setup, *feed)),
            // A sheet gives a source's impedance as ohms; its reactance is not asked for.
            Meaning::SourceReactance { .. } => fixed(0.0),
            Meaning::SliderAt {
                part,
                winding,
                slider,
            } => self.slider_at(find, setup, (part, *winding, *slider), given),
            Meaning::LoadOhms { load } => self.load(find, setup, *load, false, given),
            Meaning::LoadReactance { load } => self.load(find, setup, *load, true, given),
            Meaning::PartOhms(part) => self.simple(find, part, Key::PartOhms(part.clone())),
            Meaning::PartReactance(part) => {
                self.simple(find, part, Key::PartReactance(part.clone()))
            }
            Meaning::PartFarads(part) => self.simple(find, part, Key::PartFarads(part.clone())),
            wound => self.of_wound_part(wound, find, setup, nominal, given),
        }
    }

    fn simple(&mut self, find: &Find, part: &Designation, key: Key) -> Binding {
        use gear::PartKind;
        let kind = find.part(part).map(|p| &p.kind);
        let (prior, what, unit) = match (&key, kind) {
            (Key::PartOhms(_), Some(PartKind::Resistor { resistance })) => (
                priors::figure(resistance, 0.03, 100.0, 2.0),
                "ohms",
                Unit::Ohm,
            ),
            (Key::PartOhms(_), Some(PartKind::Load { resistance, .. })) => (
                priors::figure(resistance, 0.1, 50.0, 1.5),
                "ohms",
                Unit::Ohm,
            ),
            (
                Key::PartReactance(_),
                Some(PartKind::Load {
                    reactance: Some(x), ..
                }),
            ) => (
                priors::figure(&Some(x.clone()), 0.1, 1.0, 1.0),
                "reactance",
                Unit::Ohm,
            ),
            (Key::PartFarads(_), Some(PartKind::Capacitor { capacitance })) => (
                priors::figure(capacitance, 0.06, 1e-5, 2.0),
                "capacitance",
                Unit::Farad,
            ),
            _ => return fixed(0.0),
        };
        let name = format!("{what} of {part}");
        let basis = prior.basis.clone();
        let index = self.parameter(key, || prior.named(name.clone(), unit));
        let binding = product(1.0, vec![(index, 1.0)]);
        self.name(name, unit, &binding, &basis);
        binding
    }
}

fn aux(parameter: Parameter) -> Parameter {
    Parameter {
        auxiliary: true,
        ..parameter
    }
}
