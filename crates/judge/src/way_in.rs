//! Way in: does what comes off and what holds open the way to every requested task?

use crate::FoundViolations;
use crate::case::PlanCase;
use model::Need;

/// J201 tasks' needs, J202 needs of parts and conditions.
pub(crate) fn judge_way_in(case: &PlanCase, found: &mut FoundViolations) {
    for task in &case.tasks {
        let task = case.book.task(*task);
        for need in task.needs.iter().filter(|n| !is_need_covered(case, **n)) {
            let words = format!("task `{}` needs {}", task.key, case.need_words(*need));
            found.add("J201", "way in", words);
        }
    }
    for (part, way) in &case.off {
        for need in case.needs_of_part(*part, *way).filter(|n| !is_need_covered(case, *n)) {
            let words = format!("part `{}` needs {}", case.book.part(*part).key, case.need_words(need));
            found.add("J202", "way in", words);
        }
    }
    for condition in case.conditions.iter().map(|c| case.book.condition(*c)) {
        for need in condition.needs.iter().filter(|n| !is_need_covered(case, **n)) {
            let words = format!("condition `{}` needs {}", condition.key, case.need_words(*need));
            found.add("J202", "way in", words);
        }
    }
}

fn is_need_covered(case: &PlanCase, need: Need) -> bool {
    match need {
        Need::Off(part) => case.off.contains_key(&part),
        Need::Condition(condition) => case.conditions.contains(&condition),
    }
}
