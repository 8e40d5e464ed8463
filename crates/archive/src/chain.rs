//! The chain of hashes through a stream's events.
//!
//! **Question.** Has an event been changed, removed or put in between since it was written?
//!
//! **Symbols.** `h(k) = SHA-256(h(k-1) ‖ length of event k ‖ text of event k)`, `h(0)` = 32 zero bytes; the text is the whole
//! event as it lies on disk, so that nothing of it is outside the chain.
//!
//! **Range.** Shows damage and careless changes. Whoever can write the file can also write a new chain; it is no signature.
//!
//! **Source.** SHA-256: FIPS 180-4.

use record::ContentDigest;
use sha2::{Digest as _, Sha256};

/// 32 bytes.
pub(crate) type ChainHash = [u8; 32];

/// The hash before the first event.
pub(crate) const START: ChainHash = [0; 32];

/// The hash of an event after another.
pub(crate) fn next_hash(previous: &ChainHash, text: &str) -> ChainHash {
    let mut hasher = Sha256::new();
    hasher.update(previous);
    hasher.update((text.len() as u64).to_be_bytes());
    hasher.update(text.as_bytes());
    hasher.finalize().into()
}

/// The name of a document by its bytes.
///
/// # Panics
/// Never: 32 bytes are 64 small hexadecimal figures.
#[must_use]
pub fn content_digest(bytes: &[u8]) -> ContentDigest {
    digest_of_hash(&Sha256::digest(bytes).into())
}

/// A hash in figures.
pub(crate) fn digest_of_hash(hash: &ChainHash) -> ContentDigest {
    let text: String = hash.iter().map(|byte| format!("{byte:02x}")).collect();
    ContentDigest::new(&text).expect("64 small hexadecimal figures")
}

/// The hash of its figures.
pub(crate) fn hash_of_digest(digest: &ContentDigest) -> ChainHash {
    let figures = digest.as_str().as_bytes();
    let value = |figure: u8| char::from(figure).to_digit(16).expect("hexadecimal figures") as u8;
    core::array::from_fn(|at| value(figures[2 * at]) * 16 + value(figures[2 * at + 1]))
}
