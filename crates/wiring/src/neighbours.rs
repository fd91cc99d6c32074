//! The wirings and setups a find may really have, one step away from what was recorded.
//!
//! What stands on the sheet may be wrong: a winding reversed, a lead on the next terminal, a fuse open that was called whole, a slider
//! elsewhere than noted. Each such slip makes a whole find of its own, a [`Variant`], with its prior weight; what the readings say of
//! them is weighed above. `leads` and `setups` make the slips, `named` the other arrangements the same parts are usually wired in,
//! `unknown` the polarities nobody knows. Nothing here reckons a volt.

mod alike;
mod leads;
mod named;
mod setups;
mod unknown;

use alike::Alike;
use gear::{Find, JoinState, Setup};

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

/// Prior weight of all one-slip wirings together against the wiring as recorded, where every join was seen, and how much more where
/// all are assumed. Common practice: three to five drawings in a hundred hold such a slip.
const ONE_SLIP: (f64, f64) = (0.03, 0.02);
/// The same of all setups together: what was noted of one is fresh in mind.
const SETUP_SLIP: f64 = 0.02;
/// The same of all other named arrangements together, where somebody has seen or found a join. Where nobody has, each is as likely as
/// the one recorded.
const OTHER_ARRANGEMENT: f64 = 0.02;

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
    for slip in kept.new_among(unknown::polarities(find)) {
        kept.push(VariantKind::Wiring, 1.0, slip);
    }
    let slips = kept.new_among(leads::slips(find));
    let doubt = slips.iter().map(|s| s.share.min(1.0)).sum::<f64>() / slips.len().max(1) as f64;
    kept.share_out(VariantKind::Wiring, ONE_SLIP.0 + ONE_SLIP.1 * doubt, slips);
    let arrangements = kept.new_among(named::arrangements(find));
    if nobody_looked(find) {
        for slip in arrangements {
            kept.push(VariantKind::Wiring, 1.0, slip);
        }
    } else {
        kept.share_out(VariantKind::Wiring, OTHER_ARRANGEMENT, arrangements);
    }
    let read = |setup: &&Setup| find.readings.iter().any(|r| r.setup == setup.number);
    let setups: Vec<&Setup> = find.setups.iter().filter(read).collect();
    for setup in &setups {
        let slips = kept.new_among(setups::slips(find, setup));
        let kind = VariantKind::Setup(setup.number);
        kept.share_out(kind, SETUP_SLIP / setups.len() as f64, slips);
    }
    kept.variants
}

/// Whether every join and lead is only assumed.
fn nobody_looked(find: &Find) -> bool {
    let states = find.joins.iter().map(|j| j.state);
    states
        .chain(find.leads.iter().map(|l| l.state))
        .all(|state| state == JoinState::Assumed)
}

/// Variants kept so far, each as itself only once.
struct Kept {
    variants: Vec<Variant>,
    known: Alike,
}

impl Kept {
    fn new(find: &Find) -> Self {
        let mut known = Alike::of(find);
        known.is_new(find);
        Self {
            variants: vec![Variant {
                find: find.clone(),
                kind: VariantKind::AsRecorded,
                what: "the wiring is as recorded".into(),
                remedy: String::new(),
                weight: 1.0,
            }],
            known,
        }
    }

    /// Those of the slips that make a find not known yet.
    fn new_among(&mut self, slips: Vec<Slip>) -> Vec<Slip> {
        slips
            .into_iter()
            .filter(|slip| self.known.is_new(&slip.find))
            .collect()
    }

    /// Takes slips of one sort; `weight` is theirs together.
    fn share_out(&mut self, kind: VariantKind, weight: f64, slips: Vec<Slip>) {
        let sum: f64 = slips.iter().map(|slip| slip.share).sum();
        for slip in slips {
            self.push(kind, weight * slip.share / sum, slip);
        }
    }

    fn push(&mut self, kind: VariantKind, weight: f64, slip: Slip) {
        self.variants.push(Variant {
            find: slip.find,
            kind,
            what: slip.what,
            remedy: slip.remedy,
            weight,
        });
    }
}

#[cfg(test)]
mod tests;
