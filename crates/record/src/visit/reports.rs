//! What was reported during the work: happenings, waits, findings, readings, pictures, notes, pauses, counts, tasks, overrides.

use std::collections::BTreeSet;

use model::{FastenerState, TaskKind};
use serde::{Deserialize, Serialize};

use super::EventStamp;
use crate::{
    ContentDigest, EventId, EventPlace, ExpectedWait, MeasuredReading, OwnerWord, StepMark, StreamRef,
    VisitHappeningKind,
};

/// How the visit began.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitStart {
    /// The vehicle's own stream, where it has one.
    pub vehicle: Option<StreamRef>,
    /// Letter of the vehicle in this workshop; starts its slots.
    pub letter: String,
    /// What a person calls the vehicle.
    pub name: String,
    /// Distance driven, as it was read, with its unit.
    pub odometer: Option<String>,
    /// When.
    pub stamp: EventStamp,
}

/// The texts that the visit works from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TextsInForce {
    /// The book; `None`: there is none yet.
    pub book: Option<ContentDigest>,
    /// The tool store; `None`: none was named.
    pub store: Option<ContentDigest>,
    /// Since when.
    pub stamp: EventStamp,
}

/// A person goes on although questions of the plan stand open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WentOnWhileOpen {
    /// The questions, in words.
    pub open: Vec<String>,
    /// Who goes on.
    pub name: String,
    /// When.
    pub stamp: EventStamp,
}

/// The plan that is worked by now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlanInForce {
    /// The plan.
    pub plan: ContentDigest,
    /// Why it was made anew; empty for the first.
    pub why: String,
    /// When.
    pub stamp: EventStamp,
}

/// The state of a task or an extra step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TaskStanding {
    /// Kind of work; `None` for an extra step.
    pub work: Option<TaskKind>,
    /// Its state.
    pub to: StepMark,
    /// Since when.
    pub stamp: EventStamp,
}

/// How a happening ended.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "end", rename_all = "kebab-case")]
pub enum HappeningEnd {
    /// Extracted, found, fitted, accepted.
    DealtWith {
        /// How.
        how: String,
        /// When.
        stamp: EventStamp,
    },
    /// Not found, and a person answers for going on.
    GivenUp {
        /// Where and how it was searched.
        searched: String,
        /// Who decided.
        name: String,
        /// When.
        stamp: EventStamp,
    },
}

/// Something off the plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitHappening {
    /// What.
    pub what: VisitHappeningKind,
    /// Where.
    pub at: EventPlace,
    /// In words; may be empty.
    pub words: String,
    /// When.
    pub stamp: EventStamp,
    /// How it ended; `None`: it is open.
    pub end: Option<HappeningEnd>,
}

/// A waiting.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitWait {
    /// What for.
    pub waiting: ExpectedWait,
    /// Where.
    pub at: EventPlace,
    /// When it began.
    pub stamp: EventStamp,
    /// When it is over by the writer's clock, milliseconds since 1970-01-01 UTC.
    pub ends_ms: Option<i64>,
    /// Who said that it is over, and when; `None`: it runs.
    pub over: Option<EventStamp>,
}

impl VisitWait {
    pub(crate) fn new(waiting: &ExpectedWait, at: &EventPlace, stamp: &EventStamp) -> Self {
        let length = waiting.seconds.map(|s| i64::try_from(s).unwrap_or(i64::MAX).saturating_mul(1_000));
        let ends_ms = length.map(|ms| stamp.at_ms.saturating_add(ms));
        Self { waiting: waiting.clone(), at: at.clone(), stamp: stamp.clone(), ends_ms, over: None }
    }
}

/// The owner's answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OwnerAnswer {
    /// The word.
    pub word: OwnerWord,
    /// Who said it and how.
    pub by: String,
    /// When.
    pub stamp: EventStamp,
}

/// Something found that the owner has to decide.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Finding {
    /// What, and why it matters.
    pub words: String,
    /// Price from, cents.
    pub price_from_cents: Option<i64>,
    /// Price to, cents.
    pub price_to_cents: Option<i64>,
    /// What follows from leaving it.
    pub if_left: String,
    /// The book's task that puts it right, by its key.
    #[serde(default)]
    pub task: Option<String>,
    /// Where.
    pub at: EventPlace,
    /// When.
    pub stamp: EventStamp,
    /// The owner's word, the latest.
    pub answer: Option<OwnerAnswer>,
    /// How it was put right; `None`: it was not, or a task tells.
    #[serde(default)]
    pub done: Option<FindingEnd>,
}

/// How a finding was put right.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FindingEnd {
    /// How.
    pub how: String,
    /// When.
    pub stamp: EventStamp,
}

/// What may turn up, by a mechanic's judgement.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ToldRisk {
    /// What may turn up.
    pub words: String,
    /// How often in a hundred such jobs.
    pub chance_percent: u8,
    /// Price from, cents.
    pub price_from_cents: i64,
    /// Price to, cents.
    pub price_to_cents: i64,
    /// When it was said.
    pub stamp: EventStamp,
}

impl Finding {
    /// Whether the owner has decided; wanting to talk is no decision.
    #[must_use]
    pub fn is_answered(&self) -> bool {
        self.answer.as_ref().is_some_and(|a| a.word != OwnerWord::Call)
    }

    /// Whether the owner wants it done.
    #[must_use]
    pub fn is_approved(&self) -> bool {
        self.answer.as_ref().is_some_and(|a| a.word == OwnerWord::Yes)
    }
}

/// A value that was read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct VisitReading {
    /// The value.
    pub reading: MeasuredReading,
    /// Where.
    pub at: EventPlace,
    /// When.
    pub stamp: EventStamp,
}

/// A picture.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitPicture {
    /// The downscaled copy.
    pub picture: ContentDigest,
    /// The original.
    pub original: ContentDigest,
    /// Where.
    pub at: EventPlace,
    /// When.
    pub stamp: EventStamp,
}

/// A note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitNote {
    /// The words.
    pub words: String,
    /// Where.
    pub at: EventPlace,
    /// When.
    pub stamp: EventStamp,
}

/// An interruption.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WorkPause {
    /// What to know on the way back.
    pub words: String,
    /// The step in hand.
    pub at: EventPlace,
    /// When.
    pub stamp: EventStamp,
    /// When work went on; `None`: it rests.
    pub resumed: Option<EventStamp>,
    /// The work closed last before it, latest first, three at most.
    pub before: Vec<ClosedWork>,
}

/// What a piece of work was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(tag = "deed", content = "to", rename_all = "kebab-case")]
pub enum WorkKind {
    /// Fasteners of a fixing were brought to a state.
    Marked(FastenerState),
    /// Fasteners of a fixing were renewed.
    Renewed,
    /// A part was lifted off.
    PartOff,
    /// A part was set in place.
    PartOn,
    /// A condition was made.
    Established,
    /// A condition was undone.
    Restored,
    /// An opening was capped.
    Capped,
    /// Caps were taken out.
    Uncapped,
    /// A task or an extra step was done.
    Done,
    /// Something put in was taken out.
    TakenOut,
}

/// A closed piece of work; marks of one fixing to one state, one after the other, are one piece.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ClosedWork {
    /// What was done.
    pub deed: WorkKind,
    /// Key of the fixing, part, condition, opening, task or extra step, or event that put something in.
    pub key: String,
    /// Hole labels, where it was done to fasteners.
    pub holes: BTreeSet<String>,
    /// The event that closed it.
    pub stamp: EventStamp,
}

/// Closed work was looked at again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SecondLook {
    /// The event that had closed it.
    pub event: EventId,
    /// How.
    pub method: String,
    /// When.
    pub stamp: EventStamp,
}

/// A count made by hand.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HandCount {
    /// How many there should be.
    pub expected: u32,
    /// How many there are.
    pub counted: u32,
    /// When.
    pub stamp: EventStamp,
}

/// An open line accepted as it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AcceptedLine {
    /// Why.
    pub reason: String,
    /// Who answers for it.
    pub name: String,
    /// When.
    pub stamp: EventStamp,
}

/// The visit is over.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitClosing {
    /// Who handed over.
    pub name: String,
    /// When.
    pub stamp: EventStamp,
}

/// An event that does not fit what is known; it is shown to the user, never lost.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StrangeEvent {
    /// What does not fit, in words.
    pub words: String,
    /// The event.
    pub stamp: EventStamp,
}
