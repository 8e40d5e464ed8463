//! The texts that faults point into, with line and column of every byte.

use std::sync::OnceLock;

use crate::fault::{Fault, FileId, SourceSpan};

/// The largest file that is read, in bytes; a hand-written book is a hundredth of that.
pub const MAX_FILE_BYTES: usize = 16 * 1024 * 1024;

/// A place as an editor counts it: both from 1, columns in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct SourcePosition {
    /// The line.
    pub line: usize,
    /// The column, counted in characters.
    pub column: usize,
}

/// One text with its name.
#[derive(Debug, Clone)]
struct SourceFile {
    name: String,
    text: String,
    /// Where each line starts; the first is 0.
    lines: Vec<usize>,
    /// Whether the text is worth reading; a refused file is not.
    readable: bool,
    /// The text without its broken statements, once it was needed.
    repaired: OnceLock<String>,
}

/// The texts of one reading, each with the name that messages call it by.
#[derive(Debug, Clone, Default)]
pub struct SourceTexts(Vec<SourceFile>);

impl SourceTexts {
    /// No texts yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a text as it is.
    pub fn add_text(&mut self, name: impl Into<String>, text: impl Into<String>) -> FileId {
        self.insert_text(name.into(), text.into(), true)
    }

    /// Adds a file's bytes: a byte order mark is dropped, a file above [`MAX_FILE_BYTES`] is refused (T008)
    /// and bytes that are not UTF-8 are replaced and reported at the first of them (T007).
    ///
    /// A refused file keeps its name and reads as empty, without further faults.
    pub fn add_bytes(&mut self, name: impl Into<String>, bytes: &[u8]) -> (FileId, Option<Fault>) {
        let name = name.into();
        if bytes.len() > MAX_FILE_BYTES {
            let file = self.insert_text(name, String::new(), false);
            return (file, Some(too_large_fault(file, bytes.len())));
        }
        let wide = bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]);
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let Err(error) = std::str::from_utf8(bytes) else {
            return (self.insert_text(name, String::from_utf8_lossy(bytes).into_owned(), true), None);
        };
        let start = error.valid_up_to();
        let text = if wide { String::new() } else { String::from_utf8_lossy(bytes).into_owned() };
        let file = self.insert_text(name, text, !wide);
        let byte = bytes.get(start).copied().unwrap_or_default();
        (file, Some(not_utf8_fault(file, start, byte, wide)))
    }

    /// Keeps a text and notes its line starts.
    fn insert_text(&mut self, name: String, text: String, readable: bool) -> FileId {
        let file = FileId(u32::try_from(self.0.len()).unwrap_or(u32::MAX));
        let starts = text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(at, _)| at + 1);
        let lines = std::iter::once(0).chain(starts).collect();
        self.0.push(SourceFile { name, text, lines, readable, repaired: OnceLock::new() });
        file
    }

    /// The file behind an id.
    fn file(&self, file: FileId) -> Option<&SourceFile> {
        self.0.get(file.0 as usize)
    }

    /// The name that messages call a file by; empty for an id of other sources.
    #[must_use]
    pub fn name(&self, file: FileId) -> &str {
        self.file(file).map_or("", |f| &f.name)
    }

    /// The text of a file; empty for an id of other sources.
    #[must_use]
    pub fn text(&self, file: FileId) -> &str {
        self.file(file).map_or("", |f| &f.text)
    }

    /// Keeps the text of a file without its broken statements, as long as the text itself.
    pub(crate) fn keep_repaired_text(&self, file: FileId, text: String) -> &str {
        self.file(file).map_or("", |f| f.repaired.get_or_init(|| text))
    }

    /// Whether a file's text is worth reading, which that of a refused file is not.
    #[must_use]
    pub fn is_readable(&self, file: FileId) -> bool {
        self.file(file).is_some_and(|f| f.readable)
    }

    /// All files in the order they were added.
    pub fn files(&self) -> impl Iterator<Item = FileId> + use<> {
        (0..u32::try_from(self.0.len()).unwrap_or(u32::MAX)).map(FileId)
    }

    /// A place that lies in the text and cuts no character in two.
    #[must_use]
    pub fn clamp_span(&self, span: SourceSpan) -> SourceSpan {
        let text = self.text(span.file);
        let start = text.floor_char_boundary(span.start.min(text.len()));
        let end = text.ceil_char_boundary(span.end.clamp(start, text.len()));
        SourceSpan { start, end, ..span }
    }

    /// The text at a place.
    #[must_use]
    pub fn text_at(&self, span: SourceSpan) -> &str {
        let at = self.clamp_span(span);
        self.text(at.file).get(at.start..at.end).unwrap_or_default()
    }

    /// Line and column of a byte.
    #[must_use]
    pub fn position(&self, file: FileId, byte: usize) -> SourcePosition {
        let at = self.clamp_span(SourceSpan::new(file, byte, byte)).start;
        let line = self.line_index(file, at);
        let before = self.text(file).get(self.line_start(file, line)..at).unwrap_or_default();
        SourcePosition { line: line + 1, column: before.chars().count() + 1 }
    }

    /// Lines and columns of both ends of a place; the second is one past its last character.
    #[must_use]
    pub fn span_positions(&self, span: SourceSpan) -> (SourcePosition, SourcePosition) {
        let at = self.clamp_span(span);
        (self.position(at.file, at.start), self.position(at.file, at.end))
    }

    /// The line that a byte lies in, counted from 0.
    pub(crate) fn line_index(&self, file: FileId, byte: usize) -> usize {
        let Some(file) = self.file(file) else { return 0 };
        file.lines.partition_point(|start| *start <= byte).saturating_sub(1)
    }

    /// Where a line counted from 0 starts.
    fn line_start(&self, file: FileId, line: usize) -> usize {
        self.file(file).and_then(|f| f.lines.get(line).copied()).unwrap_or_default()
    }

    /// The bytes of the line that a byte lies in, without its line end.
    pub(crate) fn line_span(&self, file: FileId, byte: usize) -> SourceSpan {
        let line = self.line_index(file, byte);
        let start = self.line_start(file, line);
        let text = self.text(file);
        let end = self.file(file).and_then(|f| f.lines.get(line + 1).copied()).unwrap_or(text.len());
        let bare = text.get(start..end).unwrap_or_default().trim_end_matches(['\n', '\r']);
        SourceSpan::new(file, start, start + bare.len())
    }
}

/// T008: a file beyond the size that is read.
pub(crate) fn too_large_fault(file: FileId, bytes: usize) -> Fault {
    let mib = bytes.div_ceil(1024 * 1024);
    Fault::error("T008", format!("the file is {mib} MiB; at most {} MiB are read", MAX_FILE_BYTES >> 20))
        .at(SourceSpan::new(file, 0, 0), "not read")
        .help("split it into several files, or check that it is the right one")
}

/// T007: a byte that no UTF-8 text holds at that place.
fn not_utf8_fault(file: FileId, start: usize, byte: u8, wide: bool) -> Fault {
    let span = SourceSpan::new(file, start, start + if wide { 0 } else { '\u{FFFD}'.len_utf8() });
    let help = if wide { "the file looks like UTF-16; save it as UTF-8" } else { "save the file as UTF-8" };
    Fault::error("T007", "the text is not UTF-8").at(span, format!("byte 0x{byte:02X} here")).help(help)
}
