//! What mains, meters, copper and iron usually do although no plate and no drawing says so.
//!
//! The mains move between two readings; meters are worse than their makers say; an average-responding meter takes a bent wave for
//! another voltage; copper is not at 20 °C; iron does not follow a straight line; somebody hung a lamp on the supply and drew none.
//! Left out, each makes intervals too narrow and good readings look misread. Kept here by themselves because synthetic finds must be
//! judged with the same figures as real ones.

use super::priors::Prior;
use crate::Transform;

/// Standard deviation of the fast part of mains volts, in ln, and its correlation time.
const FAST: f64 = 0.004;
const FAST_MINUTES: f64 = 6.0;
/// The slow part: a walk, per root-minute.
const WALK_PER_ROOT_MINUTE: f64 = 0.001;
/// Meters' bounds are widened by this. Handhelds that were dropped, never adjusted since they were sold, or run on a flat cell stand
/// out of their bounds more often than their makers say (common practice). Between "as stated" and "all at twice their bound".
const METERS_ARE_WORSE: f64 = 1.3;

/// Covariance of ln volts between moments (minutes) of one stretch of work on the mains, about the mean of these moments: the supply's
/// own parameter is that mean. A fast part of 0.4 % and a walk of 0.1 % per root-minute, fitted to two days of one-minute means of a
/// stiff network (open household record of 2007); weaker networks move more.
pub fn mains(minutes: &[f64]) -> Vec<Vec<f64>> {
    let first = minutes.iter().copied().fold(f64::INFINITY, f64::min);
    let between = |s: f64, t: f64| {
        let walk = WALK_PER_ROOT_MINUTE * WALK_PER_ROOT_MINUTE * (s.min(t) - first);
        FAST * FAST * (-(s - t).abs() / FAST_MINUTES).exp() + walk
    };
    centred(
        minutes
            .iter()
            .map(|&s| minutes.iter().map(|&t| between(s, t)).collect())
            .collect(),
    )
}

/// Moments whose mean is known are one fewer than they are many; this much of the variance keeps the covariance invertible.
const HAIR: f64 = 1e-6;

/// Covariance of what departs from the mean.
pub(super) fn centred(mut covariance: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let count = covariance.len() as f64;
    let means: Vec<f64> = covariance
        .iter()
        .map(|row| row.iter().sum::<f64>() / count)
        .collect();
    let mean = means.iter().sum::<f64>() / count;
    for (i, row) in covariance.iter_mut().enumerate() {
        let own = row[i];
        for (j, entry) in row.iter_mut().enumerate() {
            *entry += mean - means[i] - means[j];
        }
        row[i] += HAIR * own;
    }
    covariance
}

/// Scatter that stands for the drift of readings whose time nobody noted: each as if taken some minutes from any other.
pub const UNDATED: f64 = FAST;

/// Standard uncertainty of a meter's gain from its stated bound (a fraction).
pub fn gain(bound: f64) -> f64 {
    METERS_ARE_WORSE * bound / 3f64.sqrt()
}

/// What an average-responding meter makes of a mains wave with its usual third and fifth harmonic, shared by all its readings of
/// alternating volts and amperes: 1.0 % for a third harmonic of 3 %, 1.5 to 1.8 % for 5 % (reckoned: a third harmonic of h moves
/// the mean by h/3).
pub fn wave() -> Prior {
    Prior {
        centre: 0.0,
        width: 0.015 / 1.96,
        transform: Transform::Linear,
        basis: "the wave of the mains, as an average-responding meter takes it".into(),
    }
}

/// Exponent of the magnetising current against volts, below the knee.
pub fn current_exponent() -> Prior {
    Prior::ln(1.0, 0.3, "common practice")
}

/// Exponent of the core's watts against volts.
pub fn watts_exponent() -> Prior {
    Prior::ln(1.8, 0.11, "common practice")
}

/// How much warmer copper is than 20 °C, as a factor on ohms (0.393 % a kelvin): at the temperature noted, in °C; where nothing is
/// noted that of a room, 20 ± 8 °C; and under power 26 ± 12 °C, as copper that carried current a while ago is warm still
/// (common practice: some kelvin at no load, tens of kelvin after a load).
pub fn warmth(noted: Option<f64>, under_power: bool) -> Prior {
    match (noted, under_power) {
        (Some(t), _) => Prior::ln((234.5 + t) / 254.5, 0.004, "temperature noted"),
        (None, false) => Prior::ln(1.0, 0.0315, "20 ± 8 °C where nothing is noted"),
        (None, true) => Prior::ln(
            260.5 / 254.5,
            0.047,
            "26 ± 12 °C under power, nothing noted",
        ),
    }
}

/// How far a slider stands from where it was left, or from its gang, as a share of the travel.
pub fn slider_offset() -> Prior {
    Prior {
        centre: 0.0,
        width: 0.01,
        transform: Transform::Linear,
        basis: "ganged sliders agree to 0.01".into(),
    }
}

/// Watts that something undrawn takes from the supply line at rated volts: a pilot lamp, a relay, a control board. Wide on purpose:
/// all that a current and a power at the feed say of core loss shares in its doubt.
pub fn undrawn() -> Prior {
    Prior::ln(1.0, 2.0, "a lamp, a relay or a board may hang on the line")
}
