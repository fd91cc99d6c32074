//! Checks against the outside: textbook flux densities, numbers of sortings, and the worst cases told.

use crate::flux_density;
use crate::least::{all_tests, dead_tests, sorting_tests, sortings, volt_tests};

#[test]
fn val_flux_density_of_textbook_examples() {
    // CHECKS I1: Hubert, Electric Machines, example 2.1: 240 V, 200 turns, 60 Hz: 4.50 mWb.
    assert!((flux_density(240.0, 60.0, 200.0, 1.0) - 4.50e-3).abs() < 0.005e-3);
    // CHECKS I2: Theraja, example 32.3: 520 V, 400 turns, 60 cm², 50 Hz: 0.976 T.
    assert!((flux_density(520.0, 50.0, 400.0, 60e-4) - 0.976).abs() < 0.001);
}

#[test]
fn val_numbers_of_sortings() {
    // OEIS A000296, set partitions without singletons: 1, 0, 1, 1, 4, 11, 41, 162, 715, 3425, 17722 (from memory); pairings of 8: 7!! = 105.
    let all = [1, 0, 1, 1, 4, 11, 41, 162, 715, 3425, 17722];
    for (leads, count) in all.into_iter().enumerate() {
        assert_eq!(sortings(leads, None), count, "{leads}");
    }
    assert_eq!(sortings(8, Some(4)), 105);
}

/// Hand sums of the way of asking: eight leads of four windings, and the least possible for any way.
#[test]
fn what_is_told_in_advance_stands_above_the_least_possible_and_stays() {
    let table: Vec<(u32, u32, u32)> = (8..=10)
        .map(|leads| {
            let taps = leads as u32 - 8;
            let least = sorting_tests(leads, Some(4)) + taps + volt_tests(leads, 4);
            (dead_tests(leads, Some(4)), all_tests(leads, Some(4)), least)
        })
        .collect();
    assert_eq!(table, [(7, 14, 12), (12, 20, 18), (16, 25, 23)]);
}

/// Two pairs of four leads: 1 against 2, then 3 (4 follows): two tests tell three ways apart.
#[test]
fn the_smallest_part_by_hand() {
    assert_eq!(sortings(4, Some(2)), 3);
    assert_eq!(dead_tests(4, Some(2)), 2);
    assert_eq!(all_tests(4, Some(2)), 5);
}
