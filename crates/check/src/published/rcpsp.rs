//! Judges an answer to a published instance of the kind `rcpsp` from the instance and the answer alone.
