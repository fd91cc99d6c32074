//! What a plate gives a find that is started from a named arrangement: volts of the windings, the ratio the booster must have,
//! volt-amperes of the parts.

use super::facts::{Facts, Gear};
use super::figure::Figure;
use super::{rated, read, stabilizer};
use gear::{Find, PartKind};
use quantity::Quantity;
use wiring::{Arrangement, Options};

/// What a figure the plate only implies is worth on a part: makers leave themselves room (our choice).
const IMPLIED: &str = " ±20 %";

/// The find an arrangement makes with these options, its parts given what the plate implies wherever the owner chose nothing.
/// Volts that follow from the plate only by the usual design carry a tolerance of 20 %, and stand so in the sheet.
pub fn started(arrangement: &Arrangement, options: &Options) -> Find {
    let mut options = options.clone();
    let implied = options
        .plate
        .as_deref()
        .map(|text| implied(text, arrangement, &options))
        .unwrap_or_default();
    let mut loosened = false;
    for (key, value) in implied {
        if options.chosen.iter().all(|(chosen, _)| *chosen != key) {
            loosened |= key == "booster_ratio";
            options.chosen.push((key, value));
        }
    }
    let mut find = (arrangement.build)(&options);
    if loosened {
        loosen(&mut find);
    }
    find
}

fn implied(text: &str, arrangement: &Arrangement, options: &Options) -> Vec<(String, String)> {
    let facts = Facts::of(&read(text), Some(arrangement.key));
    let rated = rated::reckon(&facts, &mut Vec::new());
    let mut found = Vec::new();
    let mut give = |key: &str, figure: Option<Figure>, unit: &str| {
        if let Some(value) = figure.map(|f| f.mid).filter(|v| v.is_finite() && *v > 0.0) {
            let text = quantity::significant(value, 3);
            found.push((
                key.to_owned(),
                format!("{text} {unit}").trim_end().to_owned(),
            ));
        }
    };
    match facts.gear {
        Gear::Stabilizer(_) => {
            let Some(boost) = stabilizer::boost(&facts) else {
                return found;
            };
            let tapped = arrangement.key.contains("centre-tap");
            let on_input = options.get(arrangement, "side") == "input";
            give("winding_volts", Some(boost.output.clone()), "V");
            give("booster_ratio", boost.ratio(tapped, on_input), "");
            let power = rated
                .current
                .as_ref()
                .map(|i| boost.most().times(i, quantity::Unit::VoltAmpere));
            give("booster_power", power, "VA");
        }
        Gear::Variable => {
            let whole = facts.primary.clone().or(facts.volts.clone());
            let winding = whole.map(|v| of_winding(v, &facts, "star"));
            give("winding_volts", winding, "V");
        }
        Gear::Transformer | Gear::Unknown => {
            // One voltage read as both sides (400/230 V of a three-phase system) says nothing of a ratio.
            if let (Some(primary), Some(secondary)) = (&facts.primary, &facts.volts)
                && primary.mid != secondary.mid
            {
                let bank = options.get(arrangement, "bank");
                let (first, second) = bank.split_once('-').unwrap_or((bank, bank));
                let primary = of_winding(primary.clone(), &facts, first);
                let secondary = of_winding(secondary.clone(), &facts, second);
                give("winding_volts", Some(primary), "V");
                give("secondary_volts", Some(secondary), "V");
            }
            let phases = f64::from(facts.phases.unwrap_or(1));
            give(
                "winding_power",
                rated.power.map(|p| p.scaled(1.0 / phases)),
                "VA",
            );
        }
    }
    found
}

/// Volts of one winding where the plate says those between lines: of three phases in star, by √3 less.
fn of_winding(line: Figure, facts: &Facts, pairing: &str) -> Figure {
    if facts.phases == Some(3) && pairing == "star" {
        line.scaled(1.0 / 3f64.sqrt())
    } else {
        line
    }
}

/// Gives the boosters' secondary volts the tolerance of what is only implied.
fn loosen(find: &mut Find) {
    for part in &mut find.parts {
        let PartKind::Transformer(wound) = &mut part.kind else {
            continue;
        };
        if let Some(volts) = wound.windings.last_mut().and_then(|w| w.volts.as_mut())
            && let Ok(loose) = Quantity::parse(&format!("{}{IMPLIED}", volts.text()))
        {
            *volts = loose;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stabilizer(plate: &str, chosen: &[(&str, &str)]) -> Find {
        let arrangement = wiring::arrangement("stabilizer-centre-tap").unwrap();
        let chosen = chosen
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()));
        started(
            arrangement,
            &Options {
                name: "one".into(),
                plate: Some(plate.into()),
                chosen: chosen.collect(),
            },
        )
    }

    fn volts(find: &Find, part: usize, winding: usize) -> String {
        let wound = find.parts[part].kind.wound().unwrap();
        let volts = wound.windings[winding].volts.as_ref().unwrap();
        volts.text().to_owned()
    }

    #[test]
    fn a_stabilizers_parts_get_what_its_plate_implies() {
        // 400 V ±20 %, centre tap and slider, autotransformer on the output side: 115 V to 46.2 V (CHECKS B15's sums).
        let find = stabilizer("30 kVA 400 V ±20 % 50 Hz 3~", &[]);
        assert!(volts(&find, 0, 0).starts_with("231"));
        assert!(
            volts(&find, 3, 0).starts_with("11"),
            "{}",
            volts(&find, 3, 0)
        );
        let secondary = volts(&find, 3, 1);
        assert!(
            secondary.starts_with("46") && secondary.ends_with("±20 %"),
            "{secondary}"
        );
    }

    #[test]
    fn a_banks_windings_get_line_volts_in_delta_and_phase_volts_in_star() {
        let arrangement = wiring::arrangement("transformer").unwrap();
        let made = |plate: &str| {
            let chosen = [("phases", "3"), ("bank", "delta-star")];
            let chosen = chosen.map(|(k, v)| (k.to_owned(), v.to_owned()));
            started(
                arrangement,
                &Options {
                    name: "bank".into(),
                    plate: Some(plate.into()),
                    chosen: chosen.to_vec(),
                },
            )
        };
        let find = made("10 kVA 3~ 50 Hz PRI 400 V SEC 230 V");
        assert!(volts(&find, 0, 0).starts_with("400"));
        assert!(
            volts(&find, 0, 1).starts_with("133"),
            "{}",
            volts(&find, 0, 1)
        );
        let unsure = made("10 kVA 400/230 V 3~ 50 Hz");
        let windings = &unsure.parts[0].kind.wound().unwrap().windings;
        let written: Vec<_> = windings.iter().map(|w| w.volts.is_some()).collect();
        assert!(written == [false, false] || volts(&unsure, 0, 0) != volts(&unsure, 0, 1));
    }

    #[test]
    fn what_the_owner_chose_stands() {
        let find = stabilizer("30 kVA 400 V ±20 % 50 Hz 3~", &[("booster_ratio", "3")]);
        assert!(
            volts(&find, 3, 1).starts_with("38"),
            "{}",
            volts(&find, 3, 1)
        );
        assert!(!volts(&find, 3, 1).contains('±'));
    }

    #[test]
    fn a_plate_without_a_range_gives_no_ratio() {
        let find = stabilizer("30 kVA 400 V 50 Hz 3~", &[]);
        assert!(
            find.parts[3].kind.wound().unwrap().windings[0]
                .volts
                .is_none()
        );
    }
}
