//! The format's name and its keys: what the reader asks for and the schema tells.

/// The format line of a book's head.
pub(crate) const FORMAT: &str = "traywright-book/1";
