//! Plausible large invented books and stores from a seed, as text of the two formats.
//!
//! Question: how do planner, reach and judge behave on an engine far larger than one would write by hand? Parts lie in
//! layers, each needing parts of the layer outside it; fixings draw on a table of usual fasteners with figures that the
//! book's own rules find plausible; spaces are open, deep, bent, felt only, from the side, or over an opening. The text is
//! read by `book` and `tools` as any other, so their rules judge the generator too. Everything is invented.
//!
//! The same seed and size give the same text on every machine: the random source is a fixed generator.

mod book_text;
mod fasteners;
mod space;
mod store_text;

pub use book_text::generate_book;
pub use store_text::generate_store;

/// How large a book is to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GeneratedSize {
    /// Parts, 10 to 800.
    pub parts: usize,
    /// Fasteners, 1 to 3,000.
    pub fasteners: usize,
}

impl GeneratedSize {
    /// Fewest and most parts.
    pub const PARTS: (usize, usize) = (10, 800);
    /// Maximum number of fasteners.
    pub const MAX_FASTENERS: usize = 3000;

    /// The size within the limits.
    #[must_use]
    pub fn within_limits(self) -> Self {
        Self {
            parts: self.parts.clamp(Self::PARTS.0, Self::PARTS.1),
            fasteners: self.fasteners.clamp(1, Self::MAX_FASTENERS),
        }
    }
}

/// A generated book and store as text, of at most 3,000 fasteners and about `pieces` pieces.
#[must_use]
pub fn generate_book_and_store(seed: u64, parts: usize, fasteners: usize, pieces: usize) -> (String, String) {
    (generate_book(seed, GeneratedSize { parts, fasteners }), generate_store(seed, pieces))
}
