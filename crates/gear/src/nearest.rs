//! The name that was probably meant, for messages: "did you mean `secondary`?".

/// The candidate nearest to `word`, if one is near enough to be meant: letters left out, added, exchanged or swapped with
/// their neighbour count one each, at most one in three letters; capitals do not count. The first of equals wins.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let small = |text: &str| {
        text.to_lowercase()
            .chars()
            .take(LONGEST)
            .collect::<Vec<_>>()
    };
    let word = small(word);
    let near = |candidate: &&str| {
        let candidate = small(candidate);
        let slips = slips_between(&word, &candidate);
        (slips <= word.len().max(candidate.len()).div_ceil(3) && slips < word.len().max(1))
            .then_some(slips)
    };
    candidates
        .into_iter()
        .filter_map(|c| near(&c).map(|slips| (slips, c)))
        .min_by_key(|(slips, _)| *slips)
        .map(|(_, c)| c)
}

/// Letters looked at; no name of a sheet is longer, and a hostile one must not cost the square of its length.
const LONGEST: usize = 40;

/// Optimal string alignment distance (Damerau, "A technique for computer detection and correction of spelling errors", CACM 1964: the four slips).
fn slips_between(a: &[char], b: &[char]) -> usize {
    let mut before = vec![0; b.len() + 1];
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let unlike = usize::from(a[i - 1] != b[j - 1]);
            row[j] = (above[j - 1] + unlike)
                .min(above[j] + 1)
                .min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        before = std::mem::replace(&mut above, row);
    }
    above[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_pen_is_seen_and_a_stranger_is_not() {
        assert_eq!(
            nearest("secundary", ["primary", "secondary"]),
            Some("secondary")
        );
        assert_eq!(
            nearest("desgination", ["kind", "designation"]),
            Some("designation")
        );
        assert_eq!(nearest("t1", ["T2", "T1"]), Some("T1"));
        assert_eq!(nearest("banana", ["primary", "secondary"]), None);
        assert_eq!(nearest("", ["a"]), None);
        assert_eq!(nearest("x", ["y"]), None);
    }

    #[test]
    fn swapped_neighbours_are_one_slip() {
        let letters = |text: &str| text.chars().collect::<Vec<_>>();
        assert_eq!(slips_between(&letters("brsuh"), &letters("brush")), 1);
        assert_eq!(slips_between(&letters(""), &letters("tap")), 3);
    }
}
