//! Judges of answers to published instances; one file a kind, no solver code.

pub mod closure;
pub mod rcpsp;
pub mod scp;
pub mod sop;
pub mod ssp;
