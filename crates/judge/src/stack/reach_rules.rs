//! Rules 1 to 5 and 8: does the tool fit the drive, take enough hold, pass the corridor and reach the hand?

use super::side::FastenerSide;
use super::{DutyNotes, FORGIVEN};
use model::{DriveForm, Grip, GripApproach, Handle, HandleStyle, Piece, rules};

/// Overlap that still counts as touching.
const TOUCH_MM: f64 = 0.001;

/// How far the grip takes hold.
pub(super) fn engagement_mm(side: &FastenerSide, grip: &Grip) -> f64 {
    if !side.drive.is_turned() {
        return 0.0;
    }
    let external_axial = grip.approach == GripApproach::Axial && !side.drive.is_internal();
    let lost_mm = if external_axial { side.protrusion_mm } else { 0.0 };
    side.grip_height_mm.min(grip.depth.as_mm() - lost_mm)
}

/// The outer end of the stack.
fn stack_top_mm(side: &FastenerSide, chain: &[&Piece], grip: &Grip) -> f64 {
    let sections = chain.iter().flat_map(|p| &p.outline);
    sections.map(|s| s.length.as_mm()).sum::<f64>() - engagement_mm(side, grip)
}

/// Drive, engagement, place, clearance, length.
pub(super) fn rules_1_to_5(
    side: &FastenerSide,
    chain: &[&Piece],
    grip: &Grip,
    handle: &Handle,
    notes: &mut DutyNotes,
) {
    let size = side.drive.size();
    let fits = |f: &model::GripFit| {
        f.form == side.drive.form() && f.low - FORGIVEN <= size && size <= f.high + FORGIVEN
    };
    if side.drive.form() == DriveForm::Hand || !grip.fits.iter().any(fits) {
        notes.add("J401", format!("`{}` does not fit {}", chain[0].key, side.drive));
    }
    if side.on_pipe && !grip.is_open {
        notes.add("J401", format!("the pipe bars `{}`, which has no gap", chain[0].key));
    }
    if side.drive.is_turned() {
        let least_mm = rules::MIN_ENGAGEMENT_FRACTION * side.grip_height_mm;
        notes.check_at_most("J402", least_mm, engagement_mm(side, grip), "too little engagement, mm needed");
    }
    if grip.approach == GripApproach::Axial {
        judge_clearance(side, chain, grip, notes);
        judge_length(side, chain, grip, handle, notes);
    }
}

fn judge_clearance(side: &FastenerSide, chain: &[&Piece], grip: &Grip, notes: &mut DutyNotes) {
    let mut from_mm = -engagement_mm(side, grip);
    for piece in chain {
        for section in &piece.outline {
            let to_mm = from_mm + section.length.as_mm();
            let wide_mm = section.diameter.as_mm() + 2.0 * rules::PASS_CLEARANCE_MM;
            if let Some(clear_mm) = narrowest_mm(side, from_mm, to_mm) {
                notes.check_at_most(
                    "J404",
                    wide_mm,
                    clear_mm,
                    &format!("`{}` is too thick, mm with clearance", piece.key),
                );
            }
            from_mm = to_mm;
        }
    }
}

/// The least clear diameter between two distances from the head.
fn narrowest_mm(side: &FastenerSide, from_mm: f64, to_mm: f64) -> Option<f64> {
    let mut start_mm = f64::NEG_INFINITY;
    let mut end_mm = 0.0;
    let mut least_mm: Option<f64> = None;
    for segment in &side.access.corridor {
        end_mm = segment.length.map_or(f64::INFINITY, |l| end_mm + l.as_mm());
        if to_mm.min(end_mm) - from_mm.max(start_mm) > TOUCH_MM {
            let clear_mm = segment.clear.as_mm();
            least_mm = Some(least_mm.map_or(clear_mm, |l| l.min(clear_mm)));
        }
        start_mm = end_mm;
    }
    least_mm
}

fn judge_length(side: &FastenerSide, chain: &[&Piece], grip: &Grip, handle: &Handle, notes: &mut DutyNotes) {
    let top_mm = stack_top_mm(side, chain, grip);
    let depth_mm = side.depth_mm();
    let last_mm = chain.last().and_then(|p| p.outline.last()).map_or(0.0, |s| s.length.as_mm());
    match handle.style {
        HandleStyle::Ratchet | HandleStyle::Bar => {
            notes.check_at_most(
                "J405",
                depth_mm,
                top_mm - last_mm / 2.0,
                "the arm swings inside the corridor, mm deep",
            );
        }
        HandleStyle::InLine => {
            let wanted_mm = depth_mm + rules::INLINE_CLEAR_MM;
            notes.check_at_most("J405", wanted_mm, top_mm, "no room for the fist, mm needed");
        }
        HandleStyle::Power | HandleStyle::Squeeze => {
            notes.check_at_most("J405", depth_mm, top_mm, "too short, mm wanted");
        }
    }
    let hand_mm = top_mm + handle.hand_room.as_mm();
    notes.check_at_most("J405", hand_mm, side.access.headroom.as_mm(), "too long for the headroom, mm");
}

/// The room beside the head.
pub(super) fn rule_8(
    side: &FastenerSide,
    chain: &[&Piece],
    grip: &Grip,
    handle: &Handle,
    notes: &mut DutyNotes,
) {
    if grip.approach != GripApproach::Side {
        return;
    }
    let Some(room) = &side.access.side else {
        notes.add("J408", format!("there is no room beside the head for `{}`", chain[0].key));
        return;
    };
    notes.check_at_most("J408", grip.depth.as_mm(), room.height.as_mm(), "the tool's head is too thick, mm");
    notes.check_at_most(
        "J408",
        grip.head_width.as_mm() / 2.0,
        room.radial.as_mm(),
        "the tool's head is too wide, mm",
    );
    if chain.len() < 2 {
        return;
    }
    for piece in &chain[1..] {
        let out_mm = piece.outline.iter().map(|s| s.diameter.as_mm()).fold(0.0, f64::max) / 2.0;
        let words = format!("`{}` projects too far, mm", piece.key);
        notes.check_at_most("J408", grip.offset.as_mm() + out_mm, room.reach.as_mm(), &words);
    }
    let hand_mm = stack_top_mm(side, chain, grip) + handle.hand_room.as_mm();
    notes.check_at_most("J408", hand_mm, room.headroom.as_mm(), "too long for the room beside the head, mm");
}
