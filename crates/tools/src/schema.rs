//! The JSON Schema of a store's TOML files, for editors.

use std::fmt::Write as _;

use crate::gather::FORMAT;
use crate::keys::{KEYS, KeyScope};
use crate::recipe::KINDS;

/// The schema, as it stands in `docs/store.schema.json`.
#[must_use]
pub fn store_json_schema() -> String {
    let mut text = String::new();
    let _ = write!(
        text,
        r##"{{
  "$schema": "https://json-schema.org/draft/2020-12/schema",
  "title": "store of tools, version 1",
  "type": "object",
  "additionalProperties": false,
  "properties": {{
    "format": {{ "const": "{FORMAT}" }},
    "title": {{ "type": "string" }},
    "origin": {{ "type": "string" }},
    "cart_places": {{ "type": "integer", "minimum": 1 }},
    "tray": {{ "type": "array", "items": {{ "$ref": "#/$defs/tray" }} }},
    "set": {{ "type": "array", "items": {{ "$ref": "#/$defs/set" }} }},
    "piece": {{ "type": "array", "items": {{ "$ref": "#/$defs/piece" }} }}
  }},
  "$defs": {{
    "length": {{ "type": ["number", "string"] }},
    "texts": {{ "anyOf": [{{ "type": "string" }}, {{ "type": "array", "items": {{ "type": "string" }} }}] }},
    "tray": {{
      "type": "object",
      "additionalProperties": false,
      "required": ["key", "rows", "columns", "width", "depth", "height"],
      "properties": {{
        "key": {{ "type": "string" }},
        "rows": {{ "type": "integer", "minimum": 1 }},
        "columns": {{ "type": "integer", "minimum": 1 }},
        "width": {{ "$ref": "#/$defs/length" }},
        "depth": {{ "$ref": "#/$defs/length" }},
        "height": {{ "$ref": "#/$defs/length" }}
      }}
    }},
"##
    );
    write_table_schema(&mut text, "set", "\"set\", \"place\"", |name, has| {
        has == KeyScope::Sets
            || !matches!(name, "kind" | "size" | "fits" | "exact" | "hand_link" | "fastener_link")
    });
    text.push_str(",\n");
    write_table_schema(&mut text, "piece", "\"kind\", \"place\"", |_, has| has != KeyScope::Sets);
    text.push_str("\n  }\n}\n");
    text
}

/// One table with its keys.
fn write_table_schema(text: &mut String, name: &str, required: &str, has: impl Fn(&str, KeyScope) -> bool) {
    let rows = KEYS.iter().filter(|(key, group, _)| has(key, *group));
    let lines: Vec<String> = rows.map(|(key, _, words)| store_key_property(key, words)).collect();
    let _ = write!(
        text,
        "    \"{name}\": {{\n      \"type\": \"object\",\n      \"additionalProperties\": false,\n      \
         \"required\": [{required}],\n      \"properties\": {{\n{}\n      }}\n    }}",
        lines.join(",\n")
    );
}

/// One key with its type and its words.
fn store_key_property(key: &str, words: &str) -> String {
    let kind = match key {
        "except" | "also" | "fits" | "clutch" | "answers" => "\"$ref\": \"#/$defs/texts\"".to_owned(),
        "length" | "diameter" | "height" | "depth" | "thickness" | "head_width" | "offset" | "bend_at"
        | "radius" | "arm" | "hand_room" => "\"$ref\": \"#/$defs/length\"".to_owned(),
        "count" | "lent" | "in_calibration" | "teeth" => "\"type\": \"integer\", \"minimum\": 0".to_owned(),
        "points" => "\"enum\": [6, 12]".to_owned(),
        "thin" | "stays_straight" | "exact" => "\"type\": \"boolean\"".to_owned(),
        "place" => "\"type\": [\"string\", \"object\"]".to_owned(),
        "outline" => "\"type\": [\"string\", \"array\"]".to_owned(),
        "price" | "size" | "tolerance" | "speed" => "\"type\": [\"string\", \"number\"]".to_owned(),
        "kind" => format!("\"enum\": [{}]", quote_words(KINDS.iter().map(|(word, _)| *word))),
        "link" | "hand_link" | "fastener_link" => {
            format!("\"enum\": [{}]", quote_words(crate::recipe::LINKS.iter().map(|(word, _)| *word)))
        }
        "retention" => {
            format!("\"enum\": [{}]", quote_words(crate::figures::RETENTIONS.iter().map(|(w, _)| *w)))
        }
        "handle" => format!("\"enum\": [{}]", quote_words(crate::figures::HANDLES.iter().map(|(w, _)| *w))),
        "approach" => {
            format!("\"enum\": [{}]", quote_words(crate::figures::APPROACHES.iter().map(|(w, _)| *w)))
        }
        _ => "\"type\": \"string\"".to_owned(),
    };
    format!("        \"{key}\": {{ {kind}, \"description\": \"{words}\" }}")
}

/// Words in quotes.
fn quote_words<'w>(words: impl Iterator<Item = &'w str>) -> String {
    words.map(|w| format!("\"{w}\"")).collect::<Vec<_>>().join(", ")
}
