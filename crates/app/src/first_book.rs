//! The first book of an engine, keys written back, and what a book does not tell yet.

use crate::load::{self, FileLoadError};
use crate::text::table::{bullet, count_with_noun, heading};
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
    /// A file could not be written.
    Write(FileWriteError),
}

impl core::fmt::Display for FirstBookError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Exists { path } => {
                write!(f, "{} exists already and is left as it is; give another name", path.display())
            }
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
    if path.exists() {
        return Err(FirstBookError::Exists { path: path.to_owned() });
    }
    write_files(&[(path.to_owned(), first_book_text(title))]).map_err(FirstBookError::Write)
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
pub fn missing_words(book: &Book) -> String {
    let missing = list_missing_figures(book);
    if missing.is_empty() {
        return String::new();
    }
    let mut out = heading("not told yet, and what it would bring");
    for line in &missing {
        out.push_str(&bullet("  - ", &missing_line(line)));
    }
    out
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
