//! The use cases, in plain structs, for every front end.
