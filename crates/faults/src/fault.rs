//! One fault, the place it points at, and the collector of faults.

use std::cell::RefCell;
use std::collections::BTreeSet;

/// At most this many faults are shown; the rest are counted.
pub const MAX_FAULTS_SHOWN: usize = 200;
/// How many faults are kept at most; a text of nothing but faults then costs no more memory than this.
pub const MAX_FAULTS_KEPT: usize = 5000;
/// How long a message, label or help may be, in characters; a text quoted in it may be a whole file.
const MAX_PHRASE_CHARS: usize = 400;

/// A file of `SourceTexts`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(pub(crate) u32);

/// A stretch of a file, in bytes; `end` is one past the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SourceSpan {
    /// The file.
    pub file: FileId,
    /// The first byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl SourceSpan {
    /// A stretch of a file.
    #[must_use]
    pub const fn new(file: FileId, start: usize, end: usize) -> Self {
        Self { file, start, end }
    }
}

/// A value and where it was written; reads like the value itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Where it was written.
    pub span: SourceSpan,
}

impl<T> Spanned<T> {
    /// A value with its place.
    #[must_use]
    pub const fn new(value: T, span: SourceSpan) -> Self {
        Self { value, span }
    }

    /// Another value at the same place.
    #[must_use]
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Spanned<U> {
        Spanned { value: change(self.value), span: self.span }
    }
}

impl<T> core::ops::Deref for Spanned<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}

/// Whether a fault stops the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum FaultSeverity {
    /// The text cannot be used as it is.
    Error,
    /// The text can be used; someone should look.
    Warning,
}

/// What is wrong, where, and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The rule's code, such as `B204`.
    pub code: &'static str,
    /// Whether it stops the work.
    pub severity: FaultSeverity,
    /// The place, where there is one.
    pub span: Option<SourceSpan>,
    /// What is wrong: a lower-case phrase without a full stop.
    pub message: String,
    /// The words at the caret; may be empty.
    pub label: String,
    /// What to do about it.
    pub help: Option<String>,
    /// Second places, each with its words.
    pub notes: Vec<(SourceSpan, String)>,
}

impl Fault {
    /// An error without a place yet.
    #[must_use]
    pub fn error(code: &'static str, message: impl Into<String>) -> Self {
        let (span, label, help, notes) = (None, String::new(), None, Vec::new());
        Self { code, severity: FaultSeverity::Error, span, message: message.into(), label, help, notes }
    }

    /// A warning without a place yet.
    #[must_use]
    pub fn warning(code: &'static str, message: impl Into<String>) -> Self {
        Self { severity: FaultSeverity::Warning, ..Self::error(code, message) }
    }

    /// Points at a place, with words at the caret.
    #[must_use]
    pub fn at(mut self, span: SourceSpan, label: impl Into<String>) -> Self {
        self.span = Some(span);
        self.label = label.into();
        self
    }

    /// Says what to do.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Points at a second place.
    #[must_use]
    pub fn note(mut self, span: SourceSpan, words: impl Into<String>) -> Self {
        self.notes.push((span, words.into()));
        self
    }

    /// Cuts every phrase to a length that can be read.
    fn shorten_phrases(&mut self) {
        shorten_phrase(&mut self.message);
        shorten_phrase(&mut self.label);
        self.help.iter_mut().for_each(shorten_phrase);
        self.notes.iter_mut().for_each(|(_, words)| shorten_phrase(words));
    }

    /// What faults are sorted by: those without a place first, then file and position.
    fn sort_key(&self) -> (Option<SourceSpan>, &'static str, &str) {
        (self.span, self.code, &self.message)
    }
}

/// Cuts a phrase that is too long to be read.
fn shorten_phrase(phrase: &mut String) {
    if phrase.len() > MAX_PHRASE_CHARS
        && let Some((at, _)) = phrase.char_indices().nth(MAX_PHRASE_CHARS)
    {
        phrase.truncate(at);
        phrase.push_str("...");
    }
}

/// All that was found wrong, in the order of files and lines, each once.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Faults {
    kept: Vec<Fault>,
    errors_beyond: usize,
    warnings_beyond: usize,
}

impl Faults {
    /// An empty bag.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a fault; beyond [`MAX_FAULTS_KEPT`] it is only counted.
    pub fn push(&mut self, mut fault: Fault) {
        if !self.is_full() {
            fault.shorten_phrases();
            self.kept.push(fault);
            if self.is_full() {
                self.drop_repeats();
            }
        } else {
            self.count_unkept(fault.severity);
        }
    }

    /// Counts a fault that is not worth wording because the bag is full.
    pub(crate) fn count_unkept(&mut self, severity: FaultSeverity) {
        match severity {
            FaultSeverity::Error => self.errors_beyond += 1,
            FaultSeverity::Warning => self.warnings_beyond += 1,
        }
    }

    /// Adds the faults of another bag.
    pub fn append(&mut self, other: Self) {
        self.errors_beyond += other.errors_beyond;
        self.warnings_beyond += other.warnings_beyond;
        self.extend(other.kept);
    }

    /// Whether further faults are only counted.
    #[must_use]
    pub fn is_full(&self) -> bool {
        self.kept.len() >= MAX_FAULTS_KEPT
    }

    /// Whether nothing was found.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.kept.is_empty() && self.errors_beyond + self.warnings_beyond == 0
    }

    /// Whether anything found is an error.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.errors_beyond > 0 || self.kept.iter().any(|f| f.severity == FaultSeverity::Error)
    }

    /// How many errors there are, and how many warnings; repeats count once as far as they are kept.
    #[must_use]
    pub fn count_by_severity(&self) -> (usize, usize) {
        let kept = self.sorted();
        let errors = kept.iter().filter(|f| f.severity == FaultSeverity::Error).count();
        (errors + self.errors_beyond, kept.len() - errors + self.warnings_beyond)
    }

    /// The kept faults by file and position, repeats left out.
    #[must_use]
    pub fn sorted(&self) -> Vec<&Fault> {
        let mut faults: Vec<&Fault> = self.kept.iter().collect();
        faults.sort_by(|a, b| a.sort_key().cmp(&b.sort_key()));
        faults.dedup_by(|a, b| a.sort_key() == b.sort_key());
        faults
    }

    /// The first [`MAX_FAULTS_SHOWN`] of [`Faults::sorted`], and how many more there are.
    #[must_use]
    pub fn shown(&self) -> (Vec<&Fault>, usize) {
        let mut faults = self.sorted();
        let rest = faults.len().saturating_sub(MAX_FAULTS_SHOWN) + self.errors_beyond + self.warnings_beyond;
        faults.truncate(MAX_FAULTS_SHOWN);
        (faults, rest)
    }

    /// The codes found, each once, in order.
    #[must_use]
    pub fn codes(&self) -> Vec<&'static str> {
        let codes: BTreeSet<&'static str> = self.kept.iter().map(|f| f.code).collect();
        codes.into_iter().collect()
    }

    /// Drops repeats from the kept faults, so that they take no room from others.
    fn drop_repeats(&mut self) {
        self.kept.sort_by(|a, b| a.sort_key().cmp(&b.sort_key()));
        self.kept.dedup_by(|a, b| a.sort_key() == b.sort_key());
    }
}

impl Extend<Fault> for Faults {
    fn extend<I: IntoIterator<Item = Fault>>(&mut self, faults: I) {
        faults.into_iter().for_each(|fault| self.push(fault));
    }
}

impl IntoIterator for Faults {
    type Item = Fault;
    type IntoIter = std::vec::IntoIter<Fault>;
    /// The kept faults by file and position, repeats left out.
    fn into_iter(mut self) -> Self::IntoIter {
        self.drop_repeats();
        self.kept.into_iter()
    }
}

/// Collects faults through a shared reference.
#[derive(Debug, Default)]
pub struct FaultCollector(RefCell<Faults>);

impl FaultCollector {
    /// An empty bag.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a fault.
    pub fn push(&self, fault: Fault) {
        self.0.borrow_mut().push(fault);
    }

    /// Adds a fault, which is worded only while there is room for it.
    pub(crate) fn push_with(&self, word: impl FnOnce() -> Fault) {
        if self.0.borrow().is_full() {
            self.0.borrow_mut().count_unkept(FaultSeverity::Error);
        } else {
            self.push(word());
        }
    }

    /// Adds the faults of a bag.
    pub fn append(&self, faults: Faults) {
        self.0.borrow_mut().append(faults);
    }

    /// Whether anything found so far is an error.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.0.borrow().has_errors()
    }

    /// How many faults are kept so far.
    #[must_use]
    pub fn len(&self) -> usize {
        self.0.borrow().kept.len()
    }

    /// Whether nothing was found so far.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.borrow().is_empty()
    }

    /// All that was found.
    #[must_use]
    pub fn into_faults(self) -> Faults {
        self.0.into_inner()
    }
}
