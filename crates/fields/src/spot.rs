//! Where each value of a row was written, as a tree of places beside the values.

use std::collections::BTreeMap;

use faults::SourceSpan;

/// The place of a value, and of what is inside it.
#[derive(Debug, Clone)]
pub struct ValueSpot {
    /// Where it was written.
    pub span: SourceSpan,
    /// Places of the keys that were written, well or badly; for tables.
    pub keys: BTreeMap<&'static str, ValueSpot>,
    /// Places of the items; for lists.
    pub items: Vec<ValueSpot>,
    /// Whether something inside could not be read, so that further rules would only repeat that fault.
    pub bad: bool,
}

impl ValueSpot {
    /// A place with nothing inside.
    #[must_use]
    pub const fn new(span: SourceSpan) -> Self {
        Self { span, keys: BTreeMap::new(), items: Vec::new(), bad: false }
    }

    /// The place of a list with the places of its items.
    #[must_use]
    pub fn of_list(span: SourceSpan, items: Vec<Self>) -> Self {
        Self { items, ..Self::new(span) }
    }

    /// Whether a key was written, well or badly.
    #[must_use]
    pub fn has(&self, key: &str) -> bool {
        self.keys.contains_key(key)
    }

    /// The place of a key; that of the table if the key is not there.
    #[must_use]
    pub fn key(&self, key: &str) -> &Self {
        self.keys.get(key).unwrap_or(self)
    }

    /// The place of an item; that of the list if it is not there.
    #[must_use]
    pub fn item(&self, index: usize) -> &Self {
        self.items.get(index).unwrap_or(self)
    }

    /// Takes the places of the items of a list out of the place of its table.
    #[must_use]
    pub fn take_items(&mut self, key: &str) -> Vec<Self> {
        self.keys.get_mut(key).map(|spot| core::mem::take(&mut spot.items)).unwrap_or_default()
    }
}

/// A value with the places of itself and of what is inside.
#[derive(Debug, Clone)]
pub struct PlacedValue<T> {
    /// The value.
    pub value: T,
    /// The places.
    pub spot: ValueSpot,
}

impl<T> PlacedValue<T> {
    /// A value with its place.
    #[must_use]
    pub const fn new(value: T, spot: ValueSpot) -> Self {
        Self { value, spot }
    }

    /// Another value at the same place.
    #[must_use]
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> PlacedValue<U> {
        PlacedValue { value: change(self.value), spot: self.spot }
    }
}

impl<T> From<faults::Spanned<T>> for PlacedValue<T> {
    fn from(spanned: faults::Spanned<T>) -> Self {
        Self::new(spanned.value, ValueSpot::new(spanned.span))
    }
}
