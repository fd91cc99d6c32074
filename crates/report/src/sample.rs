//! A judgement made by hand, figures of our own invention: what the tests of this crate show and measure.

mod readings;

use crate::document::{Drawings, Schematic};
use crate::readings::SetupWords;
use judgement::{
    Behaviour, CandidateSaid, CandidatesSaid, Caution, Contradiction, Danger, Deduction,
    ExpectedSaid, FedSaid, Head, HowItWorks, Judgement, Learned, NewSetup, NextSaid, PlateSaid,
    ProposalSaid, RepeatSaid, Series, TravelPanel, Unlock, WiringSaid,
};

/// What reports are made by here.
pub(crate) const MADE: crate::Made<'_> = crate::Made {
    version: "0.1.0",
    entry: None,
};

/// Everything of the sample find.
pub(crate) fn judgement() -> Judgement {
    Judgement {
        find: Head {
            name: "Stabilizer from the creamery".to_owned(),
            number: Some(12),
            summary: "30 kVA, 400 V ± 20 %".to_owned(),
            trouble: true,
        },
        plate: plate(),
        wiring: wiring(),
        readings: readings::readings(),
        candidates: Some(candidates()),
        repeat_first: Some(RepeatSaid {
            number: 24,
            why: "It is probably a slip.".to_owned(),
        }),
        next: Some(next()),
        tracing: vec![],
        learned: learned(),
        behaviour: Some(behaviour()),
        how_it_works: how(),
        cautions: cautions(),
        unlocks: vec![
            unlock(
                "the no-load current of T2 and T3",
                "whether T1’s core draws more than its sisters",
            ),
            unlock(
                "the resistance of each booster’s secondary",
                "its share of the losses, and the copper’s temperature",
            ),
        ],
    }
}

/// What stands ready beside it.
pub(crate) fn drawings() -> Drawings {
    let mut svg = drawing::svg::Svg::new();
    let at = drawing::svg::at;
    svg.line(
        drawing::svg::LineKind::L1,
        &[at(40.0, 40.0), at(800.0, 40.0)],
        None,
    );
    svg.text(
        drawing::svg::TextStyle::Name,
        drawing::svg::Anchor::Start,
        at(40.0, 70.0),
        "L1",
    );
    Drawings {
        schematics: vec![Schematic {
            title: "One phase, L1".to_owned(),
            setup: "Setup 5: 41.8 V three-phase on X1, sliders ganged at 0.70, no load, N joined"
                .to_owned(),
            svg: svg.finish("Phase L1", 848.0, 100.0).svg,
        }],
        setups: vec![SetupWords {
            number: 5,
            words: "41.8 V three-phase on X1, sliders ganged at 0.70, no load, N joined".to_owned(),
        }],
        read_outs: [
            (0, 0, "249 V"),
            (0, 1, "249 V"),
            (0, 2, "249 V"),
            (1, 0, "43.3 A"),
            (1, 1, "17.3 A"),
            (1, 2, "7.1 A"),
            (2, 0, "143 W"),
        ]
        .map(|(panel, series, words)| (panel, series, words.to_owned()))
        .to_vec(),
    }
}

fn plate() -> PlateSaid {
    let field = |name: &str, typed: &str, meaning: Option<&str>| {
        (
            name.to_owned(),
            typed.to_owned(),
            meaning.map(str::to_owned),
        )
    };
    PlateSaid {
        fields: vec![
            field("rated power", "30 kVA", None),
            field("phases", "3~", None),
            field("frequency", "50 Hz", None),
            field("output voltage", "400 V ±20 %", None),
            field("output current", "4? A", Some("40 to 49 A")),
        ],
        not_understood: vec!["Nr. 4471/b".to_owned()],
        deductions: vec![
            deduction("line current at rated power", "43.3", "A", "30 kVA / (√3 × 400 V)", Some("IEC 60076-1")),
            deduction("phase voltage", "231", "V", "400 V / √3", None),
            deduction("booster voltage, each phase", "46", "V", "20 % of 231 V", None),
            deduction("booster power, each phase", "2.0", "kVA", "46 V × 43.3 A", None),
            deduction("share of the throughput the boosters carry", "20", "%", "correction over rated voltage", None),
            deduction("slider current with boosters 2.5 : 1", "17.3", "A", "43.3 A / 2.5", None),
            deduction("output voltage over the travel", "185 to 277", "V", "231 V ± 20 %", None),
        ],
        contradictions: vec![Contradiction {
            sentence: "50 A on the fuses is 15 % above the 43.3 A that 30 kVA at 400 V gives; rounding of the plate allows 2 %.".to_owned(),
            size: 0.15,
            allowed: 0.02,
        }],
        unlocks: vec![unlock("the second figure of the current", "whether 30 kVA is the input or the output")],
    }
}

fn deduction(what: &str, value: &str, unit: &str, how: &str, source: Option<&str>) -> Deduction {
    Deduction {
        what: what.to_owned(),
        value: value.to_owned(),
        unit: unit.to_owned(),
        low: 0.0,
        high: 0.0,
        how: how.to_owned(),
        source: source.map(str::to_owned),
    }
}

fn unlock(fact: &str, gives: &str) -> Unlock {
    Unlock {
        fact: fact.to_owned(),
        gives: gives.to_owned(),
    }
}

fn wiring() -> WiringSaid {
    let mut joins = Vec::new();
    for phase in 1..=3 {
        let booster = phase + 3;
        for (terminals, state) in [
            (vec![format!("X1:{phase}"), format!("F{phase}:1")], "seen"),
            (
                vec![format!("F{phase}:2"), format!("T{booster}:2.1")],
                "seen",
            ),
            (
                vec![
                    format!("T{booster}:2.2"),
                    format!("T{phase}:1"),
                    format!("X2:{phase}"),
                ],
                "found",
            ),
            (
                vec![format!("T{phase}:4"), format!("T{booster}:1.2")],
                "found",
            ),
            (
                vec![format!("T{phase}:2"), format!("T{booster}:1.1")],
                "assumed",
            ),
        ] {
            joins.push((terminals, state.to_owned()));
        }
    }
    joins.push((
        ["T1:3", "T2:3", "T3:3", "X1:N", "X2:N"]
            .map(str::to_owned)
            .to_vec(),
        "seen".to_owned(),
    ));
    WiringSaid {
        arrangement: Some("Stabilizer with boosters fed from centre tap and slider, autotransformers on the output side.".to_owned()),
        joins,
        faults: vec![],
    }
}

fn learned() -> Vec<Learned> {
    let row = |name: &str,
               unit: &str,
               before: &str,
               after: &str,
               basis: &str,
               width_ratio: f64,
               centre: f64| Learned {
        name: name.to_owned(),
        unit: unit.to_owned(),
        before: before.to_owned(),
        after: after.to_owned(),
        basis: basis.to_owned(),
        width_ratio,
        centre,
        prior_only: width_ratio > 0.95,
    };
    vec![
        row(
            "supply of setup 5, L1",
            "V",
            "24 ± 4",
            "24.15 ± 0.13",
            "the sheet’s feed",
            0.03,
            0.49,
        ),
        row(
            "slider of setup 5",
            "",
            "0.700 ± 0.012",
            "0.700 ± 0.003",
            "where it was noted",
            0.25,
            0.51,
        ),
        row(
            "tap of T1",
            "",
            "0.500 ± 0.008",
            "0.500 ± 0.003",
            "a centre tap",
            0.41,
            0.51,
        ),
        row(
            "brush of T1",
            "Ω",
            "0.04 ± 0.03",
            "0.04 ± 0.03",
            "brushes of that size",
            1.0,
            0.5,
        ),
        row(
            "ratio of T4",
            "",
            "2.50 ± 0.08",
            "2.50 ± 0.05",
            "the plate: 115 V to 46 V",
            0.67,
            0.51,
        ),
        row(
            "no-load current of T1",
            "A",
            "0.05 ± 0.03",
            "0.11 ± 0.02",
            "cores of that size",
            0.6,
            1.4,
        ),
        row(
            "leakage of T4",
            "mH",
            "0.20 ± 0.15",
            "0.20 ± 0.15",
            "boosters of that size",
            0.99,
            0.5,
        ),
    ]
}

fn behaviour() -> Behaviour {
    let slider: Vec<f64> = (0..=50).map(|k| f64::from(k) / 50.0).collect();
    let series = |name: &str, value: &dyn Fn(f64) -> f64, half: f64| Series {
        name: name.to_owned(),
        values: slider.iter().map(|x| Some(value(*x))).collect(),
        half_widths: slider
            .iter()
            .map(|_| (half > 0.0).then_some(half))
            .collect(),
    };
    let output = |x: f64| 185.0 + 92.0 * x;
    Behaviour {
        condition: "400 V three-phase in, 30 kVA at power factor 1 out".to_owned(),
        at: 0.7,
        ends: ("star end".to_owned(), "line end".to_owned()),
        panels: vec![
            TravelPanel {
                what: "output, phase to neutral".to_owned(),
                unit: "V".to_owned(),
                series: vec![
                    series("output L1", &output, 3.0),
                    series("output L2", &output, 3.0),
                    series("output L3", &output, 3.0),
                ],
            },
            TravelPanel {
                what: "current".to_owned(),
                unit: "A".to_owned(),
                series: vec![
                    series("T4 secondary", &|_| 43.3, 0.0),
                    series("T4 primary", &|_| 17.3, 0.0),
                    series("T1 tap to brush", &|x| 34.6 * (x - 0.5).abs(), 1.5),
                ],
            },
            TravelPanel {
                what: "losses of one phase".to_owned(),
                unit: "W".to_owned(),
                series: vec![series(
                    "T1 and T4, copper and core",
                    &|x| 96.0 + 1100.0 * (x - 0.5).powi(2),
                    14.0,
                )],
            },
        ],
        slider: slider.clone(),
        damage: vec![(0.46, 0.53, "track pitted".to_owned())],
        remarks: vec![
            "Below 0.05 the core of T1 is beyond its knee: fundamental only, peaks are higher."
                .to_owned(),
        ],
    }
}

fn how() -> HowItWorks {
    HowItWorks {
        sentences: [
            "Each phase has a variable autotransformer from its output line to the star point, and a booster whose secondary sits in the line.",
            "T1 divides the output: its tap stands at half of it, its slider at 0.70 of it.",
            "Between tap and slider there is therefore 0.20 of the output, and that feeds the primary of T4.",
            "The slider stands 0.20 above the tap, so T4’s primary gets 46\u{a0}V and its secondary adds 18\u{a0}V.",
            "With the slider on the tap the booster adds nothing; below the tap it takes away.",
            "The booster carries the whole line current, 43.3\u{a0}A, but only 20\u{a0}% of the volts, so it is a fifth of the size a full transformer would have.",
        ]
        .map(str::to_owned)
        .to_vec(),
    }
}

fn cautions() -> Vec<Caution> {
    let caution = |section: &'static str, danger: Danger, words: &str| Caution {
        section,
        danger,
        words: words.to_owned(),
    };
    vec![
        caution(
            "Handling",
            Danger::Heavy,
            "A fridge-sized cabinet of copper and iron: two people and a trolley, and it tips.",
        ),
        caution(
            "Wiring",
            Danger::OpenPrimary,
            "The loop that feeds T4’s primary holds no fuse, switch or plug: opened in a loaded line it makes dangerous voltages.",
        ),
        caution(
            "Readings",
            Danger::NotIsolated,
            "T1 to T3 do not isolate. With mains on X1 every terminal is at mains, at every slider position. Feed it through an isolated source, and follow local codes.",
        ),
        caution(
            "Readings",
            Danger::Neutral,
            "If N parts, L2 and L3 can rise towards 400\u{a0}V. Join N first, part it last.",
        ),
        caution(
            "Behaviour",
            Danger::Mains,
            "The figures below are reckoned, not tried. Switching this on at full voltage is work for a person licensed where you live.",
        ),
    ]
}

#[test]
#[ignore = "writes the sample report into the folder WINDFALL_LOOK, for looking at"]
fn write_the_sample_for_looking_at() {
    let folder = std::path::PathBuf::from(std::env::var("WINDFALL_LOOK").unwrap());
    std::fs::write(
        folder.join("sample.html"),
        crate::document(&judgement(), &drawings(), MADE),
    )
    .unwrap();
    std::fs::write(folder.join("sample.txt"), crate::text::all(&judgement())).unwrap();
}

/// A ranking as it may be.
fn candidates() -> CandidatesSaid {
    CandidatesSaid {
        summary: "The readings go with the wiring as recorded. 139 ways one slip away from what was recorded were looked at too.".to_owned(),
        considered: 140,
        decided: true,
        as_recorded: true,
        ranked: vec![
            CandidateSaid {
                words: "the wiring is as recorded".to_owned(),
                probability: 0.97,
                as_recorded: true,
                look_at: None,
                against: None,
            },
            CandidateSaid {
                words: "T5's secondary stands reversed".to_owned(),
                probability: 0.03,
                as_recorded: false,
                look_at: Some("test aiding against opposing".to_owned()),
                against: Some("reading 29, X2:2 to X2:N: 26.35 V read, 22.1 ± 0.5 V expected".to_owned()),
            },
        ],
    }
}

/// A next reading as it may be.
fn next() -> NextSaid {
    NextSaid {
        question: "which wiring".to_owned(),
        summary: "This reading tells most about which wiring.".to_owned(),
        proposals: vec![ProposalSaid {
            setup: 6,
            new_setup: true,
            setup_words: "19.5 V on T5:1.1 and T5:1.2, no load".to_owned(),
            set_up: Some(NewSetup {
                fed: Some(FedSaid {
                    to: vec!["T5:1.1".to_owned(), "T5:1.2".to_owned()],
                    neutral: None,
                    volts: "19.5 V".to_owned(),
                    source: "bench set".to_owned(),
                }),
                ..NewSetup::default()
            }),
            place: "T5:2.1 to T5:2.2".to_owned(),
            terminals: vec!["T5:2.1".to_owned(), "T5:2.2".to_owned()],
            measured: "AC voltage".to_owned(),
            instrument: "P1".to_owned(),
            class: "low",
            class_why: "Low: at most 24.4 V AC between T5:1.1 and T5:2.1, limit 25 V.".to_owned(),
            why: "Tells about 80 % of what is open about the wiring: the candidates expect 7.8 V, 0 V.".to_owned(),
            information: 0.4,
            expected: vec![ExpectedSaid {
                words: "the wiring is as recorded".to_owned(),
                probability: 0.97,
                value: "7.8 ± 0.2 V".to_owned(),
            }],
            cautions: vec![Caution {
                section: "Readings",
                danger: Danger::Mains,
                words: "Low, fed from bench set and nothing else: clip everything on while dead.".to_owned(),
            }],
        }],
    }
}
