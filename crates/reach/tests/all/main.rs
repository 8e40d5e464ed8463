//! The tests of reach as one program: hand-made cases, laws, and the plain search against the fast one.

mod agree;
mod common;
mod gaps;
mod known;
mod laws;
mod random;
mod said;
mod sense;
