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
/// Between columns of the table, and round it.
const GAP: f64 = 16.0;
/// Height of a row of the table.
const ROW: f64 = 30.0;
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

/// One row of [`table`]: the parameter in words before and after, and its bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// "ratio of T4".
    pub name: String,
    /// "2.50 ± 0.08".
    pub before: String,
    /// "2.49 ± 0.05"; "prior only" where nothing was learned.
    pub after: String,
    /// The bar.
    pub bar: PriorToPosterior,
}

/// Draws one bar, [`WIDTH`] px wide.
///
/// A posterior that lies beyond the drawing is an open arrow that points to it.
pub fn bar(row: &PriorToPosterior) -> Drawing {
    let mut svg = Svg::new();
    paint(&mut svg, row);
    svg.finish(&row.title, WIDTH, HEIGHT)
}

/// Draws all rows as one picture that stands alone: name, before, bar, after.
pub fn table(title: &str, rows: &[Row]) -> Drawing {
    let widest = |text: fn(&Row) -> &str, style: TextStyle| {
        rows.iter()
            .map(|r| style.width(text(r)))
            .fold(0.0, f64::max)
    };
    let names = widest(|r| &r.name, TextStyle::Plain);
    let befores = widest(|r| &r.before, TextStyle::Predicted);
    let bars = GAP + names + GAP + befores + GAP;
    let afters = bars + WIDTH + GAP;
    let width = afters + widest(|r| &r.after, TextStyle::Plain) + GAP;
    let mut svg = Svg::new();
    for (i, row) in rows.iter().enumerate() {
        let top = GAP + ROW * i as f64;
        svg.from_origin(at(0.0, top));
        let line = HEIGHT / 2.0 + 4.0;
        svg.text(TextStyle::Plain, Anchor::Start, at(GAP, line), &row.name);
        let end = at(bars - GAP, line);
        svg.text(TextStyle::Predicted, Anchor::End, end, &row.before);
        svg.text(
            TextStyle::Plain,
            Anchor::Start,
            at(afters, line),
            &row.after,
        );
        svg.from_origin(at(bars, top));
        paint(&mut svg, &row.bar);
    }
    svg.from_origin(at(0.0, 0.0));
    svg.finish(title, width, 2.0 * GAP + ROW * rows.len() as f64)
}

fn paint(svg: &mut Svg, row: &PriorToPosterior) {
    let top = (HEIGHT - BAR) / 2.0;
    let hollow = Rect {
        x0: BESIDE,
        y0: top,
        x1: BESIDE + HOLLOW,
        y1: top + BAR,
    };
    outline(svg, hollow);
    if row.prior_only || !row.centre.is_finite() || !row.width_ratio.is_finite() {
        let middle = at(WIDTH / 2.0, HEIGHT / 2.0 + 4.0);
        svg.text(TextStyle::Predicted, Anchor::Middle, middle, UNTAUGHT);
        return;
    }
    let half = (row.width_ratio.clamp(0.0, 1.0) * HOLLOW).max(LEAST_SOLID) / 2.0;
    let middle = BESIDE + row.centre * HOLLOW;
    let filled = Rect {
        x0: (middle - half).clamp(0.0, WIDTH),
        y0: top,
        x1: (middle + half).clamp(0.0, WIDTH),
        y1: top + BAR,
    };
    if !(1.0..=WIDTH - 1.0).contains(&middle) {
        draw_arrow(svg, hollow, middle < 1.0);
    } else {
        svg.rect("s-ink", filled, 0.0);
        svg.record(BoxKind::Symbol, "after", filled);
        svg.path(
            "sym",
            &Path::through(&[at(middle, 0.0), at(middle, HEIGHT)]),
        );
    }
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
    fn in_the_table_nothing_stands_over_anything() {
        let rows: Vec<Row> = (0..5)
            .map(|i| Row {
                name: format!("ohms of the secondary of T{i}"),
                before: "4.7 to 51 mΩ".to_owned(),
                after: "15.0 ± 0.6 mΩ".to_owned(),
                bar: row(0.2 * f64::from(i), 0.5),
            })
            .collect();
        let drawn = table("what the readings taught", &rows);
        let texts: Vec<_> = drawn
            .boxes
            .iter()
            .filter(|b| b.kind == BoxKind::Text)
            .collect();
        for (i, a) in texts.iter().enumerate() {
            assert!(a.at.x0 >= 0.0 && a.at.x1 <= drawn.width && a.at.y1 <= drawn.height);
            for b in drawn.boxes.iter().filter(|b| b.what != a.what) {
                assert!(!a.at.overlaps(&b.at), "{} over {}", a.what, b.what);
            }
            assert!(texts[i + 1..].iter().all(|b| !a.at.overlaps(&b.at)));
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
