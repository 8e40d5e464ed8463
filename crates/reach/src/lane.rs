//! The lane of a grip: what every further piece behind it has to obey, along the axis or beside the head.

use crate::index::PieceBody;
use crate::rules::bends::{self, ChainJoints, PlacedJoint};
use crate::rules::{clearance, length, side};
use crate::site::ReachSite;
use model::rules::{BEND_SLACK_MM, PASS_CLEARANCE_MM};
use model::{Handle, SideRoom};

/// Slack of all early cuts, so that rounding can never cut what the rules would allow.
const SLACK_MM: f64 = 1e-6;

/// Where a chain goes.
#[derive(Debug, Clone, Copy)]
pub(crate) enum ChainLane<'a> {
    /// Along the corridor.
    Along(&'a ReachSite<'a>),
    /// Up from a crow-foot's square at an offset from the axis.
    Beside { room: &'a SideRoom, offset_mm: f64 },
}

impl ChainLane<'_> {
    /// Whether a piece may lie at a distance from the head.
    pub fn admits_piece(&self, body: &PieceBody, start_mm: f64) -> bool {
        match self {
            Self::Along(site) => clears_corridor(site, body, start_mm) && may_bend(site, body, start_mm),
            Self::Beside { room, offset_mm } => {
                side::side_reach_short_mm(room, *offset_mm, body.widest_mm) <= 0.0
                    && body.bend.is_none_or(|b| b.may_stay_straight)
            }
        }
    }

    /// Whether, with this many joints so far, no bend has been passed that nothing takes.
    pub fn bends_passed(&self, joints: usize, end_mm: f64) -> bool {
        match self {
            Self::Along(site) => {
                let bends = &site.access.bends;
                let passed = bends.iter().filter(|b| b.at.as_mm() + BEND_SLACK_MM + SLACK_MM < end_mm);
                passed.count() <= joints
            }
            Self::Beside { .. } => true,
        }
    }

    /// Whether a handle piece that starts at a distance from the head has its length rules.
    pub fn reaches_out(&self, body: &PieceBody, handle: &Handle, start_mm: f64) -> bool {
        let top_mm = start_mm + body.length_mm;
        let room_mm = handle.hand_room.as_mm();
        match self {
            Self::Along(site) => {
                let plane_mm = length::arm_plane_mm(top_mm, body.piece);
                length::reach_short_mm(handle.style, top_mm, plane_mm, site.depth_mm) <= 0.0
                    && length::headroom_short_mm(top_mm, room_mm, site.headroom_mm) <= 0.0
            }
            Self::Beside { room, .. } => side::side_headroom_short_mm(room, top_mm, room_mm) <= 0.0,
        }
    }

    /// Least and greatest start of a handle piece that has its length rules.
    pub fn window_mm(&self, body: &PieceBody, handle: &Handle) -> (f64, f64) {
        let room_mm = handle.hand_room.as_mm();
        match self {
            Self::Along(site) => {
                let plane_mm = length::arm_plane_mm(body.length_mm, body.piece);
                let low_mm = length::reach_short_mm(handle.style, body.length_mm, plane_mm, site.depth_mm);
                (low_mm - SLACK_MM, site.headroom_mm - room_mm - body.length_mm + SLACK_MM)
            }
            Self::Beside { room, .. } => {
                (f64::NEG_INFINITY, room.headroom.as_mm() - room_mm - body.length_mm + SLACK_MM)
            }
        }
    }

    /// Whether the joints of a whole chain obey the rule of bends.
    pub fn bends_hold(&self, joints: &ChainJoints) -> bool {
        match self {
            Self::Along(site) => bends::match_bends(&site.access.bends, joints).is_some(),
            Self::Beside { .. } => bends::all_straight(joints),
        }
    }

    /// Whether a chain without a joint obeys the rule of bends.
    pub fn is_straight(&self) -> bool {
        match self {
            Self::Along(site) => site.access.bends.is_empty(),
            Self::Beside { .. } => true,
        }
    }
}

fn clears_corridor(site: &ReachSite, body: &PieceBody, start_mm: f64) -> bool {
    body.widest_mm + 2.0 * PASS_CLEARANCE_MM <= site.narrowest_mm
        || clearance::piece_short_mm(&site.stretches, start_mm, &body.piece.outline) <= 0.0
}

/// Whether a piece's joint, if it has one, takes a bend here or may stay straight.
fn may_bend(site: &ReachSite, body: &PieceBody, start_mm: f64) -> bool {
    let Some(bend) = body.bend else { return true };
    let joint = PlacedJoint { piece: 0, centre_mm: start_mm + bend.at.as_mm(), bend };
    bend.may_stay_straight || site.access.bends.iter().any(|b| joint.can_take(b))
}
