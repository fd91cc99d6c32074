//! Which way a winding's turns count, from its dot.
//!
//! Turns are counted from a winding's first point to its last. Two windings of a part whose dots stand at unlike ends have
//! EMFs that point against each other along their points. Only this relation has a meaning; the first winding counts as positive.

use gear::{Dot, Wound};

/// Way of a winding's turns against the first winding of its part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Polarity {
    /// Opposed to the first winding along the points.
    pub reversed: bool,
    /// A dot was missing and taken to stand at the first point.
    pub assumed: bool,
}

impl Polarity {
    /// +1, or -1 when reversed.
    pub fn sign(self) -> f64 {
        if self.reversed { -1.0 } else { 1.0 }
    }
}

/// The way of winding number `winding` of a wound part against its first winding. A missing dot counts as the first point.
/// A single winding has nothing to be opposed to: nothing is assumed of it.
pub fn polarity(wound: &Wound, winding: usize) -> Polarity {
    let dot = |i: usize| wound.windings.get(i).map_or(Dot::Unknown, |w| w.dot);
    if winding == 0 {
        return Polarity {
            reversed: false,
            assumed: wound.windings.len() > 1 && dot(0) == Dot::Unknown,
        };
    }
    let at_last = |d: Dot| d == Dot::Last;
    Polarity {
        reversed: at_last(dot(0)) != at_last(dot(winding)),
        assumed: dot(winding) == Dot::Unknown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use gear::Winding;

    fn wound(dots: &[Dot]) -> Wound {
        Wound {
            windings: dots
                .iter()
                .map(|&dot| Winding {
                    dot,
                    ..Winding::default()
                })
                .collect(),
            ..Wound::default()
        }
    }

    #[test]
    fn dots_at_unlike_ends_oppose() {
        assert_eq!(polarity(&wound(&[Dot::First, Dot::Last]), 1).sign(), -1.0);
        assert_eq!(polarity(&wound(&[Dot::Last, Dot::Last]), 1).sign(), 1.0);
        assert_eq!(polarity(&wound(&[Dot::Last, Dot::First]), 1).sign(), -1.0);
        assert_eq!(
            polarity(&wound(&[Dot::Last]), 0),
            Polarity {
                reversed: false,
                assumed: false
            }
        );
    }

    #[test]
    fn a_missing_dot_is_taken_at_the_first_point_and_said() {
        assert_eq!(
            polarity(&wound(&[Dot::First, Dot::Unknown]), 1),
            Polarity {
                reversed: false,
                assumed: true
            }
        );
        assert!(polarity(&wound(&[Dot::Unknown, Dot::First]), 0).assumed);
        assert!(!polarity(&wound(&[Dot::Unknown]), 0).assumed);
    }
}
