//! Events as a device sends them.

use record::{Event, VisitId, read_event};

use crate::{FuzzTarget, InputOutcome};

/// The target of events.
pub const TARGET: FuzzTarget = FuzzTarget { name: "events", try_input, sound_inputs };

/// Kept events, one a line, all of one visit.
const KEPT: &str = include_str!("../../../crates/record/tests/data/events.jsonl");

fn kept_visit() -> VisitId {
    VisitId::new("visit-1").expect("letters, figures and a hyphen")
}

/// The kept events.
pub fn kept_events() -> Vec<Event> {
    let read = |line: &str| read_event(&kept_visit().into(), line).expect("kept events are sound");
    KEPT.lines().filter(|line| !line.trim().is_empty()).map(read).collect()
}

fn try_input(bytes: &[u8]) -> InputOutcome {
    let Ok(text) = core::str::from_utf8(bytes) else { return InputOutcome::Refused };
    let event: Event = match read_event(&kept_visit().into(), text) {
        Ok(event) => event,
        Err(why) => {
            assert!(!why.to_string().is_empty(), "a refusal has words");
            return InputOutcome::Refused;
        }
    };
    let written = serde_json::to_string(&event).expect("an event is plain data");
    assert_eq!(
        read_event(&kept_visit().into(), &written),
        Ok(event),
        "what was written reads otherwise: {written}"
    );
    InputOutcome::Read
}

fn sound_inputs() -> Vec<Vec<u8>> {
    KEPT.lines().filter(|line| !line.trim().is_empty()).map(|line| line.as_bytes().to_vec()).collect()
}
