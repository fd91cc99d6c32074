//! Labels that stand one above another beside a chart: pushed apart until none covers the next, each moved as little as that allows.
//!
//! Apart from the chart because names at the right end and values at the rule ask the same thing.

/// Places for labels that would like to stand at `wanted`, at least `gap` apart, between `top` and `bottom`; in the order given.
///
/// Where they do not all fit between the ends they keep their gap and run over the lower one.
pub(super) fn apart(wanted: &[f64], gap: f64, top: f64, bottom: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]));
    // Clusters of labels that touch: how many, and where the first would like to stand.
    let mut clusters: Vec<(usize, f64)> = Vec::new();
    for index in &order {
        clusters.push((1, wanted[*index]));
        while let [.., (upper_count, upper), (lower_count, lower)] = clusters[..] {
            if upper + upper_count as f64 * gap <= lower {
                break;
            }
            let count = upper_count + lower_count;
            let middle = (upper_count as f64 * upper
                + lower_count as f64 * (lower - upper_count as f64 * gap))
                / count as f64;
            clusters.truncate(clusters.len() - 2);
            clusters.push((count, middle));
        }
    }
    let mut places: Vec<f64> = clusters
        .iter()
        .flat_map(|(count, first)| (0..*count).map(move |k| first + k as f64 * gap))
        .collect();
    let mut ceiling = bottom;
    for place in places.iter_mut().rev() {
        *place = place.min(ceiling);
        ceiling = *place - gap;
    }
    let mut floor = top;
    for place in &mut places {
        *place = place.max(floor);
        floor = *place + gap;
    }
    let mut answer = vec![0.0; wanted.len()];
    for (place, index) in places.into_iter().zip(order) {
        answer[index] = place;
    }
    answer
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn labels_with_room_stay() {
        assert_eq!(apart(&[40.0, 10.0], 16.0, 0.0, 100.0), [40.0, 10.0]);
    }

    #[test]
    fn labels_on_one_place_spread_evenly() {
        assert_eq!(
            apart(&[50.0, 50.0, 50.0], 16.0, 0.0, 100.0),
            [34.0, 50.0, 66.0]
        );
        assert_eq!(apart(&[99.0, 98.0], 16.0, 0.0, 100.0), [100.0, 84.0]);
    }

    proptest! {
        #[test]
        fn no_two_are_nearer_than_the_gap(wanted in prop::collection::vec(0f64..120.0, 0..7)) {
            let mut places = apart(&wanted, 16.0, 0.0, 120.0);
            places.sort_by(f64::total_cmp);
            for pair in places.windows(2) {
                prop_assert!(pair[1] - pair[0] > 16.0 - 1e-9);
            }
            prop_assert!(places.iter().all(|p| *p > -1e-9 && *p < 120.0 + 1e-9));
        }
    }
}
