//! The first book of an engine, keys written back, and what a book does not tell yet.

use crate::load::{self, FileLoadError, WantedFile};
use crate::text::table::{PageWidth, bullet, count_with_noun, heading};
use crate::workshop::{CarriedBook, compare_carried};
use crate::write::{FileWriteError, write_files};
use book::{MissingFigures, first_book_text, list_missing_figures, write_made_keys as fill_in_keys};
use model::Book;
use std::path::{Path, PathBuf};

/// Why a book could not be begun or written back.
#[derive(Debug)]
pub enum FirstBookError {
    /// There is a file already.
    Exists {
        /// Its path.
        path: PathBuf,
    },
    /// A file could not be read.
    Load(FileLoadError),
    /// A file is no carried book, or not a whole one.
    Carried {
        /// What is wrong with it.
        words: String,
    },
    /// A file could not be written.
    Write(FileWriteError),
}

impl core::fmt::Display for FirstBookError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Exists { path } => {
                write!(f, "{} exists already and is left as it is; give another name", path.display())
            }
            Self::Carried { words } => f.write_str(words),
            Self::Load(error) => error.fmt(f),
            Self::Write(error) => error.fmt(f),
        }
    }
}

impl core::error::Error for FirstBookError {}

/// Writes a first book to begin with.
///
/// # Errors
/// [`FirstBookError::Exists`] where the file is there already, [`FirstBookError::Write`] where it cannot be written.
pub fn write_first_book(path: &Path, title: &str) -> Result<(), FirstBookError> {
    write_new_file(path, first_book_text(title))
}

/// Writes a file that must not exist yet.
///
/// # Errors
/// As [`write_first_book`].
pub fn write_new_file(path: &Path, text: String) -> Result<(), FirstBookError> {
    if path.exists() {
        return Err(FirstBookError::Exists { path: path.to_owned() });
    }
    write_files(&[(path.to_owned(), text)]).map_err(FirstBookError::Write)
}

/// Says what a carried book would change in the own one, and writes it where that is wanted.
///
/// # Errors
/// [`FirstBookError::Load`] where the own book has faults, [`FirstBookError::Carried`] where the file is none, [`FirstBookError::Write`].
pub fn take_carried_book(
    file: &Path,
    into: &Path,
    is_to_write: bool,
    width: PageWidth,
) -> Result<String, FirstBookError> {
    let text = load::read_text_of_kind(file, WantedFile::CarriedBook).map_err(FirstBookError::Load)?;
    let (carried, book) = CarriedBook::read_text(&text)
        .map_err(|error| FirstBookError::Carried { words: error.to_string() })?;
    let own = if into.exists() { Some(load::load_book(into).map_err(FirstBookError::Load)?) } else { None };
    let united = compare_carried(own.as_ref(), &book);
    let mut out = format!("{}\nterms: {}\n", carried.title, carried.licence);
    if own.is_none() {
        let parts = count_with_noun(book.parts.len(), "part");
        out.push_str(&format!(
            "a new book of {parts} and {}\n",
            count_with_noun(book.fastener_count(), "fastener")
        ));
    }
    for words in &united.added {
        out.push_str(&bullet(width, "  + ", words));
    }
    for differ in &united.differences {
        let words =
            format!("{}: yours says {}, theirs {}; yours stays", differ.of, differ.first, differ.second);
        out.push_str(&bullet(width, "  ? ", &words));
    }
    if own.is_some() && united.added.is_empty() && united.differences.is_empty() {
        out.push_str("nothing in it is new\n");
    }
    if is_to_write {
        write_files(&[(into.to_owned(), united.text)]).map_err(FirstBookError::Write)?;
        out.push_str(&format!("{} is written\n", into.display()));
    } else {
        out.push_str("nothing is changed yet; --write changes it\n");
    }
    Ok(out)
}

/// Writes the keys that were made from titles into the files of a book; gives how many files changed.
///
/// # Errors
/// [`FirstBookError::Load`] and [`FirstBookError::Write`].
pub fn write_made_keys(path: &Path, book: &Book) -> Result<usize, FirstBookError> {
    let files = load::book_files(path).map_err(FirstBookError::Load)?;
    let text = |(name, bytes): (String, Vec<u8>)| (name, String::from_utf8_lossy(&bytes).into_owned());
    let files: Vec<(String, String)> = files.into_iter().map(text).collect();
    let written = fill_in_keys(&files, book);
    let changed: Vec<(PathBuf, String)> = files
        .iter()
        .zip(written)
        .filter_map(|((name, _), text)| Some((PathBuf::from(name), text?)))
        .collect();
    write_files(&changed).map_err(FirstBookError::Write)?;
    Ok(changed.len())
}

/// Most keys named in one line.
const MAX_NAMED: usize = 4;

/// What a book does not tell yet and what each of it would bring; empty where it tells everything.
#[must_use]
pub fn missing_words(book: &Book, width: PageWidth) -> String {
    let missing = list_missing_figures(book);
    if missing.is_empty() {
        return String::new();
    }
    let mut out = heading("not told yet, and what it would bring");
    for line in &missing {
        out.push_str(&bullet(width, "  - ", &missing_line(line)));
    }
    out
}

/// What a book does not tell yet, one sentence each, what brings most first.
#[must_use]
pub fn book_questions(book: &Book) -> Vec<String> {
    let words = |missing: &MissingFigures| {
        let counted = count_with_noun(missing.count, missing.of);
        format!("{}, of {counted}: {}", missing.figure, missing.brings)
    };
    list_missing_figures(book).iter().map(words).map(|line| crate::bench::capitalise_first(&line)).collect()
}

/// "the room, of 10 fasteners (timing-cover-bolts): whether a tool reaches; one word of five is enough".
fn missing_line(missing: &MissingFigures) -> String {
    let named = missing.keys.iter().take(MAX_NAMED).map(String::as_str).collect::<Vec<_>>().join(", ");
    let more = match missing.keys.len().saturating_sub(MAX_NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let counted = count_with_noun(missing.count, missing.of);
    format!("{}, of {counted} ({named}{more}): {}", missing.figure, missing.brings)
}
