//! Tables of the bench: kit, instruments, setups, readings.

use super::Kind::{Accuracy, Designation, Flag, List, Moment, Pair, Positions, Quantity, Terminal, Text, Whole, Words};
use super::{Key, TERMINALS, Table, may, must, tables};
use gear::{InstrumentClass, Measured};

pub(super) static KIT: Table = Table {
    heading: "[kit]",
    words: "what you can feed, limit, load and protect with",
    keys: &[tables("source", &SOURCE), tables("limiter", &LIMITER), tables("load", &KIT_LOAD), tables("protection", &PROTECTION)],
};

static SOURCE: Table = Table {
    heading: "[[kit.source]]",
    words: "a source",
    keys: &[
        must("name", Text, "\"bench supply\"", "its name, unique in the kit"),
        may("volts", Quantity, "\"0 to 48 V\"", "volts it gives, line to line for three phases; a span where it can be set"),
        may("amperes", Quantity, "\"5 A\"", "most amperes"),
        may("phases", Whole, "1", "1 or 3; 1 where left out"),
        may("isolated", Flag, "true", "whether a legible mark says it is isolated from the mains; left out where unknown, which counts as not"),
        may("steady", Words(|| vec!["mains", "regulated"]), "\"mains\"", "how steady its volts are; `mains` where left out"),
        may("impedance", Quantity, "\"0.5 Ω\"", "its impedance, a phase"),
        may("direct", Flag, "false", "whether it gives direct current; `false` where left out"),
    ],
};

const KIT_ITEM: [Key; 2] = [
    must("name", Text, "\"lamp 100 W\"", "its name"),
    may("values", List(&Quantity), "[\"100 W\", \"230 V\"]", "its values"),
];
static LIMITER: Table = Table { heading: "[[kit.limiter]]", words: "a lamp, resistor or choke to put in series", keys: &KIT_ITEM };
static KIT_LOAD: Table = Table { heading: "[[kit.load]]", words: "a load to put on", keys: &KIT_ITEM };
static PROTECTION: Table = Table { heading: "[[kit.protection]]", words: "a fuse, breaker or residual-current device", keys: &KIT_ITEM };

pub(super) static INSTRUMENT: Table = Table {
    heading: "[[instrument]]",
    words: "a meter",
    keys: &[
        must("designation", Designation, "\"P1\"", "its designation"),
        may("name", Text, "\"6000-count multimeter\"", "what it is"),
        may("class", Words(classes), "\"handheld, 6000 counts, true RMS\"", "the class it is like, for what is not said of itself"),
        may("response", Words(|| vec!["true RMS", "average"]), "\"true RMS\"", "how it makes an AC figure; left out where unknown"),
        may("category", Text, "\"CAT III 600 V\"", "measurement category as printed on it"),
        may("fuse", Quantity, "\"10 A\"", "fuse of its current input"),
        may("leads", Quantity, "\"0.2 Ω\"", "ohms it showed with the tips of its test leads held together"),
        tables("range", &RANGE),
    ],
};

fn classes() -> Vec<&'static str> {
    InstrumentClass::ALL.map(InstrumentClass::word).to_vec()
}

fn measured() -> Vec<&'static str> {
    Measured::ALL.map(Measured::word).to_vec()
}

static RANGE: Table = Table {
    heading: "[[instrument.range]]",
    words: "something the meter above it measures, with its ranges",
    keys: &[
        must("measures", Words(measured), "\"AC voltage\"", "what it measures"),
        may("full_scales", List(&Quantity), "[\"6 V\", \"60 V\", \"600 V\"]", "full scales, rising"),
        may("counts", Whole, "6000", "greatest count shown"),
        may("divisions", Whole, "30", "divisions of an analogue scale, the whole of it"),
        may("accuracy", Accuracy, "\"±(0.8 % + 3)\"", "accuracy bound: share of the reading, then units of the last digit; or `class 1.5`"),
        may("burden", Quantity, "\"10 MΩ\"", "ohms across its terminals (volts) or in series (amperes)"),
        may("clamp", Flag, "false", "a clamp: nothing stands in series; `false` where left out"),
        may("four_wire", Flag, "false", "ohms with four leads; `false` where left out"),
    ],
};

pub(super) static SETUP: Table = Table {
    heading: "[[setup]]",
    words: "how the find was connected for a test",
    keys: &[
        must("number", Whole, "5", "its number, as in \"setup 5\""),
        may("at", Moment, "\"2026-10-14 14:02\"", "when it was made"),
        may("what", Text, "\"no load, slider at 0.70\"", "in a few words"),
        may("sliders", Positions, "{ chain = \"0.70\" }", "slider positions, by gang, part or terminal"),
        may("open", List(&Designation), "[\"F1\"]", "fuses and switches that stand open"),
        may("closed", List(&Designation), "[\"Q1\"]", "fuses and switches closed again"),
        may("joined", List(&TERMINALS), "[[\"T4:2.1\", \"T4:2.2\"]]", "terminals clipped together for this setup"),
        may("lifted", TERMINALS, "[\"T4:1.1\"]", "terminals taken out of the find's joins for this setup"),
        may("temperature", Quantity, "\"20 °C\"", "temperature of the windings"),
        tables("feed", &FEED),
        tables("load", &LOAD),
    ],
};

static FEED: Table = Table {
    heading: "[[setup.feed]]",
    words: "a source put on terminals in the setup above it",
    keys: &[
        may("source", Text, "\"bench supply\"", "name of the kit's source"),
        must("to", TERMINALS, "[\"X1:1\", \"X1:2\", \"X1:3\"]", "two terminals for one phase or direct current, three for three phases"),
        may("neutral", Terminal, "\"X1:N\"", "three phases: where the source's star point lands; left out for three wires"),
        may("earthed", Flag, "false", "three phases: whether the source's star point is earthed; `false` where left out"),
        may("volts", Quantity, "\"41.8 V\"", "nominal volts, line to line for three phases"),
        may("frequency", Quantity, "\"50 Hz\"", "frequency; the plate's where left out"),
        may("angle", Quantity, "\"-120 °\"", "phase angle of a one-phase feed against others of the setup"),
        may("lost", List(&Whole), "[2]", "phases of a three-phase feed that are missing"),
    ],
};

static LOAD: Table = Table {
    heading: "[[setup.load]]",
    words: "a load put on in the setup above it",
    keys: &[
        must("across", TERMINALS, "[\"X2:1\", \"X2:N\"]", "two terminals; three or four (neutral last) for three like loads"),
        may("pairing", Words(|| vec!["star", "delta"]), "\"star\"", "how three like loads stand; only with three or four terminals"),
        may("resistance", Quantity, "\"20 Ω\"", "series resistance of each"),
        may("reactance", Quantity, "\"0 Ω\"", "series reactance of each; below zero for a capacitive one"),
        may("power", Quantity, "\"10 kW\"", "or its power, VA or W"),
        may("volts", Quantity, "\"400 V\"", "the volts the power is for; the plate's output where left out"),
        may("power_factor", Quantity, "\"0.8\"", "power factor, lagging; 1 where left out"),
    ],
};

pub(super) static READING: Table = Table {
    heading: "[[reading]]",
    words: "one value from one instrument at one place in one setup at one time",
    keys: &[
        must("number", Whole, "24", "its number, as in \"reading 24\""),
        must("setup", Whole, "5", "number of the setup it was taken in"),
        may("at", Moment, "\"14:09\"", "when; the setup's day where none is written"),
        may("together", Whole, "12", "number of the reading taken at the same moment"),
        may("with", Designation, "\"P1\"", "the instrument"),
        may("measured", Words(measured), "\"AC voltage\"", "what was measured; where left out the unit of `shown` tells"),
        may("between", Pair(&Terminal), "[\"T4:2.1\", \"T4:2.2\"]", "place of a voltage, resistance or continuity"),
        may("into", Terminal, "\"X1:1\"", "place of a current, or of power with `against`: what flows into the part there"),
        may("against", Terminal, "\"X1:N\"", "power: the terminal its voltage is taken against"),
        may("over", Pair(&Terminal), "[\"T4:1.1\", \"T4:1.2\"]", "ratio: the pair above the line"),
        may("under", Pair(&Terminal), "[\"T4:2.1\", \"T4:2.2\"]", "ratio: the pair below the line"),
        may("part", Designation, "\"T1\"", "temperature: the part"),
        may("shown", Quantity, "\"21.0 V\"", "what the instrument showed, digit by digit"),
        may("beep", Flag, "true", "continuity: whether it beeped"),
        may("kick", Words(|| vec!["+", "-"]), "\"+\"", "kick: which way the meter went first, its plus on the first terminal of `between`"),
        may("what", Text, "\"booster secondary\"", "what you call this place"),
        may("struck", Text, "\"clip sat on the tap\"", "the reason it was struck; present means struck"),
        may("kept", Flag, "true", "looked at again and kept as read; `false` where left out"),
        may("note", Text, "\"needle trembled\"", "a remark"),
    ],
};
