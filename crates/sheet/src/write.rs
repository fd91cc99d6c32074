//! A find as its one canonical text: keys in the order of the documentation, what is not known left out, what has a default left out.

mod pen;

use gear::{
    CoreFacts, Damage, Dot, Feed, Find, Gang, Instrument, Join, Kit, KitItem, KitSource, Lead,
    Note, Pairing, Part, PartKind, Place, Plate, Range, Reading, Response, Setup, SetupLoad,
    Steadiness, Winding, Wound,
};
pub(crate) use pen::Pen;
pub(crate) use pen::{inline, list, quoted};
use quantity::Accuracy;

/// Writes a find as a sheet.
///
/// Reading it back gives the same find, for every find without faults; only the order between the switches a setup opens and those it
/// closes is not kept (open ones come first). Faulty finds are written as they are, faults and all.
pub fn write(find: &Find) -> String {
    let mut pen = Pen::default();
    pen.plain("sheet", crate::VERSION);
    head(&mut pen, find);
    plate(&mut pen, &find.plate);
    for part in &find.parts {
        one_part(&mut pen, part);
    }
    find.gangs.iter().for_each(|g| gang(&mut pen, g));
    find.leads.iter().for_each(|l| lead(&mut pen, l));
    find.joins.iter().for_each(|j| join(&mut pen, j));
    kit(&mut pen, &find.kit);
    find.instruments
        .iter()
        .for_each(|m| instrument(&mut pen, m));
    find.setups.iter().for_each(|s| setup(&mut pen, s));
    find.readings.iter().for_each(|r| reading(&mut pen, r));
    find.damage.iter().for_each(|d| damage(&mut pen, d));
    find.notes.iter().for_each(|n| note(&mut pen, n));
    pen.finish()
}

/// What a function of this module writes, alone.
pub(crate) fn one(write: impl FnOnce(&mut Pen)) -> String {
    let mut pen = Pen::default();
    write(&mut pen);
    pen.finish()
}

/// One reading as its block of a sheet.
pub(crate) fn reading_block(one_reading: &Reading) -> String {
    one(|pen| reading(pen, one_reading))
}

/// One setup as its block of a sheet.
pub(crate) fn setup_block(one_setup: &Setup) -> String {
    one(|pen| setup(pen, one_setup))
}

pub(crate) use pen::text_value;

pub(crate) fn head(pen: &mut Pen, find: &Find) {
    pen.heading("[find]");
    pen.text("name", Some(&find.name));
    pen.plain_if("number", find.number);
    pen.text("origin", find.origin.as_ref());
    pen.text("arrangement", find.arrangement.as_ref());
}

pub(crate) fn gang(pen: &mut Pen, gang: &Gang) {
    pen.heading("[[gang]]");
    pen.text("name", Some(&gang.name));
    pen.plain("parts", list(gang.parts.iter().map(quoted)));
}

pub(crate) fn damage(pen: &mut Pen, damage: &Damage) {
    pen.heading("[[damage]]");
    pen.quoted("part", Some(&damage.part));
    pen.text("winding", damage.winding.as_ref());
    pen.text("what", Some(&damage.what));
    if let Some(travel) = &damage.travel {
        pen.plain("travel", list([quoted(&travel.from), quoted(&travel.to)]));
    }
    pen.quoted("at", damage.at.as_ref().map(gear::Moment::text));
}

pub(crate) fn note(pen: &mut Pen, note: &Note) {
    pen.heading("[[note]]");
    pen.quoted("at", note.at.as_ref().map(gear::Moment::text));
    pen.text("text", Some(&note.text));
}

pub(crate) fn plate(pen: &mut Pen, plate: &Plate) {
    if *plate == Plate::default() {
        return;
    }
    pen.heading("[plate]");
    pen.text("text", plate.text.as_ref());
    pen.plain_if("phases", plate.phases);
    for (field, figure) in &plate.fields {
        pen.quoted(&field.word().replace(' ', "_"), Some(figure));
    }
    if !plate.marks.is_empty() {
        pen.plain("marks", list(plate.marks.iter().map(quoted)));
    }
}

pub(crate) fn one_part(pen: &mut Pen, part: &Part) {
    pen.heading("[[part]]");
    pen.quoted("designation", Some(&part.designation));
    pen.quoted("kind", Some(part.kind.word()));
    pen.text("name", part.name.as_ref());
    pen.plain_if("phase", part.phase);
    match &part.kind {
        PartKind::Transformer(w) | PartKind::VariableAutotransformer(w) | PartKind::Choke(w) => {
            wound(pen, w)
        }
        PartKind::Resistor { resistance } => pen.quoted("resistance", resistance.as_ref()),
        PartKind::Capacitor { capacitance } => pen.quoted("capacitance", capacitance.as_ref()),
        PartKind::Load {
            resistance,
            reactance,
        } => {
            pen.quoted("resistance", resistance.as_ref());
            pen.quoted("reactance", reactance.as_ref());
        }
        PartKind::Fuse { current } => pen.quoted("current", current.as_ref()),
        PartKind::Switch => {}
        PartKind::Terminals(marks) => pen.plain("terminals", list(marks.iter().map(quoted))),
        PartKind::Unmarked(unmarked) => {
            pen.plain("leads", list(unmarked.leads.iter().map(quoted)));
            pen.plain_if("number_of_windings", unmarked.number_of_windings);
            wound(pen, &unmarked.wound);
        }
    }
}

fn wound(pen: &mut Pen, wound: &Wound) {
    pen.quoted("power", wound.power.as_ref());
    pen.quoted("frequency", wound.frequency.as_ref());
    pen.text("insulation", wound.insulation.as_ref());
    let CoreFacts {
        shape,
        area,
        mass,
        loss,
        current,
        knee,
    } = &wound.core;
    let facts = [
        ("area", area),
        ("mass", mass),
        ("loss", loss),
        ("current", current),
        ("knee", knee),
    ];
    let facts = facts
        .into_iter()
        .filter_map(|(key, q)| q.as_ref().map(|q| (key.to_owned(), quoted(q))));
    let facts: Vec<_> = shape
        .iter()
        .map(|s| ("shape".to_owned(), quoted(s)))
        .chain(facts)
        .collect();
    if !facts.is_empty() {
        pen.plain("core", inline(facts));
    }
    wound.windings.iter().for_each(|w| winding(pen, w));
}

fn winding(pen: &mut Pen, winding: &Winding) {
    pen.heading("[[part.winding]]");
    pen.text("name", Some(&winding.name));
    pen.plain(
        "points",
        list(winding.points.iter().map(|p| quoted(&p.terminal))),
    );
    let at: Vec<_> = winding.points.iter().map(|p| &p.at).collect();
    let known = |some: &[&Option<quantity::Quantity>]| some.iter().any(|q| q.is_some());
    let written = |q: &&Option<quantity::Quantity>| q.as_ref().map_or("\"\"".to_owned(), quoted);
    match at.as_slice() {
        [None, inner @ .., None] if known(inner) => {
            pen.plain("at", list(inner.iter().map(written)))
        }
        all if known(all) => pen.plain("at", list(all.iter().map(written))),
        _ => {}
    }
    match winding.dot {
        Dot::First => pen.quoted("dot", Some("first")),
        Dot::Last => pen.quoted("dot", Some("last")),
        Dot::Unknown => {}
    }
    if !winding.sliders.is_empty() {
        pen.plain(
            "sliders",
            list(winding.sliders.iter().map(|s| quoted(&s.terminal))),
        );
        let brushes: Vec<_> = winding.sliders.iter().map(|s| &s.brush).collect();
        if known(&brushes) {
            pen.plain("brush", list(brushes.iter().map(written)));
        }
    }
    pen.quoted("volts", winding.volts.as_ref());
    pen.quoted("amperes", winding.amperes.as_ref());
    pen.quoted("resistance", winding.resistance.as_ref());
    pen.quoted("leakage", winding.leakage.as_ref());
    pen.quoted("turns", winding.turns.as_ref());
}

pub(crate) fn lead(pen: &mut Pen, lead: &Lead) {
    pen.heading("[[lead]]");
    pen.quoted("designation", Some(&lead.designation));
    pen.quoted("from", Some(&lead.from));
    pen.quoted("to", lead.to.as_ref());
    pen.text("colour", lead.colour.as_ref());
    pen.quoted("section", lead.section.as_ref());
    pen.text("mark", lead.mark.as_ref());
    pen.quoted("state", Some(lead.state.word()));
}

pub(crate) fn join(pen: &mut Pen, join: &Join) {
    pen.heading("[[join]]");
    pen.plain("terminals", list(join.terminals.iter().map(quoted)));
    pen.quoted("state", Some(join.state.word()));
    pen.text("note", join.note.as_ref());
}

pub(crate) fn kit(pen: &mut Pen, kit: &Kit) {
    kit.sources.iter().for_each(|s| source(pen, s));
    let mut items = |heading: &str, items: &[KitItem]| {
        for item in items {
            pen.heading(heading);
            pen.text("name", Some(&item.name));
            if !item.values.is_empty() {
                pen.plain("values", list(item.values.iter().map(quoted)));
            }
        }
    };
    items("[[kit.limiter]]", &kit.limiters);
    items("[[kit.load]]", &kit.loads);
    items("[[kit.protection]]", &kit.protection);
}

fn source(pen: &mut Pen, source: &KitSource) {
    pen.heading("[[kit.source]]");
    pen.text("name", Some(&source.name));
    pen.quoted("volts", source.volts.as_ref());
    pen.quoted("amperes", source.amperes.as_ref());
    pen.plain("phases", source.phases);
    pen.plain_if("isolated", source.isolated);
    let steady = match source.steadiness {
        Steadiness::Mains => "mains",
        Steadiness::Regulated => "regulated",
    };
    pen.quoted("steady", Some(steady));
    pen.quoted("impedance", source.impedance.as_ref());
    pen.flag("direct", source.direct);
}

pub(crate) fn instrument(pen: &mut Pen, instrument: &Instrument) {
    pen.heading("[[instrument]]");
    pen.quoted("designation", Some(&instrument.designation));
    pen.text("name", instrument.name.as_ref());
    pen.quoted("class", instrument.class.map(gear::InstrumentClass::word));
    match instrument.response {
        Response::TrueRms => pen.quoted("response", Some("true RMS")),
        Response::Average => pen.quoted("response", Some("average")),
        Response::Unknown => {}
    }
    pen.text("category", instrument.category.as_ref());
    pen.quoted("fuse", instrument.fuse.as_ref());
    pen.quoted("leads", instrument.leads.as_ref());
    instrument.ranges.iter().for_each(|r| range(pen, r));
}

fn range(pen: &mut Pen, range: &Range) {
    pen.heading("[[instrument.range]]");
    pen.quoted("measures", Some(range.measures.word()));
    if !range.full_scales.is_empty() {
        pen.plain("full_scales", list(range.full_scales.iter().map(quoted)));
    }
    pen.plain_if("counts", range.counts);
    pen.plain_if("divisions", range.divisions);
    pen.quoted("accuracy", range.accuracy.map(accuracy));
    pen.quoted("burden", range.burden.as_ref());
    pen.flag("clamp", range.clamp);
    pen.flag("four_wire", range.four_wire);
}

/// An accuracy bound in the fewest figures that read back as the same bound.
fn accuracy(bound: Accuracy) -> String {
    let shares = |written: &dyn Fn(&str) -> String, share: f64, back: &dyn Fn(&Accuracy) -> f64| {
        let shortest = (1..=FIGURES_OF_A_DOUBLE).map(|figures| significant(100.0 * share, figures));
        let same = shortest.into_iter().find(|figures| {
            Accuracy::parse(&written(figures)).is_ok_and(|read| back(&read) == share)
        });
        same.unwrap_or_else(|| (100.0 * share).to_string())
    };
    if bound.fraction == 0.0 && bound.digits == 0.0 && bound.full_scale > 0.0 {
        let class = shares(&|s| format!("class {s}"), bound.full_scale, &|a| {
            a.full_scale
        });
        return format!("class {class}");
    }
    let share = shares(&|s| format!("{s} %"), bound.fraction, &|a| a.fraction);
    let scale = shares(
        &|s| format!("{s} % of full scale"),
        bound.full_scale,
        &|a| a.full_scale,
    );
    match (bound.digits, bound.full_scale) {
        (0.0, 0.0) => format!("±{share} %"),
        (digits, 0.0) => format!("±({share} % + {digits})"),
        (0.0, _) => format!("±({share} % + {scale} % of full scale)"),
        (digits, _) => format!("±({share} % + {scale} % of full scale + {digits})"),
    }
}

/// Figures that tell any two doubles apart.
const FIGURES_OF_A_DOUBLE: usize = 17;

fn significant(value: f64, figures: usize) -> String {
    format!("{:.*e}", figures - 1, value)
        .parse::<f64>()
        .unwrap_or(value)
        .to_string()
}

fn setup(pen: &mut Pen, setup: &Setup) {
    pen.heading("[[setup]]");
    pen.plain("number", setup.number);
    pen.quoted("at", setup.at.as_ref().map(gear::Moment::text));
    pen.text("what", setup.what.as_ref());
    if !setup.sliders.is_empty() {
        pen.plain(
            "sliders",
            inline(
                setup
                    .sliders
                    .iter()
                    .map(|s| (s.slider.clone(), quoted(&s.at))),
            ),
        );
    }
    for (key, closed) in [("open", false), ("closed", true)] {
        let named: Vec<_> = setup
            .switches
            .iter()
            .filter(|s| s.closed == closed)
            .map(|s| quoted(&s.part))
            .collect();
        if !named.is_empty() {
            pen.plain(key, list(named));
        }
    }
    if !setup.joined.is_empty() {
        pen.plain(
            "joined",
            list(
                setup
                    .joined
                    .iter()
                    .map(|group| list(group.iter().map(quoted))),
            ),
        );
    }
    if !setup.lifted.is_empty() {
        pen.plain("lifted", list(setup.lifted.iter().map(quoted)));
    }
    pen.quoted("temperature", setup.temperature.as_ref());
    setup.feeds.iter().for_each(|f| feed(pen, f));
    setup.loads.iter().for_each(|l| load(pen, l));
}

fn feed(pen: &mut Pen, feed: &Feed) {
    pen.heading("[[setup.feed]]");
    pen.text("source", feed.source.as_ref());
    pen.plain("to", list(feed.to.iter().map(quoted)));
    pen.quoted("neutral", feed.neutral.as_ref());
    pen.flag("earthed", feed.earthed);
    pen.quoted("volts", feed.volts.as_ref());
    pen.quoted("frequency", feed.frequency.as_ref());
    pen.quoted("angle", feed.angle.as_ref());
    if !feed.lost.is_empty() {
        pen.plain("lost", list(feed.lost.iter().map(u8::to_string)));
    }
}

fn load(pen: &mut Pen, load: &SetupLoad) {
    pen.heading("[[setup.load]]");
    pen.plain("across", list(load.across.iter().map(quoted)));
    match load.pairing {
        Pairing::Single => {}
        Pairing::Star => pen.quoted("pairing", Some("star")),
        Pairing::Delta => pen.quoted("pairing", Some("delta")),
    }
    pen.quoted("resistance", load.resistance.as_ref());
    pen.quoted("reactance", load.reactance.as_ref());
    pen.quoted("power", load.power.as_ref());
    pen.quoted("volts", load.volts.as_ref());
    pen.quoted("power_factor", load.power_factor.as_ref());
}

fn reading(pen: &mut Pen, reading: &Reading) {
    pen.heading("[[reading]]");
    pen.plain("number", reading.number);
    pen.plain("setup", reading.setup);
    pen.quoted("at", reading.at.as_ref().map(gear::Moment::text));
    pen.plain_if("together", reading.together);
    pen.quoted("with", reading.instrument.as_ref());
    pen.quoted("measured", Some(reading.measured.word()));
    let pair = |a, b| list([quoted(a), quoted(b)]);
    match &reading.place {
        Place::Between(a, b) => pen.plain("between", pair(a, b)),
        Place::Into(a) => pen.quoted("into", Some(a)),
        Place::PowerInto { into, against } => {
            pen.quoted("into", Some(into));
            pen.quoted("against", Some(against));
        }
        Place::RatioOf(a, b, c, d) => {
            pen.plain("over", pair(a, b));
            pen.plain("under", pair(c, d));
        }
        Place::At(part) => pen.quoted("part", Some(part)),
    }
    pen.quoted("shown", reading.shown.as_ref());
    pen.plain_if("beep", reading.beep);
    pen.quoted("kick", reading.kick.map(gear::Kick::sign));
    pen.text("what", reading.what.as_ref());
    pen.text("struck", reading.struck.as_ref());
    pen.flag("kept", reading.kept);
    pen.text("note", reading.note.as_ref());
}
