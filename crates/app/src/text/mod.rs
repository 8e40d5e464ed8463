//! Everything a terminal shows, as text that fits its width: the answer first, then why.

pub mod bolting_text;
pub mod book_lists;
pub mod cart_text;
pub mod finish;
pub(crate) mod kit_doubt;
pub mod next_best;
pub mod paper;
pub mod plan_text;
pub mod reach_text;
pub mod readiness;
pub mod store_text;
pub mod table;
pub mod trade;
pub mod vehicle;
pub mod visit;
pub mod week;
pub mod worth;

pub use units::significant;
