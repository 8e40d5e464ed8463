//! What a stranger may hand in: books, tools, plans, events and visit files, and what must hold of each, whatever the bytes.
//!
//! **Question.** Does any input make a reader panic or hang, or come back changed once it has been written?
//!
//! **Method.** One function a target takes bytes and asserts: the reader answers; where it reads, writing and reading again
//! gives the same; what a front end shows of it can be shown. `tests/replay.rs` runs the functions on stable over the kept files
//! of `fuzz/corpus` and over seeded changes of sound inputs; `fuzz/` runs the same functions under a fuzzer that follows
//! coverage. A failing input is kept as a file of the corpus.
//!
//! **Limits.** Only public entry points are called. A change that makes another sound input is not compared with what a
//! person would have meant.

mod books;
mod change;
mod events;
mod plans;
mod tools_text;
mod visit_files;

pub use change::change_bytes;

/// One target: its name, which is the folder of its kept files, what must hold, and sound inputs to start from.
pub struct FuzzTarget {
    /// Name of the target and of its folder below `fuzz/corpus`.
    pub name: &'static str,
    /// Asserts what must hold of any bytes; says whether they could be read.
    pub try_input: fn(&[u8]) -> InputOutcome,
    /// Sound inputs, small ones first.
    pub sound_inputs: fn() -> Vec<Vec<u8>>,
}

/// What became of an input.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InputOutcome {
    /// It was read, and came back the same.
    Read,
    /// It was refused with words.
    Refused,
}

/// All targets, by name.
pub const TARGETS: &[FuzzTarget] =
    &[books::TARGET, events::TARGET, plans::TARGET, tools_text::TARGET, visit_files::TARGET];

/// The target of a name.
///
/// # Panics
/// When there is none.
#[must_use]
pub fn target_by_name(name: &str) -> &'static FuzzTarget {
    TARGETS.iter().find(|target| target.name == name).expect("the callers name targets that there are")
}
