//! What all tables of one reading share: where faults go, the names, the rules about lists.

use core::cell::RefCell;
use std::collections::BTreeMap;

use faults::{Fault, FaultCollector, FaultRule, SourceSpan, Spanned};

use crate::names::{ComparisonBudget, NameDirectory, NameIndex, NameKind};
use crate::spot::ValueSpot;

/// The rules of a format about any list of it.
#[derive(Debug, Clone, Copy)]
pub struct ListRules {
    /// Broken by a list that is too long.
    pub too_many: &'static FaultRule,
    /// Broken by a name that appears twice in a list.
    pub named_twice: &'static FaultRule,
}

/// What all tables of one reading share.
#[derive(Debug)]
pub struct ReadingDesk<'d> {
    /// Where faults go.
    pub bag: &'d FaultCollector,
    /// The names that tables refer to.
    pub names: NameDirectory,
    /// Currencies written behind prices, to be looked at once the format's own is known.
    pub currencies: RefCell<Vec<Spanned<String>>>,
    /// Whether a text of this reading lost a broken statement: then a name that is not there may be in it.
    pub is_damaged: bool,
    rules: ListRules,
    budget: ComparisonBudget,
}

impl<'d> ReadingDesk<'d> {
    /// A desk without names.
    #[must_use]
    pub fn new(bag: &'d FaultCollector, rules: ListRules, is_damaged: bool) -> Self {
        let names = NameDirectory::new();
        let budget = ComparisonBudget::new();
        Self { bag, names, currencies: RefCell::default(), is_damaged, rules, budget }
    }

    /// Cuts a list off that is too long, with a fault at the place.
    pub fn cut_to_limit<T>(&self, key: &str, items: &mut Vec<T>, limit: usize, span: SourceSpan) {
        if items.len() > limit {
            let message = format!("`{key}` has {} items; at most {limit} are read", items.len());
            let rule = self.rules.too_many;
            self.bag.push(Fault::error(rule.code, message).at(span, "too many").help(rule.help));
            items.truncate(limit);
        }
    }

    /// The position of the first thing of a name; an unknown name is reported.
    pub fn resolve_name(&self, kind: &NameKind, index: &NameIndex, name: &Spanned<String>) -> Option<usize> {
        let position = index.position(&name.value);
        if position.is_none() && !self.is_damaged {
            self.bag.push(index.unknown_name_fault(kind, name, &self.budget));
        }
        position
    }

    /// The positions of some names; unknown and repeated ones are reported and left out.
    pub fn resolve_names(
        &self,
        kind: &NameKind,
        index: &NameIndex,
        names: &[Spanned<String>],
    ) -> Vec<(usize, ValueSpot)> {
        let mut seen: BTreeMap<usize, SourceSpan> = BTreeMap::new();
        let mut found = Vec::new();
        for name in names {
            let Some(position) = self.resolve_name(kind, index, name) else { continue };
            if let Some(first) = seen.insert(position, name.span) {
                let rule = self.rules.named_twice;
                let fault = Fault::error(rule.code, format!("`{}` is listed twice", name.value));
                self.bag.push(fault.at(name.span, "again").help(rule.help).note(first, "first here"));
            } else {
                found.push((position, ValueSpot::new(name.span)));
            }
        }
        found
    }
}
