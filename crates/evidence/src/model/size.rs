//! How large a wound part is, as far as its marks or the find's plate say: the anchor of every prior that has no figure of its own.

use super::Nominal;
use gear::{Find, Part, PartKind, Wound};

/// Volts of the first winding and volt-amperes of a part, each with whether somebody wrote it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Size {
    pub(crate) volts: f64,
    pub(crate) volts_written: bool,
    pub(crate) power: f64,
    pub(crate) power_written: bool,
}

/// Volt-amperes taken where nothing says: the middle of what stands on a salvager's bench (our choice; the priors widen for it).
const UNKNOWN_POWER: f64 = 1000.0;
/// Volts taken where nothing says: one phase of the European mains.
const UNKNOWN_VOLTS: f64 = 230.0;

pub(crate) fn of(find: &Find, part: &Part, wound: &Wound, nominal: Nominal) -> Size {
    let written = |q: &Option<quantity::Quantity>| {
        q.as_ref()
            .and_then(quantity::Quantity::value)
            .filter(|v| *v > 0.0)
    };
    let first = wound.windings.first();
    let volts = first.and_then(|w| written(&w.volts));
    let phase_volts = nominal.volts.map(|v| {
        if nominal.phases == 3 {
            v / 3f64.sqrt()
        } else {
            v
        }
    });
    let power = written(&wound.power)
        .or_else(|| Some(volts? * written(&first?.amperes)?))
        .or_else(|| {
            wound
                .windings
                .iter()
                .find_map(|w| Some(written(&w.volts)? * written(&w.amperes)?))
        });
    let from_plate = || share_of_plate(find, part, nominal);
    Size {
        volts: volts.or(phase_volts).unwrap_or(UNKNOWN_VOLTS),
        volts_written: volts.is_some(),
        power: power.or_else(from_plate).unwrap_or(UNKNOWN_POWER),
        power_written: power.is_some(),
    }
}

/// A part's share of the plate's throughput: all of it where the part is alone in its phase; a fifth where it is one of several
/// (a stabilizer of ±20 % passes a fifth of its power through booster and autotransformer).
fn share_of_plate(find: &Find, part: &Part, nominal: Nominal) -> Option<f64> {
    let power = nominal.power? / f64::from(nominal.phases.max(1));
    let wound = find
        .parts
        .iter()
        .filter(|p| p.kind.wound().is_some() && p.phase == part.phase)
        .count();
    Some(if wound > 1 { power / 5.0 } else { power })
}

/// The first of the parts like this one in the other phases, with how many there are; `None` for an only child.
pub(crate) fn eldest_sister<'a>(find: &'a Find, part: &Part) -> Option<&'a Part> {
    part.phase?;
    let sisters: Vec<&Part> = find.parts.iter().filter(|p| alike(p, part)).collect();
    (sisters.len() > 1).then(|| sisters[0])
}

fn alike(a: &Part, b: &Part) -> bool {
    if std::mem::discriminant(&a.kind) != std::mem::discriminant(&b.kind)
        || a.phase.is_none()
        || b.phase.is_none()
    {
        return false;
    }
    let (Some(x), Some(y)) = (a.kind.wound(), b.kind.wound()) else {
        return false;
    };
    x.windings.len() == y.windings.len()
        && x.power.as_ref().map(quantity::Quantity::text)
            == y.power.as_ref().map(quantity::Quantity::text)
        && x.windings.iter().zip(&y.windings).all(|(v, w)| {
            v.name == w.name
                && v.points.len() == w.points.len()
                && v.volts.as_ref().map(|q| q.text()) == w.volts.as_ref().map(|q| q.text())
        })
}

/// Whether a part is a variable autotransformer: wound thin and long, with little iron current.
pub(crate) fn is_variable(part: &Part) -> bool {
    matches!(part.kind, PartKind::VariableAutotransformer(_))
}
