//! `windfall serve`: the page on this machine.

use crate::arguments::Serve;
use crate::failure::{Failure, Outcome};
use std::path::{Path, PathBuf};

pub(crate) fn run(asked: &Serve) -> Result<Outcome, Failure> {
    let beside = |sheet: &Path| {
        sheet
            .parent()
            .filter(|p| !p.as_os_str().is_empty())
            .map_or_else(|| PathBuf::from("."), Path::to_path_buf)
    };
    let folder = asked
        .folder
        .clone()
        .or_else(|| asked.sheet.as_deref().map(beside))
        .unwrap_or_else(|| PathBuf::from("."));
    open(folder, asked.sheet.clone(), asked.port, !asked.no_open)
}

/// Serves until interrupted.
pub(crate) fn open(
    folder: PathBuf,
    sheet: Option<PathBuf>,
    port: u16,
    open: bool,
) -> Result<Outcome, Failure> {
    page::serve(page::Options {
        folder,
        sheet,
        port,
        open,
    })
    .map_err(|e| Failure::Program(e.to_string()))?;
    Ok(Outcome::Good)
}
