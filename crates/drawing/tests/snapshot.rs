//! One small drawing as a whole, so that a change of the writer or the layout is seen as text.

#![allow(clippy::unwrap_used)]

mod finds;

use drawing::{Mark, schematic};
use finds::*;

#[test]
fn regress_a_transformer_with_one_reading() {
    let find = transformer();
    let reading = note(
        7,
        between("T1:2.1", "T1:2.2"),
        "25.3 V",
        Mark::Agrees,
        "25.4 ± 0.3",
    );
    insta::assert_snapshot!(schematic(&find, None, 1, &[reading]).unwrap().svg);
}
