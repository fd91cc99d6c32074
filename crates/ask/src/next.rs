//! The next reading for a find.

use crate::{Answer, Next};
use evidence::Judged;
use evidence::model::{Candidates, Nominal};
use gear::Find;

/// What to read next. `stood_before` is the `what` of the candidate that stood above 0.95 one reading earlier, if one did.
pub fn next(
    find: &Find,
    nominal: Nominal,
    candidates: &mut Candidates,
    judged: &Judged,
    stood_before: Option<&str>,
) -> Next {
    let _ = (find, nominal, candidates, judged, stood_before);
    Next {
        question: "which wiring".to_owned(),
        answer: Answer::NothingToAsk {
            why: "not reckoned".to_owned(),
        },
    }
}
