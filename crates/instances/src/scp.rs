//! The published form of the kind `scp`: read, solved, told.
