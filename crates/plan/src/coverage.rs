//! Coverage: how many fasteners are proven, likely, not known, and not to be worked with what is at hand.
//!
//! **Question.** A book leaves figures out. For which fasteners does a stack hold whatever they are?
//!
//! **Method.** Each duty is asked at the roomy reading and at every tight reading of the book ([`model::BookReading`]). A stack
//! that some reading offers and that holds at the roomy and at every tight reading holds at every value: where there are
//! such stacks, only they are chosen from, and where nothing else stands against it the duty is *proven*. Where there
//! are none, any stack of the roomy reading may fit: *likely*. Where not even that has one, nothing at hand does it:
//! *no*. Where a figure has neither value nor class the duty is *not known*, unless nothing fits at all. A
//! fastener has the worst verdict of its acts.
//!
//! A stack that another one dominates at one reading may be the only one at the next, so the candidates are those of all
//! readings together, and domination is asked once more at the end.
//!
//! What is likely has its possible rooms counted ([`crate::possible_rooms`]), so that the kit can tell what serves more of them.
//!
//! **Limits.** One stack for every value is asked for; that for each value one of two would do is not looked for.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::Coverage;
use model::{Book, Duty, ReachDoubts, ReachVerdict, Stack, Store, WorkingStack};
use reach::{DutyReach, ReachOptions};

use crate::possible_rooms::{self, DutyRooms};
use crate::scope::{PlanScope, ScopedDuty};

/// What was found for a duty, and what is known about it.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgedReach {
    /// The stacks, or the nearest miss.
    pub reach: DutyReach,
    /// What is known about whether it can be done.
    pub verdict: ReachVerdict,
    /// The possible rooms that each of the stacks holds in, where the duty is likely and they are counted.
    pub rooms: Option<DutyRooms>,
}

/// Every stack that can do each duty whatever the figures in doubt are, or may, with the rooms of likely ones counted; in the order
/// of the duties.
#[must_use]
pub fn find_reach_under_doubt(book: &Book, store: &Store, duties: &[Duty], threads: u16) -> Vec<JudgedReach> {
    let mut judged = find_verdicts(book, store, duties, threads);
    possible_rooms::count_rooms(book, store, &mut judged, threads);
    judged
}

/// As [`find_reach_under_doubt`], without the rooms.
pub(crate) fn find_verdicts(book: &Book, store: &Store, duties: &[Duty], threads: u16) -> Vec<JudgedReach> {
    let options = ReachOptions { threads };
    let roomy = reach::find_reach(book, store, duties, options);
    let tight = book.tight_readings();
    let doubtful: Vec<Duty> = duties.iter().copied().filter(|duty| is_in_doubt(book, *duty)).collect();
    let mut offered: BTreeMap<Duty, Vec<Stack>> = BTreeMap::new();
    for reading in &tight {
        for found in reach::find_reach(reading, store, &doubtful, options) {
            let stacks = found.workings.into_iter().map(|working| working.stack);
            offered.entry(found.duty).or_default().extend(stacks);
        }
    }
    let judge = |found: DutyReach| {
        let doubts = book.reach_doubts(found.duty.fixing, found.duty.access);
        let stacks = offered.get(&found.duty).map_or(&[][..], Vec::as_slice);
        judge_duty(book, store, &tight, stacks, &doubts, found)
    };
    roomy.into_iter().map(judge).collect()
}

/// Whether a reading changes anything about a duty.
pub(crate) fn is_in_doubt(book: &Book, duty: Duty) -> bool {
    let fixing = book.fixing(duty.fixing);
    fixing.figures.is_some() || model::reckoned_torques(fixing).is_some()
}

/// The duty with the stacks that hold at every reading, if there are any, and its verdict.
fn judge_duty(
    book: &Book,
    store: &Store,
    tight: &[Book],
    offered: &[Stack],
    doubts: &ReachDoubts,
    mut found: DutyReach,
) -> JudgedReach {
    let duty = found.duty;
    let has_proof = if is_in_doubt(book, duty) {
        let firm = workings_at_every_reading(book, store, tight, offered, &found);
        let has_proof = !firm.is_empty();
        if has_proof {
            found.workings = firm;
            found.miss = None;
        }
        has_proof
    } else {
        !found.workings.is_empty()
    };
    let verdict = verdict_of_duty(!found.workings.is_empty(), has_proof, doubts);
    JudgedReach { reach: found, verdict, rooms: None }
}

/// What is known of a duty, from whether anything may do it and whether one stack does at every reading.
#[must_use]
pub fn verdict_of_duty(has_stack: bool, has_proof: bool, doubts: &ReachDoubts) -> ReachVerdict {
    match (has_stack, has_proof) {
        // Where ends bound nothing, that nothing fits at them says nothing either.
        (false, _) if doubts.is_unbounded => ReachVerdict::NotKnown,
        (false, _) if doubts.not_known.contains(&model::DRIVE_FIGURE) => ReachVerdict::NotKnown,
        (false, _) => ReachVerdict::No,
        (true, _) if !doubts.not_known.is_empty() => ReachVerdict::NotKnown,
        (true, true) if doubts.allows_proof() => ReachVerdict::Proven,
        (true, _) => ReachVerdict::Likely,
    }
}

/// The stacks of the roomy reading and those offered elsewhere, each once.
pub(crate) fn distinct_stacks<'a>(found: &'a DutyReach, offered: &'a [Stack]) -> Vec<&'a Stack> {
    let mut seen: BTreeSet<(Vec<usize>, Vec<usize>)> = BTreeSet::new();
    let ids = |pieces: &[model::PieceId]| pieces.iter().map(|id| id.index()).collect::<Vec<_>>();
    let roomy = found.workings.iter().map(|working| &working.stack);
    roomy.chain(offered).filter(|stack| seen.insert((ids(&stack.pieces), ids(&stack.hold)))).collect()
}

/// The workings, at the roomy reading, of the stacks that hold at every reading.
fn workings_at_every_reading(
    book: &Book,
    store: &Store,
    tight: &[Book],
    offered: &[Stack],
    found: &DutyReach,
) -> Vec<WorkingStack> {
    let mut firm = Vec::new();
    for stack in distinct_stacks(found, offered) {
        let holds = |reading: &Book| reach::work_with_stack(reading, store, found.duty, stack).is_some();
        if let Some(working) = reach::work_with_stack(book, store, found.duty, stack)
            && tight.iter().all(holds)
        {
            firm.push(working);
        }
    }
    reach::drop_dominated(firm)
}

/// The figures that are not known or assumed for a duty, in words, where it is not proven.
#[must_use]
pub fn doubts_of_duty(book: &Book, duty: &ScopedDuty) -> Vec<String> {
    if duty.verdict == ReachVerdict::Proven {
        return Vec::new();
    }
    let doubts = book.reach_doubts(duty.duty.fixing, duty.duty.access);
    doubts.not_known.iter().chain(&doubts.assumed).map(|figure| (*figure).to_owned()).collect()
}

/// The coverage of a scope, in fasteners, and how many of the proven ones rest on a room class.
#[must_use]
pub fn coverage_of_scope(book: &Book, scope: &PlanScope) -> (Coverage, u32) {
    let mut worst: BTreeMap<(usize, u16), (ReachVerdict, bool)> = BTreeMap::new();
    for duty in &scope.duties {
        let by_class = book.reach_doubts(duty.duty.fixing, duty.duty.access).is_by_class;
        for hole in &duty.holes {
            let known =
                worst.entry((duty.duty.fixing.index(), *hole)).or_insert((ReachVerdict::Proven, by_class));
            known.0 = known.0.max(duty.verdict);
        }
    }
    let (mut coverage, mut proven_by_class) = (Coverage::default(), 0);
    for (verdict, by_class) in worst.into_values() {
        coverage.count_fastener(verdict);
        proven_by_class += u32::from(by_class && verdict == ReachVerdict::Proven);
    }
    (coverage, proven_by_class)
}
