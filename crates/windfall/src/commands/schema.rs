//! `windfall schema`: the JSON Schema of the sheet.

use crate::failure::{Failure, Outcome};
use crate::input;

pub(crate) fn run() -> Result<Outcome, Failure> {
    input::print(&sheet::schema())?;
    Ok(Outcome::Good)
}
