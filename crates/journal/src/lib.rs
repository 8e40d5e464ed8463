//! The record of a visit: events that are only ever added, and the state that replay makes of them.

mod body;
mod digest;
mod documents;
mod event;

pub use body::{
    At, Body, FastenerKey, HappeningKind, PieceTo, PutInKind, Reading, StepTo, Waiting, Was, Word,
};
pub use digest::Digest;
pub use event::{DeviceId, Event, EventId, Order, VisitId};
