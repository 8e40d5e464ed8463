//! Books, stores and plans as documents of the archive: a visit keeps the very texts that it was planned from.

use std::collections::BTreeMap;
use std::path::Path;

use archive::{ArchivedDocument, EventArchive};
use model::plan::Plan;
use model::{Book, Store};
use record::{ContentDigest, describe_json_error};

use super::WorkshopError;
use crate::load::{self, FileLoadError};

/// Media type of a bundle of texts.
const TEXTS: &str = "application/vnd.traywright.texts+json";
/// Media type of a plan.
const PLAN: &str = "application/vnd.traywright.plan+json";

/// Texts by file name, as they lay on disk.
type TextsByFile = BTreeMap<String, String>;

fn bundle_texts(files: Vec<(String, Vec<u8>)>) -> ArchivedDocument {
    let texts: TextsByFile = files
        .into_iter()
        .map(|(name, bytes)| {
            let short =
                Path::new(&name).file_name().map_or(name.clone(), |n| n.to_string_lossy().into_owned());
            (short, String::from_utf8_lossy(&bytes).into_owned())
        })
        .collect();
    ArchivedDocument { media: TEXTS.into(), bytes: serde_json::to_vec(&texts).expect("texts are plain data") }
}

/// Texts that lie in no file, each under the name that messages call it by.
pub(super) fn texts_document<const N: usize>(texts: [(&str, &str); N]) -> ArchivedDocument {
    bundle_texts(texts.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).to_vec())
}

/// Reads a book from disk: the book, and the document to keep.
pub(super) fn book_from(path: &Path) -> Result<(Book, ArchivedDocument), FileLoadError> {
    Ok((load::load_book(path)?, bundle_texts(load::book_files(path)?)))
}

/// Reads a store from disk: the store, and the document to keep.
pub(super) fn store_from(path: &Path) -> Result<(Store, ArchivedDocument), FileLoadError> {
    Ok((load::load_store(path)?, bundle_texts(load::store_files(path)?)))
}

/// A plan as a document.
pub(super) fn plan_document(plan: &Plan) -> ArchivedDocument {
    ArchivedDocument { media: PLAN.into(), bytes: serde_json::to_vec(plan).expect("a plan is plain data") }
}

fn unbundle_texts(
    archive: &dyn EventArchive,
    name: &ContentDigest,
) -> Result<Vec<(String, Vec<u8>)>, WorkshopError> {
    let document = require_document(archive, name)?;
    let texts: TextsByFile = serde_json::from_slice(&document.bytes).map_err(|error| {
        let place = describe_json_error(&error);
        let reason = format!("its texts cannot be taken apart: {place}; run `check-journal`");
        WorkshopError::Document { name: name.clone(), reason }
    })?;
    Ok(texts.into_iter().map(|(name, text)| (name, text.into_bytes())).collect())
}

/// A document that has to be there.
pub(super) fn require_document(
    archive: &dyn EventArchive,
    name: &ContentDigest,
) -> Result<ArchivedDocument, WorkshopError> {
    archive.find_document(name)?.ok_or_else(|| WorkshopError::Document {
        name: name.clone(),
        reason: "it is missing from the journal".into(),
    })
}

fn unreadable_document(name: &ContentDigest, what: &str) -> WorkshopError {
    WorkshopError::Document {
        name: name.clone(),
        reason: format!("it is not a {what} that this program can read"),
    }
}

/// The book of a document.
pub(super) fn book_of_document(
    archive: &dyn EventArchive,
    name: &ContentDigest,
) -> Result<Book, WorkshopError> {
    book::read_book(&unbundle_texts(archive, name)?).book.ok_or_else(|| unreadable_document(name, "book"))
}

/// The store of a document.
pub(super) fn store_of_document(
    archive: &dyn EventArchive,
    name: &ContentDigest,
) -> Result<Store, WorkshopError> {
    tools::read_store(&unbundle_texts(archive, name)?)
        .store
        .ok_or_else(|| unreadable_document(name, "tool store"))
}

/// The plan of a document.
pub(super) fn plan_of_document(
    archive: &dyn EventArchive,
    name: &ContentDigest,
) -> Result<Plan, WorkshopError> {
    let document = require_document(archive, name)?;
    serde_json::from_slice(&document.bytes).map_err(|_| unreadable_document(name, "plan"))
}
