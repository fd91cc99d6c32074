//! `windfall serve`: the page on this machine.

use crate::arguments::Serve;
use crate::commands::lan;
use crate::failure::{Failure, Outcome};
use crate::input;
use crate::place;
use page::gate::Keep;
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
    let book = asked.book.as_ref().map(|path| place::book(path.as_deref()));
    let options = page::Options {
        book: book.transpose()?,
        folder,
        sheet: asked.sheet.clone(),
        port: asked
            .port
            .unwrap_or(if asked.lan.lan { lan::PORT } else { 0 }),
        open: !asked.no_open,
    };
    let failed = |e: page::PageError| Failure::Program(e.to_string());
    if !asked.lan.lan {
        page::serve(options).map_err(failed)?;
        return Ok(Outcome::Good);
    }
    let keep = match &options.book {
        Some(book) => Keep::beside_book(book),
        None => Keep::in_folder(&options.folder),
    };
    let gate = lan::gate(&asked.lan, keep)?;
    let server = page::Server::bind(&options)
        .and_then(|server| server.open_to_lan(&gate))
        .map_err(failed)?;
    input::print(&server.url())?;
    if let Some(said) = server.lan() {
        lan::say(said)?;
    }
    if !asked.no_open {
        page::open_browser(&server.url());
    }
    server.run().map_err(failed)?;
    Ok(Outcome::Good)
}

/// Serves until interrupted.
pub(crate) fn open(
    folder: PathBuf,
    sheet: Option<PathBuf>,
    port: u16,
    open: bool,
) -> Result<Outcome, Failure> {
    page::serve(page::Options {
        book: None,
        folder,
        sheet,
        port,
        open,
    })
    .map_err(|e| Failure::Program(e.to_string()))?;
    Ok(Outcome::Good)
}
