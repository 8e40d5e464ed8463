//! Conditions: what is waited for takes time, what is drained is filled again, what is described is needed.
//!
//! Why: a drained engine that nobody fills is the most expensive of all omissions.

use super::{RuleSubject, rule};
use faults::FaultRule;
use model::{ConditionKind, Need};
use std::collections::BTreeSet;
use units::Duration;

rule! { B206 "a wait without time",
why "A condition of kind `waited` consists only of waiting; without `hold_up` the plan would not wait at all.",
bad "kind           = \"waited\"\nestablish      = \"Let the engine cool down.\"",
help "add `hold_up`, such as `hold_up = \"40 min\"`, or choose another kind." }
rule! { B207 "drained and never filled",
why "What is drained is filled again before the first start; without `restore` no step says so.",
bad "kind           = \"drained\"\nestablish      = \"Drain the coolant.\"",
help "add `restore` with what is filled in, how much, and how it is bled." }
rule! { B208 "time without a description",
why "A time for undoing a condition counts towards the finish, though no step says what is done in it.",
bad "hold_up        = \"40 min\"\nrestore_time   = \"5 min\"",
help "add `restore`, or take `restore_time` out." }
rule! { B209 "condition that nothing needs",
why "A condition that nothing needs is never made; most often a need was forgotten.",
bad "# no `conditions` here, nor anywhere else",
help "add it to the `conditions` of what needs it, or remove it." }

pub(super) const RULES: &[FaultRule] = &[B206, B207, B208, B209];

pub(super) fn check_conditions(subject: &RuleSubject<'_>) {
    let needed = needed_conditions(subject);
    for (index, (condition, spot)) in
        subject.book.conditions.iter().zip(&subject.spots.conditions).enumerate()
    {
        let key = &condition.key;
        if condition.kind == ConditionKind::Waited && condition.hold_up == Duration::ZERO && !spot.bad {
            let message = format!("`{key}` is a wait, but takes no time");
            subject.bag.push(super::rule_error(
                &B206,
                message,
                spot.key("hold_up").span,
                "no `hold-up` time",
            ));
        }
        if condition.kind == ConditionKind::Drained && !spot.has("restore") {
            let message = format!("`{key}` is drained and never filled");
            subject.bag.push(super::rule_warning(&B207, message, spot.key("kind").span, "no `restore` here"));
        }
        if condition.restore_time > Duration::ZERO && !spot.has("restore") {
            let message = format!("`{key}` takes time to undo, but does not say how");
            subject.bag.push(super::rule_warning(&B208, message, spot.key("restore_time").span, "for what?"));
        }
        if !needed.contains(&index) {
            let message = format!("nothing needs `{key}`");
            subject.bag.push(super::rule_warning(&B209, message, spot.key("key").span, "needed nowhere"));
        }
    }
}

/// Conditions that something needs.
fn needed_conditions(subject: &RuleSubject<'_>) -> BTreeSet<usize> {
    let book = subject.book;
    let parts = book.parts.iter().flat_map(|p| p.needs.iter().chain(p.ways.iter().flat_map(|w| &w.needs)));
    let others =
        book.conditions.iter().flat_map(|c| &c.needs).chain(book.tasks.iter().flat_map(|t| &t.needs));
    let conditions = parts.chain(others).filter_map(|need| match need {
        Need::Condition(condition) => Some(condition.index()),
        Need::Off(_) => None,
    });
    conditions.collect()
}
