//! The words of events: which fastener, where, what was put in, what happened, what was read.

// symbol: value, low, high, gauge_error = figures of a reading, in the unit that its field `unit` names

use model::FastenerState;
use serde::{Deserialize, Serialize};

/// One fastener: the fixing and the hole it sits in or came from.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct FastenerKey {
    /// Fixing key.
    pub fixing: String,
    /// Hole label.
    pub hole: String,
}

/// One marked hole, with the state the writer's screen showed before.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MarkedHole {
    /// Hole label.
    pub hole: String,
    /// State before, as the writer's screen showed it. Another device's word in between makes a conflict.
    pub from: FastenerState,
}

/// Where something is, in the words of the book; every field that is known is given.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct EventPlace {
    /// Part key.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// Fixing key.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fixing: Option<String>,
    /// Hole label.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hole: Option<String>,
    /// Opening key.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opening: Option<String>,
    /// Task key.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub task: Option<String>,
    /// Number of the plan's step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<u32>,
}

/// What may be put into an engine for a while and has to come out again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PutInKind {
    /// A plug or bung.
    Plug,
    /// A rag or paper.
    Rag,
    /// Tape on an opening, a tool or a bolt.
    Tape,
    /// A tool on a tether.
    TetheredTool,
    /// A pin that locks something in place.
    LockingPin,
    /// Something else.
    Other,
}

/// Where a piece went.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(tag = "to", content = "whom", rename_all = "kebab-case")]
pub enum PieceDestination {
    /// On the cart of this visit.
    Cart,
    /// Lent to somebody.
    Lent(String),
    /// Back in its place.
    Place,
}

/// A step without fasteners: its state now.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StepMark {
    /// Done.
    Done,
    /// Taken back: open again.
    Open,
}

/// What happened off the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum VisitHappeningKind {
    /// Does not turn.
    Seized,
    /// The drive is rounded off.
    Rounded,
    /// The fastener broke.
    Broken,
    /// The thread came out with it.
    ThreadCameOut,
    /// Something is fitted that the book does not have.
    Extra,
    /// The new part does not fit or is another one.
    WrongPart,
    /// A part to be fitted is not there.
    PartMissing,
    /// Dropped and not found: a fastener, a tool, a piece of something.
    Lost,
    /// Found like this: somebody's earlier work.
    FoundLikeThis,
}

/// What a waiting is for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ExpectedWait {
    /// What is waited for, in words.
    pub what: String,
    /// Seconds it takes from the event on, where that is known.
    pub seconds: Option<u64>,
}

/// A measured value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MeasuredReading {
    /// What was measured.
    pub what: String,
    /// The value as it was read, in `unit`.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// Lowest allowed, in `unit`.
    pub low: Option<f64>,
    /// Highest allowed, in `unit`.
    pub high: Option<f64>,
    /// How it was measured.
    pub method: String,
    /// The book's measure that it answers, by its key; `None`: one of nobody's asking.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measure: Option<String>,
    /// Where it was read, as the book names its places; empty for the only one.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
    /// How far the gauge may be off either way, in `unit`; `None`: as the book says, or not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gauge_error: Option<f64>,
    /// The grade by eye in words, where it is one; `value` counts the grades from the best, 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<String>,
    /// Read once more: it counts together with those before it at its place; else it stands in their stead.
    #[serde(default, skip_serializing_if = "core::ops::Not::not")]
    pub is_once_more: bool,
}

impl MeasuredReading {
    /// A reading without place, measure and gauge.
    #[must_use]
    pub fn plain(what: &str, value: f64, unit: &str) -> Self {
        Self {
            what: what.to_owned(),
            value,
            unit: unit.to_owned(),
            low: None,
            high: None,
            method: String::new(),
            measure: None,
            place: String::new(),
            gauge_error: None,
            grade: None,
            is_once_more: false,
        }
    }
}

/// A place in a picture, thousandths of its width from the left and of its height from the top.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct SeenPoint {
    /// From the left edge, thousandths of the width.
    pub across: u16,
    /// From the upper edge, thousandths of the height.
    pub down: u16,
    /// Whether it was set under the magnifier, so that it lies where the person meant to within a point of the screen; a quick tap
    /// lies within a finger.
    #[serde(default, skip_serializing_if = "core::ops::Not::not")]
    pub is_fine: bool,
}

/// What a word of a person is about.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(tag = "is", content = "key", rename_all = "kebab-case")]
pub enum ToldSubject {
    /// A part, by its key.
    Part(String),
    /// A fixing, by its key.
    Fixing(String),
}

impl ToldSubject {
    /// Its key.
    #[must_use]
    pub fn key(&self) -> &str {
        match self {
            Self::Part(key) | Self::Fixing(key) => key,
        }
    }
}

/// Which question a word of a person answers; the value is written as books write it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ToldWhat {
    /// What it is called.
    Title,
    /// What kind of part it is.
    Kind,
    /// What a tool takes hold of.
    Drive,
    /// The room round it, one word of five.
    Room,
    /// The thread.
    Thread,
    /// Between which two heights the tops of the heads stand above the face that a scale card lies on: `4 to 8 mm`.
    HeadHeight,
    /// Key of a part that has to be off before; each word adds one.
    OffAfter,
    /// Key of a part that need not be off before after all; each word frees one.
    NotAfter,
    /// A stack of tools that did it, in words.
    Worked,
    /// A stack of tools that did not do it, in words.
    Failed,
}

/// The owner's decision on a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum OwnerWord {
    /// Do it.
    Yes,
    /// Leave it.
    No,
    /// Wants to talk.
    Call,
}
