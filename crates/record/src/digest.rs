//! The name of a document by its content.

use core::fmt;

use serde::{Deserialize, Serialize};

/// SHA-256 of a document's bytes, as 64 small hexadecimal figures.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ContentDigest(String);

impl ContentDigest {
    /// The digest, where the text is one.
    #[must_use]
    pub fn new(text: &str) -> Option<Self> {
        let fits = text.len() == 64 && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        fits.then(|| Self(text.to_owned()))
    }

    /// The digest as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for ContentDigest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
