//! Draws faults under their lines, and prints them one a line for editors.

use std::fmt::Write as _;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet, normalize_untrusted_str};

use crate::fault::{Fault, FaultSeverity, Faults, SourceSpan};
use crate::source::{SourcePosition, SourceTexts};

/// The width that is drawn to, in columns.
const WIDTH: usize = 100;
/// A longer line, in bytes, is cut round the place before it is drawn.
const MAX_LINE_BYTES: usize = 2000;
/// How many bytes are left on either side of the place in a line that is cut.
const KEPT_BYTES: usize = 400;

/// Whether the drawing carries colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FaultLook {
    /// Characters only.
    Plain,
    /// Colours for a terminal; they never carry the meaning alone.
    Colour,
}

/// All faults under their lines, then how many there are; empty if there are none.
#[must_use]
pub fn render_faults(faults: &Faults, sources: &SourceTexts, look: FaultLook) -> String {
    let (shown, rest) = faults.shown();
    let mut text = String::new();
    for fault in &shown {
        let _ = writeln!(text, "{}\n", draw_fault(fault, sources, look));
    }
    if rest > 0 {
        let _ = writeln!(text, "and {rest} more, not shown\n");
    }
    let counts = faults.count_by_severity();
    if counts != (0, 0) {
        let _ = writeln!(text, "{}", summarize_counts(counts));
    }
    text
}

/// One line for each fault: `file:line:col: CODE message`.
#[must_use]
pub fn render_fault_lines(faults: &Faults, sources: &SourceTexts) -> String {
    let (shown, rest) = faults.shown();
    let mut text = String::new();
    for fault in shown {
        if let Some(span) = fault.span {
            let SourcePosition { line, column } = sources.span_positions(span).0;
            let _ = write!(text, "{}:{line}:{column}: ", clean_for_terminal(sources.name(span.file)));
        }
        let _ = writeln!(text, "{} {}", fault.code, clean_for_terminal(&fault.message));
    }
    if rest > 0 {
        let _ = writeln!(text, "and {rest} more");
    }
    text
}

/// How many faults there are, in words.
fn summarize_counts((errors, warnings): (usize, usize)) -> String {
    let count = |n: usize, word: &str| if n == 1 { format!("1 {word}") } else { format!("{n} {word}s") };
    match (errors, warnings) {
        (_, 0) => count(errors, "error"),
        (0, _) => count(warnings, "warning"),
        _ => format!("{}, {}", count(errors, "error"), count(warnings, "warning")),
    }
}

/// One fault under its line.
fn draw_fault(fault: &Fault, sources: &SourceTexts, look: FaultLook) -> String {
    let level = match fault.severity {
        FaultSeverity::Error => Level::ERROR,
        FaultSeverity::Warning => Level::WARNING,
    };
    let places: Vec<SourceWindow> =
        fault_places(fault).map(|(span, words)| SourceWindow::new(sources, span, words)).collect();
    let mut group = Group::with_title(level.primary_title(clean_for_terminal(&fault.message)).id(fault.code));
    for (nth, place) in places.iter().enumerate() {
        let kind =
            if nth == 0 && fault.span.is_some() { AnnotationKind::Primary } else { AnnotationKind::Context };
        group = group.element(place.snippet(kind));
    }
    if let Some(help) = &fault.help {
        group = group.element(Level::HELP.message(clean_for_terminal(help)));
    }
    let renderer = match look {
        FaultLook::Plain => Renderer::plain(),
        FaultLook::Colour => Renderer::styled(),
    };
    let drawn = renderer.term_width(WIDTH).render(&[group]);
    places.iter().fold(drawn, |text, place| place.mend_header(text))
}

/// The place of a fault, then its second places, each with its words.
fn fault_places(fault: &Fault) -> impl Iterator<Item = (SourceSpan, &str)> {
    let first = fault.span.map(|span| (span, fault.label.as_str()));
    first.into_iter().chain(fault.notes.iter().map(|(span, words)| (*span, words.as_str())))
}

/// The line of a place, cut to what can be drawn.
struct SourceWindow {
    name: String,
    text: String,
    label: String,
    at: core::ops::Range<usize>,
    start: SourcePosition,
    /// The column that the place has in the cut line.
    drawn_column: usize,
}

impl SourceWindow {
    /// The line that a place starts in; a place of several lines is drawn to the end of its first.
    fn new(sources: &SourceTexts, span: SourceSpan, words: &str) -> Self {
        let place = sources.clamp_span(span);
        let line = sources.line_span(place.file, place.start);
        let start = place.start.min(line.end);
        let end = place.end.clamp(start, line.end);
        let shown = cut_line(sources, line, start);
        let end = end.min(shown.end).max(start);
        let before = sources.text_at(SourceSpan { end: start, ..shown });
        Self {
            name: clean_for_terminal(sources.name(place.file)),
            text: replace_controls(sources.text_at(shown)),
            label: clean_for_terminal(words),
            at: start - shown.start..end - shown.start,
            start: sources.position(place.file, start),
            drawn_column: before.chars().count() + 1,
        }
    }

    /// The line as the drawing library takes it.
    fn snippet(&self, kind: AnnotationKind) -> Snippet<'_, annotate_snippets::Annotation<'_>> {
        let label = (!self.label.is_empty()).then_some(self.label.as_str());
        Snippet::source(self.text.as_str())
            .path(self.name.as_str())
            .line_start(self.start.line)
            .annotation(kind.span(self.at.clone()).label(label))
    }

    /// Puts the true column in place of the one counted in a cut line.
    fn mend_header(&self, drawn: String) -> String {
        if self.drawn_column == self.start.column {
            return drawn;
        }
        let place = |column: usize| format!(" {}:{}:{column}", self.name, self.start.line);
        drawn.replacen(&place(self.drawn_column), &place(self.start.column), 1)
    }
}

/// The part of a line that is drawn: all of it, or a piece round the place.
fn cut_line(sources: &SourceTexts, line: SourceSpan, start: usize) -> SourceSpan {
    if line.end - line.start <= MAX_LINE_BYTES {
        return line;
    }
    let low = start.saturating_sub(KEPT_BYTES).max(line.start);
    let high = (start + KEPT_BYTES).min(line.end);
    sources.clamp_span(SourceSpan { start: low, end: high, ..line })
}

/// Text in one line without anything that a terminal could take for a command.
fn clean_for_terminal(text: &str) -> String {
    normalize_untrusted_str(&replace_controls(&text.replace(['\n', '\r'], " ")))
}

/// Puts signs of the same length in place of controls that the drawing library lets through: the upper control
/// range, and marks that change the direction or the line.
fn replace_controls(text: &str) -> String {
    let swap = |c: char| match c {
        '\u{80}'..='\u{9F}' | '\u{61C}' => '¤',
        '\u{200B}'..='\u{200F}' | '\u{2028}' | '\u{2029}' | '\u{FEFF}' => '\u{FFFD}',
        other => other,
    };
    text.chars().map(swap).collect()
}
