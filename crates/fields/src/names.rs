//! Names that tables refer to each other by: name to position in reading, position to name in writing.

use core::cell::Cell;
use std::collections::BTreeMap;

use faults::{Fault, FaultRule, Spanned, suggest_name};

/// Comparisons of names that suggestions may spend on one reading: a text of nothing but unknown names must not hang.
const MAX_COMPARISONS: usize = 400_000;

/// How many comparisons are left.
#[derive(Debug)]
pub(crate) struct ComparisonBudget(Cell<usize>);

impl ComparisonBudget {
    pub(crate) const fn new() -> Self {
        Self(Cell::new(MAX_COMPARISONS))
    }

    /// Takes a number of comparisons, if that many are left.
    fn try_spend(&self, comparisons: usize) -> bool {
        let left = self.0.get().checked_sub(comparisons);
        self.0.set(left.unwrap_or(0));
        left.is_some()
    }
}

/// A kind of thing that is referred to by name.
#[derive(Debug)]
pub struct NameKind {
    /// What one is called in messages, such as `special tool`.
    pub what: &'static str,
    /// The rule that an unknown name breaks.
    pub unknown: &'static FaultRule,
}

/// Names of one kind in their order, each with the position of the first that bears it.
#[derive(Debug, Clone, Default)]
pub struct NameIndex {
    names: Vec<String>,
    positions: BTreeMap<String, usize>,
}

impl NameIndex {
    /// The names of some things in their order.
    pub fn of_names<'n>(names: impl IntoIterator<Item = &'n str>) -> Self {
        let mut index = Self::default();
        for name in names {
            index.insert(name);
        }
        index
    }

    /// Adds a name in the next place; the position of the one that bears it already, if there is one.
    pub fn insert(&mut self, name: &str) -> Option<usize> {
        let position = self.names.len();
        self.names.push(name.to_owned());
        let first = self.positions.get(name).copied();
        if first.is_none() {
            self.positions.insert(name.to_owned(), position);
        }
        first
    }

    /// Keeps the next place for a thing without a name.
    pub fn insert_unnamed(&mut self) {
        self.names.push(String::new());
    }

    /// How many names there are.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.names.len()
    }

    /// Whether there is no name.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.names.is_empty()
    }

    /// The position of a name.
    #[must_use]
    pub fn position(&self, name: &str) -> Option<usize> {
        self.positions.get(name).copied()
    }

    /// The name at a position; empty for one that is not there.
    #[must_use]
    pub fn name(&self, position: usize) -> &str {
        self.names.get(position).map_or("", String::as_str)
    }

    /// The fault for a name that is not there.
    pub(crate) fn unknown_name_fault(
        &self,
        kind: &NameKind,
        name: &Spanned<String>,
        budget: &ComparisonBudget,
    ) -> Fault {
        let (hint, help) = if budget.try_spend(self.positions.len()) {
            let known: Vec<&str> = self.positions.keys().map(String::as_str).collect();
            suggest_name(&name.value, &known, kind.what)
        } else {
            (String::new(), None)
        };
        Fault::error(kind.unknown.code, format!("unknown {} `{}`{hint}", kind.what, name.value))
            .at(name.span, format!("no {} has this name", kind.what))
            .help(help.unwrap_or_else(|| kind.unknown.help.to_owned()))
    }
}

/// The names of every kind, by kind.
#[derive(Debug, Default)]
pub struct NameDirectory(BTreeMap<&'static str, NameIndex>);

impl NameDirectory {
    /// No names.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Sets the names of a kind.
    pub fn set(&mut self, kind: &NameKind, index: NameIndex) {
        self.0.insert(kind.what, index);
    }

    /// The names of a kind; none if the kind was never set.
    #[must_use]
    pub fn names_of(&self, kind: &NameKind) -> &NameIndex {
        const NONE: &NameIndex = &NameIndex { names: Vec::new(), positions: BTreeMap::new() };
        self.0.get(kind.what).unwrap_or(NONE)
    }
}
