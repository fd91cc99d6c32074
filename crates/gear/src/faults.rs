//! What cannot be in a find: names that name nothing, doubles, units that do not fit, figures that cannot be.
//!
//! Every such check stands here, once, whatever door the find came in by: a sheet maps the paths to lines, a form to its fields.
//! What the types of this crate already rule out (a designation without a number, text that is no quantity) is checked where text is read.
//! Knows nothing of circuits: joins that short a source are the network's business.

mod bench;
mod check;
mod parts;
mod readings;
mod setups;

use crate::Find;
use check::Check;

/// One fault: where in the find, what, and what to do.
///
/// The place is a path of the sheet's keys and of indices from 0: `reading`, `3`, `between`, `0`. Two places have no index of their own in a
/// find: a plate's field stands under its word (`plate`, `output_voltage`), a slider setting under its name (`setup`, `0`, `sliders`, `chain`;
/// its figure under `at` below that).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Path of keys and indices into the sheet.
    pub path: Vec<String>,
    /// What is wrong, lower case, no full stop.
    pub what: String,
    /// What to do.
    pub remedy: String,
    /// When a name names nothing: the list it was looked for in, by the sheet's key (`part`, `setup`, `instrument`, `gang`, `kit.source`).
    /// Who could not read all of that list knows by this that the fault may only be a consequence.
    pub missing_from: Option<&'static str>,
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (i, step) in self.path.iter().enumerate() {
            match step.parse::<usize>() {
                Ok(index) => write!(f, "[{index}]")?,
                Err(_) if i == 0 => f.write_str(step)?,
                Err(_) => write!(f, ".{step}")?,
            }
        }
        write!(f, ": {}; {}", self.what, self.remedy)
    }
}

impl Find {
    /// Everything wrong with the find as data (unknown terminals, doubles, ...); empty when it can be worked with.
    pub fn faults(&self) -> Vec<Fault> {
        let mut check = Check::new(self);
        parts::plate(&mut check);
        parts::parts(&mut check);
        parts::gangs(&mut check);
        parts::leads(&mut check);
        parts::joins(&mut check);
        bench::kit(&mut check);
        bench::instruments(&mut check);
        setups::setups(&mut check);
        readings::readings(&mut check);
        parts::damage(&mut check);
        check.into_faults()
    }

    /// What is wrong with the setups and readings from these indices on, the rest taken as already looked at. Where they were only added
    /// behind the others that is all that can have gone wrong, and costs nothing for the thousands before.
    pub fn faults_from(&self, first_setup: usize, first_reading: usize) -> Vec<Fault> {
        let mut check = Check::new(self);
        setups::setups_from(&mut check, first_setup);
        readings::readings_from(&mut check, first_reading);
        check.into_faults()
    }
}
