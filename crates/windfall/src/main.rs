//! The command line: reads what was asked, calls one function of the judgement, prints. No formula lives here.

mod arguments;
mod commands;
mod failure;
mod given;
mod input;
mod place;
mod progress;

use arguments::{Arguments, Command};
use clap::Parser;
use failure::Outcome;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are what was asked for, not a wrong input.
            let asked = !error.use_stderr();
            let _ = error.print();
            return ExitCode::from(if asked { 0 } else { 2 });
        }
    };
    match run(arguments.command) {
        Ok(outcome) => outcome.into(),
        Err(failure) => {
            eprintln!("{failure}");
            failure.into()
        }
    }
}

fn run(command: Command) -> Result<Outcome, failure::Failure> {
    match command {
        Command::Demo(asked) => commands::demo::run(&asked),
        Command::Plate(asked) => commands::plate::run(&asked),
        Command::New(asked) => commands::new::run(&asked),
        Command::Check(asked) => commands::check::run(&asked),
        Command::Next(asked) => commands::next::run(&asked),
        Command::Predict(asked) => commands::predict::run(&asked),
        Command::Trace(asked) => commands::trace::run(&asked),
        Command::Draw(asked) => commands::draw::run(&asked),
        Command::Report(asked) => commands::report::run(&asked),
        Command::Serve(asked) => commands::serve::run(&asked),
        Command::Schema => commands::schema::run(),
        Command::Readings(asked) => commands::readings::run(&asked),
        Command::Book(asked) => commands::book::run(&asked),
        Command::Completions(asked) => commands::completions::run(&asked),
        Command::Manual => commands::manual::run(),
    }
}
