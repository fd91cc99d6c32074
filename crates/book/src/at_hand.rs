//! States kept at hand, brought up by what came in since: one as last asked for, one as last written, of the finds in use.

use crate::open::locked;
use crate::rows::{self, stored};
use crate::state::State;
use crate::{Book, BookError, EntryId, FindId, Kind, What};
use rusqlite::{Connection, OptionalExtension};
use std::sync::Arc;

/// Finds whose state is kept at hand.
const STATES_KEPT: usize = 64;

/// Finds whose state is kept at hand for writing: those on the bench.
const DRAFTS_KEPT: usize = 8;

impl Book {
    /// The state to write into, with what other programs wrote since.
    pub(crate) fn draft_in(
        &self,
        connection: &Connection,
        find: FindId,
    ) -> Result<State, BookError> {
        let Some(mut draft) = locked(&self.drafts).remove(&find) else {
            return Ok((*self.state_in(connection, find)?).clone());
        };
        let newer = rows::entries(connection, &self.place, find, draft.newest)?;
        if newer.iter().any(|e| matches!(e.what, What::Struck { .. })) {
            return self.state_afresh(connection, find);
        }
        for entry in &newer {
            draft.apply(entry);
        }
        Ok(draft)
    }

    pub(crate) fn keep_draft(&self, draft: State) {
        let mut drafts = locked(&self.drafts);
        if drafts.len() >= DRAFTS_KEPT {
            let oldest = drafts.values().min_by_key(|s| s.newest).map(|s| s.id);
            oldest.map(|id| drafts.remove(&id));
        }
        drafts.insert(draft.id, draft);
    }

    /// Keeps a state at hand, unless a newer one is.
    pub(crate) fn keep(&self, state: Arc<State>) {
        let mut states = locked(&self.states);
        if states
            .get(&state.id)
            .is_some_and(|s| s.newest >= state.newest)
        {
            return;
        }
        if states.len() >= STATES_KEPT && !states.contains_key(&state.id) {
            let oldest = states.values().min_by_key(|s| s.newest).map(|s| s.id);
            oldest.map(|id| states.remove(&id));
        }
        states.insert(state.id, state);
    }

    /// The state of a find as a connection sees it: the one at hand with what came in since, also by other programs.
    pub(crate) fn state_in(
        &self,
        connection: &Connection,
        find: FindId,
    ) -> Result<Arc<State>, BookError> {
        let known = locked(&self.states).get(&find).cloned();
        let since = known.as_ref().map_or(EntryId(0), |s| s.newest);
        let newer = rows::entries(connection, &self.place, find, since)?;
        let strikes = newer.iter().any(|e| matches!(e.what, What::Struck { .. }));
        let state = match known {
            Some(known) if newer.is_empty() => return Ok(known),
            Some(known) if !strikes => {
                let mut state = (*known).clone();
                for entry in &newer {
                    state.apply(entry);
                }
                state
            }
            _ => self.state_afresh(connection, find)?,
        };
        let state = Arc::new(state);
        self.keep(state.clone());
        Ok(state)
    }

    pub(crate) fn state_afresh(
        &self,
        connection: &Connection,
        find: FindId,
    ) -> Result<State, BookError> {
        let slug: Option<String> = connection
            .query_row(
                "SELECT slug FROM finds WHERE id = ?1",
                [stored(find.0)],
                |row| row.get(0),
            )
            .optional()
            .map_err(|e| self.store(&e))?;
        let Some(slug) = slug else {
            return Err(BookError::new(
                Kind::Unknown,
                &self.place,
                format!("has no find {find}"),
                "look at `windfall book list`",
            ));
        };
        let entries = rows::entries(connection, &self.place, find, EntryId(0))?;
        Ok(State::afresh(find, &slug, &entries))
    }
}
