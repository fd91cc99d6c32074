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
/// The possibility that nothing is wrong with a reading, in words.
pub(crate) const AS_READ: &str = "as read, and all is well";
/// Possibilities below this are not worth a line.
pub(crate) const LEAST_KIND: f64 = 0.005;

/// The ranking in words.
pub(crate) fn said(find: &Find, candidates: &Candidates, decimal: Decimal) -> CandidatesSaid {
    let ranked: Vec<CandidateSaid> = told(candidates)
        .map(|candidate| CandidateSaid {
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

/// The candidates worth a line, most probable first.
pub(crate) fn told(candidates: &Candidates) -> impl Iterator<Item = &Candidate> {
    let worth = |place: usize, c: &Candidate| {
        place < 2 || is_recorded(c) || c.ranked.probability >= LEAST_LINE
    };
    candidates
        .list
        .iter()
        .enumerate()
        .filter(move |(place, c)| worth(*place, c))
        .take(MOST_LINES)
        .map(|(_, candidate)| candidate)
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
        "Undecided; so far the readings cannot tell these apart: {}.{looked_at}",
        open.join("; ")
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
///
/// With w the candidates' probabilities (w0 as recorded) and q those of the reading being misread under each: wrong is
/// `w0 q0 + sum w (1 - (1 - q)(1 - q0))`. Of that, `w0 q0 + sum w q` is a slip, and `w (1 - q) q0` is the candidate's own: not misread.
pub(crate) fn weigh(readings: &mut [ReadingSaid], candidates: &Candidates) {
    let others = || candidates.list.iter().filter(|c| !is_recorded(c));
    let elsewhere: f64 = others().map(|c| c.ranked.probability).sum();
    for said in readings.iter_mut() {
        let Some(alone) = said.wrong else { continue };
        // What is left out of the list is as the recorded wiring has it.
        let mut slip = (1.0 - elsewhere) * alone;
        let mut drawings = Vec::new();
        for candidate in others() {
            let (weight, slipped) = (
                candidate.ranked.probability,
                slipped(candidate, said.number),
            );
            slip += weight * slipped;
            drawings.push((candidate, weight * (1.0 - slipped) * alone));
        }
        let of_drawings: f64 = drawings.iter().map(|(_, p)| p).sum();
        let wrong = (slip + of_drawings).clamp(0.0, 1.0);
        said.wrong = Some(wrong);
        if matches!(
            said.verdict,
            Verdict::Floating | Verdict::Struck | Verdict::NotJudged
        ) {
            continue;
        }
        said.verdict = crate::readings::verdict(wrong);
        if said.verdict == Verdict::Agrees {
            said.kinds.clear();
            said.argument = None;
            continue;
        }
        share_out(said, alone, slip, wrong, &drawings);
        if of_drawings > slip {
            explained_by(said, &drawings);
        } else if crate::readings::verdict(alone) == Verdict::Agrees {
            only_as_recorded(said, others());
        }
    }
}

/// Says of a reading that goes with what is recorded, but not with a candidate that may hold, which one that is.
fn only_as_recorded<'a>(said: &mut ReadingSaid, others: impl Iterator<Item = &'a Candidate>) {
    let against = |c: &&Candidate| c.ranked.probability * slipped(c, said.number);
    let worst = others.max_by(|a, b| against(a).total_cmp(&against(b)));
    let Some(worst) = worst else { return };
    said.argument = Some(format!(
        "It goes with what is recorded; if {}, it was misread.",
        worst.variant.what
    ));
}

/// Shares the possibilities out anew: slips have what is left to them, candidates that take the reading as it was read stand beside.
fn share_out(
    said: &mut ReadingSaid,
    alone: f64,
    slip: f64,
    wrong: f64,
    drawings: &[(&Candidate, f64)],
) {
    for kind in &mut said.kinds {
        let (was, is) = if kind.words == AS_READ {
            (1.0 - alone, 1.0 - wrong)
        } else {
            (alone, slip)
        };
        kind.probability = if was > 0.0 {
            kind.probability * is / was
        } else {
            0.0
        };
    }
    said.kinds.extend(of_the_drawing(drawings));
    said.kinds.retain(|kind| kind.probability >= LEAST_KIND);
    said.kinds
        .sort_by(|a, b| b.probability.total_cmp(&a.probability));
}

/// The possibility that a reading was not misread: the one other wiring that takes it so, or all of them together, which the ranking lists.
fn of_the_drawing(drawings: &[(&Candidate, f64)]) -> Option<Kind> {
    let worth: Vec<_> = drawings.iter().filter(|(_, p)| *p >= LEAST_KIND).collect();
    let words = match worth[..] {
        [] => return None,
        [(only, _)] => format!("not misread: {}", only.variant.what),
        _ => "not misread: the wiring is not as recorded".to_owned(),
    };
    Some(Kind {
        words,
        probability: worth.iter().map(|(_, p)| p).sum(),
        slip: false,
        drawing: true,
    })
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

/// Says which wiring takes the reading as it was read, where that is likelier than a slip.
fn explained_by(said: &mut ReadingSaid, drawings: &[(&Candidate, f64)]) {
    let best = drawings.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((better, _)) = best else { return };
    let sentence = format!("It is as it should be if {}.", better.variant.what);
    said.argument = Some(match said.argument.take() {
        Some(before) => format!("{sentence} {before}"),
        None => sentence,
    });
    said.remark = "the drawing?".into();
    said.of_the_drawing = true;
}
