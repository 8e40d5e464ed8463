//! Titles of what a key of the book names; the key itself where the book has no such thing.

use model::{Act, Book, Fixing};

/// The words of an act as they are said at the bench.
#[must_use]
pub const fn act_at_the_bench(act: Act) -> &'static str {
    match act {
        Act::Free => "break loose",
        Act::RunOut => "spin out",
        Act::RunIn => "run in",
        Act::Tighten => "tighten",
    }
}

/// The fixing of a key.
#[must_use]
pub fn fixing_of<'b>(book: &'b Book, key: &str) -> Option<&'b Fixing> {
    book.fixing_by_key(key).map(|id| book.fixing(id))
}

/// Title of a fixing.
#[must_use]
pub fn fixing_title(book: &Book, key: &str) -> String {
    fixing_of(book, key).map_or_else(|| key.to_owned(), |f| f.title.clone())
}

/// Title of a part.
#[must_use]
pub fn part_title(book: &Book, key: &str) -> String {
    book.part_by_key(key).map_or_else(|| key.to_owned(), |id| book.part(id).title.clone())
}

/// Title of a task.
#[must_use]
pub fn task_title(book: &Book, key: &str) -> String {
    book.task_by_key(key).map_or_else(|| key.to_owned(), |id| book.task(id).title.clone())
}

/// Title of a station.
#[must_use]
pub fn station_title(book: &Book, key: &str) -> String {
    book.stations.iter().find(|s| s.key == key).map_or_else(|| key.to_owned(), |s| s.title.clone())
}

/// Title of an opening.
#[must_use]
pub fn opening_title(book: &Book, key: &str) -> String {
    book.openings.iter().find(|o| o.key == key).map_or_else(|| key.to_owned(), |o| o.title.clone())
}

/// Title of a fixing, part, task, condition or special tool.
#[must_use]
pub fn any_title(book: &Book, key: &str) -> String {
    let part = || book.part_by_key(key).map(|id| book.part(id).title.clone());
    let task = || book.task_by_key(key).map(|id| book.task(id).title.clone());
    let condition = || book.conditions.iter().find(|c| c.key == key).map(|c| c.title.clone());
    let tool = || book.special_tools.iter().find(|t| t.key == key).map(|t| t.title.clone());
    let fixing = fixing_of(book, key).map(|f| f.title.clone());
    fixing.or_else(part).or_else(task).or_else(condition).or_else(tool).unwrap_or_else(|| key.to_owned())
}

/// Titles of several keys, each once, in order.
#[must_use]
pub fn joined_titles(book: &Book, keys: &[String]) -> String {
    let mut titles: Vec<String> = Vec::new();
    for title in keys.iter().map(|key| any_title(book, key)) {
        if !titles.contains(&title) {
            titles.push(title);
        }
    }
    titles.join(", ")
}
