//! The record of a visit: events that are only ever added, and the state that replay makes of them.

mod accept;
mod body;
mod canon;
mod command;
mod digest;
mod event;
mod evolve;
mod history;
pub mod ledger;
mod look_again;
mod names;
mod snapshot;
pub mod visit;

pub use accept::{MOST_BYTES, MOST_ROUNDS, NeedsAttention, accept, read_event};
pub use body::{
    At, Body, FastenerKey, HappeningKind, PieceTo, PutInKind, Reading, StepTo, Waiting, Was, Word,
};
pub use canon::{canonical, replay, void};
pub use command::{Command, Move};
pub use digest::Digest;
pub use event::{DeviceId, Event, EventId, Order, VisitId};
pub use evolve::{LOOK_BACK, evolve};
pub use history::{CHECKPOINT, History, Inserted};
pub use ledger::Ledger;
pub use look_again::{LookAgain, is_another_method, look_again};
pub use snapshot::Snapshot;
pub use visit::{Stamp, Visit};
