//! Forms made of other forms: lists, tables and rows of tables, names of other things.

use std::sync::LazyLock;

use serde_json::{Value as JsonValue, json};
use toml_edit::{Array, ArrayOfTables, InlineTable, Item, Value};

use faults::TomlKind;

use crate::describe::TableDescription;
use crate::desk::ReadingDesk;
use crate::form::ValueForm;
use crate::input::FieldInput;
use crate::names::{NameDirectory, NameKind};
use crate::spot::{PlacedValue, ValueSpot};
use crate::table::FieldTable;

/// A list of values of one form.
#[derive(Debug)]
pub struct ListForm<F> {
    item: F,
    limit: usize,
    takes_single: bool,
    splits_text: bool,
}

/// A list of a limited number of values of one form.
#[must_use]
pub const fn list<F>(limit: usize, item: F) -> ListForm<F> {
    ListForm { item, limit, takes_single: false, splits_text: false }
}

impl<F> ListForm<F> {
    /// Reads one value without brackets as well.
    #[must_use]
    pub fn or_single(self) -> Self {
        Self { takes_single: true, ..self }
    }

    /// Reads a text as well, cut at its semicolons.
    #[must_use]
    pub fn or_text(self) -> Self {
        Self { takes_single: true, splits_text: true, ..self }
    }
}

impl<F: ValueForm> ValueForm for ListForm<F> {
    type Value = Vec<F::Value>;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<Vec<F::Value>>> {
        let span = input.span()?;
        let is_list = input.kind() == Some(TomlKind::List) || matches!(input, FieldInput::Cell(_));
        let key = input.name().to_owned();
        let mut items = match (is_list || !self.takes_single, self.splits_text) {
            (true, _) => input.list_items(),
            (false, true) => input.split_text(desk.bag),
            (false, false) => vec![input],
        };
        desk.cut_to_limit(&key, &mut items, self.limit, span);
        let read = items.into_iter().filter_map(|item| self.item.read(item, desk));
        let (values, spots) = read.map(|placed| (placed.value, placed.spot)).unzip();
        Some(PlacedValue::new(values, ValueSpot::of_list(span, spots)))
    }

    fn write(&self, value: &Vec<F::Value>, names: &NameDirectory) -> Item {
        let items = value.iter().filter_map(|item| self.item.write(item, names).into_value().ok());
        Item::Value(Value::Array(items.collect::<Array>()))
    }

    fn schema(&self) -> JsonValue {
        let list = json!({ "type": "array", "items": self.item.schema() });
        if self.takes_single { json!({ "anyOf": [self.item.schema(), list] }) } else { list }
    }

    fn words(&self) -> String {
        let single = if self.takes_single { ", or one without brackets" } else { "" };
        format!("list of: {}{single}", self.item.words())
    }

    fn tables(&self) -> Vec<&'static dyn TableDescription> {
        self.item.tables()
    }
}

/// The name of something else, as its position.
#[derive(Debug, Clone, Copy)]
pub struct NameForm(&'static NameKind);

/// The name of something of a kind.
#[must_use]
pub const fn name(kind: &'static NameKind) -> NameForm {
    NameForm(kind)
}

impl ValueForm for NameForm {
    type Value = usize;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<usize>> {
        let text = input.read_text()?;
        let position = desk.resolve_name(self.0, desk.names.names_of(self.0), &text)?;
        Some(PlacedValue::new(position, ValueSpot::new(text.span)))
    }

    fn write(&self, value: &usize, names: &NameDirectory) -> Item {
        toml_edit::value(names.names_of(self.0).name(*value))
    }

    fn schema(&self) -> JsonValue {
        json!({ "type": "string", "minLength": 1 })
    }

    fn words(&self) -> String {
        format!("key of a {}", self.0.what)
    }
}

/// Names of other things, as their positions; a name twice is reported.
#[derive(Debug, Clone, Copy)]
pub struct NamesForm {
    kind: &'static NameKind,
    limit: usize,
}

/// A list of a limited number of names of a kind.
#[must_use]
pub const fn names(limit: usize, kind: &'static NameKind) -> NamesForm {
    NamesForm { kind, limit }
}

impl ValueForm for NamesForm {
    type Value = Vec<usize>;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<Vec<usize>>> {
        let span = input.span()?;
        let key = input.name().to_owned();
        let mut items = input.list_items();
        desk.cut_to_limit(&key, &mut items, self.limit, span);
        let texts: Vec<_> = items.into_iter().filter_map(FieldInput::read_text).collect();
        let found = desk.resolve_names(self.kind, desk.names.names_of(self.kind), &texts);
        let (positions, spots) = found.into_iter().unzip();
        Some(PlacedValue::new(positions, ValueSpot::of_list(span, spots)))
    }

    fn write(&self, value: &Vec<usize>, names: &NameDirectory) -> Item {
        let index = names.names_of(self.kind);
        let items = value.iter().map(|position| Value::from(index.name(*position)));
        Item::Value(Value::Array(items.collect::<Array>()))
    }

    fn schema(&self) -> JsonValue {
        let item = json!({ "type": "string", "minLength": 1 });
        json!({ "type": "array", "uniqueItems": true, "items": item })
    }

    fn words(&self) -> String {
        format!("list of keys of {}s", self.kind.what)
    }
}

/// A table by its own field table.
#[derive(Debug)]
pub struct TableForm<R: 'static, S: 'static = ()>(&'static LazyLock<FieldTable<R, S>>);

/// A table by its own field table, written in braces.
#[must_use]
pub const fn table<R, S>(table: &'static LazyLock<FieldTable<R, S>>) -> TableForm<R, S> {
    TableForm(table)
}

impl<R: 'static, S: Copy + Send + Sync + 'static> ValueForm for TableForm<R, S> {
    type Value = R;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<R>> {
        input.read_table().map(|table| self.0.read_table(table, desk))
    }

    fn write(&self, value: &R, names: &NameDirectory) -> Item {
        Item::Value(Value::InlineTable(self.0.write_inline(value, names)))
    }

    fn schema(&self) -> JsonValue {
        json!({ "$ref": format!("#/$defs/{}", self.0.name()) })
    }

    fn words(&self) -> String {
        format!("table [`{0}`](#{0})", self.0.name())
    }

    fn tables(&self) -> Vec<&'static dyn TableDescription> {
        vec![&**self.0]
    }
}

/// A list of tables by their own field table.
#[derive(Debug)]
pub struct RowsForm<R: 'static, S: 'static = ()> {
    table: &'static LazyLock<FieldTable<R, S>>,
    limit: usize,
    has_headings: bool,
}

/// A list of a limited number of tables, written in braces.
#[must_use]
pub const fn rows<R, S>(limit: usize, table: &'static LazyLock<FieldTable<R, S>>) -> RowsForm<R, S> {
    RowsForm { table, limit, has_headings: false }
}

impl<R, S> RowsForm<R, S> {
    /// Writes each table under a heading of its own, `[[key]]`.
    #[must_use]
    pub const fn under_headings(self) -> Self {
        Self { has_headings: true, ..self }
    }
}

impl<R: 'static, S: Copy + Send + Sync + 'static> ValueForm for RowsForm<R, S> {
    type Value = Vec<R>;

    fn read(&self, input: FieldInput<'_>, desk: &ReadingDesk<'_>) -> Option<PlacedValue<Vec<R>>> {
        let span = input.span()?;
        let key = input.name().to_owned();
        let mut tables = input.read_tables();
        desk.cut_to_limit(&key, &mut tables, self.limit, span);
        let read = tables.into_iter().map(|table| self.table.read_table(table, desk));
        let (values, spots): (Vec<R>, Vec<ValueSpot>) =
            read.map(|placed| (placed.value, placed.spot)).unzip();
        // The first table is a better place to point at than the whole list.
        let span = spots.first().map_or(span, |first| first.span);
        Some(PlacedValue::new(values, ValueSpot::of_list(span, spots)))
    }

    fn write(&self, value: &Vec<R>, names: &NameDirectory) -> Item {
        if self.has_headings {
            let tables = value.iter().map(|row| self.table.write_table(row, names));
            return Item::ArrayOfTables(tables.collect::<ArrayOfTables>());
        }
        let tables = value.iter().map(|row| self.table.write_inline(row, names));
        Item::Value(Value::Array(
            tables.map(|table: InlineTable| Value::InlineTable(table)).collect::<Array>(),
        ))
    }

    fn schema(&self) -> JsonValue {
        let item = json!({ "$ref": format!("#/$defs/{}", self.table.name()) });
        json!({ "type": "array", "items": item })
    }

    fn words(&self) -> String {
        format!("list of tables [`{0}`](#{0})", self.table.name())
    }

    fn tables(&self) -> Vec<&'static dyn TableDescription> {
        vec![&**self.table]
    }
}
