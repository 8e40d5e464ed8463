//! Set cover and AND-OR kits to a proven optimum, or the best found with a bound on what is left to gain.
//!
//! | module | question |
//! |---|---|
//! | [`set`] | the cheapest columns that together cover every row |
//! | [`kit`] | the cheapest pieces that hold a stack of every step, within caps |
//! | [`choice`] | the same in the user's words: to buy, to carry, to spend time on, one after another or weighed |
//! | [`fewest`] | the fewest pieces with which all steps take no longer than is allowed |
//! | [`frontier`] | the whole trade-off between the three |
//! | [`next_best`] | what to get next so that most jobs open up, over several problems |
//!
//! All take a budget and a seed; the same input, seed and effort give the same answer on every machine. None reads a clock:
//! the watch says when to stop, and the answer is then the best so far with its bound.

pub mod choice;
pub mod fewest;
pub mod frontier;
pub mod kit;
mod lists;
pub mod next_best;
mod search;
pub mod set;
mod tree;
mod volume;

pub use lists::NumberLists;
pub use search::CoverAnswer;
