//! What the bench pages show, in plain structs: one step as a sheet, the visits, the trays.

mod ahead;
mod label;
mod sheet;
mod trays;
mod visits;

pub use ahead::{After, sheets_ahead};
pub use label::{Says, capital, count_words, state_words, work_words};
pub use sheet::{Sheet, sheet, sign};
pub use trays::{Compartment, TrayNow, trays};
pub use visits::{May, VisitCard, card, cards};
