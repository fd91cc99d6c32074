//! The gear as it truly is where one thing was recorded wrong: a start at the other end, leads exchanged, a lead elsewhere, no contact,
//! a blown fuse. Made here apart from the neighbours the judgement knows, so that these are held against something.

use crate::chance::Chance;
use gear::{Designation, Dot, Find, Part, PartKind, SwitchSetting, TerminalRef};

/// What was recorded wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A winding's start is at its other end.
    Polarity,
    /// Two leads of one part are exchanged.
    Exchanged,
    /// The leads on one terminal of two sisters are exchanged.
    Sisters,
    /// A lead is on the next terminal.
    Next,
    /// A lead makes no contact.
    NoContact,
    /// A fuse is blown.
    Fuse,
}

impl Kind {
    /// All kinds with their shares. Our choice.
    pub(super) const ALL: [(Self, f64, &'static str); 6] = [
        (Self::Polarity, 0.25, "a start at the other end"),
        (Self::Exchanged, 0.25, "two leads of one part exchanged"),
        (Self::Sisters, 0.15, "leads of two sisters exchanged"),
        (Self::Next, 0.1, "a lead on the next terminal"),
        (Self::NoContact, 0.15, "a lead without contact"),
        (Self::Fuse, 0.1, "a blown fuse"),
    ];
}

/// The find as it truly is, with the kind of what was recorded wrong; `None` where that kind cannot befall this find, or would short a
/// winding.
pub(super) fn truth(recorded: &Find, chance: &mut Chance) -> Option<(Find, Kind)> {
    let (kind, ..) = Kind::ALL[chance.among(&Kind::ALL.map(|kind| kind.1))];
    let wound: Vec<&Part> = recorded
        .parts
        .iter()
        .filter(|p| p.kind.wound().is_some())
        .collect();
    let part = wound.get(chance.below(wound.len().max(1)))?;
    let marks: Vec<TerminalRef> = part.terminals().iter().map(|m| part.terminal(m)).collect();
    let mut truth = recorded.clone();
    match kind {
        Kind::Polarity => turned(&mut truth, &part.designation, chance)?,
        Kind::Exchanged => {
            let two = chance.different(2, marks.len());
            exchange(&mut truth, marks.get(two[0])?, marks.get(*two.get(1)?)?);
        }
        Kind::Sisters => {
            let is_sister = |p: &&&Part| {
                p.designation != part.designation
                    && part.phase.is_some()
                    && p.terminals() == part.terminals()
                    && p.kind.word() == part.kind.word()
            };
            let sisters: Vec<_> = wound.iter().filter(is_sister).collect();
            let sister = sisters.get(chance.below(sisters.len().max(1)))?;
            let mark = marks.get(chance.below(marks.len()))?;
            exchange(&mut truth, mark, &sister.terminal(&mark.terminal));
        }
        Kind::Next => {
            let from = chance.below(marks.len());
            let to = if chance.happens(0.5) {
                from + 1
            } else {
                from.wrapping_sub(1)
            };
            moved(&mut truth, marks.get(from)?, marks.get(to)?);
        }
        Kind::NoContact => {
            let lost = marks.get(chance.below(marks.len()))?;
            truth
                .joins
                .iter_mut()
                .for_each(|j| j.terminals.retain(|t| t != lost));
            truth.joins.retain(|j| j.terminals.len() > 1);
        }
        Kind::Fuse => blown(&mut truth, chance)?,
    }
    let same = truth == *recorded;
    (!same && wiring::oddities(&truth, None).len() <= wiring::oddities(recorded, None).len())
        .then_some((truth, kind))
}

fn turned(find: &mut Find, part: &Designation, chance: &mut Chance) -> Option<()> {
    let part = find.parts.iter_mut().find(|p| p.designation == *part)?;
    let PartKind::Transformer(wound) = &mut part.kind else {
        return None;
    };
    let count = wound.windings.len();
    let winding = &mut wound.windings[chance.below(count)];
    winding.dot = if winding.dot == Dot::Last {
        Dot::First
    } else {
        Dot::Last
    };
    (count > 1).then_some(())
}

fn blown(find: &mut Find, chance: &mut Chance) -> Option<()> {
    let is_fuse = |p: &&Part| matches!(p.kind, PartKind::Fuse { .. });
    let fuses: Vec<Designation> = find
        .parts
        .iter()
        .filter(is_fuse)
        .map(|p| p.designation.clone())
        .collect();
    let part = fuses.get(chance.below(fuses.len().max(1)))?;
    for setup in &mut find.setups {
        setup.switches.push(SwitchSetting {
            part: part.clone(),
            closed: false,
        });
    }
    Some(())
}

fn exchange(find: &mut Find, one: &TerminalRef, other: &TerminalRef) {
    for terminal in find.joins.iter_mut().flat_map(|j| &mut j.terminals) {
        if terminal == one {
            *terminal = other.clone();
        } else if terminal == other {
            *terminal = one.clone();
        }
    }
}

fn moved(find: &mut Find, from: &TerminalRef, to: &TerminalRef) {
    for terminal in find.joins.iter_mut().flat_map(|j| &mut j.terminals) {
        if terminal == from {
            *terminal = to.clone();
        }
    }
}

/// Whether two finds of the same parts are one gear: the same terminals are one conductor, turns count the same way, every setup stands
/// the same.
pub(super) fn same(one: &Find, other: &Find) -> bool {
    let conductors = |find: &Find| wiring::Conductors::of(find, None).groups;
    let turns = |find: &Find| -> Vec<bool> {
        let wound = find.parts.iter().filter_map(|p| p.kind.wound());
        wound
            .flat_map(|w| (1..w.windings.len()).map(|n| wiring::polarity(w, n).reversed))
            .collect()
    };
    one.setups == other.setups && turns(one) == turns(other) && conductors(one) == conductors(other)
}
