//! Reads engine books: text to checked model, every fault with its place.
