//! Figures of a stack: seconds, setting and force of each duty, by the rules of [`times::acts`].

// symbol: right = the figure worked out here, in the unit of the claim
// symbol: said = the figure that the plan claims

use super::side::{ActDemand, FastenerSide};
use super::{DutyNotes, load, measure, shape, swing};
use crate::case::{DutyFacts, PlanCase, StackFacts};
use crate::{figure_or_none, same_figure};
use model::{Act, Grip, GripApproach, Handle, HandleStyle, Piece, Sight, StageTarget};
use times::{TimeFigures, TimeKey};
use units::math;

/// Angles of the bends that a stack takes.
pub(super) fn taken_bends_deg(side: &FastenerSide, grip: &Grip) -> Vec<f64> {
    match grip.approach {
        GripApproach::Axial => side.access.bends.iter().map(|b| b.angle.as_deg()).collect(),
        GripApproach::Side => Vec::new(),
    }
}

/// A duty without a stack has no figures.
pub(super) fn judge_gap_figures(duty: &DutyFacts, notes: &mut DutyNotes) {
    if duty.line.seconds != 0.0 || duty.line.setting_n_m.is_some() || duty.line.force_n.is_some() {
        notes.add("J415", "figures are given although there is no stack");
    }
}

/// J415 seconds, J416 setting, J417 force.
pub(super) fn judge_stack_figures(
    case: &PlanCase,
    duty: &DutyFacts,
    stack: &StackFacts,
    holes: usize,
    notes: &mut DutyNotes,
) {
    if let Some(each_s) = fastener_time_s(case, duty, stack) {
        let all_s = each_s * holes as f64;
        if !same_figure(all_s, duty.line.seconds) {
            notes.add("J415", format!("takes {all_s:.3} s, the plan says {:.3} s", duty.line.seconds));
        }
    }
    let chain: Vec<&Piece> = stack.pieces.iter().map(|id| case.store.piece(*id)).collect();
    let ends = shape::chain_ends(&chain);
    let ask = ActDemand::new(case, duty);
    let measure = chain.last().and_then(|p| p.measure.as_ref()).filter(|_| ask.wants_torque_tool());
    let setting_n_m = ask
        .torque_n_m
        .zip(measure)
        .zip(ends)
        .map(|((t, m), (grip, _))| measure::wrench_setting_n_m(t, m, grip));
    judge_claimed_figure("J416", "setting, N·m", setting_n_m, duty.line.setting_n_m, notes);
    let by_hand = |h: &Handle| !matches!(h.style, HandleStyle::Power | HandleStyle::Squeeze);
    let handle = ends.map(|(_, handle)| handle).filter(|h| by_hand(h));
    let force_n = ask.torque_n_m.zip(handle).map(|(t, h)| load::arm_force_n(t, h));
    judge_claimed_figure("J417", "force, N", force_n, duty.line.force_n, notes);
}

fn judge_claimed_figure(
    code: &'static str,
    what: &str,
    right: Option<f64>,
    said: Option<f64>,
    notes: &mut DutyNotes,
) {
    let agrees = match (right, said) {
        (None, None) => true,
        (Some(a), Some(b)) => same_figure(a, b),
        _ => false,
    };
    if !agrees {
        notes.add(
            code,
            format!("{what}: {} by the rules, {} in the plan", figure_or_none(right), figure_or_none(said)),
        );
    }
}

/// Time for one fastener; `None` where the pieces make no chain.
pub(crate) fn fastener_time_s(case: &PlanCase, duty: &DutyFacts, stack: &StackFacts) -> Option<f64> {
    let time = |key| case.times.value(key);
    let slow = if duty.access.sight == Sight::FeltOnly { time(TimeKey::FeltFactor) } else { 1.0 };
    let hold_s = if duty.access.counter_hold.is_some() { time(TimeKey::Hold) } else { 0.0 };
    let turns =
        duty.fixing.thread.map_or(0.0, |t| duty.fixing.engagement_or_assumed(t).as_mm() / t.pitch_mm());
    if stack.pieces.is_empty() {
        return Some(slow * time(TimeKey::Hand) + time(TimeKey::HandTurn) * turns + hold_s);
    }
    let chain: Vec<&Piece> = stack.pieces.iter().map(|id| case.store.piece(*id)).collect();
    let (grip, handle) = shape::chain_ends(&chain)?;
    let side = FastenerSide::working_side(case, duty);
    let angle_deg = match (duty.line.act, crate::duties::tightening_target(duty)) {
        (Act::Free, _) => time(TimeKey::FreeTurn),
        (Act::RunOut, _) => 360.0 * turns,
        (Act::RunIn, _) => 360.0 * (turns - time(TimeKey::HandTurns)).max(0.5),
        (Act::Tighten, Some(StageTarget::Angle(angle))) => angle.as_deg(),
        (Act::Tighten, _) => time(TimeKey::TightenTurn),
    };
    let bent = taken_bends_deg(&side, grip)
        .iter()
        .filter(|b| **b > 0.0)
        .fold(1.0, |f, _| f * time(TimeKey::BentFactor));
    let turn_s = bent * turning_time_s(&case.times, &side, grip, (handle, chain.last()?), angle_deg)?;
    let act_s = match duty.line.act {
        Act::Free => slow * time(TimeKey::Apply) + turn_s,
        Act::RunOut => slow * time(TimeKey::Apply) + turn_s + time(TimeKey::Take),
        Act::RunIn => slow * (time(TimeKey::HandStart) + time(TimeKey::Apply)) + turn_s,
        Act::Tighten => slow * time(TimeKey::Apply) + turn_s + time(TimeKey::Read),
    };
    let wobbles = |p: &&&Piece| p.bend.is_some() || is_adapter(p);
    let steady_s = time(TimeKey::Steady) * chain.iter().filter(wobbles).count() as f64;
    Some(act_s + steady_s + hold_s)
}

/// Whether a piece joins two different links.
fn is_adapter(piece: &Piece) -> bool {
    matches!((piece.toward_fastener, piece.toward_hand), (Some(one), Some(other)) if one != other)
}

fn turning_time_s(
    times: &TimeFigures,
    side: &FastenerSide,
    grip: &Grip,
    (handle, piece): (&Handle, &Piece),
    angle_deg: f64,
) -> Option<f64> {
    let time = |key| times.value(key);
    Some(match handle.style {
        HandleStyle::Ratchet | HandleStyle::Bar => {
            let strokes = math::ceil(angle_deg / swing::swing_stroke_deg(side, grip, handle)?);
            let again_s = if handle.style == HandleStyle::Bar { time(TimeKey::Reapply) } else { 0.0 };
            strokes * time(TimeKey::Stroke) + again_s * (strokes - 1.0).max(0.0)
        }
        HandleStyle::InLine => {
            math::ceil(angle_deg / time(TimeKey::InlineStrokeAngle)) * time(TimeKey::InlineStroke)
        }
        HandleStyle::Power => {
            let deg_per_s = piece.power.as_ref()?.speed_rpm * 6.0 * time(TimeKey::PowerSpeed);
            time(TimeKey::PowerStart) + angle_deg / deg_per_s
        }
        HandleStyle::Squeeze => time(TimeKey::Squeeze),
    })
}
