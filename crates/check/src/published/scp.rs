//! Judges an answer to a published instance of the kind `scp` from the instance and the answer alone.
