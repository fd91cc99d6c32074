//! Values of a setup: its supplies, slider positions and loads. A setup nobody made has them set, not believed.

use super::super::priors::{self, Prior};
use super::super::size;
use super::super::usual;
use super::super::{Key, Nominal, Registry};
use super::{Given, aux, fixed, product};
use crate::{Binding, Transform};
use gear::{Designation, Find, Setup};
use quantity::Unit;

/// Ohms that stand for nothing: where the sheet gives a source no impedance the parameter is the volts at its terminals.
const STIFF: f64 = 0.0;

impl Registry {
    pub(super) fn source_volts(
        &mut self,
        find: &Find,
        setup: &Setup,
        nominal: Nominal,
        (feed, phase): (usize, u8),
        given: &Given,
    ) -> Binding {
        let Some(fed) = setup.feeds.get(feed) else {
            return fixed(f64::NAN);
        };
        let prior = priors::supply(find, fed, nominal.volts);
        if given.made_up {
            return fixed(prior.centre);
        }
        let several = if setup.feeds.len() > 1 {
            format!(", feed {}", feed + 1)
        } else {
            String::new()
        };
        let name = format!("supply in setup {}{several}", setup.number);
        let basis = prior.basis.clone();
        let level = self.parameter(Key::Supply(setup.number, feed), || {
            prior.named(name.clone(), Unit::Volt)
        });
        if fed.to.len() < 3 {
            let binding = product(1.0, vec![(level, 1.0)]);
            self.name(name, Unit::Volt, &binding, &basis);
            return binding;
        }
        let one = self.parameter(Key::Unbalance(setup.number, feed, phase), || {
            aux(priors::unbalance().named(
                format!(
                    "L{} of the supply in setup {} over the others",
                    phase + 1,
                    setup.number
                ),
                Unit::One,
            ))
        });
        let binding = product(1.0, vec![(level, 1.0), (one, 1.0)]);
        let level = product(1.0, vec![(level, 1.0)]);
        self.name(format!("{name}, line to star"), Unit::Volt, &level, &basis);
        binding
    }

    pub(super) fn slider_at(
        &mut self,
        find: &Find,
        setup: &Setup,
        (part, winding, slider): (&Designation, usize, usize),
        given: &Given,
    ) -> Binding {
        let gang = find.gang_of(part).map(|g| g.name.clone());
        let brush = find
            .part(part)
            .and_then(|p| p.kind.wound()?.windings.get(winding)?.sliders.get(slider));
        let noted = brush.and_then(|b| wiring::slider_setting(find, setup, part, &b.terminal));
        let prior = priors::slider(noted);
        let mut terms = Vec::new();
        let mut constant = 0.0;
        if given.made_up {
            constant = prior.centre;
        } else {
            let mover = gang.clone().unwrap_or_else(|| part.to_string());
            let name = format!("slider in setup {}", setup.number);
            let name = if gang.is_none()
                && find.parts.iter().filter(|p| size::is_variable(p)).count() > 1
            {
                format!("{name} of {part}")
            } else {
                name
            };
            let basis = prior.basis.clone();
            let at = self.parameter(Key::Slider(setup.number, mover), || {
                prior.named(name.clone(), Unit::One)
            });
            terms.push((at, 1.0));
            let whole = Binding::Sum {
                constant: 0.0,
                terms: terms.clone(),
                low: 0.0,
                high: 1.0,
            };
            self.name(name, Unit::One, &whole, &basis);
        }
        if gang.is_some() {
            let offset = self.parameter(Key::Offset(part.clone(), winding, slider), || {
                aux(usual::slider_offset()
                    .named(format!("slider of {part} ahead of its gang"), Unit::One))
            });
            terms.push((offset, 1.0));
        }
        Binding::Sum {
            constant,
            terms,
            low: 0.0,
            high: 1.0,
        }
    }

    /// A load's ohms (from its figure, or its power at its volts) and its reactance, which keeps to the ohms' own doubt.
    pub(super) fn load(
        &mut self,
        find: &Find,
        setup: &Setup,
        load: usize,
        reactance: bool,
        given: &Given,
    ) -> Binding {
        let Some(on) = setup.loads.get(load) else {
            return fixed(f64::NAN);
        };
        let (ohms, written_reactance) =
            network::load_impedance(find, on).map_or((None, 0.0), |(r, x)| (Some(r), x));
        let width = if on.resistance.is_some() { 0.05 } else { 0.1 };
        let centre = ohms.filter(|r| *r > 0.0);
        let prior = |basis: &str| match centre {
            Some(r) => Prior {
                centre: r,
                width,
                transform: Transform::Ln,
                basis: basis.into(),
            },
            None => Prior {
                centre: 20.0,
                width: 1.5,
                transform: Transform::Ln,
                basis: "nothing is known of the load".into(),
            },
        };
        if given.made_up || (reactance && written_reactance == 0.0) {
            return fixed(if reactance {
                written_reactance
            } else {
                centre.unwrap_or(0.0)
            });
        }
        let name = format!("load in setup {}", setup.number);
        let index = self.parameter(Key::LoadOhms(setup.number, load), || {
            prior("written").named(name.clone(), Unit::Ohm)
        });
        let per_ohm = if reactance {
            written_reactance / centre.unwrap_or(1.0)
        } else {
            1.0
        };
        let binding = product(per_ohm, vec![(index, 1.0)]);
        if !reactance {
            self.name(name, Unit::Ohm, &binding, "written");
        }
        binding
    }
}

pub(super) fn source_ohms(find: &Find, setup: &Setup, feed: usize) -> f64 {
    let source = setup
        .feeds
        .get(feed)
        .and_then(|f| f.source.as_ref())
        .and_then(|n| find.kit.sources.iter().find(|s| s.name == *n));
    source
        .and_then(|s| s.impedance.as_ref()?.value())
        .unwrap_or(STIFF)
}
