//! What a person at the bench asks for, in the words of the bench; deciding turns it into events or says why not.

use std::collections::BTreeSet;

use model::FastenerState;

use crate::{
    ContentDigest, DeviceId, EventId, EventPlace, ExpectedWait, FastenerKey, MeasuredReading, OwnerWord,
    PieceDestination, PutInKind, StepMark, VisitHappeningKind,
};

/// Which way a tap on the drawn hole moves its mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TapDirection {
    /// One on: in place, freed, off, finger-tight, each pass, tight, checked.
    On,
    /// One back.
    Back,
}

/// What is asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum JournalCommand {
    /// Begin the visit.
    Begin {
        /// Letter of the vehicle.
        vehicle: String,
        /// What a person calls the vehicle.
        name: String,
        /// Distance driven, with its unit.
        odometer: Option<String>,
        /// The book.
        book: ContentDigest,
        /// The tool store.
        store: ContentDigest,
        /// The plan.
        plan: ContentDigest,
    },
    /// Work by another plan from now on.
    Replan {
        /// The plan.
        plan: ContentDigest,
        /// Why.
        why: String,
    },
    /// The step of the plan is done, or one pass of it: all of its fasteners that are ready for it, its part, its caps.
    Tick {
        /// Number of the step.
        step: u32,
    },
    /// The same for one fixing of the step.
    TickFixing {
        /// Number of the step.
        step: u32,
        /// Fixing key.
        fixing: String,
    },
    /// The same for one hole of the step.
    TickHole {
        /// Number of the step.
        step: u32,
        /// Which fastener.
        fastener: FastenerKey,
    },
    /// A tap on a drawn hole, outside any step.
    Tap {
        /// Which fastener.
        fastener: FastenerKey,
        /// Which way.
        way: TapDirection,
    },
    /// Fasteners stand so, whatever the plan says.
    Mark {
        /// Fixing key.
        fixing: String,
        /// Hole labels.
        holes: BTreeSet<String>,
        /// How they stand.
        to: FastenerState,
        /// Where they lie; `None`: where the plan says, for those that come off.
        slot: Option<String>,
    },
    /// New fasteners stand in for the old ones; empty `holes`: for all of the fixing that are out.
    Renew {
        /// Fixing key.
        fixing: String,
        /// Hole labels.
        holes: BTreeSet<String>,
    },
    /// Lift a part off.
    PartOff {
        /// Part key.
        part: String,
    },
    /// Set a part in place.
    PartOn {
        /// Part key.
        part: String,
    },
    /// Bring a condition about.
    Establish {
        /// Condition key.
        condition: String,
    },
    /// Undo a condition.
    Restore {
        /// Condition key.
        condition: String,
    },
    /// Cap an opening.
    Cap {
        /// Opening key.
        opening: String,
        /// Caps now in; `None`: all.
        count: Option<u16>,
    },
    /// Take caps out of an opening.
    Uncap {
        /// Opening key.
        opening: String,
        /// Caps taken out; `None`: all that are in.
        count: Option<u16>,
    },
    /// A task's own work.
    Task {
        /// Task key.
        task: String,
        /// How it stands.
        to: StepMark,
    },
    /// A step that a happening asked for.
    Extra {
        /// Key of the extra step.
        step: String,
        /// How it stands.
        to: StepMark,
    },
    /// Put something in that has to come out.
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
    /// Take it out.
    TakeOut {
        /// The event that put it in.
        put_in: EventId,
        /// How many; `None`: all that are in.
        count: Option<u16>,
    },
    /// Move a piece.
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
    /// It is dealt with.
    DealtWith {
        /// The event that told of it.
        happening: EventId,
        /// How.
        how: String,
    },
    /// Searched for and not found; a person answers for going on.
    GiveUp {
        /// The event that told of it.
        happening: EventId,
        /// Where and how it was searched.
        searched: String,
        /// Who decided.
        name: String,
    },
    /// Begin a waiting.
    BeginWait {
        /// What for.
        waiting: ExpectedWait,
        /// Where.
        at: EventPlace,
    },
    /// A waiting is over.
    EndWait {
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
    Picture {
        /// The downscaled copy.
        picture: ContentDigest,
        /// The original.
        original: ContentDigest,
        /// Where.
        at: EventPlace,
    },
    /// A note.
    Note {
        /// The words.
        words: String,
        /// Where.
        at: EventPlace,
    },
    /// Something found that the owner has to decide.
    Find {
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
    Answer {
        /// The event that told of the finding.
        finding: EventId,
        /// The word.
        word: OwnerWord,
        /// Who said it and how.
        by: String,
    },
    /// Interrupt the work.
    Pause {
        /// What to know on the way back.
        words: String,
        /// The step in hand.
        at: EventPlace,
    },
    /// Go on.
    Resume,
    /// Closed work was looked at again.
    LookAgain {
        /// The event that had closed it.
        event: EventId,
        /// How.
        method: String,
    },
    /// A count by hand.
    Count {
        /// What was counted.
        what: String,
        /// How many there should be.
        expected: u32,
        /// How many there are.
        counted: u32,
    },
    /// Decide between two devices' words on a fastener.
    Settle {
        /// Which fastener.
        fastener: FastenerKey,
        /// How it really stands.
        to: FastenerState,
    },
    /// Accept an open line of the ledger as it is.
    Override {
        /// Key of the line.
        line: String,
        /// Why.
        reason: String,
        /// Who answers for it.
        name: String,
    },
    /// The visit is over.
    Close {
        /// Who hands over.
        name: String,
    },
    /// Take back an event.
    Undo {
        /// Which.
        event: EventId,
    },
    /// Take back what the last tap of a device said, as far as it still stands.
    UndoLast {
        /// Which device.
        device: DeviceId,
    },
}
