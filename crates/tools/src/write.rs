//! Writes a store as text: every piece in full, so that reading gives the same store again.

use fields::NameDirectory;
use model::Store;

use crate::draft::{StoreDraft, draft_piece};
use crate::gather::FORMAT;
use crate::tables::STORE;

/// The text of a store; reading it gives the same store, for stores that reading could have given (tests `laws.rs`).
#[must_use]
pub fn write_store(store: &Store) -> String {
    let draft = StoreDraft {
        format: FORMAT.to_owned(),
        title: Some(store.title.clone()),
        origin: None,
        cart_places: store.cart_places,
        trays: store.trays.clone(),
        sets: Vec::new(),
        pieces: store.pieces.iter().map(draft_piece).collect(),
    };
    fields::write_document(&STORE, &draft, &NameDirectory::new())
}
