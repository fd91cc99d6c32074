//! The terms themselves: word, one or two plain sentences, and the standard that defines it where there is one.
//!
//! Sorted by key; a test keeps it so. A standard is named only where it defines the term or the rule told here.

use super::Term;

const fn own(key: &'static str, word: &'static str, says: &'static str) -> Term {
    Term {
        key,
        word,
        says,
        standard: None,
    }
}

const fn of(
    key: &'static str,
    word: &'static str,
    says: &'static str,
    standard: &'static str,
) -> Term {
    Term {
        key,
        word,
        says,
        standard: Some(standard),
    }
}

/// All terms, by key.
pub(super) const TERMS: &[Term] = &[
    of(
        "accuracy",
        "accuracy",
        "How far a meter may be off, as its maker states it: a share of the reading and some steps of the last digit, as in ±(0.8 % + 3).",
        "IEC 60051 for pointer meters gives it as a class",
    ),
    own(
        "agrees",
        "agrees",
        "The chance that this reading, or the drawing, is wrong is below 0.1. It never means safe to touch.",
    ),
    own(
        "arrangement",
        "arrangement",
        "A named way such gear is usually wired. Its joins count as assumed until a reading or your eyes say more.",
    ),
    own(
        "average-responding",
        "average-responding",
        "A meter that measures the rectified average and shows it as if the wave were a sine. On a distorted wave, as a magnetising current is, it shows too little or too much.",
    ),
    own(
        "beep",
        "beep",
        "A continuity tester sounds below some tens of ohms (10 to 70 Ω, common practice). So a beep says there is a path; it does not say two terminals are one conductor.",
    ),
    own(
        "belief",
        "bar of belief",
        "How probable a possibility is under what was recorded: the hairline is 1, the ink is its share.",
    ),
    own(
        "book",
        "book",
        "The store of everything recorded about all finds. Like a bound bench book: an entry can be struck, never erased.",
    ),
    of(
        "booster",
        "booster",
        "A transformer with one winding in series with a line, so that its voltage is added to the line or taken from it; the other winding is fed and decides how much.",
        "IEC 60076-1: booster or series transformer",
    ),
    own(
        "bound",
        "bound",
        "A reading that says only more than or less than, as > 2 GΩ on a meter that is over its range. It counts as that, never as a value.",
    ),
    own(
        "brush",
        "brush",
        "The piece of carbon that carries the current from the track to the slider. It bridges neighbouring turns and has a limit of its own.",
    ),
    own(
        "build",
        "build",
        "Something made from parts that are free to use.",
    ),
    own(
        "burden",
        "burden",
        "What a meter itself loads the place with: 10 MΩ on volts, some milliohms to ohms on amperes. It is part of the network that is reckoned.",
    ),
    own(
        "candidate",
        "candidate wiring",
        "One complete set of joins and polarities that the readings have not excluded. Candidates are weighed against each other by the same readings.",
    ),
    of(
        "centre-tap",
        "centre tap",
        "A terminal at half the turns of a winding. Half the voltage stands between it and either end.",
        "IEC 60076-1: tapping",
    ),
    of(
        "class",
        "insulation class",
        "The temperature the insulation is built for: class A 105 °C, E 120 °C, B 130 °C, F 155 °C, H 180 °C, at the hottest spot.",
        "IEC 60085",
    ),
    of(
        "connection",
        "star and delta",
        "Star joins one end of each of three phases in a star point; delta joins them in a ring. Between lines there is √3 times the voltage of one phase in star.",
        "IEC 60076-1: star connection, delta connection",
    ),
    own(
        "contradicts",
        "contradicts",
        "The chance that this reading, or the drawing, is wrong is above 0.5. Read it again before anything else; only you strike it.",
    ),
    own(
        "core",
        "core",
        "The iron all windings of a part share. One volt per turn holds for every winding on it.",
    ),
    of(
        "dead",
        "dead",
        "No source, the plug in sight, capacitors discharged, and proved with a two-pole tester that was itself proved before and after. No reading recorded here proves it.",
        "EN 50110-1 for the order of work, IEC 61243-3 for the tester",
    ),
    of(
        "designation",
        "designation",
        "The short name of a part on the drawing: T1 a transformer, F1 a fuse, M1 a motor, X1 terminals.",
        "IEC 81346-2",
    ),
    own(
        "dot",
        "dot",
        "The mark at the start of a winding. At the dots of one core the voltages rise together.",
    ),
    own(
        "doubtful",
        "doubtful",
        "The chance that this reading, or the drawing, is wrong lies between 0.1 and 0.5.",
    ),
    own(
        "evidence",
        "evidence",
        "How well one wiring or one explanation would have foretold all readings, doubt included. The ratio of two is what the readings say between them.",
    ),
    own(
        "find",
        "find",
        "One salvaged piece of gear and all that is known of it.",
    ),
    own(
        "fit",
        "fit",
        "The values of ratio, resistance, leakage and core that agree best with all readings at once and with what was known before, each with its doubt.",
    ),
    own(
        "floating",
        "floating",
        "The place hangs on nothing that fixes its voltage, so the meter shows stray coupling. This number proves nothing, not even that it is dead.",
    ),
    of(
        "fuse",
        "fuse",
        "A device that melts open above its current for long enough. It guards a winding only if it opens before the winding is hurt, at every current.",
        "IEC 60269-1",
    ),
    own(
        "ganged",
        "ganged",
        "Sliders that move together on one shaft or chain. Each may still stand a little off the others.",
    ),
    own(
        "instrument",
        "instrument",
        "A meter as it is: its ranges and digits, its accuracy, its burden, how it responds, its measurement category and fuse.",
    ),
    of(
        "isolation",
        "isolation",
        "What stands between an output and the mains: none (a shared winding), unknown, basic or reinforced. Only a legible mark on the plate gives reinforced; basic and unknown are treated as mains.",
        "IEC 61558-1",
    ),
    own(
        "join",
        "join",
        "Terminals that are one conductor: assumed (from the arrangement), found (by a reading) or seen (by you).",
    ),
    own(
        "kit",
        "kit",
        "What you can feed, limit, load and protect with: sources, lamps, loads, fuses, and which of the sources is isolated.",
    ),
    own(
        "knee",
        "knee",
        "The voltage beyond which the core is full and its current rises steeply. Rated voltage lies a little below it.",
    ),
    own(
        "lead",
        "lead",
        "One conductor between two terminals, or to a cut end: with a number W1.., colour, section and mark.",
    ),
    own(
        "leakage",
        "leakage",
        "The part of a winding's field that does not pass through the other windings. It acts like a choke in series and drops voltage under load.",
    ),
    own(
        "limit",
        "limit",
        "What something may bear for a stated time: what 19 in 20 such parts bear, with the element that gives way first.",
    ),
    own(
        "limiter",
        "limiter",
        "What is put in series so that a fault cannot draw much: a lamp, a resistor, a choke.",
    ),
    own(
        "live",
        "live",
        "Everything that is not dead and not low, whatever the knob says.",
    ),
    of(
        "low",
        "low",
        "Fed only from an isolated source, and under every wiring and ratio not yet excluded no two terminals, nor a terminal and earth, pass 25 V AC or 60 V DC (50 and 120 V if all is clipped on dead and not touched).",
        "IEC 60364-4-41: extra-low voltage",
    ),
    own(
        "magnetising-current",
        "magnetising current",
        "What a winding draws with nothing connected to the others. It is small, far from a sine, and rises steeply past the knee.",
    ),
    of(
        "measurement-category",
        "measurement category",
        "Where a meter may be used: CAT II on a plug-in load, CAT III in the fixed installation, CAT IV at its origin, each up to a voltage. Too low a category can explode in the hand.",
        "IEC 61010-2-030",
    ),
    own(
        "misreading",
        "misreading",
        "A reading that is a recognisable slip: decimal point, prefix, line for phase, peak for RMS, wrong pair. It is named, never corrected for you.",
    ),
    own(
        "network",
        "network",
        "The equations of one find in one setup: every winding, core, brush, lead, source, load and meter.",
    ),
    own(
        "neutral-lost",
        "lost neutral",
        "With the neutral parted, three loads share the line voltages as they please: the lightest may get almost the full line-to-line voltage. Part the neutral last and join it first.",
    ),
    own(
        "next-reading",
        "next reading",
        "The reading expected to tell most about what matters now, among those dead or low and possible with your kit.",
    ),
    own(
        "off-by",
        "off by",
        "The distance between reading and prediction in standard uncertainties u. It is shown and decides nothing.",
    ),
    own(
        "part",
        "part",
        "A component in a find: a transformer, a variable autotransformer, a fuse, a switch, a motor, a terminal strip.",
    ),
    of(
        "phase",
        "phase",
        "One of the three sinusoids of a three-phase supply, a third of a turn apart; also the conductor that carries it: L1, L2, L3.",
        "IEC 60445 for the names and colours",
    ),
    own(
        "place",
        "place",
        "Where a reading is taken: the pair of terminals, or the lead.",
    ),
    of(
        "plate",
        "plate",
        "The rating plate: what the maker promises the gear can bear. Figures that cannot be read are typed as ?.",
        "IEC 60076-1 and IEC 61558-1 say what must stand on it",
    ),
    own(
        "plus-minus",
        "±",
        "Where the value lies with 95 % probability.",
    ),
    own(
        "polarity",
        "polarity",
        "Which ends of two windings rise together. Wrong polarity makes a booster take away where it should add.",
    ),
    own(
        "posterior",
        "posterior",
        "What is known after the readings: the fit with its doubt, and which doubts go together.",
    ),
    own(
        "power-up-plan",
        "power-up plan",
        "The ordered steps that bring a find to life, each with what to expect and when to stop.",
    ),
    own(
        "predicted",
        "predicted",
        "What this place should show by everything else that was recorded: this reading itself is left out.",
    ),
    own(
        "prior",
        "prior",
        "What is supposed before any reading: from the plate where it is legible, else from what gear of that size and kind is like.",
    ),
    own(
        "ratio",
        "ratio",
        "Turns of one winding over turns of another; with nothing connected, very nearly the ratio of their voltages.",
    ),
    own(
        "reading",
        "reading",
        "One value from one instrument at one place in one setup at one time, with the digits as they were shown.",
    ),
    of(
        "rms",
        "RMS",
        "The steady voltage or current that would heat a resistor as much. All AC values here are RMS unless peak is said.",
        "IEC 80000-6: root-mean-square value",
    ),
    own(
        "setup",
        "setup",
        "How the find was connected for a test: what was fed where, links open or closed, slider positions, load.",
    ),
    own("sheet", "sheet", "A find as one text file."),
    own(
        "shelf",
        "shelf",
        "The parts of all finds that are free to use.",
    ),
    own(
        "slider",
        "slider",
        "The moving contact of a variable autotransformer, with the position 0 at the winding's first terminal and 1 at its last.",
    ),
    own(
        "source",
        "source",
        "What feeds: its volts, amperes and phases, how steady it is, and whether it is isolated from the mains.",
    ),
    of(
        "standard-uncertainty",
        "u",
        "The standard uncertainty: the standard deviation of what a value may still be. The 95 % interval ± is about twice it.",
        "JCGM 100:2008, the guide to uncertainty",
    ),
    own(
        "state",
        "how it is known",
        "Assumed comes from the arrangement, found from a reading, seen from your own eyes.",
    ),
    own(
        "stop-limit",
        "stop limit",
        "The value above which you switch off at once, told in words before switching on.",
    ),
    own(
        "striking",
        "striking",
        "Ruling an entry through with a reason. It stays legible and no longer counts; only the owner does it.",
    ),
    of(
        "tap",
        "tap",
        "A terminal on a winding between its ends, at a fixed share of its turns.",
        "IEC 60076-1: tapping",
    ),
    own(
        "terminal",
        "terminal",
        "A point on a part where a lead lands: T4:2.1 is terminal 2.1 of part T4.",
    ),
    own(
        "track",
        "track",
        "The bared strip of a winding on which the brush runs. Pits and burns sit at the positions where it stood longest.",
    ),
    own(
        "travel-chart",
        "travel chart",
        "A quantity against slider position, from one end of the travel to the other.",
    ),
    own(
        "true-rms",
        "true RMS",
        "A meter that measures the heating value whatever the shape of the wave, up to its crest factor.",
    ),
    of(
        "two-pole-tester",
        "two-pole tester",
        "A voltage tester with two probes and a load of its own, made to prove that a circuit is dead. A multimeter is no substitute: it shows stray voltage and may stand on the wrong range.",
        "IEC 61243-3",
    ),
    of(
        "variable-autotransformer",
        "variable autotransformer",
        "One winding with a slider on it: part of the winding belongs to both sides, so it does not isolate. On the mains it is a mains source at every setting.",
        "IEC 60076-1: auto-transformer",
    ),
    own(
        "verdict",
        "verdict",
        "Agrees, doubtful or contradicts, by how probably the reading or the drawing is wrong; floating, if the place proves nothing.",
    ),
    of(
        "volt-ampere",
        "volt-ampere (VA)",
        "Volts times amperes without regard to their phase. It is what iron and copper must be sized for; watts may be less.",
        "IEC 80000-6: apparent power",
    ),
    of(
        "winding",
        "winding",
        "Turns in series on one core, with two ends and perhaps taps.",
        "IEC 60076-1",
    ),
    own(
        "wiring",
        "wiring",
        "One complete set of joins and polarities.",
    ),
    own(
        "wrong",
        "wrong",
        "How probable it is that this reading, or the drawing, is wrong. The verdict is decided by it alone.",
    ),
];
