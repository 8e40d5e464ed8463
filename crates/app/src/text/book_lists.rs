//! The tasks, parts and fixings of a book as tables; the key comes first, for it is what other commands take.

use super::table::{PageWidth, TextAlign, TextTable, bullet, count_with_noun, spoken_time};
use crate::book_lists::{BookList, ListedFixing, ListedPart, ListedTask};

/// The tasks of a book, by station.
#[must_use]
pub fn format_tasks(list: &BookList<ListedTask>, width: PageWidth) -> String {
    let new_table = || {
        TextTable::new(&[
            ("task", TextAlign::Whole),
            ("title", TextAlign::Left),
            ("kind", TextAlign::Left),
            ("own work", TextAlign::Right),
            ("parts off", TextAlign::Right),
        ])
    };
    let row = |task: &ListedTask| {
        let assumed = if task.is_work_assumed { "? " } else { "" };
        vec![
            task.key.clone(),
            task.title.clone(),
            task.kind.spoken_word().to_owned(),
            format!("{assumed}{}", spoken_time(task.work_s)),
            task.parts_off.to_string(),
        ]
    };
    let mut out = list_heading(list, "task", width);
    push_by_station(&mut out, &list.listed, |task| &task.station, new_table, row, width);
    out.push('\n');
    out.push_str(&bullet(width, "", "own work: once the way is open; parts off: where it is the only task"));
    if list.listed.iter().any(|task| task.is_work_assumed) {
        out.push_str("?: the book does not tell how long; assumed\n");
    }
    out
}

/// The parts of a book, by station.
#[must_use]
pub fn format_parts(list: &BookList<ListedPart>, width: PageWidth) -> String {
    let new_table = || {
        TextTable::new(&[
            ("part", TextAlign::Whole),
            ("title", TextAlign::Left),
            ("kind", TextAlign::Left),
            ("fixings", TextAlign::Right),
            ("fasteners", TextAlign::Right),
        ])
    };
    let row = |part: &ListedPart| {
        vec![
            part.key.clone(),
            part.title.clone(),
            part.kind.map_or("", |kind| kind.spoken_word()).to_owned(),
            part.fixings.to_string(),
            part.fasteners.to_string(),
        ]
    };
    let mut out = list_heading(list, "part", width);
    push_by_station(&mut out, &list.listed, |part| &part.station, new_table, row, width);
    out
}

/// The fixings of a book; the part that each holds is told where there is room.
#[must_use]
pub fn format_fixings(list: &BookList<ListedFixing>, width: PageWidth) -> String {
    let heads = [
        ("fixing", TextAlign::Whole),
        ("title", TextAlign::Left),
        ("count", TextAlign::Right),
        ("size", TextAlign::Left),
        ("tightened to", TextAlign::Left),
        ("part", TextAlign::Whole),
    ];
    let table_of = |columns: usize| {
        let mut table = TextTable::new(&heads[..columns]);
        for fixing in &list.listed {
            let cells = [
                fixing.key.clone(),
                fixing.title.clone(),
                fixing.fasteners.to_string(),
                fixing.size.clone(),
                fixing.tighten.join(", "),
                fixing.part.clone(),
            ];
            table.add_row(&cells[..columns]);
        }
        table
    };
    let whole = table_of(heads.len());
    let table = if whole.fits(width) { whole } else { table_of(heads.len() - 1) };
    let mut out = list_heading(list, "fixing", width);
    if !table.is_empty() {
        out.push('\n');
        out.push_str(&table.to_text(width));
    }
    out
}

/// How many there are, and how many of them are listed.
fn list_heading<T>(list: &BookList<T>, noun: &str, width: PageWidth) -> String {
    let all = count_with_noun(list.in_book, noun);
    let count = match &list.word {
        None => all,
        Some(word) => format!("{} of {all} with “{word}” in key or title", list.listed.len()),
    };
    bullet(width, "", &format!("{}: {count}", list.title))
}

/// A table below each station, the stations in the order in which they come up.
fn push_by_station<T>(
    out: &mut String,
    lines: &[T],
    station: impl Fn(&T) -> &str,
    new_table: impl Fn() -> TextTable,
    row: impl Fn(&T) -> Vec<String>,
    width: PageWidth,
) {
    let mut stations: Vec<&str> = Vec::new();
    for line in lines {
        if !stations.contains(&station(line)) {
            stations.push(station(line));
        }
    }
    for place in stations {
        let mut table = new_table();
        lines.iter().filter(|line| station(line) == place).for_each(|line| table.add_row(&row(line)));
        out.push_str(&format!("\n{place}\n"));
        out.push_str(&table.to_text(width));
    }
}
