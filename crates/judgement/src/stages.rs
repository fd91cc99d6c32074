//! The patterns of equations live answers are solved with: fed as the drawn setup has it or as the plate says, loaded or not.

use crate::nominal;
use crate::ports::{self, Ports};
use crate::stage::{Conditions, Fed, Rated, Stage};
use evidence::model::{FindProblem, Nominal};
use gear::{Find, Setup};

/// Slider position where no setup says: the middle.
const MIDDLE: f64 = 0.5;

/// The stages of a find; what cannot be built is absent.
#[derive(Debug, Clone, Default)]
pub(crate) struct Stages {
    drawn: Pair,
    /// Absent where the drawn setup feeds it where the plate would.
    by_plate: Option<Pair>,
}

#[derive(Debug, Clone, Default)]
struct Pair {
    bare: Option<Stage>,
    loaded: Option<Stage>,
}

impl Stages {
    /// Builds them; reasons why one cannot be built go to `faults`.
    pub(crate) fn new(
        find: &Find,
        problem: &mut FindProblem,
        nominal: Nominal,
        drawn: Option<&Setup>,
        faults: &mut Vec<String>,
    ) -> Self {
        let wound = find.parts.iter().any(|p| p.kind.wound().is_some());
        let Some(rated) = rated(find, drawn).filter(|_| wound) else {
            return Self::default();
        };
        let by_plate = ports::by_plate(find);
        let as_drawn = drawn.and_then(|setup| ports::as_drawn(find, setup));
        if by_plate.is_none() && as_drawn.is_none() {
            faults.push(
                "nothing says where it is fed; add terminals X1 (input) and X2 (output), or a setup with a feed"
                    .to_owned(),
            );
        }
        let mut pair = |ports: Option<Ports>| {
            ports.map(|ports| Pair::new(find, problem, nominal, ports, rated, drawn, faults))
        };
        match (as_drawn, by_plate) {
            (Some(drawn), Some(plate)) if drawn == plate => Self {
                drawn: pair(Some(drawn)).unwrap_or_default(),
                by_plate: None,
            },
            (Some(drawn), plate) => Self {
                drawn: pair(Some(drawn)).unwrap_or_default(),
                by_plate: pair(plate),
            },
            (None, plate) => Self {
                drawn: pair(plate).unwrap_or_default(),
                by_plate: None,
            },
        }
    }

    /// The stage for these conditions.
    pub(crate) fn choose(&mut self, conditions: Conditions) -> Option<&mut Stage> {
        let pair = match (conditions.fed, &mut self.by_plate) {
            (Fed::ByPlate, Some(pair)) => pair,
            _ => &mut self.drawn,
        };
        if conditions.load > 0.0 && pair.loaded.is_some() {
            pair.loaded.as_mut()
        } else {
            pair.bare.as_mut()
        }
    }
}

impl Pair {
    fn new(
        find: &Find,
        problem: &mut FindProblem,
        nominal: Nominal,
        ports: Ports,
        rated: Rated,
        like: Option<&Setup>,
        faults: &mut Vec<String>,
    ) -> Self {
        let has_output = ports.output.is_some();
        let mut stage =
            |loaded: bool| Stage::new(find, problem, nominal, ports.clone(), rated, loaded, like);
        let bare = stage(false);
        let loaded = has_output.then(|| stage(true).ok()).flatten();
        let bare = bare.map_err(|errors| {
            for error in errors.iter().map(ToString::to_string) {
                if !faults.contains(&error) {
                    faults.push(error);
                }
            }
        });
        Self {
            bare: bare.ok(),
            loaded,
        }
    }
}

/// Supply, slider, output volts and power to reckon behaviour with: the plate's, else the drawn setup's, else the part's own.
pub(crate) fn rated(find: &Find, drawn: Option<&Setup>) -> Option<Rated> {
    let fed = drawn.and_then(|s| s.feeds.first()?.volts.as_ref()?.value());
    let first_winding = find
        .parts
        .iter()
        .find_map(|p| p.kind.wound()?.windings.first()?.volts.as_ref()?.value());
    let supply = nominal::input_volts(find).or(fed).or(first_winding)?;
    let slider = drawn
        .and_then(|s| s.sliders.first())
        .and_then(|s| s.at.value());
    Some(Rated {
        supply,
        slider: slider.unwrap_or(MIDDLE),
        output_volts: nominal::output_volts(find).unwrap_or(supply),
        power: nominal::of(find).power,
    })
}
