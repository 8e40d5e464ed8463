//! The rest of a half-done job: begun from its progress, does the plan do what is left, each once, and nothing again?
//!
//! The steps are played through from the state that the progress gives, on one clock from now. Each act has to find its fastener in
//! the state that it needs and leaves it in the next; at the end every fastener of the way in is tight, every part back, every condition
//! undone that is to be undone, every task and every extra step done, no opening capped. So what was done and what the plan does make up
//! every duty exactly once.

// symbol: steps = a step, its start and its end in seconds

mod extra;
mod refit;
mod strip;

use crate::case::{PlanCase, condition_by_key, step_place};
use crate::replay::wanted_stages;
use crate::sums::{self, SetupState};
use crate::{FoundViolations, Violation, names, same_figure, world};
use crate::{cautions, figures, hole_order, mix_ups, slot_places, slots, texts, tighten_order};
use model::FastenerState;
use model::plan::{Plan, Step, StepKind};
use model::progress::{FastenerProgress, Progress};
use model::{Book, ConditionId, FixingId, OpeningId, PartId, PieceId, Store, TaskId};
use std::collections::{BTreeMap, BTreeSet};

/// Every rule that the plan for the rest of a job breaks, begun from a progress with its happenings taken in.
#[must_use]
pub fn judge_rest(book: &Book, store: &Store, plan: &Plan, progress: &Progress) -> Vec<Violation> {
    let mut found = FoundViolations::default();
    let case = names::read_plan_names(book, store, plan, &mut found);
    let mut now = ReplayState::new(&case, progress);
    for (name, sequence) in case.sequences() {
        for step in &sequence.steps {
            replay_rest_step(&case, &mut now, step, &step_place(name, step), &mut found);
        }
    }
    judge_end_of_rest(&case, &now, &mut found);
    judge_rest_sums(&case, progress, &mut found);
    judge_what_is_read(&case, progress, &mut found);
    world::judge_course_of_progress(&case, progress, &mut found);
    found.0
}

/// Figures, order of holes, words, cautions and slots: what is read is the same for a rest as for a whole plan.
fn judge_what_is_read(case: &PlanCase, progress: &Progress, found: &mut FoundViolations) {
    hole_order::judge_hole_orders(case, found);
    tighten_order::judge_tightening_order(case, found);
    figures::judge_action_figures(case, found);
    texts::judge_texts(case, progress, found);
    cautions::judge_cautions(case, progress, found);
    slots::judge_slots(case, found);
    slot_places::judge_slot_places(case, found);
    mix_ups::judge_mix_ups(case, found);
}

/// State of the job while its steps are replayed.
struct ReplayState<'a> {
    progress: &'a Progress,
    clock_s: f64,
    /// End of the step in hand.
    end_s: f64,
    fasteners: BTreeMap<(FixingId, u16), FastenerProgress>,
    off: BTreeSet<PartId>,
    back: BTreeSet<PartId>,
    /// When each condition that was made holds, s from now.
    holds_at_s: BTreeMap<ConditionId, f64>,
    undone: BTreeSet<ConditionId>,
    capped: BTreeSet<OpeningId>,
    uncapped: BTreeSet<OpeningId>,
    /// Openings to be capped before anything else is done.
    open: BTreeSet<OpeningId>,
    tasks: BTreeSet<TaskId>,
    extras: BTreeSet<&'a str>,
    /// When what comes after an extra step may start, s from now.
    extra_ready_s: BTreeMap<&'a str, f64>,
    /// When a part was set in place and when its last step ended, for those with steps in this plan.
    placed_s: BTreeMap<PartId, f64>,
    last_s: BTreeMap<PartId, f64>,
    /// The last pass of each joint.
    passes: BTreeMap<(usize, String, Option<usize>), usize>,
}

impl<'a> ReplayState<'a> {
    fn new(case: &PlanCase, progress: &'a Progress) -> Self {
        let book = case.book;
        let parts = |keys: &BTreeSet<String>| keys.iter().filter_map(|k| book.part_by_key(k)).collect();
        let openings = |keys: &BTreeSet<String>| -> BTreeSet<OpeningId> {
            let at = |k: &String| book.openings.iter().position(|o| o.key == *k).map(OpeningId::new);
            keys.iter().filter_map(at).collect()
        };
        let left_s = |key: &String| {
            let running = progress.running.iter().find(|r| r.condition.as_ref() == Some(key));
            running.map_or(0.0, |r| r.left_s)
        };
        let holds = |key: &String| Some((condition_by_key(book, key)?, left_s(key)));
        let done = progress.extra.iter().filter(|e| e.done);
        let mut fasteners = fasteners_of_progress(book, progress);
        let off: BTreeSet<PartId> = parts(&progress.parts_off);
        let mut back: BTreeSet<PartId> = parts(&progress.parts_back);
        if case.plan.asked.goal.is_some() {
            back.extend(parts_that_hang(book, &off, &mut fasteners));
        }
        Self {
            progress,
            clock_s: 0.0,
            end_s: 0.0,
            fasteners,
            off,
            back,
            holds_at_s: progress.conditions.iter().filter_map(holds).collect(),
            undone: progress.conditions_undone.iter().filter_map(|k| condition_by_key(book, k)).collect(),
            capped: openings(&progress.capped),
            uncapped: openings(&progress.uncapped),
            open: openings_left_open(
                case,
                progress,
                &openings(&progress.capped),
                &openings(&progress.uncapped),
            ),
            tasks: progress.tasks_done.iter().filter_map(|k| book.task_by_key(k)).collect(),
            extras: done.clone().map(|e| e.key.as_str()).collect(),
            extra_ready_s: done.map(|e| (e.key.as_str(), e.hold_up_s)).collect(),
            placed_s: BTreeMap::new(),
            last_s: BTreeMap::new(),
            passes: BTreeMap::new(),
        }
    }

    fn fastener(&self, key: (FixingId, u16)) -> FastenerProgress {
        self.fasteners.get(&key).copied().unwrap_or_default()
    }

    /// Whether all of a part's fasteners are through, and the part is back.
    fn is_part_whole(&self, case: &PlanCase, part: PartId) -> bool {
        let holes = |f: FixingId| (0..case.book.fixing(f).holes.len() as u16).map(move |h| (f, h));
        let mut all = case.book.fixings_of(part).flat_map(holes);
        self.back.contains(&part) && all.all(|key| self.fastener(key).state.is_done())
    }
}

/// A progress's fasteners by position; one that is tight has been through all passes.
fn fasteners_of_progress(book: &Book, progress: &Progress) -> BTreeMap<(FixingId, u16), FastenerProgress> {
    let mut all = BTreeMap::new();
    for id in book.fixing_ids() {
        let fixing = book.fixing(id);
        for (at, hole) in fixing.holes.iter().enumerate() {
            let mut fastener = progress.fastener(&fixing.key, &hole.label);
            if fastener.state.is_done() {
                fastener.passes = wanted_stages(fixing).len() as u8;
            }
            all.insert((id, at as u16), fastener);
        }
    }
    all
}

/// Parts in their place with a fastener that was loosened: on the way to a state they are made fast where they hang. Their other
/// fasteners were never touched, and stand as tight.
fn parts_that_hang(
    book: &Book,
    off: &BTreeSet<PartId>,
    fasteners: &mut BTreeMap<(FixingId, u16), FastenerProgress>,
) -> Vec<PartId> {
    let is_firm = |state: FastenerState| state == FastenerState::InPlace || state.is_done();
    let mut hanging = Vec::new();
    for part in book.part_ids().filter(|part| !off.contains(part)) {
        let own: Vec<FixingId> = book.fixings_of(part).collect();
        let mut of_part: Vec<_> =
            fasteners.iter_mut().filter(|((fixing, _), _)| own.contains(fixing)).collect();
        if of_part.iter().all(|(_, fastener)| is_firm(fastener.state)) {
            continue;
        }
        for ((fixing, _), fastener) in &mut of_part {
            if fastener.state == FastenerState::InPlace {
                let passes = wanted_stages(book.fixing(*fixing)).len() as u8;
                **fastener = FastenerProgress { state: FastenerState::Tight, passes };
            }
        }
        hanging.push(part);
    }
    hanging
}

/// Openings that a part which is off has uncovered and nobody has capped yet.
fn openings_left_open(
    case: &PlanCase,
    progress: &Progress,
    capped: &BTreeSet<OpeningId>,
    uncapped: &BTreeSet<OpeningId>,
) -> BTreeSet<OpeningId> {
    let off = progress.parts_off.iter().filter_map(|k| case.book.part_by_key(k));
    let mut open: BTreeSet<OpeningId> = off.flat_map(|p| case.book.part(p).uncovers.clone()).collect();
    open.retain(|o| case.book.opening(*o).cap.is_some() && !capped.contains(o) && !uncapped.contains(o));
    // One that another part has covered again needs no cap any more.
    let back = progress.parts_back.iter().filter_map(|k| case.book.part_by_key(k));
    for opening in back.flat_map(|p| &case.book.part(p).uncovers) {
        open.remove(opening);
    }
    open
}

fn replay_rest_step<'a>(
    case: &PlanCase,
    now: &mut ReplayState<'a>,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    if step.kind == StepKind::Wait {
        now.clock_s += step.wait_s;
        return;
    }
    now.end_s = now.clock_s + step.setup_s + step.work_s;
    replay_step_at_clock(case, now, step, at, found);
    now.clock_s = now.end_s;
}

/// Plays a step whose start and end are on the clock already.
fn replay_step_at_clock<'a>(
    case: &PlanCase,
    now: &mut ReplayState<'a>,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    // A lift may have to move before anyone gets at the opening.
    if !matches!(step.kind, StepKind::Cap | StepKind::Set) {
        for opening in core::mem::take(&mut now.open) {
            found.add("R402", at, format!("opening `{}` is left open", case.book.opening(opening).key));
        }
    }
    extra::judge_before_extra(case, now, step, at, found);
    match step.kind {
        StepKind::Open | StepKind::Drain => strip::replay_rest_condition(case, now, step, at, found),
        StepKind::Undo => strip::replay_rest_undo(case, now, step, at, found),
        StepKind::Remove => strip::replay_rest_removal(case, now, step, at, found),
        StepKind::Cap => strip::replay_rest_cap(case, now, step, at, found),
        StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => {
            strip::replay_rest_task(case, now, step, at, found);
        }
        StepKind::Refit => refit::replay_rest_placing(case, now, step, at, found),
        StepKind::Uncap => refit::replay_rest_uncap(case, now, step, at, found),
        StepKind::RunIn | StepKind::Tighten => refit::replay_rest_fastening(case, now, step, at, found),
        StepKind::Fill | StepKind::Restore => refit::replay_rest_restore(case, now, step, at, found),
        StepKind::Extra => extra::replay_extra_step(case, now, step, at, found),
        StepKind::Wait | StepKind::Set => {}
    }
}

/// A whole plan's steps played from the start at given times: (step, start, end) in order.
pub(crate) fn replay_timed_steps(case: &PlanCase, steps: &[(&Step, f64, f64)], found: &mut FoundViolations) {
    let progress = Progress::default();
    let mut now = ReplayState::new(case, &progress);
    for (step, start_s, end_s) in steps {
        (now.clock_s, now.end_s) = (*start_s, *end_s);
        replay_step_at_clock(case, &mut now, step, &step_place("calendar", step), found);
    }
    judge_end_of_rest(case, &now, found);
}

fn judge_end_of_rest(case: &PlanCase, now: &ReplayState, found: &mut FoundViolations) {
    let book = case.book;
    if case.plan.asked.goal.is_some() {
        return judge_nothing_hangs(case, now, found);
    }
    for opening in now.open.iter().chain(&now.capped) {
        found.add("R402", "end", format!("opening `{}` is left capped or open", book.opening(*opening).key));
    }
    for part in case.off.keys().filter(|p| !now.back.contains(p)) {
        found.add("R801", "end", format!("part `{}` is not back in place", book.part(*part).key));
    }
    for fixing in case.fixings_off() {
        let it = book.fixing(fixing);
        for (at, hole) in it.holes.iter().enumerate() {
            let fastener = now.fastener((fixing, at as u16));
            if !fastener.state.is_done() {
                let words =
                    format!("hole {} of `{}` is left {}", hole.label, it.key, fastener.state.spoken_word());
                found.add("R802", "end", words);
            }
        }
    }
    for condition in &case.conditions {
        let it = book.condition(*condition);
        if it.restore.is_some() && !now.undone.contains(condition) {
            found.add("R803", "end", format!("condition `{}` is not undone", it.key));
        }
    }
    for task in case.tasks.iter().filter(|t| !now.tasks.contains(t)) {
        found.add("R804", "end", format!("task `{}` is not done", book.task(*task).key));
    }
    for extra in now.progress.extra.iter().filter(|e| !now.extras.contains(e.key.as_str())) {
        found.add("R805", "end", format!("extra step `{}` is not done", extra.key));
    }
}

/// A plan to a state leaves the rest of the job as it is, but no part half undone and no opening open; the state itself is a
/// matter of the world.
fn judge_nothing_hangs(case: &PlanCase, now: &ReplayState, found: &mut FoundViolations) {
    let book = case.book;
    for opening in &now.open {
        found.add("R402", "end", format!("opening `{}` is left open", book.opening(*opening).key));
    }
    for part in book.part_ids().filter(|part| !now.off.contains(part)) {
        let hangs = |id: &FixingId| {
            let holes = 0..book.fixing(*id).holes.len() as u16;
            let mut states = holes.map(|hole| now.fastener((*id, hole)).state);
            states.any(|state| state != FastenerState::InPlace && !state.is_done())
        };
        if let Some(id) = book.fixings_of(part).find(hangs) {
            let words = format!(
                "part `{}` is left hanging: `{}` is half done",
                book.part(part).key,
                book.fixing(id).key
            );
            found.add("R806", "end", words);
        }
    }
}

/// Set-ups, work, sums and numbers, the first sequence begun at the progress's place and hand.
fn judge_rest_sums(case: &PlanCase, progress: &Progress, found: &mut FoundViolations) {
    let first = case.book.stations.first().map(|s| s.key.as_str());
    let hand: Vec<PieceId> = progress.in_hand.iter().filter_map(|k| case.store.piece_by_key(k)).collect();
    let mut here = SetupState { station: progress.station.as_deref().or(first), part: None, hand };
    let mut number = 0;
    for (name, sequence) in case.sequences() {
        if sequence.steps.is_empty() {
            continue;
        }
        for step in &sequence.steps {
            number += 1;
            let at = step_place(name, step);
            if step.number != number {
                found.add("R701", at.clone(), format!("is step {number} in order"));
            }
            sums::judge_step_sums(case, step, &mut here, &at, found);
            extra::judge_extra_seconds(progress, step, &at, found);
        }
        let sum = |of: fn(&Step) -> f64| sequence.steps.iter().map(of).sum::<f64>();
        let sums = [
            (sum(|s| s.setup_s), sequence.setup_s),
            (sum(|s| s.work_s), sequence.work_s),
            (sum(|s| s.wait_s), sequence.wait_s),
        ];
        if sums.into_iter().any(|(a, b)| !same_figure(a, b)) {
            found.add("R702", name, "the totals are not the sums of the steps");
        }
        if !case.is_course() {
            here = SetupState { station: first, part: None, hand: Vec::new() };
        }
    }
}

/// The state that follows an act, where the fastener is in the state that the act needs.
fn is_run_in(state: FastenerState) -> bool {
    state == FastenerState::FingerTight || state.is_done()
}
