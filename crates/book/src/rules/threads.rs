//! Lengths of thread: what is engaged, clamped and tapped adds up.
//!
//! **Symbols.** `l` length under the head, `c` thickness clamped, `e` thread engaged, `t` depth of usable thread.
//!
//! **Assumptions and range.** For bolts and screws, `l = c + e` up to a chamfer and a washer; the end must be above the
//! bottom of a blind hole, `l − c ≤ t`. Nuts and studs are left out, because their lengths run the other way too.
//!
//! **Worked example.** `l` 25, `c` 12, `e` 13, `t` 18: 25 = 12 + 13, and 13 is not above 18.
//!
//! **Sources.** Geometry; the play of a quarter of the length is an assumption.

use super::{RuleSubject, rule};
use faults::FaultRule;
use fields::ValueSpot;
use model::{FastenerKind as Kind, Fixing};
use units::Length;

rule! { B308 "impossible engagement",
why "How far a thread is engaged says how many turns it takes; it cannot be zero, nor more than the fastener is long.",
bad "engagement  = 26",
help "measure the thread that is engaged: mostly one to two diameters." }
rule! { B309 "engagement deeper than the tapped hole",
why "Thread cannot be engaged deeper than it is cut.",
bad "tapped_depth = 10",
help "check both figures; leave `tapped_depth` out for a through hole." }
rule! { B310 "lengths do not add up",
why "Length under the head is what is clamped and what is engaged; a difference means that one of the three was measured wrongly.",
bad "clamped     = 3",
help "measure again; leave `clamped` out where it is not known." }
rule! { B311 "bottoms in its hole",
why "A bolt that reaches the bottom of its hole before it clamps holds nothing, though its torque is right.",
bad "length      = 34",
help "check length, clamped thickness and depth; leave `tapped_depth` out for a through hole." }
pub(super) const RULES: &[FaultRule] = &[B308, B309, B310, B311];

/// By how much lengths may miss each other, as a share of the length (assumption).
const PLAY_SHARE: f64 = 0.25;
/// Play that any length may have: a washer and a chamfer (assumption).
const PLAY_MM: f64 = 3.0;
/// Rounding of figures taken with a rule.
const ROUNDING_MM: f64 = 0.5;

pub(super) fn check_threads(subject: &RuleSubject<'_>) {
    for (fixing, spot) in subject.sound_fixings() {
        let fits = b308_engagement(subject, fixing, spot);
        if fits && matches!(fixing.kind, Kind::Bolt | Kind::Screw) {
            check_length_sums(subject, fixing, spot);
        }
    }
}

/// Whether the engagement is possible by itself: B308 and B309.
fn b308_engagement(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) -> bool {
    let Some((engaged, most)) = fixing.engagement.ends() else { return true };
    let span = spot.key("engagement").span;
    if fixing.thread.is_some() && most == Length::ZERO {
        let message = format!("no thread of `{}` is engaged", fixing.key);
        subject.bag.push(super::rule_error(&B308, message, span, "a thread cannot engage nothing"));
        return false;
    }
    if let Some(length) = fixing.length.filter(|l| *l < engaged && fixing.kind != Kind::Nut) {
        let message = format!("`{}` engages {engaged}, but is only {length} long", fixing.key);
        subject.bag.push(super::rule_error(&B308, message, span, "more than its length"));
        return false;
    }
    if let Some(depth) = fixing.tapped_depth.filter(|d| d.as_mm() + ROUNDING_MM < engaged.as_mm()) {
        let message = format!("{engaged} engaged of `{}` in {depth} of thread", fixing.key);
        subject.bag.push(super::rule_error(
            &B309,
            message,
            spot.key("tapped_depth").span,
            "less than is engaged",
        ));
        return false;
    }
    true
}

/// B310 and B311: the thread below what is clamped.
fn check_length_sums(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) {
    let (Some(length), Some(clamped)) = (fixing.length, fixing.clamped) else { return };
    let below = length - clamped;
    if let Some(depth) = fixing.tapped_depth.filter(|d| below.as_mm() > d.as_mm() + ROUNDING_MM) {
        let message = format!("`{}` reaches {below} into a hole of {depth} and bottoms", fixing.key);
        subject.bag.push(super::rule_error(&B311, message, spot.key("length").span, "too long for its hole"));
        return;
    }
    let Some(engaged) = fixing.engagement.exact() else { return };
    let off = (below - engaged).abs();
    if off.as_mm() > PLAY_MM.max(PLAY_SHARE * length.as_mm()) && engaged > Length::ZERO {
        let message =
            format!("`{}`: {length} long, {clamped} clamped and {engaged} engaged do not add up", fixing.key);
        subject.bag.push(super::rule_warning(
            &B310,
            message,
            spot.key("clamped").span,
            format!("off by {off}"),
        ));
    }
}
