//! The digits a display showed: apart from their unit, and against what the meter's ranges can show.

use gear::{Find, Instrument, Reading};
use quantity::{Quantity, Unit};

/// One full scale of a meter that shows counts.
struct Scale {
    full: f64,
    name: String,
    step: f64,
    counts: u32,
}

/// Digits against range: "And a 6000-count meter on its 60 V range shows 21.20, not 21.2 V." Said when the lowest range that holds the
/// value shows other digits, and the meter's other readings were taken with just those (a coarser range held by hand would show
/// fewer). Where another range shows just these digits, that is said too.
pub(crate) fn against_range(
    find: &Find,
    instrument: &Instrument,
    reading: &Reading,
) -> Option<String> {
    let quantity = reading.shown.as_ref()?;
    let (value, step) = (quantity.value()?, quantity.step()?);
    let same = |a: f64, b: f64| (a / b - 1.0).abs() < 0.01;
    let used = |scale: &Scale| {
        let others = find.readings.iter().filter(|r| {
            r.number != reading.number
                && r.measured == reading.measured
                && r.instrument == reading.instrument
        });
        let mut steps = others.filter_map(|r| r.shown.as_ref().and_then(Quantity::step));
        steps.any(|step| same(step, scale.step))
    };
    let scales = scales(instrument, reading);
    let holds = |scale: &&Scale| value.abs() <= scale.full;
    let scale = scales.iter().filter(holds).find(|scale| used(scale))?;
    if same(scale.step, step) {
        return None;
    }
    let power = power_of(prefix_of(quantity));
    let decimals = (-scale.step.log10()).round() as i32 + power;
    let decimals = usize::try_from(decimals).unwrap_or(0);
    let (digits, unit) = shown(reading);
    let said = format!(
        "And a {}-count meter on its {} range shows {:.decimals$}, not {digits} {unit}.",
        scale.counts,
        scale.name,
        value / 10f64.powi(power)
    );
    let other = scales.iter().filter(holds).find(|s| same(s.step, step));
    Some(match other {
        Some(other) => format!(
            "{said} On its {} range it shows {digits} {unit}: was that range held by hand?",
            other.name
        ),
        None => said,
    })
}

/// Full scales of the meter's functions that measure this, in the order written, where counts are known.
fn scales(instrument: &Instrument, reading: &Reading) -> Vec<Scale> {
    let mut scales = Vec::new();
    for function in instrument.measuring(reading.measured) {
        for scale in &function.full_scales {
            let (Some(full), Some(counts)) = (scale.value(), function.counts) else {
                continue;
            };
            if let Some(step) = function.step(full) {
                scales.push(Scale {
                    full,
                    name: scale.text().to_owned(),
                    step,
                    counts,
                });
            }
        }
    }
    scales
}

/// Digits and unit as shown, apart: "21.2" and "V"; a beep in words.
pub(crate) fn shown(reading: &Reading) -> (String, String) {
    if let Some(beep) = reading.beep {
        return (
            if beep { "beep" } else { "no beep" }.to_owned(),
            String::new(),
        );
    }
    let Some(quantity) = &reading.shown else {
        return ("not read".to_owned(), String::new());
    };
    let text = quantity.text().trim();
    let unit = format!("{}{}", prefix_of(quantity), quantity.unit().symbol());
    let digits = text
        .trim_end_matches(|c: char| c.is_alphabetic() || "Ω°%² ".contains(c) || c.is_whitespace());
    if digits.is_empty() || quantity.unit() == Unit::One {
        (text.to_owned(), String::new())
    } else {
        (digits.to_owned(), unit)
    }
}

/// The SI prefixes a display shows, with their powers of ten.
const PREFIXES: [(&str, &str, i32); 7] = [
    ("m", "m", -3),
    ("k", "k", 3),
    ("M", "M", 6),
    ("G", "G", 9),
    ("µ", "µ", -6),
    ("u", "µ", -6),
    ("n", "n", -9),
];

/// The SI prefix the text was written in.
pub(crate) fn prefix_of(quantity: &Quantity) -> &'static str {
    let text = quantity.text().trim();
    let token = text
        .rsplit(|c: char| c.is_ascii_digit() || c.is_whitespace())
        .next()
        .unwrap_or("");
    PREFIXES
        .iter()
        .find(|(written, _, _)| token == format!("{written}{}", quantity.unit().symbol()))
        .map_or("", |(_, prefix, _)| prefix)
}

/// Power of ten of a prefix.
fn power_of(prefix: &str) -> i32 {
    PREFIXES
        .iter()
        .find(|(_, p, _)| *p == prefix)
        .map_or(0, |(_, _, power)| *power)
}
