//! Rules 11 and 12: does the right kind of handle do the act, is its setting to be trusted, and is the fastener held?

use super::side::{ActDemand, FastenerSide};
use super::{DutyNotes, FORGIVEN, figures};
use model::{Act, Grip, GripApproach, HandleStyle, Piece, Retention, TorqueMeasure, rules};
use units::math;

/// Measure, power and squeeze.
pub(super) fn rule_11(
    side: &FastenerSide,
    ask: &ActDemand,
    chain: &[&Piece],
    grip: &Grip,
    notes: &mut DutyNotes,
) {
    let Some((last, handle)) = chain.last().and_then(|p| Some((*p, p.handle.as_ref()?))) else { return };
    if (handle.style == HandleStyle::Squeeze) == side.drive.is_turned() {
        notes.add("J411", format!("`{}` is the wrong kind of handle for {}", last.key, side.drive));
    }
    if handle.style == HandleStyle::Power && last.power.is_none() {
        notes.add("J411", format!("`{}` has no source of power", last.key));
    }
    match (&last.measure, ask.wants_torque_tool()) {
        (None, true) => notes.add("J411", format!("`{}` does not measure the torque", last.key)),
        (Some(_), false) => {
            notes.add("J411", format!("`{}` is a torque tool, which this act does not need", last.key))
        }
        (Some(measure), true) => judge_setting(side, ask, measure, grip, notes),
        (None, false) => {}
    }
    judge_power_driver(ask, last, notes);
    let on_square = grip.approach == GripApproach::Side && chain.len() > 1;
    if on_square && matches!(ask.act, Act::RunOut | Act::RunIn) {
        notes.add("J411", format!("`{}` cannot be spun by its square", chain[0].key));
    }
}

fn judge_setting(
    side: &FastenerSide,
    ask: &ActDemand,
    measure: &TorqueMeasure,
    grip: &Grip,
    notes: &mut DutyNotes,
) {
    let Some(torque_n_m) = ask.torque_n_m else { return };
    let setting_n_m = wrench_setting_n_m(torque_n_m, measure, grip);
    let high_n_m = measure.range.high().as_n_m();
    let low_n_m = measure.range.low().as_n_m().max(high_n_m * rules::TORQUE_TOOL_LOWEST_FRACTION);
    notes.check_at_most("J411", setting_n_m, high_n_m, "setting above the range, N·m");
    notes.check_at_most("J411", low_n_m, setting_n_m, "setting below the range, N·m wanted");
    let spread =
        figures::taken_bends_deg(side, grip).iter().map(|b| 1.0 / math::cos_deg(*b)).product::<f64>() - 1.0;
    notes.check_at_most("J411", spread, ask.tolerance_fraction, "joints falsify the torque, as a fraction");
}

/// What to set for a torque behind a crow-foot held in line outward.
pub(super) fn wrench_setting_n_m(torque_n_m: f64, measure: &TorqueMeasure, grip: &Grip) -> f64 {
    let arm_mm = measure.arm.as_mm();
    let offset_mm = if grip.approach == GripApproach::Side { grip.offset.as_mm() } else { 0.0 };
    if offset_mm > 0.0 { torque_n_m * arm_mm / (arm_mm + offset_mm) } else { torque_n_m }
}

fn judge_power_driver(ask: &ActDemand, last: &Piece, notes: &mut DutyNotes) {
    let Some(power) = &last.power else { return };
    if ask.act == Act::Tighten {
        notes.add("J411", format!("`{}` may not tighten", last.key));
    }
    if ask.act == Act::Free && ask.may_break {
        notes.add("J411", format!("`{}` may not free what may break", last.key));
    }
    if ask.act == Act::RunIn && ask.critical {
        notes.add("J411", format!("`{}` may not run in what is critical", last.key));
    }
    if ask.act == Act::RunIn {
        let steps = power.clutch.iter().map(|t| t.as_n_m());
        let least_n_m = steps.reduce(f64::min).unwrap_or(power.max.as_n_m());
        let most_n_m = ask.tighten_n_m.map(|t| t * rules::POWER_RUN_IN_FRACTION);
        if most_n_m.is_none_or(|most| least_n_m > most + FORGIVEN) {
            notes.add("J411", format!("`{}` cannot be held below the tightening figure", last.key));
        }
    }
}

/// The grip must retain a fastener that could drop into an opening.
pub(super) fn rule_12(ask: &ActDemand, grip: &Grip, notes: &mut DutyNotes) {
    if ask.retention && grip.retention == Retention::None {
        notes.add("J412", "the fastener may drop into an opening that cannot be capped");
    }
}
