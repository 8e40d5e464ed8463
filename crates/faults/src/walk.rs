//! Reads a text as TOML, all its syntax faults included, and hands out its tables key by key.

use std::cell::RefCell;
use std::collections::BTreeSet;

use toml::Spanned as TomlSpanned;
use toml::de::{DeTable, DeValue};

use crate::depth;
use crate::fault::{Collector, Fault, FileId, Span, Spanned};
use crate::field::Field;
use crate::source::Sources;
use crate::suggest;

/// How many tables and lists may stand within each other; a book needs five.
pub const NESTING_MAX: usize = 64;
/// Above this many bytes only the first syntax fault is looked for: a file of nothing but faults would
/// otherwise take three hundred times its size in memory. A long book is a tenth of it.
const RECOVERY_BYTES_MAX: usize = 1024 * 1024;

/// What every table and value of a document shares.
#[derive(Debug)]
pub(crate) struct Context<'s> {
    pub(crate) sources: &'s Sources,
    pub(crate) file: FileId,
    bag: &'s Collector,
    /// The lines with syntax faults: what stands there is a guess, and further faults of it are noise.
    broken_lines: BTreeSet<usize>,
}

impl Context<'_> {
    /// The place of a range of bytes in this file.
    pub(crate) const fn place(&self, range: core::ops::Range<usize>) -> Span {
        Span::new(self.file, range.start, range.end)
    }

    /// Reports a fault of a value, unless its line is broken anyway.
    pub(crate) fn report(&self, place: Span, word: impl FnOnce() -> Fault) {
        if !self.is_broken(place) {
            self.bag.push_with(word);
        }
    }

    /// Whether a place lies on a line with a syntax fault.
    fn is_broken(&self, place: Span) -> bool {
        !self.broken_lines.is_empty()
            && self.broken_lines.contains(&self.sources.line_index(self.file, place.start))
    }
}

/// A text that was read; its tables borrow from it.
#[derive(Debug)]
pub struct Document<'s> {
    context: Context<'s>,
    table: Option<DeTable<'s>>,
}

/// Reads a file as TOML; syntax faults go into the bag (T006, T009) and what is left of the text can be read on.
///
/// Missing keys are not reported in a text with syntax faults, nor is anything on the faulty lines themselves.
/// A text above 1 MiB with a syntax fault, and one nested deeper than [`NESTING_MAX`], reads as a document
/// that answers nothing and reports no more.
#[must_use]
pub fn parse<'s>(sources: &'s Sources, file: FileId, bag: &'s Collector) -> Document<'s> {
    let mut context = Context { sources, file, bag, broken_lines: BTreeSet::new() };
    let text = sources.text(file);
    if !sources.is_readable(file) || is_too_large(&context, text.len()) {
        return Document { context, table: None };
    }
    let (mut table, faults) = read(text);
    report_syntax(&mut context, faults);
    if let Some(deep) = table.take_if(|t| depth::is_deeper_than(t, NESTING_MAX)) {
        depth::take_apart(deep);
        bag.push(too_deep(context.place(0..0)));
    }
    Document { context, table }
}

/// The table of a text and its syntax faults; no table where going on would cost too much.
fn read(text: &str) -> (Option<DeTable<'_>>, Vec<toml::de::Error>) {
    if text.len() <= RECOVERY_BYTES_MAX || depth::may_be_deep(text) {
        let (table, faults) = DeTable::parse_recoverable(text);
        return (Some(table.into_inner()), faults);
    }
    match DeTable::parse(text) {
        Ok(table) => (Some(table.into_inner()), Vec::new()),
        Err(fault) => (None, vec![fault]),
    }
}

/// Reports a text that came in without passing `add_bytes` and is too large.
fn is_too_large(context: &Context<'_>, bytes: usize) -> bool {
    let large = bytes > crate::FILE_BYTES_MAX;
    if large {
        context.bag.push(crate::source::too_large(context.file, bytes));
    }
    large
}

/// Reports syntax faults, one a line: the further ones of a line mostly follow from the first.
fn report_syntax(context: &mut Context<'_>, mut faults: Vec<toml::de::Error>) {
    let end = context.sources.text(context.file).len();
    let place = |fault: &toml::de::Error| fault.span().unwrap_or(end..end);
    faults.sort_by_key(|fault| place(fault).start);
    for fault in faults {
        let at = context.sources.clamp(context.place(place(&fault)));
        let first = context.broken_lines.insert(context.sources.line_index(context.file, at.start));
        if fault.message() == "duplicate key" {
            context.bag.push_with(|| twice(context.sources.slice(at), at));
        } else if first {
            context.bag.push_with(|| syntax(fault.message(), at));
        }
    }
}

/// T009: a key for the second time.
fn twice(key: &str, at: Span) -> Fault {
    Fault::error("T009", format!("key `{key}` is given twice"))
        .at(at, "for the second time here")
        .help("take one of the two out")
}

/// T006: words of the parser as message and label.
fn syntax(words: &str, at: Span) -> Fault {
    let (message, label) = match words.split_once(", expected ") {
        Some(("string values must be quoted", _)) => {
            ("text must stand in quotes", String::from("not a value"))
        }
        Some((message, expected)) => (message, format!("expected {expected}")),
        None if words.contains("recurs") => ("brackets or keys are nested too deeply", String::new()),
        None => (words, String::from("here")),
    };
    Fault::error("T006", message).at(at, label)
}

/// T006: more tables within tables than a book can need.
fn too_deep(at: Span) -> Fault {
    Fault::error("T006", format!("tables and lists are nested deeper than {NESTING_MAX}"))
        .at(at, "in this file")
}

impl Document<'_> {
    /// The table of the whole file.
    pub fn root(&self) -> Tab<'_> {
        let span = self.context.place(0..0);
        Tab { context: &self.context, table: self.table.as_ref(), span, asked: RefCell::default() }
    }

    /// The file that was read.
    #[must_use]
    pub const fn file(&self) -> FileId {
        self.context.file
    }
}

/// A table with its place and the keys it was asked for; end with [`Tab::finish`].
///
/// Values are fetched by [`Tab::need`] and [`Tab::maybe`], which give a [`Field`] to be read as what it should be.
#[derive(Debug)]
#[must_use = "ask for the keys and end with `finish`"]
pub struct Tab<'d> {
    context: &'d Context<'d>,
    table: Option<&'d DeTable<'d>>,
    span: Span,
    asked: RefCell<BTreeSet<String>>,
}

impl<'d> Tab<'d> {
    /// A table found as a value.
    pub(crate) fn new(context: &'d Context<'d>, table: &'d DeTable<'d>, span: Span) -> Self {
        Self { context, table: Some(table), span, asked: RefCell::default() }
    }

    /// A key that must be there; T002 at the table's header if it is not.
    pub fn need(&self, key: &str) -> Field<'d> {
        let field = self.maybe(key);
        if !field.is_given() && self.table.is_some() && self.context.broken_lines.is_empty() {
            self.context.report(self.span, || self.missing(key));
        }
        field
    }

    /// A key that may be left out.
    pub fn maybe(&self, key: &str) -> Field<'d> {
        self.asked.borrow_mut().insert(key.to_owned());
        Field::new(self.context, key, self.entry(key).map(|(_, value)| value))
    }

    /// Whether the key is there; does not count as asking for it.
    #[must_use]
    pub fn has(&self, key: &str) -> bool {
        self.entry(key).is_some()
    }

    /// Every key with its value, in the order of the text: for tables whose keys are names. All count as asked for.
    #[must_use]
    pub fn entries(&self) -> Vec<(Spanned<String>, Field<'d>)> {
        let mut entries: Vec<_> = self.table.into_iter().flatten().collect();
        entries.sort_by_key(|(key, _)| key.span().start);
        let name = |key: &TomlSpanned<toml::de::DeString<'_>>| key.get_ref().clone().into_owned();
        self.asked.borrow_mut().extend(entries.iter().map(|(key, _)| name(key)));
        entries
            .into_iter()
            .map(|(key, value)| {
                let field = Field::new(self.context, key.get_ref(), Some(value));
                (Spanned::new(name(key), self.context.place(key.span())), field)
            })
            .collect()
    }

    /// The place of the table: its header, its braces, or the start of the file.
    #[must_use]
    pub const fn span(&self) -> Span {
        self.span
    }

    /// The place of a key, or that of the table if the key is not there.
    #[must_use]
    pub fn key_span(&self, key: &str) -> Span {
        self.entry(key).map_or(self.span, |(name, _)| self.context.place(name.span()))
    }

    /// The place of a value, or that of the table if the key is not there.
    #[must_use]
    pub fn value_span(&self, key: &str) -> Span {
        self.entry(key).map_or(self.span, |(_, value)| self.context.place(value.span()))
    }

    /// Whether this stands for a table that could not be read: it answers nothing and reports nothing.
    #[must_use]
    pub const fn is_hollow(&self) -> bool {
        self.table.is_none()
    }

    /// Reports the keys that nobody asked for (T001), each with the nearest one that was.
    pub fn finish(self) {
        let asked = self.asked.borrow();
        let known: Vec<&str> = asked.iter().map(String::as_str).collect();
        for (key, _) in self.table.into_iter().flatten() {
            let at = self.context.place(key.span());
            if !asked.contains(key.get_ref().as_ref()) {
                self.context.report(at, || unknown(key.get_ref(), &known, at));
            }
        }
    }

    /// A key with its value.
    fn entry(
        &self,
        key: &str,
    ) -> Option<(&'d TomlSpanned<toml::de::DeString<'d>>, &'d TomlSpanned<DeValue<'d>>)> {
        self.table?.get_key_value(key)
    }

    /// T002: a key that should be there.
    fn missing(&self, key: &str) -> Fault {
        let whole = self.span.start == self.span.end;
        let label = if whole { "in this file, above the first table" } else { "in this table" };
        Fault::error("T002", format!("missing key `{key}`")).at(self.span, label)
    }
}

/// T001: a key that nobody asked for.
fn unknown(key: &str, known: &[&str], at: Span) -> Fault {
    let (hint, help) = suggest::phrase(key, known, "key");
    let fault = Fault::error("T001", format!("unknown key `{key}`{hint}")).at(at, "not a key of this table");
    Fault { help, ..fault }
}
