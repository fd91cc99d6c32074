//! News: who waits is woken by what this program appends, and soon notices what another did.

use crate::open::locked;
use crate::{Book, BookError, EntryId, rows};
use std::time::{Duration, Instant};

/// How often another program's writing is looked for. Our choice: two devices shall see each other's entries within a second.
const LOOK: Duration = Duration::from_millis(250);

impl Book {
    /// The newest entry of the whole book.
    /// # Errors
    /// What the store says.
    pub fn newest(&self) -> Result<EntryId, BookError> {
        rows::newest(&self.reader()).map_err(|e| self.store(&e))
    }

    /// Waits until there is an entry newer than `since`, at most `patience`; gives the newest there is then.
    /// # Errors
    /// What the store says.
    pub fn wait_newer(&self, since: EntryId, patience: Duration) -> Result<EntryId, BookError> {
        let start = Instant::now();
        loop {
            let newest = self.newest()?;
            let left = patience.saturating_sub(start.elapsed());
            if newest > since || left.is_zero() {
                return Ok(newest);
            }
            let known = locked(&self.newest);
            if *known > since {
                continue;
            }
            // Woken, or time to look: the loop finds out which.
            drop(self.news.wait_timeout(known, left.min(LOOK)));
        }
    }
}
