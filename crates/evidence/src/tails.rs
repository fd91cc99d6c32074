//! Residuals other than the plain one, in a form a least-squares search can use.
//!
//! Each gives a residual `r` with `½ r²` the negative logarithm of its density (up to a constant), and its slope: Student's t for
//! the first, robust stages of a fit, and the normal distribution function for readings that are only a bound.

/// Residual and slope, of `residual` under Student's t with `freedom` degrees of freedom:
/// `½ r² = (ν + 1)/2 ln(1 + residual²/ν)`.
pub(crate) fn student(residual: f64, freedom: f64) -> (f64, f64) {
    let share = residual * residual / freedom;
    if share < 1e-8 {
        let slope = ((freedom + 1.0) / freedom).sqrt();
        return (residual * slope, slope);
    }
    let told = ((freedom + 1.0) * share.ln_1p()).sqrt().copysign(residual);
    (
        told,
        (freedom + 1.0) * residual / (freedom + residual * residual) / told,
    )
}

/// Residual and slope of a bound: `½ r² = -ln Φ(above)`, `above` how far inside the bound the prediction stands, in standard
/// uncertainties. Tends to `above` itself far outside and to nothing far inside.
pub(crate) fn bound(above: f64) -> (f64, f64) {
    let (log, ratio) = log_normal_cdf(above);
    let size = (-2.0 * log).max(0.0).sqrt();
    if size < 1e-150 {
        (0.0, 0.0)
    } else {
        (-size, ratio / size)
    }
}

/// `ln Φ(t)` and `φ(t)/Φ(t)`.
pub(crate) fn log_normal_cdf(t: f64) -> (f64, f64) {
    let log_density = -0.5 * t * t - 0.5 * (2.0 * std::f64::consts::PI).ln();
    if t < -3.0 {
        let inverse_mills = inverse_mills(-t);
        (log_density - inverse_mills.ln(), inverse_mills)
    } else if t > 3.0 {
        let above = log_density.exp() / inverse_mills(t);
        ((-above).ln_1p(), log_density.exp() / (1.0 - above))
    } else {
        // Marsaglia, "Evaluating the normal distribution", Journal of Statistical Software 11(4), 2004: φ (t + t³/3 + t⁵/15 + ...).
        let (mut term, mut sum, mut odd) = (t, t, 1.0);
        while term.abs() > 1e-17 * sum.abs() {
            odd += 2.0;
            term *= t * t / odd;
            sum += term;
        }
        let below = 0.5 + log_density.exp() * sum;
        (below.ln(), log_density.exp() / below)
    }
}

/// `φ(x)/(1 - Φ(x))` for x of 3 or more, by Laplace's continued fraction (Abramowitz and Stegun, 26.2.14).
fn inverse_mills(x: f64) -> f64 {
    (1..=120)
        .rev()
        .fold(x, |tail, count| x + f64::from(count) / tail)
}

#[cfg(test)]
mod tests {
    use super::{bound, log_normal_cdf, student};

    #[test]
    fn val_normal_distribution_function() {
        // Abramowitz and Stegun, Handbook of Mathematical Functions, table 26.1 and 26.2.
        for (t, phi) in [
            (0.0_f64, 0.5_f64),
            (1.0, 0.841_344_746_068_543),
            (2.0, 0.977_249_868_051_821),
            (-1.0, 0.158_655_253_931_457),
        ] {
            assert!((log_normal_cdf(t).0 - phi.ln()).abs() < 1e-14, "{t}");
        }
        // Same, table 26.2: -log10 Q(5) = 6.54265, -log10 Q(10) = 23.11805.
        assert!((log_normal_cdf(-5.0).0 / -10f64.ln() - 6.54265).abs() < 5e-6);
        assert!((log_normal_cdf(-10.0).0 / -10f64.ln() - 23.11805).abs() < 5e-6);
    }

    #[test]
    fn slopes_equal_differences() {
        let step = 1e-5;
        for t in [
            -40.0, -9.0, -3.00002, -2.99998, -0.5, 0.0, 1e-3, 2.0, 3.0, 5.0,
        ] {
            for told in [bound as fn(f64) -> (f64, f64), |t| student(t, 2.0)] {
                let difference = (told(t + step).0 - told(t - step).0) / (2.0 * step);
                assert!(
                    (told(t).1 - difference).abs() < 1e-8 + 1e-6 * difference.abs(),
                    "{t}: {} {difference}",
                    told(t).1
                );
            }
        }
    }
}
