//! The record of a visit: events that are only ever added, and the state that replay makes of them.
//!
//! # Question
//! Who did what to which fastener, part, opening and tool of a vehicle, on which device, and what is still open because of it?
//!
//! # Model
//! An [`Event`] is a fact with its writer and its place in a defined [`EventOrder`]. The state is the fold of [`StreamFold::evolve`] over all
//! events that are not void, in that order: [`replay_events`] is its definition, [`EventHistory`] keeps it up to date as events arrive in any
//! order, a [`StateSnapshot`] starts from it another time. Everything a person requests is a [`VisitCommand`]; [`decide`] makes
//! events of it or a [`Refusal`] that says what is open. What a device brings is a fact and is let in by [`accept_event`]
//! whatever the rules say; the [`Ledger`] shows what it left open.
//!
//! | question | answer |
//! |---|---|
//! | what counts once, what is taken back | [`order_canonically`], [`find_void_events`] |
//! | two devices disagree about one fastener | [`visit::VisitFastener`] |
//! | what is open, may it be moved, lowered, started | [`ledger`] |
//! | which step is next | [`PlanStepsView`] |
//! | where each setting of the vehicle stands | [`visit::SettingStanding`] |
//! | what to look at again after a break | [`look_again`] |
//! | how the rest is planned anew | `VisitSubcommand::planning_progress`, [`Visit::settle_progress`] |
//!
//! # Laws
//! Whatever order events arrive in, and however often, the state is the same. Every prefix of the events makes a state
//! without `VisitSubcommand::find_faults`. An event and its taking back leave the ledger as it was. The ledger reads zero if and only if
//! every fastener is in place, tight or checked, every setting stands as the book wants it at the end, and every count closes.
//!
//! # Limits
//! This crate reads no clock: times are what the writers' clocks showed, and they never decide the order. Events that one
//! decision made carry one time and follow each other, so that one tap undoes what one tap recorded. Only a fastener's mark
//! says what its writer believed before; for everything else the latest event wins.
//!
//! # Sources
//! Logical clocks: Lamport, Time, clocks and the ordering of events in a distributed system, Communications of the ACM 21(7),
//! 1978. The ledger's rules: common practice, no single source; see [`ledger::RULES`] and [`look_again`].

mod accept;
mod any_event;
mod book_lesson;
mod book_stream;
mod canon;
mod command;
mod decide;
mod digest;
mod event;
mod evolve;
mod facts;
mod fold;
mod history;
mod json_fault;
pub mod ledger;
mod look_again;
mod measured_heads;
mod named_facts;
mod names;
mod pretend;
mod progress;
mod refusal;
mod replan_cause;
mod snapshot;
mod steps;
mod stream;
pub mod vehicle;
pub mod visit;
mod visit_body;
mod waits;
pub mod workshop;

pub use accept::{
    MAX_EVENT_BYTES, MAX_ROUNDS, MAX_ROUNDS_AHEAD, NeedsAttention, accept_event, check_event_size,
    check_sense, read_event,
};
pub use any_event::AnyEvent;
pub use book_lesson::{BookLesson, LessonWord};
pub use book_stream::{BookBody, BookRecord};
pub use canon::{find_void_events, order_canonically, replay_events};
pub use command::{TapDirection, VisitCommand};
pub use decide::{Decision, decide};
pub use digest::ContentDigest;
pub use event::{DeviceId, EVENT_FORMAT, Event, EventId, EventOrder, PersonId, VisitId};
pub use evolve::MAX_LOOK_BACK;
pub use facts::{
    EventPlace, ExpectedWait, FastenerKey, MarkedHole, MeasuredReading, OwnerWord, PieceDestination,
    PutInKind, SeenPoint, StepMark, ToldSubject, ToldWhat, VisitHappeningKind,
};
pub use fold::{StreamBody, StreamFold};
pub use history::{CHECKPOINT_INTERVAL, CountRange, DeviceCounts, EventHistory, InsertOutcome};
pub use json_fault::describe_json_error;
pub use ledger::Ledger;
pub use look_again::{LookAgainItem, is_another_method, look_again};
pub use measured_heads::{HeadsOutcome, MeasuredPlace, PictureSides};
pub use pretend::apply_pretended_events;
pub use refusal::{Refusal, RefusalKind, RefusalReason};
pub use snapshot::StateSnapshot;
pub use steps::{PlanStepView, PlanStepsView, RemainingStepAct, StepStanding, steps_of, wait_title};
pub use stream::{EventRef, StreamId, StreamKind, StreamRef, VehicleId};
pub use vehicle::{VehicleBody, VehicleRecord};
pub use visit::{EventStamp, Visit};
pub use visit_body::VisitBody;
pub use waits::{RecordedWait, WaitGround};
pub use workshop::{WorkshopBody, WorkshopRecord};
