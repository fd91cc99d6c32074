//! With which instrument, and how surely it shows a value.

use gear::{Designation, Find, Instrument, Measured, Range};
use quantity::Accuracy;

/// Scatter of a reading and the network's own small error together, as a share (our choice, as the evidence takes it).
const SCATTER: f64 = 0.002;
/// Two-wire ohms carry the leads' own (published: 0.2 Ω a pair); nobody zeroes them perfectly.
const LEADS: f64 = 0.15;
/// A meter of which nothing is said: a plain handheld of the 2 % kind, with five digits of doubt.
const UNKNOWN_FRACTION: f64 = 0.02;
const UNKNOWN_DIGITS: f64 = 5.0;
/// Counts of a meter of which nothing is said.
const UNKNOWN_COUNTS: f64 = 2000.0;
/// A tester beeps below 10 to 70 Ω (common practice): the middle in ln.
pub(crate) const BEEP: f64 = 26.0;
/// How surely a beep or none tells: a twentieth either way.
pub(crate) const BEEP_DOUBT: f64 = 0.2;

/// An instrument on one of its functions.
#[derive(Debug, Clone)]
pub(crate) struct Meter {
    /// `None` where the find lists no instruments.
    pub(crate) instrument: Option<Designation>,
    pub(crate) clamp: bool,
    pub(crate) measured: Measured,
    range: Option<Range>,
}

/// The best instrument for this, a clamp before one in line; `None` where the find lists instruments and none can.
pub(crate) fn meter(find: &Find, measured: Measured) -> Option<Meter> {
    if find.instruments.is_empty() {
        let plain = matches!(measured, Measured::AcVoltage | Measured::Resistance);
        return plain.then_some(Meter {
            instrument: None,
            clamp: false,
            measured,
            range: None,
        });
    }
    let functions = |i: &Instrument| {
        i.measuring(measured)
            .into_iter()
            .map(|range| (i.designation.clone(), range))
            .collect::<Vec<_>>()
    };
    let all = find.instruments.iter().flat_map(functions);
    let worth = |range: &Range| {
        let fraction = range.accuracy.map_or(UNKNOWN_FRACTION, |a| a.fraction);
        (!range.clamp, fraction)
    };
    let best = all.min_by(|(_, a), (_, b)| {
        let (a, b) = (worth(a), worth(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    best.map(|(designation, range)| Meter {
        instrument: Some(designation),
        clamp: range.clamp,
        measured,
        range: Some(range),
    })
}

impl Meter {
    /// Standard uncertainty with which a value would be shown: gain, digits, scatter, leads. Infinite where no range holds the value.
    pub(crate) fn sigma(&self, value: f64) -> f64 {
        let value = value.abs();
        let leads = match (&self.range, self.measured) {
            (Some(range), Measured::Resistance) if range.four_wire => 0.0,
            (_, Measured::Resistance) => LEADS,
            _ => 0.0,
        };
        let accuracy = self.range.as_ref().and_then(|r| r.accuracy);
        let (fraction, digits) = accuracy.map_or((UNKNOWN_FRACTION, UNKNOWN_DIGITS), told);
        let step = match &self.range {
            None => 10f64.powf((value.max(1e-3) / UNKNOWN_COUNTS).log10().ceil()),
            Some(range) => {
                let mut scales = range.scales();
                scales.sort_by(f64::total_cmp);
                let holds = scales.iter().find(|scale| **scale >= value);
                match (holds, scales.is_empty()) {
                    (None, false) => return f64::INFINITY,
                    (Some(scale), _) => range
                        .step(*scale)
                        .unwrap_or_else(|| 10f64.powf((scale / UNKNOWN_COUNTS).log10().round())),
                    (None, true) => 10f64.powf((value.max(1e-3) / UNKNOWN_COUNTS).log10().ceil()),
                }
            }
        };
        let gain = fraction * value / 3f64.sqrt();
        let shown = digits.max(0.5) * step / 3f64.sqrt();
        gain.hypot(shown).hypot(SCATTER * value).hypot(leads)
    }
}

fn told(accuracy: Accuracy) -> (f64, f64) {
    (accuracy.fraction, accuracy.digits)
}
