//! `windfall serve --lan`: the passphrase asked for, the address said, also as a square for a phone's camera.

use crate::arguments::Lan;
use crate::failure::Failure;
use crate::input;
use page::gate::{Keep, LanSaid};
use qrcode::QrCode;
use qrcode::render::unicode::Dense1x2;
use std::io::IsTerminal;
use std::path::Path;

/// The port when none is said: no service is registered there, and a phone's bookmark stays good.
pub(crate) const PORT: u16 = 7433;
/// Where the passphrase may stand instead of being typed.
const VARIABLE: &str = "WINDFALL_PASSPHRASE";
/// Black on white whatever the terminal's own colours are: cameras want it so. Then back.
const PAPER: (&str, &str) = ("\u{1b}[30;107m", "\u{1b}[0m");

/// What the page is opened to the network with; the passphrase is set before this returns.
pub(crate) fn gate(asked: &Lan, keep: Keep) -> Result<page::gate::Lan, Failure> {
    let failed = |error: page::PageError| Failure::input(error.to_string());
    if let Some(words) = given(asked)? {
        if !keep.is_passphrase(&words).map_err(failed)? {
            let before = keep.has_passphrase().map_err(failed)?;
            keep.set_passphrase(&words).map_err(failed)?;
            if before {
                eprintln!("passphrase changed; devices must come in anew");
            }
        }
    } else if asked.new_passphrase || !keep.has_passphrase().map_err(failed)? {
        keep.set_passphrase(&typed()?).map_err(failed)?;
    }
    Ok(page::gate::Lan {
        keep,
        tls: !asked.no_tls,
        addresses: asked.lan_address.clone(),
    })
}

/// The passphrase from a file or the environment.
fn given(asked: &Lan) -> Result<Option<String>, Failure> {
    if asked.new_passphrase {
        return Ok(None);
    }
    match &asked.passphrase_file {
        Some(path) => first_line(path).map(Some),
        None => Ok(std::env::var(VARIABLE)
            .ok()
            .filter(|words| !words.is_empty())),
    }
}

fn first_line(path: &Path) -> Result<String, Failure> {
    let text = input::text(path)?;
    let line = text.lines().next().unwrap_or("").trim_end();
    if line.is_empty() {
        return Err(Failure::input(format!(
            "{}: its first line is empty; write the passphrase there",
            path.display()
        )));
    }
    Ok(line.to_owned())
}

/// The passphrase typed twice, without being shown.
fn typed() -> Result<String, Failure> {
    if !std::io::stdin().is_terminal() {
        return Err(Failure::input(format!(
            "no passphrase is set and there is no terminal to ask on; give {VARIABLE} or --passphrase-file"
        )));
    }
    let ask = |what: &str| {
        rpassword::prompt_password(what)
            .map_err(|e| Failure::input(format!("the passphrase could not be read: {e}")))
    };
    let words = ask("New passphrase, at least 10 letters: ")?;
    if words == ask("Once more: ")? {
        Ok(words)
    } else {
        Err(Failure::input(
            "the two are not alike; nothing was set, start again",
        ))
    }
}

/// Says where the page is reached and how to know it.
pub(crate) fn say(said: &LanSaid) -> Result<(), Failure> {
    let mut lines = vec![String::new(), "From your own network:".to_owned()];
    lines.extend(said.urls.iter().map(|url| format!("  {url}")));
    if let Some(square) = said.urls.first().and_then(|url| square(url)) {
        lines.extend([String::new(), square]);
    }
    if let (Some(trust), Some(fingerprint)) = (&said.trust, &said.fingerprint) {
        lines.extend([
            format!("A device that does not know this book yet: open {trust}"),
            "and compare the fingerprint of the authority (SHA-256):".to_owned(),
            format!("  {fingerprint}"),
        ]);
    } else {
        lines.push(
            "WARNING: not encrypted. Whoever is on this network can read the passphrase and everything sent."
                .to_owned(),
        );
    }
    input::print(&lines.join("\n"))
}

/// An address as a square of half blocks, a quiet zone around it.
fn square(url: &str) -> Option<String> {
    let code = QrCode::new(url).ok()?;
    let mut render = code.render::<Dense1x2>();
    let square = render
        .dark_color(Dense1x2::Dark)
        .light_color(Dense1x2::Light)
        .build();
    if !std::io::stdout().is_terminal() {
        return Some(square);
    }
    let line = |line: &str| format!("{}{line}{}", PAPER.0, PAPER.1);
    Some(square.lines().map(line).collect::<Vec<_>>().join("\n"))
}
