//! Books, stores and plans as documents of the archive: a visit keeps the very texts that it was planned from.

use std::collections::BTreeMap;
use std::path::Path;

use journal::Digest;
use model::plan::Plan;
use model::{Book, Store};
use store::{Archive, Document};

use super::WorkshopError;
use crate::load::{self, LoadError};

/// Media type of a bundle of texts.
const TEXTS: &str = "application/vnd.traywright.texts+json";
/// Media type of a plan.
const PLAN: &str = "application/vnd.traywright.plan+json";

/// Texts by file name, as they lay on disk.
type Texts = BTreeMap<String, String>;

fn bundle(files: Vec<(String, Vec<u8>)>) -> Document {
    let texts: Texts = files
        .into_iter()
        .map(|(name, bytes)| {
            let short =
                Path::new(&name).file_name().map_or(name.clone(), |n| n.to_string_lossy().into_owned());
            (short, String::from_utf8_lossy(&bytes).into_owned())
        })
        .collect();
    Document { media: TEXTS.into(), bytes: serde_json::to_vec(&texts).expect("texts are plain data") }
}

/// Reads a book from disk: the book, and the document to keep.
pub(super) fn book_from(path: &Path) -> Result<(Book, Document), LoadError> {
    Ok((load::book(path)?, bundle(load::book_files(path)?)))
}

/// Reads a store from disk: the store, and the document to keep.
pub(super) fn store_from(path: &Path) -> Result<(Store, Document), LoadError> {
    Ok((load::store(path)?, bundle(load::store_files(path)?)))
}

/// A plan as a document.
pub(super) fn plan_document(plan: &Plan) -> Document {
    Document { media: PLAN.into(), bytes: serde_json::to_vec(plan).expect("a plan is plain data") }
}

fn files(archive: &dyn Archive, name: &Digest) -> Result<Vec<(String, Vec<u8>)>, WorkshopError> {
    let document = document(archive, name)?;
    let texts: Texts = serde_json::from_slice(&document.bytes)
        .map_err(|error| WorkshopError::Document { name: name.clone(), reason: error.to_string() })?;
    Ok(texts.into_iter().map(|(name, text)| (name, text.into_bytes())).collect())
}

fn document(archive: &dyn Archive, name: &Digest) -> Result<Document, WorkshopError> {
    archive.document(name)?.ok_or_else(|| WorkshopError::Document {
        name: name.clone(),
        reason: "the archive does not hold it".into(),
    })
}

fn fault(name: &Digest, what: &str) -> WorkshopError {
    WorkshopError::Document {
        name: name.clone(),
        reason: format!("it is no {what} that this program can read"),
    }
}

/// The book of a document.
pub(super) fn book(archive: &dyn Archive, name: &Digest) -> Result<Book, WorkshopError> {
    book::read(&files(archive, name)?).book.ok_or_else(|| fault(name, "book"))
}

/// The store of a document.
pub(super) fn store(archive: &dyn Archive, name: &Digest) -> Result<Store, WorkshopError> {
    toolstore::read(&files(archive, name)?).store.ok_or_else(|| fault(name, "tool store"))
}

/// The plan of a document.
pub(super) fn plan(archive: &dyn Archive, name: &Digest) -> Result<Plan, WorkshopError> {
    let document = document(archive, name)?;
    serde_json::from_slice(&document.bytes).map_err(|_| fault(name, "plan"))
}
