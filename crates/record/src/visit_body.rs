//! What an event of a visit says; each kind is a fact that somebody saw or did, never an instruction to the program.
//!
//! Names are keys of book, store or plan. A field is only ever added, with a default; a kind keeps its meaning.

use std::collections::BTreeSet;

use model::progress::TakenUpAgain;
use model::{FastenerState, TaskKind};
use serde::{Deserialize, Serialize};

use crate::named_facts::facts_of_body;
use crate::{
    ContentDigest, EventId, EventPlace, ExpectedWait, FastenerKey, HeadsOutcome, MarkedHole, MeasuredReading,
    OwnerWord, PictureSides, PieceDestination, PutInKind, SeenPoint, StepMark, StreamBody, StreamKind,
    StreamRef, ToldSubject, ToldWhat, VisitHappeningKind,
};

/// What an event says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum VisitBody {
    /// The visit begins; book, tools and plan may come later, or never.
    Opened {
        /// The vehicle's own stream, where it has one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        vehicle: Option<StreamRef>,
        /// Letter of the vehicle in this workshop; starts its slots.
        letter: String,
        /// What a person calls the vehicle.
        name: String,
        /// Distance driven, as it was read, with its unit.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        odometer: Option<String>,
    },
    /// The texts that the visit works from, from now on.
    BasedOn {
        /// The book; `None`: there is none yet.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        book: Option<ContentDigest>,
        /// The tool store as it was at the time; `None`: none was named.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        store: Option<ContentDigest>,
        /// Fixings that have to be tightened and for which this book has no figure.
        #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
        figures_missing: BTreeSet<String>,
    },
    /// It is planned, or the rest is planned anew; the record of what is done stays.
    Planned {
        /// The plan.
        plan: ContentDigest,
        /// Why it was made anew; empty for the first.
        why: String,
        /// What was back in its place and is taken up again: it counts as untouched from now on.
        #[serde(default, skip_serializing_if = "TakenUpAgain::is_empty")]
        again: TakenUpAgain,
    },
    /// Fasteners of one fixing were brought to a state.
    Marked {
        /// Fixing key.
        fixing: String,
        /// Which holes, and the state of each before.
        holes: Vec<MarkedHole>,
        /// Their state now.
        to: FastenerState,
        /// Where they went, for those that came off.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        slot: Option<String>,
        /// Stages of tightening that are done, counted from 1.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        stage: Option<u8>,
    },
    /// New fasteners replace the old ones of these holes.
    Renewed {
        /// Fixing key.
        fixing: String,
        /// Hole labels.
        holes: BTreeSet<String>,
    },
    /// A tightening figure that the book does not have, with its source.
    FigureGiven {
        /// Fixing key.
        fixing: String,
        /// The figure with its unit, as it was read: `45 N·m`, `20 N·m, then 90°`.
        figure: String,
        /// Where it is from: a document and the place in it.
        source: String,
        /// Who read it.
        name: String,
    },
    /// A person answers for tightening a fixing without a figure.
    FigureWaived {
        /// Fixing key.
        fixing: String,
        /// Why.
        reason: String,
        /// Who answers for it.
        name: String,
    },
    /// A person goes on although these questions of the plan, in words, stand open.
    WentOn {
        /// The questions.
        open: Vec<String>,
        /// Who goes on.
        name: String,
    },
    /// Something of the lists before the start is at hand, or is not after all.
    Gathered {
        /// The line of the list, in words.
        what: String,
        /// Whether it is at hand.
        is_at_hand: bool,
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
    /// A condition was made.
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
    /// A part was seen that no book tells of; it is this event, whatever it is called later.
    PartSeen {
        /// Its key, made with the event and never shown.
        part: String,
        /// What it is called for now.
        title: String,
        /// What kind of part it is, as books write it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        part_kind: Option<String>,
    },
    /// Fasteners of one kind were seen on a part.
    FixingSeen {
        /// Their key, made with the event and never shown.
        fixing: String,
        /// Key of the part that they hold.
        part: String,
        /// What a tool takes hold of, as books write it; `None`: it cannot be seen yet.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        drive: Option<String>,
        /// How many.
        count: u16,
        /// Label of the first; the others count on from it. Labels are each once on a part.
        #[serde(default = "first_label", skip_serializing_if = "is_first_label")]
        first: u16,
        /// Where each head lies in the picture, in the order of tapping.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        heads: Vec<SeenPoint>,
        /// Length class by the ruler of the tray, A to C.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        length: Option<String>,
    },
    /// Heads that were tapped in a picture were measured by the scale card in it, or could not be.
    HeadsMeasured {
        /// Key of the fixing whose heads they are.
        fixing: String,
        /// The picture, by the name of its downscaled copy.
        picture: ContentDigest,
        /// The sides of that copy.
        sides: PictureSides,
        /// The word for the height of the heads with which it was measured; empty: nobody had told it.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        height: String,
        /// What came of it.
        outcome: HeadsOutcome,
    },
    /// How a loom, a hose or a pipe lies was seen.
    RouteSeen {
        /// Part key.
        part: String,
        /// Its path in the picture.
        path: Vec<SeenPoint>,
        /// Clips that hold it.
        clips: u16,
        /// What it passes under, in words; may be empty.
        under: String,
    },
    /// A person says something of a part or a fixing.
    Told {
        /// Of which.
        of: ToldSubject,
        /// What is answered.
        what: ToldWhat,
        /// The answer, as books write it.
        value: String,
        /// Where it is from; empty: seen at the engine.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        source: String,
    },
    /// A setting of the vehicle was brought to a value.
    SettingChanged {
        /// Setting key.
        setting: String,
        /// The word of its value now.
        value: String,
    },
    /// A task's own work.
    Task {
        /// Task key.
        task: String,
        /// What kind of work it is.
        work: TaskKind,
        /// Its state now.
        to: StepMark,
    },
    /// A step that a happening requires; the book does not know it.
    Extra {
        /// Key of the extra step in the plan.
        step: String,
        /// Its state now.
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
        /// The event that reported it.
        happening: EventId,
        /// How.
        how: String,
    },
    /// Searched for, not found, and a person answers for going on.
    GivenUp {
        /// The event that reported it.
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
        reading: Box<MeasuredReading>,
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
        /// The book's task that puts it right, by its key; `None`: none does, or nobody says.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        task: Option<String>,
        /// Where.
        at: EventPlace,
    },
    /// What was found is put right.
    FindingDone {
        /// The event that reported the finding.
        finding: EventId,
        /// How.
        how: String,
    },
    /// A mechanic's judgement of what may turn up and what it would then cost.
    RiskTold {
        /// What may turn up.
        words: String,
        /// How often in a hundred such jobs.
        chance_percent: u8,
        /// Price from, cents.
        price_from_cents: i64,
        /// Price to, cents.
        price_to_cents: i64,
    },
    /// The owner's word.
    Answered {
        /// The event that reported the finding.
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
    /// Two devices disagreed about a fastener; a person decided.
    Settled {
        /// Which fastener.
        fastener: FastenerKey,
        /// Its actual state.
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

impl StreamBody for VisitBody {
    const KIND: StreamKind = StreamKind::Visit;

    fn undone_event(&self) -> Option<&EventId> {
        if let Self::Undone { event } = self { Some(event) } else { None }
    }

    fn named_events(&self) -> Vec<&EventId> {
        facts_of_body(self).events
    }

    fn named_streams(&self) -> Vec<&StreamRef> {
        facts_of_body(self).streams
    }

    fn named_documents(&self) -> Vec<&ContentDigest> {
        facts_of_body(self).documents
    }

    fn find_broken_field(&self) -> Option<String> {
        facts_of_body(self).broken
    }

    fn stands_always(&self) -> bool {
        matches!(self, Self::BasedOn { .. })
    }
}

const fn first_label() -> u16 {
    1
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks by reference")]
const fn is_first_label(first: &u16) -> bool {
    *first == 1
}
