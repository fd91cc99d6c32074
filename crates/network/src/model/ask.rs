//! What a place and a kind of measurement ask of the circuit.
//!
//! A current into a part at a terminal is that of the element the terminal is on, a winding not the whole part: two windings
//! joined at a terminal would else cancel. At a terminal strip it is what the feed drives into the find there, or what the load
//! of the setup takes there.

use super::{Belongs, Model, ModelError, Supply};
use crate::circuit::{ElementId, Node};
use crate::solve::Question;
use gear::{Measured, Place, TerminalRef};

/// A current: the node where it is taken and the elements whose currents out of the node are summed.
type Through = (Node, Vec<(ElementId, f64)>);

impl Model {
    /// The question a place and a kind of measurement ask of this circuit; `burden` in siemens for volts, in ohms for amperes
    /// (0: none, or a clamp), as in [`Question`]. Continuity asks for ohms; so both need [`Model::direct`].
    /// # Errors
    /// Why it cannot be asked, and what to do.
    pub fn question(
        &self,
        place: &Place,
        measured: Measured,
        burden: f64,
    ) -> Result<Question, ModelError> {
        self.fits_supply(measured)?;
        match (measured, place) {
            (Measured::AcVoltage | Measured::DcVoltage, Place::Between(a, b)) => {
                Ok(Question::Voltage {
                    a: self.at(a)?,
                    b: self.at(b)?,
                    burden,
                })
            }
            (Measured::Resistance | Measured::Continuity, Place::Between(a, b)) => {
                Ok(Question::Resistance {
                    a: self.at(a)?,
                    b: self.at(b)?,
                })
            }
            (Measured::AcCurrent | Measured::DcCurrent, Place::Into(terminal)) => {
                let (node, through) = self.through(terminal)?;
                Ok(Question::Current {
                    node,
                    through,
                    burden,
                })
            }
            (Measured::Power, Place::PowerInto { into, against }) => {
                let (node, through) = self.through(into)?;
                Ok(Question::Power {
                    node,
                    against: self.at(against)?,
                    through,
                })
            }
            (Measured::Ratio, Place::RatioOf(a, b, c, d)) => Ok(Question::Ratio {
                over: (self.at(a)?, self.at(b)?),
                under: (self.at(c)?, self.at(d)?),
            }),
            _ => Err(misplaced(measured)),
        }
    }

    /// Whether this circuit can answer such a measurement at all.
    fn fits_supply(&self, measured: Measured) -> Result<(), ModelError> {
        let setup = self.setup;
        let alternating = self.supply == Supply::Alternating;
        match measured {
            Measured::Resistance | Measured::Continuity if self.supply != Supply::Dead => {
                Err(ModelError::new(
                    format!(
                        "{} is measured on a dead find, not on the fed setup {setup}",
                        measured.word()
                    ),
                    "ask it of the find with its feeds taken off",
                ))
            }
            Measured::AcVoltage | Measured::AcCurrent | Measured::Power | Measured::Ratio
                if self.supply == Supply::Dead =>
            {
                Err(ModelError::new(
                    format!(
                        "nothing is fed here, so there is no {} in setup {setup}",
                        measured.word()
                    ),
                    "add the feed to the setup: which source, onto which terminals, how many volts",
                ))
            }
            Measured::AcVoltage | Measured::AcCurrent if !alternating => Err(ModelError::new(
                format!(
                    "setup {setup} is fed with direct current, and {} was measured",
                    measured.word()
                ),
                "measure DC, or name an alternating source in the feed",
            )),
            Measured::DcVoltage | Measured::DcCurrent if alternating => Err(ModelError::new(
                format!(
                    "setup {setup} is fed with alternating current, and {} was measured",
                    measured.word()
                ),
                "measure AC, or mark the kit's source `direct = true`",
            )),
            Measured::DcVoltage | Measured::DcCurrent if self.supply == Supply::Dead => {
                Err(ModelError::new(
                    format!(
                        "nothing is fed here, so there is no {} in setup {setup}",
                        measured.word()
                    ),
                    "add the feed to the setup: which source, onto which terminals, how many volts",
                ))
            }
            Measured::Insulation => Err(ModelError::new(
                "insulation is no part of the network: it cannot be predicted",
                "judge it against the insulation values of the standard for the gear",
            )),
            Measured::Frequency => Err(ModelError::new(
                "frequency is what the source gives, the network adds nothing",
                "write it into the setup's feed",
            )),
            Measured::Kick => Err(ModelError::new(
                "a kick is the first moment of a direct current, not its steady state",
                "use it to tell starts from finishes",
            )),
            Measured::Temperature => Err(ModelError::new(
                "temperature is not electrical",
                "write the windings' temperature into the setup; resistances follow it",
            )),
            _ => Ok(()),
        }
    }

    fn at(&self, terminal: &TerminalRef) -> Result<Node, ModelError> {
        self.node(terminal).ok_or_else(|| {
            ModelError::new(
                format!("the find has no terminal {terminal}"),
                "name a terminal of one of its parts",
            )
        })
    }

    fn through(&self, terminal: &TerminalRef) -> Result<Through, ModelError> {
        let node = self.at(terminal)?;
        if let Some(&element) = self.on_part.get(terminal) {
            return Ok((node, vec![(element, 1.0)]));
        }
        let hanging = |feeds: bool| -> Vec<(ElementId, f64)> {
            let wanted = |b: &Belongs| matches!(b, Belongs::Feed { .. }) == feeds;
            // A source's current counts into the find: out of the element into the node.
            let sign = if feeds { -1.0 } else { 1.0 };
            let on = self.hangs_on.iter().zip(&self.belongs).enumerate();
            on.filter(|(_, (t, b))| t.contains(terminal) && wanted(b))
                .map(|(i, _)| (ElementId(i), sign))
                .collect()
        };
        let through = [hanging(true), hanging(false)]
            .into_iter()
            .find(|t| !t.is_empty());
        through
            .map(|t| (node, t))
            .ok_or_else(|| self.no_current(terminal))
    }

    fn no_current(&self, terminal: &TerminalRef) -> ModelError {
        let (part, setup) = (&terminal.part, self.setup);
        if self.open.contains(part) {
            return ModelError::new(
                format!("{part} stands open in setup {setup}: no current can flow at {terminal}"),
                "if there was one, the setup is written down wrong",
            );
        }
        if self
            .assumed
            .iter()
            .any(|a| a.starts_with(&format!("{part} is bridged")))
        {
            return ModelError::new(
                format!(
                    "{part} is bridged or has closed links in parallel: the current at {terminal} is not known"
                ),
                "name another terminal that carries the same current",
            );
        }
        ModelError::new(
            format!("neither a feed nor a load of setup {setup} stands on {terminal}"),
            "name the terminal of the part the current flows into, or put the feed or load onto this terminal",
        )
    }
}

fn misplaced(measured: Measured) -> ModelError {
    let remedy = match measured {
        Measured::AcVoltage | Measured::DcVoltage | Measured::Resistance | Measured::Continuity => {
            "name two terminals: `between = [\"T1:1\", \"T1:2\"]`"
        }
        Measured::AcCurrent | Measured::DcCurrent => {
            "name the terminal it flows in at: `into = \"T1:1\"`"
        }
        Measured::Power => {
            "watts need a current and a voltage: `into = \"X1:1\"` with `against = \"X1:N\"`"
        }
        _ => "a ratio needs two pairs of terminals: `over = [..]` and `under = [..]`",
    };
    ModelError::new(
        format!("{} is not measured at such a place", measured.word()),
        remedy,
    )
}
