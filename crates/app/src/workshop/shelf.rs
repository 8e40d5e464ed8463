//! What a new visit may begin from: the books of a folder, the tool store, and the invented demo that comes with the program.

use std::path::{Path, PathBuf};

use include_dir::{Dir, include_dir};

use model::Book;
use record::VisitId;

use super::{Workshop, WorkshopError};
use crate::load;

/// The invented books of the demo.
static DEMO_BOOKS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../demo/books");
/// The invented tool store of the demo.
static DEMO_STORE: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../demo/store");

/// Folders of books and a tool store, as the server was told of them; each is read when it is asked for.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BookShelf {
    /// Each a book, or a folder of books.
    pub folders: Vec<PathBuf>,
    /// The tool store.
    pub store: Option<PathBuf>,
}

/// A task that a book offers.
#[derive(Debug, Clone, PartialEq)]
pub struct ShelfTask {
    /// Its key.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// Its own work without the way in, s.
    pub work_s: f64,
}

/// A book that a visit may begin from.
#[derive(Debug, Clone, PartialEq)]
pub struct ShelfBook {
    /// Its name on the shelf, the same until files are renamed.
    pub name: String,
    /// Its title, or its file where it cannot be read.
    pub title: String,
    /// How many parts it tells of.
    pub parts: usize,
    /// Its tasks, in the order of the book.
    pub tasks: Vec<ShelfTask>,
    /// Why no visit can begin from it.
    pub trouble: Option<String>,
    /// Whether it is the invented demo.
    pub is_demo: bool,
}

/// Paths of a book and of the store that goes with it.
#[derive(Debug)]
pub struct ShelfPlace {
    /// The book.
    pub book: PathBuf,
    /// The tool store; `None`: none was named.
    pub store: Option<PathBuf>,
    /// Folders that go when they are no longer needed.
    unpacked: Vec<UnpackedFolder>,
}

/// How a name on the shelf begins that is of the demo.
const DEMO_PREFIX: &str = "demo:";

/// How a name begins that is of an engine told in an earlier visit.
const TOLD_PREFIX: &str = "visit:";

impl Workshop {
    /// Engines that were told in visits: each a book that a visit leaves, the newest first.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read.
    pub fn list_told_engines(&mut self) -> Result<Vec<ShelfBook>, WorkshopError> {
        let mut told = Vec::new();
        for id in self.list_visits()? {
            if self.visit(&id)?.state().seen.is_empty() {
                continue;
            }
            let Some(book) = self.book_of_visit(&id, None)?.book else { continue };
            told.push(ShelfBook::of_book(format!("{TOLD_PREFIX}{id}"), &book, false));
        }
        told.reverse();
        Ok(told)
    }

    /// The book of an engine that was told in a visit, on disk for as long as it is read; `None` where the name is of no such one.
    ///
    /// # Errors
    /// As [`Workshop::book_of_visit`]; [`WorkshopError::Rest`] when it cannot be put on disk.
    pub fn unpack_told_engine(&mut self, name: &str) -> Result<Option<ShelfPlace>, WorkshopError> {
        let Some(id) = name.strip_prefix(TOLD_PREFIX).and_then(VisitId::new) else { return Ok(None) };
        let text = self.book_of_visit(&id, None)?.text;
        Ok(Some(ShelfPlace::of_text(&text)?))
    }
}

impl ShelfPlace {
    /// The same book with the store of another place, which is on disk as long as this one.
    #[must_use]
    pub fn with_store_of(self, other: Self) -> Self {
        Self {
            book: self.book,
            store: other.store,
            unpacked: self.unpacked.into_iter().chain(other.unpacked).collect(),
        }
    }

    /// A book that lies in no file, on disk for as long as it is read.
    pub(super) fn of_text(text: &str) -> Result<Self, WorkshopError> {
        let folder = UnpackedFolder {
            folder: std::env::temp_dir().join(format!("traywright-told-{}", super::new_id())),
        };
        let book = folder.folder.join("told.toml");
        std::fs::create_dir_all(&folder.folder)
            .and_then(|()| std::fs::write(&book, text))
            .map_err(|error| WorkshopError::Rest(format!("the book cannot be put on disk: {error}")))?;
        Ok(Self { book, store: None, unpacked: vec![folder] })
    }
}

impl ShelfBook {
    /// A book that can be read.
    fn of_book(name: String, book: &Book, is_demo: bool) -> Self {
        let task = |task: &model::Task| ShelfTask {
            key: task.key.clone(),
            title: task.title.clone(),
            work_s: task.work_s(),
        };
        Self {
            name,
            title: book.title.clone(),
            parts: book.parts.len(),
            tasks: book.tasks.iter().map(task).collect(),
            trouble: None,
            is_demo,
        }
    }
}

impl BookShelf {
    /// All books, the demo last.
    #[must_use]
    pub fn books(&self) -> Vec<ShelfBook> {
        let own = self.paths().into_iter().map(|(name, path)| read_shelf_book(name, &path, false));
        let demo = UnpackedFolder::unpack().map(|demo| demo.books()).unwrap_or_default();
        own.chain(demo).collect()
    }

    /// Where a book of the shelf is; `None` where there is none of that name.
    ///
    /// # Errors
    /// [`WorkshopError::Rest`] when the demo cannot be unpacked.
    pub fn place_of(&self, name: &str) -> Result<Option<ShelfPlace>, WorkshopError> {
        if let Some(key) = name.strip_prefix(DEMO_PREFIX) {
            let demo = UnpackedFolder::unpack()
                .map_err(|error| WorkshopError::Rest(format!("the demo cannot be unpacked: {error}")))?;
            let book = demo.books_folder().join(key);
            let is_there = DEMO_BOOKS.dirs().any(|dir| dir.path() == Path::new(key));
            let store = Some(demo.store_folder());
            return Ok(is_there.then_some(ShelfPlace { book, store, unpacked: vec![demo] }));
        }
        let found = self.paths().into_iter().find(|(known, _)| known == name);
        let place = |(_, book)| ShelfPlace { book, store: self.store.clone(), unpacked: Vec::new() };
        Ok(found.map(place))
    }

    /// Name and path of each book below the folders, in the order of their names.
    fn paths(&self) -> Vec<(String, PathBuf)> {
        let mut all: Vec<(String, PathBuf)> = Vec::new();
        for folder in &self.folders {
            let mut inside: Vec<PathBuf> = if is_book(folder) {
                vec![folder.clone()]
            } else {
                let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
                entries.map(|entry| entry.path()).filter(|path| is_book(path)).collect()
            };
            inside.sort();
            for path in inside {
                let name =
                    path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
                // Two of one name in two folders: both can be told apart.
                let again = all
                    .iter()
                    .filter(|(known, _)| *known == name || known.starts_with(&format!("{name} (")))
                    .count();
                let name = if again > 0 { format!("{name} ({})", again + 1) } else { name };
                all.push((name, path));
            }
        }
        all
    }
}

/// Whether a path is a book: a file of it, or a folder of such files with parts.
fn is_book(path: &Path) -> bool {
    let is_text = |path: &Path| path.extension().is_some_and(|ext| ext == "toml");
    if path.is_file() {
        return is_text(path) && has_parts(path);
    }
    let entries = std::fs::read_dir(path).into_iter().flatten().flatten();
    entries.map(|entry| entry.path()).any(|path| path.is_file() && is_text(&path) && has_parts(&path))
}

fn has_parts(path: &Path) -> bool {
    let text = load::read_whole_file(path).map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
    text.is_ok_and(|text| text.contains("[[part]]") || text.contains("[[task]]"))
}

fn read_shelf_book(name: String, path: &Path, is_demo: bool) -> ShelfBook {
    match load::load_book(path) {
        Ok(book) => ShelfBook::of_book(name, &book, is_demo),
        Err(error) => {
            let first = error.to_string().lines().next().unwrap_or_default().to_owned();
            ShelfBook {
                title: name.clone(),
                name,
                parts: 0,
                tasks: Vec::new(),
                trouble: Some(first),
                is_demo,
            }
        }
    }
}

/// The demo, or a told engine, on disk for as long as it is read.
#[derive(Debug)]
struct UnpackedFolder {
    folder: PathBuf,
}

impl UnpackedFolder {
    fn unpack() -> std::io::Result<Self> {
        let demo = Self { folder: std::env::temp_dir().join(format!("traywright-demo-{}", super::new_id())) };
        std::fs::create_dir_all(demo.books_folder())?;
        std::fs::create_dir_all(demo.store_folder())?;
        DEMO_BOOKS.extract(demo.books_folder())?;
        DEMO_STORE.extract(demo.store_folder())?;
        Ok(demo)
    }

    fn books_folder(&self) -> PathBuf {
        self.folder.join("books")
    }

    fn store_folder(&self) -> PathBuf {
        self.folder.join("store")
    }

    fn books(&self) -> Vec<ShelfBook> {
        let mut names: Vec<String> =
            DEMO_BOOKS.dirs().map(|dir| dir.path().to_string_lossy().into_owned()).collect();
        names.sort();
        let book = |name: String| {
            read_shelf_book(format!("{DEMO_PREFIX}{name}"), &self.books_folder().join(&name), true)
        };
        names.into_iter().map(book).collect()
    }
}

impl Drop for UnpackedFolder {
    fn drop(&mut self) {
        // What cannot be removed lies among the system's passing files.
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}
