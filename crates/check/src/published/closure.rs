//! Judges an answer to a published instance of the kind `closure` from the instance and the answer alone.
