//! Joints: fixings tightened as one pattern belong to one part, share their passes, and a given sequence takes each
//! hole once.
//!
//! Why: a hole left out of the sequence is a bolt left loose.

use super::{Subject, rule};
use faults::{Rule, Span};
use model::{Fixing, PatternRule};
use std::collections::{BTreeMap, BTreeSet};

rule! { B333 "joint across parts",
why "A joint is the holes of one part tightened as one pattern; the same name on two parts is two joints, or a slip.",
bad "joint       = \"sealed\" # as on another part",
help "give each part's joint a name of its own." }
rule! { B334 "joint with different passes",
why "Fixings of one joint go through their passes together; they need the same number of them.",
bad "tighten     = [\"5 N·m\"]\n  joint       = \"sealed\"",
help "give all fixings of the joint as many passes, or take `joint` out." }
rule! { B335 "sequence does not take each hole once",
why "A hole missing from the maker's sequence is a bolt that is never tightened.",
bad "pattern     = [\"1\", \"2\", \"3\", \"3\"]",
help "list every hole of the joint once, in the order of tightening." }

pub(super) const RULES: &[Rule] = &[B333, B334, B335];

pub(super) fn check(subject: &Subject<'_>) {
    let mut joints: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, fixing) in subject.book.fixings.iter().enumerate() {
        if let Some(joint) = &fixing.joint {
            joints.entry(joint).or_default().push(index);
        }
    }
    joints.iter().for_each(|(name, fixings)| joint(subject, name, fixings));
    for (index, fixing) in subject.book.fixings.iter().enumerate() {
        let PatternRule::Given(labels) = &fixing.tightening.pattern else { continue };
        let together: Vec<&Fixing> = match &fixing.joint {
            Some(name) => joints[name.as_str()]
                .iter()
                .map(|i| &subject.book.fixings[*i])
                .filter(|f| f.part == fixing.part)
                .collect(),
            None => vec![fixing],
        };
        b335_sequence(subject, index, labels, &together);
    }
}

fn joint(subject: &Subject<'_>, name: &str, fixings: &[usize]) {
    let of = |index: usize| (&subject.book.fixings[index], &subject.spots.fixings[index]);
    let (first, first_spot) = of(fixings[0]);
    for (fixing, spot) in fixings[1..].iter().map(|index| of(*index)) {
        let span = spot.key("joint").span;
        let note: (Span, &str) = (first_spot.key("joint").span, "the joint starts here");
        let (stages, wanted) = (fixing.tightening.stages.len(), first.tightening.stages.len());
        if fixing.part != first.part {
            let message = format!("joint `{name}` holds two parts");
            subject.bag.push(super::warning(&B333, message, span, "another part").note(note.0, note.1));
        } else if stages != wanted && !spot.bad && !first_spot.bad {
            let message = format!("joint `{name}` has fixings of {wanted} and of {stages} passes");
            subject
                .bag
                .push(super::error(&B334, message, span, "another number of passes").note(note.0, note.1));
        }
    }
}

fn b335_sequence(subject: &Subject<'_>, index: usize, labels: &[String], together: &[&Fixing]) {
    let (fixing, spot) = (&subject.book.fixings[index], subject.spots.fixings[index].key("pattern"));
    let holes: BTreeSet<&str> = together.iter().flat_map(|f| &f.holes).map(|h| h.label.as_str()).collect();
    let mut seen = BTreeSet::new();
    for (position, label) in labels.iter().enumerate() {
        let wrong = match (holes.contains(label.as_str()), seen.insert(label.as_str())) {
            (false, _) => "is no hole of it",
            (true, false) => "comes twice",
            (true, true) => continue,
        };
        let message = format!("in the sequence of `{}` hole {label} {wrong}", fixing.key);
        subject.bag.push(super::error(&B335, message, spot.item(position).span, wrong));
        return;
    }
    let missing: Vec<&str> = holes.difference(&seen).copied().collect();
    if !missing.is_empty() {
        let message = format!("the sequence of `{}` leaves out hole {}", fixing.key, missing.join(", "));
        subject.bag.push(super::error(&B335, message, spot.span, "not all holes"));
    }
}
