//! The thirty readings of a synthetic find, in the order a careful person takes them.
//!
//! The nested sets are the first so many of the list. Quantities are named as places of one setup; a slip puts the leads on one of
//! the places named beside.

use crate::instruments::{A, CL, R2, R4, V, W};

/// One line of the list.
#[derive(Debug)]
pub struct Planned {
    /// Setup, from 1.
    pub setup: usize,
    /// Place.
    pub quantity: &'static str,
    /// Instrument, by index.
    pub instrument: usize,
    /// The place on the other half of the winding.
    pub other_half: Option<&'static str>,
    /// Places one terminal off.
    pub wrong_terminals: &'static [&'static str],
}

const fn plain(setup: usize, quantity: &'static str, instrument: usize) -> Planned {
    Planned {
        setup,
        quantity,
        instrument,
        other_half: None,
        wrong_terminals: &[],
    }
}

const fn volts(
    setup: usize,
    quantity: &'static str,
    other_half: Option<&'static str>,
    wrong_terminals: &'static [&'static str],
) -> Planned {
    Planned {
        setup,
        quantity,
        instrument: V,
        other_half,
        wrong_terminals,
    }
}

/// The list.
pub const READINGS: [Planned; 30] = [
    volts(1, "V_in", None, &["SL-L", "CT-N"]),
    volts(1, "SL-N", Some("SL-L"), &["CT-N", "SL-CT"]),
    volts(1, "SL-L", Some("SL-N"), &["SL-CT", "CT-L"]),
    volts(1, "SL-CT", None, &["SL-N", "SL-L"]),
    volts(1, "OUT-L", None, &["OUT-N", "OUT-SL"]),
    volts(2, "V_in", None, &["SL-CT"]),
    volts(2, "SL-CT", None, &["SL-N", "CT-N"]),
    volts(2, "OUT-N", None, &["V_in", "OUT-SL"]),
    plain(6, "R_p", R2),
    plain(6, "R_s", R4),
    plain(2, "I_in", A),
    plain(2, "P_in", W),
    plain(6, "R_A", R2),
    plain(4, "V", V),
    plain(4, "I", A),
    plain(4, "P", W),
    plain(5, "V", V),
    plain(5, "I", A),
    plain(5, "P", W),
    plain(5, "V_sec", V),
    volts(3, "V_in", None, &["OUT-N", "SL-CT"]),
    volts(3, "OUT-N", None, &["V_in", "OUT-L"]),
    plain(3, "I_load", CL),
    plain(3, "I_prim", CL),
    plain(3, "P_in", W),
    volts(3, "SL-CT", None, &["SL-N", "CT-N"]),
    volts(3, "OUT-L", None, &["OUT-N"]),
    volts(1, "CT-N", Some("CT-L"), &["SL-N"]),
    volts(2, "OUT-L", None, &["OUT-N"]),
    plain(4, "I_sec", CL),
];
