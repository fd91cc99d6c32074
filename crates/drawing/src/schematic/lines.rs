//! Lines and crossings: what lies on the line from input to output, what stands between lines, what hangs on the same core.
//!
//! Topology only: this says what goes where in order; `place` gives it coordinates.

use super::circuit::{Circuit, is_earth, is_neutral, line_phase};
use gear::{PartKind, Setup, TerminalRef};
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// What stands on the upper line, from left to right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum OnLine {
    /// A stretch of conductor.
    Node(usize),
    /// An element in series: index, pin the line enters by, pin it leaves by.
    Series(usize, usize, usize),
    /// The line is broken here: it goes on from a crossing's slider or tap, or from another winding.
    Break,
}

/// Where everything goes.
#[derive(Debug, Default)]
pub(super) struct Lines {
    /// Ports by index: line in, line out, return in, return out, protective earth.
    pub(super) line_in: Option<usize>,
    pub(super) line_out: Option<usize>,
    pub(super) return_in: Option<usize>,
    pub(super) return_out: Option<usize>,
    pub(super) earth: Vec<usize>,
    /// The upper line.
    pub(super) top: Vec<OnLine>,
    /// Conductors of the lower line: at the input, at the output (the same, mostly).
    pub(super) bottom_in: Option<usize>,
    pub(super) bottom_out: Option<usize>,
    /// Crossings: groups of elements on one core (or one simple part), by the index in `top` they stand at.
    pub(super) crossings: Vec<(usize, Vec<usize>)>,
    /// Windings under the series winding of their core: series element, elements under it.
    pub(super) under: BTreeMap<usize, Vec<usize>>,
    /// What fits no line: groups of elements on one core.
    pub(super) loose: Vec<Vec<usize>>,
}

impl Lines {
    /// Sorts the elements of one phase.
    pub(super) fn of(circuit: &Circuit<'_>, setup: Option<&Setup>) -> Self {
        let mut lines = Self::default();
        lines.name_ports(circuit, setup);
        lines.find_bottom(circuit);
        lines.find_top(circuit);
        lines.sort_rest(circuit);
        lines.free_outputs(circuit);
        lines
    }

    /// Where several windings of one core lead out, no pair of them is the line: each has its terminals beside it.
    fn free_outputs(&mut self, circuit: &Circuit<'_>) {
        let several = self.crossings.iter().any(|(at, group)| {
            self.top.get(*at) == Some(&OnLine::Break)
                && group.len() > 2
                && group.iter().all(|e| circuit.elements[*e].is_wound())
        });
        if several {
            self.line_out = None;
            self.return_out = None;
            self.bottom_out = self.bottom_in;
            if let Some(cut) = self.top.iter().position(|t| *t == OnLine::Break) {
                self.top.truncate(cut + 1);
            }
        }
    }

    /// Whether there are lines at all.
    pub(super) fn any(&self) -> bool {
        self.line_in.is_some() || self.bottom_in.is_some()
    }

    fn name_ports(&mut self, circuit: &Circuit<'_>, setup: Option<&Setup>) {
        let fed = |t: &TerminalRef| setup.is_some_and(|s| s.feeds.iter().any(|f| f.to.contains(t)));
        let mut strips: Vec<&gear::Designation> = Vec::new();
        for port in &circuit.ports {
            if is_earth(&port.terminal.terminal) {
                continue;
            }
            if !strips.contains(&&port.terminal.part) {
                strips.push(&port.terminal.part);
            }
        }
        // A fed strip is the input; else the first.
        strips.sort_by_key(|strip| {
            !circuit
                .ports
                .iter()
                .any(|p| p.terminal.part == **strip && fed(&p.terminal))
        });
        let pick = |strip: Option<&&gear::Designation>| {
            let of_strip: Vec<usize> = (0..circuit.ports.len())
                .filter(|i| {
                    strip.is_some_and(|s| circuit.ports[*i].terminal.part == **s)
                        && !is_earth(&circuit.ports[*i].terminal.terminal)
                })
                .collect();
            let neutral = of_strip
                .iter()
                .copied()
                .find(|i| is_neutral(&circuit.ports[*i].terminal.terminal));
            let own = of_strip.iter().copied().find(|i| {
                circuit.three_phase
                    && line_phase(&circuit.ports[*i].terminal.terminal) == Some(circuit.phase)
            });
            let line = own.or_else(|| of_strip.iter().copied().find(|i| Some(*i) != neutral));
            let back = neutral.or_else(|| of_strip.iter().copied().find(|i| Some(*i) != line));
            (line, back)
        };
        (self.line_in, self.return_in) = pick(strips.first());
        (self.line_out, self.return_out) = pick(strips.get(1));
        self.earth = (0..circuit.ports.len())
            .filter(|i| is_earth(&circuit.ports[*i].terminal.terminal))
            .collect();
    }

    fn find_bottom(&mut self, circuit: &Circuit<'_>) {
        let node = |port: Option<usize>| port.map(|i| circuit.ports[i].node);
        self.bottom_in = node(self.return_in);
        self.bottom_out = node(self.return_out);
        let star = || {
            circuit
                .foreign
                .keys()
                .copied()
                .find(|n| circuit.elements.iter().any(|e| e.touches(*n)))
        };
        if self.bottom_in.is_none() && self.bottom_out.is_none() && self.line_in.is_some() {
            let shared = star();
            (self.bottom_in, self.bottom_out) = (shared, shared);
        }
        if self.bottom_in.is_none() && self.line_in.is_some() && self.line_out.is_none() {
            self.bottom_in = self.bottom_out;
        }
    }

    fn find_top(&mut self, circuit: &Circuit<'_>) {
        let Some(start) = self.line_in.map(|i| circuit.ports[i].node) else {
            return;
        };
        let end = self.line_out.map(|i| circuit.ports[i].node);
        let mut closed: BTreeSet<usize> = [self.bottom_in, self.bottom_out]
            .into_iter()
            .flatten()
            .collect();
        closed.extend(circuit.foreign.keys());
        closed.extend(self.earth.iter().map(|i| circuit.ports[*i].node));
        closed.remove(&start);
        if let Some(path) =
            end.and_then(|end| shortest(circuit, start, &|n| n == end, &closed, false))
        {
            self.top = path_to_line(circuit, start, &path, &closed);
            return;
        }
        // No way through: the line runs in as far as the first winding, and out from the last.
        let wound = |n: usize| {
            circuit
                .elements
                .iter()
                .any(|e| e.is_wound() && e.touches(n))
        };
        let inward = shortest(circuit, start, &wound, &closed, true).unwrap_or_default();
        self.top = path_to_line(circuit, start, &inward, &closed);
        if let Some(end) = end {
            let outward = shortest(circuit, end, &wound, &closed, true).unwrap_or_default();
            let mut out = path_to_line(circuit, end, &outward, &closed);
            out.reverse();
            for item in &mut out {
                if let OnLine::Series(e, a, b) = *item {
                    *item = OnLine::Series(e, b, a);
                }
            }
            self.top.push(OnLine::Break);
            self.top.extend(out);
        }
    }

    fn sort_rest(&mut self, circuit: &Circuit<'_>) {
        let mut placed: BTreeSet<usize> = self
            .top
            .iter()
            .filter_map(|t| {
                if let OnLine::Series(e, ..) = t {
                    Some(*e)
                } else {
                    None
                }
            })
            .collect();
        let series: Vec<usize> = placed.iter().copied().collect();
        for s in series {
            let part = &circuit.elements[s].part.designation;
            for (index, element) in circuit.elements.iter().enumerate() {
                if element.part.designation == *part && !placed.contains(&index) {
                    self.under.entry(s).or_default().push(index);
                    placed.insert(index);
                }
            }
        }
        let mut groups: Vec<Vec<usize>> = Vec::new();
        for (index, element) in circuit.elements.iter().enumerate() {
            if placed.contains(&index) {
                continue;
            }
            match groups
                .iter_mut()
                .find(|g| circuit.elements[g[0]].part.designation == element.part.designation)
            {
                Some(group) => group.push(index),
                None => groups.push(vec![index]),
            }
        }
        for group in groups {
            match self.stands_at(circuit, &group) {
                Some(at) => self.crossings.push((at, group)),
                None => self.loose.push(group),
            }
        }
        self.crossings.sort_by_key(|(at, group)| (*at, group[0]));
    }

    /// The index in `top` a group of elements stands at, if it has to do with the lines.
    fn stands_at(&self, circuit: &Circuit<'_>, group: &[usize]) -> Option<usize> {
        if !self.any() {
            return None;
        }
        let pins = || group.iter().flat_map(|e| &circuit.elements[*e].pins);
        let at_line: Vec<usize> = self
            .top
            .iter()
            .enumerate()
            .filter(|(_, item)| matches!(item, OnLine::Node(n) if pins().any(|p| p.node == *n)))
            .map(|(index, _)| index)
            .collect();
        // Where the line goes on from this very group, it stands in the break.
        let broken = self.top.iter().enumerate().position(|(i, item)| {
            *item == OnLine::Break
                && at_line.iter().any(|a| *a < i)
                && at_line.iter().any(|a| *a > i)
        });
        if broken.is_some() {
            return broken;
        }
        let on_bottom =
            pins().any(|p| Some(p.node) == self.bottom_in || Some(p.node) == self.bottom_out);
        at_line.last().copied().or(if on_bottom {
            Some(self.top.len().saturating_sub(1))
        } else {
            None
        })
    }
}

type Step = (usize, usize, usize);

/// The shortest way over elements from a conductor to one that is wanted: element, pin in, pin out.
fn shortest(
    circuit: &Circuit<'_>,
    start: usize,
    wanted: &dyn Fn(usize) -> bool,
    closed: &BTreeSet<usize>,
    simple_only: bool,
) -> Option<Vec<Step>> {
    let mut best: BTreeMap<usize, (u32, Option<(usize, Step)>)> =
        BTreeMap::from([(start, (0, None))]);
    let mut queue = VecDeque::from([start]);
    while let Some(node) = queue.pop_front() {
        let so_far = best.get(&node).map_or(0, |b| b.0);
        for (index, element) in circuit.elements.iter().enumerate() {
            if simple_only && element.is_wound() {
                continue;
            }
            for (a, from) in element
                .pins
                .iter()
                .enumerate()
                .filter(|(_, p)| p.node == node)
            {
                for (b, to) in element.pins.iter().enumerate() {
                    if b == a || to.node == node || closed.contains(&to.node) {
                        continue;
                    }
                    let ends = [from, to]
                        .iter()
                        .all(|p| p.slider.is_none() && (p.at == 0.0 || p.at == 1.0));
                    let cost = so_far
                        + if !element.is_wound() {
                            1
                        } else if ends {
                            2
                        } else {
                            6
                        };
                    if best.get(&to.node).is_none_or(|old| old.0 > cost) {
                        best.insert(to.node, (cost, Some((node, (index, a, b)))));
                        queue.push_back(to.node);
                    }
                }
            }
        }
    }
    let goal = best
        .iter()
        .filter(|(n, _)| wanted(**n))
        .min_by_key(|(_, b)| b.0)
        .map(|(n, _)| *n)?;
    let mut path = Vec::new();
    let mut at = goal;
    while let Some((_, Some((before, step)))) = best.get(&at) {
        path.push(*step);
        at = *before;
    }
    path.reverse();
    Some(path)
}

/// Turns a way into what stands on the line. A winding that reaches the lower line, or is left by a slider, breaks the line.
fn path_to_line(
    circuit: &Circuit<'_>,
    start: usize,
    path: &[Step],
    closed: &BTreeSet<usize>,
) -> Vec<OnLine> {
    let mut line = vec![OnLine::Node(start)];
    for (element, a, b) in path {
        let e = &circuit.elements[*element];
        let crossing = e.is_wound()
            && (e.pins.iter().any(|p| closed.contains(&p.node))
                || (matches!(e.part.kind, PartKind::VariableAutotransformer(_))
                    && (e.pins[*a].slider.is_some() || e.pins[*b].slider.is_some())));
        line.push(if crossing {
            OnLine::Break
        } else {
            OnLine::Series(*element, *a, *b)
        });
        line.push(OnLine::Node(e.pins[*b].node));
    }
    line
}
