//! The solver's complaints in the words of the find, each with what to do.

use super::{Model, ModelError};
use crate::solve::NetworkError;

impl Model {
    /// A complaint of the solver as a sentence that names parts, with its remedy.
    pub fn explain(&self, error: &NetworkError) -> ModelError {
        let setup = self.setup;
        match error {
            NetworkError::ShortedSource { source, by } => ModelError::new(
                format!("{source} of setup {setup} is shorted by {}", list(by)),
                "look at the joins around it, open what stood open, or give the source its impedance in the kit",
            ),
            NetworkError::UnlikeSources { sources } => ModelError::new(
                format!(
                    "{} of setup {setup} stand in parallel with unlike volts",
                    list(sources)
                ),
                "take one of them off, or give the sources their impedance in the kit",
            ),
            NetworkError::Contradiction { elements } => ModelError::new(
                format!(
                    "{} stand in one loop that can hold no current and no volts that agree",
                    list(elements)
                ),
                "look at the joins between them; one is wrong, or a winding there needs a resistance",
            ),
            NetworkError::Singular { at } => ModelError::new(
                format!("the equations of setup {setup} have no single answer, seen at {at}"),
                format!(
                    "look at what is joined at {at}: two links or switches side by side, or a part with nothing to hold it"
                ),
            ),
            NetworkError::NotSettled { rounds, residual } => ModelError::new(
                format!(
                    "the cores of setup {setup} did not settle in {rounds} rounds (last change {residual:.1e}): some core is far beyond its knee"
                ),
                "look at the volts fed and the winding they are fed to; a winding on twice its volts does this",
            ),
            NetworkError::BadValue { element, what } => ModelError::new(
                format!("a value of {element} cannot be: {what}"),
                format!(
                    "look at what is recorded of {element}, and at slider positions: they lie from 0 to 1"
                ),
            ),
        }
    }
}

/// "F1, T4 and T5"; "nothing that has a name" when empty.
fn list(names: &[String]) -> String {
    match names {
        [] => "nothing that has a name".to_owned(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}
