//! Ratios and starts from volts with one low feed, and from kicks.
//!
//! All volts are taken with one feed at one setting, so that the meter's gain drops out of every ratio. Lengths in volts from the lead
//! that stands for its group; starts from windings linked end to end: volts across the string add or take away.

use crate::observed::{Seen, What};
use crate::order::{OHMS_LEADS, Ordered, Side, VOLTS_SHARE, side};

/// Digits a reading may be off besides (common practice: three).
pub(crate) const DIGITS: f64 = 3.0;
/// Squared distance, in halves of the bound, within which ways to stand count as not told apart.
const APART: f64 = 16.0;
/// Squared distance from which the best way does not fit either: three times the bound.
const NO_FIT: f64 = 36.0;
/// So many times fewer ohms than another winding's are far fewer: about a seventh of the turns, by the same share of the window (our
/// choice; thick wire has fewer ohms a turn too).
const FAR_FEWER: f64 = 50.0;
/// Ohms shown are at most so many times the winding's, where the meter's leads are most of them (our choice).
const LEADS_MOST: f64 = 10.0;
/// Most windings whose starts are weighed together.
const MOST_WINDINGS: usize = 12;

/// One winding as far as volts tell.
#[derive(Debug, Clone)]
pub(crate) struct Measured {
    /// Leads along the turns.
    pub(crate) leads: Vec<usize>,
    /// Volts from the first end to each, where all were read.
    pub(crate) volts: Option<Vec<f64>>,
    /// Ohms end to end.
    pub(crate) ohms: Option<f64>,
}

impl Measured {
    pub(crate) fn whole(&self) -> Option<f64> {
        self.volts.as_ref()?.last().copied()
    }
    fn at(&self, lead: usize) -> Option<f64> {
        let i = self.leads.iter().position(|l| *l == lead)?;
        Some(self.volts.as_ref()?[i])
    }
}

/// What volts tell, and what they do not yet.
#[derive(Debug, Clone, Default)]
pub(crate) struct Volts {
    pub(crate) windings: Vec<Measured>,
    /// The fed winding.
    pub(crate) reference: usize,
    /// The leads fed.
    pub(crate) feed: (usize, usize),
    /// The fed winding has far fewer ohms than another, so likely far fewer turns: the others carry many times the feed, and what bounds
    /// them rests on every dead test being right.
    pub(crate) thin: bool,
    /// Set volts of the feed, once there is one.
    pub(crate) set: Option<f64>,
    /// Pairs whose volts are wanted.
    pub(crate) wanted: Vec<(usize, usize)>,
    /// Whether a winding stands the other way round than the fed one, for every way that still fits.
    pub(crate) ways: Vec<Vec<bool>>,
    /// Windings that stand differently in those ways.
    pub(crate) open: Vec<usize>,
    pub(crate) conflict: Option<(Vec<u32>, String)>,
    /// Smallest step seen.
    pub(crate) step: f64,
}

/// A reading of volts taken with the common feed.
struct Shown<'a> {
    reading: u32,
    links: &'a [Vec<usize>],
    at: (usize, usize),
    volts: f64,
    step: f64,
}

/// Weighs all readings of volts; `sorted` windings lead, `through` those the owner wound.
pub(crate) fn volts(orders: &[Ordered], through: &[Vec<usize>], seen: &[Seen]) -> Volts {
    let mut told = Volts {
        windings: orders
            .iter()
            .map(|o| Measured {
                leads: o.leads.clone(),
                volts: None,
                ohms: o.ohms.as_ref().and_then(|x| x.last().copied()),
            })
            .chain(through.iter().map(|leads| Measured {
                leads: leads.clone(),
                volts: None,
                ohms: None,
            }))
            .collect(),
        ..Volts::default()
    };
    if orders.is_empty() {
        return told;
    }
    told.reference = reference(&told.windings[..orders.len()], orders, seen);
    let ends = ends(&told.windings[told.reference]);
    told.feed = ends;
    told.thin = thin(&told, seen);
    told.set = seen.iter().rev().find_map(|s| match &s.what {
        What::Volts { feed, set, .. } if is(*feed, ends) => Some(*set),
        _ => None,
    });
    let shown: Vec<Shown<'_>> = seen
        .iter()
        .filter_map(|s| match &s.what {
            What::Volts {
                feed,
                set,
                links,
                at,
                volts,
                step,
            } if is(*feed, ends) && Some(*set) == told.set => Some(Shown {
                reading: s.reading,
                links,
                at: *at,
                volts: *volts,
                step: *step,
            }),
            _ => None,
        })
        .collect();
    told.step = shown.iter().fold(0.0, |a, s| f64::max(a, s.step));
    lengths(&mut told, orders, &shown);
    if told.wanted.is_empty() && told.conflict.is_none() {
        ways(&mut told, orders.len(), &shown, seen);
    }
    told
}

fn ends(winding: &Measured) -> (usize, usize) {
    (winding.leads[0], winding.leads[winding.leads.len() - 1])
}

fn is(pair: (usize, usize), ends: (usize, usize)) -> bool {
    pair == ends || (pair.1, pair.0) == ends
}

/// The winding already fed, else the one of most ohms among those whose ends are known.
fn reference(windings: &[Measured], orders: &[Ordered], seen: &[Seen]) -> usize {
    let fed = seen.iter().find_map(|s| match &s.what {
        What::Volts { feed, .. } => windings.iter().position(|w| is(*feed, ends(w))),
        _ => None,
    });
    fed.unwrap_or_else(|| {
        (0..windings.len())
            .max_by(|a, b| {
                let ohms = |i: &usize| windings[*i].ohms.unwrap_or(0.0);
                let ends_known = |i: &usize| orders[*i].by_volts.is_empty() && !orders[*i].star;
                ends_known(a)
                    .cmp(&ends_known(b))
                    .then(ohms(a).total_cmp(&ohms(b)))
                    .then(b.cmp(a))
            })
            .unwrap_or(0)
    })
}

/// Whether the fed winding likely has far fewer turns than another: by ohms, or, where its own are no more than the meter's leads, because
/// another's were never read.
fn thin(told: &Volts, seen: &[Seen]) -> bool {
    let ohms: Vec<f64> = told.windings.iter().map(|w| most_ohms(w, seen)).collect();
    let most = ohms.iter().copied().fold(0.0, f64::max);
    let shown = ohms[told.reference];
    let unread = shown <= OHMS_LEADS && ohms.contains(&0.0);
    unread || (shown - OHMS_LEADS).max(shown / LEADS_MOST) * FAR_FEWER < most
}

/// Most ohms read between two leads of a winding; 0 where none were.
fn most_ohms(winding: &Measured, seen: &[Seen]) -> f64 {
    let within = seen.iter().filter_map(|s| match &s.what {
        What::Path {
            lead,
            against,
            ohms: Some(ohms),
            ..
        } => (winding.leads.contains(lead) && against.iter().any(|a| winding.leads.contains(a)))
            .then_some(*ohms),
        _ => None,
    });
    within.fold(winding.ohms.unwrap_or(0.0), f64::max)
}

/// Volts along every winding, and which pairs are still wanted: the fed one first.
fn lengths(told: &mut Volts, orders: &[Ordered], shown: &[Shown<'_>]) {
    let plain = |a: usize, b: usize| {
        shown
            .iter()
            .rev()
            .find(|s| s.links.is_empty() && is(s.at, (a, b)))
    };
    let turn: Vec<usize> = std::iter::once(told.reference)
        .chain((0..told.windings.len()).filter(|i| *i != told.reference))
        .collect();
    for i in turn {
        let winding = &told.windings[i];
        let base = winding.leads[0];
        let mut at = vec![Some(0.0)];
        for lead in &winding.leads[1..] {
            let volts = plain(base, *lead).map(|s| s.volts);
            if volts.is_none() {
                told.wanted.push((base, *lead));
            }
            at.push(volts);
        }
        let (Some(mut at), leads) = (at.into_iter().collect::<Option<Vec<f64>>>(), &winding.leads)
        else {
            continue;
        };
        let sides = orders.get(i).is_some_and(|o| !o.by_volts.is_empty());
        let farthest = (0..at.len())
            .max_by(|a, b| at[*a].total_cmp(&at[*b]))
            .unwrap_or(0);
        let (far, whole) = (leads[farthest], at[farthest]);
        for k in (1..at.len()).filter(|k| sides && *k != farthest) {
            let lead = leads[k];
            let Some(read) = plain(lead, far) else {
                told.wanted.push((lead, far));
                continue;
            };
            let off = VOLTS_SHARE * whole + DIGITS * read.step;
            match side(whole, at[k], read.volts, off) {
                Side::Other => at[k] = -at[k],
                Side::Neither => {
                    told.conflict = Some((
                        vec![read.reading],
                        format!(
                            "reading {} is neither the sum nor the difference of the volts from one lead",
                            read.reading
                        ),
                    ));
                }
                Side::Same | Side::Unclear => {}
            }
        }
        if told.wanted.iter().any(|(_, to)| *to == far && sides) {
            continue;
        }
        let mut along: Vec<(f64, usize)> = at.into_iter().zip(leads.iter().copied()).collect();
        along.sort_by(|a, b| a.0.total_cmp(&b.0));
        told.windings[i].volts = Some(along.iter().map(|(v, _)| v - along[0].0).collect());
        told.windings[i].leads = along.iter().map(|(_, l)| *l).collect();
    }
}

/// Every way the windings may stand, held against links and kicks.
fn ways(told: &mut Volts, count: usize, shown: &[Shown<'_>], seen: &[Seen]) {
    let others: Vec<usize> = (0..count).filter(|i| *i != told.reference).collect();
    if others.len() > MOST_WINDINGS {
        return;
    }
    let mut scored: Vec<(f64, Vec<bool>)> = Vec::new();
    for bits in 0u32..1 << others.len() {
        let mut way = vec![false; told.windings.len()];
        for (bit, i) in others.iter().enumerate() {
            way[*i] = bits >> bit & 1 == 1;
        }
        let mut distance = 0.0;
        for one in shown.iter().filter(|s| !s.links.is_empty()) {
            if let Some((volts, sum)) = across(&told.windings, &way, one.links, one.at) {
                distance += apart(volts, one.volts, bound(sum, one.step)).powi(2);
            }
        }
        for s in seen {
            if let What::Kick { feed, at, up } = s.what
                && let (Some((a, _)), Some((b, _))) = (
                    signed(&told.windings, &way, &[], feed),
                    signed(&told.windings, &way, &[], at),
                )
                && (a * b > 0.0) != up
            {
                distance += NO_FIT;
            }
        }
        scored.push((distance, way));
    }
    let best = scored.iter().map(|s| s.0).fold(f64::INFINITY, f64::min);
    if best >= NO_FIT {
        let best = scored.iter().min_by(|a, b| a.0.total_cmp(&b.0));
        let worst = best.and_then(|(_, way)| {
            let far = |s: &Shown<'_>| {
                across(&told.windings, way, s.links, s.at)
                    .map_or(0.0, |(v, sum)| apart(v, s.volts, bound(sum, s.step)).abs())
            };
            shown.iter().max_by(|a, b| far(a).total_cmp(&far(b)))
        });
        let readings: Vec<u32> = worst.iter().map(|s| s.reading).collect();
        told.conflict = Some((
            readings,
            "the volts across linked windings fit no way they can stand".to_owned(),
        ));
    }
    told.ways = scored
        .into_iter()
        .filter(|(d, _)| *d <= best + APART)
        .map(|(_, w)| w)
        .collect();
    told.open = others
        .into_iter()
        .filter(|i| told.ways.iter().any(|w| w[*i] != told.ways[0][*i]))
        .collect();
}

/// How far a reading of such a sum may be off.
pub(crate) fn bound(sum: f64, step: f64) -> f64 {
    VOLTS_SHARE * sum + DIGITS * step
}

/// In halves of the bound.
fn apart(predicted: f64, shown: f64, bound: f64) -> f64 {
    (predicted - shown) / (bound / 2.0).max(f64::MIN_POSITIVE)
}

/// Volts between two leads by a way to stand and links, and the sum of what they are made of; `None` where nothing ties the two.
pub(crate) fn across(
    windings: &[Measured],
    way: &[bool],
    links: &[Vec<usize>],
    at: (usize, usize),
) -> Option<(f64, f64)> {
    signed(windings, way, links, at).map(|(v, s)| (v.abs(), s))
}

fn signed(
    windings: &[Measured],
    way: &[bool],
    links: &[Vec<usize>],
    (from, to): (usize, usize),
) -> Option<(f64, f64)> {
    let mut known: Vec<(usize, f64, f64)> = vec![(from, 0.0, 0.0)];
    let mut next = 0;
    while let Some((lead, volts, sum)) = known.get(next).copied() {
        if lead == to {
            return Some((volts, sum));
        }
        next += 1;
        let mut reach = |l: usize, v: f64, s: f64| {
            if !known.iter().any(|(k, ..)| *k == l) {
                known.push((l, v, s));
            }
        };
        for (i, w) in windings.iter().enumerate() {
            let Some(here) = w.at(lead) else { continue };
            for other in &w.leads {
                if let Some(there) = w.at(*other) {
                    let step = (there - here) * if way[i] { -1.0 } else { 1.0 };
                    reach(*other, volts + step, sum + step.abs());
                }
            }
        }
        for group in links.iter().filter(|g| g.contains(&lead)) {
            group.iter().for_each(|l| reach(*l, volts, sum));
        }
    }
    None
}

/// A string to link and read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Link {
    pub(crate) links: Vec<Vec<usize>>,
    pub(crate) at: (usize, usize),
    pub(crate) windings: Vec<usize>,
}

/// The strings that would tell the starts of some windings apart, the longest first; then each alone against the winding most like it.
pub(crate) fn strings(told: &Volts) -> Vec<Link> {
    let mut open = told.open.clone();
    let whole = |i: usize| told.windings[i].whole().unwrap_or(0.0);
    open.sort_by(|a, b| whole(*b).total_cmp(&whole(*a)));
    let mut list = Vec::new();
    for count in (2..=open.len()).rev() {
        for skip in 0..=open.len() - count {
            let link = string(told, told.reference, &open[skip..skip + count]);
            if tells(told, &link) {
                list.push(link);
            }
        }
    }
    for one in &open {
        let mut bases: Vec<usize> = (0..told.windings.len())
            .filter(|b| !told.ways.is_empty() && !told.open.contains(b) && whole(*b) > 0.0)
            .collect();
        bases.sort_by(|a, b| {
            let unlike = |i: usize| (whole(i) / whole(*one).max(1e-9)).ln().abs();
            unlike(*a).total_cmp(&unlike(*b))
        });
        let links = bases.into_iter().map(|b| string(told, b, &[*one]));
        list.extend(links.filter(|l| tells(told, l)));
    }
    list
}

/// Windings in a row, the first's start linked to the next one's, its other end to the one after.
fn string(told: &Volts, base: usize, row: &[usize]) -> Link {
    let (mut from, far) = ends(&told.windings[base]);
    let mut links = Vec::new();
    for i in row {
        let (start, finish) = ends(&told.windings[*i]);
        links.push(vec![from, start]);
        from = finish;
    }
    Link {
        links,
        at: (far.min(from), far.max(from)),
        windings: row.to_vec(),
    }
}

/// Whether every two ways in which these windings stand differently would show differently.
fn tells(told: &Volts, link: &Link) -> bool {
    let mut shown: Vec<(Vec<bool>, f64, f64)> = Vec::new();
    for way in &told.ways {
        let these: Vec<bool> = link.windings.iter().map(|i| way[*i]).collect();
        if let Some((v, sum)) = across(&told.windings, way, &link.links, link.at) {
            shown.push((these, v, sum));
        }
    }
    shown.iter().enumerate().all(|(i, (these, v, sum))| {
        shown[i + 1..].iter().all(|(those, u, other)| {
            these == those || (v - u).abs() > 3.2 * bound(sum.max(*other), told.step)
        })
    })
}
