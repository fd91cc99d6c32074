//! Nine- and twelve-lead three-phase parts: which pairs belong to one phase, and which way they stand.
//!
//! Three pairs and a triple of like ohms are nine leads with a star inside; six pairs of like ohms may be twelve leads; three triples may
//! be nine leads with a delta inside, which is only named. With one phase fed low, its other half shows about the same volts and the
//! other phases about half, turned round: their flux comes back through them. A second feed tells the other two phases apart.
//! Markings in the manner of IEC 60034-8 (from memory): U1-U2 and U5-U6 are the two halves of one phase, V and W likewise.

use crate::observed::{Seen, What};
use crate::order::Ordered;
use crate::volts::Volts;

/// Share of the fed volts between which another phase's winding of as many turns shows (our choice: a half, more on the near limb of
/// three and less on the far one).
const OTHER_PHASE: std::ops::Range<f64> = 0.2..0.75;
/// Share for the same phase's other half.
const SAME_PHASE: std::ops::Range<f64> = 0.8..1.25;

/// Leads and windings of a three-phase part as far as volts tell.
#[derive(Debug, Clone, Default)]
pub(crate) struct Halves {
    /// By phase, the fed one first: its pairs.
    pub(crate) pairs: Vec<Vec<usize>>,
    /// By phase: its lead of the star inside.
    pub(crate) star: Vec<usize>,
    /// Whether the leads of the star are finishes while the fed pair's first lead is taken for its start.
    pub(crate) star_is_finish: bool,
    /// Windings on other phases than the fed one.
    pub(crate) others: Vec<usize>,
    /// Two leads to feed, and two to read.
    pub(crate) ask: Option<((usize, usize), (usize, usize))>,
    /// Tests left.
    pub(crate) left: u32,
    /// A reading that fits neither.
    pub(crate) conflict: Option<(Vec<u32>, String)>,
}

#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Nine { triple: usize },
    Twelve,
}

/// Tests a part of so many leads may want besides, were it a three-phase one.
pub(crate) fn besides(leads: usize) -> u32 {
    match leads {
        9 => 1,
        12 => 2,
        _ => 0,
    }
}

/// Tests that sorted windings may want besides: a triple whose third ohms are still to be read may turn out a star.
pub(crate) fn besides_of(orders: &[Ordered]) -> u32 {
    match kind(orders, |o| o.star || o.unread > 0 || o.ask.is_some()) {
        Some(Kind::Nine { .. }) => 1,
        Some(Kind::Twelve) => 2,
        None => 0,
    }
}

/// A triple whose ohms were not all read may be a star: volts tell.
fn told_star(triple: &Ordered) -> bool {
    triple.star || triple.unread > 0
}

fn kind(orders: &[Ordered], star: impl Fn(&Ordered) -> bool) -> Option<Kind> {
    let pairs: Vec<&Ordered> = orders.iter().filter(|o| o.leads.len() == 2).collect();
    let triple = orders.iter().position(|o| o.leads.len() == 3 && star(o));
    match (orders.len(), pairs.len(), triple) {
        (6, 6, _) if alike(&pairs) => Some(Kind::Twelve),
        (4, 3, Some(triple)) if alike(&pairs) => Some(Kind::Nine { triple }),
        _ => None,
    }
}

/// Like ohms, where they were read (some pairs may stand by elimination).
fn alike(pairs: &[&Ordered]) -> bool {
    let ohms: Vec<f64> = pairs
        .iter()
        .filter_map(|o| o.ohms.as_ref()?.last().copied())
        .collect();
    let most = ohms.iter().fold(0.0, |a, x| f64::max(a, *x));
    ohms.iter().all(|x| *x > 0.85 * most)
}

/// What volts tell of a three-phase part, once all of one feed were read; `None` where it is none.
pub(crate) fn halves(orders: &[Ordered], told: &Volts, seen: &[Seen]) -> Option<Halves> {
    let kind = kind(orders, told_star)?;
    if !told.wanted.is_empty() {
        return None;
    }
    let fed = told.windings.get(told.reference)?.whole()?;
    let share = |i: usize| told.windings[i].whole().map_or(0.0, |v| v / fed);
    let pairs: Vec<usize> = (0..orders.len())
        .filter(|i| orders[*i].leads.len() == 2 && *i != told.reference)
        .collect();
    let same: Vec<usize> = pairs
        .iter()
        .copied()
        .filter(|i| SAME_PHASE.contains(&share(*i)))
        .collect();
    let others: Vec<usize> = pairs
        .iter()
        .copied()
        .filter(|i| OTHER_PHASE.contains(&share(*i)))
        .collect();
    match (kind, same.as_slice(), others.as_slice()) {
        (Kind::Twelve, [half], [a, b, c, d]) => {
            // Like ohms and half the volts are what no single core shows, if a pair on another phase had its ohms read.
            let four = [*a, *b, *c, *d];
            let sure = four.iter().any(|i| told.windings[*i].ohms.is_some());
            twelve(told, seen, *half, four, sure)
        }
        (Kind::Nine { triple }, [], [a, b]) => nine(told, seen, triple, [*a, *b]),
        _ => None,
    }
}

/// Ends of a winding.
fn ends(told: &Volts, winding: usize) -> (usize, usize) {
    let leads = &told.windings[winding].leads;
    (leads[0], leads[leads.len() - 1])
}

/// Volts shown between two leads over those set, with two others fed and nothing linked.
fn shown(seen: &[Seen], fed: (usize, usize), between: (usize, usize)) -> Option<(f64, u32)> {
    let is = |a: (usize, usize), b: (usize, usize)| a == b || (a.1, a.0) == b;
    seen.iter().rev().find_map(|s| match &s.what {
        What::Volts {
            feed,
            set,
            links,
            at,
            volts,
            ..
        } if links.is_empty() && is(*feed, fed) && is(*at, between) && *set > 0.0 => {
            Some((volts / set, s.reading))
        }
        _ => None,
    })
}

/// The halves of a twelve-lead part; `None` where a second feed shows that all stand on one core after all.
fn twelve(
    told: &Volts,
    seen: &[Seen],
    half: usize,
    four: [usize; 4],
    sure: bool,
) -> Option<Halves> {
    let [first, rest @ ..] = four;
    let mut halves = Halves {
        others: four.to_vec(),
        ..Halves::default()
    };
    let feed = ends(told, first);
    let mut partner = None;
    // The last of the three is told by the two before it.
    for (tried, one) in rest[..2].iter().enumerate() {
        match shown(seen, feed, ends(told, *one)) {
            None => {
                halves.ask = Some((feed, ends(told, *one)));
                halves.left = 2 - tried as u32;
                return Some(halves);
            }
            Some((share, _)) if SAME_PHASE.contains(&share) => {
                if partner.is_some() {
                    return None;
                }
                partner = Some(*one);
                if sure {
                    break;
                }
            }
            Some((share, _)) if OTHER_PHASE.contains(&share) => {}
            Some((_, reading)) => {
                halves.conflict = Some((
                    vec![reading],
                    format!(
                        "reading {reading} is neither what the same phase shows nor what another one does"
                    ),
                ));
                return Some(halves);
            }
        }
    }
    let partner = partner.unwrap_or(rest[2]);
    let left = rest.iter().copied().filter(|i| *i != partner).collect();
    halves.pairs = vec![vec![told.reference, half], vec![first, partner], left];
    Some(halves)
}

fn nine(told: &Volts, seen: &[Seen], triple: usize, [a, b]: [usize; 2]) -> Option<Halves> {
    let star = &told.windings[triple];
    let volts = star.volts.as_ref()?;
    let [x, y, z] = star.leads[..] else {
        return None;
    };
    let fed = told.windings.get(told.reference)?.whole()?;
    let flat = volts[1] < 0.2 * volts[2] || volts[1] > 0.8 * volts[2];
    if !flat || !(1.1..1.9).contains(&(volts[2] / fed)) {
        return None;
    }
    // Two leads of the star stand at nearly the same volts: those of the phases not fed.
    let first = volts[1] > 0.5 * volts[2];
    let (fed, q, r) = if first { (x, y, z) } else { (z, x, y) };
    let mut halves = Halves {
        others: vec![a, b],
        ..Halves::default()
    };
    // Fed lead to star goes the way of the fed pair if the lead of the fed phase comes first on the triple and the triple stands alike.
    let turned = told.ways.first().is_some_and(|w| w[triple]);
    halves.star_is_finish = turned == first;
    let feed = ends(told, a);
    match shown(seen, feed, (fed, q)) {
        None => {
            halves.ask = Some((feed, (fed, q)));
            halves.left = 1;
        }
        Some((share, reading)) if !(share < 0.5 || (0.9..2.5).contains(&share)) => {
            halves.conflict = Some((
                vec![reading],
                format!("reading {reading} fits neither lead of the star"),
            ));
        }
        Some((share, _)) => {
            let (of_a, of_b) = if share > 0.5 { (q, r) } else { (r, q) };
            halves.pairs = vec![vec![told.reference], vec![a], vec![b]];
            halves.star = vec![fed, of_a, of_b];
        }
    }
    Some(halves)
}

/// What the groups look like, in words; `None` for anything else.
pub(crate) fn recognised(orders: &[Ordered]) -> Option<String> {
    let three = orders.len() == 3 && orders.iter().all(|o| o.leads.len() == 3);
    if three {
        return Some(
            "three triples: perhaps a three-phase part of nine leads with a delta inside; the lead in the middle of each triple by ohms is a corner \
             (U1, V1, W1), its ends the first half's other end (U2) and the neighbour phase's second half (W5); feed from a corner to an end, never end to end"
                .to_owned(),
        );
    }
    Some(match kind(orders, told_star)? {
        Kind::Nine { .. } => {
            "three pairs of like resistance and a triple of three like resistances: a three-phase part of nine leads with a star inside. The triple is U5, V5, W5"
                .to_owned()
        }
        Kind::Twelve => {
            "six pairs of like resistance: perhaps a three-phase part of twelve leads. Of the other pairs the one on the fed pair's own phase shows \
             about the same volts, those of the other phases about half (U1-U2 with U5-U6, V and W likewise)"
                .to_owned()
        }
    })
}
