//! A small trial inside the test suite: the full ones are a command of their own, with their table in `docs/trials.md`.
//!
//! Bounds are the full trial's targets for good readings (at most 1 % *contradicts*, 5 % *doubtful*) and, for what is found, the full
//! trial's rate less three standard errors of so small a sample.

use trial::draw::Slipping;
use trial::score::{Plan, run};

const FINDS: usize = 80;

#[test]
fn finds_with_one_slip_each_are_judged_as_the_full_trial_says() {
    let plan = Plan {
        finds: FINDS,
        readings: 30,
        slipping: Slipping::Exactly(1),
        seed: 7,
        threads: 2,
        ceiling: false,
    };
    let score = run(&plan).unwrap_or_else(|error| panic!("{error:?}"));
    assert_eq!(score.failed, 0);
    let share = |part: usize, whole: usize| part as f64 / whole as f64;
    assert!(share(score.contradicts, score.good) <= 0.01, "{score:?}");
    assert!(share(score.doubtful, score.good) <= 0.05, "{score:?}");
    // 96.9 % of material slips are found by the full trial; three standard errors of 80 are 5.8 points.
    assert!(share(score.found, score.material) >= 0.91, "{score:?}");
    assert!(share(score.kind_right, score.found) >= 0.93, "{score:?}");
}
