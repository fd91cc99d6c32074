//! The nouns of a find by list and place, as a sheet heads and orders them: written, counted, left out.

use crate::fragment as of;
use gear::{Find, Kit, Plate};

/// The block of the noun at `index` of its list (`part`, `kit.source`, `plate`; the last has one place), or nothing where there is none.
pub fn block_of(find: &Find, list: &str, index: usize) -> Option<String> {
    let kit = |kit: Kit| of::of_kit(&kit);
    match list {
        "find" => Some(of::of_head(find)).filter(|_| index == 0),
        "plate" => Some(of::of_plate(&find.plate)).filter(|_| index == 0),
        "part" => find.parts.get(index).map(of::of_part),
        "gang" => find.gangs.get(index).map(of::of_gang),
        "lead" => find.leads.get(index).map(of::of_lead),
        "join" => find.joins.get(index).map(of::of_join),
        "kit.source" => find.kit.sources.get(index).map(|one| {
            kit(Kit {
                sources: vec![one.clone()],
                ..Kit::default()
            })
        }),
        "kit.limiter" => find.kit.limiters.get(index).map(|one| {
            kit(Kit {
                limiters: vec![one.clone()],
                ..Kit::default()
            })
        }),
        "kit.load" => find.kit.loads.get(index).map(|one| {
            kit(Kit {
                loads: vec![one.clone()],
                ..Kit::default()
            })
        }),
        "kit.protection" => find.kit.protection.get(index).map(|one| {
            kit(Kit {
                protection: vec![one.clone()],
                ..Kit::default()
            })
        }),
        "instrument" => find.instruments.get(index).map(of::of_instrument),
        "setup" => find.setups.get(index).map(of::of_setup),
        "damage" => find.damage.get(index).map(of::of_damage),
        "note" => find.notes.get(index).map(of::of_note),
        _ => None,
    }
}

/// How many nouns a list has.
pub fn count(find: &Find, list: &str) -> usize {
    match list {
        "find" | "plate" => 1,
        "part" => find.parts.len(),
        "gang" => find.gangs.len(),
        "lead" => find.leads.len(),
        "join" => find.joins.len(),
        "kit.source" => find.kit.sources.len(),
        "kit.limiter" => find.kit.limiters.len(),
        "kit.load" => find.kit.loads.len(),
        "kit.protection" => find.kit.protection.len(),
        "instrument" => find.instruments.len(),
        "setup" => find.setups.len(),
        "damage" => find.damage.len(),
        "note" => find.notes.len(),
        _ => 0,
    }
}

/// The find without the noun at `index` of its list.
pub(crate) fn without(find: &Find, list: &str, index: usize) -> Find {
    let mut rest = find.clone();
    fn drop_at<T>(list: &mut Vec<T>, index: usize) {
        if index < list.len() {
            list.remove(index);
        }
    }
    match list {
        "find" => {
            rest.name.clear();
            (rest.number, rest.origin, rest.arrangement) = (None, None, None);
        }
        "plate" => rest.plate = Plate::default(),
        "part" => drop_at(&mut rest.parts, index),
        "gang" => drop_at(&mut rest.gangs, index),
        "lead" => drop_at(&mut rest.leads, index),
        "join" => drop_at(&mut rest.joins, index),
        "kit.source" => drop_at(&mut rest.kit.sources, index),
        "kit.limiter" => drop_at(&mut rest.kit.limiters, index),
        "kit.load" => drop_at(&mut rest.kit.loads, index),
        "kit.protection" => drop_at(&mut rest.kit.protection, index),
        "instrument" => drop_at(&mut rest.instruments, index),
        "setup" => drop_at(&mut rest.setups, index),
        "damage" => drop_at(&mut rest.damage, index),
        "note" => drop_at(&mut rest.notes, index),
        _ => {}
    }
    rest
}
