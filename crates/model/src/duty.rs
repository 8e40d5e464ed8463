//! Duties: what has to be done to the fasteners of a fixing through one access.

use crate::{Book, Fixing, FixingId, StageTarget};
use serde::{Deserialize, Serialize};
use units::Torque;

/// What the hand does to a fastener.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Act {
    /// Break loose.
    Free,
    /// Run out.
    RunOut,
    /// Run in.
    RunIn,
    /// Tighten.
    Tighten,
}

impl core::fmt::Display for Act {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(match self {
            Self::Free => "free",
            Self::RunOut => "run out",
            Self::RunIn => "run in",
            Self::Tighten => "tighten",
        })
    }
}

/// One act on the fasteners of a fixing through one access; tightening has a duty for each stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Duty {
    /// The fixing.
    pub fixing: FixingId,
    /// Position in [`Fixing::accesses`].
    pub access: u16,
    /// The act.
    pub act: Act,
    /// Position in the tightening stages, for [`Act::Tighten`] only.
    pub stage: Option<u8>,
}

impl Duty {
    /// The torque that the act takes, by the rules in [`crate::rules`]; `None` where the book gives no figure.
    #[must_use]
    pub fn torque(&self, fixing: &Fixing) -> Option<Torque> {
        if !fixing.drive.is_turned() {
            return None;
        }
        match (self.act, self.stage) {
            (Act::Free, _) => fixing.break_loose_torque(),
            (Act::RunOut | Act::RunIn, _) => {
                fixing.torque_for_reach().map(|t| t * crate::rules::RUN_TORQUE_RATIO)
            }
            (Act::Tighten, Some(stage)) => match fixing.tightening.stages.get(usize::from(stage))?.target {
                StageTarget::Torque(torque) => Some(torque),
                StageTarget::Angle(_) => fixing.greatest_torque(),
                // What was tightened by the passes before comes loose by what it was tightened to.
                StageTarget::Loosen => fixing.greatest_torque(),
                StageTarget::Seat | StageTarget::ByFeel | StageTarget::NotKnown => None,
            },
            (Act::Tighten, None) => None,
        }
    }

    /// What the stage of a tightening duty aims at.
    #[must_use]
    pub fn stage_target(&self, fixing: &Fixing) -> Option<StageTarget> {
        let stage = usize::from(self.stage?);
        fixing.tightening.stages.get(stage).map(|s| s.target)
    }
}

/// The duties of one fixing, in the order of the work.
///
/// Turned drives: free, run out, run in, and tighten once a stage; without running where they are only slackened. Others: free and
/// run in.
#[must_use]
pub fn duties_of_fixing(fixing: &Fixing, id: FixingId) -> Vec<Duty> {
    let mut duties = Vec::new();
    for access in 0..fixing.accesses.len() as u16 {
        let duty = |act, stage| Duty { fixing: id, access, act, stage };
        duties.push(duty(Act::Free, None));
        if fixing.is_run_out() {
            duties.push(duty(Act::RunOut, None));
        }
        if fixing.is_run_out() || !fixing.drive.is_turned() {
            duties.push(duty(Act::RunIn, None));
        }
        if fixing.drive.is_turned() {
            let stages = 0..fixing.tightening.stages.len() as u8;
            duties.extend(stages.map(|stage| duty(Act::Tighten, Some(stage))));
        }
    }
    duties
}

/// All duties of a book, by fixing, access and order of work.
#[must_use]
pub fn duties_of_book(book: &Book) -> Vec<Duty> {
    book.fixing_ids().flat_map(|id| duties_of_fixing(book.fixing(id), id)).collect()
}
