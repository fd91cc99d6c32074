//! What sentences ask of a solution: volts between terminals, currents in windings, positions, losses; and how figures are said.

use super::Working;
use gear::{Designation, Find, PartKind, TerminalRef, Winding};
use network::circuit::{Element, ElementId};
use network::{Belongs, Meaning};
use num_complex::Complex64;
use quantity::{Unit, show, significant};

/// Digits of figures in sentences.
const DIGITS: u32 = 3;

/// A solution with its find.
pub(super) struct Seen<'a> {
    pub(super) find: &'a Find,
    working: Working<'a>,
}

impl<'a> Seen<'a> {
    pub(super) fn new(find: &'a Find, working: Working<'a>) -> Self {
        Self { find, working }
    }

    /// Phasor of the volts from one terminal to another; `None` where they float against each other.
    pub(super) fn volts(&self, a: &TerminalRef, b: &TerminalRef) -> Option<Complex64> {
        let (model, solution) = (self.working.model, self.working.solution);
        let (a, b) = (model.node(a)?.0, model.node(b)?.0);
        let same = solution.island.get(a)? == solution.island.get(b)?;
        let difference = *solution.voltages.get(a)? - *solution.voltages.get(b)?;
        (same && difference.is_finite()).then_some(difference)
    }

    /// Whether two terminals have no conducting path between them.
    pub(super) fn parted(&self, a: &TerminalRef, b: &TerminalRef) -> bool {
        let (model, island) = (self.working.model, &self.working.solution.island);
        let of = |t| model.node(t).and_then(|n| island.get(n.0));
        matches!((of(a), of(b)), (Some(a), Some(b)) if a != b)
    }

    /// Volts across a winding, first point to last.
    pub(super) fn across(&self, part: &Designation, winding: &Winding) -> Option<Complex64> {
        let (first, last) = (winding.points.first()?, winding.points.last()?);
        self.volts(
            &terminal(part, &first.terminal),
            &terminal(part, &last.terminal),
        )
    }

    /// The value with this meaning.
    pub(super) fn value(&self, meaning: &Meaning) -> Option<f64> {
        self.working
            .values
            .get(self.working.model.value(meaning)?.0)
            .copied()
            .filter(|v| v.is_finite())
    }

    /// Position of a slider.
    pub(super) fn slider(&self, part: &Designation, mark: &str) -> Option<f64> {
        let wound = self.find.part(part)?.kind.wound()?;
        wound.windings.iter().enumerate().find_map(|(winding, w)| {
            let slider = w.sliders.iter().position(|s| s.terminal == mark)?;
            self.value(&Meaning::SliderAt {
                part: part.clone(),
                winding,
                slider,
            })
        })
    }

    /// Position of a fixed point on winding 0 of a part.
    pub(super) fn point(&self, part: &Designation, mark: &str) -> Option<f64> {
        let points = &self.find.part(part)?.kind.wound()?.windings.first()?.points;
        let point = points.iter().position(|p| p.terminal == mark)?;
        match point {
            0 => Some(0.0),
            _ if point + 1 == points.len() => Some(1.0),
            _ => self.value(&Meaning::Tap {
                part: part.clone(),
                winding: 0,
                point,
            }),
        }
    }

    /// Turns of a winding against the first, without their sign.
    pub(super) fn turns(&self, part: &Designation, winding: usize) -> Option<f64> {
        if winding == 0 {
            return Some(1.0);
        }
        self.value(&Meaning::Turns {
            part: part.clone(),
            winding,
        })
        .map(f64::abs)
        .filter(|t| *t > 0.0)
    }

    /// Currents of a winding's pieces: lower position, upper position, amperes.
    pub(super) fn pieces(&self, part: &Designation, winding: usize) -> Vec<(f64, f64, f64)> {
        let element = self.working.model.winding(part, winding);
        let pieces = element.and_then(|e| self.working.solution.currents.get(e.0));
        pieces
            .into_iter()
            .flatten()
            .map(|p| (p.from, p.to, p.amperes.norm()))
            .filter(|p| p.1 > p.0 && p.2.is_finite())
            .collect()
    }

    /// Current of a winding that is not cut anywhere; the greatest where it is.
    pub(super) fn amperes(&self, part: &Designation, winding: usize) -> Option<f64> {
        self.pieces(part, winding)
            .into_iter()
            .map(|p| p.2)
            .max_by(f64::total_cmp)
    }

    /// EMF of a winding, volts.
    pub(super) fn emf(&self, part: &Designation, winding: usize) -> Option<f64> {
        let core = self.working.model.core_of(part)?;
        Some(self.working.solution.emf_per_turn.get(core)?.norm() * self.turns(part, winding)?)
    }

    /// How far a core is driven, as a multiple of its rated volts per hertz, and where its knee lies likewise.
    pub(super) fn driven(&self, part: &Designation) -> Option<(f64, f64)> {
        let rated = self
            .value(&Meaning::CoreVolts(part.clone()))
            .filter(|v| *v > 0.0)?;
        Some((
            self.emf(part, 0)? / rated,
            self.value(&Meaning::Knee(part.clone()))?,
        ))
    }

    /// Current of the feed of a phase, counted from 0, and its volts at the terminals.
    pub(super) fn feed_amperes(&self, phase: u8) -> Option<f64> {
        let model = self.working.model;
        let at = model
            .belongs
            .iter()
            .position(|b| matches!(b, Belongs::Feed { phase: p, .. } if *p == phase))?;
        self.element_amperes(ElementId(at))
    }

    fn element_amperes(&self, element: ElementId) -> Option<f64> {
        self.working
            .solution
            .currents
            .get(element.0)?
            .first()
            .map(|p| p.amperes.norm())
            .filter(|a| a.is_finite())
    }

    /// Whether the setup has a load on.
    pub(super) fn loaded(&self) -> bool {
        let loads = |b: &Belongs| match b {
            Belongs::Load { .. } => true,
            Belongs::Part(part) => self
                .find
                .part(part)
                .is_some_and(|p| matches!(p.kind, PartKind::Load { .. })),
            _ => false,
        };
        self.working.model.belongs.iter().any(loads)
    }

    /// Whether a source stands across these two terminals, or a three-phase feed reaches them.
    pub(super) fn fed_at(&self, a: &TerminalRef, b: &TerminalRef) -> bool {
        let model = self.working.model;
        let ends = model.circuit.elements.iter().filter_map(|e| match e {
            Element::Source { from, to, .. } => Some([*from, *to]),
            _ => None,
        });
        let fed: Vec<_> = ends.flatten().collect();
        [a, b]
            .iter()
            .all(|t| model.node(t).is_some_and(|n| fed.contains(&n)))
    }

    /// Watts of the windings, of the cores, and of everything the feeds deliver.
    pub(super) fn watts(&self) -> Option<(f64, f64, f64)> {
        let (model, solution) = (self.working.model, self.working.solution);
        let windings = model
            .belongs
            .iter()
            .zip(&solution.copper_loss)
            .filter(|(b, _)| matches!(b, Belongs::Winding { .. }));
        let copper: f64 = windings.map(|(_, w)| w).sum();
        let core: f64 = solution.core_loss.iter().sum();
        let delivered: f64 = solution.delivered.iter().map(|s| s.re).sum();
        [copper, core, delivered]
            .iter()
            .all(|w| w.is_finite())
            .then_some((copper, core, delivered))
    }

    /// "The windings turn 23 W into heat and the cores 36 W; of the 9.1 kW that come in, 99 % go out."
    pub(super) fn losses(&self) -> Option<String> {
        let (copper, core, delivered) = self.watts()?;
        let heat = format!(
            "The windings turn {} into heat and the cores {}",
            power(copper),
            power(core)
        );
        if !self.loaded() || delivered <= 0.0 {
            return Some(format!("{heat}."));
        }
        let share = (1.0 - (copper + core) / delivered) * 100.0;
        let share = if share >= 90.0 {
            significant(share, 3)
        } else {
            significant(share, 2)
        };
        Some(format!(
            "{heat}; of the {} that come in, {share}\u{a0}% go out.",
            power(delivered)
        ))
    }

    /// A remark when a core is beyond its knee.
    pub(super) fn beyond_knee(&self) -> Option<String> {
        let cores = self
            .working
            .model
            .circuit
            .cores
            .iter()
            .zip(&self.working.solution.beyond_knee);
        let names: Vec<String> = cores
            .filter(|(_, beyond)| **beyond)
            .map(|((name, _), _)| name.clone())
            .collect();
        (!names.is_empty()).then(|| {
            let (verb, core) = if names.len() == 1 { ("is", "core") } else { ("are", "cores") };
            format!("The {core} of {} {verb} beyond the knee: figures are of the fundamental only, peaks are higher.", list(&names))
        })
    }
}

/// A terminal of a part.
pub(super) fn terminal(part: &Designation, mark: &str) -> TerminalRef {
    TerminalRef {
        part: part.clone(),
        terminal: mark.to_owned(),
    }
}

/// "46.0 V".
pub(super) fn volts(value: f64) -> String {
    show(value, Unit::Volt, DIGITS)
}

/// "15.6 A".
pub(super) fn amperes(value: f64) -> String {
    show(value, Unit::Ampere, DIGITS)
}

/// "23 W".
pub(super) fn power(value: f64) -> String {
    show(value, Unit::Watt, 2)
}

/// "9.0 kVA".
pub(super) fn apparent(value: f64) -> String {
    show(value, Unit::VoltAmpere, 2)
}

/// A position or a distance along the turns: "0.20".
pub(super) fn along(value: f64) -> String {
    format!("{:.2}", value.abs())
}

/// A ratio: "2.50".
pub(super) fn ratio(value: f64) -> String {
    significant(value, DIGITS)
}

/// "T1, T2 and T3".
pub(super) fn list<S: AsRef<str>>(names: &[S]) -> String {
    match names {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [rest @ .., last] => {
            let rest: Vec<&str> = rest.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", rest.join(", "), last.as_ref())
        }
    }
}
