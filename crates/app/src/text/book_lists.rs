//! The tasks, parts and fixings of a book as tables; the key comes first, for it is what other commands take.

use super::table::{PageWidth, TextAlign, TextTable, count_with_noun};
use crate::book_lists::{BookList, ListedFixing, ListedPart, ListedTask};
use units::significant;

const SECONDS_OF_AN_HOUR: f64 = 3_600.0;

/// The tasks of a book.
#[must_use]
pub fn format_tasks(list: &BookList<ListedTask>, width: PageWidth) -> String {
    let right = TextAlign::Right;
    let mut table = TextTable::new(&[
        ("task", TextAlign::Left),
        ("title", TextAlign::Left),
        ("kind", TextAlign::Left),
        ("own work, h", right),
        ("parts off", right),
        ("station", TextAlign::Left),
    ]);
    for task in &list.listed {
        let assumed = if task.is_work_assumed { "?" } else { "" };
        table.add_row(&[
            task.key.clone(),
            task.title.clone(),
            task.kind.spoken_word().to_owned(),
            format!("{assumed}{}", significant(task.work_s / SECONDS_OF_AN_HOUR, 2)),
            task.parts_off.to_string(),
            task.station.clone(),
        ]);
    }
    let mut out = list_text(list, "task", &table, width);
    if list.listed.iter().any(|task| task.is_work_assumed) {
        out.push_str("? the book does not tell how long: assumed\n");
    }
    out
}

/// The parts of a book.
#[must_use]
pub fn format_parts(list: &BookList<ListedPart>, width: PageWidth) -> String {
    let right = TextAlign::Right;
    let mut table = TextTable::new(&[
        ("part", TextAlign::Left),
        ("title", TextAlign::Left),
        ("kind", TextAlign::Left),
        ("fixings", right),
        ("fasteners", right),
        ("station", TextAlign::Left),
    ]);
    for part in &list.listed {
        table.add_row(&[
            part.key.clone(),
            part.title.clone(),
            part.kind.map_or("", |kind| kind.spoken_word()).to_owned(),
            part.fixings.to_string(),
            part.fasteners.to_string(),
            part.station.clone(),
        ]);
    }
    list_text(list, "part", &table, width)
}

/// The fixings of a book.
#[must_use]
pub fn format_fixings(list: &BookList<ListedFixing>, width: PageWidth) -> String {
    let mut table = TextTable::new(&[
        ("fixing", TextAlign::Left),
        ("title", TextAlign::Left),
        ("fasteners", TextAlign::Right),
        ("size", TextAlign::Left),
        ("tightened to", TextAlign::Left),
        ("part", TextAlign::Left),
    ]);
    for fixing in &list.listed {
        table.add_row(&[
            fixing.key.clone(),
            fixing.title.clone(),
            fixing.fasteners.to_string(),
            fixing.size.clone(),
            fixing.tighten.join(", "),
            fixing.part.clone(),
        ]);
    }
    list_text(list, "fixing", &table, width)
}

/// The heading of a list, and the table below it where there is anything in it.
fn list_text<T>(list: &BookList<T>, noun: &str, table: &TextTable, width: PageWidth) -> String {
    let all = count_with_noun(list.in_book, noun);
    let count = match &list.word {
        None => all,
        Some(word) => format!("{} of {all} with “{word}” in key or title", list.listed.len()),
    };
    let mut out = super::table::bullet(width, "", &format!("{}: {count}", list.title));
    if !table.is_empty() {
        out.push('\n');
        out.push_str(&table.to_text(width));
    }
    out
}
