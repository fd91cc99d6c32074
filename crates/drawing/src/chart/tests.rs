use super::*;

fn line(name: &str, phase: Option<u8>, value: impl Fn(f64) -> f64, read_out: &str) -> Series {
    let slider = sliders();
    Series {
        name: name.to_owned(),
        phase,
        values: slider.iter().map(|x| Some(value(*x))).collect(),
        half_widths: slider
            .iter()
            .map(|x| Some(0.01 * value(*x).abs()))
            .collect(),
        read_out: Some(read_out.to_owned()),
    }
}

fn sliders() -> Vec<f64> {
    (0..=20).map(|k| f64::from(k) / 20.0).collect()
}

/// A chart like the creamery stabilizer's, figures of our own.
fn sample(handle: f64) -> TravelChart {
    TravelChart {
        title: "Output and currents against slider position".to_owned(),
        slider: sliders(),
        handle,
        ends: ("star end".to_owned(), "line end".to_owned()),
        panels: vec![
            Panel {
                what: "output, phase to neutral".to_owned(),
                unit: "V".to_owned(),
                series: (1..=3)
                    .map(|p| {
                        line(
                            &format!("output L{p}"),
                            Some(p),
                            |x| 185.0 + 92.0 * x,
                            "249 V",
                        )
                    })
                    .collect(),
            },
            Panel {
                what: "current".to_owned(),
                unit: "A".to_owned(),
                series: vec![
                    line(
                        "T1 line end to brush",
                        None,
                        |x| 17.0 * x * (1.0 - x),
                        "3.6 A",
                    ),
                    line("T1 brush to tap", None, |x| 13.0 * x * (1.0 - x), "3.4 A"),
                    line("T4 primary", None, |_| 17.3, "17.3 A"),
                    line("T4 secondary", Some(1), |_| 43.3, "43.3 A"),
                ],
            },
        ],
        damage: vec![DamagedTravel {
            from: 0.46,
            to: 0.53,
            words: "track pitted".to_owned(),
        }],
    }
}

fn assert_no_text_over_text(drawing: &Drawing) {
    let texts: Vec<_> = drawing
        .boxes
        .iter()
        .filter(|b| b.kind == BoxKind::Text)
        .collect();
    for (index, one) in texts.iter().enumerate() {
        for other in &texts[index + 1..] {
            assert!(
                !one.at.overlaps(&other.at),
                "“{}” stands over “{}”",
                one.what,
                other.what
            );
        }
        assert!(
            one.at.x0 > -0.5
                && one.at.x1 < drawing.width + 0.5
                && one.at.y0 > -0.5
                && one.at.y1 < drawing.height + 0.5,
            "“{}” leaves the drawing",
            one.what
        );
    }
}

#[test]
fn no_text_stands_over_text_wherever_the_handle_is() {
    for hundredth in 0..=100 {
        for width in [372.0, 848.0] {
            assert_no_text_over_text(&travel_chart(&sample(f64::from(hundredth) / 100.0), width));
        }
    }
}

#[test]
fn lines_on_one_another_share_one_name() {
    let drawing = travel_chart(&sample(0.7), 848.0);
    assert!(
        drawing.svg.contains(">output L1, L2, L3<"),
        "{}",
        drawing.svg
    );
    assert_eq!(drawing.svg.matches("249 V").count(), 1);
}

#[test]
fn a_long_joint_name_goes_on_below_itself() {
    let mut chart = sample(0.7);
    chart.panels[0].series = ["T1 copper", "T4 primary copper", "T4 secondary copper"]
        .map(|name| line(name, None, |_| 0.2, "0.2 W"))
        .to_vec();
    let drawing = travel_chart(&chart, 848.0);
    for name in [
        ">T1 copper,<",
        ">T4 primary copper,<",
        ">T4 secondary copper<",
    ] {
        assert!(drawing.svg.contains(name), "{name}: {}", drawing.svg);
    }
    assert_no_text_over_text(&drawing);
}

#[test]
fn what_a_script_moves_has_names() {
    let drawing = travel_chart(&sample(0.7), 848.0);
    for name in [
        "id=\"travel\"",
        "id=\"travel-handle\"",
        "id=\"travel-number\"",
        "id=\"read-out-0-0\"",
        "id=\"read-out-1-3\"",
        "data-left=",
        "data-panel=\"1\" data-series=\"2\"",
    ] {
        assert!(drawing.svg.contains(name), "{name} is missing");
    }
    let handle = &drawing.handles[0];
    assert_eq!((handle.terminal.as_str(), handle.position), (TRAVEL, 0.7));
    assert!(
        (handle.covers.x0 + 10.0 - (handle.zero.x + 0.7 * (handle.one.x - handle.zero.x))).abs()
            < 1e-9
    );
}

#[test]
fn missing_values_break_the_line_and_are_never_nought() {
    let mut chart = sample(0.2);
    let first = &mut chart.panels[0].series[0];
    first.values[3] = None;
    first.values[4] = Some(f64::NAN);
    chart.panels[1].series.clear();
    let drawing = travel_chart(&chart, 848.0);
    let path = drawing
        .svg
        .lines()
        .find(|l| l.contains("data-panel=\"0\" data-series=\"0\""))
        .unwrap();
    assert_eq!(path.matches('M').count(), 2, "{path}");
    assert!(!drawing.svg.contains("NaN") && !drawing.svg.contains("inf"));
}

#[test]
fn limit_an_empty_chart_is_still_a_drawing() {
    let drawing = travel_chart(&TravelChart::default(), 848.0);
    assert!(drawing.svg.starts_with("<svg") && drawing.svg.ends_with("</svg>\n"));
}

#[test]
fn regress_a_small_chart_looks_as_it_did() {
    let chart = TravelChart {
        slider: vec![0.0, 0.5, 1.0],
        panels: vec![Panel {
            what: "losses".to_owned(),
            unit: "W".to_owned(),
            series: vec![Series {
                name: "copper".to_owned(),
                values: vec![Some(0.0), Some(21.0), None],
                half_widths: vec![Some(1.0), Some(2.0), None],
                read_out: Some("21 W".to_owned()),
                ..Series::default()
            }],
        }],
        damage: vec![DamagedTravel {
            from: 0.25,
            to: 0.29,
            words: "burnt".to_owned(),
        }],
        ..sample(0.5)
    };
    insta::assert_snapshot!(travel_chart(&chart, 400.0).svg);
}
