//! Tells scores to people: rates with their 95 % intervals, as a table.

use crate::score::{BINS, Score};
use crate::world::parameters;

/// A rate with its 95 % interval by Wilson's score: "0.07 % (0.04 to 0.13)".
/// Source: E. B. Wilson, Journal of the American Statistical Association 22 (1927), 209.
pub fn rate(count: usize, of: usize) -> String {
    if of == 0 {
        return "none".into();
    }
    let (n, share, z) = (
        of as f64,
        count as f64 / of as f64,
        1.959_963_984_540_054_f64,
    );
    let centre = (share + z * z / (2.0 * n)) / (1.0 + z * z / n);
    let half = z / (1.0 + z * z / n) * (share * (1.0 - share) / n + z * z / (4.0 * n * n)).sqrt();
    let digits = if share < 0.1 { 2 } else { 1 };
    let [share, low, high] = [share, (centre - half).max(0.0), (centre + half).min(1.0)]
        .map(|it| format!("{:.*}", digits, 100.0 * it));
    format!("{share} % ({low} to {high})")
}

/// The table, one column a run; each named by its number of readings.
pub fn table(runs: &[(usize, Score)]) -> String {
    let mut text = String::from("| |");
    runs.iter()
        .for_each(|(readings, _)| text += &format!(" {readings} readings |"));
    text += "\n| --- |";
    runs.iter().for_each(|_| text += " --- |");
    text.push('\n');
    let mut row = |name: &str, told: &dyn Fn(&Score) -> String| {
        text += &format!("| {name} |");
        runs.iter()
            .for_each(|(_, score)| text += &format!(" {} |", told(score)));
        text.push('\n');
    };
    row("finds judged (failed)", &|it| {
        format!("{} ({})", it.finds, it.failed)
    });
    row("good readings called *contradicts*", &|it| {
        rate(it.contradicts, it.good)
    });
    row("good readings called *doubtful*", &|it| {
        rate(it.doubtful, it.good)
    });
    row("finds with a good reading called *contradicts*", &|it| {
        rate(it.finds_accused, it.finds)
    });
    row("material slips found", &|it| rate(it.found, it.material));
    row("kind right, of those found", &|it| {
        rate(it.kind_right, it.found)
    });
    if runs.iter().any(|(_, score)| score.ceiling.asked) {
        row("ceiling: material slips found", &|it| {
            rate(it.ceiling.found, it.material)
        });
        row("ceiling: kind right, of those found", &|it| {
            rate(it.ceiling.kind_right, it.ceiling.found)
        });
        row("ceiling: good readings called *contradicts*", &|it| {
            rate(it.ceiling.contradicts, it.good)
        });
    }
    row("95 % intervals that hold the truth", &|it| {
        rate(
            it.covered.iter().sum(),
            it.covered.len() * (it.finds - it.failed),
        )
    });
    row("worst parameter", &worst);
    for bin in 0..=BINS.len() {
        let low = if bin == 0 { 0.0 } else { BINS[bin - 1] };
        let high = BINS.get(bin).copied().unwrap_or(1.0);
        let name = format!("readings called wrong with {low} to {high}: mean stated, slipped");
        row(&name, &|it| {
            let (count, stated, slipped) = it.reliability[bin];
            let mean = 100.0 * stated / count.max(1) as f64;
            format!("{count}: {mean:.2} %, {}", rate(slipped, count))
        });
    }
    row("time a find: median, 95th percentile, mean", &times);
    text
}

pub(crate) fn worst(score: &Score) -> String {
    let Some((index, least)) = score
        .covered
        .iter()
        .enumerate()
        .min_by_key(|(_, covered)| **covered)
    else {
        return "none".into();
    };
    format!(
        "{:.1} %, {}",
        100.0 * *least as f64 / score.finds as f64,
        parameters()[index].name
    )
}

pub(crate) fn times(score: &Score) -> String {
    let mut sorted = score.seconds.clone();
    sorted.sort_by(f64::total_cmp);
    let at = |share: f64| {
        sorted
            .get(((sorted.len() as f64 - 1.0) * share).round() as usize)
            .map_or(f64::NAN, |it| 1e3 * it)
    };
    let mean = 1e3 * sorted.iter().sum::<f64>() / sorted.len().max(1) as f64;
    format!("{:.1}, {:.1}, {mean:.1} ms", at(0.5), at(0.95))
}

#[cfg(test)]
mod tests {
    use super::rate;

    #[test]
    fn val_interval_of_a_rate() {
        // R. G. Newcombe, Statistics in Medicine 17 (1998), 857, table I, method 3: 81 of 263 is 0.2553 to 0.3662; 0 of 20 is
        // 0 to 0.1611.
        assert_eq!(rate(81, 263), "30.8 % (25.5 to 36.6)");
        assert_eq!(rate(0, 20), "0.00 % (0.00 to 16.11)");
    }
}
