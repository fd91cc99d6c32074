//! What a plate alone already warns of.

use super::facts::{Facts, Gear, base};
use super::figure::{Figure, plain};
use super::stabilizer;
use crate::said::{Caution, Danger};
use gear::Plate;
use quantity::Unit;

/// Beyond this nothing here may be measured or switched by this tool's advice.
const MOST_VOLTS: f64 = 1000.0;
/// From this mass on nobody lifts alone (common practice; many codes draw the line at 25 kg).
const HEAVY: f64 = 25.0;
/// Words on a plate that tell of materials to be wary of.
const OLD: [&str; 8] = [
    "oil", "onan", "pcb", "askarel", "selenium", "asbestos", "öl", "huile",
];

/// The cautions a plate calls for, the worst first.
pub fn cautions(plate: &Plate) -> Vec<Caution> {
    let facts = Facts::of(plate, None);
    let mut found = Vec::new();
    found.extend(high_voltage(&facts));
    found.extend(open_primary(&facts));
    found.extend(not_isolated(&facts));
    found.extend(old_materials(plate));
    found.extend(heavy(&facts));
    found
        .into_iter()
        .map(|(danger, words)| Caution {
            section: "Plate",
            danger,
            words,
        })
        .collect()
}

/// Any ratio of two windings times any voltage that can be read, driven the wrong way round.
fn high_voltage(facts: &Facts) -> Option<(Danger, String)> {
    let most = facts
        .every_voltage
        .iter()
        .max_by(|a, b| a.high.total_cmp(&b.high))?;
    if most.high > MOST_VOLTS {
        return Some((
            Danger::HighVoltage,
            format!(
                "The plate names {}. Beyond 1000 V nothing said here holds: leave it to those licensed and equipped for it.",
                most.words()
            ),
        ));
    }
    let ratio = greatest_ratio(facts)?;
    let volts = Figure::exact(if most.open { most.high } else { most.mid }, Unit::Volt);
    let driven = volts.mid * ratio;
    let what = if matches!(facts.gear, Gear::Stabilizer(_)) {
        "A booster's ratio may be"
    } else {
        "The ratio is"
    };
    (driven > MOST_VOLTS).then(|| {
        (
            Danger::HighVoltage,
            format!(
                "{what} {} : 1: the low side fed with {} by mistake makes {} at the high side. Feed a winding you do not know with a few volts only, the one of highest resistance first.",
                plain(ratio),
                volts.words(),
                Figure::exact(driven, Unit::Volt).words(),
            ),
        )
    })
}

fn greatest_ratio(facts: &Facts) -> Option<f64> {
    if let Some(boost) = stabilizer::boost(facts) {
        // an end-fed booster has twice the ratio of one fed from the centre tap: the plate does not tell them apart
        return boost.centre_tap_output().map(|ratio| ratio.mid * 2.0);
    }
    if facts.gear != Gear::Transformer {
        return None;
    }
    let windings = || {
        facts
            .primary
            .iter()
            .chain(&facts.volts)
            .chain(&facts.further)
    };
    let most = windings()
        .map(|f| if f.open { f.high } else { f.mid })
        .fold(0.0, f64::max);
    let least = windings()
        .map(|f| if f.open { f.low } else { f.mid })
        .filter(|v| *v > 0.0)
        .fold(f64::INFINITY, f64::min);
    (least.is_finite() && most > 0.0).then(|| most / least)
}

fn open_primary(facts: &Facts) -> Option<(Danger, String)> {
    matches!(facts.gear, Gear::Stabilizer(_)).then(|| {
        (
            Danger::OpenPrimary,
            "An open booster primary in a loaded line makes dangerous voltages. The loop that feeds it holds no fuse, switch or plug, and is never parted while a line carries current.".into(),
        )
    })
}

fn not_isolated(facts: &Facts) -> Option<(Danger, String)> {
    let what = match facts.gear {
        Gear::Stabilizer(_) => "A stabilizer of this kind",
        Gear::Variable => "A variable autotransformer",
        _ => return None,
    };
    let volts = facts
        .volts
        .as_ref()
        .map_or_else(|| "mains volts".to_owned(), base);
    Some((
        Danger::NotIsolated,
        format!(
            "{what} does not part its output from the mains: at every setting treat every output terminal as a mains conductor ({volts}), whatever a meter says."
        ),
    ))
}

fn old_materials(plate: &Plate) -> Option<(Danger, String)> {
    let text = plate
        .text
        .iter()
        .chain(&plate.marks)
        .map(|t| t.to_lowercase())
        .collect::<Vec<_>>()
        .join(" ");
    let word = text
        .split(|c: char| !c.is_alphanumeric())
        .find(|word| OLD.contains(word))?
        .to_owned();
    Some((
        Danger::OldMaterials,
        format!(
            "The plate says \"{word}\". Old oil and capacitors may hold PCB, old pads asbestos, old rectifiers selenium: do not open, burn or drill before you know."
        ),
    ))
}

fn heavy(facts: &Facts) -> Option<(Danger, String)> {
    let mass = facts.mass.as_ref().filter(|m| m.high >= HEAVY)?;
    Some((
        Danger::Heavy,
        format!(
            "{}: lift it with help or tackle, and bolt it down before anything else.",
            mass.words()
        ),
    ))
}
