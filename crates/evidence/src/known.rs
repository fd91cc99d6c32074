//! One reading judged with all others known: the ceiling no search over slips can pass, for trials to score against.

use crate::fitting::refit;
use crate::leave_out::leave_out;
use crate::posed::Posed;
use crate::search::Search;
use crate::{Problem, SlipKind};
use network::NetworkError;

/// What is to be said of one reading when it is known of all others whether they are good.
#[derive(Debug, Clone, PartialEq)]
pub struct Alone {
    /// Probability that it is wrong.
    pub wrong: f64,
    /// The most probable kind of slip, if it is one.
    pub kind: SlipKind,
}

/// Judges one reading by all others but those known to be bad, from a start that is best the truth (parameters, then drift; what is
/// missing starts at 0). The problem must be well-formed ([`Problem::check`]). `None` where the fit has no peak or the place no prediction.
/// # Errors
/// The network's own.
pub fn alone(
    problem: &mut Problem,
    start: &[f64],
    known_bad: &[usize],
    reading: usize,
) -> Result<Option<Alone>, NetworkError> {
    let mut posed = Posed::new(problem);
    let mut start = start.to_vec();
    start.resize(posed.unknowns, 0.0);
    let mut misread = vec![false; posed.readings()];
    known_bad.iter().for_each(|&bad| misread[bad] = true);
    misread[reading] = true;
    let Some(peak) = refit(&mut posed, &start, &misread)? else {
        return Ok(None);
    };
    let left = leave_out(&mut posed, &peak, &misread, &[reading])?;
    let search = Search::new(&mut posed, vec![]);
    let odds = search.log_odds(reading, &left[0]);
    if odds == f64::NEG_INFINITY {
        return Ok(None);
    }
    let slips = search.slips_of(reading, &left[0]);
    let weight = |kind: SlipKind| -> f64 {
        let of_kind = slips.iter().filter(|slip| slip.kind == kind);
        of_kind.map(|slip| slip.weight).sum()
    };
    let kind = slips
        .iter()
        .map(|slip| slip.kind)
        .max_by(|one, other| weight(*one).total_cmp(&weight(*other)));
    Ok(kind.map(|kind| Alone {
        wrong: 1.0 / (1.0 + (-odds).exp()),
        kind,
    }))
}
