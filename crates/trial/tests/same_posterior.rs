//! The same posterior by numpy and `scipy.optimize.least_squares`: mode, covariance and cost agree.

use evidence::fit;
use trial::draw::{Slipping, draw};
use trial::reference::{self, How};
use trial::world::World;

/// Against `reference/fit_stabilizer.py`, in the project's own Python: modes to 1e-6, covariances to 1e-4 of the widths, cost to
/// 1e-9. Finds of 10 and of 30 readings, one of them with a slip left out.
#[test]
fn val_mode_and_covariance_equal_scipys() {
    let world = World::new().unwrap_or_else(|error| panic!("{error:?}"));
    for (seed, readings, left_out) in [(11, 30, None), (12, 10, None), (13, 30, Some(6))] {
        let mut find = draw(&world, seed, readings, Slipping::Exactly(0))
            .unwrap_or_else(|error| panic!("{error:?}"));
        let mut start = find.z.clone();
        start.resize(find.problem.parameters.len(), 0.0);
        let misread: Vec<usize> = left_out.into_iter().collect();
        let ours =
            fit(&mut find.problem, &start, &misread).unwrap_or_else(|error| panic!("{error:?}"));
        assert!(ours.converged);
        for &reading in &misread {
            find.problem.observations.remove(reading);
        }
        let how = How {
            jacobian: "3-point",
            methods: &["trf"],
            repeat: 1,
        };
        let theirs =
            reference::fit(&find.problem, &start, how).unwrap_or_else(|error| panic!("{error}"));
        assert!(
            (ours.cost / theirs.cost - 1.0).abs() < 1e-9,
            "cost {} {}",
            ours.cost,
            theirs.cost
        );
        for i in 0..start.len() {
            assert!(
                (ours.z[i] - theirs.z[i]).abs() < 1e-6,
                "seed {seed}, z of {i}: {} {}",
                ours.z[i],
                theirs.z[i]
            );
            for j in 0..start.len() {
                let widths = (ours.covariance[i][i] * ours.covariance[j][j]).sqrt();
                let off = (ours.covariance[i][j] - theirs.covariance[i][j]) / widths;
                assert!(
                    off.abs() < 1e-4,
                    "seed {seed}, covariance of {i} and {j}: off by {off} of their widths"
                );
            }
        }
    }
}
