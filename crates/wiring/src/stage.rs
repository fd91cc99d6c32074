//! What each phase of a stabilizer is made of, read off the joins: which part boosts, what feeds it, on which side.
//!
//! A booster is a transformer with one winding between a slider of a variable autotransformer and a fixed point of the same (its
//! primary) and another winding that stands in the line on the autotransformer's line end (its secondary). Names and keys of
//! arrangements play no part: the joins decide.

use crate::Conductors;
use gear::{Designation, Find, Part, PartKind, Winding, Wound};

/// One phase of a stabilizer.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// The phase, where the parts say.
    pub phase: Option<u8>,
    /// The variable autotransformer.
    pub autotransformer: Designation,
    /// Terminal of its slider that feeds the booster.
    pub slider: String,
    /// Its fixed terminal the booster primary returns to: tap or end.
    pub fixed: String,
    /// Position of that terminal, 0 at the winding's first point, 1 at the last; `None` for a tap of unknown position.
    pub fixed_at: Option<f64>,
    /// The booster.
    pub booster: Designation,
    /// Index of its winding at the slider.
    pub primary: usize,
    /// Index of its winding in the line.
    pub secondary: usize,
    /// Whether the autotransformer stands on the output side of the booster; `None` where neither input nor output is known.
    pub output_side: Option<bool>,
    /// +1 when what the booster adds to the line grows with the slider's position, -1 when it falls.
    pub sense: f64,
    /// The end of the autotransformer's winding on the line.
    pub line_end: String,
    /// Its other end, on neutral or star point.
    pub star_end: String,
    /// Whether positions count towards the line end.
    pub towards_line: bool,
    /// Terminal of the secondary towards the input.
    pub line_in: String,
    /// Terminal of the secondary towards the output.
    pub line_out: String,
}

/// The stages of a find, in the order of its autotransformers; empty when it is no stabilizer of this kind.
///
/// Which side is the input is taken from terminal strips: a conductor path over fuses and switches to the first strip (`X1`) is
/// the input, to another strip the output.
pub fn stages(find: &Find) -> Vec<Stage> {
    let conductors = Conductors::of(find, None);
    let autos = find
        .parts
        .iter()
        .filter(|p| matches!(p.kind, PartKind::VariableAutotransformer(_)));
    autos
        .filter_map(|auto| stage(find, &conductors, auto))
        .collect()
}

fn stage(find: &Find, conductors: &Conductors, auto: &Part) -> Option<Stage> {
    let winding = auto.kind.wound()?.windings.first()?;
    let transformers = find.parts.iter().filter_map(|p| match &p.kind {
        PartKind::Transformer(wound) => Some((p, wound)),
        _ => None,
    });
    for (booster, wound) in transformers {
        for (index, primary) in wound.windings.iter().enumerate() {
            let Some(feed) = feed_of(conductors, auto, winding, booster, primary) else {
                continue;
            };
            if let Some(stage) = in_line(
                find,
                conductors,
                (auto, winding),
                (booster, wound, index),
                feed,
            ) {
                return Some(stage);
            }
        }
    }
    None
}

/// How a primary hangs on an autotransformer: slider, fixed point (an index into the winding's points), and whether the
/// primary's first point is at the slider.
#[derive(Clone, Copy)]
struct Fed<'a> {
    slider: &'a str,
    fixed: usize,
    first_at_slider: bool,
}

fn feed_of<'a>(
    conductors: &Conductors,
    auto: &Part,
    winding: &'a Winding,
    booster: &Part,
    primary: &Winding,
) -> Option<Fed<'a>> {
    let (first, last) = ends(booster, primary)?;
    for slider in &winding.sliders {
        let at_slider = conductors.find(&auto.terminal(&slider.terminal));
        for (first_at_slider, near, far) in [(true, &first, &last), (false, &last, &first)] {
            let far = conductors.find(far);
            let fixed = winding
                .points
                .iter()
                .position(|p| conductors.find(&auto.terminal(&p.terminal)) == far);
            if let (true, Some(fixed)) = (at_slider == conductors.find(near), fixed) {
                return Some(Fed {
                    slider: &slider.terminal,
                    fixed,
                    first_at_slider,
                });
            }
        }
    }
    None
}

fn ends(part: &Part, winding: &Winding) -> Option<(gear::TerminalRef, gear::TerminalRef)> {
    Some((
        part.terminal(&winding.points.first()?.terminal),
        part.terminal(&winding.points.last()?.terminal),
    ))
}

fn in_line(
    find: &Find,
    conductors: &Conductors,
    (auto, winding): (&Part, &Winding),
    (booster, wound, primary): (&Part, &Wound, usize),
    fed: Fed<'_>,
) -> Option<Stage> {
    for (secondary, candidate) in wound
        .windings
        .iter()
        .enumerate()
        .filter(|(i, _)| *i != primary)
    {
        let (first, last) = ends(booster, candidate)?;
        let (on_first, on_last) = (conductors.find(&first)?, conductors.find(&last)?);
        // The autotransformer's end that is not common to all phases: the one the secondary's end shares.
        let ends_of_auto = [winding.points.first()?, winding.points.last()?];
        let at_line = ends_of_auto.iter().position(|p| {
            let end = conductors.find(&auto.terminal(&p.terminal));
            end == Some(on_first) || end == Some(on_last)
        });
        let Some(line_end) = at_line else { continue };
        let shared = conductors.find(&auto.terminal(&ends_of_auto[line_end].terminal))?;
        let (here, there) = if shared == on_first {
            (&first, &last)
        } else {
            (&last, &first)
        };
        let other = if shared == on_first {
            on_last
        } else {
            on_first
        };
        let output_side = side(find, conductors, shared, other);
        let (line_in, line_out) = if output_side == Some(false) {
            (here, there)
        } else {
            (there, here)
        };
        // Volts along the primary's points rise when its first point is at the slider and the slider goes to the line end.
        let slider_up = if line_end == 1 { 1.0 } else { -1.0 };
        let along_primary = if fed.first_at_slider {
            slider_up
        } else {
            -slider_up
        };
        let relation =
            crate::polarity(wound, primary).sign() * crate::polarity(wound, secondary).sign();
        let towards_output = if *line_out == first { 1.0 } else { -1.0 };
        let last_point = winding.points.len() - 1;
        let fixed = &winding.points[fed.fixed];
        return Some(Stage {
            phase: auto.phase,
            autotransformer: auto.designation.clone(),
            slider: fed.slider.to_owned(),
            fixed: fixed.terminal.clone(),
            fixed_at: match fed.fixed {
                0 => Some(0.0),
                i if i == last_point => Some(1.0),
                _ => fixed.at.as_ref().and_then(quantity::Quantity::value),
            },
            booster: booster.designation.clone(),
            primary,
            secondary,
            output_side,
            sense: along_primary * relation * towards_output,
            line_end: ends_of_auto[line_end].terminal.clone(),
            star_end: ends_of_auto[1 - line_end].terminal.clone(),
            towards_line: line_end == 1,
            line_in: line_in.terminal.clone(),
            line_out: line_out.terminal.clone(),
        });
    }
    None
}

/// Whether the conductor the autotransformer shares with the secondary is on the output side.
fn side(find: &Find, conductors: &Conductors, shared: usize, other: usize) -> Option<bool> {
    let strips: Vec<&Part> = find
        .parts
        .iter()
        .filter(|p| matches!(p.kind, PartKind::Terminals(_)))
        .collect();
    let first = strips.first()?;
    let reach = |from: usize| {
        let reached = over_links(find, conductors, from);
        let on = |p: &Part| {
            reached.iter().any(|&c| {
                conductors
                    .groups
                    .get(c)
                    .is_some_and(|g| g.iter().any(|t| t.part == p.designation))
            })
        };
        (on(first), strips[1..].iter().any(|p| on(p)))
    };
    match (reach(shared), reach(other)) {
        ((true, _), _) => Some(false),
        (_, (true, _)) => Some(true),
        ((_, true), _) => Some(true),
        (_, (_, true)) => Some(false),
        _ => None,
    }
}

/// Conductors reached from one over fuses and switches, itself included.
fn over_links(find: &Find, conductors: &Conductors, from: usize) -> Vec<usize> {
    let mut reached = vec![from];
    let links: Vec<(Option<usize>, Option<usize>)> = find
        .parts
        .iter()
        .filter(|p| matches!(p.kind, PartKind::Fuse { .. } | PartKind::Switch))
        .map(|p| {
            (
                conductors.find(&p.terminal("1")),
                conductors.find(&p.terminal("2")),
            )
        })
        .collect();
    let mut next = 0;
    while let Some(&here) = reached.get(next) {
        for &(a, b) in &links {
            let across = if a == Some(here) {
                b
            } else if b == Some(here) {
                a
            } else {
                None
            };
            if let Some(c) = across.filter(|c| !reached.contains(c)) {
                reached.push(c);
            }
        }
        next += 1;
    }
    reached
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Options, arrangement};

    fn build(key: &str, chosen: &[(&str, &str)]) -> Find {
        let chosen = chosen
            .iter()
            .map(|(k, v)| (k.to_string(), v.to_string()))
            .collect();
        (arrangement(key).unwrap().build)(&Options {
            chosen,
            ..Options::default()
        })
    }

    #[test]
    fn three_phases_are_three_stages() {
        let stages = stages(&build("stabilizer-centre-tap", &[]));
        assert_eq!(stages.len(), 3);
        let second = &stages[1];
        assert_eq!(
            (second.autotransformer.as_str(), second.booster.as_str()),
            ("T2", "T5")
        );
        assert_eq!(
            (
                second.slider.as_str(),
                second.fixed.as_str(),
                second.fixed_at
            ),
            ("4", "2", Some(0.5))
        );
        assert_eq!((second.primary, second.secondary), (0, 1));
        assert_eq!((second.output_side, second.sense), (Some(true), 1.0));
        assert_eq!(
            (
                second.line_end.as_str(),
                second.star_end.as_str(),
                second.towards_line
            ),
            ("1", "3", true)
        );
        assert_eq!(
            (second.line_in.as_str(), second.line_out.as_str()),
            ("2.1", "2.2")
        );
    }

    #[test]
    fn side_and_sense_are_read_off_the_joins() {
        let one = |key: &str, chosen: &[(&str, &str)]| stages(&build(key, chosen)).remove(0);
        let input = one("stabilizer-centre-tap", &[("side", "input")]);
        assert_eq!(
            (input.output_side, input.sense, input.line_in.as_str()),
            (Some(false), 1.0, "2.1")
        );
        assert_eq!(
            one("stabilizer-centre-tap", &[("booster", "reversed")]).sense,
            -1.0
        );
        assert_eq!(
            one("stabilizer-end-fed", &[("fed", "star")]).fixed_at,
            Some(0.0)
        );
        let line = one("stabilizer-end-fed", &[("fed", "line"), ("side", "input")]);
        // Adds most with the slider at the star end: goes down as the slider goes up.
        assert_eq!((line.fixed_at, line.sense), (Some(1.0), -1.0));
    }

    #[test]
    fn a_lone_autotransformer_is_no_stage() {
        assert_eq!(stages(&build("variable-autotransformer", &[])), []);
    }
}
