//! Set cover and AND-OR kits to a proven optimum.

mod lists;
mod search;
pub mod kit;
pub mod set;
mod tree;
mod volume;

pub use lists::Lists;
pub use search::Answer;
