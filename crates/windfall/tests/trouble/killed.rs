//! The program killed while two devices record at the bench: every reading that was acknowledged is there, none twice, and the book is sound.
//!
//! 6 kills in the suite; `SERVER_KILLS=200 cargo test -p windfall --test trouble -- killed --nocapture` for more.

use super::{Served, creamery, exported, is_sound};
use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;
use std::time::Duration;

/// A device with its own keys: what it had acknowledged, and what it sent last without an answer.
#[derive(Default)]
struct Device {
    name: u32,
    sent: u32,
    acknowledged: BTreeMap<u32, String>,
}

impl Device {
    /// Records until the program is gone. What was not answered is sent again first, under its key, as the page at the bench does.
    fn records(&mut self, served: &Served) {
        loop {
            let key = format!("{}-{}", self.name, self.sent);
            let shown = 20 + self.name;
            let Ok(number) = served.reads(&format!("&shown={shown}.0&note={key}&key={key}")) else {
                return;
            };
            assert_eq!(
                self.acknowledged.insert(number, key),
                None,
                "{number} given twice"
            );
            self.sent += 1;
        }
    }
}

#[test]
fn every_reading_acknowledged_to_a_device_outlives_the_kill() {
    let kills: u64 = std::env::var("SERVER_KILLS").map_or(6, |n| n.parse().unwrap());
    let mut dice = fastrand::Rng::with_seed(11);
    let mut told = 0;
    // A book of its own for every ten, so that the last is as quick as the first.
    for group in 0..kills.div_ceil(10) {
        let book = creamery("killed");
        let mut devices = [1, 2].map(|name| Device {
            name,
            ..Device::default()
        });
        for _ in 0..10.min(kills - 10 * group) {
            let served = Served::of(&book, &[]);
            let pid = served.child.id().to_string();
            let wait = Duration::from_millis(dice.u64(20..400));
            std::thread::scope(|scope| {
                for device in &mut devices {
                    scope.spawn(|| device.records(&served));
                }
                std::thread::sleep(wait);
                // SIGKILL: nothing is put away.
                let killed = Command::new("kill").args(["-KILL", &pid]).status();
                assert!(killed.unwrap().success());
            });
            drop(served);
            is_sound(&book);
        }
        let find = exported(&book);
        let notes = find
            .readings
            .iter()
            .filter_map(|r| Some((r.number, r.note.clone()?)));
        let there: BTreeMap<u32, String> = notes.collect();
        for (number, key) in devices.iter().flat_map(|d| &d.acknowledged) {
            assert_eq!(there.get(number), Some(key), "reading {number}");
        }
        let once: BTreeSet<&String> = there.values().collect();
        assert_eq!(once.len(), there.len(), "sent again, written twice");
        told += devices.iter().map(|d| d.acknowledged.len()).sum::<usize>();
    }
    println!("{kills} kills, {told} readings acknowledged, all there");
    assert!(told as u64 > kills, "too few were written to say anything");
}
