//! Stored judgements: what was said of a find once, with what it rests on, so that it can be derived again.
//!
//! The book grows by one only when there is something new in it: when something was told of the gear since the newest one, or by another
//! version of the program. What it says is the judge's own matter.

use crate::{Book, BookError, Entry, EntryId, FindId, Moment, New, What};

/// A judgement to be stored.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Version of the program.
    pub version: String,
    /// The newest entry it knew that says something of the gear.
    pub at_entry: EntryId,
    /// The priors it took.
    pub priors: serde_json::Value,
    /// The judgement.
    pub judgement: serde_json::Value,
}

impl Book {
    /// Stores a judgement, unless the newest one stored was made by the same version and knew as much; then nothing is written.
    /// # Errors
    /// As [`Book::append`].
    pub fn judged(
        &self,
        find: FindId,
        at: &Moment,
        judged: Judged,
    ) -> Result<Option<Entry>, BookError> {
        let state = self.find(find)?;
        if let Some(entry) = state.judged
            && let Some(What::Judged {
                version, at_entry, ..
            }) = self.entry(entry)?.map(|e| e.what)
            && version == judged.version
            && at_entry >= state.told.min(judged.at_entry)
        {
            return Ok(None);
        }
        let what = What::Judged {
            version: judged.version,
            at_entry: judged.at_entry,
            priors: judged.priors,
            judgement: judged.judgement,
        };
        self.append(New::of(find, at.clone(), what)).map(Some)
    }
}
