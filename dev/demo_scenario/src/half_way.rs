//! The demo's visit: stripped half-way, with something seized, something lost, and the work interrupted.
//!
//! All of it is invented, as the demo's books are.

use std::collections::BTreeSet;
use std::path::Path;

use app::ask::{PlanRequest, ProgressObserver};
use app::model::plan::{KitObjective, Step, StepKind};
use app::model::{Act, FastenerState};
use app::record::{EventPlace, VisitBody, VisitCommand, VisitHappeningKind, steps_of};
use app::workshop::{DeviceId, NewVisit, VisitId, Workshop, WorkshopError};

/// Share of the strip that is done.
const DONE_FRACTION: f64 = 0.5;

/// Opens the demo's visit and works it to the middle of the strip.
///
/// # Errors
/// [`WorkshopError`] when the demo cannot be read or planned, or the disk refuses.
pub fn begin_half_way_visit(
    workshop: &mut Workshop,
    demo: &Path,
    seconds: Option<f64>,
    progress: &dyn ProgressObserver,
) -> Result<VisitId, WorkshopError> {
    let new = NewVisit {
        name: String::from("co-operative's bus 7 (invented)"),
        odometer: Some(String::from("412,300 km")),
        letter: String::from("A"),
        vehicle: None,
        book: Some(demo.join("books").join("tern-24")),
        store: Some(demo.join("store")),
        request: Some(PlanRequest {
            vehicle: String::from("A"),
            tasks: Vec::new(),
            objective: KitObjective::LeastToCarry,
            seconds,
            stop_after_s: None,
            seed: 1,
            threads: 2,
        }),
    };
    let visit = workshop.begin_visit(&new, progress)?;
    strip_half(workshop, &visit)?;
    leave_open(workshop, &visit)?;
    Ok(visit)
}

/// Ticks the first half of the strip; the last opening uncovered stays without its cap.
fn strip_half(workshop: &mut Workshop, visit: &VisitId) -> Result<(), WorkshopError> {
    let device = workshop.device().clone();
    let steps: Vec<Step> = workshop.visit(visit)?.require_planned_texts()?.2.strip.steps.clone();
    let half = (steps.len() as f64 * DONE_FRACTION) as usize;
    // The afternoon ends with a part whose fasteners are out and which is still on.
    let stands_on = |at: &usize| {
        let (last, next) = (&steps[at - 1], &steps[*at]);
        last.kind == StepKind::Undo && next.kind == StepKind::Remove && last.part == next.part
    };
    let wanted = (half.max(1)..steps.len()).find(stands_on).unwrap_or(half);
    let cap = steps.iter().enumerate().rev().find(|(at, s)| *at < wanted && s.kind == StepKind::Cap);
    let left_open = cap.map(|(at, _)| at);
    for (at, step) in steps.iter().take(wanted).enumerate() {
        if Some(at) == left_open {
            continue;
        }
        tick_through(workshop, visit, &device, step.number)?;
    }
    Ok(())
}

/// Ticks a step until nothing of it is left.
fn tick_through(
    workshop: &mut Workshop,
    visit: &VisitId,
    device: &DeviceId,
    step: u32,
) -> Result<(), WorkshopError> {
    loop {
        match workshop.carry_out_command(visit, device, &VisitCommand::Tick { step }) {
            Ok(_) => {}
            Err(WorkshopError::Refused(_)) => return Ok(()),
            Err(error) => return Err(error),
        }
    }
}

/// What an interrupted afternoon leaves: a lost nut, a seized bolt, a bolt put back by hand, and a note.
fn leave_open(workshop: &mut Workshop, visit: &VisitId) -> Result<(), WorkshopError> {
    let device = workshop.device().clone();
    let live = workshop.visit(visit)?;
    let (book, _, plan) = live.require_planned_texts()?;
    let off = live
        .state()
        .fasteners
        .iter()
        .filter(|(_, _, f)| f.state == FastenerState::Off)
        .find(|(fixing, _, _)| {
            let id = book.fixing_by_key(fixing);
            id.is_some_and(|id| !live.state().is_part_off(&book.part(book.fixing(id).part).key))
        })
        .map(|(fixing, hole, _)| (fixing.to_owned(), hole.to_owned()));
    let next = steps_of(plan)
        .filter(|s| s.kind == StepKind::Undo)
        .find(|s| s.fixings.iter().any(|f| live.state().fasteners.of_fixing(f).next().is_none()))
        .cloned();
    let frees = next.as_ref().and_then(|step| {
        let action =
            step.actions.iter().find(|a| plan.duties.get(a.duty).is_some_and(|d| d.act == Act::Free))?;
        let fixing = plan.duties.get(action.duty)?.fixing.clone();
        Some((step.number, fixing, action.holes.first()?.clone()))
    });
    if let Some((fixing, hole)) = off {
        let holes = BTreeSet::from([hole]);
        let to = FastenerState::FingerTight;
        workshop.carry_out_command(visit, &device, &VisitCommand::Mark { fixing, holes, to, slot: None })?;
    }
    let lost = VisitBody::Happened {
        what: VisitHappeningKind::Lost,
        at: EventPlace { step: next.as_ref().map(|s| s.number), ..EventPlace::default() },
        words: String::from("one M6 flange nut, dropped behind the manifold"),
    };
    workshop.carry_out_command(visit, &device, &lost.into())?;
    if let Some((step, fixing, hole)) = frees {
        let at =
            EventPlace { fixing: Some(fixing), hole: Some(hole), step: Some(step), ..EventPlace::default() };
        let seized = VisitBody::Happened {
            what: VisitHappeningKind::Seized,
            at,
            words: String::from("does not break loose at its torque; soaking overnight"),
        };
        workshop.carry_out_command(visit, &device, &seized.into())?;
    }
    let pause = VisitBody::Paused {
        words: String::from(
            "Owner on the telephone. The nut is still behind the manifold; mirror and magnet are on the cart.",
        ),
        at: EventPlace { step: next.map(|s| s.number), ..EventPlace::default() },
    };
    workshop.carry_out_command(visit, &device, &pause.into())?;
    Ok(())
}
