//! With what a step is done: every stack of it in the order of the work, and what of it nothing at hand reaches.

use model::plan::{DutyLine, Plan, Step, StepAction};
use model::{Act, ReachVerdict};

/// One stack of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToolLine {
    /// What is done with it, "break loose"; empty where the step has one stack for all.
    pub act: String,
    /// The holes that it is for; empty where one stack does the act on all.
    pub holes: String,
    /// The stack in words.
    pub words: String,
    /// Whether nothing at hand does it.
    pub is_missing: bool,
}

/// What is told of a stack, and the holes that it is for.
struct StackUse<'p> {
    act: Act,
    words: String,
    is_missing: bool,
    holes: Vec<&'p str>,
}

/// The stacks of a step; of a tightening step those of one pass.
#[must_use]
pub(super) fn tool_lines(plan: &Plan, step: &Step, stage: Option<u8>) -> Vec<ToolLine> {
    let mut uses: Vec<StackUse<'_>> = Vec::new();
    for action in &step.actions {
        let Some(line) = plan.duties.get(action.duty).filter(|line| stage.is_none() || line.stage == stage)
        else {
            continue;
        };
        let (words, is_missing) = stack_words(plan, action, line);
        match uses.iter_mut().find(|u| u.act == line.act && u.words == words) {
            Some(known) => known.holes.extend(action.holes.iter().map(String::as_str)),
            None => uses.push(StackUse {
                act: line.act,
                words,
                is_missing,
                holes: action.holes.iter().map(String::as_str).collect(),
            }),
        }
    }
    let is_one = uses.iter().all(|u| u.words == uses[0].words);
    if is_one {
        uses.truncate(1);
    }
    let of_act = |act: Act| uses.iter().filter(|u| u.act == act).count();
    let line = |u: &StackUse<'_>| ToolLine {
        act: if is_one { String::new() } else { act_at_the_bench(u.act).to_owned() },
        holes: if of_act(u.act) > 1 { joined_holes(&u.holes) } else { String::new() },
        words: u.words.clone(),
        is_missing: u.is_missing,
    };
    uses.iter().map(line).collect()
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

/// The words of an act as they are said at the bench.
const fn act_at_the_bench(act: Act) -> &'static str {
    match act {
        Act::Free => "break loose",
        Act::RunOut => "spin out",
        Act::RunIn => "run in",
        Act::Tighten => "tighten",
    }
}

/// The words of an action's stack, and whether nothing at hand does it.
fn stack_words(plan: &Plan, action: &StepAction, line: &DutyLine) -> (String, bool) {
    let id = action.stack.as_ref().or(line.stack.as_ref());
    match id.and_then(|id| plan.stacks.iter().find(|s| s.id == *id)) {
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
