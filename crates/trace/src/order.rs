//! Puts the leads of one winding in order along its turns.
//!
//! From one lead the ohms to every other are known; which of them lie on the other side of it a second reading tells, from the farthest
//! lead: lengths add along a winding. The same is told by volts where the ohms are too few to tell.

use crate::observed::Seen;
use crate::sorting::ohms;

/// Share an ohmmeter reading may be off (common practice for handheld meters with two leads).
const OHMS_SHARE: f64 = 0.01;
/// Ohms it may be off besides: test leads, clips and the last digit.
pub(crate) const OHMS_LEADS: f64 = 0.45;
/// Ohms over their bound from which a lead too near to tell its side cannot make the fed stretch less than half of the winding.
const ENDS_NEAR: f64 = 3.0;
/// Share a reading of volts may be off, after the meter's own gain drops out of a ratio.
pub(crate) const VOLTS_SHARE: f64 = 0.015;

/// A winding's leads in order, as far as that is known.
#[derive(Debug, Clone, Default)]
pub(crate) struct Ordered {
    /// Leads along the turns; the first and the last are the ends.
    pub(crate) leads: Vec<usize>,
    /// Ohms from the first end to each of them, where read.
    pub(crate) ohms: Option<Vec<f64>>,
    /// Two leads whose ohms to read next.
    pub(crate) ask: Option<(usize, usize)>,
    /// Leads whose side is not told by ohms: volts from the farthest lead to them will tell.
    pub(crate) by_volts: Vec<usize>,
    /// First lead and a lead whose ohms to it are missing: wanted only if this winding must be fed.
    pub(crate) missing: Option<(usize, usize)>,
    /// How many leads' ohms to the first are missing.
    pub(crate) unread: usize,
    /// First and last are the ends but for leads close to the first.
    pub(crate) ends_near: bool,
    /// Dead tests left.
    pub(crate) left: u32,
    /// Readings that do not fit.
    pub(crate) conflict: Option<(Vec<u32>, String)>,
    /// All three ohms of three leads alike: three windings in star or delta inside.
    pub(crate) star: bool,
}

/// What two readings of length say of a third: the same side, the other side, or nothing.
pub(crate) enum Side {
    Same,
    Other,
    Unclear,
    Neither,
}

/// Which side: `far` and `near` from one lead, `between` the two; `off` is how far a sum of them may be off.
pub(crate) fn side(far: f64, near: f64, between: f64, off: f64) -> Side {
    let (same, other) = ((far - near).abs(), far + near);
    if other - same < 3.0 * off {
        return Side::Unclear;
    }
    let (to_same, to_other) = ((between - same).abs(), (between - other).abs());
    match (to_same <= to_other, to_same.min(to_other) > 3.0 * off) {
        (_, true) => Side::Neither,
        (true, _) => Side::Same,
        (false, _) => Side::Other,
    }
}

fn off(lengths: &[f64]) -> f64 {
    lengths.iter().fold(0.0, |a, x| f64::max(a, *x)) * OHMS_SHARE + OHMS_LEADS
}

/// Orders a group of leads.
pub(crate) fn order(group: &[usize], seen: &[Seen]) -> Ordered {
    let mut ordered = Ordered {
        leads: group.to_vec(),
        ..Ordered::default()
    };
    let first = group[0];
    let rest = &group[1..];
    let from: Vec<Option<f64>> = {
        let to = |l: &usize| ohms(group, (first, *l), seen).map(|(ohms, _)| ohms);
        rest.iter().map(to).collect()
    };
    if group.len() < 3 {
        if let [Some(whole)] = from.as_slice() {
            ordered.ohms = Some(vec![0.0, *whole]);
        }
        return ordered;
    }
    // Where ohms are missing (a lead placed because nothing else was left), volts tell order as well as ratio, with as many readings.
    ordered.unread = from.iter().filter(|o| o.is_none()).count();
    if let Some(i) = from.iter().position(Option::is_none) {
        ordered.missing = Some((first, rest[i]));
    }
    let Some(from) = from.into_iter().collect::<Option<Vec<f64>>>() else {
        ordered.by_volts = rest[1..].to_vec();
        return ordered;
    };
    // Of leads alike by their number: the order in which leads were placed changes with every reading between two of them.
    let farther =
        |a: &usize, b: &usize| from[*a].total_cmp(&from[*b]).then(rest[*a].cmp(&rest[*b]));
    let Some(farthest) = (0..rest.len()).max_by(farther) else {
        return ordered;
    };
    let mut at = vec![0.0; rest.len()];
    at[farthest] = from[farthest];
    // Where one side cannot be told by ohms, volts tell them all.
    let least = from.iter().copied().fold(f64::INFINITY, f64::min);
    if 2.0 * least < 3.0 * off(&from) {
        let others = (0..rest.len()).filter(|i| *i != farthest);
        ordered.by_volts = others.map(|i| rest[i]).collect();
        ordered.leads.swap(1, farthest + 1);
        let last = ordered.leads.len() - 1;
        ordered.leads.swap(1, last);
        let whole = from[farthest];
        ordered.ends_near = whole > ENDS_NEAR * off(&from);
        ordered.ohms = Some(vec![0.0, whole]);
        return ordered;
    }
    for i in (0..rest.len()).filter(|i| *i != farthest) {
        at[i] = from[i];
        let off = off(&[from[farthest], from[i]]);
        let Some((ohms, reading)) = ohms(group, (rest[farthest], rest[i]), seen) else {
            ordered.ask = ordered.ask.or(Some((rest[farthest], rest[i])));
            ordered.left += 1;
            continue;
        };
        match side(from[farthest], from[i], ohms, off) {
            Side::Same | Side::Unclear => {}
            Side::Other => at[i] = -from[i],
            Side::Neither if group.len() == 3 && alike(&[from[0], from[1], ohms]) => {
                ordered.star = true;
            }
            Side::Neither => {
                ordered.conflict = Some((
                    vec![reading],
                    format!(
                        "reading {reading} is neither the sum nor the difference of the ohms from the first lead"
                    ),
                ));
            }
        }
    }
    let mut along: Vec<(f64, usize)> = rest.iter().zip(&at).map(|(l, a)| (*a, *l)).collect();
    along.push((0.0, first));
    along.sort_by(|a, b| a.0.total_cmp(&b.0));
    ordered.leads = along.iter().map(|(_, l)| *l).collect();
    ordered.ohms = Some(along.iter().map(|(a, _)| a - along[0].0).collect());
    ordered
}

/// Within a tenth of each other.
fn alike(ohms: &[f64]) -> bool {
    let most = ohms.iter().fold(0.0, |a, x| f64::max(a, *x));
    ohms.iter().all(|x| *x > 0.9 * most - OHMS_LEADS)
}
