//! The order in which places are offered.

use super::*;

fn creamery() -> Find {
    let text = include_str!("../../../../../examples/creamery.toml");
    sheet::read(text).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn offered_in(find: &Find, setup: &Setup) -> Offered {
    let judge = judgement::Judge::new(Find {
        readings: Vec::new(),
        ..find.clone()
    });
    offered(find, judge.promptly(), setup)
}

#[test]
fn what_was_read_is_not_asked_for_again() {
    let find = creamery();
    for setup in &find.setups {
        let offered = offered_in(&find, setup);
        let read = find
            .readings
            .iter()
            .filter(|r| r.setup == setup.number && r.struck.is_none());
        for spot in read.filter_map(Spot::again) {
            assert!(
                !offered.unread.iter().any(|s| s.is_same(&spot)),
                "{}",
                spot.place()
            );
        }
    }
}

#[test]
fn an_empty_fed_setup_begins_with_its_supply_and_a_dead_one_with_ohms() {
    let mut find = creamery();
    find.readings.clear();
    let fed = find
        .setups
        .iter()
        .find(|s| !s.feeds.is_empty())
        .unwrap()
        .clone();
    let first = offered_in(&find, &fed).first().cloned().unwrap();
    assert_eq!(first.from, fed.feeds[0].to[0].to_string());
    assert_eq!(first.unit(), Unit::Volt);
    let dead = Setup {
        feeds: Vec::new(),
        ..fed
    };
    let offered = offered_in(&find, &dead);
    assert!(
        offered
            .unread
            .iter()
            .all(|s| s.measured == Measured::Resistance)
    );
}

#[test]
fn the_place_after_one_is_another_one() {
    let mut find = creamery();
    find.readings.clear();
    let setup = find.setups[0].clone();
    let offered = offered_in(&find, &setup);
    let first = offered.first().cloned().unwrap();
    let after = offered.after(&first).cloned().unwrap();
    assert!(!after.is_same(&first));
    let turned = Spot {
        from: first.to.clone().unwrap(),
        to: Some(first.from.clone()),
        ..first.clone()
    };
    assert!(
        turned.is_same(&first),
        "a pair is one place either way round"
    );
}

#[test]
fn an_address_that_names_no_terminal_names_no_place() {
    let find = creamery();
    let mut came = Submitted::default();
    came.set("from", "T99:1");
    assert!(Spot::of(&find, &find.setups[0], &came).is_none());
}
