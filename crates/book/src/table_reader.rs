//! A table of a book in the reading: hands out plain values with defaults, and notes where each stood.

use crate::limits;
use crate::names::{ComparisonBudget, NameIndex};
use crate::spot::ValueSpot;
use crate::words::WordTable;
use core::fmt::Display;
use core::ops::RangeInclusive;
use faults::{Fault, FaultCollector, FaultRule, FromText, SourceSpan, Spanned, TomlField, TomlTable};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use units::Money;

/// A key that was asked for: table, key, and whether it must be there.
pub(crate) type AskedKey = (&'static str, &'static str, bool);

/// What all tables of one reading share.
#[derive(Debug)]
pub(crate) struct ReaderDesk<'d> {
    /// Faults.
    pub(crate) bag: &'d FaultCollector,
    /// Comparisons left for proposals.
    pub(crate) patience: ComparisonBudget,
    /// Currencies written behind prices.
    pub(crate) currencies: RefCell<Vec<Spanned<String>>>,
    /// Keys asked for, to be compared with the schema.
    pub(crate) asked: RefCell<BTreeSet<AskedKey>>,
}

impl<'d> ReaderDesk<'d> {
    pub(crate) fn new(bag: &'d FaultCollector) -> Self {
        let (currencies, asked) = (RefCell::default(), RefCell::default());
        Self { bag, patience: ComparisonBudget::new(), currencies, asked }
    }
}

/// A table in the reading; end with [`Row::finish`].
#[derive(Debug)]
pub(crate) struct TableReader<'d> {
    tab: TomlTable<'d>,
    table: &'static str,
    pub(crate) desk: &'d ReaderDesk<'d>,
    keys: RefCell<BTreeMap<&'static str, ValueSpot>>,
    faults_before: usize,
}

impl<'d> TableReader<'d> {
    pub(crate) fn new(tab: TomlTable<'d>, table: &'static str, desk: &'d ReaderDesk<'d>) -> Self {
        Self { tab, table, desk, keys: RefCell::default(), faults_before: desk.bag.len() }
    }

    /// Counts faults from here on only, for what is read in two goes.
    pub(crate) fn forget_earlier_faults(mut self) -> Self {
        self.faults_before = self.desk.bag.len();
        self
    }

    /// Where the table stands.
    pub(crate) const fn span(&self) -> SourceSpan {
        self.tab.span()
    }

    /// Whether a key is there.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.tab.has(key)
    }

    /// Reports the keys that nobody asked for; the place of the table with its keys.
    pub(crate) fn finish(self) -> ValueSpot {
        let span = self.tab.span();
        self.tab.report_unknown_keys();
        let bad = self.desk.bag.len() > self.faults_before;
        ValueSpot { keys: self.keys.into_inner(), bad, ..ValueSpot::new(span) }
    }

    fn ask_field(&self, key: &'static str, needed: bool) -> TomlField<'d> {
        self.desk.asked.borrow_mut().insert((self.table, key, needed));
        let field = if needed { self.tab.required_field(key) } else { self.tab.optional_field(key) };
        if let Some(spot) = ValueSpot::of_field(&field) {
            self.note_place(key, spot);
        }
        field
    }

    /// Notes the place of a key.
    pub(crate) fn note_place(&self, key: &'static str, spot: ValueSpot) {
        self.keys.borrow_mut().insert(key, spot);
    }

    /// A field that may be missing, to be read by the caller.
    pub(crate) fn optional_field(&self, key: &'static str) -> TomlField<'d> {
        self.ask_field(key, false)
    }

    /// A field that must be there, to be read by the caller.
    pub(crate) fn required_field(&self, key: &'static str) -> TomlField<'d> {
        self.ask_field(key, true)
    }

    /// A text that must be there; empty after a fault.
    pub(crate) fn required_text(&self, key: &'static str) -> String {
        self.required_field(key).read_text().map(|t| t.value).unwrap_or_default()
    }

    /// A text that may be missing.
    pub(crate) fn optional_text(&self, key: &'static str) -> Option<String> {
        self.optional_field(key).read_text().map(|t| t.value)
    }

    /// `true` or `false`; missing counts as `false`.
    pub(crate) fn flag(&self, key: &'static str) -> bool {
        self.optional_field(key).read_bool().is_some_and(|b| b.value)
    }

    /// A whole number that may be missing.
    pub(crate) fn optional_count(&self, key: &'static str) -> Option<u16> {
        let number = self.optional_field(key).read_int(0..=limits::MAX_COUNT)?.value;
        u16::try_from(number).ok()
    }

    /// A quantity that must be there, in a range.
    pub(crate) fn required_quantity<Q>(&self, key: &'static str, range: RangeInclusive<Q>) -> Q
    where
        Q: FromText + PartialOrd + Display + Default,
    {
        self.required_field(key).read_quantity_in(range).map(|q| q.value).unwrap_or_default()
    }

    /// A quantity that may be missing, in a range.
    pub(crate) fn optional_quantity<Q>(&self, key: &'static str, range: RangeInclusive<Q>) -> Option<Q>
    where
        Q: FromText + PartialOrd + Display,
    {
        self.optional_field(key).read_quantity_in(range).map(|q| q.value)
    }

    /// One of some words that must be there; the first after a fault.
    pub(crate) fn required_choice<T: Copy>(&self, key: &'static str, words: WordTable<T>) -> T {
        self.required_field(key).read_choice(words).map_or(words[0].1, |w| w.value)
    }

    /// One of some words that may be missing.
    pub(crate) fn optional_choice<T: Copy>(&self, key: &'static str, words: WordTable<T>) -> Option<T> {
        self.optional_field(key).read_choice(words).map(|w| w.value)
    }

    /// A text in a form of its own that may be missing; what is wrong with it goes by the rule.
    pub(crate) fn parse_field<T, E: Display>(
        &self,
        field: TomlField<'d>,
        rule: &FaultRule,
        read: impl FnOnce(&str) -> Result<T, E>,
    ) -> Option<T> {
        let text = field.read_text()?;
        match read(&text.value) {
            Ok(value) => Some(value),
            Err(error) => {
                let fault = Fault::error(rule.code, error.to_string()).at(text.span, "cannot be read");
                self.desk.bag.push(fault.help(rule.help));
                None
            }
        }
    }

    /// A price that may be missing; its currency is looked at later, when the book's is known.
    pub(crate) fn optional_price(&self, key: &'static str) -> Option<Money> {
        let price = self.optional_field(key).read_quantity::<(Money, Option<String>)>()?;
        let span = price.span;
        let (money, currency) = price.value;
        self.desk.currencies.borrow_mut().extend(currency.map(|c| Spanned::new(c, span)));
        if money < Money::ZERO {
            self.desk.bag.push(crate::rules::names::b112_negative_price(money, span));
            return None;
        }
        Some(money)
    }

    /// The tables of a list, as rows; too many are cut off with a fault.
    pub(crate) fn child_tables(&self, key: &'static str, table: &'static str) -> Vec<TableReader<'d>> {
        let most_count = match table {
            "access" => limits::MAX_ACCESSES,
            "way" => limits::MAX_WAYS,
            _ => limits::MAX_LIST_ITEMS,
        };
        let tabs = self.cut_to_limit(key, self.optional_field(key).read_tables(), most_count);
        tabs.into_iter().map(|tab| TableReader::new(tab, table, self.desk)).collect()
    }

    /// The table of a key, as a row.
    pub(crate) fn child_table(&self, key: &'static str, table: &'static str) -> Option<TableReader<'d>> {
        self.optional_field(key).read_table().map(|tab| TableReader::new(tab, table, self.desk))
    }

    /// Cuts a list that is too long off, with a fault.
    pub(crate) fn cut_to_limit<T>(&self, key: &str, mut items: Vec<T>, most_count: usize) -> Vec<T> {
        if items.len() > most_count {
            let span = self.tab.key_span(key);
            self.desk.bag.push(crate::rules::names::b110_too_many(key, items.len(), most_count, span));
            items.truncate(most_count);
        }
        items
    }

    /// The items that a name stands for, where it is known.
    pub(crate) fn resolve_name(
        &self,
        name: &Spanned<String>,
        index: &NameIndex,
        rule: &FaultRule,
    ) -> Option<usize> {
        let found = index.get(&name.value);
        if found.is_none() {
            self.desk.bag.push(index.unknown_name_fault(name, rule, &self.desk.patience));
        }
        found
    }

    /// The position of the one name behind a key that must be there.
    pub(crate) fn required_name(
        &self,
        key: &'static str,
        index: &NameIndex,
        rule: &FaultRule,
    ) -> Option<usize> {
        self.required_field(key).read_text().and_then(|name| self.resolve_name(&name, index, rule))
    }

    /// The position of the one name behind a key that may be missing.
    pub(crate) fn optional_name(
        &self,
        key: &'static str,
        index: &NameIndex,
        rule: &FaultRule,
    ) -> Option<usize> {
        self.optional_field(key).read_text().and_then(|name| self.resolve_name(&name, index, rule))
    }

    /// The positions of the names in a list, unknown and repeated ones reported and left out.
    pub(crate) fn resolve_names(
        &self,
        key: &'static str,
        index: &NameIndex,
        rule: &FaultRule,
    ) -> Vec<(usize, SourceSpan)> {
        let field = self.optional_field(key);
        let whole = field.span();
        let names = self.cut_to_limit(key, field.read_texts(), limits::MAX_LIST_ITEMS);
        let mut seen: BTreeMap<usize, SourceSpan> = BTreeMap::new();
        let mut found = Vec::new();
        for name in names {
            let Some(position) = self.resolve_name(&name, index, rule) else { continue };
            if let Some(first) = seen.insert(position, name.span) {
                self.desk.bag.push(crate::rules::names::b109_named_twice(&name, first));
            } else {
                found.push((position, name.span));
            }
        }
        if let Some(span) = whole {
            self.note_place(
                key,
                ValueSpot::of_list(span, found.iter().map(|(_, at)| ValueSpot::new(*at)).collect()),
            );
        }
        found
    }
}
