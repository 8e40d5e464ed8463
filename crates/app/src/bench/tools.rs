//! With what a step is done: every stack of it in the order of the work, and what of it nothing at hand reaches.

use model::plan::{DutyLine, Plan, StackLine, Step, StepAction};
use model::{Act, Book, DriveForm, ReachVerdict, Store};
use record::steps_of;

use crate::titles::act_at_the_bench;

/// One stack of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToolLine {
    /// What is done with it, "break loose"; empty where the step has one stack for all.
    pub act: String,
    /// The holes that it is for; empty where one stack does the act on all.
    pub holes: String,
    /// What is read first: "10 mm hex", "T30"; empty where another line of the step has said it, or there is none.
    pub size: String,
    /// What the hand does with the stack before it: "same tool", "swap to breaker bar"; empty for another tool.
    pub change: String,
    /// The stack in words; empty where the line before and the change say it.
    pub words: String,
    /// Whether nothing at hand does it.
    pub is_missing: bool,
}

/// What is told of a stack, and the holes that it is for.
struct StackUse<'p> {
    act: Act,
    size: String,
    stack: Option<&'p StackLine>,
    words: String,
    is_missing: bool,
    holes: Vec<&'p str>,
}

/// The stacks of the steps of a sheet; of a tightening step those of one pass.
#[must_use]
pub(super) fn tool_lines(
    book: &Book,
    store: &Store,
    plan: &Plan,
    steps: &[&Step],
    stage: Option<u8>,
) -> Vec<ToolLine> {
    let mut uses: Vec<StackUse<'_>> =
        steps.iter().flat_map(|step| stack_uses(book, plan, step, stage)).collect();
    let is_one = uses.iter().all(|u| u.words == uses[0].words);
    if is_one {
        uses.truncate(1);
    }
    let of_act = |act: Act| uses.iter().filter(|u| u.act == act).count();
    let mut before = steps.first().and_then(|step| stack_before(plan, step));
    let mut said = String::new();
    let mut lines = Vec::new();
    for u in &uses {
        let change =
            u.stack.zip(before).map_or_else(String::new, |(now, before)| change_words(store, before, now));
        lines.push(ToolLine {
            act: if is_one { String::new() } else { act_at_the_bench(u.act).to_owned() },
            holes: if of_act(u.act) > 1 { joined_holes(&u.holes) } else { String::new() },
            size: if u.size == said { String::new() } else { u.size.clone() },
            words: if lines.is_empty() || change.is_empty() { u.words.clone() } else { String::new() },
            change,
            is_missing: u.is_missing,
        });
        said.clone_from(&u.size);
        before = u.stack.or(before);
    }
    lines
}

/// Each stack of a step with its acts, in the order of the work.
fn stack_uses<'p>(book: &Book, plan: &'p Plan, step: &'p Step, stage: Option<u8>) -> Vec<StackUse<'p>> {
    let mut uses: Vec<StackUse<'_>> = Vec::new();
    for action in &step.actions {
        let Some(line) = plan
            .duties
            .get(action.duty)
            .filter(|line| stage.is_none() || line.stage.is_none() || line.stage == stage)
        else {
            continue;
        };
        let (words, is_missing) = stack_words(plan, action, line);
        match uses.iter_mut().find(|u| u.act == line.act && u.words == words) {
            Some(known) => known.holes.extend(action.holes.iter().map(String::as_str)),
            None => uses.push(StackUse {
                act: line.act,
                size: size_words(book, &line.fixing),
                stack: stack_of_action(plan, action, line),
                words,
                is_missing,
                holes: action.holes.iter().map(String::as_str).collect(),
            }),
        }
    }
    uses
}

fn stack_of_action<'p>(plan: &'p Plan, action: &StepAction, line: &DutyLine) -> Option<&'p StackLine> {
    let id = action.stack.as_ref().or(line.stack.as_ref())?;
    plan.stacks.iter().find(|stack| stack.id == *id)
}

/// The stack that the hand had last before a step, at the same place.
fn stack_before<'p>(plan: &'p Plan, step: &Step) -> Option<&'p StackLine> {
    let earlier: Vec<&Step> = steps_of(plan).take_while(|s| s.number != step.number).collect();
    let near = earlier.into_iter().rev().take_while(|before| before.station == step.station);
    near.flat_map(|before| before.actions.iter().rev()).find_map(|action| {
        let line = plan.duties.get(action.duty)?;
        stack_of_action(plan, action, line).filter(|stack| !stack.pieces.is_empty())
    })
}

/// The size of a fastener's drive as it is asked for across the workshop: "10 mm hex", "T30"; empty for what has no size.
fn size_words(book: &Book, fixing: &str) -> String {
    let Some(drive) = book.fixing_by_key(fixing).map(|id| book.fixing(id).drive) else {
        return String::new();
    };
    match drive.form() {
        DriveForm::Hand | DriveForm::NotKnown | DriveForm::Latch => String::new(),
        DriveForm::Hexalobular
        | DriveForm::ExternalHexalobular
        | DriveForm::CrossRecess
        | DriveForm::CrossRecessZ => drive.to_string(),
        form => format!("{}{}", drive.width_words(), form_words(form)),
    }
}

/// What is said after a size; a hexagon in millimetres needs no more than "hex".
const fn form_words(form: DriveForm) -> &'static str {
    match form {
        DriveForm::Hexagon => " hex",
        DriveForm::BiHexagon => " 12-point",
        DriveForm::HexSocket => " hex key",
        DriveForm::Slot => " blade",
        DriveForm::Square => " square",
        DriveForm::SquareSocket => " square key",
        DriveForm::SpringClamp => " spring clamp",
        DriveForm::PushClip => " clip",
        DriveForm::Hexalobular
        | DriveForm::ExternalHexalobular
        | DriveForm::CrossRecess
        | DriveForm::CrossRecessZ
        | DriveForm::Latch
        | DriveForm::Hand
        | DriveForm::NotKnown => "",
    }
}

/// What the hand does to come from one stack to the next; empty where nothing of the one is in the other.
fn change_words(store: &Store, before: &StackLine, now: &StackLine) -> String {
    let missing_from = |all: &[String], from: &[String]| -> Vec<String> {
        all.iter().filter(|key| !from.contains(key)).map(|key| piece_title(store, key)).collect()
    };
    let (added, dropped) =
        (missing_from(&now.pieces, &before.pieces), missing_from(&before.pieces, &now.pieces));
    let is_kept = now.pieces.len() > added.len();
    match (added.as_slice(), dropped.as_slice()) {
        _ if !is_kept => String::new(),
        ([], []) => String::from("same tool"),
        (added, []) => format!("add {}", added.join(", ")),
        ([], dropped) => format!("without {}", dropped.join(", ")),
        ([new], [_]) => format!("swap to {new}"),
        // More than one piece each way is another tool: its words say it shorter.
        _ => String::new(),
    }
}

/// The title of a piece without the size of its square, which the stack has in common.
fn piece_title(store: &Store, key: &str) -> String {
    let title = store.piece_by_key(key).map_or(key, |id| store.piece(id).title.as_str());
    title
        .rsplit_once(", ")
        .filter(|(_, square)| square.ends_with(" in"))
        .map_or(title, |(name, _)| name)
        .to_owned()
}

fn joined_holes(holes: &[&str]) -> String {
    let mut each: Vec<&str> = Vec::new();
    for hole in holes {
        if !each.contains(hole) {
            each.push(hole);
        }
    }
    each.join(" ")
}

/// The words of an action's stack, and whether nothing at hand does it.
fn stack_words(plan: &Plan, action: &StepAction, line: &DutyLine) -> (String, bool) {
    match stack_of_action(plan, action, line) {
        Some(stack) if line.sure != ReachVerdict::Proven => (format!("~ {}", stack.words), false),
        Some(stack) => (stack.words.clone(), false),
        None if line.sure != ReachVerdict::No => {
            (format!("not known yet: {}", line.rests_on.join(", ")), false)
        }
        None => (String::from("no tool of yours does it; see Before you start"), true),
    }
}

#[cfg(test)]
mod tests {
    use super::joined_holes;

    #[test]
    fn each_hole_is_named_once() {
        assert_eq!(joined_holes(&["1", "3", "1"]), "1 3");
        assert_eq!(joined_holes(&[]), "");
    }
}
