//! Which reading to repeat first, and where a slip would not be noticed: what to take as a cross-check.

use crate::next::sentence;
use crate::said::{ReadingSaid, RepeatSaid};
use evidence::Judged;
use evidence::model::{FindProblem, cross_check};
use gear::Find;
use hazard::{Class, Handling, Possible, exposure};

/// Cross-checks reckoned at most: the first few say enough.
const MOST_CHECKED: usize = 3;
/// A repetition that tells less than this, nats, is not worth the clips.
const WORTH: f64 = 0.1;

/// The reading to repeat first. Where the drawing is hardly as recorded, a reading that another wiring takes as it was read is no slip.
pub(crate) fn first(
    problem: &mut FindProblem,
    judged: &Judged,
    readings: &[ReadingSaid],
) -> Option<RepeatSaid> {
    let list = evidence::repeat_first(&mut problem.problem, judged).ok()?;
    let of_the_drawing = |number: u32| {
        readings
            .iter()
            .any(|r| r.number == number && r.of_the_drawing)
    };
    let first = list
        .into_iter()
        .find(|r| !of_the_drawing(r.number))
        .filter(|r| r.tells >= WORTH)?;
    Some(RepeatSaid {
        number: first.number,
        why: sentence(first.why),
    })
}

/// Says of readings where a slipped decimal point would go unnoticed that it is so, and what would check it, if dead or low.
pub(crate) fn unnoticed(
    find: &Find,
    problem: &mut FindProblem,
    judged: &Judged,
    possible: &[Possible],
    readings: &mut [ReadingSaid],
) {
    let mut checked = 0;
    for evidence in judged.readings.iter().filter(|e| !e.would_notice) {
        let Some(said) = readings.iter_mut().find(|r| r.number == evidence.number) else {
            continue;
        };
        if said.predicted.is_none() {
            continue;
        }
        let mut words =
            "A slipped decimal point here would not be noticed: hardly anything else checks it."
                .to_owned();
        if checked < MOST_CHECKED
            && let Some(check) = cross_check(problem, find, &judged.posterior, evidence.number)
        {
            checked += 1;
            let class = find
                .setup(check.setup)
                .map(|setup| exposure(setup, &find.kit, possible, Handling::ClippedDead).class);
            if class.is_some_and(|class| class <= Class::Low) {
                words = format!(
                    "{words} To check it: {} {} in setup {}. {}",
                    check.measured.word(),
                    check.place,
                    check.setup,
                    sentence(&check.why)
                );
            }
        }
        said.unnoticed = Some(words);
    }
}
