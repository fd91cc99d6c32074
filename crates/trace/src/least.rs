//! How few tests can do: lower bounds on the worst case, for any way of asking.
//!
//! *Dead tests*: each says path or no path, so they tell apart at most `2^tests` sortings. A winding of `m` leads has `m - 1` unknown
//! lengths; a tapped one needs one reading more, because readings as many as unknowns always leave two orders that fit (an adversary
//! can choose the lengths so). *Volts*: `leads - windings` unknown lengths want as many
//! readings, and readings as many as unknowns never tell the sign of all: whatever is linked, turning one winding round has another
//! set of lengths that shows the same. So one more is the least with two windings or more. These are bounds, not ways to reach them, and
//! they suppose a meter without error; with one that is 1.5 % off every further winding wants two readings (the trial `tracing` plays it
//! out). A test is one reading at one place: readings taken in one setup count each.

use crate::halving;
use crate::sorting::{after, ceil_log2};

/// Ways to sort `leads` into windings of at least two leads each; only those with so many windings, where their number is known.
pub fn sortings(leads: usize, windings: Option<usize>) -> u128 {
    // Associated Stirling numbers of the second kind: b(n, k) = k b(n-1, k) + (n-1) b(n-2, k-1). L. Comtet, Advanced Combinatorics
    // (1974), section 5.9, exercise 7 (from memory).
    let mut table = vec![vec![0u128; leads / 2 + 2]; leads + 1];
    table[0][0] = 1;
    for n in 2..=leads {
        for k in 1..=n / 2 {
            table[n][k] = k as u128 * table[n - 1][k] + (n as u128 - 1) * table[n - 2][k - 1];
        }
    }
    match windings {
        Some(k) => table[leads].get(k).copied().unwrap_or(0),
        None => table[leads].iter().sum(),
    }
}

/// Least dead tests in the worst case to tell which leads form a winding.
pub fn sorting_tests(leads: usize, windings: Option<usize>) -> u32 {
    ceil_log2(sortings(leads, windings))
}

/// Least readings of volts in the worst case for ratios and starts of `windings` windings with `leads` leads in known order.
pub fn volt_tests(leads: usize, windings: usize) -> u32 {
    (leads - windings) as u32 + u32::from(windings > 1)
}

/// Most dead tests this crate's way of asking takes, order of taps included.
pub fn dead_tests(leads: usize, windings: Option<usize>) -> u32 {
    let placed = after(&[], leads, windings).unwrap_or(0);
    match halving::left(leads, windings, &[]) {
        Some(halving::Left::Many(_, halved)) => placed.min(halved),
        _ => placed,
    }
}

/// Most tests in all this crate's way of asking takes: dead ones, then a reading for every section and one for every further winding's
/// start. What is told before the first test.
pub fn all_tests(leads: usize, windings: Option<usize>) -> u32 {
    dead_tests(leads, windings) + leads as u32 - 1
}
