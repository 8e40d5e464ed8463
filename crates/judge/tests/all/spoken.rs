//! The words, slots and reasons of a plan made by hand, written out for the small invented books of these tests.

use model::plan::{Plan, Step, StepKind, WayInReason};
use model::{Act, Book, Fixing, Need};
use units::Duration;

/// A plan with all that is read beside its steps: sentences, slots, reasons, safety states.
pub fn spoken(book: &Book, plan: Plan) -> Plan {
    let mut plan = plan;
    let as_planned = plan.clone();
    for steps in [&mut plan.strip.steps, &mut plan.work.steps, &mut plan.refit.steps] {
        for step in steps {
            step.text = sentence(book, &as_planned, step);
            let moves = matches!(step.kind, StepKind::Undo | StepKind::RunIn);
            let line = as_planned.slots.iter().find(|line| moves && step.fixings.contains(&line.fixing));
            step.slot = line.map(|line| line.slot.clone());
        }
    }
    for line in &mut plan.slots {
        line.size = book.fixing(book.fixing_by_key(&line.fixing).expect("of the book")).size_or_drive_words();
    }
    for line in &mut plan.way_in.parts {
        line.because =
            reasons(book, &as_planned, Need::Off(book.part_by_key(&line.part).expect("of the book")));
    }
    for line in &mut plan.way_in.conditions {
        let at = book.conditions.iter().position(|one| one.key == line.condition).expect("of the book");
        line.because = reasons(book, &as_planned, Need::Condition(model::ConditionId::new(at)));
    }
    plan.way_in.outcome.value = cost_of_way_in(book, &as_planned);
    plan.way_in.outcome.bound = plan.way_in.outcome.value;
    plan.readiness.safety = vec![String::from("Follow the maker's service data.")];
    let states = book.conditions.iter().map(|state| format!("{}: {}", state.title, state.establish));
    plan.readiness.safety.extend(states);
    plan.readiness.book_note = Some(String::from("All figures of this book are invented."));
    plan
}

fn reasons(book: &Book, plan: &Plan, need: Need) -> Vec<WayInReason> {
    let asked = book.tasks.iter().filter(|task| plan.asked.tasks.contains(&task.key));
    let tasks =
        asked.filter(|task| task.needs.contains(&need)).map(|task| WayInReason::Task(task.key.clone()));
    let parts = book.parts.iter().filter(|part| part.needs.contains(&need));
    let mut all: Vec<_> = tasks.chain(parts.map(|part| WayInReason::Part(part.key.clone()))).collect();
    all.sort();
    all
}

/// Lift and place, making and undoing, and for each bolt of 12 turns its puts and takes, 24 turns of 2 s and one reading.
fn cost_of_way_in(book: &Book, plan: &Plan) -> f64 {
    let is_off = |key: &String| plan.way_in.parts.iter().any(|line| line.part == *key);
    let parts = book.parts.iter().filter(|part| is_off(&part.key)).map(|part| part.lift_s() + part.place_s());
    let states = book.conditions.iter().map(|state| state.establish_time.as_s() + state.restore_time.as_s());
    let of_fixing = |fixing: &Fixing| {
        let holes = fixing.holes.len() as f64;
        let passes = fixing.tightening.stages.len() as f64;
        if fixing.drive.is_turned() {
            let put_and_take = 2.0 * times::APPLY_S + times::TAKE_S + times::HAND_START_S;
            holes * (put_and_take + 24.0 * 2.0 + passes * (times::APPLY_S + times::READ_S))
        } else {
            holes * 2.0 * times::SQUEEZE_S
        }
    };
    let fixings = book.fixings.iter().filter(|fixing| is_off(&book.part(fixing.part).key)).map(of_fixing);
    parts.sum::<f64>() + states.sum::<f64>() + fixings.sum::<f64>()
}

fn sentence(book: &Book, plan: &Plan, step: &Step) -> String {
    let part = step.part.clone().unwrap_or_default();
    let fixing = step.fixings.first().map(|key| book.fixing(book.fixing_by_key(key).expect("of the book")));
    let state = book.conditions.iter().find(|state| step.condition.as_ref() == Some(&state.key));
    match step.kind {
        StepKind::Open | StepKind::Drain => state.map_or_else(String::new, |state| state.establish.clone()),
        StepKind::Fill | StepKind::Restore => {
            state.and_then(|state| state.restore.clone()).unwrap_or_default()
        }
        StepKind::Remove => format!("Take off the {part} (1 kg)."),
        StepKind::Refit => format!("Set the {part} in place."),
        StepKind::Cap => String::from("Cap the port at once (plug)."),
        StepKind::Uncap => String::from("Take the caps off the port (plug) and count them."),
        StepKind::Inspect => String::from("Look behind the unit."),
        StepKind::Wait => format!("Wait {}.", Duration::from_s(step.wait_s).spoken_text()),
        StepKind::Set => {
            let own = step.sets.first();
            let setting =
                own.and_then(|told| Some((book.setting(book.setting_by_key(&told.setting)?), told)));
            let way = setting.and_then(|(setting, told)| {
                let to = setting.value_by_word(&told.value)?;
                setting.ways.iter().find(|way| way.to == to)
            });
            way.map_or_else(String::new, |way| way.text.clone())
        }
        StepKind::Undo | StepKind::RunIn | StepKind::Tighten => {
            fixing.map_or_else(String::new, |fixing| of_fasteners(plan, step, fixing))
        }
        StepKind::Renew | StepKind::Measure | StepKind::Reseal | StepKind::Extra => String::new(),
    }
}

fn of_fasteners(plan: &Plan, step: &Step, fixing: &Fixing) -> String {
    let count = step.actions.first().map_or(0, |action| action.holes.len());
    let what = match fixing.holes.len() {
        1 => format!("the {}", fixing.title),
        _ => format!("{count} × {}", fixing.title),
    };
    let is_turned = fixing.drive.is_turned();
    let runs_out = step.actions.iter().any(|action| plan.duties[action.duty].act == Act::RunOut);
    match (step.kind, is_turned) {
        (StepKind::Undo, true) if runs_out => format!("Undo {what} (hexagon 10 mm)."),
        (StepKind::Undo, true) => {
            format!("Break loose {what} (hexagon 10 mm), a quarter turn; it stays in for now.")
        }
        (StepKind::Undo, false) => format!("Unplug {what}."),
        (StepKind::RunIn, true) => format!("Start by hand and run in {what}; threads clean and dry."),
        (StepKind::RunIn, false) if fixing.kind == model::FastenerKind::Clip => format!("Clip in {what}."),
        (StepKind::RunIn, false) => format!("Plug in {what}."),
        _ => format!("Tighten {what}: 9 N·m."),
    }
}
