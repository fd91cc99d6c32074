//! Polarities nobody knows: every way the windings without a known start may count, as likely as the one taken for granted.

use super::Slip;
use super::leads::turn;
use gear::{Designation, Dot, Find};

/// Most windings of unknown start that are enumerated together; beyond, each is turned alone.
const MOST_TOGETHER: usize = 4;

/// Every other way for the windings of unknown start.
pub(super) fn polarities(find: &Find) -> Vec<Slip> {
    let open: Vec<(Designation, usize, String)> = find
        .parts
        .iter()
        .filter_map(|part| Some((part, part.kind.wound()?)))
        .filter(|(_, wound)| wound.windings.len() > 1)
        .flat_map(|(part, wound)| {
            let unknown = wound.windings.iter().enumerate().skip(1);
            unknown
                .filter(|(_, w)| w.dot == Dot::Unknown || wound.windings[0].dot == Dot::Unknown)
                .map(|(n, w)| (part.designation.clone(), n, w.name.clone()))
        })
        .collect();
    let ways: Vec<usize> = if open.len() <= MOST_TOGETHER {
        (1..1 << open.len()).collect()
    } else {
        (0..open.len()).map(|one| 1 << one).collect()
    };
    ways.into_iter()
        .map(|way| {
            let turned = open.iter().enumerate().filter(|(n, _)| way >> n & 1 == 1);
            let mut other = find.clone();
            let mut names = Vec::new();
            for (_, (part, winding, name)) in turned {
                turn(&mut other, part, *winding);
                names.push(format!("{part}'s {name}"));
            }
            Slip {
                find: other,
                what: format!(
                    "the start of {} is at its last terminal",
                    names.join(" and of ")
                ),
                remedy: "test aiding against opposing, or by a kick".into(),
                share: 1.0,
            }
        })
        .collect()
}
