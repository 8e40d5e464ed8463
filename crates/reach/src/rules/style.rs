//! Rules 11 to 13, kinds: may a handle of this kind do this act at all?

use crate::site::{ReachSite, ReachWork};
use model::rules::POWER_RUN_IN_FRACTION;
use model::{Act, Grip, GripApproach, HandleStyle, Piece, PowerSource};

/// Which side of the fastener a stack works on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum StackRole {
    /// Turns or squeezes.
    Work,
    /// Holds the other side.
    Hold,
}

/// Whether a handle piece may work this drive in this role, whatever the act.
pub(crate) fn suits_drive(site: &ReachSite, role: StackRole, piece: &Piece) -> bool {
    let Some(handle) = &piece.handle else { return false };
    let squeezed = handle.style == HandleStyle::Squeeze;
    let powered = handle.style == HandleStyle::Power || piece.power.is_some();
    match role {
        StackRole::Work => {
            squeezed != site.drive.is_turned()
                && (handle.style != HandleStyle::Power || piece.power.is_some())
        }
        StackRole::Hold => !squeezed && !powered && piece.measure.is_none(),
    }
}

/// Whether a handle piece that turns may do the act: drivers never tighten, run in what is critical or free what may break,
/// and only tightening to a torque measures.
pub(crate) fn suits_act(work: &ReachWork, piece: &Piece) -> bool {
    let power_may = match (&piece.power, work.act) {
        (None, _) | (Some(_), Act::RunOut) => true,
        (Some(_), Act::Free) => !work.is_risky,
        (Some(power), Act::RunIn) => !work.is_critical && can_hold_below(power, work),
        (Some(_), Act::Tighten) => false,
    };
    power_may && piece.measure.is_some() == work.wants_measure()
}

/// Whether a grip may do the act, alone or on a square: a crow-foot's square goes round the fastener and cannot be spun.
pub(crate) fn may_grip_spin(work: &ReachWork, grip: &Grip, is_alone: bool) -> bool {
    let is_crow_foot = grip.approach == GripApproach::Side && !is_alone;
    !is_crow_foot || matches!(work.act, Act::Free | Act::Tighten)
}

/// Whether a driver can be held below the tightening figure; where there is no figure, nobody can say so.
fn can_hold_below(power: &PowerSource, work: &ReachWork) -> bool {
    let least = power.clutch.first().copied().unwrap_or(power.max);
    work.tighten.is_some_and(|t| least <= t * POWER_RUN_IN_FRACTION)
}
