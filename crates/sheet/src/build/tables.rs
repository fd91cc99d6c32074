//! Table by table into the nouns of `gear`.

use super::cursor::{self, Cursor};
use super::told_by;
use gear::{
    CoreFacts, Damage, Dot, Feed, Find, Gang, Instrument, InstrumentClass, Join, JoinState, Kick,
    Kit, KitItem, KitSource, Lead, Measured, Note, Pairing, Part, PartKind, Place, Plate,
    PlateField, Point, Range, Reading, Response, Setup, SetupLoad, Slider, SliderSetting,
    Steadiness, SwitchSetting, Travel, Unmarked, Winding, Wound, nearest,
};
use quantity::Accuracy;

pub(super) fn sheet(root: &Cursor<'_>) -> Find {
    let head = root.table("find");
    let head = head.as_ref();
    let words = |key: &str| head.and_then(|h| h.text(key));
    let kit = root.table("kit").map(|k| kit(&k)).unwrap_or_default();
    let setups = root.tables("setup", setup);
    let direct = |number: u32| {
        let feeds = setups
            .iter()
            .find(|s| s.number == number)
            .map(|s| s.feeds.as_slice())
            .unwrap_or_default();
        feeds.iter().any(|f| {
            kit.sources
                .iter()
                .any(|s| s.direct && Some(&s.name) == f.source.as_ref())
        })
    };
    let readings = root.tables("reading", |c| reading(c, direct));
    Find {
        name: words("name").unwrap_or_default(),
        number: head.and_then(|h| h.whole("number")),
        origin: words("origin"),
        arrangement: words("arrangement"),
        plate: root.table("plate").map(|p| plate(&p)).unwrap_or_default(),
        parts: root.tables("part", part),
        gangs: root.tables("gang", |c| {
            Some(Gang {
                name: c.text("name")?,
                parts: c.list("parts", cursor::designation),
            })
        }),
        leads: root.tables("lead", lead),
        joins: root.tables("join", |c| {
            c.has("terminals").then(|| Join {
                terminals: c.list("terminals", cursor::terminal),
                state: state(c),
                note: c.text("note"),
            })
        }),
        kit,
        instruments: root.tables("instrument", instrument),
        setups,
        readings,
        damage: root.tables("damage", damage),
        notes: root.tables("note", |c| {
            Some(Note {
                at: c.moment("at"),
                text: c.text("text")?,
            })
        }),
    }
}

fn plate(c: &Cursor<'_>) -> Plate {
    let key = |field: PlateField| field.word().replace(' ', "_");
    let mut fields: Vec<_> = PlateField::ALL
        .into_iter()
        .filter_map(|f| c.quantity(&key(f)).map(|q| (f, q)))
        .collect();
    fields.sort_by_key(|(field, _)| c.start(&key(*field)));
    Plate {
        text: c.text("text"),
        fields,
        phases: c.small("phases"),
        marks: c.list("marks", cursor::text),
    }
}

fn part(c: &Cursor<'_>) -> Option<Part> {
    Some(Part {
        designation: c.designation("designation")?,
        name: c.text("name"),
        phase: c.small("phase"),
        kind: part_kind(c),
    })
}

/// The kind of a part; of a misspelt word the likely one, so that its terminals still count.
fn part_kind(c: &Cursor<'_>) -> PartKind {
    let word = c.text("kind").unwrap_or_default();
    let known = crate::keys::PART_KINDS.iter().map(|(word, _)| *word);
    let likely = match nearest(&word, known) {
        Some(near) => near,
        None if c.has("leads") => "unmarked windings",
        None if c.has("winding") => "transformer",
        None if c.has("terminals") => "terminals",
        None => "switch",
    };
    match likely {
        "transformer" => PartKind::Transformer(wound(c)),
        "variable autotransformer" => PartKind::VariableAutotransformer(wound(c)),
        "choke" => PartKind::Choke(wound(c)),
        "resistor" => PartKind::Resistor {
            resistance: c.quantity("resistance"),
        },
        "capacitor" => PartKind::Capacitor {
            capacitance: c.quantity("capacitance"),
        },
        "load" => PartKind::Load {
            resistance: c.quantity("resistance"),
            reactance: c.quantity("reactance"),
        },
        "fuse" => PartKind::Fuse {
            current: c.quantity("current"),
        },
        "terminals" => PartKind::Terminals(c.list("terminals", cursor::text)),
        "unmarked windings" => PartKind::Unmarked(Unmarked {
            leads: c.list("leads", cursor::text),
            number_of_windings: c.whole("number_of_windings"),
            wound: wound(c),
        }),
        _ => PartKind::Switch,
    }
}

fn wound(c: &Cursor<'_>) -> Wound {
    Wound {
        windings: c.tables("winding", winding),
        core: c.table("core").map(|k| core(&k)).unwrap_or_default(),
        power: c.quantity("power"),
        frequency: c.quantity("frequency"),
        insulation: c.text("insulation"),
    }
}

fn core(c: &Cursor<'_>) -> CoreFacts {
    CoreFacts {
        shape: c.text("shape"),
        area: c.quantity("area"),
        mass: c.quantity("mass"),
        loss: c.quantity("loss"),
        current: c.quantity("current"),
        knee: c.quantity("knee"),
    }
}

fn winding(c: &Cursor<'_>) -> Option<Winding> {
    let marks = c.list("points", cursor::text);
    // Positions of the inner points alone start at the second point.
    let positions = c.list("at", cursor::quantity_or_nothing);
    let inner = positions.len() + 2 == marks.len();
    let positions = if inner {
        c.list_from("at", 1, cursor::quantity_or_nothing)
    } else {
        positions
    };
    let at = |i: usize| {
        let index = if inner { i.checked_sub(1)? } else { i };
        positions.get(index).cloned().flatten()
    };
    let brushes = c.list("brush", cursor::quantity_or_nothing);
    let sliders = c.list("sliders", cursor::text);
    let slider = |(i, terminal)| Slider {
        terminal,
        brush: brushes.get(i).cloned().flatten(),
    };
    Some(Winding {
        name: c.text("name")?,
        points: marks
            .into_iter()
            .enumerate()
            .map(|(i, terminal)| Point {
                terminal,
                at: at(i),
            })
            .collect(),
        sliders: sliders.into_iter().enumerate().map(slider).collect(),
        dot: match c.text("dot").as_deref() {
            Some("first") => Dot::First,
            Some("last") => Dot::Last,
            _ => Dot::Unknown,
        },
        volts: c.quantity("volts"),
        amperes: c.quantity("amperes"),
        resistance: c.quantity("resistance"),
        leakage: c.quantity("leakage"),
        turns: c.quantity("turns"),
    })
}

fn state(c: &Cursor<'_>) -> JoinState {
    match c.text("state").as_deref() {
        Some("found") => JoinState::Found,
        Some("seen") => JoinState::Seen,
        _ => JoinState::Assumed,
    }
}

fn lead(c: &Cursor<'_>) -> Option<Lead> {
    Some(Lead {
        designation: c.designation("designation")?,
        from: c.terminal("from")?,
        to: c.terminal("to"),
        colour: c.text("colour"),
        section: c.quantity("section"),
        mark: c.text("mark"),
        state: state(c),
    })
}

fn kit(c: &Cursor<'_>) -> Kit {
    let items = |key: &str| {
        c.tables(key, |c| {
            Some(KitItem {
                name: c.text("name")?,
                values: c.list("values", cursor::quantity),
            })
        })
    };
    Kit {
        sources: c.tables("source", source),
        limiters: items("limiter"),
        loads: items("load"),
        protection: items("protection"),
    }
}

fn source(c: &Cursor<'_>) -> Option<KitSource> {
    Some(KitSource {
        name: c.text("name")?,
        volts: c.quantity("volts"),
        amperes: c.quantity("amperes"),
        phases: c.small("phases").unwrap_or(1),
        isolated: c.flag("isolated"),
        steadiness: if c.text("steady").as_deref() == Some("regulated") {
            Steadiness::Regulated
        } else {
            Steadiness::Mains
        },
        impedance: c.quantity("impedance"),
        direct: c.flag("direct").unwrap_or(false),
    })
}

fn instrument(c: &Cursor<'_>) -> Option<Instrument> {
    Some(Instrument {
        designation: c.designation("designation")?,
        name: c.text("name"),
        class: c.text("class").and_then(|w| class(&w)),
        response: match c.text("response").as_deref() {
            Some("true RMS") => Response::TrueRms,
            Some("average") => Response::Average,
            _ => Response::Unknown,
        },
        ranges: c.tables("range", range),
        category: c.text("category"),
        fuse: c.quantity("fuse"),
        leads: c.quantity("leads"),
    })
}

fn class(word: &str) -> Option<InstrumentClass> {
    InstrumentClass::ALL.into_iter().find(|c| c.word() == word)
}

fn measured(word: &str) -> Option<Measured> {
    Measured::ALL.into_iter().find(|m| m.word() == word)
}

fn range(c: &Cursor<'_>) -> Option<Range> {
    Some(Range {
        measures: measured(&c.text("measures")?)?,
        full_scales: c.list("full_scales", cursor::quantity),
        counts: c.whole("counts"),
        divisions: c.whole("divisions"),
        accuracy: c.text("accuracy").and_then(|t| Accuracy::parse(&t).ok()),
        burden: c.quantity("burden"),
        clamp: c.flag("clamp").unwrap_or(false),
        four_wire: c.flag("four_wire").unwrap_or(false),
    })
}

fn setup(c: &Cursor<'_>) -> Option<Setup> {
    let switches = |key: &str, closed: bool| {
        c.list(key, cursor::designation)
            .into_iter()
            .map(move |part| SwitchSetting { part, closed })
            .collect::<Vec<_>>()
    };
    Some(Setup {
        number: c.whole("number")?,
        at: c.moment("at"),
        what: c.text("what"),
        feeds: c.tables("feed", feed),
        sliders: c
            .settings("sliders")
            .into_iter()
            .map(|(slider, at)| SliderSetting { slider, at })
            .collect(),
        switches: [switches("open", false), switches("closed", true)].concat(),
        joined: c.lists("joined", cursor::terminal),
        lifted: c.list("lifted", cursor::terminal),
        loads: c.tables("load", load),
        temperature: c.quantity("temperature"),
    })
}

fn feed(c: &Cursor<'_>) -> Option<Feed> {
    c.has("to").then(|| Feed {
        source: c.text("source"),
        to: c.list("to", cursor::terminal),
        neutral: c.terminal("neutral"),
        earthed: c.flag("earthed").unwrap_or(false),
        volts: c.quantity("volts"),
        frequency: c.quantity("frequency"),
        angle: c.quantity("angle"),
        lost: c.list("lost", |n| cursor::whole(n).map(cursor::saturated)),
    })
}

fn load(c: &Cursor<'_>) -> Option<SetupLoad> {
    c.has("across").then(|| SetupLoad {
        across: c.list("across", cursor::terminal),
        pairing: match c.text("pairing").as_deref() {
            Some("star") => Pairing::Star,
            Some("delta") => Pairing::Delta,
            _ => Pairing::Single,
        },
        resistance: c.quantity("resistance"),
        reactance: c.quantity("reactance"),
        power: c.quantity("power"),
        volts: c.quantity("volts"),
        power_factor: c.quantity("power_factor"),
    })
}

fn reading(c: &Cursor<'_>, direct: impl Fn(u32) -> bool) -> Option<Reading> {
    let setup = c.whole("setup")?;
    let place = place(c)?;
    let shown = c.quantity("shown");
    let beep = c.flag("beep");
    let kick = match c.text("kick").as_deref() {
        Some("+") => Some(Kick::Up),
        Some("-") => Some(Kick::Down),
        _ => None,
    };
    let measured = match c.text("measured") {
        Some(word) => measured(&word)?,
        None if beep.is_some() => Measured::Continuity,
        None if kick.is_some() => Measured::Kick,
        None => shown
            .as_ref()
            .and_then(|s| told_by(s, direct(setup)))
            .unwrap_or(usual_at(&place)),
    };
    Some(Reading {
        number: c.whole("number")?,
        setup,
        at: c.moment("at"),
        together: c.whole("together"),
        instrument: c.designation("with"),
        measured,
        place,
        shown,
        beep,
        kick,
        what: c.text("what"),
        struck: c.text("struck"),
        kept: c.flag("kept").unwrap_or(false),
        note: c.text("note"),
    })
}

fn place(c: &Cursor<'_>) -> Option<Place> {
    if c.has("between") {
        return c
            .pair("between", cursor::terminal)
            .map(|(a, b)| Place::Between(a, b));
    }
    if c.has("over") {
        let ((a, b), (u, v)) = (
            c.pair("over", cursor::terminal)?,
            c.pair("under", cursor::terminal)?,
        );
        return Some(Place::RatioOf(a, b, u, v));
    }
    if c.has("against") {
        return Some(Place::PowerInto {
            into: c.terminal("into")?,
            against: c.terminal("against")?,
        });
    }
    if c.has("into") {
        return c.terminal("into").map(Place::Into);
    }
    c.designation("part").map(Place::At)
}

/// What is usually read at such a place, for a reading that does not say; such a sheet is refused anyway, and this lets the rest be checked.
fn usual_at(place: &Place) -> Measured {
    match place {
        Place::Between(..) => Measured::AcVoltage,
        Place::Into(_) => Measured::AcCurrent,
        Place::PowerInto { .. } => Measured::Power,
        Place::RatioOf(..) => Measured::Ratio,
        Place::At(_) => Measured::Temperature,
    }
}

fn damage(c: &Cursor<'_>) -> Option<Damage> {
    Some(Damage {
        part: c.designation("part")?,
        winding: c.text("winding"),
        what: c.text("what")?,
        travel: c
            .pair("travel", cursor::quantity)
            .map(|(from, to)| Travel { from, to }),
        at: c.moment("at"),
    })
}
