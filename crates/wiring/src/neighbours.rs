//! The wirings and setups a find may really have, one step away from what was recorded.
//!
//! What stands on the sheet may be wrong: a winding reversed, a lead on the next terminal, a fuse open that was called whole, a slider
//! elsewhere than noted. Each such slip makes a whole find of its own, a [`Variant`], with its prior weight; what the readings say of
//! them is weighed above. `leads` and `setups` make the slips, `named` the other arrangements the same parts are usually wired in,
//! `unknown` the polarities nobody knows. Nothing here reckons a volt.

mod leads;
mod named;
mod setups;
mod unknown;

use crate::{Conductors, polarity};
use gear::{Find, Setup};
use std::collections::BTreeSet;

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

/// Prior weight of all one-slip wirings together against the wiring as recorded, where every join is assumed. Common practice: about
/// one drawing in twenty from the first look holds such a slip.
const ONE_SLIP: f64 = 0.05;
/// The same for each setup with readings: what was noted of it is fresher in mind.
const SETUP_SLIP: f64 = 0.02;
/// The same for all other named arrangements together; joins seen by the owner speak against them.
const OTHER_ARRANGEMENT: f64 = 0.2;

/// A variant before its weight is shared out: the find, words, remedy, and weight among its like.
struct Slip {
    find: Find,
    what: String,
    remedy: String,
    share: f64,
}

/// Everything the find may really be; the first is as recorded. Wirings that are the same in every setup stand once.
pub fn variants(find: &Find) -> Vec<Variant> {
    let mut kept = Kept::new(find);
    kept.take(VariantKind::Wiring, 1.0, false, unknown::polarities(find));
    kept.take(
        VariantKind::Wiring,
        OTHER_ARRANGEMENT,
        true,
        named::arrangements(find),
    );
    kept.take(VariantKind::Wiring, ONE_SLIP, true, leads::slips(find));
    let read = |setup: &&Setup| find.readings.iter().any(|r| r.setup == setup.number);
    for setup in find.setups.iter().filter(read) {
        kept.take(
            VariantKind::Setup(setup.number),
            SETUP_SLIP,
            true,
            setups::slips(find, setup),
        );
    }
    kept.variants
}

/// Variants kept so far, each as itself only once.
struct Kept {
    variants: Vec<Variant>,
    known: BTreeSet<String>,
}

impl Kept {
    fn new(find: &Find) -> Self {
        Self {
            variants: vec![Variant {
                find: find.clone(),
                kind: VariantKind::AsRecorded,
                what: "the wiring is as recorded".into(),
                remedy: String::new(),
                weight: 1.0,
            }],
            known: BTreeSet::from([canonical(find)]),
        }
    }

    /// Takes slips of one sort. `weight` is shared among them by their shares, or is each one's own.
    fn take(&mut self, kind: VariantKind, weight: f64, shared: bool, slips: Vec<Slip>) {
        let new: Vec<Slip> = slips
            .into_iter()
            .filter(|slip| self.known.insert(canonical(&slip.find)))
            .collect();
        let count = if shared { new.len() as f64 } else { 1.0 };
        self.variants.extend(new.into_iter().map(|slip| Variant {
            find: slip.find,
            kind,
            what: slip.what,
            remedy: slip.remedy,
            weight: weight * slip.share / count,
        }));
    }
}

/// What two finds have in common if no circuit can tell them apart: which terminals are one conductor, which way turns count, and how
/// every setup stands.
fn canonical(find: &Find) -> String {
    let mut groups: Vec<Vec<String>> = Conductors::of(find, None)
        .groups
        .into_iter()
        .filter(|group| group.len() > 1)
        .map(|group| {
            let mut names: Vec<String> = group.iter().map(ToString::to_string).collect();
            names.sort();
            names
        })
        .collect();
    groups.sort();
    let signs: Vec<Vec<bool>> = find
        .parts
        .iter()
        .filter_map(|part| part.kind.wound())
        .map(|wound| {
            (0..wound.windings.len())
                .map(|winding| polarity(wound, winding).reversed)
                .collect()
        })
        .collect();
    format!("{groups:?}{signs:?}{:?}", find.setups)
}

#[cfg(test)]
mod tests;
