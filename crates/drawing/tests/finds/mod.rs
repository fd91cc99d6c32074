//! Finds made by hand for the tests and pictures of this crate. Invented.

#![allow(dead_code, clippy::unwrap_used)]

use drawing::{Annotation, Mark};
use gear::{
    Damage, Designation, Dot, Feed, Find, Gang, Join, JoinState, Part, PartKind, Place, Point,
    Setup, Slider, SliderSetting, TerminalRef, Travel, Winding, Wound,
};
use quantity::Quantity;

pub(crate) fn t(text: &str) -> TerminalRef {
    TerminalRef::parse(text).unwrap()
}

pub(crate) fn q(text: &str) -> Quantity {
    Quantity::parse(text).unwrap()
}

pub(crate) fn d(text: &str) -> Designation {
    Designation::parse(text).unwrap()
}

pub(crate) fn winding(
    name: &str,
    points: &[&str],
    at: &[&str],
    dot: Dot,
    slider: Option<&str>,
    volts: Option<&str>,
) -> Winding {
    Winding {
        name: name.into(),
        points: points
            .iter()
            .enumerate()
            .map(|(i, p)| Point {
                terminal: (*p).into(),
                at: at.get(i).filter(|a| !a.is_empty()).map(|a| q(a)),
            })
            .collect(),
        sliders: slider
            .iter()
            .map(|s| Slider {
                terminal: (*s).into(),
                brush: None,
            })
            .collect(),
        dot,
        volts: volts.map(q),
        ..Winding::default()
    }
}

pub(crate) fn part(designation: &str, phase: Option<u8>, kind: PartKind) -> Part {
    Part {
        designation: d(designation),
        name: None,
        phase,
        kind,
    }
}

pub(crate) fn wound(windings: Vec<Winding>) -> Wound {
    Wound {
        windings,
        ..Wound::default()
    }
}

pub(crate) fn strip(designation: &str, marks: &[&str]) -> Part {
    part(
        designation,
        None,
        PartKind::Terminals(marks.iter().map(|m| (*m).to_owned()).collect()),
    )
}

pub(crate) fn join(terminals: &[&str]) -> Join {
    Join {
        terminals: terminals.iter().map(|x| t(x)).collect(),
        state: JoinState::Seen,
        note: None,
    }
}

pub(crate) fn autotransformer() -> PartKind {
    PartKind::VariableAutotransformer(wound(vec![winding(
        "winding",
        &["3", "2", "1"],
        &["", "0.50", ""],
        Dot::Last,
        Some("4"),
        Some("230 V"),
    )]))
}

pub(crate) fn booster() -> PartKind {
    PartKind::Transformer(wound(vec![
        winding(
            "primary",
            &["1.2", "1.1"],
            &[],
            Dot::First,
            None,
            Some("115 V"),
        ),
        winding(
            "secondary",
            &["2.2", "2.1"],
            &[],
            Dot::First,
            None,
            Some("46 V"),
        ),
    ]))
}

/// How the creamery's parts may be joined.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Way {
    Output,
    Input,
    Reversed,
    EndFed,
}

pub(crate) fn stabilizer(way: Way, phases: u8) -> Find {
    let mut find = Find {
        name: "Stabilizer from the creamery".into(),
        ..Find::default()
    };
    let mut star: Vec<String> = vec!["X1:N".into(), "X2:N".into()];
    for k in 1..=phases {
        let phase = (phases > 1).then_some(k);
        find.parts
            .push(part(&format!("T{k}"), phase, autotransformer()));
        find.parts
            .push(part(&format!("T{}", k + phases), phase, booster()));
        find.parts.push(part(
            &format!("F{k}"),
            None,
            PartKind::Fuse {
                current: Some(q("50 A")),
            },
        ));
        let (a, b) = (format!("T{k}"), format!("T{}", k + phases));
        find.joins
            .push(join(&[&format!("X1:{k}"), &format!("F{k}:1")]));
        if way == Way::Input {
            find.joins.push(join(&[
                &format!("F{k}:2"),
                &format!("{a}:1"),
                &format!("{b}:2.1"),
            ]));
            find.joins
                .push(join(&[&format!("{b}:2.2"), &format!("X2:{k}")]));
        } else {
            find.joins
                .push(join(&[&format!("F{k}:2"), &format!("{b}:2.1")]));
            find.joins.push(join(&[
                &format!("{b}:2.2"),
                &format!("{a}:1"),
                &format!("X2:{k}"),
            ]));
        }
        let (p, r) = if way == Way::Reversed {
            ("1.1", "1.2")
        } else {
            ("1.2", "1.1")
        };
        find.joins
            .push(join(&[&format!("{a}:4"), &format!("{b}:{p}")]));
        if way == Way::EndFed {
            star.push(format!("{b}:{r}"));
        } else {
            find.joins
                .push(join(&[&format!("{a}:2"), &format!("{b}:{r}")]));
        }
        star.push(format!("{a}:3"));
    }
    let marks: Vec<&str> = ["1", "2", "3"][..usize::from(phases)]
        .iter()
        .copied()
        .chain(["N", "PE"])
        .collect();
    find.parts.push(strip("X1", &marks));
    find.parts.push(strip("X2", &marks[..marks.len() - 1]));
    let names: Vec<&str> = star.iter().map(String::as_str).collect();
    find.joins.push(join(&names));
    find.gangs.push(Gang {
        name: "chain".into(),
        parts: (1..=phases).map(|k| d(&format!("T{k}"))).collect(),
    });
    find.damage.push(Damage {
        part: d("T1"),
        winding: None,
        what: "track pitted".into(),
        travel: Some(Travel {
            from: q("0.46"),
            to: q("0.53"),
        }),
        at: None,
    });
    find
}

pub(crate) fn setup(slider: &str, to: &[&str]) -> Setup {
    Setup {
        number: 5,
        at: None,
        what: None,
        feeds: vec![Feed {
            source: None,
            to: to.iter().map(|x| t(x)).collect(),
            neutral: None,
            earthed: false,
            volts: Some(q("41.8 V")),
            frequency: None,
            angle: None,
            lost: vec![],
        }],
        sliders: vec![
            SliderSetting {
                slider: "chain".into(),
                at: q(slider),
            },
            SliderSetting {
                slider: "T1".into(),
                at: q(slider),
            },
        ],
        switches: vec![],
        joined: vec![],
        lifted: vec![],
        loads: vec![],
        temperature: None,
    }
}

pub(crate) fn note(
    number: u32,
    place: Place,
    read: &str,
    verdict: Mark,
    predicted: &str,
) -> Annotation {
    Annotation {
        number,
        place,
        read: read.replace(' ', "\u{a0}"),
        verdict,
        predicted: (!predicted.is_empty()).then(|| predicted.to_owned()),
        queried: verdict == Mark::Contradicts,
        remark: None,
    }
}

pub(crate) fn between(a: &str, b: &str) -> Place {
    Place::Between(t(a), t(b))
}

/// The readings of the creamery find on its first phase.
pub(crate) fn creamery_notes() -> Vec<Annotation> {
    let mut notes = vec![
        note(
            21,
            between("X1:1", "X1:N"),
            "24.14 V",
            Mark::Agrees,
            "24.16 ± 0.16",
        ),
        note(
            22,
            between("X2:1", "X2:N"),
            "26.19 V",
            Mark::Agrees,
            "26.27 ± 0.15",
        ),
        note(
            23,
            between("T1:2", "T1:3"),
            "13.14 V",
            Mark::Agrees,
            "13.12 ± 0.15",
        ),
        note(
            24,
            between("T4:2.1", "T4:2.2"),
            "21.0 V",
            Mark::Contradicts,
            "2.10 ± 0.07",
        ),
        note(
            25,
            between("T4:1.1", "T4:1.2"),
            "5.26 V",
            Mark::Agrees,
            "5.24 ± 0.18",
        ),
        note(
            26,
            between("T1:4", "T1:3"),
            "18.41 V",
            Mark::Agrees,
            "18.38 ± 0.13",
        ),
        note(27, between("T1:1", "T1:4"), "13.09 V", Mark::Struck, ""),
        note(
            28,
            between("T1:1", "T1:4"),
            "7.88 V",
            Mark::Agrees,
            "7.84 ± 0.18",
        ),
        note(
            29,
            Place::Into(t("X1:1")),
            "0.11 A",
            Mark::Doubtful,
            "0.041 ± 0.012",
        ),
        note(30, between("X1:1", "X1:PE"), "8.7 V", Mark::Floating, ""),
    ];
    notes[9].remark = Some("floating: this number proves nothing. Not proven dead; use a low-impedance two-pole tester.".into());
    notes
}

pub(crate) fn transformer() -> Find {
    let mut find = Find {
        name: "Workshop transformer".into(),
        ..Find::default()
    };
    let mut w = wound(vec![
        winding(
            "primary",
            &["1.1", "1.2"],
            &[],
            Dot::First,
            None,
            Some("230 V"),
        ),
        winding(
            "secondary",
            &["2.1", "2.2"],
            &[],
            Dot::First,
            None,
            Some("24 V"),
        ),
    ]);
    w.power = Some(q("500 VA"));
    find.parts.push(part("T1", None, PartKind::Transformer(w)));
    find
}

pub(crate) fn transformer_on_strips() -> Find {
    let mut find = transformer();
    find.parts.push(part(
        "F1",
        None,
        PartKind::Fuse {
            current: Some(q("4 A")),
        },
    ));
    find.parts.push(strip("X1", &["L", "N", "PE"]));
    find.parts.push(strip("X2", &["1", "2"]));
    find.joins = vec![
        join(&["X1:L", "F1:1"]),
        join(&["F1:2", "T1:1.1"]),
        join(&["X1:N", "T1:1.2"]),
        join(&["T1:2.1", "X2:1"]),
        join(&["T1:2.2", "X2:2"]),
    ];
    find
}

pub(crate) fn variable(on_strips: bool) -> Find {
    let mut find = Find {
        name: "Bench autotransformer".into(),
        ..Find::default()
    };
    find.parts.push(part(
        "T1",
        None,
        PartKind::VariableAutotransformer(wound(vec![winding(
            "winding",
            &["3", "2", "1"],
            &["", "0.87", ""],
            Dot::First,
            Some("4"),
            Some("260 V"),
        )])),
    ));
    if on_strips {
        find.parts.push(strip("X1", &["L", "N"]));
        find.parts.push(strip("X2", &["1", "N"]));
        find.joins = vec![
            join(&["X1:L", "T1:2"]),
            join(&["X1:N", "T1:3", "X2:N"]),
            join(&["T1:4", "X2:1"]),
        ];
    }
    find
}

pub(crate) fn unmarked_crate() -> Find {
    let mut find = Find {
        name: "Crate of unmarked windings".into(),
        ..Find::default()
    };
    find.parts.push(part(
        "T1",
        None,
        PartKind::Transformer(wound(vec![
            winding("winding 1", &["A", "B", "C"], &[], Dot::Unknown, None, None),
            winding("winding 2", &["D", "E"], &[], Dot::Unknown, None, None),
            winding("winding 3", &["F", "G"], &[], Dot::Unknown, None, None),
        ])),
    ));
    find.parts.push(part(
        "L1",
        None,
        PartKind::Choke(wound(vec![winding(
            "winding",
            &["1", "2"],
            &[],
            Dot::Unknown,
            None,
            None,
        )])),
    ));
    find.joins.push(join(&["T1:G", "L1:1"]));
    find
}

/// Every named arrangement with every choice: name, find, number of phases.
pub(crate) fn all_arrangements() -> Vec<(String, Find, u8)> {
    let mut all = Vec::new();
    for arrangement in wiring::arrangements() {
        let mut chosen: Vec<Vec<(String, String)>> = vec![vec![]];
        for choice in arrangement.choices {
            chosen = chosen
                .iter()
                .flat_map(|so_far| {
                    choice.values.iter().map(move |(value, _)| {
                        let mut next = so_far.clone();
                        next.push((choice.key.to_owned(), (*value).to_owned()));
                        next
                    })
                })
                .collect();
        }
        for chosen in chosen {
            let phases = chosen
                .iter()
                .find(|(k, _)| k == "phases")
                .and_then(|(_, v)| v.parse().ok())
                .unwrap_or(1);
            let name = chosen
                .iter()
                .fold(arrangement.key.to_owned(), |n, (_, v)| format!("{n}-{v}"));
            let options = wiring::Options {
                name: "Find".into(),
                plate: None,
                chosen,
            };
            all.push((name, (arrangement.build)(&options), phases));
        }
    }
    all
}
