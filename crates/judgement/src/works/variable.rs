//! How a lone variable autotransformer works: one winding, a brush along it, and the two currents that share it.

use super::seen::{Seen, along, amperes, list, terminal, volts};
use gear::{Part, PartKind};

pub(super) fn sentences(seen: &Seen<'_>, part: &Part) -> Vec<String> {
    let name = &part.designation;
    let Some(winding) = part.kind.wound().and_then(|w| w.windings.first()) else {
        return Vec::new();
    };
    let (Some(first), Some(last), Some(slider)) = (
        winding.points.first(),
        winding.points.last(),
        winding.sliders.first(),
    ) else {
        return Vec::new();
    };
    let at = |mark: &str| terminal(name, mark);
    let Some(position) = seen.slider(name, &slider.terminal) else {
        return Vec::new();
    };
    let (low, high, brush) = (
        at(&first.terminal),
        at(&last.terminal),
        at(&slider.terminal),
    );
    let (Some(whole), Some(out)) = (seen.volts(&high, &low), seen.volts(&brush, &low)) else {
        return Vec::new();
    };
    let mut said = vec![
        format!(
            "{name} is one winding on a core with a brush along its turns; every turn sees the same volts, so the slider divides the winding's volts by its place."
        ),
        format!(
            "{} stand across the whole winding, {low} to {high}.",
            volts(whole.norm())
        ),
        format!(
            "The slider stands at {} of the turns from {low}, so {brush} gives {} against {low} and {} against {high}.",
            along(position),
            volts(out.norm()),
            volts((whole - out).norm())
        ),
    ];
    said.extend(currents(seen, part, position));
    if seen.loaded() {
        let shared = "The brush carries the whole output current at every place; the two parts of the winding share it, so the winding's own loss is greatest in mid-travel and next to nothing at the ends.";
        said.push(shared.to_owned());
    }
    said.extend(seen.losses());
    said.extend(driven(seen, part));
    said.push(format!("It isolates nothing: {low} is one conductor from input to output, and the slider is a tap of the supply at every setting."));
    said.extend(sisters(seen, part));
    said
}

fn currents(seen: &Seen<'_>, part: &Part, position: f64) -> Option<String> {
    let pieces = seen.pieces(&part.designation, 0);
    let greatest = |below: bool| {
        let wanted = pieces
            .iter()
            .filter(|p| ((p.0 + p.1) / 2.0 < position) == below);
        wanted.map(|p| p.2).max_by(f64::total_cmp)
    };
    match (seen.loaded(), greatest(true), greatest(false)) {
        (true, Some(below), Some(above)) => Some(format!(
            "Below the slider the winding carries {}, above it {}.",
            amperes(below),
            amperes(above)
        )),
        (true, below, above) => below
            .or(above)
            .map(|a| format!("The winding carries {} throughout.", amperes(a))),
        (false, below, above) => {
            let most = below.unwrap_or(0.0).max(above.unwrap_or(0.0));
            Some(format!(
                "Nothing is taken at the slider; the {} that flow only magnetise the core and feed its loss.",
                amperes(most)
            ))
        }
    }
}

fn driven(seen: &Seen<'_>, part: &Part) -> Option<String> {
    let (driven, knee) = seen.driven(&part.designation)?;
    let share = |x: f64| quantity::show(x, quantity::Unit::Percent, 2);
    Some(format!(
        "Its core is driven at {} of its rated volts per hertz; its knee is taken to lie at {}.",
        share(driven),
        share(knee)
    ))
}

fn sisters(seen: &Seen<'_>, part: &Part) -> Option<String> {
    let like = seen.find.parts.iter().filter(|p| {
        matches!(p.kind, PartKind::VariableAutotransformer(_)) && p.designation != part.designation
    });
    let names: Vec<&str> = like.map(|p| p.designation.as_str()).collect();
    let gang = seen
        .find
        .gang_of(&part.designation)
        .map_or("", |_| " on the same shaft or chain");
    (!names.is_empty()).then(|| format!("{} do the same{gang}.", list(&names)))
}
