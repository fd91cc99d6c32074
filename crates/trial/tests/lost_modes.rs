//! Finds whose best explanation lies where no path from the robust fits leads: a search that keeps near them accuses good readings
//! with certainty. The finds are those of `trial misreadings` with seed 1, by their number.
#![expect(
    clippy::expect_used,
    reason = "a find that cannot be drawn fails the test"
)]

use evidence::judge;
use trial::draw::{Slipping, draw};
use trial::score::SEED_STRIDE;
use trial::world::World;

/// Of every reading: whether it slipped, and the probability that it is wrong.
fn judged(number: u64, readings: usize) -> Vec<(bool, f64)> {
    let world = World::new().expect("the world stands");
    let seed = 1 + number.wrapping_mul(SEED_STRIDE);
    let mut find = draw(&world, seed, readings, Slipping::Exactly(1)).expect("the find is drawn");
    let told = judge(&mut find.problem).expect("the find is judged");
    let slipped = find.readings.iter().map(|truth| truth.slip.is_some());
    slipped
        .zip(told.readings.iter().map(|reading| reading.wrong))
        .collect()
}

fn hold(number: u64, readings: usize) {
    for (reading, (slipped, wrong)) in judged(number, readings).into_iter().enumerate() {
        assert_eq!(
            slipped,
            wrong > 0.5,
            "find {number} of {readings} readings: reading {} is wrong by {wrong}",
            reading + 1
        );
    }
}

#[test]
fn what_looks_like_three_slips_in_a_setup_is_one_other_slip() {
    for number in [609, 776, 1418, 1613, 1707] {
        hold(number, 6);
    }
}

#[test]
fn of_few_readings_every_likely_set_is_searched_from_afar() {
    for number in [1705, 1898] {
        hold(number, 6);
    }
}

#[test]
fn the_other_side_of_a_tap_is_found_although_a_slip_hides_it() {
    hold(83, 30);
}

#[test]
fn a_reading_that_fixes_a_parameter_by_itself_is_taken_back() {
    for (number, readings) in [(50, 30), (137, 30), (40, 20), (78, 20)] {
        hold(number, readings);
    }
}
