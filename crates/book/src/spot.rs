//! Where each value of a book was written, as a tree of places beside the model.

use faults::{SourceSpan, TomlField};
use std::collections::BTreeMap;

/// The place of a value, and of what stands inside it.
#[derive(Debug, Clone)]
pub(crate) struct ValueSpot {
    /// Where it stands.
    pub(crate) span: SourceSpan,
    /// Places of the keys, for tables.
    pub(crate) keys: BTreeMap<&'static str, ValueSpot>,
    /// Places of the items, for lists.
    pub(crate) items: Vec<ValueSpot>,
    /// Whether something inside could not be read, so that rules about figures would only echo that.
    pub(crate) bad: bool,
    /// The count that a fixing was written with, which its holes must match.
    pub(crate) count: Option<u16>,
}

impl ValueSpot {
    /// A place with nothing inside.
    pub(crate) const fn new(span: SourceSpan) -> Self {
        Self { span, keys: BTreeMap::new(), items: Vec::new(), bad: false, count: None }
    }

    /// The place of a field, if it was given.
    pub(crate) fn of_field(field: &TomlField<'_>) -> Option<Self> {
        field.span().map(Self::new)
    }

    /// The place of a list whose items stand at these places.
    pub(crate) fn of_list(span: SourceSpan, items: Vec<Self>) -> Self {
        Self { items, ..Self::new(span) }
    }

    /// Whether a key was written, well or badly.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.keys.contains_key(key)
    }

    /// The place of a key; that of the table if the key is not there.
    pub(crate) fn key(&self, key: &str) -> &Self {
        self.keys.get(key).unwrap_or(self)
    }

    /// The place of an item; that of the list if it is not there.
    pub(crate) fn item(&self, index: usize) -> &Self {
        self.items.get(index).unwrap_or(self)
    }
}

/// The places of a book, each list beside that of [`model::Book`].
///
/// A part keeps its ways as items of `way`, a fixing its accesses as items of `access`; `needs` holds a place for
/// each need that the model kept.
#[derive(Debug, Clone, Default)]
pub(crate) struct BookSpots {
    pub(crate) stations: Vec<ValueSpot>,
    pub(crate) conditions: Vec<ValueSpot>,
    pub(crate) openings: Vec<ValueSpot>,
    pub(crate) special_tools: Vec<ValueSpot>,
    pub(crate) parts: Vec<ValueSpot>,
    pub(crate) fixings: Vec<ValueSpot>,
    pub(crate) tasks: Vec<ValueSpot>,
}
