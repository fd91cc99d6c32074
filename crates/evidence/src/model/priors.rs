//! What is believed of a parameter before any reading: from the plate or the part's own marks where they say, else from what gear of
//! that size and kind is like.
//!
//! Widths are standard deviations, in ln for positive quantities. They are wide on purpose: too narrow costs false alarms, too wide
//! costs next to nothing.

use super::size::{Size, is_variable};
use crate::{Parameter, Transform};
use gear::{Find, Part, Winding, Wound};
use quantity::{Quantity, Tolerance, Unit};

/// A winding's written ohms: what the writing is worth (common practice: a figure from a data sheet holds to a tenth).
const WRITTEN_OHMS: f64 = 0.10;
/// Ohms from size alone: the published fit scatters by 0.35; part of the scatter of the size itself comes on top.
const REASONED_OHMS: f64 = 0.5;
/// Added in quadrature where the size itself is a guess.
const UNKNOWN_SIZE: f64 = 0.9;
/// A designer splits copper loss evenly between windings, to this width.
const SPLIT: f64 = 0.35;
/// Turns against written volts: volts are rounded and may be meant at load (common practice: some per cent).
const WRITTEN_RATIO: f64 = 0.02;
/// Turns where nothing is written: an unknown ratio may be 40 : 1 either way.
const UNKNOWN_RATIO: f64 = 1.6;
/// A tap written at a place, fraction of the winding.
const WRITTEN_TAP: f64 = 0.004;
/// A slider read off its scale.
const SCALE: f64 = 0.006;

/// A prior before it has a name.
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    /// Centre, as [`Parameter::centre`].
    pub centre: f64,
    /// Width, as [`Parameter::width`].
    pub width: f64,
    /// How the value follows from z.
    pub transform: Transform,
    /// What it rests on, in words.
    pub basis: String,
}

impl Prior {
    pub(super) fn ln(centre: f64, width: f64, basis: impl Into<String>) -> Self {
        Self {
            centre,
            width,
            transform: Transform::Ln,
            basis: basis.into(),
        }
    }

    /// The parameter of this name.
    pub fn named(self, name: String, unit: Unit) -> Parameter {
        Parameter {
            name,
            unit,
            transform: self.transform,
            centre: self.centre,
            width: self.width,
            basis: self.basis,
            auxiliary: false,
        }
    }

    /// Widened because the part's size is a guess.
    fn widened(mut self, size: Size) -> Self {
        if !size.power_written {
            self.width = self.width.hypot(UNKNOWN_SIZE);
        }
        self
    }
}

fn positive(quantity: &Option<Quantity>) -> Option<&Quantity> {
    quantity
        .as_ref()
        .filter(|q| q.value().is_some_and(|v| v > 0.0))
}

fn value(quantity: &Option<Quantity>) -> Option<f64> {
    positive(quantity)?.value()
}

/// The width a written tolerance gives, in ln: a bound, so divided by √3; 0 where none is written.
fn tolerance(quantity: &Option<Quantity>) -> f64 {
    let share = |q: &Quantity| match q.tolerance()? {
        Tolerance::Relative { plus, minus } => Some(plus.max(minus)),
        Tolerance::Absolute { plus, minus } => Some(plus.max(minus) / q.value()?),
    };
    positive(quantity).and_then(share).unwrap_or(0.0) / 3f64.sqrt()
}

/// A written figure with the width its tolerance gives, or `otherwise`.
fn written(quantity: &Option<Quantity>, otherwise: f64) -> Option<Prior> {
    let text = positive(quantity)?.text();
    let width = tolerance(quantity);
    let width = if width > 0.0 { width } else { otherwise };
    Some(Prior::ln(
        value(quantity)?,
        width,
        format!("written: {text}"),
    ))
}

/// How well a written volts figure is known beside its rounding: half its last digit, as a share.
fn rounding(quantity: &Option<Quantity>) -> f64 {
    positive(quantity)
        .and_then(|q| Some(q.step()? / q.value()? / 12f64.sqrt()))
        .unwrap_or(0.0)
}

pub(super) fn ratio(wound: &Wound, winding: usize) -> Prior {
    let (Some(first), Some(this)) = (wound.windings.first(), wound.windings.get(winding)) else {
        return Prior::ln(1.0, UNKNOWN_RATIO, "nothing is known of the ratio");
    };
    if let (Some(a), Some(b)) = (value(&first.turns), value(&this.turns)) {
        return Prior::ln(a / b, 1e-3, format!("counted: {a} and {b} turns"));
    }
    if let (Some(a), Some(b)) = (positive(&first.volts), positive(&this.volts)) {
        let centre = value(&first.volts).unwrap_or(1.0) / value(&this.volts).unwrap_or(1.0);
        let width = WRITTEN_RATIO
            .hypot(rounding(&first.volts))
            .hypot(rounding(&this.volts))
            .hypot(tolerance(&first.volts))
            .hypot(tolerance(&this.volts));
        return Prior::ln(
            centre,
            width,
            format!("written: {} to {}", a.text(), b.text()),
        );
    }
    Prior::ln(1.0, UNKNOWN_RATIO, "nothing is known of the ratio")
}

/// Ohms of a winding from its own figure, or of the first winding from size. `VA = 0.295 (V²/R)^0.746`: fitted to published tables of
/// toroids and primary ohms, residual 0.11; variable autotransformers from a copper loss of 1.1 % at mid-travel (reckoned, our choice).
pub(super) fn ohms(part: &Part, winding: &Winding, size: Size) -> Prior {
    if let Some(prior) = written(&winding.resistance, WRITTEN_OHMS) {
        return prior;
    }
    let v2 = size.volts * size.volts;
    if is_variable(part) {
        return Prior::ln(
            0.045 * v2 / size.power,
            REASONED_OHMS,
            "usual for a variable autotransformer of this size",
        )
        .widened(size);
    }
    Prior::ln(
        v2 / (size.power / 0.295).powf(1.0 / 0.746),
        REASONED_OHMS,
        "usual for a transformer of this size",
    )
    .widened(size)
}

pub(super) fn split() -> Prior {
    Prior::ln(
        1.0,
        SPLIT,
        "copper loss split evenly between windings, as designers do",
    )
}

pub(super) fn leakage(part: &Part, wound: &Wound, size: Size) -> Prior {
    if let Some(prior) = wound
        .windings
        .first()
        .and_then(|w| written(&w.leakage, 0.15))
    {
        return prior;
    }
    let base = size.volts * size.volts / size.power;
    let (share, what) = if is_variable(part) {
        (0.015, "a variable autotransformer")
    } else {
        (0.04, "a transformer")
    };
    Prior::ln(share * base, 0.7, format!("usual for {what} of this size")).widened(size)
}

/// Core loss in watts at rated volts. 0.7 % at 10 kVA from published open-circuit tests (sd 0.7 in ln), rising for small parts (from memory).
pub(super) fn core_loss(part: &Part, wound: &Wound, size: Size) -> Prior {
    if let Some(prior) = written(&wound.core.loss, 0.2) {
        return prior;
    }
    let share = if is_variable(part) {
        0.0075
    } else {
        0.007 * (1e4 / size.power).powf(0.25).clamp(0.5, 6.0)
    };
    Prior::ln(share * size.power, 0.7, "usual for this size").widened(size)
}

/// Magnetising current in amperes at rated volts. 3.8 % at 10 kVA from published open-circuit tests; 10 to 25 % at 50 to 100 VA,
/// 30 to 60 % at 5 to 20 VA (from memory).
pub(super) fn magnetising(part: &Part, wound: &Wound, size: Size) -> Prior {
    if let Some(current) = value(&wound.core.current) {
        let loss = value(&wound.core.loss).unwrap_or(0.3 * current * size.volts) / size.volts;
        let text = positive(&wound.core.current).map_or("", |q| q.text());
        return Prior::ln(
            (current * current - loss * loss)
                .max(0.04 * current * current)
                .sqrt(),
            0.2,
            format!("written: no-load current {text}"),
        );
    }
    let share = if is_variable(part) {
        0.016
    } else {
        0.045 * (1e4 / size.power).powf(0.33).clamp(0.5, 12.0)
    };
    Prior::ln(share * size.power / size.volts, 0.8, "usual for this size").widened(size)
}

pub(super) fn knee(wound: &Wound, size: Size) -> Prior {
    if let Some(volts) = value(&wound.core.knee) {
        return Prior::ln(volts / size.volts, 0.05, "written on the part");
    }
    Prior::ln(1.15, 0.1, "common practice")
}

pub(super) fn tap(winding: &Winding, point: usize) -> Prior {
    match winding
        .points
        .get(point)
        .and_then(|p| p.at.as_ref())
        .and_then(Quantity::value)
    {
        Some(at) => Prior {
            centre: at,
            width: WRITTEN_TAP,
            transform: Transform::Linear,
            basis: format!("written: {at}"),
        },
        None => Prior {
            centre: 0.5,
            width: 1.2,
            transform: Transform::Logit,
            basis: "anywhere along the winding".into(),
        },
    }
}

/// A slider's position as noted, good to the scale; or anywhere.
pub(super) fn slider(noted: Option<&Quantity>) -> Prior {
    match noted.and_then(|q| Some((q.value()?, q.step().unwrap_or(0.01)))) {
        Some((at, step)) => Prior {
            centre: at,
            width: SCALE.max(0.4 * step),
            transform: Transform::Linear,
            basis: format!("noted: {}", noted.map_or("", Quantity::text)),
        },
        None => Prior {
            centre: 0.5,
            width: 1.6,
            transform: Transform::Logit,
            basis: "not noted: anywhere".into(),
        },
    }
}

pub(super) fn brush(written_ohms: Option<&Quantity>) -> Prior {
    written(&written_ohms.cloned(), 0.4)
        .unwrap_or_else(|| Prior::ln(0.05, 0.8, "usual for a carbon brush"))
}

/// A simple part's or a load's own figure.
pub(super) fn figure(quantity: &Option<Quantity>, otherwise: f64, usual: f64, width: f64) -> Prior {
    written(quantity, otherwise)
        .unwrap_or_else(|| Prior::ln(usual, width, "nothing is known of it"))
}

/// Level of a feed, per phase for three phases.
pub(super) fn supply(find: &Find, feed: &gear::Feed, plate_volts: Option<f64>) -> Prior {
    let three = feed.to.len() == 3;
    let per_phase = |v: f64| if three { v / 3f64.sqrt() } else { v };
    if let Some(volts) = value(&feed.volts) {
        let text = feed.volts.as_ref().map_or("", Quantity::text);
        return Prior::ln(per_phase(volts), 0.07, format!("set: {text}"));
    }
    let source = feed
        .source
        .as_ref()
        .and_then(|name| find.kit.sources.iter().find(|s| s.name == *name));
    if let Some(prior) = source.and_then(|s| {
        let quantity = s.volts.as_ref()?;
        Some(match quantity.reach() {
            quantity::Reach::Span { high, .. } => Prior::ln(
                per_phase(high / 2.0),
                1.0,
                format!("source gives {}", quantity.text()),
            ),
            _ => Prior::ln(
                per_phase(quantity.value()?),
                0.07,
                format!("source gives {}", quantity.text()),
            ),
        })
    }) {
        return prior;
    }
    match plate_volts {
        Some(volts) => Prior::ln(per_phase(volts), 0.5, "the plate's volts, nothing noted"),
        None => Prior::ln(100.0, 1.5, "nothing noted of the supply"),
    }
}

/// One phase of a three-phase supply over their level: standards allow 2 % of unbalance.
pub(super) fn unbalance() -> Prior {
    Prior::ln(
        1.0,
        0.008,
        "supplies differ between phases by a per cent or two",
    )
}

/// How much warmer copper is than 20 °C, by what the setup notes.
pub(super) fn warmth(setup: &gear::Setup) -> Prior {
    let noted = setup.temperature.as_ref().and_then(Quantity::value);
    super::usual::warmth(noted, !setup.feeds.is_empty())
}
