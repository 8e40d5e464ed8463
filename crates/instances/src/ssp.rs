//! The published form of the kind `ssp`: read, solved, told.
