//! The bench: kit and instruments.

use super::check::{Check, Sign, Spot};
use super::parts::phase_count;
use crate::{Measured, Range};
use quantity::Unit;

pub(super) fn kit(check: &mut Check<'_>) {
    let kit = &check.find.kit;
    let root = Spot::root("kit").key("source");
    let names = kit
        .sources
        .iter()
        .enumerate()
        .map(|(i, s)| (root.index(i).key("name"), s.name.as_str()));
    check.doubles(
        names,
        |n| format!("source `{n}` stands twice"),
        "give one of them another name",
    );
    for (i, source) in kit.sources.iter().enumerate() {
        let spot = root.index(i);
        if source.name.trim().is_empty() {
            check.fault(
                spot.key("name"),
                "a source has no name",
                "name it, like `bench supply`",
            );
        }
        phase_count(check, spot.key("phases"), source.phases);
        if source.direct && source.phases == 3 {
            check.fault(
                spot.key("direct"),
                format!("direct source `{}` has 3 phases", source.name),
                "write `phases = 1`",
            );
        }
        check.figure(
            spot.key("volts"),
            source.volts.as_ref(),
            &[Unit::Volt],
            Sign::Positive,
        );
        check.figure(
            spot.key("amperes"),
            source.amperes.as_ref(),
            &[Unit::Ampere],
            Sign::Positive,
        );
        check.figure(
            spot.key("impedance"),
            source.impedance.as_ref(),
            &[Unit::Ohm],
            Sign::NotNegative,
        );
    }
}

pub(super) fn instruments(check: &mut Check<'_>) {
    let instruments = &check.find.instruments;
    let root = Spot::root("instrument");
    let names = instruments
        .iter()
        .enumerate()
        .map(|(i, m)| (root.index(i).key("designation"), &m.designation));
    check.doubles(
        names,
        |d| format!("instrument `{d}` stands twice"),
        "give one of them another number",
    );
    for (i, instrument) in instruments.iter().enumerate() {
        let spot = root.index(i);
        check.figure(
            spot.key("fuse"),
            instrument.fuse.as_ref(),
            &[Unit::Ampere],
            Sign::Positive,
        );
        check.figure(
            spot.key("leads"),
            instrument.leads.as_ref(),
            &[Unit::Ohm],
            Sign::NotNegative,
        );
        for (k, range) in instrument.ranges.iter().enumerate() {
            one_range(check, &spot.key("range").index(k), range);
        }
    }
}

fn one_range(check: &mut Check<'_>, spot: &Spot, range: &Range) {
    let unit = range.measures.unit().unwrap_or(Unit::Ohm);
    let mut before: Option<f64> = None;
    for (i, scale) in range.full_scales.iter().enumerate() {
        let at = spot.key("full_scales").index(i);
        check.figure(at.clone(), Some(scale), &[unit], Sign::Positive);
        let value = scale.value().filter(|_| scale.unit() == unit);
        if let (Some(before), Some(value)) = (before, value)
            && value <= before
        {
            check.fault(
                at,
                format!("full scale `{scale}` is not above the one before it"),
                "write the full scales rising",
            );
        }
        before = value.or(before);
    }
    if range.counts == Some(0) {
        check.fault(
            spot.key("counts"),
            "0 counts",
            "write the greatest count shown, like 6000, or leave it out",
        );
    }
    if range.divisions == Some(0) {
        check.fault(
            spot.key("divisions"),
            "0 divisions",
            "write how many divisions the whole scale has, like 30, or leave it out",
        );
    }
    if range.divisions.is_some() && range.counts.is_some() {
        check.fault(
            spot.key("divisions"),
            "a range has counts and divisions",
            "keep `counts` for a display, `divisions` for a needle",
        );
    }
    check.figure(
        spot.key("burden"),
        range.burden.as_ref(),
        &[Unit::Ohm],
        Sign::NotNegative,
    );
    if range.clamp
        && !matches!(
            range.measures,
            Measured::AcCurrent | Measured::DcCurrent | Measured::Power
        )
    {
        check.fault(
            spot.key("clamp"),
            format!("a clamp does not measure {}", range.measures.word()),
            "leave `clamp` out",
        );
    }
    if range.four_wire && range.measures != Measured::Resistance {
        check.fault(
            spot.key("four_wire"),
            format!("{} is not measured with four wires", range.measures.word()),
            "leave `four_wire` out",
        );
    }
}
