//! What can be asked on the command line.

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Brings salvaged mains-voltage wound gear back to life: reads the plate, draws the wiring, judges the readings, says how it behaves.
#[derive(Debug, Parser)]
#[command(
    name = "windfall",
    version,
    about,
    after_help = "Exit codes: 0 good; 1 a reading or the plate contradicts; 2 the input is wrong; 3 the program failed."
)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// The subcommands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Take a worked find from plate to report, then open its page.
    Demo(Demo),
    /// Say everything a plate implies, from one typed line or from a sheet.
    Plate(Plate),
    /// Start a find from a named arrangement; without one, list them.
    New(New),
    /// Judge a find: plate, wiring, readings, what they taught.
    Check(Sheet),
    /// Say which wiring the readings leave, which reading to repeat, and which to take next.
    Next(Sheet),
    /// Say what stands where, at a slider position, supply and load.
    Predict(Predict),
    /// Sort the leads of an unmarked part: what its readings tell, and the next test.
    Trace(Trace),
    /// Draw a find as SVG.
    Draw(Draw),
    /// Write the report: one HTML file that stands alone.
    Report(Report),
    /// Open the page on this machine.
    Serve(Serve),
    /// Print the JSON Schema of the sheet.
    Schema,
    /// Readings out of a find, or into it, as rows for a spreadsheet program.
    Readings(Readings),
    /// The book: all your finds in one file, every entry kept.
    Book(Book),
    /// Print what completes the commands in your shell.
    Completions(Completions),
    /// Print the manual page.
    Manual,
}

#[derive(Debug, Args)]
pub(crate) struct Demo {
    /// Stop after writing; do not open the page.
    #[arg(long)]
    pub(crate) no_serve: bool,
    /// Where to write the sheet, report and drawings.
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub(crate) out: PathBuf,
    /// Port of the page; 0 takes a free one.
    #[arg(long, default_value_t = 0)]
    pub(crate) port: u16,
    /// Serve, but do not start a browser.
    #[arg(long)]
    pub(crate) no_open: bool,
    /// Print the judgement and what was written as JSON; does not open the page.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Plate {
    /// The plate as typed, illegible figures as ?: "30 kVA 400 V ±20 % 50 Hz". Or a sheet's path.
    #[arg(required_unless_present = "find")]
    pub(crate) text: Vec<String>,
    /// Instead: the plate of a find of the book, by its word or number in `windfall book list`.
    #[arg(long, value_name = "FIND", conflicts_with = "text")]
    pub(crate) find: Option<String>,
    /// The book it is in; the one in your data folder unless said.
    #[arg(long, value_name = "FILE", requires = "find")]
    pub(crate) book: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct New {
    /// Key of the arrangement.
    pub(crate) arrangement: Option<String>,
    /// What to call the find.
    #[arg(long)]
    pub(crate) name: Option<String>,
    /// The plate as typed.
    #[arg(long)]
    pub(crate) plate: Option<String>,
    /// A choice the arrangement offers, as key=value; may be repeated.
    #[arg(long = "choose", value_name = "KEY=VALUE")]
    pub(crate) choices: Vec<String>,
    /// Write the sheet here instead of printing it; an existing file is not overwritten.
    #[arg(long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,
    /// Print JSON: the list, or the sheet started and where it was written.
    #[arg(long)]
    pub(crate) json: bool,
}

/// Where a find is: a sheet in a file, or a find in the book.
#[derive(Debug, Clone, Args)]
pub(crate) struct Where {
    /// The sheet; - reads standard input. Left out with --find.
    pub(crate) sheet: Option<PathBuf>,
    /// Instead of a sheet: a find of the book, by its word or number in `windfall book list`.
    #[arg(long, value_name = "FIND")]
    pub(crate) find: Option<String>,
    /// The book it is in; the one in your data folder unless said.
    #[arg(long, value_name = "FILE", requires = "find")]
    pub(crate) book: Option<PathBuf>,
    /// As it stood when this entry of its history was the newest.
    #[arg(long, value_name = "ENTRY", requires = "find")]
    pub(crate) at: Option<u64>,
}

#[derive(Debug, Args)]
pub(crate) struct Sheet {
    #[command(flatten)]
    pub(crate) at: Where,
    /// Print JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Predict {
    #[command(flatten)]
    pub(crate) sheet: Sheet,
    /// Slider position, 0 to 1 from the winding's first terminal.
    #[arg(long)]
    pub(crate) slider: Option<f64>,
    /// Supply, as written: "400 V" (line to line for three phases).
    #[arg(long)]
    pub(crate) supply: Option<String>,
    /// Load on the output, as written: "30 kVA" (at power factor 1); "0" is none.
    #[arg(long)]
    pub(crate) load: Option<String>,
}

#[derive(Debug, Args)]
pub(crate) struct Trace {
    #[command(flatten)]
    pub(crate) sheet: Sheet,
    /// The part, as T1; may be left out where there is only one. With --find it stands alone.
    pub(crate) part: Option<String>,
    /// Volts intended for the winding the tests feed, as written: "230 V"; tells the flux density where turns and core are known.
    #[arg(long)]
    pub(crate) volts: Option<String>,
    /// Print the part with the windings found, as it would stand in the sheet; nothing is overwritten.
    #[arg(long)]
    pub(crate) adopt: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Draw {
    #[command(flatten)]
    pub(crate) at: Where,
    /// What to draw.
    #[arg(long, value_enum, default_value_t = Picture::Schematic)]
    pub(crate) what: Picture,
    /// The phase to draw.
    #[arg(long, default_value_t = 1)]
    pub(crate) phase: u8,
    /// Write here instead of printing.
    #[arg(long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Picture {
    /// One phase with the readings on it.
    Schematic,
    /// Output, currents and losses against slider position.
    Travel,
    /// What the readings taught: before and after.
    Learned,
}

#[derive(Debug, Args)]
pub(crate) struct Report {
    #[command(flatten)]
    pub(crate) at: Where,
    /// Where to write; the sheet's name with .html unless said, or the find's word.
    #[arg(long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,
    /// Say as JSON what was written.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Args)]
#[command(group(clap::ArgGroup::new("way").required(true).args(["csv", "json", "add"])))]
pub(crate) struct Readings {
    #[command(flatten)]
    pub(crate) at: Where,
    /// Print the readings as CSV (RFC 4180).
    #[arg(long)]
    pub(crate) csv: bool,
    /// Print the readings as JSON, as they were recorded.
    #[arg(long)]
    pub(crate) json: bool,
    /// Add the readings of this CSV file to the sheet or the book, all or none; - reads standard input.
    #[arg(long, value_name = "FILE")]
    pub(crate) add: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct Completions {
    /// The shell.
    #[arg(value_enum)]
    pub(crate) shell: clap_complete::Shell,
}

#[derive(Debug, Args)]
pub(crate) struct Serve {
    /// A sheet to open at once.
    pub(crate) sheet: Option<PathBuf>,
    /// Folder of sheets; the sheet's own, or the present one.
    #[arg(long, value_name = "DIR")]
    pub(crate) folder: Option<PathBuf>,
    /// The finds of a book instead; the one in your data folder unless a file is named. Begun if there is none.
    #[arg(long, value_name = "FILE", num_args = 0..=1, conflicts_with_all = ["sheet", "folder"])]
    pub(crate) book: Option<Option<PathBuf>>,
    /// Port; 0 takes a free one. With --lan 7433 unless said, so that a phone finds it again.
    #[arg(long)]
    pub(crate) port: Option<u16>,
    /// Do not start a browser.
    #[arg(long)]
    pub(crate) no_open: bool,
    #[command(flatten)]
    pub(crate) lan: Lan,
}

#[derive(Debug, Args)]
pub(crate) struct Lan {
    /// Open the page to your own network too: asks each device for a passphrase, speaks TLS. Read docs/lan.md first.
    #[arg(long)]
    pub(crate) lan: bool,
    /// File whose first line is the passphrase; else WINDFALL_PASSPHRASE, else the one set before, else you are asked.
    #[arg(long, value_name = "FILE", requires = "lan")]
    pub(crate) passphrase_file: Option<PathBuf>,
    /// Ask for a new passphrase.
    #[arg(long, requires = "lan", conflicts_with = "passphrase_file")]
    pub(crate) new_passphrase: bool,
    /// Do not encrypt: everybody on the network can read along, the passphrase too.
    #[arg(long, requires = "lan")]
    pub(crate) no_tls: bool,
    /// Answer on this private address only; may be repeated. Unless said, on every private one this machine has.
    #[arg(long, value_name = "ADDRESS", requires = "lan")]
    pub(crate) lan_address: Vec<std::net::Ipv4Addr>,
}

#[derive(Debug, Args)]
pub(crate) struct Book {
    /// What to do with it.
    #[command(subcommand)]
    pub(crate) action: BookAction,
    /// The book; one in your data folder unless said.
    #[arg(long, global = true, value_name = "FILE")]
    pub(crate) book: Option<PathBuf>,
    /// Print JSON.
    #[arg(long, global = true)]
    pub(crate) json: bool,
}

/// What can be done with a book.
#[derive(Debug, Subcommand)]
pub(crate) enum BookAction {
    /// Make a new book.
    New,
    /// List the finds, the one touched last first.
    List {
        /// Only those tagged with this word.
        #[arg(long, value_name = "WORD")]
        tag: Option<String>,
    },
    /// Start a find from each sheet; photos in SHEET-photos beside it come along. Makes the book where there is none.
    Import {
        /// The sheets.
        #[arg(required = true)]
        sheets: Vec<PathBuf>,
    },
    /// Print a find as its sheet.
    Export {
        /// The find, by its word or number in the list.
        find: String,
        /// Write the sheet here, and its photos into FILE-photos beside it; nothing is overwritten.
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// Tell every entry of a find in the order they were made, the struck ones too.
    History {
        /// The find, by its word or number in the list.
        find: String,
    },
    /// Find words, or their beginnings, in all finds.
    Search {
        /// The words; all of them must be there.
        #[arg(required = true)]
        words: Vec<String>,
    },
    /// Copy the book as it is now to a new file, also while it is in use.
    Backup {
        /// The new file.
        to: PathBuf,
    },
    /// Read everything in the book and say whether it is sound.
    Verify,
}
