//! Every hole can be got at: it has an access, on each way that the part may be taken off.
//!
//! Why: a hole without an access is a bolt that no stack is looked for.

use super::{RuleSubject, rule};
use faults::FaultRule;
use fields::ValueSpot;
use model::{Access, Fixing};

rule! { B305 "hole without an access",
why "A hole that no access serves would be left out of the proof that everything can be reached.",
bad "holes    = [\"1\", \"2\", \"3\"]\n    corridor = [{ length = 40, clear = 22 }, { clear = 60 }]",
help "add the hole to an access, or leave `holes` out where one access serves all." }
rule! { B306 "way without an access",
why "A way that a part may be taken off by has to lead to all its holes.",
bad "way      = \"from-above\"\n    corridor = [{ length = 40, clear = 22 }, { clear = 60 }]",
help "add an access for the other way, or leave `way` out if the access applies to every way." }

pub(super) const RULES: &[FaultRule] = &[B305, B306];

pub(super) fn check_access_coverage(subject: &RuleSubject<'_>) {
    for (fixing, spot) in subject.book.fixings.iter().zip(&subject.spots.fixings) {
        if spot.key("access").items.iter().all(|access| !access.bad) {
            check_holes_served(subject, fixing, spot);
        }
    }
}

fn check_holes_served(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) {
    let left = unserved_holes(fixing, |_| true);
    if !left.is_empty() {
        let message = format!("no access serves hole {} of `{}`", left.join(", "), fixing.key);
        subject.bag.push(super::rule_error(
            &B305,
            message,
            spot.key("access").span,
            "in none of these accesses",
        ));
        return;
    }
    for (index, way) in subject.book.part(fixing.part).ways.iter().enumerate() {
        let left = unserved_holes(fixing, |access| access.way.is_none_or(|w| usize::from(w) == index));
        if !left.is_empty() {
            let holes = left.join(", ");
            let message =
                format!("on the way `{}` no access serves hole {holes} of `{}`", way.key, fixing.key);
            subject.bag.push(super::rule_error(
                &B306,
                message,
                spot.key("access").span,
                "in none of these accesses",
            ));
        }
    }
}

/// Labels of the holes that none of the chosen accesses serves.
fn unserved_holes(fixing: &Fixing, chosen: impl Fn(&Access) -> bool) -> Vec<&str> {
    let mut served = vec![false; fixing.holes.len()];
    for access in fixing.accesses.iter().filter(|access| chosen(access)) {
        access.holes.iter().for_each(|hole| served[usize::from(*hole)] = true);
    }
    let holes = fixing.holes.iter().zip(served).filter(|(_, served)| !served);
    holes.map(|(hole, _)| hole.label.as_str()).collect()
}
