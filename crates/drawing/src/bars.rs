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
const BESIDE: f64 = 16.0;
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
/// A posterior that reaches outside its prior is cut at the edge of the drawing and ends there in an open arrow.
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
    let solid = (row.width_ratio.clamp(0.0, 1.0) * HOLLOW).max(LEAST_SOLID);
    let middle = BESIDE + row.centre * HOLLOW;
    let shown = middle.clamp(2.0, WIDTH - 2.0);
    let filled = Rect {
        x0: (middle - solid / 2.0).clamp(2.0, WIDTH - 2.0 - LEAST_SOLID),
        y0: top,
        x1: (middle + solid / 2.0).clamp(2.0 + LEAST_SOLID, WIDTH - 2.0),
        y1: top + BAR,
    };
    outline(&mut svg, hollow);
    svg.rect("s-ink", filled, 0.0);
    svg.record(BoxKind::Symbol, "after", filled);
    svg.path("sym", &Path::through(&[at(shown, 0.0), at(shown, HEIGHT)]));
    if (shown - middle).abs() > 1.0 {
        let outwards = if middle < shown { -1.0 } else { 1.0 };
        let tip = if outwards < 0.0 { 1.0 } else { WIDTH - 1.0 };
        let arrow = [
            at(tip - outwards * 6.0, 2.0),
            at(tip, HEIGHT / 2.0),
            at(tip - outwards * 6.0, HEIGHT - 2.0),
        ];
        svg.path("sym", &Path::through(&arrow));
    }
    svg.finish(&row.title, WIDTH, HEIGHT)
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
    fn a_posterior_outside_stays_in_the_drawing_and_points_out() {
        for centre in [-3.0, 0.0, 1.0, 4.0] {
            let drawing = bar(&row(0.1, centre));
            let drawn = solid(&drawing);
            assert!(drawn.x0 >= 0.0 && drawn.x1 <= WIDTH && drawn.width() >= LEAST_SOLID - 1e-9);
            let arrow = drawing.svg.matches("<path").count() == 3;
            assert_eq!(arrow, !(0.0..=1.0).contains(&centre), "centre {centre}");
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
