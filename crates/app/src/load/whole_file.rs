//! Files read whole: ordinary ones, of a size that somebody may have written.

use std::fs;
use std::io;
use std::path::Path;

use super::{FileLoadError, WantedFile};

/// Largest file that is read whole: the plan of 10,000 steps has 60 MB (assumption: ten times what anybody makes).
const MAX_WHOLE_BYTES: u64 = 512 << 20;
/// Bytes of a mebibyte.
const MIB: u64 = 1 << 20;

/// Why a file is not read.
fn refusal_words(data: &fs::Metadata) -> Option<String> {
    if data.is_dir() {
        return None; // The system says so itself.
    }
    if !data.is_file() {
        return Some(String::from(
            "it is a pipe, a device or a socket, no file; write what comes out of it into a file, and name that",
        ));
    }
    let too_large = data.len() > MAX_WHOLE_BYTES;
    too_large.then(|| {
        format!("it has {} MB, and more than {} MB are not read", data.len() / MIB, MAX_WHOLE_BYTES / MIB)
    })
}

/// The bytes of a file. A pipe, a terminal or a device is not opened: reading it would wait for whoever writes there.
///
/// # Errors
/// [`io::Error`] with words that say what to do.
pub(crate) fn read_whole_file(path: &Path) -> io::Result<Vec<u8>> {
    match refusal_words(&fs::metadata(path)?) {
        Some(words) => Err(io::Error::new(io::ErrorKind::InvalidInput, words)),
        None => fs::read(path),
    }
}

/// The same as text.
///
/// # Errors
/// [`FileLoadError::Missing`] or [`FileLoadError::Io`].
pub(crate) fn read_whole_text(path: &Path, wanted: WantedFile) -> Result<String, FileLoadError> {
    let text = read_whole_file(path).and_then(|bytes| {
        String::from_utf8(bytes)
            .map_err(|_| io::Error::new(io::ErrorKind::InvalidData, "it is no text in UTF-8"))
    });
    text.map_err(|error| FileLoadError::of_system(path, wanted, error))
}
