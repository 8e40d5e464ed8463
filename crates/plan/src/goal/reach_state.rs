//! The least of what is left that brings a visit to a state of its book.

use std::collections::BTreeSet;

use model::plan::StepKind;
use model::progress::{FastenerProgress, Progress};
use model::{
    Book, FastenerState, OpeningId, PartId, PartStanding, VisitGoal, WorldNeed, WorldRuleKind, WorldThing,
};

use super::is_touched;
use crate::job::{SequenceJob, StepDraft};
use crate::remake::rest;

/// Which parts are put back for a state: the fewer are tried first, the more where no safe order was found with them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum GoalReach {
    /// What the state names, what that asks for, and what hangs.
    Named,
    /// And the parts that rules and ways between settings speak of.
    Ruled,
    /// All that was touched.
    All,
}

impl GoalReach {
    /// From the fewest parts to all.
    pub(crate) const ALL: [Self; 3] = [Self::Named, Self::Ruled, Self::All];
}

/// Leaves in the jobs what brings the visit to a state.
pub(crate) fn keep_for_state(
    book: &Book,
    progress: &Progress,
    goal: &VisitGoal,
    reach: GoalReach,
    jobs: [SequenceJob; 3],
) -> [SequenceJob; 3] {
    let parts = parts_for_state(book, progress, goal, reach);
    let open = open_openings(book, progress);
    let keeps = |draft: &StepDraft| match draft.kind {
        StepKind::Refit | StepKind::RunIn | StepKind::Tighten => {
            draft.part.is_some_and(|part| parts.contains(&part))
        }
        StepKind::Uncap => draft.opening.is_some_and(|opening| {
            // Under a part that never left its place no cap was put in.
            let is_capped = open.contains(&opening) || progress.capped.contains(&book.opening(opening).key);
            is_capped && parts.iter().any(|part| book.part(*part).uncovers.contains(&opening))
        }),
        StepKind::Cap => draft.opening.is_some_and(|opening| open.contains(&opening)),
        StepKind::Extra => draft.part.is_some_and(|part| parts.contains(&part)),
        StepKind::Open
        | StepKind::Drain
        | StepKind::Wait
        | StepKind::Undo
        | StepKind::Remove
        | StepKind::Renew
        | StepKind::Inspect
        | StepKind::Measure
        | StepKind::Reseal
        | StepKind::Fill
        | StepKind::Restore
        | StepKind::Set => false,
    };
    jobs.map(|mut job| {
        job.nodes.iter_mut().for_each(|steps| steps.retain(keeps));
        let mut job = rest::without_done(job);
        // What the wait was for has gone with its step.
        job.lags.retain(|lag| !lag.lag.to.is_empty());
        job
    })
}

/// The progress as the way to a state reads it: a part that hangs in its place counts as set there, and what nobody has touched of it
/// as tight, so that only what was loosened is run in and tightened.
pub(crate) fn with_hanging_set_there(book: &Book, progress: &Progress) -> Progress {
    let mut read = progress.clone();
    for part in hanging_parts(book, progress) {
        read.parts_back.insert(book.part(part).key.clone());
        for fixing in book.fixings_of(part).map(|id| book.fixing(id)) {
            for hole in &fixing.holes {
                if progress.fastener(&fixing.key, &hole.label).state == FastenerState::InPlace {
                    let as_found = FastenerProgress { state: FastenerState::Tight, passes: 0 };
                    read.set_fastener(&fixing.key, &hole.label, as_found);
                }
            }
        }
    }
    read
}

/// Parts in their place with a fastener that was loosened.
fn hanging_parts(book: &Book, progress: &Progress) -> impl Iterator<Item = PartId> {
    let is_off = |part: PartId| progress.parts_off.contains(&book.part(part).key);
    book.part_ids().filter(move |part| is_touched(book, progress, *part) && !is_off(*part))
}

/// The parts that are put back or made fast for a state.
fn parts_for_state(book: &Book, progress: &Progress, goal: &VisitGoal, reach: GoalReach) -> BTreeSet<PartId> {
    let touched: BTreeSet<PartId> = book.part_ids().filter(|id| is_touched(book, progress, *id)).collect();
    if reach == GoalReach::All {
        return touched;
    }
    let mut open: Vec<PartId> = parts_asked_on(&goal.needs).chain(hanging_parts(book, progress)).collect();
    if reach == GoalReach::Ruled {
        open.extend(parts_of_rules(book));
    }
    let mut wanted = BTreeSet::new();
    while let Some(part) = open.pop() {
        if !touched.contains(&part) || !wanted.insert(part) {
            continue;
        }
        let own = &book.part(part);
        let of_fixings = book.fixings_of(part).flat_map(|id| {
            let fixing = book.fixing(id);
            let stations = fixing.accesses.iter().filter_map(|access| access.station);
            let stations = stations.flat_map(|station| &book.station(station).needs);
            fixing.world.tightening.needs.iter().chain(stations)
        });
        open.extend(parts_asked_on(of_fixings));
        open.extend(parts_asked_on(&own.world.setting_on.needs));
    }
    wanted
}

/// Parts that some needs ask to be on.
fn parts_asked_on<'n>(needs: impl IntoIterator<Item = &'n WorldNeed>) -> impl Iterator<Item = PartId> {
    needs.into_iter().filter_map(|need| match need.thing {
        WorldThing::Part(part) if need.values & PartStanding::Off.bit() == 0 => Some(part),
        WorldThing::Part(_) | WorldThing::Setting(_) => None,
    })
}

fn parts_of_rules(book: &Book) -> impl Iterator<Item = PartId> {
    let of_rules = book.rules.iter().flat_map(|rule| match &rule.kind {
        WorldRuleKind::AtLeastOne(needs) | WorldRuleKind::NeverTogether(needs) => &needs[..],
        WorldRuleKind::StaysStill(_) => &[],
    });
    let of_ways = book.settings.iter().flat_map(|setting| &setting.ways).flat_map(|way| &way.needs);
    of_rules.chain(of_ways).filter_map(|need| match need.thing {
        WorldThing::Part(part) => Some(part),
        WorldThing::Setting(_) => None,
    })
}

/// Openings that are open to dirt now.
fn open_openings(book: &Book, progress: &Progress) -> BTreeSet<OpeningId> {
    let off = progress.parts_off.iter().filter_map(|key| book.part_by_key(key));
    let open = off.flat_map(|part| book.part(part).uncovers.clone());
    open.filter(|opening| !progress.capped.contains(&book.opening(*opening).key)).collect()
}
