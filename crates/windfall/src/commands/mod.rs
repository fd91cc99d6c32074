//! One file a subcommand, each with a `run`.

pub(crate) mod book;
pub(crate) mod check;
pub(crate) mod completions;
pub(crate) mod demo;
pub(crate) mod draw;
pub(crate) mod lan;
pub(crate) mod manual;
pub(crate) mod new;
pub(crate) mod next;
pub(crate) mod plate;
pub(crate) mod predict;
pub(crate) mod readings;
pub(crate) mod report;
pub(crate) mod schema;
pub(crate) mod serve;
pub(crate) mod trace;
