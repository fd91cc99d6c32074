//! Which leads of the drawing as recorded are in doubt: those that other wirings, together likelier than not, have otherwise.

use crate::said::CandidatesSaid;
use gear::{Find, TerminalRef};

/// Wirings that are together likelier than this, other than the one recorded, put joins of the recorded one in doubt.
const LIKELIER: f64 = 0.5;
/// No more wirings than this share the doubt: two that no reading tells apart, such as a transformer's two windings reversed. Of more,
/// the drawing would say nothing a reader could go and look at.
const SHARED_BY: usize = 2;

/// The places in the ranking of the fewest wirings that are together likelier than not, the one recorded not among them; empty where
/// there are none so few.
pub(crate) fn likelier(candidates: &CandidatesSaid) -> Vec<usize> {
    let others = candidates.ranked.iter().enumerate();
    let mut taken = Vec::new();
    let mut together = 0.0;
    for (place, other) in others.filter(|(_, c)| !c.as_recorded).take(SHARED_BY) {
        taken.push(place);
        together += other.probability;
        if together > LIKELIER {
            return taken;
        }
    }
    Vec::new()
}

/// Terminals that have none of their neighbours left in the other find: what stays of a join when one lead leaves it has not moved.
pub(crate) fn moved(was: &Find, is: &Find) -> Vec<TerminalRef> {
    let mut moved: Vec<TerminalRef> = Vec::new();
    for terminal in was.joins.iter().flat_map(|j| &j.terminals) {
        let before = neighbours(was, terminal);
        let stays = neighbours(is, terminal).iter().any(|t| before.contains(t));
        if !before.is_empty() && !stays && !moved.contains(terminal) {
            moved.push(terminal.clone());
        }
    }
    moved
}

/// The ends of windings whose start is at the other end in the other find: either that is so, or their two leads are exchanged.
pub(crate) fn turned(was: &Find, is: &Find) -> Vec<TerminalRef> {
    let mut ends = Vec::new();
    for (part, other) in was.parts.iter().zip(&is.parts) {
        let (Some(wound), Some(there)) = (part.kind.wound(), other.kind.wound()) else {
            continue;
        };
        for (winding, turned) in wound.windings.iter().zip(&there.windings) {
            if winding.dot != turned.dot {
                let points = [winding.points.first(), winding.points.last()];
                ends.extend(points.into_iter().flatten().map(|point| TerminalRef {
                    part: part.designation.clone(),
                    terminal: point.terminal.clone(),
                }));
            }
        }
    }
    ends
}

/// What a terminal is joined to directly.
fn neighbours<'a>(find: &'a Find, terminal: &TerminalRef) -> Vec<&'a TerminalRef> {
    let joins = find.joins.iter().filter(|j| j.terminals.contains(terminal));
    joins
        .flat_map(|j| &j.terminals)
        .filter(|t| *t != terminal)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn find(joins: &[&[&str]]) -> Find {
        let join = |terminals: &&[&str]| gear::Join {
            terminals: terminals
                .iter()
                .map(|t| TerminalRef::parse(t).unwrap())
                .collect(),
            state: gear::JoinState::Seen,
            note: None,
        };
        Find {
            joins: joins.iter().map(join).collect(),
            ..Find::default()
        }
    }

    #[test]
    fn a_lead_that_leaves_a_star_point_has_moved_and_the_star_point_has_not() {
        let was = find(&[&["T1:3", "T2:3", "T3:3"], &["T1:2", "X1:5"]]);
        let is = find(&[&["T2:3", "T3:3"], &["T1:2", "X1:5", "T1:3"]]);
        let names: Vec<String> = moved(&was, &is).iter().map(ToString::to_string).collect();
        assert_eq!(names, ["T1:3"]);
        assert!(moved(&was, &was).is_empty());
    }

    #[test]
    fn exchanged_leads_have_both_moved() {
        let was = find(&[&["T2:4", "T5:1.1"], &["T2:2", "T5:1.2"]]);
        let is = find(&[&["T2:4", "T5:1.2"], &["T2:2", "T5:1.1"]]);
        assert_eq!(moved(&was, &is).len(), 4);
    }
}
