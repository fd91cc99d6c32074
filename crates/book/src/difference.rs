//! What to write so that a find becomes another: for who edits a find whole, as one edits a sheet.

use crate::{Noun, What};
use gear::{Find, Kit};
use sheet::fragment;

/// The entries that make `is` of `was`; none where they say the same. Order within a list does not count. A reading that is struck, or kept as
/// read, is told so; every other noun that differs is put anew, and what is gone is taken out.
pub fn difference(was: &Find, is: &Find) -> Vec<What> {
    let mut change = Change::default();
    change.head_and_plate(was, is);
    change.parts_and_wiring(was, is);
    change.kit(was, is);
    change.bench(was, is);
    change.entries(was, is)
}

/// What is put and what is gone.
#[derive(Default)]
struct Change {
    fragment: String,
    gone: Vec<Noun>,
}

impl Change {
    fn put(&mut self, block: &str) {
        if !self.fragment.is_empty() && !self.fragment.ends_with("\n\n") {
            self.fragment.push('\n');
        }
        self.fragment.push_str(block);
    }

    fn head_and_plate(&mut self, was: &Find, is: &Find) {
        if fragment::of_head(was) != fragment::of_head(is) {
            self.put(&fragment::of_head(is));
        }
        if was.plate != is.plate {
            self.put(&fragment::of_plate(&is.plate));
        }
    }

    fn parts_and_wiring(&mut self, was: &Find, is: &Find) {
        let part = |p: &gear::Part| Noun::Part(p.designation.to_string());
        self.each(&was.parts, &is.parts, part, fragment::of_part);
        let gang = |g: &gear::Gang| Noun::Gang(g.name.clone());
        self.each(&was.gangs, &is.gangs, gang, fragment::of_gang);
        let lead = |l: &gear::Lead| Noun::Lead(l.designation.to_string());
        self.each(&was.leads, &is.leads, lead, fragment::of_lead);
        let join = |j: &gear::Join| Noun::join(&j.terminals);
        self.each(&was.joins, &is.joins, join, fragment::of_join);
    }

    fn kit(&mut self, was: &Find, is: &Find) {
        let source = |s: &gear::KitSource| Noun::Source(s.name.clone());
        self.each(&was.kit.sources, &is.kit.sources, source, |s| {
            fragment::of_kit(&Kit {
                sources: vec![s.clone()],
                ..Kit::default()
            })
        });
        type Of = (
            fn(&Kit) -> &Vec<gear::KitItem>,
            fn(Vec<gear::KitItem>) -> Kit,
            fn(String) -> Noun,
        );
        let lists: [Of; 3] = [
            (
                |kit| &kit.limiters,
                |limiters| Kit {
                    limiters,
                    ..Kit::default()
                },
                Noun::Limiter,
            ),
            (
                |kit| &kit.loads,
                |loads| Kit {
                    loads,
                    ..Kit::default()
                },
                Noun::Load,
            ),
            (
                |kit| &kit.protection,
                |protection| Kit {
                    protection,
                    ..Kit::default()
                },
                Noun::Protection,
            ),
        ];
        for (of, kit, noun) in lists {
            let named = |item: &gear::KitItem| noun(item.name.clone());
            self.each(of(&was.kit), of(&is.kit), named, |item| {
                fragment::of_kit(&kit(vec![item.clone()]))
            });
        }
    }

    fn bench(&mut self, was: &Find, is: &Find) {
        let instrument = |i: &gear::Instrument| Noun::Instrument(i.designation.to_string());
        self.each(
            &was.instruments,
            &is.instruments,
            instrument,
            fragment::of_instrument,
        );
        let setup = |s: &gear::Setup| Noun::Setup(s.number);
        self.each(&was.setups, &is.setups, setup, fragment::of_setup);
        let reading = |r: &gear::Reading| Noun::Reading(r.number);
        let marked: Vec<gear::Reading> = is
            .readings
            .iter()
            .map(|r| was.readings.iter().find(|w| only_marked(w, r)).unwrap_or(r))
            .cloned()
            .collect();
        self.each(&was.readings, &marked, reading, fragment::of_reading);
        let damage = |d: &gear::Damage| Noun::Damage {
            part: d.part.to_string(),
            what: d.what.clone(),
        };
        self.each(&was.damage, &is.damage, damage, fragment::of_damage);
        let note = |n: &gear::Note| Noun::Note(n.text.clone());
        self.each(&was.notes, &is.notes, note, fragment::of_note);
    }

    fn each<T: PartialEq>(
        &mut self,
        was: &[T],
        is: &[T],
        noun: impl Fn(&T) -> Noun,
        block: impl Fn(&T) -> String,
    ) {
        for new in is.iter().filter(|new| !was.contains(new)) {
            self.put(&block(new));
        }
        let kept: Vec<Noun> = is.iter().map(&noun).collect();
        let gone = was.iter().map(&noun).filter(|noun| !kept.contains(noun));
        self.gone.extend(gone);
    }

    fn entries(self, was: &Find, is: &Find) -> Vec<What> {
        let mut list = Vec::new();
        if self.fragment.is_empty() {
            let removed = |noun| What::Removed { noun, reason: None };
            list.extend(self.gone.into_iter().map(removed));
        } else {
            list.push(What::Put {
                fragment: self.fragment,
                instead_of: self.gone,
            });
        }
        for (old, new) in was.readings.iter().filter_map(|w| {
            let now = is.readings.iter().find(|r| only_marked(w, r))?;
            Some((w, now))
        }) {
            if let (Some(reason), true) = (&new.struck, old.struck != new.struck) {
                list.push(What::ReadingStruck {
                    number: new.number,
                    reason: reason.clone(),
                });
            }
            if old.kept != new.kept {
                list.push(What::ReadingKept {
                    number: new.number,
                    kept: new.kept,
                });
            }
        }
        list
    }
}

/// Whether two readings differ at most in the owner's marks: struck, kept.
fn only_marked(was: &gear::Reading, is: &gear::Reading) -> bool {
    let bare = |r: &gear::Reading| gear::Reading {
        struck: None,
        kept: false,
        ..r.clone()
    };
    // A strike taken back is no mark of its own here: it is put anew.
    was.number == is.number
        && !(was.struck.is_some() && is.struck.is_none())
        && bare(was) == bare(is)
}
