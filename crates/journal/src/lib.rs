//! The record of a visit: events that are only ever added, and the state that replay makes of them.

mod body;
mod canon;
mod command;
mod digest;
mod event;
mod evolve;
pub mod visit;

pub use body::{
    At, Body, FastenerKey, HappeningKind, PieceTo, PutInKind, Reading, StepTo, Waiting, Was, Word,
};
pub use canon::{canonical, replay, void};
pub use command::{Command, Move};
pub use digest::Digest;
pub use event::{DeviceId, Event, EventId, Order, VisitId};
pub use evolve::{LOOK_BACK, evolve};
pub use visit::{Stamp, Visit};
