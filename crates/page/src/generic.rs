//! Classes of instrument and source an owner may pick before describing the own ones; bounds as such classes usually print them.
//!
//! Figures: common practice for handheld meters of that count and price; an owner who has the manual writes the meter's own into the sheet.

use gear::{Designation, Instrument, KitSource, Measured, Range, Response, Steadiness};
use quantity::{Accuracy, Quantity};

/// One function of a class of meter, in the words of a manual.
struct Function {
    measures: Measured,
    full_scales: &'static [&'static str],
    accuracy: &'static str,
    burden: &'static str,
}

/// A class of meter.
pub(crate) struct MeterClass {
    /// Value in the form.
    pub(crate) key: &'static str,
    /// In words; also the instrument's name in the sheet.
    pub(crate) words: &'static str,
    response: Response,
    counts: u32,
    clamp: bool,
    functions: &'static [Function],
}

/// The classes offered, the likeliest first.
pub(crate) const METER_CLASSES: &[MeterClass] = &[
    MeterClass {
        key: "class:6000",
        words: "6000-count multimeter, true RMS, 0.8 % + 3",
        response: Response::TrueRms,
        counts: 6000,
        clamp: false,
        functions: &[
            Function {
                measures: Measured::AcVoltage,
                full_scales: &["6 V", "60 V", "600 V"],
                accuracy: "±(0.8 % + 3)",
                burden: "10 MΩ",
            },
            Function {
                measures: Measured::DcVoltage,
                full_scales: &["6 V", "60 V", "600 V"],
                accuracy: "±(0.5 % + 2)",
                burden: "10 MΩ",
            },
            Function {
                measures: Measured::AcCurrent,
                full_scales: &["6 A", "10 A"],
                accuracy: "±(1.5 % + 3)",
                burden: "30 mΩ",
            },
            Function {
                measures: Measured::Resistance,
                full_scales: &["600 Ω", "6 kΩ", "60 kΩ", "600 kΩ", "6 MΩ"],
                accuracy: "±(0.9 % + 2)",
                burden: "",
            },
        ],
    },
    MeterClass {
        key: "class:2000",
        words: "2000-count multimeter, average responding, 1.2 % + 10",
        response: Response::Average,
        counts: 2000,
        clamp: false,
        functions: &[
            Function {
                measures: Measured::AcVoltage,
                full_scales: &["2 V", "20 V", "200 V", "600 V"],
                accuracy: "±(1.2 % + 10)",
                burden: "10 MΩ",
            },
            Function {
                measures: Measured::DcVoltage,
                full_scales: &["2 V", "20 V", "200 V", "600 V"],
                accuracy: "±(0.5 % + 3)",
                burden: "10 MΩ",
            },
            Function {
                measures: Measured::AcCurrent,
                full_scales: &["2 A", "10 A"],
                accuracy: "±(2.5 % + 10)",
                burden: "50 mΩ",
            },
            Function {
                measures: Measured::Resistance,
                full_scales: &["200 Ω", "2 kΩ", "20 kΩ", "200 kΩ", "2 MΩ"],
                accuracy: "±(1 % + 5)",
                burden: "",
            },
        ],
    },
    MeterClass {
        key: "class:clamp",
        words: "clamp meter, true RMS, 2 % + 5",
        response: Response::TrueRms,
        counts: 6000,
        clamp: true,
        functions: &[Function {
            measures: Measured::AcCurrent,
            full_scales: &["6 A", "60 A", "600 A"],
            accuracy: "±(2 % + 5)",
            burden: "",
        }],
    },
    MeterClass {
        key: "class:beep",
        words: "continuity tester",
        response: Response::Unknown,
        counts: 0,
        clamp: false,
        functions: &[Function {
            measures: Measured::Continuity,
            full_scales: &[],
            accuracy: "",
            burden: "",
        }],
    },
];

impl MeterClass {
    /// The instrument as a sheet keeps it.
    pub(crate) fn instrument(&self, designation: Designation) -> Instrument {
        Instrument {
            designation,
            class: None,
            leads: None,
            name: Some(self.words.to_owned()),
            response: self.response,
            ranges: self.functions.iter().map(|f| self.range(f)).collect(),
            category: None,
            fuse: None,
        }
    }

    fn range(&self, function: &Function) -> Range {
        Range {
            measures: function.measures,
            full_scales: function
                .full_scales
                .iter()
                .filter_map(|s| Quantity::parse(s).ok())
                .collect(),
            counts: Some(self.counts).filter(|c| *c > 0),
            divisions: None,
            accuracy: Accuracy::parse(function.accuracy).ok(),
            burden: Quantity::parse(function.burden).ok(),
            clamp: self.clamp,
            four_wire: false,
        }
    }
}

/// A class of source.
pub(crate) struct SourceClass {
    /// Value in the form.
    pub(crate) key: &'static str,
    /// In words.
    pub(crate) words: &'static str,
    /// Name in the kit.
    name: &'static str,
    isolated: Option<bool>,
    steadiness: Steadiness,
    direct: bool,
}

/// The classes of source offered.
pub(crate) const SOURCE_CLASSES: &[SourceClass] = &[
    SourceClass {
        key: "class:mains",
        words: "the mains, or a variable autotransformer on it",
        name: "variable autotransformer on the mains",
        isolated: Some(false),
        steadiness: Steadiness::Mains,
        direct: false,
    },
    SourceClass {
        key: "class:isolated",
        words: "an isolating transformer, marked so on its plate",
        name: "isolated supply",
        isolated: Some(true),
        steadiness: Steadiness::Mains,
        direct: false,
    },
    SourceClass {
        key: "class:direct",
        words: "a direct-current supply",
        name: "direct-current supply",
        isolated: None,
        steadiness: Steadiness::Regulated,
        direct: true,
    },
];

impl SourceClass {
    /// The source as the kit keeps it.
    pub(crate) fn source(&self, phases: u8) -> KitSource {
        KitSource {
            name: if phases == 3 {
                format!("{}, three-phase", self.name)
            } else {
                self.name.to_owned()
            },
            volts: None,
            amperes: None,
            phases,
            isolated: self.isolated,
            steadiness: self.steadiness,
            impedance: None,
            direct: self.direct,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_of_every_class_can_be_read() {
        for class in METER_CLASSES {
            for function in class.functions {
                let range = class.range(function);
                assert_eq!(
                    range.full_scales.len(),
                    function.full_scales.len(),
                    "{}",
                    class.words
                );
                assert_eq!(
                    range.accuracy.is_some(),
                    !function.accuracy.is_empty(),
                    "{}",
                    class.words
                );
                assert_eq!(
                    range.burden.is_some(),
                    !function.burden.is_empty(),
                    "{}",
                    class.words
                );
                for scale in &range.full_scales {
                    assert_eq!(
                        Some(scale.unit()),
                        function.measures.unit(),
                        "{}",
                        class.words
                    );
                }
            }
        }
    }
}
