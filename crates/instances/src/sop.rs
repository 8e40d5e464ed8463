//! The published form of the kind `sop`: read, solved, told.
