//! The published form of the kind `rcpsp`: read, solved, told.
