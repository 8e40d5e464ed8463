//! The text of a book as a document that is added to.

use std::collections::BTreeSet;

use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value, value};

use super::{FixingAddition, PartAddition, TaskAddition};

/// A book's text that grows, and what could not be taken in.
pub(super) struct BookDocument {
    document: DocumentMut,
    left_out: Vec<String>,
}

impl BookDocument {
    /// The text of a book that was read or written before.
    pub(super) fn read(text: &str) -> Self {
        Self { document: text.parse().unwrap_or_default(), left_out: Vec::new() }
    }

    /// The text, and what was left out.
    pub(super) fn finish(self) -> (String, Vec<String>) {
        (self.document.to_string(), self.left_out)
    }

    /// Adds parts, or changes those that are there.
    pub(super) fn add_parts(&mut self, parts: &[PartAddition], (observed, told): (bool, bool)) {
        let known: Vec<String> = parts.iter().map(|part| part.key.clone()).chain(self.part_keys()).collect();
        for part in parts {
            let rows = rows_of(self.document.as_table_mut(), "part");
            let row = row_by_key(rows, &part.key);
            fill_part(row, part, &mut self.left_out);
            let before =
                (part.off_before.iter().filter(|_| observed)).chain(part.told_before.iter().filter(|_| told));
            let before = before.filter(|key| known.contains(key) && **key != part.key);
            set_order(row, before, &part.freed);
            for fixing in &part.fixings {
                let own = row_by_key(rows_of(row, "fixing"), &fixing.key);
                fill_fixing(own, fixing, &mut self.left_out);
                // A fixing has no tip of its own: what is noted of it stands in that of its part.
                let title = own.get("title").and_then(Item::as_str).unwrap_or_default().to_owned();
                let notes: Vec<String> = fixing.notes.iter().map(|note| format!("{title}: {note}")).collect();
                set_notes(row, &notes);
            }
        }
    }

    fn part_keys(&self) -> Vec<String> {
        let parts = self.document.get("part").and_then(Item::as_array_of_tables);
        let key = |table: &Table| table.get("key").and_then(Item::as_str).map(str::to_owned);
        parts.into_iter().flatten().filter_map(key).collect()
    }

    /// Adds tasks; one whose key is there takes its place.
    pub(super) fn add_tasks(&mut self, tasks: &[TaskAddition]) {
        for task in tasks {
            let row = row_by_key(rows_of(self.document.as_table_mut(), "task"), &task.key);
            row.insert("title", value(task.title.as_str()));
            row.insert("off_first", value(words_array(task.off_first.iter().map(String::as_str))));
        }
    }
}

/// The rows under a heading; none yet where there are none.
fn rows_of<'a>(table: &'a mut Table, heading: &str) -> &'a mut ArrayOfTables {
    let item = table.entry(heading).or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    if !item.is_array_of_tables() {
        *item = Item::ArrayOfTables(ArrayOfTables::new());
    }
    item.as_array_of_tables_mut().expect("rows were put there")
}

/// The row of a key; a new one at the end where there is none.
fn row_by_key<'a>(rows: &'a mut ArrayOfTables, key: &str) -> &'a mut Table {
    let found = rows.iter().position(|row| row.get("key").and_then(Item::as_str) == Some(key));
    let at = found.unwrap_or_else(|| {
        let mut row = Table::new();
        row.insert("key", value(key));
        rows.push(row);
        rows.len() - 1
    });
    rows.get_mut(at).expect("it was found or put there")
}

fn fill_part(row: &mut Table, part: &PartAddition, left_out: &mut Vec<String>) {
    let is_new = row.get("title").is_none();
    if let Some(title) = part.title.as_deref().filter(|title| is_new || !title.is_empty()) {
        row.insert("title", value(title));
    }
    if let Some(word) = &part.part_kind {
        if is_part_word("kind", word) {
            row.insert("kind", value(word.as_str()));
        } else {
            left_out.push(format!("“{word}” is no kind of part that books know"));
        }
    }
    if is_new {
        // What is told of room is a class that was seen, not a length that was measured.
        let mut origins = InlineTable::new();
        origins.insert("space", Value::from("seen"));
        row.insert("origins", value(origins));
    }
    if let Some(seconds) = part.learned_lift_s {
        row.insert("lift_time", value(format!("{seconds} s")));
        set_origin(row, "times", "inferred");
    }
    set_notes(row, &part.notes);
}

/// Sets the origin of one kind of figures of a row; the others stay.
fn set_origin(row: &mut Table, kind: &str, origin: &str) {
    match row.get_mut("origins").and_then(Item::as_table_like_mut) {
        Some(origins) => drop(origins.insert(kind, value(origin))),
        None => {
            let mut origins = InlineTable::new();
            origins.insert(kind, Value::from(origin));
            row.insert("origins", value(origins));
        }
    }
}

/// Keys of parts that come off before: those that are there, those added, without those freed.
fn set_order<'a>(row: &mut Table, more: impl Iterator<Item = &'a String>, freed: &[String]) {
    let before = row.get("off_first").and_then(Item::as_array).into_iter().flatten();
    let mut all: Vec<String> = before.filter_map(|key| key.as_str().map(str::to_owned)).collect();
    for key in more {
        if !all.contains(key) {
            all.push(key.clone());
        }
    }
    all.retain(|key| !freed.contains(key));
    if all.is_empty() {
        row.remove("off_first");
    } else {
        row.insert("off_first", value(words_array(all.iter().map(String::as_str))));
    }
}

fn fill_fixing(row: &mut Table, fixing: &FixingAddition, left_out: &mut Vec<String>) {
    let is_new = row.get("title").is_none();
    if let Some(title) = &fixing.title {
        row.insert("title", value(title.as_str()));
    }
    if is_new {
        match fixing.first {
            Some(first) => {
                let labels: Vec<String> =
                    (first..first.saturating_add(fixing.count)).map(|label| label.to_string()).collect();
                row.insert("holes", value(words_array(labels.iter().map(String::as_str))));
            }
            None => drop(row.insert("count", value(i64::from(fixing.count)))),
        }
    }
    if !fixing.places_um.is_empty() && !set_places(row, &fixing.places_um) {
        left_out.push(format!("the places of {} holes do not fit those of the book", fixing.places_um.len()));
    }
    for (key, word) in &fixing.words {
        let is_free_text = matches!(*key, "tighten" | "source");
        if !is_free_text && !is_fixing_word(key, word) {
            left_out.push(format!("“{word}” is no {key} that books know"));
        } else if *key == "room" && row.contains_key("access") {
            for access in rows_of(row, "access").iter_mut() {
                access.insert("room", value(word.as_str()));
            }
        } else if *key == "tighten" {
            row.insert(key, value(words_array(word.split(", then ").map(str::trim))));
        } else {
            row.insert(key, value(word.as_str()));
        }
    }
}

/// Micrometres in the last figure of a place that is written.
const PLACE_STEP_UM: i32 = 10;

/// Gives the holes of a fixing their places; those that have places keep them. `false` where there are not as many, or two fall on
/// one place.
fn set_places(row: &mut Table, places_um: &[(i32, i32)]) -> bool {
    let Some(holes) = row.get("holes").and_then(Item::as_array) else { return false };
    let is_placed =
        |hole: &Value| hole.is_array() || hole.as_inline_table().is_some_and(|t| t.contains_key("x"));
    if holes.iter().any(is_placed) {
        return true;
    }
    let label = |hole: &Value| {
        let word = hole.as_str().or_else(|| hole.as_inline_table()?.get("label")?.as_str());
        word.map(str::to_owned)
    };
    let labels: Vec<String> = holes.iter().filter_map(label).collect();
    let steps: Vec<(i32, i32)> =
        places_um.iter().map(|(x, y)| (x.div_euclid(PLACE_STEP_UM), y.div_euclid(PLACE_STEP_UM))).collect();
    let apart: BTreeSet<&(i32, i32)> = steps.iter().collect();
    if labels.len() != holes.len() || labels.len() != steps.len() || apart.len() != steps.len() {
        return false;
    }
    let placed = labels.iter().zip(&steps).map(|(label, (x, y))| {
        let mut hole = InlineTable::new();
        hole.insert("label", Value::from(label.as_str()));
        let step_mm = |steps: &i32| f64::from(*steps) / f64::from(1000 / PLACE_STEP_UM);
        hole.insert("x", Value::from(step_mm(x)));
        hole.insert("y", Value::from(step_mm(y)));
        Value::from(hole)
    });
    row.insert("holes", value(placed.collect::<Array>()));
    true
}

fn set_notes(row: &mut Table, notes: &[String]) {
    if notes.is_empty() {
        return;
    }
    let told = row.get("tip").and_then(Item::as_str).unwrap_or_default().to_owned();
    let mut all: Vec<&str> = Some(told.as_str()).filter(|tip| !tip.is_empty()).into_iter().collect();
    all.extend(notes.iter().map(String::as_str).filter(|note| !told.contains(note)));
    row.insert("tip", value(all.join(" ")));
}

fn words_array<'a>(words: impl Iterator<Item = &'a str>) -> Array {
    words.collect()
}

/// Whether a fixing of the smallest book is still one with this word at this key.
pub(super) fn is_fixing_word(key: &str, word: &str) -> bool {
    let mut row = Table::new();
    row.insert("title", value("fasteners"));
    row.insert("count", value(1));
    row.insert(key, value(word));
    let mut part = Table::new();
    part.insert("title", value("part"));
    rows_of(&mut part, "fixing").push(row);
    is_book_with(part)
}

/// Whether a part of the smallest book is still one with this word at this key.
pub(super) fn is_part_word(key: &str, word: &str) -> bool {
    let mut part = Table::new();
    part.insert("title", value("part"));
    part.insert(key, value(word));
    is_book_with(part)
}

fn is_book_with(part: Table) -> bool {
    let mut document: DocumentMut =
        super::empty_book_text("one part", "a trial of one word").parse().unwrap_or_default();
    rows_of(document.as_table_mut(), "part").push(part);
    super::read_text(&document.to_string()).book.is_some()
}
