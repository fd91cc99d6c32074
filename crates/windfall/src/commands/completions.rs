//! `windfall completions`: what completes the commands in a shell.

use crate::arguments::{Arguments, Completions};
use crate::failure::{Failure, Outcome};
use crate::input;
use clap::CommandFactory;

pub(crate) fn run(asked: &Completions) -> Result<Outcome, Failure> {
    let mut bytes = Vec::new();
    clap_complete::generate(
        asked.shell,
        &mut Arguments::command(),
        "windfall",
        &mut bytes,
    );
    input::print(&String::from_utf8_lossy(&bytes))?;
    Ok(Outcome::Good)
}
