//! The other named arrangements the same parts are usually wired in: every way of every arrangement whose parts and terminals are there.

use super::Slip;
use crate::Conductors;
use gear::{Find, JoinState, Part, PartKind};
use std::collections::BTreeMap;

/// Share of an arrangement where the owner has seen joins that it would undo. Our choice.
const AGAINST_WHAT_WAS_SEEN: f64 = 0.02;

/// The find with the joins and starts of each arrangement that fits its parts.
pub(super) fn arrangements(find: &Find) -> Vec<Slip> {
    let mut slips = Vec::new();
    if find.joins.is_empty() && find.leads.iter().all(|l| l.to.is_none()) {
        return slips;
    }
    for arrangement in crate::arrangements() {
        for way in arrangement.ways() {
            let built = (arrangement.build)(&way);
            if built.joins.is_empty() || !fits(&built, find) {
                continue;
            }
            let chosen: Vec<&str> = way
                .chosen
                .iter()
                .filter_map(|(key, value)| {
                    let choice = arrangement.choice(key)?;
                    let (_, words) = choice.values.iter().find(|(v, _)| v == value)?;
                    (choice.key != "phases").then_some(*words)
                })
                .collect();
            slips.push(Slip {
                share: if undoes_what_was_seen(&built, find) {
                    AGAINST_WHAT_WAS_SEEN
                } else {
                    1.0
                },
                find: wired_as(find, &built),
                what: format!(
                    "it is wired as a {}: {}",
                    arrangement.name,
                    chosen.join(", ")
                ),
                remedy: "follow the leads of one phase from end to end".into(),
            });
        }
    }
    slips
}

/// Whether an arrangement has the find's parts, terminals and no others.
fn fits(built: &Find, find: &Find) -> bool {
    let kinds = |f: &Find| -> BTreeMap<String, (&'static str, Vec<String>)> {
        let of = |p: &Part| {
            let mut marks: Vec<String> = p.terminals().iter().map(|m| (*m).to_owned()).collect();
            marks.sort();
            (p.designation.to_string(), (p.kind.word(), marks))
        };
        f.parts.iter().map(of).collect()
    };
    built.parts.len() == find.parts.len() && kinds(built) == kinds(find)
}

/// Whether a join the owner has seen is none in the arrangement.
fn undoes_what_was_seen(built: &Find, find: &Find) -> bool {
    let conductors = Conductors::of(built, None);
    let seen = find.joins.iter().filter(|j| j.state != JoinState::Assumed);
    let joins = seen.map(|j| j.terminals.clone());
    let leads = find.leads.iter().filter(|l| l.state != JoinState::Assumed);
    let leads = leads.filter_map(|l| Some(vec![l.from.clone(), l.to.clone()?]));
    joins.chain(leads).any(|terminals| {
        terminals
            .windows(2)
            .any(|t| !conductors.joined(&t[0], &t[1]))
    })
}

/// The find with the arrangement's joins and starts of windings; everything else stays as recorded.
fn wired_as(find: &Find, built: &Find) -> Find {
    let mut other = find.clone();
    other.joins.clone_from(&built.joins);
    other.leads.retain(|l| l.to.is_none());
    for part in &mut other.parts {
        let PartKind::Transformer(wound) = &mut part.kind else {
            continue;
        };
        let like = built.part(&part.designation).and_then(|p| p.kind.wound());
        for (winding, like) in wound
            .windings
            .iter_mut()
            .zip(like.iter().flat_map(|w| &w.windings))
        {
            winding.dot = like.dot;
        }
    }
    other
}
