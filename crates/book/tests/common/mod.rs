//! What the tests of the book share: a folder of their own, moments, a find to write into.
#![allow(dead_code, reason = "each test file uses some of it")]

use book::{Book, FindId, Moment, New, What};
use std::path::PathBuf;
use std::sync::atomic::{AtomicU32, Ordering};

/// A folder that is gone afterwards.
pub(crate) struct Folder(pub(crate) PathBuf);

impl Folder {
    pub(crate) fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let name = format!(
            "book-{}-{}",
            std::process::id(),
            COUNT.fetch_add(1, Ordering::Relaxed)
        );
        let path = std::env::temp_dir().join(name);
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    pub(crate) fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

pub(crate) fn at(minute: i64) -> Moment {
    Moment::new(
        format!("2026-11-25 {:02}:{:02}:00", minute / 60 % 24, minute % 60),
        minute * 60_000,
    )
}

/// A two-winding transformer with one setup, invented.
pub(crate) const CRATE: &str = r#"sheet = 1
[find]
name = "Crate find"
[[part]]
designation = "T1"
kind = "transformer"
[[part.winding]]
name = "primary"
points = ["1", "2"]
[[part.winding]]
name = "secondary"
points = ["3", "4"]
[[instrument]]
designation = "P1"
[[setup]]
number = 1
what = "dead"
"#;

pub(crate) fn reading(number: u32) -> String {
    format!(
        "[[reading]]\nnumber = {number}\nsetup = 1\nwith = \"P1\"\nmeasured = \"resistance\"\nbetween = [\"T1:1\", \"T1:2\"]\nshown = \"1.{number} Ω\"\n"
    )
}

pub(crate) fn put(book: &Book, find: FindId, text: &str) -> book::Entry {
    book.append(New::of(find, at(1), What::put(text))).unwrap()
}

pub(crate) fn started(book: &Book) -> FindId {
    book.start(CRATE, None, &at(0)).unwrap().0
}

/// A picture made harmless, four by three and of one grey.
pub(crate) fn picture(grey: u8) -> picture::Clean {
    let mut png = std::io::Cursor::new(Vec::new());
    let pixels = image::GrayImage::from_pixel(4, 3, image::Luma([grey]));
    pixels.write_to(&mut png, image::ImageFormat::Png).unwrap();
    picture::taken_in(png.get_ref()).unwrap()
}
