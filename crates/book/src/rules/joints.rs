//! Joints: fixings tightened as one pattern belong to one part, share their passes, and a given sequence takes each
//! hole once.
//!
//! Why: a hole left out of the sequence is a bolt left loose.

use super::{RuleSubject, rule};
use faults::{Fault, FaultRule};
use fields::ValueSpot;
use model::{Fixing, PartId, PatternRule};
use std::collections::{BTreeMap, BTreeSet};

rule! { B333 "joint across parts",
why "A joint is the holes of one part tightened as one pattern; the same name on two parts is two joints, or a slip.",
bad "joint       = \"sealed\" # as on another part",
help "give each part's joint a name of its own." }
rule! { B334 "joint with different passes",
why "Fixings of one joint go through their passes together; they need the same number of them.",
bad "tighten     = [\"5 N·m\"]\n  joint       = \"sealed\"",
help "give every fixing of the joint the same number of passes, or remove `joint`." }
rule! { B335 "sequence does not take each hole once",
why "A hole missing from the maker's sequence is a bolt that is never tightened.",
bad "pattern     = [\"1\", \"2\", \"3\", \"3\"]",
help "list every hole of the joint once, in the order of tightening." }

pub(super) const RULES: &[FaultRule] = &[B333, B334, B335];

/// Fixings that are tightened together, by position: those of a joint, or one alone.
type JointFixings = Vec<usize>;

pub(super) fn check_joints(subject: &RuleSubject<'_>) {
    let mut joints: BTreeMap<(&str, PartId), JointFixings> = BTreeMap::new();
    let mut groups: Vec<JointFixings> = Vec::new();
    for (index, fixing) in subject.book.fixings.iter().enumerate() {
        match &fixing.joint {
            Some(joint) => joints.entry((joint, fixing.part)).or_default().push(index),
            None => groups.push(vec![index]),
        }
    }
    let mut last: Option<(&str, usize)> = None;
    for ((name, _), together) in &joints {
        if let Some((_, first)) = last.filter(|(other, _)| other == name) {
            b333_two_parts(subject, name, first, together[0]);
        }
        last = Some((name, together[0]));
        b334_passes(subject, name, together);
    }
    groups.extend(joints.into_values());
    groups.iter().for_each(|together| b335_sequences(subject, together));
}

fn b333_two_parts(subject: &RuleSubject<'_>, name: &str, first: usize, second: usize) {
    let place = |index: usize| subject.spots.fixings[index].key("joint").span;
    let fault =
        super::rule_warning(&B333, format!("joint `{name}` spans two parts"), place(second), "another part");
    subject.bag.push(fault.note(place(first), "named here too"));
}

fn b334_passes(subject: &RuleSubject<'_>, name: &str, together: &[usize]) {
    let of = |index: usize| (&subject.book.fixings[index], &subject.spots.fixings[index]);
    let (first, first_spot) = of(together[0]);
    let wanted = first.tightening.stages.len();
    for (fixing, spot) in together[1..].iter().map(|index| of(*index)) {
        let stages = fixing.tightening.stages.len();
        let missing = first.is_figure_missing() || fixing.is_figure_missing();
        if stages != wanted && !missing && !spot.bad && !first_spot.bad {
            let message = format!("joint `{name}` has fixings with {wanted} passes and with {stages}");
            let fault = super::rule_error(&B334, message, spot.key("joint").span, "another number of passes");
            subject.bag.push(fault.note(first_spot.key("joint").span, "the joint starts here"));
        }
    }
}

fn b335_sequences(subject: &RuleSubject<'_>, together: &[usize]) {
    let fixings =
        together.iter().map(|index| (&subject.book.fixings[*index], &subject.spots.fixings[*index]));
    let given = fixings.clone().filter_map(|(fixing, spot)| match &fixing.tightening.pattern {
        PatternRule::Given(labels) => Some((fixing, labels, spot.key("pattern"))),
        _ => None,
    });
    let given: Vec<_> = given.collect();
    if given.is_empty() {
        return;
    }
    let holes: BTreeSet<&str> = fixings.flat_map(|(f, _)| &f.holes).map(|h| h.label.as_str()).collect();
    // One fault a joint: its other sequences mostly have the same slip.
    let fault = given
        .into_iter()
        .find_map(|(fixing, labels, spot)| b335_sequence_fault(fixing, labels, spot, &holes));
    fault.into_iter().for_each(|fault| subject.bag.push(fault));
}

fn b335_sequence_fault(
    fixing: &Fixing,
    labels: &[String],
    spot: &ValueSpot,
    holes: &BTreeSet<&str>,
) -> Option<Fault> {
    let mut seen = BTreeSet::new();
    for (position, label) in labels.iter().enumerate() {
        let wrong = match (holes.contains(label.as_str()), seen.insert(label.as_str())) {
            (false, _) => "is not one of its holes",
            (true, false) => "is listed twice",
            (true, true) => continue,
        };
        let message = format!("in the sequence of `{}` hole {label} {wrong}", fixing.key);
        return Some(super::rule_error(&B335, message, spot.item(position).span, wrong));
    }
    if seen.len() == holes.len() {
        return None;
    }
    let missing: Vec<&str> = holes.difference(&seen).copied().collect();
    let message = format!("the sequence of `{}` leaves out hole {}", fixing.key, missing.join(", "));
    Some(super::rule_error(&B335, message, spot.span, "not all holes"))
}
