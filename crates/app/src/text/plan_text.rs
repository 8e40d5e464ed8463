//! A whole plan as text: the answer first, then why, then the work.

use super::kit_doubt;
use super::table::{
    PageWidth, TextAlign, TextTable, bullet, count_with_noun, heading, outcome_words, spoken_time,
};
use crate::job_hours::{RANGE_MEANING, hours_words};
use crate::workshop::RemadePlan;
use model::plan::{CourseOutcome, DutyLine, MoveCount, Plan, Step, StepAction, StepSequence};
use model::{Act, HoleOrderOrigin, ReachVerdict};
use plan::hours::PlanHours;
use times::shown::about_words;

/// The first lines: what the visit comes to.
#[must_use]
pub fn plan_summary(plan: &Plan, hours: &PlanHours, width: PageWidth) -> String {
    let mut out = bullet(width, "", &plan.book_title);
    out.push_str(&bullet(width, "tasks: ", &plan.asked.tasks.join(", ")));
    let way = &plan.way_in;
    let parts = count_with_noun(way.parts.len(), "part");
    let come = if way.parts.len() == 1 { "comes" } else { "come" };
    let conditions = count_with_noun(way.conditions.len(), "condition");
    let are = if way.conditions.len() == 1 { "is" } else { "are" };
    let line = format!(
        "{parts} {come} off, {conditions} {are} made; {} of handling ({})",
        spoken_time(way.outcome.value),
        outcome_words(&way.outcome)
    );
    out.push_str(&bullet(width, "way in:  ", &line));
    out.push_str(&bullet(width, "hours:   ", &format!("{} ({RANGE_MEANING})", hours_words(hours))));
    for (phase, sequence) in plan.sequences() {
        out.push_str(&bullet(
            width,
            &format!("{:9}", format!("{}:", phase.spoken_word())),
            &sequence_words(sequence),
        ));
    }
    if let Some(course) = &plan.course {
        out.push_str(&bullet(width, "order:   ", &order_words(course)));
        out.push_str(&bullet(width, "moves:   ", &course_words(course)));
    }
    let pieces: u32 = plan.kit.pieces.iter().map(|p| u32::from(p.count)).sum();
    out.push_str(&bullet(
        width,
        "cart:    ",
        &format!("{} ({})", count_with_noun(pieces as usize, "piece"), outcome_words(&plan.kit.outcome)),
    ));
    out
}

/// "13 of place (at least 13), 13 of the lift (at least 13), 24 of tools".
fn course_words(course: &CourseOutcome) -> String {
    let counted = |moves: MoveCount, what: &str| {
        let least = if moves.bound > 0 { format!(" (at least {})", moves.bound) } else { String::new() };
        format!("{} {what}{least}", moves.count)
    };
    let moves = &course.moves;
    [counted(moves.place, "of place"), counted(moves.lift, "of the lift"), counted(moves.tools, "of tools")]
        .join(", ")
}

/// How good the order of all three stretches is.
fn order_words(course: &CourseOutcome) -> String {
    format!("{}; each move of place and lift counted as one minute more", outcome_words(&course.outcome))
}

fn sequence_words(sequence: &StepSequence) -> String {
    let mut text = format!(
        "{}, planned at {}",
        count_with_noun(sequence.steps.len(), "step"),
        about_words(sequence.total_s())
    );
    if sequence.setup_s > 0.0 {
        text.push_str(&format!(", of which {} is changing tool and position", about_words(sequence.setup_s)));
    }
    if sequence.wait_s > 0.0 {
        text.push_str(&format!(", {} of waiting", about_words(sequence.wait_s)));
    }
    text
}

/// The whole plan.
#[must_use]
pub fn format_plan(plan: &Plan, hours: &PlanHours, width: PageWidth) -> String {
    let mut out = plan_summary(plan, hours, width);
    out.push('\n');
    out.push_str(&super::readiness::format_readiness(plan, width));
    push_way_in(&mut out, plan, width);
    out.push_str(&format_kit(plan, width));
    for (phase, sequence) in plan.sequences() {
        push_sequence(&mut out, plan, phase.spoken_word(), sequence, width);
    }
    push_slots(&mut out, plan, width);
    push_mix_ups(&mut out, plan, width);
    out.push('\n');
    out.push_str(&bullet(width, "", "The maker's service data always win over anything worked out here."));
    out
}

/// The way from where a visit stands to another goal, for a person.
#[must_use]
pub fn format_remade_plan(made: &RemadePlan, width: PageWidth) -> String {
    let plan = made.plan();
    let off_again: Vec<String> = made.again().parts.iter().cloned().collect();
    let count = count_with_noun(plan.all_steps().count(), "step");
    let takes = about_words(plan.total_s());
    let goal = match &plan.asked.goal {
        Some(goal) => format!("to `{goal}`"),
        None => format!("the whole job: {}", plan.asked.tasks.join(", ")),
    };
    let mut out = bullet(width, "", &format!("Planned on from where the work stands, {goal}."));
    out.push_str(&format!("{count}, planned at {takes}.\n"));
    if !off_again.is_empty() {
        out.push_str(&bullet(width, "Comes off again: ", &format!("{}.", off_again.join(", "))));
    }
    for (phase, sequence) in plan.sequences() {
        push_sequence(&mut out, plan, phase.spoken_word(), sequence, width);
    }
    out.push('\n');
    out.push_str(&bullet(width, "", "The maker's service data always win over anything worked out here."));
    out
}

fn push_way_in(out: &mut String, plan: &Plan, width: PageWidth) {
    out.push_str(&heading("what comes off"));
    let mut table = TextTable::new(&[
        ("part", TextAlign::Whole),
        ("way", TextAlign::Left),
        ("because of", TextAlign::Left),
    ]);
    for part in &plan.way_in.parts {
        let because: Vec<&str> = part.because.iter().map(because_key).collect();
        let shown = if because.len() > 3 {
            format!("{} and {} more", because[..3].join(", "), because.len() - 3)
        } else {
            because.join(", ")
        };
        table.add_row(&[part.part.clone(), part.way.clone().unwrap_or_default(), shown]);
    }
    out.push_str(&table.to_text(width));
    if !plan.way_in.also_open.is_empty() {
        let text = format!("also opened, though not asked for: {}", plan.way_in.also_open.join(", "));
        out.push_str(&bullet(width, "", &text));
    }
}

fn because_key(reason: &model::plan::WayInReason) -> &str {
    use model::plan::WayInReason;
    match reason {
        WayInReason::Task(key) | WayInReason::Part(key) | WayInReason::Condition(key) => key,
    }
}

/// The kit, by where the pieces are kept, so that one walk gathers all.
#[must_use]
pub fn format_kit(plan: &Plan, width: PageWidth) -> String {
    let mut out = heading("put on the cart");
    let mut last = String::new();
    for line in &plan.kit.pieces {
        let place = line.place.to_string();
        if place != last {
            out.push_str(&format!("  {place}\n"));
            last = place;
        }
        let count = if line.count > 1 { format!("{} x ", line.count) } else { String::new() };
        let why = kit_doubt::carried_for_words(line);
        out.push_str(&bullet(width, "    [ ] ", &format!("{count}{}{why}", line.title)));
    }
    for (tool, piece) in &plan.kit.special {
        out.push_str(&bullet(width, "    [ ] ", &format!("{tool}: {piece}")));
    }
    if let Some(doubt) = &plan.kit.doubt {
        out.push_str(&bullet(width, "  ", &kit_doubt::served_words(doubt)));
    }
    out
}

fn push_sequence(out: &mut String, plan: &Plan, name: &str, sequence: &StepSequence, width: PageWidth) {
    if sequence.steps.is_empty() {
        return;
    }
    out.push_str(&heading(name));
    let mut station = "";
    for step in &sequence.steps {
        if step.station != station {
            out.push_str(&format!("-- {} --\n", step.station));
            station = &step.station;
        }
        push_step(out, plan, step, width);
    }
}

/// A step: cautions before it, the sentence, then its acts.
fn push_step(out: &mut String, plan: &Plan, step: &Step, width: PageWidth) {
    for caution in &step.cautions {
        out.push_str(&bullet(width, "     ", &format!("{}: {}", caution.word, caution.text)));
    }
    let slot = step.slot.as_ref().map_or_else(String::new, |s| format!("  [{s}]"));
    let helper = if step.helper { "  (two people)" } else { "" };
    out.push_str(&bullet(width, &format!("{:>4} ", step.number), &format!("{}{slot}{helper}", step.text)));
    let mut last = String::new();
    for action in &step.actions {
        let Some(duty) = plan.duties.get(action.duty) else { continue };
        let text = action_words(plan, duty, action);
        if text != last {
            out.push_str(&bullet(width, "       ", &text));
            if let Some(words) = kit_doubt::instead_words(plan, duty) {
                out.push_str(&bullet(width, "         ", &words));
            }
        }
        last = text;
    }
}

/// One act: what, how far, with which stack.
#[must_use]
pub fn action_words(plan: &Plan, duty: &DutyLine, action: &StepAction) -> String {
    let stack = action.stack.as_ref().and_then(|id| plan.stacks.iter().find(|s| s.id == *id));
    let with = match (stack, duty.sure) {
        (Some(stack), ReachVerdict::Proven) => format!("{} {}", stack.id, stack.words),
        (Some(stack), _) => format!("~ {} {}", stack.id, stack.words),
        (None, ReachVerdict::No) => String::from("NO TOOL AT HAND, see the readiness sheet"),
        (None, _) => format!("NOT KNOWN YET: {}", duty.rests_on.join(", ")),
    };
    let figure = match (&action.figure, duty.act) {
        (Some(figure), Act::Tighten) => format!(" {figure}"),
        _ => String::new(),
    };
    let set = match (duty.setting_n_m, duty.torque_n_m) {
        (Some(set), Some(torque)) if (set - torque).abs() > 1e-9 => {
            format!(", wrench set to {} N·m", units::significant(set, 3))
        }
        _ => String::new(),
    };
    let order = if duty.act == Act::Tighten && action.holes.len() > 1 {
        match duty.hole_order {
            Some(HoleOrderOrigin::Unrelated) => format!(", each by itself: {}", action.holes.join(" ")),
            Some(HoleOrderOrigin::NotKnown) => String::from(", order not known"),
            Some(HoleOrderOrigin::MakersSequence | HoleOrderOrigin::Positions) | None => {
                format!(", in the order {}", action.holes.join(" "))
            }
        }
    } else {
        String::new()
    };
    let loosens = duty.act == Act::Tighten && action.figure.as_deref() == Some("loosen");
    let act = if loosens { String::from("loosen again") } else { format!("{}{figure}", duty.act) };
    format!("{act}{set}: {with}{order}")
}

fn push_slots(out: &mut String, plan: &Plan, width: PageWidth) {
    out.push_str(&heading("where the fasteners go"));
    let mut table = TextTable::new(&[
        ("slot", TextAlign::Whole),
        ("count", TextAlign::Right),
        ("size", TextAlign::Left),
        ("fixing", TextAlign::Left),
        ("", TextAlign::Left),
    ]);
    for line in &plan.slots {
        let renew = String::from(if line.renewed { "renew" } else { "" });
        table.add_row(&[
            line.slot.to_string(),
            line.count.to_string(),
            line.size.clone(),
            line.fixing.clone(),
            renew,
        ]);
    }
    out.push_str(&table.to_text(width));
}

fn push_mix_ups(out: &mut String, plan: &Plan, width: PageWidth) {
    for (title, not_known) in
        [("do harm when mixed up", false), ("not known whether they do harm when mixed up", true)]
    {
        let lines = || plan.mix_ups.iter().filter(move |line| line.consequence.is_not_known() == not_known);
        if lines().next().is_some() {
            out.push_str(&heading(title));
        }
        for line in lines() {
            let apart = if line.kept_apart { "" } else { " THEIR SLOTS ARE NEXT TO EACH OTHER: mark both." };
            let text = format!("{} in a hole of {}: {}{apart}", line.fastener_of, line.hole_of, line.words);
            out.push_str(&bullet(width, "  - ", &text));
        }
    }
}
