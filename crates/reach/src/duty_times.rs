//! Times: how long does a stack take for an act on all holes of a duty?
//!
//! Per fastener the hand applies the tool (slower where the head is felt only), turns by the act's angle (slower
//! round bends) and, by act, takes the fastener away, starts it by hand, or reads the torque tool. The table is
//! in [`times::acts`]; this file is that table.
//!
//! Worked example: run out an M6 bolt with 13 turns by a ratchet whose stroke is 60°: `2.5 + 78 · 0.9 + 3.8 = 76.5 s`.

use crate::site::ReachWork;
use model::{Act, HandleStyle, Piece};
use times::{
    APPLY_S, BENT_FACTOR, HAND_S, HAND_START_S, HAND_TURN_S, HOLD_S, INLINE_STROKE_DEG, INLINE_STROKE_S,
    PICK_S, POWER_SPEED_FRACTION, POWER_START_S, READ_S, REAPPLY_S, SQUEEZE_S, STEADY_S, STROKE_S, TAKE_S,
};
use units::math::ceil;

/// How a handle turns a fastener.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum HandleMotion {
    /// Swung with a ratchet.
    Ratchet { stroke_deg: f64 },
    /// Swung and put on again.
    Bar { stroke_deg: f64 },
    /// Turned in the fist.
    InLine,
    /// Turned by a motor.
    Power { speed_rpm: f64 },
    /// Squeezed or pulled.
    Squeeze,
}

impl HandleMotion {
    /// The motion of a handle piece with this stroke.
    pub fn of_handle(piece: &Piece, style: HandleStyle, stroke_deg: f64) -> Self {
        match style {
            HandleStyle::Ratchet => Self::Ratchet { stroke_deg },
            HandleStyle::Bar => Self::Bar { stroke_deg },
            HandleStyle::InLine => Self::InLine,
            HandleStyle::Power => {
                Self::Power { speed_rpm: piece.power.as_ref().map_or(0.0, |p| p.speed_rpm) }
            }
            HandleStyle::Squeeze => Self::Squeeze,
        }
    }

    /// Time to turn by an angle.
    pub fn turn_s(self, angle_deg: f64) -> f64 {
        match self {
            Self::Ratchet { stroke_deg } => ceil(angle_deg / stroke_deg) * STROKE_S,
            Self::Bar { stroke_deg } => {
                let strokes = ceil(angle_deg / stroke_deg);
                strokes * STROKE_S + (strokes - 1.0).max(0.0) * REAPPLY_S
            }
            Self::InLine => ceil(angle_deg / INLINE_STROKE_DEG) * INLINE_STROKE_S,
            Self::Power { speed_rpm } => {
                POWER_START_S + angle_deg / (speed_rpm * 360.0 / 60.0 * POWER_SPEED_FRACTION)
            }
            Self::Squeeze => SQUEEZE_S,
        }
    }
}

/// Time of a duty with a tool, for all its holes; `bends` are those taken at more than 0°.
pub(crate) fn time_with_tool_s(work: &ReachWork, motion: HandleMotion, bends: i32) -> f64 {
    let bent = core::iter::repeat_n(BENT_FACTOR, usize::try_from(bends).unwrap_or(0)).product::<f64>();
    let turn_s = bent * motion.turn_s(work.turn_deg());
    let one_s = match work.act {
        Act::Free => work.slow_factor * APPLY_S + turn_s,
        Act::RunOut => work.slow_factor * APPLY_S + turn_s + TAKE_S,
        Act::RunIn => work.slow_factor * (HAND_START_S + APPLY_S) + turn_s,
        Act::Tighten => work.slow_factor * APPLY_S + turn_s + READ_S,
    };
    (one_s + hold_time_s(work)) * f64::from(work.holes)
}

/// What the pieces of a chain that wobble add to a duty, for all its holes.
pub(crate) fn steadying_time_s(work: &ReachWork, wobbling: usize) -> f64 {
    STEADY_S * wobbling as f64 * f64::from(work.holes)
}

/// Whether a piece wobbles: a joint, or an adapter.
pub(crate) fn is_wobbly(piece: &Piece) -> bool {
    let links = piece.toward_fastener.zip(piece.toward_hand);
    piece.bend.is_some() || links.is_some_and(|(inner, outer)| inner != outer)
}

/// Time of a duty by bare hand, for all its holes.
pub(crate) fn time_by_hand_s(work: &ReachWork) -> f64 {
    (work.slow_factor * HAND_S + HAND_TURN_S * work.turns + hold_time_s(work)) * f64::from(work.holes)
}

/// What domination compares: time and the fetching of the pieces.
pub(crate) fn working_cost_s(time_s: f64, pieces: usize) -> f64 {
    time_s + PICK_S * pieces as f64
}

fn hold_time_s(work: &ReachWork) -> f64 {
    if work.held { HOLD_S } else { 0.0 }
}
