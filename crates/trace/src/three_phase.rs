//! Recognises nine- and twelve-lead three-phase parts by how their leads fall into groups.
//!
//! Three pairs and a triple are nine leads with a star inside; three triples nine leads with a delta inside; six pairs of like ohms may be
//! twelve leads. Markings in the manner of IEC 60034-8 (from memory): U1-U2 and U5-U6 are the two halves of one phase, V and W likewise.

use crate::order::Ordered;

/// What the groups look like, in words; `None` for anything else.
pub(crate) fn recognised(orders: &[Ordered]) -> Option<String> {
    let mut sizes: Vec<usize> = orders.iter().map(|o| o.leads.len()).collect();
    sizes.sort_unstable();
    let star = orders.iter().any(|o| o.star);
    Some(match sizes.as_slice() {
        [2, 2, 2, 3] if star => {
            "three pairs and a triple of three like resistances: a three-phase part of nine leads with a star inside. The triple is U5, V5, W5; \
             each pair (U1-U2, V1-V2, W1-W2) belongs to the lead of the triple that shows the most volts against the other two when the pair is fed low"
                .to_owned()
        }
        [3, 3, 3] => {
            "three triples: perhaps a three-phase part of nine leads with a delta inside; the lead in the middle of each triple by ohms is a corner \
             (U1, V1, W1), its ends the first half's other end (U2) and the neighbour phase's second half (W5)"
                .to_owned()
        }
        [2, 2, 2, 2, 2, 2] if alike(orders) => {
            "six pairs of like resistance: perhaps a three-phase part of twelve leads. Of the other pairs the one on the fed pair's own phase shows \
             about the same volts, those of the other phases about half (U1-U2 with U5-U6, V and W likewise)"
                .to_owned()
        }
        _ => return None,
    })
}

fn alike(orders: &[Ordered]) -> bool {
    let ohms: Vec<f64> = orders
        .iter()
        .filter_map(|o| o.ohms.as_ref()?.last().copied())
        .collect();
    let most = ohms.iter().fold(0.0, |a, x| f64::max(a, *x));
    ohms.len() >= 3 && ohms.iter().all(|x| *x > 0.85 * most)
}
