//! Writes what was made into files of the user's choice; the one place that says an output could not be written.

use std::borrow::Cow;
use std::fs;
use std::path::{Path, PathBuf};

use print::face::embed_face;

/// An output that cannot be written.
#[derive(Debug)]
pub struct FileWriteError {
    /// The path.
    pub path: PathBuf,
    /// What the system reported.
    pub cause: std::io::Error,
}

impl FileWriteError {
    /// Makes one from a path and what the system reported about it.
    pub(crate) fn at_path(path: &Path) -> impl FnOnce(std::io::Error) -> Self {
        move |cause| Self { path: path.to_owned(), cause }
    }
}

impl core::fmt::Display for FileWriteError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let Self { path, cause } = self;
        write!(f, "cannot write {}: {cause}; choose another place or free space", path.display())
    }
}

impl core::error::Error for FileWriteError {}

/// Writes texts to files, making folders as needed; a drawing takes its face with it, so that it looks the same elsewhere.
///
/// # Errors
/// [`FileWriteError`] with the first path that could not be written; those after it are not tried.
pub fn write_files(files: &[(PathBuf, String)]) -> Result<(), FileWriteError> {
    for (path, text) in files {
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(FileWriteError::at_path(path))?;
        }
        let is_drawing = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("svg"));
        let text = if is_drawing { Cow::Owned(embed_face(text)) } else { Cow::Borrowed(text) };
        write_file(path, text.as_bytes())?;
    }
    Ok(())
}

/// Writes one file into a folder that is there already.
///
/// # Errors
/// [`FileWriteError`] with the path.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), FileWriteError> {
    fs::write(path, bytes).map_err(FileWriteError::at_path(path))
}
