//! The JSON Schema of the book format, for editors that complete and check while one writes.
//!
//! Draft 2020-12. A folder's files are each checked alone, so that the keys of the head are not required by the schema;
//! the reader requires them of the book as a whole. What a schema cannot say (names that lead somewhere, lengths that
//! add up) is left to the rules.

use crate::syntax::{FORMAT, Form, Key, TABLES, Table};
use crate::write::quoted;
use core::fmt::Write as _;

/// The schema as JSON text.
#[must_use]
pub fn schema() -> String {
    let (root, others) = TABLES.split_first().map_or((None, TABLES), |(root, others)| (Some(root), others));
    let mut out = String::from("{\n  \"$schema\": \"https://json-schema.org/draft/2020-12/schema\",\n");
    let _ = writeln!(out, "  \"title\": {},", quoted("A file of an engine book, version 1"));
    out.push_str(&root.map(|table| object(table, "  ", Required::No)).unwrap_or_default());
    out.push_str(",\n  \"$defs\": {\n");
    let definitions = others.iter().map(|table| {
        format!("    {}: {{\n{}\n    }}", quoted(table.name), object(table, "      ", Required::Yes))
    });
    out.push_str(&definitions.collect::<Vec<_>>().join(",\n"));
    out.push_str("\n  }\n}\n");
    out
}

/// Whether the keys that must be there are required.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Required {
    Yes,
    No,
}

/// The lines of one object, without its braces.
fn object(table: &Table, indent: &str, required: Required) -> String {
    let mut out = format!("{indent}\"type\": \"object\",\n{indent}\"additionalProperties\": false,\n");
    let needed: Vec<String> = table.keys.iter().filter(|k| k.needed).map(|k| quoted(k.name)).collect();
    if required == Required::Yes && !needed.is_empty() {
        let _ = writeln!(out, "{indent}\"required\": [{}],", needed.join(", "));
    }
    let lines = table.keys.iter().map(|key| format!("{indent}  {}: {}", quoted(key.name), property(key)));
    let _ = write!(out, "{indent}\"properties\": {{\n{}\n{indent}}}", lines.collect::<Vec<_>>().join(",\n"));
    out
}

fn property(key: &Key) -> String {
    format!("{{ \"description\": {}, {} }}", quoted(key.about), form(key.form))
}

const TEXT: &str = "\"type\": \"string\", \"minLength\": 1";
const LENGTH: &str = "\"type\": [\"number\", \"string\"]";

fn form(form: Form) -> String {
    match form {
        Form::Format => format!("\"const\": {}", quoted(FORMAT)),
        Form::Text => TEXT.into(),
        Form::Key => "\"type\": \"string\", \"pattern\": \"^[a-z0-9]+(-[a-z0-9]+)*$\"".into(),
        Form::Keys => format!("\"type\": \"array\", \"uniqueItems\": true, \"items\": {{ {TEXT} }}"),
        Form::Flag => "\"type\": \"boolean\"".into(),
        Form::Count => "\"type\": \"integer\", \"minimum\": 0, \"maximum\": 10000".into(),
        Form::Number => "\"type\": \"number\"".into(),
        Form::Length => format!("{LENGTH}, \"examples\": [25, \"25 mm\"]"),
        Form::Quantity(sample) => {
            format!("\"type\": \"string\", \"pattern\": \"^[-+0-9]\", \"examples\": [{}]", quoted(sample))
        }
        Form::Price => format!("{LENGTH}, \"examples\": [\"18.00\", \"18.00 EUR\"]"),
        Form::Word(words) => {
            let words: Vec<String> = words().into_iter().map(quoted).collect();
            format!("\"enum\": [{}]", words.join(", "))
        }
        Form::Table(name) => format!("\"$ref\": \"#/$defs/{name}\""),
        Form::Tables(name) => {
            format!("\"type\": \"array\", \"items\": {{ \"$ref\": \"#/$defs/{name}\" }}")
        }
        Form::Holes => {
            let pair = format!(
                "{{ \"type\": \"array\", \"minItems\": 2, \"maxItems\": 2, \"items\": {{ {LENGTH} }} }}"
            );
            format!(
                "\"type\": \"array\", \"items\": {{ \"anyOf\": [{pair}, {{ \"$ref\": \"#/$defs/hole\" }}] }}"
            )
        }
        Form::Passes => {
            let one = "\"type\": \"string\", \"examples\": [\"9 N·m\", \"90°\", \"seat\"]";
            format!("\"anyOf\": [{{ {one} }}, {{ \"type\": \"array\", \"items\": {{ {one} }} }}]")
        }
        Form::Pattern => {
            let words = "{ \"enum\": [\"auto\", \"criss-cross\", \"spiral\"] }";
            format!("\"anyOf\": [{words}, {{ \"type\": \"array\", \"items\": {{ {TEXT} }} }}]")
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::row::{Asked, Desk};
    use crate::syntax::TABLES;
    use faults::{Collector, Sources, parse};
    use std::collections::BTreeSet;

    /// The samples of `docs/book-format.md`, which use every table and every key once.
    fn samples() -> String {
        let page = include_str!("../../../docs/book-format.md");
        page.split("```").skip(1).step_by(2).filter_map(|block| block.strip_prefix("toml\n")).collect()
    }

    fn asked(text: &str) -> BTreeSet<Asked> {
        let mut sources = Sources::new();
        let file = sources.add("book-format.md", text);
        let bag = Collector::new();
        let documents = vec![parse(&sources, file, &bag)];
        let desk = Desk::new(&bag);
        drop(crate::reading::read(&documents, &desk).book);
        desk.asked.take()
    }

    #[test]
    fn the_schema_knows_the_keys_that_the_reader_asks_for() {
        let known: BTreeSet<Asked> = TABLES
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
