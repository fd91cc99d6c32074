//! Where to read next: places in the order of what is usual, the proposed one first, then those of the setup nobody has read yet.

use gear::{Find, Measured, Place, Setup, TerminalRef};
use judgement::{Judgement, ProposalSaid};
use quantity::Unit;

use crate::places;
use crate::submitted::Submitted;

/// A place to read, with what is read there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Spot {
    /// One terminal; of a current, the one it flows into.
    pub(super) from: String,
    /// The other; none for a current.
    pub(super) to: Option<String>,
    /// What is measured.
    pub(super) measured: Measured,
    /// What the owner calls it; empty for nothing.
    pub(super) what: String,
}

/// Places in order, by how they come to be offered.
#[derive(Debug, Default)]
pub(super) struct Offered {
    /// Proposed in this setup.
    pub(super) proposed: Vec<Spot>,
    /// Not read in this setup yet.
    pub(super) unread: Vec<Spot>,
    /// Read in it already.
    pub(super) read: Vec<Spot>,
}

/// Places worth listing on a small page; the drawing and the two lists have the rest.
const MOST: usize = 16;

impl Offered {
    /// The usual next one.
    pub(super) fn first(&self) -> Option<&Spot> {
        self.proposed.first().or(self.unread.first())
    }

    /// The one after this.
    pub(super) fn after(&self, spot: &Spot) -> Option<&Spot> {
        let all = || self.proposed.iter().chain(&self.unread);
        let others = || all().filter(|s| !s.is_same(spot));
        let place = all().position(|s| s.is_same(spot));
        match place {
            Some(place) => all()
                .skip(place + 1)
                .find(|s| !s.is_same(spot))
                .or(others().next()),
            None => others().next(),
        }
    }
}

impl Spot {
    /// The spot a form or an address names; the unit's usual kind where none is said.
    pub(super) fn of(find: &Find, setup: &Setup, came: &Submitted) -> Option<Self> {
        let terminal = |field: &str| {
            let terminal = TerminalRef::parse(came.get(field)).ok()?;
            find.has_terminal(&terminal).then(|| terminal.to_string())
        };
        let from = terminal("from")?;
        let to = terminal("to");
        let said = Measured::ALL
            .into_iter()
            .find(|m| m.word() == came.get("measured"));
        let measured = said.unwrap_or_else(|| usual(find, setup, to.is_some()));
        Some(Self {
            from,
            to,
            measured,
            what: came.get("what").to_owned(),
        })
    }

    /// Where an earlier reading was taken; none for what this page has no field for.
    pub(super) fn again(reading: &gear::Reading) -> Option<Self> {
        let (from, to) = match &reading.place {
            Place::Between(a, b) => (a, Some(b)),
            Place::Into(a) => (a, None),
            _ => return None,
        };
        Some(Self {
            from: from.to_string(),
            to: to.map(ToString::to_string),
            measured: reading.measured,
            what: reading.what.clone().unwrap_or_default(),
        })
        .filter(|spot| spot.can_be_typed())
    }

    fn proposed(proposal: &ProposalSaid) -> Option<Self> {
        let measured = Measured::ALL
            .into_iter()
            .find(|m| m.word() == proposal.measured)?;
        let (from, to) = match proposal.terminals.as_slice() {
            [from] => (from, None),
            [from, to] => (from, Some(to)),
            _ => return None,
        };
        Some(Self {
            from: from.clone(),
            to: to.cloned(),
            measured,
            what: String::new(),
        })
        .filter(Self::can_be_typed)
    }

    fn can_be_typed(&self) -> bool {
        matches!(
            (self.measured, &self.to),
            (
                Measured::AcVoltage
                    | Measured::DcVoltage
                    | Measured::Resistance
                    | Measured::Continuity
                    | Measured::Insulation,
                Some(_)
            ) | (Measured::AcCurrent | Measured::DcCurrent, None)
        )
    }

    /// Whether two are one place with one thing read there; a pair may be named either way round.
    pub(super) fn is_same(&self, other: &Self) -> bool {
        let ends = |s: &Self| {
            let mut ends = [Some(s.from.clone()), s.to.clone()];
            ends.sort();
            ends
        };
        self.measured == other.measured && ends(self) == ends(other)
    }

    /// "T4:2.1 to T4:2.2", "into X1:1".
    pub(super) fn place(&self) -> String {
        match &self.to {
            Some(to) => format!("{} to {to}", self.from),
            None => format!("into {}", self.from),
        }
    }

    /// What it is called: the owner's words, else what is read there.
    pub(super) fn title(&self) -> String {
        if self.what.is_empty() {
            let mut letters = self.measured.word().chars();
            letters.next().map_or_else(String::new, |first| {
                // AC and DC keep their capitals; the rest begin a line.
                format!("{}{}", first.to_uppercase(), letters.as_str())
            })
        } else {
            let mut letters = self.what.chars();
            letters.next().map_or_else(String::new, |first| {
                format!("{}{}", first.to_uppercase(), letters.as_str())
            })
        }
    }

    /// The unit a bare figure has here.
    pub(super) fn unit(&self) -> Unit {
        self.measured.unit().unwrap_or(Unit::One)
    }

    /// As the fields of the reading's form.
    pub(super) fn fields(&self) -> Vec<(&'static str, String)> {
        let mut fields = vec![("from", self.from.clone())];
        fields.extend(self.to.clone().map(|to| ("to", to)));
        fields.push(("measured", self.measured.word().to_owned()));
        if !self.what.is_empty() {
            fields.push(("what", self.what.clone()));
        }
        fields
    }
}

/// What is usually read: volts between two terminals and amperes into one of a fed find, ohms of one that is not fed.
fn usual(find: &Find, setup: &Setup, between: bool) -> Measured {
    let direct = setup
        .feeds
        .iter()
        .filter_map(|f| f.source.as_deref())
        .any(|name| find.kit.sources.iter().any(|s| s.name == name && s.direct));
    match (setup.feeds.is_empty(), between, direct) {
        (_, false, true) => Measured::DcCurrent,
        (_, false, false) => Measured::AcCurrent,
        (true, true, _) => Measured::Resistance,
        (false, true, true) => Measured::DcVoltage,
        (false, true, false) => Measured::AcVoltage,
    }
}

/// The places of a setup in order.
pub(super) fn offered(find: &Find, said: &Judgement, setup: &Setup) -> Offered {
    let mut offered = Offered::default();
    let is_read = |spot: &Spot| {
        let here = find
            .readings
            .iter()
            .filter(|r| r.setup == setup.number && r.struck.is_none());
        here.filter_map(Spot::again).any(|s| s.is_same(spot))
    };
    let proposals = said.next.iter().flat_map(|next| &next.proposals);
    let here = proposals.filter(|p| !p.new_setup && p.setup == setup.number);
    offered.proposed = here
        .filter_map(Spot::proposed)
        .map(|s| named(find, s))
        .collect();
    for spot in candidates(find, setup) {
        let known = |list: &[Spot]| list.iter().any(|s| s.is_same(&spot));
        if known(&offered.proposed) || known(&offered.unread) || known(&offered.read) {
            continue;
        }
        if is_read(&spot) {
            offered.read.push(spot);
        } else {
            offered.unread.push(spot);
        }
    }
    offered.unread.truncate(MOST);
    offered
}

/// The find's own words for a place, where an earlier reading has them.
fn named(find: &Find, spot: Spot) -> Spot {
    if !spot.what.is_empty() {
        return spot;
    }
    let earlier = find.readings.iter().filter_map(Spot::again);
    let what = earlier
        .filter(|s| s.is_same(&spot))
        .find(|s| !s.what.is_empty());
    let what = what.map_or_else(|| winding_words(find, &spot), |s| s.what);
    Spot { what, ..spot }
}

/// The supply first, then what was read elsewhere on this find, then windings end to end and terminal rows.
fn candidates(find: &Find, setup: &Setup) -> Vec<Spot> {
    let between = |a: &TerminalRef, b: &TerminalRef| Spot {
        from: a.to_string(),
        to: Some(b.to_string()),
        measured: usual(find, setup, true),
        what: String::new(),
    };
    let mut spots = Vec::new();
    for feed in &setup.feeds {
        match (feed.to.as_slice(), &feed.neutral) {
            ([a, b], _) => spots.push(between(a, b)),
            (lines, Some(neutral)) => spots.extend(lines.iter().map(|line| between(line, neutral))),
            ([a, b, c], None) => spots.extend([between(a, b), between(b, c), between(c, a)]),
            _ => {}
        }
    }
    let volts = usual(find, setup, true);
    let same_kind = |spot: &Spot| spot.measured == volts || spot.to.is_none();
    let fed = !setup.feeds.is_empty();
    let elsewhere = find.readings.iter().filter_map(Spot::again);
    spots.extend(elsewhere.filter(|s| same_kind(s) && (fed || s.to.is_some())));
    for tie in places::ties(find) {
        if let [a, b] = tie.to.as_slice() {
            spots.push(between(a, b));
        }
    }
    if fed {
        let currents = setup.feeds.iter().flat_map(|feed| &feed.to);
        spots.extend(currents.map(|into| Spot {
            from: into.to_string(),
            to: None,
            measured: usual(find, setup, false),
            what: String::new(),
        }));
    }
    spots.into_iter().map(|s| named(find, s)).collect()
}

/// "T4 secondary", where both terminals are ends of one winding.
fn winding_words(find: &Find, spot: &Spot) -> String {
    let Some((part, winding)) = super::drawn::winding_of(find, spot) else {
        return String::new();
    };
    format!("{} {}", part.designation, winding.name)
}

#[cfg(test)]
mod tests;
