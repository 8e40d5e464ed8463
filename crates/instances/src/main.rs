//! Runs our solvers on published instances and writes the report that sets them beside the best known values.

mod closure;
mod rcpsp;
mod scp;
mod sop;
mod ssp;

fn main() {}
