//! Classes of source an owner may pick before describing the own ones. Classes of meter are [`gear::InstrumentClass`].

use gear::{KitSource, Steadiness};

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
