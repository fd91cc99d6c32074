//! Thirteen ways to wire one phase of a stabilizer, without load, and the 24 places where one may read.
//!
//! A variable autotransformer A (bottom, top, slider, fixed tap; in one wiring also an inner tap) and a booster B with one primary and two
//! half secondaries, each named from its dot. Two stations: the same wiring with the slider at two positions. Parts and figures are
//! invented; what is unknown of each wiring is the booster's ratio, both slider positions, the tap and the supply, and what somebody
//! may have left on the output without drawing it: behind a booster whose primary is open even a small lamp drops volts that, with nothing
//! there, only a wrong wiring would explain.

mod equations;

use equations::build;
use evidence::model::usual;
use evidence::{Parameter, Station, Transform};
use network::{NetworkError, Question};
use quantity::Unit;

/// Conductors of one wiring: terminals joined by wire; each terminal once. What stands nowhere is free.
type Joins = &'static [&'static [&'static str]];

/// The wirings: name and joins.
pub const WIRINGS: [(&str, Joins); 13] = [
    (
        "centre tap to slider, halves in series",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.b2"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "same, booster reversed",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.b2"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p1"],
            &["A.slider", "B.p2"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "slider to star point",
        &[
            &["N", "A.bottom", "B.p2"],
            &["L1", "A.top", "B.b2"],
            &["OUT", "B.a1"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "slider to line",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.p2", "B.b2"],
            &["OUT", "B.a1"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "autotransformer fed from the output side",
        &[
            &["N", "A.bottom"],
            &["L1", "B.b2"],
            &["OUT", "A.top", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "autotransformer across two lines",
        &[
            &["L1", "A.top", "B.b2"],
            &["L2", "A.bottom"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "half secondaries in parallel",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.a2", "B.b2"],
            &["OUT", "B.a1", "B.b1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
        ],
    ),
    (
        "one half secondary only",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.a2"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
        ],
    ),
    (
        "half secondaries opposing",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.b1"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b2"],
        ],
    ),
    (
        "fixed tap off-centre",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.b2"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "line on inner tap",
        &[
            &["N", "A.bottom"],
            &["L1", "A.inner", "B.b2"],
            &["OUT", "B.a1"],
            &["A.tap", "B.p2"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "output straight from slider",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top"],
            &["OUT", "A.slider", "B.p1"],
            &["A.tap", "B.p2"],
            &["B.a2", "B.b1"],
        ],
    ),
    (
        "booster primary open",
        &[
            &["N", "A.bottom"],
            &["L1", "A.top", "B.b2"],
            &["OUT", "B.a1"],
            &["A.slider", "B.p1"],
            &["B.a2", "B.b1"],
        ],
    ),
];

/// Index of the wiring whose tap stands off-centre, and of the one with an inner tap.
const OFF_CENTRE: usize = 9;
const INNER: usize = 10;

/// A place: whether the slider stands at position B, and the pair.
pub const PLACES: [(bool, &str, &str); 24] = [
    (false, "OUT", "N"),
    (false, "OUT", "L1"),
    (false, "A.top", "N"),
    (false, "A.bottom", "N"),
    (false, "A.tap", "N"),
    (false, "A.slider", "N"),
    (false, "A.slider", "A.tap"),
    (false, "A.slider", "A.top"),
    (false, "A.slider", "L1"),
    (false, "B.p1", "B.p2"),
    (false, "B.p1", "N"),
    (false, "B.p2", "N"),
    (false, "B.a1", "B.a2"),
    (false, "B.b1", "B.b2"),
    (false, "B.a1", "B.b1"),
    (false, "B.a2", "B.b2"),
    (false, "A.top", "L1"),
    (false, "A.top", "A.bottom"),
    (true, "OUT", "N"),
    (true, "OUT", "L1"),
    (true, "A.slider", "N"),
    (true, "A.slider", "A.tap"),
    (true, "B.p1", "B.p2"),
    (true, "B.a1", "B.a2"),
];

/// Indices of the parameters; the inner tap is there in its own wiring only.
#[allow(missing_docs, reason = "each is described in `parameters`")]
pub mod p {
    pub const RATIO: usize = 0;
    pub const SLIDER_A: usize = 1;
    pub const SLIDER_B: usize = 2;
    pub const TAP: usize = 3;
    pub const VOLTS: usize = 4;
    pub const INNER: usize = 5;
}

/// How many parameters a wiring has.
fn drawn(wiring: usize) -> usize {
    if wiring == INNER { 6 } else { 5 }
}

/// Parameters of a wiring as it is judged: its own, and what hangs on its output although no drawing has it.
pub fn supposed(wiring: usize) -> Vec<Parameter> {
    let mut all = parameters(wiring);
    all.push(Parameter {
        auxiliary: true,
        ..usual::undrawn().named("something undrawn on the output".into(), Unit::Watt)
    });
    all
}

/// Parameters of a wiring.
pub fn parameters(wiring: usize) -> Vec<Parameter> {
    let (tap, spread) = if wiring == OFF_CENTRE {
        (0.33, 0.05)
    } else {
        (0.5, 0.01)
    };
    let all = [
        (
            "booster, primary to one half",
            8.0,
            0.6,
            Transform::Ln,
            Unit::One,
        ),
        ("slider, position A", 0.5, 1.6, Transform::Logit, Unit::One),
        ("slider, position B", 0.5, 1.6, Transform::Logit, Unit::One),
        ("fixed tap", tap, spread, Transform::Linear, Unit::One),
        ("supply", 230.0, 0.06, Transform::Ln, Unit::Volt),
        ("inner tap", 0.87, 0.03, Transform::Linear, Unit::One),
    ];
    all.into_iter()
        .take(drawn(wiring))
        .map(|(name, centre, width, transform, unit)| Parameter {
            name: name.into(),
            unit,
            transform,
            centre,
            width,
            basis: "invented".into(),
            auxiliary: false,
        })
        .collect()
}

/// What a wiring is built for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum World {
    /// A truth that is as drawn.
    Drawn,
    /// The judgement, which supposes that something undrawn may hang on the output; its parameters are those of [`supposed`].
    Supposed,
    /// A truth that departs from the drawing.
    Strange(Strange),
}

/// How the world departs from the model, if it does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strange {
    /// Magnetising current goes as this power of the volts, watts as 1 more.
    pub exponent: f64,
    /// Ohms from OUT to N that no drawing has.
    pub undrawn: f64,
}

/// One wiring: both stations, and the question at each place.
#[derive(Debug, Clone)]
pub struct Wiring {
    /// Slider at A, slider at B.
    pub stations: [Station; 2],
    /// One a place.
    pub questions: Vec<Question>,
}

impl Wiring {
    /// Builds a wiring.
    /// # Errors
    /// The network's own.
    pub fn new(wiring: usize, world: World) -> Result<Self, NetworkError> {
        let (one, questions) = build(wiring, p::SLIDER_A, world)?;
        let (other, _) = build(wiring, p::SLIDER_B, world)?;
        Ok(Self {
            stations: [one, other],
            questions,
        })
    }
}

/// All wirings as they are judged.
/// # Errors
/// The network's own.
pub fn all() -> Result<Vec<Wiring>, NetworkError> {
    (0..WIRINGS.len())
        .map(|wiring| Wiring::new(wiring, World::Supposed))
        .collect()
}
