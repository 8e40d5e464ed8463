//! Corridors: from the head outward, the last stretch open, wide enough for the head.
//!
//! Why: every tool is tried in the corridor; an impossible one would reject them all for a false reason.

use super::{RuleSubject, rule};
use faults::FaultRule;
use fields::ValueSpot;
use model::{Access, Fixing};

rule! { B401 "empty corridor",
why "A corridor has at least one stretch, the open one for the hand.",
bad "corridor = []",
help "write at least `[{ clear = 60 }]`." }
rule! { B402 "open stretch within the corridor",
why "A stretch without a length goes on to the hand; nothing can lie beyond it.",
bad "corridor = [{ clear = 22 }, { clear = 60 }]",
help "give every stretch but the last its `length`." }
rule! { B403 "corridor without an open end",
why "The last stretch is where the hand is, and has no length.",
bad "corridor = [{ length = 40, clear = 22 }, { length = 90, clear = 60 }]",
help "leave `length` of the last stretch out; `headroom` says how far it goes." }
rule! { B404 "corridor narrower than the head",
why "The head is in the first stretch, so that it is at least as wide; most often a radius was measured.",
bad "corridor = [{ length = 40, clear = 12 }, { clear = 60 }]",
help "`clear` is the diameter that is clear round the axis." }
rule! { B405 "head does not pass",
why "A fastener that cannot be drawn through its corridor stays on the part, or has to be marked so.",
bad "corridor = [{ length = 40, clear = 22 }, { length = 10, clear = 11 }, { clear = 60 }]",
help "check `clear`; if it is correct, mark the fixing `captive` or keep it `on-part`." }
rule! { B406 "headroom ends within the corridor",
why "`headroom` counts from the head, as the corridor does, the hand included; it cannot end before the hand's place.",
bad "headroom = 35",
help "measure from the head to the next wall along the axis." }

pub(super) const RULES: &[FaultRule] = &[B401, B402, B403, B404, B405, B406];

pub(super) fn check_corridors(subject: &RuleSubject<'_>) {
    for (fixing, access, spot) in subject.accesses() {
        check_corridor(subject, &fixing.key, access, spot);
        if has_good_corridor_form(access) {
            b404_width(subject, fixing, access, spot);
        }
        if let Some(hold) = &access.counter_hold {
            let held = spot.key("counter_hold").key("access");
            check_corridor(subject, &fixing.key, &hold.access, held);
        }
    }
}

fn has_good_corridor_form(access: &Access) -> bool {
    access
        .corridor
        .split_last()
        .is_some_and(|(last, rest)| last.length.is_none() && rest.iter().all(|s| s.length.is_some()))
}

fn check_corridor(subject: &RuleSubject<'_>, key: &str, access: &Access, spot: &ValueSpot) {
    let list = spot.key("corridor");
    let Some((last, rest)) = access.corridor.split_last() else {
        let message = format!("the corridor of `{key}` is empty");
        subject.bag.push(super::rule_error(&B401, message, list.span, "nothing in it"));
        return;
    };
    for (index, _) in rest.iter().enumerate().filter(|(_, segment)| segment.length.is_none()) {
        let message = format!("a stretch within the corridor of `{key}` has no length");
        subject.bag.push(super::rule_error(&B402, message, list.item(index).span, "not the last one"));
    }
    if last.length.is_some() {
        let message = format!("the corridor of `{key}` has no open end");
        let span = list.item(rest.len()).key("length").span;
        subject.bag.push(super::rule_error(&B403, message, span, "the last stretch is open"));
    }
    if access.headroom < access.corridor_depth() && has_good_corridor_form(access) {
        let message = format!(
            "headroom {} of `{key}` ends within its corridor of {}",
            access.headroom,
            access.corridor_depth()
        );
        subject.bag.push(super::rule_error(&B406, message, spot.key("headroom").span, "less than the depth"));
    }
}

fn b404_width(subject: &RuleSubject<'_>, fixing: &Fixing, access: &Access, spot: &ValueSpot) {
    let head = fixing.head.diameter;
    if !fixing.drive.is_turned() {
        return;
    }
    let stays = fixing.captive
        || fixing.slackened
        || matches!(fixing.keep, Some(model::KeepPlace::OnPart | model::KeepPlace::InHole));
    for (index, segment) in access.corridor.iter().enumerate().filter(|(_, s)| s.clear < head) {
        let span = spot.key("corridor").item(index).key("clear").span;
        let clear = segment.clear;
        if index == 0 {
            let message = format!(
                "the head of `{}`, {head} wide, does not fit into its corridor of {clear}",
                fixing.key
            );
            subject.bag.push(super::rule_error(&B404, message, span, "narrower than the head"));
            return;
        }
        if !stays && access.side.is_none() {
            let message = format!("the head of `{}`, {head} wide, does not pass {clear}", fixing.key);
            subject.bag.push(super::rule_warning(&B405, message, span, "narrower than the head"));
            return;
        }
    }
}
