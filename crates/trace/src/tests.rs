//! Tests of the whole sorting.
