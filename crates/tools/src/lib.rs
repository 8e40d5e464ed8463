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
mod csv_rows;
mod entry;
mod figures;
mod gather;
mod item;
mod keys;
mod piece_checks;
mod recipe;
mod rules;
mod schema;
mod standard;
mod words;
mod write;

pub use gather::{FORMAT, MAX_STORE_PIECES, ParsedStore, read_store};
pub use rules::{RULES, store_errors_page};
pub use schema::store_json_schema;
pub use write::write_store;
