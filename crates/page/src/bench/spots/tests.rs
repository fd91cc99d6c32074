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

#[test]
fn what_is_proposed_here_comes_first_and_is_not_listed_twice() {
    let find = creamery();
    let judge = judgement::Judge::new(find.clone());
    let said = judge.judgement();
    let proposals = &said.next.as_ref().unwrap().proposals;
    let made = proposals
        .iter()
        .find(|p| !p.new_setup)
        .expect("one in a setup that was made");
    let setup = find.setups.iter().find(|s| s.number == made.setup).unwrap();
    let offered = offered(&find, said, setup);
    let first = offered.first().unwrap();
    assert_eq!(Some(&first.from), made.terminals.first());
    assert!(!offered.unread.iter().any(|s| s.is_same(first)));
}

#[test]
fn no_place_is_offered_twice() {
    let find = creamery();
    for setup in &find.setups {
        let judge = judgement::Judge::new(find.clone());
        let mut said = judge.judgement().clone();
        // As if what is still to be read were proposed.
        let unread = offered(&find, &said, setup).unread;
        let next = said.next.as_mut().unwrap();
        for (proposal, spot) in next.proposals.iter_mut().zip(&unread) {
            proposal.new_setup = false;
            proposal.setup = setup.number;
            proposal.measured = spot.measured.word().to_owned();
            proposal.terminals = [Some(spot.from.clone()), spot.to.clone()]
                .into_iter()
                .flatten()
                .collect();
        }
        let offered = offered(&find, &said, setup);
        let all: Vec<&Spot> = offered
            .proposed
            .iter()
            .chain(&offered.unread)
            .chain(&offered.read)
            .collect();
        for (n, spot) in all.iter().enumerate() {
            assert!(
                !all[..n].iter().any(|s| s.is_same(spot)),
                "{}",
                spot.place()
            );
        }
    }
}

#[test]
fn every_reading_of_the_example_can_be_taken_again_where_it_was() {
    for reading in &creamery().readings {
        let spot = Spot::again(reading).unwrap_or_else(|| panic!("reading {}", reading.number));
        assert_eq!(spot.measured, reading.measured);
        let places: Vec<String> = reading
            .place
            .terminals()
            .iter()
            .map(ToString::to_string)
            .collect();
        assert_eq!(Some(&spot.from), places.first());
        assert_eq!(spot.to.as_ref(), places.get(1));
    }
}

#[test]
fn what_is_usual_follows_the_source() {
    let mut find = creamery();
    let fed = find.setups[1].clone();
    assert_eq!(usual(&find, &fed, true), Measured::AcVoltage);
    assert_eq!(usual(&find, &fed, false), Measured::AcCurrent);
    assert_eq!(usual(&find, &find.setups[0], true), Measured::Resistance);
    find.kit.sources[0].direct = true;
    assert_eq!(usual(&find, &fed, true), Measured::DcVoltage);
    assert_eq!(usual(&find, &fed, false), Measured::DcCurrent);
}
