//! What is kept between two rankings of one find: its variants, and how far behind each was.
//!
//! A reading that agrees with the find as recorded brings no neighbour much nearer, one that contradicts may bring each nearer by what a
//! slip costs. So most neighbours need not be looked at again for one reading more.

use crate::Judged;
use crate::model::Nominal;
use gear::{Find, Reading};
use wiring::Variant;

/// How far, in ln, a reading that agrees may bring a neighbour nearer.
const BY_AGREEING: f64 = 1.0;
/// How far one that contradicts may.
const BY_CONTRADICTING: f64 = 12.0;
/// Below this, in ln over the find as recorded, a neighbour is not looked at again: a quarter of a per cent.
const NOT_WORTH_LOOKING: f64 = -6.0;
/// A reading more likely wrong than this contradicts.
const CONTRADICTS: f64 = 0.1;

/// Who was how far behind when a find's candidates were ranked last. Begins empty.
#[derive(Debug, Clone, Default)]
pub struct Memory {
    known: Option<Known>,
}

#[derive(Debug, Clone)]
struct Known {
    /// The find without its readings.
    shape: Find,
    nominal: Nominal,
    readings: Vec<Reading>,
    /// Of each reading, by number: whether it contradicted.
    contradicted: Vec<(u32, bool)>,
    variants: Vec<Variant>,
    /// ln of a variant's probability over that of the find as recorded, at most.
    margins: Vec<f64>,
}

impl Memory {
    /// Makes ready for a find: forgets another one, and allows for what its new readings may change.
    pub(super) fn meet(&mut self, find: &Find, nominal: Nominal, judged: &Judged) {
        let shape = bare(find);
        let contradicted: Vec<(u32, bool)> = judged
            .readings
            .iter()
            .map(|r| (r.number, r.wrong > CONTRADICTS || judged.exhausted))
            .collect();
        let before = self.known.take().filter(|known| {
            known.nominal == nominal
                && known.shape == shape
                && find.readings.starts_with(&known.readings)
        });
        let known = match before {
            Some(mut known) => {
                let allowance = allowance(&known.contradicted, &contradicted);
                known.margins.iter_mut().for_each(|m| *m += allowance);
                if !same_places(find, &known.readings) {
                    known.renew(wiring::variants(&sparse(find)));
                }
                known.readings.clone_from(&find.readings);
                known.contradicted = contradicted;
                known
            }
            None => {
                let variants = wiring::variants(&sparse(find));
                Known {
                    margins: vec![f64::INFINITY; variants.len()],
                    shape,
                    nominal,
                    readings: find.readings.clone(),
                    contradicted,
                    variants,
                }
            }
        };
        self.known = Some(known);
    }

    /// The variants; their finds hold no readings worth the name.
    pub(super) fn variants(&self) -> &[Variant] {
        self.known.as_ref().map_or(&[], |known| &known.variants)
    }

    /// Whether a variant was so far behind that no reading since can have brought it near.
    pub(super) fn is_out_of_reach(&self, index: usize) -> bool {
        let margins = self.known.as_ref().map(|known| &known.margins);
        margins
            .and_then(|margins| margins.get(index))
            .is_some_and(|margin| *margin < NOT_WORTH_LOOKING)
    }

    /// Notes how far variants are before the find as recorded, in ln.
    pub(super) fn note(&mut self, margins: &[(usize, f64)]) {
        let Some(known) = &mut self.known else { return };
        for (index, margin) in margins {
            if let Some(kept) = known.margins.get_mut(*index) {
                *kept = *margin;
            }
        }
    }
}

impl Known {
    /// Takes other variants; of those known before it is remembered how far behind they were.
    fn renew(&mut self, variants: Vec<Variant>) {
        let old = self.variants.iter().zip(&self.margins);
        let margin_of = |one: &Variant| {
            let mut old = old.clone();
            old.find(|(known, _)| known.kind == one.kind && known.what == one.what)
                .map_or(f64::INFINITY, |(_, margin)| *margin)
        };
        self.margins = variants.iter().map(margin_of).collect();
        self.variants = variants;
    }
}

/// How much nearer any neighbour may have come.
fn allowance(before: &[(u32, bool)], now: &[(u32, bool)]) -> f64 {
    now.iter()
        .map(|(number, contradicts)| {
            let known = before.iter().find(|(n, _)| n == number).map(|(_, c)| *c);
            match known {
                None if *contradicts => BY_CONTRADICTING,
                None => BY_AGREEING,
                Some(before) if before != *contradicts => BY_CONTRADICTING,
                Some(_) => 0.0,
            }
        })
        .sum()
}

/// Whether every setup and terminal was read before: neighbours hang on both.
fn same_places(find: &Find, before: &[Reading]) -> bool {
    find.readings.iter().all(|r| {
        let at = r.place.terminals();
        before.iter().any(|b| b.setup == r.setup)
            && before.iter().any(|b| {
                b.place == r.place || {
                    let known = b.place.terminals();
                    at.iter().all(|t| known.contains(t))
                }
            })
    })
}

fn bare(find: &Find) -> Find {
    Find {
        readings: vec![],
        notes: vec![],
        damage: vec![],
        ..find.clone()
    }
}

/// The find with one reading a setup and place: all that its variants hang on.
fn sparse(find: &Find) -> Find {
    let mut sparse = bare(find);
    for reading in &find.readings {
        let known = |r: &Reading| r.setup == reading.setup && r.place == reading.place;
        if !sparse.readings.iter().any(known) {
            sparse.readings.push(reading.clone());
        }
    }
    sparse
}
