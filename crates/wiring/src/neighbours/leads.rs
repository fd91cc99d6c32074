//! One-slip neighbours of the wiring: a winding reversed, leads exchanged, a lead on the next terminal or on a sister, a lead without
//! contact, a fuse or switch in its other state.

use super::Slip;
use crate::Conductors;
use gear::{
    Designation, Dot, Find, JoinState, Part, PartKind, SwitchSetting, TerminalRef, Winding,
};

/// How much likelier wrong a join is by how it is known, assumed being 1. Our choice.
fn doubt(state: JoinState) -> f64 {
    match state {
        JoinState::Assumed => 1.0,
        JoinState::Found => 0.3,
        JoinState::Seen => 0.1,
    }
}

/// Every wiring one slip away.
pub(super) fn slips(find: &Find) -> Vec<Slip> {
    let mut slips = Vec::new();
    for part in &find.parts {
        reversed(find, part, &mut slips);
        exchanged(find, part, &mut slips);
        windings_exchanged(find, part, &mut slips);
        neighbours_on_strip(find, part, &mut slips);
        on_the_next(find, part, &mut slips);
        without_contact(find, part, &mut slips);
        other_state(find, part, &mut slips);
    }
    on_sisters(find, &mut slips);
    slips
}

/// A winding whose start stands at its other end. Of two windings only the relation matters, so the first is left as it is.
fn reversed(find: &Find, part: &Part, slips: &mut Vec<Slip>) {
    let Some(wound) = part.kind.wound() else {
        return;
    };
    let first = usize::from(wound.windings.len() == 2);
    for winding in (first..wound.windings.len()).filter(|_| wound.windings.len() > 1) {
        let mut other = find.clone();
        if !turn(&mut other, &part.designation, winding) {
            continue;
        }
        let name = &wound.windings[winding].name;
        let share = if wound.windings[winding].dot == Dot::Unknown {
            3.0
        } else {
            1.0
        };
        slips.push(Slip {
            find: other,
            what: format!("{}'s {name} stands reversed", part.designation),
            remedy: format!(
                "look which end of {}'s {name} is its start, or test aiding against opposing",
                part.designation
            ),
            share,
        });
    }
}

/// Puts a winding's dot to its other end.
pub(super) fn turn(find: &mut Find, part: &Designation, winding: usize) -> bool {
    let wound = find
        .parts
        .iter_mut()
        .find(|p| p.designation == *part)
        .and_then(|p| match &mut p.kind {
            PartKind::Transformer(w)
            | PartKind::VariableAutotransformer(w)
            | PartKind::Choke(w) => Some(w),
            _ => None,
        });
    let Some(this) = wound.and_then(|w| w.windings.get_mut(winding)) else {
        return false;
    };
    this.dot = match this.dot {
        Dot::First | Dot::Unknown => Dot::Last,
        Dot::Last => Dot::First,
    };
    true
}

/// Terminals of a part something is joined to.
fn joined<'a>(find: &'a Find, part: &'a Part) -> Vec<TerminalRef> {
    part.terminals()
        .into_iter()
        .map(|mark| part.terminal(mark))
        .filter(|t| share_of(find, t) > 0.0)
        .collect()
}

/// How much the joins and leads on a terminal are to be doubted; 0 where there are none.
fn share_of(find: &Find, terminal: &TerminalRef) -> f64 {
    let joins = find.joins.iter().filter(|j| j.terminals.contains(terminal));
    let leads = find
        .leads
        .iter()
        .filter(|l| l.to.is_some() && (l.from == *terminal || l.to.as_ref() == Some(terminal)));
    joins
        .map(|j| doubt(j.state))
        .chain(leads.map(|l| doubt(l.state)))
        .fold(0.0, f64::max)
}

fn is_strip(part: &Part) -> bool {
    matches!(part.kind, PartKind::Terminals(_))
}

/// Two leads of one part exchanged. The two ends of one winding exchanged are that winding reversed, and stand there, unless a reading
/// tells the two apart.
fn exchanged(find: &Find, part: &Part, slips: &mut Vec<Slip>) {
    if part.kind.wound().is_none() {
        return;
    }
    let all: Vec<TerminalRef> = part.terminals().iter().map(|m| part.terminal(m)).collect();
    for (number, one) in all.iter().enumerate() {
        for (place, other) in all.iter().enumerate().skip(number + 1) {
            let share = share_of(find, one).max(share_of(find, other));
            if share <= 0.0
                || (ends_of_one_winding(part, one, other) && !told_apart(find, one, other))
            {
                continue;
            }
            slips.push(Slip {
                find: renamed(find, |t| swap(t, one, other)),
                what: format!("the leads on {one} and {other} are exchanged"),
                remedy: format!(
                    "follow both leads from {} to where they end",
                    part.designation
                ),
                share: if number + 1 == place { 0.7 } else { 0.4 } * share,
            });
        }
    }
}

/// Two windings of one part exchanged, both ends: primary taken for secondary.
fn windings_exchanged(find: &Find, part: &Part, slips: &mut Vec<Slip>) {
    let windings = part.kind.wound().map_or(&[][..], |w| &w.windings);
    for (number, one) in windings.iter().enumerate() {
        for other in &windings[number + 1..] {
            let ends = |w: &Winding| {
                Some((
                    part.terminal(&w.points.first()?.terminal),
                    part.terminal(&w.points.last()?.terminal),
                ))
            };
            let (Some(a), Some(b)) = (ends(one), ends(other)) else {
                continue;
            };
            let doubts = [&a.0, &a.1, &b.0, &b.1].map(|t| share_of(find, t));
            let share = doubts.into_iter().fold(0.0, f64::max);
            if share > 0.0 {
                slips.push(Slip {
                    find: renamed(find, |t| {
                        let t = swap(t, &a.0, &b.0);
                        swap(&t, &a.1, &b.1)
                    }),
                    what: format!(
                        "{}'s {} and {} are exchanged",
                        part.designation, one.name, other.name
                    ),
                    remedy: format!("measure the ohms of both windings of {}", part.designation),
                    share,
                });
            }
        }
    }
}

/// The leads on two neighbouring terminals of a strip exchanged.
fn neighbours_on_strip(find: &Find, part: &Part, slips: &mut Vec<Slip>) {
    if !is_strip(part) {
        return;
    }
    let all: Vec<TerminalRef> = joined(find, part);
    for two in all.windows(2) {
        let share = share_of(find, &two[0]).max(share_of(find, &two[1]));
        slips.push(Slip {
            find: renamed(find, |t| swap(t, &two[0], &two[1])),
            what: format!("the leads on {} and {} are exchanged", two[0], two[1]),
            remedy: format!("follow both leads from {}", part.designation),
            share: 0.5 * share,
        });
    }
}

/// Whether a reading was taken from one of two terminals to somewhere else than the other.
fn told_apart(find: &Find, one: &TerminalRef, other: &TerminalRef) -> bool {
    find.readings.iter().any(|reading| {
        let at = reading.place.terminals();
        at.len() > 1 && at.contains(&one) != at.contains(&other)
    })
}

fn ends_of_one_winding(part: &Part, one: &TerminalRef, other: &TerminalRef) -> bool {
    let windings = part.kind.wound().map_or(&[][..], |w| &w.windings);
    windings.len() > 1
        && windings.iter().any(|w| {
            let ends = (w.points.first(), w.points.last());
            let is = |t: &TerminalRef, p: Option<&gear::Point>| {
                p.is_some_and(|p| p.terminal == t.terminal)
            };
            (is(one, ends.0) && is(other, ends.1)) || (is(one, ends.1) && is(other, ends.0))
        })
}

/// A lead on the neighbouring terminal of its part, its own left empty.
fn on_the_next(find: &Find, part: &Part, slips: &mut Vec<Slip>) {
    if part.kind.wound().is_none() {
        return;
    }
    let all: Vec<TerminalRef> = part.terminals().iter().map(|m| part.terminal(m)).collect();
    for (number, one) in all.iter().enumerate() {
        let share = share_of(find, one);
        let next = [number.checked_sub(1), Some(number + 1)];
        for other in next.into_iter().flatten().filter_map(|n| all.get(n)) {
            if share <= 0.0 {
                continue;
            }
            slips.push(Slip {
                find: renamed(find, |t| if t == one { other.clone() } else { t.clone() }),
                what: format!("the lead recorded on {one} is on {other}"),
                remedy: format!("look at the terminals of {}", part.designation),
                share: 0.5 * share,
            });
        }
    }
}

/// A lead that makes no contact.
fn without_contact(find: &Find, part: &Part, slips: &mut Vec<Slip>) {
    if is_strip(part) {
        return;
    }
    let conductors = Conductors::of(find, None);
    for terminal in joined(find, part) {
        let mut other = find.clone();
        for join in &mut other.joins {
            join.terminals.retain(|t| *t != terminal);
        }
        other.joins.retain(|j| j.terminals.len() > 1);
        for lead in &mut other.leads {
            if lead.from == terminal || lead.to.as_ref() == Some(&terminal) {
                if lead.from == terminal {
                    lead.from = lead.to.take().unwrap_or_else(|| lead.from.clone());
                }
                lead.to = None;
            }
        }
        let group = conductors
            .find(&terminal)
            .map_or(&[][..], |c| &conductors.groups[c]);
        let what = match group {
            [one, other] => format!("{one} and {other} are not in contact"),
            _ => format!("nothing makes contact at {terminal}"),
        };
        slips.push(Slip {
            find: other,
            what,
            remedy: format!("look for a loose or broken lead at {terminal}"),
            share: share_of(find, &terminal).max(0.3),
        });
    }
}

/// A fuse blown, or a switch in its other state, in every setup that says nothing of it.
fn other_state(find: &Find, part: &Part, slips: &mut Vec<Slip>) {
    let what = match part.kind {
        PartKind::Fuse { .. } => "is blown or out",
        PartKind::Switch => "stands open",
        _ => return,
    };
    let mut other = find.clone();
    for setup in &mut other.setups {
        if !setup.switches.iter().any(|s| s.part == part.designation) {
            setup.switches.push(SwitchSetting {
                part: part.designation.clone(),
                closed: false,
            });
        }
    }
    slips.push(Slip {
        find: other,
        what: format!("{} {what}", part.designation),
        remedy: format!("measure {} by itself, everything dead", part.designation),
        share: 1.0,
    });
}

/// The leads on one terminal of two sisters exchanged.
fn on_sisters(find: &Find, slips: &mut Vec<Slip>) {
    for (number, part) in find.parts.iter().enumerate() {
        for sister in &find.parts[number + 1..] {
            let alike = part.kind.wound().is_some()
                && part.kind.word() == sister.kind.word()
                && part.terminals() == sister.terminals()
                && part.phase.is_some()
                && sister.phase.is_some()
                && part.phase != sister.phase;
            if !alike {
                continue;
            }
            for mark in part.terminals() {
                let (one, other) = (part.terminal(mark), sister.terminal(mark));
                let share = share_of(find, &one).min(share_of(find, &other));
                if share > 0.0 {
                    slips.push(Slip {
                        find: renamed(find, |t| swap(t, &one, &other)),
                        what: format!("the leads on {one} and {other} are exchanged"),
                        remedy: format!("follow both leads from {one} and {other}"),
                        share: 0.5 * share,
                    });
                }
            }
        }
    }
}

fn swap(terminal: &TerminalRef, one: &TerminalRef, other: &TerminalRef) -> TerminalRef {
    if terminal == one {
        other.clone()
    } else if terminal == other {
        one.clone()
    } else {
        terminal.clone()
    }
}

/// The find with the terminals of its joins and leads renamed: other leads land there.
fn renamed(find: &Find, name: impl Fn(&TerminalRef) -> TerminalRef) -> Find {
    let mut other = find.clone();
    for join in &mut other.joins {
        join.terminals.iter_mut().for_each(|t| *t = name(t));
    }
    for lead in &mut other.leads {
        lead.from = name(&lead.from);
        lead.to = lead.to.as_ref().map(&name);
    }
    other
}
