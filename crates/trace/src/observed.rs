//! Turns the readings of an unmarked part into what was seen between its leads.
//!
//! Leads count from 0 in the order of the part; the terminals of windings the owner wound through follow. A place read again in the same
//! way counts by its last reading, and is known to have been repeated if that shows what the one before did. Struck readings do not count.

use gear::{Find, Kick, Measured, Part, Place, Reading, Setup, TerminalRef};
use quantity::Reach;

/// Ohms from which two leads count as separate: no winding of this gear has as many (our choice).
const SEPARATE: f64 = 1e6;

/// One thing seen.
#[derive(Debug, Clone)]
pub(crate) struct Seen {
    /// Number of the reading it rests on.
    pub(crate) reading: u32,
    /// The same place was read before and showed the same: read until two in a row are alike, it is believed.
    pub(crate) repeated: bool,
    /// What.
    pub(crate) what: What,
}

/// What was seen.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum What {
    /// A dead test of one lead against others clipped together: `ohms` where there is a path and it was measured.
    Path {
        lead: usize,
        against: Vec<usize>,
        path: bool,
        ohms: Option<f64>,
    },
    /// Volts with an alternating feed: set volts, links, place, volts and the step of the last digit.
    Volts {
        feed: (usize, usize),
        set: f64,
        links: Vec<Vec<usize>>,
        at: (usize, usize),
        volts: f64,
        step: f64,
    },
    /// A kick with a direct feed.
    Kick {
        feed: (usize, usize),
        at: (usize, usize),
        up: bool,
    },
}

/// Everything seen on a part, in order of the readings.
pub(crate) fn observed(find: &Find, part: &Part) -> Vec<Seen> {
    let marks = part.terminals();
    let index = |t: &TerminalRef| {
        (t.part == part.designation)
            .then(|| marks.iter().position(|m| *m == t.terminal))
            .flatten()
    };
    let mut list: Vec<Seen> = Vec::new();
    for reading in find.readings.iter().filter(|r| r.struck.is_none()) {
        let setup = find.setup(reading.setup);
        let Some(what) = setup.and_then(|s| one(reading, s, &index)) else {
            continue;
        };
        let before = list.iter().find(|s| same_place(&s.what, &what));
        let repeated = before.is_some_and(|s| alike(&s.what, &what));
        list.retain(|s| !same_place(&s.what, &what));
        list.push(Seen {
            reading: reading.number,
            repeated,
            what,
        });
    }
    list
}

fn one(
    reading: &Reading,
    setup: &Setup,
    index: &dyn Fn(&TerminalRef) -> Option<usize>,
) -> Option<What> {
    let Place::Between(a, b) = &reading.place else {
        return None;
    };
    let (a, b) = (index(a)?, index(b)?);
    let links: Vec<Vec<usize>> = setup
        .joined
        .iter()
        .map(|g| g.iter().filter_map(index).collect())
        .collect();
    let feed = setup.feeds.first();
    match (reading.measured, feed) {
        (Measured::Continuity | Measured::Resistance, None) => {
            let group = |lead: usize| {
                let mut with = links.iter().find(|g| g.contains(&lead)).cloned();
                if let Some(g) = &mut with {
                    g.sort_unstable();
                }
                with.unwrap_or_else(|| vec![lead])
            };
            let (lead, against) = match (group(a), group(b)) {
                (alone, others) if alone.len() == 1 => (a, others),
                (others, alone) if alone.len() == 1 => (b, others),
                _ => return None,
            };
            if against.contains(&lead) {
                return None;
            }
            let (path, ohms) = path(reading)?;
            // Two single leads: the lower one first, so that the pair has one name.
            let (lead, against) = match against.as_slice() {
                [other] if *other < lead => (*other, vec![lead]),
                _ => (lead, against),
            };
            Some(What::Path {
                lead,
                against,
                path,
                ohms,
            })
        }
        (Measured::AcVoltage, Some(feed)) => {
            let [from, to] = feed.to.as_slice() else {
                return None;
            };
            let shown = reading.shown.as_ref()?;
            Some(What::Volts {
                feed: (index(from)?, index(to)?),
                set: feed.volts.as_ref().and_then(|v| v.value()).unwrap_or(0.0),
                links,
                at: (a.min(b), a.max(b)),
                volts: shown.value()?.abs(),
                step: shown.step().unwrap_or(0.0),
            })
        }
        (Measured::Kick, Some(feed)) => {
            let [from, to] = feed.to.as_slice() else {
                return None;
            };
            Some(What::Kick {
                feed: (index(from)?, index(to)?),
                at: (a, b),
                up: reading.kick? == Kick::Up,
            })
        }
        _ => None,
    }
}

/// Whether there is a path, and its ohms. A beep is a path below the tester's threshold; no beep may be a winding of many ohms, so it
/// says nothing.
fn path(reading: &Reading) -> Option<(bool, Option<f64>)> {
    if let Some(beep) = reading.beep {
        return beep.then_some((true, None));
    }
    let shown = reading.shown.as_ref()?;
    match shown.reach() {
        Reach::OverRange => Some((false, None)),
        Reach::AtLeast(ohms) => (ohms >= SEPARATE).then_some((false, None)),
        _ => {
            let ohms = shown.value()?;
            Some(if ohms >= SEPARATE {
                (false, None)
            } else {
                (true, Some(ohms.max(0.0)))
            })
        }
    }
}

fn same_place(a: &What, b: &What) -> bool {
    match (a, b) {
        (
            What::Path { lead, against, .. },
            What::Path {
                lead: l,
                against: g,
                ..
            },
        ) => lead == l && against == g,
        (
            What::Volts {
                feed,
                set,
                links,
                at,
                ..
            },
            What::Volts {
                feed: f,
                set: s,
                links: k,
                at: p,
                ..
            },
        ) => feed == f && set == s && links == k && at == p,
        (What::Kick { feed, at, .. }, What::Kick { feed: f, at: p, .. }) => feed == f && at == p,
        _ => false,
    }
}

/// Share within which two readings of one place are alike (our choice: far less than any slip).
const ALIKE: f64 = 0.1;
/// Ohms or volts within which they are alike besides: clips, and the last digits.
const ALIKE_BESIDES: (f64, f64) = (0.5, 0.003);

/// Whether two readings of one place show the same.
fn alike(a: &What, b: &What) -> bool {
    let near = |a: f64, b: f64, besides: f64| (a - b).abs() <= ALIKE * a.max(b) + besides;
    match (a, b) {
        (
            What::Path {
                path: p, ohms: m, ..
            },
            What::Path {
                path: q, ohms: n, ..
            },
        ) => p == q && m.zip(*n).is_none_or(|(m, n)| near(m, n, ALIKE_BESIDES.0)),
        (What::Volts { volts: v, .. }, What::Volts { volts: u, .. }) => {
            near(*v, *u, ALIKE_BESIDES.1)
        }
        (What::Kick { up: p, .. }, What::Kick { up: q, .. }) => p == q,
        _ => false,
    }
}
