//! The cautions of one step: what is measured, in which setup. A small page shows these there, and no others.

use crate::said::{Caution, Danger};
use gear::{Find, Measured, Setup};

/// The cautions that belong to measuring this in this setup, the gravest first.
pub fn of_step(find: &Find, setup: &Setup, measured: Measured) -> Vec<Caution> {
    // A find that was never set up otherwise: whatever is said is said of this setup.
    let readings = find.readings.iter().filter(|r| r.setup == setup.number);
    let here = Find {
        setups: vec![setup.clone()],
        readings: readings.cloned().collect(),
        ..find.clone()
    };
    let mut said = Vec::new();
    super::readings(&here, &mut said);
    said.retain(|caution| caution.danger != Danger::DirectCurrent || is_direct(measured));
    said
}

/// Whether the meter, or the source, sends direct current.
fn is_direct(measured: Measured) -> bool {
    !matches!(
        measured,
        Measured::AcVoltage
            | Measured::AcCurrent
            | Measured::Power
            | Measured::Frequency
            | Measured::Temperature
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_has_its_own_cautions() {
        let find = sheet::read(include_str!("../../../../examples/creamery.toml")).unwrap();
        let at = |number: u32, measured| {
            let setup = find.setups.iter().find(|s| s.number == number).unwrap();
            of_step(&find, setup, measured)
        };
        let dangers = |said: &[Caution]| said.iter().map(|c| c.danger).collect::<Vec<_>>();
        for ohms in [
            Measured::Resistance,
            Measured::Continuity,
            Measured::Insulation,
        ] {
            assert_eq!(dangers(&at(1, ohms)), [Danger::DirectCurrent]);
        }
        let fed = [Danger::Mains, Danger::Neutral, Danger::EarthedInstrument];
        let volts = at(4, Measured::AcVoltage);
        assert_eq!(dangers(&volts), fed);
        assert!(
            volts[0].words.starts_with("Setup 4 is"),
            "{}",
            volts[0].words
        );
    }
}
