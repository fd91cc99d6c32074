//! `windfall manual`: one manual page in roff, the subcommands with their options in it.

use crate::arguments::Arguments;
use crate::failure::{Failure, Outcome};
use crate::input;
use clap::CommandFactory;
use clap_mangen::Man;

pub(crate) fn run() -> Result<Outcome, Failure> {
    let page = page().map_err(|e| Failure::Program(format!("manual page: {e}")))?;
    input::print(&String::from_utf8_lossy(&page))?;
    Ok(Outcome::Good)
}

fn page() -> std::io::Result<Vec<u8>> {
    let mut command = Arguments::command().disable_help_subcommand(true);
    // So that every subcommand knows its full name, as it stands in its usage.
    command.build();
    let whole = Man::new(command.clone());
    let mut page = Vec::new();
    whole.render_title(&mut page)?;
    whole.render_name_section(&mut page)?;
    whole.render_synopsis_section(&mut page)?;
    whole.render_description_section(&mut page)?;
    for subcommand in command.get_subcommands() {
        page.extend_from_slice(
            format!(".SH {}\n", subcommand.get_name().to_uppercase()).as_bytes(),
        );
        one(subcommand, &mut page)?;
        for inner in subcommand.get_subcommands() {
            page.extend_from_slice(format!(".SS {}\n", inner.get_name()).as_bytes());
            one(inner, &mut page)?;
        }
    }
    whole.render_extra_section(&mut page)?;
    whole.render_version_section(&mut page)?;
    Ok(page)
}

/// A command: how it is called, what it does, its options.
fn one(command: &clap::Command, page: &mut Vec<u8>) -> std::io::Result<()> {
    let man = Man::new(command.clone());
    page.extend_from_slice(&under(|out| man.render_synopsis_section(out))?);
    page.extend_from_slice(&under(|out| man.render_description_section(out))?);
    page.extend_from_slice(&under(|out| man.render_options_section(out))?);
    Ok(())
}

/// A section without its heading, to stand under another.
fn under(
    render: impl Fn(&mut dyn std::io::Write) -> std::io::Result<()>,
) -> std::io::Result<Vec<u8>> {
    let mut section = Vec::new();
    render(&mut section)?;
    let text = String::from_utf8_lossy(&section);
    // `.ie` and `.el` lines choose the apostrophe once a page; the title has done that.
    let kept: Vec<&str> = text
        .lines()
        .filter(|l| !l.starts_with(".SH") && !l.starts_with(".ie") && !l.starts_with(".el"))
        .collect();
    Ok(format!("{}\n.PP\n", kept.join("\n")).into_bytes())
}
