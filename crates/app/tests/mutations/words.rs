//! Sentences of steps: a figure, a unit, a name or a word that is not the step's.

use crate::bending::{PlanMutation, bent, reword, saying, step, step_of};
use model::plan::{Plan, Step, StepKind};

/// Puts other words into the first step of a kind that is so.
fn rewrite(
    plan: &mut Plan,
    is_it: impl Fn(&Step) -> bool,
    write: impl Fn(&str) -> Option<String>,
) -> Option<()> {
    let found = step(plan, is_it)?;
    let text = write(&found.text)?;
    assert_ne!(text, found.text, "nothing is rewritten");
    found.text = text;
    Some(())
}

/// Takes the last sentence away from a text of several.
fn without_last_sentence(text: &str) -> Option<String> {
    Some(format!("{}.", text.trim_end_matches('.').rsplit_once(". ")?.0))
}

const fn is_task(step: &Step) -> bool {
    step.task.is_some()
}

pub const TEXTS: &[PlanMutation] = &[
    bent("the torque in the words of a step doubled", "J711", |_, _, p| {
        reword(p, StepKind::Tighten, ": 10 N·m", ": 20 N·m")
    }),
    bent("the torque in the words of a step lacks a figure", "J711", |_, _, p| {
        reword(p, StepKind::Tighten, ": 10 N·m", ": 1 N·m")
    }),
    bent("the torque in another unit", "J711", |_, _, p| reword(p, StepKind::Tighten, "N·m", "ft·lbf")),
    bent("a pass is left out of the words", "J711", |_, _, p| {
        rewrite(
            p,
            |s| s.kind == StepKind::Tighten && s.text.contains(", then "),
            |text| {
                let (head, tail) = text.split_once(", then ")?;
                Some(format!("{}: {tail}", head.split_once(": ")?.0))
            },
        )
    }),
    bent("two passes change places in the words", "J711", |_, _, p| {
        rewrite(
            p,
            |s| s.kind == StepKind::Tighten && s.text.contains(", then "),
            |text| {
                let (head, figures) = text.rsplit_once(": ")?;
                let (first, then) = figures.split_once(", then ")?;
                Some(format!("{head}: {}, then {first}.", then.split('.').next()?))
            },
        )
    }),
    bent("the angle of a pass changed", "J711", |_, _, p| reword(p, StepKind::Tighten, "90°", "60°")),
    bent("the number of bolts to tighten is less", "J711", |_, _, p| {
        reword(p, StepKind::Tighten, "Tighten 4 ×", "Tighten 3 ×")
    }),
    bent("the number of bolts to undo is less", "J711", |_, _, p| {
        reword(p, StepKind::Undo, "Undo 4 ×", "Undo 3 ×")
    }),
    bent("the number of bolts to run in is less", "J711", |_, _, p| {
        reword(p, StepKind::RunIn, "run in 4 ×", "run in 3 ×")
    }),
    bent("a step undoes another fixing by its words", "J711", |b, _, p| {
        let found = step_of(p, StepKind::Undo)?;
        let own = b.fixing(b.fixing_by_key(found.fixings.first()?)?);
        let other = b.fixings.iter().rfind(|fixing| fixing.title != own.title)?;
        Some(found.text = found.text.replace(&own.title, &other.title))
    }),
    bent("a step tightens another fixing by its words", "J711", |b, _, p| {
        let found = step_of(p, StepKind::Tighten)?;
        let own = b.fixing(b.fixing_by_key(found.fixings.first()?)?);
        let other = b.fixings.iter().rfind(|fixing| fixing.title != own.title)?;
        Some(found.text = found.text.replace(&own.title, &other.title))
    }),
    bent("a step lifts off another part by its words", "J711", |b, _, p| {
        let found = step_of(p, StepKind::Remove)?;
        let own = b.part(b.part_by_key(found.part.as_ref()?)?);
        let other = b.parts.iter().rfind(|part| part.title != own.title)?;
        Some(found.text = found.text.replace(&own.title, &other.title))
    }),
    bent("a step sets another part in place by its words", "J711", |b, _, p| {
        let found = step_of(p, StepKind::Refit)?;
        let own = b.part(b.part_by_key(found.part.as_ref()?)?);
        let other = b.parts.iter().rfind(|part| part.title != own.title)?;
        Some(found.text = found.text.replace(&own.title, &other.title))
    }),
    bent("a step tells of a tool that it does not use", "J712", |_, s, p| {
        let title = s.pieces.first()?.title.clone();
        Some(step_of(p, StepKind::Undo)?.text.push_str(&format!(" Use the {title}.")))
    }),
    bent("a step tells of a hole that it does not work", "J712", |_, _, p| {
        Some(step_of(p, StepKind::Tighten)?.text.push_str(" Leave hole 2 out."))
    }),
    bent("a step says not to", "J712", |_, _, p| reword(p, StepKind::Tighten, "Tighten ", "Do not Tighten ")),
    bent("an advice that nobody gave", "J712", |_, _, p| {
        Some(step_of(p, StepKind::Remove)?.text.push_str(" Lever it off with a bar."))
    }),
    bent("an undoing by the words of tightening", "J711", |_, _, p| {
        reword(p, StepKind::Undo, "Undo ", "Tighten ")
    }),
    bent("what goes on the threads is left out", "J711", |_, _, p| {
        rewrite(
            p,
            |s| s.kind == StepKind::RunIn && s.text.contains("; "),
            |text| Some(format!("{}.", text.split_once("; ")?.0)),
        )
    }),
    bent("dry threads are oiled", "J711", |_, _, p| {
        reword(p, StepKind::RunIn, "threads clean and dry", "oil the threads and seats")
    }),
    bent("an old bolt where the book wants a new one", "J711", |_, _, p| {
        reword(p, StepKind::RunIn, "new ", "")
    }),
    bent("a new bolt where the book keeps the old", "J711", |_, _, p| {
        rewrite(
            p,
            |s| s.kind == StepKind::RunIn && s.text.contains(" × ") && !s.text.contains("new"),
            |text| Some(text.replacen(" × ", " × new ", 1)),
        )
    }),
    bent("the drive of another tool", "J711", |_, _, p| {
        reword(p, StepKind::Undo, "hexagon 10 mm", "hexagon 13 mm")
    }),
    bent("the mass of a part halved", "J711", |_, _, p| {
        rewrite(
            p,
            |s| s.kind == StepKind::Remove && s.text.contains(" kg"),
            |text| {
                let (head, tail) = text.split_once(" kg")?;
                let (front, _) = head.rsplit_once('(')?;
                Some(format!("{front}(0.1 kg{tail}"))
            },
        )
    }),
    bent("a second pair of hands is left out of the words", "J711", |_, _, p| {
        reword(p, StepKind::Remove, " with a second pair of hands", "")
    }),
    bent("a second pair of hands in the words alone", "J712", |_, _, p| {
        rewrite(
            p,
            |s| s.kind == StepKind::Remove && !s.helper,
            |text| Some(format!("{text} With a second pair of hands.")),
        )
    }),
    bent("the tip of a part is left out", "J711", |b, _, p| {
        let tip = b.parts.iter().find_map(|part| part.tip.clone())?;
        reword(p, StepKind::Remove, &tip, "")
    }),
    bent("the tip of the refit is left out", "J711", |b, _, p| {
        let tip = b.parts.iter().find_map(|part| part.refit_tip.clone())?;
        reword(p, StepKind::Refit, &tip, "")
    }),
    bent("a new gasket is left out of the words", "J711", |b, _, p| {
        let renewed = b.parts.iter().find(|part| !part.renew_with.is_empty())?;
        reword(p, StepKind::Refit, &renewed.renew_with[0].name, "nothing")
    }),
    bent("a cap of another size", "J711", |b, _, p| {
        let cap = b.openings.iter().find_map(|opening| opening.cap.clone())?;
        reword(p, StepKind::Cap, &cap, "cap 99 mm")
    }),
    bent("fewer caps than openings", "J711", |_, _, p| {
        rewrite(
            p,
            |s| s.kind == StepKind::Cap && s.text.contains(" × "),
            |text| {
                let (head, tail) = text.split_once(" × ")?;
                let (front, _) = head.rsplit_once('(')?;
                Some(format!("{front}(1 × {tail}"))
            },
        )
    }),
    bent("fewer caps are taken away than were put in", "J711", |_, _, p| {
        rewrite(
            p,
            |s| s.kind == StepKind::Uncap && s.text.contains(" × "),
            |text| {
                let (head, tail) = text.split_once(" × ")?;
                let (front, _) = head.rsplit_once('(')?;
                Some(format!("{front}(1 × {tail}"))
            },
        )
    }),
    bent("a condition is made in other words than the book's", "J711", |_, _, p| {
        Some(step_of(p, StepKind::Open)?.text = "Start the engine.".into())
    }),
    bent("a fluid is drained in other words than the book's", "J711", |_, _, p| {
        Some(step_of(p, StepKind::Drain)?.text = "Drain it into the river.".into())
    }),
    bent("a fluid is filled in other words than the book's", "J711", |_, _, p| {
        Some(step_of(p, StepKind::Fill)?.text = "Fill in.".into())
    }),
    bent("a condition is undone in other words than the book's", "J711", |_, _, p| {
        Some(step_of(p, StepKind::Restore)?.text = "Leave it as it is.".into())
    }),
    bent("a setting is changed in other words than the book's", "J711", |_, _, p| {
        Some(step_of(p, StepKind::Set)?.text = "Push.".into())
    }),
    bent("the time of a wait halved in words", "J711", |_, _, p| {
        rewrite(
            p,
            |s| s.kind == StepKind::Wait,
            |text| {
                let (_, tail) = text.split_once(':')?;
                Some(format!("Wait 1 s:{tail}"))
            },
        )
    }),
    bent("a wait for something else", "J711", |_, _, p| {
        rewrite(
            p,
            |s| s.kind == StepKind::Wait,
            |text| {
                let (head, _) = text.split_once(':')?;
                Some(format!("{head}: dinner."))
            },
        )
    }),
    bent("what a task is to do is left out", "J711", |b, _, p| {
        let notes: Vec<&String> = b.tasks.iter().filter_map(|task| task.note.as_ref()).collect();
        rewrite(
            p,
            |s| is_task(s) && notes.iter().any(|note| s.text.contains(*note)),
            |text| {
                let note = notes.iter().find(|note| text.contains(**note))?;
                Some(text.replace(*note, "").trim().to_owned())
            },
        )
    }),
    bent("a figure in what a task is to do changed", "J711", |_, _, p| {
        rewrite(
            p,
            |s| is_task(s) && s.text.chars().any(|c| c.is_ascii_digit()),
            |text| {
                let at = text.find(|c: char| c.is_ascii_digit())?;
                let other = if text[at..].starts_with('9') { "8" } else { "9" };
                Some(format!("{}{other}{}", &text[..at], &text[at + 1..]))
            },
        )
    }),
    bent("that each bolt is looked at a second time is left out", "J711", |_, _, p| {
        rewrite(p, |s| s.text.contains("a second time"), without_last_sentence)
    }),
    bent("that the bolts are tightened in pattern order is left out", "J711", |_, _, p| {
        reword(p, StepKind::Tighten, " in pattern order", "")
    }),
    bent("a step without words", "J711", |_, _, p| Some(step_of(p, StepKind::Tighten)?.text.clear())),
    bent("a step with the words of another", "J711", |_, _, p| {
        let other = saying(p, StepKind::Undo, "Undo ")?.text.clone();
        Some(p.refit.steps.iter_mut().find(|s| s.kind == StepKind::RunIn)?.text = other)
    }),
];
