//! Classes of instrument an owner may name instead of a manual: usual ranges, bounds and burden.
//!
//! Figures: common practice for meters of that kind, count and price; an owner who has the manual writes the meter's own beside the class.
//! Measurement category and fuse have no usual value: they are printed on the meter itself, or are not known.

use super::{Range, Response};
use crate::Measured;
use quantity::{Accuracy, Quantity};

/// A class of instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum InstrumentClass {
    /// A plain handheld multimeter, 2000 counts, average-responding.
    PlainHandheld,
    /// A better handheld multimeter, 6000 counts, true RMS.
    Handheld,
    /// A clamp for AC amperes, average-responding.
    Clamp,
    /// A clamp for AC amperes, true RMS.
    ClampTrueRms,
    /// A needle on a dial of class 1.
    AnalogueClass1,
    /// A needle on a dial of class 1.5.
    AnalogueClass1And5,
    /// A needle on a dial of class 2.5.
    AnalogueClass2And5,
    /// A power meter: volts, amperes and watts in one.
    PowerMeter,
    /// An insulation tester of 500 V.
    InsulationTester500,
    /// An insulation tester of 1000 V.
    InsulationTester1000,
    /// A milliohm meter with four leads.
    MilliohmMeter,
    /// A two-pole voltage tester of low impedance.
    TwoPoleTester,
    /// A continuity tester that beeps.
    ContinuityTester,
}

/// What a class usually says of one thing measured.
struct Usual {
    measures: Measured,
    full_scales: &'static [&'static str],
    counts: u32,
    accuracy: &'static str,
    burden: &'static str,
}

/// What a class is.
struct Facts {
    word: &'static str,
    response: Response,
    clamp: bool,
    usual: &'static [Usual],
}

const fn usual(
    measures: Measured,
    full_scales: &'static [&'static str],
    counts: u32,
    accuracy: &'static str,
    burden: &'static str,
) -> Usual {
    Usual {
        measures,
        full_scales,
        counts,
        accuracy,
        burden,
    }
}

/// What a needle measures, within its class. It has the scale that is drawn on it, so none is usual.
const fn dial(class: &'static str) -> [Usual; 5] {
    [
        usual(Measured::AcVoltage, &[], 0, class, ""),
        usual(Measured::DcVoltage, &[], 0, class, ""),
        usual(Measured::AcCurrent, &[], 0, class, ""),
        usual(Measured::DcCurrent, &[], 0, class, ""),
        usual(Measured::Power, &[], 0, class, ""),
    ]
}

impl InstrumentClass {
    /// Every class, the likeliest first.
    pub const ALL: [Self; 13] = [
        Self::Handheld,
        Self::PlainHandheld,
        Self::ClampTrueRms,
        Self::Clamp,
        Self::PowerMeter,
        Self::MilliohmMeter,
        Self::InsulationTester500,
        Self::InsulationTester1000,
        Self::AnalogueClass1,
        Self::AnalogueClass1And5,
        Self::AnalogueClass2And5,
        Self::TwoPoleTester,
        Self::ContinuityTester,
    ];

    /// The words for it; also its value in a sheet.
    pub fn word(self) -> &'static str {
        self.facts().word
    }

    /// How it makes an AC figure.
    pub fn response(self) -> Response {
        self.facts().response
    }

    /// Everything it measures.
    pub fn ranges(self) -> Vec<Range> {
        let facts = self.facts();
        facts
            .usual
            .iter()
            .map(|usual| self.range_of(usual))
            .collect()
    }

    /// How it measures this, if it does.
    pub fn range(self, measured: Measured) -> Option<Range> {
        let facts = self.facts();
        let usual = facts
            .usual
            .iter()
            .find(|usual| usual.measures == measured)?;
        Some(self.range_of(usual))
    }

    fn range_of(self, usual: &Usual) -> Range {
        let scales = usual.full_scales.iter();
        Range {
            full_scales: scales.filter_map(|s| Quantity::parse(s).ok()).collect(),
            counts: Some(usual.counts).filter(|counts| *counts > 0),
            accuracy: Accuracy::parse(usual.accuracy).ok(),
            burden: Quantity::parse(usual.burden).ok(),
            clamp: self.facts().clamp && usual.measures == Measured::AcCurrent,
            four_wire: self == Self::MilliohmMeter && usual.measures == Measured::Resistance,
            ..Range::new(usual.measures)
        }
    }

    fn facts(self) -> &'static Facts {
        match self {
            Self::PlainHandheld => &PLAIN_HANDHELD,
            Self::Handheld => &HANDHELD,
            Self::Clamp => &CLAMP,
            Self::ClampTrueRms => &CLAMP_TRUE_RMS,
            Self::AnalogueClass1 => &ANALOGUE_1,
            Self::AnalogueClass1And5 => &ANALOGUE_1_5,
            Self::AnalogueClass2And5 => &ANALOGUE_2_5,
            Self::PowerMeter => &POWER_METER,
            Self::InsulationTester500 => &INSULATION_500,
            Self::InsulationTester1000 => &INSULATION_1000,
            Self::MilliohmMeter => &MILLIOHM,
            Self::TwoPoleTester => &TWO_POLE,
            Self::ContinuityTester => &CONTINUITY,
        }
    }
}

const OHMS_6: &[&str] = &["600 Ω", "6 kΩ", "60 kΩ", "600 kΩ", "6 MΩ", "60 MΩ"];
const OHMS_2: &[&str] = &["200 Ω", "2 kΩ", "20 kΩ", "200 kΩ", "2 MΩ", "20 MΩ"];
const VOLTS_6: &[&str] = &["6 V", "60 V", "600 V"];
const VOLTS_2: &[&str] = &["2 V", "20 V", "200 V", "600 V"];

static HANDHELD: Facts = Facts {
    word: "handheld, 6000 counts, true RMS",
    response: Response::TrueRms,
    clamp: false,
    usual: &[
        usual(Measured::AcVoltage, VOLTS_6, 6000, "±(0.8 % + 3)", "10 MΩ"),
        usual(Measured::DcVoltage, VOLTS_6, 6000, "±(0.5 % + 2)", "10 MΩ"),
        usual(
            Measured::AcCurrent,
            &["6 A", "10 A"],
            6000,
            "±(1.5 % + 3)",
            "30 mΩ",
        ),
        usual(
            Measured::DcCurrent,
            &["6 A", "10 A"],
            6000,
            "±(1 % + 3)",
            "30 mΩ",
        ),
        usual(Measured::Resistance, OHMS_6, 6000, "±(0.9 % + 2)", ""),
        usual(Measured::Continuity, &[], 0, "", ""),
        usual(
            Measured::Frequency,
            &["60 Hz", "600 Hz"],
            6000,
            "±(0.1 % + 2)",
            "",
        ),
    ],
};

static PLAIN_HANDHELD: Facts = Facts {
    word: "plain handheld, 2000 counts",
    response: Response::Average,
    clamp: false,
    usual: &[
        usual(Measured::AcVoltage, VOLTS_2, 2000, "±(1.2 % + 10)", "10 MΩ"),
        usual(Measured::DcVoltage, VOLTS_2, 2000, "±(0.5 % + 3)", "10 MΩ"),
        usual(
            Measured::AcCurrent,
            &["2 A", "10 A"],
            2000,
            "±(2.5 % + 10)",
            "50 mΩ",
        ),
        usual(
            Measured::DcCurrent,
            &["2 A", "10 A"],
            2000,
            "±(2 % + 5)",
            "50 mΩ",
        ),
        usual(Measured::Resistance, OHMS_2, 2000, "±(1 % + 5)", ""),
        usual(Measured::Continuity, &[], 0, "", ""),
    ],
};

static CLAMP: Facts = Facts {
    word: "clamp",
    response: Response::Average,
    clamp: true,
    usual: &[usual(
        Measured::AcCurrent,
        &["60 A", "600 A"],
        6000,
        "±(2 % + 5)",
        "",
    )],
};

static CLAMP_TRUE_RMS: Facts = Facts {
    word: "clamp, true RMS",
    response: Response::TrueRms,
    clamp: true,
    usual: &[usual(
        Measured::AcCurrent,
        &["6 A", "60 A", "600 A"],
        6000,
        "±(2 % + 5)",
        "",
    )],
};

static DIAL_1: [Usual; 5] = dial("class 1");
static DIAL_1_5: [Usual; 5] = dial("class 1.5");
static DIAL_2_5: [Usual; 5] = dial("class 2.5");

const fn analogue(word: &'static str, usual: &'static [Usual]) -> Facts {
    Facts {
        word,
        response: Response::Unknown,
        clamp: false,
        usual,
    }
}

static ANALOGUE_1: Facts = analogue("analogue class 1", &DIAL_1);
static ANALOGUE_1_5: Facts = analogue("analogue class 1.5", &DIAL_1_5);
static ANALOGUE_2_5: Facts = analogue("analogue class 2.5", &DIAL_2_5);

static POWER_METER: Facts = Facts {
    word: "power meter",
    response: Response::TrueRms,
    clamp: false,
    usual: &[
        usual(
            Measured::AcVoltage,
            &["300 V"],
            3000,
            "±(0.5 % + 2)",
            "2 MΩ",
        ),
        usual(
            Measured::AcCurrent,
            &["2 A", "20 A"],
            20000,
            "±(1 % + 3)",
            "10 mΩ",
        ),
        usual(Measured::Power, &["200 W", "4 kW"], 20000, "±(1 % + 3)", ""),
        usual(Measured::Frequency, &["60 Hz"], 6000, "±(0.1 % + 2)", ""),
    ],
};

static INSULATION_500: Facts = Facts {
    word: "insulation tester 500 V",
    response: Response::Unknown,
    clamp: false,
    usual: &[usual(
        Measured::Insulation,
        &["2 MΩ", "20 MΩ", "200 MΩ", "2 GΩ"],
        2000,
        "±(3 % + 5)",
        "",
    )],
};

static INSULATION_1000: Facts = Facts {
    word: "insulation tester 1000 V",
    response: Response::Unknown,
    clamp: false,
    usual: &[usual(
        Measured::Insulation,
        &["2 MΩ", "20 MΩ", "200 MΩ", "2 GΩ", "20 GΩ"],
        2000,
        "±(3 % + 5)",
        "",
    )],
};

static MILLIOHM: Facts = Facts {
    word: "milliohm meter four-wire",
    response: Response::Unknown,
    clamp: false,
    usual: &[usual(
        Measured::Resistance,
        &["200 mΩ", "2 Ω", "20 Ω", "200 Ω"],
        2000,
        "±(0.5 % + 3)",
        "",
    )],
};

static TWO_POLE: Facts = Facts {
    word: "two-pole voltage tester",
    response: Response::Unknown,
    clamp: false,
    usual: &[
        usual(Measured::AcVoltage, &["690 V"], 690, "±(3 % + 5)", "200 kΩ"),
        usual(Measured::DcVoltage, &["690 V"], 690, "±(3 % + 5)", "200 kΩ"),
        usual(Measured::Continuity, &[], 0, "", ""),
    ],
};

static CONTINUITY: Facts = Facts {
    word: "continuity tester",
    response: Response::Unknown,
    clamp: false,
    usual: &[usual(Measured::Continuity, &[], 0, "", "")],
};
