//! Rule 6: is each bend of the corridor taken by a joint that lies there, and do all other joints stay straight?
//!
//! Joints are matched to bends in order; all ways to do so are looked at with a table of "the first `i` joints take the
//! first `j` bends".

use super::side::FastenerSide;
use super::{DutyNotes, FORGIVEN, reach_rules};
use model::{Grip, GripApproach, Piece, PieceBend, rules};

/// Joints take the bends, in order.
pub(super) fn rule_6(side: &FastenerSide, chain: &[&Piece], grip: &Grip, notes: &mut DutyNotes) {
    let mut z_mm = -reach_rules::engagement_mm(side, grip);
    let mut joints: Vec<(f64, PieceBend)> = Vec::new();
    for piece in chain {
        joints.extend(piece.bend.map(|b| (z_mm + b.at.as_mm(), b)));
        z_mm += piece.outline.iter().map(|s| s.length.as_mm()).sum::<f64>();
    }
    let bends = if grip.approach == GripApproach::Axial { &side.access.bends[..] } else { &[] };
    let mut able = vec![false; bends.len() + 1];
    able[0] = true;
    for (at_mm, joint) in joints {
        let mut next = vec![false; bends.len() + 1];
        for taken in 0..=bends.len() {
            let straight = able[taken] && joint.may_stay_straight;
            let takes = taken > 0 && able[taken - 1] && {
                let bend = &bends[taken - 1];
                (at_mm - bend.at.as_mm()).abs() <= rules::BEND_SLACK_MM + FORGIVEN
                    && joint.max_angle.as_deg() + FORGIVEN >= bend.angle.as_deg()
            };
            next[taken] = straight || takes;
        }
        able = next;
    }
    if !able[bends.len()] {
        notes.add("J406", format!("joints do not take the {} bends of the corridor", bends.len()));
    }
}
