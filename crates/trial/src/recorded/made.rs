//! A find as its owner would record it: an arrangement with its choices, a meter, two fed setups and a dead one, and the places
//! where readings are taken. What is shown there comes later, from the wiring as it truly is.

use crate::chance::Chance;
use evidence::model::Nominal;
use gear::{
    Feed, Find, Join, JoinState, Measured, Moment, Part, PartKind, Place, Reading, Setup,
    SliderSetting, TerminalRef,
};
use quantity::Quantity;
use wiring::{Options, arrangement};

/// The meter and the source; invented, of the usual handheld kind.
const KIT: &str = r#"
sheet = 1
[find]
name = "kit"
[[kit.source]]
name = "bench set"
volts = "0 to 48 V"
phases = 3
isolated = true
steady = "mains"
[[instrument]]
designation = "P1"
response = "true RMS"
[[instrument.range]]
measures = "AC voltage"
full_scales = ["6 V", "60 V", "600 V"]
counts = 6000
accuracy = "±(0.8 % + 3)"
burden = "10 MΩ"
[[instrument.range]]
measures = "AC current"
full_scales = ["60 mA", "600 mA", "6 A"]
counts = 6000
accuracy = "±(1.5 % + 3)"
[[instrument.range]]
measures = "resistance"
full_scales = ["6 Ω", "60 Ω", "600 Ω", "6 kΩ"]
counts = 6000
accuracy = "±(1 % + 3)"
four_wire = true
"#;

/// A kind of find: its arrangement, the values of its choices, and its share.
type Kind = (
    &'static str,
    &'static [(&'static str, &'static [&'static str])],
    f64,
);

/// Shares of the arrangements: key, choices beside the number of phases, share. Our choice: stabilizers first.
const KINDS: [Kind; 3] = [
    (
        "stabilizer-centre-tap",
        &[
            ("side", &["output", "input"]),
            ("booster", &["usual", "reversed"]),
        ],
        0.5,
    ),
    (
        "stabilizer-end-fed",
        &[
            ("fed", &["star", "line"]),
            ("side", &["output", "input"]),
            ("booster", &["usual", "reversed"]),
        ],
        0.25,
    ),
    (
        "transformer",
        &[
            ("secondaries", &["1", "2"]),
            ("bank", &["star-star", "delta-star", "star-delta"]),
        ],
        0.25,
    ),
];

/// A find without readings, what its plate says, and where one may read.
pub(super) struct Made {
    /// The find.
    pub(super) find: Find,
    /// What is known of it as a whole.
    pub(super) nominal: Nominal,
    places: Vec<(u32, Place, Measured)>,
    supplies: Vec<(u32, Place, Measured)>,
}

/// Draws a find.
/// # Errors
/// What kept it from being made, in words: a fault of ours.
pub(super) fn make(chance: &mut Chance) -> Result<Made, String> {
    let (key, choices, _) = KINDS[chance.among(&KINDS.map(|kind| kind.2))];
    let phases: u8 = if chance.happens(0.5) { 3 } else { 1 };
    let mut chosen = vec![("phases".to_owned(), phases.to_string())];
    for (name, values) in choices {
        let value = values[chance.below(values.len())];
        chosen.push(((*name).to_owned(), value.to_owned()));
    }
    for (name, values) in [
        ("winding_volts", &["230 V"][..]),
        ("secondary_volts", &["24 V", "48 V", "110 V"]),
        ("booster_ratio", &["2.5", "4", "6", "8"]),
        ("winding_power", &["1 kVA", "3 kVA"]),
        ("booster_power", &["500 VA", "2 kVA"]),
    ] {
        let value = values[chance.below(values.len())];
        chosen.push((name.to_owned(), value.to_owned()));
    }
    let arrangement = arrangement(key).ok_or_else(|| format!("no arrangement `{key}`"))?;
    let mut find = (arrangement.build)(&Options {
        name: "a find".into(),
        chosen,
        ..Options::default()
    });
    secondaries_in_series(&mut find);
    let kit = sheet::read(KIT).map_err(|problems| format!("{problems:?}"))?;
    find.kit = kit.kit;
    find.instruments = kit.instruments;
    for join in &mut find.joins {
        join.state =
            [JoinState::Assumed, JoinState::Found, JoinState::Seen][chance.among(&[0.4, 0.2, 0.4])];
    }
    setups(&mut find, phases, chance)?;
    let nominal = Nominal {
        frequency: 50.0,
        volts: Some(if phases == 3 { 400.0 } else { 230.0 }),
        power: None,
        phases,
    };
    let (supplies, places) = places(&find);
    Ok(Made {
        find,
        nominal,
        places,
        supplies,
    })
}

/// Two secondaries of a lone transformer stand in series: else nothing could tell which way they count.
fn secondaries_in_series(find: &mut Find) {
    let three =
        |p: &Part| p.phase.is_none() && p.kind.wound().is_some_and(|w| w.windings.len() == 3);
    if let Some(part) = find.parts.iter().find(|p| three(p)) {
        let terminals = vec![part.terminal("2.2"), part.terminal("3.1")];
        find.joins.push(Join {
            terminals,
            state: JoinState::Assumed,
            note: None,
        });
    }
}

fn setups(find: &mut Find, phases: u8, chance: &mut Chance) -> Result<(), String> {
    let input = |mark: &str| TerminalRef::parse(&format!("X1:{mark}"));
    let neutral = input("N")?;
    let star = find.joins.iter().any(|j| j.terminals.contains(&neutral));
    let to: Vec<TerminalRef> = match (phases, find.has_terminal(&neutral)) {
        (3, _) => vec![input("1")?, input("2")?, input("3")?],
        (_, true) => vec![input("1")?, neutral.clone()],
        (_, false) => vec![input("1")?, input("2")?],
    };
    let mover = find.gangs.first().map(|g| g.name.clone()).or_else(|| {
        Some(
            find.parts
                .iter()
                .find(|p| p.sliders().next().is_some())?
                .designation
                .to_string(),
        )
    });
    let volts = quantity(if phases == 3 { "41.6 V" } else { "24 V" })?;
    for number in 1..=3 {
        let at = [chance.uniform(0.1, 0.4), chance.uniform(0.6, 0.9), 0.5][number - 1];
        let slider = |name: &String| -> Result<SliderSetting, String> {
            Ok(SliderSetting {
                slider: name.clone(),
                at: quantity(&format!("{at:.2}"))?,
            })
        };
        let feed = Feed {
            source: Some("bench set".into()),
            to: to.clone(),
            neutral: (phases == 3 && star).then(|| neutral.clone()),
            earthed: false,
            volts: Some(volts.clone()),
            frequency: None,
            angle: None,
            lost: vec![],
        };
        find.setups.push(Setup {
            number: number as u32,
            at: None,
            what: None,
            feeds: if number < 3 { vec![feed] } else { vec![] },
            sliders: mover.iter().map(slider).collect::<Result<_, _>>()?,
            switches: vec![],
            joined: vec![],
            lifted: vec![],
            loads: vec![],
            temperature: None,
        });
    }
    Ok(())
}

type Places = Vec<(u32, Place, Measured)>;

/// The supplies, which a careful person reads first, and every other place.
fn places(find: &Find) -> (Places, Places) {
    let strip = |name: &str| -> Vec<TerminalRef> {
        find.parts
            .iter()
            .filter(|p| p.designation.as_str() == name)
            .flat_map(|p| p.terminals().into_iter().map(|m| p.terminal(m)))
            .filter(|t| t.terminal != "PE")
            .collect()
    };
    let between = |a: &TerminalRef, b: &TerminalRef| Place::Between(a.clone(), b.clone());
    let (mut supplies, mut all) = (vec![], vec![]);
    let volts = Measured::AcVoltage;
    for setup in [1, 2] {
        let feed = find.setup(setup).and_then(|s| s.feeds.first());
        let fed: Vec<&TerminalRef> = feed
            .iter()
            .flat_map(|f| f.to.iter().chain(&f.neutral))
            .collect();
        for pair in pairs(&fed) {
            supplies.push((setup, between(pair.0, pair.1), volts));
        }
        for terminal in feed
            .iter()
            .flat_map(|f| &f.to)
            .filter(|t| t.terminal != "N")
        {
            all.push((setup, Place::Into(terminal.clone()), Measured::AcCurrent));
        }
        for name in ["X2", "X3"] {
            let output = strip(name);
            for pair in pairs(&output.iter().collect::<Vec<_>>()) {
                all.push((setup, between(pair.0, pair.1), volts));
            }
        }
        for part in find.parts.iter().filter(|p| p.kind.wound().is_some()) {
            let terminals: Vec<TerminalRef> =
                part.terminals().iter().map(|m| part.terminal(m)).collect();
            for pair in pairs(&terminals.iter().collect::<Vec<_>>()) {
                all.push((setup, between(pair.0, pair.1), volts));
            }
        }
    }
    for part in &find.parts {
        for winding in part.kind.wound().iter().flat_map(|w| &w.windings) {
            if let (Some(first), Some(last)) = (winding.points.first(), winding.points.last()) {
                let place = between(
                    &part.terminal(&first.terminal),
                    &part.terminal(&last.terminal),
                );
                all.push((3, place, Measured::Resistance));
            }
        }
        if matches!(part.kind, PartKind::Fuse { .. }) {
            all.push((
                3,
                between(&part.terminal("1"), &part.terminal("2")),
                Measured::Resistance,
            ));
        }
    }
    (supplies, all)
}

fn pairs<'a>(of: &[&'a TerminalRef]) -> Vec<(&'a TerminalRef, &'a TerminalRef)> {
    let mut pairs = vec![];
    for (number, one) in of.iter().enumerate() {
        pairs.extend(of[number + 1..].iter().map(|other| (*one, *other)));
    }
    pairs
}

impl Made {
    /// Readings at `count` places, the supply of each fed setup first, nothing shown yet.
    /// # Errors
    /// What kept one from being made: a fault of ours.
    pub(super) fn plan(&self, count: usize, chance: &mut Chance) -> Result<Vec<Reading>, String> {
        let mut planned: Places = vec![];
        for setup in [1, 2] {
            let supplies: Vec<_> = self.supplies.iter().filter(|p| p.0 == setup).collect();
            planned.extend(
                supplies
                    .get(chance.below(supplies.len().max(1)))
                    .copied()
                    .cloned(),
            );
        }
        let rest = chance.different(count.saturating_sub(planned.len()), self.places.len());
        planned.extend(rest.into_iter().map(|place| self.places[place].clone()));
        planned.truncate(count);
        planned.sort_by_key(|place| place.0);
        let instrument = self.find.instruments.first().map(|i| i.designation.clone());
        let reading = |(number, (setup, place, measured)): (u32, (u32, Place, Measured))| {
            Ok(Reading {
                number,
                setup,
                at: Some(Moment::parse(&format!("14:{:02}", number % 60))?),
                together: None,
                instrument: instrument.clone(),
                measured,
                place,
                shown: Some(nothing_yet(measured)?),
                beep: None,
                kick: None,
                what: None,
                struck: None,
                kept: false,
                note: None,
            })
        };
        (1..).zip(planned).map(reading).collect()
    }
}

fn nothing_yet(measured: Measured) -> Result<Quantity, String> {
    quantity(match measured {
        Measured::AcCurrent => "0.010 A",
        Measured::Resistance => "1.00 Ω",
        _ => "10.00 V",
    })
}

pub(super) fn quantity(text: &str) -> Result<Quantity, String> {
    Quantity::parse(text).map_err(|error| error.to_string())
}
