//! The order of tightening across fixings and parts: what is tightened after something else.
//!
//! Why: an order that closes on itself leaves a joint that nobody may begin, and one that names what is never tightened says nothing.

use super::{RuleSubject, rule};
use crate::rules::graph::{DirectedGraph, circular_components, shortest_circle};
use faults::FaultRule;

rule! { B344 "tightened after each other",
why "Of fixings that are each tightened only after the other, none can be tightened first; fixings of one joint go through their passes together.",
bad "tighten_after = [\"cover-bolts\"] # itself",
help "remove the one that is not true in practice, or take the fixings out of one joint." }
rule! { B345 "after what is never tightened",
why "A clip or a latch gets no figure, so that nothing can come after it.",
bad "tighten_after = [\"plate-clip\"]",
help "name a fixing that is tightened." }

pub(super) const RULES: &[FaultRule] = &[B344, B345];

pub(super) fn check_tightening_order(subject: &RuleSubject<'_>) {
    let fixings = &subject.book.fixings;
    if fixings.iter().all(|fixing| fixing.world.tighten_after.is_empty()) {
        return;
    }
    for (fixing, spot) in subject.fixings() {
        for (at, earlier) in fixing.world.tighten_after.iter().enumerate() {
            let other = subject.book.fixing(*earlier);
            if other.tightening.stages.is_empty() {
                let message =
                    format!("`{}` comes after `{}`, which is never tightened", fixing.key, other.key);
                let span = spot.key("tighten_after").item(at).span;
                subject.bag.push(super::rule_error(&B345, message, span, "gets no figure"));
            }
        }
    }
    b344_circles(subject);
}

/// Joints as nodes, so that an order within one of them is a circle too.
fn b344_circles(subject: &RuleSubject<'_>) {
    let fixings = &subject.book.fixings;
    let is_one = |a: usize, b: usize| {
        let (one, other) = (&fixings[a], &fixings[b]);
        a == b || (one.part == other.part && one.joint.is_some() && one.joint == other.joint)
    };
    let joint = |at: usize| (0..fixings.len()).find(|other| is_one(*other, at)).unwrap_or(at);
    let mut waits: Vec<Vec<usize>> = vec![Vec::new(); fixings.len()];
    for (at, fixing) in fixings.iter().enumerate() {
        waits[joint(at)].extend(fixing.world.tighten_after.iter().map(|earlier| joint(earlier.index())));
    }
    let graph = DirectedGraph::new(waits);
    for component in circular_components(&graph) {
        let circle = shortest_circle(&graph, &component);
        let told = |node: usize| {
            let is_told = |at: &usize| is_one(*at, node) && !fixings[*at].world.tighten_after.is_empty();
            (0..fixings.len()).find(is_told).unwrap_or(node)
        };
        let keys: Vec<&str> = circle.iter().map(|node| fixings[told(*node)].key.as_str()).collect();
        let message = format!("each is tightened after the next: {} → {}", keys.join(" → "), keys[0]);
        let span = subject.spots.fixings[told(circle[0])].key("tighten_after").span;
        subject.bag.push(super::rule_error(&B344, message, span, "closes the circle"));
    }
}
