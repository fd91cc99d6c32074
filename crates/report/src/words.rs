//! The words of verdicts, and probabilities as they are shown; the same in HTML and in plain text.

use judgement::Verdict;

/// The word of a verdict.
pub fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Agrees => "agrees",
        Verdict::Doubtful => "doubtful",
        Verdict::Contradicts => "contradicts",
        Verdict::Floating => "floating",
        Verdict::NotJudged => "not judged",
        Verdict::Struck => "struck",
    }
}

/// A probability as it is shown: two decimals, `> 0.99` and `< 0.01` beyond them.
pub fn probability(value: f64) -> String {
    if !value.is_finite() {
        "unknown".to_owned()
    } else if value > 0.99 {
        ">\u{a0}0.99".to_owned()
    } else if value < 0.005 {
        "<\u{a0}0.01".to_owned()
    } else {
        format!("{value:.2}")
    }
}

/// "a", "a and b", "a, b and c".
pub(crate) fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn probabilities_have_two_decimals_and_honest_ends() {
        assert_eq!(probability(0.34), "0.34");
        assert_eq!(probability(0.990_1), ">\u{a0}0.99");
        assert_eq!(probability(1.0), ">\u{a0}0.99");
        assert_eq!(probability(0.0), "<\u{a0}0.01");
        assert_eq!(probability(0.005), "0.01");
        assert_eq!(probability(f64::NAN), "unknown");
    }

    #[test]
    fn lists_read_as_spoken() {
        let items: Vec<String> = ["a", "b", "c"].map(str::to_owned).to_vec();
        assert_eq!(listed(&items), "a, b and c");
        assert_eq!(listed(&items[..2]), "a and b");
        assert_eq!(listed(&[]), "");
    }
}
