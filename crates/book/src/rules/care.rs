//! How a fastener is treated: renewed, kept, tightened, and from where its figure comes.
//!
//! Why: what is left unsaid here is bought too late, lost, or done by guess.

use super::{RuleSubject, rule};
use faults::FaultRule;
use fields::ValueSpot;
use model::{Fixing, KeepPlace, StageTarget};

rule! { B327 "captive and taken away",
why "A captive fastener stays on its part; it has no place in a tray, a bag or a hole card.",
bad "captive     = true\n  keep        = \"tray\"",
help "leave `keep` out, write `on-part`, or remove `captive`." }
rule! { B328 "odd history factor",
why "The factor says how much harder a fastener comes loose compared with how it was tightened: it never takes less, and five times as much shears it.",
bad "history     = [{ cause = \"heat\", factor = 13 }]",
help "write a factor from 1 to 5; 1.3 is common for heat." }
rule! { B330 "critical without a figure",
why "What is critical is looked at a second time against a figure; without one there is nothing to look at.",
bad "tighten     = [\"seat\"]\n  critical    = true",
help "add the torque to `tighten`." }
rule! { B332 "tightened without being turned",
why "Clips, latches and spring clamps are not turned; a pass of tightening belongs to another drive.",
bad "drive       = \"latch\"\n  head        = { height = 6, diameter = 13.5 }",
help "check the drive, or remove `tighten`." }

rule! { B337 "critical and by feel",
why "What is critical endangers people when it is loose; no hand feels that well.",
bad "tighten     = \"by feel\"\n  critical    = true",
help "add the torque to `tighten`; a figure that is missing is left out and stays open, which is safer than one that is felt." }

rule! { B343 "slackened and taken out",
why "A slackened fastener never leaves its hole: it has no other place to be kept, and nothing of it is renewed.",
bad "slackened   = true\n  keep        = \"tray\"",
help "leave `keep` and `one_time` out, or remove `slackened`." }

pub(super) const RULES: &[FaultRule] = &[B327, B328, B330, B332, B337, B343];

/// Factors that make sense (assumption: common practice plans with 1.2 to 2 for one cause).
const HISTORY_FACTOR: core::ops::RangeInclusive<f64> = 1.0..=5.0;

pub(super) fn check_fastener_care(subject: &RuleSubject<'_>) {
    for (fixing, spot) in subject.sound_fixings() {
        check_keeping(subject, fixing, spot);
        check_slackening(subject, fixing, spot);
        check_tightening(subject, fixing, spot);
        for (index, (_, factor)) in fixing.history.iter().enumerate() {
            if !HISTORY_FACTOR.contains(factor) {
                let message = format!("a history factor of {factor} for `{}` is odd", fixing.key);
                let span = spot.key("history").item(index).key("factor").span;
                subject.bag.push(super::rule_error(&B328, message, span, "1 to 5"));
            }
        }
    }
}

fn check_keeping(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) {
    if fixing.captive && matches!(fixing.keep, Some(KeepPlace::Tray | KeepPlace::Bag | KeepPlace::HoleCard)) {
        let message = format!("`{}` is captive, but kept elsewhere", fixing.key);
        let fault = super::rule_error(&B327, message, spot.key("keep").span, "cannot be kept there");
        subject.bag.push(fault.note(spot.key("captive").span, "stays on its part"));
    }
}

/// B343: kept elsewhere, or renewed, although it stays in its hole.
fn check_slackening(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) {
    if !fixing.slackened {
        return;
    }
    let is_elsewhere = fixing.keep.is_some_and(|keep| keep != KeepPlace::InHole);
    let against = [("keep", is_elsewhere), ("one_time", fixing.one_time), ("captive", fixing.captive)];
    for (key, _) in against.into_iter().filter(|(_, stands)| *stands) {
        let message = format!("`{}` is slackened and stays in its hole", fixing.key);
        let fault = super::rule_error(&B343, message, spot.key(key).span, "says that it comes out");
        subject.bag.push(fault.note(spot.key("slackened").span, "stays in its hole"));
    }
}

fn check_tightening(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) {
    let stages = &fixing.tightening.stages;
    let by_figure = stages.iter().any(|s| matches!(s.target, StageTarget::Torque(_) | StageTarget::Angle(_)));
    let felt = stages.iter().position(|s| s.target == StageTarget::ByFeel);
    let key = &fixing.key;
    if let Some(felt) = felt.filter(|_| fixing.critical) {
        let message = format!("`{key}` is critical, and tightened by feel");
        let fault = super::rule_error(&B337, message, spot.key("tighten").item(felt).span, "by feel");
        subject.bag.push(fault.note(spot.key("critical").span, "critical"));
    } else if fixing.critical && !by_figure {
        let message = format!("`{key}` is critical, but has no figure");
        subject.bag.push(super::rule_warning(
            &B330,
            message,
            spot.key("critical").span,
            "no figure to check against",
        ));
    }
    if !fixing.drive.is_turned() && !stages.is_empty() {
        let message = format!("`{key}` is tightened, but {} is not turned", fixing.drive);
        subject.bag.push(super::rule_error(&B332, message, spot.key("tighten").span, "cannot be tightened"));
    }
}
