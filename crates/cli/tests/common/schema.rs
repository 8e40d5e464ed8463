//! The part of JSON Schema that `docs/schemas` uses: comparing an answer with a schema, and widening a schema by an answer.

use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

/// Keywords that only describe.
const NOTES: &[&str] = &["$schema", "title", "description"];

/// Keywords that are compared; any other in a schema is a finding, so that none is passed over in silence.
const COMPARED: &[&str] = &["type", "const", "properties", "required", "items", "additionalProperties"];

/// The schema's word for the type of a value.
fn type_word(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(n) if n.is_f64() => "number",
        Value::Number(_) => "integer",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    }
}

/// The types that a schema allows.
fn allowed_types(schema: &Value) -> BTreeSet<String> {
    match &schema["type"] {
        Value::String(one) => BTreeSet::from([one.clone()]),
        Value::Array(all) => all.iter().filter_map(Value::as_str).map(str::to_owned).collect(),
        _ => BTreeSet::new(),
    }
}

/// Where an answer differs from a schema. A property that the schema does not name is a difference too, though the schema
/// itself lets readers expect new ones.
pub fn find_differences(schema: &Value, value: &Value, path: &str, found: &mut Vec<String>) {
    let types = allowed_types(schema);
    let word = type_word(value);
    let fits = types.contains(word) || (word == "integer" && types.contains("number"));
    if !fits {
        found.push(format!("{path}: {word}, where the schema has {types:?}"));
        return;
    }
    if let Some(wanted) = schema.get("const").filter(|wanted| *wanted != value) {
        found.push(format!("{path}: {value}, where the schema has {wanted}"));
    }
    match value {
        Value::Object(members) => compare_members(schema, members, path, found),
        Value::Array(items) => {
            let wanted = schema.get("items");
            for (at, item) in items.iter().enumerate() {
                match wanted {
                    Some(wanted) => find_differences(wanted, item, &format!("{path}[{at}]"), found),
                    None => found.push(format!("{path}[{at}]: the schema says nothing of its members")),
                }
            }
        }
        _ => {}
    }
}

fn compare_members(schema: &Value, members: &Map<String, Value>, path: &str, found: &mut Vec<String>) {
    for (name, member) in members {
        let place = format!("{path}.{name}");
        match schema["properties"].get(name).or_else(|| schema.get("additionalProperties")) {
            Some(wanted) => find_differences(wanted, member, &place, found),
            None => found.push(format!("{place}: not in the schema")),
        }
    }
    for name in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
        if !members.contains_key(name) {
            found.push(format!("{path}.{name}: required by the schema and not there"));
        }
    }
}

/// Where a schema says less than a reader needs, or uses a keyword that is not compared.
pub fn find_gaps(schema: &Value, path: &str, found: &mut Vec<String>) {
    let Some(keywords) = schema.as_object() else {
        found.push(format!("{path}: no schema"));
        return;
    };
    let is_known = |k: &&String| NOTES.contains(&k.as_str()) || COMPARED.contains(&k.as_str());
    found.extend(
        keywords.keys().filter(|k| !is_known(k)).map(|k| format!("{path}: keyword `{k}` is not compared")),
    );
    let types = allowed_types(schema);
    if types.is_empty() || types == BTreeSet::from([String::from("null")]) {
        found.push(format!("{path}: the schema gives no type but {types:?}"));
    }
    if types.contains("array") {
        match schema.get("items") {
            Some(items) => find_gaps(items, &format!("{path}[]"), found),
            None => found.push(format!("{path}: the schema says nothing of the members")),
        }
    }
    for (name, member) in schema["properties"].as_object().into_iter().flatten() {
        find_gaps(member, &format!("{path}.{name}"), found);
    }
    if let Some(members) = schema.get("additionalProperties") {
        find_gaps(members, &format!("{path}.*"), found);
    }
}

/// The schema of one value.
fn schema_of(value: &Value) -> Value {
    let mut schema = json!({ "type": type_word(value) });
    match value {
        Value::Object(members) => {
            schema["required"] = json!(members.keys().collect::<BTreeSet<_>>());
            schema["properties"] = members.iter().map(|(name, m)| (name.clone(), schema_of(m))).collect();
        }
        Value::Array(items) => {
            if let Some(all) = items.iter().map(schema_of).reduce(|a, b| widen_schema(&a, &b)) {
                schema["items"] = all;
            }
        }
        _ => {}
    }
    schema
}

/// A schema that allows what either allows; what only the first says beyond the compared keywords stays.
fn widen_schema(first: &Value, second: &Value) -> Value {
    let mut out = first.clone();
    let (a, b) = (allowed_types(first), allowed_types(second));
    let mut types: BTreeSet<String> = a.union(&b).cloned().collect();
    if types.contains("number") {
        types.remove("integer");
    }
    out["type"] = if types.len() == 1 { json!(types.first()) } else { json!(types) };
    if let Some(items) = second.get("items") {
        out["items"] = first.get("items").map_or_else(|| items.clone(), |mine| widen_schema(mine, items));
    }
    if b.contains("object") {
        widen_members(&mut out, first, second);
    }
    out
}

fn widen_members(out: &mut Value, first: &Value, second: &Value) {
    for (name, theirs) in second["properties"].as_object().into_iter().flatten() {
        let mine = first["properties"].get(name);
        if let (None, Some(all)) = (mine, first.get("additionalProperties")) {
            out["additionalProperties"] = widen_schema(all, theirs);
        } else {
            out["properties"][name] = mine.map_or_else(|| theirs.clone(), |mine| widen_schema(mine, theirs));
        }
    }
    let needed = |schema: &Value| -> BTreeSet<String> {
        schema["required"]
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(Value::as_str)
            .map(str::to_owned)
            .collect()
    };
    if allowed_types(first).contains("object") {
        out["required"] = json!(needed(first).intersection(&needed(second)).collect::<BTreeSet<_>>());
    } else {
        out["required"] = json!(needed(second));
    }
}

/// A kept schema, or a new one for a format, widened by what an answer shows.
pub fn widen_by_answer(kept: Option<Value>, format: &str, answer: &Value) -> Value {
    let seen = schema_of(answer);
    let mut out = kept.map_or_else(|| seen.clone(), |kept| widen_schema(&kept, &seen));
    out["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    out["title"] = json!(format);
    out["properties"]["format"] = json!({ "type": "string", "const": format });
    out
}
