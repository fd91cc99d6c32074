//! What the readings taught of each named quantity: before and after, and how much narrower.

use crate::belief::Belief;
use crate::said::Learned;
use evidence::model::Named;
use quantity::{Decimal, Estimate, Unit};

/// Above this share of the prior's width a quantity counts as taught nothing.
const PRIOR_ONLY: f64 = 0.95;

/// Relative standard uncertainty from which a positive quantity is shown as a range: a ± would reach below nothing.
const WIDE: f64 = 0.3;

/// The find's own quantities first, most taught first, then supplies and sliders of the setups; what is alike for several parts stands in one line.
pub(crate) fn learned(
    named: &[Named],
    before: &Belief,
    after: &Belief,
    decimal: Decimal,
) -> Vec<Learned> {
    let mut lines: Vec<Learned> = Vec::new();
    let open = |n: &&Named| before.of(&n.binding, n.unit).standard_uncertainty > 0.0;
    for line in named
        .iter()
        .filter(open)
        .map(|n| one(n, before, after, decimal))
    {
        match lines.iter_mut().find(|l| alike(l, &line)) {
            Some(first) => first.name = together(&first.name, &line.name),
            None => lines.push(line),
        }
    }
    let of_a_setup = |l: &Learned| l.name.contains(" in setup ");
    lines.sort_by(|a, b| {
        let order = of_a_setup(a).cmp(&of_a_setup(b));
        order.then(a.width_ratio.total_cmp(&b.width_ratio))
    });
    lines
}

/// The quantity of a name and what it is of: "ratio", "T4".
fn parted(name: &str) -> Option<(&str, &str)> {
    name.rsplit_once(" of ")
        .filter(|(_, part)| part.starts_with(char::is_uppercase))
}

fn alike(a: &Learned, b: &Learned) -> bool {
    let (Some((x, _)), Some((y, _))) = (parted(&a.name), parted(&b.name)) else {
        return false;
    };
    x == y
        && a.before == b.before
        && a.after == b.after
        && a.unit == b.unit
        && a.prior_only == b.prior_only
}

fn together(first: &str, next: &str) -> String {
    parted(next).map_or_else(|| first.to_owned(), |(_, part)| format!("{first}, {part}"))
}

fn one(named: &Named, before: &Belief, after: &Belief, decimal: Decimal) -> Learned {
    let prior = before.of(&named.binding, named.unit);
    let posterior = after.of(&named.binding, named.unit);
    let ratio = if prior.standard_uncertainty > 0.0 {
        spread(posterior) / spread(prior)
    } else {
        1.0
    };
    let prefix = posterior.rounded().prefix;
    Learned {
        name: named.name.clone(),
        unit: if named.unit == Unit::One {
            String::new()
        } else {
            format!("{prefix}{}", named.unit.symbol())
        },
        before: text(prior, prefix, decimal),
        after: text(posterior, prefix, decimal),
        basis: named.basis.clone(),
        width_ratio: ratio.clamp(0.0, 1.0),
        centre: place(prior.value, prior.standard_uncertainty, posterior.value),
        prior_only: ratio > PRIOR_ONLY,
    }
}

/// "2.49 ± 0.08", or "12 to 70" where the doubt is wide and the quantity cannot be negative (95 % of its log-normal).
fn text(estimate: Estimate, prefix: &str, decimal: Decimal) -> String {
    let relative = estimate.standard_uncertainty / estimate.value;
    if estimate.value > 0.0 && relative > WIDE {
        let end = |sign: f64| {
            let value = estimate.value * (sign * 1.96 * relative).exp();
            let shown = Estimate {
                value,
                standard_uncertainty: 0.0,
                unit: estimate.unit,
            }
            .rounded_as(prefix);
            decimal.set(&quantity::significant(
                shown
                    .value
                    .replace('\u{2212}', "-")
                    .parse()
                    .unwrap_or(value),
                2,
            ))
        };
        return format!("{} to {}", end(-1.0), end(1.0));
    }
    let r = estimate.rounded_as(prefix).in_decimals(decimal);
    if r.plus_minus.is_empty() {
        r.value
    } else {
        format!("{} ± {}", r.value, r.plus_minus)
    }
}

/// Relative spread for a positive quantity, so that a value that moved is not taken for one that was taught.
fn spread(estimate: Estimate) -> f64 {
    if estimate.value > 0.0 && estimate.unit != Unit::One {
        estimate.standard_uncertainty / estimate.value
    } else {
        estimate.standard_uncertainty
    }
}

/// Where the value lies in the prior's 95 % interval.
fn place(middle: f64, uncertainty: f64, value: f64) -> f64 {
    if uncertainty > 0.0 {
        0.5 + (value - middle) / (2.0 * 1.96 * uncertainty)
    } else {
        0.5
    }
}
