//! Which phase's drawing a part or a place belongs to.

use gear::{Find, Place, TerminalRef};

/// The phase of a place, 1 to 3; 1 for one-phase gear; 0 where it spans phases or none can be told.
pub(crate) fn of_place(find: &Find, place: &Place, phases: u8) -> u8 {
    if phases != 3 {
        return 1;
    }
    let mut found = 0;
    for terminal in place.terminals() {
        match (of_terminal(find, terminal), found) {
            (None, _) => {}
            (Some(phase), 0) => found = phase,
            (Some(phase), known) if phase == known => {}
            (Some(_), _) => return 0,
        }
    }
    found
}

fn of_terminal(find: &Find, terminal: &TerminalRef) -> Option<u8> {
    let part = find.part(&terminal.part)?;
    if part.phase.is_some() {
        return part.phase;
    }
    match terminal.terminal.as_str() {
        "1" | "L1" => Some(1),
        "2" | "L2" => Some(2),
        "3" | "L3" => Some(3),
        _ => None,
    }
}
