//! No find, however oddly joined, may bring the layout down or put a figure on the paper that is none.

#![allow(clippy::unwrap_used)]

mod finds;

use drawing::{Mark, schematic};
use finds::*;
use gear::{Dot, Find, PartKind, Place};
use proptest::prelude::*;

fn kind(number: u8) -> PartKind {
    match number % 6 {
        0 => autotransformer(),
        1 => booster(),
        2 => PartKind::Fuse { current: None },
        3 => PartKind::Switch,
        4 => PartKind::Choke(wound(vec![winding(
            "w",
            &["1", "2", "3", "4"],
            &[],
            Dot::Unknown,
            None,
            None,
        )])),
        _ => PartKind::Capacitor { capacitance: None },
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]
    #[test]
    fn any_joins_give_a_drawing(
        kinds in prop::collection::vec((any::<u8>(), 0..4_u8), 1..6),
        strips in 0..3_usize,
        joins in prop::collection::vec(prop::collection::vec(any::<prop::sample::Index>(), 2..5), 0..8),
        reading in (any::<prop::sample::Index>(), any::<prop::sample::Index>()),
        slider in 0..101_u8,
        phase in 1..4_u8,
    ) {
        let mut find = Find::default();
        for (index, (number, of)) in kinds.iter().enumerate() {
            find.parts.push(part(&format!("T{}", index + 1), (*of > 0).then_some(*of), kind(*number)));
        }
        for index in 0..strips {
            find.parts.push(strip(&format!("X{}", index + 1), &["1", "2", "3", "N", "PE"]));
        }
        let all: Vec<String> = find
            .parts
            .iter()
            .flat_map(|p| p.terminals().into_iter().map(|t| p.terminal(t).to_string()).collect::<Vec<_>>())
            .collect();
        for group in &joins {
            let terminals: Vec<&str> = group.iter().map(|i| all[i.index(all.len())].as_str()).collect();
            find.joins.push(join(&terminals));
        }
        let (from, to) = (all[reading.0.index(all.len())].as_str(), all[reading.1.index(all.len())].as_str());
        let place = between(from, to);
        let notes = [note(1, place, "1.0 V", Mark::Agrees, "1.0 ± 0.1"), note(2, Place::Into(t(from)), "1 A", Mark::Doubtful, "")];
        let setup = setup(&format!("{:.2}", f64::from(slider) / 100.0), &[all[0].as_str()]);
        if let Ok(drawing) = schematic(&find, Some(&setup), phase, &notes) {
            prop_assert!(drawing.width.is_finite() && drawing.height.is_finite());
            prop_assert!(!drawing.svg.contains("NaN"));
            for number in [1, 2] {
                let ring = format!("ring {number}");
                prop_assert!(drawing.boxes.iter().any(|b| b.what == ring), "reading {number} was lost");
            }
        }
    }
}
