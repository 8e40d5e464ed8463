//! Reads a text as TOML, all its syntax faults included, and hands out its tables key by key.

use std::cell::RefCell;
use std::collections::BTreeSet;

use toml::Spanned as TomlSpanned;
use toml::de::{DeTable, DeValue};

use crate::depth;
use crate::fault::{Fault, FaultCollector, FileId, SourceSpan, Spanned};
use crate::field::TomlField;
use crate::repair::{self, RepairedText};
use crate::source::SourceTexts;
use crate::suggest;

/// How many tables and lists may be nested; a book needs five.
pub const MAX_NESTING: usize = 64;
/// Above this many bytes only the first syntax fault is looked for: a file of nothing but faults would
/// otherwise take three hundred times its size in memory. A long book is a tenth of it.
const MAX_RECOVERY_BYTES: usize = 1024 * 1024;

/// What every table and value of a document shares.
#[derive(Debug)]
pub(crate) struct TomlContext<'s> {
    pub(crate) sources: &'s SourceTexts,
    pub(crate) file: FileId,
    bag: &'s FaultCollector,
    /// The lines with syntax faults: what is there is a guess, and further faults on it are noise.
    broken_lines: BTreeSet<usize>,
    /// Where the headings of tables begin that lost a broken statement.
    damaged_headings: BTreeSet<usize>,
    /// Whether the keys above the first heading lost a broken statement.
    is_root_damaged: bool,
    /// Whether anything was left out because it is broken.
    is_damaged: bool,
}

impl<'s> TomlContext<'s> {
    /// A context in which nothing was read yet.
    fn new(sources: &'s SourceTexts, file: FileId, bag: &'s FaultCollector) -> Self {
        let (broken_lines, damaged_headings) = (BTreeSet::new(), BTreeSet::new());
        let (is_root_damaged, is_damaged) = (false, false);
        Self { sources, file, bag, broken_lines, damaged_headings, is_root_damaged, is_damaged }
    }

    /// The line of a byte, from 0.
    fn line_of(&self, byte: usize) -> usize {
        self.sources.line_index(self.file, byte)
    }

    /// The place of a range of bytes in this file.
    pub(crate) const fn span_of(&self, range: core::ops::Range<usize>) -> SourceSpan {
        SourceSpan::new(self.file, range.start, range.end)
    }

    /// Reports a fault of a value, unless its line is broken anyway.
    pub(crate) fn report_fault(&self, place: SourceSpan, word: impl FnOnce() -> Fault) {
        if !self.is_broken(place) {
            self.bag.push_with(word);
        }
    }

    /// Whether a place lies on a line with a syntax fault.
    fn is_broken(&self, place: SourceSpan) -> bool {
        !self.broken_lines.is_empty()
            && self.broken_lines.contains(&self.sources.line_index(self.file, place.start))
    }
}

/// A text that was read; its tables borrow from it.
#[derive(Debug)]
pub struct TomlDocument<'s> {
    context: TomlContext<'s>,
    table: Option<DeTable<'s>>,
}

/// Reads a file as TOML; syntax faults go into the bag (T006, T009) and what is left of the text can be read on.
///
/// A broken statement is reported once and left out; missing keys are not reported in a table that lost one.
/// A text above 1 MiB with a syntax fault, and one nested deeper than [`MAX_NESTING`], yields an empty
/// document and reports nothing more.
#[must_use]
pub fn parse_toml<'s>(sources: &'s SourceTexts, file: FileId, bag: &'s FaultCollector) -> TomlDocument<'s> {
    let mut context = TomlContext::new(sources, file, bag);
    let text = sources.text(file);
    if !sources.is_readable(file) || report_if_too_large(&context, text.len()) {
        context.is_damaged = true;
        return TomlDocument { context, table: None };
    }
    let (mut table, mut faults) = parse_recoverable_table(text);
    if table.is_some() && faults.iter().any(|fault| fault.message() != KEY_TWICE) {
        table.take().map(depth::take_apart);
        let repaired = repair::blank_broken_statements(text);
        let masked = note_broken_statements(&mut context, repaired);
        (table, faults) = parse_recoverable_table(masked);
    }
    context.is_damaged |= table.is_none();
    report_syntax_faults(&mut context, faults);
    if let Some(deep) = table.take_if(|t| depth::is_deeper_than(t, MAX_NESTING)) {
        depth::take_apart(deep);
        bag.push(too_deep_fault(context.span_of(0..0)));
    }
    TomlDocument { context, table }
}

/// What the parser calls a key that is given twice.
const KEY_TWICE: &str = "duplicate key";

/// Reports the broken statements of a text and notes what they damage; the text without them.
fn note_broken_statements<'s>(context: &mut TomlContext<'s>, repaired: RepairedText) -> &'s str {
    for slip in &repaired.slips {
        let at = context.sources.clamp_span(context.span_of(slip.place.clone()));
        context.bag.push_with(|| syntax_fault(&slip.words, at));
    }
    for range in &repaired.blanked {
        let (first, last) = (context.line_of(range.start), context.line_of(range.end.saturating_sub(1)));
        context.broken_lines.extend(first..=last);
    }
    context.is_damaged |= !repaired.blanked.is_empty();
    context.is_root_damaged = repaired.is_root_damaged;
    context.damaged_headings = repaired.damaged_headings;
    context.sources.keep_repaired_text(context.file, repaired.text)
}

/// The table of a text and its syntax faults; no table where going on would cost too much.
fn parse_recoverable_table(text: &str) -> (Option<DeTable<'_>>, Vec<toml::de::Error>) {
    if text.len() <= MAX_RECOVERY_BYTES || depth::may_be_deep(text) {
        let (table, faults) = DeTable::parse_recoverable(text);
        return (Some(table.into_inner()), faults);
    }
    match DeTable::parse(text) {
        Ok(table) => (Some(table.into_inner()), Vec::new()),
        Err(fault) => (None, vec![fault]),
    }
}

/// Reports a text that came in without passing `add_bytes` and is too large.
fn report_if_too_large(context: &TomlContext<'_>, bytes: usize) -> bool {
    let large = bytes > crate::MAX_FILE_BYTES;
    if large {
        context.bag.push(crate::source::too_large_fault(context.file, bytes));
    }
    large
}

/// Reports syntax faults, one a line: the further ones of a line mostly follow from the first.
fn report_syntax_faults(context: &mut TomlContext<'_>, mut faults: Vec<toml::de::Error>) {
    let end = context.sources.text(context.file).len();
    let place = |fault: &toml::de::Error| fault.span().unwrap_or(end..end);
    faults.sort_by_key(|fault| place(fault).start);
    for fault in faults {
        let at = context.sources.clamp_span(context.span_of(place(&fault)));
        let line = context.line_of(at.start);
        let first = context.broken_lines.insert(line);
        if fault.message() == KEY_TWICE {
            context.bag.push_with(|| key_twice_fault(context.sources.text_at(at), at));
        } else if first {
            context.bag.push_with(|| syntax_fault(fault.message(), at));
        }
    }
}

/// T009: a key for the second time.
fn key_twice_fault(key: &str, at: SourceSpan) -> Fault {
    Fault::error("T009", format!("key `{key}` is given twice"))
        .at(at, "for the second time here")
        .help("remove one of them")
}

/// T006: words of the parser as message and label.
fn syntax_fault(words: &str, at: SourceSpan) -> Fault {
    let (message, label) = match words.split_once(", expected ") {
        Some(("string values must be quoted", _)) => ("text must be in quotes", String::from("not a value")),
        Some((message, expected)) => (message, format!("expected {expected}")),
        None if words.contains("recurs") => ("brackets or keys are nested too deeply", String::new()),
        None => (words, String::from("here")),
    };
    Fault::error("T006", message).at(at, label)
}

/// T006: more tables within tables than a book can need.
fn too_deep_fault(at: SourceSpan) -> Fault {
    Fault::error("T006", format!("tables and lists are nested deeper than {MAX_NESTING}"))
        .at(at, "in this file")
}

impl TomlDocument<'_> {
    /// The table of the whole file.
    pub fn root_table(&self) -> TomlTable<'_> {
        let span = self.context.span_of(0..0);
        TomlTable { context: &self.context, table: self.table.as_ref(), span, asked: RefCell::default() }
    }

    /// Whether anything was left out because its syntax is broken, so that what is missing may be there.
    #[must_use]
    pub const fn is_damaged(&self) -> bool {
        self.context.is_damaged
    }

    /// The file that was read.
    #[must_use]
    pub const fn file(&self) -> FileId {
        self.context.file
    }
}

/// A table with its place and the keys that were read; end with [`TomlTable::report_unknown_keys`].
///
/// Values are fetched by [`TomlTable::required_field`] and [`TomlTable::optional_field`], which give a [`TomlField`] to
/// be read as what it should be.
#[derive(Debug)]
#[must_use = "ask for the keys and end with `report_unknown_keys`"]
pub struct TomlTable<'d> {
    context: &'d TomlContext<'d>,
    table: Option<&'d DeTable<'d>>,
    span: SourceSpan,
    asked: RefCell<BTreeSet<String>>,
}

impl<'d> TomlTable<'d> {
    /// A table found as a value.
    pub(crate) fn new(context: &'d TomlContext<'d>, table: &'d DeTable<'d>, span: SourceSpan) -> Self {
        Self { context, table: Some(table), span, asked: RefCell::default() }
    }

    /// A key that must be there; T002 at the table's header if it is not.
    pub fn required_field(&self, key: &str) -> TomlField<'d> {
        self.required_field_such_as(key, None)
    }

    /// A key that must be there, with what to write if it is not (T002).
    pub fn required_field_such_as(&self, key: &str, example: Option<&str>) -> TomlField<'d> {
        let field = self.optional_field(key);
        if !field.is_given() && self.table.is_some() && !self.is_damaged() {
            let help = example.map(|example| format!("write `{key} = {example}`"));
            self.context.report_fault(self.span, || Fault { help, ..self.missing_key_fault(key) });
        }
        field
    }

    /// Whether this table lost a statement whose syntax is broken, so that what is missing may be there.
    #[must_use]
    pub fn is_damaged(&self) -> bool {
        let context = self.context;
        let is_root = self.span.start == self.span.end;
        if is_root { context.is_root_damaged } else { context.damaged_headings.contains(&self.span.start) }
    }

    /// A key that may be left out.
    pub fn optional_field(&self, key: &str) -> TomlField<'d> {
        self.asked.borrow_mut().insert(key.to_owned());
        TomlField::new(self.context, key, self.find_entry(key).map(|(_, value)| value))
    }

    /// Whether the key is there; does not mark it as read.
    #[must_use]
    pub fn has(&self, key: &str) -> bool {
        self.find_entry(key).is_some()
    }

    /// Every key with its value, in the order of the text: for tables whose keys are names. All count as read.
    #[must_use]
    pub fn entries(&self) -> Vec<(Spanned<String>, TomlField<'d>)> {
        let mut entries: Vec<_> = self.table.into_iter().flatten().collect();
        entries.sort_by_key(|(key, _)| key.span().start);
        let name = |key: &TomlSpanned<toml::de::DeString<'_>>| key.get_ref().clone().into_owned();
        self.asked.borrow_mut().extend(entries.iter().map(|(key, _)| name(key)));
        entries
            .into_iter()
            .map(|(key, value)| {
                let field = TomlField::new(self.context, key.get_ref(), Some(value));
                (Spanned::new(name(key), self.context.span_of(key.span())), field)
            })
            .collect()
    }

    /// The place of the table: its header, its braces, or the start of the file.
    #[must_use]
    pub const fn span(&self) -> SourceSpan {
        self.span
    }

    /// The place of a key, or that of the table if the key is not there.
    #[must_use]
    pub fn key_span(&self, key: &str) -> SourceSpan {
        self.find_entry(key).map_or(self.span, |(name, _)| self.context.span_of(name.span()))
    }

    /// The place of a value, or that of the table if the key is not there.
    #[must_use]
    pub fn value_span(&self, key: &str) -> SourceSpan {
        self.find_entry(key).map_or(self.span, |(_, value)| self.context.span_of(value.span()))
    }

    /// Whether this is a placeholder for a table that could not be read; it has no values and reports nothing.
    #[must_use]
    pub const fn is_hollow(&self) -> bool {
        self.table.is_none()
    }

    /// Reports the keys that were never read (T001), each with the nearest one that was.
    pub fn report_unknown_keys(self) {
        let asked = self.asked.borrow();
        let known: Vec<&str> = asked.iter().map(String::as_str).collect();
        for (key, _) in self.table.into_iter().flatten() {
            let at = self.context.span_of(key.span());
            if !asked.contains(key.get_ref().as_ref()) {
                self.context.report_fault(at, || unknown_key_fault(key.get_ref(), &known, at));
            }
        }
    }

    /// A key with its value.
    fn find_entry(
        &self,
        key: &str,
    ) -> Option<(&'d TomlSpanned<toml::de::DeString<'d>>, &'d TomlSpanned<DeValue<'d>>)> {
        self.table?.get_key_value(key)
    }

    /// T002: a key that should be there.
    fn missing_key_fault(&self, key: &str) -> Fault {
        let whole = self.span.start == self.span.end;
        let label = if whole { "in this file, above the first table" } else { "in this table" };
        Fault::error("T002", format!("missing key `{key}`")).at(self.span, label)
    }
}

/// T001: a key that was never read.
fn unknown_key_fault(key: &str, known: &[&str], at: SourceSpan) -> Fault {
    let (hint, help) = suggest::suggest_name(key, known, "key");
    let fault = Fault::error("T001", format!("unknown key `{key}`{hint}")).at(at, "not a key of this table");
    Fault { help, ..fault }
}
