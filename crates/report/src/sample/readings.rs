//! The sample find's readings: rows of figures, and what is remarked on some.

use judgement::{Kind, ReadingSaid, Verdict};

struct Row(
    u32,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    f64,
);

/// The readings, one of them a slip, one struck, one with a remark.
pub(super) fn readings() -> Vec<ReadingSaid> {
    let rows = [
        Row(
            21,
            "14:05",
            "X1:1 to N",
            "supply",
            "24.14",
            "V",
            "24.16",
            "0.16",
            "−0.1",
            0.01,
        ),
        Row(
            22,
            "14:06",
            "X2:1 to N",
            "output",
            "26.19",
            "V",
            "26.27",
            "0.15",
            "−0.5",
            0.01,
        ),
        Row(
            23,
            "14:08",
            "T1:2 to T1:3",
            "half winding",
            "13.14",
            "V",
            "13.12",
            "0.15",
            "+0.2",
            0.01,
        ),
        Row(
            24,
            "14:09",
            "T4:2.1 to T4:2.2",
            "booster secondary",
            "21.0",
            "V",
            "2.10",
            "0.07",
            "+69",
            0.998,
        ),
        Row(
            25,
            "14:11",
            "T4:1.1 to T4:1.2",
            "booster primary",
            "5.26",
            "V",
            "5.24",
            "0.18",
            "+0.2",
            0.01,
        ),
        Row(
            26,
            "14:12",
            "T1:4 to T1:3",
            "brush to star",
            "18.41",
            "V",
            "18.38",
            "0.13",
            "+0.3",
            0.01,
        ),
        Row(
            27,
            "14:14",
            "T1:1 to T1:4",
            "line end to brush",
            "13.09",
            "V",
            "",
            "",
            "",
            0.0,
        ),
        Row(
            28,
            "14:15",
            "T1:1 to T1:4",
            "line end to brush",
            "7.88",
            "V",
            "7.84",
            "0.18",
            "+0.4",
            0.02,
        ),
        Row(
            29,
            "14:18",
            "into X1:1",
            "no-load current",
            "0.11",
            "A",
            "0.041",
            "0.012",
            "+2.2",
            0.34,
        ),
        Row(30, "14:21", "X1:1 to PE", "", "8.7", "V", "", "", "", 0.0),
    ];
    let mut all: Vec<ReadingSaid> = rows.iter().map(reading).collect();
    all[3].remark = "decimal point?".to_owned();
    all[3].argument = Some(
        "With 21.0\u{a0}V across T4, X2:1 would stand at 45\u{a0}V; reading 22 found 26.19\u{a0}V. And a 6000-count meter on its 60\u{a0}V range shows 21.00, not 21.0. A decimal point?".to_owned(),
    );
    all[3].kinds = kinds(&[
        ("the decimal point slipped", 0.97),
        ("another pair of terminals", 0.02),
        ("as read; the drawing is wrong", 0.01),
    ]);
    all[6].struck = Some("clip sat on the tap".to_owned());
    all[8].remark = "sisters 0.04; floor of P2".to_owned();
    all[8].argument = Some(
        "L2 and L3 take 0.04\u{a0}A. P2 resolves 0.01\u{a0}A, and its floor is 0.05\u{a0}A."
            .to_owned(),
    );
    all[8].kinds = kinds(&[
        ("as read; T1 draws more than its sisters", 0.66),
        ("the meter’s floor", 0.34),
    ]);
    all[9].remark = "not proven dead".to_owned();
    all
}

fn reading(row: &Row) -> ReadingSaid {
    let some = |text: &str| Some(text.to_owned()).filter(|t| !t.is_empty());
    ReadingSaid {
        number: row.0,
        at: row.1.to_owned(),
        setup: 5,
        phase: 1,
        place: row.2.to_owned(),
        what: row.3.to_owned(),
        instrument: "P1".to_owned(),
        read: row.4.to_owned(),
        unit: row.5.to_owned(),
        predicted: some(row.6),
        plus_minus: some(row.7),
        off_by: some(row.8),
        wrong: some(row.6).map(|_| row.9),
        verdict: match row.0 {
            27 => Verdict::Struck,
            30 => Verdict::Floating,
            _ if row.9 > 0.5 => Verdict::Contradicts,
            _ if row.9 > 0.1 => Verdict::Doubtful,
            _ => Verdict::Agrees,
        },
        remark: String::new(),
        argument: None,
        kinds: vec![],
        of_the_drawing: false,
        unnoticed: None,
        struck: None,
    }
}

fn kinds(pairs: &[(&str, f64)]) -> Vec<Kind> {
    pairs
        .iter()
        .map(|(words, probability)| Kind {
            words: (*words).to_owned(),
            probability: *probability,
            slip: !words.contains("drawing") && !words.contains("as read"),
            drawing: false,
        })
        .collect()
}
