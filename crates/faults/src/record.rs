//! A fault as plain data with line and column, for programs that read our output.

use crate::fault::{Fault, FaultSeverity, Faults, SourceSpan};
use crate::source::SourceTexts;

/// A fault with its place worked out; lines and columns count from 1, columns in characters.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct FaultRecord {
    /// The rule's code.
    pub code: &'static str,
    /// `error` or `warning`.
    pub severity: FaultSeverity,
    /// The file's name; nothing for a fault without a place.
    pub file: Option<String>,
    /// The line of the first character.
    pub line: Option<usize>,
    /// The column of the first character.
    pub column: Option<usize>,
    /// The line of the end.
    pub end_line: Option<usize>,
    /// The column one past the last character.
    pub end_column: Option<usize>,
    /// What is wrong.
    pub message: String,
    /// The words at the place.
    pub label: String,
    /// What to do.
    pub help: Option<String>,
    /// Second places.
    pub notes: Vec<FaultNote>,
}

/// A second place of a fault.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct FaultNote {
    /// The file's name.
    pub file: String,
    /// The line of the first character.
    pub line: usize,
    /// The column of the first character.
    pub column: usize,
    /// The words at the place.
    pub message: String,
}

/// The faults that are shown, in their order, as plain data.
#[must_use]
pub fn fault_records(faults: &Faults, sources: &SourceTexts) -> Vec<FaultRecord> {
    faults.shown().0.into_iter().map(|fault| fault_record(fault, sources)).collect()
}

/// One fault as plain data.
fn fault_record(fault: &Fault, sources: &SourceTexts) -> FaultRecord {
    let place = fault.span.map(|span| (span.file, sources.span_positions(span)));
    let start = place.map(|(_, (start, _))| start);
    let end = place.map(|(_, (_, end))| end);
    FaultRecord {
        code: fault.code,
        severity: fault.severity,
        file: place.map(|(file, _)| sources.name(file).to_owned()),
        line: start.map(|p| p.line),
        column: start.map(|p| p.column),
        end_line: end.map(|p| p.line),
        end_column: end.map(|p| p.column),
        message: fault.message.clone(),
        label: fault.label.clone(),
        help: fault.help.clone(),
        notes: fault.notes.iter().map(|(span, words)| fault_note(*span, words, sources)).collect(),
    }
}

/// A second place as plain data.
fn fault_note(span: SourceSpan, words: &str, sources: &SourceTexts) -> FaultNote {
    let at = sources.span_positions(span).0;
    let file = sources.name(span.file).to_owned();
    FaultNote { file, line: at.line, column: at.column, message: words.to_owned() }
}
