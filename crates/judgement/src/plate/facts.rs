//! What the plate amounts to: the figures by what they mean, the number of phases, the kind of gear; guesses with their why.

use super::figure::{Figure, percent};
use super::reader::{self, Scanned};
use gear::{Plate, PlateField};
use quantity::{Quantity, Reach, Tolerance, Unit};

/// From this power on, a voltage between two lines means three phases (our choice: few one-phase sockets bear more).
const THREE_PHASE_POWER: f64 = 5e3;
/// Voltages between lines of three-phase mains of the world, roughly (IEC 60038: 400 V; older and other mains around it).
const LINE_VOLTS: std::ops::RangeInclusive<f64> = 340.0..=500.0;
/// How far a current may stand from S/U and still tell the number of phases.
const PHASES_BY_CURRENT: f64 = 0.06;

/// What kind of gear the plate speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Gear {
    Stabilizer(Fed),
    Transformer,
    Variable,
    Unknown,
}

/// How a stabilizer's booster is fed, where the arrangement is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fed {
    CentreTap,
    End,
    Unknown,
}

/// Lowest and highest input voltage.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Span {
    pub(super) low: Figure,
    pub(super) high: Figure,
    /// How it was come by: "400 V ±20 %".
    pub(super) how: String,
    /// The plate has it as a span of its own, not as a share of the voltage.
    pub(super) typed: bool,
}

/// The plate's figures by meaning.
#[derive(Debug, Clone)]
pub(super) struct Facts {
    pub(super) scanned: Scanned,
    pub(super) gear: Gear,
    pub(super) gear_why: String,
    pub(super) phases: Option<u8>,
    /// Why a number of phases is guessed; nothing when the plate says it.
    pub(super) phases_guess: Option<String>,
    /// Apparent power.
    pub(super) power: Option<Figure>,
    /// Power written in watts.
    pub(super) active: Option<Figure>,
    pub(super) power_factor: Option<Figure>,
    /// The voltage the power goes with: output, or the only one.
    pub(super) volts: Option<Figure>,
    /// Primary of a transformer, fixed input of a variable autotransformer.
    pub(super) primary: Option<Figure>,
    /// Further outputs.
    pub(super) further: Vec<Figure>,
    pub(super) span: Option<Span>,
    /// Downward and upward range of the input as shares, as typed.
    pub(super) correction: Option<(f64, f64, String)>,
    pub(super) current: Option<Figure>,
    pub(super) input_current: Option<Figure>,
    pub(super) output_current: Option<Figure>,
    pub(super) frequencies: Vec<Figure>,
    pub(super) impedance: Option<Figure>,
    pub(super) no_load_current: Option<Figure>,
    pub(super) no_load_loss: Option<Figure>,
    pub(super) load_loss: Option<Figure>,
    pub(super) mass: Option<Figure>,
    /// Every voltage that can be read, for what must be warned of.
    pub(super) every_voltage: Vec<Figure>,
}

/// Plate text read, with the fields given one by one in the place of those read.
pub(super) fn merged(plate: &Plate) -> Scanned {
    let mut scanned = plate.text.as_deref().map(reader::scan).unwrap_or_default();
    scanned
        .fields
        .retain(|(field, _)| plate.fields.iter().all(|(given, _)| given != field));
    scanned.fields.extend(plate.fields.iter().cloned());
    scanned.phases = plate.phases.or(scanned.phases);
    for mark in &plate.marks {
        let close = |m: &String| m.split_whitespace().collect::<String>().to_lowercase();
        if !scanned.marks.iter().any(|m| close(m) == close(mark)) {
            scanned.marks.push(mark.clone());
        }
    }
    scanned
}

impl Facts {
    /// Sorts a plate's figures; `arrangement` is the key of a named arrangement where the owner knows it.
    pub(super) fn of(plate: &Plate, arrangement: Option<&str>) -> Self {
        let scanned = merged(plate);
        let correction = correction(&scanned);
        let (gear, gear_why) = kind(&scanned, correction.is_some(), arrangement);
        let one = |field| all(&scanned, field).next().and_then(Figure::of);
        let power = all(&scanned, PlateField::Power);
        let (apparent, watts): (Vec<_>, Vec<_>) = power.partition(|q| q.unit() != Unit::Watt);
        let (volts, primary, further) = voltages(&scanned, gear);
        let mut facts = Self {
            gear,
            gear_why,
            phases: scanned.phases.filter(|n| matches!(n, 1 | 3)),
            phases_guess: None,
            power: apparent.first().and_then(|q| Figure::of(q)),
            active: watts.first().and_then(|q| Figure::of(q)),
            power_factor: one(PlateField::PowerFactor),
            span: span(&scanned, gear, volts.as_ref(), correction.as_ref()),
            volts,
            primary,
            further,
            correction,
            current: one(PlateField::Current),
            input_current: one(PlateField::InputCurrent),
            output_current: one(PlateField::OutputCurrent),
            frequencies: all(&scanned, PlateField::Frequency)
                .filter_map(Figure::of)
                .collect(),
            impedance: one(PlateField::Impedance),
            no_load_current: one(PlateField::NoLoadCurrent),
            no_load_loss: one(PlateField::NoLoadLoss),
            load_loss: one(PlateField::LoadLoss),
            mass: one(PlateField::Mass),
            every_voltage: scanned
                .fields
                .iter()
                .filter(|(_, q)| q.unit() == Unit::Volt)
                .filter_map(|(_, q)| Figure::of(q))
                .collect(),
            scanned,
        };
        facts.guess_phases();
        facts
    }

    /// 1 or √3: what line current times line voltage is multiplied with to give the power.
    pub(super) fn factor(&self) -> Option<f64> {
        match self.phases? {
            3 => Some(3f64.sqrt()),
            _ => Some(1.0),
        }
    }

    /// `√3 × ` or nothing, for a sentence.
    pub(super) fn factor_words(&self) -> &'static str {
        if self.phases == Some(3) {
            "√3\u{a0}×\u{a0}"
        } else {
            ""
        }
    }

    /// What a power is divided by for a current, in words: `(√3 × 400 V)`, or `230 V` alone.
    pub(super) fn divisor(&self, volts: &str) -> String {
        if self.phases == Some(3) {
            format!("({}{volts})", self.factor_words())
        } else {
            volts.to_owned()
        }
    }

    /// The current the plate gives for the output.
    pub(super) fn stated_current(&self) -> Option<&Figure> {
        self.output_current.as_ref().or(self.current.as_ref())
    }

    fn guess_phases(&mut self) {
        if self.phases.is_some() {
            return;
        }
        if let Some((phases, why)) = self.phases_by_current().or_else(|| self.phases_by_volts()) {
            self.phases = Some(phases);
            self.phases_guess = Some(why);
        }
    }

    fn phases_by_current(&self) -> Option<(u8, String)> {
        let (power, volts) = (self.power.as_ref()?, self.volts.as_ref()?);
        let current = self.stated_current()?;
        let fits = |factor: f64| {
            let reckoned = power.mid / volts.mid / factor;
            (current.low * (1.0 - PHASES_BY_CURRENT)..=current.high * (1.0 + PHASES_BY_CURRENT))
                .contains(&reckoned)
        };
        let words = |divisor: String| {
            format!(
                "the plate does not say; {} fits {} / {divisor}",
                current.text, power.text
            )
        };
        match (fits(1.0), fits(3f64.sqrt())) {
            (true, false) => Some((1, words(base(volts)))),
            (false, true) => Some((3, words(format!("(√3\u{a0}×\u{a0}{})", base(volts))))),
            _ => None,
        }
    }

    fn phases_by_volts(&self) -> Option<(u8, String)> {
        let volts = self.volts.as_ref()?;
        let power = self.power.as_ref().or(self.active.as_ref());
        let line = LINE_VOLTS.contains(&volts.mid);
        match power {
            Some(power) if line && power.mid > THREE_PHASE_POWER => Some((
                3,
                format!(
                    "the plate does not say; {} is a voltage between lines (IEC 60038), and {} is much for one phase",
                    base(volts),
                    power.text
                ),
            )),
            _ if line && matches!(self.gear, Gear::Stabilizer(_)) => Some((
                3,
                format!(
                    "the plate does not say; {} is a voltage between lines (IEC 60038)",
                    base(volts)
                ),
            )),
            _ => Some((
                1,
                "the plate does not say; nothing on it asks for three".to_owned(),
            )),
        }
    }
}

/// A voltage without the tolerance typed behind it.
pub(super) fn base(volts: &Figure) -> String {
    volts.words()
}

fn all(scanned: &Scanned, field: PlateField) -> impl Iterator<Item = &Quantity> {
    scanned
        .fields
        .iter()
        .filter(move |(found, _)| *found == field)
        .map(|(_, quantity)| quantity)
}

/// Correction range as shares down and up. A voltage's own ± counts where nothing else is said (a sheet's field may carry it).
fn correction(scanned: &Scanned) -> Option<(f64, f64, String)> {
    let by_field = all(scanned, PlateField::Correction).find_map(|q| match q.reach() {
        Reach::Value { value, .. } if value > 0.0 => {
            Some((value, value, format!("±{}", percent(value))))
        }
        Reach::Span { low, high, .. } if low < 0.0 && high >= 0.0 => {
            Some((-low, high, q.text().trim().to_owned()))
        }
        _ => None,
    });
    by_field
        .or_else(|| {
            [PlateField::Voltage, PlateField::InputVoltage]
                .into_iter()
                .flat_map(|field| all(scanned, field))
                .find_map(|q| match q.tolerance() {
                    Some(Tolerance::Relative { plus, minus }) if plus.max(minus) > 0.03 => {
                        let text = if plus == minus {
                            format!("±{}", percent(plus))
                        } else {
                            format!("+{} −{}", percent(plus), percent(minus))
                        };
                        Some((minus, plus, text))
                    }
                    _ => None,
                })
        })
        .filter(|(down, _, _)| *down < 1.0)
}

fn is_span(quantity: &Quantity) -> bool {
    matches!(quantity.reach(), Reach::Span { low, high, .. } if high > low)
}

fn kind(scanned: &Scanned, corrected: bool, arrangement: Option<&str>) -> (Gear, String) {
    let as_told = "the arrangement says so".to_owned();
    match arrangement {
        Some("stabilizer-centre-tap") => return (Gear::Stabilizer(Fed::CentreTap), as_told),
        Some("stabilizer-end-fed") => return (Gear::Stabilizer(Fed::End), as_told),
        Some(key) if key.starts_with("stabilizer") => {
            return (Gear::Stabilizer(Fed::Unknown), as_told);
        }
        Some("transformer") => return (Gear::Transformer, as_told),
        Some("variable-autotransformer") => return (Gear::Variable, as_told),
        _ => {}
    }
    let from_zero = |q: &Quantity| matches!(q.reach(), Reach::Span { low, high, .. } if low == 0.0 && high > 0.0);
    if [PlateField::OutputVoltage, PlateField::Voltage]
        .into_iter()
        .flat_map(|f| all(scanned, f))
        .any(from_zero)
    {
        return (
            Gear::Variable,
            "a guess: its output goes down to 0 V".into(),
        );
    }
    let input_span = all(scanned, PlateField::InputVoltage).find(|q| is_span(q));
    let fixed = |field| {
        all(scanned, field)
            .filter(|q| !is_span(q))
            .filter_map(Quantity::value)
            .next()
    };
    let output = fixed(PlateField::OutputVoltage).or(fixed(PlateField::Voltage));
    if let Some(span) = input_span {
        return (
            Gear::Stabilizer(Fed::Unknown),
            format!("a guess: it takes {}", span.text().trim()),
        );
    }
    let two_windings = match (fixed(PlateField::InputVoltage), output) {
        (Some(input), Some(output)) => (input / output - 1.0).abs() > 0.1,
        _ => {
            scanned
                .marks
                .iter()
                .any(|m| super::labels::is_vector_group(m))
                || distinct_plain(scanned).len() > 1
        }
    };
    if two_windings {
        return (Gear::Transformer, "a guess: it has two voltages".into());
    }
    if corrected {
        return (
            Gear::Stabilizer(Fed::Unknown),
            "a guess: it has a range of correction".into(),
        );
    }
    (Gear::Unknown, String::new())
}

/// Unlabelled voltages that differ.
fn distinct_plain(scanned: &Scanned) -> Vec<Figure> {
    let mut found: Vec<Figure> = Vec::new();
    for figure in all(scanned, PlateField::Voltage)
        .filter(|q| !is_span(q))
        .filter_map(Figure::of)
    {
        if found
            .iter()
            .all(|f| (f.mid / figure.mid - 1.0).abs() > 0.02)
        {
            found.push(figure);
        }
    }
    found
}

/// The voltage the power goes with, the primary, and further outputs.
fn voltages(scanned: &Scanned, gear: Gear) -> (Option<Figure>, Option<Figure>, Vec<Figure>) {
    let fixed = |field| {
        all(scanned, field)
            .filter(|q| !is_span(q))
            .filter_map(Figure::of)
            .collect::<Vec<_>>()
    };
    let (mut inputs, mut outputs, plain) = (
        fixed(PlateField::InputVoltage),
        fixed(PlateField::OutputVoltage),
        distinct_plain(scanned),
    );
    if gear == Gear::Variable {
        let upper = |q: &Quantity| match q.reach() {
            Reach::Span { high, .. } => Some(Figure::exact(high, Unit::Volt)),
            _ => None,
        };
        let output = [PlateField::OutputVoltage, PlateField::Voltage]
            .into_iter()
            .flat_map(|f| all(scanned, f))
            .find_map(upper);
        let primary = inputs.into_iter().chain(plain).next();
        return (
            output
                .or_else(|| outputs.into_iter().next())
                .or_else(|| primary.clone()),
            primary,
            Vec::new(),
        );
    }
    // unlabelled voltages fill the places that are empty, in the order they stand
    for figure in plain {
        if gear == Gear::Transformer && inputs.is_empty() {
            inputs.push(figure);
        } else if outputs.is_empty() || gear == Gear::Transformer {
            outputs.push(figure);
        }
    }
    let mut outputs = outputs.into_iter();
    let primary = inputs.into_iter().next();
    (
        outputs.next().or_else(|| primary.clone()),
        primary,
        outputs.collect(),
    )
}

fn span(
    scanned: &Scanned,
    gear: Gear,
    volts: Option<&Figure>,
    correction: Option<&(f64, f64, String)>,
) -> Option<Span> {
    if !matches!(gear, Gear::Stabilizer(_)) {
        return None;
    }
    for quantity in all(scanned, PlateField::InputVoltage) {
        if let Reach::Span { low, high, step } = quantity.reach() {
            let end =
                |v: f64| Figure::between(v - step / 2.0, v, v + step / 2.0, false, Unit::Volt);
            return (low > 0.0).then(|| Span {
                low: end(low),
                high: end(high),
                how: "as the plate has it".into(),
                typed: true,
            });
        }
    }
    let (volts, (down, up, text)) = (volts?, correction?);
    Some(Span {
        low: volts.scaled(1.0 - down),
        high: volts.scaled(1.0 + up),
        how: format!("{} {text}", base(volts)),
        typed: false,
    })
}
