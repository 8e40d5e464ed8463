//! Reads the mechanic's tool store: sets, pieces and spreadsheets to checked model.
//!
//! **Question.** Which pieces does the mechanic own, what can each of them do, and where is it kept?
//!
//! **Method.** Bytes of TOML and CSV go in, a [`model::Store`] comes out, or the faults that kept it from coming. A set in
//! words becomes its pieces; a figure that the owner does not give comes from the tables of standard dimensions, and the
//! piece then says from which. The format is described in `docs/store-format.md`, the faults in `docs/errors-store.md`.
//!
//! ```
//! let text = "format = \"traywright-store/1\"\ntitle = \"Workshop\"\n\
//!             [[set]]\nset = \"1/4 in deep sockets 8 to 10 mm\"\nplace = \"red cabinet / drawer 1\"\n";
//! let reading = tools::read_store(&[("store.toml".into(), text.into())]);
//! let store = reading.store.expect("the store has no faults");
//! let keys: Vec<&str> = store.pieces.iter().map(|p| p.key.as_str()).collect();
//! assert_eq!(keys, ["1-4-deep-socket-8", "1-4-deep-socket-9", "1-4-deep-socket-10"]);
//! ```

mod build;
mod draft;
mod gather;
mod item;
mod keys;
mod parsing;
mod piece_checks;
mod recipe;
mod rules;
mod sold;
mod standard;
mod tables;
mod words;
mod write;

pub use gather::{FORMAT, MAX_STORE_PIECES, ParsedStore, read_store};
pub use rules::{RULES, store_errors_page};
pub use sold::sold_pieces;
pub use write::write_store;

/// The JSON Schema of a store's TOML files, as `docs/store.schema.json` has it.
#[must_use]
pub fn store_json_schema() -> String {
    fields::json_schema("A file of a tool store, version 1", &*tables::STORE)
}

/// The key tables of the store format, as `docs/store-format.md` has them.
#[must_use]
pub fn store_key_tables() -> String {
    fields::reference_page(&*tables::STORE)
}
