//! The record of a visit: events that are only ever added, and the state that replay makes of them.

mod accept;
mod body;
mod canon;
mod command;
mod decide;
mod digest;
mod event;
mod evolve;
mod facts;
mod history;
pub mod ledger;
mod look_again;
mod names;
mod progress;
mod refusal;
mod snapshot;
mod steps;
pub mod visit;

pub use accept::{MOST_BYTES, MOST_ROUNDS, NeedsAttention, accept, read_event};
pub use body::Body;
pub use canon::{canonical, replay, void};
pub use command::{Command, Move};
pub use decide::{Decision, decide};
pub use digest::Digest;
pub use event::{DeviceId, Event, EventId, Order, VisitId};
pub use evolve::{LOOK_BACK, evolve};
pub use facts::{At, FastenerKey, HappeningKind, PieceTo, PutInKind, Reading, StepTo, Waiting, Was, Word};
pub use history::{CHECKPOINT, History, Inserted};
pub use ledger::Ledger;
pub use look_again::{LookAgain, is_another_method, look_again};
pub use refusal::{Against, Refusal, Why};
pub use snapshot::Snapshot;
pub use steps::{Left, StepStanding, StepView, StepsView, steps_of};
pub use visit::{Stamp, Visit};
