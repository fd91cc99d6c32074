//! Tells the scores of the trial of wirings.

use super::orders::name;
use super::run::{Asking, BINS, Plan, SIZES, Score};
use crate::table::rate;

/// How many confusions are told.
const CONFUSIONS: usize = 8;

/// All tables, as Markdown.
pub fn table(plan: &Plan, score: &Score) -> String {
    let world = if plan.strange {
        "the world departs from the model"
    } else {
        "the world as the model has it"
    };
    let mut text = format!("{} finds, seed {}, {world}.\n\n", plan.finds, plan.seed);
    text += &ranking(score);
    if plan.asked {
        text += &asking(score);
    }
    text += &reliability(score);
    text += &confusions(score);
    if score.against.finds > 0 {
        text += &against(score);
    }
    text
}

fn ranking(score: &Score) -> String {
    let mut text = String::from(
        "| readings | right first | right first or second | says more than 95 % | right when it says so | a wrong wiring above 95 % | time, median and 95th percentile |\n| --- | --- | --- | --- | --- | --- | --- |\n",
    );
    for order in ["any order", "careful order"] {
        for size in SIZES {
            let Some(row) = score.rows.get(&(order, size)) else {
                continue;
            };
            text += &format!(
                "| {size}, {order} | {} | {} | {} | {} | {} | {:.2}, {:.2} ms |\n",
                rate(row.first, row.finds),
                rate(row.second, row.finds),
                rate(row.sure, row.finds),
                rate(row.sure_right, row.sure),
                rate(row.sure - row.sure_right, row.finds),
                1e3 * at(&row.seconds, 0.5),
                1e3 * at(&row.seconds, 0.95),
            );
        }
    }
    text + "\n"
}

fn asking(score: &Score) -> String {
    let mut text = String::from(
        "| asking | stands above 95 % twice running | median and 90th percentile of readings to it | right then | first time above 95 %: median | said it cannot be told apart | right one first then | ran out of places |\n| --- | --- | --- | --- | --- | --- | --- | --- |\n",
    );
    for (name, it) in ["all 24 places", "17 places, no ties"]
        .into_iter()
        .zip(&score.asking)
    {
        let Asking {
            decided,
            above,
            undecidable,
            exhausted,
        } = it;
        let all = decided.len() + undecidable.len() + exhausted.len();
        let counts: Vec<f64> = decided.iter().map(|(count, _)| *count as f64).collect();
        let above: Vec<f64> = above.iter().map(|&count| count as f64).collect();
        let right =
            |of: &[(usize, bool)]| rate(of.iter().filter(|(_, right)| *right).count(), of.len());
        text += &format!(
            "| {name} | {} | {:.0}, {:.0} | {} | {:.0} | {} | {} | {} |\n",
            rate(decided.len(), all),
            at(&counts, 0.5),
            at(&counts, 0.9),
            right(decided),
            at(&above, 0.5),
            rate(undecidable.len(), all),
            right(undecidable),
            rate(exhausted.len(), all),
        );
    }
    text + "\n"
}

fn reliability(score: &Score) -> String {
    let mut text = String::from(
        "| stated probability of the first | finds | mean stated | right |\n| --- | --- | --- | --- |\n",
    );
    for bin in 0..=BINS.len() {
        let low = if bin == 0 { 0.0 } else { BINS[bin - 1] };
        let high = BINS.get(bin).copied().unwrap_or(1.0);
        let sum = score.rows.values().fold((0, 0.0, 0), |sum, row| {
            let it = row.bins[bin];
            (sum.0 + it.0, sum.1 + it.1, sum.2 + it.2)
        });
        let mean = 100.0 * sum.1 / sum.0.max(1) as f64;
        text += &format!(
            "| {low} to {high} | {} | {mean:.1} % | {} |\n",
            sum.0,
            rate(sum.2, sum.0)
        );
    }
    text + "\n"
}

fn confusions(score: &Score) -> String {
    let mut sorted: Vec<_> = score.confusions.iter().collect();
    sorted.sort_by(|one, other| other.1.cmp(one.1));
    let mut text = String::from(
        "| it was | it was taken for (10 readings, any order) | finds |\n| --- | --- | --- |\n",
    );
    for ((truth, taken), count) in sorted.into_iter().take(CONFUSIONS) {
        text += &format!("| {} | {} | {count} |\n", name(*truth), name(*taken));
    }
    text + "\n"
}

fn against(score: &Score) -> String {
    let it = &score.against;
    let sizes: Vec<f64> = it
        .differences
        .iter()
        .map(|difference| difference.abs())
        .collect();
    let near = it
        .changed
        .iter()
        .filter(|probability| **probability < 0.7)
        .count();
    format!(
        "Against importance sampling, {} finds of 7 readings in any order: difference in ln of the evidence median {:.3}, median size {:.3}, 90th percentile {:.2}; total variation of the posterior mean {:.3}, 90th percentile {:.3}; same winner {}; of {} changed winners {near} stood below 70 %.\n\n",
        it.finds,
        at(&it.differences, 0.5),
        at(&sizes, 0.5),
        at(&sizes, 0.9),
        it.variation.iter().sum::<f64>() / it.finds as f64,
        at(&it.variation, 0.9),
        rate(it.same, it.finds),
        it.changed.len(),
    )
}

/// A quantile.
fn at(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let index = ((sorted.len() as f64 - 1.0) * share).round();
    sorted
        .get(index.max(0.0) as usize)
        .copied()
        .unwrap_or(f64::NAN)
}
