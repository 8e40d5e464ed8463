//! One engine of field tables: reader, writer, JSON Schema and reference page of a format from one table.
//!
//! **Question.** A format has keys. A program has to read them, report everything that is wrong with them, write them
//! back, publish a schema for editors and a page for people, and take them as columns of a spreadsheet. How is a key
//! stated once?
//!
//! **Method.** A [`FieldTable`] lists the keys of one kind of table. Each key has a form ([`ValueForm`]: how its value is
//! read, written and described), a way into and out of a row, and a sentence. The row is the model itself, or a draft
//! of it where text and model differ. From the table come
//!
//! * the reader: every key is looked at; what is missing, unknown, of another type, out of range or not a word goes to
//!   the [`ReadingDesk`] with its place, and what could be read is kept; beside each row a [`ValueSpot`] says where each
//!   value was written, for the rules that look at the whole afterwards;
//! * the writer ([`write_document`]), in the order of the table, such that reading gives the same row again;
//! * the schema ([`json_schema`]) and the reference page ([`reference_page`]) of a table and all tables below it;
//! * the columns of a spreadsheet ([`read_sheet`], [`FieldTable::read_row`]).
//!
//! Names of other things are read as positions and written as names through a [`NameDirectory`]. Faults of syntax and
//! types have the codes of `faults`; those that belong to a format are given to the forms as its rules.
//!
//! **A new key is one entry.** Here `mass` could be added to a table of two keys by the two lines that hold it:
//!
//! ```
//! use std::sync::LazyLock;
//! use fields::{FieldTable, ListRules, NameDirectory, ReadingDesk, at, maybe, quantity, text};
//! use units::Mass;
//!
//! #[derive(Debug, Clone, PartialEq, Default)]
//! struct Lid { title: String, mass: Option<Mass> }
//!
//! static LID: LazyLock<FieldTable<Lid>> = LazyLock::new(|| {
//!     FieldTable::new("lid", Lid::default)
//!         .required("title", text(), at!(title), "What a person calls it.")
//!         .optional("mass", quantity("4.8 kg", Mass::ZERO..=Mass::from_kg(500.0)), maybe!(mass), "Mass.")
//! });
//!
//! let mut sources = faults::SourceTexts::new();
//! let file = sources.add_text("lid.toml", "title = \"front lid\"\nmass = \"480 g\"\n");
//! let bag = faults::FaultCollector::new();
//! let document = faults::parse_toml(&sources, file, &bag);
//! let rules = ListRules { too_many: &faults::RULES[0], named_twice: &faults::RULES[0] };
//! let desk = ReadingDesk::new(&bag, rules, document.is_damaged());
//! let lid = LID.read_table(document.root_table(), &desk).value;
//! assert_eq!(lid.mass, Some(Mass::from_kg(0.48)));
//! assert_eq!(fields::write_document(&LID, &lid, &NameDirectory::new()), "title = \"front lid\"\nmass = \"0.48 kg\"\n");
//! assert!(fields::json_schema("lid", &*LID).contains("\"mass\""));
//! assert!(fields::reference_page(&*LID).contains("| `mass` | mass such as `4.8 kg`"));
//! ```
//!
//! **Where it stops holding.** A key whose text cannot be read without another key of the same row (labels of holes, a
//! size in the kind's own form) is kept as written in a draft; the format's own code makes the model of it.

mod describe;
mod desk;
mod doubt;
mod form;
mod input;
mod names;
mod nested;
mod quantity;
mod sheet;
mod spot;
mod table;

pub use describe::{
    KeyDescription, TableDescription, json_schema, reference_page, replace_generated, tables_below,
};
pub use desk::{ListRules, ReadingDesk};
pub use doubt::{KnownForm, known};
pub use form::{
    CountForm, FlagForm, LimitFault, NumberForm, ParsedForm, PriceForm, QuantityForm, TextCheck, TextForm,
    ValueForm, WordForm, WordTable, count, flag, number, parsed, price, quantity, text, text_value, word,
    word_of,
};
pub use input::{FieldInput, SheetCell};
pub use names::{NameDirectory, NameIndex, NameKind};
pub use nested::{ListForm, NameForm, NamesForm, RowsForm, TableForm, list, name, names, rows, table};
pub use quantity::FormQuantity;
pub use sheet::{SheetRow, SheetRules, read_sheet};
pub use spot::{PlacedValue, ValueSpot};
pub use table::{Field, FieldAccess, FieldTable, KeyNeed};
/// What a form of a format's own writes.
pub use toml_edit::{Array as TomlArray, Item as TomlItem, Value as TomlValue};

/// A row as a whole file of TOML.
#[must_use]
pub fn write_document<M: 'static, S: Copy + Send + Sync + 'static>(
    table: &FieldTable<M, S>,
    row: &M,
    names: &NameDirectory,
) -> String {
    toml_edit::DocumentMut::from(table.write_table(row, names)).to_string()
}

/// The access of a value that every row has.
#[macro_export]
macro_rules! at {
    ($($path:tt)+) => {
        (|row| Some(row.$($path)+.clone()), |row, value| row.$($path)+ = value)
    };
}

/// The access of a value that a row may lack.
#[macro_export]
macro_rules! maybe {
    ($($path:tt)+) => {
        (|row| row.$($path)+.clone(), |row, value| row.$($path)+ = Some(value))
    };
}

/// The access of a flag, which is written only when it is set.
#[macro_export]
macro_rules! flag_at {
    ($($path:tt)+) => {
        (|row| row.$($path)+.then_some(true), |row, value| row.$($path)+ = value)
    };
}

/// The access of a list, which is written only when it holds something.
#[macro_export]
macro_rules! list_at {
    ($($path:tt)+) => {
        (
            |row| if row.$($path)+.is_empty() { None } else { Some(row.$($path)+.clone()) },
            |row, value| row.$($path)+ = value,
        )
    };
}

/// The access of a figure that may be unknown, which is written only when something is known.
#[macro_export]
macro_rules! known_at {
    ($($path:tt)+) => {
        (
            |row| if row.$($path)+.is_known() { Some(row.$($path)+) } else { None },
            |row, value| row.$($path)+ = value,
        )
    };
}
