//! What a stabilizer's plate says of the parts inside: booster volts and VA, the ratio each arrangement needs, slider current.
//!
//! A stabilizer adds to or takes from each line what the input lacks or has too much. The booster's secondary stands in the line,
//! so it carries the line current; its primary is fed by the variable autotransformer through the slider. No losses are counted.

use super::facts::{Facts, Fed, Gear, Span, base};
use super::figure::{Figure, plain};
use super::rated::{Rated, deduction};
use crate::said::Deduction;
use quantity::Unit;

/// Volts of one booster, and what feeds it, per phase (line to neutral).
pub(super) struct Boost {
    /// Volts added at the lowest input.
    pub(super) up: Figure,
    /// Volts taken off at the highest.
    pub(super) down: Figure,
    /// Output, lowest input, highest input.
    pub(super) output: Figure,
    lowest: Figure,
    highest: Figure,
}

impl Boost {
    /// The greater of the two.
    pub(super) fn most(&self) -> &Figure {
        if self.up.mid >= self.down.mid {
            &self.up
        } else {
            &self.down
        }
    }

    /// Ratio primary to secondary with half the winding at work, autotransformer on the output side.
    pub(super) fn centre_tap_output(&self) -> Option<Figure> {
        self.output.scaled(0.5).over(self.most(), Unit::One)
    }

    /// Ratio primary to secondary an arrangement needs: `tapped` puts half the winding to work, else all of it.
    pub(super) fn ratio(&self, tapped: bool, on_input: bool) -> Option<Figure> {
        match (tapped, on_input) {
            (true, false) => self.centre_tap_output(),
            (true, true) => self.centre_tap_input(),
            (false, false) => self.output.over(&self.up, Unit::One),
            (false, true) => self.lowest.over(&self.up, Unit::One),
        }
    }

    fn centre_tap_input(&self) -> Option<Figure> {
        let boosting = self.lowest.scaled(0.5).over(&self.up, Unit::One);
        let bucking = self.highest.scaled(0.5).over(&self.down, Unit::One);
        match (boosting, bucking) {
            (Some(a), Some(b)) => Some(if a.mid <= b.mid { a } else { b }),
            (a, b) => a.or(b),
        }
    }
}

/// Volts of the booster of one phase; nothing without a range, an output voltage and the number of phases.
pub(super) fn boost(facts: &Facts) -> Option<Boost> {
    let (Gear::Stabilizer(_), Some(span), Some(volts), Some(factor)) =
        (facts.gear, &facts.span, &facts.volts, facts.factor())
    else {
        return None;
    };
    let phase = |figure: &Figure| figure.scaled(1.0 / factor);
    let (output, lowest, highest) = (phase(volts), phase(&span.low), phase(&span.high));
    if lowest.mid >= highest.mid || lowest.low <= 0.0 {
        return None;
    }
    // a share of the plate's own voltage is exact but for the rounding of that voltage
    let (up, down) = match &facts.correction {
        Some((down, up, _)) if !span.typed => (output.scaled(*down), output.scaled(*up)),
        _ => (output.apart(&lowest), output.apart(&highest)),
    };
    let none = Figure::exact(0.0, Unit::Volt);
    let up = if lowest.mid < output.mid {
        up
    } else {
        none.clone()
    };
    let down = if highest.mid > output.mid { down } else { none };
    Some(Boost {
        up,
        down,
        output,
        lowest,
        highest,
    })
}

/// Puts a stabilizer's deductions.
pub(super) fn reckon(facts: &Facts, rated: &Rated, said: &mut Vec<Deduction>) {
    let Gear::Stabilizer(fed) = facts.gear else {
        return;
    };
    if let Some(span) = &facts.span {
        range(facts, span, said);
    }
    let Some(boost) = boost(facts) else { return };
    booster_volts(facts, &boost, said);
    if let Some(current) = &rated.current {
        booster_power(facts, rated, current, &boost, said);
    }
    let largest = input_currents(facts, rated, said);
    if let Some(largest) = largest.as_ref().filter(|_| boost.up.mid > 0.0) {
        let each = boost.up.times(largest, Unit::VoltAmpere);
        let how = format!(
            "{} × {}: its secondary then carries the input current",
            boost.up.words(),
            largest.words()
        );
        said.push(deduction(
            "power of a booster at the lowest input, autotransformer on the output side",
            &each,
            how,
            None,
        ));
    }
    arrangements(fed, &boost, rated.current.as_ref(), largest.as_ref(), said);
}

fn range(facts: &Facts, span: &Span, said: &mut Vec<Deduction>) {
    if !span.typed {
        let whole = Figure::between(
            span.low.low,
            (span.low.mid + span.high.mid) / 2.0,
            span.high.high,
            true,
            Unit::Volt,
        );
        let (_, unit) = whole.shown();
        let value = format!("{} to {}", plain(span.low.mid), plain(span.high.mid));
        said.push(Deduction {
            value,
            unit,
            ..deduction("input range", &whole, span.how.clone(), None)
        });
    } else if let Some(volts) = &facts.volts {
        let down = (volts.mid - span.low.mid) / volts.mid;
        let up = (span.high.mid - volts.mid) / volts.mid;
        let words = format!(
            "{} to {} against {}",
            span.low.words(),
            span.high.words(),
            base(volts)
        );
        let size = Figure::exact(down.max(up), Unit::Percent);
        let value = format!("+{} −{}", plain(up * 100.0), plain(down * 100.0));
        said.push(Deduction {
            value,
            low: -down,
            high: up,
            ..deduction("range of correction", &size, words, None)
        });
    }
}

fn booster_volts(facts: &Facts, boost: &Boost, said: &mut Vec<Deduction>) {
    let each = if facts.phases == Some(3) {
        "each booster, line to neutral"
    } else {
        "booster"
    };
    let words = |more: &Figure, less: &Figure| format!("{} − {}", more.words(), less.words());
    if boost.up.mid > 0.0 {
        said.push(deduction(
            format!("volts added at the lowest input ({each})"),
            &boost.up,
            words(&boost.output, &boost.lowest),
            None,
        ));
    }
    if boost.down.mid > 0.0 {
        said.push(deduction(
            format!("volts taken off at the highest input ({each})"),
            &boost.down,
            words(&boost.highest, &boost.output),
            None,
        ));
    }
}

fn booster_power(
    facts: &Facts,
    rated: &Rated,
    current: &Figure,
    boost: &Boost,
    said: &mut Vec<Deduction>,
) {
    let volts = boost.most();
    let each = volts.times(current, Unit::VoltAmpere);
    let count = if facts.phases == Some(3) { 3.0 } else { 1.0 };
    let what = if count > 1.0 {
        "power of each booster"
    } else {
        "power of the booster"
    };
    said.push(deduction(
        what,
        &each,
        format!(
            "{} × {}: correction times line current",
            volts.words(),
            current.words()
        ),
        None,
    ));
    let total = each.scaled(count);
    if count > 1.0 {
        said.push(deduction(
            "power of all boosters",
            &total,
            format!("3 × {}", each.words()),
            None,
        ));
    }
    if let Some(power) = &rated.power {
        let share = volts.mid / boost.output.mid;
        let figure = Figure::between(share, share, share, false, Unit::Percent);
        said.push(deduction(
            "share of the throughput the boosters transform",
            &figure,
            format!(
                "{} of {}; the rest passes straight through",
                total.words(),
                power.text
            ),
            None,
        ));
    }
}

/// Input currents at both ends of the range; gives the largest.
fn input_currents(facts: &Facts, rated: &Rated, said: &mut Vec<Deduction>) -> Option<Figure> {
    let (power, span, factor) = (rated.power.as_ref()?, facts.span.as_ref()?, facts.factor()?);
    let at = |end: &Figure| power.over(&end.scaled(factor), Unit::Ampere);
    let how = |end: &Figure| {
        format!(
            "{} / {}, losses not counted",
            power.text,
            facts.divisor(&end.words())
        )
    };
    let largest = at(&span.low)?;
    said.push(deduction(
        "input current at the lowest input, the largest there is",
        &largest,
        how(&span.low),
        None,
    ));
    let smallest = at(&span.high)?;
    said.push(deduction(
        "input current at the highest input",
        &smallest,
        how(&span.high),
        None,
    ));
    Some(largest)
}

/// Ratio and slider current for each arrangement that is possible.
fn arrangements(
    fed: Fed,
    boost: &Boost,
    line: Option<&Figure>,
    largest: Option<&Figure>,
    said: &mut Vec<Deduction>,
) {
    let (up, most) = (&boost.up, boost.most());
    let half = |volts: &Figure, by: &Figure| {
        format!(
            "half the winding at {} is {} for {}",
            volts.words(),
            volts.scaled(0.5).words(),
            by.words()
        )
    };
    let whole = |volts: &Figure, by: &Figure| {
        format!("the whole winding at {} for {}", volts.words(), by.words())
    };
    if fed != Fed::End {
        if let Some(ratio) = boost.centre_tap_output() {
            let what =
                "booster ratio: fed from centre tap and slider, autotransformer on the output side";
            row(
                what,
                &ratio,
                half(&boost.output, most),
                largest,
                "lowest input",
                said,
            );
        }
        if let Some(ratio) = boost.centre_tap_input() {
            let bucks = boost.down.mid > 0.0
                && (boost.up.mid <= 0.0
                    || boost.highest.mid * boost.up.mid < boost.lowest.mid * boost.down.mid);
            let (volts, by) = if bucks {
                (&boost.highest, &boost.down)
            } else {
                (&boost.lowest, up)
            };
            let what =
                "booster ratio: fed from centre tap and slider, autotransformer on the input side";
            row(what, &ratio, half(volts, by), line, "rated power", said);
        }
    }
    if fed != Fed::CentreTap && up.mid > 0.0 {
        let only = if boost.down.mid > 0.0 {
            "; it can only add, so it takes nothing off above the output voltage"
        } else {
            ""
        };
        if let Some(ratio) = boost.output.over(up, Unit::One) {
            let what = "booster ratio: end-fed, slider to star or slider to line, autotransformer on the output side";
            row(
                what,
                &ratio,
                whole(&boost.output, up) + only,
                largest,
                "lowest input",
                said,
            );
        }
        if let Some(ratio) = boost.lowest.over(up, Unit::One) {
            let what = "booster ratio: end-fed, slider to star or slider to line, autotransformer on the input side";
            row(
                what,
                &ratio,
                whole(&boost.lowest, up) + only,
                line,
                "rated power",
                said,
            );
        }
    }
}

fn row(
    what: &str,
    ratio: &Figure,
    how: String,
    line: Option<&Figure>,
    when: &str,
    said: &mut Vec<Deduction>,
) {
    said.push(deduction(what, ratio, how, None));
    if let Some(slider) =
        line.and_then(|line| line.over(ratio, Unit::Ampere).map(|slider| (line, slider)))
    {
        let (line, slider) = slider;
        said.push(deduction(
            format!("slider current there, at {when}"),
            &slider,
            format!(
                "{} / {}: line current over the ratio",
                line.words(),
                ratio.words()
            ),
            None,
        ));
    }
}
