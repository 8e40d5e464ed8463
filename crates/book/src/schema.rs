//! The JSON Schema of the book format, for editors that complete and check while one writes.
//!
//! Draft 2020-12. A folder's files are each checked alone, so that the keys of the head are not required by the schema;
//! the reader requires them of the book as a whole. What a schema cannot say (names that lead somewhere, lengths that
//! add up) is left to the rules.

use crate::syntax::{FORMAT, KeySyntax, TABLES, TableSyntax, ValueSyntax};
use crate::write::quote_toml;
use core::fmt::Write as _;

/// The schema as JSON text.
#[must_use]
pub fn book_json_schema() -> String {
    let (root, others) = TABLES.split_first().map_or((None, TABLES), |(root, others)| (Some(root), others));
    let mut out = String::from("{\n  \"$schema\": \"https://json-schema.org/draft/2020-12/schema\",\n");
    let _ = writeln!(out, "  \"title\": {},", quote_toml("A file of an engine book, version 1"));
    out.push_str(&root.map(|table| table_object(table, "  ", RequiredKeys::No)).unwrap_or_default());
    out.push_str(",\n  \"$defs\": {\n");
    let definitions = others.iter().map(|table| {
        format!(
            "    {}: {{\n{}\n    }}",
            quote_toml(table.name),
            table_object(table, "      ", RequiredKeys::Yes)
        )
    });
    out.push_str(&definitions.collect::<Vec<_>>().join(",\n"));
    out.push_str("\n  }\n}\n");
    out
}

/// Whether the keys that must be there are required.
#[derive(Clone, Copy, PartialEq, Eq)]
enum RequiredKeys {
    Yes,
    No,
}

/// The lines of one object, without its braces.
fn table_object(table: &TableSyntax, indent: &str, required: RequiredKeys) -> String {
    let mut out = format!("{indent}\"type\": \"object\",\n{indent}\"additionalProperties\": false,\n");
    let needed: Vec<String> = table.keys.iter().filter(|k| k.needed).map(|k| quote_toml(k.name)).collect();
    if required == RequiredKeys::Yes && !needed.is_empty() {
        let _ = writeln!(out, "{indent}\"required\": [{}],", needed.join(", "));
    }
    let lines =
        table.keys.iter().map(|key| format!("{indent}  {}: {}", quote_toml(key.name), key_property(key)));
    let _ = write!(out, "{indent}\"properties\": {{\n{}\n{indent}}}", lines.collect::<Vec<_>>().join(",\n"));
    out
}

fn key_property(key: &KeySyntax) -> String {
    format!("{{ \"description\": {}, {} }}", quote_toml(key.about), value_schema(key.form))
}

const TEXT: &str = "\"type\": \"string\", \"minLength\": 1";
const LENGTH: &str = "\"type\": [\"number\", \"string\"]";

fn value_schema(form: ValueSyntax) -> String {
    match form {
        ValueSyntax::Format => format!("\"const\": {}", quote_toml(FORMAT)),
        ValueSyntax::Text => TEXT.into(),
        ValueSyntax::Key => "\"type\": \"string\", \"pattern\": \"^[a-z0-9]+(-[a-z0-9]+)*$\"".into(),
        ValueSyntax::Keys => format!("\"type\": \"array\", \"uniqueItems\": true, \"items\": {{ {TEXT} }}"),
        ValueSyntax::Flag => "\"type\": \"boolean\"".into(),
        ValueSyntax::Count => "\"type\": \"integer\", \"minimum\": 0, \"maximum\": 10000".into(),
        ValueSyntax::Number => "\"type\": \"number\"".into(),
        ValueSyntax::Length => format!("{LENGTH}, \"examples\": [25, \"25 mm\"]"),
        ValueSyntax::Quantity(sample) => {
            format!("\"type\": \"string\", \"pattern\": \"^[-+0-9]\", \"examples\": [{}]", quote_toml(sample))
        }
        ValueSyntax::Price => format!("{LENGTH}, \"examples\": [\"18.00\", \"18.00 EUR\"]"),
        ValueSyntax::Word(words) => {
            let words: Vec<String> = words().into_iter().map(quote_toml).collect();
            format!("\"enum\": [{}]", words.join(", "))
        }
        ValueSyntax::Table(name) => format!("\"$ref\": \"#/$defs/{name}\""),
        ValueSyntax::Tables(name) => {
            format!("\"type\": \"array\", \"items\": {{ \"$ref\": \"#/$defs/{name}\" }}")
        }
        ValueSyntax::Holes => {
            let pair = format!(
                "{{ \"type\": \"array\", \"minItems\": 2, \"maxItems\": 2, \"items\": {{ {LENGTH} }} }}"
            );
            format!(
                "\"type\": \"array\", \"items\": {{ \"anyOf\": [{pair}, {{ \"$ref\": \"#/$defs/hole\" }}] }}"
            )
        }
        ValueSyntax::Passes => {
            let one = "\"type\": \"string\", \"examples\": [\"9 N·m\", \"90°\", \"seat\"]";
            format!("\"anyOf\": [{{ {one} }}, {{ \"type\": \"array\", \"items\": {{ {one} }} }}]")
        }
        ValueSyntax::Pattern => {
            let words = "{ \"enum\": [\"auto\", \"criss-cross\", \"spiral\"] }";
            format!("\"anyOf\": [{words}, {{ \"type\": \"array\", \"items\": {{ {TEXT} }} }}]")
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::syntax::TABLES;
    use crate::table_reader::{AskedKey, ReaderDesk};
    use faults::{FaultCollector, SourceTexts, parse_toml};
    use std::collections::BTreeSet;

    /// The samples of `docs/book-format.md`, which use every table and every key once.
    fn samples() -> String {
        let page = include_str!("../../../docs/book-format.md");
        page.split("```").skip(1).step_by(2).filter_map(|block| block.strip_prefix("toml\n")).collect()
    }

    fn asked(text: &str) -> BTreeSet<AskedKey> {
        let mut sources = SourceTexts::new();
        let file = sources.add_text("book-format.md", text);
        let bag = FaultCollector::new();
        let documents = vec![parse_toml(&sources, file, &bag)];
        let desk = ReaderDesk::new(&bag);
        drop(crate::reader::read_book_tables(&documents, &desk).book);
        desk.asked.take()
    }

    #[test]
    fn the_schema_knows_the_keys_that_the_reader_asks_for() {
        let known: BTreeSet<AskedKey> = TABLES
            .iter()
            .flat_map(|table| table.keys.iter().map(|key| (table.name, key.name, key.needed)))
            .collect();
        let asked = asked(&samples());
        let unknown: Vec<_> = asked.difference(&known).collect();
        let never: Vec<_> = known.difference(&asked).collect();
        assert!(
            unknown.is_empty() && never.is_empty(),
            "asked only: {unknown:#?}\nin the table only: {never:#?}"
        );
    }

    #[test]
    fn the_format_page_shows_every_key() {
        let page = samples();
        let words: BTreeSet<&str> = page.split(|c: char| !(c.is_alphanumeric() || c == '_')).collect();
        let keys = TABLES.iter().flat_map(|table| table.keys);
        let silent: Vec<&str> = keys.map(|key| key.name).filter(|name| !words.contains(name)).collect();
        assert!(silent.is_empty(), "{silent:?}");
    }
}
