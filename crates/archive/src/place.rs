//! Is the journal still the file that was opened? A file that is moved, removed or replaced while it is open takes writes that
//! nobody finds again.

use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

use crate::ArchiveError;

/// What a file is on its disk, whatever it is called.
pub(crate) type FileIdentity = (u64, u64);

/// Where an open journal lies, and which files it was when it was opened.
#[derive(Debug, Clone)]
pub struct JournalPlace {
    path: PathBuf,
    file: Option<FileIdentity>,
    log: Arc<OnceLock<FileIdentity>>,
}

impl JournalPlace {
    /// A journal in memory, which cannot be moved.
    pub(crate) fn in_memory() -> Self {
        Self { path: PathBuf::new(), file: None, log: Arc::default() }
    }

    /// The journal that has just been opened at a path.
    pub(crate) fn of_opened(path: &Path) -> Self {
        let place = Self { path: real_path(path), file: identify_file(path), log: Arc::default() };
        place.learn_log();
        place
    }

    /// Where it lies.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    fn learn_log(&self) -> Option<FileIdentity> {
        let now = identify_file(&with_ending(&self.path, "-wal"));
        now.map(|now| *self.log.get_or_init(|| now))
    }

    /// Whether file and write-ahead log are those that were opened.
    ///
    /// # Errors
    /// [`ArchiveError::Gone`] with what became of them.
    pub fn check(&self) -> Result<(), ArchiveError> {
        let Some(file) = self.file else { return Ok(()) };
        let gone = |what: &'static str| ArchiveError::Gone { path: self.path.clone(), what };
        match identify_file(&self.path) {
            None => return Err(gone("was moved or removed")),
            Some(now) if now != file => return Err(gone("was replaced by another file")),
            Some(_) => {}
        }
        match (self.log.get(), self.learn_log()) {
            (Some(_), None) => Err(gone("has lost its write-ahead log")),
            (Some(known), Some(_)) if identify_file(&with_ending(&self.path, "-wal")) != Some(*known) => {
                Err(gone("has another write-ahead log"))
            }
            _ => Ok(()),
        }
    }
}

/// Which file lies at a path; `None`: none, or this system does not say.
#[cfg(unix)]
pub(crate) fn identify_file(path: &Path) -> Option<FileIdentity> {
    use std::os::unix::fs::MetadataExt as _;
    std::fs::metadata(path).ok().map(|meta| (meta.dev(), meta.ino()))
}

/// Which file an open one is.
#[cfg(unix)]
pub(crate) fn identify_open_file(file: &std::fs::File) -> Option<FileIdentity> {
    use std::os::unix::fs::MetadataExt as _;
    file.metadata().ok().map(|meta| (meta.dev(), meta.ino()))
}

/// Which file an open one is; this system does not say.
#[cfg(not(unix))]
pub(crate) fn identify_open_file(_file: &std::fs::File) -> Option<FileIdentity> {
    None
}

/// Which file lies at a path; elsewhere an open file can be neither moved nor removed.
#[cfg(not(unix))]
pub(crate) fn identify_file(_path: &Path) -> Option<FileIdentity> {
    None
}

/// A path with its links followed, also where the file itself is not there yet.
pub(crate) fn real_path(path: &Path) -> PathBuf {
    if let Ok(real) = std::fs::canonicalize(path) {
        return real;
    }
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    match (std::fs::canonicalize(folder), path.file_name()) {
        (Ok(folder), Some(name)) => folder.join(name),
        _ => path.to_owned(),
    }
}

/// A path with something added to its name.
pub(crate) fn with_ending(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}
