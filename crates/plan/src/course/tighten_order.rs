//! The order of tightening that a book tells across fixings and parts.
//!
//! Every joint of the later fixing is tightened after every joint of the earlier one. Where the earlier one belongs to a part that goes on
//! later, the later tightening no longer has to be done before that part is set in place: what said so is taken out, and the
//! joint waits, run in, while the other part goes on. Fixings of parts that stay on are as they should be already.

use std::collections::BTreeSet;

use model::plan::StepKind;
use model::{Book, FixingId};

use crate::job::SequenceJob;

/// Puts the joints of a job into the order that the book tells.
pub(super) fn order_tightening(book: &Book, job: &mut SequenceJob) {
    for node in 0..job.nodes.len() {
        let later = fixings_tightened(job, node);
        let earlier: BTreeSet<FixingId> = later
            .iter()
            .flat_map(|fixing| book.fixing(*fixing).world.tighten_after.iter().copied())
            .collect();
        for first in nodes_tightening(job, &earlier).into_iter().filter(|first| *first != node) {
            take_out_ways(job, node, first);
            job.pairs.push((first, node));
        }
    }
}

/// The fixings that a node tightens.
fn fixings_tightened(job: &SequenceJob, node: usize) -> BTreeSet<FixingId> {
    let tightens = job.nodes[node].iter().filter(|draft| draft.kind == StepKind::Tighten);
    tightens.flat_map(|draft| draft.fixings.iter().copied()).collect()
}

fn nodes_tightening(job: &SequenceJob, fixings: &BTreeSet<FixingId>) -> Vec<usize> {
    (0..job.nodes.len()).filter(|node| !fixings_tightened(job, *node).is_disjoint(fixings)).collect()
}

/// Takes out what lets one node come before another, from the first of them on.
fn take_out_ways(job: &mut SequenceJob, from: usize, to: usize) {
    if !job.nodes_behind(from)[to] {
        return;
    }
    let next: Vec<usize> = job.pairs.iter().filter(|(a, _)| *a == from).map(|(_, b)| *b).collect();
    let leading: BTreeSet<usize> =
        next.into_iter().filter(|node| *node == to || job.nodes_behind(*node)[to]).collect();
    job.pairs.retain(|(a, b)| *a != from || !leading.contains(b));
}
