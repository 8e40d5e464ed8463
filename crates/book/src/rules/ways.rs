//! Ways in: alternatives are at least two, and they differ.
//!
//! Why: a single way is not a choice but a need; two alike let the plan choose between nothing.

use super::{RuleSubject, rule};
use faults::FaultRule;
use std::collections::BTreeMap;

rule! { B204 "a single way",
why "Ways are alternatives of which one is taken; with a single one there is nothing to choose, and its needs belong to the part.",
bad "place_time = \"20 s\"\n\n[[part.way]]\nkey   = \"from-above\"\ntitle = \"from above\"",
help "add the other way, or move its needs to the part." }
rule! { B205 "two ways alike",
why "Two ways with the same needs and station are the same work; most often a line is missing from one of them.",
bad "place_time = \"20 s\"\n\n[[part.way]]\nkey   = \"from-above\"\ntitle = \"from above\"\n\n[[part.way]]\nkey   = \"from-below\"\ntitle = \"from below\"",
help "say what each way needs off first, or from where it is worked." }

pub(super) const RULES: &[FaultRule] = &[B204, B205];

pub(super) fn check_ways(subject: &RuleSubject<'_>) {
    for (part, spot) in subject.book.parts.iter().zip(&subject.spots.parts) {
        let ways = spot.key("way");
        if part.ways.len() == 1 {
            let message = format!("`{}` has a single way", part.key);
            subject.bag.push(super::rule_error(&B204, message, ways.item(0).span, "no other to choose"));
        }
        let mut seen = BTreeMap::new();
        for (index, way) in part.ways.iter().enumerate() {
            let mut needs = way.needs.clone();
            needs.sort_unstable();
            if let Some(first) = seen.insert((needs, way.station), index) {
                let message = format!("ways `{}` and `{}` are the same", part.ways[first].key, way.key);
                let fault = super::rule_warning(&B205, message, ways.item(index).span, "needs the same");
                subject.bag.push(fault.note(ways.item(first).span, "as this one"));
            }
        }
    }
}
