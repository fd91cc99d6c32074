//! How fast a book is and how large it grows: a book of 1,000 finds and 100,000 readings, and 8 threads that write at once.
//!
//! `cargo run --release -p book --example speed great [FOLDER]` (a folder in memory fills faster), `... crowd [FOLDER]` (a folder on the disk);
//! `... fill FILE` lays down the great book and keeps it, for others to measure with.
#![expect(clippy::unwrap_used, reason = "a measurement may stop here")]

use book::{Book, EntryId, Filter, FindId, Moment, New, What};
use std::time::{Duration, Instant};

const SHEET: &str = include_str!("../../../examples/creamery.toml");

fn at(n: i64) -> Moment {
    Moment::new("2026-11-25 21:40:05", n)
}

fn reading(number: usize, what: &str) -> String {
    format!(
        "[[reading]]\nnumber = {number}\nsetup = 1\nmeasured = \"resistance\"\nbetween = [\"T1:1\", \"T1:3\"]\nshown = \"1.5 Ω\"\nwhat = \"{what}\"\n"
    )
}

fn timed<T>(work: impl FnOnce() -> T) -> (T, Duration) {
    let start = Instant::now();
    (work(), start.elapsed())
}

fn median(mut work: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..21).map(|_| timed(&mut work).1).collect();
    times.sort();
    times[10]
}

fn main() {
    let asked: Vec<String> = std::env::args().skip(1).collect();
    if let [what, file] = asked.as_slice()
        && what == "fill"
    {
        fill(file.as_ref());
        return;
    }
    let folder = asked.get(1).map_or_else(std::env::temp_dir, Into::into);
    let folder = folder.join(format!("book-speed-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    match asked.first().map(String::as_str) {
        Some("great") => great(&folder.join("great.sqlite")),
        Some("crowd") => crowd(&folder.join("crowd.sqlite")),
        _ => println!("say what: great or crowd and a folder, or fill and a file"),
    }
    std::fs::remove_dir_all(&folder).unwrap();
}

/// 1,000 finds with 100 readings each, one entry a reading, every tenth find tagged, each judged once.
fn fill(path: &std::path::Path) -> Book {
    let book = Book::create(path).unwrap();
    let whole = sheet::read(SHEET).unwrap();
    let bare = gear::Find {
        readings: Vec::new(),
        ..whole
    };
    let ((), filled) = timed(|| {
        for n in 0..1000u32 {
            let find = gear::Find {
                name: format!("find {n} from the mill"),
                ..bare.clone()
            };
            let (id, _) = book.start(&sheet::write(&find), None, &at(0)).unwrap();
            for reading_number in 1..=100 {
                let what = if reading_number % 10 == 0 {
                    "booster secondary"
                } else {
                    ""
                };
                let what = What::put(reading(reading_number, what).replace("what = \"\"\n", ""));
                book.append(New::of(id, at(1), what)).unwrap();
            }
            if n % 10 == 0 {
                let word = "shed".to_owned();
                book.append(New::of(id, at(2), What::Tagged { word }))
                    .unwrap();
            }
            let judged = book::Judged {
                version: "0".to_owned(),
                at_entry: book.find(id).unwrap().newest,
                priors: serde_json::json!([]),
                judgement: serde_json::json!({ "agree": 100, "open": ["one line of the plate"] }),
            };
            book.judged(id, &at(3), judged).unwrap();
        }
    });
    let count = 102_100.0;
    println!(
        "1,000 finds, 100,000 readings, written one by one in {filled:.1?} ({:.2?} an entry)",
        filled.div_f64(count)
    );
    book
}

fn great(path: &std::path::Path) {
    let book = fill(path);
    let list = median(|| assert_eq!(book.finds(&Filter::default()).unwrap().len(), 1000));
    let rare = median(|| assert!(!book.search("find 777").unwrap().is_empty()));
    let common = median(|| assert_eq!(book.search("booster second").unwrap().len(), 100));
    println!(
        "list {list:.1?}, search of one find {rare:.1?}, search of a word in 10,000 readings {common:.1?}"
    );
    drop(book);
    let (book, opened) = timed(|| Book::open(path).unwrap());
    let (_, cold) = timed(|| book.find(FindId(500)).unwrap());
    println!("opened in {opened:.1?}, a find of 100 readings folded afresh in {cold:.1?}");
    let (report, verified) = timed(|| book.verify().unwrap());
    assert!(report.is_sound(), "{:?}", report.faults);
    println!("verified {} entries in {verified:.1?}", report.entries);
    let copy = path.with_extension("copy");
    let ((), copied) = timed(|| book.backup(&copy).unwrap());
    let size = |p: &std::path::Path| std::fs::metadata(p).unwrap().len() as f64 / 1e6;
    println!(
        "file {:.1} MB; copy of {:.1} MB made in {copied:.1?}",
        size(path),
        size(&copy)
    );
}

/// 8 threads with 500 appends each to one find.
fn crowd(path: &std::path::Path) {
    let book = Book::create(path).unwrap();
    let (find, start) = book.start(SHEET, None, &at(0)).unwrap();
    let shape = sheet::read(SHEET).unwrap();
    let model = &shape.readings[0];
    let before = shape.readings.len();
    let (mut times, whole) = timed(|| {
        std::thread::scope(|scope| {
            let threads: Vec<_> = (0..8)
                .map(|thread| {
                    let book = &book;
                    scope.spawn(move || {
                        (0..500)
                            .map(|n| {
                                let new = book::Reading {
                                    find,
                                    key: Some(format!("{thread}-{n}")),
                                    device: None,
                                    seen: None,
                                    at: at(n),
                                    setup: None,
                                    reading: model.clone(),
                                };
                                timed(|| book.append_reading(new).unwrap()).1
                            })
                            .collect::<Vec<_>>()
                    })
                })
                .collect();
            threads
                .into_iter()
                .flat_map(|t| t.join().unwrap())
                .collect::<Vec<_>>()
        })
    });
    times.sort();
    let entries = book.entries(find, start).unwrap();
    let mut numbers: Vec<u32> = book
        .find(find)
        .unwrap()
        .find
        .readings
        .iter()
        .map(|r| r.number)
        .collect();
    assert_eq!(entries.len(), 4000, "none lost, none doubled");
    assert_eq!(numbers.len(), before + 4000);
    numbers.sort_unstable();
    numbers.dedup();
    assert_eq!(numbers.len(), before + 4000);
    println!(
        "8 threads x 500 readings in {whole:.1?}: middle {:.1?}, 99th percentile {:.1?}, longest {:.1?}",
        times[times.len() / 2],
        times[times.len() * 99 / 100],
        times[times.len() - 1]
    );
    let (_, cold) = timed(|| Book::open(path).unwrap().find(find).unwrap());
    println!(
        "the find of {} readings folded afresh in {cold:.1?}",
        before + 4000
    );
    let last = entries[entries.len() - 1].id;
    let ((), struck) = timed(|| {
        let what = What::Struck {
            entry: last,
            reason: "slip".into(),
        };
        book.append(New::of(find, at(9), what)).unwrap();
    });
    println!(
        "an entry struck in it in {struck:.1?}; entries up to {}",
        book.newest().unwrap().0.max(EntryId(0).0)
    );
}
