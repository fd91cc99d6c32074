//! The next test: its setup, place, class and cautions at the step.

use crate::low;
use crate::observed::Seen;
use crate::order::Ordered;
use crate::sorting::Ask;
use crate::volts::{Volts, strings};
use gear::{Find, Measured, Part, Place, Setup, TerminalRef};
use hazard::{Class, exposure};

/// The next test to make.
#[derive(Debug, Clone)]
pub struct Next {
    /// In words: "ohms from 3 against 1, 5 and 7 clipped together".
    pub what: String,
    /// Why this one.
    pub why: String,
    /// The setup: one the find has, or a new one.
    pub setup: Setup,
    /// Whether it must be written into the find first.
    pub new_setup: bool,
    /// Where to read.
    pub place: Place,
    /// What to read.
    pub measured: Measured,
    /// Dead or low; never live.
    pub class: Class,
    /// Why this class, with the place and the value that decide it.
    pub class_why: String,
    /// What to mind at this step.
    pub cautions: Vec<String>,
    /// The reading to take again, where a contradiction asks for it.
    pub repeats: Option<u32>,
}

const DEAD: &str = "Dead: plug in sight, proved with a two-pole tester that is itself proved before and after, capacitors discharged.";
const SETTLE: &str = "Wait until the figure stands still. An ohmmeter's current kicks when the clip comes off, and a winding of many turns can bite: hold clips by their insulation, let go of the bare leads.";
const LOW: &str =
    "Clip everything on dead, touch nothing while it is fed, turn down before changing a clip.";
const LIMITED: &str = "Feed from the isolated source only, with its current limited (a lamp or a fuse in its lead). A winding of more turns than the fed one carries more volts than the source: no lead is harmless because the source is.";
const KICK: &str = "No steady reading? A kick tells starts too: a cell of at most 1.5 V, clipped on dead, nothing touched. It bites when the cell comes off: let go of the leads, turn down before opening; demagnetise afterwards.";

/// Share of the greatest low volts set where the feed may stand on a stretch of its winding.
const STRETCH_SHARE: f64 = 0.5;
/// Share set where the fed winding likely has far fewer turns than another: one slipped dead test then puts the feed on a stretch of it, or
/// makes one winding of two, and a quarter leaves room for either (our choice; the others' volts are large enough to read).
const THIN_SHARE: f64 = 0.25;

/// What tests are made on.
pub(crate) struct On<'a> {
    pub(crate) find: &'a Find,
    pub(crate) part: &'a Part,
}

impl On<'_> {
    fn mark(&self, lead: usize) -> &str {
        self.part.terminals().get(lead).copied().unwrap_or("?")
    }
    fn terminal(&self, lead: usize) -> TerminalRef {
        low::named(&self.part.designation, self.mark(lead))
    }
    fn between(&self, a: usize, b: usize) -> Place {
        Place::Between(self.terminal(a), self.terminal(b))
    }
    fn marks(&self, leads: &[usize]) -> String {
        let marks: Vec<&str> = leads.iter().map(|l| self.mark(*l)).collect();
        match marks.split_last() {
            Some((last, [])) => (*last).to_owned(),
            Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
            None => String::new(),
        }
    }

    fn made(&self, mut setup: Setup, next: Made) -> Next {
        let known = low::known(self.find, &setup);
        if let Some(number) = known {
            setup.number = number;
        }
        Next {
            what: next.what,
            why: next.why,
            setup,
            new_setup: known.is_none(),
            place: next.place,
            measured: next.measured,
            class: next.class,
            class_why: next.class_why,
            cautions: next.cautions.iter().map(|c| (*c).to_owned()).collect(),
            repeats: None,
        }
    }

    fn dead(&self, joined: Vec<Vec<TerminalRef>>, place: Place, what: String, why: &str) -> Next {
        self.made(
            low::dead(self.find, joined, "dead, leads apart"),
            Made {
                what,
                why: why.to_owned(),
                place,
                measured: Measured::Resistance,
                class: Class::Dead,
                class_why: "dead: nothing is fed".to_owned(),
                cautions: vec![DEAD, SETTLE],
            },
        )
    }

    /// One lead against others clipped together.
    pub(crate) fn asked(&self, ask: &Ask) -> Next {
        let group: Vec<TerminalRef> = ask.against.iter().map(|l| self.terminal(*l)).collect();
        let clipped = if group.len() > 1 {
            " clipped together"
        } else {
            ""
        };
        let what = format!(
            "ohms from {} against {}{clipped}",
            self.mark(ask.lead),
            self.marks(&ask.against)
        );
        let joined = if group.len() > 1 {
            vec![group]
        } else {
            Vec::new()
        };
        self.dead(
            joined,
            self.between(ask.lead, ask.against[0]),
            what,
            "halves the windings this lead may belong to",
        )
    }

    /// Ohms that put taps in order.
    pub(crate) fn ordered(&self, order: &Ordered) -> Option<Next> {
        let (a, b) = order.ask?;
        let what = format!("ohms between {} and {}", self.mark(a), self.mark(b));
        Some(self.dead(
            Vec::new(),
            self.between(a, b),
            what,
            "ohms add along a winding: this one tells the taps' order",
        ))
    }

    /// Volts along a winding, or a string of linked ones.
    /// # Errors
    /// Why no test with a feed can be made.
    pub(crate) fn fed(&self, told: &Volts, orders: &[Ordered]) -> Result<Option<Next>, String> {
        if low::source(self.find).is_none() {
            return Err(
                "ratios and starts need an alternating source the kit marks isolated; a bell transformer with a legible mark will do"
                    .to_owned(),
            );
        }
        if told.windings.is_empty() {
            return Ok(None);
        }
        let fed = &orders[told.reference];
        if !fed.by_volts.is_empty() && told.set.is_none() && !fed.ends_near {
            let Some((a, b)) = fed.missing else {
                return Err("the ohms do not tell the ends of any winding, and a feed on a short stretch would raise the rest: read them with a milliohm meter".to_owned());
            };
            let what = format!("ohms between {} and {}", self.mark(a), self.mark(b));
            let why = "the ends of a winding must be known before it is fed";
            return Ok(Some(self.dead(Vec::new(), self.between(a, b), what, why)));
        }
        let share = STRETCH_SHARE.powi(i32::from(!fed.by_volts.is_empty()))
            * THIN_SHARE.powi(i32::from(told.thin));
        let feed = told.feed;
        let fed = self.marks(&[feed.0, feed.1]);
        if let Some((a, b)) = told.wanted.first() {
            let what = format!(
                "volts between {} and {}, {fed} fed",
                self.mark(*a),
                self.mark(*b)
            );
            return self
                .low(
                    (told, share),
                    feed,
                    Vec::new(),
                    (*a, *b),
                    what,
                    "gives a ratio",
                )
                .map(Some)
                .ok_or_else(too_high);
        }
        if told.open.is_empty() {
            return Ok(None);
        }
        let list = strings(told);
        for link in &list {
            let joined: Vec<Vec<TerminalRef>> = link
                .links
                .iter()
                .map(|g| g.iter().map(|l| self.terminal(*l)).collect())
                .collect();
            let pairs: Vec<String> = link.links.iter().map(|g| self.marks(g)).collect();
            let what = format!(
                "link {}; volts between {} and {}, {fed} fed",
                pairs.join("; "),
                self.mark(link.at.0),
                self.mark(link.at.1)
            );
            let next = self.low(
                (told, share),
                feed,
                joined,
                link.at,
                what,
                "aiding or opposing tells starts from finishes",
            );
            if let Some(mut next) = next {
                next.cautions.push(KICK.to_owned());
                return Ok(Some(next));
            }
        }
        Err(if list.is_empty() {
            "the volts of a winding are too few for the meter to tell which way it stands; a kick may tell".to_owned()
        } else {
            too_high()
        })
    }

    /// A second feed on a three-phase part: its own greatest low volts, for it drives other windings.
    /// # Errors
    /// That no setting is low.
    pub(crate) fn beside(
        &self,
        told: &Volts,
        feed: (usize, usize),
        at: (usize, usize),
    ) -> Result<Next, String> {
        let what = format!(
            "volts between {}, {} fed",
            self.marks(&[at.0, at.1]),
            self.marks(&[feed.0, feed.1])
        );
        let known = self.find.setups.iter().rev().find_map(|s| {
            let fed = s.feeds.first().filter(|_| s.joined.is_empty())?;
            (fed.to == [self.terminal(feed.0), self.terminal(feed.1)])
                .then(|| fed.volts.as_ref()?.value())?
        });
        let told = Volts {
            set: known,
            ..told.clone()
        };
        let why = "tells which windings belong to one phase";
        self.low((&told, 1.0), feed, Vec::new(), at, what, why)
            .ok_or_else(too_high)
    }

    fn low(
        &self,
        (told, share): (&Volts, f64),
        feed: (usize, usize),
        joined: Vec<Vec<TerminalRef>>,
        at: (usize, usize),
        what: String,
        why: &str,
    ) -> Option<Next> {
        let name = if joined.is_empty() {
            "low feed, all else open"
        } else {
            "low feed, windings linked"
        };
        let (setup, exposed) = low::fed(self.find, self.part, (told, share), feed, joined, name)?;
        Some(self.made(
            setup,
            Made {
                what,
                why: why.to_owned(),
                place: self.between(at.0, at.1),
                measured: Measured::AcVoltage,
                class: exposed.class,
                class_why: exposed.why,
                cautions: vec![LOW, LIMITED],
            },
        ))
    }

    /// The reading to take again, in the setup it was taken in.
    pub(crate) fn again(&self, told: &Volts, readings: &[u32], seen: &[Seen]) -> Option<Next> {
        let fresh = |n: &&u32| seen.iter().any(|s| s.reading == **n && !s.repeated);
        let number = *readings.iter().find(fresh)?;
        let reading = self.find.readings.iter().find(|r| r.number == number)?;
        let setup = self.find.setup(reading.setup)?.clone();
        let possible = low::possible(self.find, self.part, told);
        let exposed = exposure(&setup, &self.find.kit, &possible, low::HANDLING);
        if exposed.class == Class::Live {
            return None;
        }
        let class = exposed.class;
        Some(Next {
            what: format!("reading {number} again: {}", reading.place),
            why: "readings contradict, and this one is the likeliest to have slipped".to_owned(),
            setup,
            new_setup: false,
            place: reading.place.clone(),
            measured: reading.measured,
            class,
            class_why: exposed.why,
            cautions: if class == Class::Dead {
                vec![DEAD.to_owned(), SETTLE.to_owned()]
            } else {
                vec![LOW.to_owned(), LIMITED.to_owned()]
            },
            repeats: Some(number),
        })
    }
}

fn too_high() -> String {
    "no setting of the isolated source stays low under every ratio still possible".to_owned()
}

/// What differs from test to test.
struct Made {
    what: String,
    why: String,
    place: Place,
    measured: Measured,
    class: Class,
    class_why: String,
    cautions: Vec<&'static str>,
}
