//! The order of the fasteners of one part that hangs on their kinds.
//!
//! Off: plugs, then split pins, lock wire and tab plates, then what holds, then washers, shims and keys. On: the other way round; what locks goes
//! on once what it locks is tight, plugs once all is. Common practice, no single source.

use model::plan::StepKind;
use model::{Book, FastenerKind, PartId};

use crate::job::{SequenceJob, StepDraft};

/// Where a kind of fastener stands among those of its part; the outermost comes off first and goes on last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum KindDepth {
    /// A plug.
    Plug,
    /// What locks others.
    Lock,
    /// What holds the part.
    Holder,
    /// What lies beneath.
    Beneath,
}

pub(super) fn depth_of_draft(book: &Book, draft: &StepDraft) -> KindDepth {
    let all = |is_it: &dyn Fn(FastenerKind) -> bool| {
        !draft.fixings.is_empty() && draft.fixings.iter().all(|fixing| is_it(book.fixing(*fixing).kind))
    };
    if all(&|kind| kind == FastenerKind::Connector) {
        KindDepth::Plug
    } else if all(&FastenerKind::is_lock) {
        KindDepth::Lock
    } else if all(&FastenerKind::lies_beneath) {
        KindDepth::Beneath
    } else {
        KindDepth::Holder
    }
}

/// A node about the fasteners of a part.
#[derive(Clone, Copy)]
struct KindNode {
    node: usize,
    part: PartId,
    depth: KindDepth,
}

fn nodes_of_kind(book: &Book, job: &SequenceJob, kind: StepKind) -> Vec<KindNode> {
    let node = |(node, steps): (usize, &Vec<StepDraft>)| {
        let draft = steps.first().filter(|draft| draft.kind == kind)?;
        Some(KindNode { node, part: draft.part?, depth: depth_of_draft(book, draft) })
    };
    job.nodes.iter().enumerate().filter_map(node).collect()
}

/// Adds the order that hangs on kinds; what told that a plug or a lock goes on before its part is tight is taken out.
pub(super) fn order_kinds(book: &Book, job: &mut SequenceJob) {
    let undo = nodes_of_kind(book, job, StepKind::Undo);
    let run_in = nodes_of_kind(book, job, StepKind::RunIn);
    let closing: Vec<KindNode> =
        run_in.iter().copied().chain(nodes_of_kind(book, job, StepKind::Tighten)).collect();
    let mut pairs = Vec::new();
    for first in &undo {
        let inner = undo.iter().filter(|then| then.part == first.part && first.depth < then.depth);
        pairs.extend(inner.map(|then| (first.node, then.node)));
    }
    for first in &closing {
        let outer = run_in.iter().filter(|then| then.part == first.part && then.depth < first.depth);
        pairs.extend(outer.map(|then| (first.node, then.node)));
    }
    job.pairs.retain(|(a, b)| !pairs.contains(&(*b, *a)));
    job.pairs.extend(pairs);
}
