//! Names of one kind and their positions, with the nearest known one for a name that is not there.

use faults::{Fault, FaultRule, Spanned, suggest_name};
use std::cell::Cell;
use std::collections::BTreeMap;

/// Comparisons of names that proposals may take in one reading: a text of nothing but unknown names must not hang.
pub(crate) const MAX_COMPARISONS: usize = 400_000;

/// How many comparisons are left.
#[derive(Debug)]
pub(crate) struct ComparisonBudget(Cell<usize>);

impl ComparisonBudget {
    pub(crate) const fn new() -> Self {
        Self(Cell::new(MAX_COMPARISONS))
    }

    /// Takes a number of comparisons, if so many are left.
    fn try_spend(&self, comparisons: usize) -> bool {
        let left = self.0.get().checked_sub(comparisons);
        self.0.set(left.unwrap_or(0));
        left.is_some()
    }
}

/// Names of one kind, each with the position of the first item that bears it.
#[derive(Debug, Default)]
pub(crate) struct NameIndex {
    what: &'static str,
    positions: BTreeMap<String, usize>,
}

impl NameIndex {
    pub(crate) const fn new(what: &'static str) -> Self {
        Self { what, positions: BTreeMap::new() }
    }

    /// Adds a name; the position of the one that bears it already, if there is one.
    pub(crate) fn insert(&mut self, name: &str, position: usize) -> Option<usize> {
        if let Some(first) = self.positions.get(name) {
            return Some(*first);
        }
        self.positions.insert(name.to_owned(), position);
        None
    }

    /// The position of a name.
    pub(crate) fn get(&self, name: &str) -> Option<usize> {
        self.positions.get(name).copied()
    }

    /// The fault for a name that is not there.
    pub(crate) fn unknown_name_fault(
        &self,
        name: &Spanned<String>,
        rule: &FaultRule,
        patience: &ComparisonBudget,
    ) -> Fault {
        let (hint, help) = if patience.try_spend(self.positions.len()) {
            let known: Vec<&str> = self.positions.keys().map(String::as_str).collect();
            suggest_name(&name.value, &known, self.what)
        } else {
            (String::new(), None)
        };
        let message = format!("unknown {} `{}`{hint}", self.what, name.value);
        Fault::error(rule.code, message)
            .at(name.span, format!("no {} has this key", self.what))
            .help(help.unwrap_or_else(|| rule.help.to_owned()))
    }
}
