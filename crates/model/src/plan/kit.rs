//! The kit as a plan tells it, and what it serves of fasteners in doubt: counts of possible rooms, never a chance.

use crate::{Act, SolverOutcome, StorePlace};
use serde::{Deserialize, Serialize};

/// A piece on the cart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KitLine {
    /// Piece key.
    pub piece: String,
    /// Title.
    pub title: String,
    /// How many.
    pub count: u16,
    /// Where it is kept.
    pub place: StorePlace,
    /// Number of duties that use it.
    pub duties: u32,
    /// Possible rooms of duties in doubt that none of the stacks told for them serves without it, summed.
    #[serde(default, skip_serializing_if = "is_none_served")]
    pub rooms: u32,
}

/// What lies on the cart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Kit {
    /// Pieces, by cabinet, drawer and key.
    pub pieces: Vec<KitLine>,
    /// Special tools named by the book and the pieces that answer: (tool key, piece key).
    pub special: Vec<(String, String)>,
    /// How sure it is that no kit is better by the objective.
    pub outcome: SolverOutcome,
    /// What it serves of fasteners whose room, head or torque is in doubt; `None` where there are none to count.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub doubt: Option<KitDoubt>,
}

fn is_none_served(rooms: &u32) -> bool {
    *rooms == 0
}

/// Fasteners by how many of their possible rooms a kit serves; a fastener is served where each of its acts is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct RoomCounts {
    /// In every possible room.
    pub every: u32,
    /// In more than half of them.
    pub most: u32,
    /// In half of them or fewer.
    pub few: u32,
    /// In none.
    pub none: u32,
}

impl RoomCounts {
    /// Counts a number of fasteners that are served in `served` of `of` rooms.
    pub fn count_fasteners(&mut self, fasteners: u32, served: u32, of: u32) {
        let class = match served {
            0 => &mut self.none,
            _ if served >= of => &mut self.every,
            _ if served * 2 > of => &mut self.most,
            _ => &mut self.few,
        };
        *class += fasteners;
    }

    /// All that are counted.
    #[must_use]
    pub const fn fasteners(&self) -> u32 {
        self.every + self.most + self.few + self.none
    }
}

/// What a kit serves of fasteners in doubt.
///
/// A *possible room* is one of the corners that the figures in doubt allow ([`crate::BookReading::all_corners`]), each different one once.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KitDoubt {
    /// The fasteners of these duties, counted.
    pub fasteners: RoomCounts,
    /// Likely duties with more than one possible room, in the order of the plan's duties.
    pub duties: Vec<DoubtedDuty>,
}

/// A likely duty: in how many rooms its stack holds, and what to take where it does not.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct DoubtedDuty {
    /// Fixing key.
    pub fixing: String,
    /// Position of the access in the fixing.
    pub access: u16,
    /// The act.
    pub act: Act,
    /// Position of the tightening stage.
    pub stage: Option<u8>,
    /// Different possible rooms.
    pub rooms: u32,
    /// In how many of them the stack of the plan holds.
    pub by_stack: u32,
    /// In how many of them it or one of [`Self::instead`] does.
    pub by_kit: u32,
    /// Other stacks on the cart, each of which serves rooms that none before it does.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instead: Vec<InsteadStack>,
}

/// A stack to take where the one of the plan does not fit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct InsteadStack {
    /// Piece keys from the fastener to the hand.
    pub pieces: Vec<String>,
    /// Piece keys that hold the other side.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hold: Vec<String>,
    /// One line of words.
    pub words: String,
    /// Rooms that it serves and none before it.
    pub rooms: u32,
}
