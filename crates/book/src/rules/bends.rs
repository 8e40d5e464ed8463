//! Bends, swings and side rooms: figures that a real space can have.
//!
//! Why: a joint, a ratchet or a ring spanner is chosen by them; a figure that no space has chooses none.

use super::{RuleSubject, rule};
use faults::FaultRule;
use fields::ValueSpot;
use model::{Access, Fixing, SideRoom, Swing};
use units::Length;

rule! { B407 "bends do not rise",
why "Bends are listed from the head outward, as a stack of tools meets them.",
bad "bends    = [{ at = 120, angle = \"20°\" }, { at = 55, angle = \"30°\" }]",
help "order them by `at`, the distance from the head." }
rule! { B408 "bend outside the room",
why "A bend at the head, or beyond the headroom, is one that no tool ever meets.",
bad "bends    = [{ at = 550, angle = \"30°\" }]",
help "`at` is the distance from the head along the axis." }
rule! { B409 "absurd bend",
why "A joint bends by more than 0° and at most 90°; beyond that a tool comes from the side.",
bad "bends    = [{ at = 55, angle = \"120°\" }]",
help "write the angle by which the axis turns; use `side` for tools from the side." }
rule! { B410 "absurd arc",
why "A handle swings through more than 0° and at most 360°.",
bad "swings   = [{ radius = 150, arc = \"400°\" }]",
help "write the free arc in degrees; leave `swings` out where it is free all round." }
rule! { B411 "arc grows with the radius",
why "A longer handle cannot have more room than a shorter one round the same axis; two figures have been swapped.",
bad "swings   = [{ radius = 150, arc = \"25°\" }, { radius = 250, arc = \"60°\" }]",
help "list radii rising and arcs falling." }
rule! { B412 "side room too low for a hold",
why "A spanner needs to engage at least 0.6 of the head's height (a rule of reach); with less room none does, however thin.",
bad "side     = { radial = 14, height = 3 }",
help "measure from the seating face of the head up to the next wall." }
rule! { B413 "side room narrower than the head",
why "`radial` is clear all round the axis, so that it holds at least half of the head.",
bad "side     = { radial = 5, height = 9 }",
help "measure from the axis to the nearest wall beside the head." }
rule! { B414 "reach shorter than the clear radius",
why "`reach` is how far the room goes in its best direction; it cannot be less than what is clear all round.",
bad "side     = { radial = 14, height = 9, reach = 10 }",
help "measure from the axis in the direction that has most room." }
rule! { B415 "held side without hold",
why "What is held against turning needs a drive that a tool can hold.",
bad "counter_hold = { drive = \"latch\", grip_height = 8, access = { corridor = [{ clear = 40 }], headroom = 200 } }",
help "write the drive of the other side, such as `hexagon 13 mm`." }

pub(super) const RULES: &[FaultRule] = &[B407, B408, B409, B410, B411, B412, B413, B414, B415];

/// A joint's greatest angle, beyond which nothing turns (geometry).
const MAX_BEND_DEG: f64 = 90.0;
/// Once round.
const MAX_ARC_DEG: f64 = 360.0;

pub(super) fn check_bends(subject: &RuleSubject<'_>) {
    for (fixing, access, spot) in subject.accesses() {
        check_access_room(subject, &fixing.key, access, spot);
        if let Some(side) = access.side.as_ref().filter(|_| fixing.drive.is_turned()) {
            // The height of a recess says nothing about the head, so that it is left out.
            let height = if fixing.drive.is_internal() { Length::ZERO } else { fixing.head.grip_height };
            check_side_room(subject, fixing, side, height, spot.key("side"));
        }
        if let Some(hold) = &access.counter_hold {
            let held = spot.key("counter_hold");
            check_access_room(subject, &fixing.key, &hold.access, held.key("access"));
            if !hold.drive.is_turned() {
                let message = format!("the other side of `{}` cannot be held by {}", fixing.key, hold.drive);
                subject.bag.push(super::rule_error(&B415, message, held.key("drive").span, "cannot be held"));
            }
        }
    }
}

fn check_access_room(subject: &RuleSubject<'_>, key: &str, access: &Access, spot: &ValueSpot) {
    check_bend_list(subject, key, access, spot.key("bends"));
    check_swings(subject, key, &access.swings, spot.key("swings"));
    if let Some(side) = &access.side {
        check_swings(subject, key, &side.swings, spot.key("side").key("swings"));
    }
}

fn check_bend_list(subject: &RuleSubject<'_>, key: &str, access: &Access, list: &ValueSpot) {
    let mut last = Length::ZERO;
    for (index, bend) in access.bends.iter().enumerate() {
        let spot = list.item(index);
        let angle = bend.angle.as_deg();
        if angle <= 0.0 || angle > MAX_BEND_DEG {
            let message = format!("the corridor of `{key}` cannot bend by {}", bend.angle);
            subject.bag.push(super::rule_error(
                &B409,
                message,
                spot.key("angle").span,
                "expected more than 0° and at most 90°",
            ));
        }
        if bend.at <= Length::ZERO || bend.at >= access.headroom {
            let message = format!(
                "the bend of `{key}` at {} lies outside its headroom of {}",
                bend.at, access.headroom
            );
            subject.bag.push(super::rule_error(&B408, message, spot.key("at").span, "outside"));
        } else if bend.at <= last {
            let message = format!("the bend of `{key}` at {} follows one at {last}", bend.at);
            subject.bag.push(super::rule_error(&B407, message, spot.key("at").span, "nearer to the head"));
        }
        last = last.max(bend.at);
    }
}

fn check_swings(subject: &RuleSubject<'_>, key: &str, swings: &[Swing], list: &ValueSpot) {
    for (index, swing) in swings.iter().enumerate() {
        let span = list.item(index).key("arc").span;
        if swing.arc.as_deg() <= 0.0 || swing.arc.as_deg() > MAX_ARC_DEG {
            let message = format!("a handle on `{key}` cannot swing by {}", swing.arc);
            subject.bag.push(super::rule_error(
                &B410,
                message,
                span,
                "expected more than 0° and at most 360°",
            ));
            return;
        }
    }
    let mut order: Vec<usize> = (0..swings.len()).collect();
    order.sort_by(|a, b| swings[*a].radius.as_mm().total_cmp(&swings[*b].radius.as_mm()));
    for pair in order.windows(2) {
        let (near, far) = (&swings[pair[0]], &swings[pair[1]]);
        let same = near.radius == far.radius && near.arc != far.arc;
        if far.arc > near.arc || same {
            let message =
                format!("`{key}`: {} of arc at {}, but {} at {}", near.arc, near.radius, far.arc, far.radius);
            let span = list.item(pair[1]).key("arc").span;
            subject.bag.push(super::rule_error(&B411, message, span, "more room further out"));
            return;
        }
    }
}

fn check_side_room(
    subject: &RuleSubject<'_>,
    fixing: &Fixing,
    side: &SideRoom,
    height: Length,
    spot: &ValueSpot,
) {
    let needed = height * model::rules::MIN_ENGAGEMENT_FRACTION;
    if side.height < needed {
        let message = format!("{} beside the head of `{}`, which is {height} high", side.height, fixing.key);
        let label = format!("no hold in less than {needed}");
        subject.bag.push(super::rule_error(&B412, message, spot.key("height").span, label));
    }
    if side.radial * 2.0 < fixing.head.diameter {
        let message = format!(
            "{} beside the axis of `{}`, whose head is {} wide",
            side.radial, fixing.key, fixing.head.diameter
        );
        subject.bag.push(super::rule_error(
            &B413,
            message,
            spot.key("radial").span,
            "less than half the head",
        ));
    }
    if side.reach < side.radial {
        let message = format!(
            "the room beside `{}` reaches {}, but is clear for {}",
            fixing.key, side.reach, side.radial
        );
        subject.bag.push(super::rule_error(&B414, message, spot.key("reach").span, "shorter than `radial`"));
    }
}
