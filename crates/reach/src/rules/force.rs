//! Rule 10: can a hand give the force, and does it still feel the fastener seat?

use crate::site::{ReachSite, ReachWork};
use model::rules::MIN_FEEL_N;
use model::{Act, Handle, HandleStyle};
use units::Force;

/// Force at the handle, where the torque is known.
pub(crate) fn force_at_handle(work: &ReachWork, handle: &Handle) -> Option<Force> {
    let asked = handle.style != HandleStyle::Squeeze;
    work.torque.filter(|_| asked).map(|t| t / handle.arm)
}

/// By how much the force is above what the station allows.
pub(crate) fn force_short_n(site: &ReachSite, force: Option<Force>) -> f64 {
    force.map_or(0.0, |f| f.as_n() - site.hand_force.as_n())
}

/// By how much the force of tightening is below what can be felt.
pub(crate) fn feel_short_n(work: &ReachWork, force: Option<Force>) -> f64 {
    force.filter(|_| work.act == Act::Tighten).map_or(0.0, |f| MIN_FEEL_N - f.as_n())
}
