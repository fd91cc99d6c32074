//! What the find was made for, from its plate and parts: frequency, volts, throughput, phases, each with whether it was written.

use evidence::model::Nominal;
use gear::{Find, Plate, PlateField};
use quantity::Unit;

/// Frequency taken where no plate says: most of the world's mains.
const USUAL_FREQUENCY: f64 = 50.0;

/// The rated figures, guesses where the plate is silent.
pub(crate) fn of(find: &Find) -> Nominal {
    let plate = &find.plate;
    let phases = plate.phases.unwrap_or_else(|| guessed_phases(find));
    Nominal {
        frequency: field(plate, &[PlateField::Frequency])
            .filter(|f| *f > 0.0)
            .unwrap_or(USUAL_FREQUENCY),
        volts: field(
            plate,
            &[
                PlateField::OutputVoltage,
                PlateField::Voltage,
                PlateField::InputVoltage,
            ],
        ),
        power: apparent_power(plate),
        phases,
    }
}

/// Volts it is fed with by rights: the input figure where there is one of its own.
pub(crate) fn input_volts(find: &Find) -> Option<f64> {
    field(
        &find.plate,
        &[
            PlateField::InputVoltage,
            PlateField::Voltage,
            PlateField::OutputVoltage,
        ],
    )
}

/// Volts it is meant to give.
pub(crate) fn output_volts(find: &Find) -> Option<f64> {
    field(
        &find.plate,
        &[PlateField::OutputVoltage, PlateField::Voltage],
    )
}

fn field(plate: &Plate, wanted: &[PlateField]) -> Option<f64> {
    wanted
        .iter()
        .find_map(|w| plate.fields.iter().find(|(f, _)| f == w)?.1.value())
}

fn apparent_power(plate: &Plate) -> Option<f64> {
    let (_, power) = plate.fields.iter().find(|(f, _)| *f == PlateField::Power)?;
    let value = power.value()?;
    if power.unit() == Unit::Watt {
        return Some(
            value
                / field(plate, &[PlateField::PowerFactor])
                    .filter(|c| (0.1..=1.0).contains(c))
                    .unwrap_or(1.0),
        );
    }
    Some(value)
}

fn guessed_phases(find: &Find) -> u8 {
    let by_feed = find
        .setups
        .iter()
        .flat_map(|s| &s.feeds)
        .any(|f| f.to.len() == 3);
    let by_parts = find.parts.iter().any(|p| p.phase.is_some_and(|n| n > 1));
    if by_feed || by_parts { 3 } else { 1 }
}
