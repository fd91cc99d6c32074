//! The page: everything a browser sees, served on loopback by the program itself.
//!
//! [`serve`] (or [`Server::bind`] and [`Server::run`]) opens a folder of sheets. The start page lists its finds, reads a typed plate and
//! starts a find from a named arrangement; the page of a find shows its judgement, follows the slider and takes readings into the sheet.
//!
//! ```no_run
//! let options = page::Options { book: None, folder: "finds".into(), sheet: None, port: 0, open: true };
//! page::serve(options)?;
//! # Ok::<(), page::PageError>(())
//! ```
//!
//! A request never names a file: finds are known by the words the folder's own listing was made into. Forms are plain HTML; the script
//! only adds what follows the hand. No formula stands here: the page reads input, asks `judgement`, and shows what `report` and
//! `drawing` make of the answer.

mod acts;
mod added;
mod asked;
mod assets;
mod bench;
mod bound;
mod clock;
mod connections;
mod desk;
mod drawing_frame;
mod error;
mod find_page;
mod finds_list;
mod folder;
mod frame;
pub mod gate;
mod generic;
mod guard;
mod help;
mod listing;
mod live;
mod opened;
mod photos;
mod places;
mod reading_form;
mod routes;
mod search_page;
mod server;
mod setup_form;
mod start_page;
mod store;
mod submitted;

pub use error::PageError;
pub use server::{Options, Server, open_browser, serve};
