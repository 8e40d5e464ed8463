//! What an event says; each kind is a fact that somebody saw or did, never an order to the program.
//!
//! Names are keys of the book (part, fixing, condition, opening, task), of the store (piece) or of the plan (slot), so that
//! an event can be read beside them. A field is only ever added, with a default; a kind never changes its meaning.

use std::collections::BTreeSet;

use model::{FastenerState, TaskKind};
use serde::{Deserialize, Serialize};

use crate::{
    ContentDigest, EventId, EventPlace, ExpectedWait, FastenerKey, MarkedHole, MeasuredReading, OwnerWord,
    PieceDestination, PutInKind, StepMark, VisitHappeningKind,
};

/// What an event says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum EventBody {
    /// The visit begins.
    Opened {
        /// Letter of the vehicle; starts its slots.
        vehicle: String,
        /// What a person calls the vehicle.
        name: String,
        /// Distance driven, as it was read, with its unit.
        odometer: Option<String>,
        /// The documents the visit works from.
        book: ContentDigest,
        /// The tool store as it was at the time.
        store: ContentDigest,
        /// The plan.
        plan: ContentDigest,
    },
    /// The rest was planned anew; the record of what is done stays.
    Planned {
        /// The plan.
        plan: ContentDigest,
        /// Why.
        why: String,
    },
    /// Fasteners of one fixing were brought to a state.
    Marked {
        /// Fixing key.
        fixing: String,
        /// Which holes, and how each stood before.
        holes: Vec<MarkedHole>,
        /// How they stand now.
        to: FastenerState,
        /// Where they went, for those that came off.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        slot: Option<String>,
        /// Stages of tightening that are done, counted from 1.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        stage: Option<u8>,
    },
    /// New fasteners stand in for the old ones of these holes.
    Renewed {
        /// Fixing key.
        fixing: String,
        /// Hole labels.
        holes: BTreeSet<String>,
    },
    /// A part was lifted off.
    PartOff {
        /// Part key.
        part: String,
    },
    /// A part was set in place.
    PartOn {
        /// Part key.
        part: String,
    },
    /// A condition was brought about.
    Established {
        /// Condition key.
        condition: String,
    },
    /// A condition was undone.
    Restored {
        /// Condition key.
        condition: String,
    },
    /// An opening was capped.
    Capped {
        /// Opening key.
        opening: String,
        /// Number of caps now in.
        count: u16,
    },
    /// Caps were taken out of an opening.
    Uncapped {
        /// Opening key.
        opening: String,
        /// Number of caps taken out.
        count: u16,
    },
    /// A task's own work.
    Task {
        /// Task key.
        task: String,
        /// What kind of work it is.
        work: TaskKind,
        /// How it stands now.
        to: StepMark,
    },
    /// A step that a happening asked for; the book does not know it.
    Extra {
        /// Key of the extra step in the plan.
        step: String,
        /// How it stands now.
        to: StepMark,
    },
    /// Something was put in that has to come out.
    PutIn {
        /// What.
        what: PutInKind,
        /// In words.
        words: String,
        /// How many.
        count: u16,
        /// Where.
        at: EventPlace,
    },
    /// It was taken out.
    TakenOut {
        /// The event that put it in.
        put_in: EventId,
        /// How many.
        count: u16,
    },
    /// A piece was moved.
    Piece {
        /// Piece key.
        piece: String,
        /// How many.
        count: u16,
        /// Where to.
        to: PieceDestination,
    },
    /// Something off the plan.
    Happened {
        /// What.
        what: VisitHappeningKind,
        /// Where.
        at: EventPlace,
        /// In words; may be empty.
        words: String,
    },
    /// It is dealt with: extracted, found, fitted, accepted.
    DealtWith {
        /// The event that told of it.
        happening: EventId,
        /// How.
        how: String,
    },
    /// Searched for, not found, and a person answers for going on.
    GivenUp {
        /// The event that told of it.
        happening: EventId,
        /// Where and how it was searched.
        searched: String,
        /// Who decided.
        name: String,
    },
    /// A waiting began.
    WaitBegan {
        /// What for.
        waiting: ExpectedWait,
        /// Where.
        at: EventPlace,
    },
    /// A waiting is over.
    WaitOver {
        /// The event that began it.
        wait: EventId,
    },
    /// A value was read.
    Read {
        /// The value.
        reading: MeasuredReading,
        /// Where.
        at: EventPlace,
    },
    /// A picture was taken.
    Pictured {
        /// The downscaled copy.
        picture: ContentDigest,
        /// The original.
        original: ContentDigest,
        /// Where.
        at: EventPlace,
    },
    /// A note.
    Noted {
        /// The words.
        words: String,
        /// Where.
        at: EventPlace,
    },
    /// Something found that the owner has to decide.
    Found {
        /// What, and why it matters.
        words: String,
        /// Price from, cents.
        price_from_cents: Option<i64>,
        /// Price to, cents.
        price_to_cents: Option<i64>,
        /// What follows from leaving it.
        if_left: String,
        /// Where.
        at: EventPlace,
    },
    /// The owner's word.
    Answered {
        /// The event that told of the finding.
        finding: EventId,
        /// The word.
        word: OwnerWord,
        /// Who said it and how.
        by: String,
    },
    /// Work was interrupted.
    Paused {
        /// What to know on the way back; may be empty.
        words: String,
        /// The step in hand.
        at: EventPlace,
    },
    /// Work goes on.
    Resumed,
    /// Closed work was looked at again, by another method than before.
    LookedAgain {
        /// The event that had closed it.
        event: EventId,
        /// How: counted, pulled, paint stripe seen, measured again.
        method: String,
    },
    /// A count check was made.
    Counted {
        /// What was counted.
        what: String,
        /// How many there should be.
        expected: u32,
        /// How many there are.
        counted: u32,
    },
    /// Two devices said different things of a fastener; a person decided.
    Settled {
        /// Which fastener.
        fastener: FastenerKey,
        /// How it really stands.
        to: FastenerState,
    },
    /// An open line of the ledger is accepted as it is.
    Overridden {
        /// Key of the line.
        line: String,
        /// Why.
        reason: String,
        /// Who answers for it.
        name: String,
    },
    /// The visit is over.
    Closed {
        /// Who hands over.
        name: String,
    },
    /// An earlier event is taken back.
    Undone {
        /// Which.
        event: EventId,
    },
}

impl EventBody {
    /// The documents that it names.
    #[must_use]
    pub fn named_documents(&self) -> Vec<ContentDigest> {
        match self {
            Self::Opened { book, store, plan, .. } => vec![book.clone(), store.clone(), plan.clone()],
            Self::Planned { plan, .. } => vec![plan.clone()],
            Self::Pictured { picture, original, .. } => vec![picture.clone(), original.clone()],
            _ => Vec::new(),
        }
    }
}
