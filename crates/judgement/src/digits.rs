//! The digits a display showed: apart from their unit, and against what the meter's ranges can show.

use gear::{Find, Instrument, Reading};
use quantity::{Quantity, Unit};

/// Digits against range: "And a 6000-count meter on its 60 V range shows 21.20, not 21.2 V." Said when the lowest range that holds the
/// value shows other digits, and the meter's other readings were taken with just those (a coarser range held by hand would show
/// fewer).
pub(crate) fn against_range(
    find: &Find,
    instrument: &Instrument,
    reading: &Reading,
) -> Option<String> {
    let quantity = reading.shown.as_ref()?;
    let (value, step) = (quantity.value()?, quantity.step()?);
    let function = instrument
        .ranges
        .iter()
        .find(|r| r.measures == reading.measured)?;
    let counts = function.counts?;
    let step_of = |scale: f64| 10f64.powf((scale / f64::from(counts)).log10().round());
    let same = |a: f64, b: f64| (a / b - 1.0).abs() < 0.01;
    let others = || {
        find.readings.iter().filter(|r| {
            r.number != reading.number
                && r.measured == reading.measured
                && r.instrument == reading.instrument
        })
    };
    let used = |scale: f64| {
        others().any(|r| {
            let step = r.shown.as_ref().and_then(Quantity::step);
            step.is_some_and(|step| same(step, step_of(scale)))
        })
    };
    let (scale, name) = function
        .full_scales
        .iter()
        .filter_map(|q| Some((q.value()?, q.text())))
        .find(|(scale, _)| value.abs() <= *scale && used(*scale))?;
    if same(step_of(scale), step) {
        return None;
    }
    let power = power_of(prefix_of(quantity));
    let decimals = (-step_of(scale).log10()).round() as i32 + power;
    let decimals = usize::try_from(decimals).unwrap_or(0);
    let (digits, unit) = shown(reading);
    Some(format!(
        "And a {counts}-count meter on its {name} range shows {:.decimals$}, not {digits} {unit}.",
        value / 10f64.powi(power)
    ))
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
