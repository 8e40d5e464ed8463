//! The search over lists: islands of crossed and changed lists that report their best to each other now and then.
//!
//! Each island has its own random numbers and its own population; what they do depends on seed, effort and thread count alone.

mod change;
mod cross;
mod island;
mod weigh;

pub(crate) use island::{ScheduleIsland, WeighedList};
pub(crate) use weigh::JustifiedEndWeigher;
pub use weigh::{LIST_RANK_NUMBERS, ListRank, ListWeigher};
