//! Finds by rolls of dice: every noun, every choice, odd words; without faults.

use gear::*;
use quantity::{Accuracy, Quantity};

/// Rolls, used up one by one; zeros when they are gone.
pub(crate) struct Dice<'a>(std::slice::Iter<'a, u16>);

impl<'a> Dice<'a> {
    pub(crate) fn new(rolls: &'a [u16]) -> Self {
        Self(rolls.iter())
    }

    pub(crate) fn below(&mut self, n: usize) -> usize {
        usize::from(self.0.next().copied().unwrap_or(0)) % n.max(1)
    }

    pub(crate) fn of<T: Clone>(&mut self, choices: &[T]) -> T {
        choices[self.below(choices.len())].clone()
    }

    fn flag(&mut self) -> bool {
        self.below(2) == 1
    }

    fn maybe<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        self.flag().then(|| make(self))
    }

    fn some<T>(&mut self, most: usize, mut make: impl FnMut(&mut Self, usize) -> T) -> Vec<T> {
        (0..self.below(most + 1)).map(|i| make(self, i)).collect()
    }

    fn quantity(&mut self, choices: &[&str]) -> Quantity {
        Quantity::parse(self.of(choices)).unwrap()
    }

    fn words(&mut self) -> String {
        const WORDS: [&str; 14] = [
            "plain",
            "",
            " blanks ",
            "a \"quoted\" word",
            "\"",
            "\"\"\"",
            "two\nlines",
            "ends\n",
            "\n\nstarts",
            "tab\there\r\n",
            "back\\slash",
            "# no comment",
            "Größe µ Ω 3~ '",
            "\u{7f}\u{85}\u{0}",
        ];
        self.of(&WORDS).to_owned()
    }

    fn moment(&mut self) -> Moment {
        Moment::parse(self.of(&[
            "14:09",
            "2026-10-14",
            "2026-10-14 14:09:30",
            "2026-10-14T14:10",
        ]))
        .unwrap()
    }
}

fn designation(letters: &str, number: usize) -> Designation {
    Designation::parse(&format!("{letters}{number}")).unwrap()
}

const VOLTS: [&str; 4] = ["230 V", "7.10 V", "23,8 V", "41.8 kV"];
const AMPERES: [&str; 3] = ["115 mA", "7 A", "0.50 A"];
const OHMS: [&str; 4] = ["40 mΩ", "1.50 Ω", "2 MΩ", "4R7"];
const POSITIONS: [&str; 4] = ["0.50", "0,70", "0", "1"];

fn winding(dice: &mut Dice, index: usize, slidable: bool) -> Winding {
    let mark = |k: usize| format!("{}.{}", index + 1, k + 1);
    let count = 2 + dice.below(3);
    let inner = ["0.25", "0.5", "0,75"];
    let point = |dice: &mut Dice, k: usize| {
        let at = match k {
            0 => "0",
            k if k + 1 == count => "1",
            k => inner[k - 1],
        };
        Point {
            terminal: mark(k),
            at: dice.maybe(|_| Quantity::parse(at).unwrap()),
        }
    };
    let sliders = if slidable { 1 + dice.below(2) } else { 0 };
    Winding {
        name: format!("winding {index}"),
        points: (0..count).map(|k| point(dice, k)).collect(),
        sliders: (0..sliders)
            .map(|k| Slider {
                terminal: format!("s{index}{k}"),
                brush: dice.maybe(|d| d.quantity(&OHMS)),
            })
            .collect(),
        dot: dice.of(&[Dot::Unknown, Dot::First, Dot::Last]),
        volts: dice.maybe(|d| d.quantity(&VOLTS)),
        amperes: dice.maybe(|d| d.quantity(&AMPERES)),
        resistance: dice.maybe(|d| d.quantity(&OHMS[..3])),
        leakage: dice.maybe(|d| d.quantity(&OHMS[..3])),
        turns: dice.maybe(|d| d.quantity(&["230", "1200"])),
    }
}

fn wound(dice: &mut Dice, windings: usize, slidable: bool) -> Wound {
    Wound {
        windings: (0..windings).map(|i| winding(dice, i, slidable)).collect(),
        core: CoreFacts {
            shape: dice.maybe(Dice::words),
            area: dice.maybe(|d| d.quantity(&["20 cm²", "500 mm²"])),
            mass: dice.maybe(|d| d.quantity(&["11 kg"])),
            loss: dice.maybe(|d| d.quantity(&["12 W", "4.5 W"])),
            current: dice.maybe(|d| d.quantity(&AMPERES)),
            knee: dice.maybe(|d| d.quantity(&VOLTS)),
        },
        power: dice.maybe(|d| d.quantity(&["3 kVA", "200 W"])),
        frequency: dice.maybe(|d| d.quantity(&["50 Hz", "60 Hz"])),
        insulation: dice.maybe(Dice::words),
    }
}

fn kind(dice: &mut Dice) -> (&'static str, PartKind) {
    match dice.below(9) {
        0 => ("T", PartKind::VariableAutotransformer(wound(dice, 1, true))),
        1 => ("L", PartKind::Choke(wound(dice, 1, false))),
        2 => (
            "R",
            PartKind::Resistor {
                resistance: dice.maybe(|d| d.quantity(&OHMS[..3])),
            },
        ),
        3 => (
            "C",
            PartKind::Capacitor {
                capacitance: dice.maybe(|d| d.quantity(&["20 µF"])),
            },
        ),
        4 => (
            "E",
            PartKind::Load {
                resistance: dice.maybe(|d| d.quantity(&OHMS[..3])),
                reactance: dice.maybe(|d| d.quantity(&["-5 Ω"])),
            },
        ),
        5 => (
            "F",
            PartKind::Fuse {
                current: dice.maybe(|d| d.quantity(&AMPERES)),
            },
        ),
        6 => ("Q", PartKind::Switch),
        7 => (
            "T",
            PartKind::Unmarked(Unmarked {
                leads: ["a", "b", "c", "d"].map(str::to_owned).to_vec(),
                number_of_windings: dice.maybe(|d| d.of(&[1, 2])),
                wound: wound(dice, 1, false),
            }),
        ),
        _ => (
            "X",
            PartKind::Terminals(["1", "2", "N"].map(str::to_owned).to_vec()),
        ),
    }
}

/// A find. The first part is always a transformer of two windings, so that there are terminals to speak of.
pub(crate) fn find(dice: &mut Dice) -> Find {
    let two = wound(dice, 2, false);
    let mut parts = vec![Part {
        designation: designation("T", 1),
        name: None,
        phase: Some(1),
        kind: PartKind::Transformer(two),
    }];
    parts.extend(dice.some(4, |dice, i| {
        let (letters, kind) = kind(dice);
        Part {
            designation: designation(letters, i + 2),
            name: dice.maybe(Dice::words),
            phase: dice.maybe(|d| d.of(&[1, 2, 3])),
            kind,
        }
    }));
    let terminals: Vec<TerminalRef> = parts
        .iter()
        .flat_map(|p| p.terminals().into_iter().map(|m| p.terminal(m)))
        .collect();
    let slidable: Vec<Designation> = parts
        .iter()
        .filter(|p| p.sliders().count() == 1)
        .map(|p| p.designation.clone())
        .collect();
    let kit = kit(dice);
    let setups = (1..=1 + dice.below(2))
        .map(|n| setup(dice, n as u32, &parts, &terminals, &slidable, &kit))
        .collect::<Vec<_>>();
    let numbers = setups.len();
    let mut names = 0..;
    let damage = dice.some(2, |dice, _| Damage {
        part: designation("T", 1),
        winding: dice.maybe(|_| "winding 1".to_owned()),
        what: dice.words(),
        travel: dice.maybe(|d| Travel {
            from: d.quantity(&["0.2"]),
            to: d.quantity(&["0.2", "40 %"]),
        }),
        at: dice.maybe(Dice::moment),
    });
    Find {
        name: dice.words(),
        number: dice.maybe(|_| 12),
        origin: dice.maybe(Dice::words),
        arrangement: dice.maybe(Dice::words),
        plate: plate(dice),
        gangs: slidable
            .first()
            .map(|d| Gang {
                name: "chain".into(),
                parts: vec![d.clone()],
            })
            .filter(|_| dice.flag())
            .into_iter()
            .collect(),
        leads: dice.some(2, |dice, i| Lead {
            designation: designation("W", i),
            from: terminals[0].clone(),
            to: dice.maybe(|_| terminals[1].clone()),
            colour: dice.maybe(Dice::words),
            section: dice.maybe(|d| d.quantity(&["6 mm²"])),
            mark: dice.maybe(Dice::words),
            state: dice.of(&[JoinState::Assumed, JoinState::Found, JoinState::Seen]),
        }),
        joins: dice.some(2, |dice, _| Join {
            terminals: terminals[..2 + dice.below(3)].to_vec(),
            state: dice.of(&[JoinState::Assumed, JoinState::Found, JoinState::Seen]),
            note: dice.maybe(Dice::words),
        }),
        instruments: (1..=2).map(|n| instrument(dice, n)).collect(),
        readings: together(dice.some(5, |dice, _| {
            reading(dice, names.next().unwrap(), numbers, &terminals)
        })),
        notes: dice.some(2, |dice, _| Note {
            at: dice.maybe(Dice::moment),
            text: dice.words(),
        }),
        parts,
        kit,
        setups,
        damage,
    }
}

/// Readings without a time are taken together with the one before them, if it is of the same setup.
fn together(mut readings: Vec<Reading>) -> Vec<Reading> {
    for k in 1..readings.len() {
        if readings[k].setup == readings[k - 1].setup && readings[k].at.is_none() {
            readings[k].together = Some(readings[k - 1].number);
        }
    }
    readings
}

fn plate(dice: &mut Dice) -> Plate {
    let mut fields = Vec::new();
    for field in PlateField::ALL {
        let written = match field.unit().symbol() {
            "VA" => "30 kVA",
            "V" => "4?0 V",
            "A" => "43,3 A",
            "Hz" => "50 Hz",
            "W" => "45 W",
            "%" => "4 %",
            "°C" => "40 °C",
            "kg" => "180 kg",
            _ => "0.8",
        };
        // In no fixed order: the owner reads a plate as it comes.
        let at = dice.below(fields.len() + 1);
        if dice.flag() {
            fields.insert(at, (field, Quantity::parse(written).unwrap()));
        }
    }
    Plate {
        text: dice.maybe(Dice::words),
        fields,
        phases: dice.maybe(|d| d.of(&[1, 3])),
        marks: dice.some(2, |d, _| d.words()),
    }
}

fn kit(dice: &mut Dice) -> Kit {
    let items = |dice: &mut Dice| {
        dice.some(2, |d, _| KitItem {
            name: d.words(),
            values: d.some(2, |d, _| d.quantity(&VOLTS)),
        })
    };
    let sources = dice.some(2, |dice, i| {
        let phases = dice.of(&[1, 3]);
        KitSource {
            name: format!("source \"{i}\""),
            volts: dice.maybe(|d| d.quantity(&["0 to 48 V", "230 V"])),
            amperes: dice.maybe(|d| d.quantity(&AMPERES)),
            phases,
            isolated: dice.maybe(Dice::flag),
            steadiness: dice.of(&[Steadiness::Mains, Steadiness::Regulated]),
            impedance: dice.maybe(|d| d.quantity(&OHMS[..3])),
            direct: phases == 1 && dice.flag(),
        }
    });
    Kit {
        sources,
        limiters: items(dice),
        loads: items(dice),
        protection: items(dice),
    }
}

fn instrument(dice: &mut Dice, number: usize) -> Instrument {
    let accuracy = [
        "±(0.8 % + 3)",
        "±1 %",
        "±(0.07 % + 2)",
        "±(1,5 % + 0.5)",
        "±(2.9 % + 10)",
        "class 1.5",
        "±(0.5 % + 0.07 % of full scale + 2)",
        "±(0.29 % + 0.1 % of full scale)",
    ];
    Instrument {
        designation: designation("P", number),
        name: dice.maybe(Dice::words),
        class: dice.maybe(|d| d.of(&InstrumentClass::ALL)),
        response: dice.of(&[Response::Unknown, Response::TrueRms, Response::Average]),
        ranges: dice.some(3, |dice, _| {
            let measures = dice.of(&Measured::ALL);
            let counted = dice.flag();
            Range {
                measures,
                full_scales: if measures == Measured::AcVoltage {
                    dice.some(2, |d, i| d.quantity(&[["6 V", "60 V"][i]]))
                } else {
                    vec![]
                },
                counts: counted.then_some(6000),
                divisions: (!counted).then_some(30),
                accuracy: dice.maybe(|d| Accuracy::parse(d.of(&accuracy)).unwrap()),
                burden: dice.maybe(|d| d.quantity(&OHMS[..3])),
                clamp: measures == Measured::AcCurrent && dice.flag(),
                four_wire: measures == Measured::Resistance && dice.flag(),
            }
        }),
        category: dice.maybe(Dice::words),
        fuse: dice.maybe(|d| d.quantity(&AMPERES)),
        leads: dice.maybe(|d| d.quantity(&OHMS[..3])),
    }
}

fn setup(
    dice: &mut Dice,
    number: u32,
    parts: &[Part],
    terminals: &[TerminalRef],
    slidable: &[Designation],
    kit: &Kit,
) -> Setup {
    let switches: Vec<&Part> = parts
        .iter()
        .filter(|p| matches!(p.kind, PartKind::Fuse { .. } | PartKind::Switch))
        .collect();
    let closed_from = dice.below(switches.len() + 1);
    let switch = |(i, part): (usize, &&Part)| SwitchSetting {
        part: part.designation.clone(),
        closed: i >= closed_from,
    };
    Setup {
        number,
        at: dice
            .maybe(|d| Moment::parse(d.of(&["2026-10-14 14:02", "14:02", "2026-10-14"])).unwrap()),
        what: dice.maybe(Dice::words),
        feeds: dice.some(2, |dice, _| feed(dice, terminals, kit)),
        sliders: slidable
            .iter()
            .rev()
            .map(|d| SliderSetting {
                slider: d.to_string(),
                at: dice.quantity(&POSITIONS),
            })
            .collect(),
        switches: switches.iter().enumerate().map(switch).collect(),
        joined: dice.some(2, |dice, _| terminals[..2 + dice.below(2)].to_vec()),
        lifted: terminals[..dice.below(3)].to_vec(),
        loads: dice.some(2, |dice, _| load(dice, terminals)),
        temperature: dice.maybe(|d| d.quantity(&["20 °C", "-3 °C"])),
    }
}

fn feed(dice: &mut Dice, terminals: &[TerminalRef], kit: &Kit) -> Feed {
    let source = dice
        .maybe(|d| d.below(kit.sources.len().max(1)))
        .and_then(|i| kit.sources.get(i));
    let three = source.is_none_or(|s| s.phases == 3) && dice.flag();
    Feed {
        source: source.map(|s| s.name.clone()),
        to: terminals[..if three { 3 } else { 2 }].to_vec(),
        neutral: if three {
            dice.maybe(|_| terminals[3].clone())
        } else {
            None
        },
        earthed: three && dice.flag(),
        volts: dice.maybe(|d| d.quantity(&VOLTS)),
        frequency: if source.is_some_and(|s| s.direct) {
            None
        } else {
            dice.maybe(|d| d.quantity(&["50 Hz"]))
        },
        angle: dice.maybe(|d| d.quantity(&["-120 °", "0 °"])),
        lost: if three {
            dice.some(1, |d, _| d.of(&[1, 2, 3]))
        } else {
            vec![]
        },
    }
}

fn load(dice: &mut Dice, terminals: &[TerminalRef]) -> SetupLoad {
    let (count, pairing) = dice.of(&[
        (2, Pairing::Single),
        (3, Pairing::Star),
        (3, Pairing::Delta),
        (4, Pairing::Star),
    ]);
    let by_power = dice.flag();
    SetupLoad {
        across: terminals[..count].to_vec(),
        pairing,
        resistance: (!by_power).then(|| dice.quantity(&OHMS[..3])),
        reactance: if by_power {
            None
        } else {
            dice.maybe(|d| d.quantity(&["-5 Ω", "0 Ω"]))
        },
        power: by_power.then(|| dice.quantity(&["10 kVA", "10 kW"])),
        volts: dice.maybe(|d| d.quantity(&VOLTS)),
        power_factor: dice.maybe(|d| d.quantity(&["0.8", "1"])),
    }
}

fn reading(dice: &mut Dice, number: u32, setups: usize, terminals: &[TerminalRef]) -> Reading {
    let measured = dice.of(&Measured::ALL);
    let [a, b, c, d] = [0, 1, 2, 3].map(|i| terminals[i].clone());
    let (place, shown) = match measured {
        Measured::AcVoltage => (Place::Between(a, b), "21.0 V"),
        Measured::DcVoltage => (Place::Between(a, b), "-21.0 mV"),
        Measured::AcCurrent | Measured::DcCurrent => (Place::Into(a), "1.20 to 1.25 A"),
        Measured::Power => (
            Place::PowerInto {
                into: a,
                against: b,
            },
            "12 W",
        ),
        Measured::Resistance | Measured::Insulation => {
            (Place::Between(a, b), ["OL", "> 2 GΩ"][dice.below(2)])
        }
        Measured::Continuity | Measured::Kick => (Place::Between(a, b), ""),
        Measured::Ratio => (Place::RatioOf(a, b, c, d), "2.50"),
        Measured::Frequency => (Place::Between(a, b), "49.98 Hz"),
        Measured::Temperature => (Place::At(designation("T", 1)), "24 °C"),
    };
    Reading {
        number,
        setup: 1 + dice.below(setups) as u32,
        at: dice.maybe(Dice::moment),
        together: None,
        instrument: dice.maybe(|d| designation("P", 1 + d.below(2))),
        measured,
        place,
        shown: (!shown.is_empty()).then(|| Quantity::parse(shown).unwrap()),
        beep: (measured == Measured::Continuity).then(|| dice.flag()),
        kick: (measured == Measured::Kick).then(|| dice.of(&[Kick::Up, Kick::Down])),
        what: dice.maybe(Dice::words),
        struck: dice.maybe(Dice::words),
        kept: dice.flag(),
        note: dice.maybe(Dice::words),
    }
}
