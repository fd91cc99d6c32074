//! What cannot be in a find: names that name nothing, doubles, units that do not fit.

use crate::Find;

/// One fault: where in the find, what, and what to do. The place is a path of the sheet's keys, `reading[3].between[0]`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Path of keys and indices into the sheet.
    pub path: Vec<String>,
    /// What is wrong, lower case, no full stop.
    pub what: String,
    /// What to do.
    pub remedy: String,
}

impl Find {
    /// Everything wrong with the find as data (unknown terminals, doubles, ...); empty when it can be worked with.
    pub fn faults(&self) -> Vec<Fault> {
        Vec::new()
    }
}
