//! A field table: every key of one kind of table, and from it the reader and the writer.

use faults::{Fault, FaultCollector, TomlTable};
use serde_json::Value as JsonValue;
use toml_edit::{InlineTable, Item, Table};

use crate::describe::TableDescription;
use crate::desk::ReadingDesk;
use crate::form::ValueForm;
use crate::input::{FieldInput, SheetCell};
use crate::names::NameDirectory;
use crate::sheet::SheetRow;
use crate::spot::{PlacedValue, ValueSpot};

/// How a value gets out of a row (nothing for one that is not to be written) and into it.
pub type FieldAccess<M, T> = (fn(&M) -> Option<T>, fn(&mut M, T));

/// Whether a key must be there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeyNeed {
    /// Its absence is a fault.
    Required,
    /// It may be left out.
    Optional,
}

/// One key of a table.
pub struct Field<M, S = ()> {
    key: &'static str,
    need: KeyNeed,
    about: &'static str,
    example: Option<&'static str>,
    if_left_out: &'static str,
    is_apart: bool,
    scope: Option<S>,
    value: Box<dyn FieldValue<M>>,
}

impl<M, S> core::fmt::Debug for Field<M, S> {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("Field").field("key", &self.key).field("need", &self.need).finish_non_exhaustive()
    }
}

impl<M, S: Copy> Field<M, S> {
    /// The key.
    #[must_use]
    pub const fn key(&self) -> &'static str {
        self.key
    }

    /// Whether the key must be there.
    #[must_use]
    pub const fn need(&self) -> KeyNeed {
        self.need
    }

    /// What the format keeps with the key, such as which rows have a use for it.
    #[must_use]
    pub const fn scope(&self) -> Option<S> {
        self.scope
    }
}

/// A form bound to its place in a row, its value's type forgotten.
trait FieldValue<M>: Send + Sync {
    fn read_into(&self, row: &mut M, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<ValueSpot>;
    fn write_from(&self, row: &M, names: &NameDirectory) -> Option<Item>;
    fn schema(&self) -> JsonValue;
    fn words(&self) -> String;
    fn tables(&self) -> Vec<&'static dyn TableDescription>;
}

/// A form and its access.
struct BoundForm<M, F: ValueForm> {
    form: F,
    access: FieldAccess<M, F::Value>,
}

impl<M, F: ValueForm> FieldValue<M> for BoundForm<M, F> {
    fn read_into(&self, row: &mut M, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<ValueSpot> {
        let placed = self.form.read(input, desk)?;
        (self.access.1)(row, placed.value);
        Some(placed.spot)
    }

    fn write_from(&self, row: &M, names: &NameDirectory) -> Option<Item> {
        (self.access.0)(row).map(|value| self.form.write(&value, names))
    }

    fn schema(&self) -> JsonValue {
        self.form.schema()
    }

    fn words(&self) -> String {
        self.form.words()
    }

    fn tables(&self) -> Vec<&'static dyn TableDescription> {
        self.form.tables()
    }
}

/// Every key of one kind of table; rows of type `M` begin blank, with what is taken if a key is left out.
#[derive(Debug)]
pub struct FieldTable<M, S = ()> {
    name: &'static str,
    blank: fn() -> M,
    fields: Vec<Field<M, S>>,
}

impl<M: 'static, S: Copy + Send + Sync + 'static> FieldTable<M, S> {
    /// A table without keys yet.
    #[must_use]
    pub const fn new(name: &'static str, blank: fn() -> M) -> Self {
        Self { name, blank, fields: Vec::new() }
    }

    /// Adds a key that must be there.
    #[must_use]
    pub fn required<F: ValueForm>(
        self,
        key: &'static str,
        form: F,
        access: FieldAccess<M, F::Value>,
        about: &'static str,
    ) -> Self {
        self.with_field(key, KeyNeed::Required, Box::new(BoundForm { form, access }), about)
    }

    /// Adds a key that may be left out.
    #[must_use]
    pub fn optional<F: ValueForm>(
        self,
        key: &'static str,
        form: F,
        access: FieldAccess<M, F::Value>,
        about: &'static str,
    ) -> Self {
        self.with_field(key, KeyNeed::Optional, Box::new(BoundForm { form, access }), about)
    }

    fn with_field(
        mut self,
        key: &'static str,
        need: KeyNeed,
        value: Box<dyn FieldValue<M>>,
        about: &'static str,
    ) -> Self {
        let (example, if_left_out, is_apart, scope) = (None, "", false, None);
        self.fields.push(Field { key, need, about, example, if_left_out, is_apart, scope, value });
        self
    }

    /// Changes the key added last.
    fn change_last(mut self, change: impl FnOnce(&mut Field<M, S>)) -> Self {
        if let Some(last) = self.fields.last_mut() {
            change(last);
        }
        self
    }

    /// Gives the last key an example as TOML, for the page and for the fault when the key is missing.
    #[must_use]
    pub fn such_as(self, example: &'static str) -> Self {
        self.change_last(|field| field.example = Some(example))
    }

    /// Says what is taken if the last key is left out, for the page.
    #[must_use]
    pub fn or_else(self, if_left_out: &'static str) -> Self {
        self.change_last(|field| field.if_left_out = if_left_out)
    }

    /// Keeps faults in the last key from making the whole row bad.
    #[must_use]
    pub fn apart(self) -> Self {
        self.change_last(|field| field.is_apart = true)
    }

    /// Notes what the format keeps with the last key.
    #[must_use]
    pub fn scoped(self, scope: S) -> Self {
        self.change_last(|field| field.scope = Some(scope))
    }

    /// The table's name.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        self.name
    }

    /// The keys in their order.
    #[must_use]
    pub fn fields(&self) -> &[Field<M, S>] {
        &self.fields
    }

    /// Reads a table; every key is looked at, and what is wrong with any goes to the desk.
    #[must_use]
    pub fn read_table(&self, table: TomlTable<'_>, desk: &ReadingDesk<'_>) -> PlacedValue<M> {
        self.read_table_needing(table, desk, |need| need)
    }

    /// Reads a table of which some keys need not be there although the field table says so.
    #[must_use]
    pub fn read_table_needing(
        &self,
        table: TomlTable<'_>,
        desk: &ReadingDesk<'_>,
        need: fn(KeyNeed) -> KeyNeed,
    ) -> PlacedValue<M> {
        let fetch = |field: &Field<M, S>| {
            let value = match need(field.need) {
                KeyNeed::Required => table.required_field_such_as(field.key, field.example),
                KeyNeed::Optional => table.optional_field(field.key),
            };
            value.is_given().then_some(FieldInput::Toml(value))
        };
        let (mut placed, faults_before) = self.read_fields(fetch, desk, table.span());
        placed.spot.bad |= table.is_damaged();
        let known = desk.bag.len();
        table.report_unknown_keys();
        placed.spot.bad |= faults_before || desk.bag.len() > known;
        placed
    }

    /// Reads a row of a spreadsheet.
    #[must_use]
    pub fn read_row(&self, row: &SheetRow, desk: &ReadingDesk<'_>) -> PlacedValue<M> {
        let fetch = |field: &Field<M, S>| {
            let cell = row.cells.get(field.key);
            if cell.is_none() && field.need == KeyNeed::Required {
                report_missing_cell(field.key, field.example, row, desk.bag);
            }
            cell.map(|text| {
                FieldInput::Cell(SheetCell { key: field.key.to_owned(), text: text.clone(), bag: desk.bag })
            })
        };
        let (mut placed, is_bad) = self.read_fields(fetch, desk, row.span);
        placed.spot.bad |= is_bad;
        placed
    }

    /// Reads every field; whether a fault came up that makes the row bad.
    fn read_fields<'d>(
        &self,
        fetch: impl Fn(&Field<M, S>) -> Option<FieldInput<'d>>,
        desk: &ReadingDesk<'_>,
        span: faults::SourceSpan,
    ) -> (PlacedValue<M>, bool) {
        let mut row = (self.blank)();
        let (mut spot, mut is_bad) = (ValueSpot::new(span), false);
        for field in &self.fields {
            let known = desk.bag.len();
            if let Some(input) = fetch(field) {
                let at = input.span().unwrap_or(span);
                let inside = field.value.read_into(&mut row, input, desk);
                spot.keys.insert(field.key, inside.unwrap_or(ValueSpot::new(at)));
            }
            is_bad |= !field.is_apart && desk.bag.len() > known;
        }
        (PlacedValue::new(row, spot), is_bad)
    }

    /// A row as a table with a heading, keys in the table's order.
    #[must_use]
    pub fn write_table(&self, row: &M, names: &NameDirectory) -> Table {
        self.written(row, names).collect()
    }

    /// A row as cells of a spreadsheet, by column; what is not written has none.
    #[must_use]
    pub fn write_cells(
        &self,
        row: &M,
        names: &NameDirectory,
    ) -> std::collections::BTreeMap<&'static str, String> {
        let cell = |(key, item): (&'static str, Item)| Some((key, cell_text(&item.into_value().ok()?)));
        self.written(row, names).filter_map(cell).collect()
    }

    /// A row as a table in braces.
    #[must_use]
    pub fn write_inline(&self, row: &M, names: &NameDirectory) -> InlineTable {
        let values = self.written(row, names).filter_map(|(key, item)| Some((key, item.into_value().ok()?)));
        values.collect()
    }

    /// What is written of a row.
    fn written<'r>(
        &'r self,
        row: &'r M,
        names: &'r NameDirectory,
    ) -> impl Iterator<Item = (&'static str, Item)> + use<'r, M, S> {
        self.fields.iter().filter_map(move |field| Some((field.key, field.value.write_from(row, names)?)))
    }
}

/// A value as the text of a cell: lists with semicolons between their items.
fn cell_text(value: &toml_edit::Value) -> String {
    match value {
        toml_edit::Value::String(text) => text.value().clone(),
        toml_edit::Value::Array(items) => items.iter().map(cell_text).collect::<Vec<_>>().join("; "),
        other => other.to_string().trim().to_owned(),
    }
}

/// T002: a cell that must be there.
fn report_missing_cell(key: &str, example: Option<&str>, row: &SheetRow, bag: &FaultCollector) {
    let fault = Fault::error("T002", format!("missing key `{key}`")).at(row.span, "in this row");
    let help = example.map(|example| format!("write {} in the column `{key}`", example.trim_matches('"')));
    bag.push(Fault { help, ..fault });
}

impl<M: 'static, S: Copy + Send + Sync + 'static> TableDescription for FieldTable<M, S> {
    fn name(&self) -> &'static str {
        self.name
    }

    fn key_count(&self) -> usize {
        self.fields.len()
    }

    fn key(&self, index: usize) -> Option<crate::describe::KeyDescription> {
        self.fields.get(index).map(|field| crate::describe::KeyDescription {
            key: field.key,
            need: field.need,
            about: field.about,
            example: field.example,
            if_left_out: field.if_left_out,
            schema: field.value.schema(),
            words: field.value.words(),
            tables: field.value.tables(),
        })
    }
}
