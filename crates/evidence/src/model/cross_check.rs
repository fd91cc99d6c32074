//! A second look at a reading in which a slip would pass unnoticed: another place of the same setup that would make it stand out.
//!
//! Linear: with `a` the slopes of the reading's answer, `b` those of another place and `C` the covariance without the reading, a good
//! reading at that place leaves `a'Ca - (a'Cb)² / (b'Cb + s²)`. Says nothing of safety: whether the setup may be fed again is asked elsewhere.

use super::FindProblem;
use crate::Posterior;
use crate::posed::{Felt, Posed};
use crate::posterior::answer_at;
use gear::{Find, Measured, Place, TerminalRef};
use network::Question;

/// A decimal slip is noticed where the others know the answer to this in ln, as in [`crate::ReadingEvidence::would_notice`].
const NOTICED: f64 = 0.5;
/// What a cross-check is worth as a share of its value: a plain handheld's bound over √3, and its digits (our choice).
const CHECK: f64 = 0.015;
/// And least in volts, amperes, watts or ohms: some digits of a handheld on its lowest usual range, and test leads (common practice).
const LEAST_VOLTS: f64 = 0.02;
const LEAST_AMPERES: f64 = 0.005;
const LEAST_WATTS: f64 = 1.0;
const LEAST_OHMS: f64 = 0.1;
/// Most other places looked at.
const MOST_PLACES: usize = 200;

/// A cross-check to take.
#[derive(Debug, Clone, PartialEq)]
pub struct CrossCheck {
    /// Number of the reading it checks.
    pub reading: u32,
    /// Number of the setup, the reading's own.
    pub setup: u32,
    /// Where.
    pub place: Place,
    /// What to measure there.
    pub measured: Measured,
    /// How well the others know the reading's answer without it, standard uncertainty in ln.
    pub before: f64,
    /// And with the cross-check. 0 where `again`.
    pub after: f64,
    /// The same place again: no other in this setup is tied to it closely enough, only another meter tells.
    pub again: bool,
    /// Why, as a sentence without a full stop.
    pub why: String,
}

/// A cross-check for reading `number`; nothing where a decimal slip in it would be noticed as it is, or where it was not judged.
pub fn cross_check(
    made: &mut FindProblem,
    find: &Find,
    posterior: &Posterior,
    number: u32,
) -> Option<CrossCheck> {
    let reading = find.readings.iter().find(|r| r.number == number)?;
    let index = made
        .problem
        .observations
        .iter()
        .position(|o| o.number == number)?;
    let mode = posterior.modes.first()?;
    let station = made.problem.observations[index].station;
    let own = made.problem.observations[index].question.clone();
    let covariance = without(made, posterior, index)?;
    let rows = answer_at(
        &mut made.problem,
        station,
        std::slice::from_ref(&own),
        &mode.z,
    )
    .ok()?;
    let (Felt::Value(value), slopes) = rows.into_iter().next()? else {
        return None;
    };
    let image = times(&covariance, &slopes);
    let open = dot(&image, &slopes);
    let before = open.max(0.0).sqrt() / value.abs().max(f64::MIN_POSITIVE);
    if before < NOTICED {
        return None;
    }
    let places = places(made, find, station, &own);
    let questions: Vec<Question> = places.iter().map(|(_, _, q)| q.clone()).collect();
    let answers = answer_at(&mut made.problem, station, &questions, &mode.z).ok()?;
    let best = places
        .iter()
        .zip(&answers)
        .filter_map(|((place, measured, _), (felt, there))| {
            let Felt::Value(at) = felt else { return None };
            let spread = least(*measured).hypot(CHECK * at);
            let both = dot(&times(&covariance, there), there) + spread * spread;
            let left = (open - dot(&image, there).powi(2) / both).max(0.0);
            Some((left.sqrt() / value.abs(), place, *measured))
        })
        .min_by(|a, b| (a.0 * trouble(a.2)).total_cmp(&(b.0 * trouble(b.2))))
        .filter(|(after, ..)| *after < NOTICED);
    let name = &reading.place;
    Some(match best {
        Some((after, place, measured)) => CrossCheck {
            reading: number,
            setup: reading.setup,
            place: place.clone(),
            measured,
            before,
            after,
            again: false,
            why: format!(
                "the other readings leave {name} open within a factor of {:.1}; with {} {place} it is known to {:.0} %, and a slipped decimal point would stand out",
                before.min(MOST_FACTOR).exp(),
                measured.word(),
                (100.0 * after).max(1.0)
            ),
        },
        None => CrossCheck {
            reading: number,
            setup: reading.setup,
            place: reading.place.clone(),
            measured: reading.measured,
            before,
            after: 0.0,
            again: true,
            why: format!(
                "nothing else in setup {} is tied to {name} closely enough; take it once more with another meter, or on another range",
                reading.setup
            ),
        },
    })
}

/// More than a factor of ten need not be told apart.
const MOST_FACTOR: f64 = 2.3;

/// How much less people like taking it: amperes want a clamp or an opened lead, watts a power meter. Our choice.
fn trouble(measured: Measured) -> f64 {
    match measured {
        Measured::AcCurrent | Measured::DcCurrent => 1.5,
        Measured::Power => 2.0,
        _ => 1.0,
    }
}

fn least(measured: Measured) -> f64 {
    match measured {
        Measured::AcCurrent | Measured::DcCurrent => LEAST_AMPERES,
        Measured::Power => LEAST_WATTS,
        Measured::Resistance => LEAST_OHMS,
        _ => LEAST_VOLTS,
    }
}

/// Covariance at the first mode without this reading: `C + Cw w'C / (1 - w'Cw)`, or as it is where the mode holds it to be misread.
fn without(made: &mut FindProblem, posterior: &Posterior, index: usize) -> Option<Vec<Vec<f64>>> {
    let mode = posterior.modes.first()?;
    let mut covariance = mode.covariance.clone();
    if mode.misread.contains(&index) {
        return Some(covariance);
    }
    let mut posed = Posed::new(&mut made.problem);
    posed.feel(&mode.z).ok()?;
    let Some((_, factor)) = posed.residual(index, 1.0) else {
        return Some(covariance);
    };
    let w: Vec<f64> = posed
        .here
        .slopes(index)
        .iter()
        .map(|s| s * factor)
        .collect();
    let pull = times(&covariance, &w);
    let rest = (1.0 - dot(&pull, &w)).max(1e-9);
    for (row, i) in covariance.iter_mut().zip(&pull) {
        row.iter_mut()
            .zip(&pull)
            .for_each(|(entry, j)| *entry += i * j / rest);
    }
    Some(covariance)
}

type Asked = (Place, Measured, Question);

/// Places of the reading's setup that could be asked: pairs within each part and among the feed's terminals, currents into every part;
/// each once, the reading's own left out.
fn places(made: &FindProblem, find: &Find, station: usize, own: &Question) -> Vec<Asked> {
    let Some(setup_model) = made.models.get(station) else {
        return vec![];
    };
    let model = &setup_model.model;
    let mut groups: Vec<Vec<TerminalRef>> = find
        .parts
        .iter()
        .map(|part| {
            part.terminals()
                .into_iter()
                .map(|mark| part.terminal(mark))
                .collect()
        })
        .collect();
    if let Some(setup) = find.setup(setup_model.setup) {
        groups.extend(
            setup
                .feeds
                .iter()
                .map(|f| f.to.iter().chain(&f.neutral).cloned().collect()),
        );
    }
    let mut asked: Vec<Asked> = vec![];
    let mut add = |place: Place, kinds: &[Measured]| {
        for &measured in kinds {
            let Ok(question) = model.question(&place, measured, 0.0) else {
                continue;
            };
            let known =
                bare(own) == bare(&question) || asked.iter().any(|(_, _, q)| *q == question);
            if !known && asked.len() < MOST_PLACES {
                asked.push((place.clone(), measured, question));
            }
        }
    };
    let across: &[Measured] = if setup_model.dead {
        &[Measured::Resistance]
    } else {
        &[Measured::AcVoltage, Measured::DcVoltage]
    };
    for group in &groups {
        for (i, a) in group.iter().enumerate() {
            for b in &group[i + 1..] {
                if model.node(a) != model.node(b) {
                    add(Place::Between(a.clone(), b.clone()), across);
                }
            }
        }
    }
    if !setup_model.dead {
        for terminal in groups.into_iter().flatten() {
            add(
                Place::Into(terminal),
                &[Measured::AcCurrent, Measured::DcCurrent],
            );
        }
    }
    asked
}

/// The question without the meter's burden, and with its two leads in one order.
fn bare(question: &Question) -> Question {
    match question {
        Question::Voltage { a, b, .. } => Question::Voltage {
            a: *a.min(b),
            b: *a.max(b),
            burden: 0.0,
        },
        Question::Resistance { a, b } => Question::Resistance {
            a: *a.min(b),
            b: *a.max(b),
        },
        Question::Current { node, through, .. } => Question::Current {
            node: *node,
            through: through.clone(),
            burden: 0.0,
        },
        other => other.clone(),
    }
}

/// `Cs`, s as long as C or shorter (no drift).
fn times(covariance: &[Vec<f64>], slopes: &[f64]) -> Vec<f64> {
    covariance.iter().map(|row| dot(row, slopes)).collect()
}

fn dot(left: &[f64], right: &[f64]) -> f64 {
    left.iter().zip(right).map(|(l, r)| l * r).sum()
}
