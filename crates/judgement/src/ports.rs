//! Where a find is fed and where it gives: terminals of input and output, by its setups, its strips or its windings.

use crate::nominal;
use gear::{
    Designation, Feed, Find, Pairing, Part, PartKind, Setup, SetupLoad, SliderSetting, TerminalRef,
    Winding, Wound,
};
use quantity::Quantity;

/// A port: one, two or three line terminals and what they stand against.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Port {
    /// L1, L2, L3; or the one line terminal.
    pub(crate) lines: Vec<TerminalRef>,
    /// Neutral, star point, or the other terminal of one phase.
    pub(crate) against: Option<TerminalRef>,
}

/// Input and output.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Ports {
    pub(crate) input: Port,
    pub(crate) output: Option<Port>,
}

/// Number of a setup nobody made: it asks what would be.
pub(crate) const MADE_UP: u32 = 0;

/// The ports a find was made for, by its strips, its plate's volts and its windings; `None` where nothing says where it is fed.
pub(crate) fn by_plate(find: &Find) -> Option<Ports> {
    let strips = strips(find);
    if let Some(input) = strips.first().and_then(|s| strip(s)) {
        return Some(Ports {
            input,
            output: strips.get(1).and_then(|s| strip(s)),
        });
    }
    let Some((part, wound)) = only_wound(find) else {
        return fed(find).map(|input| Ports {
            input,
            output: None,
        });
    };
    if matches!(part.kind, PartKind::VariableAutotransformer(_)) {
        let whole = ends(part, wound.windings.first()?)?;
        let against = |w: Port| Port {
            lines: w.against.into_iter().collect(),
            against: w.lines.into_iter().next(),
        };
        let input = fed(find).unwrap_or_else(|| against(whole));
        let output = output_of_windings(part, wound, &input);
        return Some(Ports { input, output });
    }
    let wanted = nominal::input_volts(find);
    let off = |w: &Winding| match (wanted, w.volts.as_ref().and_then(Quantity::value)) {
        (Some(wanted), Some(volts)) => (volts / wanted).ln().abs(),
        _ => f64::INFINITY,
    };
    let input = wound
        .windings
        .iter()
        .min_by(|a, b| off(a).total_cmp(&off(b)))?;
    let input = ends(part, input)?;
    let output = output_of_windings(part, wound, &input);
    Some(Ports { input, output })
}

/// The ports as a setup has them: fed where it is fed.
pub(crate) fn as_drawn(find: &Find, setup: &Setup) -> Option<Ports> {
    let input = port_of_feed(setup.feeds.first()?);
    let strips = strips(find);
    let output = match only_wound(find) {
        Some((part, wound)) if strips.is_empty() => output_of_windings(part, wound, &input),
        _ => strips
            .iter()
            .filter_map(|s| strip(s))
            .find(|port| port.lines != input.lines),
    };
    Some(Ports { input, output })
}

fn strips(find: &Find) -> Vec<&Part> {
    let is_strip = |p: &&Part| matches!(p.kind, PartKind::Terminals(_));
    find.parts.iter().filter(is_strip).collect()
}

/// The feed with the most terminals, then the most volts.
fn fed(find: &Find) -> Option<Port> {
    let volts = |f: &Feed| f.volts.as_ref().and_then(Quantity::value).unwrap_or(0.0);
    let feeds = find.setups.iter().flat_map(|s| &s.feeds);
    feeds
        .max_by(|a, b| {
            let terminals = a.to.len().cmp(&b.to.len());
            terminals.then(volts(a).total_cmp(&volts(b)))
        })
        .map(port_of_feed)
}

fn port_of_feed(feed: &Feed) -> Port {
    if feed.to.len() == 3 {
        return Port {
            lines: feed.to.clone(),
            against: feed.neutral.clone(),
        };
    }
    Port {
        lines: feed.to.iter().take(1).cloned().collect(),
        against: feed.to.get(1).cloned(),
    }
}

/// Lines are marked 1, 2, 3 or L, L1, L2, L3; neutral N. Two other marks are line and return.
fn strip(part: &Part) -> Option<Port> {
    let marks = part.terminals();
    let is_line = |m: &&&str| matches!(**m, "1" | "2" | "3" | "L" | "L1" | "L2" | "L3");
    let lines: Vec<TerminalRef> = marks
        .iter()
        .filter(is_line)
        .map(|m| part.terminal(m))
        .collect();
    let neutral = marks.iter().find(|m| **m == "N").map(|m| part.terminal(m));
    match (lines.len(), &neutral) {
        (1 | 3, _) => Some(Port {
            lines,
            against: neutral,
        }),
        (2, None) => Some(Port {
            lines: lines[..1].to_vec(),
            against: lines.get(1).cloned(),
        }),
        _ => None,
    }
}

/// The wound part of a find that has only one.
fn only_wound(find: &Find) -> Option<(&Part, &Wound)> {
    let mut wound = find.parts.iter().filter_map(|p| Some((p, p.kind.wound()?)));
    let first = wound.next()?;
    wound.next().is_none().then_some(first)
}

/// A winding's ends as a port: its first point against its last.
fn ends(part: &Part, winding: &Winding) -> Option<Port> {
    Some(Port {
        lines: vec![part.terminal(&winding.points.first()?.terminal)],
        against: Some(part.terminal(&winding.points.last()?.terminal)),
    })
}

/// What is taken from a part fed at `input`: its slider against the end it shares with the feed, or its first other winding.
fn output_of_windings(part: &Part, wound: &Wound, input: &Port) -> Option<Port> {
    let slider = wound
        .windings
        .iter()
        .find_map(|w| Some((w, w.sliders.first()?)));
    if let Some((winding, slider)) = slider {
        let low = part.terminal(&winding.points.first()?.terminal);
        return Some(Port {
            lines: vec![part.terminal(&slider.terminal)],
            against: Some(input.against.clone().unwrap_or(low)),
        });
    }
    let fed = |w: &&Winding| {
        let has =
            |t: &TerminalRef| t.part == part.designation && w.terminals().any(|m| m == t.terminal);
        input.lines.iter().chain(&input.against).any(has)
    };
    wound
        .windings
        .iter()
        .find(|w| !fed(w))
        .and_then(|w| ends(part, w))
}

/// The movers of a find's sliders: gang names first, then parts of their own.
pub(crate) fn movers(find: &Find) -> Vec<String> {
    let lone = find.parts.iter().filter(|p| {
        p.kind
            .wound()
            .is_some_and(|w| w.windings.iter().any(|w| !w.sliders.is_empty()))
    });
    let ganged = |d: &Designation| find.gang_of(d).is_some();
    let mut movers: Vec<String> = find.gangs.iter().map(|g| g.name.clone()).collect();
    movers.extend(
        lone.filter(|p| !ganged(&p.designation))
            .map(|p| p.designation.to_string()),
    );
    movers
}

/// A position as the sheet would write it.
pub(crate) fn position(at: f64) -> Option<Quantity> {
    Quantity::parse(&format!("{:.2}", at.clamp(0.0, 1.0))).ok()
}

/// A setup nobody made: fed at the input with `volts` (line to line for three phases), every slider at `slider`, `load`
/// volt-amperes at power factor 1 on the output at `load_volts`. Switches stand as in `like`.
pub(crate) fn made_up(
    find: &Find,
    ports: &Ports,
    like: Option<&Setup>,
    volts: f64,
    slider: f64,
    load: Option<(f64, f64)>,
) -> Setup {
    let quantity = |value: f64, unit: &str| Quantity::parse(&format!("{value:.6} {unit}")).ok();
    let three = ports.input.lines.len() == 3;
    let mut to = ports.input.lines.clone();
    if !three {
        to.extend(ports.input.against.clone());
    }
    let frequency = like
        .and_then(|s| s.feeds.first())
        .and_then(|f| f.frequency.clone());
    let feed = Feed {
        source: None,
        to,
        neutral: if three {
            ports.input.against.clone()
        } else {
            None
        },
        earthed: false,
        volts: quantity(volts, "V"),
        frequency: frequency.or_else(|| quantity(nominal::of(find).frequency, "Hz")),
        angle: None,
        lost: Vec::new(),
    };
    let loads = ports
        .output
        .as_ref()
        .zip(load)
        .and_then(|(port, (power, at))| load_on(port, power, at))
        .into_iter()
        .collect();
    Setup {
        number: MADE_UP,
        at: None,
        what: None,
        feeds: vec![feed],
        sliders: movers(find)
            .into_iter()
            .filter_map(|slider_name| {
                Some(SliderSetting {
                    slider: slider_name,
                    at: position(slider)?,
                })
            })
            .collect(),
        switches: like.map(|s| s.switches.clone()).unwrap_or_default(),
        joined: Vec::new(),
        lifted: Vec::new(),
        loads,
        temperature: None,
    }
}

fn load_on(port: &Port, power: f64, volts: f64) -> Option<SetupLoad> {
    let three = port.lines.len() == 3;
    let mut across = port.lines.clone();
    across.extend(port.against.clone());
    let pairing = match (three, port.against.is_some()) {
        (true, true) => Pairing::Star,
        (true, false) => Pairing::Delta,
        (false, _) => Pairing::Single,
    };
    Some(SetupLoad {
        across,
        pairing,
        resistance: None,
        reactance: None,
        power: Quantity::parse(&format!("{power:.6} VA")).ok(),
        volts: Quantity::parse(&format!("{volts:.6} V")).ok(),
        power_factor: None,
    })
}
