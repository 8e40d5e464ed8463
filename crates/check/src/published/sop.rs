//! Judges an answer to a published instance of the kind `sop` from the instance and the answer alone.
