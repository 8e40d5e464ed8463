//! Files that are written whole or not at all: into a part file first, forced to disk, then renamed.

use std::fs::{File, OpenOptions};
use std::io::Write as _;
use std::path::{Path, PathBuf};

use crate::ArchiveError;
use crate::place::with_ending;

/// A file on the way; removed again where it never gets into its place.
pub(crate) struct PartFile {
    part: PathBuf,
    place: PathBuf,
    is_placed: bool,
}

impl PartFile {
    /// A part file for a place; what an earlier run left of it is removed.
    pub(crate) fn begin(place: &Path) -> Self {
        let file = Self { part: with_ending(place, ".part"), place: place.to_owned(), is_placed: false };
        file.remove();
        file
    }

    /// Where it lies until it is whole.
    pub(crate) fn path(&self) -> &Path {
        &self.part
    }

    /// Writes bytes as its content.
    pub(crate) fn write_bytes(&mut self, bytes: &[u8]) -> Result<(), ArchiveError> {
        let written = File::create(&self.part).and_then(|mut file| file.write_all(bytes));
        written.map_err(file_error(&self.part))
    }

    /// Forces it to disk and gives it its name.
    pub(crate) fn put_in_place(mut self) -> Result<(), ArchiveError> {
        let part = self.part.clone();
        OpenOptions::new()
            .write(true)
            .open(&part)
            .and_then(|file| file.sync_all())
            .and_then(|()| std::fs::rename(&part, &self.place))
            .map_err(file_error(&part))?;
        self.is_placed = true;
        force_folder(&self.place);
        Ok(())
    }

    fn remove(&self) {
        for ending in ["", "-wal", "-shm", "-journal"] {
            // It is most often not there.
            let _ = std::fs::remove_file(with_ending(&self.part, ending));
        }
    }
}

impl Drop for PartFile {
    fn drop(&mut self) {
        if !self.is_placed {
            self.remove();
        }
    }
}

/// Forces the names in a file's folder to disk, where the system can.
pub(crate) fn force_folder(path: &Path) {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
}

/// The system's own words about a file.
pub(crate) fn file_error(path: &Path) -> impl FnOnce(std::io::Error) -> ArchiveError {
    let path = path.to_owned();
    move |cause| ArchiveError::File { path, cause }
}

/// Whether a new file may be written at a path.
///
/// # Errors
/// [`ArchiveError::Exists`] where something is there already.
pub(crate) fn require_free(path: &Path) -> Result<(), ArchiveError> {
    if std::fs::symlink_metadata(path).is_ok() { Err(ArchiveError::Exists(path.to_owned())) } else { Ok(()) }
}
