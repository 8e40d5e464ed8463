//! What a book holds, to choose from: its tasks, parts and fixings, each by the key that other commands take.

use crate::ask::AskError;
use effort::SolverBudget;
use model::{Book, Fixing, Part, PartKind, Task, TaskId, TaskKind};
use serde::Serialize;

/// A task of a book, as a list shows it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ListedTask {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// Kind of work.
    pub kind: TaskKind,
    /// Its own work, once the way is open.
    pub work_s: f64,
    /// Whether that time is assumed, because the book does not tell it.
    pub is_work_assumed: bool,
    /// Parts that come off where it is the only task.
    pub parts_off: usize,
    /// Working position.
    pub station: String,
}

/// A part of a book, as a list shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ListedPart {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// What kind of part it is; null where the book does not tell.
    pub kind: Option<PartKind>,
    /// How many fixings hold it.
    pub fixings: usize,
    /// How many fasteners these have.
    pub fasteners: usize,
    /// Working position.
    pub station: String,
}

/// A fixing of a book, as a list shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ListedFixing {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// How many fasteners it has.
    pub fasteners: usize,
    /// Thread, length and class; what turns it where there is no thread.
    pub size: String,
    /// How it is tightened, stage by stage, as the book writes it.
    pub tighten: Vec<String>,
    /// Key of the part that it holds.
    pub part: String,
}

/// What a list of a book holds: of how many, with which word in it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BookList<T> {
    /// Key of the book.
    pub book: String,
    /// What a person calls the book.
    pub title: String,
    /// The word that all have in key or title; null where all are listed.
    pub word: Option<String>,
    /// How many the book has.
    pub in_book: usize,
    /// Those that are listed, in the order of the book.
    pub listed: Vec<T>,
}

impl<T> BookList<T> {
    fn of_lines(book: &Book, word: Option<&str>, lines: Vec<T>, names: impl Fn(&T) -> [&str; 2]) -> Self {
        let in_book = lines.len();
        let wanted = word.map(str::to_lowercase);
        let has_word = |line: &T| match &wanted {
            Some(word) => names(line).iter().any(|name| name.to_lowercase().contains(word.as_str())),
            None => true,
        };
        Self {
            book: book.key.clone(),
            title: book.title.clone(),
            word: word.map(str::to_owned),
            in_book,
            listed: lines.into_iter().filter(has_word).collect(),
        }
    }
}

/// The tasks of a book, each with the parts that come off for it alone.
///
/// # Errors
/// [`AskError::Argument`] where no way leads to a task, which a checked book rules out.
pub fn list_tasks(book: &Book, word: Option<&str>) -> Result<BookList<ListedTask>, AskError> {
    let lines: Result<Vec<_>, _> = book
        .tasks
        .iter()
        .enumerate()
        .map(|(index, task)| listed_task(book, TaskId::new(index), task))
        .collect();
    Ok(BookList::of_lines(book, word, lines?, |line| [&line.key, &line.title]))
}

fn listed_task(book: &Book, id: TaskId, task: &Task) -> Result<ListedTask, AskError> {
    let way = plan::way_in::find_least_way_in(book, &[id], &SolverBudget::sized())
        .map_err(|error| AskError::argument_error(format!("task `{}`: {error}", task.key)))?;
    Ok(ListedTask {
        key: task.key.clone(),
        title: task.title.clone(),
        kind: task.kind,
        work_s: task.work_s(),
        is_work_assumed: task.work.ends().is_none(),
        parts_off: way.parts.len(),
        station: book.station(task.station).title.clone(),
    })
}

/// The parts of a book.
#[must_use]
pub fn list_parts(book: &Book, word: Option<&str>) -> BookList<ListedPart> {
    let lines = book.part_ids().map(|id| {
        let part: &Part = book.part(id);
        let fixings: Vec<&Fixing> = book.fixings_of(id).map(|fixing| book.fixing(fixing)).collect();
        ListedPart {
            key: part.key.clone(),
            title: part.title.clone(),
            kind: part.kind,
            fixings: fixings.len(),
            fasteners: fixings.iter().map(|fixing| fixing.holes.len()).sum(),
            station: book.station(part.station).title.clone(),
        }
    });
    BookList::of_lines(book, word, lines.collect(), |line| [&line.key, &line.title])
}

/// The fixings of a book.
#[must_use]
pub fn list_fixings(book: &Book, word: Option<&str>) -> BookList<ListedFixing> {
    let lines = book.fixings.iter().map(|fixing| ListedFixing {
        key: fixing.key.clone(),
        title: fixing.title.clone(),
        fasteners: fixing.holes.len(),
        size: fixing.size_or_drive_words(),
        tighten: fixing.tightening.stages.iter().map(|stage| stage.as_written.clone()).collect(),
        part: book.part(fixing.part).key.clone(),
    });
    BookList::of_lines(book, word, lines.collect(), |line| [&line.key, &line.title])
}

#[cfg(test)]
mod tests {
    use super::{list_fixings, list_parts, list_tasks};
    use model::Book;
    use std::path::Path;

    fn demo_book() -> Book {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/books/tern-24");
        crate::load::load_book(&folder).expect("a book of the demo")
    }

    #[test]
    fn everything_is_listed_in_the_order_of_the_book() {
        let book = demo_book();
        let tasks = list_tasks(&book, None).expect("there are ways in");
        assert!(tasks.listed.iter().map(|task| &task.key).eq(book.tasks.iter().map(|task| &task.key)));
        let parts = list_parts(&book, None);
        assert!(parts.listed.iter().map(|part| &part.key).eq(book.parts.iter().map(|part| &part.key)));
        assert_eq!(parts.listed.iter().map(|part| part.fasteners).sum::<usize>(), book.fastener_count());
        assert_eq!(list_fixings(&book, None).listed.len(), book.fixings.len());
    }

    #[test]
    fn a_word_is_looked_for_in_key_and_title_whatever_its_letters() {
        let book = demo_book();
        let found = list_parts(&book, Some("HOSE"));
        assert_eq!(found.in_book, book.parts.len());
        assert!(!found.listed.is_empty() && found.listed.len() < found.in_book);
        assert!(found.listed.iter().all(|part| part.key.contains("hose") || part.title.contains("hose")));
        assert!(list_fixings(&book, Some("no such word")).listed.is_empty());
    }

    #[test]
    fn a_task_counts_the_parts_that_come_off_for_it_alone() {
        let book = demo_book();
        let all = list_tasks(&book, None).expect("there are ways in").listed;
        let whole = plan::way_in::find_least_way_in(
            &book,
            &(0..book.tasks.len()).map(model::TaskId::new).collect::<Vec<_>>(),
            &effort::SolverBudget::sized(),
        );
        let whole = whole.expect("there is a way in").parts.len();
        assert!(all.iter().all(|task| task.parts_off <= whole), "one task needs no more than all together");
        assert!(all.iter().any(|task| task.parts_off > 0));
    }
}
