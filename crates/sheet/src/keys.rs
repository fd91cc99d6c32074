//! The format itself: every table with its keys, what each holds, and a word on it. Reading, schema and documentation all come from here.

use crate::VERSION;
use crate::problem::Found;
use gear::{JoinState, Measured};
use toml::de::{DeTable, DeValue};

/// What a key holds.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Kind {
    /// Words.
    Text,
    /// A whole number, written plain, from 0.
    Whole,
    /// `true` or `false`.
    Flag,
    /// A quantity in quotes.
    Quantity,
    /// A quantity in quotes, or `""` where it is not known: a place in a list must be kept.
    QuantityOrNothing,
    /// An accuracy bound in quotes.
    Accuracy,
    /// `T1`.
    Designation,
    /// `T1:4`.
    Terminal,
    /// `2026-10-14 14:02`; also unquoted.
    Moment,
    /// One of these words.
    Words(fn() -> Vec<&'static str>),
    /// A list in brackets.
    List(&'static Kind),
    /// Two of them in brackets.
    Pair(&'static Kind),
    /// Slider names, each with its position.
    Positions,
    /// A table.
    Table(&'static Table),
    /// Tables under a double-bracket heading.
    Tables(&'static Table),
}

/// A key of a table.
#[derive(Debug)]
pub(crate) struct Key {
    /// The key.
    pub(crate) name: &'static str,
    /// What it holds.
    pub(crate) kind: Kind,
    /// Whether a sheet without it is refused.
    pub(crate) required: bool,
    /// What it is, in a few words.
    pub(crate) words: &'static str,
    /// A value as it would be written; empty for tables.
    pub(crate) example: &'static str,
}

/// A table of the format.
#[derive(Debug)]
pub(crate) struct Table {
    /// How it is headed: `[find]`, `[[part.winding]]`.
    pub(crate) heading: &'static str,
    /// What it is, in a few words.
    pub(crate) words: &'static str,
    /// Its keys in the order they are written.
    pub(crate) keys: &'static [Key],
}

const fn may(name: &'static str, kind: Kind, example: &'static str, words: &'static str) -> Key {
    Key {
        name,
        kind,
        required: false,
        words,
        example,
    }
}

const fn must(name: &'static str, kind: Kind, example: &'static str, words: &'static str) -> Key {
    Key {
        name,
        kind,
        required: true,
        words,
        example,
    }
}

const fn table(name: &'static str, table: &'static Table) -> Key {
    may(name, Kind::Table(table), "", table.words)
}

const fn tables(name: &'static str, table: &'static Table) -> Key {
    may(name, Kind::Tables(table), "", table.words)
}

use Kind::{
    Accuracy, Designation, Flag, List, Moment, Pair, Positions, Quantity, QuantityOrNothing,
    Terminal, Text, Whole, Words,
};

const TERMINALS: Kind = List(&Terminal);

/// The whole sheet.
pub(crate) static SHEET: Table = Table {
    heading: "the sheet",
    words: "a find as one text",
    keys: &[
        must("sheet", Whole, "1", "version of this format"),
        Key {
            required: true,
            ..table("find", &FIND)
        },
        table("plate", &PLATE),
        tables("part", &PART),
        tables("gang", &GANG),
        tables("lead", &LEAD),
        tables("join", &JOIN),
        table("kit", &KIT),
        tables("instrument", &INSTRUMENT),
        tables("setup", &SETUP),
        tables("reading", &READING),
        tables("damage", &DAMAGE),
        tables("note", &NOTE),
    ],
};

static FIND: Table = Table {
    heading: "[find]",
    words: "the find itself",
    keys: &[
        must(
            "name",
            Text,
            "\"Stabilizer from the barn\"",
            "what you call it",
        ),
        may("number", Whole, "12", "its number in your book"),
        may(
            "origin",
            Text,
            "\"behind the barn, under a tarpaulin\"",
            "where it came from",
        ),
        may(
            "arrangement",
            Text,
            "\"stabilizer-centre-tap\"",
            "key of the named arrangement it is believed to have; words only, the joins decide",
        ),
    ],
};

static PLATE: Table = Table {
    heading: "[plate]",
    words: "what its rating plate says",
    keys: &[
        may(
            "text",
            Text,
            "\"30 kVA  3~ 50 Hz\"",
            "the lines as read, `?` for an illegible figure",
        ),
        may("phases", Whole, "3", "number of phases, 1 or 3"),
        may("power", Quantity, "\"30 kVA\"", "rated power, VA or W"),
        may(
            "voltage",
            Quantity,
            "\"400 V\"",
            "rated voltage where the plate gives one",
        ),
        may(
            "input_voltage",
            Quantity,
            "\"320 to 480 V\"",
            "input voltage, a span for a stabilizer",
        ),
        may("output_voltage", Quantity, "\"400 V\"", "output voltage"),
        may(
            "correction",
            Quantity,
            "\"±20 %\"",
            "regulation range as a share of the voltage",
        ),
        may(
            "current",
            Quantity,
            "\"43 A\"",
            "rated current where the plate gives one",
        ),
        may("input_current", Quantity, "\"54 A\"", "input current"),
        may("output_current", Quantity, "\"43 A\"", "output current"),
        may("frequency", Quantity, "\"50 Hz\"", "frequency"),
        may(
            "power_factor",
            Quantity,
            "\"0.8\"",
            "power factor the rating is for, plain figure",
        ),
        may(
            "impedance",
            Quantity,
            "\"4 %\"",
            "short-circuit impedance, share",
        ),
        may("no-load_current", Quantity, "\"0.4 A\"", "no-load current"),
        may("no-load_loss", Quantity, "\"45 W\"", "no-load loss"),
        may("load_loss", Quantity, "\"120 W\"", "load loss"),
        may(
            "ambient",
            Quantity,
            "\"40 °C\"",
            "ambient temperature allowed",
        ),
        may("mass", Quantity, "\"180 kg\"", "mass"),
        may(
            "marks",
            List(&Text),
            "[\"class B\", \"IP 20\"]",
            "words on it that are no quantity",
        ),
    ],
};

/// The words of `kind`, each with the keys a part of that kind may have beside the common ones.
pub(crate) const PART_KINDS: [(&str, &[&str]); 9] = [
    ("transformer", WOUND),
    ("variable autotransformer", WOUND),
    ("choke", WOUND),
    ("resistor", &["resistance"]),
    ("capacitor", &["capacitance"]),
    ("load", &["resistance", "reactance"]),
    ("fuse", &["current"]),
    ("switch", &[]),
    ("terminals", &["terminals"]),
];

/// Keys every part may have.
pub(crate) const ANY_PART: [&str; 4] = ["designation", "kind", "name", "phase"];
const WOUND: &[&str] = &["power", "frequency", "insulation", "core", "winding"];

fn part_kinds() -> Vec<&'static str> {
    PART_KINDS.iter().map(|(word, _)| *word).collect()
}

pub(crate) static PART: Table = Table {
    heading: "[[part]]",
    words: "a part of the find",
    keys: &[
        must(
            "designation",
            Designation,
            "\"T1\"",
            "its designation, letters and a number (IEC 81346-2)",
        ),
        must("kind", Words(part_kinds), "\"transformer\"", "what it is"),
        may("name", Text, "\"booster of L1\"", "what you call it"),
        may(
            "phase",
            Whole,
            "1",
            "the phase it belongs to, 1 to 3, where there are three like it",
        ),
        may(
            "power",
            Quantity,
            "\"2 kVA\"",
            "power written on the part itself, VA or W (wound parts)",
        ),
        may(
            "frequency",
            Quantity,
            "\"50 Hz\"",
            "frequency written on the part itself (wound parts)",
        ),
        may(
            "insulation",
            Text,
            "\"class B\"",
            "what is known of its insulation (wound parts)",
        ),
        table("core", &CORE),
        tables("winding", &WINDING),
        may(
            "resistance",
            Quantity,
            "\"20 Ω\"",
            "resistance (resistor, load)",
        ),
        may(
            "reactance",
            Quantity,
            "\"5 Ω\"",
            "series reactance at rated frequency, below zero for a capacitive one (load)",
        ),
        may(
            "capacitance",
            Quantity,
            "\"20 µF\"",
            "capacitance (capacitor)",
        ),
        may("current", Quantity, "\"50 A\"", "rated current (fuse)"),
        may(
            "terminals",
            List(&Text),
            "[\"1\", \"2\", \"3\", \"N\", \"PE\"]",
            "marks in their order (terminals)",
        ),
    ],
};

static CORE: Table = Table {
    heading: "core = { }",
    words: "what is known of a wound part's core",
    keys: &[
        may("shape", Text, "\"toroid\"", "shape as you see it"),
        may("area", Quantity, "\"20 cm²\"", "net cross-section"),
        may("mass", Quantity, "\"11 kg\"", "mass of the whole part"),
        may(
            "loss",
            Quantity,
            "\"12 W\"",
            "core loss at rated volts and frequency",
        ),
        may(
            "current",
            Quantity,
            "\"115 mA\"",
            "no-load current of the first winding at rated volts and frequency",
        ),
        may(
            "knee",
            Quantity,
            "\"265 V\"",
            "first winding's volts where the core leaves its straight line, at rated frequency",
        ),
    ],
};

static WINDING: Table = Table {
    heading: "[[part.winding]]",
    words: "a winding of the part above it",
    keys: &[
        must("name", Text, "\"primary\"", "its name, unique in the part"),
        must(
            "points",
            List(&Text),
            "[\"1.2\", \"1.1\"]",
            "terminals in order of the turns: the first is position 0, the last position 1",
        ),
        may(
            "at",
            List(&QuantityOrNothing),
            "[\"0\", \"0.50\", \"1\"]",
            "positions of all points, or of the inner ones alone; `\"\"` where unknown",
        ),
        may(
            "dot",
            Words(|| vec!["first", "last"]),
            "\"first\"",
            "the point where the winding starts; left out where unknown",
        ),
        may(
            "sliders",
            List(&Text),
            "[\"4\"]",
            "terminals of its sliders",
        ),
        may(
            "brush",
            List(&QuantityOrNothing),
            "[\"40 mΩ\"]",
            "resistance of brush and contact, one a slider; `\"\"` where unknown",
        ),
        may("volts", Quantity, "\"230 V\"", "rated voltage, end to end"),
        may("amperes", Quantity, "\"7 A\"", "rated current"),
        may(
            "resistance",
            Quantity,
            "\"1.5 Ω\"",
            "direct-current resistance end to end, at 20 °C",
        ),
        may(
            "leakage",
            Quantity,
            "\"0.5 Ω\"",
            "leakage reactance end to end, at rated frequency",
        ),
        may("turns", Quantity, "\"230\"", "number of turns, end to end"),
    ],
};

static GANG: Table = Table {
    heading: "[[gang]]",
    words: "sliders on one shaft or chain",
    keys: &[
        must("name", Text, "\"chain\"", "its name"),
        must(
            "parts",
            List(&Designation),
            "[\"T1\", \"T2\", \"T3\"]",
            "the parts whose sliders it moves",
        ),
    ],
};

fn states() -> Vec<&'static str> {
    [JoinState::Assumed, JoinState::Found, JoinState::Seen]
        .map(JoinState::word)
        .to_vec()
}

static LEAD: Table = Table {
    heading: "[[lead]]",
    words: "one conductor between two terminals, or to a cut end",
    keys: &[
        must("designation", Designation, "\"W1\"", "its designation"),
        must("from", Terminal, "\"X1:1\"", "where it starts"),
        may(
            "to",
            Terminal,
            "\"F1:1\"",
            "where it ends; left out for a cut or loose end",
        ),
        may("colour", Text, "\"brown\"", "colour as seen"),
        may("section", Quantity, "\"6 mm²\"", "copper section"),
        may("mark", Text, "\"L1\"", "mark or tag on it"),
        may(
            "state",
            Words(states),
            "\"seen\"",
            "how it is known; `assumed` where left out",
        ),
    ],
};

static JOIN: Table = Table {
    heading: "[[join]]",
    words: "terminals that are one conductor",
    keys: &[
        must(
            "terminals",
            TERMINALS,
            "[\"T1:3\", \"T2:3\", \"X1:N\"]",
            "the terminals, two or more",
        ),
        may(
            "state",
            Words(states),
            "\"assumed\"",
            "how it is known; `assumed` where left out",
        ),
        may("note", Text, "\"soldered\"", "a remark"),
    ],
};

static KIT: Table = Table {
    heading: "[kit]",
    words: "what you can feed, limit, load and protect with",
    keys: &[
        tables("source", &SOURCE),
        tables("limiter", &LIMITER),
        tables("load", &KIT_LOAD),
        tables("protection", &PROTECTION),
    ],
};

static SOURCE: Table = Table {
    heading: "[[kit.source]]",
    words: "a source",
    keys: &[
        must(
            "name",
            Text,
            "\"bench supply\"",
            "its name, unique in the kit",
        ),
        may(
            "volts",
            Quantity,
            "\"0 to 48 V\"",
            "volts it gives, line to line for three phases; a span where it can be set",
        ),
        may("amperes", Quantity, "\"5 A\"", "most amperes"),
        may("phases", Whole, "1", "1 or 3; 1 where left out"),
        may(
            "isolated",
            Flag,
            "true",
            "whether a legible mark says it is isolated from the mains; left out where unknown, which counts as not",
        ),
        may(
            "steady",
            Words(|| vec!["mains", "regulated"]),
            "\"mains\"",
            "how steady its volts are; `mains` where left out",
        ),
        may("impedance", Quantity, "\"0.5 Ω\"", "its impedance, a phase"),
        may(
            "direct",
            Flag,
            "false",
            "whether it gives direct current; `false` where left out",
        ),
    ],
};

const KIT_ITEM: [Key; 2] = [
    must("name", Text, "\"lamp 100 W\"", "its name"),
    may(
        "values",
        List(&Quantity),
        "[\"100 W\", \"230 V\"]",
        "its values",
    ),
];
static LIMITER: Table = Table {
    heading: "[[kit.limiter]]",
    words: "a lamp, resistor or choke to put in series",
    keys: &KIT_ITEM,
};
static KIT_LOAD: Table = Table {
    heading: "[[kit.load]]",
    words: "a load to put on",
    keys: &KIT_ITEM,
};
static PROTECTION: Table = Table {
    heading: "[[kit.protection]]",
    words: "a fuse, breaker or residual-current device",
    keys: &KIT_ITEM,
};

static INSTRUMENT: Table = Table {
    heading: "[[instrument]]",
    words: "a meter",
    keys: &[
        must("designation", Designation, "\"P1\"", "its designation"),
        may("name", Text, "\"6000-count multimeter\"", "what it is"),
        may(
            "response",
            Words(|| vec!["true RMS", "average"]),
            "\"true RMS\"",
            "how it makes an AC figure; left out where unknown",
        ),
        may(
            "category",
            Text,
            "\"CAT III 600 V\"",
            "measurement category as printed on it",
        ),
        may("fuse", Quantity, "\"10 A\"", "fuse of its current input"),
        tables("range", &RANGE),
    ],
};

fn measured() -> Vec<&'static str> {
    Measured::ALL.map(Measured::word).to_vec()
}

static RANGE: Table = Table {
    heading: "[[instrument.range]]",
    words: "something the meter above it measures, with its ranges",
    keys: &[
        must(
            "measures",
            Words(measured),
            "\"AC voltage\"",
            "what it measures",
        ),
        may(
            "full_scales",
            List(&Quantity),
            "[\"6 V\", \"60 V\", \"600 V\"]",
            "full scales, rising",
        ),
        may("counts", Whole, "6000", "greatest count shown"),
        may(
            "accuracy",
            Accuracy,
            "\"±(0.8 % + 3)\"",
            "accuracy bound: share of the reading, then units of the last digit",
        ),
        may(
            "burden",
            Quantity,
            "\"10 MΩ\"",
            "ohms across its terminals (volts) or in series (amperes)",
        ),
        may(
            "clamp",
            Flag,
            "false",
            "a clamp: nothing stands in series; `false` where left out",
        ),
        may(
            "four_wire",
            Flag,
            "false",
            "ohms with four leads; `false` where left out",
        ),
    ],
};

static SETUP: Table = Table {
    heading: "[[setup]]",
    words: "how the find was connected for a test",
    keys: &[
        must("number", Whole, "5", "its number, as in \"setup 5\""),
        may("at", Moment, "\"2026-10-14 14:02\"", "when it was made"),
        may(
            "what",
            Text,
            "\"no load, slider at 0.70\"",
            "in a few words",
        ),
        may(
            "sliders",
            Positions,
            "{ chain = \"0.70\" }",
            "slider positions, by gang, part or terminal",
        ),
        may(
            "open",
            List(&Designation),
            "[\"F1\"]",
            "fuses and switches that stand open",
        ),
        may(
            "closed",
            List(&Designation),
            "[\"Q1\"]",
            "fuses and switches closed again",
        ),
        may(
            "joined",
            List(&TERMINALS),
            "[[\"T4:2.1\", \"T4:2.2\"]]",
            "terminals clipped together for this setup",
        ),
        may(
            "lifted",
            TERMINALS,
            "[\"T4:1.1\"]",
            "terminals taken out of the find's joins for this setup",
        ),
        may(
            "temperature",
            Quantity,
            "\"20 °C\"",
            "temperature of the windings",
        ),
        tables("feed", &FEED),
        tables("load", &LOAD),
    ],
};

static FEED: Table = Table {
    heading: "[[setup.feed]]",
    words: "a source put on terminals in the setup above it",
    keys: &[
        may(
            "source",
            Text,
            "\"bench supply\"",
            "name of the kit's source",
        ),
        must(
            "to",
            TERMINALS,
            "[\"X1:1\", \"X1:2\", \"X1:3\"]",
            "two terminals for one phase or direct current, three for three phases",
        ),
        may(
            "neutral",
            Terminal,
            "\"X1:N\"",
            "three phases: where the source's star point lands; left out for three wires",
        ),
        may(
            "earthed",
            Flag,
            "false",
            "three phases: whether the source's star point is earthed; `false` where left out",
        ),
        may(
            "volts",
            Quantity,
            "\"41.8 V\"",
            "nominal volts, line to line for three phases",
        ),
        may(
            "frequency",
            Quantity,
            "\"50 Hz\"",
            "frequency; the plate's where left out",
        ),
        may(
            "angle",
            Quantity,
            "\"-120 °\"",
            "phase angle of a one-phase feed against others of the setup",
        ),
        may(
            "lost",
            List(&Whole),
            "[2]",
            "phases of a three-phase feed that are missing",
        ),
    ],
};

static LOAD: Table = Table {
    heading: "[[setup.load]]",
    words: "a load put on in the setup above it",
    keys: &[
        must(
            "across",
            TERMINALS,
            "[\"X2:1\", \"X2:N\"]",
            "two terminals; three or four (neutral last) for three like loads",
        ),
        may(
            "pairing",
            Words(|| vec!["star", "delta"]),
            "\"star\"",
            "how three like loads stand; only with three or four terminals",
        ),
        may(
            "resistance",
            Quantity,
            "\"20 Ω\"",
            "series resistance of each",
        ),
        may(
            "reactance",
            Quantity,
            "\"0 Ω\"",
            "series reactance of each; below zero for a capacitive one",
        ),
        may("power", Quantity, "\"10 kW\"", "or its power, VA or W"),
        may(
            "volts",
            Quantity,
            "\"400 V\"",
            "the volts the power is for; the plate's output where left out",
        ),
        may(
            "power_factor",
            Quantity,
            "\"0.8\"",
            "power factor, lagging; 1 where left out",
        ),
    ],
};

pub(crate) static READING: Table = Table {
    heading: "[[reading]]",
    words: "one value from one instrument at one place in one setup at one time",
    keys: &[
        must("number", Whole, "24", "its number, as in \"reading 24\""),
        must("setup", Whole, "5", "number of the setup it was taken in"),
        may(
            "at",
            Moment,
            "\"14:09\"",
            "when; the setup's day where none is written",
        ),
        may("with", Designation, "\"P1\"", "the instrument"),
        may(
            "measured",
            Words(measured),
            "\"AC voltage\"",
            "what was measured; where left out the unit of `shown` tells",
        ),
        may(
            "between",
            Pair(&Terminal),
            "[\"T4:2.1\", \"T4:2.2\"]",
            "place of a voltage, resistance or continuity",
        ),
        may(
            "into",
            Terminal,
            "\"X1:1\"",
            "place of a current, or of power with `against`: what flows into the part there",
        ),
        may(
            "against",
            Terminal,
            "\"X1:N\"",
            "power: the terminal its voltage is taken against",
        ),
        may(
            "over",
            Pair(&Terminal),
            "[\"T4:1.1\", \"T4:1.2\"]",
            "ratio: the pair above the line",
        ),
        may(
            "under",
            Pair(&Terminal),
            "[\"T4:2.1\", \"T4:2.2\"]",
            "ratio: the pair below the line",
        ),
        may("part", Designation, "\"T1\"", "temperature: the part"),
        may(
            "shown",
            Quantity,
            "\"21.0 V\"",
            "what the instrument showed, digit by digit",
        ),
        may("beep", Flag, "true", "continuity: whether it beeped"),
        may(
            "what",
            Text,
            "\"booster secondary\"",
            "what you call this place",
        ),
        may(
            "struck",
            Text,
            "\"clip sat on the tap\"",
            "the reason it was struck; present means struck",
        ),
        may(
            "kept",
            Flag,
            "true",
            "looked at again and kept as read; `false` where left out",
        ),
        may("note", Text, "\"needle trembled\"", "a remark"),
    ],
};

static DAMAGE: Table = Table {
    heading: "[[damage]]",
    words: "damage seen on a part",
    keys: &[
        must("part", Designation, "\"T1\"", "the part"),
        may(
            "winding",
            Text,
            "\"secondary\"",
            "name of its winding; left out for the part as a whole",
        ),
        must("what", Text, "\"track pitted\"", "what is seen"),
        may(
            "travel",
            Pair(&Quantity),
            "[\"0.46\", \"0.53\"]",
            "where along the turns, lower end first",
        ),
        may("at", Moment, "\"2026-10-14 14:22\"", "when it was noted"),
    ],
};

static NOTE: Table = Table {
    heading: "[[note]]",
    words: "a note",
    keys: &[
        may("at", Moment, "\"2026-10-14\"", "when"),
        must("text", Text, "\"smells of varnish\"", "the words"),
    ],
};

/// What is wrong with the version, when nothing else is worth telling.
pub(crate) fn version_problem(root: &DeTable<'_>) -> Option<Found> {
    let value = root.get("sheet")?;
    let DeValue::Integer(number) = value.get_ref() else {
        return None;
    };
    let version = i64::from_str_radix(number.as_str(), number.radix()).ok();
    if version == Some(i64::from(VERSION)) {
        return None;
    }
    let newer = version.is_none_or(|v| v > i64::from(VERSION));
    Some(Found {
        at: value.span().start,
        path: "sheet".into(),
        what: format!("this is a sheet of version {number}; this program knows version {VERSION}"),
        remedy: if newer {
            "read it with a newer program".into()
        } else {
            format!("write `sheet = {VERSION}`")
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use gear::PlateField;

    #[test]
    fn every_plate_field_is_a_key() {
        for field in PlateField::ALL {
            let key = field.word().replace(' ', "_");
            assert!(PLATE.keys.iter().any(|k| k.name == key), "{key}");
        }
        assert_eq!(
            PLATE.keys.len(),
            PlateField::ALL.len() + 3,
            "text, phases and marks beside them"
        );
    }

    #[test]
    fn every_key_of_a_part_belongs_to_a_kind() {
        for key in PART.keys {
            let known = ANY_PART.contains(&key.name)
                || PART_KINDS.iter().any(|(_, keys)| keys.contains(&key.name));
            assert!(known, "{}", key.name);
        }
    }
}
