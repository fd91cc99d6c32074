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

#[test]
fn four_windings_take_at_most_one_test_more_than_the_least_possible() {
    for leads in 8..=10 {
        // Every lead above eight is a tap, and every tapped winding needs a reading more than it has lengths.
        let taps = leads as u32 - 8;
        let least = sorting_tests(leads, None) + taps + volt_tests(leads, 4);
        let told = all_tests(leads, None);
        println!("{leads}: {} {} {} {told} {least}", dead_tests(leads, None), dead_tests(leads, Some(4)), sorting_tests(leads, Some(4)));
        assert!(told <= least + 1, "{leads}: {told} told, {least} least");
    }
}
