//! Books: text that anybody may write.

use book::{ParsedBook, SMALLEST, read_book, write_book};

use crate::{FuzzTarget, InputOutcome};

/// The target of books.
pub const TARGET: FuzzTarget = FuzzTarget { name: "books", try_input, sound_inputs };

fn read_bytes(bytes: &[u8]) -> ParsedBook {
    read_book(&[(String::from("input.toml"), bytes.to_vec())])
}

/// The faults as a person sees them, and as programs do.
fn show_faults(parsed: &ParsedBook) -> String {
    let _records = faults::fault_records(&parsed.faults, &parsed.sources);
    faults::render_faults(&parsed.faults, &parsed.sources, faults::FaultLook::Plain)
}

fn try_input(bytes: &[u8]) -> InputOutcome {
    let parsed = read_bytes(bytes);
    let shown = show_faults(&parsed);
    let Some(first) = parsed.book else {
        assert!(parsed.faults.has_errors(), "a refused book names an error: {shown}");
        return InputOutcome::Refused;
    };
    let text = write_book(&first);
    let again = read_bytes(text.as_bytes());
    let shown = show_faults(&again);
    assert_eq!(again.book.as_ref(), Some(&first), "what was written reads otherwise:\n{shown}\n{text}");
    InputOutcome::Read
}

fn sound_inputs() -> Vec<Vec<u8>> {
    vec![SMALLEST.into(), include_bytes!("../../../crates/book/tests/rich.toml").to_vec()]
}
