//! Sorting an unmarked part: which leads form a winding, taps in order, starts and finishes, ratios, absolute turns.
