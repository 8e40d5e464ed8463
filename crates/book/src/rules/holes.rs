//! Holes: as many as fasteners, each with a label and a place of its own.
//!
//! Why: the count on the tray, the hole card and the mix-up warnings all follow from the holes.

use super::{RuleSubject, rule};
use faults::{FaultRule, SourceSpan};
use std::collections::BTreeMap;

rule! { B301 "count and holes differ",
why "The ledger counts fasteners; a hole too many or too few is a fastener lost, or one that is searched for and does not exist.",
bad "count       = 5",
help "count again on the part; give one place for each fastener." }
rule! { B302 "label given to two holes",
why "Steps and cards name a hole by its label; two of the same name on one part get mixed up.",
bad "holes       = [[0, 0], [40, 0], { label = \"1\", x = 0, y = 60 }, [40, 60]]",
help "give each hole of the part its own label, or leave the labels out." }
rule! { B303 "two holes at one place",
why "Two fasteners cannot sit in one place; one of the two was copied and not changed.",
bad "holes       = [[0, 0], [40, 0], [0, 60], [0, 60]]",
help "measure again, from the same corner of the part's face." }

pub(super) const RULES: &[FaultRule] = &[B301, B302, B303];

/// Places nearer than this, in hundredths of a millimetre, are the same.
const GRID_PER_MM: f64 = 100.0;

pub(super) fn check_holes(subject: &RuleSubject<'_>) {
    let counts = subject.fixings().zip(&subject.spots.fixing_counts);
    for ((fixing, spot), count) in counts.filter(|((_, spot), _)| !spot.bad) {
        let Some(count) = *count else { continue };
        if usize::from(count) != fixing.holes.len() {
            let message =
                format!("`{}` has {} holes, but `count` is {count}", fixing.key, fixing.holes.len());
            let fault = super::rule_error(&B301, message, spot.key("count").span, "does not match the holes");
            subject.bag.push(fault.note(spot.key("holes").span, format!("{} holes", fixing.holes.len())));
        }
    }
    b302_labels(subject);
    b303_places(subject);
}

fn b302_labels(subject: &RuleSubject<'_>) {
    let mut first: BTreeMap<(usize, &str), SourceSpan> = BTreeMap::new();
    for (fixing, spot) in subject.book.fixings.iter().zip(&subject.spots.fixings) {
        for (index, hole) in fixing.holes.iter().enumerate() {
            let span = spot.key("holes").item(index).span;
            if let Some(other) = first.insert((fixing.part.index(), &hole.label), span) {
                let message = format!(
                    "two holes of `{}` are called `{}`",
                    subject.book.part(fixing.part).key,
                    hole.label
                );
                subject.bag.push(
                    super::rule_error(&B302, message, span, "called the same").note(other, "as this one"),
                );
            }
        }
    }
}

fn b303_places(subject: &RuleSubject<'_>) {
    for (fixing, spot) in subject.fixings().filter(|(fixing, _)| fixing.are_places_known) {
        let mut first: BTreeMap<(i64, i64), SourceSpan> = BTreeMap::new();
        for (index, hole) in fixing.holes.iter().enumerate() {
            let span = spot.key("holes").item(index).span;
            let grid = |length: units::Length| units::math::round(length.as_mm() * GRID_PER_MM) as i64;
            if let Some(other) = first.insert((grid(hole.x), grid(hole.y)), span) {
                let message = format!("two holes of `{}` are in the same place", fixing.key);
                subject.bag.push(
                    super::rule_error(&B303, message, span, "the same place").note(other, "as this one"),
                );
            }
        }
    }
}
