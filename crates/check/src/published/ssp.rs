//! Judges an answer to a published instance of the kind `ssp` from the instance and the answer alone.
