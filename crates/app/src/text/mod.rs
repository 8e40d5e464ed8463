//! Everything a terminal shows, as text of at most 80 columns: the answer first, then why.

pub mod bolting;
pub mod cart;
pub mod finish;
pub mod next_best;
pub mod plan;
pub mod reach;
pub mod readiness;
pub mod store;
pub mod table;
pub mod trade;
pub mod visit;
pub mod worth;

pub use units::significant;
