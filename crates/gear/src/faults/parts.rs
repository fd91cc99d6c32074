//! The gear itself: plate, parts, gangs, leads, joins, damage.

use super::check::{Check, Sign, Spot};
use crate::{Part, PartKind, PlateField, Winding, Wound};
use quantity::Unit;

pub(super) fn plate(check: &mut Check<'_>) {
    let spot = Spot::root("plate");
    let plate = &check.find.plate;
    if let Some(phases) = plate.phases {
        phase_count(check, spot.key("phases"), phases);
    }
    for (i, (field, figure)) in plate.fields.iter().enumerate() {
        let spot = spot.key(&field.word().replace(' ', "_"));
        if plate.fields[..i].iter().any(|(f, _)| f == field) {
            check.fault(
                spot.clone(),
                format!("the plate's {} stands twice", field.word()),
                "keep one",
            );
        }
        let unit = field.unit();
        let both = [unit, Unit::Watt];
        let units = if *field == PlateField::Power {
            &both[..]
        } else {
            &both[..1]
        };
        let sign = if matches!(field, PlateField::Ambient | PlateField::Correction) {
            Sign::Any
        } else {
            Sign::Positive
        };
        check.figure(spot, Some(figure), units, sign);
    }
}

/// A number of phases: 1 or 3.
pub(super) fn phase_count(check: &mut Check<'_>, spot: Spot, phases: u8) {
    if !matches!(phases, 1 | 3) {
        check.fault(spot, format!("{phases} phases"), "write 1 or 3");
    }
}

pub(super) fn parts(check: &mut Check<'_>) {
    let parts = &check.find.parts;
    let root = Spot::root("part");
    let names = parts
        .iter()
        .enumerate()
        .map(|(i, p)| (root.index(i).key("designation"), &p.designation));
    check.doubles(
        names,
        |d| format!("part `{d}` stands twice"),
        "give one of them another number",
    );
    for (i, part) in parts.iter().enumerate() {
        one_part(check, &root.index(i), part);
    }
}

fn one_part(check: &mut Check<'_>, spot: &Spot, part: &Part) {
    if let Some(phase) = part.phase
        && !(1..=3).contains(&phase)
    {
        check.fault(
            spot.key("phase"),
            format!("phase {phase} of {}", part.designation),
            "write 1, 2 or 3",
        );
    }
    match &part.kind {
        PartKind::Transformer(w) | PartKind::VariableAutotransformer(w) | PartKind::Choke(w) => {
            wound(check, spot, part, w)
        }
        PartKind::Resistor { resistance } => check.figure(
            spot.key("resistance"),
            resistance.as_ref(),
            &[Unit::Ohm],
            Sign::NotNegative,
        ),
        PartKind::Capacitor { capacitance } => check.figure(
            spot.key("capacitance"),
            capacitance.as_ref(),
            &[Unit::Farad],
            Sign::Positive,
        ),
        PartKind::Load {
            resistance,
            reactance,
        } => {
            check.figure(
                spot.key("resistance"),
                resistance.as_ref(),
                &[Unit::Ohm],
                Sign::NotNegative,
            );
            check.figure(
                spot.key("reactance"),
                reactance.as_ref(),
                &[Unit::Ohm],
                Sign::Any,
            );
        }
        PartKind::Fuse { current } => check.figure(
            spot.key("current"),
            current.as_ref(),
            &[Unit::Ampere],
            Sign::Positive,
        ),
        PartKind::Switch => {}
        PartKind::Unmarked(unmarked) => {
            wound(check, spot, part, &unmarked.wound);
            let leads = unmarked.leads.iter().enumerate();
            let own = leads.map(|(i, m)| (spot.key("leads").index(i), m.as_str()));
            let through = unmarked.wound.windings.iter().enumerate();
            let through = through.flat_map(|(i, w)| {
                let points = spot.key("winding").index(i).key("points");
                w.terminals()
                    .enumerate()
                    .map(move |(k, m)| (points.index(k), m))
            });
            marks_of(check, part, own.chain(through).collect());
            let most = unmarked.leads.len() / 2;
            if unmarked
                .number_of_windings
                .is_some_and(|n| n == 0 || n as usize > most)
            {
                check.fault(
                    spot.key("number_of_windings"),
                    format!(
                        "{} leads of {} cannot be that many windings",
                        unmarked.leads.len(),
                        part.designation
                    ),
                    "a winding has two leads at least; leave it out if nothing tells",
                );
            }
        }
        PartKind::Terminals(marks) => {
            let named: Vec<_> = marks
                .iter()
                .enumerate()
                .map(|(i, m)| (spot.key("terminals").index(i), m.as_str()))
                .collect();
            marks_of(check, part, named);
        }
    }
}

/// Marks of a part's terminals: each once, and such that a reference can name them.
fn marks_of(check: &mut Check<'_>, part: &Part, marks: Vec<(Spot, &str)>) {
    for (spot, mark) in &marks {
        if mark.is_empty() || mark.chars().any(|c| c.is_whitespace() || c == ':') {
            check.fault(
                spot.clone(),
                format!("`{mark}` is no mark of a terminal"),
                "write a mark without blanks and colons, like `2.1`",
            );
        }
    }
    let of = &part.designation;
    check.doubles(
        marks,
        |m| format!("terminal `{m}` stands twice in {of}"),
        "one mark is one terminal: give the other its own mark",
    );
}

fn wound(check: &mut Check<'_>, spot: &Spot, part: &Part, wound: &Wound) {
    check.figure(
        spot.key("power"),
        wound.power.as_ref(),
        &[Unit::VoltAmpere, Unit::Watt],
        Sign::Positive,
    );
    check.figure(
        spot.key("frequency"),
        wound.frequency.as_ref(),
        &[Unit::Hertz],
        Sign::Positive,
    );
    let (core, at) = (&wound.core, spot.key("core"));
    check.figure(
        at.key("area"),
        core.area.as_ref(),
        &[Unit::SquareMetre],
        Sign::Positive,
    );
    check.figure(
        at.key("mass"),
        core.mass.as_ref(),
        &[Unit::Kilogram],
        Sign::Positive,
    );
    check.figure(
        at.key("loss"),
        core.loss.as_ref(),
        &[Unit::Watt],
        Sign::Positive,
    );
    check.figure(
        at.key("current"),
        core.current.as_ref(),
        &[Unit::Ampere],
        Sign::Positive,
    );
    check.figure(
        at.key("knee"),
        core.knee.as_ref(),
        &[Unit::Volt],
        Sign::Positive,
    );
    let root = spot.key("winding");
    let names = wound
        .windings
        .iter()
        .enumerate()
        .map(|(i, w)| (root.index(i).key("name"), w.name.as_str()));
    check.doubles(
        names,
        |n| format!("winding `{n}` of {} stands twice", part.designation),
        "give one of them another name",
    );
    let mut marks = Vec::new();
    for (i, one) in wound.windings.iter().enumerate() {
        let at = root.index(i);
        winding(check, &at, part, one);
        marks.extend(
            one.points
                .iter()
                .enumerate()
                .map(|(k, p)| (at.key("points").index(k), p.terminal.as_str())),
        );
        marks.extend(
            one.sliders
                .iter()
                .enumerate()
                .map(|(k, s)| (at.key("sliders").index(k), s.terminal.as_str())),
        );
    }
    if !matches!(part.kind, PartKind::Unmarked(_)) {
        marks_of(check, part, marks);
    }
    match &part.kind {
        PartKind::Choke(_) if wound.windings.len() > 1 => {
            check.fault(
                root.index(1),
                format!(
                    "choke {} has {} windings",
                    part.designation,
                    wound.windings.len()
                ),
                "keep one, or make it a transformer",
            );
        }
        PartKind::VariableAutotransformer(_)
            if !wound.windings.is_empty()
                && wound.windings.iter().all(|w| w.sliders.is_empty()) =>
        {
            check.fault(
                root.index(0),
                format!(
                    "variable autotransformer {} has no slider",
                    part.designation
                ),
                "add its terminal, like `sliders = [\"4\"]`",
            );
        }
        _ => {}
    }
}

fn winding(check: &mut Check<'_>, spot: &Spot, part: &Part, winding: &Winding) {
    if winding.name.trim().is_empty() {
        check.fault(
            spot.key("name"),
            format!("a winding of {} has no name", part.designation),
            "name it, like `primary`",
        );
    }
    if winding.points.len() < 2 {
        let what = format!(
            "winding `{}` of {} has not two points",
            winding.name, part.designation
        );
        check.fault(
            spot.key("points"),
            what,
            "name its terminals from one end to the other, like `[\"1.1\", \"1.2\"]`",
        );
    }
    positions(check, spot, winding);
    for (i, slider) in winding.sliders.iter().enumerate() {
        check.figure(
            spot.key("brush").index(i),
            slider.brush.as_ref(),
            &[Unit::Ohm],
            Sign::NotNegative,
        );
    }
    check.figure(
        spot.key("volts"),
        winding.volts.as_ref(),
        &[Unit::Volt],
        Sign::Positive,
    );
    check.figure(
        spot.key("amperes"),
        winding.amperes.as_ref(),
        &[Unit::Ampere],
        Sign::Positive,
    );
    check.figure(
        spot.key("resistance"),
        winding.resistance.as_ref(),
        &[Unit::Ohm],
        Sign::NotNegative,
    );
    check.figure(
        spot.key("leakage"),
        winding.leakage.as_ref(),
        &[Unit::Ohm],
        Sign::NotNegative,
    );
    check.figure(
        spot.key("turns"),
        winding.turns.as_ref(),
        &[Unit::One],
        Sign::Positive,
    );
}

/// Positions of the points: 0 at the first, 1 at the last, rising between.
fn positions(check: &mut Check<'_>, spot: &Spot, winding: &Winding) {
    let last = winding.points.len().saturating_sub(1);
    let mut highest: Option<f64> = None;
    for (i, point) in winding.points.iter().enumerate() {
        let Some(at) = &point.at else { continue };
        let spot = spot.key("at").index(i);
        let Some(value) = check.position(spot.clone(), at) else {
            continue;
        };
        if i == 0 && value != 0.0 {
            check.fault(
                spot,
                format!("the first point, {}, stands at {at}", point.terminal),
                "positions count from the first point: write 0",
            );
        } else if i == last && value != 1.0 {
            check.fault(
                spot,
                format!("the last point, {}, stands at {at}", point.terminal),
                "positions end at the last point: write 1",
            );
        } else if highest.is_some_and(|h| value < h)
            || (0 < i && i < last && (value <= highest.unwrap_or(0.0) || value >= 1.0))
        {
            check.fault(
                spot,
                format!(
                    "point {} at {at} does not lie beyond the one before it",
                    point.terminal
                ),
                "name the points in order of the turns, positions rising",
            );
        }
        highest = Some(highest.map_or(value, |h| h.max(value)));
    }
}

pub(super) fn gangs(check: &mut Check<'_>) {
    let find = check.find;
    let root = Spot::root("gang");
    let names = find
        .gangs
        .iter()
        .enumerate()
        .map(|(i, g)| (root.index(i).key("name"), g.name.as_str()));
    check.doubles(
        names,
        |n| format!("gang `{n}` stands twice"),
        "give one of them another name",
    );
    let mut members = Vec::new();
    for (i, gang) in find.gangs.iter().enumerate() {
        let spot = root.index(i);
        if gang.name.is_empty()
            || find
                .parts
                .iter()
                .any(|p| p.designation.as_str() == gang.name)
        {
            check.fault(
                spot.key("name"),
                format!("`{}` is no name for a gang", gang.name),
                "choose a word that is no part, like `chain`",
            );
        }
        for (k, designation) in gang.parts.iter().enumerate() {
            let at = spot.key("parts").index(k);
            if check
                .part(at.clone(), designation)
                .is_some_and(|p| p.sliders().next().is_none())
            {
                check.fault(
                    at.clone(),
                    format!("{designation} of gang `{}` has no slider", gang.name),
                    "take it out, or give its winding a slider",
                );
            }
            members.push((at, designation));
        }
    }
    check.doubles(
        members,
        |d| format!("{d} stands twice in gangs"),
        "a slider moves with one gang: name it once",
    );
}

pub(super) fn leads(check: &mut Check<'_>) {
    let leads = &check.find.leads;
    let root = Spot::root("lead");
    let names = leads
        .iter()
        .enumerate()
        .map(|(i, l)| (root.index(i).key("designation"), &l.designation));
    check.doubles(
        names,
        |d| format!("lead `{d}` stands twice"),
        "give one of them another number",
    );
    for (i, lead) in leads.iter().enumerate() {
        let spot = root.index(i);
        check.terminal(spot.key("from"), &lead.from);
        if let Some(to) = &lead.to {
            check.terminal(spot.key("to"), to);
            if *to == lead.from {
                check.fault(
                    spot.key("to"),
                    format!("lead {} ends where it starts, at {to}", lead.designation),
                    "write its other end, or leave `to` out for a cut end",
                );
            }
        }
        check.figure(
            spot.key("section"),
            lead.section.as_ref(),
            &[Unit::SquareMetre],
            Sign::Positive,
        );
    }
}

pub(super) fn joins(check: &mut Check<'_>) {
    let root = Spot::root("join");
    for (i, join) in check.find.joins.iter().enumerate() {
        check.terminals(
            &root.index(i).key("terminals"),
            &join.terminals,
            2,
            "a join",
        );
    }
}

pub(super) fn damage(check: &mut Check<'_>) {
    let root = Spot::root("damage");
    for (i, damage) in check.find.damage.iter().enumerate() {
        let spot = root.index(i);
        let part = check.part(spot.key("part"), &damage.part);
        if let (Some(part), Some(name)) = (part, &damage.winding) {
            let names: Vec<&str> = part
                .kind
                .wound()
                .map(|w| w.windings.iter().map(|w| w.name.as_str()).collect())
                .unwrap_or_default();
            if !names.contains(&name.as_str()) {
                check.unknown(
                    spot.key("winding"),
                    "part",
                    format!("unknown winding `{name}` of {}", part.designation),
                    name,
                    &names,
                );
            }
        }
        if let Some(travel) = &damage.travel {
            let from = check.position(spot.key("travel").index(0), &travel.from);
            let to = check.position(spot.key("travel").index(1), &travel.to);
            if let (Some(from), Some(to)) = (from, to)
                && from > to
            {
                check.fault(
                    spot.key("travel"),
                    format!("the travel runs from {} down to {}", travel.from, travel.to),
                    "write the lower end first",
                );
            }
        }
    }
}
