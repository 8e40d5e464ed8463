//! A table of a book in the reading: hands out plain values with defaults, and notes where each stood.

use crate::limits;
use crate::names::{Index, Patience};
use crate::spot::Spot;
use crate::words::Words;
use core::fmt::Display;
use core::ops::RangeInclusive;
use faults::{Collector, Fault, Field, FromText, Rule, Span, Spanned, Tab};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use units::Money;

/// A key that was asked for: table, key, and whether it must be there.
pub(crate) type Asked = (&'static str, &'static str, bool);

/// What all tables of one reading share.
#[derive(Debug)]
pub(crate) struct Desk<'d> {
    /// Faults.
    pub(crate) bag: &'d Collector,
    /// Comparisons left for proposals.
    pub(crate) patience: Patience,
    /// Currencies written behind prices.
    pub(crate) currencies: RefCell<Vec<Spanned<String>>>,
    /// Keys asked for, to be compared with the schema.
    pub(crate) asked: RefCell<BTreeSet<Asked>>,
}

impl<'d> Desk<'d> {
    pub(crate) fn new(bag: &'d Collector) -> Self {
        let (currencies, asked) = (RefCell::default(), RefCell::default());
        Self { bag, patience: Patience::new(), currencies, asked }
    }
}

/// A table in the reading; end with [`Row::finish`].
#[derive(Debug)]
pub(crate) struct Row<'d> {
    tab: Tab<'d>,
    table: &'static str,
    pub(crate) desk: &'d Desk<'d>,
    keys: RefCell<BTreeMap<&'static str, Spot>>,
    faults_before: usize,
}

impl<'d> Row<'d> {
    pub(crate) fn new(tab: Tab<'d>, table: &'static str, desk: &'d Desk<'d>) -> Self {
        Self { tab, table, desk, keys: RefCell::default(), faults_before: desk.bag.len() }
    }

    /// Counts faults from here on only, for what is read in two goes.
    pub(crate) fn starting_here(mut self) -> Self {
        self.faults_before = self.desk.bag.len();
        self
    }

    /// Where the table stands.
    pub(crate) const fn span(&self) -> Span {
        self.tab.span()
    }

    /// Whether a key is there.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.tab.has(key)
    }

    /// Reports the keys that nobody asked for; the place of the table with its keys.
    pub(crate) fn finish(self) -> Spot {
        let span = self.tab.span();
        self.tab.finish();
        let bad = self.desk.bag.len() > self.faults_before;
        Spot { keys: self.keys.into_inner(), bad, ..Spot::new(span) }
    }

    fn field(&self, key: &'static str, needed: bool) -> Field<'d> {
        self.desk.asked.borrow_mut().insert((self.table, key, needed));
        let field = if needed { self.tab.need(key) } else { self.tab.maybe(key) };
        if let Some(spot) = Spot::of(&field) {
            self.note(key, spot);
        }
        field
    }

    /// Notes the place of a key.
    pub(crate) fn note(&self, key: &'static str, spot: Spot) {
        self.keys.borrow_mut().insert(key, spot);
    }

    /// A field that may be missing, to be read by the caller.
    pub(crate) fn maybe(&self, key: &'static str) -> Field<'d> {
        self.field(key, false)
    }

    /// A field that must be there, to be read by the caller.
    pub(crate) fn need(&self, key: &'static str) -> Field<'d> {
        self.field(key, true)
    }

    /// A text that must be there; empty after a fault.
    pub(crate) fn text(&self, key: &'static str) -> String {
        self.need(key).str().map(|t| t.value).unwrap_or_default()
    }

    /// A text that may be missing.
    pub(crate) fn text_if(&self, key: &'static str) -> Option<String> {
        self.maybe(key).str().map(|t| t.value)
    }

    /// `true` or `false`; missing counts as `false`.
    pub(crate) fn flag(&self, key: &'static str) -> bool {
        self.maybe(key).bool().is_some_and(|b| b.value)
    }

    /// A whole number that may be missing.
    pub(crate) fn count(&self, key: &'static str) -> Option<u16> {
        let number = self.maybe(key).int(0..=limits::COUNT_MAX)?.value;
        u16::try_from(number).ok()
    }

    /// A quantity that must be there, in a range.
    pub(crate) fn quantity<Q>(&self, key: &'static str, range: RangeInclusive<Q>) -> Q
    where
        Q: FromText + PartialOrd + Display + Default,
    {
        self.need(key).quantity_in(range).map(|q| q.value).unwrap_or_default()
    }

    /// A quantity that may be missing, in a range.
    pub(crate) fn quantity_if<Q>(&self, key: &'static str, range: RangeInclusive<Q>) -> Option<Q>
    where
        Q: FromText + PartialOrd + Display,
    {
        self.maybe(key).quantity_in(range).map(|q| q.value)
    }

    /// One of some words that must be there; the first after a fault.
    pub(crate) fn choice<T: Copy>(&self, key: &'static str, words: Words<T>) -> T {
        self.need(key).choice(words).map_or(words[0].1, |w| w.value)
    }

    /// One of some words that may be missing.
    pub(crate) fn choice_if<T: Copy>(&self, key: &'static str, words: Words<T>) -> Option<T> {
        self.maybe(key).choice(words).map(|w| w.value)
    }

    /// A text in a form of its own that may be missing; what is wrong with it goes by the rule.
    pub(crate) fn parsed<T, E: Display>(
        &self,
        field: Field<'d>,
        rule: &Rule,
        read: impl FnOnce(&str) -> Result<T, E>,
    ) -> Option<T> {
        let text = field.str()?;
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
    pub(crate) fn price(&self, key: &'static str) -> Option<Money> {
        let price = self.maybe(key).quantity::<(Money, Option<String>)>()?;
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
    pub(crate) fn rows(&self, key: &'static str, table: &'static str) -> Vec<Row<'d>> {
        let most_count = match table {
            "access" => limits::ACCESSES_MAX,
            "way" => limits::WAYS_MAX,
            _ => limits::LIST_MAX,
        };
        let tabs = self.at_most(key, self.maybe(key).list(), most_count);
        tabs.into_iter().map(|tab| Row::new(tab, table, self.desk)).collect()
    }

    /// The table of a key, as a row.
    pub(crate) fn row(&self, key: &'static str, table: &'static str) -> Option<Row<'d>> {
        self.maybe(key).table().map(|tab| Row::new(tab, table, self.desk))
    }

    /// Cuts a list that is too long off, with a fault.
    pub(crate) fn at_most<T>(&self, key: &str, mut items: Vec<T>, most_count: usize) -> Vec<T> {
        if items.len() > most_count {
            let span = self.tab.key_span(key);
            self.desk.bag.push(crate::rules::names::b110_too_many(key, items.len(), most_count, span));
            items.truncate(most_count);
        }
        items
    }

    /// The items that a name stands for, where it is known.
    pub(crate) fn known(&self, name: &Spanned<String>, index: &Index, rule: &Rule) -> Option<usize> {
        let found = index.get(&name.value);
        if found.is_none() {
            self.desk.bag.push(index.unknown(name, rule, &self.desk.patience));
        }
        found
    }

    /// The position of the one name behind a key that must be there.
    pub(crate) fn name(&self, key: &'static str, index: &Index, rule: &Rule) -> Option<usize> {
        self.need(key).str().and_then(|name| self.known(&name, index, rule))
    }

    /// The position of the one name behind a key that may be missing.
    pub(crate) fn name_if(&self, key: &'static str, index: &Index, rule: &Rule) -> Option<usize> {
        self.maybe(key).str().and_then(|name| self.known(&name, index, rule))
    }

    /// The positions of the names in a list, unknown and repeated ones reported and left out.
    pub(crate) fn names(&self, key: &'static str, index: &Index, rule: &Rule) -> Vec<(usize, Span)> {
        let field = self.maybe(key);
        let whole = field.span();
        let names = self.at_most(key, field.strings(), limits::LIST_MAX);
        let mut seen: BTreeMap<usize, Span> = BTreeMap::new();
        let mut found = Vec::new();
        for name in names {
            let Some(position) = self.known(&name, index, rule) else { continue };
            if let Some(first) = seen.insert(position, name.span) {
                self.desk.bag.push(crate::rules::names::b109_named_twice(&name, first));
            } else {
                found.push((position, name.span));
            }
        }
        if let Some(span) = whole {
            self.note(key, Spot::list(span, found.iter().map(|(_, at)| Spot::new(*at)).collect()));
        }
        found
    }
}
