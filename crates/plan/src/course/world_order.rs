//! What the standing of parts that an act asks for says of the order: a cap that is opened on a tank comes before the tank is off.
//!
//! The search would find it out, but late: a beam that has taken the tank off cannot go back.

use model::plan::{JobPhase, StepKind};
use model::{Book, PartId, PartStanding, WorldThing};

use super::problem::needs_of_step;
use super::work_units::{CourseJob, nodes_about};
use crate::job::SequenceJob;
use crate::scope::PlanScope;

/// The pairs (before, after) that needs of parts force; those that would make a circle are left to the search, which says so.
#[must_use]
pub(super) fn pairs_of_needs(book: &Book, scope: &PlanScope, course: &CourseJob) -> Vec<(usize, usize)> {
    let mut job = course.job.clone();
    let mut added = Vec::new();
    for node in 0..job.nodes.len() {
        let is_strip = course.stretches[node] == JobPhase::Strip;
        let needs: Vec<_> =
            job.nodes[node].iter().flat_map(|draft| needs_of_step(book, scope, draft)).collect();
        for need in needs {
            let WorldThing::Part(part) = need.thing else { continue };
            let is_own = job.nodes[node].iter().any(|draft| draft.part == Some(part));
            if is_own || scope.way_of(part).is_none() {
                continue;
            }
            let pairs = forced_pairs(&job, node, part, need.values, is_strip);
            for (before, after) in pairs {
                if before != after && !job.nodes_behind(after)[before] {
                    job.pairs.push((before, after));
                    added.push((before, after));
                }
            }
        }
    }
    added
}

/// What a need of a part forces on a node: before the part goes, or after it is back.
fn forced_pairs(
    job: &SequenceJob,
    node: usize,
    part: PartId,
    values: u16,
    is_strip: bool,
) -> Vec<(usize, usize)> {
    let may_be_off = values & PartStanding::Off.bit() != 0;
    let must_be_off = values == PartStanding::Off.bit();
    let must_be_held = values == PartStanding::Held.bit();
    let about = |kinds: &[StepKind]| nodes_about(job, part, kinds);
    let after = |nodes: Vec<usize>| nodes.into_iter().map(|other| (node, other)).collect::<Vec<_>>();
    let before = |nodes: Vec<usize>| nodes.into_iter().map(|other| (other, node)).collect::<Vec<_>>();
    match (is_strip, must_be_off, may_be_off) {
        (true, true, _) => before(about(&[StepKind::Remove])),
        (true, _, false) if must_be_held => after(about(&[StepKind::Undo, StepKind::Remove])),
        (true, _, false) => after(about(&[StepKind::Remove])),
        (false, true, _) => after(about(&[StepKind::Refit])),
        (false, _, false) if must_be_held => {
            before(about(&[StepKind::Refit, StepKind::RunIn, StepKind::Tighten]))
        }
        (false, _, false) => before(about(&[StepKind::Refit])),
        (_, false, true) => Vec::new(),
    }
}
