//! Sums: do set-ups, work and waits of each step follow from the rules, and do the totals follow from the steps?
//!
//! Each sequence starts with the bare hand at the first station and with no part in mind; where the book tells a world, place, part
//! and hand run on from strip through work to refit. Waits are passed over. A change of station costs its entering time, a change to another part the turning to it, and each action with a stack the swaps from
//! the stack in hand. Fixed work is the book's own time of the step.

use crate::case::{PlanCase, step_place};
use crate::stack::fastener_time_s;
use crate::{FoundViolations, same_figure, show_figure};
use model::plan::{Plan, Step, StepKind};
use model::{Book, PieceId, Store};
use times::{TimeFigures, TimeKey};

/// J651 totals, J652 numbers, J653 set-ups, J654 work, J655 waits.
pub(crate) fn judge_sums(case: &PlanCase, found: &mut FoundViolations) {
    let mut number = 0;
    let mut here = SetupState::at_start(case);
    for (name, sequence) in case.sequences() {
        if !case.is_course() {
            here = SetupState::at_start(case);
        }
        for step in &sequence.steps {
            number += 1;
            let at = step_place(name, step);
            if step.number != number {
                found.add("J652", at.clone(), format!("is step {number} in order"));
            }
            judge_step_sums(case, step, &mut here, &at, found);
        }
        let sum = |of: fn(&Step) -> f64| sequence.steps.iter().map(of).sum::<f64>();
        let sums = [
            ("set-ups", sum(|s| s.setup_s), sequence.setup_s),
            ("work", sum(|s| s.work_s), sequence.work_s),
            ("waits", sum(|s| s.wait_s), sequence.wait_s),
        ];
        for (what, sum_s, said_s) in sums.into_iter().filter(|(_, a, b)| !same_figure(*a, *b)) {
            let (sum, said) = (show_figure(sum_s), show_figure(said_s));
            found.add("J651", name, format!("{what} add up to {sum} s, the plan says {said} s"));
        }
    }
}

/// Hands-on seconds of a plan worked out anew, with other figures for what acts take, to see what hangs on each; `None` where a name of the
/// plan is unknown.
#[must_use]
pub fn sum_hands_on_s(book: &Book, store: &Store, plan: &Plan, times: &TimeFigures) -> Option<f64> {
    let case = PlanCase {
        times: times.clone(),
        ..crate::names::read_plan_names(book, store, plan, &mut FoundViolations::default())
    };
    let mut here = SetupState::at_start(&case);
    let mut sum_s = 0.0;
    for (_, sequence) in case.sequences() {
        if !case.is_course() {
            here = SetupState::at_start(&case);
        }
        for step in sequence.steps.iter().filter(|step| step.kind != StepKind::Wait) {
            sum_s += step_setup_s(&case, step, &mut here);
            sum_s += match step.kind {
                StepKind::Set => way_work_s(&case, step),
                StepKind::Extra => step.work_s,
                _ => step_work_s(&case, step)?,
            };
        }
    }
    Some(sum_s)
}

/// The time of a way between two values: the plan's own, unless no way to that value tells its time.
fn way_work_s(case: &PlanCase, step: &Step) -> f64 {
    let settings = step.sets.iter().filter_map(|change| {
        let setting = case.book.settings.iter().find(|setting| setting.key == change.setting)?;
        Some((setting, setting.value_by_word(&change.value)?))
    });
    let mut ways =
        settings.flat_map(|(setting, to)| setting.ways.iter().filter(move |way| way.to == to)).peekable();
    let is_told = ways.peek().is_none() || ways.any(|way| way.time.ends().is_some());
    told_or(case, is_told, step.work_s, TimeKey::Way)
}

/// Station, part and pieces that the next set-up starts from.
pub(crate) struct SetupState<'a> {
    pub station: Option<&'a str>,
    pub part: Option<&'a str>,
    pub hand: Vec<PieceId>,
}

impl<'a> SetupState<'a> {
    /// At the first station, with nothing in hand.
    fn at_start(case: &PlanCase<'a>) -> Self {
        Self { station: case.book.stations.first().map(|s| s.key.as_str()), part: None, hand: Vec::new() }
    }
}

/// J653 set-ups, J654 work, J655 waits of one step.
pub(crate) fn judge_step_sums<'a>(
    case: &PlanCase<'a>,
    step: &'a Step,
    here: &mut SetupState<'a>,
    at: &str,
    found: &mut FoundViolations,
) {
    if step.kind == StepKind::Wait {
        if step.setup_s != 0.0 || step.work_s != 0.0 || !step.actions.is_empty() || step.wait_s < 0.0 {
            found.add("J655", at, "a wait may hold nothing but its waiting time");
        }
        return;
    }
    if step.wait_s != 0.0 {
        found.add("J655", at, "a wait must be a step of its own");
    }
    let setup_s = step_setup_s(case, step, here);
    if !same_figure(setup_s, step.setup_s) {
        let (right, said) = (show_figure(setup_s), show_figure(step.setup_s));
        found.add("J653", at, format!("set-up takes {right} s, the plan says {said} s"));
    }
    if let Some(work_s) = step_work_s(case, step).filter(|w| !same_figure(*w, step.work_s)) {
        let (right, said) = (show_figure(work_s), show_figure(step.work_s));
        found.add("J654", at, format!("work takes {right} s, the plan says {said} s"));
    }
}

fn step_setup_s<'a>(case: &PlanCase<'a>, step: &'a Step, here: &mut SetupState<'a>) -> f64 {
    let mut setup_s = 0.0;
    if here.station != Some(&step.station) {
        let entered = case.book.stations.iter().find(|s| s.key == step.station);
        setup_s +=
            entered.map_or(0.0, |s| told_or(case, s.enter.ends().is_some(), s.enter_s(), TimeKey::Enter));
    }
    if step.part.is_some() && here.part != step.part.as_deref() {
        setup_s += case.times.value(TimeKey::Attention);
    }
    here.station = Some(&step.station);
    here.part = step.part.as_deref();
    for stack in step.actions.iter().filter_map(|a| case.stack_by_id(a.stack.as_ref())) {
        let next: Vec<PieceId> = stack.all_pieces().collect();
        let (taken, put) = count_swaps(&here.hand, &next);
        setup_s += case.times.value(TimeKey::Pick) * f64::from(taken)
            + case.times.value(TimeKey::Put) * f64::from(put);
        here.hand = next;
    }
    setup_s
}

/// How many pieces are taken up and how many put down between what is in hand and what comes next.
pub(crate) fn count_swaps(hand: &[PieceId], next: &[PieceId]) -> (u32, u32) {
    (count_missing(next, hand), count_missing(hand, next))
}

/// How many pieces of one list are not in the other, counting doubles.
fn count_missing(of: &[PieceId], other: &[PieceId]) -> u32 {
    let mut rest = other.to_vec();
    let mut missing = 0;
    for piece in of {
        match rest.iter().position(|p| p == piece) {
            Some(at) => _ = rest.swap_remove(at),
            None => missing += 1,
        }
    }
    missing
}

fn step_work_s(case: &PlanCase, step: &Step) -> Option<f64> {
    let mut work_s = fixed_work_s(case, step)?;
    for action in &step.actions {
        if let Some(stack) = case.stack_by_id(action.stack.as_ref()) {
            work_s +=
                fastener_time_s(case, &case.duty_of_action(action)?, stack)? * action.holes.len() as f64;
        }
    }
    Some(work_s)
}

/// The book's own time, or what stands in for it.
fn told_or(case: &PlanCase, is_told: bool, told_s: f64, key: TimeKey) -> f64 {
    if is_told { told_s } else { case.times.value(key) }
}

fn fixed_work_s(case: &PlanCase, step: &Step) -> Option<f64> {
    let part = || case.part_of_step(step).map(|p| case.book.part(p));
    let condition = || case.condition_of_step(step).map(|c| case.book.condition(c));
    let task = || step.task.as_ref().and_then(|t| case.book.task_by_key(t)).map(|t| case.book.task(t));
    Some(match step.kind {
        StepKind::Remove => {
            let it = part()?;
            told_or(case, it.lift_time.ends().is_some(), it.lift_s(), TimeKey::Lift)
        }
        StepKind::Refit => {
            let it = part()?;
            told_or(case, it.place_time.ends().is_some(), it.place_s(), TimeKey::Place)
        }
        StepKind::Open | StepKind::Drain => condition()?.establish_time.as_s(),
        StepKind::Fill | StepKind::Restore => condition()?.restore_time.as_s(),
        StepKind::Cap | StepKind::Uncap => {
            let opening = crate::replay::opening_of_step(case, step)?;
            case.times.value(TimeKey::Cap) * f64::from(case.book.opening(opening).count)
        }
        StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => {
            let it = task()?;
            told_or(case, it.work.ends().is_some(), it.work_s(), TimeKey::Work)
        }
        StepKind::Wait | StepKind::Undo | StepKind::RunIn | StepKind::Tighten => 0.0,
        StepKind::Extra | StepKind::Set => return None,
    })
}
