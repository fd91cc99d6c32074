//! What on the plate does not go together, each with its size against what rounding and tolerance allow.

use super::facts::{Facts, Gear, base};
use super::figure::{Figure, percent};
use super::labels;
use super::rated::Rated;
use super::rated::deduction;
use super::transformer::ratio_tolerance;
use crate::said::{Contradiction, Deduction};
use quantity::{Quantity, Reach, Unit};

/// Makers round rated currents more freely than their digits say (common practice).
const CURRENT_SLACK: f64 = 0.02;
/// The two ways to write an input range may differ by this much (common practice: both are rounded to neat volts).
const RANGE_SLACK: f64 = 0.02;
/// Losses beyond this share of the power are no transformer's (common practice: the worst small ones lose a third).
const MOST_LOSS: f64 = 0.5;

/// Everything that does not go together.
pub(super) fn find(facts: &Facts, rated: &Rated) -> Vec<Contradiction> {
    let mut found = Vec::new();
    found.extend(current(facts));
    found.extend(primary_current(facts, rated));
    found.extend(range(facts));
    found.extend(output_outside(facts));
    found.extend(current_ratio(facts));
    found.extend(watts(facts));
    found.extend(vector_group(facts));
    found.extend(losses(facts, rated));
    found
}

/// Size and allowance when two figures do not meet; nothing when they do.
fn apart(stated: &Figure, reckoned: &Figure, slack: f64) -> Option<(f64, f64)> {
    let gap = if stated.low > reckoned.high * (1.0 + slack) {
        stated.low / reckoned.mid - 1.0
    } else if stated.high < reckoned.low * (1.0 - slack) {
        1.0 - stated.high / reckoned.mid
    } else {
        return None;
    };
    let size = if stated.open || reckoned.open {
        gap
    } else {
        (stated.mid / reckoned.mid - 1.0).abs()
    };
    let rounding = |figure: &Figure| if figure.open { 0.0 } else { figure.share() };
    Some((size, rounding(stated) + rounding(reckoned) + slack))
}

fn contradiction((size, allowed): (f64, f64), words: String) -> Contradiction {
    let sentence = format!(
        "{words}: {} apart, where rounding and usual tolerance explain {}.",
        percent(size),
        percent(allowed)
    );
    Contradiction {
        sentence,
        size,
        allowed,
    }
}

/// The current the plate gives against S / (√3 U).
fn current(facts: &Facts) -> Option<Contradiction> {
    let (power, volts, factor) = (
        facts.power.as_ref()?,
        facts.volts.as_ref()?,
        facts.factor()?,
    );
    let stated = facts.stated_current()?;
    let reckoned = power.over(&volts.scaled(factor), Unit::Ampere)?;
    let off = apart(stated, &reckoned, CURRENT_SLACK)?;
    if facts.output_current.is_none()
        && side_currents(facts)
            .iter()
            .any(|(_, other)| apart(stated, other, CURRENT_SLACK).is_none())
    {
        return None;
    }
    let mut words = format!(
        "{} and {} ask for {}{}, the plate says {}",
        power.text,
        base(volts),
        reckoned.words(),
        if facts.phases == Some(3) {
            " in each line"
        } else {
            ""
        },
        stated.text
    );
    if let (Some(_), Some(count)) = (&facts.phases_guess, facts.phases) {
        words = format!(
            "{words}, taking it as {}",
            if count == 3 {
                "three phases"
            } else {
                "one phase"
            }
        );
    }
    if let Some(hint) = current_hint(facts, power, volts, stated) {
        words = format!("{words} ({hint})");
    }
    Some(contradiction(off, words))
}

/// What a current that does not fit would fit.
fn current_hint(
    facts: &Facts,
    power: &Figure,
    volts: &Figure,
    stated: &Figure,
) -> Option<&'static str> {
    let fits = |factor: f64| {
        let other = power.over(&volts.scaled(factor), Unit::Ampere);
        other.is_some_and(|other| apart(stated, &other, CURRENT_SLACK).is_none())
    };
    match facts.phases? {
        3 if fits(1.0) => Some("it would fit one phase"),
        3 if fits(3.0) => Some("it would fit the current inside a delta winding"),
        1 if fits(3f64.sqrt()) => Some("it would fit three phases"),
        _ => None,
    }
}

/// Currents an unlabelled figure may also mean: the input's, at the lowest or highest input, or a transformer's primary.
pub(super) fn side_currents(facts: &Facts) -> Vec<(&'static str, Figure)> {
    let (Some(power), Some(factor)) = (&facts.power, facts.factor()) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    let mut at = |name, volts: Option<&Figure>| {
        found.extend(
            volts
                .and_then(|v| power.over(&v.scaled(factor), Unit::Ampere))
                .map(|current| (name, current)),
        );
    };
    at(
        "the input current at the lowest input",
        facts.span.as_ref().map(|s| &s.low),
    );
    at(
        "the input current at the highest input",
        facts.span.as_ref().map(|s| &s.high),
    );
    at("the input current", facts.primary.as_ref());
    found
}

/// The input current against the power; of a stabilizer it may stand anywhere in its range.
fn primary_current(facts: &Facts, rated: &Rated) -> Option<Contradiction> {
    if facts.power.is_none() && facts.gear == Gear::Transformer {
        return None; // the ratio of the currents says it
    }
    let (power, stated, factor) = (
        rated.power.as_ref()?,
        facts.input_current.as_ref()?,
        facts.factor()?,
    );
    let (low, high, volts) = match (&facts.span, &facts.primary) {
        (Some(span), _) => (
            &span.low,
            &span.high,
            format!("{} to {}", span.low.words(), span.high.words()),
        ),
        (None, Some(primary)) => (primary, primary, base(primary)),
        _ => return None,
    };
    let (most, least) = (
        power.over(&low.scaled(factor), Unit::Ampere)?,
        power.over(&high.scaled(factor), Unit::Ampere)?,
    );
    let reckoned = if stated.mid > most.mid { &most } else { &least };
    if facts.span.is_some() && stated.high >= least.low && stated.low <= most.high {
        return None;
    }
    let off = apart(stated, reckoned, CURRENT_SLACK)?;
    Some(contradiction(
        off,
        format!(
            "{} at {volts} asks for an input current of {}, the plate says {}",
            power.text,
            reckoned.words(),
            stated.text
        ),
    ))
}

/// The input span against the ± range.
fn range(facts: &Facts) -> Option<Contradiction> {
    let (span, volts, (down, up, text)) = (
        facts.span.as_ref().filter(|s| s.typed)?,
        facts.volts.as_ref()?,
        facts.correction.as_ref()?,
    );
    let ends = [
        (&span.low, volts.scaled(1.0 - down)),
        (&span.high, volts.scaled(1.0 + up)),
    ];
    let worst = ends
        .iter()
        .filter_map(|(typed, reckoned)| apart(typed, reckoned, RANGE_SLACK))
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    let words = format!(
        "{} {text} is {} to {}, but the plate gives the input as {} to {}",
        base(volts),
        ends[0].1.words(),
        ends[1].1.words(),
        span.low.words(),
        span.high.words()
    );
    Some(contradiction(worst, words))
}

/// A stabilizer's output must lie within what comes in (or near it: a booster that only adds, or only takes off).
fn output_outside(facts: &Facts) -> Option<Contradiction> {
    let (span, volts) = (
        facts.span.as_ref().filter(|s| s.typed)?,
        facts.volts.as_ref()?,
    );
    let reckoned = if volts.mid < span.low.mid {
        &span.low
    } else {
        &span.high
    };
    if (span.low.mid..=span.high.mid).contains(&volts.mid) {
        return None;
    }
    let off = apart(volts, reckoned, 0.5)?;
    Some(contradiction(
        off,
        format!(
            "the output of {} lies far outside the input range {} to {}",
            base(volts),
            span.low.words(),
            span.high.words()
        ),
    ))
}

/// Currents of both sides against the voltages of both sides, where no power stands between them.
fn current_ratio(facts: &Facts) -> Option<Contradiction> {
    if facts.gear != Gear::Transformer || facts.power.is_some() {
        return None;
    }
    let volts = facts
        .primary
        .as_ref()?
        .over(facts.volts.as_ref()?, Unit::One)?;
    let amperes = facts
        .output_current
        .as_ref()?
        .over(facts.input_current.as_ref()?, Unit::One)?;
    let off = apart(
        &amperes,
        &volts,
        ratio_tolerance(facts.impedance.as_ref()) + CURRENT_SLACK,
    )?;
    Some(contradiction(
        off,
        format!(
            "the voltages stand as {} to 1, the currents as {} to 1",
            volts.words(),
            amperes.words()
        ),
    ))
}

fn watts(facts: &Facts) -> Option<Contradiction> {
    if let Some(factor) = facts.power_factor.as_ref().filter(|f| f.low > 1.0) {
        let words = format!(
            "a power factor of {} cannot be: none is above 1",
            factor.text
        );
        return Some(contradiction((factor.mid - 1.0, factor.share()), words));
    }
    let (power, watts) = (facts.power.as_ref()?, facts.active.as_ref()?);
    let one = Figure::exact(1.0, Unit::One);
    let reckoned = power.times(facts.power_factor.as_ref().unwrap_or(&one), Unit::Watt);
    let off = apart(watts, &reckoned, CURRENT_SLACK)
        .filter(|_| watts.mid > reckoned.mid || facts.power_factor.is_some())?;
    Some(contradiction(
        off,
        format!(
            "{} cannot give {}: that would be {} at the most",
            power.text,
            watts.text,
            reckoned.words()
        ),
    ))
}

fn vector_group(facts: &Facts) -> Option<Contradiction> {
    let group = facts
        .scanned
        .marks
        .iter()
        .find(|mark| labels::is_vector_group(mark))?;
    (facts.phases == Some(1)).then(|| Contradiction {
        sentence: format!("{group} is a vector group, which only three-phase gear has, but the plate says one phase."),
        size: 2.0,
        allowed: 0.0,
    })
}

fn losses(facts: &Facts, rated: &Rated) -> Option<Contradiction> {
    let power = rated.power.as_ref()?;
    let total = facts.no_load_loss.as_ref().map_or(0.0, |f| f.mid)
        + facts.load_loss.as_ref().map_or(0.0, |f| f.mid);
    let share = total / power.mid;
    if share > MOST_LOSS {
        let words = format!(
            "losses of {} in gear of {} (one of the two may be misread)",
            Figure::exact(total, Unit::Watt).words(),
            power.words()
        );
        return Some(contradiction((share, MOST_LOSS), words));
    }
    let (stated, fed, factor) = (
        facts.no_load_current.as_ref()?,
        facts.primary.as_ref().or(facts.volts.as_ref())?,
        facts.factor()?,
    );
    let full = power.over(&fed.scaled(factor), Unit::Ampere)?;
    let share = stated.mid / full.mid;
    (share > 1.0).then(|| {
        contradiction(
            (share - 1.0, stated.share() + full.share()),
            format!(
                "a no-load current of {} is above the full-load current of {}",
                stated.text,
                full.words()
            ),
        )
    })
}

/// Digits that cannot be read on the plate but follow from the rest of it.
pub(super) fn narrowed(facts: &Facts, said: &mut Vec<Deduction>) {
    let (Some(power), Some(volts), Some(factor)) = (&facts.power, &facts.volts, facts.factor())
    else {
        return;
    };
    let Some(stated) = facts
        .stated_current()
        .filter(|c| c.open && c.text.contains('?'))
    else {
        return;
    };
    let Some(reckoned) = power
        .over(&volts.scaled(factor), Unit::Ampere)
        .filter(|r| !r.open)
    else {
        return;
    };
    if stated.text.matches('?').count() != 1 {
        return;
    }
    let digits = |low: f64, high: f64| {
        let meets = |digit: &char| {
            let text = stated.text.replace('?', &digit.to_string());
            let figure = Quantity::parse(&text)
                .ok()
                .filter(|q| matches!(q.reach(), Reach::Value { .. }))
                .and_then(|q| Figure::of(&q));
            figure.is_some_and(|f| f.low <= high && f.high >= low)
        };
        ('0'..='9')
            .filter(meets)
            .map(String::from)
            .collect::<Vec<_>>()
    };
    let (likely, possible) = (
        digits(reckoned.mid, reckoned.mid),
        digits(reckoned.low, reckoned.high),
    );
    if likely.is_empty() {
        return;
    }
    let mut how = format!(
        "{} and {} ask for {}",
        power.text,
        base(volts),
        reckoned.words()
    );
    let others: Vec<_> = possible
        .into_iter()
        .filter(|d| !likely.contains(d))
        .collect();
    if !others.is_empty() {
        how = format!(
            "{how}; the rounding of the plate would also allow {}",
            others.join(" or ")
        );
    }
    let figure = Figure {
        unit: Unit::One,
        ..reckoned
    };
    let what = format!("the digit that cannot be read in {}", stated.text);
    said.push(Deduction {
        value: likely.join(" or "),
        ..deduction(what, &figure, how, None)
    });
}

/// An unlabelled current that is not the output's but another one the plate implies.
pub(super) fn explained(facts: &Facts, rated: &Rated, said: &mut Vec<Deduction>) {
    let (Some(stated), Some(output), None) =
        (&facts.current, &rated.current, &facts.output_current)
    else {
        return;
    };
    if apart(stated, output, CURRENT_SLACK).is_none() {
        return;
    }
    let other = side_currents(facts)
        .into_iter()
        .find(|(_, other)| apart(stated, other, CURRENT_SLACK).is_none());
    if let Some((name, other)) = other {
        let how = format!("it is {name}: {}", other.words());
        said.push(deduction(
            format!("which current {} is", stated.text),
            stated,
            how,
            None,
        ));
    }
}
