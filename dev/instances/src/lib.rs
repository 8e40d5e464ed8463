//! Published instances of the planner's problems: readers, one run, and the report beside the best known values.

pub mod cpu;
pub mod kind;
pub mod one;
pub mod rcpsp;
pub mod report;
pub mod run;
pub mod scp;
pub mod sop;
pub mod ssp;
pub mod upit;
pub mod words;
