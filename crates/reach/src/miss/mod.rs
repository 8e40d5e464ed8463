//! The nearest miss: when nothing works, what fails by least, and what piece would close the gap?

use model::{Book, Duty, NearestMiss, Store};

/// The nearest miss of a duty that nothing at hand can do.
pub(crate) fn nearest(_book: &Book, _store: &Store, _duty: Duty) -> Option<NearestMiss> {
    None
}
