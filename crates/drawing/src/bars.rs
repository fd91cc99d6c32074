//! Prior-to-posterior bars: what a parameter could have been before the readings (hollow) and after (solid).
//!
//! Each bar has its own scale, so that every hollow bar has the same width and the solid one shows how much was learned. What the
//! readings did not teach stays hollow and says so. One bar is one small drawing: the words beside it are a table's, which can be
//! read out, wrapped and copied.

use crate::svg::{Anchor, BoxKind, Drawing, Path, Rect, Svg, TextStyle, at};

/// Width of the hollow bar, px.
pub const HOLLOW: f64 = 180.0;
/// Width of the whole drawing: room on both sides for a posterior that lies outside its prior.
pub const WIDTH: f64 = HOLLOW + 2.0 * BESIDE;
const BESIDE: f64 = 24.0;
const HEIGHT: f64 = 24.0;
const BAR: f64 = 16.0;
/// A posterior too narrow to see is still drawn this wide.
const LEAST_SOLID: f64 = 3.0;
const UNTAUGHT: &str = "not touched by these readings";

/// One parameter before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct PriorToPosterior {
    /// What the bar says, in words; read out in place of the picture.
    pub title: String,
    /// Width of the posterior over width of the prior, 0 to 1.
    pub width_ratio: f64,
    /// Where the posterior's middle lies in the prior's 95 % interval: 0 at its low end, 1 at its high end; may lie outside.
    pub centre: f64,
    /// The readings taught (next to) nothing.
    pub prior_only: bool,
}

/// Draws one bar, [`WIDTH`] px wide.
///
/// A posterior that lies beyond the drawing is an open arrow that points to it.
pub fn bar(row: &PriorToPosterior) -> Drawing {
    let mut svg = Svg::new();
    let top = (HEIGHT - BAR) / 2.0;
    let hollow = Rect {
        x0: BESIDE,
        y0: top,
        x1: BESIDE + HOLLOW,
        y1: top + BAR,
    };
    if row.prior_only || !row.centre.is_finite() || !row.width_ratio.is_finite() {
        outline(&mut svg, hollow);
        let middle = at(WIDTH / 2.0, HEIGHT / 2.0 + 4.0);
        svg.text(TextStyle::Predicted, Anchor::Middle, middle, UNTAUGHT);
        return svg.finish(&row.title, WIDTH, HEIGHT);
    }
    let half = (row.width_ratio.clamp(0.0, 1.0) * HOLLOW).max(LEAST_SOLID) / 2.0;
    let middle = BESIDE + row.centre * HOLLOW;
    outline(&mut svg, hollow);
    let filled = Rect {
        x0: (middle - half).clamp(0.0, WIDTH),
        y0: top,
        x1: (middle + half).clamp(0.0, WIDTH),
        y1: top + BAR,
    };
    if !(1.0..=WIDTH - 1.0).contains(&middle) {
        draw_arrow(&mut svg, hollow, middle < 1.0);
    } else {
        svg.rect("s-ink", filled, 0.0);
        svg.record(BoxKind::Symbol, "after", filled);
        svg.path(
            "sym",
            &Path::through(&[at(middle, 0.0), at(middle, HEIGHT)]),
        );
    }
    svg.finish(&row.title, WIDTH, HEIGHT)
}

/// From the edge of the hollow bar outwards: there, further than the drawing reaches.
fn draw_arrow(svg: &mut Svg, hollow: Rect, to_the_left: bool) {
    let (from, tip, back) = if to_the_left {
        (hollow.x0 - 4.0, 2.0, 6.0)
    } else {
        (hollow.x1 + 4.0, WIDTH - 2.0, -6.0)
    };
    let level = HEIGHT / 2.0;
    let arrow = Path::through(&[at(from, level), at(tip, level)])
        .move_to(at(tip + back, level - 5.0))
        .line_to(at(tip, level))
        .line_to(at(tip + back, level + 5.0));
    svg.path("sym", &arrow);
    let taken = Rect::new(at(from, level - 5.0), at(tip, level + 5.0));
    svg.record(BoxKind::Sign, "after, further out", taken);
}

fn outline(svg: &mut Svg, hollow: Rect) {
    let path = Path::through(&[
        at(hollow.x0, hollow.y0),
        at(hollow.x1, hollow.y0),
        at(hollow.x1, hollow.y1),
        at(hollow.x0, hollow.y1),
    ])
    .close();
    svg.path("rule", &path);
    svg.record(BoxKind::Symbol, "before", hollow);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(width_ratio: f64, centre: f64) -> PriorToPosterior {
        PriorToPosterior {
            title: "ratio of T4".to_owned(),
            width_ratio,
            centre,
            prior_only: false,
        }
    }

    fn solid(drawing: &Drawing) -> Rect {
        drawing.boxes.iter().find(|b| b.what == "after").unwrap().at
    }

    #[test]
    fn the_solid_bar_is_as_wide_as_what_is_left_of_the_doubt() {
        let drawn = solid(&bar(&row(0.25, 0.5)));
        assert!((drawn.width() - 45.0).abs() < 1e-9);
        assert!((drawn.x0 + drawn.x1 - WIDTH).abs() < 1e-9);
    }

    #[test]
    fn a_posterior_beyond_the_drawing_is_pointed_to() {
        for centre in [-3.0, -0.2, 0.0, 1.0, 1.1, 4.0] {
            let drawing = bar(&row(0.1, centre));
            let all_inside = |b: &crate::svg::Placed| b.at.x0 >= 0.0 && b.at.x1 <= WIDTH;
            assert!(drawing.boxes.iter().all(all_inside), "centre {centre}");
            let arrow = drawing.boxes.iter().any(|b| b.kind == BoxKind::Sign);
            assert_eq!(arrow, !(-0.13..=1.13).contains(&centre), "centre {centre}");
        }
    }

    #[test]
    fn untaught_stays_hollow_and_says_so_inside_the_bar() {
        let drawing = bar(&PriorToPosterior {
            prior_only: true,
            ..row(0.98, 0.5)
        });
        assert!(!drawing.boxes.iter().any(|b| b.what == "after"));
        let text = drawing
            .boxes
            .iter()
            .find(|b| b.kind == BoxKind::Text)
            .unwrap();
        assert!(
            text.at.x0 > BESIDE + 2.0 && text.at.x1 < BESIDE + HOLLOW - 2.0,
            "{:?}",
            text.at
        );
    }
}
