//! The wirings the find may have, in words, and what they do to the verdicts: a reading that contradicts is wrong, or the drawing is.

use crate::digits::shown;
use crate::said::{CandidateSaid, CandidatesSaid, Kind, ReadingSaid, Verdict};
use evidence::model::{Candidate, Candidates};
use gear::{Find, Measured};
use quantity::{Decimal, Estimate, Unit};
use wiring::VariantKind;

/// Candidates below this are not worth a line.
const LEAST_LINE: f64 = 0.01;
/// Most that are told.
const MOST_LINES: usize = 6;
/// From here a candidate is named in a reading's argument.
const NAMED: f64 = 0.5;

/// The ranking in words.
pub(crate) fn said(find: &Find, candidates: &Candidates, decimal: Decimal) -> CandidatesSaid {
    let ranked: Vec<CandidateSaid> = candidates
        .list
        .iter()
        .enumerate()
        .filter(|(place, c)| *place < 2 || is_recorded(c) || c.ranked.probability >= LEAST_LINE)
        .take(MOST_LINES)
        .map(|(_, candidate)| CandidateSaid {
            words: candidate.variant.what.clone(),
            probability: candidate.ranked.probability,
            as_recorded: is_recorded(candidate),
            look_at: (!candidate.variant.remedy.is_empty())
                .then(|| candidate.variant.remedy.clone()),
            against: against(find, candidate, decimal),
        })
        .collect();
    let as_recorded = ranked.first().is_some_and(|first| first.as_recorded);
    CandidatesSaid {
        summary: summary(&ranked, candidates),
        considered: candidates.considered,
        decided: candidates.decided,
        as_recorded,
        ranked,
    }
}

fn is_recorded(candidate: &Candidate) -> bool {
    candidate.variant.kind == VariantKind::AsRecorded
}

fn summary(ranked: &[CandidateSaid], candidates: &Candidates) -> String {
    let Some(first) = ranked.first() else {
        return String::new();
    };
    let looked_at = match candidates.considered {
        0 | 1 => String::new(),
        count => format!(
            " {} ways one slip away from what was recorded were looked at too.",
            count - 1
        ),
    };
    if candidates.decided && first.as_recorded {
        return format!("The readings go with the wiring as recorded.{looked_at}");
    }
    if candidates.decided {
        return format!(
            "The wiring is hardly as recorded: {}. Look before you believe it: {}.{looked_at}",
            first.words,
            first.look_at.as_deref().unwrap_or("follow the leads")
        );
    }
    let open: Vec<&str> = ranked
        .iter()
        .filter(|c| c.probability >= 0.05)
        .map(|c| c.words.as_str())
        .collect();
    format!(
        "Undecided: the readings cannot tell {}.{looked_at}",
        open.join(" from ")
    )
}

/// What speaks against a loser, in one sentence.
fn against(find: &Find, candidate: &Candidate, decimal: Decimal) -> Option<String> {
    let told = candidate.against.as_ref()?;
    let reading = find.readings.iter().find(|r| r.number == told.reading)?;
    let (read, unit) = shown(reading);
    if !told.expected.is_finite() {
        return Some(format!(
            "reading {}, {}: {read} {unit} read, where it leaves no path",
            told.reading, reading.place
        ));
    }
    let expected = expectation(reading.measured, told.expected, told.uncertainty, decimal);
    Some(format!(
        "reading {}, {}: {read} {unit} read, {expected} expected",
        told.reading, reading.place
    ))
}

/// A value with its 95 % interval, as people write it.
pub(crate) fn expectation(
    measured: Measured,
    value: f64,
    uncertainty: f64,
    decimal: Decimal,
) -> String {
    if measured == Measured::Continuity {
        return if value < 70.0 { "a path" } else { "no beep" }.to_owned();
    }
    Estimate {
        value,
        standard_uncertainty: uncertainty.max(1e-3 * value.abs()).max(1e-9),
        unit: measured.unit().unwrap_or(Unit::One),
    }
    .text(decimal)
}

/// Lets the verdicts hold what the candidates say: the probability that a reading **or the drawing** is wrong, and in the argument which
/// wiring would explain the reading as it was read.
pub(crate) fn weigh(readings: &mut [ReadingSaid], candidates: &Candidates) {
    let others: f64 = candidates
        .list
        .iter()
        .filter(|c| !is_recorded(c))
        .map(|c| c.ranked.probability)
        .sum();
    for said in readings.iter_mut() {
        let Some(alone) = said.wrong else { continue };
        let elsewhere: f64 = candidates
            .list
            .iter()
            .filter(|c| !is_recorded(c))
            .map(|c| c.ranked.probability * (1.0 - (1.0 - slipped(c, said.number)) * (1.0 - alone)))
            .sum();
        // What is left out of the list is as the recorded wiring has it.
        let wrong = ((1.0 - others) * alone + elsewhere).clamp(0.0, 1.0);
        said.wrong = Some(wrong);
        if !matches!(
            said.verdict,
            Verdict::Floating | Verdict::Struck | Verdict::NotJudged
        ) {
            said.verdict = crate::readings::verdict(wrong);
        }
        if said.verdict != Verdict::Agrees {
            explained_by(said, candidates);
        }
    }
}

/// Probability that a reading is misread under a candidate: of the modes that hold it so.
fn slipped(candidate: &Candidate, number: u32) -> f64 {
    let observations = &candidate.problem.problem.observations;
    let Some(index) = observations.iter().position(|o| o.number == number) else {
        return 0.0;
    };
    let modes = &candidate.ranked.posterior.modes;
    modes
        .iter()
        .filter(|mode| mode.misread.contains(&index))
        .map(|mode| mode.probability)
        .sum::<f64>()
        .min(1.0)
}

/// Says which wiring takes the reading as it was read, where one is more probable than not.
fn explained_by(said: &mut ReadingSaid, candidates: &Candidates) {
    let better = candidates.list.iter().find(|c| {
        !is_recorded(c) && c.ranked.probability > NAMED && slipped(c, said.number) < NAMED
    });
    let Some(better) = better else { return };
    let words = &better.variant.what;
    let sentence = format!("It is as it should be if {words}.");
    said.argument = Some(match said.argument.take() {
        Some(before) => format!("{sentence} {before}"),
        None => sentence,
    });
    said.remark = "the drawing?".into();
    said.of_the_drawing = true;
    let probability = better.ranked.probability;
    for kind in &mut said.kinds {
        kind.probability *= 1.0 - probability;
    }
    said.kinds.insert(
        0,
        Kind {
            words: format!("not misread: {words}"),
            probability,
            slip: false,
        },
    );
    said.kinds.retain(|kind| kind.probability >= 0.005);
}
