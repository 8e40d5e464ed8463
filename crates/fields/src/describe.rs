//! What a field table says about itself: the JSON Schema of a format and its reference page.
//!
//! The schema is of draft 2020-12 of JSON Schema. What a schema cannot say (names that lead somewhere, limits of a figure with
//! its unit, lengths that add up) is left to the reader.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use serde_json::{Map, Value as JsonValue, json};

use crate::table::KeyNeed;

/// One key as the schema and the page show it.
pub struct KeyDescription {
    /// The key.
    pub key: &'static str,
    /// Whether it must be there.
    pub need: KeyNeed,
    /// What it means, a sentence.
    pub about: &'static str,
    /// An example as TOML.
    pub example: Option<&'static str>,
    /// What is taken if it is left out.
    pub if_left_out: &'static str,
    /// The schema of its value.
    pub schema: JsonValue,
    /// What its value is, in Markdown.
    pub words: String,
    /// The tables that its value is made of.
    pub tables: Vec<&'static dyn TableDescription>,
}

/// A field table whose type of rows is forgotten.
pub trait TableDescription: Sync {
    /// The table's name.
    fn name(&self) -> &'static str;
    /// How many keys it has.
    fn key_count(&self) -> usize;
    /// A key by its place.
    fn key(&self, index: usize) -> Option<KeyDescription>;
}

/// Every key of a table.
fn keys_of(table: &dyn TableDescription) -> impl Iterator<Item = KeyDescription> {
    (0..table.key_count()).filter_map(|index| table.key(index))
}

/// All tables below one, each once, in the order in which they are met.
#[must_use]
pub fn tables_below(root: &'static dyn TableDescription) -> Vec<&'static dyn TableDescription> {
    let (mut found, mut names) = (Vec::new(), BTreeSet::from([root.name()]));
    add_tables_below(root, &mut found, &mut names);
    found
}

fn add_tables_below(
    table: &'static dyn TableDescription,
    found: &mut Vec<&'static dyn TableDescription>,
    names: &mut BTreeSet<&'static str>,
) {
    for inner in keys_of(table).flat_map(|key| key.tables) {
        if names.insert(inner.name()) {
            found.push(inner);
            add_tables_below(inner, found, names);
        }
    }
}

/// The JSON Schema of a file whose keys are those of the root table, as text.
///
/// A format may be spread over several files, so that no key of the root is required by the schema.
#[must_use]
pub fn json_schema(title: &str, root: &'static dyn TableDescription) -> String {
    let mut schema = table_schema(root, false);
    let definitions: Map<String, JsonValue> = tables_below(root)
        .into_iter()
        .map(|table| (table.name().to_owned(), JsonValue::Object(table_schema(table, true))))
        .collect();
    schema.insert(String::from("$schema"), json!("https://json-schema.org/draft/2020-12/schema"));
    schema.insert(String::from("title"), json!(title));
    schema.insert(String::from("$defs"), JsonValue::Object(definitions));
    format!("{:#}\n", JsonValue::Object(schema))
}

/// The schema of one table.
fn table_schema(table: &dyn TableDescription, requires: bool) -> Map<String, JsonValue> {
    let mut properties = Map::new();
    let mut required = Vec::new();
    for key in keys_of(table) {
        let mut property = key.schema;
        if let Some(map) = property.as_object_mut() {
            map.insert(String::from("description"), json!(key.about));
        }
        properties.insert(key.key.to_owned(), property);
        required.extend((key.need == KeyNeed::Required).then_some(key.key));
    }
    let mut schema = Map::new();
    schema.insert(String::from("type"), json!("object"));
    schema.insert(String::from("additionalProperties"), json!(false));
    if requires && !required.is_empty() {
        schema.insert(String::from("required"), json!(required));
    }
    schema.insert(String::from("properties"), JsonValue::Object(properties));
    schema
}

/// The key tables of a format as Markdown, one section for each table.
#[must_use]
pub fn reference_page(root: &'static dyn TableDescription) -> String {
    let mut page = String::new();
    for table in core::iter::once(root).chain(tables_below(root)) {
        let _ = write!(
            page,
            "\n### {}\n\n| key | value | if left out | meaning |\n|---|---|---|---|\n",
            table.name()
        );
        for key in keys_of(table) {
            let left_out = match (key.need, key.if_left_out) {
                (KeyNeed::Required, _) => "required",
                (KeyNeed::Optional, "") => "nothing",
                (KeyNeed::Optional, words) => words,
            };
            let example = key.example.map(|example| format!(" Example: `{example}`.")).unwrap_or_default();
            let _ = writeln!(page, "| `{}` | {} | {left_out} | {}{example} |", key.key, key.words, key.about);
        }
    }
    page
}

/// Puts generated text between the two marks of a page that is otherwise written by hand.
///
/// Nothing if the page lacks a mark.
#[must_use]
pub fn replace_generated(page: &str, generated: &str) -> Option<String> {
    const BEGIN: &str = "<!-- generated: keys -->\n";
    const END: &str = "<!-- end of generated -->";
    let (before, rest) = page.split_once(BEGIN)?;
    let (_, after) = rest.split_once(END)?;
    Some(format!("{before}{BEGIN}{generated}\n{END}{after}"))
}
