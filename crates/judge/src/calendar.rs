//! Judges a calendar from book, store, plan, shop hours and the times of the steps alone.
//!
//! The steps are played through in the order of their times by the rules of [`crate::judge_rest`], from nothing done: needs, waits, caps,
//! passes; and by those of the book's world, of which the codes are J62 and J63. Besides: every step once, one thing at a time, inside shop hours, long enough for its work, nothing before it has arrived, no gap
//! too long.

// symbol: arrivals, gaps = a key and seconds
// symbol: steps = a step, its start and its end in seconds

use crate::case::PlanCase;
use crate::{FoundViolations, Violation, names, remake, world};
use model::plan::{Plan, Step, StepKind};
use model::{Book, Store};

/// Rounding of the clock.
const CLOCK_S: f64 = 1.0e-2;
const DAY_S: f64 = 86_400.0;

/// Shop hours; times in seconds from midnight of the first day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JudgedHours {
    /// Opening time of a day, s from midnight.
    pub opens_s: f64,
    /// Open time of a day, s.
    pub open_s: f64,
    /// Open weekdays, Monday first.
    pub days: [bool; 7],
    /// Weekday of the first day, Monday 0.
    pub first_day: u8,
    /// When the work starts.
    pub start_s: f64,
    /// Share of open time lost to interruptions.
    pub interruption_fraction: f64,
}

/// Some steps, one right behind the other, and when.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgedSteps {
    /// Numbers of the plan's steps.
    pub steps: Vec<u32>,
    /// Start.
    pub start_s: f64,
    /// End.
    pub end_s: f64,
}

/// What a calendar has to keep in addition to the plan's own rules.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct JudgedLimits {
    /// Part key, task key or supply name, and when it arrives.
    pub arrivals: Vec<(String, f64)>,
    /// Part key, and the longest time from setting it in place to its last tightening; gaps known to be too long are left out.
    pub gaps: Vec<(String, f64)>,
}

/// C1 every step once, C2 one at a time, C3 shop hours and length, C4 arrivals, C5 gaps; R codes for the rules of the work.
#[must_use]
pub fn judge_calendar(
    book: &Book,
    store: &Store,
    plan: &Plan,
    hours: &JudgedHours,
    slots: &[JudgedSteps],
    wishes: &JudgedLimits,
) -> Vec<Violation> {
    let mut found = FoundViolations::default();
    let case = names::read_plan_names(book, store, plan, &mut found);
    let steps = time_calendar_steps(&case, slots, &mut found);
    remake::replay_timed_steps(&case, &steps, &mut found);
    world::judge_world_in_order(&case, steps.iter().map(|(step, ..)| *step), "calendar", &mut found);
    let mut free_s = hours.start_s;
    for slot in slots {
        let at = format!("steps {}", join_numbers(&slot.steps));
        if slot.start_s + CLOCK_S < free_s {
            found.add("C201", at.clone(), "starts before the mechanic is free");
        }
        let bench_s = open_time_s(hours, slot.start_s, slot.end_s);
        let inside = steps.iter().filter(|(s, ..)| slot.steps.contains(&s.number));
        let work_s: f64 = inside.map(|(s, ..)| s.work_s).sum();
        if bench_s + CLOCK_S < work_s / (1.0 - hours.interruption_fraction) {
            found.add("C301", at, "has fewer shop hours than its work takes");
        }
        free_s = slot.end_s;
    }
    judge_arrivals(&case, &steps, wishes, &mut found);
    judge_tightening_gaps(&case, &steps, wishes, &mut found);
    found.0
}

fn join_numbers(numbers: &[u32]) -> String {
    numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

/// The steps with their times, in the order of the slots; each of the plan's once.
fn time_calendar_steps<'a>(
    case: &PlanCase<'a>,
    slots: &[JudgedSteps],
    found: &mut FoundViolations,
) -> Vec<(&'a Step, f64, f64)> {
    let all: Vec<&Step> = case.sequences().into_iter().flat_map(|(_, s)| &s.steps).collect();
    let mut times = vec![0_u32; all.len()];
    let mut timed = Vec::new();
    for slot in slots {
        for number in &slot.steps {
            match all.iter().position(|s| s.number == *number) {
                Some(at) => {
                    times[at] += 1;
                    timed.push((all[at], slot.start_s, slot.end_s));
                }
                None => found.add("C101", format!("step {number}"), "is not in the plan"),
            }
        }
    }
    for (step, times) in all.iter().zip(times) {
        if step.kind != StepKind::Wait && times != 1 {
            found.add("C101", format!("step {}", step.number), format!("is on the calendar {times} times"));
        }
    }
    timed
}

/// Shop-open time between two times, s.
fn open_time_s(hours: &JudgedHours, from_s: f64, to_s: f64) -> f64 {
    let (first, last) = ((from_s / DAY_S) as usize, (to_s / DAY_S) as usize);
    let of_day = |day: usize| {
        let opens_s = day as f64 * DAY_S + hours.opens_s;
        let inside_s = (opens_s + hours.open_s).min(to_s) - opens_s.max(from_s);
        let is_open = hours.days[(usize::from(hours.first_day) + day) % 7];
        if is_open { inside_s.max(0.0) } else { 0.0 }
    };
    (first..=last).map(of_day).sum()
}

fn judge_arrivals(
    case: &PlanCase,
    steps: &[(&Step, f64, f64)],
    wishes: &JudgedLimits,
    found: &mut FoundViolations,
) {
    for (what, at_s) in &wishes.arrivals {
        for (step, start_s, _) in steps.iter().filter(|(s, ..)| step_needs_arrival(case, s, what)) {
            if *start_s + CLOCK_S < *at_s {
                found.add("C401", format!("step {}", step.number), format!("starts before `{what}` arrives"));
            }
        }
    }
}

fn step_needs_arrival(case: &PlanCase, step: &Step, what: &str) -> bool {
    let named = |supplies: &[model::Supply]| supplies.iter().any(|s| s.name == what);
    let task = step.task.as_ref().and_then(|t| case.book.task_by_key(t)).map(|t| case.book.task(t));
    let part = case.part_of_step(step).filter(|_| step.kind == StepKind::Refit).map(|p| case.book.part(p));
    let fill =
        case.condition_of_step(step).filter(|_| step.kind == StepKind::Fill).map(|c| case.book.condition(c));
    task.is_some_and(|t| t.key == what || named(&t.supplies))
        || part.is_some_and(|p| p.key == what || named(&p.renew_with))
        || fill.is_some_and(|c| named(&c.supplies))
}

fn judge_tightening_gaps(
    case: &PlanCase,
    steps: &[(&Step, f64, f64)],
    wishes: &JudgedLimits,
    found: &mut FoundViolations,
) {
    for (part, most_s) in &wishes.gaps {
        let of = |kind: StepKind| {
            let own = move |(s, ..): &&(&Step, f64, f64)| s.kind == kind && s.part.as_ref() == Some(part);
            steps.iter().filter(own)
        };
        let placed_s = of(StepKind::Refit).map(|(.., end_s)| *end_s).fold(0.0, f64::max);
        for (step, start_s, _) in of(StepKind::Tighten) {
            if *start_s > placed_s + most_s + CLOCK_S && case.book.part_by_key(part).is_some() {
                let words = format!(
                    "starts {:.0} s too late after part `{part}` is in place",
                    start_s - placed_s - most_s
                );
                found.add("C501", format!("step {}", step.number), words);
            }
        }
    }
}
