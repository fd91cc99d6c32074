//! Values of wound parts: turns, ohms, leakage, taps, brushes, iron. Sisters share a value, each with its own small factor.

use super::super::priors::{self, Prior};
use super::super::size::{self, Size};
use super::super::usual;
use super::super::{Key, Nominal, Registry};
use super::{Given, aux, fixed, product};
use crate::{Binding, Parameter, Transform};
use gear::{Designation, Find, Part, Setup, Winding, Wound};
use network::Meaning;
use quantity::Unit;

/// How far sisters differ from each other, standard deviations in ln (common practice: wound on one day from one drawing).
const OWN_RATIO: f64 = 0.003;
const OWN_OHMS: f64 = 0.03;
const OWN_LEAKAGE: f64 = 0.08;
const OWN_IRON: f64 = 0.12;
const OWN_BRUSH: f64 = 0.3;
const OWN_SHAPE: f64 = 0.03;

/// A wound part with what its priors hang on.
struct WoundPart<'a> {
    part: &'a Part,
    wound: &'a Wound,
    size: Size,
    eldest: Option<Designation>,
    /// Frequency of the setup over the part's rated frequency.
    faster: f64,
}

impl Registry {
    /// The binding of a value of a wound part.
    pub(super) fn of_wound_part(
        &mut self,
        meaning: &Meaning,
        find: &Find,
        setup: &Setup,
        nominal: Nominal,
        given: &Given,
    ) -> Binding {
        let Some(designation) = part_of(meaning) else {
            return fixed(f64::NAN);
        };
        let Some(part) = find.part(designation) else {
            return fixed(f64::NAN);
        };
        let Some(wound) = part.kind.wound() else {
            return fixed(f64::NAN);
        };
        let rated = wound
            .frequency
            .as_ref()
            .and_then(quantity::Quantity::value)
            .filter(|f| *f > 0.0)
            .unwrap_or(nominal.frequency);
        let w = WoundPart {
            part,
            wound,
            size: size::of(find, part, wound, nominal),
            eldest: size::eldest_sister(find, part).map(|p| p.designation.clone()),
            faster: given.frequency / rated,
        };
        match meaning {
            Meaning::Turns { winding, .. } => self.turns(&w, *winding),
            Meaning::WindingOhms { winding, .. } => self.winding_ohms(&w, *winding, setup),
            Meaning::WindingReactance { winding, .. } => self.winding_reactance(&w, *winding),
            Meaning::Tap { winding, point, .. } => self.tap(&w, *winding, *point),
            Meaning::Brush {
                winding, slider, ..
            } => self.brush(&w, *winding, *slider),
            Meaning::CoreVolts(_) => fixed(w.size.volts * w.faster),
            _ => self.core(&w, meaning),
        }
    }

    /// A positive parameter that sisters share, each with its own small factor; returns the powers for a product.
    fn shared(
        &mut self,
        w: &WoundPart,
        key: impl Fn(Designation) -> Key,
        own_width: f64,
        name: &str,
        unit: Unit,
        prior: Prior,
    ) -> Vec<(usize, f64)> {
        let designation = w.part.designation.clone();
        let basis = prior.basis.clone();
        let full_name = format!("{name} of {designation}");
        let Some(eldest) = w.eldest.clone() else {
            let index = self.parameter(key(designation), || prior.named(full_name.clone(), unit));
            let powers = vec![(index, 1.0)];
            self.name(full_name, unit, &product(1.0, powers.clone()), &basis);
            return powers;
        };
        let common_key = key(eldest.clone());
        let common = self.parameter(common_key.clone(), || {
            prior.named(format!("{name} of {eldest} and its sisters"), unit)
        });
        let own = self.parameter(Key::Own(Box::new(common_key), designation.clone()), || {
            Parameter {
                name: format!("{name} of {designation} over its sisters'"),
                unit: Unit::One,
                transform: Transform::Ln,
                centre: 1.0,
                width: own_width,
                basis: "sisters are alike".into(),
                auxiliary: true,
            }
        });
        let powers = vec![(common, 1.0), (own, 1.0)];
        self.name(full_name, unit, &product(1.0, powers.clone()), &basis);
        powers
    }

    fn ratio_powers(&mut self, w: &WoundPart, winding: usize) -> Vec<(usize, f64)> {
        if winding == 0 {
            return Vec::new();
        }
        let many = w.wound.windings.len() > 2;
        let name = if many {
            format!("ratio to {}", w.wound.windings[winding].name)
        } else {
            "ratio".into()
        };
        self.shared(
            w,
            |d| Key::Ratio(d, winding),
            OWN_RATIO,
            &name,
            Unit::One,
            priors::ratio(w.wound, winding),
        )
    }

    fn turns(&mut self, w: &WoundPart, winding: usize) -> Binding {
        let sign = wiring::polarity(w.wound, winding).sign();
        let powers = self
            .ratio_powers(w, winding)
            .into_iter()
            .map(|(i, p)| (i, -p))
            .collect();
        product(sign, powers)
    }

    fn first_ohms(&mut self, w: &WoundPart) -> Vec<(usize, f64)> {
        let Some(first) = w.wound.windings.first() else {
            return Vec::new();
        };
        let prior = priors::ohms(w.part, first, w.size);
        self.shared(
            w,
            |d| Key::Ohms(d, 0),
            OWN_OHMS,
            &winding_name("ohms", w.wound, first),
            Unit::Ohm,
            prior,
        )
    }

    fn winding_ohms(&mut self, w: &WoundPart, winding: usize, setup: &Setup) -> Binding {
        let mut powers = match w.wound.windings.get(winding) {
            Some(this) if winding > 0 && this.resistance.is_none() => {
                let split = self.parameter(
                    Key::Split(
                        w.eldest
                            .clone()
                            .unwrap_or_else(|| w.part.designation.clone()),
                        winding,
                    ),
                    || {
                        aux(priors::split().named(
                            format!(
                                "share of copper loss in {} of {}",
                                this.name, w.part.designation
                            ),
                            Unit::One,
                        ))
                    },
                );
                let mut powers = self.first_ohms(w);
                powers.push((split, 1.0));
                powers.extend(
                    self.ratio_powers(w, winding)
                        .into_iter()
                        .map(|(i, p)| (i, -2.0 * p)),
                );
                let basis = "from the first winding: copper loss split evenly, as designers do";
                self.name(
                    format!(
                        "{} of {}",
                        winding_name("ohms", w.wound, this),
                        w.part.designation
                    ),
                    Unit::Ohm,
                    &product(1.0, powers.clone()),
                    basis,
                );
                powers
            }
            Some(this) if winding > 0 => {
                let prior = priors::ohms(w.part, this, w.size);
                self.shared(
                    w,
                    |d| Key::Ohms(d, winding),
                    OWN_OHMS,
                    &winding_name("ohms", w.wound, this),
                    Unit::Ohm,
                    prior,
                )
            }
            _ => self.first_ohms(w),
        };
        let warmth = self.parameter(Key::Warmth(setup.number), || {
            aux(priors::warmth(setup).named(
                format!("warmth of the copper in setup {}", setup.number),
                Unit::One,
            ))
        });
        powers.push((warmth, 1.0));
        product(1.0, powers)
    }

    /// Leakage is split evenly between the first winding and the others, by the square of the turns.
    fn winding_reactance(&mut self, w: &WoundPart, winding: usize) -> Binding {
        let mut powers = self.shared(
            w,
            Key::Leakage,
            OWN_LEAKAGE,
            "leakage reactance",
            Unit::Ohm,
            priors::leakage(w.part, w.wound, w.size),
        );
        let share = if w.wound.windings.len() > 1 { 0.5 } else { 1.0 };
        powers.extend(
            self.ratio_powers(w, winding)
                .into_iter()
                .map(|(i, p)| (i, -2.0 * p)),
        );
        product(share * w.faster, powers)
    }

    fn tap(&mut self, w: &WoundPart, winding: usize, point: usize) -> Binding {
        let Some(this) = w.wound.windings.get(winding) else {
            return fixed(f64::NAN);
        };
        if point == 0 || point + 1 == this.points.len() {
            return fixed(if point == 0 { 0.0 } else { 1.0 });
        }
        let name = format!(
            "tap {} of {}",
            this.points[point].terminal, w.part.designation
        );
        let prior = priors::tap(this, point);
        let basis = prior.basis.clone();
        let index = self.parameter(Key::Tap(w.part.designation.clone(), winding, point), || {
            prior.named(name.clone(), Unit::One)
        });
        let binding = Binding::Sum {
            constant: 0.0,
            terms: vec![(index, 1.0)],
            low: 0.0,
            high: 1.0,
        };
        self.name(name, Unit::One, &binding, &basis);
        binding
    }

    fn brush(&mut self, w: &WoundPart, winding: usize, slider: usize) -> Binding {
        let written = w
            .wound
            .windings
            .get(winding)
            .and_then(|w| w.sliders.get(slider))
            .and_then(|s| s.brush.as_ref());
        let powers = self.shared(
            w,
            |d| Key::Brush(d, winding, slider),
            OWN_BRUSH,
            "brush",
            Unit::Ohm,
            priors::brush(written),
        );
        product(1.0, powers)
    }

    /// Iron: watts and amperes at rated volts become siemens. At another frequency the same flux stands at proportionally other volts;
    /// magnetising amperes stay, watts go about as f^1.3 (common practice for mains steel between 40 and 60 Hz).
    fn core(&mut self, w: &WoundPart, meaning: &Meaning) -> Binding {
        let volts = w.size.volts;
        match meaning {
            Meaning::CoreConductance(_) => {
                let powers = self.shared(
                    w,
                    Key::CoreLoss,
                    OWN_IRON,
                    "core loss at rated volts",
                    Unit::Watt,
                    priors::core_loss(w.part, w.wound, w.size),
                );
                product(w.faster.powf(-0.7) / (volts * volts), powers)
            }
            Meaning::CoreSusceptance(_) => {
                let prior = priors::magnetising(w.part, w.wound, w.size);
                let powers = self.shared(
                    w,
                    Key::Magnetising,
                    OWN_IRON,
                    "magnetising current at rated volts",
                    Unit::Ampere,
                    prior,
                );
                product(1.0 / (w.faster * volts), powers)
            }
            Meaning::CurrentExponent(_) => product(
                1.0,
                self.shared(
                    w,
                    Key::CurrentExponent,
                    OWN_SHAPE,
                    "exponent of the magnetising current",
                    Unit::One,
                    usual::current_exponent(),
                ),
            ),
            Meaning::WattsExponent(_) => product(
                1.0,
                self.shared(
                    w,
                    Key::WattsExponent,
                    OWN_SHAPE,
                    "exponent of the core loss",
                    Unit::One,
                    usual::watts_exponent(),
                ),
            ),
            Meaning::Knee(_) => product(
                1.0,
                self.shared(
                    w,
                    Key::Knee,
                    OWN_SHAPE,
                    "knee over rated volts per hertz",
                    Unit::One,
                    priors::knee(w.wound, w.size),
                ),
            ),
            _ => fixed(f64::NAN),
        }
    }
}

fn winding_name(what: &str, wound: &Wound, winding: &Winding) -> String {
    if wound.windings.len() > 1 {
        format!("{what} of the {}", winding.name)
    } else {
        what.to_owned()
    }
}

fn part_of(meaning: &Meaning) -> Option<&Designation> {
    match meaning {
        Meaning::Turns { part, .. }
        | Meaning::WindingOhms { part, .. }
        | Meaning::WindingReactance { part, .. }
        | Meaning::Tap { part, .. }
        | Meaning::Brush { part, .. }
        | Meaning::CoreConductance(part)
        | Meaning::CoreSusceptance(part)
        | Meaning::CoreVolts(part)
        | Meaning::CurrentExponent(part)
        | Meaning::WattsExponent(part)
        | Meaning::Knee(part) => Some(part),
        _ => None,
    }
}
