//! The published form of the kind `rcpsp`: read, solved, told.

use crate::run::{Answer, Settings};

/// Reads, solves and judges one published file.
pub fn run(_name: &str, _text: &str, _settings: &Settings) -> Result<Answer, String> {
    Err("not written yet".into())
}
