//! What a person at the bench asks for where the rules of the bench decide what is written, in the words of the bench.
//!
//! What is written just as it was asked for is its own event, see [`VisitCommand::Say`].

use std::collections::BTreeSet;

use model::FastenerState;

use crate::{DeviceId, EventId, FastenerKey, StepMark, VisitBody};

/// On, or back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TapDirection {
    /// To the next mark.
    On,
    /// To the mark before.
    Back,
}

/// What a person asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum VisitCommand {
    /// This is so; written down as it is, where the rules of the bench let it.
    Say(VisitBody),
    /// A step is done: all of its fasteners that are ready, one pass at a time.
    Tick {
        /// Number of the step in the plan.
        step: u32,
    },
    /// The same for one fixing of the step.
    TickFixing {
        /// Number of the step in the plan.
        step: u32,
        /// Fixing key.
        fixing: String,
    },
    /// The same for one hole of the step.
    TickHole {
        /// Number of the step in the plan.
        step: u32,
        /// Which.
        fastener: FastenerKey,
    },
    /// One tap on a hole.
    Tap {
        /// Which.
        fastener: FastenerKey,
        /// On or back.
        way: TapDirection,
    },
    /// Fasteners are in this state, whatever the rules of the bench say.
    Mark {
        /// Fixing key.
        fixing: String,
        /// Hole labels.
        holes: BTreeSet<String>,
        /// Their state.
        to: FastenerState,
        /// Where they went; `None`: where the plan puts them.
        slot: Option<String>,
    },
    /// New fasteners for old ones that are out.
    Renew {
        /// Fixing key.
        fixing: String,
        /// Hole labels; empty for all that are to be renewed.
        holes: BTreeSet<String>,
    },
    /// Caps go into an opening.
    Cap {
        /// Opening key.
        opening: String,
        /// How many; `None`: as many as it takes.
        count: Option<u16>,
    },
    /// Caps come out of an opening.
    Uncap {
        /// Opening key.
        opening: String,
        /// How many; `None`: all that are in.
        count: Option<u16>,
    },
    /// A task's own work.
    Task {
        /// Task key.
        task: String,
        /// Its state.
        to: StepMark,
    },
    /// Something comes out.
    TakeOut {
        /// The event that put it in.
        put_in: EventId,
        /// How many; `None`: all that are left.
        count: Option<u16>,
    },
    /// Everything that the device's last tap recorded is undone.
    UndoLast {
        /// Whose.
        device: DeviceId,
    },
}

impl From<VisitBody> for VisitCommand {
    fn from(body: VisitBody) -> Self {
        Self::Say(body)
    }
}
