//! Reads books, stores and plans from disk; the only place of the program that opens files for reading.

mod file_kind;
mod neighbour;
mod whole_file;

pub use file_kind::{FileKind, WantedFile};
pub use neighbour::{find_inside, find_neighbours};
pub(crate) use whole_file::read_whole_file;

use faults::{FaultLook, Faults, SourceTexts};
use model::{Book, Store, plan::Plan};
use std::fs;
use std::path::{Path, PathBuf};

/// Why a file could not be used; says where and what to do.
#[derive(Debug)]
pub enum FileLoadError {
    /// The system would not give the file.
    Io {
        /// The path.
        path: PathBuf,
        /// What the system reported.
        error: std::io::Error,
    },
    /// A folder without a file of the wanted kind.
    Empty {
        /// The folder.
        path: PathBuf,
        /// The endings that were looked for.
        wanted: &'static str,
    },
    /// Nothing lies there.
    Missing {
        /// The path.
        path: PathBuf,
        /// What was wanted there.
        wanted: WantedFile,
        /// What lies near it, most alike first.
        near: Vec<PathBuf>,
    },
    /// A file or folder of another kind than the one that is wanted.
    WrongKind {
        /// The path.
        path: PathBuf,
        /// What was wanted.
        wanted: WantedFile,
        /// What it is.
        found: FileKind,
        /// In a folder: what is of the kind that is wanted.
        inside: Vec<PathBuf>,
    },
    /// The text has faults; they are rendered for a person.
    Faulty {
        /// `book` or `store`.
        what: &'static str,
        /// The path.
        path: PathBuf,
        /// All faults as text.
        report: String,
        /// How many errors.
        errors: usize,
    },
    /// A plan that is no plan.
    Plan {
        /// The path.
        path: PathBuf,
        /// What the reader reported, with line and column.
        error: String,
    },
}

impl core::fmt::Display for FileLoadError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Io { path, error } => write!(f, "cannot read {}: {error}", path.display()),
            Self::Empty { path, wanted } => {
                write!(
                    f,
                    "{} contains no {wanted} file; name a file, or a folder that contains one",
                    path.display()
                )
            }
            Self::Missing { path, wanted, near } => {
                write!(f, "there is no {}", path.display())?;
                let near: Vec<String> = near.iter().map(|path| path.display().to_string()).collect();
                match (&near[..], wanted) {
                    ([], WantedFile::Folder) => Ok(()),
                    ([], _) => write!(f, ", nor {} near it{}", wanted.noun(), wanted.origin_words()),
                    (near, _) => write!(f, "; near it: {}", near.join(", ")),
                }
            }
            Self::WrongKind { path, wanted, found, inside } => {
                file_kind::write_wrong_kind(f, path, *wanted, *found)?;
                let inside: Vec<String> = inside.iter().map(|path| path.display().to_string()).collect();
                if inside.is_empty() { Ok(()) } else { write!(f, "; in it: {}", inside.join(", ")) }
            }
            Self::Faulty { what, path, report, errors } => {
                let count = crate::text::table::count_with_noun(*errors, "error");
                write!(f, "{report}the {what} at {} has {count}; correct the {what} first", path.display())
            }
            Self::Plan { path, error } => {
                write!(f, "{} is not a plan: {error}; make one with `traywright plan --json`", path.display())
            }
        }
    }
}

impl core::error::Error for FileLoadError {}

impl FileLoadError {
    /// The error of a file that the system would not give: what is not there is told with its neighbours.
    #[must_use]
    pub fn of_system(path: &Path, wanted: WantedFile, error: std::io::Error) -> Self {
        use std::io::ErrorKind;
        match error.kind() {
            ErrorKind::NotFound | ErrorKind::NotADirectory => {
                Self::Missing { path: path.to_owned(), wanted, near: find_neighbours(path, wanted) }
            }
            _ => Self::Io { path: path.to_owned(), error },
        }
    }
}

/// Says so where a path is not there, or is of another kind than the one that is wanted.
///
/// # Errors
/// [`FileLoadError::Missing`], [`FileLoadError::WrongKind`], or [`FileLoadError::Io`] where the system refuses.
pub fn require_kind(path: &Path, wanted: WantedFile) -> Result<(), FileLoadError> {
    fs::metadata(path).map_err(|error| FileLoadError::of_system(path, wanted, error))?;
    let is_source =
        path.extension().is_some_and(|end| ["toml", "csv"].iter().any(|want| end.eq_ignore_ascii_case(want)));
    match FileKind::of_path(path) {
        Some(found) if wanted.is_mistaken_for(found) || (found == FileKind::PlainText && !is_source) => {
            let inside = if found == FileKind::Folder { find_inside(path, wanted) } else { Vec::new() };
            Err(FileLoadError::WrongKind { path: path.to_owned(), wanted, found, inside })
        }
        Some(_) | None => Ok(()),
    }
}

/// Says so where a folder that is to be read as one thing holds several of them, as a shelf of books does.
fn require_one_thing(path: &Path, wanted: WantedFile) -> Result<(), FileLoadError> {
    require_kind(path, wanted)?;
    let mut files = Vec::new();
    if path.is_dir() {
        collect_paths(path, &["toml"], &mut files, 0)
            .map_err(|error| FileLoadError::of_system(path, wanted, error))?;
    }
    let named: Vec<FileKind> = files.iter().filter_map(|file| file_kind::named_kind(file)).collect();
    if named.len() < 2 {
        return Ok(());
    }
    let inside = find_inside(path, wanted);
    Err(FileLoadError::WrongKind { path: path.to_owned(), wanted, found: FileKind::Folder, inside })
}

/// The text of a file of a kind; what is no text of that kind is told for what it is.
///
/// # Errors
/// As [`require_kind`].
pub fn read_text_of_kind(path: &Path, wanted: WantedFile) -> Result<String, FileLoadError> {
    require_kind(path, wanted)?;
    whole_file::read_whole_text(path, wanted)
}

/// Faults of a text with the text, ready to be shown.
pub struct FaultReport {
    /// Key of the book, or title of the store, where it could be read.
    pub name: Option<String>,
    /// The faults.
    pub faults: Faults,
    /// The texts.
    pub sources: SourceTexts,
}

impl FaultReport {
    /// All faults for a person, plain or in colour.
    #[must_use]
    pub fn render_text(&self, colour: bool) -> String {
        let look = if colour { FaultLook::Colour } else { FaultLook::Plain };
        faults::render_faults(&self.faults, &self.sources, look)
    }

    /// All faults as records for other programs.
    #[must_use]
    pub fn records_for_programs(&self) -> Vec<faults::FaultRecord> {
        faults::fault_records(&self.faults, &self.sources)
    }
}

/// The files of a path: itself, or all of a folder with one of the endings, by name, sub-folders included.
fn read_source_files(
    path: &Path,
    endings: &[&str],
    wanted: &'static str,
) -> Result<Vec<(String, Vec<u8>)>, FileLoadError> {
    let io = |path: &Path| {
        let path = path.to_owned();
        move |error| FileLoadError::Io { path, error }
    };
    let mut paths = Vec::new();
    if fs::metadata(path).map_err(io(path))?.is_dir() {
        collect_paths(path, endings, &mut paths, 0).map_err(io(path))?;
        paths.sort();
    } else {
        paths.push(path.to_owned());
    }
    if paths.is_empty() {
        return Err(FileLoadError::Empty { path: path.to_owned(), wanted });
    }
    paths.iter().map(|p| Ok((p.display().to_string(), read_whole_file(p).map_err(io(p))?))).collect()
}

/// Deepest nesting of folders that is followed.
const MAX_FOLDER_DEPTH: usize = 8;

fn collect_paths(
    folder: &Path,
    endings: &[&str],
    into: &mut Vec<PathBuf>,
    depth: usize,
) -> std::io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() && depth < MAX_FOLDER_DEPTH {
            collect_paths(&path, endings, into, depth + 1)?;
        } else if path.extension().is_some_and(|e| endings.iter().any(|want| e.eq_ignore_ascii_case(want))) {
            into.push(path);
        }
    }
    Ok(())
}

/// The files of a book, by name.
///
/// # Errors
/// [`FileLoadError::Io`], [`FileLoadError::Missing`], [`FileLoadError::WrongKind`] or [`FileLoadError::Empty`].
pub fn book_files(path: &Path) -> Result<Vec<(String, Vec<u8>)>, FileLoadError> {
    require_one_thing(path, WantedFile::Book)?;
    read_source_files(path, &["toml", "csv"], ".toml or .csv")
}

/// The files of a store, by name.
///
/// # Errors
/// [`FileLoadError::Io`], [`FileLoadError::Missing`], [`FileLoadError::WrongKind`] or [`FileLoadError::Empty`].
pub fn store_files(path: &Path) -> Result<Vec<(String, Vec<u8>)>, FileLoadError> {
    require_one_thing(path, WantedFile::Store)?;
    read_source_files(path, &["toml", "csv"], ".toml or .csv")
}

/// Reads a book and reports all its faults, warnings included.
///
/// # Errors
/// As [`book_files`]; faults of the text are not errors here.
pub fn check_book(path: &Path) -> Result<(Option<Book>, FaultReport), FileLoadError> {
    let reading = book::read_book(&book_files(path)?);
    let name = reading.book.as_ref().map(|b| b.key.clone());
    Ok((reading.book, FaultReport { name, faults: reading.faults, sources: reading.sources }))
}

/// Reads a store and reports all its faults, warnings included.
///
/// # Errors
/// As [`store_files`]; faults of the text are not errors here.
pub fn check_store(path: &Path) -> Result<(Option<Store>, FaultReport), FileLoadError> {
    let reading = tools::read_store(&store_files(path)?);
    let name = reading.store.as_ref().map(|s| s.title.clone());
    Ok((reading.store, FaultReport { name, faults: reading.faults, sources: reading.sources }))
}

fn require_no_errors<T>(
    what: &'static str,
    path: &Path,
    read: (Option<T>, FaultReport),
) -> Result<T, FileLoadError> {
    let (value, findings) = read;
    value.ok_or_else(|| FileLoadError::Faulty {
        what,
        path: path.to_owned(),
        report: findings.render_text(false),
        errors: findings.faults.count_by_severity().0,
    })
}

/// Reads a book that has no errors.
///
/// # Errors
/// [`FileLoadError`], with all faults of the text as a report.
pub fn load_book(path: &Path) -> Result<Book, FileLoadError> {
    require_no_errors("book", path, check_book(path)?)
}

/// Reads a store that has no errors.
///
/// # Errors
/// [`FileLoadError`], with all faults of the text as a report.
pub fn load_store(path: &Path) -> Result<Store, FileLoadError> {
    require_no_errors("store", path, check_store(path)?)
}

/// Reads a plan.
///
/// # Errors
/// [`FileLoadError::Io`], or `FileLoadError::Plan` with line and column.
pub fn load_plan(path: &Path) -> Result<Plan, FileLoadError> {
    require_kind(path, WantedFile::Plan)?;
    let bytes =
        read_whole_file(path).map_err(|error| FileLoadError::of_system(path, WantedFile::Plan, error))?;
    serde_json::from_slice(&bytes).map_err(|error| FileLoadError::Plan {
        path: path.to_owned(),
        error: record::describe_json_error(&error),
    })
}
