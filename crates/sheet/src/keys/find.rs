//! Tables of the gear: find, plate, parts, gangs, leads, joins, damage, notes.

use super::Kind::{Designation, List, Moment, Pair, Quantity, QuantityOrNothing, Terminal, Text, Whole, Words};
use super::{TERMINALS, Table, may, must, table, tables};
use gear::JoinState;

pub(super) static FIND: Table = Table {
    heading: "[find]",
    words: "the find itself",
    keys: &[
        must("name", Text, "\"Stabilizer from the barn\"", "what you call it"),
        may("number", Whole, "12", "its number in your book"),
        may("origin", Text, "\"behind the barn, under a tarpaulin\"", "where it came from"),
        may("arrangement", Text, "\"stabilizer-centre-tap\"", "key of the named arrangement it is believed to have; words only, the joins decide"),
    ],
};

pub(super) static PLATE: Table = Table {
    heading: "[plate]",
    words: "what its rating plate says",
    keys: &[
        may("text", Text, "\"30 kVA  3~ 50 Hz\"", "the lines as read, `?` for an illegible figure"),
        may("phases", Whole, "3", "number of phases, 1 or 3"),
        may("power", Quantity, "\"30 kVA\"", "rated power, VA or W"),
        may("voltage", Quantity, "\"400 V\"", "rated voltage where the plate gives one"),
        may("input_voltage", Quantity, "\"320 to 480 V\"", "input voltage, a span for a stabilizer"),
        may("output_voltage", Quantity, "\"400 V\"", "output voltage"),
        may("correction", Quantity, "\"±20 %\"", "regulation range as a share of the voltage"),
        may("current", Quantity, "\"43 A\"", "rated current where the plate gives one"),
        may("input_current", Quantity, "\"54 A\"", "input current"),
        may("output_current", Quantity, "\"43 A\"", "output current"),
        may("frequency", Quantity, "\"50 Hz\"", "frequency"),
        may("power_factor", Quantity, "\"0.8\"", "power factor the rating is for, plain figure"),
        may("impedance", Quantity, "\"4 %\"", "short-circuit impedance, share"),
        may("no-load_current", Quantity, "\"0.4 A\"", "no-load current"),
        may("no-load_loss", Quantity, "\"45 W\"", "no-load loss"),
        may("load_loss", Quantity, "\"120 W\"", "load loss"),
        may("ambient", Quantity, "\"40 °C\"", "ambient temperature allowed"),
        may("mass", Quantity, "\"180 kg\"", "mass"),
        may("marks", List(&Text), "[\"class B\", \"IP 20\"]", "words on it that are no quantity"),
    ],
};

/// The words of `kind`, each with the keys a part of that kind may have beside the common ones.
pub(crate) const PART_KINDS: [(&str, &[&str]); 10] = [
    ("transformer", WOUND),
    ("variable autotransformer", WOUND),
    ("choke", WOUND),
    ("resistor", &["resistance"]),
    ("capacitor", &["capacitance"]),
    ("load", &["resistance", "reactance"]),
    ("fuse", &["current"]),
    ("switch", &[]),
    ("terminals", &["terminals"]),
    ("unmarked windings", UNMARKED),
];

/// Keys every part may have.
pub(crate) const ANY_PART: [&str; 4] = ["designation", "kind", "name", "phase"];
const WOUND: &[&str] = &["power", "frequency", "insulation", "core", "winding"];

const UNMARKED: &[&str] = &["leads", "number_of_windings", "power", "frequency", "insulation", "core", "winding"];

fn part_kinds() -> Vec<&'static str> {
    PART_KINDS.iter().map(|(word, _)| *word).collect()
}

pub(super) static PART: Table = Table {
    heading: "[[part]]",
    words: "a part of the find",
    keys: &[
        must("designation", Designation, "\"T1\"", "its designation, letters and a number (IEC 81346-2)"),
        must("kind", Words(part_kinds), "\"transformer\"", "what it is"),
        may("name", Text, "\"booster of L1\"", "what you call it"),
        may("phase", Whole, "1", "the phase it belongs to, 1 to 3, where there are three like it"),
        may("power", Quantity, "\"2 kVA\"", "power written on the part itself, VA or W (wound parts)"),
        may("frequency", Quantity, "\"50 Hz\"", "frequency written on the part itself (wound parts)"),
        may("insulation", Text, "\"class B\"", "what is known of its insulation (wound parts)"),
        table("core", &CORE),
        tables("winding", &WINDING),
        may("resistance", Quantity, "\"20 Ω\"", "resistance (resistor, load)"),
        may("reactance", Quantity, "\"5 Ω\"", "series reactance at rated frequency, below zero for a capacitive one (load)"),
        may("capacitance", Quantity, "\"20 µF\"", "capacitance (capacitor)"),
        may("current", Quantity, "\"50 A\"", "rated current (fuse)"),
        may("terminals", List(&Text), "[\"1\", \"2\", \"3\", \"N\", \"PE\"]", "marks in their order (terminals)"),
        may("leads", List(&Text), "[\"1\", \"2\", \"3\", \"4\"]", "marks of the leads that come out (unmarked windings)"),
        may("number_of_windings", Whole, "2", "how many windings there are, where a plate or a drawing tells (unmarked windings)"),
    ],
};

static CORE: Table = Table {
    heading: "core = { }",
    words: "what is known of a wound part's core",
    keys: &[
        may("shape", Text, "\"toroid\"", "shape as you see it"),
        may("area", Quantity, "\"20 cm²\"", "net cross-section"),
        may("mass", Quantity, "\"11 kg\"", "mass of the whole part"),
        may("loss", Quantity, "\"12 W\"", "core loss at rated volts and frequency"),
        may("current", Quantity, "\"115 mA\"", "no-load current of the first winding at rated volts and frequency"),
        may("knee", Quantity, "\"265 V\"", "first winding's volts where the core leaves its straight line, at rated frequency"),
    ],
};

static WINDING: Table = Table {
    heading: "[[part.winding]]",
    words: "a winding of the part above it",
    keys: &[
        must("name", Text, "\"primary\"", "its name, unique in the part"),
        must("points", List(&Text), "[\"1.2\", \"1.1\"]", "terminals in order of the turns: the first is position 0, the last position 1"),
        may("at", List(&QuantityOrNothing), "[\"0\", \"0.50\", \"1\"]", "positions of all points, or of the inner ones alone; `\"\"` where unknown"),
        may("dot", Words(|| vec!["first", "last"]), "\"first\"", "the point where the winding starts; left out where unknown"),
        may("sliders", List(&Text), "[\"4\"]", "terminals of its sliders"),
        may("brush", List(&QuantityOrNothing), "[\"40 mΩ\"]", "resistance of brush and contact, one a slider; `\"\"` where unknown"),
        may("volts", Quantity, "\"230 V\"", "rated voltage, end to end"),
        may("amperes", Quantity, "\"7 A\"", "rated current"),
        may("resistance", Quantity, "\"1.5 Ω\"", "direct-current resistance end to end, at 20 °C"),
        may("leakage", Quantity, "\"0.5 Ω\"", "leakage reactance end to end, at rated frequency"),
        may("turns", Quantity, "\"230\"", "number of turns, end to end"),
    ],
};

pub(super) static GANG: Table = Table {
    heading: "[[gang]]",
    words: "sliders on one shaft or chain",
    keys: &[
        must("name", Text, "\"chain\"", "its name"),
        must("parts", List(&Designation), "[\"T1\", \"T2\", \"T3\"]", "the parts whose sliders it moves"),
    ],
};

fn states() -> Vec<&'static str> {
    [JoinState::Assumed, JoinState::Found, JoinState::Seen].map(JoinState::word).to_vec()
}

pub(super) static LEAD: Table = Table {
    heading: "[[lead]]",
    words: "one conductor between two terminals, or to a cut end",
    keys: &[
        must("designation", Designation, "\"W1\"", "its designation"),
        must("from", Terminal, "\"X1:1\"", "where it starts"),
        may("to", Terminal, "\"F1:1\"", "where it ends; left out for a cut or loose end"),
        may("colour", Text, "\"brown\"", "colour as seen"),
        may("section", Quantity, "\"6 mm²\"", "copper section"),
        may("mark", Text, "\"L1\"", "mark or tag on it"),
        may("state", Words(states), "\"seen\"", "how it is known; `assumed` where left out"),
    ],
};

pub(super) static JOIN: Table = Table {
    heading: "[[join]]",
    words: "terminals that are one conductor",
    keys: &[
        must("terminals", TERMINALS, "[\"T1:3\", \"T2:3\", \"X1:N\"]", "the terminals, two or more"),
        may("state", Words(states), "\"assumed\"", "how it is known; `assumed` where left out"),
        may("note", Text, "\"soldered\"", "a remark"),
    ],
};

pub(super) static DAMAGE: Table = Table {
    heading: "[[damage]]",
    words: "damage seen on a part",
    keys: &[
        must("part", Designation, "\"T1\"", "the part"),
        may("winding", Text, "\"secondary\"", "name of its winding; left out for the part as a whole"),
        must("what", Text, "\"track pitted\"", "what is seen"),
        may("travel", Pair(&Quantity), "[\"0.46\", \"0.53\"]", "where along the turns, lower end first"),
        may("at", Moment, "\"2026-10-14 14:22\"", "when it was noted"),
    ],
};

pub(super) static NOTE: Table = Table {
    heading: "[[note]]",
    words: "a note",
    keys: &[may("at", Moment, "\"2026-10-14\"", "when"), must("text", Text, "\"smells of varnish\"", "the words")],
};
