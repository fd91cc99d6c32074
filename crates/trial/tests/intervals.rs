//! Intervals hold the truth, and a trial does not depend on how it was run.
//!
//! The seeds are fixed, so these fail for a change of the judgement, never by chance. The full tables are in `docs/trials.md`.

use trial::draw::Slipping;
use trial::score::{Plan, run};

/// 40 finds without a slip: 800 intervals, in each find dependent on each other. Stated: 95 % hold the truth. Below 91 % is out of
/// reach of chance even if only every fourth interval counts as one draw (three standard deviations of 200 draws are 4.6 %).
#[test]
fn intervals_hold_the_truth() {
    let plan = Plan {
        finds: 40,
        readings: 30,
        slipping: Slipping::Exactly(0),
        seed: 7,
        threads: 2,
        ceiling: false,
    };
    let score = run(&plan).unwrap_or_else(|error| panic!("{error:?}"));
    let held: usize = score.covered.iter().sum();
    assert!(
        (728..=796).contains(&held),
        "{held} of 800 intervals hold the truth"
    );
    assert!(
        score.contradicts <= 2,
        "{} of {} good readings contradict",
        score.contradicts,
        score.good
    );
}

/// The same finds whatever the number of threads.
#[test]
fn the_counts_do_not_depend_on_the_threads() {
    let plan = Plan {
        finds: 6,
        readings: 10,
        slipping: Slipping::Exactly(1),
        seed: 3,
        threads: 1,
        ceiling: false,
    };
    let [one, two] = [1, 2]
        .map(|threads| run(&Plan { threads, ..plan }).unwrap_or_else(|error| panic!("{error:?}")));
    assert_eq!(
        (one.covered, one.good, one.found, one.doubtful),
        (two.covered, two.good, two.found, two.doubtful)
    );
}
