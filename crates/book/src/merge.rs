//! Puts the nouns of a fragment into a find, and takes single nouns out of it, by their keys.

use crate::Noun;
use gear::{Fault, Find};
use sheet::{Fragment, Problem};
use std::collections::HashMap;

/// Where the nouns of a fragment went.
#[derive(Debug, Default)]
pub(crate) struct Merged {
    /// By list and index in the find: the index in the fragment.
    places: HashMap<(&'static str, usize), usize>,
    /// What they are.
    pub(crate) nouns: Vec<Noun>,
    /// Lists and indices in the fragment of what stands in it twice.
    doubles: Vec<(&'static str, usize)>,
}

impl Merged {
    /// The list `into` with `from` put into it.
    fn each<T: Clone>(
        &mut self,
        list: &'static str,
        into: &mut Vec<T>,
        from: &[T],
        noun: impl Fn(&T) -> Noun,
        same: impl Fn(&T, &T) -> bool,
    ) {
        for (i, new) in from.iter().enumerate() {
            let place = into.iter().position(|old| same(old, new));
            let at = match place {
                Some(at) => {
                    into[at] = new.clone();
                    at
                }
                None => {
                    into.push(new.clone());
                    into.len() - 1
                }
            };
            if self.places.insert((list, at), i).is_some() {
                self.doubles.push((list, i));
            }
            self.nouns.push(noun(new));
        }
    }

    /// A fault of the find, told at its place in the fragment; at its start where it lies in something the fragment does not hold.
    pub(crate) fn problem(&self, fragment: &Fragment, fault: &Fault) -> Problem {
        let inside = self.path_inside(&fault.path);
        let told = fragment.problem(inside.as_deref().unwrap_or(&[]), fault);
        match inside {
            Some(_) => told,
            None => Problem {
                path: fault.path.join("."),
                what: format!("with this, {}", fault.what),
                ..told
            },
        }
    }

    /// What stands in the fragment twice.
    pub(crate) fn doubled(&self, fragment: &Fragment) -> Vec<Problem> {
        self.doubles
            .iter()
            .map(|(list, i)| {
                let fault = Fault {
                    path: Vec::new(),
                    what: format!("a {} of this key stands here already", word_of(list)),
                    remedy: "keep one of them".into(),
                    missing_from: None,
                };
                let mut path: Vec<String> = list.split('.').map(str::to_owned).collect();
                path.push(i.to_string());
                fragment.problem(&path, &fault)
            })
            .collect()
    }

    fn path_inside(&self, path: &[String]) -> Option<Vec<String>> {
        let kit = path.first().is_some_and(|first| first == "kit");
        let depth = if kit { 2 } else { 1 };
        let list = path.get(..depth)?.join(".");
        if matches!(list.as_str(), "plate" | "find") {
            return Some(path.to_vec());
        }
        let at: usize = path.get(depth)?.parse().ok()?;
        let (_, inside) = self
            .places
            .iter()
            .find(|((name, index), _)| *name == list && *index == at)?;
        let mut out = path.to_vec();
        out[depth] = inside.to_string();
        Some(out)
    }
}

fn word_of(list: &str) -> &str {
    list.rsplit('.').next().unwrap_or(list)
}

/// Whether a fragment holds nothing but setups and readings that are not in the find yet.
pub(crate) fn only_adds(find: &Find, fragment: &Fragment) -> bool {
    let from = fragment.nouns();
    let new = Find {
        setups: from.setups.clone(),
        readings: from.readings.clone(),
        ..Find::default()
    };
    let setup = |number: u32| find.setup(number).is_some();
    let reading = |number: u32| find.readings.iter().any(|r| r.number == number);
    !fragment.has_head()
        && !fragment.has_plate()
        && new == *from
        && !from.setups.iter().any(|s| setup(s.number))
        && !from.readings.iter().any(|r| reading(r.number))
}

/// Puts what a fragment holds into a find.
pub(crate) fn put(find: &mut Find, fragment: &Fragment) -> Merged {
    let from = fragment.nouns();
    let mut merged = Merged::default();
    if fragment.has_head() {
        find.name.clone_from(&from.name);
        find.number = from.number;
        find.origin.clone_from(&from.origin);
        find.arrangement.clone_from(&from.arrangement);
        merged.nouns.push(Noun::Find);
    }
    if fragment.has_plate() {
        find.plate.clone_from(&from.plate);
        merged.nouns.push(Noun::Plate);
    }
    drawn(&mut merged, find, from);
    benched(&mut merged, find, from);
    merged
}

/// Parts, gangs, leads, joins, damage, notes.
fn drawn(merged: &mut Merged, find: &mut Find, from: &Find) {
    merged.each(
        "part",
        &mut find.parts,
        &from.parts,
        |p| Noun::Part(p.designation.to_string()),
        |a, b| a.designation == b.designation,
    );
    merged.each(
        "gang",
        &mut find.gangs,
        &from.gangs,
        |g| Noun::Gang(g.name.clone()),
        |a, b| a.name == b.name,
    );
    merged.each(
        "lead",
        &mut find.leads,
        &from.leads,
        |l| Noun::Lead(l.designation.to_string()),
        |a, b| a.designation == b.designation,
    );
    merged.each(
        "join",
        &mut find.joins,
        &from.joins,
        |j| Noun::join(&j.terminals),
        |a, b| Noun::join(&a.terminals) == Noun::join(&b.terminals),
    );
    merged.each(
        "damage",
        &mut find.damage,
        &from.damage,
        damage_noun,
        |a, b| damage_noun(a) == damage_noun(b) && a.winding == b.winding && a.travel == b.travel,
    );
    merged.each(
        "note",
        &mut find.notes,
        &from.notes,
        |n| Noun::Note(n.text.clone()),
        |a, b| a == b,
    );
}

/// Kit, instruments, setups, readings.
fn benched(merged: &mut Merged, find: &mut Find, from: &Find) {
    merged.each(
        "kit.source",
        &mut find.kit.sources,
        &from.kit.sources,
        |s| Noun::Source(s.name.clone()),
        |a, b| a.name == b.name,
    );
    let lists = [
        (
            "kit.limiter",
            &mut find.kit.limiters,
            &from.kit.limiters,
            Noun::Limiter as fn(String) -> Noun,
        ),
        ("kit.load", &mut find.kit.loads, &from.kit.loads, Noun::Load),
        (
            "kit.protection",
            &mut find.kit.protection,
            &from.kit.protection,
            Noun::Protection,
        ),
    ];
    for (list, into, from, noun) in lists {
        merged.each(
            list,
            into,
            from,
            |item| noun(item.name.clone()),
            |a, b| a.name == b.name,
        );
    }
    merged.each(
        "instrument",
        &mut find.instruments,
        &from.instruments,
        |i| Noun::Instrument(i.designation.to_string()),
        |a, b| a.designation == b.designation,
    );
    merged.each(
        "setup",
        &mut find.setups,
        &from.setups,
        |s| Noun::Setup(s.number),
        |a, b| a.number == b.number,
    );
    merged.each(
        "reading",
        &mut find.readings,
        &from.readings,
        |r| Noun::Reading(r.number),
        |a, b| a.number == b.number,
    );
}

fn damage_noun(damage: &gear::Damage) -> Noun {
    Noun::Damage {
        part: damage.part.to_string(),
        what: damage.what.clone(),
    }
}

/// Takes a noun out of a find; whether it was there. Photos and tags are no part of a find, a terminal is part of its part, and
/// readings stay.
pub(crate) fn remove(find: &mut Find, noun: &Noun) -> bool {
    match noun {
        Noun::Find | Noun::Reading(_) | Noun::Terminal(_) | Noun::Photo(_) | Noun::Tags => false,
        Noun::Plate => {
            let had = find.plate != gear::Plate::default();
            find.plate = gear::Plate::default();
            had
        }
        Noun::Part(name) => without(&mut find.parts, |p| p.designation.as_str() == name),
        Noun::Gang(name) => without(&mut find.gangs, |g| g.name == *name),
        Noun::Lead(name) => without(&mut find.leads, |l| l.designation.as_str() == name),
        Noun::Join(_) => without(&mut find.joins, |j| Noun::join(&j.terminals) == *noun),
        Noun::Source(name) => without(&mut find.kit.sources, |s| s.name == *name),
        Noun::Limiter(name) => without(&mut find.kit.limiters, |i| i.name == *name),
        Noun::Load(name) => without(&mut find.kit.loads, |i| i.name == *name),
        Noun::Protection(name) => without(&mut find.kit.protection, |i| i.name == *name),
        Noun::Instrument(name) => {
            without(&mut find.instruments, |i| i.designation.as_str() == name)
        }
        Noun::Setup(number) => without(&mut find.setups, |s| s.number == *number),
        Noun::Damage { .. } => without(&mut find.damage, |d| damage_noun(d) == *noun),
        Noun::Note(text) => without(&mut find.notes, |n| n.text == *text),
    }
}

fn without<T>(list: &mut Vec<T>, is_it: impl Fn(&T) -> bool) -> bool {
    let before = list.len();
    list.retain(|one| !is_it(one));
    list.len() < before
}
