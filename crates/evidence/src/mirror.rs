//! The other side of a kink: a meter shows the size of a voltage, so a slider above its tap and one below may show alike.
//!
//! Between the two the size goes through zero, a ridge that no descent crosses. A voltage is a straight line in the slider's own travel
//! (not in its z): where it stands at `v` with slope `s`, the place that shows `-v` lies `2v/s` behind. So the mirror of a peak is found
//! from the peak itself, for every parameter within its prior's reach; a refit from there tells whether it is one.

use crate::posed::{Felt, Posed};
use network::Question;

/// Mirrors further out on a parameter's prior than this are none.
const IN_REACH: f64 = 4.0;
/// Mirrors of one parameter nearer than this in z are one: readings of one slider tell of the same tap.
const ONE_MIRROR: f64 = 0.05;
/// Mirrors nearer than this in z are the peak itself.
const NO_MIRROR: f64 = 0.01;
/// Most mirrors of one peak.
const MOST_MIRRORS: usize = 8;

/// Places that mirror a peak at `z` in one parameter each, nearest first; none where the network has no answer.
pub(crate) fn mirrors(posed: &mut Posed, z: &[f64]) -> Vec<Vec<f64>> {
    if posed.feel(z).is_err() {
        return vec![];
    }
    let mut found: Vec<(usize, f64)> = vec![];
    for reading in 0..posed.readings() {
        let Felt::Value(value) = posed.here.felt[reading] else {
            continue;
        };
        let question = &posed.problem.observations[reading].question;
        if !matches!(question, Question::Voltage { .. }) {
            continue;
        }
        let slopes = posed.here.slopes(reading);
        for (number, parameter) in posed.problem.parameters.iter().enumerate() {
            if parameter.auxiliary || slopes[number] == 0.0 {
                continue;
            }
            let behind = 2.0 * value * parameter.slope(z[number]) / slopes[number];
            let Some(there) = parameter.z_of(parameter.value(z[number]) - behind) else {
                continue;
            };
            let known = found
                .iter()
                .any(|&(other, z)| other == number && (z - there).abs() < ONE_MIRROR);
            if there.abs() < IN_REACH && (there - z[number]).abs() > NO_MIRROR && !known {
                found.push((number, there));
            }
        }
    }
    let step = |&(number, there): &(usize, f64)| (there - z[number]).abs();
    found.sort_by(|left, right| step(left).total_cmp(&step(right)));
    found.truncate(MOST_MIRRORS);
    found
        .into_iter()
        .map(|(number, there)| {
            let mut mirror = z.to_vec();
            mirror[number] = there;
            mirror
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::mirrors;
    use crate::posed::{Felt, Posed};
    use crate::sample::{SLIDER, problem};

    #[test]
    fn a_mirror_shows_the_same_size_of_voltage_from_the_other_side_of_the_tap() {
        let z = [0.3, -0.8, 0.5, 0.6, -0.4, 0.2, -0.5, 0.7, 0.0, 0.0, 0.0];
        let mut find = problem(&z[..9], 0.003, &[]);
        let tap = 0.505;
        let mut posed = Posed::new(&mut find);
        let between = |posed: &mut Posed, z: &[f64]| {
            posed.feel(z).unwrap_or_else(|error| panic!("{error:?}"));
            match posed.here.felt[1] {
                Felt::Value(value) => value,
                other => panic!("{other:?}"),
            }
        };
        let here = between(&mut posed, &z);
        let told = mirrors(&mut posed, &z);
        let moved = |mirror: &&Vec<f64>| mirror[SLIDER] != z[SLIDER];
        let mirror = told.iter().find(moved).unwrap_or_else(|| panic!("none"));
        let slider = |z: &[f64], posed: &Posed| posed.problem.parameters[SLIDER].value(z[SLIDER]);
        assert!(slider(&z, &posed) < tap && slider(mirror, &posed) > tap);
        // Not quite: the load between the two bends the line a little.
        let there = between(&mut posed, mirror);
        assert!((there / here - 1.0).abs() < 0.02, "{there} {here}");
    }
}
