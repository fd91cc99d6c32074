//! A setup in one sentence.

use gear::{Pairing, Setup, SetupLoad};

/// "41.8 V three-phase on X1, chain at 0.70, no load": what was fed where, where the sliders stood, what hung on it.
pub fn setup_words(setup: &Setup) -> String {
    let mut words: Vec<String> = setup.feeds.iter().map(fed).collect();
    if words.is_empty() {
        words.push("nothing fed".to_owned());
    }
    words.extend(
        setup
            .sliders
            .iter()
            .map(|s| format!("{} at {}", s.slider, s.at.text())),
    );
    if setup.loads.is_empty() && !setup.feeds.is_empty() {
        words.push("no load".to_owned());
    }
    words.extend(setup.loads.iter().map(load));
    words.extend(
        setup
            .switches
            .iter()
            .map(|s| format!("{} {}", s.part, if s.closed { "closed" } else { "open" })),
    );
    words.extend(setup.joined.iter().map(|j| format!("{} joined", list(j))));
    if !setup.lifted.is_empty() {
        words.push(format!("{} lifted", list(&setup.lifted)));
    }
    words.join(", ")
}

fn fed(feed: &gear::Feed) -> String {
    let volts = feed
        .volts
        .as_ref()
        .map_or_else(|| "unknown volts".to_owned(), |v| v.text().to_owned());
    let part = feed.to.first().map(|t| &t.part);
    let on_one_part = feed.to.iter().all(|t| Some(&t.part) == part);
    match (feed.to.len(), part, on_one_part) {
        (3, Some(part), true) => format!("{volts} three-phase on {part}"),
        (3, _, _) => format!("{volts} three-phase on {}", list(&feed.to)),
        _ => format!("{volts} on {}", list(&feed.to)),
    }
}

fn load(load: &SetupLoad) -> String {
    let size = load
        .resistance
        .as_ref()
        .or(load.power.as_ref())
        .or(load.reactance.as_ref())
        .map_or("a load", quantity::Quantity::text);
    let how = match load.pairing {
        Pairing::Single => "",
        Pairing::Star => " in star",
        Pairing::Delta => " in delta",
    };
    format!("{size}{how} on {}", list(&load.across))
}

fn list(terminals: &[gear::TerminalRef]) -> String {
    terminals
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join(", ")
}
