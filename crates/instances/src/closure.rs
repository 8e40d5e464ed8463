//! The published form of the kind `closure`: read, solved, told.
