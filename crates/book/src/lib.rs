//! The book: everything the owner ever recorded, in one SQLite file, appended and struck but never erased.
//!
//! ```
//! use book::{Book, Moment, New, What};
//!
//! let book = Book::in_memory()?;
//! let at = Moment::new("2026-11-25 21:40:05", 1_795_642_805_000);
//! let (find, _) = book.start("sheet = 1\n[find]\nname = \"crate find\"\n", None, &at)?;
//! let note = What::put("[[note]]\ntext = \"smells of varnish\"\n");
//! let entry = book.append(New::of(find, at.clone(), note))?;
//! book.append(New::of(find, at, What::Struck { entry: entry.id, reason: "it was the bench".into() }))?;
//! assert!(book.find(find)?.find.notes.is_empty());
//! assert_eq!(book.entries(find, book::EntryId(0))?.len(), 3);
//! # Ok::<(), book::BookError>(())
//! ```
//!
//! An [`Entry`] says who recorded [`What`] and when; a find's [`State`] is what its entries add up to, so undo is striking an entry. Nouns stand
//! in entries in the sheet's own form ([`sheet::fragment`]), which is documented and versioned. [`Book::append`] answers only when the entry
//! is on the disk, and to a key it has already seen with the entry it already has.
//!
//! Everything beside the entries and photos (list, tags, words to search) is derived from them and can be made anew.
//! The book is handed its moments; it looks at no clock, knows no network and no screen, and judges nothing.

mod allowed;
mod append;
mod at_hand;
mod backup;
mod difference;
mod entry;
mod error;
mod judged;
mod list;
mod merge;
mod migrate;
mod noun;
mod open;
mod photos;
mod rows;
mod search;
mod slug;
mod state;
mod take_out;
mod texts;
mod turns;
mod verify;
mod wait;
mod words;

pub use append::{Reading, Start};
pub use difference::difference;
pub use entry::{Entry, EntryId, FindId, Mark, Moment, New, Struck, What};
pub use error::{BookError, Kind};
pub use judged::Judged;
pub use list::{Filter, FindRow, JudgedRow};
pub use migrate::VERSION;
pub use noun::Noun;
pub use open::Book;
pub use photos::Photo;
pub use search::{Hit, Piece};
pub use state::{PhotoOf, State};
pub use take_out::Export;
pub use verify::Report;
